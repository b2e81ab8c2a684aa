//! What the tests of the ledger share: a small ledger in a folder of its own, bodies of the
//! kinds they write, and a look at the file that does not go through the program.

use std::path::{Path, PathBuf};

use chrono::{DateTime, Duration, Utc};
use rusqlite::Connection;
use rusqlite::types::Value;
use tempfile::TempDir;
use wearbook::calendar::{Day, parse_day};
use wearbook::ledger::{
    Author, Hash, Instant, KnownAt, Ledger, LedgerError, Mode, Refusal, Written,
};
use wearbook::quantity::Indication;
use wearbook::record::*;

/// A ledger in a folder that goes with it, and the instant of its next write.
pub struct Bench {
    pub dir: TempDir,
    pub ledger: Ledger,
    now: Instant,
}

pub fn author() -> Author {
    Author {
        name: "R. Okafor".to_owned(),
        os_user: "yard".to_owned(),
    }
}

/// The instant of entry 1 of every ledger of these tests.
pub fn first_instant() -> Instant {
    DateTime::<Utc>::from_timestamp(1_772_366_400, 0).expect("an instant of 2026-03-01")
}

pub fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

pub fn charter() -> Charter {
    Charter {
        jurisdiction: None,
        clock: ClockType::Scripted,
        first_rso: "R. Okafor".to_owned(),
        ledger_id: "0123456789abcdef".to_owned(),
        licence: "L-000".to_owned(),
        licensee: "Example Testing".to_owned(),
        site: "Yard 1".to_owned(),
        unit: "mrem".to_owned(),
        zone: "America/Chicago".to_owned(),
    }
}

pub fn adoption() -> Adoption {
    Adoption {
        from: day("2026-01-01"),
        name: "site".to_owned(),
        reason: None,
        text: "scheme = \"site\"\n# \t\\ \u{b5}Sv\n".to_owned(),
    }
}

pub fn worker(id: &str, name: &str) -> Body {
    Worker {
        birth_date: Some(day("1990-02-28")),
        category: Category::Exposed,
        id: id.to_owned(),
        language: None,
        monitored_from: day("2026-01-05"),
        name: name.to_owned(),
        role: Role::Radiographer,
    }
    .into()
}

pub fn dosimeter(id: &str, serial: &str) -> Body {
    Instrument {
        alarm_preset: None,
        face: Some("mR".to_owned()),
        id: id.to_owned(),
        in_service: None,
        maker: None,
        model: None,
        range: Some("200 mR".to_owned()),
        scale: None,
        scales: Vec::new(),
        serial: serial.to_owned(),
        kind: InstrumentType::Pocket,
    }
    .into()
}

pub fn meter(id: &str, serial: &str, scales: &[&str]) -> Body {
    Instrument {
        alarm_preset: None,
        face: None,
        id: id.to_owned(),
        in_service: None,
        maker: None,
        model: None,
        range: None,
        scale: Some(Scale::Digital),
        scales: scales.iter().map(|it| (*it).to_owned()).collect(),
        serial: serial.to_owned(),
        kind: InstrumentType::Meter,
    }
    .into()
}

pub fn job(id: &str, place: &str) -> Body {
    Job {
        reciprocity_filed: None,
        reciprocity_reference: None,
        client: None,
        first_day: None,
        id: id.to_owned(),
        jurisdiction: "US NRC".to_owned(),
        last_day: None,
        place: place.to_owned(),
        setting: Setting::Temporary,
        zone: "America/Chicago".to_owned(),
    }
    .into()
}

/// A sheet of one person with one reading `0 mR` to `end`.
pub fn sheet(on: &str, job: RecordId, worker: RecordId, dosimeter: RecordId, end: &str) -> Sheet {
    Sheet {
        locked: None,
        meter_checked: None,
        meter_late: None,
        shift_start: None,
        signed_by: None,
        site: None,
        storage_distance: None,
        storage_meter: None,
        attested_by: None,
        begins: None,
        boundary: None,
        control_unit: None,
        day: day(on),
        device: None,
        device_back: None,
        device_out: None,
        ends: None,
        exposures: Some(12),
        first_exposure: None,
        guide_tubes: Vec::new(),
        held: Vec::new(),
        job: Ref::Known(job.into()),
        meter: None,
        note: None,
        paper: None,
        people: vec![Person {
            badge: None,
            alarm_tested: Some(true),
            badge_worn: Some(true),
            ratemeter: None,
            late: Vec::new(),
            readings: vec![Reading {
                recharged: None,
                dosimeter: Ref::Known(dosimeter.into()),
                end: Some(shown(end)),
                off_scale: false,
                part: 1,
                start: Some(shown("0 mR")),
            }],
            role: Role::Radiographer,
            worker: Ref::Known(worker.into()),
        }],
        reference: None,
        shift: ShiftName::Night,
        source: None,
        source_out_s: None,
        storage_survey: None,
        work: Work::Radiography,
    }
}

pub fn shown(text: &str) -> Indication {
    Indication::parse(text, None).expect("a reading")
}

impl Bench {
    /// A ledger with its charter (entry 1) and rule set (entry 2).
    pub fn new() -> Bench {
        let dir = tempfile::tempdir().expect("a folder");
        let path = dir.path().join("crew.db");
        let ledger = Ledger::create(&path, &author(), first_instant(), charter(), adoption())
            .expect("a new ledger");
        Bench {
            dir,
            ledger,
            now: first_instant(),
        }
    }

    /// A ledger of ten entries: worker 3 (copied from paper), dosimeter 4, job 5, meter 6,
    /// sheet 7 (amended by 8), meter void (9) and in force again (10).
    pub fn of_ten_entries() -> Bench {
        let mut bench = Bench::new();
        bench.append_from_paper(worker("W01", "Jos\u{e9} \u{c5}berg"));
        bench.append(dosimeter("PD-01", "1001"));
        bench.append(job("J1", "Mile 12"));
        bench.append(meter("SM-1", "77", &["10 mR/h", "100 mR/h"]));
        bench.append(sheet("2026-02-27", 5, 3, 4, "12 mR").into());
        bench.amend(7, sheet("2026-02-27", 5, 3, 4, "21 mR").into());
        let now = bench.tick();
        bench
            .ledger
            .write(&author(), now, Mode::Commit, |writer| {
                writer.void(6, "entered twice")?;
                writer.reinstate(9, "it was not")
            })
            .expect("void and in force again");
        bench
    }

    /// As many entries as the first eight of the other, and one more, but another past.
    pub fn of_nine_others() -> Bench {
        let mut bench = Bench::new();
        for (id, name) in [
            ("W01", "Jos\u{e9} \u{c5}berg"),
            ("W02", "A. Reyes"),
            ("W03", "B. Novak"),
            ("W04", "C. Lindt"),
            ("W05", "D. Amari"),
            ("W06", "E. Sato"),
            ("W07", "F. Moreau"),
        ] {
            bench.append(worker(id, name));
        }
        bench
    }

    pub fn path(&self) -> &Path {
        self.ledger.path()
    }

    /// A place beside the ledger.
    pub fn beside(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// The next instant, a second after the last.
    pub fn tick(&mut self) -> Instant {
        self.now += Duration::seconds(1);
        self.now
    }

    pub fn try_append(&mut self, body: Body) -> Result<Written, LedgerError> {
        let now = self.tick();
        self.ledger
            .write(&author(), now, Mode::Commit, |it| it.append(body, false))
    }

    pub fn try_amend(&mut self, entry: i64, body: Body) -> Result<Written, LedgerError> {
        let now = self.tick();
        self.ledger.write(&author(), now, Mode::Commit, |it| {
            it.amend(entry, body, "misread", false)
        })
    }

    /// Appends what was copied from paper.
    pub fn append_from_paper(&mut self, body: Body) -> Written {
        let now = self.tick();
        self.ledger
            .write(&author(), now, Mode::Commit, |it| it.append(body, true))
            .expect("an appended entry")
    }

    pub fn append(&mut self, body: Body) -> Written {
        self.try_append(body).expect("an appended entry")
    }

    pub fn amend(&mut self, entry: i64, body: Body) -> Written {
        self.try_amend(entry, body).expect("a corrected entry")
    }

    /// Count and head hash in one text.
    pub fn head(&self) -> String {
        self.ledger
            .read(KnownAt::Now, |it| it.head())
            .map(|(count, hash)| wearbook::ledger::head_text(count, &hash))
            .expect("a head")
    }

    /// What a full verification finds, besides guards that the test itself dropped to get at
    /// the entries.
    pub fn faults(&self) -> Vec<String> {
        faults(&self.ledger)
    }

    /// The file as another tool opens it: none of the program's settings.
    pub fn raw(&self) -> Connection {
        Connection::open(self.path()).expect("a plain connection")
    }
}

pub fn faults(ledger: &Ledger) -> Vec<String> {
    let found = ledger.verify(None, true).expect("a verification");
    found
        .faults
        .into_iter()
        .map(|fault| format!("{:?}: {}", fault.entry, fault.what))
        .filter(|fault| !fault.ends_with(", which guards the entries, is missing"))
        .filter(|fault| fault != "None: another program has written to the file")
        .collect()
}

/// The name of the refusal, or the text of whatever else went wrong.
pub fn refusal(error: &LedgerError) -> String {
    match error {
        LedgerError::Refused(refusal) => match refusal {
            Refusal::Problems { .. } => "Problems",
            Refusal::SameKey { .. } => "SameKey",
            Refusal::Voided { .. } => "Voided",
            Refusal::NoSuchRecord { .. } => "NoSuchRecord",
            Refusal::NoSuchEntry { .. } => "NoSuchEntry",
            Refusal::NotNewest { .. } => "NotNewest",
            Refusal::NothingChanges { .. } => "NothingChanges",
            Refusal::OtherKind { .. } => "OtherKind",
            Refusal::Stranded { .. } => "Stranded",
            Refusal::CharterStays => "CharterStays",
            Refusal::NoReason => "NoReason",
            Refusal::Header(_) => "Header",
            Refusal::SameButCase { .. } => "SameButCase",
            Refusal::PrivateStays => "PrivateStays",
            Refusal::EvidenceErased { .. } => "EvidenceErased",
            Refusal::ErasureStays => "ErasureStays",
        }
        .to_owned(),
        other => other.to_string(),
    }
}

/// Every row of every table and view but SQLite's own and those beside the chain, as one line a
/// row: what a plain tool sees.
pub fn dump(path: &Path) -> Vec<String> {
    let conn = Connection::open(path).expect("a plain connection");
    let mut tables: Vec<String> = conn
        .prepare("SELECT name FROM sqlite_schema WHERE type IN ('table', 'view') ORDER BY name")
        .and_then(|mut it| it.query_map([], |row| row.get(0))?.collect())
        .expect("the names of the tables");
    // What stands beside the chain belongs to one file and not to what it says.
    tables.retain(|name| {
        !name.starts_with("sqlite_") && !["last_write", "anchor"].contains(&name.as_str())
    });
    let mut lines = Vec::new();
    for table in tables {
        let mut statement = conn
            .prepare(&format!("SELECT * FROM {table}"))
            .expect("rows");
        let width = statement.column_count();
        let mut rows = statement.query([]).expect("rows");
        let first = lines.len();
        while let Some(row) = rows.next().expect("a row") {
            let cells: Vec<String> = (0..width)
                .map(|at| format!("{:?}", row.get::<_, Value>(at).expect("a cell")))
                .collect();
            lines.push(format!("{table}: {}", cells.join(" | ")));
        }
        lines[first..].sort();
    }
    lines
}

/// Fails with the first line in which two dumps differ, and not with both.
pub fn assert_same(found: &[String], wanted: &[String], what: &str) {
    if found != wanted {
        let unequal = found.iter().zip(wanted).find(|(a, b)| a != b);
        panic!(
            "{what}: {} and {} lines\n{unequal:#?}",
            found.len(),
            wanted.len()
        );
    }
}

/// The name of what went wrong.
pub fn error_name(error: &LedgerError) -> &'static str {
    match error {
        LedgerError::Missing { .. } => "Missing",
        LedgerError::Exists { .. } => "Exists",
        LedgerError::NotALedger { .. } => "NotALedger",
        LedgerError::Newer { .. } => "Newer",
        LedgerError::NeedsUpgrade => "NeedsUpgrade",
        LedgerError::Stopped => "Stopped",
        LedgerError::NeverStill { .. } => "NeverStill",
        LedgerError::Copying { .. } => "Copying",
        LedgerError::InTheWay { .. } => "InTheWay",
        LedgerError::NoCopy { .. } => "NoCopy",
        LedgerError::Busy { .. } => "Busy",
        LedgerError::ReadOnly => "ReadOnly",
        LedgerError::DiskFull => "DiskFull",
        LedgerError::System { .. } => "System",
        LedgerError::CutShort { .. } => "CutShort",
        LedgerError::Damaged { .. } => "Damaged",
        LedgerError::OtherWriter => "OtherWriter",
        LedgerError::OtherJournal { .. } => "OtherJournal",
        LedgerError::Altered { .. } => "Altered",
        LedgerError::Unsound { .. } => "Unsound",
        LedgerError::Lying { .. } => "Lying",
        LedgerError::NoSeal { .. } => "NoSeal",
        LedgerError::Refused(_) => "Refused",
        LedgerError::Unreadable { .. } => "Unreadable",
        LedgerError::File { .. } => "File",
        LedgerError::BadExport { .. } => "BadExport",
        LedgerError::BeingWritten { .. } => "BeingWritten",
        LedgerError::Unfinished { .. } => "Unfinished",
        LedgerError::Sqlite(_) => "Sqlite",
    }
}

/// Count and hash of the last of these exported lines, as somebody would have noted them down.
pub fn seal_of(lines: &str) -> Option<(i64, Hash)> {
    let last: serde_json::Value = serde_json::from_str(lines.lines().last()?).ok()?;
    Some((last["seq"].as_i64()?, Hash::parse(last["hash"].as_str()?)?))
}

/// An entry that fits the chain, as somebody with the recipe of `entry_hash_v1.py` would put it
/// in with another tool.
pub fn chained(conn: &Connection, kind: &str, body: &str) {
    use sha2::{Digest, Sha256};
    let (seq, previous): (i64, Vec<u8>) = conn
        .query_row(
            "SELECT seq, hash FROM entry ORDER BY seq DESC LIMIT 1",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
        .expect("the newest entry");
    let seq = seq + 1;
    let at = "2026-03-01T12:00:00Z";
    let mut sha = Sha256::new();
    sha.update(b"wearbook entry v1\0");
    sha.update(previous);
    let number = |it: i64| it.to_le_bytes().to_vec();
    let text = |it: &str| [number(it.len() as i64), it.as_bytes().to_vec()].concat();
    for part in [number(seq), number(seq), text(kind), number(1), text(at)] {
        sha.update(part);
    }
    for part in [text("x"), text("x"), vec![0, 0, 0, 1], text(body)] {
        sha.update(part);
    }
    let hash: [u8; 32] = sha.finalize().into();
    conn.execute(
        "INSERT INTO entry VALUES (?1, ?1, ?2, 1, ?3, 'x', 'x', NULL, NULL, 0, ?4, ?5)",
        (seq, kind, at, body, &hash[..]),
    )
    .expect("an entry");
}

/// The names in a folder, in order.
pub fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(dir)
        .expect("the folder")
        .map(|it| {
            it.expect("a file")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

/// A new ledger of two entries.
pub fn create(path: &Path) -> Result<Ledger, LedgerError> {
    Ledger::create(path, &author(), first_instant(), charter(), adoption())
}

/// A ledger of the released form 1, older derived tables and all.
const SCHEMA_V1: &str = include_str!("../reference/schema_v1.sql");

/// A file with the dump in it.
pub fn of_form_1(dir: &Path) -> PathBuf {
    let path = dir.join("old.db");
    Connection::open(&path)
        .and_then(|conn| conn.execute_batch(SCHEMA_V1))
        .expect("the dump");
    path
}

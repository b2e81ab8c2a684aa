//! Keeping the ledger: verified copies, exports that anybody can read, and the
//! way back from one.

use std::fs::File;
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::backup::{Backup, StepResult};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, TransactionBehavior};
use serde_json::{Map, Value};

use super::append::{Author, Writer};
use super::chain::Hash;
use super::entry::{Entry, Instant};
use super::open::begin_building;
use super::tally::Tally;
use super::verify::{ChainCheck, Verification, link_of};
use super::{Ledger, LedgerError, derive, migrate};

/// What a backup did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackupReport {
    /// The copy.
    pub path: PathBuf,
    /// The verification of the copy: in full, or of an older form its chain.
    pub verified: Verification,
}

/// What an export wrote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExportReport {
    /// The files with their number of rows.
    pub files: Vec<(PathBuf, i64)>,
}

/// What a restore made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RestoreReport {
    /// How many entries.
    pub count: i64,
    /// The hash of the newest.
    pub head: Hash,
}

fn file_error(path: &Path) -> impl FnOnce(std::io::Error) -> LedgerError + '_ {
    |source| LedgerError::File {
        path: path.to_owned(),
        source,
    }
}

impl Ledger {
    /// Copies the ledger while others may read and write it, then verifies the
    /// copy, in full where its form is the current one: a ledger is backed up
    /// before it is upgraded. The copy appears under its name only when it is sound.
    pub fn backup(&self, to: &Path) -> Result<BackupReport, LedgerError> {
        let building = begin_building(to)?;
        let copied = self.copy_to(&building).and_then(|verified| {
            if verified.faults.is_empty() {
                std::fs::rename(&building, to).map_err(file_error(to))?;
            }
            Ok(verified)
        });
        match copied {
            Ok(verified) if verified.faults.is_empty() => Ok(BackupReport {
                path: to.to_owned(),
                verified,
            }),
            other => {
                // Best effort: what matters is the first error.
                let _ = std::fs::remove_file(&building);
                other.map(|verified| BackupReport {
                    path: to.to_owned(),
                    verified,
                })
            }
        }
    }

    fn copy_to(&self, to: &Path) -> Result<Verification, LedgerError> {
        const PAGES_A_STEP: i32 = 2048;
        const MOST_WAITS: u32 = 100;
        let mut copy = Connection::open(to)?;
        {
            let backup = Backup::new(&self.conn, &mut copy)?;
            let mut waits = 0;
            self.tally.begin("copying", 0);
            loop {
                let step = backup.step(PAGES_A_STEP)?;
                let pages = backup.progress();
                if let (Ok(all), Ok(left)) = (
                    u64::try_from(pages.pagecount),
                    u64::try_from(pages.remaining),
                ) {
                    self.tally.begin("copying", all);
                    self.tally.reach(all.saturating_sub(left));
                }
                match step {
                    StepResult::Done => break,
                    StepResult::More => {}
                    _ if waits < MOST_WAITS => {
                        waits += 1;
                        std::thread::sleep(Duration::from_millis(50));
                    }
                    _ => return Err(LedgerError::Busy { waited_s: 5 }),
                }
            }
        }
        drop(copy);
        let mut copy = Ledger::open_any_form(to)?;
        copy.watch(self.tally.clone());
        let full = !migrate::needs_upgrade(&copy.conn)?;
        copy.verify(None, full)
    }

    /// Writes every entry as one line of JSON, in order. `restore` makes an
    /// identical ledger from it.
    pub fn export_entries(&self, to: &Path) -> Result<i64, LedgerError> {
        let tx = self.conn.unchecked_transaction()?;
        export_entries(&tx, to)
    }

    /// Writes the rows in force, one CSV file a table, and all entries as
    /// `entries.jsonl`, into an empty folder. All files show one moment, also
    /// while others write.
    pub fn export(&self, dir: &Path) -> Result<ExportReport, LedgerError> {
        std::fs::create_dir_all(dir).map_err(file_error(dir))?;
        let tx = self.conn.unchecked_transaction()?;
        let mut files = Vec::new();
        for table in derive::all_tables() {
            if matches!(table, "former_key" | "clock_step") {
                continue;
            }
            let path = dir.join(format!("{table}.csv"));
            let rows = export_table(&tx, table, &path)?;
            files.push((path, rows));
        }
        let path = dir.join("entries.jsonl");
        let count = export_entries(&tx, &path)?;
        files.push((path, count));
        Ok(ExportReport { files })
    }

    /// Makes a ledger from an export of entries. A line that does not fit the
    /// chain is refused, and no file is left.
    pub fn restore(from: &Path, to: &Path, now: Instant) -> Result<RestoreReport, LedgerError> {
        Ledger::restore_watched(from, to, now, &Tally::default())
    }

    /// [`Ledger::restore`] for somebody who watches.
    pub fn restore_watched(
        from: &Path,
        to: &Path,
        now: Instant,
        tally: &Tally,
    ) -> Result<RestoreReport, LedgerError> {
        let building = begin_building(to)?;
        let restored = restore_into(from, &building, now, tally).and_then(|report| {
            std::fs::rename(&building, to).map_err(file_error(to))?;
            Ok(report)
        });
        if restored.is_err() {
            // Best effort: what matters is the first error.
            let _ = std::fs::remove_file(&building);
        }
        restored
    }
}

fn export_entries(conn: &Connection, to: &Path) -> Result<i64, LedgerError> {
    let mut out = BufWriter::new(File::create_new(to).map_err(file_error(to))?);
    let sql = format!("SELECT {} FROM entry ORDER BY seq", Entry::COLUMNS);
    let mut statement = conn.prepare(&sql)?;
    let mut rows = statement.query([])?;
    let mut count = 0;
    while let Some(row) = rows.next()? {
        let entry = Entry::from_row(row)?;
        writeln!(out, "{}", entry_to_json(&entry)).map_err(file_error(to))?;
        count += 1;
    }
    out.flush().map_err(file_error(to))?;
    Ok(count)
}

fn export_table(conn: &Connection, table: &str, to: &Path) -> Result<i64, LedgerError> {
    let in_force = if table == "record" {
        "voided = 0"
    } else {
        "ended_by IS NULL"
    };
    let sql = format!("SELECT * FROM {table} WHERE {in_force} ORDER BY 1, 2, 3");
    let mut statement = conn.prepare(&sql)?;
    let names: Vec<String> = statement.column_names().map(str::to_owned).collect();
    let csv_error = |error: csv::Error| LedgerError::File {
        path: to.to_owned(),
        source: std::io::Error::other(error.to_string()),
    };
    let file = File::create_new(to).map_err(file_error(to))?;
    let mut out = csv::Writer::from_writer(BufWriter::new(file));
    out.write_record(&names).map_err(csv_error)?;
    let mut rows = statement.query([])?;
    let mut count = 0;
    while let Some(row) = rows.next()? {
        for column in 0..names.len() {
            let cell = match row.get_ref(column)? {
                ValueRef::Integer(number) => number.to_string(),
                ValueRef::Text(text) => String::from_utf8_lossy(text).into_owned(),
                _ => String::new(),
            };
            out.write_field(cell).map_err(csv_error)?;
        }
        out.write_record(None::<&[u8]>).map_err(csv_error)?;
        count += 1;
    }
    out.flush().map_err(file_error(to))?;
    Ok(count)
}

fn restore_into(
    from: &Path,
    to: &Path,
    now: Instant,
    tally: &Tally,
) -> Result<RestoreReport, LedgerError> {
    let file = File::open(from).map_err(file_error(from))?;
    let bytes = file.metadata().map_or(0, |it| it.len());
    tally.begin("taking over the entries", bytes);
    let mut read = 0;
    let mut ledger = Ledger::create_empty(to)?;
    let tx = ledger
        .conn
        .transaction_with_behavior(TransactionBehavior::Immediate)?;
    let author = Author {
        name: String::new(),
        os_user: String::new(),
    };
    let mut check = ChainCheck::default();
    {
        let mut writer = Writer::begin(&tx, &author, now)?;
        for (at, line) in BufReader::new(file).lines().enumerate() {
            let bad = |detail: String| LedgerError::BadExport {
                path: from.to_owned(),
                line: at + 1,
                detail,
            };
            let line = line.map_err(|error| bad(error.to_string()))?;
            read += u64::try_from(line.len()).unwrap_or(0) + 1;
            tally.reach(read);
            let entry = entry_from_json(&line).map_err(bad)?;
            check.next(&link_of(&entry), &entry.hash);
            if let Some(fault) = check.faults.first() {
                return Err(bad(format!("entry {}: {}", entry.seq, fault.what)));
            }
            writer.take_over(&entry)?;
        }
    }
    if check.count == 0 {
        return Err(LedgerError::BadExport {
            path: from.to_owned(),
            line: 1,
            detail: "there is no entry in it".to_owned(),
        });
    }
    derive::rebuild(&tx, tally)?;
    tx.commit()?;
    Ok(RestoreReport {
        count: check.count,
        head: check.head,
    })
}

fn entry_to_json(entry: &Entry) -> Value {
    let mut map = Map::new();
    map.insert("seq".into(), entry.seq.into());
    map.insert("record".into(), entry.record.into());
    map.insert("kind".into(), entry.kind.clone().into());
    map.insert("version".into(), entry.version.into());
    map.insert("written_at".into(), entry.written_at.clone().into());
    map.insert("written_by".into(), entry.written_by.clone().into());
    map.insert("os_user".into(), entry.os_user.clone().into());
    map.insert("ends".into(), entry.ends.into());
    map.insert("reason".into(), entry.reason.clone().into());
    map.insert("transcribed".into(), entry.transcribed.into());
    map.insert("body".into(), entry.body.clone().into());
    map.insert("hash".into(), entry.hash.to_string().into());
    Value::Object(map)
}

fn entry_from_json(line: &str) -> Result<Entry, String> {
    let value: Value = serde_json::from_str(line).map_err(|error| error.to_string())?;
    let number = |name: &str| {
        value
            .get(name)
            .and_then(Value::as_i64)
            .ok_or_else(|| format!("`{name}` is not a number"))
    };
    let text = |name: &str| {
        value
            .get(name)
            .and_then(Value::as_str)
            .map(str::to_owned)
            .ok_or_else(|| format!("`{name}` is not a text"))
    };
    let present = |name: &str| value.get(name).is_some_and(|it| !it.is_null());
    Ok(Entry {
        seq: number("seq")?,
        record: number("record")?,
        kind: text("kind")?,
        version: number("version")?,
        written_at: text("written_at")?,
        written_by: text("written_by")?,
        os_user: text("os_user")?,
        ends: if present("ends") {
            Some(number("ends")?)
        } else {
            None
        },
        reason: if present("reason") {
            Some(text("reason")?)
        } else {
            None
        },
        transcribed: value
            .get("transcribed")
            .and_then(Value::as_bool)
            .ok_or("`transcribed` is not true or false")?,
        body: if present("body") {
            Some(text("body")?)
        } else {
            None
        },
        hash: Hash::parse(&text("hash")?).ok_or("`hash` is not a SHA-256 digest")?,
    })
}

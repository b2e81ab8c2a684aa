//! `wearbook ledger ...`

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::calendar::CalendarVerb;
use super::copies::CopiesArgs;
use super::rules::read_rule_set;
use crate::calendar::{Day, Zone};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{ShowArgs, WriteArgs, mode};
use crate::cli::frame::folder::no_file_name;
use crate::cli::frame::session::Session;
use crate::ledger::{Hash, KnownAt, Ledger, LedgerError, Mode, head_text};
use crate::record::{Adoption, Charter, ClockType};
use crate::rule::Tells;
use crate::show::{Report, verification_report};

#[derive(Debug, Subcommand)]
pub(crate) enum LedgerVerb {
    /// Make a new ledger
    ///
    /// Example: wearbook ledger new --license 99-1234 --licensee "Our Firm" --site "Tulsa"
    /// --zone America/Chicago --rso "Ada Example"
    New(InitArgs),
    /// Check the chain of entries; with --full also the tables that doses are counted from
    ///
    /// Example: wearbook ledger verify --full
    Verify {
        /// Entry count and hash that you hold, as COUNT:HASH
        #[arg(long, value_name = "COUNT:HASH")]
        expect: Option<String>,
        /// Also rebuild the tables beside the file, compare, and check the file
        #[arg(long)]
        full: bool,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Fill the derived tables anew from the entries, which must fit their chain
    ///
    /// What others added to the file goes: tables, views, triggers, indexes.
    ///
    /// Example: wearbook ledger rebuild
    Rebuild {
        /// Entry count and hash that somebody holds, where the tables know of later entries
        #[arg(long, value_name = "COUNT:HASH")]
        expect: Option<String>,
    },
    /// Bring an older ledger to this program's form
    ///
    /// Example: wearbook ledger upgrade
    Upgrade,
    /// Write a verified copy while others may go on
    ///
    /// Example: wearbook ledger backup copies/2026-06-05.db
    Backup {
        /// The copy
        file: PathBuf,
    },
    /// Keep verified copies in a folder, one a day, while others write; or try the newest
    ///
    /// A copy is named by ledger and day. Only copies of this ledger's own past are ever deleted:
    /// other files, links and other ledgers' copies stay. The board says how old the newest is.
    ///
    /// Example: wearbook ledger copies --dir /mnt/copies --keep 30
    Copies(CopiesArgs),
    /// Make, list and end addresses of the page that calendar programs may subscribe to
    #[command(subcommand)]
    Calendar(CalendarVerb),
    /// Write every table as CSV and all entries as one JSON-lines file
    ///
    /// Example: wearbook ledger export june
    Export {
        /// The folder; files in it are never overwritten
        dir: PathBuf,
    },
    /// Make an identical ledger from exported entries
    ///
    /// Example: wearbook ledger restore june/entries.jsonl --ledger again.db
    Restore {
        /// The entries.jsonl of an export
        file: PathBuf,
        /// Entry count and hash that you hold; needed for an export without its seal
        #[arg(long, value_name = "COUNT:HASH")]
        expect: Option<String>,
    },
    /// Print the entry count and head hash
    ///
    /// Example: wearbook ledger seal
    Seal,
}

#[derive(Debug, Args)]
pub(crate) struct InitArgs {
    /// License number
    #[arg(long, alias = "licence")]
    pub license: String,
    /// Whom the license names
    #[arg(long)]
    pub licensee: String,
    /// Place of the office
    #[arg(long)]
    pub site: String,
    /// IANA time zone of the ledger's days
    #[arg(long)]
    pub zone: String,
    /// Name of the first radiation safety officer
    #[arg(long)]
    pub rso: String,
    /// Unit of bare doses and of tables: mrem, mSv or uSv [default: the rule set's own]
    #[arg(long)]
    pub unit: Option<String>,
    /// Built-in rule set (10 CFR, Canada, EU or IAEA), or a rule set file
    #[arg(long, default_value = "10 CFR")]
    pub rule_set: String,
    /// Whose license it is, as jobs name it: NRC, or a state [default: as the rule set says]
    #[arg(long, value_name = "NAME")]
    pub jurisdiction: Option<String>,
    /// First day of the rule set [default: 1 January five years ago]
    #[arg(long, value_name = "DATE")]
    pub from: Option<String>,
    #[command(flatten)]
    pub write: WriteArgs,
}

pub(crate) fn run(session: &mut Session<'_>, verb: LedgerVerb) -> Result<(), Failure> {
    match verb {
        LedgerVerb::New(args) => init(session, &args),
        LedgerVerb::Verify { expect, full, show } => {
            let expect = expect.as_deref().map(read_expect).transpose()?;
            verify(session, expect, full, &show)
        }
        LedgerVerb::Rebuild { expect } => {
            let expect = expect.as_deref().map(read_expect).transpose()?;
            let mut ledger = Ledger::open_to_verify(&session.ledger_path)?;
            session.note_clock(&ledger);
            let watched = session.watch();
            ledger.watch(watched.tally.clone());
            let (count, mended) = ledger.rebuild(expect)?;
            drop(watched);
            let mut report = Report::new(format!(
                "tables made anew from {}",
                crate::text::counted(count, "entry", "entries")
            ));
            for it in mended {
                report.under(it);
            }
            session.output.report(report)
        }
        LedgerVerb::Upgrade => {
            let mut ledger = Ledger::open_any_form(&session.ledger_path)?;
            let watched = session.watch();
            ledger.watch(watched.tally.clone());
            let done = ledger.upgrade()?;
            drop(watched);
            let words = if done {
                "upgraded: the entries are as they were, the tables are made anew"
            } else {
                "the ledger has the current form already"
            };
            session.output.report(Report::new(words))
        }
        LedgerVerb::Backup { file } => backup(session, &file),
        LedgerVerb::Copies(args) => super::copies::run(session, &args),
        LedgerVerb::Calendar(verb) => super::calendar::run(session, verb),
        LedgerVerb::Export { dir } => export(session, &dir),
        LedgerVerb::Restore { file, expect } => {
            let expect = expect.as_deref().map(read_expect).transpose()?;
            restore(session, &file, expect)
        }
        LedgerVerb::Seal => {
            let ledger = Ledger::open(&session.ledger_path)?;
            let (count, head) = ledger
                .read_unwatched(KnownAt::Now, |snapshot| snapshot.head())
                .map_err(|error: LedgerError| Failure::from(error))?;
            session
                .output
                .raw(&format!("{}\n", head_text(count, &head)))
        }
    }
}

fn verify(
    session: &mut Session<'_>,
    expect: Option<(i64, Hash)>,
    full: bool,
    show: &ShowArgs,
) -> Result<(), Failure> {
    let mut ledger = Ledger::open_to_verify(&session.ledger_path)?;
    session.note_clock(&ledger);
    let watched = session.watch();
    ledger.watch(watched.tally.clone());
    let found = ledger.verify(expect, full)?;
    drop(watched);
    // A wrong clock is no tampering: it is mentioned and fails nothing.
    let clocks = match found.faults.is_empty() {
        true => session.ask(None, |house| Ok(house.clock_lines())),
        false => Ok(Vec::new()),
    };
    let clocks = clocks.unwrap_or_default();
    let (checked, not_checked): (&[&str], &[&str]) = match full {
        true => (&["chain", "form", "tables", "file"], &[]),
        false => (&["chain", "form"], &["tables", "file"]),
    };
    let plain = serde_json::json!({
        "entries": found.count,
        "head": found.head.to_string(),
        "full": found.full,
        "checked": checked,
        "not_checked": not_checked,
        "other_writer": found.other_writer,
        "faults": found.faults.iter().map(|it| serde_json::json!({
            "entry": it.entry, "what": it.what,
        })).collect::<Vec<_>>(),
        "clock_doubted": clocks,
    });
    session.answer(show, "ledger verify", &plain, |_| {
        let mut report = verification_report(&found);
        for it in &clocks {
            report.line(format!("clock: {it}"));
        }
        report
    })?;
    if !found.faults.is_empty() {
        return Err(Failure::NotVerified);
    }
    Ok(ledger.accept(&found)?)
}

fn read_expect(text: &str) -> Result<(i64, Hash), Failure> {
    let right = "the count and the 64 hexadecimal digits that `wearbook ledger seal` printed";
    let bad = || Failure::flag("expect", format!("`{text}` is not COUNT:HASH"), right);
    let (count, hash) = text.split_once(':').ok_or_else(bad)?;
    let count: i64 = count.parse().map_err(|_| bad())?;
    Ok((count, Hash::parse(hash).ok_or_else(bad)?))
}

fn init(session: &mut Session<'_>, args: &InitArgs) -> Result<(), Failure> {
    let now = session.clock.now();
    let (rule_set, text) = read_rule_set(&args.rule_set)?;
    let zone = Zone::parse(&args.zone).map_err(|error| {
        Failure::flag(
            "zone",
            error,
            "a name of the IANA list, such as America/Chicago",
        )
    })?;
    let from = match &args.from {
        Some(text) => failure::day("from", text)?,
        None => first_day(zone.local_day(now)),
    };
    let clock = if session.clock.is_scripted() {
        ClockType::Scripted
    } else {
        ClockType::System
    };
    let path = session.ledger_path.clone();
    let unit = match &args.unit {
        Some(unit) => unit.clone(),
        None => rule_set.unit.symbol().to_owned(),
    };
    let charter = Charter {
        clock,
        first_rso: args.rso.clone(),
        jurisdiction: args.jurisdiction.clone(),
        ledger_id: ledger_id(&path, now, args),
        licence: args.license.clone(),
        licensee: args.licensee.clone(),
        site: args.site.clone(),
        unit,
        zone: args.zone.clone(),
    };
    let adoption = Adoption {
        from,
        name: rule_set.key.clone(),
        reason: None,
        text,
    };
    let author = session.author(args.write.by.as_deref());
    if mode(args.write.dry_run) == Mode::Rehearse {
        return session.output.report(Report::new(format!(
            "dry run: {} would be made, with the rule set {} from {from}",
            path.display(),
            rule_set.key
        )));
    }
    let ledger = Ledger::create(&path, &author, now, charter, adoption)?;
    session.output.scripted = clock == ClockType::Scripted;
    let (count, head) = ledger
        .read(KnownAt::Now, |snapshot| snapshot.head())
        .map_err(|error: LedgerError| Failure::from(error))?;
    let mut report = Report::new(format!("{} is ready", path.display()));
    report.line(format!("rule set {} in force from {from}", rule_set.key));
    match (&args.jurisdiction, rule_set.jurisdiction()) {
        (Some(own), _) => report.line(format!("license under {own}")),
        (None, Some(own)) => report.line(format!(
            "license under {own}, as the rule set says; under another: wearbook entry correct 1 \
             jurisdiction=NAME --reason WHY"
        )),
        (None, None) => {}
    }
    report.line(format!("ledger seal {}", head_text(count, &head)));
    report.line("next: wearbook worker add, job add, instrument add, equipment add");
    let held = rule_set.for_license(args.jurisdiction.as_deref());
    report.caution(held.caution_of(Tells::Both));
    session.output.report(report)
}

/// The first day of a rule set where nobody says it: prior doses and five-year windows reach back
/// before the ledger.
fn first_day(today: Day) -> Day {
    use chrono::Datelike;
    Day::from_ymd_opt(today.year() - 5, 1, 1).unwrap_or(today)
}

/// A name of this ledger: a digest of when, where and whose. It tells two
/// ledgers apart; it is no secret.
fn ledger_id(path: &Path, now: crate::ledger::Instant, args: &InitArgs) -> String {
    use sha2::{Digest, Sha256};
    // A scripted ledger gets the same id wherever it is built.
    let mut sha = Sha256::new();
    sha.update(now.to_rfc3339());
    sha.update([0]);
    sha.update(path.file_name().unwrap_or_default().as_encoded_bytes());
    for text in [&args.license, &args.licensee, &args.site, &args.rso] {
        sha.update([0]);
        sha.update(text);
    }
    let digest = Hash(sha.finalize().into()).to_string();
    digest.chars().take(16).collect()
}

fn backup(session: &mut Session<'_>, file: &Path) -> Result<(), Failure> {
    let mut ledger = Ledger::open_any_form(&session.ledger_path)?;
    session.note_clock(&ledger);
    let now = session.clock.now();
    let watched = session.watch();
    ledger.watch(watched.tally.clone());
    let done = ledger.backup(file, now)?;
    drop(watched);
    let mut report = verification_report(&done.verified);
    if let Some(error) = &done.not_noted {
        report.line(format!("not noted in the ledger: {error}"));
    }
    let sound = done.verified.faults.is_empty();
    report.heading = if sound {
        format!("{} is a verified copy", file.display())
    } else {
        format!("no copy was kept: {}", report.heading)
    };
    session.output.report(report)?;
    if sound {
        Ok(())
    } else {
        Err(Failure::NotVerified)
    }
}

fn export(session: &mut Session<'_>, dir: &Path) -> Result<(), Failure> {
    let ledger = session.open()?;
    no_file_name(dir)?;
    let done = ledger.export(dir, session.clock.now())?;
    let mut report = Report::new(format!("exported to {}", dir.display()));
    for (path, rows) in &done.files {
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        report.under(format!(
            "{name}: {}",
            crate::text::counted(rows, "row", "rows")
        ));
    }
    let seal = head_text(done.count, &done.head);
    report.line(format!("entries and seal {seal}"));
    if let Some(error) = &done.not_noted {
        report.line(format!("not noted in the ledger: {error}"));
    }
    if done.evidence > 0 {
        let count = crate::text::counted(done.evidence, "photo or paper", "photos and papers");
        report.line(format!(
            "evidence: {count}; keep the folder beside entries.jsonl"
        ));
    }
    report.line("what is private is not in it (wearbook private); a backup has it");
    if done.chained_private > 0 {
        report.line(format!(
            "entries in entries.jsonl that mention declared pregnancies, chained by an older \
             program: {}; that file stays in the office",
            done.chained_private
        ));
    }
    report
        .line("entries.jsonl makes an identical ledger: wearbook ledger restore FILE --ledger NEW");
    session.output.report(report)
}

fn restore(
    session: &mut Session<'_>,
    file: &Path,
    expect: Option<(i64, Hash)>,
) -> Result<(), Failure> {
    let now = session.clock.now();
    let path = session.ledger_path.clone();
    let watched = session.watch();
    let done = Ledger::restore_watched(file, &path, (now, expect), &watched.tally)?;
    drop(watched);
    session.open()?;
    let mut report = Report::new(format!("{} is restored", path.display()));
    report.line(format!("ledger seal {}", head_text(done.count, &done.head)));
    if done.not_carried > 0 {
        let count = crate::text::counted(done.not_carried, "photo or paper", "photos and papers");
        report.line(format!(
            "not carried: {count}; the folder `evidence` of the export belongs beside entries.jsonl"
        ));
    }
    session.output.report(report)
}

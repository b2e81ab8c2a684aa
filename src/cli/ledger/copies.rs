//! `wearbook ledger copies`, and the copy a day of a server.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use clap::Args;

use super::ledger_words::ledger_words;
use crate::calendar::{Day, Zone};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::{Session, SharedClock};
use crate::ledger::{
    CopyAsked, CopyReport, Drill, FoundCopy, Instant, KnownAt, Ledger, LedgerError, Pace,
    TriedCopy, head_text,
};
use crate::record::Charter;
use crate::show::{Report, verification_report};
use crate::text::counted;

/// How many are kept where nobody says.
pub(crate) const KEEP: u16 = 30;

/// `wearbook ledger copies`
#[derive(Debug, Args)]
pub(crate) struct CopiesArgs {
    /// The folder of the copies; it must be there
    #[arg(long, value_name = "DIR")]
    dir: PathBuf,
    /// How many copies of this ledger stay in it
    #[arg(long, value_name = "N", default_value_t = KEEP,
          value_parser = clap::value_parser!(u16).range(1..))]
    keep: u16,
    /// Make none: open the newest, verify it in full, and compare its seal with this ledger
    #[arg(long)]
    drill: bool,
    /// Make none: forget the folder, so that the board speaks of it no more; its files stay
    #[arg(long, conflicts_with_all = ["drill", "keep"])]
    forget: bool,
}

pub(crate) fn run(session: &mut Session<'_>, args: &CopiesArgs) -> Result<(), Failure> {
    let mut ledger = session.open()?;
    let now = session.clock.now();
    if args.forget {
        return forget(session, &ledger, &args.dir);
    }
    let watched = session.watch();
    ledger.watch(watched.tally.clone());
    if args.drill {
        let drill = ledger.drill(&args.dir, now);
        drop(watched);
        let drill = drill.map_err(|error| refused(&args.dir, &error))?;
        session.output.report(drill_report(&drill, &args.dir))?;
        return match drill.newest.is_good() {
            true => Ok(()),
            false => Err(Failure::NotVerified),
        };
    }
    let day = day_of(&ledger, now)?;
    let done = copy(
        &ledger,
        (&args.dir, usize::from(args.keep)),
        (day, now),
        None,
    );
    drop(watched);
    let done = done.map_err(|error| refused(&args.dir, &error))?;
    let sound = done.made.as_ref().is_none_or(|it| it.faults.is_empty());
    session.output.report(copy_report(&done, args.keep))?;
    match sound {
        true => Ok(()),
        false => Err(Failure::NotVerified),
    }
}

/// Forgets a folder that holds copies no more, or never did.
fn forget(session: &mut Session<'_>, ledger: &Ledger, dir: &Path) -> Result<(), Failure> {
    if ledger.forget_copies(dir)? {
        let mut report = Report::new(format!("{} is forgotten", dir.display()));
        report.line("The board speaks of it no more. No file of it was touched.");
        report.line("A copy that is made there makes it known again.");
        return session.output.report(report);
    }
    let known = ledger.read(KnownAt::Now, |it| it.copy_folders())?;
    let known: Vec<String> = known
        .iter()
        .map(|it| format!("`{}`", it.folder.display()))
        .collect();
    Err(Failure::Refused {
        what: format!("`{}` is no folder of copies that is known", dir.display()),
        hint: match known.is_empty() {
            true => "none is known".to_owned(),
            false => format!("known are {}", known.join(", ")),
        },
    })
}

/// The day that it is at the ledger's place.
fn day_of(ledger: &Ledger, now: Instant) -> Result<Day, LedgerError> {
    let charter = ledger.read(KnownAt::Now, |it| it.all::<Charter>())?;
    let zone = charter
        .first()
        .and_then(|it| Zone::parse(&it.body.zone).ok());
    Ok(zone.map_or_else(|| now.date_naive(), |zone| zone.local_day(now)))
}

/// Makes a copy; why there is none stands in the ledger then.
fn copy(
    ledger: &Ledger,
    (folder, keep): (&Path, usize),
    (day, now): (Day, Instant),
    stop: Option<&AtomicBool>,
) -> Result<CopyReport, LedgerError> {
    let asked = CopyAsked {
        folder,
        keep,
        day,
        now,
        pace: Pace {
            stop,
            ..Pace::default()
        },
    };
    let done = ledger.copy_into(&asked);
    let why = match &done {
        Err(LedgerError::Stopped | LedgerError::Copying { .. }) => None,
        Err(error) => Some(words(folder, error).0),
        Ok(done) => {
            let made = done.made.as_ref();
            let is_unsound = made.is_some_and(|it| !it.faults.is_empty());
            is_unsound.then(|| "the copy does not verify: wearbook ledger verify --full".to_owned())
        }
    };
    if let Some(why) = why {
        // Best effort: what matters is why there is no copy, which is said where it was asked for.
        let _ = ledger.note_no_copy(folder, &why, now);
    }
    done
}

fn name(path: &Path) -> String {
    path.file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

fn copy_report(done: &CopyReport, keep: u16) -> Report {
    let mut report = match &done.made {
        Some(verified) if !verified.faults.is_empty() => {
            let mut report = verification_report(verified);
            report.heading = format!("no copy was kept: {}", report.heading);
            report.line("The copies that were there before are as they were.");
            return report;
        }
        Some(verified) => {
            let mut report = Report::new(format!("{} is a verified copy", done.path.display()));
            let seal = head_text(verified.count, &verified.head);
            report.line(format!("entries and seal {seal}"));
            report
        }
        None => Report::new(format!(
            "{} has everything already; no copy was made",
            done.path.display()
        )),
    };
    report.line(format!(
        "kept: {} of this ledger, at most {keep}",
        counted(done.kept.len(), "copy", "copies")
    ));
    for it in &done.deleted {
        report.under(format!("deleted, the oldest: {}", name(it)));
    }
    for it in &done.left {
        report.under(left_words(it));
    }
    if let Some(error) = &done.not_noted {
        report.line(format!("not noted in the ledger: {error}"));
    }
    report.line("PINs and calendar addresses stay behind. To try it: the same with --drill");
    report
}

fn left_words(it: &FoundCopy) -> String {
    let what = match it.kind {
        crate::ledger::CopyKind::OtherHistory => "has a history that this ledger does not have",
        _ => "is no copy of this ledger",
    };
    format!("{} {what}; it stays as it is", name(&it.path))
}

/// What is wrong with a copy that does not stand the drill.
fn wrong_words(it: &TriedCopy) -> String {
    match &it.verified {
        Err(error) => ledger_words(error).0,
        Ok(verified) if !verified.faults.is_empty() => verification_report(verified).heading,
        Ok(_) => "it has a seal that this ledger never had".to_owned(),
    }
}

fn drill_report(drill: &Drill, dir: &Path) -> Report {
    let it = &drill.newest;
    let mut report = match &it.verified {
        Ok(verified) => verification_report(verified),
        Err(_) => Report::new(""),
    };
    let path = it.path.display();
    report.heading = match it.is_good() {
        true => format!("{path} stands the drill: somebody could go on with it"),
        false => format!("{path}, the newest copy, is NOT GOOD: {}", wrong_words(it)),
    };
    if it.in_history {
        report.line(match it.behind {
            0 => "its seal is this ledger's own; nothing is missing in it".to_owned(),
            more => format!(
                "its seal is this ledger's at that count; {} came later",
                counted(more, "entry", "entries")
            ),
        });
    }
    if it.verified.as_ref().is_ok_and(|it| !it.full) {
        report.line("it has an older form: its chain was verified, its tables were not");
    }
    if let Some(error) = &drill.not_noted {
        report.line(format!("not noted in the ledger: {error}"));
    }
    match it.is_good() {
        true => report.line(
            "to go on with it: copy the file to the ledger's place, and set the PINs anew \
             (wearbook worker pin ID)",
        ),
        false => after_bad(&mut report, drill, dir),
    }
    report
}

/// Which other copy is good, and what to do about one that is not.
fn after_bad(report: &mut Report, drill: &Drill, dir: &Path) {
    report.gap();
    for it in &drill.older {
        let name = name(&it.path);
        report.line(match it.is_good() {
            true => format!(
                "{name} is the newest good one: {} of this ledger came after it",
                counted(it.behind, "entry", "entries")
            ),
            false => format!("{name}, older, is not good either: {}", wrong_words(it)),
        });
    }
    if !drill.older.last().is_some_and(TriedCopy::is_good) {
        report.line("NO COPY IN THIS FOLDER IS GOOD; look at other folders too");
    }
    report.gap();
    report.line("What to do, in this order:");
    report.under("1. see that the ledger itself is sound: wearbook ledger verify --full");
    if drill.newest.verified.is_ok() && !drill.newest.in_history {
        report.under(
            "   and which of the two was altered, by a seal that somebody noted: wearbook ledger \
             verify --expect COUNT:HASH",
        );
    }
    report.under(format!(
        "2. move {} out of the folder, and keep it: why it is so, its disk may tell",
        name(&drill.newest.path)
    ));
    report.under(format!(
        "3. make a new copy, and try it: wearbook ledger copies --dir {0}, then the same with \
         --drill",
        dir.display()
    ));
}

/// Why there is no copy, and what helps.
fn words(folder: &Path, error: &LedgerError) -> (String, String) {
    let at = folder.display();
    let (what, hint) = match error {
        LedgerError::DiskFull => (
            format!("the disk of {at} is full; no copy was made, and those before stay"),
            "make room, keep fewer with --keep, or name another folder".to_owned(),
        ),
        LedgerError::ReadOnly => (
            format!("{at} cannot be written; no copy was made"),
            "allow writing to it, or name another folder".to_owned(),
        ),
        LedgerError::File { source, .. } => match source.kind() {
            std::io::ErrorKind::NotFound => (
                format!("there is no folder {at}; no copy was made"),
                "is its disk plugged in? The folder is never made, so that no copy goes elsewhere"
                    .to_owned(),
            ),
            std::io::ErrorKind::StorageFull => return words(folder, &LedgerError::DiskFull),
            std::io::ErrorKind::PermissionDenied | std::io::ErrorKind::ReadOnlyFilesystem => {
                return words(folder, &LedgerError::ReadOnly);
            }
            _ => (format!("{error}; no copy was made"), String::new()),
        },
        LedgerError::NeverStill { .. } => (
            error.to_string(),
            "the same again when fewer people write".to_owned(),
        ),
        LedgerError::NoCopy { .. } => (
            error.to_string(),
            format!("to make one: wearbook ledger copies --dir {at}"),
        ),
        LedgerError::InTheWay { .. } => (
            error.to_string(),
            "move it elsewhere, or name another folder".to_owned(),
        ),
        LedgerError::Copying { .. } => (error.to_string(), "wait until it is done".to_owned()),
        other => {
            let (what, _, hint) = ledger_words(other);
            (what, hint)
        }
    };
    (what, hint)
}

fn refused(folder: &Path, error: &LedgerError) -> Failure {
    let (what, hint) = words(folder, error);
    Failure::Refused { what, hint }
}

/// How often a server looks whether a copy is due.
const LOOKS: Duration = Duration::from_secs(30);
/// How long it waits after one that failed.
const AGAIN_S: i64 = 3600;

/// The copies of a server: a thread of its own, so that nobody waits for it.
pub(crate) struct Daily {
    stop: Arc<AtomicBool>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Daily {
    /// Begins: a copy now where none is of today and something was written since the newest, and so
    /// each day.
    pub fn begin(
        ledger: PathBuf,
        (folder, keep): (&Path, u16),
        clock: Arc<SharedClock>,
    ) -> Result<Daily, Failure> {
        if !folder.is_dir() {
            let source = std::io::ErrorKind::NotFound.into();
            let path = folder.to_owned();
            return Err(refused(folder, &LedgerError::File { path, source }));
        }
        let stop = Arc::new(AtomicBool::new(false));
        let (told, folder) = (Arc::clone(&stop), folder.to_owned());
        let thread = std::thread::spawn(move || {
            let mut not_before = None;
            while !told.load(Ordering::Relaxed) {
                let now = clock();
                if not_before.is_none_or(|it| now >= it) {
                    let of = (&*folder, usize::from(keep));
                    let failed = once(&ledger, of, now, &told).is_err();
                    not_before = failed.then(|| now + chrono::Duration::seconds(AGAIN_S));
                }
                std::thread::park_timeout(LOOKS);
            }
        });
        Ok(Daily {
            stop,
            thread: Some(thread),
        })
    }
}

impl Drop for Daily {
    /// Tells it to end. What is copied half then is no copy, and is cleared away by the next one.
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            thread.thread().unpark();
        }
    }
}

/// Makes the copy of today where there is none yet.
fn once(
    path: &Path,
    (folder, keep): (&Path, usize),
    now: Instant,
    stop: &AtomicBool,
) -> Result<(), LedgerError> {
    let ledger = Ledger::open(path)?;
    let today = day_of(&ledger, now)?;
    let whole = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    let known = ledger.read(KnownAt::Now, |it| it.copy_folders())?;
    let mine = known.into_iter().find(|it| it.folder == whole);
    let newest = mine.filter(|it| it.is_there).and_then(|it| it.newest);
    let is_of_today = match newest {
        Some((_, at, ..)) => day_of(&ledger, at)? == today,
        None => false,
    };
    if is_of_today {
        return Ok(());
    }
    match copy(&ledger, (folder, keep), (today, now), Some(stop)) {
        Ok(done) if done.made.as_ref().is_some_and(|it| !it.faults.is_empty()) => {
            Err(LedgerError::Stopped)
        }
        Ok(_) => Ok(()),
        Err(error) => Err(error),
    }
}

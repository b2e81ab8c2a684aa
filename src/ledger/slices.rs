//! Copying the file in slices, so short that whoever writes meanwhile does not notice.
//!
//! A slice holds the lock of a reader: entries go on to be written, and only the last step of a
//! write waits for its end. Between two slices nothing is held. A write that comes between makes
//! SQLite begin again, so that a copy is of one moment; where that goes on for too long there is no
//! copy, and the one before stays.

use std::fs::File;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

use super::error::file_error;
use super::tally::Tally;
use super::{Doing, LedgerError};

/// How fast a copy is made.
#[derive(Debug, Clone, Copy)]
pub struct Pace<'a> {
    /// How long a slice is to take.
    pub slice: Duration,
    /// How long nothing is done between two.
    pub pause: Duration,
    /// How long it may take in all, with everything that is begun again.
    pub most: Duration,
    /// Whether somebody wants it to end before it is done.
    pub stop: Option<&'a AtomicBool>,
}

impl Default for Pace<'_> {
    fn default() -> Self {
        Pace {
            slice: Duration::from_millis(40),
            pause: Duration::from_millis(5),
            most: Duration::from_secs(600),
            stop: None,
        }
    }
}

/// Pages of the first slice; the next ones are as long as their time allows.
const FIRST: i32 = 64;
/// The longest: 16 MB of pages of 4096 bytes.
const MOST: i32 = 4096;

/// Copies the whole file into another one, which is empty.
pub(super) fn copy(
    from: &Connection,
    to: &Path,
    pace: &Pace<'_>,
    tally: &Tally,
) -> Result<(), LedgerError> {
    let mut copy = Connection::open(to)?;
    // The last slice ends the copy's own transaction: what waits for a disk there would hold the
    // ledger's lock for as long. Nobody trusts this file before it was brought to the disk below.
    copy.pragma_update(None, "synchronous", 0)?;
    let _: String = copy.query_row("PRAGMA journal_mode = OFF", [], |row| row.get(0))?;
    run(&Backup::new(from, &mut copy)?, pace, tally)?;
    drop(copy);
    let file = File::options().write(true).open(to);
    file.and_then(|it| it.sync_all()).map_err(file_error(to))
}

fn run(backup: &Backup<'_, '_>, pace: &Pace<'_>, tally: &Tally) -> Result<(), LedgerError> {
    let began = Instant::now();
    let (mut pages, mut left_before, mut begun_again) = (FIRST, i32::MAX, 0);
    tally.begin("copying", 0);
    loop {
        if pace.stop.is_some_and(|it| it.load(Ordering::Relaxed)) {
            return Err(LedgerError::Stopped);
        }
        let at = Instant::now();
        let step = backup.step(pages)?;
        let took = at.elapsed();
        let known = backup.progress();
        if let (Ok(all), Ok(left)) = (
            u64::try_from(known.pagecount),
            u64::try_from(known.remaining),
        ) {
            tally.begin("copying", all);
            tally.reach(all.saturating_sub(left));
        }
        match step {
            StepResult::Done => return Ok(()),
            StepResult::More => {
                begun_again += i32::from(known.remaining > left_before);
                left_before = known.remaining;
                pages = next(pages, took, pace.slice);
            }
            _ => {}
        }
        if began.elapsed() > pace.most {
            return Err(match begun_again {
                0 => LedgerError::Busy {
                    doing: Doing::Writing,
                    waited_s: pace.most.as_secs(),
                },
                _ => LedgerError::NeverStill { begun_again },
            });
        }
        std::thread::sleep(pace.pause);
    }
}

/// How many pages the next slice has, when the last of so many took so long.
fn next(pages: i32, took: Duration, slice: Duration) -> i32 {
    if took > slice {
        (pages / 2).max(1)
    } else if took < slice / 3 {
        pages.saturating_mul(2).min(MOST)
    } else {
        pages
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slice_that_took_too_long_is_halved_and_a_short_one_doubled() {
        let slice = Duration::from_millis(30);
        for (pages, took, then) in [
            (64, 31, 32),
            (1, 500, 1),
            (64, 9, 128),
            (64, 20, 64),
            (MOST, 1, MOST),
        ] {
            let took = Duration::from_millis(took);
            assert_eq!(next(pages, took, slice), then, "{pages} in {took:?}");
        }
    }
}

//! Keeping the ledger: verified copies.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

use super::entry::Instant;
use super::place::begin_building;
use super::verify::Verification;
use super::watch::{self, Anchor};
use super::{Ledger, LedgerError, migrate};

/// What a backup did.
#[derive(Debug)]
pub struct BackupReport {
    /// The copy.
    pub path: PathBuf,
    /// The verification of the copy: in full, or of an older form its chain.
    pub verified: Verification,
    /// Why the ledger could not note that this copy was made; the copy is as good without.
    pub not_noted: Option<LedgerError>,
}

pub(super) fn file_error(path: &Path) -> impl FnOnce(std::io::Error) -> LedgerError + '_ {
    |source| LedgerError::File {
        path: path.to_owned(),
        source,
    }
}

impl Ledger {
    /// Copies the ledger while others may read and write it, then verifies the
    /// copy, in full where its form is the current one: a ledger is backed up
    /// before it is upgraded. The copy appears under its name only when it is sound, and the
    /// ledger notes that it was made. What people sign in with stays behind: whoever goes on with
    /// the copy sets it anew.
    pub fn backup(&self, to: &Path, now: Instant) -> Result<BackupReport, LedgerError> {
        let building = begin_building(to)?;
        let copied = self.copy_to(&building).and_then(|verified| {
            if verified.faults.is_empty() {
                std::fs::rename(&building, to).map_err(file_error(to))?;
            }
            Ok(verified)
        });
        match copied {
            Ok(verified) if verified.faults.is_empty() => {
                let seal = (verified.count, verified.head);
                Ok(BackupReport {
                    path: to.to_owned(),
                    verified,
                    not_noted: self.anchor(Anchor::Backup, now, seal).err(),
                })
            }
            other => {
                // Best effort: what matters is the first error.
                let _ = std::fs::remove_file(&building);
                other.map(|verified| BackupReport {
                    path: to.to_owned(),
                    verified,
                    not_noted: None,
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
        self.verify_copy(to)
    }

    /// Verifies a copy, and begins its count: SQLite counts the copying as it likes. A copy that
    /// was not verified in full is as good as the ledger that it is of.
    fn verify_copy(&self, to: &Path) -> Result<Verification, LedgerError> {
        let mut copy = Ledger::open_to_verify(to).or_else(|error| match error {
            LedgerError::NeedsUpgrade => Ledger::open_any_form(to),
            other => Err(other),
        })?;
        copy.watch(self.tally.clone());
        copy.keep_in_one_file()?;
        copy.strip_pins()?;
        if migrate::needs_upgrade(&copy.conn)? {
            let verified = copy.verify_content(None, false)?;
            if watch::is_ours(&self.conn, &self.header)? {
                copy.begin_count()?;
            }
            return Ok(verified);
        }
        let verified = copy.verify_content(None, true)?;
        if verified.faults.is_empty() {
            copy.begin_count()?;
        }
        Ok(Verification {
            other_writer: false,
            ..verified
        })
    }
}

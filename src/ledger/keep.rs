//! Keeping the ledger: verified copies.

use std::path::{Path, PathBuf};

use super::entry::Instant;
use super::place::begin_building;
use super::slices::{self, Pace};
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

impl Ledger {
    /// Copies the ledger while others may read and write it, then verifies the
    /// copy, in full where its form is the current one: a ledger is backed up
    /// before it is upgraded. The copy appears under its name only when it is sound, and the
    /// ledger notes that it was made. What people sign in with stays behind: whoever goes on with
    /// the copy sets it anew.
    pub fn backup(&self, to: &Path, now: Instant) -> Result<BackupReport, LedgerError> {
        let building = begin_building(to)?;
        let verified = self.copy_to(building.path(), &Pace::default())?;
        let mut not_noted = None;
        if verified.faults.is_empty() {
            building.finish()?;
            let seal = (verified.count, verified.head);
            not_noted = self.anchor(Anchor::Backup, now, seal).err();
        }
        Ok(BackupReport {
            path: to.to_owned(),
            verified,
            not_noted,
        })
    }

    pub(super) fn copy_to(&self, to: &Path, pace: &Pace<'_>) -> Result<Verification, LedgerError> {
        slices::copy(&self.conn, to, pace, &self.tally)?;
        self.verify_copy(to)
    }

    /// Verifies a copy, and begins its count: SQLite counts the copying as it likes. A copy that
    /// was not verified in full is as good as the ledger that it is of.
    fn verify_copy(&self, to: &Path) -> Result<Verification, LedgerError> {
        let mut copy = Ledger::open_file(to)?;
        copy.watch(self.tally.clone());
        copy.keep_in_one_file()?;
        copy.strip_pins()?;
        copy.strip_calendars()?;
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

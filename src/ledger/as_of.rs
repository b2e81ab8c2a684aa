//! The ledger as it was known at an earlier moment.

use super::entry::{Instant, instant_text};
use super::{LedgerError, Snapshot};

impl<'a> Snapshot<'a> {
    /// The same unchanging state as it was known when an earlier entry was the newest; with none
    /// before it nothing is known.
    #[must_use]
    pub fn as_of(&self, entry: i64) -> Snapshot<'a> {
        Snapshot {
            conn: self.conn,
            at: entry.clamp(0, self.at),
        }
    }

    /// The newest entry that was written at a moment or before it; 0 where there is none. It
    /// takes the moments of entries to run forward, as those of one clock do.
    pub fn written_by(&self, moment: Instant) -> Result<i64, LedgerError> {
        let (mut known, mut later) = (0, self.at + 1);
        while later - known > 1 {
            let middle = known + (later - known) / 2;
            let written_at: String = self
                .conn
                .prepare_cached("SELECT written_at FROM entry WHERE seq = ?1")?
                .query_row([middle], |row| row.get(0))?;
            if written_at <= instant_text(moment) {
                known = middle;
            } else {
                later = middle;
            }
        }
        Ok(known)
    }
}

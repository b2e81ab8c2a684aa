//! What this program notes of its own writes to the file: that a checked state is its own, that
//! a copy left, and that the ledger is one file.

use rusqlite::{Transaction, TransactionBehavior};

use super::chain::Hash;
use super::entry::{Instant, instant_text};
use super::place::need_to_end_a_write;
use super::verify::Verification;
use super::watch::{Anchor, header, note, refuse_others};
use super::{Ledger, LedgerError};

impl Ledger {
    /// Takes the state that a full verification found sound as this program's own, unless
    /// something was written after it.
    ///
    /// # Errors
    /// The file cannot be written; or it changed since.
    pub fn accept(&mut self, found: &Verification) -> Result<(), LedgerError> {
        let sound = found.full && found.faults.is_empty();
        let Some(counter) = found.counter.filter(|_| sound && found.other_writer) else {
            return Ok(());
        };
        need_to_end_a_write(&self.path)?;
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        if header(&self.header)?.counter != counter {
            return Err(LedgerError::OtherWriter);
        }
        note(&tx, &self.header)?;
        Ok(tx.commit()?)
    }

    /// Begins to count, in a copy whose content is known to be this program's.
    pub(super) fn begin_count(&mut self) -> Result<(), LedgerError> {
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        if tx.table_exists(None, "last_write")? {
            note(&tx, &self.header)?;
        }
        Ok(tx.commit()?)
    }

    /// Sets a ledger that somebody put into another journal mode back to the rollback journal,
    /// with everything that stands in the other file: a copy of the one file must be whole.
    pub(super) fn keep_in_one_file(&self) -> Result<(), LedgerError> {
        // The first read brings a journal to its end, which may change the header.
        let mode = |sql: &str| self.conn.query_row(sql, [], |row| row.get::<_, String>(0));
        let found = mode("PRAGMA journal_mode")?;
        if found == "delete" {
            return Ok(());
        }
        match mode("PRAGMA journal_mode = DELETE") {
            Ok(now) if now == "delete" => Ok(()),
            Ok(_) => Err(LedgerError::OtherJournal { mode: found }),
            Err(error) => match LedgerError::from(error) {
                LedgerError::Busy { .. } => Err(LedgerError::OtherJournal { mode: found }),
                other => Err(other),
            },
        }
    }

    /// Notes that a copy with this head left the file. A ledger that something else has written
    /// to stays as it is.
    pub(super) fn anchor(
        &self,
        kind: Anchor,
        now: Instant,
        (count, head): (i64, Hash),
    ) -> Result<(), LedgerError> {
        self.beside(|tx| add_anchor(tx, kind, now, (count, head)))
    }

    /// Writes what stands beside the chain, where nothing else has written to the file.
    pub(super) fn beside<T>(
        &self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, LedgerError>,
    ) -> Result<T, LedgerError> {
        need_to_end_a_write(&self.path)?;
        let tx = Transaction::new_unchecked(&self.conn, TransactionBehavior::Immediate)?;
        refuse_others(&tx, &self.header)?;
        let done = work(&tx)?;
        note(&tx, &self.header)?;
        tx.commit()?;
        Ok(done)
    }
}

/// The row of a copy that left.
pub(super) fn add_anchor(
    tx: &Transaction<'_>,
    kind: Anchor,
    now: Instant,
    (count, head): (i64, Hash),
) -> Result<(), LedgerError> {
    tx.execute(
        "INSERT INTO anchor (made_at, sort, count, head) VALUES (?1, ?2, ?3, ?4)",
        (instant_text(now), kind.word(), count, &head.0[..]),
    )?;
    Ok(())
}

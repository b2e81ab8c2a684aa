//! Whether anything but this program has written to the file since this program last did, and
//! when copies left it. What is noted here stands beside the chain.
//!
//! Every transaction of this program that changes the file notes, as its last step, the count
//! that the file's header has once the transaction is committed. A reader compares: two numbers,
//! at the cost of one small read. It shows an edit by any tool that uses SQLite; bytes changed
//! in place are found by a verification alone.

use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior};

use super::chain::Hash;
use super::entry::{Instant, instant_text};
use super::header::{Header, HeaderOf};
use super::open::need_to_end_a_write;
use super::{Ledger, LedgerError, Verification};

/// What a copy is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Backup,
    Export,
}

impl Anchor {
    fn word(self) -> &'static str {
        match self {
            Anchor::Backup => "backup",
            Anchor::Export => "export",
        }
    }
}

/// The header, inside a transaction that has read or locked the file already: only then are its
/// bytes those of the state that the transaction sees.
fn header(of: &HeaderOf) -> Result<Header, LedgerError> {
    let damaged = || LedgerError::Damaged {
        detail: "the file does not start as a ledger does".to_owned(),
    };
    let read = of.read().map_err(|error| LedgerError::System {
        detail: error.to_string(),
    })?;
    read.ok_or_else(damaged)
}

/// Whether the count in the file is the one that this program left.
pub(super) fn is_ours(conn: &Connection, of: &HeaderOf) -> Result<bool, LedgerError> {
    if !conn.table_exists(None, "last_write")? {
        return Ok(false);
    }
    // This read takes the lock that keeps the header as it is.
    let noted: Option<i64> = conn
        .prepare_cached("SELECT counter FROM last_write WHERE id = 1")?
        .query_row([], |row| row.get(0))
        .optional()?;
    let found = header(of)?;
    Ok(found.rolls_back && noted == Some(i64::from(found.counter)))
}

/// Refuses what another program has written to.
pub(super) fn refuse_others(conn: &Connection, of: &HeaderOf) -> Result<(), LedgerError> {
    match is_ours(conn, of)? {
        true => Ok(()),
        false => Err(LedgerError::OtherWriter),
    }
}

/// Notes the count that this transaction leaves. The header on disk is still the one before it:
/// SQLite keeps page 1 in memory until the commit.
pub(super) fn note(tx: &Transaction<'_>, of: &HeaderOf) -> Result<(), LedgerError> {
    let next = i64::from(header(of)?.next_counter());
    // Where the very number stood there, nothing would be changed, and nothing counted.
    tx.execute("DELETE FROM last_write", [])?;
    tx.execute(
        "INSERT INTO last_write (id, counter) VALUES (1, ?1)",
        [next],
    )?;
    Ok(())
}

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
        sort: Anchor,
        now: Instant,
        (count, head): (i64, Hash),
    ) -> Result<(), LedgerError> {
        need_to_end_a_write(&self.path)?;
        let tx = Transaction::new_unchecked(&self.conn, TransactionBehavior::Immediate)?;
        refuse_others(&tx, &self.header)?;
        tx.execute(
            "INSERT INTO anchor (made_at, sort, count, head) VALUES (?1, ?2, ?3, ?4)",
            (instant_text(now), sort.word(), count, &head.0[..]),
        )?;
        note(&tx, &self.header)?;
        Ok(tx.commit()?)
    }
}

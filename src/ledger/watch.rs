//! Whether anything but this program has written to the file since this program last did, and
//! when copies left it. What is noted here stands beside the chain.
//!
//! Every transaction of this program that changes the file notes, as its last step, the count
//! that the file's header has once the transaction is committed. A reader compares: two numbers,
//! at the cost of one small read. It shows an edit by any tool that uses SQLite; bytes changed
//! in place are found by a verification alone.

use rusqlite::{Connection, OptionalExtension, Transaction};

use super::LedgerError;
use super::header::{Header, HeaderOf};

/// What a copy is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Backup,
    Export,
}

impl Anchor {
    pub(super) fn word(self) -> &'static str {
        match self {
            Anchor::Backup => "backup",
            Anchor::Export => "export",
        }
    }
}

/// The header, inside a transaction that has read or locked the file already: only then are its
/// bytes those of the state that the transaction sees.
pub(super) fn header(of: &HeaderOf) -> Result<Header, LedgerError> {
    let damaged = || LedgerError::Damaged {
        detail: "the file does not start as a ledger does".to_owned(),
    };
    let read = of.read().map_err(|error| LedgerError::System {
        detail: error.to_string(),
    })?;
    read.ok_or_else(damaged)
}

/// The count that this program noted last.
pub(super) fn noted(conn: &Connection) -> Result<Option<i64>, LedgerError> {
    Ok(conn
        .prepare_cached("SELECT counter FROM last_write WHERE id = 1")?
        .query_row([], |row| row.get(0))
        .optional()?)
}

/// Whether the count in the file is the one that this program left.
pub(super) fn is_ours(conn: &Connection, of: &HeaderOf) -> Result<bool, LedgerError> {
    if !conn.table_exists(None, "last_write")? {
        return Ok(false);
    }
    // This read takes the lock that keeps the header as it is.
    let noted = noted(conn)?;
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

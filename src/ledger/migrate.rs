//! The numbered history of the table `entry`, and the one current form of the
//! derived tables. A released migration is never edited.

use rusqlite::{Connection, TransactionBehavior};
use sha2::{Digest, Sha256};

use super::LedgerError;
use super::chain::Hash;

/// Every migration of `entry`, in order; number n is at place n - 1.
const MIGRATIONS: &[&str] = &[include_str!("../../migrations/0001_entry.sql")];

/// The derived tables as this program reads and fills them.
pub(super) const DERIVED: &str = include_str!("../../migrations/derived.sql");

fn version(conn: &Connection) -> Result<i64, LedgerError> {
    Ok(conn.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

fn digest(text: &str) -> String {
    Hash(Sha256::digest(text.as_bytes()).into()).to_string()
}

/// Refuses a ledger that a newer program wrote, before anything is written.
pub(super) fn refuse_newer(conn: &Connection) -> Result<(), LedgerError> {
    let found = version(conn)?;
    let known = MIGRATIONS.len() as i64;
    if found > known {
        Err(LedgerError::Newer { found, known })
    } else {
        Ok(())
    }
}

/// Whether `ledger upgrade` has something to do.
pub(super) fn needs_upgrade(conn: &Connection) -> Result<bool, LedgerError> {
    if version(conn)? < MIGRATIONS.len() as i64 {
        return Ok(true);
    }
    let stored: String = conn.query_row(
        "SELECT digest FROM form WHERE name = 'derived'",
        [],
        |row| row.get(0),
    )?;
    Ok(stored != digest(DERIVED))
}

/// Runs the migrations of `entry` that are missing, each in its own transaction.
pub(super) fn run(conn: &mut Connection) -> Result<(), LedgerError> {
    let done = version(conn)?;
    for (at, sql) in MIGRATIONS.iter().enumerate() {
        let number = at as i64 + 1;
        if number <= done {
            continue;
        }
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        if number == 1 {
            tx.execute_batch(
                "-- Which form the tables have; for the program's own use.
                 CREATE TABLE form (name TEXT PRIMARY KEY, digest TEXT NOT NULL) STRICT;",
            )?;
        }
        tx.execute_batch(sql)?;
        tx.execute(
            "INSERT INTO form (name, digest) VALUES (?1, ?2)",
            (format!("entry {number}"), digest(sql)),
        )?;
        tx.pragma_update(None, "user_version", number)?;
        tx.commit()?;
    }
    Ok(())
}

/// Notes which form of the derived tables stands in the file.
pub(super) fn record_derived(conn: &Connection) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO form (name, digest) VALUES ('derived', ?1)
         ON CONFLICT (name) DO UPDATE SET digest = excluded.digest",
        [digest(DERIVED)],
    )?;
    Ok(())
}

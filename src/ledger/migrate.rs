//! The numbered history of the table `entry`, and the one current form of the
//! derived tables. A released migration is never edited.

use std::sync::LazyLock;

use rusqlite::{Connection, OptionalExtension, Transaction};
use sha2::{Digest, Sha256};

use super::LedgerError;
use super::chain::Hash;

/// Every migration of `entry` and of what stands beside it, in order; number n is at place n - 1.
const MIGRATIONS: &[&str] = &[
    include_str!("../../migrations/0001_entry.sql"),
    include_str!("../../migrations/0002_watch.sql"),
    include_str!("../../migrations/0003_private.sql"),
    include_str!("../../migrations/0004_kind.sql"),
    include_str!("../../migrations/0005_sign_in.sql"),
    include_str!("../../migrations/0006_evidence.sql"),
    include_str!("../../migrations/0007_copies.sql"),
];

/// As it stands in every file, spaces and all.
const FORM: &str = "-- Which form the tables have; for the program's own use.
                 CREATE TABLE form (name TEXT PRIMARY KEY, digest TEXT NOT NULL) STRICT;";

/// The derived tables as this program reads and fills them.
pub(super) const DERIVED: &str = include_str!("../../migrations/derived.sql");

fn version(conn: &Connection) -> Result<i64, LedgerError> {
    Ok(conn.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

fn digest(text: &str) -> String {
    Hash(Sha256::digest(text.as_bytes()).into()).to_string()
}

/// Statements without comments and with one space between words: what of their text counts.
/// What stands in quotes stays as it is.
pub(super) fn bare(sql: &str) -> String {
    let (mut bare, mut quoted) = (String::new(), false);
    for line in sql.lines() {
        for (at, next) in line.char_indices() {
            quoted ^= next == '\'';
            match next {
                _ if quoted => bare.push(next),
                '-' if line[at..].starts_with("--") => break,
                _ if next.is_whitespace() && bare.ends_with(' ') => {}
                _ if next.is_whitespace() => bare.push(' '),
                _ => bare.push(next),
            }
        }
        if quoted || !bare.ends_with(' ') {
            bare.push(if quoted { '\n' } else { ' ' });
        }
    }
    bare
}

/// The digest that the file notes for a form of its own.
pub(super) fn noted(conn: &Connection, name: &str) -> Result<Option<String>, LedgerError> {
    if !conn.table_exists(None, "form")? {
        return Ok(None);
    }
    Ok(conn
        .query_row("SELECT digest FROM form WHERE name = ?1", [name], |row| {
            row.get(0)
        })
        .optional()?)
}

/// The digests of the migrations, and that of the derived tables: each opening compares some.
static DIGESTS: LazyLock<(Vec<String>, String)> = LazyLock::new(|| {
    let entry = MIGRATIONS.iter().map(|sql| digest(sql));
    (entry.collect(), digest(bare(DERIVED).trim()))
});

/// The notes that a ledger of this form must have.
pub(super) fn notes() -> Vec<(String, &'static str)> {
    let (entry, derived) = &*DIGESTS;
    let entry = entry.iter().enumerate();
    let mut notes: Vec<_> = entry
        .map(|(at, digest)| (format!("entry {}", at + 1), digest.as_str()))
        .collect();
    notes.push(("derived".to_owned(), derived));
    notes
}

/// The number of the current form.
pub(super) fn current() -> i64 {
    MIGRATIONS.len() as i64
}

/// Whether the tables say that this program made the file, whatever its mark says.
pub(super) fn is_ours(conn: &Connection) -> Result<bool, LedgerError> {
    let first = DIGESTS.0.first();
    Ok(first.is_some() && noted(conn, "entry 1")?.as_ref() == first)
}

/// The number of the form, where somebody changed it: the ledger's own notes say another.
pub(super) fn altered_version(conn: &Connection) -> Result<Option<(i64, i64)>, LedgerError> {
    let found = version(conn)?;
    let mut highest = 0;
    while noted(conn, &format!("entry {}", highest + 1))?.is_some() {
        highest += 1;
    }
    Ok((highest > 0 && found != highest).then_some((found, highest)))
}

/// Refuses a ledger that a newer program wrote, before anything is written.
pub(super) fn refuse_newer(conn: &Connection) -> Result<(), LedgerError> {
    let (found, known) = (version(conn)?, current());
    let is_altered = altered_version(conn)?.is_some_and(|(_, noted)| noted <= known);
    if found > known && !is_altered {
        Err(LedgerError::Newer { found, known })
    } else {
        Ok(())
    }
}

/// Whether `ledger upgrade` has something to do.
pub(super) fn needs_upgrade(conn: &Connection) -> Result<bool, LedgerError> {
    if version(conn)? < current() {
        return Ok(true);
    }
    Ok(noted(conn, "derived")?.is_some_and(|it| it != DIGESTS.1))
}

/// Runs the migrations of `entry` that are missing.
pub(super) fn run(tx: &Transaction<'_>) -> Result<(), LedgerError> {
    let done = match altered_version(tx)? {
        Some((_, noted)) => noted,
        // Somebody dropped the notes: what else is missing, `form::mend` puts back.
        None if !tx.table_exists(None, "form")? && tx.table_exists(None, "entry")? => current(),
        None => version(tx)?,
    };
    for (at, (sql, digest)) in MIGRATIONS.iter().zip(&DIGESTS.0).enumerate() {
        let number = at as i64 + 1;
        if number <= done {
            continue;
        }
        if number == 1 {
            tx.execute_batch(FORM)?;
        }
        tx.execute_batch(sql)?;
        note(tx, &format!("entry {number}"), digest)?;
    }
    tx.pragma_update(None, "user_version", current())?;
    Ok(())
}

/// Notes which form of the derived tables stands in the file.
pub(super) fn record_derived(conn: &Connection) -> Result<(), LedgerError> {
    note(conn, "derived", &DIGESTS.1)
}

/// Writes a note of a form, or the one that must stand there.
pub(super) fn note(conn: &Connection, name: &str, digest: &str) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO form (name, digest) VALUES (?1, ?2)
         ON CONFLICT (name) DO UPDATE SET digest = excluded.digest",
        (name, digest),
    )?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comment_and_blank_space_do_not_count_and_what_is_quoted_does() {
        let made = "CREATE TABLE a (\n    b TEXT, -- what it's for\n    c TEXT\n);";
        for (text, same) in [
            (
                "CREATE TABLE a (\n  b TEXT,\n\n  -- Of c.\n  c TEXT\n);\n",
                true,
            ),
            ("CREATE TABLE a (\n    b TEXT -- , c TEXT\n);", false),
            ("CREATE TABLE a (\n    b TEXT,\n    d TEXT\n);", false),
        ] {
            assert_eq!(bare(made).trim() == bare(text).trim(), same, "{text}");
        }
        let made = "SELECT 1 WHERE a = 'prior dose'";
        for text in [
            "'prior  dose'",
            "'prior--x\ndose'",
            "'prior\ndose'",
            "'prior dose--'",
        ] {
            assert_ne!(
                bare(made),
                bare(&format!("SELECT 1 WHERE a = {text}")),
                "{text}"
            );
        }
    }
}

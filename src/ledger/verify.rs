//! The proof of what was not changed: the chain of hashes over every entry and the form of the
//! file, and, in full, that the derived tables say what the entries say.

use rusqlite::Connection;

use super::chain::Hash;
use super::chain_check::{Fault, MOST_FAULTS, chain_faults, tail_fault, told, whole_file};
use super::{Ledger, LedgerError, compare, evidence, form, migrate, private, watch};

/// What a verification found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verification {
    /// How many entries there are.
    pub count: i64,
    /// The hash of the newest.
    pub head: Hash,
    /// The hash at the expected count, where one was asked for.
    pub expected_found: Option<Hash>,
    /// Everything that is wrong; empty when all is well.
    pub faults: Vec<Fault>,
    /// Whether the derived tables and the file were checked too.
    pub full: bool,
    /// Whether something but this program has written to the file. A fault, unless everything
    /// was checked and is sound.
    pub other_writer: bool,
    /// How many transactions had changed the file then, for [`Ledger::accept`].
    pub(super) counter: Option<u32>,
}

impl Ledger {
    /// Verifies the chain and the form of the file; `expect` is an entry count and the hash that
    /// an inspector holds for it; `full` also rebuilds the derived tables beside the file,
    /// compares them row by row and lets SQLite check the file.
    pub fn verify(
        &self,
        expect: Option<(i64, Hash)>,
        full: bool,
    ) -> Result<Verification, LedgerError> {
        let mut found = self.verify_content(expect, full)?;
        if found.other_writer && !(full && found.faults.is_empty()) {
            let more = if full {
                ""
            } else {
                "; `--full` checks what it left"
            };
            let what = format!("another program has written to the file{more}");
            found.faults.push(Fault { entry: None, what });
        }
        Ok(found)
    }

    /// [`Ledger::verify`] without regard to who wrote the file: for a copy, which SQLite wrote.
    pub(super) fn verify_content(
        &self,
        expect: Option<(i64, Hash)>,
        full: bool,
    ) -> Result<Verification, LedgerError> {
        let tx = self.conn.unchecked_transaction()?;
        let is_older = form::altered_mark(&tx)?.is_none() && migrate::needs_upgrade(&tx)?;
        let tally = &self.tally;
        let mut faults = Vec::new();
        if !is_older {
            faults = whole_file(form::faults(&tx)?);
        }
        let (check, expected_found) = chain_faults(&tx, expect, tally, &mut faults)?;
        if !is_older {
            told(tail_fault(&tx, check.count), &mut faults)?;
            told(private::faults(&tx), &mut faults)?;
            told(evidence::faults(&tx, full), &mut faults)?;
        }
        if full {
            tally.begin("checking the file", 0);
            told(file_faults(&tx), &mut faults)?;
            told(compare::with_rebuilt(&tx, tally), &mut faults)?;
        }
        faults.truncate(MOST_FAULTS);
        let (ours, header) = (watch::is_ours(&tx, &self.header)?, self.header.read());
        let other_writer = !is_older && !ours;
        Ok(Verification {
            count: check.count,
            head: check.head,
            expected_found,
            faults,
            full,
            other_writer,
            counter: header.ok().flatten().map(|it| it.counter),
        })
    }
}

/// What SQLite itself finds wrong with the file and the references in it.
fn file_faults(conn: &Connection) -> Result<Vec<Fault>, LedgerError> {
    let mut faults = Vec::new();
    let mut statement = conn.prepare("PRAGMA integrity_check(20)")?;
    let found = statement.query_map([], |row| row.get::<_, String>(0))?;
    for line in found {
        let line = line?;
        if line != "ok" {
            faults.push(Fault {
                entry: None,
                what: format!("SQLite: {line}"),
            });
        }
    }
    let mut statement = conn.prepare("PRAGMA foreign_key_check")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        if faults.len() >= MOST_FAULTS {
            break;
        }
        let (table, parent): (String, String) = (row.get(0)?, row.get(2)?);
        let what = format!("a row of {table} points to a row of {parent} that is not there");
        faults.push(Fault { entry: None, what });
    }
    Ok(faults)
}

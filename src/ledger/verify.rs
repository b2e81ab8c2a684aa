//! Proof that nothing was changed: the chain of hashes over every entry, and,
//! in full, that the derived tables say what the entries say.

use std::collections::HashMap;

use rusqlite::types::ValueRef;
use rusqlite::{Connection, Statement};

use super::chain::{Hash, Link};
use super::entry::Entry;
use super::{Ledger, LedgerError, derive, migrate};

/// One thing that is not as it must be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The entry concerned, where it is one.
    pub entry: Option<i64>,
    /// What is wrong.
    pub what: String,
}

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
}

/// An entry as the hash sees it.
pub(super) fn link_of(entry: &Entry) -> Link<'_> {
    Link {
        seq: entry.seq,
        record: entry.record,
        kind: &entry.kind,
        version: entry.version,
        written_at: &entry.written_at,
        written_by: &entry.written_by,
        os_user: &entry.os_user,
        ends: entry.ends,
        reason: entry.reason.as_deref(),
        transcribed: entry.transcribed,
        body: entry.body.as_deref(),
    }
}

/// Listing more would hide the first, which is the one that matters.
const MOST_FAULTS: usize = 50;

/// Follows the chain over entries in order.
#[derive(Debug, Default)]
pub(super) struct ChainCheck {
    pub count: i64,
    pub head: Hash,
    pub faults: Vec<Fault>,
    amended: HashMap<i64, i64>,
    first: HashMap<i64, ()>,
}

impl ChainCheck {
    fn fault(&mut self, entry: i64, what: String) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(Fault {
                entry: Some(entry),
                what,
            });
        }
    }

    /// Checks the next entry: its number, its hash, and that what it ends was
    /// the newest entry of the same record.
    pub fn next(&mut self, link: &Link<'_>, stored: &Hash) {
        let expected_seq = self.count + 1;
        if link.seq != expected_seq {
            self.fault(
                link.seq,
                format!("entry {expected_seq} is missing before it"),
            );
        }
        let hash = link.hash(&self.head);
        if hash != *stored {
            self.fault(
                link.seq,
                "its hash does not fit: it, or an entry before it, was changed".to_owned(),
            );
        }
        match link.ends {
            None => {
                self.first.insert(link.seq, ());
            }
            Some(ends) => {
                let known = self.first.contains_key(&link.record);
                let newest = self
                    .amended
                    .get(&link.record)
                    .copied()
                    .unwrap_or(link.record);
                if !known || newest != ends {
                    let what =
                        format!("it ends entry {ends}, which was not the newest of its record");
                    self.fault(link.seq, what);
                }
                self.amended.insert(link.record, link.seq);
            }
        }
        self.count = link.seq;
        self.head = *stored;
    }
}

impl Ledger {
    /// Verifies the chain; `expect` is an entry count and the hash that an
    /// inspector holds for it; `full` also rebuilds the derived tables beside
    /// the file, compares them row by row and lets SQLite check the file.
    pub fn verify(
        &self,
        expect: Option<(i64, Hash)>,
        full: bool,
    ) -> Result<Verification, LedgerError> {
        let tx = self.conn.unchecked_transaction()?;
        let mut check = ChainCheck::default();
        let mut expected_found = None;
        follow(&tx, |link, stored| {
            check.next(link, stored);
            if expect.is_some_and(|(count, _)| count == link.seq) {
                expected_found = Some(*stored);
            }
        })?;
        if let Some((count, hash)) = expect {
            match expected_found {
                None => check.faults.push(Fault {
                    entry: None,
                    what: format!("{count} entries were expected; there are {}", check.count),
                }),
                Some(found) if found != hash => check.faults.push(Fault {
                    entry: Some(count),
                    what: format!("its hash is {found}; {hash} was expected"),
                }),
                Some(_) => {}
            }
        }
        if full {
            file_faults(&tx, &mut check.faults)?;
            compare_with_rebuilt(&tx, &mut check.faults)?;
        }
        Ok(Verification {
            count: check.count,
            head: check.head,
            expected_found,
            faults: check.faults,
            full,
        })
    }
}

/// Reads every entry in order, borrowed from SQLite: no copy, no parsing.
fn follow(conn: &Connection, mut each: impl FnMut(&Link<'_>, &Hash)) -> Result<(), LedgerError> {
    let sql = format!("SELECT {} FROM entry ORDER BY seq", Entry::COLUMNS);
    let mut statement = conn.prepare(&sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let text = |column: usize| -> Result<&str, LedgerError> {
            row.get_ref(column)?
                .as_str()
                .map_err(|_| LedgerError::Damaged {
                    detail: "an entry has bytes where text belongs".to_owned(),
                })
        };
        let optional = |column: usize| -> Result<Option<&str>, LedgerError> {
            match row.get_ref(column)? {
                ValueRef::Null => Ok(None),
                _ => text(column).map(Some),
            }
        };
        let link = Link {
            seq: row.get(0)?,
            record: row.get(1)?,
            kind: text(2)?,
            version: row.get(3)?,
            written_at: text(4)?,
            written_by: text(5)?,
            os_user: text(6)?,
            ends: row.get(7)?,
            reason: optional(8)?,
            transcribed: row.get(9)?,
            body: optional(10)?,
        };
        each(&link, &Hash(row.get(11)?));
    }
    Ok(())
}

/// What SQLite itself finds wrong with the file and the references in it.
fn file_faults(conn: &Connection, faults: &mut Vec<Fault>) -> Result<(), LedgerError> {
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
    Ok(())
}

/// Fills the derived tables a second time, in a scratch database, and compares.
fn compare_with_rebuilt(conn: &Connection, faults: &mut Vec<Fault>) -> Result<(), LedgerError> {
    // An empty name is a private file that SQLite removes by itself.
    let scratch = Connection::open("")?;
    scratch.set_prepared_statement_cache_capacity(128);
    // References are checked in the ledger itself; here the parents are absent.
    scratch.pragma_update(None, "foreign_keys", 0)?;
    scratch.pragma_update(None, "synchronous", 0)?;
    scratch.pragma_update(None, "journal_mode", "OFF")?;
    scratch.execute_batch("BEGIN")?;
    scratch.execute_batch(migrate::DERIVED)?;
    let sql = format!("SELECT {} FROM entry ORDER BY seq", Entry::COLUMNS);
    let mut statement = conn.prepare(&sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let entry = Entry::from_row(row)?;
        if let Err(error) = derive::replay(&scratch, &entry) {
            faults.push(Fault {
                entry: Some(entry.seq),
                what: error.to_string(),
            });
            if faults.len() >= MOST_FAULTS {
                return Ok(());
            }
        }
    }
    for table in derive::all_tables() {
        compare_table(conn, &scratch, table, faults)?;
    }
    Ok(())
}

fn compare_table(
    live: &Connection,
    rebuilt: &Connection,
    table: &str,
    faults: &mut Vec<Fault>,
) -> Result<(), LedgerError> {
    let sql = format!("SELECT * FROM {table} ORDER BY 1, 2, 3");
    let mut live = live.prepare(&sql)?;
    let mut rebuilt = rebuilt.prepare(&sql)?;
    if let Some(what) = first_unequal_row(&mut live, &mut rebuilt)? {
        faults.push(Fault {
            entry: None,
            what: format!("table {table}: {what}; `ledger rebuild` makes it anew from the entries"),
        });
    }
    Ok(())
}

fn first_unequal_row(
    live: &mut Statement<'_>,
    rebuilt: &mut Statement<'_>,
) -> Result<Option<String>, LedgerError> {
    let columns = live.column_count();
    if columns != rebuilt.column_count() {
        return Ok(Some("it has other columns than the program's".to_owned()));
    }
    let (mut live, mut rebuilt) = (live.query([])?, rebuilt.query([])?);
    loop {
        match (live.next()?, rebuilt.next()?) {
            (None, None) => return Ok(None),
            (Some(row), None) => {
                let id = row.get_ref(0)?.as_i64().unwrap_or_default();
                return Ok(Some(format!("a row of entry {id} is too many")));
            }
            (None, Some(row)) => {
                let id = row.get_ref(0)?.as_i64().unwrap_or_default();
                return Ok(Some(format!("a row of entry {id} is missing")));
            }
            (Some(a), Some(b)) => {
                for column in 0..columns {
                    if a.get_ref(column)? != b.get_ref(column)? {
                        let id = b.get_ref(0)?.as_i64().unwrap_or_default();
                        return Ok(Some(format!("a row of entry {id} says something else")));
                    }
                }
            }
        }
    }
}

//! Proof that nothing was changed: the chain of hashes over every entry, and,
//! in full, that the derived tables say what the entries say.

use std::collections::HashMap;

use rusqlite::{Connection, Row, Statement};

use super::chain::{Hash, Link};
use super::entry::Entry;
use super::tally::Tally;
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

    /// Takes note of an entry with a column that holds what cannot stand there.
    fn unreadable(&mut self, seq: i64, stored: Option<Hash>) {
        self.fault(
            seq,
            "it was changed: a column holds what cannot stand there".to_owned(),
        );
        self.count = seq;
        self.head = stored.unwrap_or_default();
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
        let tally = &self.tally;
        tally.begin("verifying the chain", derive::entry_count(&tx)?);
        follow(&tx, |seq, link, stored| {
            tally.reach(seq.unsigned_abs());
            match (link, stored) {
                (Some(link), Some(stored)) => check.next(&link, &stored),
                _ => check.unreadable(seq, stored),
            }
            if expect.is_some_and(|(count, _)| count == seq) {
                expected_found = stored;
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
            guard_faults(&tx, &mut check.faults)?;
            tally.begin("checking the file", 0);
            file_faults(&tx, &mut check.faults)?;
            compare_with_rebuilt(&tx, &mut check.faults, tally)?;
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

/// Reads every entry in order, borrowed from SQLite: no copy, no parsing. What cannot be read
/// as it must be is handed on as nothing, so that one spoilt entry does not hide the others.
fn follow(
    conn: &Connection,
    mut each: impl FnMut(i64, Option<Link<'_>>, Option<Hash>),
) -> Result<(), LedgerError> {
    let sql = format!("SELECT {} FROM entry ORDER BY seq", Entry::COLUMNS);
    let mut statement = conn.prepare(&sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        each(row.get(0)?, link_of_row(row), row.get(11).ok().map(Hash));
    }
    Ok(())
}

fn link_of_row<'a>(row: &'a Row<'_>) -> Option<Link<'a>> {
    let cell = |column: usize| row.get_ref(column).ok();
    let number = |column: usize| cell(column)?.as_i64().ok();
    let text = |column: usize| cell(column)?.as_str().ok();
    Some(Link {
        seq: number(0)?,
        record: number(1)?,
        kind: text(2)?,
        version: number(3)?,
        written_at: text(4)?,
        written_by: text(5)?,
        os_user: text(6)?,
        ends: cell(7)?.as_i64_or_null().ok()?,
        reason: cell(8)?.as_str_or_null().ok()?,
        // Any other number would hash like the 1 that it is not.
        transcribed: match number(9)? {
            0 => false,
            1 => true,
            _ => return None,
        },
        body: cell(10)?.as_str_or_null().ok()?,
    })
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

/// The table of entries, its index and its guards, which somebody may have
/// dropped to change an entry unhindered.
fn guard_faults(conn: &Connection, faults: &mut Vec<Fault>) -> Result<(), LedgerError> {
    const OBJECTS: &str = "SELECT name, sql FROM sqlite_master
         WHERE tbl_name = 'entry' AND sql IS NOT NULL ORDER BY name";
    let read = |conn: &Connection| -> Result<Vec<(String, String)>, LedgerError> {
        let mut statement = conn.prepare(OBJECTS)?;
        let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    };
    let mut fresh = Connection::open_in_memory()?;
    migrate::run(&mut fresh)?;
    let (expected, found) = (read(&fresh)?, read(conn)?);
    for (name, sql) in &expected {
        let what = match found.iter().find(|(it, _)| it == name) {
            None => "is missing",
            Some((_, there)) if there != sql => "is not as the program made it",
            Some(_) => continue,
        };
        faults.push(Fault {
            entry: None,
            what: format!("`{name}`, which guards the entries, {what}"),
        });
    }
    Ok(())
}

/// Fills the derived tables a second time, in a scratch database, and compares.
fn compare_with_rebuilt(
    conn: &Connection,
    faults: &mut Vec<Fault>,
    tally: &Tally,
) -> Result<(), LedgerError> {
    tally.begin("making the tables anew", derive::entry_count(conn)?);
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
    let mut before = String::new();
    while let Some(row) = rows.next()? {
        // What cannot be read at all the chain has listed already.
        let Ok(entry) = Entry::from_row(row) else {
            continue;
        };
        tally.reach(entry.seq.unsigned_abs());
        derive::clock_step(&scratch, entry.seq, &before, &entry.written_at)?;
        before.clone_from(&entry.written_at);
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
    tally.begin("comparing the tables", 0);
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
    if let Some(what) = first_difference(live, rebuilt, table)? {
        faults.push(Fault {
            entry: None,
            what: format!("table {table}: {what}; `ledger rebuild` makes it anew from the entries"),
        });
    }
    Ok(())
}

fn first_difference(
    live: &Connection,
    rebuilt: &Connection,
    table: &str,
) -> Result<Option<String>, LedgerError> {
    if !live.table_exists(None, table)? {
        return Ok(Some("it is not there".to_owned()));
    }
    let columns = |conn: &Connection| -> Result<Vec<String>, LedgerError> {
        let statement = conn.prepare(&format!("SELECT * FROM {table}"))?;
        let names = statement.column_names();
        Ok(names.into_iter().map(str::to_owned).collect())
    };
    if columns(live)? != columns(rebuilt)? {
        return Ok(Some("it has other columns than the program's".to_owned()));
    }
    let sql = format!("SELECT * FROM {table} ORDER BY 1, 2, 3");
    first_unequal_row(&mut live.prepare(&sql)?, &mut rebuilt.prepare(&sql)?)
}

fn first_unequal_row(
    live: &mut Statement<'_>,
    rebuilt: &mut Statement<'_>,
) -> Result<Option<String>, LedgerError> {
    let columns = live.column_count();
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

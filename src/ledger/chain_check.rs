//! Whether the entries fit their chain, and what does not.

use std::cmp::Ordering;
use std::collections::HashMap;

use rusqlite::{Connection, Row};

use super::chain::{Hash, Link};
use super::entry::Entry;
use super::tally::Tally;
use super::{LedgerError, derive};

/// One thing that is not as it must be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The entry concerned, where it is one.
    pub entry: Option<i64>,
    /// What is wrong.
    pub what: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.entry {
            Some(entry) => write!(f, "entry {entry}: {}", self.what),
            None => f.write_str(&self.what),
        }
    }
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
pub(super) const MOST_FAULTS: usize = 50;

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
    pub fn unreadable(&mut self, seq: i64, stored: Option<Hash>) {
        self.fault(
            seq,
            "it was changed: a column holds what cannot stand there".to_owned(),
        );
        self.count = seq;
        self.head = stored.unwrap_or_default();
    }
}

pub(super) fn whole_file(all: Vec<String>) -> Vec<Fault> {
    let fault = |what| Fault { entry: None, what };
    all.into_iter().map(fault).collect()
}

/// Takes the faults of one part. A file whose form or pages do not let it be read is a fault of
/// that part, and no failure of the others.
pub(super) fn told(
    part: Result<Vec<Fault>, LedgerError>,
    faults: &mut Vec<Fault>,
) -> Result<(), LedgerError> {
    match part {
        Ok(found) => faults.extend(found),
        Err(LedgerError::Altered { what } | LedgerError::Damaged { detail: what }) => {
            // Words of SQLite's; a form that is another has been told in ours.
            if faults.is_empty() {
                faults.push(Fault { entry: None, what });
            }
        }
        Err(other) => return Err(other),
    }
    Ok(())
}

/// Follows the chain, and compares what is expected.
pub(super) fn chain_faults(
    conn: &Connection,
    expect: Option<(i64, Hash)>,
    tally: &Tally,
    faults: &mut Vec<Fault>,
) -> Result<(ChainCheck, Option<Hash>), LedgerError> {
    let mut check = ChainCheck::default();
    let mut expected_found = None;
    let followed = derive::entry_count(conn).and_then(|count| {
        tally.begin("verifying the chain", count);
        follow(conn, |seq, link, stored| {
            tally.reach(seq.unsigned_abs());
            match (link, stored) {
                (Some(link), Some(stored)) => check.next(&link, &stored),
                _ => check.unreadable(seq, stored),
            }
            if expect.is_some_and(|(count, _)| count == seq) {
                expected_found = stored;
            }
        })
    });
    told(followed.map(|()| Vec::new()), faults)?;
    let mut found = std::mem::take(&mut check.faults);
    match (expect, expected_found) {
        (None, _) => {}
        (Some((count, _)), None) => found.push(Fault {
            entry: None,
            what: format!(
                "{} expected; there are {}",
                crate::text::counted(count, "entry was", "entries were"),
                check.count
            ),
        }),
        (Some((count, hash)), Some(there)) if there != hash => found.push(Fault {
            entry: Some(count),
            what: format!("its hash is {there}; {hash} was expected"),
        }),
        (Some(_), Some(_)) => {}
    }
    // What happened to an entry matters more than what happened to the file.
    found.append(faults);
    *faults = found;
    Ok((check, expected_found))
}

/// The newest entry that the tables know. Every record names its newest entry, so that the last
/// entry of all is named by one.
fn newest_known(conn: &Connection) -> Result<i64, LedgerError> {
    let known: Option<i64> =
        conn.query_row("SELECT MAX(MAX(id), MAX(current)) FROM record", [], |row| {
            row.get(0)
        })?;
    Ok(known.unwrap_or(0))
}

const NO_ENTRY: &str = "there is no entry: all were removed";

/// Where the tables know a later entry than there is, entries were cut off.
pub(super) fn tail_fault(conn: &Connection, count: i64) -> Result<Vec<Fault>, LedgerError> {
    if count == 0 {
        return Ok(whole_file(vec![NO_ENTRY.to_owned()]));
    }
    let known = newest_known(conn)?;
    Ok(match known.cmp(&count) {
        Ordering::Equal => Vec::new(),
        Ordering::Greater => whole_file(vec![cut_off(count, known)]),
        Ordering::Less => whole_file(vec![format!(
            "the newest entry is {count}, and the table `record` knows none after {known}"
        )]),
    })
}

fn cut_off(count: i64, known: i64) -> String {
    format!(
        "the newest entry is {count}, and the table `record` knows entry {known}: entries were \
         cut off, or that table was changed"
    )
}

/// Refuses entries that do not fit their chain, or whose end is missing as far as the tables
/// know: what is made from them would look proven. Whoever holds the seal of all of them may
/// say so.
pub(super) fn need_a_sound_chain(
    conn: &Connection,
    expect: Option<(i64, Hash)>,
    tally: &Tally,
) -> Result<(), LedgerError> {
    let tables = "SELECT EXISTS (SELECT 1 FROM sqlite_schema)";
    if !conn.query_row(tables, [], |row| row.get::<_, bool>(0))? {
        // A file in which nothing has been made yet.
        return Ok(());
    }
    let mut faults = Vec::new();
    let (check, _) = chain_faults(conn, expect, tally, &mut faults)?;
    let what = match faults.first() {
        Some(fault) => fault.to_string(),
        None if check.count == 0 => NO_ENTRY.to_owned(),
        // Where there is no table of records, a rebuild makes it.
        None => match newest_known(conn).unwrap_or(0) {
            known if known > check.count && expect.is_none() => cut_off(check.count, known),
            _ => return Ok(()),
        },
    };
    Err(LedgerError::Unsound { what })
}

/// Reads every entry in order, borrowed from SQLite: no copy, no parsing. What cannot be read
/// as it must be is handed on as nothing, so that one spoilt entry does not hide the others.
pub(super) fn follow(
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

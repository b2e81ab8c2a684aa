//! Whether the derived tables say what the entries say: the rows are made a second time, in a
//! scratch database, and compared one by one. All of them for a verification in full and for a
//! signature; for a statement those that the people on it rest on.

use std::collections::HashSet;

use rusqlite::{Connection, Row, Statement};

use super::chain_check::{ChainCheck, Fault, MOST_FAULTS, follow};
use super::entry::Entry;
use super::read::Snapshot;
use super::tally::Tally;
use super::{LedgerError, derive, migrate, private};
use crate::record::{Kind, RecordId};

/// Which rows are made and compared: registers, badges, results and decisions whole; of sheets,
/// which are most of any ledger, those that a chained body puts one of these people on.
struct Chosen<'a> {
    workers: &'a [RecordId],
    sheets: HashSet<RecordId>,
    entries: HashSet<i64>,
}

/// What is compared.
type Choice<'a> = Option<Chosen<'a>>;

/// Compares every row of the tables that have their form; `form` tells of the others.
pub(super) fn with_rebuilt(conn: &Connection, tally: &Tally) -> Result<Vec<Fault>, LedgerError> {
    compare(conn, &mut None, (false, tally))
}

impl Snapshot<'_> {
    /// Proves, before a dose of record is given out or signed, that the entries fit their chain
    /// and that the tables say what they say: all of them, or those that these people rest on.
    ///
    /// # Errors
    /// The first thing that differs.
    pub fn prove(&self, workers: Option<&[RecordId]>) -> Result<(), LedgerError> {
        let mut check = ChainCheck::default();
        let mut choice = workers.map(|workers| Chosen {
            workers,
            sheets: HashSet::new(),
            entries: HashSet::new(),
        });
        follow(self.conn(), |seq, link, stored| {
            let (Some(link), Some(stored)) = (link, stored) else {
                return check.unreadable(seq, stored);
            };
            check.next(&link, &stored);
            if let (Some(chosen), Some(body)) = (&mut choice, link.body)
                && link.kind == Kind::Sheet.word()
                && chosen.workers.iter().any(|it| names_worker(body, *it))
            {
                chosen.sheets.insert(link.record);
            }
        })?;
        if let Some(fault) = check.faults.first() {
            return Err(LedgerError::Unsound {
                what: fault.to_string(),
            });
        }
        let mut faults = compare(self.conn(), &mut choice, (true, &Tally::default()))?;
        faults.extend(private::faults(self.conn())?);
        match faults.first() {
            None => Ok(()),
            Some(fault) => Err(LedgerError::Lying {
                what: fault.to_string(),
            }),
        }
    }
}

/// Whether a canonical body has this person as a worker.
fn names_worker(body: &str, worker: RecordId) -> bool {
    let wanted = format!("\"worker\":{worker}");
    body.match_indices(&wanted).any(|(at, found)| {
        let next = body.as_bytes().get(at + found.len());
        !next.is_some_and(u8::is_ascii_digit)
    })
}

fn compare(
    conn: &Connection,
    choice: &mut Choice<'_>,
    (tells_form, tally): (bool, &Tally),
) -> Result<Vec<Fault>, LedgerError> {
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
    let mut faults = replay_all(conn, &scratch, choice, tally)?;
    if faults.len() >= MOST_FAULTS {
        return Ok(faults);
    }
    tally.begin("comparing the tables", 0);
    for table in derive::all_tables() {
        // Steps of the clock lie between entries of anybody.
        if table == "clock_step" && choice.is_some() {
            continue;
        }
        // A table that cannot be read is no reason to pass over the others.
        let what = match other_form(conn, &scratch, table) {
            Ok(Some(_)) if !tells_form => continue,
            Ok(Some(what)) => Ok(Some(what)),
            Ok(None) => first_difference(conn, &scratch, table, choice.as_ref()),
            Err(error) => Err(error),
        };
        let what = match what {
            Ok(None) => continue,
            Ok(Some(what)) => what,
            Err(LedgerError::Altered { what } | LedgerError::Damaged { detail: what }) => what,
            Err(other) => return Err(other),
        };
        faults.push(Fault {
            entry: None,
            what: format!("table {table}: {what}; `ledger rebuild` makes it anew from the entries"),
        });
    }
    Ok(faults)
}

fn replay_all(
    conn: &Connection,
    scratch: &Connection,
    choice: &mut Choice<'_>,
    tally: &Tally,
) -> Result<Vec<Fault>, LedgerError> {
    let mut faults = Vec::new();
    let sql = format!("SELECT {} FROM entry ORDER BY seq", Entry::COLUMNS);
    let mut statement = conn.prepare(&sql)?;
    let mut rows = statement.query([])?;
    let mut before = String::new();
    while let Some(row) = rows.next()? {
        if let Some(chosen) = choice.as_ref() {
            let (record, kind) = (row.get(1)?, row.get_ref(2)?);
            if kind.as_str() == Ok(Kind::Sheet.word()) && !chosen.sheets.contains(&record) {
                continue;
            }
        }
        // What cannot be read at all the chain has listed already.
        let Ok(entry) = Entry::from_row(row) else {
            continue;
        };
        tally.reach(entry.seq.unsigned_abs());
        if choice.is_none() {
            derive::clock_step(scratch, entry.seq, &before, &entry.written_at)?;
            before.clone_from(&entry.written_at);
        }
        if let Some(chosen) = choice.as_mut() {
            chosen.entries.insert(entry.seq);
        }
        if let Err(error) = derive::replay(scratch, &entry) {
            faults.push(Fault {
                entry: Some(entry.seq),
                what: error.to_string(),
            });
            if faults.len() >= MOST_FAULTS {
                break;
            }
        }
    }
    Ok(faults)
}

impl Chosen<'_> {
    /// Whether a row that stands in the ledger is one of those that were made anew. A row of
    /// these people that no entry of theirs made counts as well.
    fn has(&self, table: &str, names: &[String], row: &Row<'_>) -> Result<bool, LedgerError> {
        let number = |name: &str| -> Result<Option<i64>, LedgerError> {
            match names.iter().position(|it| it == name) {
                None => Ok(None),
                Some(at) => Ok(row.get_ref(at)?.as_i64_or_null().unwrap_or_default()),
            }
        };
        let is_sheet = |at: usize| -> Result<bool, LedgerError> {
            Ok(row.get_ref(at)?.as_str() == Ok(Kind::Sheet.word()))
        };
        let known =
            |found: Option<i64>, set: &HashSet<i64>| found.is_some_and(|it| set.contains(&it));
        Ok(match table {
            "record" => !is_sheet(1)? || known(number("id")?, &self.sheets),
            "former_key" => !is_sheet(0)? || known(number("record")?, &self.sheets),
            "held" | "sheet" | "sheet_guide_tube" | "reading" => {
                known(number("entry")?, &self.entries)
            }
            "crew" => {
                known(number("entry")?, &self.entries)
                    || number("worker")?.is_some_and(|it| self.workers.contains(&it))
            }
            _ => true,
        })
    }
}

fn columns(conn: &Connection, table: &str) -> Result<Vec<String>, LedgerError> {
    let statement = conn.prepare(&format!("SELECT * FROM {table}"))?;
    let names = statement.column_names();
    Ok(names.into_iter().map(str::to_owned).collect())
}

fn other_form(
    live: &Connection,
    rebuilt: &Connection,
    table: &str,
) -> Result<Option<String>, LedgerError> {
    if !live.table_exists(None, table)? {
        return Ok(Some("it is not there".to_owned()));
    }
    let same = columns(live, table)? == columns(rebuilt, table)?;
    Ok((!same).then(|| "it has other columns than the program's".to_owned()))
}

fn first_difference(
    live: &Connection,
    rebuilt: &Connection,
    table: &str,
    choice: Option<&Chosen<'_>>,
) -> Result<Option<String>, LedgerError> {
    let names = columns(live, table)?;
    let order = if names.len() > 2 { "1, 2, 3" } else { "1, 2" };
    let sql = format!("SELECT * FROM {table} ORDER BY {order}");
    let is_chosen = |row: &Row<'_>| choice.map_or(Ok(true), |it| it.has(table, &names, row));
    first_unequal_row(
        &mut live.prepare(&sql)?,
        &mut rebuilt.prepare(&sql)?,
        is_chosen,
    )
}

fn first_unequal_row(
    live: &mut Statement<'_>,
    rebuilt: &mut Statement<'_>,
    is_chosen: impl Fn(&Row<'_>) -> Result<bool, LedgerError>,
) -> Result<Option<String>, LedgerError> {
    let columns = live.column_count();
    let (mut live, mut rebuilt) = (live.query([])?, rebuilt.query([])?);
    let of_entry = |row: &Row<'_>| -> Result<i64, LedgerError> {
        Ok(row.get_ref(0)?.as_i64().unwrap_or_default())
    };
    loop {
        let there = loop {
            match live.next()? {
                Some(row) if !is_chosen(row)? => {}
                other => break other,
            }
        };
        match (there, rebuilt.next()?) {
            (None, None) => return Ok(None),
            (Some(row), None) => {
                return Ok(Some(format!(
                    "a row of entry {} is too many",
                    of_entry(row)?
                )));
            }
            (None, Some(row)) => {
                return Ok(Some(format!(
                    "a row of entry {} is missing",
                    of_entry(row)?
                )));
            }
            (Some(a), Some(b)) => {
                for column in 0..columns {
                    if a.get_ref(column)? != b.get_ref(column)? {
                        let id = of_entry(b)?;
                        return Ok(Some(format!("a row of entry {id} says something else")));
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_worker_is_named_by_the_whole_number() {
        let body = r#"{"people":[{"worker":31},{"worker":4}]}"#;
        for (worker, named) in [(31, true), (4, true), (3, false), (1, false), (310, false)] {
            assert_eq!(names_worker(body, worker), named, "{worker}");
        }
    }
}

//! From entries to rows: the derived tables hold what the bodies say, never a
//! total, a finding or a rule. The same code fills them live and in a rebuild.

mod badge;
mod maintenance;
mod sheet;
mod shift_start;

use std::collections::HashSet;

use rusqlite::{Connection, OptionalExtension, Transaction, params};

use super::bulk::PutOff;
use super::{LedgerError, entry_kind, migrate};
use crate::ledger::entry::Entry;
use crate::ledger::tally::Tally;
use crate::record::{Body, Doubt, Kind, RecordId, Words};

/// The tables that hold rows of a kind.
fn tables(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Private => &["private_record"],
        Kind::Equipment => &["held"],
        Kind::InstalledPart => &["fitted_part"],
        Kind::Inspection => &["inspection", "inspection_line"],
        Kind::ShiftStart => &["shift_start"],
        Kind::Sheet => &["sheet", "sheet_guide_tube", "crew", "reading", "held"],
        Kind::Badge => &["badge", "held"],
        Kind::BadgeEvent => &["badge_event"],
        Kind::BadgeResult => &["badge_result", "badge_value", "held"],
        Kind::Acceptance => &["acceptance"],
        Kind::Determination => &["determination"],
        _ => &[],
    }
}

/// The names behind the words with which a statement of the derived form begins.
fn made(words: &'static [&'static str]) -> impl Iterator<Item = &'static str> {
    migrate::DERIVED.lines().filter_map(move |line| {
        let rest = words.iter().find_map(|words| line.strip_prefix(words))?;
        rest.split(' ').next()
    })
}

/// Every derived table and view, in the order in which they are made.
pub(super) fn all() -> impl Iterator<Item = &'static str> {
    made(&["CREATE TABLE ", "CREATE VIEW "])
}

/// Every derived table.
pub(super) fn all_tables() -> impl Iterator<Item = &'static str> {
    made(&["CREATE TABLE "])
}

/// The entries in force that point to a record, each once.
pub(super) fn referrers(conn: &Connection, record: RecordId) -> Result<Vec<i64>, LedgerError> {
    let mut sql = "SELECT entry FROM reference WHERE target = ?1
         AND NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.ends = reference.entry)"
        .to_owned();
    // A doubt mentions the sheet that it contradicts; it lapses with it.
    for table in tables(Kind::Sheet).iter().filter(|it| **it != "held") {
        let mut columns = conn.prepare_cached(
            "SELECT \"from\" FROM pragma_foreign_key_list(?1)
             WHERE \"table\" = 'record' AND \"from\" <> 'record'",
        )?;
        for column in columns.query_map([table], |row| row.get::<_, String>(0))? {
            let which = format!("{} = ?1 AND ended_by IS NULL", column?);
            sql.push_str(&format!(" UNION SELECT entry FROM {table} WHERE {which}"));
        }
    }
    let mut statement = conn.prepare(&format!("{sql} ORDER BY entry"))?;
    let found = statement.query_map([record], |row| row.get(0))?;
    Ok(found.collect::<Result<_, _>>()?)
}

/// The tables to which one of some tables points, other than itself.
fn parents(conn: &Connection, tables: &[&str]) -> Result<HashSet<String>, LedgerError> {
    let mut found = HashSet::new();
    for table in tables {
        let sql = "SELECT \"table\" FROM pragma_foreign_key_list(?1) WHERE \"table\" <> ?1";
        let mut statement = conn.prepare_cached(sql)?;
        let parents = statement.query_map([table], |row| row.get::<_, String>(0))?;
        for parent in parents {
            found.insert(parent?);
        }
    }
    Ok(found)
}

/// Drops what there is and makes the tables empty.
pub(super) fn make_tables(tx: &Transaction<'_>) -> Result<(), LedgerError> {
    let mut left = Vec::new();
    for name in all() {
        // An older form had tables in the place of views.
        let sql = "SELECT type FROM sqlite_schema WHERE name = ?1 AND type IN ('table', 'view')";
        let kind = tx
            .prepare_cached(sql)?
            .query_row([name], |row| row.get::<_, String>(0));
        match kind.optional()?.as_deref() {
            Some("view") => tx.execute_batch(&format!("DROP VIEW {name}"))?,
            Some(_) => left.push(name),
            None => {}
        }
    }
    // Children before their parents, so that no foreign key is in the way.
    while !left.is_empty() {
        let parents = parents(tx, &left)?;
        let (kept, free): (Vec<&str>, Vec<&str>) =
            left.iter().partition(|table| parents.contains(**table));
        // Tables that point to each other in a ring would go in any order.
        let drop = if free.is_empty() { &kept } else { &free };
        for table in drop {
            tx.execute_batch(&format!("DROP TABLE {table}"))?;
        }
        left = if free.is_empty() { free } else { kept };
    }
    tx.execute_batch(migrate::DERIVED)?;
    Ok(())
}

/// Makes the tables anew and fills them from every entry. Returns how many
/// entries were read.
pub(super) fn rebuild(tx: &Transaction<'_>, tally: &Tally) -> Result<i64, LedgerError> {
    make_tables(tx)?;
    migrate::record_derived(tx)?;
    let mut put_off = PutOff::begin(tx)?;
    tally.begin("making the tables", entry_count(tx)?);
    let sql = format!("SELECT {} FROM entry ORDER BY seq", Entry::COLUMNS);
    let mut statement = tx.prepare(&sql)?;
    let mut rows = statement.query([])?;
    let mut count = 0;
    let mut before = String::new();
    while let Some(row) = rows.next()? {
        let entry = Entry::from_row(row)?;
        replay(tx, &entry)?;
        clock_step(tx, entry.seq, &before, &entry.written_at)?;
        count += 1;
        tally.reach(entry.seq.unsigned_abs());
        before = entry.written_at;
    }
    put_off.finish(tx)?;
    Ok(count)
}

/// How many entries there are, for whoever watches.
pub(super) fn entry_count(conn: &Connection) -> Result<u64, LedgerError> {
    let newest = "SELECT COALESCE(MAX(seq), 0) FROM entry";
    let count: i64 = conn.query_row(newest, [], |row| row.get(0))?;
    Ok(count.unsigned_abs())
}

/// Derives the rows of one stored entry.
pub(super) fn replay(conn: &Connection, entry: &Entry) -> Result<(), LedgerError> {
    let kind = entry_kind(entry)?;
    let body = entry
        .read_body()
        .map_err(|detail| LedgerError::Unreadable {
            seq: entry.seq,
            detail,
        })?;
    match (entry.ends, body) {
        (None, Some(body)) => new_record(conn, entry.seq, &body.key(), &body),
        (Some(ends), Some(body)) => {
            amended_record(conn, entry.seq, entry.record, ends, &body.key(), &body)
        }
        (Some(ends), None) => voided_record(conn, entry.seq, entry.record, ends, kind),
        (None, None) => Err(LedgerError::Damaged {
            detail: format!("entry {} has no body and ends nothing", entry.seq),
        }),
    }
}

/// Notes that the clock went back between two entries, if it did.
pub(super) fn clock_step(
    conn: &Connection,
    seq: i64,
    before: &str,
    now: &str,
) -> Result<(), LedgerError> {
    if now < before {
        conn.execute(
            "INSERT INTO clock_step (entry, written_at, said_before) VALUES (?1, ?2, ?3)",
            (seq, now, before),
        )?;
    }
    Ok(())
}

/// Rows of a record's first entry.
pub(super) fn new_record(
    conn: &Connection,
    seq: i64,
    key: &str,
    body: &Body,
) -> Result<(), LedgerError> {
    conn.prepare_cached(
        "INSERT INTO record (id, kind, key, current, voided, own_row)
         VALUES (?1, ?2, ?3, ?1, 0, ?4)",
    )?
    .execute((seq, body.kind().stored(), key, body.row()))?;
    rows(conn, seq, seq, body)
}

/// Rows of an entry that replaces `ends`.
pub(super) fn amended_record(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    ends: i64,
    key: &str,
    body: &Body,
) -> Result<(), LedgerError> {
    end_rows(conn, seq, ends, body.kind())?;
    conn.execute(
        "INSERT INTO former_key (kind, key, record, entry)
         SELECT kind, key, id, ?2 FROM record WHERE id = ?1 AND key <> ?3",
        (record, ends, key),
    )?;
    conn.execute(
        "UPDATE record SET key = ?2, current = ?3, voided = 0, own_row = ?4 WHERE id = ?1",
        (record, key, seq, body.row()),
    )?;
    rows(conn, seq, record, body)
}

/// Ends the rows of a record that is void from now on.
pub(super) fn voided_record(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    ends: i64,
    kind: Kind,
) -> Result<(), LedgerError> {
    end_rows(conn, seq, ends, kind)?;
    conn.execute(
        "UPDATE record SET current = ?2, voided = 1 WHERE id = ?1",
        (record, seq),
    )?;
    Ok(())
}

fn end_rows(conn: &Connection, seq: i64, ends: i64, kind: Kind) -> Result<(), LedgerError> {
    for table in tables(kind) {
        let sql = format!("UPDATE {table} SET ended_by = ?1 WHERE entry = ?2 AND ended_by IS NULL");
        conn.prepare_cached(&sql)?.execute((seq, ends))?;
    }
    Ok(())
}

/// Rows of what is held about an entry.
fn held(conn: &Connection, seq: i64, doubts: &[Doubt]) -> Result<(), LedgerError> {
    for (at, doubt) in doubts.iter().enumerate() {
        conn.prepare_cached(
            "INSERT INTO held (entry, ordinal, sort, about, person, part, reading, other)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            seq,
            at as i64 + 1,
            doubt.kind.stored(),
            doubt.about,
            doubt.person,
            doubt.part,
            doubt.reading,
            doubt.with
        ])?;
    }
    Ok(())
}

fn rows(conn: &Connection, seq: i64, record: RecordId, body: &Body) -> Result<(), LedgerError> {
    match body {
        Body::Sheet(it) => return sheet::rows(conn, seq, record, it),
        Body::ShiftStart(it) => shift_start::row(conn, seq, record, it)?,
        Body::Badge(it) => badge::badge(conn, seq, record, it)?,
        Body::BadgeEvent(it) => badge::event(conn, seq, it)?,
        Body::BadgeResult(it) => badge::result(conn, seq, record, it)?,
        Body::Acceptance(it) => badge::acceptance(conn, seq, it)?,
        Body::Determination(it) => badge::determination(conn, seq, record, it)?,
        Body::Equipment(it) => held(conn, seq, &it.held)?,
        Body::InstalledPart(it) => maintenance::installed_part(conn, seq, record, it)?,
        Body::Inspection(it) => maintenance::inspection(conn, seq, record, it)?,
        Body::Private(it) => {
            conn.execute(
                "INSERT INTO private_record (entry, record, worker, reference, erased)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![seq, record, it.worker, it.reference, it.erased],
            )?;
        }
        _ => {}
    }
    let mut insert =
        conn.prepare_cached("INSERT OR IGNORE INTO reference (target, entry) VALUES (?1, ?2)")?;
    for pointer in body.references() {
        insert.execute((pointer.record, seq))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const BODIES: &str = include_str!("../../../tests/reference/bodies_v1.txt");

    #[test]
    fn the_bodies_fill_every_column_of_each_table_and_view() {
        let mut conn = Connection::open_in_memory().unwrap();
        // The bodies point to one another by numbers of their own.
        conn.pragma_update(None, "foreign_keys", false).unwrap();
        let tx = conn.transaction().unwrap();
        migrate::run(&tx).unwrap();
        make_tables(&tx).unwrap();
        for (line, seq) in BODIES.lines().zip(1..) {
            let (word, text) = line.split_once(": ").unwrap();
            let kind = Kind::from_stored(word).unwrap();
            let sql = "INSERT INTO entry VALUES (?1, ?1, ?2, 1, '', '', '', NULL, NULL, 0, ?3, ?4)";
            tx.execute(sql, (seq, word, text, [0; 32])).unwrap();
            let body = Body::read(kind, 1, text).unwrap();
            new_record(&tx, seq, &seq.to_string(), &body).unwrap();
        }
        let mut empty = Vec::new();
        for name in all().filter(|it| !matches!(*it, "former_key" | "clock_step")) {
            let all = tx.prepare(&format!("SELECT * FROM {name}")).unwrap();
            for column in all.column_names() {
                let sql = format!("SELECT count(\"{column}\") FROM {name}");
                let filled: i64 = tx.query_row(&sql, [], |row| row.get(0)).unwrap();
                if filled == 0 && !matches!(column, "ended_by" | "own_row") {
                    empty.push(format!("{name}.{column}"));
                }
            }
        }
        assert!(empty.is_empty(), "no value in any row: {empty:#?}");
    }
}

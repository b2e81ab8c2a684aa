//! From entries to rows: the derived tables hold what the bodies say, never a
//! total, a finding or a rule. The same code fills them live and in a rebuild.

mod badge;
mod event;
mod maintenance;
mod register;
mod sheet;
mod shift_start;

use std::collections::HashSet;

use rusqlite::{Connection, Transaction, params};

use super::bulk::PutOff;
use super::{LedgerError, entry_kind, migrate};
use crate::ledger::entry::Entry;
use crate::ledger::tally::Tally;
use crate::record::{Body, Doubt, Kind, RecordId, Words};

/// The tables that hold rows of a kind, the one with the entry as its key first.
pub(super) fn tables(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Charter => &["charter"],
        Kind::Adoption => &["scheme"],
        Kind::Job => &["job"],
        Kind::Worker => &["worker"],
        Kind::RoleChange => &["worker_role"],
        Kind::Monitoring => &["monitoring"],
        Kind::Private => &["private_record"],
        Kind::Pregnancy => &["pregnancy"],
        Kind::PregnancyEnd => &["pregnancy_end"],
        Kind::PriorDose => &["prior_dose"],
        Kind::MissingQuarter => &["missing_quarter"],
        Kind::Authorization => &["dose_authorization"],
        Kind::Instrument => &["instrument", "instrument_scale"],
        Kind::Check => &["instrument_check", "check_point"],
        Kind::Equipment => &["equipment", "held"],
        Kind::Withdrawal => &["withdrawal"],
        Kind::ServiceReturn => &["service_return"],
        Kind::ListAdoption => &["checklist"],
        Kind::FittedPart => &["fitted_part"],
        Kind::Inspection => &["inspection", "inspection_line"],
        Kind::Servicing => &["servicing"],
        Kind::LeakTest => &["leak_test"],
        Kind::Inventory => &["inventory", "inventory_item"],
        Kind::Loading => &["loading"],
        Kind::SourceCheck => &["source_check", "source_check_item"],
        Kind::ShiftStart => &[
            "shift_start",
            "shift_start_guide_tube",
            "start_crew",
            "start_reading",
        ],
        Kind::Sheet => &[
            "sheet",
            "sheet_guide_tube",
            "crew",
            "crew_late",
            "reading",
            "held",
        ],
        Kind::Badge => &["badge", "held"],
        Kind::BadgeEvent => &["badge_event"],
        Kind::BadgeResult => &["badge_result", "badge_value", "held"],
        Kind::Acceptance => &["acceptance"],
        Kind::Settlement => &["settlement"],
        Kind::Resolution => &["resolution", "resolution_claim"],
        Kind::Determination => &["determination", "superseded"],
        Kind::PlannedExposure => &["planned_exposure"],
        Kind::Qualification => &["qualification"],
        Kind::Mapping => &["mapping", "mapping_column"],
        Kind::Disposition => &["ruling"],
        Kind::Decision => &["decision"],
        Kind::Event => &["event", "event_item", "event_person"],
        Kind::EventHappening => &["event_happening"],
        Kind::EventNote => &["event_note"],
        Kind::EventCause => &["event_cause"],
        Kind::EventAction => &["event_action"],
        Kind::EventLink => &["event_link"],
        Kind::DutyAnswer => &["duty_answer"],
        Kind::DutyDone => &["duty_done"],
        Kind::Conclusion => &["conclusion"],
        Kind::EventEnd => &["event_end"],
        Kind::Review => &["review", "review_figure"],
        Kind::AnnualReport => &["annual_report"],
        Kind::DoseRequest => &["dose_request"],
    }
}

/// Every derived table: those of the kinds, the two that name records, and the clock's steps.
pub(super) fn all_tables() -> Vec<&'static str> {
    let mut all: Vec<&str> = Kind::ALL
        .iter()
        .flat_map(|kind| tables(*kind))
        .copied()
        .collect();
    all.extend(["clock_step", "former_key", "record"]);
    // Sheets, badges, results and sources share the table of what is held.
    let mut seen = HashSet::new();
    all.retain(|table| seen.insert(*table));
    all
}

/// Every column of a derived table that points to another record.
pub(super) fn reference_columns(conn: &Connection) -> Result<Vec<(String, String)>, LedgerError> {
    let mut columns = Vec::new();
    for table in all_tables() {
        let mut statement = conn.prepare_cached(
            "SELECT \"from\" FROM pragma_foreign_key_list(?1)
             WHERE \"table\" = 'record' AND \"from\" <> 'record'",
        )?;
        let found = statement.query_map([table], |row| row.get::<_, String>(0))?;
        for column in found {
            columns.push((table.to_owned(), column?));
        }
    }
    Ok(columns)
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
    // Children before their parents, so that no foreign key is in the way.
    let mut left = all_tables();
    while !left.is_empty() {
        let parents = parents(tx, &left)?;
        let (kept, free): (Vec<&str>, Vec<&str>) =
            left.iter().partition(|table| parents.contains(**table));
        // Tables that point to each other in a ring would go in any order.
        let drop = if free.is_empty() { &kept } else { &free };
        for table in drop {
            tx.execute_batch(&format!("DROP TABLE IF EXISTS {table}"))?;
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
            doubt.sort.stored(),
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
        Body::Sheet(it) => sheet::rows(conn, seq, record, it),
        Body::ShiftStart(it) => shift_start::rows(conn, seq, record, it),
        Body::Badge(_)
        | Body::BadgeEvent(_)
        | Body::BadgeResult(_)
        | Body::Acceptance(_)
        | Body::Settlement(_)
        | Body::Resolution(_)
        | Body::Determination(_)
        | Body::PlannedExposure(_)
        | Body::Qualification(_) => badge::rows(conn, seq, record, body),
        Body::ListAdoption(_)
        | Body::FittedPart(_)
        | Body::Inspection(_)
        | Body::Check(_)
        | Body::Servicing(_)
        | Body::LeakTest(_)
        | Body::Inventory(_)
        | Body::Loading(_)
        | Body::SourceCheck(_) => maintenance::rows(conn, seq, record, body),
        Body::Event(_)
        | Body::EventHappening(_)
        | Body::EventNote(_)
        | Body::EventCause(_)
        | Body::EventAction(_)
        | Body::EventLink(_)
        | Body::DutyAnswer(_)
        | Body::DutyDone(_)
        | Body::Conclusion(_)
        | Body::EventEnd(_)
        | Body::Review(_)
        | Body::AnnualReport(_) => event::rows(conn, seq, record, body),
        other => register::rows(conn, seq, record, other),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use super::*;

    const BODIES: &str = include_str!("../../../tests/reference/bodies_v1.txt");

    #[test]
    fn every_kind_leaves_rows_in_each_of_its_tables() {
        let mut conn = Connection::open_in_memory().unwrap();
        // The bodies point to one another by numbers of their own.
        conn.pragma_update(None, "foreign_keys", false).unwrap();
        let tx = conn.transaction().unwrap();
        make_tables(&tx).unwrap();
        let mut entries: HashMap<Kind, Vec<i64>> = HashMap::new();
        for (line, seq) in BODIES.lines().zip(1..) {
            let (word, text) = line.split_once(": ").unwrap();
            let kind = Kind::from_stored(word).unwrap();
            let body = Body::read(kind, 1, text).unwrap();
            new_record(&tx, seq, &seq.to_string(), &body).unwrap();
            entries.entry(kind).or_default().push(seq);
        }
        let mut without = Vec::new();
        for kind in Kind::ALL {
            let of_kind = entries.remove(kind).unwrap_or_default();
            for table in tables(*kind) {
                let sql = format!("SELECT count(*) FROM {table} WHERE entry = ?1");
                let rows =
                    |entry: &i64| -> i64 { tx.query_row(&sql, [entry], |row| row.get(0)).unwrap() };
                if of_kind.iter().map(rows).sum::<i64>() == 0 {
                    without.push(format!("{}: {table}", kind.stored()));
                }
            }
        }
        assert!(without.is_empty(), "no rows: {without:#?}");
    }
}

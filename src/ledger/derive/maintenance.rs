//! Rows of calibrations, servicing, leak tests, inventories, source exchanges,
//! parts and inspections.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{Body, Check, FittedPart, Inspection, Inventory, RecordId, SourceCheck, Words};

/// Inserts the rows of such a body.
pub(super) fn rows(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    body: &Body,
) -> Result<(), LedgerError> {
    match body {
        Body::Check(it) => check(conn, seq, it)?,
        Body::Servicing(it) => {
            conn.execute(
                "INSERT INTO servicing (entry, instrument, on_day, sort, what, done_by)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![seq, it.instrument, it.on, it.sort.stored(), it.what, it.by],
            )?;
        }
        Body::LeakTest(it) => {
            conn.execute(
                "INSERT INTO leak_test (entry, item, part, on_day, removable_bq, below, done_by,
                                        certificate)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    seq,
                    it.item,
                    it.part.stored(),
                    it.on,
                    it.removable_bq.bq(),
                    it.below,
                    it.by,
                    it.certificate
                ],
            )?;
        }
        Body::Inventory(it) => inventory(conn, seq, it)?,
        Body::Loading(it) => {
            conn.execute(
                "INSERT INTO loading (entry, device, source, on_day, done_by)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![seq, it.device, it.source, it.on, it.by],
            )?;
        }
        Body::SourceCheck(it) => source_check(conn, seq, it)?,
        Body::ListAdoption(it) => {
            conn.execute(
                "INSERT INTO checklist (entry, record, name, in_force, text)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![seq, record, it.name, it.from, it.text],
            )?;
        }
        Body::FittedPart(it) => fitted_part(conn, seq, record, it)?,
        Body::Inspection(it) => inspection(conn, seq, record, it)?,
        _ => {}
    }
    Ok(())
}

fn check(conn: &Connection, seq: i64, it: &Check) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO instrument_check (entry, instrument, on_day, sort, result, done_by,
                                       certificate)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        params![
            seq,
            it.instrument,
            it.on,
            it.sort.stored(),
            it.result.stored(),
            it.by,
            it.certificate
        ],
    )?;
    for (at, point) in it.points.iter().enumerate() {
        conn.execute(
            "INSERT INTO check_point (entry, ordinal, as_left, scale, true_value, reads)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                seq,
                at as i64 + 1,
                point.as_left,
                point.scale,
                point.true_value,
                point.reads
            ],
        )?;
    }
    Ok(())
}

fn fitted_part(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &FittedPart,
) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO fitted_part (entry, record, equipment, component, fitted_on, done_by,
                                  serial, lot, line, nominal, limit_at)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
        params![
            seq,
            record,
            it.equipment,
            it.component,
            it.fitted_on,
            it.by,
            it.serial,
            it.lot,
            it.line,
            it.nominal,
            it.limit
        ],
    )?;
    Ok(())
}

fn inventory(conn: &Connection, seq: i64, it: &Inventory) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO inventory (entry, on_day, done_by, note, location)
         VALUES (?1, ?2, ?3, ?4, ?5)",
        params![seq, it.on, it.by, it.note, it.location],
    )?;
    for (at, item) in it.found.iter().enumerate() {
        conn.execute(
            "INSERT INTO inventory_item (entry, ordinal, item) VALUES (?1, ?2, ?3)",
            params![seq, at as i64 + 1, item],
        )?;
    }
    Ok(())
}

fn source_check(conn: &Connection, seq: i64, it: &SourceCheck) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO source_check (entry, sort, on_day, arrived, done_at, done_by, reference, place)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            seq,
            it.sort.stored(),
            it.on,
            it.arrived,
            it.at,
            it.by,
            it.reference,
            it.place
        ],
    )?;
    for (at, source) in it.sources.iter().enumerate() {
        conn.execute(
            "INSERT INTO source_check_item (entry, ordinal, source) VALUES (?1, ?2, ?3)",
            params![seq, at as i64 + 1, source],
        )?;
    }
    Ok(())
}

fn inspection(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &Inspection,
) -> Result<(), LedgerError> {
    conn.prepare_cached(
        "INSERT INTO inspection (entry, record, item, list, occasion, on_day, at, worker, looked,
                                 counter, note)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
    )?
    .execute(params![
        seq,
        record,
        it.item,
        it.list,
        it.when.stored(),
        it.on,
        it.at,
        it.by.known(),
        it.by.written(),
        it.counter,
        it.note
    ])?;
    let mut insert = conn.prepare_cached(
        "INSERT INTO inspection_line (entry, ordinal, line, result, value, note, action, other)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    )?;
    for (at, line) in it.lines.iter().enumerate() {
        insert.execute(params![
            seq,
            at as i64 + 1,
            line.item,
            line.result.stored(),
            line.value,
            line.note,
            line.action,
            line.with
        ])?;
    }
    Ok(())
}

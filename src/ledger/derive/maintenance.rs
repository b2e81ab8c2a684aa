//! Rows of installed parts and inspections.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{Inspection, InstalledPart, RecordId, Words};

/// Inserts a part as installed.
pub(super) fn installed_part(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &InstalledPart,
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
            it.installed_on,
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

/// Inserts an inspection and its lines.
pub(super) fn inspection(
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

//! The row of the start of a shift.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{RecordId, Ref, ShiftStart, Words};

fn known<T>(it: &Option<Ref<T>>) -> Option<RecordId> {
    it.as_ref().and_then(Ref::number)
}

/// Inserts a start.
pub(super) fn row(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &ShiftStart,
) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO shift_start (entry, record, reference, day, shift, begins, job, work, device,
                                  source, control_unit, meter, meter_checked, note)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)",
        params![
            seq,
            record,
            it.reference,
            it.day,
            it.shift.stored(),
            it.begins,
            it.job.known(),
            it.work.stored(),
            known(&it.device),
            known(&it.source),
            known(&it.control_unit),
            known(&it.meter),
            it.meter_checked,
            it.note,
        ],
    )?;
    Ok(())
}

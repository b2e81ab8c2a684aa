//! Rows of the start of a shift: the start, its guide tubes, its crew and their first readings.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{RecordId, Ref, ShiftStart, Words};

fn known<T>(it: &Option<Ref<T>>) -> Option<RecordId> {
    it.as_ref().and_then(Ref::number)
}

/// Inserts the rows of a start.
pub(super) fn rows(
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
    for (ordinal, tube) in (1_i64..).zip(&it.guide_tubes) {
        conn.execute(
            "INSERT INTO shift_start_guide_tube (entry, ordinal, tube) VALUES (?1, ?2, ?3)",
            params![seq, ordinal, tube.known()],
        )?;
    }
    for (place, person) in (1_i64..).zip(&it.people) {
        conn.execute(
            "INSERT INTO start_crew (entry, person, worker, role, ratemeter, alarm_tested,
                                     badge_worn, badge)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![
                seq,
                place,
                person.worker.known(),
                person.role.stored(),
                known(&person.ratemeter),
                person.alarm_tested,
                person.badge_worn,
                person.badge,
            ],
        )?;
        for (ordinal, reading) in (1_i64..).zip(&person.readings) {
            conn.execute(
                "INSERT INTO start_reading (entry, person, ordinal, dosimeter, unit, start_count,
                                            recharged)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                params![
                    seq,
                    place,
                    ordinal,
                    reading.dosimeter.known(),
                    reading.start.map(|shown| shown.unit().symbol()),
                    reading.start.map(|shown| shown.count()),
                    reading.recharged,
                ],
            )?;
        }
    }
    Ok(())
}

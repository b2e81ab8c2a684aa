//! Rows of a sheet: the sheet, its guide tubes, its crew, their readings and
//! what is held. This is the path of every bulk import, so statements are
//! prepared once and nothing is allocated but the day's text.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{RecordId, Ref, Sheet, Words};

fn known<T>(it: &Option<Ref<T>>) -> Option<RecordId> {
    it.as_ref().and_then(Ref::number)
}

/// Inserts the rows of a sheet.
pub(super) fn rows(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    sheet: &Sheet,
) -> Result<(), LedgerError> {
    let day = sheet.day.to_string();
    conn.prepare_cached(
        "INSERT INTO sheet (entry, record, reference, day, shift, begins, ends,
                            crosses_midnight, job, work, device, source, control_unit, meter,
                            exposures, source_out_s, boundary, storage_survey, device_out,
                            device_back, attested_by, paper_date, paper_signer, note,
                            first_exposure, shift_start, site, meter_checked, meter_late,
                            storage_meter, storage_distance, locked, signed_by)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17,
                 ?18, ?19, ?20, ?21, ?22, ?23, ?24, ?25, ?26, ?27, ?28, ?29, ?30, ?31, ?32, ?33)",
    )?
    .execute(params![
        seq,
        record,
        sheet.reference,
        day,
        sheet.shift.stored(),
        sheet.begins,
        sheet.ends,
        sheet.crosses_midnight(),
        sheet.job.known(),
        sheet.work.stored(),
        known(&sheet.device),
        known(&sheet.source),
        known(&sheet.control_unit),
        known(&sheet.meter),
        sheet.exposures,
        sheet.source_out_s,
        sheet.boundary,
        sheet.storage_survey,
        sheet.device_out,
        sheet.device_back,
        known(&sheet.attested_by),
        sheet.paper.as_ref().map(|paper| paper.date),
        sheet.paper.as_ref().map(|paper| &paper.signer),
        sheet.note,
        sheet.first_exposure,
        sheet.shift_start,
        sheet.site,
        sheet.meter_checked,
        sheet.meter_late,
        known(&sheet.storage_meter),
        sheet.storage_distance,
        sheet.locked,
        known(&sheet.signed_by),
    ])?;
    let mut insert = conn.prepare_cached(
        "INSERT INTO sheet_guide_tube (entry, ordinal, tube) VALUES (?1, ?2, ?3)",
    )?;
    for (at, tube) in sheet.guide_tubes.iter().enumerate() {
        insert.execute(params![seq, at as i64 + 1, tube.known()])?;
    }
    crew(conn, seq, &day, sheet)?;
    super::held(conn, seq, &sheet.held)
}

fn crew(conn: &Connection, seq: i64, day: &str, sheet: &Sheet) -> Result<(), LedgerError> {
    let mut insert_person = conn.prepare_cached(
        "INSERT INTO crew (entry, person, worker, day, role, ratemeter, alarm_tested, badge_worn,
                           badge)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )?;
    let mut insert_reading = conn.prepare_cached(
        "INSERT INTO reading (entry, person, ordinal, dosimeter, day, part, unit,
                              start_count, end_count, off_scale, recharged)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
    )?;
    for (place, person) in (1_i64..).zip(&sheet.people) {
        insert_person.execute(params![
            seq,
            place,
            person.worker.known(),
            day,
            person.role.stored(),
            known(&person.ratemeter),
            person.alarm_tested,
            person.badge_worn,
            person.badge
        ])?;
        for (ordinal, reading) in (1_i64..).zip(&person.readings) {
            let unit = reading
                .end
                .or(reading.start)
                .map(|shown| shown.unit().symbol());
            insert_reading.execute(params![
                seq,
                place,
                ordinal,
                reading.dosimeter.known(),
                day,
                reading.part,
                unit,
                reading.start.map(|shown| shown.count()),
                reading.end.map(|shown| shown.count()),
                sheet.is_off_scale(place, ordinal, reading),
                reading.recharged
            ])?;
        }
    }
    Ok(())
}

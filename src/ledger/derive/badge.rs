//! Rows of badges and their results, and of determinations.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{
    Acceptance, Badge, BadgeEvent, BadgeResult, Determination, RecordId, Scope, Words,
};

/// Inserts what became of a badge.
pub(super) fn event(conn: &Connection, seq: i64, it: &BadgeEvent) -> Result<(), LedgerError> {
    conn.prepare_cached(
        "INSERT INTO badge_event (entry, badge, change, on_day, note) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?
    .execute(params![seq, it.badge, it.change.stored(), it.on, it.note])?;
    Ok(())
}

/// Inserts the acceptance of a result.
pub(super) fn acceptance(conn: &Connection, seq: i64, it: &Acceptance) -> Result<(), LedgerError> {
    conn.prepare_cached(
        "INSERT INTO acceptance (entry, result, result_entry, on_day, accepted_by, second_by)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?
    .execute((seq, it.result, it.entry, it.on, it.by, it.second_by))?;
    Ok(())
}

/// Inserts a badge.
pub(super) fn badge(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &Badge,
) -> Result<(), LedgerError> {
    conn.prepare_cached(
        "INSERT INTO badge (entry, record, badge, sort, worker, employer, first_day,
                            last_day, last_read, on_demand, same_dose)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
    )?
    .execute(params![
        seq,
        record,
        it.badge,
        it.kind.stored(),
        it.worker,
        it.employer,
        it.first_day,
        it.last_day,
        it.last_read,
        it.on_demand,
        it.same_dose
    ])?;
    super::held(conn, seq, &it.held)
}

/// Inserts a result and what it says.
pub(super) fn result(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &BadgeResult,
) -> Result<(), LedgerError> {
    conn.prepare_cached(
        "INSERT INTO badge_result (entry, record, badge, report, reported_on, gross_nsv,
                                   total_nsv, year_to_date_nsv)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    )?
    .execute(params![
        seq,
        record,
        it.badge.known(),
        it.report,
        it.reported_on,
        it.gross_nsv.map(|dose| dose.nsv()),
        it.total_nsv.map(|dose| dose.nsv()),
        it.year_to_date_nsv.map(|dose| dose.nsv())
    ])?;
    for (quantity, value) in it.values() {
        let Some(value) = value else { continue };
        conn.prepare_cached(
            "INSERT INTO badge_value (entry, quantity, written, below, nsv, minimum_nsv)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![
            seq,
            quantity.stored(),
            value.written,
            value.below,
            value.nsv.nsv(),
            value.minimum_nsv.map(|dose| dose.nsv())
        ])?;
    }
    super::held(conn, seq, &it.held)
}

/// Inserts a determination.
pub(super) fn determination(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &Determination,
) -> Result<(), LedgerError> {
    let (mut sheet, mut dosimeter, mut part, mut badge) = (None, None, None, None);
    let (mut first, mut last) = (None, None);
    match it.scope {
        Scope::Reading {
            dosimeter: of,
            part: number,
            sheet: on,
        } => (sheet, dosimeter, part) = (Some(on), Some(of), number),
        Scope::Badge {
            badge: of,
            last_day,
        } => (badge, last) = (Some(of), last_day),
        Scope::Days {
            first_day,
            last_day,
        } => (first, last) = (Some(first_day), Some(last_day)),
    }
    conn.execute(
        "INSERT INTO determination (entry, record, worker, sheet, dosimeter, part, badge,
                                    first_day, last_day, quantity, relation, dose_nsv,
                                    method, on_day, determined_by, second_by, basis)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17)",
        params![
            seq,
            record,
            it.worker,
            sheet,
            dosimeter,
            part,
            badge,
            first,
            last,
            it.quantity.stored(),
            it.relation.stored(),
            it.dose_nsv.nsv(),
            it.method.stored(),
            it.on,
            it.by,
            it.second_by,
            it.basis
        ],
    )?;
    Ok(())
}

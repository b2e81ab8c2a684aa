//! Rows of the registers and of the small records.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{Body, Equipment, Mapping, RecordId, Words};

/// Inserts the rows of any body but a sheet's.
pub(super) fn rows(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    body: &Body,
) -> Result<(), LedgerError> {
    match body {
        Body::Instrument(_) | Body::Equipment(_) | Body::Withdrawal(_) | Body::ServiceReturn(_) => {
            things(conn, seq, record, body)
        }
        Body::Worker(_)
        | Body::RoleChange(_)
        | Body::Monitoring(_)
        | Body::Private(_)
        | Body::Pregnancy(_)
        | Body::PregnancyEnd(_)
        | Body::PriorDose(_)
        | Body::MissingQuarter(_)
        | Body::DoseRequest(_)
        | Body::Authorization(_) => people(conn, seq, record, body),
        other => house(conn, seq, record, other),
    }
}

fn house(conn: &Connection, seq: i64, record: RecordId, body: &Body) -> Result<(), LedgerError> {
    match body {
        Body::Charter(it) => conn.execute(
            "INSERT INTO charter (entry, ledger_id, licence, licensee, site, unit, zone,
                                  first_rso, clock)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            params![
                seq,
                it.ledger_id,
                it.licence,
                it.licensee,
                it.site,
                it.unit,
                it.zone,
                it.first_rso,
                it.clock.stored()
            ],
        )?,
        Body::Adoption(it) => conn.execute(
            "INSERT INTO scheme (entry, record, name, in_force, text) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![seq, record, it.name, it.from, it.text],
        )?,
        Body::Job(it) => conn.execute(
            "INSERT INTO job (entry, record, id, place, jurisdiction, setting, zone, first_day,
                              last_day, client)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            params![
                seq,
                record,
                it.id,
                it.place,
                it.jurisdiction,
                it.setting.stored(),
                it.zone,
                it.first_day,
                it.last_day,
                it.client
            ],
        )?,
        Body::Disposition(it) => conn.execute(
            "INSERT INTO ruling (entry, held_record, held_entry, held_item, outcome, why)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                seq,
                it.record,
                it.entry,
                it.item,
                it.outcome.stored(),
                it.reason
            ],
        )?,
        Body::Decision(it) => conn.execute(
            "INSERT INTO decision (entry, finding, answer) VALUES (?1, ?2, ?3)",
            params![seq, it.finding, it.answer],
        )?,
        Body::Mapping(it) => mapping(conn, seq, record, it)?,
        _ => 0,
    };
    Ok(())
}

fn mapping(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &Mapping,
) -> Result<usize, LedgerError> {
    conn.execute(
        "INSERT INTO mapping (entry, record, name) VALUES (?1, ?2, ?3)",
        params![seq, record, it.name],
    )?;
    for (at, (name, heading)) in it.columns.iter().enumerate() {
        conn.execute(
            "INSERT INTO mapping_column (entry, ordinal, name, heading) VALUES (?1, ?2, ?3, ?4)",
            params![seq, at as i64 + 1, name, heading],
        )?;
    }
    Ok(it.columns.len())
}

fn people(conn: &Connection, seq: i64, record: RecordId, body: &Body) -> Result<(), LedgerError> {
    match body {
        Body::Worker(it) => conn.execute(
            "INSERT INTO worker (entry, record, id, name, role, category, birth_date,
                                 monitored_from)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![
                seq,
                record,
                it.id,
                it.name,
                it.role.stored(),
                it.category.stored(),
                it.birth_date,
                it.monitored_from
            ],
        )?,
        Body::RoleChange(it) => conn.execute(
            "INSERT INTO worker_role (entry, worker, from_day, role) VALUES (?1, ?2, ?3, ?4)",
            params![seq, it.worker, it.from, it.role.stored()],
        )?,
        Body::Monitoring(it) => conn.execute(
            "INSERT INTO monitoring (entry, worker, on_day, change) VALUES (?1, ?2, ?3, ?4)",
            params![seq, it.worker, it.on, it.change.stored()],
        )?,
        Body::Private(it) => conn.execute(
            "INSERT INTO private_record (entry, record, worker, reference, erased)
             VALUES (?1, ?2, ?3, ?4, ?5)",
            params![seq, record, it.worker, it.reference, it.erased],
        )?,
        Body::Pregnancy(it) => conn.execute(
            "INSERT INTO pregnancy (entry, record, worker, notice_on, conception_on)
             VALUES (?1, ?2, ?3, ?4, ?5)",
            params![seq, record, it.worker, it.notice_on, it.conception_on],
        )?,
        Body::PregnancyEnd(it) => conn.execute(
            "INSERT INTO pregnancy_end (entry, pregnancy, on_day, how) VALUES (?1, ?2, ?3, ?4)",
            params![seq, it.pregnancy, it.on, it.how.stored()],
        )?,
        Body::PriorDose(it) => conn.execute(
            "INSERT INTO prior_dose (entry, worker, first_day, last_day, employer, deep_nsv,
                                     lens_nsv, shallow_nsv, extremity_nsv, basis)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            params![
                seq,
                it.worker,
                it.first_day,
                it.last_day,
                it.employer,
                it.deep_nsv.map(|dose| dose.nsv()),
                it.lens_nsv.map(|dose| dose.nsv()),
                it.shallow_nsv.map(|dose| dose.nsv()),
                it.extremity_nsv.map(|dose| dose.nsv()),
                it.basis
            ],
        )?,
        Body::MissingQuarter(it) => conn.execute(
            "INSERT INTO missing_quarter (entry, worker, year, quarter, exposure_possible)
             VALUES (?1, ?2, ?3, ?4, ?5)",
            params![seq, it.worker, it.year, it.quarter, it.exposure_possible],
        )?,
        Body::DoseRequest(it) => conn.execute(
            "INSERT INTO dose_request (entry, worker, employer, on_day, first_day, last_day,
                                       answered_on, answer)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![
                seq,
                it.worker,
                it.employer,
                it.on,
                it.first_day,
                it.last_day,
                it.answered_on,
                it.answer
            ],
        )?,
        Body::Authorization(it) => conn.execute(
            "INSERT INTO dose_authorization (entry, worker, level, first_day, last_day, basis)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                seq,
                it.worker,
                it.level,
                it.first_day,
                it.last_day,
                it.basis
            ],
        )?,
        _ => 0,
    };
    Ok(())
}

fn things(conn: &Connection, seq: i64, record: RecordId, body: &Body) -> Result<(), LedgerError> {
    match body {
        Body::Instrument(it) => {
            conn.execute(
                "INSERT INTO instrument (entry, record, id, sort, maker, model, serial, face,
                                         range, scale, alarm_preset, in_service)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
                params![
                    seq,
                    record,
                    it.id,
                    it.sort.stored(),
                    it.maker,
                    it.model,
                    it.serial,
                    it.face,
                    it.range,
                    it.scale.map(Words::word),
                    it.alarm_preset,
                    it.in_service
                ],
            )?;
            for (at, scale) in it.scales.iter().enumerate() {
                conn.execute(
                    "INSERT INTO instrument_scale (entry, ordinal, full_scale) VALUES (?1, ?2, ?3)",
                    params![seq, at as i64 + 1, scale],
                )?;
            }
        }
        Body::Equipment(it) => {
            equipment(conn, seq, record, it)?;
            super::held(conn, seq, &it.held)?;
        }
        Body::Withdrawal(it) => {
            conn.execute(
                "INSERT INTO withdrawal (entry, item, on_day, why, done_by, transferred_to,
                                         shipping_paper, licence_verified)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    seq,
                    it.item,
                    it.on,
                    it.reason,
                    it.by,
                    it.transferred_to,
                    it.shipping_paper,
                    it.licence_verified
                ],
            )?;
        }
        Body::ServiceReturn(it) => {
            conn.execute(
                "INSERT INTO service_return (entry, item, on_day, done, done_by)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![seq, it.item, it.on, it.done, it.by],
            )?;
        }
        _ => {}
    }
    Ok(())
}

fn equipment(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    it: &Equipment,
) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO equipment (entry, record, id, sort, maker, model, serial, nuclide,
                                activity_bq, activity_on, in_service, uranium_tube,
                                received_on, received_from, received_by,
                                shipping_paper, uranium_mass)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16,
                 ?17)",
        params![
            seq,
            record,
            it.id,
            it.sort.stored(),
            it.maker,
            it.model,
            it.serial,
            it.nuclide,
            it.activity_bq.map(|activity| activity.bq()),
            it.activity_on,
            it.in_service,
            it.uranium_tube,
            it.received_on,
            it.received_from,
            it.received_by,
            it.shipping_paper,
            it.uranium_mass
        ],
    )?;
    Ok(())
}

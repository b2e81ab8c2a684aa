//! Rows of events and of what was learned, told and concluded about them, and of reviews.

use rusqlite::{Connection, params};

use crate::ledger::LedgerError;
use crate::record::{Body, Event, EventNote, RecordId, Ref, Review, Words};

/// Inserts the rows of such a body.
pub(super) fn rows(
    conn: &Connection,
    seq: i64,
    record: RecordId,
    body: &Body,
) -> Result<(), LedgerError> {
    match body {
        Body::Event(it) => event(conn, seq, record, it)?,
        Body::EventNote(it) => note(conn, seq, it)?,
        Body::EventCause(it) => {
            conn.execute(
                "INSERT INTO event_cause (entry, event, known_at, equipment, component, failure,
                                          human, sort, leads_to, because)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
                params![
                    seq,
                    it.event,
                    it.known_at,
                    it.equipment,
                    it.component,
                    it.failure,
                    it.human.map(Words::stored),
                    it.sort.map(Words::stored),
                    it.leads_to,
                    it.because
                ],
            )?;
        }
        Body::EventAction(it) => {
            conn.execute(
                "INSERT INTO event_action (entry, record, event, plan, due_on, done_on, done_by,
                                           words)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    seq, record, it.event, it.plan, it.due_on, it.done_on, it.by, it.words
                ],
            )?;
        }
        Body::EventLink(it) => {
            conn.execute(
                "INSERT INTO event_link (entry, event, linked, worker, dosimeter)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![seq, it.event, it.record, it.worker, it.dosimeter],
            )?;
        }
        Body::EventHappening(it) => {
            conn.execute(
                "INSERT INTO event_happening (entry, event, happening, at, words)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![seq, it.event, it.happening, it.at, it.words],
            )?;
        }
        Body::EventEnd(it) => {
            conn.execute(
                "INSERT INTO event_end (entry, event, on_day, closed_by, words)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![seq, it.event, it.on, it.by, it.words],
            )?;
        }
        Body::Review(it) => review(conn, seq, it)?,
        other => judged(conn, seq, other)?,
    }
    Ok(())
}

/// Rows of answers, notices and conclusions, and of what was sent to the authority.
fn judged(conn: &Connection, seq: i64, body: &Body) -> Result<(), LedgerError> {
    match body {
        Body::DutyAnswer(it) => {
            conn.execute(
                "INSERT INTO duty_answer (entry, event, question, at, answer, reason)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![seq, it.event, it.question, it.at, it.answer, it.reason],
            )?;
        }
        Body::DutyDone(it) => {
            conn.execute(
                "INSERT INTO duty_done (entry, event, duty, from_start, at, done_by, told,
                                        reference)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    seq,
                    it.event,
                    it.duty,
                    it.from,
                    it.at,
                    it.by,
                    it.to,
                    it.reference
                ],
            )?;
        }
        Body::Conclusion(it) => {
            conn.execute(
                "INSERT INTO conclusion (entry, event, equipment, item, coverage, on_day,
                                         concluded_by, because)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    seq,
                    it.event,
                    it.equipment,
                    it.item,
                    it.coverage.stored(),
                    it.on,
                    it.by,
                    it.because
                ],
            )?;
        }
        Body::AnnualReport(it) => {
            conn.execute(
                "INSERT INTO annual_report (entry, year, told, on_day, sent_by, reference, worker)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                params![seq, it.year, it.to, it.on, it.by, it.reference, it.worker],
            )?;
        }
        _ => {}
    }
    Ok(())
}

fn event(conn: &Connection, seq: i64, record: RecordId, it: &Event) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO event (entry, record, name, kind, occurred, discovered, job, place, words)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        params![
            seq,
            record,
            it.name,
            it.kind,
            it.occurred,
            it.discovered,
            it.job,
            it.place,
            it.words
        ],
    )?;
    for (at, item) in it.equipment.iter().enumerate() {
        conn.execute(
            "INSERT INTO event_item (entry, ordinal, item) VALUES (?1, ?2, ?3)",
            params![seq, at as i64 + 1, item],
        )?;
    }
    for (at, person) in it.people.iter().enumerate() {
        conn.execute(
            "INSERT INTO event_person (entry, ordinal, worker, name, role, monitored)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                seq,
                at as i64 + 1,
                person.person.known(),
                person.person.written(),
                person.role,
                person.monitored
            ],
        )?;
    }
    Ok(())
}

fn review(conn: &Connection, seq: i64, it: &Review) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO review (entry, month, on_day, signed_by, entries, head, open_stops, program,
                             reason)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        params![
            seq,
            it.month,
            it.on,
            it.by,
            it.entries,
            it.head,
            it.open_stops,
            it.program,
            it.reason
        ],
    )?;
    for figure in &it.figures {
        conn.execute(
            "INSERT INTO review_figure (entry, worker, month_nsv, at_least, year_nsv,
                                        of_record_nsv)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                seq,
                figure.worker,
                figure.month_nsv.nsv(),
                figure.at_least,
                figure.year_nsv.nsv(),
                figure.of_record_nsv.nsv()
            ],
        )?;
    }
    Ok(())
}

fn note(conn: &Connection, seq: i64, it: &EventNote) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO event_note (entry, event, at, worker, name, barrier, state, disputes, item,
                                 words)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        params![
            seq,
            it.event,
            it.at,
            it.person.as_ref().and_then(Ref::known),
            it.person.as_ref().and_then(Ref::written),
            it.barrier.map(Words::word),
            it.state.map(Words::word),
            it.disputes,
            it.item,
            it.words
        ],
    )?;
    Ok(())
}

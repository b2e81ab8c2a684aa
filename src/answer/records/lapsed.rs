//! Who worked while a qualification was not in force, every day of it: also of those that are in
//! force again.

use super::{Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, under};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::status::qualification_findings::lapsed_days;
use crate::dose::qualification::DutyState;
use crate::rule::Status;

const COLUMNS: &[Column] = &[
    column("worker", "person"),
    under("name", "name"),
    column("duty", "not in force"),
    under("since", "since"),
    under("rule", "rule"),
    column("days", "days worked"),
    under("which", "on"),
    column("today", "today"),
];

/// Who worked in a span while a qualification was not in force.
///
/// # Errors
/// A name that the ledger does not know.
pub fn lapsed(
    house: &OpenHouse<'_>,
    worker: Option<&str>,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let only = worker.map(|it| house.names.worker(it)).transpose()?;
    let only = only.map(|it| it.number());
    let rules = ["qualification", "record-training"];
    let title = "Work while a qualification was not current";
    let mut list = desk.list("lapsed", title, &rules)?;
    list.asked
        .extend(only.map(|it| format!("person {}", house.names.label(it))));
    let of = ("qualification of a person", "qualifications of people");
    let mut part = RecordsPart::new("lapsed", "Who worked while lapsed", of, COLUMNS);
    if house.qualifications.is_empty() {
        part.none = "No qualification is on record.".to_owned();
        list.parts.push(part);
        return Ok(list);
    }
    part.none = "No one, by the qualifications and sheets on record.".to_owned();
    for facts in house.workers() {
        if only.is_some_and(|only| only != facts.record) {
            continue;
        }
        let (lapsed, today) = lapsed_days(house, facts, desk.span, desk.on)?;
        for (name, (held, days)) in lapsed {
            let still = today
                .iter()
                .any(|it| it.duty.name() == name && !it.in_force());
            let rule = match held.status {
                Status::Read => held.citation.clone(),
                Status::ToBeConfirmed => format!("{} ({})", held.citation, held.status),
            };
            let which: Vec<String> = days.iter().map(ToString::to_string).collect();
            part.rows.push(vec![
                Cell::Text(facts.id.to_string()),
                Cell::Text(facts.name.to_string()),
                Cell::Text(name.to_owned()),
                match held.state {
                    DutyState::Since(since) => Cell::Day(since),
                    DutyState::Never | DutyState::Until(_) | DutyState::NotRequired => {
                        Cell::NotOnRecord
                    }
                },
                Cell::Text(rule),
                Cell::Count(i64::try_from(days.len()).unwrap_or(i64::MAX)),
                Cell::Text(which.join(", ")),
                Cell::Text(match still {
                    true => format!("NOT current on {}", desk.on),
                    false => format!("in force on {}", desk.on),
                }),
            ]);
        }
    }
    list.parts.push(part);
    list.notes.push(
        "Since: as it stood on the first of the days. A qualification that was not entered counts \
         as not current; one that was entered late no longer shows here."
            .to_owned(),
    );
    Ok(list)
}

//! Shifts that somebody worked while a qualification was not in force. A finding tells of those
//! that are in force again: what has lapsed now stands with what stops the person.

use std::collections::BTreeMap;

use super::qualified::qualified;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::dose::handling::Handling;
use crate::calendar::{Day, Span};
use crate::dose::input::WorkerFacts;
use crate::dose::qualification::{Held, duties, worked_words};
use crate::rule::{Finding, Severity};

/// By the name of a qualification how it stood on the first day, and the days.
pub(crate) type Lapsed = BTreeMap<&'static str, (Held, Vec<Day>)>;

/// The days of a span on which one person worked while a qualification was not in force, and how
/// the person's qualifications stand on a day.
pub(crate) fn lapsed_days(
    house: &OpenHouse<'_>,
    facts: &WorkerFacts,
    span: Span,
    on: Day,
) -> Result<(Lapsed, Vec<Held>), AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let needed = house.span_needed(rule_set, facts, span, on);
    let history = house.history(facts.record, needed)?;
    let handling = Handling::load(house, facts.record, on.max(span.last))?;
    let with = (&history, &handling);
    let mut lapsed = Lapsed::new();
    let shifts = history.shifts.iter().map(|it| it.day);
    let mut days: Vec<Day> = shifts.filter(|day| span.contains(*day)).collect();
    days.sort_unstable();
    days.dedup();
    for day in days {
        let known = qualified(house, with, day)?;
        for held in duties(&known, house.rule_set_on(day)?, day) {
            if !held.in_force() && !held.beside {
                let name = held.duty.name();
                lapsed.entry(name).or_insert((held, Vec::new())).1.push(day);
            }
        }
    }
    let known = qualified(house, with, on)?;
    Ok((lapsed, duties(&known, rule_set, on)))
}

/// One finding a person and qualification, with the shifts.
pub(crate) fn worked_lapsed(
    house: &OpenHouse<'_>,
    span: Span,
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let mut found = Vec::new();
    if house.qualifications.is_empty() {
        return Ok(found);
    }
    let rule_set = house.rule_set_on(on)?;
    for facts in house.workers() {
        let (mut lapsed, today) = lapsed_days(house, facts, span, on)?;
        for held in today.iter().filter(|it| !it.in_force()) {
            lapsed.remove(held.duty.name());
        }
        for (name, (held, days)) in lapsed {
            let rule = held.rule(rule_set);
            let what = format!(
                "{name}: {}",
                worked_words(&days, "while it was not current")
            );
            let id = facts.id.clone();
            found.push(Finding::new(Severity::Act, &rule, id, what, held.entries));
        }
    }
    Ok(found)
}

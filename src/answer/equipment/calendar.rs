//! What falls due on the coming days, of things, people and badges together.

use serde::Serialize;

use super::due::due;
use super::due_line::DueState;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::status::work_status::work_status;
use crate::calendar::{Day, Instant};
use crate::dose::work_status::read_due;
use crate::ledger::BadgeRow;
use crate::rule::Tells;

/// What a line of the calendar is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Subject {
    /// A person's qualification.
    Person,
    /// A badge.
    Badge,
    /// An instrument.
    Instrument,
    /// An item of equipment, or all sources.
    Equipment,
}

/// Several things for which the same is due on the same day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CalendarLine {
    /// The last day on which it is in time; nothing where it is not in force now.
    pub day: Option<Day>,
    /// What it is about.
    pub subject: Subject,
    /// What is to be done.
    pub what: String,
    /// Of which things or people.
    pub items: Vec<String>,
}

/// The calendar.
#[derive(Debug, Clone, Serialize)]
pub struct CalendarAnswer {
    /// Today.
    pub on: Day,
    /// The last day of it.
    pub last: Day,
    /// What is not in force now, then what falls due, by day.
    pub lines: Vec<CalendarLine>,
    /// Things that are withdrawn and not listed.
    pub out_of_service: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
}

/// What is not in force on a day and what falls due in so many days after it. The
/// qualifications are those of people who are monitored on that day.
pub fn calendar(
    house: &OpenHouse<'_>,
    on: Day,
    within: u32,
    now: Instant,
) -> Result<CalendarAnswer, AnswerError> {
    let ahead = chrono::Days::new(u64::from(within));
    let last = on.checked_add_days(ahead).unwrap_or(on);
    let mut lines = Vec::new();
    let mut out_of_service = Vec::new();
    for (noun, subject) in [
        ("instrument", Subject::Instrument),
        ("equipment", Subject::Equipment),
    ] {
        let found = due(house, noun, on, within)?;
        out_of_service.extend(found.out_of_service);
        for it in found.lines {
            let day = it.due.filter(|_| it.state == DueState::InTime);
            add(&mut lines, day, subject, &it.what, it.item);
        }
    }
    for person in work_status(house, None, on, now)?.lines {
        for duty in &person.duties {
            let soon = duty.until.is_some_and(|until| until <= last);
            if soon || !duty.in_force {
                let day = duty.until.filter(|_| duty.in_force);
                add(
                    &mut lines,
                    day,
                    Subject::Person,
                    &duty.what,
                    person.worker.clone(),
                );
            }
        }
    }
    badges(house, (on, last), &mut lines)?;
    for line in &mut lines {
        line.items.sort();
        line.items.dedup();
    }
    lines.sort_by(|a, b| (a.day, a.subject, &a.what).cmp(&(b.day, b.subject, &b.what)));
    Ok(CalendarAnswer {
        on,
        last,
        lines,
        out_of_service,
        confirm: house.rule_set_on(on)?.caution_of(Tells::Duties),
    })
}

fn add(
    lines: &mut Vec<CalendarLine>,
    day: Option<Day>,
    subject: Subject,
    what: &str,
    item: String,
) {
    let same = lines
        .iter_mut()
        .find(|it| it.day == day && it.subject == subject && it.what == what);
    match same {
        Some(line) => line.items.push(item),
        None => lines.push(CalendarLine {
            day,
            subject,
            what: what.to_owned(),
            items: vec![item],
        }),
    }
}

/// Badges whose exchange or read comes, and those that are past it and not on their way.
fn badges(
    house: &OpenHouse<'_>,
    (on, last): (Day, Day),
    lines: &mut Vec<CalendarLine>,
) -> Result<(), AnswerError> {
    // A badge that nobody asked after for half a year is told by the findings.
    const BACK: chrono::Days = chrono::Days::new(183);
    let first = on.checked_sub_days(BACK).unwrap_or(on);
    for badge in house.snapshot.badges(None, first, last)? {
        let mine = badge.employer.is_none() && badge.changes.is_empty();
        let due = match badge.read_from() {
            Some(from) => read_due(house.rule_set_on(on)?, from, badge.last_day),
            None => badge.last_day,
        };
        if !mine || !badge.results.is_empty() || due > last {
            continue;
        }
        let item = name(house, &badge);
        let (day, what) = match (badge.on_demand, due >= on) {
            (false, true) => (Some(due), "exchange of the badge"),
            (false, false) => (None, "badge past its last day, not returned"),
            (true, true) => (Some(due), "read of the badge"),
            (true, false) => (None, "badge past the day of its read on demand"),
        };
        add(lines, day, Subject::Badge, what, item);
    }
    Ok(())
}

fn name(house: &House, badge: &BadgeRow) -> String {
    match badge.worker {
        Some(worker) => format!("{} {}", house.names.label(worker), badge.badge),
        None => badge.badge.clone(),
    }
}

//! What falls due of things, people and badges, with the deadlines of open events: what a calendar
//! shows. It names people by their ids and tells no dose.

use std::collections::BTreeSet;

use serde::Serialize;
use sha2::{Digest, Sha256};

use super::calendar::{CalendarLine, Subject, calendar};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::event::happened::all_happened;
use crate::answer::event::notification::open_duties;
use crate::answer::event::person::end_of;
use crate::calendar::{Day, Instant};
use crate::notification::{Applies, Progress};
use crate::text::counted;

/// A deadline of an event that nobody has met yet.
#[derive(Debug, Clone, Serialize)]
pub struct DeadlineLine {
    /// The event.
    pub event: String,
    /// What is to be done, with its rule.
    pub what: String,
    /// By when.
    pub by: Instant,
    /// The same as local time with its offset.
    pub by_local: String,
    /// Whether it is past.
    pub overdue: bool,
    /// What tells it from the event's other deadlines, in words that never change.
    #[serde(skip)]
    key: String,
}

/// What falls due.
#[derive(Debug, Clone, Serialize)]
pub struct DueAhead {
    /// Today.
    pub on: Day,
    /// The last day of it.
    pub last: Day,
    /// Deadlines of events, the earliest first.
    pub deadlines: Vec<DeadlineLine>,
    /// What is not in force now, then what falls due, by day.
    pub lines: Vec<CalendarLine>,
    /// Things that are withdrawn and not listed.
    pub out_of_service: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
    /// The name of the ledger, for what must not be mistaken for another's.
    #[serde(skip)]
    pub ledger_id: String,
}

/// When something of a calendar is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DueWhen {
    /// On a whole day.
    Day(Day),
    /// At a moment.
    Moment(Instant),
}

/// One thing of a calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueEvent {
    /// The same for the same duty of the same thing for ever, and in no other ledger.
    pub uid: String,
    /// When.
    pub when: DueWhen,
    /// Of what or whom.
    pub about: String,
    /// What is to be done.
    pub what: String,
    /// Whether it is in force, or in time.
    pub in_force: bool,
    /// Where more stands.
    pub more: String,
}

impl DueEvent {
    /// It in one line.
    pub fn summary(&self) -> String {
        let late = match (self.in_force, self.when) {
            (true, _) => "",
            (false, DueWhen::Day(_)) => "NOT IN FORCE: ",
            (false, DueWhen::Moment(_)) => "OVERDUE: ",
        };
        format!("{late}{}: {}", self.about, self.what)
    }
}

impl DueAhead {
    /// Whether something is past, or not in force now.
    pub fn has_overdue(&self) -> bool {
        self.lines.iter().any(|it| it.day.is_none()) || self.deadlines.iter().any(|it| it.overdue)
    }

    /// Each thing alone. What is not in force now stands on today, until somebody sees to it.
    pub fn events(&self) -> Vec<DueEvent> {
        let mut known = BTreeSet::new();
        let mut all = Vec::new();
        for line in &self.lines {
            let (subject, more) = match line.subject {
                Subject::Person => ("person", "wearbook work-status"),
                Subject::Badge => ("badge", "wearbook badge list"),
                Subject::Instrument => ("instrument", "wearbook instrument due"),
                Subject::Equipment => ("equipment", "wearbook equipment due"),
            };
            for item in &line.items {
                let uid = self.uid(&[subject, item, &line.what]);
                // Of one duty what is not in force comes first, and is what counts.
                if !known.insert(uid.clone()) {
                    continue;
                }
                all.push(DueEvent {
                    uid,
                    when: DueWhen::Day(line.day.unwrap_or(self.on)),
                    about: item.clone(),
                    what: line.what.clone(),
                    in_force: line.day.is_some(),
                    more: more.to_owned(),
                });
            }
        }
        for it in &self.deadlines {
            all.push(DueEvent {
                uid: self.uid(&["event", &it.event, &it.key]),
                when: DueWhen::Moment(it.by),
                about: it.event.clone(),
                what: it.what.clone(),
                in_force: !it.overdue,
                more: format!("wearbook report show {}", it.event),
            });
        }
        all
    }

    fn uid(&self, parts: &[&str]) -> String {
        let mut sha = Sha256::new();
        for part in parts {
            sha.update(part);
            sha.update([0]);
        }
        let digest = sha.finalize();
        let digest: String = digest
            .iter()
            .take(16)
            .map(|it| format!("{it:02x}"))
            .collect();
        format!("{digest}@{}.wearbook", self.ledger_id)
    }

    /// In one line, how much there is.
    pub fn words(&self) -> String {
        let not: usize = self.of(|it| it.day.is_none());
        let due: usize = self.of(|it| it.day.is_some());
        format!(
            "{not} not in force now, {due} to fall due by {}, {}",
            self.last,
            counted(
                self.deadlines.len(),
                "deadline of an event",
                "deadlines of events"
            )
        )
    }

    fn of(&self, which: impl Fn(&CalendarLine) -> bool) -> usize {
        let lines = self.lines.iter().filter(|it| which(it));
        lines.map(|it| it.items.len()).sum()
    }
}

/// What falls due in so many days after a day, and what is not in force on it, with the deadlines
/// of events that are open at a moment.
///
/// # Errors
/// What it needs cannot be read.
pub fn due_ahead(
    house: &OpenHouse<'_>,
    (on, within): (Day, u32),
    now: Instant,
) -> Result<DueAhead, AnswerError> {
    let found = calendar(house, on, within, now)?;
    let mut deadlines = Vec::new();
    // On an earlier day deadlines stand as at its end, on a later one as now.
    let now = end_of(house, on).min(now);
    for it in all_happened(house)? {
        if it.end.is_some() || it.day() > on {
            continue;
        }
        for duty in open_duties(house, &it, now)? {
            let (Some(by), Some(by_local)) = (duty.by, duty.deadline) else {
                continue;
            };
            let may = match duty.applies {
                Applies::May => "may apply, ",
                _ => "",
            };
            deadlines.push(DeadlineLine {
                event: duty.event,
                what: format!("{may}{} ({})", duty.what, duty.citation),
                by,
                by_local,
                overdue: duty.state == Progress::Overdue,
                key: duty.duty,
            });
        }
    }
    deadlines.sort_by(|a, b| (a.by, &a.event, &a.key).cmp(&(b.by, &b.event, &b.key)));
    Ok(DueAhead {
        on,
        last: found.last,
        deadlines,
        lines: found.lines,
        out_of_service: found.out_of_service,
        confirm: found.confirm,
        ledger_id: house.names.charter.ledger_id.clone(),
    })
}

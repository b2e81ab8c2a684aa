//! Clocks that run for a person, and what is left of them.

use std::fmt;

use chrono::TimeDelta;

use crate::calendar::Instant;
use crate::rule::{RuleSet, ToleranceValue};

/// A clock that an event started.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Started {
    /// The entry that started it.
    pub entry: i64,
    /// What has to be done, such as `send badge 0417 to the processor`.
    pub what: String,
    /// When it started. Where only the day is known, the beginning of that
    /// day: a clock never looks longer than it is.
    pub at: Instant,
    /// When it was done; `None` while it is not.
    pub done: Option<Instant>,
    /// Whether the badge is read on demand: its evaluation is to be started,
    /// and it goes to no processor.
    pub on_demand: bool,
}

/// A clock and what is left of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clock {
    /// The entry that started it.
    pub entry: i64,
    /// What has to be done.
    pub what: String,
    /// By when.
    pub due: Instant,
    /// When it was done.
    pub done: Option<Instant>,
    /// What is left, in minutes, at the moment asked for or when it was done;
    /// negative where it is or was late.
    pub left_minutes: i64,
    /// How long there is, in hours.
    pub hours: i64,
    /// Where the rule stands.
    pub citation: String,
}

impl fmt::Display for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.left_minutes.unsigned_abs();
        let (hours, minutes) = (size / 60, size % 60);
        let late = self.left_minutes < 0;
        match (self.done.is_some(), late) {
            (false, false) => write!(f, "{}: {hours} h {minutes} min left", self.what),
            (false, true) => write!(f, "{}: overdue by {hours} h {minutes} min", self.what),
            (true, false) => write!(f, "{}: done in time", self.what),
            (true, true) => write!(f, "{}: done {hours} h {minutes} min late", self.what),
        }?;
        // Without a source it is no rule of this rule set, and the citation says so.
        write!(f, " (within {} hours: {})", self.hours, self.citation)
    }
}

/// The clocks with what is left of them, by the rule set's hours for a badge to
/// reach the processor or for its read to be started. Without such hours in the
/// rule set there is no clock.
pub(super) fn clocks(started: &[Started], rule_set: &RuleSet, now: Instant) -> Vec<Clock> {
    let mut clocks: Vec<Clock> = started
        .iter()
        .filter_map(|one| {
            let sent = rule_set.tolerance("badge-to-processor");
            let read = rule_set.tolerance("badge-read-start");
            // A rule set that has no time of its own for a read has that of the sending.
            let rule = read.filter(|_| one.on_demand).or(sent)?;
            let ToleranceValue::Hours(hours) = rule.value else {
                return None;
            };
            let due = one.at.checked_add_signed(TimeDelta::try_hours(hours)?)?;
            let until = one.done.unwrap_or(now);
            // Rounded down, so that a minute begun is not left.
            let seconds = due.signed_duration_since(until).num_seconds();
            Some(Clock {
                entry: one.entry,
                what: one.what.clone(),
                due,
                done: one.done,
                left_minutes: seconds.div_euclid(60),
                hours,
                citation: rule.cited(),
            })
        })
        .collect();
    clocks.sort_by_key(|clock| (clock.done.is_some(), clock.due, clock.entry));
    clocks
}

//! Moments of writing that cannot be trusted: what is found of them, and between which days an
//! entry was written.

use chrono::TimeDelta;

use super::error::AnswerError;
use super::load::House;
use crate::calendar::{Day, Instant, Span, Zone};
use crate::ledger::{Bounds, ClockSays, Clocks, Doubted, Reading, Snapshot, Why};
use crate::rule::{CheckKey, Finding, RuleSet, Severity};

/// Hours of a rule set that was adopted before they were asked for.
const JUMP_HOURS: i64 = 720;

/// Fewer are no sign of anything: a ledger rests over every night.
const LEAST_HOURS: i64 = 24;

/// The longest pause for which the clock is believed, by the rule set that was adopted last.
fn longest(rule_set: Option<&RuleSet>) -> TimeDelta {
    let tolerance = rule_set.and_then(|it| it.tolerance("clock-jump"));
    let hours = tolerance.and_then(|it| it.hours()).unwrap_or(JUMP_HOURS);
    TimeDelta::try_hours(hours.max(LEAST_HOURS)).unwrap_or(TimeDelta::MAX)
}

/// What of the moments of writing can be trusted.
pub(crate) fn clocks(
    snapshot: &Snapshot<'_>,
    rule_set: Option<&RuleSet>,
) -> Result<Clocks, AnswerError> {
    Ok(snapshot.clocks(longest(rule_set))?)
}

/// Whether what the clock said is worth a look at the rule set: it went back, or did not
/// move on from one day to the next.
pub fn is_unusual(says: ClockSays) -> bool {
    let jump = says.now - says.before;
    jump < TimeDelta::zero() || jump > TimeDelta::hours(LEAST_HOURS)
}

/// Between which days an entry was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct WrittenDays {
    /// Not before; nothing where no trustworthy clock tells it.
    pub earliest: Option<Day>,
    /// Not after.
    pub latest: Option<Day>,
}

impl House {
    /// Between which moments an entry was written that says when; nothing where that cannot be
    /// read.
    pub(crate) fn written(&self, entry: i64, says: &str) -> Option<Bounds> {
        Some(self.clocks.bounds(entry, says.parse().ok()?))
    }

    /// Between which days an entry was written, in the ledger's zone.
    pub(crate) fn written_days(&self, entry: i64, says: &str) -> Option<WrittenDays> {
        self.written_days_in(self.names.zone, entry, says)
    }

    /// Between which days an entry was written, at a place.
    pub(crate) fn written_days_in(
        &self,
        zone: Zone,
        entry: i64,
        says: &str,
    ) -> Option<WrittenDays> {
        self.written(entry, says).map(|it| WrittenDays {
            earliest: it.earliest.map(|at| zone.local_day(at)),
            latest: it.latest.map(|at| zone.local_day(at)),
        })
    }

    /// What to say at once of a write whose clock does not go with the entry before it.
    pub fn clock_warning(&self, says: ClockSays) -> Option<String> {
        let ClockSays { entry, before, now } = says;
        let (jump, longest) = (now - before, longest(self.newest_rule_set()));
        let how = match jump {
            _ if jump < TimeDelta::zero() => "earlier than",
            _ if jump > longest => "long after",
            _ => return None,
        };
        Some(format!(
            "CLOCK: the clock says {}, {how} entry {entry} before, which says {}. What is \
             written now stands; its moment may not be trusted. Set the clock and the time zone of \
             this computer, or see `wearbook findings`.",
            self.moment(now),
            self.moment(before)
        ))
    }

    fn moment(&self, at: Instant) -> String {
        self.names.zone.local(at).format("%F %R %:z").to_string()
    }

    /// Every run of entries whose moments cannot be trusted, a line each.
    pub fn clock_lines(&self) -> Vec<String> {
        let runs = self.clocks.doubted();
        runs.iter().map(|it| self.doubt_words(it)).collect()
    }

    fn doubt_words(&self, it: &Doubted) -> String {
        let of = |it: &Reading| match it.copy {
            true => format!("the copy at entry {}", it.last),
            false => format!("entry {}", it.last),
        };
        let bound = |word: &str, it: &Option<Reading>| {
            let said = it.as_ref().map(|it| (of(it), self.moment(it.at)));
            said.map(|(of, at)| format!("{word} {of}, {at}"))
        };
        let bounds = [bound("after", &it.after), bound("before", &it.before)];
        let bounds: Vec<String> = bounds.into_iter().flatten().collect();
        let bounds = match bounds.is_empty() {
            true => "at a moment that no other entry bounds".to_owned(),
            false => bounds.join(" and "),
        };
        let why = match it.why {
            Why::Ahead => "it was ahead: later entries have it back",
            Why::Behind => "it was behind: earlier entries have it later",
            Why::Either => "it contradicts the entries beside, and either may be wrong",
        };
        format!(
            "{}: the clock said {} and cannot be trusted ({why}); written {bounds}",
            entries_words(it.first, it.last),
            self.moment(it.says)
        )
    }
}

/// `entry 50`, or `entries 50 to 55`.
fn entries_words(first: i64, last: i64) -> String {
    match first == last {
        true => format!("entry {first}"),
        false => format!("entries {first} to {last}"),
    }
}

/// Clocks that cannot be trusted at entries that may be of the span.
pub(crate) fn clock_findings(house: &House, rule_set: &RuleSet, span: Span) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::ClockDoubted);
    let zone = house.names.zone;
    let of_span = |it: &&Doubted| {
        let day = |at: Option<Reading>| at.map(|it| zone.local_day(it.at));
        let first = day(it.after).unwrap_or(Day::MIN);
        let last = day(it.before).unwrap_or(Day::MAX);
        first <= span.last && span.first <= last || span.contains(zone.local_day(it.says))
    };
    let runs = house.clocks.doubted();
    let found = runs.iter().filter(of_span).map(|it| {
        // Nothing says yet that the clock is right again.
        let severity = match it.before {
            None => Severity::Act,
            Some(_) => Severity::Watch,
        };
        let mut entries = vec![it.first, it.last];
        entries.dedup();
        Finding::new(severity, &rule, "clock", house.doubt_words(it), entries)
    });
    found.collect()
}

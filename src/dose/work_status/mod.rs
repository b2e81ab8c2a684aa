//! Whether a person may work on a day, and what stands against it.
//!
//! A stop is kept for what stops: a dose that nobody knows, no badge, a limit, a qualification
//! that has lapsed. What somebody has to put right while the person works on stands here too and
//! stops nobody. "May work" says that nothing on record stands against it and clears nobody: the
//! license, local law and the RSO decide.

mod cause;
mod clock;
mod event;
mod lost;
mod settled;

pub use cause::Cause;
pub use clock::{Clock, Started};
pub use event::{InEvent, Lack, Open, beside_question};
pub use settled::{SETTLED_BY_A_DOSE, Settling};

use std::collections::BTreeSet;

use crate::calendar::{Day, Instant};
use crate::dose::account::Account;
use crate::dose::checks::{judged, start_read_text, with_result};
use crate::dose::conservative::Conservative;
use crate::dose::input::{BadgeKind, Counting, History, Shift};
use crate::dose::level::{Certainty, Standing};
use crate::dose::population::too_young;
use crate::dose::qualification::{DutyState, Held, worked_words};
use crate::dose::resolve::is_read_on_demand;
use crate::quantity::{Dose, Overflow};
use crate::rule::{
    AppliesTo, CheckKey, Finding, LevelType, Quantity, RuleSet, RuleText, Severity, Status,
};

/// The line that stands with every work status.
pub const CAUTION: &str = "What the records say, not authorization to work: the license, local \
                           law and the RSO decide";

/// The key of the interval and the rule for a badge that is read on demand.
const READ: &str = CheckKey::BadgeRead.key();

/// By when a badge that is read on demand is to be read next, after its last
/// read or its issue, and never after the last day planned for it.
pub fn read_due(rule_set: &RuleSet, from: Day, planned_last: Day) -> Day {
    let by_rule = due_by_rule(rule_set, READ, from);
    by_rule.map_or(planned_last, |it| it.min(planned_last))
}

fn due_by_rule(rule_set: &RuleSet, key: &str, from: Day) -> Option<Day> {
    let rule = rule_set.interval(key)?;
    rule.interval.due_after(from, rule_set.year_start)
}

/// One reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// What kind of reason.
    pub cause: Cause,
    /// The reason, with rule, remedy and entries.
    pub finding: Finding,
}

/// An instrument that the person is to use.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assigned {
    /// Its short id.
    pub id: String,
    /// What it is, such as `alarm ratemeter`.
    pub kind: String,
    /// The rule about its check.
    pub rule: CheckKey,
    /// Whether the check is in force: done, passed and not overdue.
    pub in_force: bool,
    /// How it stands, in plain words: `response check overdue since ...`.
    pub words: String,
    /// The entries that it rests on.
    pub entries: Vec<i64>,
}

/// Something of the person that waits for a disposition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeldItem {
    /// The entry that holds it.
    pub entry: i64,
    /// What is doubtful, in plain words.
    pub words: String,
}

/// A reading above the rule set's shift level (10 CFR 34.47(d): an electronic
/// dosimeter above 2 mSv).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OverShiftLevel {
    /// The sheet's record.
    pub sheet: i64,
    /// What was read, in plain words.
    pub words: String,
}

/// What work status is told besides the dose records.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WorkStatusFacts {
    /// Whether the day is over: what was handed in on it was worn until then.
    pub day_is_over: bool,
    /// Whether the person has to have a badge on issue: this ledger keeps badges, and the person
    /// has had one or works.
    pub needs_badge: bool,
    /// Instruments that the person is to use; none where that is not known.
    pub instruments: Vec<Assigned>,
    /// The person's duties on the day, from
    /// [`duties`](crate::dose::qualification::duties).
    pub duties: Vec<Held>,
    /// What of the person waits for a disposition.
    pub held: Vec<HeldItem>,
    /// Readings above the shift level.
    pub over_shift_level: Vec<OverShiftLevel>,
    /// The person's part in events in which somebody can have been exposed.
    pub in_events: Vec<InEvent>,
    /// Clocks of the person.
    pub clocks: Vec<Started>,
}

/// Whether a person may work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkStatus {
    /// The day.
    pub on: Day,
    /// What stands against it or needs somebody, the most serious first.
    pub reasons: Vec<Reason>,
    /// The person's clocks.
    pub clocks: Vec<Clock>,
}

impl WorkStatus {
    /// Whether nothing on record stands against it.
    pub fn may_work(&self) -> bool {
        let mut reasons = self.reasons.iter();
        reasons.all(|it| it.cause.severity() != Severity::Stop)
    }

    /// Adds what stands against it on another day, each reason once.
    pub fn add(&mut self, other: WorkStatus) {
        let known: BTreeSet<String> = self.reasons.iter().map(|it| it.finding.key()).collect();
        let new = other.reasons.into_iter();
        self.reasons
            .extend(new.filter(|it| !known.contains(&it.finding.key())));
        self.sort();
    }

    fn sort(&mut self) {
        let order = |it: &Reason| (it.cause.severity(), it.cause);
        self.reasons
            .sort_by(|a, b| (order(a), &a.finding).cmp(&(order(b), &b.finding)));
    }

    /// What stands against one person's work on a day.
    ///
    /// `standings` are the person's on that day; `now` is the moment for the
    /// clocks. Shifts and badges after the day have not happened yet.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn of(
        history: &History,
        standings: &[Standing<'_>],
        facts: &WorkStatusFacts,
        rule_set: &RuleSet,
        on: Day,
        now: Instant,
    ) -> Result<WorkStatus, Overflow> {
        let over = &facts.over_shift_level;
        let mut asked = Asked {
            history,
            settling: Settling::of(history)?,
            rule_set,
            on,
            day_is_over: facts.day_is_over,
            reasons: dose_stops(history, (&facts.in_events, over), rule_set, on)?,
        };
        let young = too_young(rule_set, &history.facts, on).into_iter();
        young.for_each(|(it, what)| {
            asked.put_key(Cause::of_age(it), CheckKey::Minor, what, Vec::new())
        });
        asked.levels(standings)?;
        asked.exchange();
        if facts.needs_badge {
            asked.without_badge();
        }
        asked.held(&facts.held);
        asked.instruments(&facts.instruments);
        asked.duties(&facts.duties);
        let mut work_status = WorkStatus {
            on,
            reasons: asked.reasons,
            clocks: clock::clocks(&facts.clocks, rule_set, now),
        };
        work_status.sort();
        Ok(work_status)
    }
}

/// What stops a person whatever the sheets say: the dose of an event that nobody knows, and a
/// badge that is lost or damaged.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn stops(
    history: &History,
    in_events: &[InEvent],
    rule_set: &RuleSet,
    on: Day,
) -> Result<Vec<Reason>, Overflow> {
    let settling = Settling::of(history)?;
    let events = in_events
        .iter()
        .filter_map(|it| event::stop(&settling, it, rule_set, on));
    let mut found: Vec<Reason> = events
        .map(|finding| Reason {
            cause: Cause::InEvent,
            finding,
        })
        .collect();
    let lost = lost::stops(&settling, rule_set, on).into_iter();
    found.extend(lost.map(|finding| Reason {
        cause: Cause::LostBadge,
        finding,
    }));
    Ok(found)
}

/// The same, with what the sheets say: off-scale, and above the shift level.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn dose_stops(
    history: &History,
    (in_events, over): (&[InEvent], &[OverShiftLevel]),
    rule_set: &RuleSet,
    on: Day,
) -> Result<Vec<Reason>, Overflow> {
    let mut asked = Asked {
        history,
        settling: Settling::of(history)?,
        rule_set,
        on,
        day_is_over: true,
        reasons: stops(history, in_events, rule_set, on)?,
    };
    asked.off_scale();
    asked.over_shift_level(over);
    Ok(asked.reasons)
}

struct Asked<'a> {
    history: &'a History,
    settling: Settling<'a>,
    rule_set: &'a RuleSet,
    on: Day,
    day_is_over: bool,
    reasons: Vec<Reason>,
}

impl Asked<'_> {
    fn put(&mut self, cause: Cause, rule: &RuleText, what: String, entries: Vec<i64>) {
        let subject = self.history.facts.id.clone();
        let finding = Finding::new(cause.severity(), rule, subject, what, entries);
        self.reasons.push(Reason { cause, finding });
    }

    /// Says whether the newest reason is for the person and the RSO alone.
    fn is_private(&mut self, private: bool) {
        if let Some(reason) = self.reasons.last_mut() {
            reason.finding.private = private;
        }
    }

    fn put_key(&mut self, cause: Cause, key: CheckKey, what: String, entries: Vec<i64>) {
        let rule = self.rule_set.text_of(key);
        self.put(cause, &rule, what, entries);
    }

    /// A reason that sends the badge worn on a shift to its processor, or has it read.
    fn put_sending(&mut self, cause: Cause, key: CheckKey, what: String, work: &Shift) {
        let mut rule = self.rule_set.text_of(key);
        if is_read_on_demand(&self.history.facts.dosimetry, work) {
            rule = start_read_text(self.rule_set, rule);
        }
        self.put(cause, &rule, what, vec![work.entry]);
        // Once the result is there it is to be accepted, and nothing sent.
        let (history, rule_set, on) = (self.history, self.rule_set, self.on);
        if let Some(last) = self.reasons.last_mut() {
            with_result(history, rule_set, &mut last.finding, on);
        }
    }

    /// Off-scale is over when the RSO determined the dose, or accepted the
    /// result of the badge that was worn, or resolved it.
    fn off_scale(&mut self) {
        let (history, on) = (self.history, self.on);
        for work in history.shifts.iter().filter(|it| it.day <= on) {
            for reading in work.readings.iter().filter(|it| it.off_scale) {
                let settled = self.settling.reading(work, reading);
                if !reading.is_ruled_out() && settled.is_none() {
                    let (off, day) = (reading.off_words(), work.day);
                    let what = format!("{off} on {day}: the dose is not determined");
                    self.put_sending(Cause::OffScale, CheckKey::OffScale, what, work);
                }
            }
        }
    }

    fn over_shift_level(&mut self, over: &[OverShiftLevel]) {
        let history = self.history;
        for one in over {
            let Some(work) = history.shifts.iter().find(|it| it.sheet == one.sheet) else {
                continue;
            };
            if work.day <= self.on && self.settling.any_reading(work).is_none() {
                let what = format!("{} on {}: the dose is not determined", one.words, work.day);
                let key = CheckKey::ElectronicOverShiftLimit;
                self.put_sending(Cause::OverShiftLevel, key, what, work);
            }
        }
    }

    fn levels(&mut self, standings: &[Standing<'_>]) -> Result<(), Overflow> {
        let mut undetermined: Vec<&Standing<'_>> = Vec::new();
        for standing in standings {
            let level = standing.level;
            if !level.is_stopping() {
                continue;
            }
            let cause = match level.kind {
                LevelType::Limit => Cause::Limit,
                _ => Cause::AdministrativeLevel,
            };
            if let Some((key, Severity::Stop)) = judged(standing) {
                let left = standing.left_text(self.rule_set.unit);
                let left = match standing.left > Dose::ZERO {
                    true => format!("{left} left"),
                    false => left,
                };
                let what = format!(
                    "{} {} against the {} {} of {}: {left}",
                    self.rule_set.terms().dose(level.quantity),
                    standing.used.safe.text(self.rule_set.unit),
                    level.kind.level_name(),
                    level.key,
                    self.rule_set.print(standing.limit),
                );
                let mut rule = self.rule_set.text_of(key);
                rule.key = format!("{}:{}", key.key(), level.key);
                rule.citation = format!("{}; {}", level.citation, rule.citation);
                if level.status == Status::ToBeConfirmed {
                    rule.status = Status::ToBeConfirmed;
                }
                self.put(cause, &rule, what, Vec::new());
                self.is_private(level.applies_to == AppliesTo::DeclaredPregnancy);
            }
            if standing.certainty == Certainty::Undetermined && cause == Cause::Limit {
                undetermined.push(standing);
            }
        }
        self.undetermined(&undetermined)
    }

    /// A dose without an upper bound, where nothing above has said so already.
    fn undetermined(&mut self, standings: &[&Standing<'_>]) -> Result<(), Overflow> {
        let mut reasons = self.reasons.iter();
        if standings.is_empty() || reasons.any(|it| it.cause <= Cause::InEvent) {
            return Ok(());
        }
        let terms = self.rule_set.terms();
        let mut quantities: Vec<Quantity> = Vec::new();
        let mut unbounded: BTreeSet<(Day, i64)> = BTreeSet::new();
        for standing in standings {
            let quantity = standing.level.quantity;
            if !quantities.contains(&quantity) {
                quantities.push(quantity);
            }
            let account = Account::of(self.history, standing.summed)?;
            let parts = account.contributions.iter();
            let open = parts.filter(|it| it.doses.get(quantity).is_undetermined());
            unbounded.extend(open.map(|it| (it.first, it.entry)));
            let safe = Conservative::of(self.history, standing.summed)?;
            let open = safe.raised_by.iter().filter(|it| it.undetermined);
            unbounded.extend(open.map(|it| (it.day, it.entry)));
        }
        let names: Vec<&str> = quantities.iter().map(|it| terms.short(*it)).collect();
        let days: BTreeSet<String> = unbounded.iter().map(|(day, _)| day.to_string()).collect();
        let days: Vec<String> = days.into_iter().collect();
        let what = format!(
            "{} dose without an upper bound: {}",
            names.join(", "),
            days.join(", ")
        );
        let entries: BTreeSet<i64> = unbounded.iter().map(|(_, entry)| *entry).collect();
        let entries = entries.into_iter().collect();
        self.put_key(Cause::Undetermined, CheckKey::Undetermined, what, entries);
        let of_pregnancy = |it: &&Standing<'_>| it.level.applies_to == AppliesTo::DeclaredPregnancy;
        self.is_private(standings.iter().all(of_pregnancy));
        Ok(())
    }

    /// A badge on the person past the rule set's interval for its exchange or,
    /// where it is read on demand, its next read; or past the day that
    /// the site planned, which is how a film or whatever else is exchanged
    /// sooner is kept to its own time.
    fn exchange(&mut self) {
        let rule_set = self.rule_set;
        for badge in &self.history.facts.dosimetry.wear {
            if !badge.is_on_person(self.on, self.day_is_over) || !badge.is_own() {
                continue;
            }
            let (key, act) = match badge.read_from {
                Some(_) => (CheckKey::BadgeRead, "a read on demand"),
                None => (CheckKey::BadgeExchange, "exchange"),
            };
            let rule = rule_set.interval(key.key());
            let by_rule = due_by_rule(rule_set, key.key(), badge.read_from.unwrap_or(badge.first));
            let due = [by_rule, badge.planned_last].into_iter().flatten().min();
            let Some(due) = due.filter(|due| *due < self.on) else {
                continue;
            };
            let mut text = rule_set.text_of(key);
            // Where the site's own plan is the earlier day, the rule's text
            // stands all the same, and the sentence below says which it is.
            if let Some(rule) = rule.filter(|_| by_rule == Some(due)) {
                text.citation = rule.citation.clone();
                text.status = rule.status;
                text.meaning = rule.meaning.clone();
            }
            let by = if by_rule == Some(due) {
                "the rule set's interval"
            } else {
                "the plan at its issue"
            };
            let what = format!("badge {} was due for {act} by {due}, by {by}", badge.badge);
            self.put(Cause::BadgeOverdue, &text, what, vec![badge.entry]);
        }
    }

    fn without_badge(&mut self) {
        let mut wear = self.history.facts.dosimetry.wear.iter();
        let has = wear.any(|it| {
            it.is_own()
                && it.kind == BadgeKind::WholeBody
                && it.is_on_person(self.on, self.day_is_over)
                && it.counting == Counting::Counts
        });
        let lost = self.reasons.iter().any(|it| it.cause == Cause::LostBadge);
        if !has && !lost {
            let what = format!("no badge on issue on {}", self.on);
            self.put_key(Cause::NoBadge, CheckKey::BadgeNotWorn, what, Vec::new());
        }
    }

    fn held(&mut self, held: &[HeldItem]) {
        for item in held {
            let what = format!("on hold, the RSO must resolve it: {}", item.words);
            self.put_key(Cause::Held, CheckKey::HeldItem, what, vec![item.entry]);
        }
    }

    fn instruments(&mut self, assigned: &[Assigned]) {
        for one in assigned.iter().filter(|it| !it.in_force) {
            let what = format!("{} {}: {}", one.kind, one.id, one.words);
            self.put_key(Cause::Instrument, one.rule, what, one.entries.clone());
        }
    }

    /// What is not in force, with the shifts that were worked all the same.
    fn duties(&mut self, duties: &[Held]) {
        for one in duties.iter().filter(|it| !it.in_force()) {
            let text = one.rule(self.rule_set);
            let (since, when) = match one.state {
                DutyState::Since(day) => (Some(day), "since"),
                DutyState::Never | DutyState::Until(_) | DutyState::NotRequired => {
                    (None, "without it")
                }
            };
            let on = self.on;
            let shifts = self.history.shifts.iter().map(|it| it.day);
            let worked: BTreeSet<Day> = shifts
                .filter(|day| !one.beside && since.is_none_or(|it| *day >= it) && *day <= on)
                .collect();
            let worked: Vec<Day> = worked.into_iter().collect();
            let words = match worked.as_slice() {
                [] => one.words.clone(),
                days => format!("{}; {}", one.words, worked_words(days, when)),
            };
            let cause = match one.duty.stops() {
                true => Cause::Qualification,
                false => Cause::OtherQualification,
            };
            self.put(cause, &text, words, one.entries.clone());
        }
    }
}

//! What the computations of this room are given: plain values, as the records
//! state them, with the number of the entry that says so.
//!
//! Nothing here is computed. A loader fills these from the records that hold
//! at one point of the ledger (an amended entry appears once, as amended).

mod badge;

pub use badge::*;

use std::sync::Arc;

use crate::calendar::{Day, Span};
use crate::dose::total::Amount;
use crate::quantity::{Dose, DoseUnit, Indication};
use crate::record::{Category, DoubtType, LONGEST_PREGNANCY, Outcome, Role, ShiftName, Work};
use crate::rule::{Quantity, Terms};

/// A span in which a worker is monitored. An open end is `None`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Monitored {
    /// First day, inclusive.
    pub from: Day,
    /// Last day, inclusive.
    pub until: Option<Day>,
}

impl Monitored {
    /// Its days; the first where the end that was told is before it.
    pub fn days(&self) -> Span {
        Span {
            first: self.from,
            last: self.until.unwrap_or(Span::OPEN_END).max(self.from),
        }
    }
}

/// A pregnancy declared in writing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pregnancy {
    /// The entry that declares it.
    pub entry: i64,
    /// Day of the written notice.
    pub notice_on: Day,
    /// Estimated day of conception, where the notice states it.
    pub conception_on: Option<Day>,
    /// Last day on which the declaration holds: the end of the pregnancy or
    /// the day it was withdrawn in writing. `None` while it holds.
    pub ended_on: Option<Day>,
}

impl Pregnancy {
    /// From when what counts from conception is counted: where that is not on record, from the
    /// earliest day that is believable.
    pub fn counts_from(&self) -> Day {
        let longest = LONGEST_PREGNANCY.unsigned_abs();
        let earliest = self.notice_on.checked_sub_days(chrono::Days::new(longest));
        self.conception_on.or(earliest).unwrap_or(Span::OPEN_START)
    }

    /// Said where that is the earliest day that is believable.
    pub fn counted_from_words(&self) -> Option<String> {
        self.conception_on.is_none().then(|| {
            format!(
                "the estimated date of conception is not on record: counted from {}, the \
                 earliest that is believable",
                self.counts_from()
            )
        })
    }
}

/// Dose received with another employer over a period, as one lump a quantity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PriorDose {
    /// The entry that states it.
    pub entry: i64,
    /// First day of the period, inclusive.
    pub first: Day,
    /// Last day of the period, inclusive.
    pub last: Day,
    /// Who reported it.
    pub employer: String,
    /// Where it comes from, of a total of this licensee's own from before the ledger.
    pub opening: Option<String>,
    /// Deep dose; `None` where the report does not state it.
    pub deep: Option<Dose>,
    /// Lens dose.
    pub lens: Option<Dose>,
    /// Shallow dose (skin of the whole body).
    pub shallow: Option<Dose>,
    /// Dose to the most exposed extremity.
    pub extremity: Option<Dose>,
}

/// A quarter of the licensee's year for which no dose record can be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MissingQuarter {
    /// The entry that states it.
    pub entry: i64,
    /// The licensee's year, by the calendar year in which it starts.
    pub year: i32,
    /// 1 to 4.
    pub quarter: u8,
    /// Whether the person did work that could have exposed them. Only then
    /// is the allowance cut (10 CFR 20.2104(e)(1)).
    pub exposure_possible: bool,
}

/// A recorded permission to use a level that a rule set opens only with one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Authorization {
    /// The entry that records it.
    pub entry: i64,
    /// Key of the rule set's level that it opens.
    pub level: String,
    /// First day on which it holds, inclusive.
    pub first: Day,
    /// Last day on which it holds, inclusive.
    pub last: Day,
}

/// What is known of one worker, apart from shifts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WorkerFacts {
    /// The worker's record.
    pub record: i64,
    /// The short id that people use, such as `W07`.
    pub id: String,
    /// Name as registered.
    pub name: String,
    /// The ledger's unit, in which words speak of doses; both units without one.
    pub unit: Option<DoseUnit>,
    /// What words call the doses.
    pub terms: Terms,
    /// `None` where it was not given: the adult limits are then used, and
    /// whoever shows them says that the age is not known.
    pub birth_date: Option<Day>,
    /// How the worker is classed.
    pub category: Category,
    /// Spans of monitoring.
    pub monitored: Vec<Monitored>,
    /// Declared pregnancies, in any order.
    pub pregnancies: Vec<Pregnancy>,
    /// Dose of other employers.
    pub prior: Vec<PriorDose>,
    /// Quarters without records.
    pub missing: Vec<MissingQuarter>,
    /// Roles, each from its day on, in order.
    pub roles: Vec<(Day, Role)>,
    /// Permissions that open a level.
    pub authorizations: Vec<Authorization>,
    /// Doses of events that nobody knows yet.
    pub unmeasured: Vec<Unmeasured>,
    /// Badges, results, determinations and what belongs to them.
    pub dosimetry: Dosimetry,
}

/// A dose of an event that nobody measured and nobody determined: what is known of the days is a
/// lower bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unmeasured {
    /// The event's newest entry.
    pub entry: i64,
    /// The days on which it may have been received.
    pub days: Vec<Day>,
    /// The doses that are not known.
    pub quantities: Vec<Quantity>,
    /// Why, with the event's name.
    pub words: String,
}

impl Unmeasured {
    /// What it adds to the sum of a span: nothing known, and no upper bound.
    pub fn within(&self, span: Span, quantity: Quantity) -> Option<Amount> {
        let here = self.quantities.contains(&quantity);
        let here = here && self.days.iter().any(|day| span.contains(*day));
        here.then_some(Amount::Undetermined(Dose::ZERO))
    }
}

impl WorkerFacts {
    /// The role on a day.
    pub fn role_on(&self, day: Day) -> Option<Role> {
        let role = self.roles.iter().rfind(|(from, _)| *from <= day);
        role.map(|(_, role)| *role)
    }

    /// The levels that are authorized on a day, by their keys.
    pub fn authorized_on(&self, day: Day) -> Vec<&str> {
        let all = self.authorizations.iter();
        let now = all.filter(|one| one.first <= day && day <= one.last);
        now.map(|one| one.level.as_str()).collect()
    }
}

/// Who decides about the dose of a person in this role, in the words of a command. Who decides
/// about doses does not decide alone about their own: a second person is then named.
pub fn by_flags(role: Option<Role>) -> &'static str {
    match role {
        Some(Role::Rso | Role::RsoDesignee) => "--performed-by ID --second-by ID",
        _ => "--performed-by ID",
    }
}

/// One direct-reading dosimeter's start and end on one shift, or one part of
/// them where it was re-zeroed in between.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The dosimeter's record; `None` where the ledger does not know it.
    pub record: Option<i64>,
    /// The dosimeter as the sheet names it.
    pub dosimeter: Arc<str>,
    /// 1 for the first part, 2 after the first re-zeroing.
    pub part: i64,
    /// What the face showed at the start; `None` where it was not taken.
    pub start: Option<Indication>,
    /// What the face showed at the end; `None` where it was not taken.
    pub end: Option<Indication>,
    /// The dosimeter was off-scale, by its sheet or by showing more than it can
    /// show: a state without an upper bound, not a number.
    pub off_scale: bool,
    /// Doubts that keep it out of the account until somebody rules.
    pub held: Vec<DoubtType>,
    /// What was decided about the doubts; `None` while they stand.
    pub disposition: Option<Outcome>,
}

impl Reading {
    /// Whether it waits for a disposition.
    pub fn is_held(&self) -> bool {
        !self.held.is_empty() && self.disposition.is_none()
    }

    /// An off-scale dosimeter in words: `PD-07 off-scale`, `PD-08 off-scale at 215 mR`.
    pub fn off_words(&self) -> String {
        match self.end {
            Some(end) => format!("{} off-scale at {end}", self.dosimeter),
            None => format!("{} off-scale", self.dosimeter),
        }
    }

    /// Whether somebody ruled that it is not this person's dose.
    pub fn is_ruled_out(&self) -> bool {
        self.disposition == Some(Outcome::DoesNotCount)
    }
}

/// One worker's part of one sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shift {
    /// The sheet's record.
    pub sheet: i64,
    /// The sheet's newest entry, which says what follows.
    pub entry: i64,
    /// The day on which the shift started.
    pub day: Day,
    /// Whether it ran over midnight into the next day.
    pub crosses_midnight: bool,
    /// `day`, `evening` or `night`.
    pub shift: ShiftName,
    /// Whether the badge was worn; `None` where the sheet does not say.
    pub badge_worn: Option<bool>,
    /// The number of the badge that the sheet names.
    pub badge: Option<Arc<str>>,
    /// What the crew did.
    pub work: Work,
    /// The person's readings. None at all leaves the shift undetermined.
    pub readings: Vec<Reading>,
}

/// All that a worker's account is made from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct History {
    /// What is known of the worker.
    pub facts: WorkerFacts,
    /// The worker's shifts, in any order.
    pub shifts: Vec<Shift>,
}

impl History {
    /// Badges of other employers that were worn on days of shifts here, and of which nobody
    /// said whether they measured the same dose: until somebody does they are on hold.
    pub fn open_elsewhere(&self) -> impl Iterator<Item = &WearPeriod> {
        let open = Issuer::Other { same_dose: None };
        let all = self.facts.dosimetry.wear.iter();
        all.filter(move |it| it.issuer == open && it.counting != Counting::RuledOut)
            .filter(|it| self.shifts_on(it).next().is_some())
    }

    /// The shifts on the days of a badge.
    pub fn shifts_on(&self, wear: &WearPeriod) -> impl Iterator<Item = &Shift> {
        let days = wear.days();
        self.shifts.iter().filter(move |it| days.contains(it.day))
    }
}

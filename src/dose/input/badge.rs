//! Badges, what the processor reports of them, what the RSO determines, and
//! what resolves a disagreement: the records above the readings.
//!
//! Every `entry` is the number of the newest entry that says it; every
//! `record` is the number of the record's first entry, by which other records
//! point to it and which says which of two was told first. An amended record
//! appears once, as amended; a voided one does not appear.

use std::sync::Arc;

use crate::calendar::{Day, Span};
use crate::dose::total::{Amount, PerQuantity};
use crate::quantity::Dose;
use crate::record::Outcome;
use crate::rule::Quantity;

/// The records about one worker that stand above the readings.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Dosimetry {
    /// Badges on this person. A control badge is nobody's and not among them.
    pub wear: Vec<WearPeriod>,
    /// What the processor reported of them.
    pub results: Vec<BadgeResult>,
    /// The RSO's determinations. One that speaks of several quantities appears
    /// once for each, with the same entry.
    pub determinations: Vec<Determination>,
    /// What the RSO decided where they disagree.
    pub resolutions: Vec<Resolution>,
    /// Planned special exposures.
    pub special: Vec<PlannedSpecialExposure>,
    /// The worker's shifts in which something happened.
    pub events: Vec<EventOnShift>,
    /// Dosimeters later found to read low.
    pub reads_low: Vec<ReadsLow>,
}

/// What a result says of the lens and shallow dose where its report states the
/// deep dose alone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Unstated {
    /// The deep dose is taken for both, by the convention for photons that the
    /// rule set names. Whoever shows the figure says so.
    #[default]
    AsDeep,
    /// Nothing: the readings stand in, and the deep dose counts on the safe
    /// side alone.
    Nothing,
}

impl Dosimetry {
    /// The days for which a badge speaks. While no return is recorded, a
    /// report that counts ends them with the last day that it states: what is
    /// worked later is not in it.
    pub fn worn_days(&self, wear: &WearPeriod) -> Span {
        let mut days = wear.days();
        if wear.last.is_none() {
            let reports = self
                .results
                .iter()
                .filter(|it| it.wear == Some(wear.record) && it.counting == Counting::Counts);
            if let Some(last) = reports.map(|it| it.stated_days.last).max() {
                days.last = last.max(days.first);
            }
        }
        days
    }

    /// The reports of a badge that count and that no later one corrects, in the
    /// order in which they were told.
    pub fn reports(&self, wear: i64) -> Vec<&BadgeResult> {
        let mine = || {
            self.results
                .iter()
                .filter(move |it| it.wear == Some(wear) && it.counting == Counting::Counts)
        };
        let mut found: Vec<&BadgeResult> = mine()
            .filter(|it| !mine().any(|other| other.corrects == Some(it.entry)))
            .collect();
        found.sort_by_key(|it| (it.record, it.entry));
        found
    }
}

/// Where a badge is worn, which decides what its result stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BadgeKind {
    /// On the trunk. Its result stands for each quantity that it states.
    WholeBody,
    /// On an extremity. Its result stands for the extremity dose only; the
    /// importer puts its figure there, under whatever heading it came.
    Extremity,
}

/// What became of a badge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BadgeState {
    /// On the person.
    Worn,
    /// Handed in.
    Returned,
    /// On its way to the processor, or there.
    Sent,
    /// Lost.
    Lost,
    /// Damaged, so that no result can be had or trusted.
    Damaged,
}

/// Whose badge it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Issuer {
    /// This ledger's licensee.
    Own,
    /// Another employer.
    Other {
        /// Whether it measured the same dose as the own badge, worn on the same
        /// shifts. `Some(true)`: of the two the higher counts. `Some(false)`:
        /// it is dose from elsewhere and adds. While nobody says so, a badge
        /// over own shifts is on hold: it adds on the conservative side alone, for a
        /// dose never looks lower by a guess.
        same_dose: Option<bool>,
    },
}

/// Whether a record counts, waits for somebody, or was ruled not to count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Counting {
    /// It counts: it was never in doubt, or was ruled to count.
    #[default]
    Counts,
    /// In doubt and not ruled on: out of the account, on the conservative side.
    Held,
    /// Ruled not to count: out of both figures.
    RuledOut,
}

impl Counting {
    /// From whether a record has a doubt, and what was ruled.
    pub fn of(doubted: bool, disposition: Option<Outcome>) -> Counting {
        match (doubted, disposition) {
            (_, Some(Outcome::DoesNotCount)) => Counting::RuledOut,
            (false, _) | (true, Some(Outcome::Counts)) => Counting::Counts,
            (true, None) => Counting::Held,
        }
    }
}

/// One badge on one person, from issue to return.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WearPeriod {
    /// The record; results, determinations and settlements point here.
    pub record: i64,
    /// The newest entry about it (issue, return, loss).
    pub entry: i64,
    /// The badge's number, as written on it.
    pub badge: Arc<str>,
    /// Where it is worn.
    pub kind: BadgeKind,
    /// Whose it is.
    pub issuer: Issuer,
    /// The first day on which it was worn: the day of issue.
    pub first: Day,
    /// The last day on which it was worn: the day of return, loss or damage,
    /// and for a badge that was sent the day on which it was taken off.
    /// `None` while it is worn.
    pub last: Option<Day>,
    /// The last day that the site itself planned for it, if it wrote one down.
    pub planned_last: Option<Day>,
    /// Of one read on demand, which goes to no processor: the day of its last
    /// read or its issue, from which the interval to the next read runs.
    /// `None` for one that is processed.
    pub read_from: Option<Day>,
    /// What became of it.
    pub state: BadgeState,
    /// Held for instance where two periods of one person and kind overlap:
    /// the later written one is held. An exchange on one day, the old badge's
    /// last day being the new one's first, is no overlap.
    pub counting: Counting,
}

impl WearPeriod {
    /// The days on which it was worn; open-ended while it still is.
    pub fn days(&self) -> Span {
        Span {
            first: self.first,
            last: self.last.unwrap_or(Span::OPEN_END).max(self.first),
        }
    }

    /// Whether it was on the person on a day, whatever became of it since. On the day on which it
    /// was handed in it was worn, if that day is over; one that is lost or damaged is none from
    /// that day on.
    pub fn is_on_person(&self, on: Day, day_is_over: bool) -> bool {
        let taken_off = match (self.last, self.state) {
            (None, _) => false,
            (Some(last), BadgeState::Lost | BadgeState::Damaged) => last <= on,
            // Its wear ended with a read: it stayed on the person.
            (Some(last), BadgeState::Worn) => last < on,
            (Some(last), _) => last < on || (last == on && !day_is_over),
        };
        self.first <= on && !taken_off
    }

    /// Whether it is this licensee's badge.
    pub fn is_own(&self) -> bool {
        self.issuer == Issuer::Own
    }
}

/// What a report states for one quantity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reported {
    /// A dose, net of the control badge.
    Dose(Dose),
    /// Below what the processor reports. Counts as zero in the account and as
    /// the minimum, at least, on the conservative side.
    BelowMinimum {
        /// The code as the report writes it, such as `M`.
        code: Arc<str>,
        /// The processor's minimum.
        minimum: Dose,
    },
}

impl Reported {
    /// What the account counts: zero where it is below the minimum.
    pub fn counted(&self) -> Dose {
        match self {
            Reported::Dose(dose) => *dose,
            Reported::BelowMinimum { .. } => Dose::ZERO,
        }
    }

    /// The most that it can be: the minimum where it is below it.
    pub fn at_most(&self) -> Dose {
        match self {
            Reported::Dose(dose) => *dose,
            Reported::BelowMinimum { minimum, .. } => *minimum,
        }
    }
}

/// What the processor reported of one badge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadgeResult {
    /// The entry that states it.
    pub entry: i64,
    /// The record: its first entry, which says when it was first told.
    pub record: i64,
    /// The wear period's record; `None` where the ledger knows no such issue
    /// (a spare). Such a result is held whatever [`BadgeResult::counting`]
    /// says, and [`BadgeResult::stated_days`] places it.
    pub wear: Option<i64>,
    /// The days that the report itself gives. They decide nothing where the
    /// wear period is known and closed.
    pub stated_days: Span,
    /// The day of the report.
    pub reported_on: Day,
    /// What it states of each quantity; `None` where it states nothing.
    pub doses: PerQuantity<Option<Reported>>,
    /// What it says of a quantity that its report leaves out.
    pub unstated: Unstated,
    /// The processor's own total of the year so far, where the report has one.
    pub year_to_date: PerQuantity<Option<Dose>>,
    /// The entry by which the RSO accepted it.
    pub accepted: Option<i64>,
    /// The entry of the earlier report that this one says it corrects. Once it
    /// counts, the earlier one is out of both figures. Two reports of one
    /// badge of which neither corrects the other are a conflict.
    pub corrects: Option<i64>,
    /// Whether it counts.
    pub counting: Counting,
}

/// What a determination speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Scope {
    /// One reading of this worker.
    Reading {
        /// The sheet's record.
        sheet: i64,
        /// The dosimeter's record; `None` for one that the ledger does not know.
        dosimeter: Option<i64>,
        /// The part, 1 for the first.
        part: i64,
    },
    /// All of this worker's dose on one sheet: a shift without a dosimeter.
    Shift {
        /// The sheet's record.
        sheet: i64,
    },
    /// A wear period, by its record: a lost or damaged badge. It covers the wear
    /// up to the day of loss; of a badge still worn, up to
    /// [`Determination::through`].
    WearPeriod(i64),
    /// An event, by its record.
    Event {
        /// The event's record.
        event: i64,
        /// The day on which the dose was received.
        day: Day,
        /// The sheet on which this worker's part of it stands. Without one no
        /// sheet tells of it, and the dose adds whatever the relation says.
        sheet: Option<i64>,
    },
    /// A span of days: time without a dosimeter, or a notional dose.
    Span(Span),
}

/// How a determination stands to what else is known of its scope.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Relation {
    /// It takes the place of readings. A result or another determination of the
    /// same shift contradicts it, unless one names the other as superseded.
    Replaces,
    /// It adds to them.
    Adds,
    /// It takes the place of readings until a result comes, and then ends.
    UntilResult,
}

/// How a dose was determined.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Method {
    /// From a co-worker on the same task.
    CoWorker,
    /// From time and distance at a source of known activity.
    TimeAndDistance,
    /// From the person's own neighbouring periods.
    Interpolation,
    /// From another dosimeter worn at the same time.
    OtherDosimeter,
    /// The share of the limit for the time: see
    /// [`notional`](crate::dose::determine::notional).
    NotionalShare,
    /// As the basis text says.
    Other,
}

/// A dose that the RSO determined.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Determination {
    /// The entry that states it.
    pub entry: i64,
    /// The record: its first entry, which says when it was first told.
    pub record: i64,
    /// What it speaks of.
    pub scope: Scope,
    /// Which dose.
    pub quantity: Quantity,
    /// How it stands to readings and results.
    pub relation: Relation,
    /// The dose of record.
    pub dose: Dose,
    /// The most that it can be: the high end of a range, else the dose. Duties
    /// and levels count it.
    pub at_most: Dose,
    /// Whether it is only known to be above something: no upper bound.
    pub open: bool,
    /// How it was found.
    pub method: Method,
    /// The worker's record of who determined it.
    pub determined_by: i64,
    /// The second person's record. A determination by somebody of their own
    /// dose does not stand without one.
    pub second_person: Option<i64>,
    /// The last day that it covers of a badge still worn.
    pub through: Option<Day>,
    /// The entries of results and determinations that it names as superseded.
    pub supersedes: Vec<i64>,
}

impl Determination {
    /// What it gives at the most, on the conservative side.
    pub fn safe(&self) -> Amount {
        Amount::of(self.at_most, self.open)
    }

    /// What the account counts.
    pub fn counted(&self) -> Amount {
        Amount::of(self.dose, self.open)
    }

    /// The figure with how far it reaches: two that differ in it contradict each
    /// other.
    pub fn figures(&self) -> (Dose, Dose, bool) {
        (self.dose, self.at_most, self.open)
    }

    /// Whether it is one figure without a range.
    pub fn is_exact(&self) -> bool {
        self.at_most == self.dose && !self.open
    }

    /// Whether it stands for `worker`: a dose of one's own needs a second
    /// person, who is somebody else.
    pub fn stands_for(&self, worker: i64) -> bool {
        self.determined_by != worker || self.second_person.is_some_and(|second| second != worker)
    }
}

/// What the RSO decided where results, determinations or both disagree.
///
/// It holds for the entries that it names, as long as those that stand by it
/// are in force. One that comes later, or is amended (and so has another
/// entry), opens the conflict again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resolution {
    /// The entry that states it.
    pub entry: i64,
    /// What it names.
    pub of: Chosen,
}

/// What a resolution names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Chosen {
    /// Each result and determination by its entry.
    Entries {
        /// Those of record.
        stands: Vec<i64>,
        /// Of these, the one that speaks only for the shifts that no other of
        /// them speaks for.
        rest: Option<i64>,
        /// Those that are not of record.
        set_aside: Vec<i64>,
    },
    /// One kind over the other, of all that was on record about a badge's
    /// shifts before the resolution: the form of earlier ledgers.
    OfBadge {
        /// The wear period's record.
        wear: i64,
        /// Whether the newest result is of record; else the determinations.
        result: bool,
    },
}

/// A planned special exposure (10 CFR 20.1206). Shifts that start on its days
/// count apart only if it was authorized in writing before its first day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlannedSpecialExposure {
    /// The entry that records it.
    pub entry: i64,
    /// Its days.
    pub days: Span,
    /// The date of the written authorization; `None` where there is none.
    pub authorized_on: Option<Day>,
}

impl PlannedSpecialExposure {
    /// Whether it counts apart. An authorization of the same date proves
    /// nothing about which came first.
    pub fn is_authorized(&self) -> bool {
        self.authorized_on.is_some_and(|on| on < self.days.first)
    }
}

/// One of the worker's shifts that was part of an event. Where a lump is
/// apportioned it takes the result less the other readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EventOnShift {
    /// The entry that says so.
    pub entry: i64,
    /// The event's record.
    pub event: i64,
    /// The sheet's record.
    pub sheet: i64,
}

/// A dosimeter that a later check found to read low. Its readings of those
/// days are raised on the conservative side; the account keeps them as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReadsLow {
    /// The entry of the check.
    pub entry: i64,
    /// The dosimeter's record.
    pub dosimeter: i64,
    /// From its last good check to the failed one.
    pub days: Span,
    /// What is added, in thousandths of the reading, rounded up: a dosimeter
    /// that showed 80 of 100 has 250.
    pub raise_permille: i64,
}

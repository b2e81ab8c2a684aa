//! A scheme as the program uses it.

use std::fmt;

use serde::{Serialize, Serializer};

use super::caution::Caution;
use super::elsewhere::Elsewhere;
use super::event::{Authority, CategoryQuantity, Duty, EventFact, EventKind};
use super::form::{DoseBands, DoseForm};
use super::removed::Removed;
use super::retention::Retention;
use super::word::{AppliesTo, LevelSort, Quantity, Reached, Status};
use crate::calendar::{Interval, Window, YearStart};
use crate::quantity::{Activity, Dose, DoseRate, DoseUnit, Overflow};

/// A named set of limits, levels, intervals, tolerances and rule texts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scheme {
    /// Its unique name, as `10 CFR`.
    pub key: String,
    /// What it is, in one line.
    pub title: String,
    /// The unit in which tables print doses.
    pub unit: DoseUnit,
    /// Whether statements print the sievert in parentheses beside the rem (10 CFR 20.2101).
    pub si_in_parentheses: bool,
    /// The one-line caution that goes with every figure of this scheme.
    pub confirm: String,
    /// When the year begins over which doses are summed.
    pub year_start: YearStart,
    /// The built-in scheme from which a site's own one started.
    pub based_on: Option<String>,
    /// The levels.
    pub levels: Vec<Level>,
    /// The budget of a declared pregnancy.
    pub pregnancy: Option<PregnancyRule>,
    /// The authority's form of a year's dose record, where the scheme names one.
    pub form: Option<DoseForm>,
    /// The bands of dose by which its law tells how many people lie where, if it names any.
    pub bands: Option<DoseBands>,
    /// How often something falls due.
    pub intervals: Vec<IntervalRule>,
    /// Accuracies, bands and other single numbers.
    pub tolerances: Vec<Tolerance>,
    /// The rules in plain words.
    pub rules: Vec<RuleText>,
    /// Kinds of events.
    pub(super) events: Vec<EventKind>,
    /// What duties turn on.
    pub(super) facts: Vec<EventFact>,
    /// What must be told about events.
    pub(super) notices: Vec<Duty>,
    /// From which activity sources are of category 2.
    pub(super) categories: Vec<CategoryQuantity>,
    /// Whom to tell, by jurisdiction.
    pub(super) jurisdiction: Option<String>,
    pub(super) authorities: Vec<Authority>,
    pub(super) retention: Vec<Retention>,
    /// The schemes between that one and this, each starting from the one before.
    pub through: Vec<String>,
    /// What holds of it at jobs under another authority.
    pub(super) elsewhere: Elsewhere,
    /// What it leaves out of the one that it started from.
    pub(super) removed: Vec<Removed>,
    pub(super) cautions: Vec<Caution>,
}

/// A dose at which something happens.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Level {
    /// Its name, unique among the levels of the scheme.
    pub key: String,
    /// What happens there.
    pub sort: LevelSort,
    /// Which dose is summed.
    pub quantity: Quantity,
    /// Whose dose.
    pub applies_to: AppliesTo,
    /// Over which time.
    pub window: LevelWindow,
    /// The dose.
    pub dose: Dose,
    /// Whether a dose equal to it counts.
    pub reached: Reached,
    /// It holds only while an authorization naming this level is recorded.
    pub needs_authorization: bool,
    /// The level that this one stands for while it is authorized.
    pub instead_of: Option<String>,
    /// Quarters without records take a share of it from the allowance.
    pub cut_by_missing_quarters: bool,
    /// Whether who reached it stays in, where the scheme says so; else its sort decides.
    pub stops: Option<bool>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

/// Over which time a level sums the dose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LevelWindow {
    /// One shift.
    Shift,
    /// A window of the calendar.
    Over(Window),
}

/// The budget of a declared pregnancy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PregnancyRule {
    /// The key of the level that it belongs to.
    pub level: String,
    /// The dose of that level.
    pub total: Dose,
    /// The window of that level: the entire pregnancy, or the rest of it from the notice on.
    pub window: Window,
    /// What the rest of the pregnancy may add in any case, where the law grants that.
    pub floor: Option<Dose>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

/// How often something falls due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct IntervalRule {
    /// Its name, unique among the intervals of the scheme.
    pub key: String,
    /// What falls due.
    pub what: String,
    /// How often.
    pub interval: Interval,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

/// An accuracy, a band or another single number.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Tolerance {
    /// Its name, unique among the tolerances of the scheme.
    pub key: String,
    /// The number.
    pub value: ToleranceValue,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

/// The number of a tolerance, with what it counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ToleranceValue {
    /// Thousandths of the value it is compared with; 200 is 20 %.
    Permille(i64),
    /// A dose.
    Dose(Dose),
    /// A dose rate.
    Rate(DoseRate),
    /// An activity.
    Activity(Activity),
    /// Whole hours.
    Hours(i64),
    /// Whole days.
    Days(i64),
    /// Years of age.
    Years(i64),
    /// A day of every year, as month and day: the first after a year is the last on which what is
    /// asked for of that year is in time.
    ByDay(YearStart),
}

/// A rule in plain words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RuleText {
    /// Its name, by which findings ask for it.
    pub key: String,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means.
    pub meaning: String,
    /// What to do when it is broken.
    pub remedy: String,
}

/// What decides which levels are a worker's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct WorkerFacts {
    /// Under 18 on the day. Who does not know the age must not take the person for an adult.
    pub under_18: bool,
    /// An apprentice or student in training for the work.
    pub apprentice: bool,
    /// A radiation worker; if not, the levels of other people hold.
    pub exposed: bool,
}

/// The citation, followed by `(to be confirmed)` where the text was not read.
pub(super) fn cited(citation: &str, status: Status) -> String {
    match status {
        Status::Read => citation.to_owned(),
        Status::ToBeConfirmed => format!("{citation} ({status})"),
    }
}

/// Gives each kind of entry the printed form of its citation.
macro_rules! has_citation {
    ($($kind:ty),+) => { $(
        impl $kind {
            /// The citation, followed by `(to be confirmed)` where the text was not read.
            #[must_use]
            pub fn cited(&self) -> String {
                cited(&self.citation, self.status)
            }
        }
    )+ };
}
has_citation!(Level, PregnancyRule, IntervalRule, Tolerance, RuleText);

impl Scheme {
    /// The level of this key.
    #[must_use]
    pub fn level(&self, key: &str) -> Option<&Level> {
        self.levels.iter().find(|level| level.key == key)
    }

    /// The rule text of this key; every key of [`RULE_KEYS`](super::RULE_KEYS) has one.
    #[must_use]
    pub fn rule(&self, key: &str) -> Option<&RuleText> {
        self.rules.iter().find(|rule| rule.key == key)
    }

    /// The interval of this key; every key of [`INTERVAL_KEYS`](super::INTERVAL_KEYS) has one.
    #[must_use]
    pub fn interval(&self, key: &str) -> Option<&IntervalRule> {
        self.intervals.iter().find(|interval| interval.key == key)
    }

    /// The tolerance of this key; every key of [`TOLERANCE_KEYS`](super::TOLERANCE_KEYS) has
    /// one, of the sort that the checks expect.
    #[must_use]
    pub fn tolerance(&self, key: &str) -> Option<&Tolerance> {
        self.tolerances.iter().find(|one| one.key == key)
    }

    /// What an RSO should look at before adopting this scheme; nothing for the built-in ones.
    #[must_use]
    pub fn cautions(&self) -> &[Caution] {
        &self.cautions
    }

    /// Which levels are this worker's own. Other people come first, since theirs are the lowest;
    /// an apprentice under 18 has apprentice levels only where the scheme knows them.
    #[must_use]
    pub fn population(&self, worker: WorkerFacts) -> AppliesTo {
        let knows = |who| self.levels.iter().any(|level| level.applies_to == who);
        match worker {
            WorkerFacts { exposed: false, .. } => AppliesTo::Other,
            WorkerFacts {
                under_18: true,
                apprentice: true,
                ..
            } if knows(AppliesTo::Apprentice) => AppliesTo::Apprentice,
            WorkerFacts { under_18: true, .. } => AppliesTo::Minor,
            _ => AppliesTo::Adult,
        }
    }

    /// The levels of such a person and those of anyone, in the order of the file; of a declared
    /// pregnancy only its own, since they come on top of the worker's. Levels that
    /// need an authorization are left out unless `authorized` names their key; one that is named
    /// takes the place of the level that it stands for.
    pub fn levels_of<'s>(
        &'s self,
        who: AppliesTo,
        authorized: &'s [&'s str],
    ) -> impl Iterator<Item = &'s Level> {
        let in_force = move |level: &Level| {
            !level.needs_authorization || authorized.contains(&level.key.as_str())
        };
        let replaced = move |level: &Level| {
            self.levels.iter().any(|other| {
                other.needs_authorization
                    && in_force(other)
                    && other.instead_of.as_deref() == Some(level.key.as_str())
            })
        };
        self.levels
            .iter()
            .filter(move |level| {
                level.applies_to == who
                    || (level.applies_to == AppliesTo::Anyone
                        && who != AppliesTo::DeclaredPregnancy)
            })
            .filter(move |level| in_force(level) && !replaced(level))
    }

    /// What `quarters` without records take from the allowance under a level: for each the share
    /// of the tolerance `missing-quarter`, rounded up, and never more than the level itself.
    ///
    /// 10 CFR 20.2104(e) has 1.25 rem of 5 rem a quarter; HPPOS Q55 the same for other limits.
    ///
    /// # Errors
    /// [`Overflow`] where the numbers do not fit.
    pub fn missing_quarter_cut(&self, level: &Level, quarters: u32) -> Result<Dose, Overflow> {
        if !level.cut_by_missing_quarters {
            return Ok(Dose::ZERO);
        }
        let permille = match self.tolerance("missing-quarter").map(|one| one.value) {
            Some(ToleranceValue::Permille(permille)) => permille,
            // A quarter of a year's limit for a quarter of a year.
            _ => 250,
        };
        let parts = level.dose.checked_mul(permille)?.nsv();
        let one = Dose::from_nsv(parts.div_euclid(1000) + i64::from(parts.rem_euclid(1000) > 0));
        Ok(one.checked_mul(i64::from(quarters))?.min(level.dose))
    }
}

impl Level {
    /// Whether who reached it stays in. What no scheme says is decided by the sort: a limit and an
    /// administrative level do, an investigation level asks the RSO to look.
    #[must_use]
    pub fn is_stopping(&self) -> bool {
        let by_sort = matches!(self.sort, LevelSort::Limit | LevelSort::Administrative);
        self.stops.unwrap_or(by_sort)
    }

    /// Whether a dose has reached this level.
    #[must_use]
    pub fn is_reached_by(&self, dose: Dose) -> bool {
        match self.reached {
            Reached::Above => dose > self.dose,
            Reached::AtOrAbove => dose >= self.dose,
        }
    }

    /// The window of the calendar, nothing for a shift level.
    #[must_use]
    pub const fn over(&self) -> Option<Window> {
        match self.window {
            LevelWindow::Shift => None,
            LevelWindow::Over(window) => Some(window),
        }
    }
}

impl PregnancyRule {
    /// What may be received from the declaration on, `before` being the dose from conception to
    /// declaration. Fixed at declaration.
    ///
    /// Over the entire pregnancy: what is left of the total, but at least the floor
    /// (10 CFR 20.1208(a), (d)); below zero where there is no floor and the total is passed.
    /// From the notice on: the total, whatever was before.
    ///
    /// # Errors
    /// [`Overflow`] where the numbers do not fit.
    pub fn budget(&self, before: Dose) -> Result<Dose, Overflow> {
        if self.window == Window::RestOfPregnancy {
            return Ok(self.total);
        }
        let left = self.total.checked_sub(before)?;
        Ok(self.floor.map_or(left, |floor| left.max(floor)))
    }
}

impl Tolerance {
    /// The thousandths, if it is a share.
    #[must_use]
    pub const fn permille(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Permille(permille) => Some(permille),
            _ => None,
        }
    }

    /// The dose, if it is one.
    #[must_use]
    pub const fn dose(&self) -> Option<Dose> {
        match self.value {
            ToleranceValue::Dose(dose) => Some(dose),
            _ => None,
        }
    }

    /// The dose rate, if it is one.
    #[must_use]
    pub const fn rate(&self) -> Option<DoseRate> {
        match self.value {
            ToleranceValue::Rate(rate) => Some(rate),
            _ => None,
        }
    }

    /// The activity, if it is one.
    #[must_use]
    pub const fn activity(&self) -> Option<Activity> {
        match self.value {
            ToleranceValue::Activity(activity) => Some(activity),
            _ => None,
        }
    }

    /// The hours, if it is a time in hours.
    #[must_use]
    pub const fn hours(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Hours(hours) => Some(hours),
            _ => None,
        }
    }

    /// The days, if it is a time in days.
    #[must_use]
    pub const fn days(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Days(days) => Some(days),
            _ => None,
        }
    }

    /// The years, if it is an age.
    #[must_use]
    pub const fn years(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Years(years) => Some(years),
            _ => None,
        }
    }

    /// The day of the year, if it is one.
    #[must_use]
    pub const fn by_day(&self) -> Option<YearStart> {
        match self.value {
            ToleranceValue::ByDay(day) => Some(day),
            _ => None,
        }
    }
}

impl ToleranceValue {
    /// The name of its field in a file.
    pub(super) const fn field(self) -> &'static str {
        match self {
            Self::Permille(_) => "permille",
            Self::Dose(_) => "dose",
            Self::Rate(_) => "rate",
            Self::Activity(_) => "activity",
            Self::Hours(_) => "hours",
            Self::Days(_) => "days",
            Self::Years(_) => "years",
            Self::ByDay(_) => "by_day",
        }
    }

    /// The bare number in the smallest unit of its sort.
    pub(super) const fn count(self) -> i64 {
        match self {
            Self::Permille(it) | Self::Hours(it) | Self::Days(it) | Self::Years(it) => it,
            Self::Dose(dose) => dose.nsv(),
            Self::Rate(rate) => rate.nsv_per_hour(),
            Self::Activity(activity) => activity.bq(),
            Self::ByDay(day) => day.month() as i64 * 100 + day.day() as i64,
        }
    }
}

impl fmt::Display for LevelWindow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shift => f.pad("shift"),
            Self::Over(window) => f.pad(&window.to_string()),
        }
    }
}

impl Serialize for LevelWindow {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

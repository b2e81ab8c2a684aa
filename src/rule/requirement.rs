//! What a rule set asks besides doses: how often something falls due, single numbers, and the rules
//! in plain words.

use serde::Serialize;

use super::word::{Status, has_citation};
use crate::calendar::{Interval, YearStart};
use crate::quantity::{Activity, Dose, DoseRate};

/// How often something falls due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct IntervalRule {
    /// Its name, unique among the intervals of the rule set.
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
    /// Its name, unique among the tolerances of the rule set.
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

impl Tolerance {
    /// The thousandths, if it is a share.
    pub const fn permille(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Permille(permille) => Some(permille),
            _ => None,
        }
    }

    /// The dose, if it is one.
    pub const fn dose(&self) -> Option<Dose> {
        match self.value {
            ToleranceValue::Dose(dose) => Some(dose),
            _ => None,
        }
    }

    /// The dose rate, if it is one.
    pub const fn rate(&self) -> Option<DoseRate> {
        match self.value {
            ToleranceValue::Rate(rate) => Some(rate),
            _ => None,
        }
    }

    /// The activity, if it is one.
    pub const fn activity(&self) -> Option<Activity> {
        match self.value {
            ToleranceValue::Activity(activity) => Some(activity),
            _ => None,
        }
    }

    /// The hours, if it is a time in hours.
    pub const fn hours(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Hours(hours) => Some(hours),
            _ => None,
        }
    }

    /// The days, if it is a time in days.
    pub const fn days(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Days(days) => Some(days),
            _ => None,
        }
    }

    /// The years, if it is an age.
    pub const fn years(&self) -> Option<i64> {
        match self.value {
            ToleranceValue::Years(years) => Some(years),
            _ => None,
        }
    }

    /// The day of the year, if it is one.
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

    /// The bare number in the smallest unit of its kind.
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

has_citation!(IntervalRule, Tolerance, RuleText);

//! Intervals at which something falls due. Laws have several kinds and they are not the same.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::day::{Day, day_after, months_on};
use super::error::CalendarError;
use super::year::{YearStart, quarter_of};

/// A kind of interval. In files as `kind = "not to exceed months"` with `months = 6`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(tag = "kind", content = "months")]
pub enum Interval {
    /// Not more than so many months from one act to the next, without grace: the same day of
    /// the month so many months on is still in time, the day after is not.
    #[serde(rename = "not to exceed months")]
    NotToExceedMonths(u32),
    /// Once in each quarter of the licensee's year, so that two acts may lie almost six months
    /// apart.
    #[serde(rename = "once each quarter")]
    OnceEachQuarter,
    /// The same as not to exceed, but what is not used may lapse: then before its next use.
    #[serde(rename = "not to exceed months or before next use")]
    NotToExceedMonthsOrBeforeNextUse(u32),
    /// Done within so many months before each use, looking back from the use.
    #[serde(rename = "within months before use")]
    WithinMonthsBeforeUse(u32),
    /// On each day of use, before the use.
    #[serde(rename = "before use each day")]
    BeforeUseEachDay,
    /// At the start of each shift.
    #[serde(rename = "each shift")]
    EachShift,
}

/// How something that recurs stands on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(tag = "status", rename_all = "snake_case")]
pub enum DueStatus {
    /// Done, and it holds up to and with this day.
    InTime {
        /// The last day on which it is in time.
        until: Day,
    },
    /// The time for the next is past: a duty not done.
    Overdue {
        /// The first day on which it was late.
        since: Day,
    },
    /// No act is known.
    NeverDone,
    /// Not in force, which is no breach while it is not used: to be done before the next use.
    BeforeUse {
        /// The last day on which it was in force, where a day tells it.
        held_until: Option<Day>,
    },
}

impl DueStatus {
    /// Whether it is in force, so that the thing may be used.
    pub const fn in_force(&self) -> bool {
        matches!(self, Self::InTime { .. })
    }
}

impl Interval {
    /// Itself, if the months make sense.
    ///
    /// # Errors
    /// [`CalendarError::NoInterval`] for no months, or more than a century of them.
    pub fn checked(self) -> Result<Self, CalendarError> {
        match self.months() {
            Some(months) if !(1..=1200).contains(&months) => {
                Err(CalendarError::NoInterval { months })
            }
            _ => Ok(self),
        }
    }

    /// The months, for the kinds that have them.
    pub const fn months(self) -> Option<u32> {
        match self {
            Self::NotToExceedMonths(months)
            | Self::NotToExceedMonthsOrBeforeNextUse(months)
            | Self::WithinMonthsBeforeUse(months) => Some(months),
            Self::OnceEachQuarter | Self::BeforeUseEachDay | Self::EachShift => None,
        }
    }

    /// The last day on which an act done on `last` is in time; nothing where no day tells it
    /// (each shift).
    ///
    /// `year` says when the licensee's year begins, from which its quarters are counted.
    pub fn due_after(self, last: Day, year: YearStart) -> Option<Day> {
        match self {
            // Within the months before use is counted forward too: where months differ in
            // length that is the stricter way.
            Self::NotToExceedMonths(months)
            | Self::NotToExceedMonthsOrBeforeNextUse(months)
            | Self::WithinMonthsBeforeUse(months) => Some(months_on(last, months)),
            Self::OnceEachQuarter => Some(quarter_of(last, year).next().span(year).last),
            Self::BeforeUseEachDay => Some(last),
            Self::EachShift => None,
        }
    }

    /// How it stands on the day `on`, the last act before or on that day being `last`. An act
    /// after `on` has not happened yet and counts as none.
    pub fn status(self, last: Option<Day>, on: Day, year: YearStart) -> DueStatus {
        let Some(last) = last.filter(|last| *last <= on) else {
            return DueStatus::NeverDone;
        };
        let until = self.due_after(last, year);
        match until {
            Some(until) if on <= until => DueStatus::InTime { until },
            Some(until) if self.is_a_standing_duty() => DueStatus::Overdue {
                since: day_after(until),
            },
            held_until => DueStatus::BeforeUse { held_until },
        }
    }

    /// Whether it must be done even for a thing that is not used.
    pub const fn is_a_standing_duty(self) -> bool {
        matches!(self, Self::NotToExceedMonths(_) | Self::OnceEachQuarter)
    }
}

impl fmt::Display for Interval {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToExceedMonths(n) => write!(f, "at most {n} months apart"),
            Self::OnceEachQuarter => f.write_str("once in each quarter"),
            Self::NotToExceedMonthsOrBeforeNextUse(n) => {
                write!(f, "at most {n} months apart, or before the next use")
            }
            Self::WithinMonthsBeforeUse(n) => write!(f, "within {n} months before use"),
            Self::BeforeUseEachDay => f.write_str("before use on each day"),
            Self::EachShift => f.write_str("at the start of each shift"),
        }
    }
}

//! From one day to another.

use std::fmt;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::day::Day;
use super::error::CalendarError;

/// From one day to another, both counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Span {
    /// The first day.
    pub first: Day,
    /// The last day, which is not before the first.
    pub last: Day,
}

impl Span {
    /// Stands for a beginning that is not known, as that of a lifetime.
    pub const OPEN_START: Day = match NaiveDate::from_ymd_opt(1, 1, 1) {
        Some(day) => day,
        None => NaiveDate::MIN,
    };

    /// Stands for an end that is not known yet, as that of a pregnancy.
    pub const OPEN_END: Day = match NaiveDate::from_ymd_opt(9999, 12, 31) {
        Some(day) => day,
        None => NaiveDate::MAX,
    };

    /// From `first` to `last`, both counted.
    ///
    /// # Errors
    /// [`CalendarError::Backwards`] if it ends before it begins.
    pub fn new(first: Day, last: Day) -> Result<Self, CalendarError> {
        if last < first {
            return Err(CalendarError::Backwards {
                first: first.to_string(),
                last: last.to_string(),
            });
        }
        Ok(Self { first, last })
    }

    /// Whether `day` lies in it.
    pub fn contains(&self, day: Day) -> bool {
        self.first <= day && day <= self.last
    }

    /// Whether the two have a day in common.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.first <= other.last && other.first <= self.last
    }

    /// The days that the two have in common.
    pub fn common(&self, other: &Self) -> Option<Self> {
        self.overlaps(other).then(|| Self {
            first: self.first.max(other.first),
            last: self.last.min(other.last),
        })
    }

    /// Each of its days, in order.
    pub fn each_day(&self) -> impl Iterator<Item = Day> {
        let last = self.last;
        self.first.iter_days().take_while(move |it| *it <= last)
    }

    /// How many days it has, the first and the last counted.
    pub fn days(&self) -> i64 {
        self.last.signed_duration_since(self.first).num_days() + 1
    }
}

/// As `2026-01-01 to 2026-12-31`; an open end as `from 2026-01-01 on`.
impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.first == Self::OPEN_START, self.last == Self::OPEN_END) {
            (true, true) => f.write_str("all days"),
            (true, false) => write!(f, "up to {}", self.last),
            (false, true) => write!(f, "from {} on", self.first),
            (false, false) => write!(f, "{} to {}", self.first, self.last),
        }
    }
}

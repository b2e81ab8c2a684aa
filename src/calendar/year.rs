//! The year over which doses are summed, and its quarters.

use std::fmt;
use std::str::FromStr;

use chrono::Datelike;
use serde::{Deserialize, Serialize};

use super::day::{Day, day_before, months_on};
use super::error::CalendarError;
use super::span::Span;

/// The month and day on which the licensee's year begins. 10 CFR 20.1003 wants a day in
/// January; other laws have the calendar year. That is the rule set's to say, so any day of the
/// year is taken but 29 February, which most years do not have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct YearStart {
    month: u32,
    day: u32,
}

impl YearStart {
    /// 1 January.
    pub const JANUARY_FIRST: Self = Self { month: 1, day: 1 };

    /// From month and day.
    ///
    /// # Errors
    /// [`CalendarError::NotAYearStart`] if there is no such day in every year.
    pub fn new(month: u32, day: u32) -> Result<Self, CalendarError> {
        // 2023 is no leap year, so 29 February falls out.
        match Day::from_ymd_opt(2023, month, day) {
            Some(_) => Ok(Self { month, day }),
            None => Err(CalendarError::NotAYearStart {
                text: format!("{month:02}-{day:02}"),
            }),
        }
    }

    /// The month, 1 to 12.
    pub const fn month(self) -> u32 {
        self.month
    }

    /// The day of the month.
    pub const fn day(self) -> u32 {
        self.day
    }

    /// The first day of the year that begins in the calendar year `year`.
    pub fn first_day(self, year: i32) -> Day {
        let edge = if year < 0 { Day::MIN } else { Day::MAX };
        Day::from_ymd_opt(year, self.month, self.day).unwrap_or(edge)
    }

    /// The year in which `day` lies, named after the calendar year in which it begins.
    pub fn year_of(self, day: Day) -> i32 {
        if (day.month(), day.day()) < (self.month, self.day) {
            day.year() - 1
        } else {
            day.year()
        }
    }

    /// The year that begins in the calendar year `year`, from first to last day.
    pub fn year(self, year: i32) -> Span {
        self.years(year, 1)
    }

    /// `count` years on end, the first of which begins in the calendar year `first`.
    pub(super) fn years(self, first: i32, count: i32) -> Span {
        Span {
            first: self.first_day(first),
            last: day_before(self.first_day(first.saturating_add(count))),
        }
    }
}

impl Default for YearStart {
    fn default() -> Self {
        Self::JANUARY_FIRST
    }
}

impl fmt::Display for YearStart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

impl FromStr for YearStart {
    type Err = CalendarError;

    /// Reads `01-01`, month then day.
    fn from_str(text: &str) -> Result<Self, CalendarError> {
        let refused = || CalendarError::NotAYearStart {
            text: text.to_owned(),
        };
        let (month, day) = text.trim().split_once('-').ok_or_else(refused)?;
        let number = |part: &str| match part.as_bytes() {
            [a, b] if a.is_ascii_digit() && b.is_ascii_digit() => part.parse::<u32>().ok(),
            _ => None,
        };
        match (number(month), number(day)) {
            (Some(month), Some(day)) => Self::new(month, day),
            _ => Err(refused()),
        }
    }
}

super::as_text!(YearStart);

/// One fourth of the licensee's year (10 CFR 20.1003): three months from its start, no day
/// left out or counted twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Quarter {
    /// The licensee's year, named after the calendar year in which it begins.
    pub year: i32,
    /// 1 to 4.
    pub number: u8,
}

impl Quarter {
    /// From first to last day. A number beyond 4 runs on into the next year.
    pub fn span(self, start: YearStart) -> Span {
        let first = start.first_day(self.year);
        let number = u32::from(self.number);
        let last = if number == 4 {
            start.first_day(self.year.saturating_add(1))
        } else {
            months_on(first, 3 * number)
        };
        Span {
            first: months_on(first, 3 * number.saturating_sub(1)),
            last: day_before(last),
        }
    }

    /// The one that follows.
    pub const fn next(self) -> Self {
        if self.number < 4 {
            Self {
                year: self.year,
                number: self.number + 1,
            }
        } else {
            Self {
                year: self.year + 1,
                number: 1,
            }
        }
    }
}

/// As `2026 Q1`.
impl fmt::Display for Quarter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} Q{}", self.year, self.number)
    }
}

/// The quarter of the licensee's year in which `day` lies.
pub fn quarter_of(day: Day, start: YearStart) -> Quarter {
    let year = start.year_of(day);
    let first = start.first_day(year);
    let later = (1..=3_u8)
        .filter(|n| months_on(first, 3 * u32::from(*n)) <= day)
        .count();
    Quarter {
        year,
        number: u8::try_from(later).unwrap_or(3) + 1,
    }
}

#[cfg(test)]
mod tests {
    use super::super::day::day_after;
    use super::super::day::tests::{any_day, day};
    use super::*;
    use proptest::prelude::*;

    fn start(text: &str) -> YearStart {
        text.parse().unwrap()
    }

    #[test]
    fn a_year_start_is_month_and_day_and_in_every_year() {
        assert_eq!(start("01-01"), YearStart::default());
        assert_eq!(start("01-15").to_string(), "01-15");
        for text in ["02-29", "13-01", "1-1", "01/01", "2026-01-01", ""] {
            let refusal = text.parse::<YearStart>();
            assert_eq!(
                refusal,
                Err(CalendarError::NotAYearStart {
                    text: text.to_owned()
                })
            );
        }
    }

    #[test]
    fn a_year_that_starts_on_15_january_holds_the_first_days_of_the_next() {
        let start = start("01-15");
        assert_eq!(start.year_of(day("2026-01-14")), 2025);
        assert_eq!(start.year_of(day("2026-01-15")), 2026);
        assert_eq!(start.year(2025).to_string(), "2025-01-15 to 2026-01-14");
    }

    #[test]
    fn a_quarter_is_three_months_of_the_licensees_year() {
        for (on, begins, name, span) in [
            ("2026-03-31", "01-01", "2026 Q1", "2026-01-01 to 2026-03-31"),
            ("2026-04-01", "01-01", "2026 Q2", "2026-04-01 to 2026-06-30"),
            ("2026-12-31", "01-01", "2026 Q4", "2026-10-01 to 2026-12-31"),
            ("2026-01-14", "01-15", "2025 Q4", "2025-10-15 to 2026-01-14"),
            ("2026-04-14", "01-15", "2026 Q1", "2026-01-15 to 2026-04-14"),
            ("2026-04-30", "01-31", "2026 Q2", "2026-04-30 to 2026-07-30"),
        ] {
            let start = start(begins);
            let quarter = quarter_of(day(on), start);
            assert_eq!(quarter.to_string(), name, "{on} {begins}");
            assert_eq!(quarter.span(start).to_string(), span, "{on} {begins}");
        }
    }

    proptest! {
        #[test]
        fn quarters_follow_each_other_without_gap_and_fill_the_year(
            on in any_day(), month in 1..=12_u32, first in 1..=28_u32,
        ) {
            let start = YearStart::new(month, first).unwrap();
            let quarter = quarter_of(on, start);
            let span = quarter.span(start);
            prop_assert!(span.contains(on));
            prop_assert_eq!(quarter.next().span(start).first, day_after(span.last));
            let year = start.year(quarter.year);
            let one = |number| Quarter { year: quarter.year, number }.span(start);
            prop_assert_eq!(one(1).first, year.first);
            prop_assert_eq!(one(4).last, year.last);
            prop_assert_eq!((1..=4).map(|n| one(n).days()).sum::<i64>(), year.days());
        }
    }
}

//! The calendar month.

use std::fmt;
use std::str::FromStr;

use chrono::Datelike;

use super::day::{Day, day_before, months_on};
use super::error::CalendarError;
use super::span::Span;

/// A month of a year, as `2026-05`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Month {
    first: Day,
}

impl Month {
    /// The month in which a day lies.
    pub fn of(day: Day) -> Month {
        Month {
            first: day.with_day(1).unwrap_or(day),
        }
    }

    /// Reads `2026-05`.
    ///
    /// # Errors
    /// [`CalendarError::NotAMonth`] for anything else.
    pub fn parse(text: &str) -> Result<Month, CalendarError> {
        let refused = || CalendarError::NotAMonth {
            text: text.to_owned(),
        };
        let (year, month) = text.trim().split_once('-').ok_or_else(refused)?;
        if (year.len(), month.len()) != (4, 2) {
            return Err(refused());
        }
        let year = year.parse().map_err(|_| refused())?;
        let month = month.parse().map_err(|_| refused())?;
        let first = Day::from_ymd_opt(year, month, 1).ok_or_else(refused)?;
        Ok(Month { first })
    }

    /// From its first day to its last.
    pub fn span(self) -> Span {
        Span {
            first: self.first,
            last: day_before(months_on(self.first, 1)),
        }
    }

    /// The month before.
    pub fn before(self) -> Month {
        Month::of(day_before(self.first))
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.first.format("%Y-%m").to_string())
    }
}

impl FromStr for Month {
    type Err = CalendarError;

    fn from_str(text: &str) -> Result<Month, CalendarError> {
        Month::parse(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_ends_on_its_own_last_day_and_follows_the_one_before() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        for (text, last, before) in [
            ("2026-05", "2026-05-31", "2026-04"),
            ("2024-02", "2024-02-29", "2024-01"),
            ("2026-01", "2026-01-31", "2025-12"),
        ] {
            let month = Month::parse(text).unwrap();
            assert_eq!(month.span().last, day(last));
            assert_eq!(month.to_string(), text);
            assert_eq!(month.before().to_string(), before);
        }
    }

    #[test]
    fn what_is_not_a_month_is_refused() {
        for text in [
            "2026",
            "2026-5",
            "05-2026",
            "2026-13",
            "2026-05-01",
            "May",
            "",
        ] {
            assert!(Month::parse(text).is_err(), "{text}");
        }
    }
}

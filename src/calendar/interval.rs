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

fn months<N: ToString>(count: N) -> String {
    crate::text::counted(count, "month", "months")
}

impl fmt::Display for Interval {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToExceedMonths(n) => write!(f, "at most {} apart", months(*n)),
            Self::OnceEachQuarter => f.write_str("once in each quarter"),
            Self::NotToExceedMonthsOrBeforeNextUse(n) => {
                write!(f, "at most {} apart, or before the next use", months(*n))
            }
            Self::WithinMonthsBeforeUse(n) => write!(f, "within {} before use", months(*n)),
            Self::BeforeUseEachDay => f.write_str("before use on each day"),
            Self::EachShift => f.write_str("at the start of each shift"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::day::tests::{any_day, day};
    use super::*;
    use proptest::prelude::*;

    /// One row, one question: kind and months, last act, day asked, answer.
    const STATUS: &str = "
        not to exceed 6            | 2023-08-31 | 2024-02-29 | in time until 2024-02-29
        not to exceed 6            | 2023-08-31 | 2024-03-01 | overdue since 2024-03-01
        not to exceed 6            | never      | 2024-03-01 | never done
        not to exceed 6            | 2024-03-02 | 2024-03-01 | never done
        each quarter               | 2026-01-01 | 2026-06-30 | in time until 2026-06-30
        each quarter               | 2026-01-01 | 2026-07-01 | overdue since 2026-07-01
        each quarter               | 2026-03-31 | 2026-07-01 | overdue since 2026-07-01
        each quarter               | never      | 2026-07-01 | never done
        not to exceed or use 3     | 2026-03-15 | 2026-06-15 | in time until 2026-06-15
        not to exceed or use 3     | 2026-03-15 | 2026-06-16 | before use, held to 2026-06-15
        within before use 12       | 2025-06-14 | 2026-06-14 | in time until 2026-06-14
        within before use 12       | 2025-06-14 | 2026-06-15 | before use, held to 2026-06-14
        within before use 1        | 2023-04-30 | 2023-05-31 | before use, held to 2023-05-30
        each day                   | 2026-06-14 | 2026-06-14 | in time until 2026-06-14
        each day                   | 2026-06-13 | 2026-06-14 | before use, held to 2026-06-13
        each shift                 | 2026-06-14 | 2026-06-14 | before use
    ";

    fn interval(text: &str) -> Interval {
        let (kind, months) = text.rsplit_once(' ').unwrap();
        let months = months.parse().unwrap_or(0);
        match kind {
            "not to exceed" => Interval::NotToExceedMonths(months),
            "not to exceed or use" => Interval::NotToExceedMonthsOrBeforeNextUse(months),
            "within before use" => Interval::WithinMonthsBeforeUse(months),
            _ if text == "each quarter" => Interval::OnceEachQuarter,
            _ if text == "each day" => Interval::BeforeUseEachDay,
            _ => Interval::EachShift,
        }
    }

    fn shown(status: DueStatus) -> String {
        match status {
            DueStatus::InTime { until } => format!("in time until {until}"),
            DueStatus::Overdue { since } => format!("overdue since {since}"),
            DueStatus::NeverDone => "never done".to_owned(),
            DueStatus::BeforeUse { held_until: None } => "before use".to_owned(),
            DueStatus::BeforeUse {
                held_until: Some(day),
            } => format!("before use, held to {day}"),
        }
    }

    #[test]
    fn each_kind_of_interval_falls_due_in_its_own_way() {
        for row in STATUS.lines().filter(|row| !row.trim().is_empty()) {
            let cells: Vec<&str> = row.split('|').map(str::trim).collect();
            let last = (cells[1] != "never").then(|| day(cells[1]));
            let interval = interval(cells[0]);
            let status = interval.status(last, day(cells[2]), YearStart::default());
            assert_eq!(shown(status), cells[3], "{row}");
            assert_eq!(status.in_force(), cells[3].starts_with("in time"), "{row}");
        }
    }

    #[test]
    fn quarters_of_a_duty_follow_the_licensees_year() {
        let start = YearStart::new(1, 15).unwrap();
        let due = Interval::OnceEachQuarter.due_after(day("2026-01-14"), start);
        assert_eq!(due, Some(day("2026-04-14")));
    }

    #[test]
    fn an_interval_is_written_by_kind_and_months() {
        #[derive(Debug, PartialEq, Serialize, Deserialize)]
        struct Duty {
            key: String,
            #[serde(flatten)]
            interval: Interval,
        }
        let six = "key = \"meter\"\nkind = \"not to exceed months\"\nmonths = 6\n";
        let duty: Duty = toml::from_str(six).unwrap();
        assert_eq!(duty.interval, Interval::NotToExceedMonths(6));
        assert_eq!(toml::to_string(&duty).unwrap(), six);
        let quarter: Duty = toml::from_str("key = \"a\"\nkind = \"once each quarter\"").unwrap();
        assert_eq!(quarter.interval, Interval::OnceEachQuarter);
        assert!(toml::from_str::<Duty>("key = \"a\"\nkind = \"yearly\"").is_err());
        assert!(toml::from_str::<Duty>("key = \"a\"\nkind = \"not to exceed months\"").is_err());
    }

    #[test]
    fn an_interval_of_no_months_is_refused() {
        let none = Interval::NotToExceedMonths(0).checked();
        assert_eq!(none, Err(CalendarError::NoInterval { months: 0 }));
        assert!(Interval::WithinMonthsBeforeUse(1201).checked().is_err());
        assert!(Interval::NotToExceedMonths(6).checked().is_ok());
        assert!(Interval::EachShift.checked().is_ok());
    }

    proptest! {
        #[test]
        fn an_act_is_in_force_on_its_day_and_up_to_its_due_day_and_no_longer(
            last in any_day(), months in 1..=60_u32, later in 0..3_000_u64,
        ) {
            let start = YearStart::default();
            let on = last + chrono::Days::new(later);
            for interval in [
                Interval::NotToExceedMonths(months),
                Interval::NotToExceedMonthsOrBeforeNextUse(months),
                Interval::WithinMonthsBeforeUse(months),
                Interval::OnceEachQuarter,
                Interval::BeforeUseEachDay,
            ] {
                let due = interval.due_after(last, start).unwrap();
                prop_assert!(due >= last);
                let status = interval.status(Some(last), on, start);
                prop_assert_eq!(status.in_force(), on <= due, "{:?}", status);
            }
        }
    }
}

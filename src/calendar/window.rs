//! Windows over which a dose is summed for a limit.

use std::fmt;
use std::str::FromStr;

use chrono::{Datelike, Months};
use serde::{Deserialize, Serialize};

use super::day::{Day, day_after, last_of_month};
use super::error::CalendarError;
use super::span::Span;
use super::year::{YearStart, quarter_of};

/// What a window needs to know besides the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct WindowFacts {
    /// When the licensee's year begins.
    pub year_start: YearStart,
    /// The estimated day of conception, if a pregnancy is declared.
    pub conception: Option<Day>,
    /// The day of the written notice, if a pregnancy is declared.
    pub notification: Option<Day>,
    /// The last day of the pregnancy or of its declaration, if it has ended.
    pub pregnancy_end: Option<Day>,
}

/// Over which days a limit sums the dose. In files and on the screen by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Window {
    /// `licensee year`: from the day on which the licensee's year begins (10 CFR 20.1003).
    LicenseeYear,
    /// `calendar year`.
    CalendarYear,
    /// `any five years`: every run of five years on end (2013/59/Euratom Art. 9(2)), in the
    /// licensee's years.
    AnyFiveYears,
    /// `fixed five years from 2021`: blocks of five calendar years without overlap, counted
    /// from the one that begins with `first` (SOR/2000-203 s. 1(1)).
    FixedFiveYears {
        /// The first calendar year of one of the blocks.
        first: i32,
    },
    /// `rolling twelve months`: twelve months on end up to and with a day.
    RollingTwelveMonths,
    /// `entire pregnancy`: from conception on (10 CFR 20.1208(a)).
    EntirePregnancy,
    /// `rest of pregnancy`: from the written notice on (2013/59/Euratom Art. 10(1)).
    RestOfPregnancy,
    /// `lifetime`.
    Lifetime,
    /// `month`: the calendar month.
    Month,
    /// `quarter`: one fourth of the licensee's year.
    Quarter,
}

impl Window {
    /// Every window of this kind that contains `on`, earliest first.
    ///
    /// Any five years gives the five runs that contain the year of `on`, of which
    /// [`Window::closed_run`] ends with it. Rolling twelve months gives the one that ends on
    /// `on`; who checks a past dose walks the days. A pregnancy gives nothing if its day of
    /// conception (or notice) is not given or `on` lies outside; it runs on while no end is
    /// given.
    pub fn spans(self, on: Day, facts: &WindowFacts) -> Vec<Span> {
        match self {
            Self::AnyFiveYears => {
                let year = facts.year_start.year_of(on);
                (0..5)
                    .map(|n| facts.year_start.years(year - 4 + n, 5))
                    .collect()
            }
            Self::EntirePregnancy => pregnancy(facts.conception, on, facts),
            Self::RestOfPregnancy => pregnancy(facts.notification, on, facts),
            Self::LicenseeYear => vec![facts.year_start.year(facts.year_start.year_of(on))],
            Self::CalendarYear => vec![YearStart::JANUARY_FIRST.year(on.year())],
            Self::FixedFiveYears { first } => {
                let into = (i64::from(on.year()) - i64::from(first)).rem_euclid(5);
                let year = on.year() - i32::try_from(into).unwrap_or(0);
                vec![YearStart::JANUARY_FIRST.years(year, 5)]
            }
            Self::RollingTwelveMonths => vec![Span {
                first: twelve_months_to(on),
                last: on,
            }],
            Self::Lifetime => vec![Span {
                first: Span::OPEN_START,
                last: Span::OPEN_END,
            }],
            Self::Month => {
                let last = last_of_month(on);
                vec![Span {
                    first: last.with_day(1).unwrap_or(on),
                    last,
                }]
            }
            Self::Quarter => vec![quarter_of(on, facts.year_start).span(facts.year_start)],
        }
    }

    /// Of the windows that contain `on`, the one whose sum is a statement about what has
    /// happened and not about years to come: for any five years the run that ends with the
    /// year of `on`, otherwise the only one.
    pub fn closed_run(self, on: Day, facts: &WindowFacts) -> Option<Span> {
        self.spans(on, facts).into_iter().next()
    }
}

fn pregnancy(from: Option<Day>, on: Day, facts: &WindowFacts) -> Vec<Span> {
    let last = facts.pregnancy_end.unwrap_or(Span::OPEN_END);
    from.map(|first| Span { first, last })
        .filter(|span| span.contains(on))
        .into_iter()
        .collect()
}

/// The first of the twelve months that end with `on`: the day after the same day a year ago.
/// For the last of February after a leap year the 29th is in; no day is left out.
fn twelve_months_to(on: Day) -> Day {
    day_after(on.checked_sub_months(Months::new(12)).unwrap_or(Day::MIN))
}

const NAMES: &[(&str, Window)] = &[
    ("licensee year", Window::LicenseeYear),
    ("calendar year", Window::CalendarYear),
    ("any five years", Window::AnyFiveYears),
    ("rolling twelve months", Window::RollingTwelveMonths),
    ("entire pregnancy", Window::EntirePregnancy),
    ("rest of pregnancy", Window::RestOfPregnancy),
    ("lifetime", Window::Lifetime),
    ("month", Window::Month),
    ("quarter", Window::Quarter),
];

/// What stands before the year in the name of fixed blocks.
const FIXED: &str = "fixed five years from ";

impl fmt::Display for Window {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Self::FixedFiveYears { first } = self {
            return write!(f, "{FIXED}{first}");
        }
        let name = NAMES
            .iter()
            .find(|(_, window)| window == self)
            .map_or("", |(name, _)| name);
        f.write_str(name)
    }
}

impl FromStr for Window {
    type Err = CalendarError;

    /// Reads a window by its name, as `licensee year` or `fixed five years from 2021`.
    fn from_str(text: &str) -> Result<Self, CalendarError> {
        let text = text.trim();
        let fixed = text
            .strip_prefix(FIXED)
            .and_then(|year| year.parse::<i32>().ok());
        if let Some(first) = fixed.filter(|year| (1900..=2999).contains(year)) {
            return Ok(Self::FixedFiveYears { first });
        }
        let named = NAMES.iter().find(|(name, _)| *name == text);
        named.map(|(_, window)| *window).ok_or_else(|| {
            let mut known: Vec<&str> = NAMES.iter().map(|(name, _)| *name).collect();
            known.push("fixed five years from 2021");
            CalendarError::UnknownWindow {
                text: text.to_owned(),
                known: known.join(", "),
            }
        })
    }
}

super::as_text!(Window);

#[cfg(test)]
mod tests {
    use super::super::day::day_before;
    use super::super::day::tests::{any_day, day};
    use super::*;
    use proptest::prelude::*;

    fn facts(begins: &str) -> WindowFacts {
        WindowFacts {
            year_start: begins.parse().unwrap(),
            ..WindowFacts::default()
        }
    }

    /// One row, one window: its name, the day, the start of the licensee's year, the spans.
    const SPANS: &str = "
        licensee year               | 2026-06-14 | 01-01 | 2026-01-01 to 2026-12-31
        licensee year               | 2026-01-14 | 01-15 | 2025-01-15 to 2026-01-14
        calendar year               | 2026-01-14 | 01-15 | 2026-01-01 to 2026-12-31
        fixed five years from 2021  | 2025-12-31 | 01-01 | 2021-01-01 to 2025-12-31
        fixed five years from 2021  | 2026-01-01 | 01-15 | 2026-01-01 to 2030-12-31
        fixed five years from 2021  | 2019-06-14 | 01-01 | 2016-01-01 to 2020-12-31
        rolling twelve months       | 2026-06-14 | 01-01 | 2025-06-15 to 2026-06-14
        rolling twelve months       | 2024-02-29 | 01-01 | 2023-03-01 to 2024-02-29
        rolling twelve months       | 2025-02-28 | 01-01 | 2024-02-29 to 2025-02-28
        rolling twelve months       | 2026-12-31 | 01-01 | 2026-01-01 to 2026-12-31
        month                       | 2024-02-14 | 01-15 | 2024-02-01 to 2024-02-29
        quarter                     | 2026-06-14 | 01-01 | 2026-04-01 to 2026-06-30
        quarter                     | 2026-04-14 | 01-15 | 2026-01-15 to 2026-04-14
        lifetime                    | 2026-06-14 | 01-01 | all days
    ";

    #[test]
    fn a_window_is_found_from_the_day_and_the_start_of_the_year() {
        for row in SPANS.lines().filter(|row| !row.trim().is_empty()) {
            let cells: Vec<&str> = row.split('|').map(str::trim).collect();
            let window: Window = cells[0].parse().unwrap();
            let spans = window.spans(day(cells[1]), &facts(cells[2]));
            let shown: Vec<String> = spans.iter().map(Span::to_string).collect();
            assert_eq!(shown, [cells[3]], "{row}");
            assert_eq!(
                window.closed_run(day(cells[1]), &facts(cells[2])),
                Some(spans[0])
            );
        }
    }

    #[test]
    fn any_five_years_are_the_five_runs_that_hold_the_year() {
        let spans = Window::AnyFiveYears.spans(day("2026-06-14"), &facts("01-01"));
        let shown: Vec<String> = spans.iter().map(Span::to_string).collect();
        assert_eq!(
            shown,
            [
                "2022-01-01 to 2026-12-31",
                "2023-01-01 to 2027-12-31",
                "2024-01-01 to 2028-12-31",
                "2025-01-01 to 2029-12-31",
                "2026-01-01 to 2030-12-31",
            ]
        );
        let closed = Window::AnyFiveYears.closed_run(day("2026-06-14"), &facts("01-01"));
        assert_eq!(closed, Some(spans[0]));
    }

    #[test]
    fn a_pregnancy_counts_from_conception_or_from_notification_and_runs_on_until_it_ends() {
        let mut facts = WindowFacts {
            conception: Some(day("2026-03-01")),
            notification: Some(day("2026-05-10")),
            ..WindowFacts::default()
        };
        let show = |window: Window, on: &str, facts: &WindowFacts| {
            window
                .closed_run(day(on), facts)
                .map(|span| span.to_string())
        };
        let on = |text: &str| Some(text.to_owned());
        let (entire, rest) = (Window::EntirePregnancy, Window::RestOfPregnancy);
        assert_eq!(show(entire, "2026-06-14", &facts), on("from 2026-03-01 on"));
        assert_eq!(show(rest, "2026-06-14", &facts), on("from 2026-05-10 on"));
        assert_eq!(show(entire, "2026-02-28", &facts), None);
        assert_eq!(show(rest, "2026-05-09", &facts), None);
        facts.pregnancy_end = Some(day("2026-11-20"));
        assert_eq!(
            show(entire, "2026-11-20", &facts),
            on("2026-03-01 to 2026-11-20")
        );
        assert_eq!(show(entire, "2026-11-21", &facts), None);
        assert_eq!(show(entire, "2026-06-14", &WindowFacts::default()), None);
    }

    #[test]
    fn every_window_reads_back_from_its_name_and_others_are_refused() {
        let fixed = Window::FixedFiveYears { first: 2021 };
        for window in NAMES.iter().map(|(_, window)| *window).chain([fixed]) {
            assert_eq!(window.to_string().parse(), Ok(window));
            let stored = serde_json::to_string(&window).unwrap();
            assert_eq!(serde_json::from_str::<Window>(&stored).unwrap(), window);
        }
        for text in ["year", "fixed five years from 21", "fixed five years", ""] {
            let said = text.parse::<Window>().unwrap_err().to_string();
            assert!(
                said.contains("write one of licensee year, calendar year"),
                "{said}"
            );
        }
    }

    #[test]
    fn a_span_counts_both_its_ends() {
        let span = Span::new(day("2026-06-14"), day("2026-06-16")).unwrap();
        assert_eq!(span.days(), 3);
        assert!(span.contains(day("2026-06-14")) && span.contains(day("2026-06-16")));
        assert!(!span.contains(day("2026-06-17")) && !span.contains(day("2026-06-13")));
        assert!(Span::new(day("2026-06-16"), day("2026-06-14")).is_err());
        let touching = Span::new(day("2026-06-16"), day("2026-06-20")).unwrap();
        assert_eq!(span.common(&touching).map(|span| span.days()), Some(1));
        let apart = Span::new(day("2026-06-17"), day("2026-06-20")).unwrap();
        assert_eq!(span.common(&apart), None);
    }

    proptest! {
        #[test]
        fn every_span_holds_the_day_it_was_asked_for(
            on in any_day(), month in 1..=12_u32, first in 1..=28_u32, block in 1900..2100_i32,
        ) {
            let facts = WindowFacts {
                year_start: YearStart::new(month, first).unwrap(),
                ..WindowFacts::default()
            };
            let fixed = Window::FixedFiveYears { first: block };
            for window in NAMES.iter().map(|(_, window)| *window).chain([fixed]) {
                for span in window.spans(on, &facts) {
                    prop_assert!(span.contains(on), "{} {}", window, span);
                }
            }
        }

        #[test]
        fn fixed_blocks_follow_each_other_without_gap(on in any_day()) {
            let window = Window::FixedFiveYears { first: 2021 };
            let facts = WindowFacts::default();
            let span = window.closed_run(on, &facts).unwrap();
            prop_assert_eq!((span.first.year() - 2021).rem_euclid(5), 0);
            let next = window.closed_run(day_after(span.last), &facts).unwrap();
            prop_assert_eq!(day_before(next.first), span.last);
        }

        #[test]
        fn twelve_months_hold_a_whole_year_and_not_two_of_a_day(on in any_day()) {
            let facts = WindowFacts::default();
            let span = Window::RollingTwelveMonths.closed_run(on, &facts).unwrap();
            prop_assert!((365..=366).contains(&span.days()));
        }
    }
}

//! Windows over which a dose is summed for a limit.

use std::fmt;
use std::str::FromStr;

use chrono::{Datelike, Months, NaiveDate};
use serde::{Deserialize, Serialize};

use super::day::{Day, day_after, last_of_month, months_on};
use super::error::CalendarError;
use super::year::{YearStart, quarter_of};

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

/// What a window needs to know besides the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct WindowFacts {
    /// When the licensee's year begins.
    pub year_start: YearStart,
    /// The estimated day of conception, if a pregnancy is declared.
    pub conception: Option<Day>,
    /// The day of the written notice, if a pregnancy is declared.
    pub notice: Option<Day>,
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
            Self::RestOfPregnancy => pregnancy(facts.notice, on, facts),
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

/// The first of the twelve months that end with `on`. Where the months differ in length the
/// window is the longer one, so that it never leaves a day out.
fn twelve_months_to(on: Day) -> Day {
    let back = on.checked_sub_months(Months::new(12)).unwrap_or(Day::MIN);
    // From 28 February back to 28 February of a leap year: the 29th is in the twelve months.
    if months_on(back, 12) < on {
        back
    } else {
        day_after(back)
    }
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

impl TryFrom<String> for Window {
    type Error = CalendarError;

    fn try_from(text: String) -> Result<Self, CalendarError> {
        text.parse()
    }
}

impl From<Window> for String {
    fn from(window: Window) -> Self {
        window.to_string()
    }
}

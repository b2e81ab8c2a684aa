//! Moments as people know them: to the minute, or only a day, a month, a year, a bound on one
//! side or on both, or not at all.

use std::fmt;

use chrono::TimeDelta;

use super::day::{Day, parse_day};
use super::error::CalendarError;
use super::month::Month;
use super::span::Span;
use super::zone::{Instant, LocalTime, Zone, parse_instant};

/// When something was, as far as anybody knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct When {
    /// Not before; nothing where that is not known.
    pub earliest: Option<Instant>,
    /// Not after; nothing where that is not known.
    pub latest: Option<Instant>,
}

/// What would be right where a moment cannot be read.
pub const WHEN_RIGHT: &str = "local time with its offset, such as `2026-05-19T13:40-05:00`, or \
    what is known: a day `2026-05-19`, a month `2026-05`, a year `2026`, `before 2026-05-19`, \
    `after 2026-05`, `between 2026-05-01 and 2026-05-19`, `unknown`";

/// Of a moment of which nobody knows anything, as it is stored.
pub const WHEN_UNKNOWN: &str = "unknown";

impl When {
    /// A moment to the minute.
    pub const fn at(at: Instant) -> When {
        When {
            earliest: Some(at),
            latest: Some(at),
        }
    }

    /// The first day on which something may have been that is written so, where it was; nothing
    /// where nothing bounds it.
    pub fn first_day(text: &str) -> Option<Day> {
        let text = text.trim();
        // With its offset the day stands there as it was on the wall.
        let written = text.get(..10).filter(|_| parse_instant(text).is_ok());
        match written.and_then(|day| parse_day(day).ok()) {
            Some(day) => Some(day),
            None => Some(Self::parse(text, Zone::UTC).ok()?.earliest?.date_naive()),
        }
    }

    /// Reads what is known of a moment; days, months and years are those of `zone`.
    ///
    /// `before` a day, a month or a year counts that day, month or year in, since nobody means
    /// midnight; so does `after`.
    ///
    /// # Errors
    /// Words that name no moment, and an end before the beginning.
    pub fn parse(text: &str, zone: Zone) -> Result<When, CalendarError> {
        let text = text.trim();
        let refused = || CalendarError::NotAMoment {
            text: text.to_owned(),
        };
        if text.eq_ignore_ascii_case(WHEN_UNKNOWN) {
            return Ok(When {
                earliest: None,
                latest: None,
            });
        }
        if let Some(rest) = text.strip_prefix("before ") {
            let latest = Self::one(rest, zone)?.latest;
            return Ok(When {
                earliest: None,
                latest,
            });
        }
        if let Some(rest) = text.strip_prefix("after ") {
            let earliest = Self::one(rest, zone)?.earliest;
            return Ok(When {
                earliest,
                latest: None,
            });
        }
        let Some(rest) = text.strip_prefix("between ") else {
            return Self::one(text, zone);
        };
        let (first, last) = rest.split_once(" and ").ok_or_else(refused)?;
        let (first, last) = (Self::one(first, zone)?, Self::one(last, zone)?);
        if last.latest < first.earliest {
            return Err(refused());
        }
        Ok(When {
            earliest: first.earliest,
            latest: last.latest,
        })
    }

    /// A moment, a day, a month or a year.
    fn one(text: &str, zone: Zone) -> Result<When, CalendarError> {
        let text = text.trim();
        if text.contains(':') {
            return parse_instant(text).map(|at| When::at(at.to_utc()));
        }
        let refused = || CalendarError::NotAMoment {
            text: text.to_owned(),
        };
        let span = match text.len() {
            4 => {
                let year = text.parse().map_err(|_| refused())?;
                let of = |month, day| Day::from_ymd_opt(year, month, day).ok_or_else(refused);
                Span {
                    first: of(1, 1)?,
                    last: of(12, 31)?,
                }
            }
            7 => Month::parse(text)?.span(),
            _ => {
                let day = parse_day(text)?;
                Span {
                    first: day,
                    last: day,
                }
            }
        };
        let after = span.last.succ_opt().and_then(|day| start_of(zone, day));
        Ok(When {
            earliest: start_of(zone, span.first),
            latest: after.map(|at| at - TimeDelta::minutes(1)),
        })
    }

    /// Whether it is known to the minute.
    pub fn is_exact(&self) -> bool {
        self.earliest.is_some() && self.earliest == self.latest
    }

    /// Whether it surely was before another moment.
    pub fn is_before(&self, other: &When) -> bool {
        let both = self.latest.zip(other.earliest);
        both.is_some_and(|(own, other)| own < other)
    }
}

/// The first moment of a day in a zone.
fn start_of(zone: Zone, day: Day) -> Option<Instant> {
    let mut at = day.and_hms_opt(0, 0, 0)?;
    // Where the clocks go forward over midnight the day begins later.
    for _ in 0..5 {
        match zone.at(at.date(), at.time()) {
            LocalTime::Once(at) | LocalTime::Twice(at, _) => return Some(at.to_utc()),
            LocalTime::Never => at = at.checked_add_signed(TimeDelta::hours(1))?,
        }
    }
    None
}

/// In UTC, for messages; outputs show what was written.
impl fmt::Display for When {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let side = |it: Option<Instant>| {
            it.map_or(WHEN_UNKNOWN.to_owned(), |at| {
                at.format("%F %R %:z").to_string()
            })
        };
        match self.is_exact() {
            true => f.write_str(&side(self.earliest)),
            false => write!(f, "{} to {}", side(self.earliest), side(self.latest)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is written, and the bounds in Chicago; `-` where there is none.
    const TABLE: &[(&str, &str, &str)] = &[
        (
            "2026-05-19T13:40-05:00",
            "2026-05-19T18:40Z",
            "2026-05-19T18:40Z",
        ),
        ("2026-05-19", "2026-05-19T05:00Z", "2026-05-20T04:59Z"),
        // The clocks go forward on 8 March: the day has 23 hours.
        ("2026-03-08", "2026-03-08T06:00Z", "2026-03-09T04:59Z"),
        ("2026-02", "2026-02-01T06:00Z", "2026-03-01T05:59Z"),
        ("2026", "2026-01-01T06:00Z", "2027-01-01T05:59Z"),
        ("before 2026-05-19", "-", "2026-05-20T04:59Z"),
        ("after 2026-05", "2026-05-01T05:00Z", "-"),
        (
            "between 2026-05-01 and 2026-05-19T08:00-05:00",
            "2026-05-01T05:00Z",
            "2026-05-19T13:00Z",
        ),
        ("unknown", "-", "-"),
    ];

    #[test]
    fn what_is_known_of_a_moment_has_an_earliest_and_a_latest() {
        let zone = Zone::parse("America/Chicago").unwrap();
        let shown = |at: Option<Instant>| {
            at.map_or("-".to_owned(), |at| {
                at.format("%Y-%m-%dT%H:%MZ").to_string()
            })
        };
        for (text, earliest, latest) in TABLE {
            let when = When::parse(text, zone).unwrap();
            let found = (shown(when.earliest), shown(when.latest));
            assert_eq!(
                found,
                ((*earliest).to_owned(), (*latest).to_owned()),
                "{text}"
            );
        }
    }

    #[test]
    fn what_names_no_moment_is_refused() {
        for text in [
            "",
            "soon",
            "26",
            "2026-13",
            "2026-02-30",
            "before",
            "before soon",
            "between 2026",
            "between 2026-05-19 and 2026-05-01",
            "05/19/2026",
            "2026-05-19T13:40",
        ] {
            assert!(When::parse(text, Zone::UTC).is_err(), "{text}");
        }
    }

    #[test]
    fn only_what_surely_was_earlier_is_before() {
        let of = |text: &str| When::parse(text, Zone::UTC).unwrap();
        assert!(of("2026-05-18").is_before(&of("2026-05-19")));
        assert!(!of("2026-05-19").is_before(&of("2026-05-19T08:00Z")));
        assert!(!of("before 2026-05-19").is_before(&of("2026-05-19")));
        assert!(!of("unknown").is_before(&of("2030")));
    }
}

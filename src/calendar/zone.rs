//! Time zones: which day it is at a place at a given moment.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, FixedOffset, LocalResult, Offset, TimeZone, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

use super::day::{Day, TimeOfDay, parse_day, parse_time};
use super::error::CalendarError;

/// A moment, the same everywhere.
pub type Instant = DateTime<Utc>;

/// A time zone of the IANA database, by its full name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Zone(Tz);

/// What a time on the wall's clock means at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LocalTime {
    /// One moment, with the offset that held then.
    Once(DateTime<FixedOffset>),
    /// Two moments, since the clocks went back over it: the earlier and the later.
    Twice(DateTime<FixedOffset>, DateTime<FixedOffset>),
    /// None, since the clocks went forward over it.
    Never,
}

impl Zone {
    /// UTC.
    pub const UTC: Self = Self(Tz::UTC);

    /// Reads `America/Chicago`.
    ///
    /// # Errors
    /// [`CalendarError::UnknownZone`] for a name that is not in the database.
    pub fn parse(text: &str) -> Result<Self, CalendarError> {
        let text = text.trim();
        Tz::from_str(text)
            .map(Self)
            .map_err(|_| CalendarError::UnknownZone {
                text: text.to_owned(),
            })
    }

    /// The name, as `America/Chicago`.
    pub fn name(self) -> &'static str {
        self.0.name()
    }

    /// The day that the calendar on the wall shows there at this moment.
    pub fn local_day(self, at: Instant) -> Day {
        at.with_timezone(&self.0).date_naive()
    }

    /// This moment with the offset that holds there.
    pub fn local(self, at: Instant) -> DateTime<FixedOffset> {
        let local = at.with_timezone(&self.0);
        local.with_timezone(&local.offset().fix())
    }

    /// The moment at which the clock on the wall there shows `day` and `time`.
    pub fn at(self, day: Day, time: TimeOfDay) -> LocalTime {
        let fixed = |at: DateTime<Tz>| at.with_timezone(&at.offset().fix());
        match self.0.from_local_datetime(&day.and_time(time)) {
            LocalResult::Single(at) => LocalTime::Once(fixed(at)),
            LocalResult::Ambiguous(one, other) => LocalTime::Twice(fixed(one), fixed(other)),
            LocalResult::None => LocalTime::Never,
        }
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl FromStr for Zone {
    type Err = CalendarError;

    fn from_str(text: &str) -> Result<Self, CalendarError> {
        Self::parse(text)
    }
}

super::as_text!(Zone);

/// Reads a moment with its offset from UTC: `2026-06-14T22:15-05:00`, a space for the `T`, `Z`
/// for no offset; seconds may follow the minutes.
///
/// # Errors
/// [`CalendarError`] if a part is missing: without an offset a time is not a moment.
pub fn parse_instant(text: &str) -> Result<DateTime<FixedOffset>, CalendarError> {
    let text = text.trim();
    let refused = || CalendarError::NotAnInstant {
        text: text.to_owned(),
    };
    if text.is_empty() {
        return Err(CalendarError::Empty { what: "moment" });
    }
    let (day, rest) = text.split_once(['T', ' ']).ok_or_else(refused)?;
    let day = parse_day(day)?;
    let rest = rest.trim_start();
    let split = rest.find(['Z', '+', '-', ' ']).ok_or_else(refused)?;
    let (clock, offset) = rest.split_at(split);
    let offset = parse_offset(offset.trim_start()).ok_or_else(refused)?;
    let time = match clock.len() {
        8 => TimeOfDay::parse_from_str(clock, "%H:%M:%S").map_err(|_| refused())?,
        _ => parse_time(clock)?,
    };
    day.and_time(time)
        .and_local_timezone(offset)
        .single()
        .ok_or_else(refused)
}

/// `Z`, `+01:00`, `-05:00`.
fn parse_offset(text: &str) -> Option<FixedOffset> {
    if text == "Z" {
        return FixedOffset::east_opt(0);
    }
    let east = match text.as_bytes().first()? {
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    let time = parse_time(text.get(1..)?).ok()?;
    let seconds = time.signed_duration_since(TimeOfDay::MIN).num_seconds();
    FixedOffset::east_opt(east * i32::try_from(seconds).ok()?)
}

#[cfg(test)]
mod tests {
    use super::super::day::tests::day;
    use super::*;

    fn moment(text: &str) -> Instant {
        parse_instant(text).unwrap().with_timezone(&Utc)
    }

    #[test]
    fn the_day_is_the_one_on_the_wall_at_the_place() {
        let at = moment("2026-06-15T03:30Z");
        assert_eq!(
            Zone::parse("America/Chicago").unwrap().local_day(at),
            day("2026-06-14")
        );
        assert_eq!(Zone::UTC.local_day(at), day("2026-06-15"));
        let local = Zone::parse("America/Chicago").unwrap().local(at);
        assert_eq!(local.to_rfc3339(), "2026-06-14T22:30:00-05:00");
    }

    #[test]
    fn an_unknown_zone_is_refused_by_name() {
        for text in ["Chicago", "EDT", "america/chicago"] {
            let refusal = Zone::parse(text);
            assert_eq!(
                refusal,
                Err(CalendarError::UnknownZone {
                    text: text.to_owned()
                })
            );
        }
    }

    #[test]
    fn a_wall_time_may_be_one_moment_or_two_or_none() {
        let zone = Zone::parse("America/Chicago").unwrap();
        let at = |d: &str, t: &str| zone.at(day(d), parse_time(t).unwrap());
        let once = parse_instant("2026-06-14 22:15-05:00").unwrap();
        assert_eq!(at("2026-06-14", "22:15"), LocalTime::Once(once));
        assert_eq!(at("2026-03-08", "02:30"), LocalTime::Never);
        let twice = LocalTime::Twice(
            parse_instant("2026-11-01 01:30-05:00").unwrap(),
            parse_instant("2026-11-01 01:30-06:00").unwrap(),
        );
        assert_eq!(at("2026-11-01", "01:30"), twice);
    }

    #[test]
    fn a_moment_needs_its_offset() {
        for (text, utc) in [
            ("2026-06-14T22:15-05:00", "2026-06-15T03:15:00+00:00"),
            ("2026-06-14 22:15 -05:00", "2026-06-15T03:15:00+00:00"),
            ("2026-06-14T22:15:30+05:30", "2026-06-14T16:45:30+00:00"),
            ("2026-06-14T22:15Z", "2026-06-14T22:15:00+00:00"),
        ] {
            assert_eq!(moment(text).to_rfc3339(), utc, "{text}");
        }
        for text in [
            "2026-06-14T22:15",
            "2026-06-14",
            "2026-06-14T22:15-0500",
            "2026-06-14T22:15 CDT",
            "2026-06-14T22:15-05:00:00",
        ] {
            let refusal = parse_instant(text);
            assert_eq!(
                refusal,
                Err(CalendarError::NotAnInstant {
                    text: text.to_owned()
                })
            );
        }
        assert!(parse_instant("14/06/2026T22:15Z").is_err());
        assert!(parse_instant("2026-06-14T24:15Z").is_err());
    }

    #[test]
    fn a_zone_is_stored_by_its_name() {
        let zone = Zone::parse("Europe/Oslo").unwrap();
        assert_eq!(serde_json::to_string(&zone).unwrap(), "\"Europe/Oslo\"");
        assert!(serde_json::from_str::<Zone>("\"Oslo\"").is_err());
    }
}

//! One day, one time of day, and whole months on.

use chrono::{Datelike, Months, NaiveDate, NaiveTime};

use super::error::CalendarError;

/// A day of the calendar, without a time or a zone.
pub type Day = NaiveDate;

/// A time of day to the minute, on the clock on the wall.
pub type TimeOfDay = NaiveTime;

/// Years outside these are slips of the pen, not days of a crew.
const YEARS: std::ops::RangeInclusive<i32> = 1800..=2999;

/// Reads `2026-06-14`.
///
/// # Errors
/// [`CalendarError`] for every other form, `14/06/2026` among them, since others read the same
/// figures as another day; and for a day that is not in the calendar.
pub fn parse_day(text: &str) -> Result<Day, CalendarError> {
    let text = text.trim();
    match text.as_bytes() {
        [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] => {
            let digits = [*y1, *y2, *y3, *y4, *m1, *m2, *d1, *d2];
            if !digits.iter().all(u8::is_ascii_digit) {
                return Err(CalendarError::NotADay {
                    text: text.to_owned(),
                });
            }
            let year = two(*y1, *y2) * 100 + two(*y3, *y4);
            from_parts(
                text,
                i32::try_from(year).unwrap_or(0),
                two(*m1, *m2),
                two(*d1, *d2),
            )
        }
        [] => Err(CalendarError::Empty { what: "day" }),
        _ => Err(other_form(text)),
    }
}

/// The number of two digits that are known to be digits.
fn two(tens: u8, ones: u8) -> u32 {
    u32::from(tens - b'0') * 10 + u32::from(ones - b'0')
}

fn from_parts(text: &str, year: i32, month: u32, day: u32) -> Result<Day, CalendarError> {
    let refused = |why: String| CalendarError::NoSuchDay {
        text: text.to_owned(),
        why,
    };
    if !YEARS.contains(&year) {
        return Err(refused("the year is not between 1800 and 2999".to_owned()));
    }
    if !(1..=12).contains(&month) {
        return Err(refused("the month is not between 01 and 12".to_owned()));
    }
    NaiveDate::from_ymd_opt(year, month, day).ok_or_else(|| {
        let last = NaiveDate::from_ymd_opt(year, month, 1).map_or(31, |d| last_of_month(d).day());
        refused(format!("that month has the days 01 to {last}"))
    })
}

fn other_form(text: &str) -> CalendarError {
    let marks = text
        .chars()
        .filter(|c| matches!(c, '/' | '.' | '-'))
        .count();
    let plain = text
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '/' | '.' | '-'));
    let year_first = text.chars().take(4).filter(char::is_ascii_digit).count() == 4;
    if marks == 2 && plain && !year_first {
        CalendarError::TwoMeanings {
            text: text.to_owned(),
        }
    } else {
        CalendarError::NotADay {
            text: text.to_owned(),
        }
    }
}

/// Reads `06:30`, in 24 hours.
///
/// # Errors
/// [`CalendarError`] for every other form; `6:30` could be the evening, `24:00` is the next
/// day's `00:00`.
pub fn parse_time(text: &str) -> Result<TimeOfDay, CalendarError> {
    let text = text.trim();
    let refused = || CalendarError::NotATime {
        text: text.to_owned(),
    };
    match text.as_bytes() {
        [] => Err(CalendarError::Empty { what: "time" }),
        [h1, h2, b':', m1, m2] if [h1, h2, m1, m2].iter().all(|b| b.is_ascii_digit()) => {
            NaiveTime::from_hms_opt(two(*h1, *h2), two(*m1, *m2), 0).ok_or_else(refused)
        }
        [h, b':', m1, m2, ..] if [h, m1, m2].iter().all(|b| b.is_ascii_digit()) => {
            Err(CalendarError::HalfDay {
                text: text.to_owned(),
            })
        }
        _ if text.to_ascii_lowercase().ends_with(['m']) => Err(CalendarError::HalfDay {
            text: text.to_owned(),
        }),
        _ => Err(refused()),
    }
}

/// The same day of the month `months` on, or that month's last day where it has no such day.
///
/// A day beyond the end of the calendar is the calendar's last.
pub fn months_on(day: Day, months: u32) -> Day {
    day.checked_add_months(Months::new(months))
        .unwrap_or(Day::MAX)
}

/// The last day of the month in which `day` lies.
pub fn last_of_month(day: Day) -> Day {
    let first = day.with_day(1).unwrap_or(day);
    day_before(months_on(first, 1))
}

/// The day before, at the start of the calendar the same.
pub(super) fn day_before(day: Day) -> Day {
    day.pred_opt().unwrap_or(day)
}

/// The day after, at the end of the calendar the same.
pub(super) fn day_after(day: Day) -> Day {
    day.succ_opt().unwrap_or(day)
}

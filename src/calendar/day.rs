//! One day, one time of day, and whole months on.

use chrono::{Datelike, Months, NaiveDate, NaiveTime};

use super::error::CalendarError;

/// A day of the calendar, without a time or a zone.
pub type Day = NaiveDate;

/// A time of day to the minute, on the clock on the wall.
pub type TimeOfDay = NaiveTime;

/// Years outside these are slips of the pen, not days of a crew.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

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
        return Err(refused("the year is not between 1900 and 2200".to_owned()));
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

/// The next day from Monday to Friday. Holidays are not known: where one comes between, the day
/// that a rule means may be later, never earlier.
pub fn next_business_day(day: Day) -> Day {
    use chrono::{Datelike, Weekday};
    let mut next = day_after(day);
    while matches!(next.weekday(), Weekday::Sat | Weekday::Sun) && next < Day::MAX {
        next = day_after(next);
    }
    next
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A day from its text, for tables in tests.
    pub(in crate::calendar) fn day(text: &str) -> Day {
        parse_day(text).unwrap()
    }

    const DAYS: &str = "
        2026-06-14   | 2026-06-14
        2024-02-29   | 2024-02-29
        14/06/2026   | `14/06/2026` could mean two things: write the day as year-month-day
        06/07/2026   | `06/07/2026` could mean two things
        6/7/26       | `6/7/26` could mean two things
        14.06.2026   | `14.06.2026` could mean two things
        14-06-2026   | `14-06-2026` could mean two things
        26-06-14     | `26-06-14` could mean two things
        2026/06/14   | `2026/06/14` is not a day: write it as year-month-day
        2026-6-14    | `2026-6-14` is not a day
        20260614     | `20260614` is not a day
        14 June 2026 | `14 June 2026` is not a day
        2026-O6-14   | `2026-O6-14` is not a day
        2026-02-30   | `2026-02-30` is not in the calendar: that month has the days 01 to 28
        2026-02-29   | `2026-02-29` is not in the calendar: that month has the days 01 to 28
        2024-02-30   | `2024-02-30` is not in the calendar: that month has the days 01 to 29
        2026-06-00   | `2026-06-00` is not in the calendar: that month has the days 01 to 30
        2026-13-01   | `2026-13-01` is not in the calendar: the month is not between 01 and 12
        0026-06-14   | `0026-06-14` is not in the calendar: the year is not between 1900 and 2200
    ";

    #[test]
    fn a_day_is_read_in_one_form_only() {
        for row in DAYS.lines().filter(|row| !row.trim().is_empty()) {
            let (text, wanted) = row.split_once('|').unwrap();
            let (text, wanted) = (text.trim(), wanted.trim());
            let said = match parse_day(text) {
                Ok(day) => day.to_string(),
                Err(refusal) => refusal.to_string(),
            };
            assert!(said.starts_with(wanted), "{text}: {said}");
        }
        assert_eq!(parse_day(" "), Err(CalendarError::Empty { what: "day" }));
    }

    #[test]
    fn a_time_is_read_in_24_hours_only() {
        for (text, wanted) in [
            ("06:30", "06:30:00"),
            ("00:00", "00:00:00"),
            ("23:59", "23:59:00"),
        ] {
            assert_eq!(parse_time(text).unwrap().to_string(), wanted);
        }
        for text in ["24:00", "12:60", "0630", "06.30", "06:30:15", "noon"] {
            let refusal = parse_time(text);
            assert_eq!(
                refusal,
                Err(CalendarError::NotATime {
                    text: text.to_owned()
                })
            );
        }
        for text in ["6:30", "6:30 pm", "06:30 PM", "6 pm"] {
            let refusal = parse_time(text);
            assert_eq!(
                refusal,
                Err(CalendarError::HalfDay {
                    text: text.to_owned()
                })
            );
        }
        assert_eq!(parse_time(""), Err(CalendarError::Empty { what: "time" }));
    }

    #[test]
    fn a_month_ends_on_its_last_day() {
        for (from, last) in [
            ("2024-02-01", "2024-02-29"),
            ("2023-02-28", "2023-02-28"),
            ("2026-12-31", "2026-12-31"),
            ("2026-04-30", "2026-04-30"),
        ] {
            assert_eq!(last_of_month(day(from)), day(last));
        }
    }

    #[test]
    fn months_beyond_the_calendar_stop_at_its_last_day() {
        assert_eq!(months_on(Day::MAX, 1), Day::MAX);
        assert_eq!(months_on(day("2026-06-14"), u32::MAX), Day::MAX);
    }

    /// Any day from 1950 to 2150, for properties.
    pub(in crate::calendar) fn any_day() -> impl Strategy<Value = Day> {
        (0..73_000_u64).prop_map(|n| day("1950-01-01") + chrono::Days::new(n))
    }

    proptest! {
        #[test]
        fn what_is_printed_of_a_day_reads_back(day in any_day()) {
            prop_assert_eq!(parse_day(&day.to_string()), Ok(day));
        }

        #[test]
        fn reading_any_text_at_all_answers_and_does_not_stop(text in ".*") {
            let _ = parse_day(&text);
            let _ = parse_time(&text);
        }

        #[test]
        fn months_on_keeps_the_day_or_takes_the_months_last(day in any_day(), n in 1..600_u32) {
            let on = months_on(day, n);
            let months = |d: Day| d.year() * 12 + i32::try_from(d.month()).unwrap();
            prop_assert_eq!(months(on) - months(day), i32::try_from(n).unwrap());
            let kept = on.day() == day.day();
            prop_assert!(kept || (on.day() < day.day() && on == last_of_month(on)));
        }
    }

    #[test]
    fn the_next_business_day_leaves_out_the_weekend() {
        // 2026-06-12 is a Friday.
        for (day, next) in [
            ("2026-06-11", "2026-06-12"),
            ("2026-06-12", "2026-06-15"),
            ("2026-06-13", "2026-06-15"),
            ("2026-06-14", "2026-06-15"),
            ("2026-06-15", "2026-06-16"),
        ] {
            let [day, next]: [Day; 2] = [day, next].map(|it| it.parse().unwrap());
            assert_eq!(next_business_day(day), next);
        }
    }
}

//! Days and hours as people and spreadsheets write them, where they can mean one thing alone.
//! What the ledger keeps is written in one form only, which [`parse_day`] and [`parse_time`] read.

use super::day::{Day, TimeOfDay, parse_day, parse_time};
use super::error::CalendarError;
use super::order::{DayOrder, in_figures};

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// The day of a text that can mean one day alone: `2026-06-14`, `14 June 2026`, `13/06/2026`,
/// since there is no thirteenth month, and a day with midnight behind it, as spreadsheets write.
///
/// # Errors
/// [`CalendarError`] for what could be two days, and for what is none.
pub fn read_day(text: &str) -> Result<Day, CalendarError> {
    let text = without_midnight(text.trim());
    let refused = match parse_day(text) {
        Ok(day) => return Ok(day),
        Err(refused) => refused,
    };
    if in_figures(text).is_some() {
        let orders = [DayOrder::Mdy, DayOrder::Dmy, DayOrder::Ymd];
        let mut days: Vec<Day> = orders.iter().filter_map(|it| it.read(text)).collect();
        days.dedup();
        return match days.as_slice() {
            [only] => Ok(*only),
            _ => Err(refused),
        };
    }
    in_eight_figures(text)
        .or_else(|| with_its_month_named(text))
        .ok_or(refused)
}

/// Whether a day is written as the ledger writes it.
pub fn is_year_month_day(text: &str) -> bool {
    parse_day(text).is_ok()
}

fn without_midnight(text: &str) -> &str {
    match text.split_once(['T', ' ']) {
        Some((day, "00:00" | "0:00" | "00:00:00" | "0:00:00")) => day,
        _ => text,
    }
}

/// `20260614`. No other order fits: neither a day nor a month begins with 18 to 29 and has a year
/// of four digits behind it that anybody means here.
fn in_eight_figures(text: &str) -> Option<Day> {
    let figures = text.len() == 8 && text.bytes().all(|it| it.is_ascii_digit());
    let (year, rest) = text.split_at_checked(4).filter(|_| figures)?;
    let (month, day) = rest.split_at_checked(2)?;
    parse_day(&format!("{year}-{month}-{day}")).ok()
}

/// `14 June 2026`, `Jun 14, 2026`, `14-JUN-2026`, `14th of June 2026`. The year has four digits.
fn with_its_month_named(text: &str) -> Option<Day> {
    let lower = text.to_ascii_lowercase();
    let signs = |it: char| it.is_whitespace() || ",.-/".contains(it);
    let mut words = lower
        .split(signs)
        .filter(|it| !it.is_empty() && *it != "of");
    let three = [words.next()?, words.next()?, words.next()?];
    if words.next().is_some() {
        return None;
    }
    let (mut year, mut month, mut day) = (None, None, None);
    for word in three {
        let slot = if month_of(word).is_some() {
            &mut month
        } else if word.len() == 4 && word.bytes().all(|it| it.is_ascii_digit()) {
            &mut year
        } else {
            &mut day
        };
        if slot.replace(word).is_some() {
            return None;
        }
    }
    let (year, month, day) = (year?, month_of(month?)?, day?);
    let figures = ["st", "nd", "rd", "th"]
        .iter()
        .find_map(|end| day.strip_suffix(end))
        .unwrap_or(day);
    let plain = (1..=2).contains(&figures.len()) && figures.bytes().all(|it| it.is_ascii_digit());
    parse_day(&format!("{year}-{month:02}-{figures:0>2}"))
        .ok()
        .filter(|_| plain)
}

/// The month of a name, whole or cut to three letters or more.
fn month_of(word: &str) -> Option<usize> {
    let long = word.len() >= 3;
    let place = MONTHS.iter().position(|it| long && it.starts_with(word));
    place.map(|it| it + 1)
}

/// The hour of a text that can mean one hour alone: `07:00`, `07:00:00`, `0700`, `7:00 PM`.
///
/// `7:00` and `700` may be the evening, and so may `10:15` beside `7:00 AM`: what stands beside
/// them says which.
///
/// # Errors
/// [`CalendarError`] for what could be two hours, for seconds, which no record has, and for what
/// is no hour. Noon and midnight are never `12:00 am` or `12:00 pm`: people mean either by both.
pub fn read_time(text: &str, clock: Clock) -> Result<TimeOfDay, CalendarError> {
    let text = text.trim();
    if text.is_empty() {
        return parse_time(text);
    }
    let lower = text.to_ascii_lowercase();
    let (figures, half) = half_of(&lower);
    let not_a_time = || CalendarError::NotATime {
        text: text.to_owned(),
    };
    let written = parts_of(figures, half.is_some()).ok_or_else(not_a_time)?;
    let half_day = || CalendarError::HalfDay {
        text: text.to_owned(),
    };
    let hour = match half {
        None if written.is_of(clock) => written.hour,
        None => return Err(half_day()),
        Some(_) if !(1..=12).contains(&written.hour) => return Err(not_a_time()),
        Some(_) if written.hour == 12 && written.minute == 0 => {
            return Err(CalendarError::NoonOrMidnight {
                text: text.to_owned(),
            });
        }
        Some(Half::Before) => written.hour % 12,
        Some(Half::After) => written.hour % 12 + 12,
    };
    TimeOfDay::from_hms_opt(hour, written.minute, 0).ok_or_else(not_a_time)
}

/// The clock by which hours are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// Nothing says so.
    Unsaid,
    /// One of 24 hours.
    Of24,
    /// One of 12 hours, each with its half of the day.
    Halves,
}

impl Clock {
    /// The clock by which hours that stand side by side are told: one half that is named is
    /// missing from the others; an hour after noon, or with a nought before it, is of 24.
    pub fn of<'a>(hours: impl IntoIterator<Item = &'a str>) -> Clock {
        let mut clock = Clock::Unsaid;
        for text in hours {
            let lower = text.trim().to_ascii_lowercase();
            let (figures, half) = half_of(&lower);
            match parts_of(figures, half.is_some()) {
                Some(_) if half.is_some() => return Clock::Halves,
                Some(written) if written.is_of(Clock::Halves) => clock = Clock::Of24,
                _ => {}
            }
        }
        clock
    }
}

#[derive(Clone, Copy)]
enum Half {
    Before,
    After,
}

/// The figures of an hour, and which half of the day is named behind them.
fn half_of(lower: &str) -> (&str, Option<Half>) {
    let ends = [
        ("a.m.", Half::Before),
        ("p.m.", Half::After),
        ("am", Half::Before),
        ("pm", Half::After),
    ];
    let named = ends.into_iter().find_map(|(end, half)| {
        let figures = lower.strip_suffix(end)?;
        Some((figures.trim_end(), Some(half)))
    });
    named.unwrap_or((lower, None))
}

struct Written {
    hour: u32,
    minute: u32,
    /// Whether a nought stands before the hour.
    nought: bool,
    /// Whether the hour has one digit.
    short: bool,
}

impl Written {
    /// Whether it can be one hour alone where no half of the day is named.
    fn is_of(&self, clock: Clock) -> bool {
        let of_24 = self.hour > 12 || self.nought;
        match clock {
            Clock::Unsaid => of_24 || !self.short,
            Clock::Of24 => true,
            Clock::Halves => of_24,
        }
    }
}

fn parts_of(figures: &str, with_half: bool) -> Option<Written> {
    let (hour, minute) = match figures.split_once(':') {
        Some((hour, rest)) => (hour, rest.strip_suffix(":00").unwrap_or(rest)),
        None if with_half => (figures, "00"),
        None => figures.split_at_checked(figures.len().checked_sub(2)?)?,
    };
    let digits = |it: &str| it.bytes().all(|it| it.is_ascii_digit());
    if !(1..=2).contains(&hour.len()) || minute.len() != 2 || !digits(hour) || !digits(minute) {
        return None;
    }
    let written = Written {
        hour: hour.parse().ok()?,
        minute: minute.parse().ok()?,
        nought: hour.starts_with('0'),
        short: hour.len() == 1,
    };
    (written.hour < 24 && written.minute < 60).then_some(written)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const DAYS: &str = "
        2026-06-14          | 2026-06-14
        2026-06-14 00:00:00 | 2026-06-14
        2026-06-14T00:00    | 2026-06-14
        2026-6-4            | 2026-06-04
        2026/06/14          | 2026-06-14
        20260614            | 2026-06-14
        14/06/2026          | 2026-06-14
        06/14/2026          | 2026-06-14
        14.6.2026           | 2026-06-14
        06/06/2026          | 2026-06-06
        14 June 2026        | 2026-06-14
        14-Jun-2026         | 2026-06-14
        June 14, 2026       | 2026-06-14
        14th of June 2026   | 2026-06-14
        2026 Sept 1         | 2026-09-01
        06/07/2026          | `06/07/2026` could mean two things
        06-07-2026          | `06-07-2026` could mean two things
        14/06/26            | `14/06/26` could mean two things
        14-Jun-26           | `14-Jun-26` is not a day
        31/06/2026          | `31/06/2026` could mean two things
        14 Ju 2026          | `14 Ju 2026` is not a day
        14 June             | `14 June` is not a day
        June 2026           | `June 2026` is not a day
        14 June 2026 2      | `14 June 2026 2` is not a day
        2026-06-14 06:30    | `2026-06-14 06:30` is not a day
        14062026            | `14062026` is not a day
        2026-02-30          | `2026-02-30` is not in the calendar
        30 February 2026    | `30 February 2026` is not a day
    ";

    #[test]
    fn a_day_that_can_mean_one_day_alone_is_taken() {
        for row in DAYS.lines().filter(|row| !row.trim().is_empty()) {
            let (text, wanted) = row.split_once('|').unwrap();
            let (text, wanted) = (text.trim(), wanted.trim());
            let said = match read_day(text) {
                Ok(day) => day.to_string(),
                Err(refusal) => refusal.to_string(),
            };
            assert!(said.starts_with(wanted), "{text}: {said}");
        }
    }

    /// What is written; what it is alone, beside an hour of 24, and beside one with its half.
    const TIMES: &[(&str, &str, &str, &str)] = &[
        ("07:00", "07:00", "07:00", "07:00"),
        ("19:30", "19:30", "19:30", "19:30"),
        ("10:15", "10:15", "10:15", "two"),
        ("12:30", "12:30", "12:30", "two"),
        ("07:00:00", "07:00", "07:00", "07:00"),
        ("0700", "07:00", "07:00", "07:00"),
        ("1930", "19:30", "19:30", "19:30"),
        ("0:30", "00:30", "00:30", "00:30"),
        ("7:00", "two", "07:00", "two"),
        ("7:00:00", "two", "07:00", "two"),
        ("700", "two", "07:00", "two"),
        ("7:00 PM", "19:00", "19:00", "19:00"),
        ("7:00:00 PM", "19:00", "19:00", "19:00"),
        ("7:05am", "07:05", "07:05", "07:05"),
        ("07:30 p.m.", "19:30", "19:30", "19:30"),
        ("7 pm", "19:00", "19:00", "19:00"),
        ("12:30 AM", "00:30", "00:30", "00:30"),
        ("12:30 PM", "12:30", "12:30", "12:30"),
        (
            "12:00 PM",
            "noon or midnight",
            "noon or midnight",
            "noon or midnight",
        ),
        (
            "12 am",
            "noon or midnight",
            "noon or midnight",
            "noon or midnight",
        ),
        ("13:00 PM", "not", "not", "not"),
        ("0:30 am", "not", "not", "not"),
        ("0700 pm", "not", "not", "not"),
        ("07:00:30", "not", "not", "not"),
        ("24:00", "not", "not", "not"),
        ("12:60", "not", "not", "not"),
        ("7", "not", "not", "not"),
        ("70", "not", "not", "not"),
        ("07.00", "not", "not", "not"),
        ("noon", "not", "not", "not"),
        ("pm", "not", "not", "not"),
        ("07:0", "not", "not", "not"),
        ("\u{0667}:00", "not", "not", "not"),
    ];

    #[test]
    fn an_hour_that_can_mean_one_hour_alone_is_taken() {
        for (text, alone, of_24, halves) in TIMES {
            for (clock, wanted) in [
                (Clock::Unsaid, alone),
                (Clock::Of24, of_24),
                (Clock::Halves, halves),
            ] {
                let said = match read_time(text, clock) {
                    Ok(time) => time.format("%H:%M").to_string(),
                    Err(CalendarError::HalfDay { .. }) => "two".to_owned(),
                    Err(CalendarError::NoonOrMidnight { .. }) => "noon or midnight".to_owned(),
                    Err(_) => "not".to_owned(),
                };
                assert_eq!(said, **wanted, "{text} {clock:?}");
            }
        }
    }

    #[test]
    fn hours_side_by_side_tell_the_clock() {
        for (hours, clock) in [
            (["7:00", "17:30"], Clock::Of24),
            (["7:00", "05:00"], Clock::Of24),
            (["0700", "330"], Clock::Of24),
            (["7:00", "3:30"], Clock::Unsaid),
            (["10:00", "12:30"], Clock::Unsaid),
            (["7:00 AM", "15:30"], Clock::Halves),
            (["15:30", "7 pm"], Clock::Halves),
            (["", "noon"], Clock::Unsaid),
            (["25:00", "99:99"], Clock::Unsaid),
        ] {
            assert_eq!(Clock::of(hours), clock, "{hours:?}");
        }
    }

    proptest! {
        #[test]
        fn any_text_at_all_is_read_or_refused(text in ".*") {
            let _ = (read_day(&text), read_time(&text, Clock::of([text.as_str()])));
        }

        #[test]
        fn what_the_ledger_writes_is_read_the_same(text in "[0-2][0-9]:[0-5][0-9]") {
            prop_assert_eq!(read_time(&text, Clock::Unsaid).ok(), parse_time(&text).ok());
        }
    }
}

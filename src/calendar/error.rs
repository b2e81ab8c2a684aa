//! What can be wrong with a day, a time or a window, each with what would be right.

use thiserror::Error;

/// Why a text is not a day, time, zone, window or interval. Each message is one line: what was
/// refused, in backquotes, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CalendarError {
    /// Nothing but spaces.
    #[error("a {what} is wanted here and the place is empty")]
    Empty {
        /// What was wanted, as in `day`.
        what: &'static str,
    },
    /// A day in an order that some people read otherwise.
    #[error("`{text}` could mean two things: write the day as year-month-day, `2026-06-14`")]
    TwoMeanings {
        /// The text as given.
        text: String,
    },
    /// Not the one form in which a day is written.
    #[error("`{text}` is not a day: write it as year-month-day with all digits, `2026-06-14`")]
    NotADay {
        /// The text as given.
        text: String,
    },
    /// The form is right and there is no such day.
    #[error("`{text}` is not in the calendar: {why}")]
    NoSuchDay {
        /// The text as given.
        text: String,
        /// Which part is wrong.
        why: String,
    },
    /// Not the one form in which a time is written.
    #[error("`{text}` is not a time: write hours and minutes from `00:00` to `23:59`")]
    NotATime {
        /// The text as given.
        text: String,
    },
    /// `6:30` or `6:30 pm`: some mean the evening.
    #[error("`{text}` could mean two things: write {}", halves_of(text))]
    HalfDay {
        /// The text as given.
        text: String,
    },
    /// `12:00 pm`: some mean noon, some midnight.
    #[error("`{text}` could mean noon or midnight: write `12:00` or `00:00`")]
    NoonOrMidnight {
        /// The text as given.
        text: String,
    },
    /// A moment without its offset from UTC, or not a moment at all.
    #[error("`{text}` is not a moment: write day, time and offset, `2026-06-14T22:15-05:00`")]
    NotAnInstant {
        /// The text as given.
        text: String,
    },
    /// Neither a moment nor what can be known of one.
    #[error("`{text}` does not say when")]
    NotAMoment {
        /// The text as given.
        text: String,
    },
    /// Not a name in the time zone database.
    #[error("`{text}` is not a known time zone: write its full name, as `America/Chicago`")]
    UnknownZone {
        /// The text as given.
        text: String,
    },
    /// Not a day on which a year can begin.
    #[error("`{text}` is not the start of a year: write month-day, `01-01`, and not 02-29")]
    NotAYearStart {
        /// The text as given.
        text: String,
    },
    /// Not a month of a year.
    #[error("`{text}` is not a month: write year and month, `2026-05`")]
    NotAMonth {
        /// The text as given.
        text: String,
    },
    /// Not a name of a window.
    #[error("`{text}` is not a window: write one of {known}")]
    UnknownWindow {
        /// The text as given.
        text: String,
        /// The names that would do.
        known: String,
    },
    /// The last day lies before the first.
    #[error("the span from `{first}` to `{last}` ends before it begins: exchange the two days")]
    Backwards {
        /// The first day as given.
        first: String,
        /// The last day as given.
        last: String,
    },
    /// An interval of no months, or of more than a century.
    #[error("`{months}` months is no interval: write 1 to 1200")]
    NoInterval {
        /// The months as given.
        months: u32,
    },
}

/// How the two hours are written that a text can mean; of what is no such hour, an example.
fn halves_of(text: &str) -> String {
    let (hour, minute) = hour_of(text).unwrap_or((6, "30"));
    let (morning, evening) = (hour % 12, hour % 12 + 12);
    format!("`{morning:02}:{minute}` for the morning, `{evening:02}:{minute}` for evening")
}

fn hour_of(text: &str) -> Option<(u32, &str)> {
    let (hour, minute) = match text.split_once(':') {
        Some((hour, rest)) => (hour, rest.strip_suffix(":00").unwrap_or(rest)),
        None => text.split_at_checked(text.len().checked_sub(2)?)?,
    };
    let figures = minute.len() == 2 && minute.bytes().all(|it| it.is_ascii_digit());
    let hour = hour.parse().ok().filter(|it| (1..=12).contains(it))?;
    (figures && minute < "60").then_some((hour, minute))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_hour_that_could_be_two_is_told_as_both_of_them() {
        for (text, both) in [
            ("7:00", "`07:00` for the morning, `19:00` for evening"),
            ("7:00:00", "`07:00` for the morning, `19:00` for evening"),
            ("645", "`06:45` for the morning, `18:45` for evening"),
            ("10:15", "`10:15` for the morning, `22:15` for evening"),
            ("12:15", "`00:15` for the morning, `12:15` for evening"),
            ("6 pm", "`06:30` for the morning, `18:30` for evening"),
            ("7:99", "`06:30` for the morning, `18:30` for evening"),
        ] {
            assert_eq!(halves_of(text), both, "{text}");
        }
    }
}

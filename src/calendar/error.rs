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
    #[error("`{text}` could mean two things: write `06:30` for the morning, `18:30` for evening")]
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

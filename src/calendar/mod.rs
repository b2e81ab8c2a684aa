//! Work days, quarters, windows over which a dose is summed, and intervals at which something
//! falls due.
//!
//! There is no clock here: the day that counts as today always comes as an argument. A day is
//! written `2026-06-14` and nothing else, since `06/07/2026` means two things; what people type
//! otherwise is read where it can mean one thing alone.
//!
//! This room uses no other room.

/// Reads and writes a value as the text that it parses from.
macro_rules! as_text {
    ($name:ident) => {
        impl TryFrom<String> for $name {
            type Error = CalendarError;

            fn try_from(text: String) -> Result<Self, CalendarError> {
                text.parse()
            }
        }

        impl From<$name> for String {
            fn from(it: $name) -> Self {
                it.to_string()
            }
        }
    };
}
use as_text;

mod day;
mod error;
mod interval;
mod month;
mod order;
mod span;
mod when;
mod window;
mod written;
mod year;
mod zone;

pub use day::{Day, TimeOfDay, last_of_month, months_on, next_business_day, parse_day, parse_time};
pub use error::CalendarError;
pub use interval::{DueStatus, Interval};
pub use month::Month;
pub use order::{DayOrder, in_figures};
pub use span::Span;
pub use when::{WHEN_RIGHT, WHEN_UNKNOWN, When};
pub use window::{Window, WindowFacts};
pub use written::{Clock, is_year_month_day, read_day, read_time};
pub use year::{Quarter, YearStart, quarter_of};
pub use zone::{Instant, LocalTime, Zone, parse_instant};

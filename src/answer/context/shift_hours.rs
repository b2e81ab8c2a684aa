//! Which shift was on at the hour of an event.

use crate::calendar::{TimeOfDay, parse_time};
use crate::record::{Sheet, ShiftName};

/// Whether a shift that ran to midnight or past it was not yet over at an hour of the next day.
pub(crate) fn ran_until(sheet: &Sheet, at: Option<TimeOfDay>) -> bool {
    let ends = sheet.ends.as_deref().and_then(|it| parse_time(it).ok());
    let ran_on = sheet.crosses_midnight() || sheet.ends_at_midnight();
    ran_on && ends.is_none_or(|ends| at.is_none_or(|at| at <= ends))
}

/// Whether a shift can have begun by an hour of its own day. Of one without hours only the night
/// is known not to begin in the morning.
pub(crate) fn had_begun(sheet: &Sheet, at: TimeOfDay) -> bool {
    let begins = sheet.begins.as_deref().and_then(|it| parse_time(it).ok());
    match begins {
        Some(begins) => begins <= at,
        None => sheet.shift != ShiftName::Night || at.format("%H").to_string().as_str() >= "12",
    }
}

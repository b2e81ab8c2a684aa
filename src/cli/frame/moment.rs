//! Moments as flags write them.

use super::failure::Failure;
use crate::answer::{Moment, Roughly};
use crate::calendar::WHEN_RIGHT;

/// A moment, or what is known of it: a day, a month, a year, `before 2026-05-19`,
/// `between 2026-05-01 and 2026-05-19`, `unknown`.
pub(crate) fn roughly(flag: &'static str, text: &str) -> Result<Roughly, Failure> {
    Roughly::parse(text).map_err(|what| Failure::flag(flag, what, WHEN_RIGHT))
}

/// A moment: `2026-05-19T10:40`, or the same with an offset.
pub(crate) fn moment(flag: &'static str, text: &str) -> Result<Moment, Failure> {
    let right = "local time, `2026-05-19T10:40`, or with an offset, `2026-05-19T10:40-05:00`";
    Moment::parse(text).map_err(|what| Failure::flag(flag, what, right))
}

//! Moments as flags write them.

use super::failure::Failure;
use crate::answer::Moment;

/// A moment: `2026-05-19T10:40`, or the same with an offset.
pub(super) fn moment(flag: &'static str, text: &str) -> Result<Moment, Failure> {
    let right = "local time, `2026-05-19T10:40`, or with an offset, `2026-05-19T10:40-05:00`";
    Moment::parse(text).map_err(|what| Failure::flag(flag, what, right))
}

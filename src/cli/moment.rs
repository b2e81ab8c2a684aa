//! Moments as flags write them.

use super::failure::Failure;
use crate::answer::Moment;
use crate::calendar::{parse_day, parse_instant, parse_time};

/// A moment: `2026-05-19T10:40`, or the same with an offset.
pub(super) fn moment(flag: &'static str, text: &str) -> Result<Moment, Failure> {
    let right = "local time, `2026-05-19T10:40`, or with an offset, `2026-05-19T10:40-05:00`";
    let refused = |error| Failure::flag(flag, error, right);
    let Some((day, time)) = text.trim().split_once(['T', ' ']) else {
        let what = format!("`{text}` has no time of the day");
        return Err(Failure::flag(flag, what, right));
    };
    if time.contains(['Z', '+', '-']) {
        let at = parse_instant(text).map_err(refused)?;
        return Ok(Moment::Fixed(at.to_utc()));
    }
    let day = parse_day(day).map_err(refused)?;
    Ok(Moment::Local(day, parse_time(time).map_err(refused)?))
}

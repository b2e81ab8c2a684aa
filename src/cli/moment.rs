//! Moments as flags write them.

use super::failure::Failure;
use crate::answer::{Moment, Roughly};
use crate::calendar::{WHEN_RIGHT, When, Zone, parse_day, parse_instant, parse_time};

/// A moment, or what is known of it: a day, a month, a year, `before 2026-05-19`,
/// `between 2026-05-01 and 2026-05-19`, `unknown`.
pub(super) fn roughly(flag: &'static str, text: &str) -> Result<Roughly, Failure> {
    let text = text.trim();
    let one = !["before ", "after ", "between "]
        .iter()
        .any(|it| text.starts_with(it));
    if one && text.contains(':') {
        return moment(flag, text).map(Roughly::At);
    }
    // Which zone its days are of changes nothing about whether it can be read.
    match When::parse(text, Zone::UTC) {
        Ok(_) => Ok(Roughly::Words(text.to_owned())),
        Err(error) => Err(Failure::flag(flag, error, WHEN_RIGHT)),
    }
}

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

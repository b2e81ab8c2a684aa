//! Tests of the room: the figures of 10 CFR 34.25(b) and 34.47(c), (g), each with a near miss.

mod looking_back;
mod points;

use crate::calendar::{Day, parse_day};

/// 1 mR/h, 1 mR in counts.
pub(super) const MR: i64 = 10_000;

pub(super) fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

//! Whether the last quarter of a year went as the time before: a new crew or kind of work shows
//! there first, and a forecast from the whole time would miss it.

use super::worked::Worked;
use crate::calendar::{Day, Span};
use crate::quantity::Dose;
use crate::stat::prediction::Behind;
use chrono::Days;
use serde::Serialize;

/// The days that are compared with those before.
const RECENT_DAYS: u64 = 90;

/// The chance of a sum below and above which the last days differ. One steady worker in eight is
/// said to differ so, and nine in ten whose dose has at least doubled: both figures stand then, so
/// that it costs little to say it (`tests/bench/coverage_forecast.rs`).
const BEYOND: f64 = 0.10;

/// How the last days differ from those before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Change {
    /// Whether they brought more; else less.
    pub more: bool,
    /// From which day on.
    pub first: Day,
    /// The days of it that count.
    pub days: i64,
    /// The shifts on them.
    pub shifts: usize,
    /// What they brought.
    pub dose: Dose,
    /// What was to be expected at least, from the days before.
    pub low: Dose,
    /// And at most.
    pub high: Dose,
}

/// How the last 90 days differ from those before, where they do.
pub(super) fn change(worked: &Worked) -> Option<(Change, Span)> {
    let last = worked.span.last;
    let recent = Span {
        first: last.checked_sub_days(Days::new(RECENT_DAYS - 1))?,
        last,
    };
    let before = Span {
        first: worked.span.first,
        last: recent.first.pred_opt()?,
    };
    let days = worked.days_in(recent);
    let expected: Behind = worked.tells(before).ok()?;
    let brought = worked.nsv_in(recent);
    let [low, high] = [BEYOND, 1.0 - BEYOND].map(|it| expected.quantile(days, it));
    if (low..=high).contains(&brought) {
        return None;
    }
    // Doses of a year in whole nanosievert are far below 2^53.
    let whole = |nsv: f64| Dose::from_nsv(nsv.round() as i64);
    let change = Change {
        more: brought > high,
        first: recent.first,
        days,
        shifts: worked.shifts_in(recent),
        dose: whole(brought),
        low: whole(low),
        high: whole(high),
    };
    Some((change, recent))
}

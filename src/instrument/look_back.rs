//! What to look at again when an instrument was found to be wrong.

use serde::Serialize;

use super::assessment::Ratio;
use crate::calendar::Day;

/// One check of an instrument. A check of which only the verdict is known has it in both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CheckFact {
    /// The entry that tells it.
    pub entry: i64,
    /// The day of the check.
    pub on: Day,
    /// Whether it was right as found; nothing where nobody looked before adjusting.
    pub found_ok: Option<bool>,
    /// Whether it was right as left.
    pub left_ok: Option<bool>,
}

/// The days over which an instrument may have been wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct LookBack {
    /// The check at which it was found wrong.
    pub failed_entry: i64,
    /// Its day. Use on that day counts: it may have come before the check.
    pub failed_on: Day,
    /// The last check before at which it was right.
    pub good_entry: Option<i64>,
    /// Its day. Use on that day counts too: it may have come after. Nothing where there is no
    /// such check: then every use before counts.
    pub good_on: Option<Day>,
}

impl LookBack {
    /// Whether a use on this day is to be looked at again.
    pub fn covers(&self, day: Day) -> bool {
        day <= self.failed_on && self.good_on.is_none_or(|good| good <= day)
    }
}

/// One span for each check at which the instrument was wrong as found, in the order of the days.
/// On one day the order of the entries counts.
pub fn look_back(checks: &[CheckFact]) -> Vec<LookBack> {
    let mut ordered = checks.to_vec();
    ordered.sort_by_key(|check| (check.on, check.entry));
    let mut spans = Vec::new();
    let mut good: Option<CheckFact> = None;
    for check in ordered {
        if check.found_ok == Some(false) {
            spans.push(LookBack {
                failed_entry: check.entry,
                failed_on: check.on,
                good_entry: good.map(|it| it.entry),
                good_on: good.map(|it| it.on),
            });
        }
        // Right as found: it was right up to then. Right as left: from then on.
        if check.found_ok == Some(true) || check.left_ok == Some(true) {
            good = Some(check);
        }
    }
    spans
}

/// What a dosimeter's reading would have been had it shown the truth, by the worst point at which
/// it was found: rounded up, and an estimate until the RSO determines the dose. A dosimeter that
/// read high lowers nothing: its reading stays.
///
/// Nothing where it showed nothing at all, or where the result is larger than a ledger holds:
/// then the reading has no upper bound.
pub fn raised(reading: i64, worst: Ratio) -> Option<i64> {
    if worst.true_value <= worst.reading {
        return Some(reading);
    }
    if worst.reading <= 0 {
        return None;
    }
    let shown = i128::from(worst.reading);
    let product = i128::from(reading.max(0)) * i128::from(worst.true_value);
    i64::try_from((product + shown - 1) / shown)
        .ok()
        .map(|raised| raised.max(reading))
}

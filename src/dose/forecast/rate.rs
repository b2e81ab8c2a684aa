//! A dose carried on in a straight line, in whole numbers throughout.

use crate::quantity::{Dose, Overflow};
use serde::Serialize;

/// A rate of fewer days carries a word of caution: one shift more or less changes it much (common
/// practice, no source). It is as many days as chances are drawn from.
pub const FEW_DAYS: i64 = crate::stat::prediction::FEWEST_DAYS;

/// A quarter of fewer days is no quarter, unless none has more.
const LEAST_OF_QUARTER: i64 = 28;

/// A dose over a number of days, kept as the two whole numbers that it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Rate {
    /// The dose received.
    pub dose: Dose,
    /// The days over which it was received, one or more.
    pub days: i64,
}

impl Rate {
    /// The total `days` later, rounded up to a nanosievert.
    ///
    /// # Errors
    /// If it does not fit.
    pub fn total_after(&self, so_far: Dose, days: i64) -> Result<Dose, Overflow> {
        let product = i128::from(self.dose.nsv()) * i128::from(days);
        let per = i128::from(self.days.max(1));
        let more = product.div_euclid(per) + i128::from(product.rem_euclid(per) != 0);
        let more = i64::try_from(more).map_err(|_| Overflow)?;
        so_far.checked_add(Dose::from_nsv(more))
    }

    /// Whole days until the total is at `level` or above; `None` if it never is.
    pub fn days_to_reach(&self, so_far: Dose, level: Dose) -> Option<i64> {
        let room = i128::from(level.nsv()) - i128::from(so_far.nsv());
        if room <= 0 {
            return Some(0);
        }
        let (whole, rest) = self.days_for(room)?;
        i64::try_from(whole + i128::from(rest)).ok()
    }

    /// Whole days until the total is strictly above `level`; `None` if it never is.
    pub fn days_to_pass(&self, so_far: Dose, level: Dose) -> Option<i64> {
        let room = i128::from(level.nsv()) - i128::from(so_far.nsv());
        if room < 0 {
            return Some(0);
        }
        let (whole, _) = self.days_for(room)?;
        i64::try_from(whole + 1).ok()
    }

    // The days for a dose of `room` nSv: whole days, and whether a part of one is left.
    fn days_for(&self, room: i128) -> Option<(i128, bool)> {
        let dose = i128::from(self.dose.nsv());
        if dose <= 0 {
            return None;
        }
        let product = room * i128::from(self.days.max(1));
        Some((product / dose, product % dose != 0))
    }
}

/// The highest rate among those of some quarters; `None` if there are none. One of a few days
/// alone, as after somebody was hired, says nothing beside a longer one.
pub fn worst_quarter(quarters: &[Rate]) -> Option<Rate> {
    let longest = quarters.iter().map(|it| it.days).max()?;
    let long = |it: &&Rate| it.days >= LEAST_OF_QUARTER.min(longest);
    quarters.iter().filter(long).copied().max_by(|a, b| {
        // Two fractions compared by cross-multiplying: no rounding.
        let left = i128::from(a.dose.nsv()) * i128::from(b.days);
        left.cmp(&(i128::from(b.dose.nsv()) * i128::from(a.days)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn usv(count: i64) -> Dose {
        Dose::from_nsv(count * 1_000)
    }

    #[test]
    fn a_level_between_two_days_is_reached_on_the_later() {
        // dose, days, so far, level (uSv); reached, passed after days
        for (dose, days, so_far, level, reached, passed) in [
            (10, 1, 0, 100, Some(10), Some(11)),
            (10, 1, 0, 101, Some(11), Some(11)),
            (1, 3, 0, 1, Some(3), Some(4)),
            (10, 1, 100, 100, Some(0), Some(1)),
            (10, 1, 101, 100, Some(0), Some(0)),
            (0, 1, 0, 100, None, None),
            (-5, 1, 0, 100, None, None),
        ] {
            let rate = Rate {
                dose: usv(dose),
                days,
            };
            let case = format!("{dose} uSv in {days} d from {so_far} to {level}");
            assert_eq!(
                rate.days_to_reach(usv(so_far), usv(level)),
                reached,
                "{case}"
            );
            assert_eq!(rate.days_to_pass(usv(so_far), usv(level)), passed, "{case}");
        }
    }

    #[test]
    fn a_total_is_rounded_up_to_the_nanosievert() {
        let rate = Rate {
            dose: Dose::from_nsv(10),
            days: 3,
        };
        assert_eq!(rate.total_after(Dose::ZERO, 1), Ok(Dose::from_nsv(4)));
        assert_eq!(rate.total_after(Dose::ZERO, 3), Ok(Dose::from_nsv(10)));
        let huge = Rate {
            dose: Dose::from_nsv(i64::MAX),
            days: 1,
        };
        assert_eq!(huge.total_after(Dose::ZERO, 2), Err(Overflow));
    }

    #[test]
    fn the_worst_quarter_is_the_one_with_the_highest_rate_by_day() {
        let rate = |dose, days| Rate {
            dose: usv(dose),
            days,
        };
        // uSv a day: 10.00, 9.95, 10.56 over four weeks, and 50 over one week.
        let all = [rate(900, 90), rate(905, 91), rate(296, 28), rate(350, 7)];
        for (quarters, worst) in [
            (&all[..], Some(28)),
            (&all[..2], Some(90)),
            (&all[3..], Some(7)),
            (&[], None),
        ] {
            let found = worst_quarter(quarters).map(|rate| rate.days);
            assert_eq!(found, worst, "{quarters:?}");
        }
    }
}

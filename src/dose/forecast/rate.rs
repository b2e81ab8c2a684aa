//! A dose carried on in a straight line, in whole numbers throughout.

use crate::calendar::Span;
use crate::quantity::{Dose, Overflow};
use serde::Serialize;

/// A dose over a number of days, kept as the two whole numbers that it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Rate {
    /// The dose received.
    pub dose: Dose,
    /// The days over which it was received, one or more.
    pub days: i64,
}

impl Rate {
    /// A dose received over a span of days.
    pub fn over(dose: Dose, span: &Span) -> Self {
        Rate {
            dose,
            days: span.days().max(1),
        }
    }

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

/// The highest rate among the doses of some quarters; `None` if there are none.
pub fn worst_quarter(quarters: &[(Span, Dose)]) -> Option<Rate> {
    let rates = quarters.iter().map(|(span, dose)| Rate::over(*dose, span));
    rates.max_by(|a, b| {
        // Two fractions compared by cross-multiplying: no rounding.
        let left = i128::from(a.dose.nsv()) * i128::from(b.days);
        left.cmp(&(i128::from(b.dose.nsv()) * i128::from(a.days)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::parse_day;

    fn usv(count: i64) -> Dose {
        Dose::from_nsv(count * 1_000)
    }

    fn span(first: &str, last: &str) -> Span {
        Span {
            first: parse_day(first).expect("a day"),
            last: parse_day(last).expect("a day"),
        }
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
        let quarters = [
            (span("2026-01-01", "2026-03-31"), usv(900)),
            (span("2026-04-01", "2026-06-30"), usv(905)),
            (span("2026-07-01", "2026-07-09"), usv(95)),
        ];
        // 10.00 uSv a day over 90 days, 9.95 over 91, 10.56 over 9.
        assert_eq!(worst_quarter(&quarters).map(|rate| rate.days), Some(9));
        assert_eq!(
            worst_quarter(&quarters[..2]).map(|rate| rate.days),
            Some(90)
        );
        assert_eq!(worst_quarter(&[]), None);
    }
}

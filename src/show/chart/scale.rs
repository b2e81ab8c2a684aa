//! From days and doses to places on the paper, in integers.

use chrono::{Datelike, Days, Months};

use crate::calendar::Day;

/// Days from left to right. A day is a strip; a reading's mark stands in its middle.
#[derive(Debug, Clone, Copy)]
pub(super) struct DayScale {
    pub first: Day,
    pub last: Day,
    pub left: i32,
    pub right: i32,
}

impl DayScale {
    fn days(&self) -> i64 {
        (self.last - self.first).num_days() + 1
    }

    fn place(&self, halves: i64) -> i32 {
        let width = i64::from(self.right - self.left);
        let off = halves.saturating_mul(width) / (2 * self.days()).max(1);
        let x = i64::from(self.left).saturating_add(off);
        let x = x.clamp(i64::from(self.left), i64::from(self.right));
        i32::try_from(x).unwrap_or(self.right)
    }

    /// Where the day begins; days outside the span lie on its edge.
    pub fn start(&self, day: Day) -> i32 {
        self.place(2 * (day - self.first).num_days())
    }

    /// The middle of the day; days outside the span lie on its edge.
    pub fn middle(&self, day: Day) -> i32 {
        self.place(2 * (day - self.first).num_days() + 1)
    }

    /// Is the day one of the span?
    pub fn holds(&self, day: Day) -> bool {
        self.first <= day && day <= self.last
    }

    /// The months that the span touches: first day drawn and the month's name in ASCII, with
    /// every `n`th month only where more would not fit `room` units each.
    pub fn months(&self, room: i32) -> Vec<(Day, String)> {
        let mut firsts = vec![self.first];
        let mut next = self
            .first
            .with_day(1)
            .and_then(|d| d.checked_add_months(Months::new(1)));
        while let Some(day) = next.filter(|d| *d <= self.last) {
            firsts.push(day);
            next = day.checked_add_months(Months::new(1));
        }
        let fits = usize::try_from((self.right - self.left) / room.max(1))
            .unwrap_or(1)
            .max(1);
        let skip = [1, 2, 3, 6, 12, 24, 60, 120, 600, 1200];
        let every = skip
            .into_iter()
            .find(|n| firsts.len().div_ceil(*n) <= fits)
            .unwrap_or(12_000);
        firsts
            .into_iter()
            .step_by(every)
            .map(|d| (d, name(d)))
            .collect()
    }

    /// The day after the month of `day`, cut to the span.
    pub fn month_end(&self, day: Day) -> Day {
        let next = day
            .with_day(1)
            .and_then(|d| d.checked_add_months(Months::new(1)));
        let end = self
            .last
            .checked_add_days(Days::new(1))
            .unwrap_or(self.last);
        next.unwrap_or(end).min(end)
    }
}

fn name(day: Day) -> String {
    const NAMES: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let at = usize::try_from(day.month0()).unwrap_or(0);
    NAMES.get(at).copied().unwrap_or("").to_owned()
}

/// Doses from the floor up, in nanosievert.
#[derive(Debug, Clone, Copy)]
pub(super) struct DoseScale {
    pub top: i64,
    pub upper: i32,
    pub lower: i32,
}

impl DoseScale {
    /// The height at which a dose is drawn, rounded to the nearest unit.
    pub fn y(&self, nsv: i64) -> i32 {
        let top = i128::from(self.top.max(1));
        let high = i128::from(self.lower - self.upper);
        let up = (i128::from(nsv) * high * 2 + top).div_euclid(2 * top);
        i32::try_from(i128::from(self.lower) - up)
            .unwrap_or(self.upper)
            .max(self.upper)
    }
}

/// A round step (1, 2 or 5 and zeros) of which at most `about` fill `top`. Every dose unit is a
/// power of ten in nanosievert, so that the step is round in any of them.
pub(super) fn round_step(top: i64, about: i64) -> i64 {
    let mut ten = 1_i64;
    loop {
        for m in [1, 2, 5] {
            let step = ten.saturating_mul(m);
            if step.saturating_mul(about) >= top {
                return step;
            }
        }
        match ten.checked_mul(10) {
            Some(next) => ten = next,
            None => return ten,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(y: i32, m: u32, d: u32) -> Day {
        Day::from_ymd_opt(y, m, d).unwrap()
    }

    #[test]
    fn steps_are_one_two_five() {
        for (top, wanted) in [(1, 1), (60, 10), (61, 20), (4_120_000, 1_000_000), (7, 2)] {
            assert_eq!(round_step(top, 6), wanted, "{top}");
        }
        assert!(round_step(i64::MAX, 6) > 0);
    }

    #[test]
    fn a_dose_goes_to_its_share_of_the_height() {
        let s = DoseScale {
            top: 1000,
            upper: 100,
            lower: 600,
        };
        for (nsv, y) in [(0, 600), (1000, 100), (500, 350), (250, 475), (5000, 100)] {
            assert_eq!(s.y(nsv), y, "{nsv}");
        }
    }

    #[test]
    fn a_licensee_year_shows_each_of_its_months_once() {
        let s = DayScale {
            first: day(2026, 1, 1),
            last: day(2026, 12, 31),
            left: 0,
            right: 1200,
        };
        let names: Vec<_> = s.months(60).into_iter().map(|m| m.1).collect();
        assert_eq!(
            names.join(" "),
            "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec"
        );
        assert_eq!(s.months(300).len(), 4);
        let s = DayScale {
            first: day(2025, 7, 15),
            last: day(2026, 7, 14),
            left: 0,
            right: 1200,
        };
        assert_eq!(s.months(60).len(), 13);
    }
}

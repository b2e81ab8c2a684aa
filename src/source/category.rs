//! The category of sources at one place by what they are on a day: the sum of the fractions that
//! each is of the activity from which its nuclide is of category 2. A hundred times as much is
//! category 1. Estimates on the high side, so that no source looks weaker than it may be.

use chrono::{Days, NaiveTime};

use super::rate::{NOISE, Source};
use crate::calendar::{Day, TimeOfDay};
use crate::quantity::Activity;

/// One source with the activity from which its nuclide is of category 2.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// The source.
    pub source: Source,
    /// From which activity it is of category 2 alone.
    pub from: Activity,
}

/// A category, the highest last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Category {
    /// Less than category 2.
    Below,
    /// Category 2.
    Two,
    /// Category 1.
    One,
}

impl Category {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Category::Below => "below category 2",
            Category::Two => "category 2",
            Category::One => "category 1",
        }
    }
}

/// How far ahead a day is looked for on which they have decayed.
const DAYS_AHEAD: u64 = 36_525;

/// The whole quantity, less what the last digits of a sum may be off by.
const REACHED: f64 = 1.0 - NOISE;

/// The sum of fractions at an hour, by the activity on the high side. No unit.
pub fn sum_of_fractions(parts: &[Part], day: Day, time: TimeOfDay) -> f64 {
    let fraction = |it: &Part| it.source.activity_at(day, time).high / it.from.bq() as f64;
    parts.iter().map(fraction).sum()
}

/// The category at an hour. At the quantity itself it is reached.
pub fn category(parts: &[Part], day: Day, time: TimeOfDay) -> Category {
    match sum_of_fractions(parts, day, time) {
        sum if sum >= 100.0 * REACHED => Category::One,
        sum if sum >= REACHED => Category::Two,
        // What is no number is not known to be less.
        sum if sum.is_nan() => Category::One,
        _ => Category::Below,
    }
}

/// The first day from `day` on that begins with less than category 2, where it is not the day
/// itself; nothing where they are below already, or will not be for a century.
pub fn below_from(parts: &[Part], day: Day) -> Option<Day> {
    let later = |days: u64| day.checked_add_days(Days::new(days));
    let is_below = |days: u64| {
        later(days).is_some_and(|it| category(parts, it, NaiveTime::MIN) == Category::Below)
    };
    if is_below(0) || !is_below(DAYS_AHEAD) {
        return None;
    }
    // Activity only falls: the day is where below begins.
    let (mut above, mut below) = (0, DAYS_AHEAD);
    while below - above > 1 {
        let middle = above.midpoint(below);
        match is_below(middle) {
            true => below = middle,
            false => above = middle,
        }
    }
    later(below)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Nuclide;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn part(nuclide: Nuclide, gbq: i64, from_gbq: i64) -> Part {
        let bq = 1_000_000_000;
        Part {
            source: Source {
                nuclide,
                stated: Activity::from_bq(gbq * bq),
                on: day("2026-01-01"),
            },
            from: Activity::from_bq(from_gbq * bq),
        }
    }

    #[test]
    fn fractions_add_up_and_the_quantity_itself_is_reached() {
        use Category::{Below, One, Two};
        let (ir, co) = (Nuclide::Ir192, Nuclide::Co60);
        // On the day that the certificate names the activity is at least the one that it states.
        for (parts, wanted) in [
            (vec![], Below),
            (vec![part(ir, 800, 800)], Two),
            (vec![part(ir, 790, 800)], Below),
            (vec![part(ir, 400, 800), part(co, 150, 300)], Two),
            (vec![part(ir, 390, 800), part(co, 149, 300)], Below),
            (vec![part(ir, 80_000, 800)], One),
            (vec![part(ir, 40_000, 800), part(ir, 40_000, 800)], One),
            (vec![part(ir, 78_000, 800)], Two),
        ] {
            let at = |time| category(&parts, day("2026-01-01"), time);
            assert_eq!(at(TimeOfDay::MIN), wanted, "{parts:?}");
        }
    }

    #[test]
    fn a_source_of_four_times_the_quantity_is_below_after_two_half_lives() {
        // Two half-lives of Ir-192 are 147.658 days after the end of the certificate's day: the
        // first midnight after that is the 149th after its beginning.
        let parts = [part(Nuclide::Ir192, 3_200, 800)];
        let first = below_from(&parts, day("2026-01-01")).unwrap();
        assert_eq!(first, day("2026-05-30"));
        let at = |text| category(&parts, day(text), TimeOfDay::MIN);
        assert_eq!(at("2026-05-29"), Category::Two);
        assert_eq!(at("2026-05-30"), Category::Below);
        // The same from any day before it, and none from then on.
        assert_eq!(below_from(&parts, day("2026-05-29")), Some(first));
        assert_eq!(below_from(&parts, first), None);
    }

    #[test]
    fn two_that_are_below_alone_may_be_above_together_until_they_have_decayed() {
        let parts = [
            part(Nuclide::Ir192, 500, 800),
            part(Nuclide::Ir192, 500, 800),
        ];
        let on = day("2026-01-01");
        assert_eq!(below_from(&parts[..1], on), None);
        assert!(below_from(&parts, on) > Some(day("2026-01-20")));
    }
}

//! An axis for plotters, in whole numbers: nothing that is drawn passes through a float.

use std::ops::Range;

use chrono::{Datelike, Months};
use plotters::coord::ranged1d::{
    KeyPointHint, KeyPointWeight, NoDefaultFormatting, Ranged, ValueFormatter,
};

use crate::calendar::Day;
use crate::quantity::{Dose, DoseUnit};

/// The most steps of a round axis.
const STEPS: i64 = 6;

/// Whole numbers along an edge of the field, with those that have a tick and its words.
#[derive(Debug, Clone)]
pub(super) struct Axis {
    pub first: i64,
    pub last: i64,
    pub ticks: Vec<(i64, String)>,
    /// How far right of its tick a tick's words stand, in the axis' own numbers.
    pub aside: i64,
}

impl Axis {
    pub fn bare(first: i64, last: i64) -> Self {
        Self {
            first,
            last,
            ticks: Vec::new(),
            aside: 0,
        }
    }

    /// From one number to another, with ticks at round figures of a unit that is so large.
    pub fn between(first: i64, last: i64, unit: i64, show: impl Fn(i64) -> String) -> Self {
        let step = round_step(last.saturating_sub(first), unit);
        let start = first.div_euclid(step);
        let ticks = (0..=2 * STEPS)
            .filter_map(|n| start.checked_add(n)?.checked_mul(step))
            .filter(|it| (first..=last).contains(it))
            .map(|it| (it, show(it)));
        Self {
            ticks: ticks.collect(),
            ..Self::bare(first, last)
        }
    }

    /// Doses from zero up to at least `most`, on to the next tick.
    pub fn doses(most: i64, unit: DoseUnit) -> Self {
        let most = most.max(10);
        let step = round_step(most, 1);
        let last = most.saturating_add(step - 1) / step * step;
        Self::between(0, last, 1, |it| figure(Dose::from_nsv(it), unit))
    }

    /// Days, each of them two: [`start`](Self::start) and [`middle`](Self::middle) of a day.
    /// Ticks are the beginnings of months, no more than `most`.
    pub fn days(first: Day, last: Day, most: usize) -> Self {
        let mut axis = Self::bare(0, 2 * ((last - first).num_days() + 1));
        let mut months = vec![first];
        let mut next = first
            .with_day(1)
            .and_then(|it| it.checked_add_months(Months::new(1)));
        while let Some(day) = next.filter(|it| *it <= last) {
            months.push(day);
            next = day.checked_add_months(Months::new(1));
        }
        let skip = [1, 2, 3, 6, 12, 24, 60, 120, 600, 1200];
        let fits = |every: &usize| months.len().div_ceil(*every) <= most.max(1);
        let every = skip.into_iter().find(fits).unwrap_or(12_000);
        let at = |day: Day| 2 * (day - first).num_days();
        // A month stands under its own days, unless the ticks leave some out.
        axis.aside = if every == 1 { 30 } else { 0 };
        let room = if every == 1 { 40 } else { 0 };
        let ends = months.iter().skip(1).map(|it| at(*it)).chain([axis.last]);
        let ticks = months.iter().zip(ends).step_by(every).map(|(day, end)| {
            let whole = months.len() == 1 || end - at(*day) >= room;
            let name = if whole { name(*day) } else { "" };
            (at(*day), name.to_owned())
        });
        axis.ticks = ticks.collect();
        axis
    }

    /// The year of the first tick and of each later year's first, at their places.
    pub fn years(&self, first: Day) -> Vec<(i64, String)> {
        let mut years: Vec<(i64, String)> = Vec::new();
        for (at, name) in &self.ticks {
            let day = first.checked_add_days(chrono::Days::new(at.unsigned_abs() / 2));
            let year = day.map_or(0, |it| it.year()).to_string();
            if !name.is_empty() && years.last().is_none_or(|it| it.1 != year) {
                years.push((at + self.aside, year));
            }
        }
        years
    }
}

impl Ranged for Axis {
    type FormatOption = NoDefaultFormatting;
    type ValueType = i64;

    /// Rounded to the nearest unit of the paper; beyond the edges of the field too.
    fn map(&self, value: &i64, limit: (i32, i32)) -> i32 {
        let wide = (i128::from(self.last) - i128::from(self.first)).max(1);
        let off = i128::from(*value) - i128::from(self.first);
        let room = i128::from(limit.1) - i128::from(limit.0);
        let moved = (2 * off * room + wide).div_euclid(2 * wide);
        // Far outside the paper is far enough.
        let place = i128::from(limit.0) + moved.clamp(-100_000, 100_000);
        i32::try_from(place).unwrap_or(limit.1)
    }

    fn key_points<Hint: KeyPointHint>(&self, hint: Hint) -> Vec<i64> {
        match hint.weight() {
            KeyPointWeight::Bold => self.ticks.iter().map(|it| it.0).collect(),
            KeyPointWeight::Any => Vec::new(),
        }
    }

    fn range(&self) -> Range<i64> {
        self.first..self.last
    }
}

impl ValueFormatter<i64> for Axis {
    fn format_ext(&self, value: &i64) -> String {
        let tick = self.ticks.iter().find(|it| it.0 == *value);
        tick.map(|it| it.1.clone()).unwrap_or_default()
    }
}

/// Where a day begins on an axis of days.
pub(super) fn start(first: Day, day: Day) -> i64 {
    2 * (day - first).num_days()
}

/// The middle of a day on an axis of days.
pub(super) fn middle(first: Day, day: Day) -> i64 {
    start(first, day) + 1
}

/// A dose in a unit, exact, without the unit's label.
pub(super) fn figure(dose: Dose, unit: DoseUnit) -> String {
    let whole = dose.display(unit);
    let number = whole.trim_end_matches(unit.symbol());
    number.trim_end().to_owned()
}

fn name(day: Day) -> &'static str {
    const NAMES: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let at = usize::try_from(day.month0()).unwrap_or(0);
    NAMES.get(at).copied().unwrap_or("")
}

/// The smallest round step (1, 2 or 5 and zeros) of a unit of which at most [`STEPS`] fill
/// `span`. Every dose unit is a power of ten in nanosievert, so that the unit may be 1 for them.
pub(super) fn round_step(span: i64, unit: i64) -> i64 {
    let mut part = unit.max(1);
    while part % 10 == 0 {
        part /= 10;
    }
    loop {
        for times in [1, 2, 5] {
            let step = part.saturating_mul(times);
            if step.saturating_mul(STEPS) >= span {
                return step;
            }
        }
        match part.checked_mul(10) {
            Some(more) => part = more,
            None => return i64::MAX,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    #[test]
    fn steps_are_one_two_five() {
        for (top, wanted) in [(1, 1), (60, 10), (61, 20), (4_120_000, 1_000_000), (7, 2)] {
            assert_eq!(round_step(top, 1), wanted, "{top}");
        }
        assert_eq!(round_step(30_000_000, 25_400_000), 5_080_000, "0.2 in");
        assert!(round_step(i64::MAX, 1) > 0);
    }

    #[test]
    fn a_value_goes_to_its_share_of_the_field_whatever_its_size() {
        let axis = Axis::bare(0, 1000);
        for (nsv, y) in [(0, 600), (1000, 100), (500, 350), (250, 475)] {
            assert_eq!(axis.map(&nsv, (600, 100)), y, "{nsv}");
        }
        let axis = Axis::bare(i64::MIN, i64::MAX);
        assert_eq!(axis.map(&i64::MAX, (0, 100)), 100);
    }

    #[test]
    fn a_year_shows_each_of_its_months_once_and_a_cut_one_without_words() {
        let names = |first: &str, last: &str, most| -> String {
            let axis = Axis::days(day(first), day(last), most);
            let names: Vec<String> = axis.ticks.into_iter().map(|it| it.1).collect();
            names.join(" ")
        };
        let whole = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec";
        assert_eq!(names("2026-01-01", "2026-12-31", 13), whole);
        assert_eq!(names("2026-01-01", "2026-12-31", 4), "Jan Apr Jul Oct");
        let cut = " Aug Sep Oct Nov Dec Jan Feb Mar Apr May Jun ";
        assert_eq!(names("2025-07-15", "2026-07-14", 13), cut);
        let axis = Axis::days(day("2025-07-15"), day("2026-07-14"), 13);
        let years: Vec<String> = axis
            .years(day("2025-07-15"))
            .into_iter()
            .map(|it| it.1)
            .collect();
        assert_eq!(years, ["2025", "2026"]);
    }
}

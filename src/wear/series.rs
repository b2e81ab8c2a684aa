//! The measures of one item on one installed part, and the line through them.

use serde::Serialize;

use crate::calendar::Day;
use crate::rule::ItemMeasurement;
use crate::stat::line::{Line, Squares, rounding_sd};
use crate::stat::regression::FitError;

/// How sure the band is: two-sided.
pub const BAND_CONFIDENCE: f64 = 0.95;

/// One measure of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Point {
    /// The day of the inspection.
    pub day: Day,
    /// Cycles of the item of equipment up to then, counted on from any start: at least so many.
    pub cycles: i64,
    /// The measure, in the base unit of its kind: nm, millidegree, nSv/h.
    pub count: i64,
    /// The entry that tells it.
    pub entry: i64,
}

/// A part installed to the item of equipment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Installation {
    /// The day.
    pub day: Day,
    /// Cycles of the item of equipment up to then, counted from the same start as the points.
    pub cycles: i64,
    /// The entry that tells it.
    pub entry: i64,
}

/// The measures of one item on one installed part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Series {
    /// When the part was installed; nothing for what was there before the first fitting on record.
    pub installed: Option<Installation>,
    /// The day on which the next part took its place.
    pub ended: Option<Day>,
    /// The measures in the order of days and entries; cycles are counted from the fitting, or as
    /// given where there is none.
    pub points: Vec<Point>,
}

/// Parts the measures of one item at each fitting of its part. A measure on the day of a fitting
/// belongs to the new part, which is measured when it is installed. The result begins with the
/// earliest part and has one series a fitting, also where it was never measured.
pub fn series(points: &[Point], installations: &[Installation]) -> Vec<Series> {
    let mut points = points.to_vec();
    points.sort_unstable();
    let mut installations = installations.to_vec();
    installations.sort_unstable();
    // Two fittings on one day: the later entry is the part that is there.
    installations.dedup_by(|later, earlier| {
        let same = later.day == earlier.day;
        if same {
            *earlier = *later;
        }
        same
    });
    let first = installations.first().map(|it| it.day);
    let before = Series {
        installed: None,
        ended: first,
        points: between(&points, None, first, 0),
    };
    let mut all = Vec::new();
    if !before.points.is_empty() || first.is_none() {
        all.push(before);
    }
    for (n, fitting) in installations.iter().enumerate() {
        let ended = installations.get(n + 1).map(|it| it.day);
        all.push(Series {
            installed: Some(*fitting),
            ended,
            points: between(&points, Some(fitting.day), ended, fitting.cycles),
        });
    }
    all
}

fn between(points: &[Point], from: Option<Day>, to: Option<Day>, start: i64) -> Vec<Point> {
    let inside =
        |it: &&Point| from.is_none_or(|from| from <= it.day) && to.is_none_or(|to| it.day < to);
    let counted = |it: &Point| Point {
        cycles: it.cycles.saturating_sub(start),
        ..*it
    };
    points.iter().filter(inside).map(counted).collect()
}

/// The line's value at a place, with its two-sided 95 % prediction band, in base units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Band {
    /// Cycles since the fitting.
    pub cycles: i64,
    /// The line, to the nearest unit.
    pub line: i64,
    /// The lower end of where the next measure will lie, rounded down.
    pub lower: i64,
    /// The upper end, rounded up.
    pub upper: i64,
}

/// What the lines through other parts leave, measured for the same item: how much its figures
/// scatter.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Others {
    /// Against cycles.
    pub cycles: Squares,
    /// Against days.
    pub days: Squares,
}

impl Others {
    /// What the lines through these parts leave, by the measures up to a day.
    pub fn of<'s>(parts: impl IntoIterator<Item = &'s Series>, until: Day) -> Self {
        let parts = parts.into_iter();
        parts.fold(Self::default(), |all, part| {
            let known = |it: &&Point| it.day <= until;
            let points: Vec<&Point> = part.points.iter().filter(known).collect();
            let first = points.first().map(|it| it.day);
            let squares = |place: &dyn Fn(&Point) -> f64| {
                let at = |it: &&Point| (place(it), it.count as f64);
                Squares::of(&points.iter().map(at).collect::<Vec<_>>())
            };
            Self {
                cycles: all.cycles.and(squares(&|it| it.cycles as f64)),
                days: all.days.and(squares(&|it| days_after(first, it))),
            }
        })
    }

    /// These without some that are among them.
    pub fn without(self, some: Self) -> Self {
        Self {
            cycles: self.cycles.without(some.cycles),
            days: self.days.without(some.days),
        }
    }
}

fn days_after(first: Option<Day>, point: &Point) -> f64 {
    first.map_or(0.0, |first| (point.day - first).num_days() as f64)
}

impl Series {
    /// The line against cycles, with the scatter of the other parts.
    ///
    /// # Errors
    /// [`FitError`]: fewer than four points, all at one count of cycles.
    pub fn line_by_cycles(
        &self,
        measurement: &ItemMeasurement,
        others: Others,
    ) -> Result<Line, FitError> {
        let place = |it: &Point| it.cycles as f64;
        self.line(measurement, others.cycles, place)
    }

    /// The line against days, counted from the first measure.
    ///
    /// # Errors
    /// [`FitError`]: fewer than four points, all on one day.
    pub fn line_by_days(
        &self,
        measurement: &ItemMeasurement,
        others: Others,
    ) -> Result<Line, FitError> {
        let first = self.points.first().map(|it| it.day);
        self.line(measurement, others.days, |it| days_after(first, it))
    }

    fn line(
        &self,
        measurement: &ItemMeasurement,
        others: Squares,
        place: impl Fn(&Point) -> f64,
    ) -> Result<Line, FitError> {
        let points: Vec<(f64, f64)> = self
            .points
            .iter()
            .map(|it| (place(it), it.count as f64))
            .collect();
        let least = rounding_sd(measurement.step.count() as f64);
        Line::beside(&points, least, others)
    }

    /// The line and band at `steps` + 1 places from one count of cycles to another.
    ///
    /// # Errors
    /// As [`line_by_cycles`](Self::line_by_cycles).
    pub fn band(
        &self,
        (measurement, others): (&ItemMeasurement, Others),
        from: i64,
        to: i64,
        steps: u32,
    ) -> Result<Vec<Band>, FitError> {
        let line = self.line_by_cycles(measurement, others)?;
        let steps = i64::from(steps.max(1));
        let wide = to.saturating_sub(from);
        let place = |n: i64| from.saturating_add(wide.saturating_mul(n) / steps);
        (0..=steps)
            .map(|n| {
                let cycles = place(n);
                let next = line.predict(cycles as f64, BAND_CONFIDENCE)?.next;
                Ok(Band {
                    cycles,
                    line: line.value_at(cycles as f64).round() as i64,
                    lower: next.lower.floor() as i64,
                    upper: next.upper.ceil() as i64,
                })
            })
            .collect()
    }
}

//! What in the record of inspections looks as if nobody had looked. A signal accuses nobody: it
//! says where to ask.

use serde::Serialize;

use crate::calendar::Day;
use crate::rule::ItemMeasurement;
use crate::stat::line::rounding_sd;
use crate::stat::range::range_below;
use crate::stat::special::{Tail, gamma_quantile};

/// Below this chance a run of one figure is told, a part.
pub const RUN_CHANCE: f64 = 0.01;
/// A run shorter than this is not told, whatever its chance.
pub const SHORTEST_RUN: usize = 4;
/// With fewer triples of measures nothing is told: how much figures scatter is not known.
pub const FEWEST_TRIPLES: usize = 16;
/// How sure the scatter is not lower: one-sided.
pub const SCATTER_CONFIDENCE: f64 = 0.95;
/// The share of the widest triples that are left out: a part was changed, a source exchanged.
const WIDEST_SHARE: usize = 10;

/// One measured line of an inspection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured {
    /// The entry of the inspection.
    pub entry: i64,
    /// Its day.
    pub day: Day,
    /// The measure, in the base unit of its kind.
    pub count: i64,
}

/// One figure written so many times running that honest measuring would hardly give it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SameFigure {
    /// The entries of the run, in the order of the days.
    pub entries: Vec<i64>,
    /// The first day of the run.
    pub first: Day,
    /// The last.
    pub last: Day,
    /// The figure that begins it, in the base unit of its kind.
    pub count: i64,
    /// How many triples of successive measures elsewhere it was judged by.
    pub triples: usize,
    /// At least how much honest figures scatter by them, a standard deviation in thousandths of
    /// the gauge's step.
    pub scatter_permille: i64,
    /// At most the chance that a part that does not wear at all, honestly measured as often as
    /// this one, has such a run: an estimate.
    pub chance: f64,
}

/// Whether the gauge cannot tell these figures apart: the highest and the lowest differ by less
/// than its step. The one definition, for two figures and for a run.
fn one_figure(counts: impl Iterator<Item = i64>, step: i64) -> bool {
    let ends = counts.fold(None, |ends: Option<(i64, i64)>, it| {
        Some(ends.map_or((it, it), |(low, high)| (low.min(it), high.max(it))))
    });
    ends.is_none_or(|(low, high)| high.abs_diff(low) < step.unsigned_abs())
}

/// The lines parted into runs of one figure, each as long as it can be from its beginning.
fn runs(lines: &[Measured], step: i64) -> Vec<(usize, usize)> {
    let mut found: Vec<(usize, usize)> = Vec::new();
    for at in 0..lines.len() {
        let goes_on = found.last().is_some_and(|(from, _)| {
            let run = lines.get(*from..=at).unwrap_or_default();
            one_figure(run.iter().map(|it| it.count), step)
        });
        match found.last_mut() {
            Some((_, to)) if goes_on => *to = at + 1,
            _ => found.push((at, at + 1)),
        }
    }
    found
}

/// How much honest figures scatter besides the gauge's rounding, at least, in base units: by the
/// second differences of successive measures, which steady wear does not change (J. von Neumann
/// et al., Annals of Mathematical Statistics 12 (1941) 153, for first differences).
///
/// Neighbouring second differences share two measures, which halves their freedom. Both the
/// trimming and the lower bound make the scatter look smaller, and a run less strange.
fn least_scatter(parts: &[Vec<i64>], step: f64) -> Option<(usize, f64)> {
    let triples = parts.iter().flat_map(|part| part.windows(3));
    let mut squares: Vec<f64> = triples
        .filter_map(|it| match it {
            [a, b, c] => Some((*a as f64 - 2.0 * *b as f64 + *c as f64).powi(2) / 6.0),
            _ => None,
        })
        .collect();
    let all = squares.len();
    if all < FEWEST_TRIPLES {
        return None;
    }
    squares.sort_by(f64::total_cmp);
    squares.truncate(all - all / WIDEST_SHARE);
    let freedom = (squares.len() / 2) as f64;
    let outside = 1.0 - SCATTER_CONFIDENCE;
    let chi_square = 2.0 * gamma_quantile(freedom / 2.0, Tail::Upper(outside));
    let mean = squares.iter().sum::<f64>() / squares.len() as f64;
    let variance = mean * freedom / chi_square - rounding_sd(step).powi(2);
    Some((all, variance.max(0.0).sqrt()))
}

/// Runs of one figure in `lines`, judged by how much measures of the same item scatter elsewhere:
/// in the rest of these lines and in `others`, one list an installed part, each in the order of its
/// days.
///
/// The chance is that of a part that does not wear: the range of so many honest measures is below
/// the gauge's step, whatever digits are written, at any of the places at which such a run could
/// begin (the sum of their chances). A gauge that is coarse against the scatter repeats itself
/// honestly, so that of it nothing is told, and a copied figure cannot be told from a good one.
pub fn same_figure(
    lines: &[Measured],
    others: &[Vec<i64>],
    measurement: &ItemMeasurement,
) -> Vec<SameFigure> {
    let mut lines = lines.to_vec();
    lines.sort_by_key(|it| (it.day, it.entry));
    let step = measurement.step.count().max(1);
    let mut found = Vec::new();
    for (from, to) in runs(&lines, step) {
        let (Some(run), Some(before), Some(after)) =
            (lines.get(from..to), lines.get(..from), lines.get(to..))
        else {
            continue;
        };
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            continue;
        };
        if run.len() < SHORTEST_RUN {
            continue;
        }
        let counts = |side: &[Measured]| side.iter().map(|it| it.count).collect::<Vec<i64>>();
        let mut elsewhere = others.to_vec();
        elsewhere.extend([counts(before), counts(after)]);
        let Some((triples, scatter)) = least_scatter(&elsewhere, step as f64) else {
            continue;
        };
        let places = (lines.len() - run.len() + 1) as f64;
        let width = step as f64 / scatter;
        let chance = (places * range_below(run.len() as u64, width)).min(1.0);
        if chance < RUN_CHANCE {
            found.push(SameFigure {
                entries: run.iter().map(|it| it.entry).collect(),
                first: first.day,
                last: last.day,
                count: first.count,
                triples,
                scatter_permille: (1_000.0 * scatter / step as f64) as i64,
                chance,
            });
        }
    }
    found
}

/// One item of one installed part, and what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coverage {
    /// Inspections on occasions on which the item is to be measured, since the part was installed:
    /// entry and day.
    pub inspections: Vec<(i64, Day)>,
    /// How many of them have a measure of the item.
    pub measured: usize,
}

/// An item that the list asks to be measured and that nobody ever measured.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NeverMeasured {
    /// The inspections at which it would have been, as entries.
    pub entries: Vec<i64>,
    /// The day of the first of them.
    pub since: Day,
}

/// Told from the first inspection on that should have measured it and did not.
pub fn never_measured(coverage: &Coverage) -> Option<NeverMeasured> {
    let since = coverage.inspections.iter().map(|(_, day)| *day).min()?;
    (coverage.measured == 0).then(|| NeverMeasured {
        entries: coverage
            .inspections
            .iter()
            .map(|(entry, _)| *entry)
            .collect(),
        since,
    })
}

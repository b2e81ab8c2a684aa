//! What in the record of inspections looks as if nobody had looked. A signal accuses nobody: it
//! says where to ask.

use serde::Serialize;

use crate::calendar::Day;
use crate::rule::ItemMeasure;
use crate::stat::interval::{Side, share};

/// Below this chance a run of one figure is told.
pub const RUN_CHANCE: f64 = 0.01;
/// A run shorter than this is not told, whatever its chance.
pub const SHORTEST_RUN: usize = 4;
/// With fewer pairs to compare with nothing is told: how often figures repeat is not known.
pub const FEWEST_PAIRS: usize = 8;
/// How sure the share of repeated figures is not higher: one-sided.
pub const PAIR_CONFIDENCE: f64 = 0.95;

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
    /// The figure, in the base unit of its kind.
    pub count: i64,
    /// How many pairs of successive measures elsewhere it was judged by,
    pub pairs: usize,
    /// and how many of them were the same figure to the gauge.
    pub same_pairs: usize,
    /// At most the chance of such a run by honest measuring: an estimate.
    pub chance: f64,
}

/// Runs of one figure in `lines`, judged by how often successive measures of the same item repeat
/// elsewhere: in the rest of these lines and in `others`, one list a fitted part, each in the
/// order of its days.
///
/// Two figures are the same to the gauge when they differ by less than its step. If a share p of
/// the pairs elsewhere repeat, a run of n has the chance p to the power n - 1. For p stands the
/// upper 95 % bound of that share (Clopper-Pearson), so that few pairs accuse nobody; a coarse
/// gauge repeats itself honestly, its pairs show it, and nothing is told. That p is one number
/// for parts of different wear is a simplification.
#[must_use]
pub fn same_figure(
    lines: &[Measured],
    others: &[Vec<i64>],
    measure: &ItemMeasure,
) -> Vec<SameFigure> {
    let mut lines = lines.to_vec();
    lines.sort_by_key(|it| (it.day, it.entry));
    let runs: Vec<&[Measured]> = lines.chunk_by(|a, b| a.count == b.count).collect();
    let step = measure.step.count().max(1);
    let same = |a: i64, b: i64| a.abs_diff(b) < step.unsigned_abs();
    let elsewhere: Vec<bool> = others
        .iter()
        .flat_map(|part| part.windows(2))
        .filter_map(|pair| Some(same(*pair.first()?, *pair.last()?)))
        .collect();
    let mut found = Vec::new();
    for (at, run) in runs.iter().enumerate() {
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            continue;
        };
        if run.len() < SHORTEST_RUN {
            continue;
        }
        let rest = [runs.get(..at), runs.get(at + 1..)].into_iter().flatten();
        let own = rest.flat_map(|side| {
            let counts: Vec<i64> = side
                .iter()
                .flat_map(|run| run.iter().map(|it| it.count))
                .collect();
            counts
                .windows(2)
                .filter_map(|pair| Some(same(*pair.first()?, *pair.last()?)))
                .collect::<Vec<bool>>()
        });
        let judged: Vec<bool> = own.chain(elsewhere.iter().copied()).collect();
        let same_pairs = judged.iter().filter(|same| **same).count();
        if judged.len() < FEWEST_PAIRS {
            continue;
        }
        let bound = share(
            same_pairs as u64,
            judged.len() as u64,
            PAIR_CONFIDENCE,
            Side::Upper,
        );
        let chance = bound.map_or(1.0, |it| it.upper.powf((run.len() - 1) as f64));
        if chance < RUN_CHANCE {
            found.push(SameFigure {
                entries: run.iter().map(|it| it.entry).collect(),
                first: first.day,
                last: last.day,
                count: first.count,
                pairs: judged.len(),
                same_pairs,
                chance,
            });
        }
    }
    found
}

/// One item of one fitted part, and what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coverage {
    /// Inspections on occasions on which the item is to be measured, since the part was fitted:
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
#[must_use]
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

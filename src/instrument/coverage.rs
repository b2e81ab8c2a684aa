//! Whether the points of a meter's calibration are those that 10 CFR 34.25(b)(2) asks for:
//! on a linear scale two, near a third and near two thirds of each scale; on a logarithmic one
//! the mid-range of each decade and two points of at least one; on a digital one three points
//! between 2 and 1000 mrem/h.
//!
//! The rule says neither what is near nor where the middle of a decade lies. Here near is within
//! a tenth of full scale, and the middle is from two to seven tenths of the decade's top, so that
//! both the geometric and the arithmetic middle are in it: common practice, no source.

use super::points::{PointResult, Question};
use crate::record::Scale;

/// 2 mrem/h and 1000 mrem/h, in nSv/h: the range of 10 CFR 34.25(a) and (b)(2).
const DIGITAL_RANGE: std::ops::RangeInclusive<i64> = 20_000..=10_000_000;
const DIGITAL_POINTS: usize = 3;
const RULE: &str = "the rule";

/// What is missing, one line each. Two points at one true value count once.
pub(super) fn gaps(question: &Question, points: &[PointResult]) -> Vec<String> {
    let mut gaps = Vec::new();
    let known = &question.full_scales;
    for point in points {
        if let Some(scale) = point
            .scale
            .filter(|it| !known.is_empty() && !known.contains(it))
        {
            let scale = question.unit.show(scale);
            gaps.push(format!(
                "a point is on the scale `{scale}`, which the meter does not have"
            ));
        }
    }
    match question.scale {
        None => gaps.push(format!(
            "how the meter's scale runs is not recorded, so which points {RULE} asks for is not \
             known"
        )),
        Some(Scale::Digital) => {
            let inside = distinct(
                points
                    .iter()
                    .filter(|it| DIGITAL_RANGE.contains(&it.true_value)),
            );
            if inside < DIGITAL_POINTS {
                gaps.push(format!(
                    "{} between 2 and 1000 mrem/h; {RULE} asks for {DIGITAL_POINTS}",
                    crate::text::counted(inside, "point", "points")
                ));
            }
        }
        Some(_) if known.is_empty() => gaps.push(format!(
            "the meter's full-scale values are not recorded, so which points {RULE} asks for is \
             not known"
        )),
        Some(Scale::Linear) => linear(&mut gaps, question, points),
        Some(Scale::Logarithmic) => logarithmic(&mut gaps, question, points),
    }
    gaps
}

fn distinct<'p>(points: impl Iterator<Item = &'p PointResult>) -> usize {
    let mut values: Vec<i64> = points.map(|it| it.true_value).collect();
    values.sort_unstable();
    values.dedup();
    values.len()
}

/// With one scale, a point that names none is on it.
fn linear(gaps: &mut Vec<String>, question: &Question, points: &[PointResult]) {
    let only = question.full_scales.len() == 1;
    for full in &question.full_scales {
        let on_scale = |it: &&PointResult| it.scale == Some(*full) || (only && it.scale.is_none());
        for (thirds, name) in [(1, "a third"), (2, "two thirds")] {
            // |true - thirds * full / 3| <= full / 10, in whole numbers.
            let near = |it: &PointResult| {
                let off = 3 * i128::from(it.true_value) - thirds * i128::from(*full);
                10 * off.abs() <= 3 * i128::from(*full)
            };
            if !points.iter().filter(on_scale).any(near) {
                gaps.push(format!(
                    "no point near {name} of the scale `{}`, as {RULE} asks",
                    question.unit.show(*full)
                ));
            }
        }
    }
}

/// The decades are told by their tops. One top alone is the meter's highest value: its decades
/// then go down to the one that holds 2 mrem/h, which 10 CFR 34.25(a) asks a meter to measure.
fn logarithmic(gaps: &mut Vec<String>, question: &Question, points: &[PointResult]) {
    let mut tops = question.full_scales.clone();
    if let [top] = tops.as_slice() {
        let lower = std::iter::successors(Some(*top), |top| {
            (top / 10 >= *DIGITAL_RANGE.start()).then_some(top / 10)
        });
        tops = lower.collect();
    }
    tops.sort_unstable();
    tops.dedup();
    let mut most = 0;
    for top in &tops {
        // 10 * true > top and true <= top: the decade.
        let in_decade = |it: &&PointResult| {
            10 * i128::from(it.true_value) > i128::from(*top) && it.true_value <= *top
        };
        let in_middle = |it: &PointResult| {
            let tenths = 10 * i128::from(it.true_value);
            (2 * i128::from(*top)..=7 * i128::from(*top)).contains(&tenths)
        };
        most = most.max(distinct(points.iter().filter(in_decade)));
        if !points.iter().any(in_middle) {
            gaps.push(format!(
                "no point in the middle of the decade up to `{}`, as {RULE} asks",
                question.unit.show(*top)
            ));
        }
    }
    if most < 2 {
        gaps.push(format!(
            "no decade has two points, as {RULE} asks for at least one"
        ));
    }
}

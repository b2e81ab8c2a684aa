//! Whether the points of a calibration or response check are within tolerance and enough.

use serde::Serialize;

use super::coverage;
use super::points::{Point, PointResult, Question};
use crate::record::{CheckType, InstrumentType};

/// True over shown, of one point or the worst of several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Ratio {
    /// The true value.
    pub true_value: i64,
    /// What was shown.
    pub reading: i64,
}

impl Ratio {
    /// Whether this one reads lower for the same truth. One that shows nothing is the worst.
    pub fn reads_lower_than(self, other: Self) -> bool {
        let mine = i128::from(self.true_value) * i128::from(other.reading);
        let its = i128::from(other.true_value) * i128::from(self.reading);
        mine > its
    }
}

/// By how much the readings of one scale are to be multiplied: an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Correction {
    /// The scale, where there are several.
    pub scale: Option<i64>,
    /// The mean of true over shown at the points of the scale as left, in parts of a thousand,
    /// rounded up. 1000: it shows the truth; 1100: it shows too little.
    pub permille: i64,
    /// From how many points.
    pub points: usize,
}

/// What a check says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Assessment {
    /// Each point, in the order given.
    pub points: Vec<PointResult>,
    /// Whether all points as found are within tolerance; nothing where there are none. Then what
    /// the instrument showed before the check is not known.
    pub found_ok: Option<bool>,
    /// Whether all points as left are within tolerance; on a scale of which none are marked so,
    /// nothing was adjusted and its points as found stand. Nothing without points.
    pub left_ok: Option<bool>,
    /// What a calibration lacks of the points that 10 CFR 34.25(b)(2) asks for, one line each.
    pub gaps: Vec<String>,
    /// By how much to multiply, one a scale: estimates.
    pub corrections: Vec<Correction>,
    /// The point as found at which the instrument read lowest against the truth.
    pub worst_found: Option<Ratio>,
    /// Why it did not come out right, one line each.
    pub reasons: Vec<String>,
}

impl Assessment {
    /// Whether it can stand as a calibration: right as left, and with the points that the rule
    /// asks for.
    pub fn is_good(&self) -> bool {
        self.left_ok == Some(true) && self.gaps.is_empty()
    }
}

/// Judges the points of one check.
pub fn assess(question: &Question) -> Assessment {
    let points: Vec<PointResult> = question
        .points
        .iter()
        .map(|it| judge(question, it))
        .collect();
    let mut reasons = Vec::new();
    if points.is_empty() {
        reasons.push("no points are recorded, so nothing can be assessed".to_owned());
    }
    if question.kind == InstrumentType::Ratemeter && question.preset.is_none() {
        reasons.push("the rate at which the ratemeter is to sound is not recorded".to_owned());
    }
    reasons.extend(points.iter().filter_map(|it| reason(question, it)));
    let found: Vec<PointResult> = points.iter().filter(|it| !it.as_left).copied().collect();
    let left = as_left(&points);
    let all = |set: &[PointResult]| (!set.is_empty()).then(|| set.iter().all(|it| it.within));
    let (found_ok, left_ok) = (all(&found), all(&left));
    let needs_points =
        question.kind == InstrumentType::Meter && question.task == CheckType::Calibration;
    Assessment {
        found_ok,
        left_ok,
        gaps: if needs_points {
            coverage::gaps(question, &left)
        } else {
            Vec::new()
        },
        corrections: corrections(&left),
        worst_found: worst(found.iter()),
        reasons,
        points,
    }
}

/// How the instrument was left: on each scale the points as left, and where none of a scale is
/// marked so, nothing was adjusted there and its points as found stand. So a scale that was found
/// wrong and not checked again stays wrong.
fn as_left(points: &[PointResult]) -> Vec<PointResult> {
    let again = |scale| points.iter().any(|it| it.as_left && it.scale == scale);
    let stands = |it: &&PointResult| it.as_left || !again(it.scale);
    points.iter().filter(stands).copied().collect()
}

fn judge(question: &Question, point: &Point) -> PointResult {
    // What is compared with what: a reading with the truth, or the truth at which a ratemeter
    // sounded with its preset.
    let (shown, wanted) = if question.kind == InstrumentType::Ratemeter {
        (Some(point.true_value), question.preset)
    } else {
        (point.reading, Some(point.true_value))
    };
    let (error_permille, within) = match (shown, wanted) {
        (Some(shown), Some(wanted)) if wanted > 0 => {
            let off = i128::from(shown) - i128::from(wanted);
            let wanted = i128::from(wanted);
            let within = off.abs() * 1000 <= i128::from(question.permille) * wanted;
            let away = (off.abs() * 1000 + wanted - 1) / wanted * off.signum();
            (i64::try_from(away).ok(), within)
        }
        _ => (None, false),
    };
    PointResult {
        as_left: point.as_left,
        scale: point.scale,
        true_value: point.true_value,
        reading: point.reading,
        error_permille,
        within,
    }
}

/// Why a point is not good, in one line.
fn reason(question: &Question, point: &PointResult) -> Option<String> {
    if point.within {
        return None;
    }
    let how = if point.as_left { "as left" } else { "as found" };
    let show = |count| question.unit.show(count);
    let tolerance = percent(question.permille);
    if question.kind == InstrumentType::Ratemeter {
        let preset = question.preset?;
        let off = point.error_permille.map(percent)?;
        return Some(format!(
            "{how}: sounded at {}, {off} % off its preset of {} (within {tolerance} % is right)",
            show(point.true_value),
            show(preset)
        ));
    }
    Some(match (point.reading, point.error_permille) {
        (None, _) => format!("{how}: no reading at {}", show(point.true_value)),
        (Some(reading), Some(off)) => format!(
            "{how}: showed {} at {}, {} % off (within {tolerance} % is right)",
            show(reading),
            show(point.true_value),
            percent(off)
        ),
        (Some(reading), None) => format!(
            "{how}: showed {} at {}, which is no value to compare with",
            show(reading),
            show(point.true_value)
        ),
    })
}

/// Parts of a thousand as percent: `-25`, `20.1`.
fn percent(permille: i64) -> String {
    let sign = if permille < 0 { "-" } else { "" };
    let size = permille.unsigned_abs();
    match size % 10 {
        0 => format!("{sign}{}", size / 10),
        tenth => format!("{sign}{}.{tenth}", size / 10),
    }
}

fn corrections(points: &[PointResult]) -> Vec<Correction> {
    let mut scales: Vec<Option<i64>> = points.iter().map(|it| it.scale).collect();
    scales.sort_unstable();
    scales.dedup();
    let of_scale = |scale| {
        let parts: Vec<i128> = points
            .iter()
            .filter(|it| it.scale == scale && it.true_value > 0)
            .filter_map(|it| {
                let reading = i128::from(it.reading.filter(|shown| *shown > 0)?);
                // In parts of a thousand million, up: what is rounded away is rounded upwards.
                Some((i128::from(it.true_value) * 1_000_000_000 + reading - 1) / reading)
            })
            .collect();
        let count = i128::try_from(parts.len())
            .ok()
            .filter(|count| *count > 0)?;
        let mean = parts.iter().sum::<i128>();
        let whole = count * 1_000_000;
        Some(Correction {
            scale,
            permille: i64::try_from((mean + whole - 1) / whole).ok()?,
            points: parts.len(),
        })
    };
    scales.into_iter().filter_map(of_scale).collect()
}

/// The point that reads lowest against the truth.
fn worst<'p>(points: impl Iterator<Item = &'p PointResult>) -> Option<Ratio> {
    let ratios = points.filter_map(|it| {
        (it.true_value > 0).then_some(Ratio {
            true_value: it.true_value,
            reading: it.reading?,
        })
    });
    ratios.reduce(|worst, next| {
        if next.reads_lower_than(worst) {
            next
        } else {
            worst
        }
    })
}

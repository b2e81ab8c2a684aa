//! An estimate with the other constants in use, and the commands by which the RSO would record it.

use serde::Serialize;

use super::reconstruct_asked::{EstimateView, ReconstructAsked};
use super::strength::{Strength, Way, rounded};
use crate::answer::context::error::AnswerError;
use crate::calendar::Day;
use crate::dose::reconstruct::{Estimate, Reconstruction, reconstruct};
use crate::quantity::DoseUnit;
use crate::source::Constant;
use crate::source::constant::constants_of;

/// The estimate with another constant.
#[derive(Debug, Clone, Serialize)]
pub struct WithConstant {
    /// Its name.
    pub key: String,
    /// Its figures, what it is a rate of, and where it comes from.
    pub constant: String,
    /// Each part with its low and high figure.
    pub parts: Vec<(String, EstimateView)>,
}

/// They as people read them.
pub(crate) fn views(others: &[(Constant, Reconstruction)], unit: DoseUnit) -> Vec<WithConstant> {
    let all = others.iter().map(|(constant, it)| WithConstant {
        key: constant.key.to_owned(),
        constant: format!("{}; {}", constant.words(unit.is_si()), constant.source),
        parts: parts_of(it)
            .into_iter()
            .map(|(part, it)| (part.to_owned(), EstimateView::new(it, unit)))
            .collect(),
    });
    all.collect()
}

/// The same positions with each other constant in use for the nuclide.
pub(crate) fn with_others(
    strength: &Strength,
    asked: &ReconstructAsked,
) -> Result<Vec<(Constant, Reconstruction)>, AnswerError> {
    let nuclide = strength.source.nuclide;
    let others = constants_of(nuclide)
        .iter()
        .filter(|it| it.key != strength.constant.key);
    others
        .map(|it| {
            let found = reconstruct(nuclide, it, strength.activity, &asked.positions)?;
            Ok((*it, found))
        })
        .collect()
}

/// The parts of the body that an estimate is about.
fn parts_of(it: &Reconstruction) -> Vec<(&'static str, Estimate)> {
    let all = [
        ("whole body", it.whole_body),
        ("head", it.head),
        ("hand", it.hand),
        ("foot", it.foot),
    ];
    let parts = all.into_iter();
    parts.filter_map(|(part, it)| Some((part, it?))).collect()
}

/// How the RSO would record it. The high figure stands as the dose of record: in doubt the
/// higher; the range is that of every constant in use.
pub(crate) fn determinations(
    (worker, by): (&str, &str),
    day: Day,
    found: &Reconstruction,
    others: &[(Constant, Reconstruction)],
    unit: DoseUnit,
) -> Vec<String> {
    type Part = fn(&Reconstruction) -> Option<Estimate>;
    let parts: [(&str, Part); 3] = [
        ("deep", |it| it.whole_body),
        ("lens", |it| it.head),
        ("extremity", Reconstruction::extremity),
    ];
    let command = |(quantity, part): (&str, Part)| {
        let own = part(found)?;
        let all = others.iter().filter_map(|(_, it)| part(it));
        let range = all.fold(own, Estimate::spanning);
        let dose = rounded(own.high, Way::Up, unit);
        let low = rounded(range.low, Way::Down, unit);
        let high = rounded(range.high, Way::Up, unit);
        Some(format!(
            "wearbook determination enter --worker {worker} --first-day {day} --last-day {day} \
             --quantity {quantity} --dose \"{dose}\" --low \"{low}\" --high \"{high}\" --relation \
             RELATION --method \"time and distance\" --basis WHY --on DATE {by}"
        ))
    };
    parts.into_iter().filter_map(command).collect()
}

//! Readings against badge results.

use serde::Serialize;

use super::load::{AnswerError, House};
use super::view::DoseFigure;
use crate::calendar::{Day, Span};
use crate::dose::input::Reported;
use crate::dose::reconcile::{Agreement, Comparison, compare};
use crate::ledger::Snapshot;
use crate::quantity::{Dose, DoseUnit};
use crate::record::RecordId;

/// One wear period.
#[derive(Debug, Clone, Serialize)]
pub struct ReconcileLine {
    /// The worker's id.
    pub worker: String,
    /// The badge.
    pub badge: String,
    /// First day of wear.
    pub first: Day,
    /// Last day of wear.
    pub last: Day,
    /// How many shifts the badge was worn on.
    pub shifts: usize,
    /// Shifts of the period on which it was not worn.
    pub not_worn: u32,
    /// The sum of the readings of those shifts.
    pub readings: DoseFigure,
    /// The result as reported.
    pub result: String,
    /// Its entry.
    pub result_entry: Option<i64>,
    /// Readings as a percentage of the result.
    pub ratio: String,
    /// Whether they agree, in words.
    pub agreement: String,
    /// Whether they are beyond the band.
    pub beyond: bool,
    /// What the usual explanations are.
    pub explanations: Vec<String>,
}

/// One person's span together.
#[derive(Debug, Clone, Serialize)]
pub struct ReconcileTotal {
    /// The worker's id.
    pub worker: String,
    /// Readings of the compared periods.
    pub readings: DoseFigure,
    /// Results of the same periods.
    pub results: DoseFigure,
    /// Readings as a percentage of the results.
    pub ratio: String,
    /// Periods with readings below, above and within the band.
    pub below: usize,
    /// Periods with readings above the band.
    pub above: usize,
    /// Periods within the band.
    pub within: usize,
}

/// Readings against badge results.
#[derive(Debug, Clone, Serialize)]
pub struct ReconcileAnswer {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The unit of figures for people.
    pub unit: String,
    /// The wear periods that ended in the span.
    pub lines: Vec<ReconcileLine>,
    /// Each person's span together.
    pub totals: Vec<ReconcileTotal>,
    /// The band, with its source.
    pub band: String,
    /// The scheme's caution.
    pub confirm: String,
}

/// Compares the readings and results of wear periods that ended in a span.
pub fn reconcile(
    snapshot: &Snapshot<'_>,
    house: &House,
    worker: Option<RecordId>,
    span: Span,
) -> Result<ReconcileAnswer, AnswerError> {
    let scheme = house.scheme_on(span.last)?;
    let unit = house.unit();
    // A period that ended in the span may have begun before it.
    let before = span
        .first
        .checked_sub_days(chrono::Days::new(120))
        .unwrap_or(span.first);
    let wide = Span {
        first: before,
        last: span.last,
    };
    let histories = match worker {
        Some(worker) => [(worker, house.history(snapshot, worker, wide)?)].into(),
        None => house.histories(snapshot, wide)?,
    };
    let mut lines = Vec::new();
    let mut totals = Vec::new();
    for facts in house.workers() {
        let Some(history) = histories.get(&facts.record) else {
            continue;
        };
        let found = compare(history, scheme, span)?;
        totals.extend(total(&facts.id, &found, unit)?);
        lines.extend(found.into_iter().map(|it| line(&facts.id, it, unit)));
    }
    let band = ["reconcile-relative", "reconcile-minimum"]
        .iter()
        .filter_map(|key| scheme.tolerance(key))
        .map(|it| format!("{} ({})", it.meaning, it.cited()))
        .collect::<Vec<_>>()
        .join(" ");
    Ok(ReconcileAnswer {
        first: span.first,
        last: span.last,
        unit: unit.symbol().to_owned(),
        lines,
        totals,
        band,
        confirm: scheme.confirm.clone(),
    })
}

fn percent(permille: i64) -> String {
    format!("{}.{} %", permille / 10, (permille % 10).abs())
}

fn line(worker: &str, it: Comparison, unit: DoseUnit) -> ReconcileLine {
    let result = match &it.result {
        None => "-".to_owned(),
        Some(Reported::Dose(dose)) => dose.display(unit),
        Some(Reported::BelowMinimum { code, minimum }) => {
            format!("{code} (below {})", minimum.display(unit))
        }
    };
    ReconcileLine {
        worker: worker.to_owned(),
        badge: it.badge,
        first: it.days.first,
        last: it.days.last,
        shifts: it.shifts.len(),
        not_worn: it.not_worn,
        readings: DoseFigure::new(it.readings, unit),
        result,
        result_entry: it.result_entry,
        ratio: it.ratio_permille.map_or("-".to_owned(), percent),
        agreement: it.agreement.words().to_owned(),
        beyond: it.agreement.is_beyond(),
        explanations: it
            .agreement
            .usual_explanations()
            .iter()
            .map(|it| (*it).to_owned())
            .collect(),
    }
}

/// Nothing where no period could be compared.
fn total(
    worker: &str,
    found: &[Comparison],
    unit: DoseUnit,
) -> Result<Option<ReconcileTotal>, AnswerError> {
    let compared: Vec<_> = found
        .iter()
        .filter_map(|it| match (&it.result, it.agreement) {
            (_, Agreement::ReadingsIncomplete | Agreement::NotComparable | Agreement::NoResult) => {
                None
            }
            (Some(Reported::Dose(dose)), _) => Some((it, *dose)),
            _ => None,
        })
        .collect();
    if compared.is_empty() {
        return Ok(None);
    }
    let readings = Dose::sum(compared.iter().map(|(it, _)| it.readings))?;
    let results = Dose::sum(compared.iter().map(|(_, dose)| *dose))?;
    let count = |agreement| {
        compared
            .iter()
            .filter(|(it, _)| it.agreement == agreement)
            .count()
    };
    let ratio = match results.nsv() {
        0 => "-".to_owned(),
        of => percent(
            i64::try_from(i128::from(readings.nsv()) * 1000 / i128::from(of)).unwrap_or(i64::MAX),
        ),
    };
    Ok(Some(ReconcileTotal {
        worker: worker.to_owned(),
        readings: DoseFigure::new(readings, unit),
        results: DoseFigure::new(results, unit),
        ratio,
        below: count(Agreement::ReadingsLower),
        above: count(Agreement::ReadingsHigher),
        within: count(Agreement::Within),
    }))
}

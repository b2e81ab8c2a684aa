//! A worker's year as a chart.

use super::chart::ChartError;
use super::chart::worker_year::{Level, Sort, Standing, Step, WorkerYear};
use crate::answer::YearAnswer;
use crate::calendar::Span;
use crate::quantity::{Dose, DoseUnit};

/// The chart as SVG.
pub fn year_chart(
    answer: &YearAnswer,
    unit: DoseUnit,
    scripted: bool,
) -> Result<String, ChartError> {
    let dose = &answer.dose;
    let steps = answer
        .steps
        .iter()
        .map(|step| Step {
            day: step.day,
            total: Dose::from_nsv(step.total_nsv),
            standing: if step.of_record {
                Standing::OfRecord
            } else {
                Standing::Provisional
            },
            undetermined: step.undetermined,
        })
        .collect();
    let levels = dose
        .levels
        .iter()
        .filter(|level| level.quantity == "deep")
        .map(|level| Level {
            label: format!("{}, {}", level.sort, level.over),
            dose: Dose::from_nsv(level.limit.nsv - level.cut.nsv),
            sort: match level.sort.as_str() {
                "administrative" => Sort::Administrative,
                "investigation" => Sort::Investigation,
                "shift" => Sort::Shift,
                _ => Sort::Limit,
            },
            used: Some(Dose::from_nsv(level.safe_side_nsv)),
            other_span: (level.first, level.last) != (dose.first, dose.last),
        })
        .collect();
    let mut notes = vec![
        "The curve is what the records say; the bars use the safe-side figure, each over the \
         level's own window up to today."
            .to_owned(),
    ];
    let cut = dose
        .levels
        .iter()
        .any(|level| level.quantity == "deep" && level.cut.nsv > 0);
    if cut {
        notes.push("Levels are drawn less what quarters without records take off.".to_owned());
    }
    if scripted {
        notes
            .push("The clock of this ledger is scripted: a demonstration, not records.".to_owned());
    }
    WorkerYear {
        title: format!(
            "{} {}, deep dose {} to {}",
            dose.worker, dose.name, dose.first, dose.last
        ),
        quantity: "deep dose".to_owned(),
        span: Span {
            first: dose.first,
            last: dose.last,
        },
        unit,
        steps,
        levels,
        today: answer.today,
        notes,
        caution: dose.confirm.clone(),
    }
    .svg()
}

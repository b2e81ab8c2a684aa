//! A worker's year as a chart.

use super::forecast::{change_words, days};
use crate::answer::{AheadAnswer, LevelLine, YearAnswer, YearStep};
use crate::calendar::Span;
use crate::quantity::{Dose, DoseUnit};
use crate::rule::Quantity;
use crate::show::chart::ChartError;
use crate::show::chart::worker_year::{FanPoint, Level, Standing, Step, Type, WorkerYear};

/// What every chart of a ledger with a scripted clock says.
pub(crate) const SCRIPTED: &str =
    "The clock of this ledger is scripted: a demonstration, not records.";

/// The chart as SVG.
pub fn year_chart(
    answer: &YearAnswer,
    unit: DoseUnit,
    scripted: bool,
) -> Result<String, ChartError> {
    let dose = &answer.dose;
    let steps = steps(&answer.steps);
    let deep = || dose.levels.iter().filter(|it| it.quantity == "deep");
    let levels = deep()
        .map(|it| Level {
            label: format!("{}, {}", it.kind, it.over),
            dose: Dose::from_nsv(it.limit.nsv.saturating_sub(it.cut.nsv)),
            kind: type_of(it),
            used: Some(Dose::from_nsv(it.conservative_nsv)),
            at_least: !it.sure,
            other_span: (it.first, it.last) != (dose.first, dose.last),
        })
        .collect();
    let mut notes = vec![
        "The curve is what the records say; the bars use the conservative total, each over the \
         level's own window up to today."
            .to_owned(),
    ];
    if deep().any(|it| it.cut.nsv > 0) {
        notes.push("Levels are drawn less what quarters without records take off.".to_owned());
    }
    notes.extend(answer.ahead.iter().map(ahead_note));
    if scripted {
        notes.push(SCRIPTED.to_owned());
    }
    let deep_dose = dose.terms.dose(Quantity::Deep);
    WorkerYear {
        title: format!(
            "{} {}, {} {} to {}",
            dose.worker, dose.name, deep_dose, dose.first, dose.last
        ),
        quantity: deep_dose.to_owned(),
        span: Span {
            first: dose.first,
            last: dose.last,
        },
        unit,
        steps,
        levels,
        today: answer.today,
        fan: answer.ahead.as_ref().map(fan).unwrap_or_default(),
        notes,
        caution: dose.confirm.clone(),
    }
    .svg()
}

/// A mark stands at the total: from the first provisional step on no total is of record, however
/// well the step that leads to it is known.
fn steps(all: &[YearStep]) -> Vec<Step> {
    let mut standing = Standing::OfRecord;
    let mut steps = Vec::new();
    for step in all {
        if !step.of_record {
            standing = Standing::Provisional;
        }
        steps.push(Step {
            day: step.day,
            total: Dose::from_nsv(step.total_nsv),
            standing,
            undetermined: step.undetermined,
        });
    }
    steps
}

/// The line that stands for a level.
pub(crate) fn type_of(level: &LevelLine) -> Type {
    match level.kind.as_str() {
        "administrative" => Type::Administrative,
        "investigation" => Type::Investigation,
        "shift" => Type::Shift,
        _ => Type::Limit,
    }
}

fn fan(ahead: &AheadAnswer) -> Vec<FanPoint> {
    let point = |it: &crate::answer::FanPoint| FanPoint {
        day: it.day,
        low: Dose::from_nsv(it.low_nsv),
        median: Dose::from_nsv(it.median_nsv),
        high: Dose::from_nsv(it.high_nsv),
    };
    ahead.fan.iter().map(point).collect()
}

/// The forecast in a line: what it gives, or why there is none.
fn ahead_note(ahead: &AheadAnswer) -> String {
    let forecast = &ahead.forecast;
    if let Some(why) = &forecast.withheld {
        return format!("No forecast: {why}.");
    }
    let mut parts = Vec::new();
    if let Some(it) = &forecast.change {
        parts.push(change_words(it));
    }
    for it in &forecast.ends {
        let [low, middle, high] = &it.band;
        parts.push(format!(
            "as in the {} from {}, {} to {} in 90 of 100 (middle {})",
            days(it.days),
            it.like.first,
            low.shown,
            high.shown,
            middle.shown
        ));
    }
    parts.extend(forecast.too_few.clone());
    for (name, figure) in [
        ("plain rate", &forecast.at_plain_rate),
        ("worst quarter's rate", &forecast.at_worst_quarter),
    ] {
        parts.extend(figure.iter().map(|it| format!("{name} {}", it.shown)));
    }
    parts.extend(forecast.assumes.first().cloned());
    format!(
        "Forecast for {} from the conservative total {}: {}; {}.",
        forecast.until,
        forecast.so_far.shown,
        parts.join("; "),
        forecast.caution
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The total of a step is of record only where every step up to it is.
    #[test]
    fn no_mark_of_record_stands_at_a_total_with_a_provisional_dose_in_it() {
        for (known, wanted) in [
            ("", ""),
            ("rrr", "rrr"),
            ("rrp", "rrp"),
            ("rpr", "rpp"),
            ("prr", "ppp"),
        ] {
            let day = crate::calendar::parse_day("2026-03-01").unwrap();
            let all: Vec<YearStep> = known
                .chars()
                .map(|it| YearStep {
                    day,
                    total_nsv: 1,
                    of_record: it == 'r',
                    undetermined: false,
                })
                .collect();
            let drawn = steps(&all).into_iter().map(|it| match it.standing {
                Standing::OfRecord => 'r',
                Standing::Provisional => 'p',
            });
            assert_eq!(drawn.collect::<String>(), wanted, "{known}");
        }
    }
}

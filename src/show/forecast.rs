//! Where a worker's year is heading.

use super::report::{Report, Table};
use crate::answer::ForecastAnswer;
use crate::rule::Quantity;

/// A forecast with what it assumes.
pub fn forecast_report(answer: &ForecastAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} {}: forecast from {} to {} (an estimate)",
        answer.worker, answer.name, answer.on, answer.until
    ));
    report.line(format!(
        "safe-side {} so far: {}",
        answer.terms.dose(Quantity::Deep),
        answer.so_far.shown
    ));
    if let Some(why) = &answer.withheld {
        report.line(format!("no forecast: {why}"));
        report.caution(answer.confirm.clone());
        return report;
    }
    if let Some(dose) = &answer.at_plain_rate {
        report.line(format!(
            "at the year's rate so far: {} at the end",
            dose.shown
        ));
    }
    if let Some(dose) = &answer.at_worst_quarter {
        report.line(format!(
            "at the rate of the worst quarter of twelve months: {}",
            dose.shown
        ));
    }
    if let Some([low, median, high]) = &answer.band {
        report.line(format!(
            "by chance of {} shifts like the last {}: {} in the middle, {} to {} in 90 of 100",
            answer.shifts_to_come, answer.recent_shifts, median.shown, low.shown, high.shown
        ));
    }
    if let Some(why) = &answer.too_few {
        report.line(why.clone());
    }
    report.gap();
    let mut table = Table::new(&[
        "level",
        ">of",
        ">chance",
        "passed early / middle / late",
        "at the rate",
        "worst quarter",
    ]);
    let day = |day: Option<crate::calendar::Day>| day.map_or("-".to_owned(), |it| it.to_string());
    for line in &answer.levels {
        let chance = if line.passed {
            "passed".to_owned()
        } else {
            line.chance.clone()
        };
        table.row([
            match line.until == answer.until {
                true => line.level.clone(),
                false => format!("{}\nto {}", line.level, line.until),
            },
            line.dose.shown.clone(),
            chance,
            line.dates
                .iter()
                .map(|it| day(*it))
                .collect::<Vec<_>>()
                .join("\n"),
            day(line.at_plain_rate),
            day(line.at_worst_quarter),
        ]);
    }
    report.table(table.in_unit(&answer.unit));
    report.gap();
    for line in &answer.assumes {
        report.under(line.clone());
    }
    report.caution(answer.caution.clone());
    report.caution(answer.confirm.clone());
    report
}

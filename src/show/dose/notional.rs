//! A notional dose.

use crate::answer::NotionalAnswer;
use crate::show::report::{Report, Table};

/// The limit's share of some days, a quantity.
pub fn notional_report(answer: &NotionalAnswer) -> Report {
    let mut report = Report::new(format!(
        "Notional dose of {} {}, {} to {}: {}",
        answer.worker,
        answer.name,
        answer.first,
        answer.last,
        crate::text::counted(answer.days, "day", "days")
    ));
    report.gap();
    let mut table = Table::new(&["dose", ">a year", ">notional", "how", "limit"]);
    for line in &answer.lines {
        table.row([
            answer.terms.short_of(&line.quantity).to_owned(),
            line.limit.shown.clone(),
            line.dose.shown.clone(),
            line.formula.clone(),
            line.citation.clone(),
        ]);
    }
    report.table(table.in_unit(&answer.unit));
    report.gap();
    report.line(format!("The share of the limit: {}.", answer.citation));
    report.line(format!("To record one: {}", answer.command));
    report.caution(answer.caution.clone());
    report.caution(answer.confirm.clone());
    report
}

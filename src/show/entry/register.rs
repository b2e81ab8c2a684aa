//! The registers as reports.

use crate::answer::RegisterAnswer;
use crate::show::report::{Report, Table};

/// A register as a table.
pub fn register_report(answer: &RegisterAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} of the register `{}`",
        answer.rows.len(),
        answer.noun
    ));
    let headings: Vec<&str> = answer.columns.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings);
    table.rows = answer.rows.clone();
    report.gap();
    report.table(table);
    if let Some(note) = &answer.note {
        report.caution(note.clone());
    }
    report
}

//! The lists that an inspector asks for.

use crate::answer::{ListLine, ListsAnswer};
use crate::show::dose::nobody::nobodys_lines;
use crate::show::report::{Report, Table};

/// The lists, one after the other.
pub fn lists_report(answer: &ListsAnswer) -> Report {
    let mut report = Report::new(format!(
        "Lists of {} to {}; limits on {}",
        answer.first, answer.last, answer.on
    ));
    let parts = [
        (
            format!("Above {} % of a limit", answer.percent),
            &answer.above,
        ),
        ("Current estimates".to_owned(), &answer.estimates),
        (
            "No result for a period that is over".to_owned(),
            &answer.no_result,
        ),
        ("Without an upper bound".to_owned(), &answer.undetermined),
    ];
    for (heading, lines) in parts {
        report.gap();
        report.line(format!("{heading}: {}", lines.len()));
        report.table(table(lines));
    }
    nobodys_lines(&mut report, &answer.nobodys);
    report.caution("Limits use the conservative total, which is never below the total.");
    report.caution(answer.confirm.clone());
    report
}

fn table(lines: &[ListLine]) -> Table {
    let mut table = Table::new(&["id", "name", "what", ">entry"]);
    for line in lines {
        table.row([
            line.worker.clone(),
            line.name.clone(),
            line.what.clone(),
            line.entry
                .map(|entry| entry.to_string())
                .unwrap_or_default(),
        ]);
    }
    table
}

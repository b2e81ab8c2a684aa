//! The year of the programme.

use super::report::{Report, Table};
use crate::answer::YearReview;

/// The year, as text and as a page.
pub fn year_review_report(it: &YearReview, pictures: &[String]) -> Report {
    let so_far = if it.partial {
        ", PARTIAL: not over"
    } else {
        ""
    };
    let mut report = Report::new(format!("Review of the year {}{so_far}", it.year));
    report.line(format!(
        "{}, licence {}; {} to {}",
        it.licensee, it.licence, it.first, it.last
    ));
    report.section("Collective dose");
    report.line(format!(
        "{} this year, {} in the same days of the year before: {}",
        it.collective, it.collective_before, it.change
    ));
    let mut table = Table::new(&[
        "month",
        ">of record",
        ">provisional",
        ">together",
        ">a year before",
    ]);
    for month in &it.months {
        let account = &month.account;
        let least = match month.at_least && !account.at_least {
            true => "at least ",
            false => "",
        };
        table.row([
            month.month.clone(),
            account.of_record.shown.clone(),
            account.provisional.shown.clone(),
            format!("{least}{}", account.short),
            month.before.clone(),
        ]);
    }
    report.table(table.in_unit(&it.unit));
    for svg in pictures {
        report.picture(svg.clone());
    }
    report.section("How the doses are distributed");
    let mut table = Table::new(&["deep dose of the year", ">people", ">a year before"]);
    for band in &it.bands {
        table.row([
            band.band.clone(),
            band.people.to_string(),
            band.before.to_string(),
        ]);
    }
    report.table(table);
    report.line("The bands are those of U.S. NRC, NUREG-0713, unverified.");
    reports(&mut report, it);
    retention(&mut report, it);
    report.caution("Ledgers are never cut; this says what of the paper behind them may go.");
    report.caution(it.confirm.clone());
    report
}

fn reports(report: &mut Report, it: &YearReview) {
    report.section("Who gets which report");
    match it.report_by {
        Some(day) => report.line(format!(
            "To the authority by {day}, for each of the {} people monitored (10 CFR 20.2206): \
             wearbook dose statement --all --year {} --out DIR",
            it.statements.len(),
            it.year
        )),
        None => report.line("Whether the authority wants an annual report: ask it."),
    }
    let mut table = Table::new(&["person", ">DDE", "standing", "to be given to the person"]);
    for statement in &it.statements {
        let deep = statement.items.iter().find(|it| it.code == "DDE");
        table.row([
            format!("{} {}", statement.worker, statement.name),
            deep.map(|it| it.shown.clone()).unwrap_or_default(),
            if statement.estimate {
                "ESTIMATE"
            } else {
                "record"
            }
            .to_owned(),
            statement.to_be_given(),
        ]);
    }
    report.table(table);
}

fn retention(report: &mut Report, it: &YearReview) {
    report.section("How long records are kept");
    if it.retention.is_empty() {
        report.line("This program has no rows for this scheme: ask your authority.");
    }
    let mut table = Table::new(&[
        "rule",
        "record",
        ">in the ledger",
        "keep",
        "may be put away",
    ]);
    for row in &it.retention {
        let note = match row.note.is_empty() {
            true => String::new(),
            false => format!(" ({})", row.note),
        };
        table.row([
            row.citation.clone(),
            row.what.clone(),
            row.count
                .map_or_else(|| "-".to_owned(), |it| it.to_string()),
            format!("{}{note}", row.keep),
            row.may_go.clone(),
        ]);
    }
    report.table(table);
}

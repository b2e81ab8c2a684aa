//! The year of the programme.

use super::statement::standing;
use crate::answer::{AnnualReportView, AnnualState, TotalView, YearReview};
use crate::rule::Quantity;
use crate::show::dose::account::{opening_note, under};
use crate::show::report::{Report, Table};

/// The year, as text and as a page.
pub fn year_review_report(it: &YearReview, pictures: &[String]) -> Report {
    let so_far = if it.partial {
        ", PARTIAL: not over"
    } else {
        ""
    };
    let mut report = Report::new(format!("Review of the year {}{so_far}", it.year));
    report.line(format!(
        "{}, license {}; {} to {}",
        it.licensee, it.license, it.first, it.last
    ));
    for words in &it.history {
        report.line(words.clone());
    }
    collective(&mut report, it);
    if let Some(note) = opening_note(it.opening) {
        report.line(note);
    }
    for svg in pictures {
        report.picture(svg.clone());
    }
    report.section("How the doses are distributed");
    let what = format!("{} of the year", it.terms.dose(Quantity::Deep));
    let mut table = Table::new(&[&what, ">people", ">a year before"]);
    for band in &it.bands {
        table.row([
            band.band.clone(),
            match band.at_least {
                0 => band.people.to_string(),
                open => format!("{} ({open} at least)", band.people),
            },
            band.before.to_string(),
        ]);
    }
    report.table(table);
    report.line(match &it.bands_rule {
        Some(rule) => format!("The bands are those of {rule}."),
        None => "The rules here name no bands of dose.".to_owned(),
    });
    reports(&mut report, it);
    retention(&mut report, it);
    report.caution("Ledgers are never cut; this says what of the paper behind them may go.");
    report.caution(it.confirm.clone());
    report
}

const NO_RECORD: &str = "no record";

/// Of record, provisional, earlier with this licensee, apportioned, together.
fn figures(total: &TotalView, no_record: bool, least: &str) -> [String; 5] {
    if no_record {
        let none = || "-".to_owned();
        return [none(), none(), none(), none(), NO_RECORD.to_owned()];
    }
    [
        total.of_record.shown.clone(),
        total.provisional.shown.clone(),
        total.prior.shown.clone(),
        total.apportioned.shown.clone(),
        format!("{least}{}", total.short),
    ]
}

fn row(table: &mut Table, what: &str, figures: [String; 5], before: Option<&String>) {
    let mut cells = vec![what.to_owned()];
    cells.extend(figures);
    cells.push(before.map_or(NO_RECORD, String::as_str).to_owned());
    table.rows.push(cells);
}

fn collective(report: &mut Report, it: &YearReview) {
    report.section("Collective dose");
    let this = match it.no_record {
        true => NO_RECORD,
        false => it.collective.shown.as_str(),
    };
    let before = it.collective_before.as_deref().unwrap_or(NO_RECORD);
    let change = it.change.as_ref().map(|it| format!(": {it}"));
    report.line(format!(
        "{this} this year, {before} in the same days of the year before{}",
        change.unwrap_or_default()
    ));
    report.line("It is dose with this licensee: the statements of the year add up to it.");
    if let Some(special) = &it.beside.special {
        report.line(format!(
            "Not in it, planned special exposures, which count apart: {special}"
        ));
    }
    if let Some(elsewhere) = &it.beside.elsewhere {
        report.line(format!(
            "Not in it, dose of the same people with other employers: {elsewhere}"
        ));
    }
    let mut table = Table::new(&[
        "month",
        ">of record",
        ">provisional",
        ">earlier\nhere",
        ">apportioned",
        ">together",
        ">a year\nbefore",
    ]);
    for month in &it.months {
        let least = match month.at_least && !month.account.at_least {
            true => "at least ",
            false => "",
        };
        let figures = figures(&month.account, month.no_record, least);
        row(&mut table, &month.month, figures, month.before.as_ref());
    }
    let all = figures(&it.collective, it.no_record, "");
    row(&mut table, "all", all, it.collective_before.as_ref());
    report.table(table.in_unit(&it.unit));
    report.line(
        "What a month cuts is apportioned in the months, and in all of the year what it is there.",
    );
}

fn reports(report: &mut Report, it: &YearReview) {
    report.section("Who gets which report");
    match (&it.annual, &it.report_rule) {
        (Some(annual), _) => {
            report.line(format!(
                "To the authority by {}, for {} monitored{}: wearbook dose \
                 statement --all --year {} --out DIR",
                annual.due,
                crate::text::counted(it.statements.len(), "person", "people"),
                under(Some(&annual.rule)),
                it.year
            ));
            to_authority(report, it, annual);
        }
        (None, Some(rule)) => report.line(format!(
            "To the authority, by the day that {rule} names. The rules in force here do not have \
             that date; rules that do: wearbook rules adopt NAME --from DATE"
        )),
        (None, None) => report.line("Whether the authority wants an annual report: ask it."),
    }
    for sent in &it.sent {
        report.under(sent.words());
    }
    let deep = it.statements.first().and_then(|it| it.deep());
    let deep = format!(">{}", deep.map_or("dose", |it| it.code.as_str()));
    let mut table = Table::new(&[
        "person",
        &deep,
        "standing",
        "to be given to the person",
        "given",
    ]);
    for (statement, given) in it.statements.iter().zip(&it.given) {
        table.row([
            format!("{} {}", statement.worker, statement.name),
            statement
                .deep()
                .map(|it| it.shown.clone())
                .unwrap_or_default(),
            standing(statement.standing()).to_owned(),
            statement.to_be_given(),
            given.words(),
        ]);
    }
    report.table(table);
    report.line(format!(
        "Once a person has it, or `all` have: wearbook review sent {} --worker ID --performed-by \
        NAME \
         --on DATE",
        it.year
    ));
}

/// How the report to the authority stands.
fn to_authority(report: &mut Report, it: &YearReview, annual: &AnnualReportView) {
    match annual.state {
        AnnualState::Sent => {
            for sent in &annual.sent {
                report.under(format!("{} (entry {})", sent.words(), sent.entry));
            }
        }
        AnnualState::NotOver => report.under(annual.words()),
        AnnualState::Due | AnnualState::Overdue => {
            report.under(format!(
                "{}; once sent: {}",
                annual.words(),
                annual.command()
            ));
        }
    }
    let estimates = it.statements.iter().filter(|it| it.estimate).count();
    if estimates > 0 {
        report.under(format!(
            "{} so far, of {}",
            crate::text::counted(estimates, "estimate", "estimates"),
            crate::text::counted(it.statements.len(), "dose record", "dose records")
        ));
    }
}

fn retention(report: &mut Report, it: &YearReview) {
    report.section("How long records are kept");
    if it.retention.is_empty() {
        report.line("The rules in force here do not say: ask your authority.");
        if it.retention_came_later {
            report.line(
                "They were adopted before this program knew it; newer ones say: wearbook rules \
                 adopt NAME --from DATE",
            );
        }
        return;
    }
    let mut table = Table::new(&[
        "rule",
        "record",
        "keep",
        ">in the\nledger",
        ">may go",
        "stays",
    ]);
    for row in &it.retention {
        let count = |it: u64| row.count.map_or_else(|| "-".to_owned(), |_| it.to_string());
        let stays = [
            // Where none may go before the license ends, none is too young for it.
            (row.young, row.edge.map_or("until then", |_| "too young")),
            (row.in_force, "in force or possessed"),
            (row.evidence, "of an open event"),
        ];
        let stays = stays.iter().filter(|it| it.0 > 0);
        let stays: Vec<String> = stays.map(|(many, why)| format!("{many} {why}")).collect();
        table.row([
            row.citation.clone(),
            row.what.clone(),
            row.keep.clone(),
            count(row.count.unwrap_or_default()),
            count(row.may_go),
            stays.join(", "),
        ]);
    }
    report.table(table);
    report.line("-: not in the ledger. What may go and what stays add up to what is in it.");
    for row in it.retention.iter().filter(|it| it.may_go > 0) {
        let edge = row.edge.map(|it| format!(" of before {it}"));
        report.under(format!(
            "{} of {}{} may be put away ({})",
            row.may_go,
            row.what,
            edge.unwrap_or_default(),
            row.citation
        ));
    }
}

//! A worker's year on one page: as text, as a printable page, as a row of CSV.

use std::fmt::Write;

use super::dose::under;
use super::page::safe;
use super::report::{Report, Table};
use crate::answer::{StatementAnswer, StatementItem};

/// What every report to a worker says, after the rule that it is given under
/// (10 CFR 19.13(a)).
const KEEP: &str = "Keep this report for your own records.";

/// Said of whoever leaves before the record is final.
fn leaves(answer: &StatementAnswer) -> Option<String> {
    (answer.leaves && answer.estimate).then(|| {
        let rule = under(answer.leaving_rule.as_deref());
        format!("The person leaves before all results are in: this is an estimate{rule}.")
    })
}

/// What stands above the doses that count apart.
fn apart(answer: &StatementAnswer) -> String {
    let rule = under(answer.special_rule.as_deref());
    format!("Planned special exposures, apart{rule}:")
}

const ESTIMATE: &str = "ESTIMATE: some figures are provisional and will be replaced.";

fn periods(answer: &StatementAnswer) -> String {
    let spans: Vec<String> = answer
        .periods
        .iter()
        .map(|it| format!("{} to {}", it.first, it.last))
        .collect();
    if spans.is_empty() {
        "not monitored".to_owned()
    } else {
        spans.join(", ")
    }
}

/// Whether it must be given, and why, under the rule that says so.
fn given(answer: &StatementAnswer) -> String {
    match (&answer.must_be_given, &answer.on_request) {
        (Some(why), _) => format!("To be given unasked: {why}"),
        (None, Some(rule)) => format!("To be given on request ({rule})"),
        (None, None) => "To whom it must be given, your own law says".to_owned(),
    }
}

/// What is said under the doses.
fn notes(answer: &StatementAnswer) -> impl Iterator<Item = &String> {
    answer.why_estimate.iter().chain(&answer.not_monitored)
}

/// What somebody outside can hold against the ledger later.
fn seal(answer: &StatementAnswer) -> String {
    format!(
        "made from entries and head hash {}:{}",
        answer.entries, answer.head
    )
}

/// The statement as text.
pub fn statement_report(answer: &StatementAnswer) -> Report {
    let mut report = Report::new(format!(
        "Doses of {} {}, year {}",
        answer.worker, answer.name, answer.year
    ));
    report.line(format!("monitored: {}", periods(answer)));
    report.line(format!(
        "by {}, licence {}, {}",
        answer.licensee, answer.licence, answer.site
    ));
    if let Some(day) = answer.so_far {
        report.line(format!("the year is not over: figures up to {day}"));
    }
    if answer.estimate {
        report.line(ESTIMATE);
    }
    if let Some(leaves) = leaves(answer) {
        report.line(leaves);
    }
    report.gap();
    report.table(table(&answer.items));
    if !answer.special.is_empty() {
        report.gap();
        report.line(apart(answer));
        report.table(table(&answer.special));
    }
    for why in notes(answer) {
        report.under(why.clone());
    }
    report.gap();
    report.line(given(answer));
    report.line(format!("{}{KEEP}", answer.under));
    report.line(seal(answer));
    report.caution(answer.confirm.clone());
    report
}

fn table(items: &[StatementItem]) -> Table {
    let mut table = Table::new(&["", "quantity", "dose", "standing"]);
    for item in items {
        table.row([
            item.code.clone(),
            item.label.clone(),
            item.shown.clone(),
            item.standing.clone(),
        ]);
    }
    table
}

fn rows(items: &[StatementItem]) -> String {
    let mut out = String::new();
    for item in items {
        // Writing into a text cannot fail.
        let _ = write!(
            out,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td></tr>",
            safe(&item.code),
            safe(&item.label),
            safe(&item.shown),
            safe(&item.standing)
        );
    }
    out
}

const STYLE: &str = "body{font:11pt/1.4 serif;max-width:42em;margin:2em auto;color:#000;\
background:#fff}h1{font-size:1.4em}h2{font-size:1.1em}table{border-collapse:collapse;width:100%}\
th,td{border-bottom:1px solid #000;padding:.3em .5em;text-align:left;vertical-align:top}\
tbody th,td:nth-child(n+3){white-space:nowrap}.small{font-size:.9em;margin:.4em 0}\
p{overflow-wrap:anywhere}\
.mark{border:2px solid #000;padding:.3em .6em;font-weight:bold}\
.private{border-top:1px dashed #000;margin-top:2em}@page{margin:2cm}";

/// The statement as one self-contained page. What is private stands in a part
/// of its own that can be cut off.
pub fn statement_page(answer: &StatementAnswer, scripted: bool) -> String {
    let mut body = String::new();
    let mut put = |text: &str| body.push_str(text);
    put(&format!(
        "<h1>Doses of {}, year {}</h1>",
        safe(&answer.worker),
        answer.year
    ));
    put(&format!(
        "<p>Monitored {}, by {}, licence {}, {}.</p>",
        safe(&periods(answer)),
        safe(&answer.licensee),
        safe(&answer.licence),
        safe(&answer.site)
    ));
    if let Some(day) = answer.so_far {
        put(&format!(
            "<p>The year is not over: figures up to {day}.</p>"
        ));
    }
    if answer.estimate {
        put(&format!("<p class=\"mark\">{ESTIMATE}</p>"));
    }
    if let Some(leaves) = leaves(answer) {
        put(&format!("<p class=\"mark\">{}</p>", safe(&leaves)));
    }
    let head = "<thead><tr><th scope=\"col\">Code</th><th scope=\"col\">Quantity</th>\
        <th scope=\"col\">Dose</th><th scope=\"col\">Standing</th></tr></thead>";
    put(&format!(
        "<table>{head}<tbody>{}</tbody></table>",
        rows(&answer.items)
    ));
    if !answer.special.is_empty() {
        put(&format!("<p>{}</p>", safe(&apart(answer))));
        put(&format!(
            "<table>{head}<tbody>{}</tbody></table>",
            rows(&answer.special)
        ));
    }
    for why in notes(answer) {
        put(&format!("<p class=\"small\">{}</p>", safe(why)));
    }
    put(&format!(
        "<p>{}{KEEP}</p><p>Made on {}.</p><p class=\"small\">{}</p>",
        safe(&answer.under),
        answer.made_on,
        safe(&answer.confirm)
    ));
    put(&format!("<p class=\"small\">{}</p>", seal(answer)));
    if scripted {
        put(
            "<p class=\"small\">The clock of this ledger is scripted: a demonstration or a \
             test, not records.</p>",
        );
    }
    let birth = answer
        .birth_date
        .map_or("not on record".to_owned(), |day| day.to_string());
    put(&format!(
        "<section class=\"private\"><h2>Private</h2><p>Name: {}. Date of birth: {birth}.</p>\
         <p>Signature and date: ______________________________</p></section>",
        safe(&answer.name)
    ));
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Doses of {}, {}\
         </title><style>{STYLE}</style></head><body>{body}</body></html>\n",
        safe(&answer.worker),
        answer.year
    )
}

/// Statements as a table, a row a person, for CSV.
pub fn statements_table(answers: &[StatementAnswer]) -> Report {
    let mut table = Table::new(&[
        "worker",
        "year",
        "monitored",
        "standing",
        "DDE",
        "LDE",
        "SDE-WB",
        "SDE-ME",
        "TEDE",
        "to be given",
    ]);
    for answer in answers {
        let dose = |code: &str| {
            let item = answer.items.iter().find(|it| it.code == code);
            item.map(|it| it.shown.clone()).unwrap_or_default()
        };
        table.row([
            answer.worker.clone(),
            answer.year.to_string(),
            periods(answer),
            if answer.estimate {
                "estimate"
            } else {
                "record"
            }
            .to_owned(),
            dose("DDE"),
            dose("LDE"),
            dose("SDE-WB"),
            dose("SDE-ME"),
            dose("TEDE"),
            answer.to_be_given(),
        ]);
    }
    let mut report = Report::new("");
    report.table(table);
    report
}

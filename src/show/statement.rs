//! A worker's year on one page: as text, as a printable page, as a row of CSV.

use std::fmt::Write;

use super::dose::under;
use super::page::safe;
use super::private::gone_words;
use super::report::{Report, Table};
pub(super) use super::statement_words::standing;
use super::statement_words::{Cell, Exposure, cell, exposures, notes, part, periods};
use crate::answer::{EmbryoDose, StatementAnswer, StatementForm, StatementItem};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::{Quantity, Terms};

/// What every report to a worker says where no rule gives the words.
const KEEP: &str = "Keep this report for your own records.";

/// Under which rule it is given and that it is to be kept. The sentence of a rule set from before
/// it had a form says only the first.
fn furnished(answer: &StatementAnswer) -> String {
    match (&answer.under, &answer.form) {
        (Some(under), Some(_)) => under.clone(),
        (Some(under), None) => format!("{under} {KEEP}"),
        (None, _) => KEEP.to_owned(),
    }
}

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

const NO_RECORD: &str = "NO RECORD: this ledger holds nothing of this person in this year. That \
                         is not a dose of zero.";

/// What stands out above the doses.
fn marks(answer: &StatementAnswer) -> Vec<String> {
    let mark = match (answer.no_record, answer.estimate) {
        (true, _) => Some(NO_RECORD.to_owned()),
        (false, true) => Some(ESTIMATE.to_owned()),
        (false, false) => None,
    };
    mark.into_iter().chain(leaves(answer)).collect()
}

/// Whether it must be given, and why, under the rule that says so.
fn given(answer: &StatementAnswer) -> String {
    match (&answer.must_be_given, &answer.on_request) {
        (Some(why), _) => format!("To be given unasked: {why}"),
        (None, Some(rule)) => format!("To be given on request ({rule})"),
        (None, None) => "To whom it must be given, your own law says".to_owned(),
    }
}

/// What somebody outside can hold against the ledger later.
fn seal(answer: &StatementAnswer) -> String {
    format!(
        "made from entries and seal {}:{}",
        answer.entries, answer.head
    )
}

/// What the deep dose is made of, where it is more than one thing or not all of this ledger.
fn parts(answer: &StatementAnswer) -> Option<Table> {
    if answer.parts.len() < 2 && answer.earlier.is_empty() {
        return None;
    }
    let what = format!("the {} is made up of", answer.terms.dose(Quantity::Deep));
    let mut table = Table::new(&[&what, ">dose"]);
    for it in &answer.parts {
        table.row([part(it.part).to_owned(), it.shown.clone()]);
    }
    Some(table)
}

/// A line that is written in by hand.
const BY_HAND: &str = "____________________";

/// The form's items, one below the other.
fn form_table(answer: &StatementAnswer, form: &StatementForm, exposure: Exposure) -> Table {
    let mut table = Table::new(&["no.", "item", "recorded"]);
    for (number, item, label) in &form.lines {
        let entry = match cell(answer, form, exposure, *item) {
            Cell::Said(words) => words,
            Cell::ByHand => BY_HAND.to_owned(),
            Cell::Notes => "see below".to_owned(),
        };
        table.row([number.clone(), label.clone(), entry]);
    }
    table
}

/// The statement as text.
pub fn statement_report(answer: &StatementAnswer) -> Report {
    let mut report = Report::new(format!(
        "Doses of {} {}, year {}",
        answer.worker, answer.name, answer.year
    ));
    match &answer.form {
        Some(form) => report.line(format!("{} ({})", form.name, form.rule)),
        None => {
            report.line(format!("covered: {}", periods(answer)));
            report.line(format!(
                "by {}, license {}, {}",
                answer.licensee, answer.license, answer.site
            ));
        }
    }
    if let Some(day) = answer.so_far {
        report.line(format!("the year is not over: figures up to {day}"));
    }
    for mark in marks(answer) {
        report.line(mark);
    }
    doses(&mut report, answer);
    if let Some(parts) = parts(answer) {
        report.gap();
        report.table(parts);
    }
    for why in notes(answer) {
        report.under(why);
    }
    for it in &answer.embryos {
        embryo_report(&mut report, answer, it);
    }
    for it in &answer.gone {
        report.line(gone_words(it));
    }
    report.gap();
    report.line(given(answer));
    report.line(furnished(answer));
    report.line(seal(answer));
    report.caution(answer.confirm.clone());
    report
}

/// The doses as tables: the form's where the rule set has one.
fn doses(report: &mut Report, answer: &StatementAnswer) {
    report.gap();
    let Some(form) = &answer.form else {
        report.table(table(&answer.items));
        if !answer.special.is_empty() {
            report.gap();
            report.line(apart(answer));
            report.table(table(&answer.special));
        }
        return;
    };
    for exposure in exposures(answer) {
        if *exposure == Exposure::Special {
            report.gap();
            report.line(apart(answer));
        }
        report.table(form_table(answer, form, *exposure));
    }
}

fn table(items: &[StatementItem]) -> Table {
    let mut table = Table::new(&["", "quantity", "dose", "standing"]);
    for item in items {
        table.row([
            item.code.clone(),
            item.label.clone(),
            item.shown.clone(),
            standing(item.standing).to_owned(),
        ]);
    }
    table
}

/// What the dose of an embryo or fetus is of.
fn embryo_words(it: &EmbryoDose, terms: Terms) -> Vec<String> {
    let until = match it.ended_on {
        Some(day) => format!("the declaration ended on {day}"),
        None => format!("the declaration holds, figures up to {}", it.through),
    };
    let conception = match it.conception_on {
        Some(day) => format!("Estimated conception {day}"),
        None => format!(
            "The estimated date of conception is not on record, counted from {}",
            it.counts_from
        ),
    };
    let mut words = vec![format!(
        "{conception}, written notice {}; {until}.",
        it.notice_on
    )];
    words.push(format!(
        "The {} of the woman stands for it, on the conservative side: what is on hold or \
        provisional is \
         in it.",
        terms.dose(Quantity::Deep)
    ));
    words.push(format!("Kept with the records of the woman ({}).", it.rule));
    words
}

/// The doses of an embryo or fetus, by time.
fn embryo_table(answer: &StatementAnswer, it: &EmbryoDose) -> Table {
    let what = format!("embryo or fetus, {}", answer.terms.dose(Quantity::Deep));
    let mut table = Table::new(&[&what, ">dose"]);
    let print = |nsv: i64| {
        let dose = Dose::from_nsv(nsv);
        let shown = match answer.si_in_parentheses {
            true => dose.display_with_si_in(DoseUnit::Rem),
            false => dose.display(DoseUnit::MilliSievert),
        };
        match it.at_least {
            true => format!("at least {shown}"),
            false => shown,
        }
    };
    for (what, nsv) in [
        ("from conception to the eve of the notice", it.before_nsv),
        ("from the notice on", it.since_nsv),
        ("the entire pregnancy", it.whole_nsv),
    ] {
        table.row([what.to_owned(), print(nsv)]);
    }
    table
}

fn embryo_report(report: &mut Report, answer: &StatementAnswer, it: &EmbryoDose) {
    report.section("Dose of the embryo or fetus");
    for words in embryo_words(it, answer.terms) {
        report.line(words);
    }
    report.table(embryo_table(answer, it));
}

const STYLE: &str = "body{font:11pt/1.4 serif;max-width:42em;margin:2em auto;padding:0 1em;\
color:#000;background:#fff}h1{font-size:1.4em}h2{font-size:1.1em}\
table{border-collapse:collapse;width:100%;margin:.6em 0}\
th,td{border-bottom:1px solid #000;padding:.25em .5em;text-align:left;vertical-align:top}\
tr{break-inside:avoid}.small{font-size:.9em;margin:.4em 0}\
p,td{overflow-wrap:anywhere}\
.mark{border:2px solid #000;padding:.3em .6em;font-weight:bold}\
.private{border-top:1px dashed #000;margin-top:2em}.own{break-before:page}@page{margin:1.5cm}\
@media print{body{font-size:9pt;line-height:1.3;margin:0;padding:0;max-width:none}\
th,td{padding:.08em .5em}\
table{margin:.3em 0}p{margin:.4em 0}}";

/// A table of a page, the first cell of each row its heading.
fn grid(body: &mut String, table: &Table) {
    body.push_str("<table><thead><tr>");
    for (heading, _) in &table.columns {
        let _ = write!(body, "<th scope=\"col\">{}</th>", safe(heading));
    }
    body.push_str("</tr></thead><tbody>");
    for row in &table.rows {
        body.push_str("<tr>");
        for (at, cell) in row.iter().enumerate() {
            // Writing into a text cannot fail.
            let _ = match at {
                0 => write!(body, "<th scope=\"row\">{}</th>", safe(cell)),
                _ => write!(body, "<td>{}</td>", safe(cell)),
            };
        }
        body.push_str("</tr>");
    }
    body.push_str("</tbody></table>");
}

/// The statement as one self-contained page. Where no form has the person's name among its items,
/// what is private stands in a part of its own that can be cut off.
pub fn statement_page(answer: &StatementAnswer, scripted: bool) -> String {
    let mut body = String::new();
    let title = format!("Doses of {}, year {}", safe(&answer.worker), answer.year);
    let _ = write!(body, "<h1>{title}</h1>");
    let mut put = |text: String| body.push_str(&text);
    match &answer.form {
        Some(form) => put(format!(
            "<p>{} ({}).</p>",
            safe(&form.name),
            safe(&form.rule)
        )),
        None => put(format!(
            "<p>Covered: {}, by {}, license {}, {}.</p>",
            safe(&periods(answer)),
            safe(&answer.licensee),
            safe(&answer.license),
            safe(&answer.site)
        )),
    }
    if let Some(day) = answer.so_far {
        put(format!("<p>The year is not over: figures up to {day}.</p>"));
    }
    for mark in marks(answer) {
        put(format!("<p class=\"mark\">{}</p>", safe(&mark)));
    }
    doses_page(&mut body, answer);
    if let Some(parts) = parts(answer) {
        grid(&mut body, &parts);
    }
    for why in notes(answer) {
        let _ = write!(body, "<p class=\"small\">{}</p>", safe(&why));
    }
    foot(&mut body, answer, scripted);
    for it in &answer.embryos {
        embryo_page(&mut body, answer, it);
    }
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{title}\
         </title><style>{STYLE}</style></head><body>{body}</body></html>\n"
    )
}

fn doses_page(body: &mut String, answer: &StatementAnswer) {
    let apart = format!("<p>{}</p>", safe(&apart(answer)));
    let Some(form) = &answer.form else {
        grid(body, &table(&answer.items));
        if !answer.special.is_empty() {
            body.push_str(&apart);
            grid(body, &table(&answer.special));
        }
        return;
    };
    for exposure in exposures(answer) {
        if *exposure == Exposure::Special {
            body.push_str(&apart);
        }
        grid(body, &form_table(answer, form, *exposure));
    }
}

fn foot(body: &mut String, answer: &StatementAnswer, scripted: bool) {
    let mut put = |text: String| body.push_str(&text);
    put(format!(
        "<p>{}</p><p>Made on {}.</p><p class=\"small\">{}</p>",
        safe(&furnished(answer)),
        answer.made_on,
        safe(&answer.confirm)
    ));
    put(format!("<p class=\"small\">{}</p>", seal(answer)));
    if scripted {
        put(
            "<p class=\"small\">The clock of this ledger is scripted: a demonstration or a \
             test, not records.</p>"
                .to_owned(),
        );
    }
    if answer.form.is_none() {
        let birth = answer
            .birth_date
            .map_or("not on record".to_owned(), |day| day.to_string());
        put(format!(
            "<section class=\"private\"><h2>Private</h2><p>Name: {}. Date of birth: {birth}.</p>\
             <p>Signature and date: ______________________________</p></section>",
            safe(&answer.name)
        ));
    }
}

/// A page of its own, so that it can be kept apart.
fn embryo_page(body: &mut String, answer: &StatementAnswer, it: &EmbryoDose) {
    let _ = write!(
        body,
        "<section class=\"own\"><h1>Dose of the embryo or fetus, {} {}</h1>",
        safe(&answer.worker),
        safe(&answer.name)
    );
    for words in embryo_words(it, answer.terms) {
        let _ = write!(body, "<p>{}</p>", safe(&words));
    }
    grid(body, &embryo_table(answer, it));
    let _ = write!(
        body,
        "<p>Made on {}.</p><p class=\"small\">{}</p><p class=\"small\">{}</p></section>",
        answer.made_on,
        safe(&answer.confirm),
        seal(answer)
    );
}

/// Statements as a table, a row a person, for CSV: the form's items as columns where the rule set
/// has one. Planned special exposures have a row of their own.
pub fn statements_table(answers: &[StatementAnswer]) -> Report {
    let mut report = Report::new("");
    let form = answers.iter().find_map(|it| it.form.as_ref());
    report.table(match form {
        Some(form) => by_form(answers, form),
        None => plain(answers),
    });
    report
}

fn by_form(answers: &[StatementAnswer], form: &StatementForm) -> Table {
    let labels = form.lines.iter();
    let labels: Vec<String> = labels
        .map(|(number, _, label)| format!("{number} {label}"))
        .collect();
    let mut headings = vec!["worker", "year"];
    headings.extend(labels.iter().map(String::as_str));
    let mut table = Table::new(&headings);
    for answer in answers {
        for exposure in exposures(answer) {
            let mut row = vec![answer.worker.clone(), answer.year.to_string()];
            let lines = form.lines.iter();
            row.extend(
                lines.map(|(_, item, _)| match cell(answer, form, *exposure, *item) {
                    Cell::Said(words) => words,
                    Cell::ByHand => String::new(),
                    Cell::Notes => notes(answer).join(" "),
                }),
            );
            table.rows.push(row);
        }
    }
    table
}

fn plain(answers: &[StatementAnswer]) -> Table {
    let codes: Vec<&str> = match answers.first() {
        Some(answer) => answer.items.iter().map(|it| it.code.as_str()).collect(),
        None => Vec::new(),
    };
    let mut columns = vec!["worker", "year", "covered", "standing"];
    columns.extend(&codes);
    columns.push("to be given");
    let mut table = Table::new(&columns);
    for answer in answers {
        let dose = |code: &str| {
            let item = answer.items.iter().find(|it| it.code == code);
            item.map(|it| it.shown.clone()).unwrap_or_default()
        };
        let mut row = vec![
            answer.worker.clone(),
            answer.year.to_string(),
            periods(answer),
            standing(answer.standing()).to_owned(),
        ];
        row.extend(codes.iter().map(|code| dose(code)));
        row.push(answer.to_be_given());
        table.rows.push(row);
    }
    table
}

//! A worker's year on one page: as text, as a printable page, as a row of CSV.

use maud::{Markup, PreEscaped, html};

pub(crate) use super::statement_words::standing;
use super::statement_words::{Cell, Exposure, cell, exposures, notes, part, periods};
use crate::answer::{EmbryoDose, StatementAnswer, StatementForm, StatementItem};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::{Quantity, Terms};
use crate::show::dose::account::under;
use crate::show::dose::private::gone_words;
use crate::show::inline::seen;
use crate::show::page::{STYLE, document, table_of};
use crate::show::report::{Report, Table};

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

/// The statement as one self-contained page. Where no form has the person's name among its items,
/// what is private stands in a part of its own that can be cut off.
pub fn statement_page(answer: &StatementAnswer, scripted: bool) -> String {
    let title = format!("Doses of {}, year {}", answer.worker, answer.year);
    let style = html! { style { (PreEscaped(STYLE)) } };
    let body = html! {
        main {
            h1 { (seen(&title)) }
            p { (seen(&covers(answer))) }
            @if let Some(day) = answer.so_far {
                p { "The year is not over: figures up to " (day) "." }
            }
            @for mark in marks(answer) { p.mark { (seen(&mark)) } }
            (doses_page(answer))
            @if let Some(parts) = parts(answer) { (table_of(&parts)) }
            @for why in notes(answer) { p.small { (seen(&why)) } }
            (foot(answer, scripted))
            @for it in &answer.embryos { (embryo_page(answer, it)) }
        }
    };
    document(&title, &style, &body).into_string()
}

/// Which form it follows, or else which days and whose license it covers.
fn covers(answer: &StatementAnswer) -> String {
    match &answer.form {
        Some(form) => format!("{} ({}).", form.name, form.rule),
        None => format!(
            "Covered: {}, by {}, license {}, {}.",
            periods(answer),
            answer.licensee,
            answer.license,
            answer.site
        ),
    }
}

fn doses_page(answer: &StatementAnswer) -> Markup {
    html! {
        @if let Some(form) = &answer.form {
            @for exposure in exposures(answer) {
                @if *exposure == Exposure::Special { p { (seen(&apart(answer))) } }
                (table_of(&form_table(answer, form, *exposure)))
            }
        } @else {
            (table_of(&table(&answer.items)))
            @if !answer.special.is_empty() {
                p { (seen(&apart(answer))) }
                (table_of(&table(&answer.special)))
            }
        }
    }
}

fn foot(answer: &StatementAnswer, scripted: bool) -> Markup {
    html! {
        p { (seen(&furnished(answer))) }
        p { "Made on " (answer.made_on) "." }
        p.small { (seen(&answer.confirm)) }
        p.small.seal { (seal(answer)) }
        @if scripted {
            p.small {
                "The clock of this ledger is scripted: a demonstration or a test, not records."
            }
        }
        @if answer.form.is_none() {
            section.private {
                h2 { "Private" }
                p {
                    "Name: " (seen(&answer.name)) ". Date of birth: "
                    @match answer.birth_date {
                        Some(day) => (day),
                        None => "not on record",
                    }
                    "."
                }
                p { "Signature and date: ______________________________" }
            }
        }
    }
}

/// A page of its own, so that it can be kept apart.
fn embryo_page(answer: &StatementAnswer, it: &EmbryoDose) -> Markup {
    html! {
        section.own {
            h1 {
                "Dose of the embryo or fetus, " (seen(&answer.worker)) " " (seen(&answer.name))
            }
            @for words in embryo_words(it, answer.terms) { p { (seen(&words)) } }
            (table_of(&embryo_table(answer, it)))
            p { "Made on " (answer.made_on) "." }
            p.small { (seen(&answer.confirm)) }
            p.small.seal { (seal(answer)) }
        }
    }
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

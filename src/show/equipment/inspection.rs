//! Inspections: what was found, what it means, and the form for the next one.

use super::checklist::{limit_text, sentence};
use crate::answer::{
    AfterInspections, ControlLine, InspectionAnswer, InspectionLine, InspectionsAnswer, ToInspect,
};
use crate::calendar::Day;
use crate::record::{Occasion, Words};
use crate::rule::{Checklist, ChecklistItem};
use crate::show::report::{Part, Report, Table};
use crate::show::review::finding::{Checked, by_check};
use crate::text::Language;

fn counts(line: &InspectionLine) -> String {
    let mut parts = vec![format!("{} good", line.good)];
    if line.measured > 0 {
        parts.push(format!("{} measured", line.measured));
    }
    parts.push(match line.defects {
        1 => "1 DEFECT".to_owned(),
        0 => "no defect".to_owned(),
        count => format!("{count} DEFECTS"),
    });
    if !line.not_done.is_empty() {
        parts.push(format!("NOT DONE: {}", line.not_done.join(", ")));
    }
    parts.join(", ")
}

fn head_text(line: &InspectionLine) -> String {
    let at = line
        .at
        .as_deref()
        .map(|at| format!(" {at}"))
        .unwrap_or_default();
    format!(
        "{} ({}), {} inspection of {}{at} by {}",
        line.item, line.kind, line.when, line.on, line.by
    )
}

/// What was handed in and what it means.
pub fn after_inspections_report(answer: &AfterInspections) -> Report {
    const SHOWN: usize = 20;
    let mut report = Report::new(match answer.inspections.len() {
        1 => "1 inspection".to_owned(),
        count => format!("{count} inspections"),
    });
    report.gap();
    for line in answer.inspections.iter().take(SHOWN) {
        report.line(head_text(line));
        report.under(counts(line));
    }
    if answer.inspections.len() > SHOWN {
        report.line(format!("and {} more", answer.inspections.len() - SHOWN));
    }
    for warning in &answer.warnings {
        report.line(format!("watch {warning}"));
    }
    let found: Vec<Checked<'_>> = answer.findings.iter().map(Checked::new).collect();
    by_check(&mut report, &found);
    for caution in &answer.cautions {
        report.caution(caution.clone());
    }
    report
}

/// Inspections of a span.
pub fn inspections_report(answer: &InspectionsAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} inspection{}, {} to {}",
        answer.lines.len(),
        if answer.lines.len() == 1 { "" } else { "s" },
        answer.first,
        answer.last
    ));
    let mut table = Table::new(&[
        "day", "hour", "piece", "occasion", "by", ">good", ">defects", "not done", ">entry",
    ]);
    for line in &answer.lines {
        table.row([
            line.on.to_string(),
            line.at.clone().unwrap_or_default(),
            line.item.clone(),
            line.when.clone(),
            line.by.clone(),
            (line.good + line.measured).to_string(),
            line.defects.to_string(),
            line.not_done.len().to_string(),
            line.entry.to_string(),
        ]);
    }
    report.gap();
    report.table(table);
    report
}

/// One inspection item by item.
pub fn inspection_report(answer: &InspectionAnswer) -> Report {
    let mut report = Report::new(head_text(&answer.head));
    report.line(format!("list `{}`; {}", answer.list, counts(&answer.head)));
    if let Some(counter) = answer.counter {
        let cycles = crate::text::counted(counter, "cycle", "cycles");
        report.line(format!("its own counter showed {cycles}"));
    }
    let mut table = Table::new(&["item", "found", "measure", "words"]);
    for line in &answer.lines {
        let mut words: Vec<String> = Vec::new();
        words.extend(line.with.iter().map(|it| format!("with {it}")));
        words.extend(line.note.clone());
        words.extend(line.action.iter().map(|it| format!("done: {it}")));
        let standing = line.standing.filter(|it| *it != "good");
        let measurement = [line.value.as_deref(), standing];
        table.row([
            line.line.clone(),
            line.result.clone(),
            measurement
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join("\n"),
            words.join("; "),
        ]);
    }
    report.gap();
    report.table(table);
    if let Some(note) = &answer.note {
        report.line(format!("remark: {note}"));
    }
    report.caution(answer.confirm.clone());
    report
}

/// Above what a site put in without the language of whoever reads it.
pub(in crate::show) const IN_ENGLISH: &str = "In English, as the site put it in:";

/// Whether neither the list nor the table of words has an item in a language.
pub(in crate::show) fn is_english_alone(item: &ChecklistItem, language: Language) -> bool {
    let lacks = |own: &Option<String>, text: &str| own.is_none() && language.other(text).is_none();
    language != Language::English
        && (lacks(&item.spanish.how, &item.how) || lacks(&item.spanish.good, &item.good))
}

/// How an item is asked at a terminal, in words of the list's own where it has them in a language.
pub fn item_question(
    item: &ChecklistItem,
    (number, count): (usize, usize),
    last: Option<&(String, Day)>,
    language: Language,
) -> Report {
    let mut report = Report::new("");
    if is_english_alone(item, language) {
        report.line(IN_ENGLISH);
    }
    let item = &item.said(language);
    if let Some(caution) = &item.caution {
        report.line(format!("CAUTION {caution}"));
    }
    report.line(format!("{number}/{count} {}: {}", item.component, item.how));
    report.under(format!("good: {}", item.good));
    if let Some(limit) = limit_text(item) {
        let last = last.map_or_else(String::new, |(value, on)| format!("; last {value}, {on}"));
        report.under(format!("{limit}{last}"));
    }
    report
}

/// A question in a language: what the table has of it; what a site put in stays.
pub fn question_in(language: Language, question: Report) -> Report {
    let parts = question.parts.into_iter().map(|it| match it {
        Part::Line(text) => Part::Line(language.say(&text)),
        Part::Under(text) => Part::Under(language.say(&text)),
        other => other,
    });
    Report {
        parts: parts.collect(),
        ..question
    }
}

/// The boxes of an item that is judged.
const JUDGED: &str = "[ ] good  [ ] defect  [ ] not done";

/// The form on which an inspection is written down by hand.
pub fn inspection_form(equipment: &ToInspect, when: Occasion, list: &Checklist) -> Report {
    let mut report = Report::new(format!(
        "{} ({}): {} inspection, list `{}`",
        equipment.id,
        equipment.kind,
        when.word(),
        list.key
    ));
    report.line("day ____________  hour ______  who ________________  counter __________");
    report.gap();
    // No blank lines between the items: a quarterly list fits on one page.
    for (item, number) in equipment.items.iter().zip(1..) {
        // A measure's criterion is its limit.
        let criterion = limit_text(item).unwrap_or_else(|| format!("good: {}", item.good));
        let (component, key, how) = (&item.component, &item.key, &item.how);
        report.line(format!(
            "{number} {component} ({key}): {how}. {}",
            sentence(&criterion)
        ));
        if let Some(caution) = &item.caution {
            report.under(format!("caution: {caution}"));
        }
        let (good, value) = match (item.is_inactive(), item.unit().is_some()) {
            // What has no limit cannot be good, and need not be done.
            (true, _) => ("[ ] defect", "  value ________"),
            (false, true) => (JUDGED, "  value ________"),
            (false, false) => (JUDGED, ""),
        };
        let pair = if item.pair.is_some() {
            "  with ________"
        } else {
            ""
        };
        report.under(format!("{good}{value}{pair}  ________________"));
    }
    controls(&mut report, &equipment.controls);
    report.caution(list.confirm.clone());
    report
}

/// The inspections of the place and the vehicle, which are no items of a list: what is found in
/// them goes on no record.
fn controls(report: &mut Report, all: &[ControlLine]) {
    if all.is_empty() {
        return;
    }
    report.gap();
    report.line("Besides, of the place where it is kept and the vehicle that carries it:");
    for it in all {
        report.line(format!("{}: {} ({})", it.record, it.how, it.rule));
        report.under("[ ] checked  hour ______  by ________________");
    }
    report.line(
        "Only that the check was made is recorded, not what was found (wearbook equipment \
         source-check). If anything is wrong, stay with it and call the RSO.",
    );
}

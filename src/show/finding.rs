//! Findings and held items.

use super::report::{Report, Table};
use crate::answer::{FindingsAnswer, HeldAnswer};
use crate::rule::{Finding, Severity};

/// The word that stands before a finding; capitals carry the urgency, so that
/// no colour is needed.
pub(super) fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "STOP",
        Severity::Act => "ACT",
        Severity::Watch => "watch",
    }
}

/// How urgent it is, whom it is about and what was found.
pub(super) fn headline(finding: &Finding) -> String {
    let whom = match finding.what.contains(&finding.subject) {
        true => String::new(),
        false => format!("{}: ", finding.subject),
    };
    let severity = severity_word(finding.severity);
    format!("{severity:<5} {whom}{}", finding.what)
}

/// Writes one finding: what, the rule, what to do, and the key to answer it.
pub(super) fn finding_lines(report: &mut Report, finding: &Finding, key: &str) {
    report.line(headline(finding));
    report.under(format!("rule: {} ({})", finding.rule, finding.cited()));
    report.under(format!("do:   {}", finding.remedy));
    report.under(format!("key:  {key}"));
}

/// The findings of a span.
pub fn findings_report(answer: &FindingsAnswer) -> Report {
    let mut report = Report::new(format!(
        "Findings {} to {}; levels on {}",
        answer.first, answer.last, answer.on
    ));
    let count = |severity| {
        answer
            .lines
            .iter()
            .filter(|it| it.finding.severity == severity)
            .count()
    };
    report.line(format!(
        "{} stop, {} act, {} watch; {} answered or resolved, not listed",
        count(Severity::Stop),
        count(Severity::Act),
        count(Severity::Watch),
        answer.answered
    ));
    for line in &answer.lines {
        report.gap();
        finding_lines(&mut report, &line.finding, &line.key);
        if let Some(words) = &line.answer {
            let by = line.answered_by.unwrap_or_default();
            report.under(format!("answered by entry {by}: {words}"));
        }
        if let Some(words) = settled_words(&line.settled_by) {
            report.under(words);
        }
    }
    if !answer.lines.is_empty() {
        report.gap();
        report.line("To answer one: wearbook finding answer KEY --reason WHY");
    }
    report.caution(answer.confirm.clone());
    report
}

fn settled_words(by: &[i64]) -> Option<String> {
    let entries: Vec<String> = by.iter().map(ToString::to_string).collect();
    let plural = if by.len() == 1 { "entry" } else { "entries" };
    let words = format!("resolved by {plural} {}", entries.join(", "));
    (!by.is_empty()).then_some(words)
}

/// The findings as a table, for CSV.
pub fn findings_table(answer: &FindingsAnswer) -> Report {
    let mut table = Table::new(&[
        "severity", "subject", "what", "rule", "citation", "remedy", "key", "answer",
    ]);
    for line in &answer.lines {
        table.row([
            line.finding.severity.name().to_owned(),
            line.finding.subject.clone(),
            line.finding.what.clone(),
            line.finding.rule.clone(),
            line.finding.cited(),
            line.finding.remedy.clone(),
            line.key.clone(),
            line.answer
                .clone()
                .or_else(|| settled_words(&line.settled_by))
                .unwrap_or_default(),
        ]);
    }
    let mut report = Report::new("");
    report.table(table);
    report
}

/// What is held, as a table, for CSV.
pub fn held_table(answer: &HeldAnswer) -> Report {
    let mut table = Table::new(&["item", "day", "of", "person", "why", "about"]);
    for line in &answer.lines {
        table.row([
            line.item.clone(),
            line.day.to_string(),
            line.of.clone(),
            line.person.clone().unwrap_or_default(),
            line.sort.clone(),
            line.about.clone(),
        ]);
    }
    let mut report = Report::new("");
    report.table(table);
    report
}

/// What is held.
pub fn held_report(answer: &HeldAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} on hold, {} resolved",
        answer.lines.len(),
        answer.settled
    ));
    for line in &answer.lines {
        report.gap();
        let whom = line
            .person
            .as_deref()
            .map(|it| format!("  {it}"))
            .unwrap_or_default();
        report.line(format!("{}  {}{whom}: {}", line.item, line.of, line.sort));
        report.under(line.about.clone());
    }
    if !answer.lines.is_empty() {
        report.gap();
        report.line("To resolve one:");
        report.under("wearbook hold resolve ITEM --counts --reason WHY");
        report.under("wearbook hold resolve ITEM --does-not-count --reason WHY");
        report.under("wearbook hold resolve ITEM --is ID --reason WHY   (who or what was meant)");
        report.under("wearbook entry correct ENTRY FIELD=VALUE --reason WHY   (a wrong figure)");
        report.caution(
            "A reading on hold is not in the total; the conservative total, which the levels use, \
             counts it until somebody resolves it.",
        );
    }
    report
}

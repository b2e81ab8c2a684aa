//! Findings and held items.

use std::cmp::Reverse;

use crate::answer::{FindingLine, FindingsAnswer, HeldAnswer, ToDo};
use crate::calendar::Day;
use crate::rule::{Finding, Severity};
use crate::show::report::{Report, Table};

/// The word that stands before a finding; capitals carry the urgency, so that
/// no colour is needed.
pub(crate) fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "STOP",
        Severity::Act => "ACT",
        Severity::Watch => "watch",
    }
}

/// How urgent it is, whom it is about and what was found.
pub(crate) fn headline(finding: &Finding) -> String {
    let whom = match finding.what.contains(&finding.subject) {
        true => String::new(),
        false => format!("{}: ", finding.subject),
    };
    let severity = severity_word(finding.severity);
    format!("{severity:<5} {whom}{}", finding.what)
}

/// Writes one finding: what, the rule, what to do, and the key to answer it.
pub(crate) fn finding_lines(report: &mut Report, finding: &Finding, key: &str) {
    report.line(headline(finding));
    report.under(format!("rule: {} ({})", finding.rule, finding.cited()));
    report.under(format!("do:   {}", finding.remedy));
    report.under(format!("key:  {key}"));
}

/// What somebody can act on, as one table.
pub(crate) fn to_do(report: &mut Report, all: &[ToDo]) {
    let mut table = Table::new(&["", "who or what", "finding", "cleared by, or due"]);
    for it in all {
        let until = it.until.strip_prefix("cleared by ").unwrap_or(&it.until);
        table.row([
            it.kind.to_owned(),
            it.subject.clone(),
            it.what.clone(),
            until.to_owned(),
        ]);
    }
    if !table.rows.is_empty() {
        report.gap();
        report.table(table);
    }
}

/// A finding as the tables of checks show it.
pub(crate) struct Checked<'f> {
    pub finding: &'f Finding,
    pub since: Option<Day>,
    /// What ends it, where more is known than what to do.
    pub ends: &'f str,
    /// What was said of it since.
    pub notes: Vec<String>,
}

impl<'f> Checked<'f> {
    pub fn new(finding: &'f Finding) -> Checked<'f> {
        Checked {
            finding,
            since: None,
            ends: "",
            notes: Vec::new(),
        }
    }

    /// What is said once of all that share it.
    fn shared(&self) -> (Severity, &str, &str, &str, &str) {
        let it = self.finding;
        (it.severity, &it.check, &it.rule, &it.remedy, self.ends)
    }
}

/// Findings check by check: rule and remedy once, and whom they are about as a table.
pub(crate) fn by_check(report: &mut Report, all: &[Checked<'_>]) {
    newest_by_check(report, all, usize::MAX);
}

/// The same with so many of each check, the newest, and how many there are besides; what stops
/// somebody stands here whole. Whether any is left out.
fn newest_by_check(report: &mut Report, all: &[Checked<'_>], most: usize) -> bool {
    let mut is_left = false;
    let mut told = Vec::new();
    for one in all {
        if told.contains(&one.shared()) {
            continue;
        }
        told.push(one.shared());
        let mut mine: Vec<_> = all
            .iter()
            .filter(|it| it.shared() == one.shared())
            .collect();
        if !report.parts.is_empty() {
            report.gap();
        }
        let it = one.finding;
        match mine.len() {
            1 => report.line(headline(it)),
            many => {
                let severity = severity_word(it.severity);
                report.line(format!("{severity:<5} {}, {many} times", it.check));
            }
        }
        report.under(format!("rule: {} ({})", it.rule, it.cited()));
        report.under(format!("do:   {}", it.remedy));
        if !one.ends.is_empty() {
            report.under(one.ends);
        }
        if mine.len() == 1 {
            report.under(format!("key:  {}", it.key()));
            one.notes.iter().for_each(|it| report.under(it.clone()));
        } else {
            let most = match it.severity {
                Severity::Stop => mine.len(),
                _ => most.min(mine.len()),
            };
            if most < mine.len() {
                mine.sort_by_key(|it| Reverse(it.since));
            }
            let (listed, left) = mine.split_at(most);
            report.table(subjects(listed));
            if !left.is_empty() {
                report.line(format!("and {} more", left.len()));
                is_left = true;
            }
        }
    }
    is_left
}

/// Whom the findings of one check are about. The key of each has the check and the subject before
/// what stands here.
fn subjects(all: &[&Checked<'_>]) -> Table {
    let dated = all.iter().any(|it| it.since.is_some());
    let mut table = match dated {
        true => Table::new(&["who or what", "found", "day", "key"]),
        false => Table::new(&["who or what", "found", "key"]),
    };
    for one in all {
        let it = one.finding;
        let key = it.key();
        let own = |rest: &str| {
            Some(
                rest.strip_prefix(&*it.subject)?
                    .strip_prefix('/')?
                    .to_owned(),
            )
        };
        let short = key.split_once('/').and_then(|(_, rest)| own(rest));
        let found = std::iter::once(&it.what).chain(&one.notes);
        let found = found.cloned().collect::<Vec<_>>().join("\n");
        let mut row = vec![it.subject.clone(), found];
        if dated {
            row.push(one.since.map_or_else(String::new, |it| it.to_string()));
        }
        row.push(short.unwrap_or_else(|| key.clone()));
        table.rows.push(row);
        table.keys.push(key);
    }
    table
}

/// So many findings of one check are listed where not all are asked for.
const LISTED: usize = 20;

/// The findings of a span: all of them, or of each check the newest.
pub fn findings_report(answer: &FindingsAnswer, all: bool) -> Report {
    let mut report = Report::new(format!(
        "Findings {} to {}; levels on {}",
        answer.first, answer.last, answer.on
    ));
    let count = |severity| {
        let of = answer
            .lines
            .iter()
            .filter(|it| it.finding.severity == severity);
        of.count()
    };
    report.line(format!(
        "{} stop, {} act, {} watch; {} answered or resolved, not listed",
        count(Severity::Stop),
        count(Severity::Act),
        count(Severity::Watch),
        answer.answered
    ));
    let rows: Vec<Checked<'_>> = answer.lines.iter().map(checked).collect();
    if newest_by_check(&mut report, &rows, if all { usize::MAX } else { LISTED }) {
        report.gap();
        report.line(format!(
            "All of them: wearbook findings --from {} --to {} --on {} --all",
            answer.first, answer.last, answer.on
        ));
    }
    if !rows.is_empty() {
        report.gap();
        report.line("To answer one: wearbook finding answer KEY --reason WHY");
    }
    let is_one_of_many = |one: &&Checked<'_>| {
        let same = rows.iter().filter(|it| it.shared() == one.shared());
        same.count() > 1
    };
    if let Some(one) = rows.iter().find(is_one_of_many) {
        let key = one.finding.key();
        report.under(format!(
            "of a line in a table: CHECK/WHO OR WHAT/KEY, as {key}"
        ));
    }
    report.caution(answer.confirm.clone());
    report
}

fn checked(line: &FindingLine) -> Checked<'_> {
    let answered = line.answer.as_ref().map(|words| {
        let by = line.answered_by.unwrap_or_default();
        format!("answered by entry {by}: {words}")
    });
    Checked {
        since: Some(line.since),
        notes: answered
            .into_iter()
            .chain(settled_words(&line.settled_by))
            .collect(),
        ..Checked::new(&line.finding)
    }
}

fn settled_words(by: &[i64]) -> Option<String> {
    let entries: Vec<String> = by.iter().map(ToString::to_string).collect();
    let plural = if by.len() == 1 { "entry" } else { "entries" };
    let words = format!("resolved by {plural} {}", entries.join(", "));
    (!by.is_empty()).then_some(words)
}

/// What is held.
pub fn held_report(answer: &HeldAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} on hold, {} resolved",
        answer.lines.len(),
        answer.resolved
    ));
    let mut table = Table::new(&["item", "who", "of", "what"]);
    for line in &answer.lines {
        table.row([
            line.item.clone(),
            line.person.clone().unwrap_or_default(),
            line.of.clone(),
            format!("{}: {}", line.why, line.about),
        ]);
    }
    report.table(table);
    if !answer.lines.is_empty() {
        report.gap();
        report.line("To resolve one:");
        report.under("wearbook hold resolve ITEM --counts --reason WHY");
        report.under("wearbook hold resolve ITEM --does-not-count --reason WHY");
        report.under("wearbook hold resolve ITEM --is ID --reason WHY   (who or what was meant)");
        report.under("wearbook entry correct ENTRY FIELD=VALUE --reason WHY   (a wrong figure)");
        report.caution(
            "A reading on hold is not in the total; the conservative total, which the levels use, \
             counts it until it is resolved.",
        );
    }
    report
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rule::Status;

    fn line(severity: Severity, day: u32) -> FindingLine {
        let finding = Finding {
            severity,
            check: format!("check of {}", severity_word(severity)),
            subject: format!("W{day:02}"),
            what: format!("found on day {day}"),
            rule: String::new(),
            citation: String::new(),
            status: Status::Read,
            remedy: String::new(),
            entries: vec![i64::from(day)],
            private: false,
        };
        FindingLine {
            key: finding.key(),
            finding,
            since: Day::from_ymd_opt(2026, 5, day).unwrap(),
            answer: None,
            answered_by: None,
            settled_by: Vec::new(),
        }
    }

    #[test]
    fn of_many_the_newest_are_listed_and_what_stops_somebody_whole() {
        let days = || 1..=25;
        let stops = days().map(|it| line(Severity::Stop, it));
        let answer = FindingsAnswer {
            first: Day::from_ymd_opt(2026, 5, 1).unwrap(),
            last: Day::from_ymd_opt(2026, 5, 31).unwrap(),
            on: Day::from_ymd_opt(2026, 5, 30).unwrap(),
            lines: stops
                .chain(days().map(|it| line(Severity::Watch, it)))
                .collect(),
            answered: 0,
            confirm: String::new(),
        };
        let told = |all| format!("{:?}", findings_report(&answer, all));
        let count = |text: &str, what: &str| text.matches(what).count();
        let short = told(false);
        assert!(short.contains("25 stop, 0 act, 25 watch"), "{short}");
        // Days 1 to 5 of what stops nobody are left out.
        for day in days() {
            let wanted = if day > 5 { 2 } else { 1 };
            let what = format!("{:?}", format!("found on day {day}"));
            assert_eq!(count(&short, &what), wanted, "{what}: {short}");
        }
        assert!(short.contains("and 5 more"), "{short}");
        // Of the same days.
        let same = "wearbook findings --from 2026-05-01 --to 2026-05-31 --on 2026-05-30 --all";
        assert!(short.contains(same), "{short}");
        let whole = told(true);
        assert_eq!(count(&whole, "found on day"), 50, "{whole}");
        assert!(!whole.contains("--all"), "{whole}");
    }
}

//! Doses of one person and of the crew.

use super::finding::finding_lines;
use super::report::{Report, Table};
use crate::answer::{CrewAnswer, DoseAnswer, LevelLine};

/// One worker's dose; with `why`, down to the entries.
pub fn dose_report(answer: &DoseAnswer, why: bool) -> Report {
    let mut report = Report::new(format!(
        "{} {}, {} to {}",
        answer.worker, answer.name, answer.first, answer.last
    ));
    report.gap();
    let mut totals = Table::new(&[
        "dose",
        "account",
        "of record",
        "provisional",
        "prior",
        "apportioned",
        "safe side",
    ]);
    for line in &answer.totals {
        totals.row([
            line.quantity.clone(),
            line.account.shown.clone(),
            line.account.of_record.shown.clone(),
            line.account.provisional.shown.clone(),
            line.account.prior.shown.clone(),
            line.account.apportioned.shown.clone(),
            line.safe_side.shown.clone(),
        ]);
    }
    report.table(totals);
    if !answer.raised_by.is_empty() {
        report.line("The safe-side figure, which the levels use, is higher because:");
        for raised in &answer.raised_by {
            report.under(raised.clone());
        }
    }
    report.gap();
    report.line(format!("Levels on {}:", answer.on));
    report.table(levels_table(&answer.levels));
    for level in &answer.levels {
        for words in &level.words {
            report.under(format!("{}: {words}", level.level));
        }
    }
    if !answer.findings.is_empty() {
        report.gap();
        for finding in &answer.findings {
            finding_lines(&mut report, finding, &finding.key());
        }
    }
    if why {
        report.gap();
        report.line("What makes up the account (deep dose):");
        let mut table = Table::new(&["day", ">deep", "class", ">entry", "how"]);
        for line in &answer.why {
            let day = if line.first == line.last {
                line.first.to_string()
            } else {
                format!("{} to {}", line.first, line.last)
            };
            table.row([
                day,
                line.deep.clone(),
                line.class.clone(),
                line.entry.to_string(),
                line.words.join("; "),
            ]);
        }
        report.table(table);
    } else {
        report.gap();
        report.line(format!(
            "Each number down to its entries: wearbook dose show {} --from {} --to {} --why",
            answer.worker, answer.first, answer.last
        ));
    }
    if let Some(convention) = &answer.convention {
        report.caution(convention.clone());
    }
    report.caution(answer.confirm.clone());
    report
}

/// The levels of one person, as a table.
fn levels_table(levels: &[LevelLine]) -> Table {
    let mut table = Table::new(&["level", ">of", "used", ">share", "left", "window", "rule"]);
    for line in levels {
        let cut = if line.cut.nsv > 0 {
            format!("{}\nless {}", line.limit.shown, line.cut.shown)
        } else {
            line.limit.shown.clone()
        };
        table.row([
            format!("{}\n{}", line.level, line.sort),
            cut,
            line.safe_side.clone(),
            line.share.clone(),
            line.left.clone(),
            format!("{}\n{}", line.first, line.last),
            line.citation.clone(),
        ]);
    }
    table
}

/// Everybody's dose, one line a person.
pub fn crew_report(answer: &CrewAnswer) -> Report {
    let mut report = Report::new(format!(
        "Deep dose of everybody, {} to {}; levels on {}",
        answer.first, answer.last, answer.on
    ));
    report.gap();
    let mut table = Table::new(&[
        "",
        "id",
        "name",
        "account",
        "safe side",
        "nearest level",
        ">share",
        "left",
    ]);
    for line in &answer.lines {
        let (level, share, left) = match &line.nearest {
            Some(it) => (it.level.clone(), it.share.clone(), it.left.clone()),
            None => ("-".into(), "-".into(), "-".into()),
        };
        table.row([
            if line.stop { "STOP" } else { "" }.to_owned(),
            line.worker.clone(),
            line.name.clone(),
            line.account.shown.clone(),
            line.safe_side.shown.clone(),
            level,
            share,
            left,
        ]);
    }
    report.table(table);
    report.line(format!("Everybody together: {}", answer.collective));
    let stopped: Vec<_> = answer.lines.iter().filter(|line| line.stop).collect();
    if !stopped.is_empty() {
        report.gap();
        for line in stopped {
            report.line(format!("STOP {} {}: {}", line.worker, line.name, line.why));
        }
    }
    report.caution(
        "Provisional doses are readings, not yet the dose of record; levels use the safe-side \
         figure.",
    );
    report.caution(answer.confirm.clone());
    report
}

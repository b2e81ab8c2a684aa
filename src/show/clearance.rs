//! Who may work, and readings against badges.

use super::finding::finding_lines;
use super::report::{Report, Table};
use crate::answer::{ClearanceAnswer, ReconcileAnswer};

/// Who may work.
pub fn clearance_report(answer: &ClearanceAnswer) -> Report {
    let stopped: Vec<_> = answer.lines.iter().filter(|it| !it.may_work).collect();
    let mut report = Report::new(format!(
        "Who may work on {}: {} may, {} may not",
        answer.on,
        answer.lines.len() - stopped.len(),
        stopped.len()
    ));
    report.gap();
    let mut table = Table::new(&["", "id", "name", "nearest level", ">share", ">left of it"]);
    for line in &answer.lines {
        let (level, share, left) = match &line.nearest {
            Some(it) => (it.words(), it.share.clone(), it.left_short.clone()),
            None => ("-".into(), "-".into(), "-".into()),
        };
        table.row([
            if line.may_work { "may" } else { "STOP" }.to_owned(),
            line.worker.clone(),
            line.name.clone(),
            level,
            share,
            left,
        ]);
    }
    report.table(table.in_unit(&answer.unit));
    for line in stopped {
        report.gap();
        report.line(format!(
            "{} {} may not work, because:",
            line.worker, line.name
        ));
        for reason in &line.reasons {
            finding_lines(&mut report, reason, &reason.key());
        }
        for clock in &line.clocks {
            report.under(clock.clone());
        }
    }
    report.caution(answer.caution.clone());
    report.caution(answer.confirm.clone());
    report
}

/// Readings against badge results.
pub fn reconcile_report(answer: &ReconcileAnswer) -> Report {
    let beyond = answer.lines.iter().filter(|it| it.beyond).count();
    let mut report = Report::new(format!(
        "Readings against badges, periods that ended {} to {}: {} compared, {beyond} beyond the band",
        answer.first,
        answer.last,
        answer.lines.len()
    ));
    report.gap();
    let mut table = Table::new(&[
        "id",
        "badge",
        "worn",
        ">readings",
        ">result",
        ">ratio",
        "agreement",
    ]);
    for line in &answer.lines {
        table.row([
            line.worker.clone(),
            line.badge.clone(),
            format!("{}\n{}", line.first, line.last),
            line.readings.shown.clone(),
            line.result.clone(),
            line.ratio.clone(),
            line.agreement.clone(),
        ]);
    }
    report.table(table.in_unit(&answer.unit));
    report.gap();
    let mut totals = Table::new(&[
        "id",
        ">readings",
        ">results",
        ">ratio",
        ">within",
        ">readings below",
        ">readings above",
    ]);
    for total in &answer.totals {
        totals.row([
            total.worker.clone(),
            total.readings.shown.clone(),
            total.results.shown.clone(),
            total.ratio.clone(),
            total.within.to_string(),
            total.below.to_string(),
            total.above.to_string(),
        ]);
    }
    report.table(totals.in_unit(&answer.unit));
    for line in answer.lines.iter().filter(|it| it.beyond) {
        report.gap();
        report.line(format!(
            "{} {} ({} to {}): {}; usual explanations:",
            line.worker, line.badge, line.first, line.last, line.agreement
        ));
        for words in &line.explanations {
            report.under(words.clone());
        }
    }
    report.caution(answer.band.clone());
    report.caution(answer.confirm.clone());
    report
}

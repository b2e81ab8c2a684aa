//! Readings against badges.

use chrono::Datelike;

use crate::answer::ReconcileAnswer;
use crate::show::report::{Report, Table};
use crate::show::review::finding::{Checked, by_check};

/// Readings against badge results.
pub fn reconcile_report(answer: &ReconcileAnswer) -> Report {
    let mut report = Report::new(format!(
        "Readings against badges, periods that ended {} to {}: {}",
        answer.first,
        answer.last,
        answer.counts.words()
    ));
    report.gap();
    report.table(periods(answer).in_unit(&answer.unit));
    if !answer.totals.is_empty() {
        report.gap();
        report.line(format!(
            "Together, periods that ended {} to {}; left out: below the processor's minimum",
            answer.together_first, answer.last
        ));
        report.table(totals(answer).in_unit(&answer.unit));
    }
    if !answer.years_to_date.is_empty() {
        report.gap();
        report.line(format!(
            "The processor's year to date against the records here: {} compared; listed are the \
             last of each year and each where the difference changes",
            answer.years_to_date.len()
        ));
        report.table(years(answer).in_unit(&answer.unit));
    }
    if !answer.without_badge.is_empty() {
        report.gap();
        report.line("Shifts that no badge on issue speaks for");
        report.table(without_badge(answer));
    }
    findings(&mut report, answer);
    report.caution(answer.assumes.clone());
    report.caution(answer.band.clone());
    report.caution(answer.confirm.clone());
    report
}

fn periods(answer: &ReconcileAnswer) -> Table {
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
    table
}

fn totals(answer: &ReconcileAnswer) -> Table {
    let mut table = Table::new(&[
        "id",
        ">periods",
        ">left out",
        ">readings",
        ">results",
        ">mean ratio",
        "interval",
        "together",
    ]);
    for total in &answer.totals {
        table.row([
            total.worker.clone(),
            total.compared.to_string(),
            total.below_minimum.to_string(),
            total.readings.shown.clone(),
            total.results.shown.clone(),
            total.ratio.clone(),
            total.interval.clone(),
            total.words.clone(),
        ]);
    }
    table
}

fn years(answer: &ReconcileAnswer) -> Table {
    let mut table = Table::new(&[
        "id",
        "through",
        ">processor",
        ">results",
        ">prior",
        ">difference",
        "",
        ">entry",
    ]);
    let all = &answer.years_to_date;
    for (at, line) in all.iter().enumerate() {
        let goes_on = all.get(at + 1).is_some_and(|next| {
            next.worker == line.worker && next.through.year() == line.through.year()
        });
        if goes_on && !line.changed {
            continue;
        }
        let said = match (line.difference.nsv, line.beyond) {
            (0, _) => "the same",
            (_, false) => "differs, in band",
            (_, true) => "BEYOND the band",
        };
        table.row([
            line.worker.clone(),
            line.through.to_string(),
            line.theirs.shown.clone(),
            line.ours.shown.clone(),
            line.prior.shown.clone(),
            line.difference.shown.clone(),
            said.to_owned(),
            line.entry.to_string(),
        ]);
    }
    table
}

fn without_badge(answer: &ReconcileAnswer) -> Table {
    let mut table = Table::new(&["id", ">shifts", "why", "days"]);
    for line in &answer.without_badge {
        let days: Vec<String> = line.days.iter().map(ToString::to_string).collect();
        table.row([
            line.worker.clone(),
            line.days.len().to_string(),
            line.why.clone(),
            days.join(", "),
        ]);
    }
    table
}

/// What somebody has to look into; each rule, and the usual explanations of
/// each way of disagreeing, once.
fn findings(report: &mut Report, answer: &ReconcileAnswer) {
    if answer.findings.is_empty() {
        return;
    }
    let found: Vec<Checked<'_>> = answer.findings.iter().map(Checked::new).collect();
    by_check(report, &found);
    let mut ways: Vec<&str> = Vec::new();
    let lines = answer.lines.iter().filter(|it| it.by_itself);
    let lines = lines.map(|it| (&it.agreement, &it.explanations));
    let totals = answer.totals.iter().filter(|it| it.differs);
    for (way, explanations) in lines.chain(totals.map(|it| (&it.words, &it.explanations))) {
        if !ways.contains(&way.as_str()) {
            ways.push(way);
            report.gap();
            report.line(format!("{way}; usual explanations, at either dosimeter:"));
            for words in explanations {
                report.under(words.clone());
            }
        }
    }
}

//! The sheet on top of the packet of somebody who leaves: what is asked for by when, what is
//! awaited, the dose beside its conservative total, and which pages go with it.

use crate::answer::{BadgeAt, LeaverAnswer, MonitoringEnd};
use crate::show::dose::account::under;
use crate::show::report::{Report, Table};
use crate::show::review::statement::standing;

/// Where a badge is, and what brings its result.
fn place(at: Option<BadgeAt>) -> (&'static str, &'static str) {
    match at {
        Some(BadgeAt::OnIssue) => ("on issue", "take it back: wearbook badge return"),
        Some(BadgeAt::HandedIn) => ("handed in, not sent", "wearbook badge send"),
        Some(BadgeAt::AtProcessor) => ("at the processor", "wearbook badge result"),
        Some(BadgeAt::ToBeRead) => ("not read since", "read it: wearbook badge read"),
        None => (
            "lost or damaged: no result will come",
            "the RSO determines the dose: wearbook determination enter",
        ),
    }
}

/// The sheet on top. `files` are the names of the pages that lie under it.
pub fn leaver_report(it: &LeaverAnswer, files: &[String]) -> Report {
    let (worker, name) = (&it.worker, &it.name);
    let mut report = Report::new(format!("{worker} {name} leaves: last day {}", it.on));
    report.line(format!("made on {}", it.made_on));
    if it.is_estimate() {
        report.line(
            "ESTIMATE: some figures are not final. The page says so; a report with the final \
             figures takes its place.",
        );
    }
    doubts(&mut report, it);
    asked(&mut report, it);
    report.section("What is awaited");
    if it.awaited.is_empty() {
        report.line(match it.is_estimate() {
            true => "No badge. Why figures are not final stands under the doses of each page.",
            false => "Nothing.",
        });
    } else {
        let mut table = Table::new(&["badge", "worn", "where it is", "next"]);
        for one in &it.awaited {
            let (at, next) = place(one.at);
            let worn = format!("{} to {}", one.first, one.last);
            table.row([one.badge.clone(), worn, at.to_owned(), next.to_owned()]);
        }
        report.table(table);
    }
    doses(&mut report, it);
    pages(&mut report, it, files);
    report.caution(it.confirm.clone());
    report
}

/// What on record does not fit the last day.
fn doubts(report: &mut Report, it: &LeaverAnswer) {
    let command = format!(
        "wearbook worker monitoring --worker {} --on {} --change ends",
        it.worker, it.on
    );
    match it.monitoring {
        MonitoringEnd::ThatDay => {}
        MonitoringEnd::Other(day) => report.line(format!(
            "On record monitoring ended on {day}, not on {}: correct the one that is wrong.",
            it.on
        )),
        MonitoringEnd::Open => {
            report.line(format!("On record monitoring has no end: {command}"));
        }
    }
    if it.dose_after {
        report.line(format!(
            "NOT ALL OF IT: dose after {} is on record (a shift, or a badge worn longer) and is in \
             none of these figures. Name the last day on which the person or the badge was \
             exposed.",
            it.on
        ));
    }
}

fn asked(report: &mut Report, it: &LeaverAnswer) {
    report.section("What is asked for by when");
    match &it.asked_by {
        Some(rule) => {
            let cited = under(Some(&rule.citation));
            report.line(format!("By {}: {}{cited}", it.on, rule.meaning));
        }
        None => report.line(
            "This rule set has no rule about a person who leaves: ask your \
                             authority.",
        ),
    }
    if let Some(after) = &it.afterwards {
        let cited = under(Some(&after.rule.citation));
        report.line(format!(
            "Afterwards, within {}: {}{cited}",
            crate::text::counted(after.days, "day", "days"),
            after.rule.meaning
        ));
    }
}

fn doses(report: &mut Report, it: &LeaverAnswer) {
    let year = it.current.year;
    report.section(format!("The dose of {year} up to {}", it.on));
    let mut table = Table::new(&["", ">dose", "standing", ">on the conservative side"]);
    for (item, safe) in it.current.items.iter().zip(&it.current.safe_items) {
        table.row([
            item.code.clone(),
            item.shown.clone(),
            standing(item.standing).to_owned(),
            safe.shown.clone(),
        ]);
    }
    report.table(table);
    report.line(
        "Conservative total: what is on hold, in conflict or provisional at its higher figure, \
         for whoever plans the person's next work. The dose on the page is what the records say.",
    );
}

fn pages(report: &mut Report, it: &LeaverAnswer, files: &[String]) {
    report.section("What goes with this sheet");
    for (file, statement) in files.iter().zip(it.statements()) {
        let year = statement.year;
        let given = statement.to_be_given();
        let words = standing(statement.standing());
        report.line(format!("{file}: the statement of {year}, {words}; {given}"));
    }
    report.line(
        "This ledger does not keep which statements the person already has: leave out those \
         that were given.",
    );
    if !it.not_in_it.is_empty() {
        let years: Vec<String> = it.not_in_it.iter().map(ToString::to_string).collect();
        let least = it.not_in_it.iter().min().copied().unwrap_or_default();
        report.line(format!(
            "Not included, as not asked for: {}; --since {least} adds them.",
            years.join(", ")
        ));
    }
}

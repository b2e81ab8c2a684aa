//! One instrument or item of equipment, what falls due, and checks with their points.

use crate::answer::{CheckLine, DueAnswer, DueLine, ItemAnswer, LookBackLine};
use crate::intake::Assessed;
use crate::show::report::{Report, Table};

fn due_table(lines: &[DueLine], with_item: bool) -> Table {
    let mut headings = vec!["", "what", "last", "in time to", "state", "rule"];
    if with_item {
        headings.insert(1, "item");
    }
    let mut table = Table::new(&headings);
    for line in lines {
        let mark = match line.state {
            crate::answer::DueState::InTime => "",
            _ => "STOP",
        };
        let day =
            |day: Option<crate::calendar::Day>| day.map_or_else(String::new, |day| day.to_string());
        let mut row = vec![
            mark.to_owned(),
            line.what.clone(),
            day(line.last),
            day(line.due),
            line.words.clone(),
            line.rule.clone(),
        ];
        if with_item {
            row.insert(1, line.item.clone());
        }
        table.rows.push(row);
    }
    table
}

/// What falls due.
pub fn due_report(answer: &DueAnswer) -> Report {
    let mut report = Report::new(format!(
        "{}: due within {} of {}, or overdue",
        match answer.noun.as_str() {
            "instrument" => "Instruments",
            _ => "Equipment",
        },
        crate::text::counted(answer.within, "day", "days"),
        answer.on
    ));
    report.gap();
    report.table(due_table(&answer.lines, true));
    if answer.lines.is_empty() {
        report.line("Nothing.");
    }
    if !answer.out_of_service.is_empty() {
        report.gap();
        report.line(format!(
            "Out of service and not listed: {}",
            answer.out_of_service.join(", ")
        ));
    }
    report.caution(answer.confirm.clone());
    report
}

/// Thousandths as per cent.
fn percent(permille: i64) -> String {
    let sign = if permille < 0 { "-" } else { "+" };
    let size = permille.unsigned_abs();
    format!("{sign}{}.{} %", size / 10, size % 10)
}

fn points(report: &mut Report, check: &CheckLine) {
    let mut table = Table::new(&["as", ">scale", ">true", ">showed", ">off by", ""]);
    for point in &check.points {
        table.row([
            point.state.to_owned(),
            point.scale.clone(),
            point.true_value.clone(),
            point.reads.clone(),
            point.error_permille.map(percent).unwrap_or_default(),
            match point.within {
                Some(true) => "",
                Some(false) => "BEYOND TOLERANCE",
                None => "cannot be judged",
            }
            .to_owned(),
        ]);
    }
    report.table(table);
    for reason in &check.reasons {
        report.under(reason.clone());
    }
    for gap in &check.gaps {
        report.under(format!("lacking: {gap}"));
    }
    for it in &check.corrections {
        let of = it
            .scale
            .as_ref()
            .map_or(String::new(), |scale| format!(" on {scale}"));
        report.under(format!(
            "correction{of}: multiply what it shows by {}.{:03} (an estimate from {})",
            it.permille / 1000,
            it.permille % 1000,
            counted(it.points, "point")
        ));
    }
}

fn counted(count: usize, what: &str) -> String {
    match count {
        1 => format!("1 {what}"),
        count => format!("{count} {what}s"),
    }
}

fn look_back(report: &mut Report, line: &LookBackLine) {
    let since = line
        .good_on
        .map_or("ever, for want of a good check".to_owned(), |day| {
            format!("since its last good check on {day}")
        });
    report.line(format!(
        "LOOK BACK {} as found on {}: used {} {since}",
        line.worst,
        line.failed_on,
        counted(line.uses, "time")
    ));
    if let Some(shown) = &line.shown {
        let after = line.raised.as_ref().map_or_else(
            || "no upper bound can be given: the RSO determines the dose".to_owned(),
            |it| format!("at its worst point {it}: an estimate; the conservative total counts it"),
        );
        report.under(format!("readings in sum {shown}; {after}"));
    }
    if line.entries.is_empty() {
        return;
    }
    let entries: Vec<String> = line.entries.iter().take(12).map(i64::to_string).collect();
    let more = match line.entries.len().saturating_sub(12) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    report.under(format!("sheets: entries {}{more}", entries.join(", ")));
}

/// The parts that are installed, and those that were.
fn parts(report: &mut Report, answer: &ItemAnswer) {
    if answer.parts.is_empty() {
        return;
    }
    report.gap();
    report.line("Parts:");
    let headings = [
        "component",
        "fitted",
        "until",
        "serial",
        "lot",
        ">cycles",
        ">entry",
    ];
    let mut table = Table::new(&headings);
    for part in &answer.parts {
        table.row([
            part.component.clone(),
            part.installed_on.to_string(),
            part.until.map(|it| it.to_string()).unwrap_or_default(),
            part.serial.clone().unwrap_or_default(),
            part.lot.clone().unwrap_or_default(),
            format!(">= {}", part.cycles_at_least),
            part.entry.to_string(),
        ]);
    }
    report.table(table);
    for part in &answer.parts {
        if let Some(figures) = &part.figures {
            let (component, on) = (&part.component, part.installed_on);
            report.under(format!("figures of the {component} of {on}: {figures}"));
        }
    }
}

/// Everything of one thing.
pub fn item_report(answer: &ItemAnswer) -> Report {
    const SHOWN: usize = 4;
    let mut report = Report::new(format!(
        "{} ({}, serial {}), {} on {}",
        answer.id, answer.kind, answer.serial, answer.state, answer.on
    ));
    if let Some(source) = &answer.source {
        report.line(source.clone());
    }
    for words in &answer.category {
        report.line(words.clone());
    }
    report.gap();
    report.table(due_table(&answer.due, false));
    parts(&mut report, answer);
    for check in answer.checks.iter().take(SHOWN) {
        report.gap();
        let certificate = check.certificate.as_deref();
        let certificate = certificate.map_or(String::new(), |it| format!(", certificate {it}"));
        report.line(format!(
            "{} of {} by {}{certificate}: {} (entry {})",
            check.kind,
            check.on,
            check.by,
            if check.passed { "pass" } else { "FAIL" },
            check.entry
        ));
        points(&mut report, check);
    }
    if answer.checks.len() > SHOWN {
        report.line(format!("and {} checks before", answer.checks.len() - SHOWN));
    }
    for line in &answer.look_backs {
        report.gap();
        look_back(&mut report, line);
    }
    if !answer.life.is_empty() {
        report.gap();
        let mut table = Table::new(&["day", "what", "by", ">entry"]);
        for line in &answer.life {
            table.row([
                line.on.to_string(),
                line.what.clone(),
                line.by.clone(),
                line.entry.to_string(),
            ]);
        }
        report.table(table);
    }
    report.caution(answer.confirm.clone());
    report
}

/// What calibrations that were taken in say.
pub fn calibrations_report(all: &[Assessed]) -> Report {
    const SHOWN: usize = 20;
    let mut report = Report::new(match all.len() {
        1 => "1 check".to_owned(),
        count => format!("{count} checks"),
    });
    for it in all.iter().take(SHOWN) {
        let assessment = &it.assessment;
        let good = assessment.left_ok != Some(false);
        let found_wrong = assessment.found_ok == Some(false);
        report.line(format!(
            "{} on {}: {}{}",
            it.instrument,
            it.on,
            if good && !assessment.gaps.is_empty() {
                "within tolerance, NOT WHOLE"
            } else if good {
                "within tolerance"
            } else {
                "BEYOND TOLERANCE"
            },
            if found_wrong && good {
                " as left, NOT as found"
            } else {
                ""
            }
        ));
        for reason in &assessment.reasons {
            report.under(reason.clone());
        }
        for gap in &assessment.gaps {
            report.under(format!("lacking: {gap}"));
        }
        if found_wrong {
            let id = &it.instrument;
            report.under(format!(
                "look back at what it measured: wearbook instrument show {id}"
            ));
        }
    }
    if all.len() > SHOWN {
        report.line(format!("and {} more", all.len() - SHOWN));
    }
    report
}

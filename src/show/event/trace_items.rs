//! The part of a trace that tells of its items one by one.

use crate::answer::{TraceAnswer, TraceRow, WearThen};
use crate::record::{Coverage, Words};
use crate::show::report::{Report, Table};
use crate::trace::required::{Met, Required};
use crate::trace::verdict::{Mark, Seen};

/// How many inspections of an item are printed, the last ones; the JSON has all.
const INSPECTIONS: usize = 5;

/// Of how many looks the short form prints.
const FEW_INSPECTIONS: usize = 3;

/// Item by item: with `all` each that may have shown it, else those that could.
pub(crate) fn item_by_item(report: &mut Report, answer: &TraceAnswer, all: bool) {
    // Of what cannot show it by the list's data nothing more is to be told.
    let told = |it: &&TraceRow| {
        let covered = &it.verdict.covered;
        match all {
            true => covered.coverage != Coverage::CannotDetect || covered.is_concluded(),
            false => covered.coverage == Coverage::CanDetect,
        }
    };
    let mut before: Vec<&TraceRow> = Vec::new();
    for row in answer.rows.iter().filter(told) {
        match before.is_empty() {
            true => report.section("Item by item"),
            false => report.gap(),
        }
        let because = &row.verdict.record.because;
        let same = before
            .iter()
            .find(|it| it.verdict.record.because == *because);
        match same.filter(|_| !all) {
            Some(same) => {
                report.line(row_heading(row));
                report.under(format!(
                    "could it detect? {}",
                    row.verdict.covered.said_by()
                ));
                report.under(format!(
                    "the record shows: the same as for {} {}",
                    same.equipment, same.item
                ));
            }
            None => details(report, row, all),
        }
        before.push(row);
    }
}

fn row_heading(row: &TraceRow) -> String {
    format!(
        "{} {}: {}; {}",
        row.equipment,
        row.item,
        row.verdict.covered.coverage.word(),
        row.verdict.record.word
    )
}

fn details(report: &mut Report, row: &TraceRow, all: bool) {
    report.line(row_heading(row));
    for line in detail_lines(row, all) {
        report.under(line);
    }
    let inspections = last_inspections(row, if all { INSPECTIONS } else { FEW_INSPECTIONS });
    let mut table = Table::new(&["done", "for", "by", "found", "counts as", ">entry"]);
    for seen in &inspections {
        table.row(inspection_cells(seen));
    }
    report.table(table);
    let more = row.verdict.seen.len().saturating_sub(inspections.len());
    match more {
        0 => {}
        1 => report.under("and 1 earlier inspection: --json has them all"),
        _ => report.under(format!(
            "and {more} earlier inspections: --json has them all"
        )),
    }
}

/// Everything about one verdict but its looks, a line each.
fn detail_lines(row: &TraceRow, all: bool) -> Vec<String> {
    let verdict = &row.verdict;
    let mut lines = vec![
        match all {
            true => format!(
                "examines: {} ({}; {})",
                row.how,
                row.when.join(", "),
                row.basis
            ),
            false => format!("examines: {}", row.how),
        },
        format!("could it detect? {}", verdict.covered.said_by()),
        format!("the record shows: {}", verdict.record.because),
    ];
    if let Some(it) = &verdict.as_if_before {
        lines.push(format!(
            "if all had been before the event whose order is unknown: {} ({})",
            it.word, it.because
        ));
    }
    if let Some(it) = &verdict.as_claimed {
        lines.push(format!(
            "if entries made after the event are accepted: {} ({})",
            it.word, it.because
        ));
    }
    for it in &verdict.flags {
        let entry = format!("(entry {})", it.entry);
        let entry = if it.what.ends_with(&entry) {
            String::new()
        } else {
            format!(" {entry}")
        };
        lines.push(format!("FLAG {}: {}{entry}", it.flag.word(), it.what));
    }
    let missed = |it: &&Required| all || !matches!(it.met, Met::By(_));
    for it in verdict.required.iter().filter(missed) {
        let met = match it.met {
            Met::By(entry) => format!("entry {entry}"),
            Met::OrderUnknown(entry) => format!("entry {entry}, ORDER UNKNOWN"),
            Met::ByClaim(entry) => format!("only entry {entry}, written after the event"),
            Met::No => "NOT ON RECORD".to_owned(),
        };
        lines.push(format!("required: {}: {met}", it.what));
    }
    if let Some(it) = &verdict.last_good {
        let unsaid = match it.sheets_without_count {
            0 => String::new(),
            1 => "; 1 sheet does not say how many".to_owned(),
            count => format!("; {count} sheets do not say how many"),
        };
        let days = match (it.days, it.days_at_most) {
            (days, most) if days == most => crate::text::counted(days, "day", "days"),
            (days, most) => format!("{days} to {most} days"),
        };
        lines.push(format!(
            "last good {} by {} (entry {}): {days} and at least {} before the \
             event{unsaid}",
            it.on,
            it.by,
            it.entry,
            crate::text::counted(it.cycles_at_least, "cycle", "cycles")
        ));
    }
    lines.extend(row.wear.as_ref().map(wear_words));
    lines
}

fn wear_words(it: &WearThen) -> String {
    let mut text = format!(
        "wear as known then, an estimate: {} from {}, limit {}, at least {}",
        it.outlook,
        crate::text::counted(it.points, "measure", "measures"),
        it.limit,
        crate::text::counted(it.cycles_at_least, "cycle", "cycles")
    );
    if let Some(late) = &it.outlook_at_latest {
        text.push_str(&format!("; at the latest day of the event: {late}"));
    }
    for (name, day) in [
        ("first credible at the limit", it.earliest),
        ("likely at the limit", it.likely),
    ] {
        if let Some(day) = day {
            text.push_str(&format!("; {name} {day}"));
        }
    }
    text.push_str(&format!("; foreseeable {}", it.foreseeable_words));
    text
}

/// The inspections that are printed: the last `count`, and each that does not simply count.
fn last_inspections(row: &TraceRow, count: usize) -> Vec<&Seen> {
    let seen = &row.verdict.seen;
    let first = seen.len().saturating_sub(count);
    let told = |(at, it): &(usize, &Seen)| {
        let plain = matches!(it.mark, Mark::Counts | Mark::OtherPart | Mark::After);
        *at >= first || !plain
    };
    seen.iter()
        .enumerate()
        .filter(told)
        .map(|(_, it)| it)
        .collect()
}

/// An inspection as cells: done, occasion, by, found, how it counts, entry.
fn inspection_cells(seen: &Seen) -> [String; 6] {
    let inspection = &seen.inspection;
    let value = inspection.value.as_deref().map(|it| format!(" {it}"));
    let later = seen.later.as_ref().map(|it| {
        let value = it.value.as_deref().map(|it| format!(" {it}"));
        let value = value.unwrap_or_default();
        format!("; now {}{value} (entry {})", it.found(), it.entry)
    });
    let from_paper = if inspection.transcribed {
        ", from paper"
    } else {
        ""
    };
    let written = match seen.mark {
        Mark::Claimed if inspection.clock_doubted => {
            ", by a clock that cannot be trusted".to_owned()
        }
        Mark::Claimed => format!(", written {}", inspection.written.day),
        _ => String::new(),
    };
    [
        inspection.moment.to_string(),
        inspection.occasion.word().to_owned(),
        inspection.by.clone(),
        format!("{}{}", inspection.found(), value.unwrap_or_default()),
        format!(
            "{}{written}{from_paper}{}",
            seen.mark.word(),
            later.unwrap_or_default()
        ),
        inspection.entry.to_string(),
    ]
}

//! Entries, what an intake wrote, and the verification of the ledger.

use crate::answer::{EntryAnswer, FieldLine};
use crate::intake::{Taken, TakenItem};
use crate::ledger::{Verification, Written, head_text};
use crate::show::report::{Report, Table};

/// One entry with its fields.
pub fn entry_report(it: &EntryAnswer) -> Report {
    let mut report = Report::new(format!("Entry {} ({})", it.entry, it.kind));
    report.line(format!(
        "written {} by {} (system user {})",
        it.written_at, it.written_by, it.os_user
    ));
    if let (Some(ends), Some(reason)) = (it.ends, &it.reason) {
        let verb = if it.void { "voids" } else { "replaces" };
        report.line(format!("{verb} entry {ends}: {reason}"));
    }
    if it.transcribed {
        report.line("copied from paper");
    }
    if it.newest != it.entry {
        report.line(format!(
            "no longer current: the newest of this record is entry {}",
            it.newest
        ));
    }
    let mut table = Table::new(&["field", "value", "means"]);
    for line in &it.fields {
        table.row([
            line.field.clone(),
            line.value.clone(),
            line.means.clone().unwrap_or_default(),
        ]);
    }
    report.gap();
    report.table(table);
    report.line(format!("hash {}", it.hash));
    report
}

/// The versions of a record, oldest first, each with what it changed.
pub fn history_report(versions: &[EntryAnswer]) -> Report {
    let kind = versions
        .first()
        .map(|it| it.kind.clone())
        .unwrap_or_default();
    let record = versions.first().map_or(0, |it| it.record);
    let mut report = Report::new(format!(
        "Record {record} ({kind}), {}",
        crate::text::counted(versions.len(), "version", "versions")
    ));
    let mut before: &[FieldLine] = &[];
    for version in versions {
        report.gap();
        report.line(format!(
            "entry {}  {}  by {} (system user {})",
            version.entry, version.written_at, version.written_by, version.os_user
        ));
        if let Some(reason) = &version.reason {
            let verb = if version.void { "void" } else { "corrected" };
            report.under(format!("{verb}: {reason}"));
        }
        for line in changes(before, &version.fields) {
            report.under(line);
        }
        if !version.void {
            before = &version.fields;
        }
    }
    report
}

fn changes(before: &[FieldLine], now: &[FieldLine]) -> Vec<String> {
    if now.is_empty() {
        return Vec::new();
    }
    let words = |line: &FieldLine| match &line.means {
        Some(means) => format!("{} ({means})", line.value),
        None => line.value.clone(),
    };
    let find =
        |lines: &[FieldLine], field: &str| lines.iter().find(|it| it.field == field).cloned();
    let mut lines = Vec::new();
    for line in now {
        match find(before, &line.field) {
            None => lines.push(format!("{} = {}", line.field, words(line))),
            Some(was) if was.value != line.value => {
                lines.push(format!(
                    "{} = {} (was {})",
                    line.field,
                    words(line),
                    words(&was)
                ));
            }
            Some(_) => {}
        }
    }
    for was in before {
        if find(now, &was.field).is_none() {
            lines.push(format!("{} is gone (was {})", was.field, words(was)));
        }
    }
    lines
}

/// What an intake wrote.
pub fn taken_report(taken: &Taken, rehearsed: bool) -> Report {
    const SHOWN: usize = 20;
    let new = taken.new_count();
    let there = taken.items.len() - new;
    let heading = match (rehearsed, there) {
        (true, 0) => format!("dry run: {new} would be written"),
        (true, _) => format!("dry run: {new} would be written, {there} are there already"),
        (false, 0) => format!("{new} written"),
        (false, _) => format!("{new} written, {there} were there already"),
    };
    let mut report = Report::new(heading);
    for item in taken.items.iter().take(SHOWN) {
        report.under(item_line(item));
    }
    if taken.items.len() > SHOWN {
        report.under(format!("and {} more", taken.items.len() - SHOWN));
    }
    for held in taken.held.iter().take(SHOWN) {
        report.under(held.clone());
    }
    if taken.held.len() > SHOWN {
        report.under(format!("and {} more on hold", taken.held.len() - SHOWN));
    }
    for note in taken.notes.iter().take(SHOWN) {
        report.under(note.clone());
    }
    if taken.notes.len() > SHOWN {
        report.under(format!(
            "and {}",
            crate::text::counted(taken.notes.len() - SHOWN, "more note", "more notes")
        ));
    }
    if !taken.held.is_empty() {
        report.line("What is on hold is in no total until it is resolved: wearbook hold list");
    }
    report
}

/// What the new records mean, with what was taken; where none is new, what was taken alone.
pub fn with_taken(told: Option<Report>, taken: &Taken, rehearsed: bool) -> Report {
    let written = taken_report(taken, rehearsed);
    let Some(mut report) = told else {
        let mut report = written;
        if !rehearsed {
            report
                .line("Nothing is new. What is open of it: wearbook findings, wearbook hold list");
        }
        return report;
    };
    report.gap();
    report.line(written.heading);
    report.parts.extend(written.parts);
    report
}

fn item_line(item: &TakenItem) -> String {
    let what = format!("{} {}", item.kind, item.key);
    match item.written {
        Written::New { entry, .. } => format!("entry {entry}: {what}"),
        Written::Already {
            entry,
            corrected_by: None,
            ..
        } => format!("already entry {entry}: {what}"),
        Written::Already {
            entry,
            corrected_by: Some(by),
            ..
        } => {
            format!("already entry {entry}, corrected by {by}: {what}")
        }
    }
}

/// What a verification found.
pub fn verification_report(it: &Verification) -> Report {
    let heading = match (it.faults.len(), it.full) {
        (0, true) => "verified in full: the tables say what the chained entries say".to_owned(),
        (0, false) => "entries verified: each fits the chain; tables not checked".to_owned(),
        (1, _) => "NOT VERIFIED: 1 fault".to_owned(),
        (n, _) => format!("NOT VERIFIED: {n} faults"),
    };
    let mut report = Report::new(heading);
    for fault in &it.faults {
        match fault.entry {
            Some(entry) => report.under(format!("entry {entry}: {}", fault.what)),
            None => report.under(fault.what.clone()),
        }
    }
    report.line(match it.full {
        true => "checked: chain of entries, form of the file, tables, pages of the file",
        false => "checked: chain of entries, form of the file",
    });
    if !it.full {
        report.line("NOT checked: the tables that doses are counted from");
        report.line("to check them too: wearbook ledger verify --full");
    }
    if it.other_writer && it.faults.is_empty() {
        report.line(
            "another program had written to the file; it left no change in entries or tables",
        );
    }
    report.line(format!(
        "entries and seal {}",
        head_text(it.count, &it.head)
    ));
    report.caution(
        "The chain shows a changed past to anyone who kept an earlier seal; it cannot prevent the \
         change. Give the seal to someone else, and check it later with --expect.",
    );
    report
}

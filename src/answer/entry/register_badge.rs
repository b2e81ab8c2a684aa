//! Badges and determinations as lists.

use super::register_table::{RegisterAnswer, by_key, table};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::names::Names;
use crate::calendar::Day;
use crate::ledger::{Snapshot, WearRow};
use crate::record::{Body, Determination, Kind, RecordId, Scope, Sheet, Words};

/// Badges in wear on a day, and those before it that have no result yet.
pub(crate) fn badges(house: &OpenHouse<'_>, on: Day) -> Result<RegisterAnswer, AnswerError> {
    let rows = house
        .snapshot
        .wear_open_on(on)?
        .into_iter()
        .map(|it| {
            let worker = it.worker.map(|worker| house.names.label(worker));
            vec![
                it.number.clone(),
                it.kind.word().to_owned(),
                worker.unwrap_or_default(),
                it.first_day.to_string(),
                it.last_day.to_string(),
                state(&it),
                it.entry.to_string(),
            ]
        })
        .collect();
    let columns = [
        "badge",
        "type",
        "worker",
        "first day",
        "last day",
        "state",
        "entry",
    ];
    let note = format!("Badges in wear on {on}, and earlier ones that have no result.");
    Ok(table("badge", &columns, rows, Some(&note)))
}

fn state(wear: &WearRow) -> String {
    let reports = wear
        .results
        .last()
        .map(|it| format!("report {}", it.report));
    let change = || {
        let last = wear.changes.last();
        last.map(|(change, on)| format!("{} {on}", change.word()))
    };
    let waits = match (wear.on_demand, wear.last_read) {
        (false, _) => "issued".to_owned(),
        (true, None) => "read on demand, not read yet".to_owned(),
        (true, Some(on)) => format!("read on demand, last {on}"),
    };
    reports.or_else(change).unwrap_or(waits)
}

/// Every determination, by day.
pub(crate) fn determinations(house: &OpenHouse<'_>) -> Result<RegisterAnswer, AnswerError> {
    let unit = house.unit();
    let terms = house.terms();
    let stored = by_key(house.snapshot.all::<Determination>()?, |it| {
        it.on.to_string()
    });
    let mut rows = Vec::new();
    for it in stored {
        rows.push(vec![
            house.names.label(it.body.worker.number()),
            about(house.snapshot, &house.names, &it.body.scope)?,
            terms.short_of(it.body.quantity.word()).to_owned(),
            it.body.figure(unit),
            it.body.relation.word().to_owned(),
            it.body.on.to_string(),
            house.names.label(it.body.by.number()),
            it.entry.to_string(),
        ]);
    }
    let columns = [
        "worker", "about", "quantity", "dose", "relation", "on", "by", "entry",
    ];
    let note = "A determination is the decision of whoever made it, on the basis that its entry \
                has: wearbook entry show ENTRY.";
    Ok(table("determination", &columns, rows, Some(note)))
}

/// A sheet by its reference, else by day, shift and device.
fn sheet_words(names: &Names, sheet: &Sheet) -> String {
    let device = sheet.device.as_ref().map(|it| names.words(it));
    let device = device.unwrap_or_else(|| "no device".to_owned());
    let unnamed = || format!("{} {} {device}", sheet.day, sheet.shift.word());
    sheet.reference.clone().unwrap_or_else(unnamed)
}

fn about(snapshot: &Snapshot<'_>, names: &Names, scope: &Scope) -> Result<String, AnswerError> {
    let key = |record: RecordId, kind: Kind| -> Result<String, AnswerError> {
        let body = snapshot.body(snapshot.newest(record)?)?;
        Ok(match body.filter(|it| it.kind() == kind) {
            Some(Body::Sheet(sheet)) => sheet_words(names, &sheet),
            Some(body) => body.key(),
            None => String::new(),
        })
    };
    Ok(match scope {
        Scope::Reading {
            dosimeter,
            part,
            sheet,
        } => {
            let sheet = key(sheet.number(), Kind::Sheet)?;
            let part = part.map_or(String::new(), |part| format!(" part {part}"));
            format!("{}{part} on sheet {sheet}", names.label(dosimeter.number()))
        }
        Scope::Badge { badge, last_day } => {
            let until = last_day.map_or(String::new(), |it| format!(" up to {it}"));
            format!("badge {}{until}", key(badge.number(), Kind::Badge)?)
        }
        Scope::Days {
            first_day,
            last_day,
        } => format!("{first_day} to {last_day}"),
    })
}

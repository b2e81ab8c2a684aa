//! Security, tracking and transport of sources as far as records go: category by place, checks and
//! reports that were made, what was asked for and when it was done, transfers with the license of
//! the receiver, approvals and training. Nothing here says how a site is secured.

use super::sources::{categories, place_row};
use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, figures, under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::dose::handling::{ACCESS, HAZMAT, Handling};
use crate::answer::equipment::category::stores;
use crate::answer::equipment::tracking::{Asked, INSPECTIONS, all_asked};
use crate::ledger::Stored;
use crate::record::{Qualification, QualificationType, Words};

const RULES: &[&str] = &[
    "package-survey",
    "tracking-report",
    "tracking-reconciliation",
    "presence-check",
    "access-reinvestigation",
    "hazmat-training",
    "receiver-licence",
];

const CHECKS: &[Column] = &[
    column("on", "day"),
    column("what", "what"),
    column("sources", "sources"),
    column("arrived", "came"),
    column("at", "at"),
    column("by", "by"),
    under("reference", "reference"),
    under("place", "kept at"),
    figures("entry", "entry"),
];

const CONTROLS: &[Column] = &[
    column("of", "of"),
    column("what", "what is checked"),
    column("on", "last inspected"),
    column("by", "by"),
    column("rule", "rule"),
    figures("entry", "entry"),
];

const ASKED: &[Column] = &[
    column("item", "sources"),
    column("what", "what"),
    column("since", "after"),
    column("due", "due"),
    column("done", "done"),
    column("state", "state"),
];

const TRANSFERS: &[Column] = &[
    column("on", "day"),
    column("item", "source"),
    column("to", "to"),
    under("license_verified", "license verified"),
    under("shipping_paper", "shipping paper"),
    column("by", "by"),
    figures("entry", "entry"),
];

const PEOPLE: &[Column] = &[
    column("worker", "person"),
    column("what", "what"),
    column("on", "day"),
    column("until", "valid through"),
    column("by", "by"),
    figures("entry", "entry"),
];

/// What is asked about tracking of sources, of all sources.
///
/// # Errors
/// No rule set is in force.
pub fn tracking(house: &OpenHouse<'_>, span: RecordsSpan) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let title = "Tracking of sources: checks, reports, transfers and approvals";
    let mut list = desk.list("tracking", title, RULES)?;
    list.notes.push(
        "For the RSO and the authority: not to be posted, nor put with the papers of a job."
            .to_owned(),
    );
    if let Some(mut places) = categories(&desk, None)? {
        places
            .rows
            .extend(stores(house, desk.on)?.into_iter().map(place_row));
        list.parts.push(places);
    }
    list.parts.extend([
        checks(&desk),
        asked(&desk)?,
        transfers(&desk),
        people(&desk)?,
    ]);
    // A rule set that asks for none has no such checklist.
    list.parts
        .extend(Some(controls(&desk)?).filter(|it| !it.rows.is_empty()));
    Ok(list)
}

fn checks(desk: &RecordsDesk<'_>) -> RecordsPart {
    let of = ("record", "records");
    let mut part = RecordsPart::new("checks", "Checks and reports on record", of, CHECKS);
    let all = desk.house.maintenance.source_checks().iter();
    for it in all.filter(|it| desk.span.contains(it.body.on)) {
        let body = &it.body;
        let label = |it: &crate::record::Id<_>| desk.house.names.label(it.number());
        let sources: Vec<String> = body.sources.iter().map(label).collect();
        let reported = body.kind.has_reference();
        part.rows.push(vec![
            Cell::Day(body.on),
            Cell::Text(body.kind.word().to_owned()),
            Cell::Text(sources.join(" ")),
            match body.kind.is_on_receipt() {
                true => Cell::text(body.arrived.clone()),
                false => Cell::None,
            },
            match body.kind.is_on_receipt() || body.at.is_some() {
                true => Cell::text(body.at.clone()),
                false => Cell::None,
            },
            Cell::text(Some(body.by.clone())),
            match reported || body.reference.is_some() {
                true => Cell::text(body.reference.clone()),
                false => Cell::None,
            },
            body.place.clone().map_or(Cell::None, Cell::Text),
            Cell::Count(it.entry),
        ]);
    }
    part
}

/// The checklist of controls, each item with the last time that somebody wrote that it was looked
/// at. How a vehicle or a place is secured is written nowhere.
fn controls(desk: &RecordsDesk<'_>) -> Result<RecordsPart, AnswerError> {
    let title = format!("Checklist of controls, as known on {}", desk.on);
    let mut part = RecordsPart::new("controls", title, ("item", "items"), CONTROLS);
    let rule_set = desk.house.rule_set_on(desk.on)?;
    let all = desk.house.maintenance.source_checks();
    for (key, kind) in INSPECTIONS {
        let Some(rule) = rule_set.rule(key) else {
            continue;
        };
        let last = all
            .iter()
            .rfind(|it| it.body.kind == *kind && it.body.on <= desk.on);
        part.rows.push(vec![
            Cell::Text(kind.word().to_owned()),
            Cell::Text(rule.meaning.clone()),
            Cell::day(last.map(|it| it.body.on)),
            match last {
                Some(it) => Cell::Text(it.body.by.clone()),
                None => Cell::None,
            },
            Cell::Text(rule.cited()),
            last.map_or(Cell::None, |it| Cell::Count(it.entry)),
        ]);
    }
    Ok(part)
}

/// What was asked for in the days, and when it was done. A presence check in time is in the list
/// above alone.
fn asked(desk: &RecordsDesk<'_>) -> Result<RecordsPart, AnswerError> {
    let of = ("line", "lines");
    let title = format!("What was asked for, as known on {}", desk.on);
    let mut part = RecordsPart::new("reports", title, of, ASKED);
    let mut all = all_asked(desk.house, desk.on)?;
    let touches = |it: &Asked| it.since <= desk.span.last && it.until(desk.on) >= desk.span.first;
    all.retain(touches);
    all.sort_by(|a, b| (a.due, &a.items, a.what).cmp(&(b.due, &b.items, b.what)));
    for it in all {
        let late = it.is_late(desk.on);
        let state = match (it.done, late) {
            (Some(_), true) => "LATE",
            (Some(_), false) => "in time",
            (None, true) if it.is_open() => "OVERDUE",
            (None, true) => "MISSED",
            (None, false) => "to be done",
        };
        part.rows.push(vec![
            Cell::Text(it.items.join(" ")),
            Cell::Text(it.what.to_owned()),
            Cell::Day(it.since),
            Cell::Day(it.due),
            match (it.done, late) {
                (None, false) => Cell::None,
                (done, _) => Cell::day(done),
            },
            Cell::Text(state.to_owned()),
        ]);
    }
    part.notes.push(
        "Each is asked for from the day on which the rule set asks for it and its cause is on \
         record. Of a survey without both hours nothing says whether it was within the hours of \
         the rule."
            .to_owned(),
    );
    Ok(part)
}

fn transfers(desk: &RecordsDesk<'_>) -> RecordsPart {
    let of = ("transfer", "transfers");
    let mut part = RecordsPart::new("transfers", "Transfers", of, TRANSFERS);
    let all = desk.house.maintenance.transfers().iter();
    for it in all.filter(|it| desk.span.contains(it.body.on)) {
        part.rows.push(vec![
            Cell::Day(it.body.on),
            desk.label(it.body.item.number()),
            Cell::text(it.body.transferred_to.clone()),
            Cell::text(it.body.licence_verified.clone()),
            Cell::text(it.body.shipping_paper.clone()),
            Cell::text(Some(it.body.by.clone())),
            Cell::Count(it.entry),
        ]);
    }
    part
}

fn people(desk: &RecordsDesk<'_>) -> Result<RecordsPart, AnswerError> {
    let of = ("record", "records");
    let title = "Approvals for unescorted access and hazmat training";
    let mut part = RecordsPart::new("people", title, of, PEOPLE);
    let rule_set = desk.house.rule_set_on(desk.on)?;
    let mut all: Vec<_> = desk.house.qualifications.iter().collect();
    all.retain(|it| it.body.on <= desk.span.last);
    all.sort_by_key(|it| (desk.house.names.label(it.body.worker.number()), it.body.on));
    for it in &all {
        let key = match it.body.kind {
            QualificationType::Access => ACCESS,
            QualificationType::Hazmat => HAZMAT,
            _ => continue,
        };
        let rule = rule_set.interval(key);
        let until = rule.and_then(|rule| rule.interval.due_after(it.body.on, rule_set.year_start));
        part.rows.push(vec![
            desk.label(it.body.worker.number()),
            Cell::Text(it.body.kind.word().to_owned()),
            Cell::Day(it.body.on),
            until.map_or(Cell::None, Cell::Day),
            Cell::text(Some(it.body.by.clone())),
            Cell::Count(it.entry),
        ]);
    }
    for facts in desk.house.workers() {
        let worker = facts.record;
        let handling = Handling::load(desk.house, worker, desk.on)?;
        for (kind, needed) in [
            (QualificationType::Access, handling.needs_access(desk.on)),
            (QualificationType::Hazmat, handling.needs_hazmat(desk.on)),
        ] {
            let mine = |it: &&Stored<Qualification>| {
                it.body.worker.number() == worker && it.body.kind == kind
            };
            if needed && !all.iter().copied().any(|it| mine(&it)) {
                part.rows.push(vec![
                    desk.label(worker),
                    Cell::Text(kind.word().to_owned()),
                    Cell::NotOnRecord,
                    Cell::None,
                    Cell::None,
                    Cell::None,
                ]);
            }
        }
    }
    Ok(part)
}

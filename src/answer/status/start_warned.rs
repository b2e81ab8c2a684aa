//! What stands against a shift that begins: said while the work can still be stopped.

use std::collections::HashSet;

use serde::Serialize;

use super::work_status::work_status;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::entry::as_it_stands::as_it_stands;
use crate::answer::entry::sheet_facts::{facts_of, findings_of_sheet};
use crate::answer::entry::sheet_start::{OpenStart, open_starts};
use crate::calendar::{Day, Span};
use crate::dose::checks::input::SheetFacts;
use crate::dose::checks::is_at_start;
use crate::ledger::{Instant, Stored};
use crate::record::{Body, RecordId, Sheet, ShiftStart};
use crate::rule::{Finding, Severity, Tells};

/// What a start means for its crew.
#[derive(Debug, Clone, Serialize)]
pub struct StartAnswer {
    /// Its entry.
    pub entry: i64,
    /// What stops somebody or something, and what was not done that comes before the work.
    pub findings: Vec<Finding>,
    /// Other starts of that day with one of the same crew, of which no sheet says the end: one
    /// shift has one start.
    pub others: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
}

/// What stands against the crew and equipment of a start, and what its own answers say was not
/// done; nothing where the entry is no start.
///
/// # Errors
/// A ledger that fails, or no rule set on the day.
pub fn after_start(
    house: &OpenHouse<'_>,
    entry: i64,
    now: Instant,
) -> Result<Option<StartAnswer>, AnswerError> {
    let Some(Body::ShiftStart(start)) = house.snapshot.body(entry)? else {
        return Ok(None);
    };
    let today = house.today(now);
    let mut findings = Vec::new();
    for worker in start.people.iter().filter_map(|it| it.worker.number()) {
        let found = work_status(house, Some(worker), today, now)?;
        let reasons = found.lines.into_iter().flat_map(|it| it.reasons);
        let stops = reasons.filter(|it| it.finding.severity == Severity::Stop);
        findings.extend(stops.map(|it| it.masked().finding));
    }
    let told: HashSet<(String, String)> = findings.iter().map(whose).collect();
    let mut own = own_findings(house, entry, &start)?;
    own.retain(|it| !told.contains(&whose(it)));
    for finding in &mut own {
        as_it_stands(house, finding, today)?;
    }
    findings.extend(own);
    findings.sort();
    Ok(Some(StartAnswer {
        entry,
        findings,
        others: other_starts(house, (entry, &start), now)?,
        confirm: house.rule_set_on(today)?.caution_of(Tells::Levels),
    }))
}

/// Starts that wait for their sheet, of the same day and with one of the same crew.
fn other_starts(
    house: &OpenHouse<'_>,
    (entry, start): (i64, &ShiftStart),
    now: Instant,
) -> Result<Vec<String>, AnswerError> {
    let is_mine = |it: &OpenStart| {
        let crew = || it.start.people.iter().filter_map(|it| it.worker.number());
        let mut mine = start.people.iter().filter_map(|it| it.worker.number());
        it.start.day == start.day && mine.any(|one| crew().any(|it| it == one))
    };
    let others = open_starts(house, now)?.into_iter();
    let others = others.filter(|it| it.record != entry && is_mine(it));
    Ok(others
        .map(|it| format!("{} (entry {})", it.words, it.record))
        .collect())
}

/// What the answers of a start say was not done.
fn own_findings(
    house: &OpenHouse<'_>,
    entry: i64,
    start: &ShiftStart,
) -> Result<Vec<Finding>, AnswerError> {
    let stored = Stored {
        entry,
        record: entry,
        written_at: String::new(),
        first_written_at: String::new(),
        transcribed: false,
        body: Sheet::started(start),
    };
    let mut facts = facts_of(house, &stored)?;
    facts.at_start = true;
    out_of_service(house, &mut facts);
    let mut own = findings_of_sheet(house, &stored.body, &facts)?;
    own.retain(is_at_start);
    Ok(own)
}

/// The same of every start of these days that no sheet refers to, each with its day: what is not
/// on a sheet yet, nobody else says.
pub(crate) fn of_open_starts(
    house: &OpenHouse<'_>,
    span: Span,
) -> Result<Vec<(Day, Finding)>, AnswerError> {
    let starts = house.snapshot.shift_starts(span.first, span.last)?;
    if starts.is_empty() {
        return Ok(Vec::new());
    }
    let sheets = house.snapshot.sheets(span.first, span.last)?;
    let done = sheets.iter().filter_map(|it| it.body.shift_start);
    let done: HashSet<RecordId> = done.map(|it| it.number()).collect();
    let mut all = Vec::new();
    for it in starts.iter().filter(|it| !done.contains(&it.record)) {
        let own = own_findings(house, it.entry, &it.body)?;
        all.extend(own.into_iter().map(|finding| (it.body.day, finding)));
    }
    Ok(all)
}

fn whose(it: &Finding) -> (String, String) {
    (it.subject.clone(), it.check.clone())
}

/// What was taken out of service on the day itself was so before the work.
fn out_of_service(house: &House, facts: &mut SheetFacts) {
    let people = facts.people.iter_mut();
    let worn = people.flat_map(|person| {
        let ratemeter = person.ratemeter.iter_mut().map(|it| &mut it.item);
        ratemeter.chain(person.dosimeters.iter_mut().map(|it| &mut it.item))
    });
    let meters = facts.meters.iter_mut().map(|it| &mut it.item);
    for item in facts.equipment.iter_mut().chain(meters).chain(worn) {
        if let Some(record) = house.names.find_item(&item.id) {
            item.out_of_service = house.service.out_of_service(record.number(), facts.day);
        }
    }
}

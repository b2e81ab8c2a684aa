//! Everything that needs somebody, over a span of days.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use serde::Serialize;

use super::clearance::clearance;
use super::clock::clock_findings;
use super::due::{DueLine, DueState, lines_of};
use super::error::AnswerError;
use super::held::held;
use super::in_event::stops_of_all;
use super::load::House;
use super::qualification_findings::worked_lapsed;
use super::sheet_facts::facts_of;
use super::upkeep_findings::upkeep_findings;
use crate::calendar::{Day, Instant, Span};
use crate::dose::checks::{
    badges_elsewhere, level_findings, sheet_findings, work_while_undetermined,
};
use crate::dose::clearance::{Cause, SETTLED_BY_A_DOSE, Settling};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::dose::level::standings;
use crate::ledger::{LedgerError, Snapshot, Stored};
use crate::record::{Body, Decision, Kind, RecordId, Sheet};
use crate::rule::{Finding, Severity};

/// One finding, with the answer that it has.
#[derive(Debug, Clone, Serialize)]
pub struct FindingLine {
    /// What was found.
    #[serde(flatten)]
    pub finding: Finding,
    /// The key by which it is answered.
    pub key: String,
    /// The answer, where it has one.
    pub answer: Option<String>,
    /// The entry of the answer.
    pub answered_by: Option<i64>,
    /// Determinations, acceptances and settlements that settle it: while they
    /// are in force it needs no answer.
    pub settled_by: Vec<i64>,
}

/// The findings of a span.
#[derive(Debug, Clone, Serialize)]
pub struct FindingsAnswer {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The day for which the levels stand.
    pub on: Day,
    /// The findings, the most urgent first.
    pub lines: Vec<FindingLine>,
    /// How many more are answered or settled and not listed.
    pub answered: usize,
    /// The scheme's caution.
    pub confirm: String,
}

impl FindingsAnswer {
    /// Whether something open stops somebody.
    pub fn has_open(&self) -> bool {
        let open = |line: &FindingLine| line.answer.is_none() && line.settled_by.is_empty();
        self.lines.iter().any(open)
    }
}

fn answers(snapshot: &Snapshot<'_>) -> Result<HashMap<String, (String, i64)>, LedgerError> {
    Ok(snapshot
        .all::<Decision>()?
        .into_iter()
        .map(|it| (it.body.finding, (it.body.answer, it.entry)))
        .collect())
}

/// The findings that nobody has answered.
pub(super) fn open_sheet_findings(
    snapshot: &Snapshot<'_>,
    findings: Vec<Finding>,
) -> Result<Vec<Finding>, LedgerError> {
    let answers = answers(snapshot)?;
    Ok(findings
        .into_iter()
        .filter(|it| !answers.contains_key(&it.key()))
        .collect())
}

/// Everything that the checks find over a span: of its sheets, of everybody's
/// levels as of `on`, and what is held. Answered findings are left out unless
/// `with_answered`.
pub fn findings(
    snapshot: &Snapshot<'_>,
    house: &House,
    (span, on, now): (Span, Day, Instant),
    with_answered: bool,
) -> Result<FindingsAnswer, AnswerError> {
    findings_from(snapshot, house, (span, on, now), with_answered, None)
}

/// The same, with everybody's shifts where they are loaded already.
pub(super) fn findings_from(
    snapshot: &Snapshot<'_>,
    house: &House,
    (span, on, now): (Span, Day, Instant),
    with_answered: bool,
    histories: Option<&HashMap<RecordId, History>>,
) -> Result<FindingsAnswer, AnswerError> {
    let mut found = Vec::new();
    let mut settled: HashMap<String, Vec<i64>> = HashMap::new();
    for sheet in snapshot.sheets(span.first, span.last)? {
        let scheme = house.scheme_on(sheet.body.day)?;
        let facts = facts_of(snapshot, house, &sheet)?;
        for finding in sheet_findings(&facts, scheme) {
            if let Some(by) = settled_of(snapshot, house, &sheet, &finding)? {
                settled.insert(finding.key(), by);
            }
            found.push(finding);
        }
    }
    found.extend(of_levels(snapshot, house, (span, on), histories)?);
    found.extend(stops_of_all(snapshot, house, (span, on), histories)?);
    // What a sheet says of the same fact stands there with the sheet.
    let known: HashSet<String> = found.iter().map(Finding::key).collect();
    let people = of_clearance(snapshot, house, on, now)?;
    found.extend(people.into_iter().filter(|it| !known.contains(&it.key())));
    found.extend(worked_lapsed(snapshot, house, span, on)?);
    found.extend(of_held(snapshot, house, span, on)?);
    found.extend(upkeep_findings(snapshot, house, span, on)?);
    found.extend(clock_findings(house, house.scheme_on(on)?, span));
    let answers = answers(snapshot)?;
    let mut lines: Vec<FindingLine> = Vec::new();
    let mut seen = HashSet::new();
    let mut answered = 0;
    for finding in &mut found {
        as_it_stands(snapshot, house, finding, on)?;
    }
    found.sort();
    for finding in found {
        let key = finding.key();
        if !seen.insert(key.clone()) {
            continue;
        }
        let answer = answers.get(&key);
        let settled_by = settled.remove(&key).unwrap_or_default();
        if (answer.is_some() || !settled_by.is_empty()) && !with_answered {
            answered += 1;
            continue;
        }
        lines.push(FindingLine {
            finding,
            key,
            answer: answer.map(|(words, _)| words.clone()),
            answered_by: answer.map(|(_, entry)| *entry),
            settled_by,
        });
    }
    Ok(FindingsAnswer {
        first: span.first,
        last: span.last,
        on,
        lines,
        answered,
        confirm: house.scheme_on(on)?.confirm.clone(),
    })
}

/// The checks of use out of date, with the key of the interval where that is another.
const OUT_OF_DATE: &[(&str, &str)] = &[
    ("equipment-inspection", "equipment-inspection"),
    ("leak-test", "leak-test"),
    ("shield-leak-test", "shield-leak-test"),
    ("meter-calibration", "meter-calibration"),
    ("ratemeter-calibration", "ratemeter-calibration"),
    ("response-check", "dosimeter-response-check"),
];

/// How urgent use of a piece is that was not to be used: a stop while the piece is as it was and
/// may go out again, for somebody to act on once it was put right or taken out of service.
fn as_it_stands(
    snapshot: &Snapshot<'_>,
    house: &House,
    finding: &mut Finding,
    on: Day,
) -> Result<(), AnswerError> {
    let Ok(item) = house.names.item(&finding.subject) else {
        return Ok(());
    };
    let item = item.number();
    let is_out = house.service.out_of_service(item, on).is_some();
    let interval = OUT_OF_DATE.iter().find(|it| it.0 == finding.check);
    if let Some((_, key)) = interval {
        let duties = lines_of(snapshot, house, item, on)?;
        let overdue = |it: &DueLine| it.key == *key && it.state != DueState::InTime;
        if finding.severity == Severity::Act && !is_out && duties.iter().any(overdue) {
            finding.severity = Severity::Stop;
        }
    }
    let right = match finding.check.as_str() {
        "used-with-defect" => is_out || house.upkeep.open_defects(item, on).next().is_none(),
        "withdrawn-used" => !is_out,
        _ => false,
    };
    if right && finding.severity == Severity::Stop {
        finding.severity = Severity::Act;
    }
    Ok(())
}

/// What stands against each person on the day, as the board has it. What is on hold stands with
/// the item that it is about.
fn of_clearance(
    snapshot: &Snapshot<'_>,
    house: &House,
    on: Day,
    now: Instant,
) -> Result<Vec<Finding>, AnswerError> {
    let people = clearance(snapshot, house, None, on, now)?.lines;
    let reasons = people.into_iter().flat_map(|it| it.reasons);
    let reasons = reasons.filter(|it| it.cause != Cause::Held);
    Ok(reasons.map(|it| it.finding).collect())
}

/// What settles a finding about the dose of one person's shift.
fn settled_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    sheet: &Stored<Sheet>,
    finding: &Finding,
) -> Result<Option<Vec<i64>>, AnswerError> {
    if !SETTLED_BY_A_DOSE.contains(&finding.check.as_str()) {
        return Ok(None);
    }
    let Some(worker) = house.names.find_worker(&finding.subject) else {
        return Ok(None);
    };
    let day = Span {
        first: sheet.body.day,
        last: sheet.body.day,
    };
    let history = house.history(snapshot, worker.number(), day)?;
    let settled = Settling::of(&history)?.by(&finding.check, sheet.record);
    Ok(settled.map(|it| it.into_iter().collect()))
}

/// Levels of those who worked in the span; whoever did not has no new dose.
fn of_levels(
    snapshot: &Snapshot<'_>,
    house: &House,
    (span, on): (Span, Day),
    histories: Option<&HashMap<RecordId, History>>,
) -> Result<Vec<Finding>, AnswerError> {
    let mut at_work = HashSet::new();
    snapshot.shifts(span.first, span.last, |row| {
        at_work.insert(row.worker);
    })?;
    let scheme = house.scheme_on(on)?;
    let mut found = Vec::new();
    for facts in house.workers() {
        if !at_work.contains(&facts.record) && facts.missing.is_empty() {
            continue;
        }
        let needed = house.span_needed(scheme, facts, span, on);
        let loaded = histories.and_then(|it| it.get(&facts.record));
        let history = match loaded {
            Some(history) => Cow::Borrowed(history),
            None => Cow::Owned(house.history(snapshot, facts.record, needed)?),
        };
        let index = DoseIndex::build(&history)?;
        let standings = standings(scheme, facts, &index, on)?;
        found.extend(level_findings(facts, &standings, &index, scheme)?);
        let stopped = work_while_undetermined(&history, needed, scheme)?;
        found.extend(stopped.into_iter().filter(|it| in_span(&history, it, span)));
        found.extend(badges_elsewhere(&history, span, scheme));
    }
    Ok(found)
}

/// Whether one of a finding's shifts is of the span.
fn in_span(history: &History, finding: &Finding, span: Span) -> bool {
    history
        .shifts
        .iter()
        .any(|shift| span.contains(shift.day) && finding.entries.contains(&shift.entry))
}

/// Held items that are not about a reading of a sheet: the checks of a sheet
/// see only those that are.
fn of_held(
    snapshot: &Snapshot<'_>,
    house: &House,
    span: Span,
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let Some(rule) = scheme.rule("held-item") else {
        return Ok(Vec::new());
    };
    let lines = held(snapshot, house)?.lines;
    Ok(lines
        .into_iter()
        .filter(|it| span.contains(it.day) && !(it.about_dose && it.kind == Kind::Sheet.word()))
        .map(|it| {
            let what = format!("{} {}: {}", it.day, it.of, it.about);
            let severity = match it.about_dose {
                true => Severity::Act,
                false => Severity::Watch,
            };
            Finding::new(severity, rule, it.item, what, vec![it.entry])
        })
        .collect())
}

/// Whether a finding of this key stands now, over all days that the ledger
/// knows: only then can it be answered.
pub fn finding_stands(
    snapshot: &Snapshot<'_>,
    house: &House,
    key: &str,
    (on, now): (Day, Instant),
) -> Result<bool, AnswerError> {
    // The key ends in the entries that the finding rests on: their days bound
    // the span that has to be looked at.
    let entries: Vec<i64> = key
        .rsplit('/')
        .next()
        .unwrap_or_default()
        .split('-')
        .filter_map(|entry| entry.parse().ok())
        .collect();
    let mut span = Span {
        first: on,
        last: on,
    };
    for entry in entries {
        let day = match snapshot.body(entry)? {
            Some(Body::Sheet(sheet)) => Some(sheet.day),
            Some(Body::Badge(badge)) => Some(badge.first_day),
            Some(Body::BadgeResult(result)) => Some(result.reported_on),
            Some(Body::Inspection(it)) => Some(it.on),
            Some(Body::Check(it)) => Some(it.on),
            Some(Body::LeakTest(it)) => Some(it.on),
            Some(Body::Inventory(it)) => Some(it.on),
            _ => None,
        };
        let written = house.written_days(entry, &snapshot.entry(entry)?.written_at);
        let written = written.filter(|_| house.clocks.is_doubted(entry));
        let written = written.map(|it| [it.earliest, it.latest]);
        for day in day
            .into_iter()
            .chain(written.into_iter().flatten().flatten())
        {
            span = Span {
                first: span.first.min(day),
                last: span.last.max(day),
            };
        }
    }
    let all = findings(snapshot, house, (span, on, now), true)?;
    Ok(all.lines.iter().any(|line| line.key == key))
}

//! Everything that needs somebody, over a span of days.

use std::collections::{HashMap, HashSet};

use serde::Serialize;

use crate::answer::context::clock::clock_findings;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::dose::level_findings::of_levels;
use crate::answer::entry::as_it_stands::as_it_stands;
use crate::answer::entry::sheet_facts::{facts_of, findings_of_sheet};
use crate::answer::equipment::maintenance_findings::maintenance_findings;
use crate::answer::event::in_event::stops_of_all;
use crate::answer::status::on_hold::held;
use crate::answer::status::qualification_findings::worked_lapsed;
use crate::answer::status::start_warned::of_open_starts;
use crate::answer::status::work_status::of_people;
use crate::calendar::{Day, Instant, Span};
use crate::dose::input::History;
use crate::dose::work_status::{Cause, SETTLED_BY_A_DOSE, Settling};
use crate::ledger::{LedgerError, Snapshot, Stored};
use crate::record::{Body, Decision, Kind, RecordId, Sheet};
use crate::rule::{CheckKey, Finding, RuleSet, Severity, Tells};

/// One finding, with the answer that it has.
#[derive(Debug, Clone, Serialize)]
pub struct FindingLine {
    /// The key by which it is answered.
    pub key: String,
    /// What was found.
    #[serde(flatten)]
    pub finding: Finding,
    /// The day from which it stands.
    pub since: Day,
    /// The answer, where it has one.
    pub answer: Option<String>,
    /// The entry of the answer.
    pub answered_by: Option<i64>,
    /// Determinations, acceptances and settlements that resolve it: while they
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
    /// How many more are answered or resolved and not listed.
    pub answered: usize,
    /// The rule set's caution.
    pub confirm: String,
}

impl FindingsAnswer {
    /// Whether something open stops somebody.
    pub fn has_open(&self) -> bool {
        let open = |line: &FindingLine| line.answer.is_none() && line.settled_by.is_empty();
        self.lines.iter().any(open)
    }
}

type Answers = HashMap<String, (String, i64)>;

/// What was answered to a finding, under the key that it has or that older programs gave it.
fn answer_of<'a>(answers: &'a Answers, finding: &Finding) -> Option<&'a (String, i64)> {
    let long = || answers.get(&finding.long_key());
    answers.get(&finding.key()).or_else(long)
}

fn answers(snapshot: &Snapshot<'_>) -> Result<Answers, LedgerError> {
    Ok(snapshot
        .all::<Decision>()?
        .into_iter()
        .map(|it| (it.body.finding, (it.body.answer, it.entry)))
        .collect())
}

/// The findings that nobody has answered.
pub(crate) fn open_sheet_findings(
    snapshot: &Snapshot<'_>,
    findings: Vec<Finding>,
) -> Result<Vec<Finding>, LedgerError> {
    let answers = answers(snapshot)?;
    Ok(findings
        .into_iter()
        .filter(|it| answer_of(&answers, it).is_none())
        .collect())
}

/// Everything that the checks find over a span: of its sheets, of everybody's
/// levels as of `on`, and what is held. Answered findings are left out unless
/// `with_answered`.
pub fn findings(
    house: &OpenHouse<'_>,
    (span, on, now): (Span, Day, Instant),
    with_answered: bool,
) -> Result<FindingsAnswer, AnswerError> {
    findings_from(house, (span, on, now), with_answered, None)
}

/// The same, with everybody's shifts where they are loaded already.
pub(crate) fn findings_from(
    house: &OpenHouse<'_>,
    (span, on, now): (Span, Day, Instant),
    with_answered: bool,
    histories: Option<&HashMap<RecordId, History>>,
) -> Result<FindingsAnswer, AnswerError> {
    let of = (span, on, now);
    let (mut found, mut settled) = gather(house, of, histories)?;
    // As anybody may read them.
    found = found
        .into_iter()
        .map(|(day, it)| (day, it.masked()))
        .collect();
    let answers = answers(house.snapshot)?;
    let mut lines: Vec<FindingLine> = Vec::new();
    let mut answered = 0;
    for (_, finding) in &mut found {
        as_it_stands(house, finding, on)?;
    }
    let rule_set = house.rule_set_on(on)?;
    found.sort_by_cached_key(|(day, it)| (it.severity, age(rule_set, *day, on), it.clone()));
    for (since, finding) in found {
        let key = finding.key();
        let answer = answer_of(&answers, &finding);
        let settled_by = settled.remove(&key).unwrap_or_default();
        if (answer.is_some() || !settled_by.is_empty()) && !with_answered {
            answered += 1;
            continue;
        }
        lines.push(FindingLine {
            key,
            finding,
            since,
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
        confirm: rule_set.caution_of(Tells::Both),
    })
}

/// How old what a finding is about is. Of two that are equally urgent what stands on the day comes
/// first: a deadline of today before what is held of last year.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Age {
    Today,
    ThisYear,
    Older,
}

fn age(rule_set: &RuleSet, day: Day, on: Day) -> Age {
    let year = |day| rule_set.year_start.year_of(day);
    match day {
        _ if day >= on => Age::Today,
        _ if year(day) == year(on) => Age::ThisYear,
        _ => Age::Older,
    }
}

/// Findings with the day that they are of: the day of the sheet or of the record, else the day
/// for which they stand.
type Dated = Vec<(Day, Finding)>;

/// Everything that is found, and what resolves it by its key.
fn gather(
    house: &OpenHouse<'_>,
    (span, on, now): (Span, Day, Instant),
    histories: Option<&HashMap<RecordId, History>>,
) -> Result<(Dated, HashMap<String, Vec<i64>>), AnswerError> {
    let mut found: Dated = Vec::new();
    let mut settled: HashMap<String, Vec<i64>> = HashMap::new();
    for sheet in house.snapshot.sheets(span.first, span.last)? {
        let facts = facts_of(house, &sheet)?;
        for finding in findings_of_sheet(house, &sheet.body, &facts)? {
            if let Some(by) = settled_of(house, &sheet, &finding)? {
                settled.insert(finding.key(), by);
            }
            found.push((sheet.body.day, finding));
        }
    }
    found.extend(of_open_starts(house, span)?);
    found.extend(of_held(house, span, on)?);
    let mut standing = of_levels(house, (span, on), histories)?;
    standing.extend(stops_of_all(house, (span, on), histories)?);
    // A level that was passed stands with its days already.
    let told = |it: &Finding| (it.check.clone(), it.subject.clone());
    let known: HashSet<(String, String)> = standing.iter().map(told).collect();
    let people = of_work_status(house, on, now)?.into_iter();
    standing.extend(people.filter(|it| !it.entries.is_empty() || !known.contains(&told(it))));
    standing.extend(worked_lapsed(house, span, on)?);
    standing.extend(maintenance_findings(house, span, on)?);
    standing.extend(clock_findings(house, house.rule_set_on(on)?, span));
    found.extend(standing.into_iter().map(|it| (on, it)));
    Ok((once(found), settled))
}

/// Each finding once. Where a sheet and what stands on the day say the same, the sheet says it in
/// more words, it is as urgent as either, and it stands on the day.
fn once(found: Dated) -> Dated {
    let mut places: HashMap<String, usize> = HashMap::new();
    let mut all: Dated = Vec::new();
    for (day, finding) in found {
        let place = *places.entry(finding.key()).or_insert(all.len());
        match all.get_mut(place) {
            Some((first, known)) => {
                *first = day.max(*first);
                known.severity = finding.severity.min(known.severity);
            }
            None => all.push((day, finding)),
        }
    }
    all
}

/// What stands against each person on the day, as the board has it. What is on hold stands with
/// the item that it is about.
fn of_work_status(
    house: &OpenHouse<'_>,
    on: Day,
    now: Instant,
) -> Result<Vec<Finding>, AnswerError> {
    let people = of_people(house, None, on, now)?;
    let reasons = people.into_iter().flat_map(|it| it.reasons);
    let reasons = reasons.filter(|it| it.cause != Cause::Held);
    Ok(reasons.map(|it| it.finding).collect())
}

/// What resolves a finding about the dose of one person's shift.
fn settled_of(
    house: &OpenHouse<'_>,
    sheet: &Stored<Sheet>,
    finding: &Finding,
) -> Result<Option<Vec<i64>>, AnswerError> {
    let settles = |it: &CheckKey| SETTLED_BY_A_DOSE.contains(it);
    let Some(check) = CheckKey::of(&finding.check).filter(settles) else {
        return Ok(None);
    };
    let Some(worker) = house.names.find_worker(&finding.subject) else {
        return Ok(None);
    };
    let day = Span {
        first: sheet.body.day,
        last: sheet.body.day,
    };
    let history = house.history(worker.number(), day)?;
    let settled = Settling::of(&history)?.by(check, sheet.record);
    Ok(settled.map(|it| it.into_iter().collect()))
}

/// Held items that are not about a reading of a sheet: the checks of a sheet
/// see only those that are.
fn of_held(house: &OpenHouse<'_>, span: Span, on: Day) -> Result<Dated, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let Some(rule) = rule_set.rule("held-item") else {
        return Ok(Vec::new());
    };
    let lines = held(house)?.lines;
    Ok(lines
        .into_iter()
        .filter(|it| span.contains(it.day) && !(it.about_dose && it.kind == Kind::Sheet.word()))
        .map(|it| {
            let what = format!("{} {}: {}", it.day, it.of, it.about);
            let severity = match it.about_dose {
                true => Severity::Act,
                false => Severity::Watch,
            };
            (
                it.day,
                Finding::new(severity, rule, it.item, what, vec![it.entry]),
            )
        })
        .collect())
}

/// Whether a finding of this key stands now, over all days that the ledger
/// knows: only then can it be answered.
pub fn finding_stands(
    house: &OpenHouse<'_>,
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
        .map_while(|entry| entry.parse().ok())
        .collect();
    // A key that does not name all of its entries has them between the first and the last.
    let entries = match entries.as_slice() {
        [first, last] if key.contains("-of-") => (*first..=*last).collect(),
        _ => entries,
    };
    let mut span = Span {
        first: on,
        last: on,
    };
    for entry in entries {
        let day = match house.snapshot.body(entry)? {
            Some(Body::Sheet(sheet)) => Some(sheet.day),
            Some(Body::ShiftStart(it)) => Some(it.day),
            Some(Body::Badge(badge)) => Some(badge.first_day),
            Some(Body::BadgeResult(result)) => Some(result.reported_on),
            Some(Body::Inspection(it)) => Some(it.on),
            Some(Body::Check(it)) => Some(it.on),
            Some(Body::LeakTest(it)) => Some(it.on),
            Some(Body::Inventory(it)) => Some(it.on),
            Some(Body::SourceCheck(it)) => Some(it.on),
            Some(Body::Withdrawal(it)) => Some(it.on),
            _ => None,
        };
        let written = house.written_days(entry, &house.snapshot.entry(entry)?.written_at);
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
    let all = findings(house, (span, on, now), true)?;
    Ok(all.lines.iter().any(|line| line.key == key))
}

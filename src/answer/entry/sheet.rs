//! What a sheet means for the people on it: said at once, while the dosimeter
//! is still in hand.

use std::collections::{BTreeMap, HashSet};

use serde::Serialize;

use super::as_it_stands::as_it_stands;
use super::sheet_facts::{facts_of, findings_of_sheet};
use super::sheets_of::sheets_of;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::{LevelLine, TotalView, level_lines, standing_day};
use crate::answer::dose::private::{open_findings, open_levels};
use crate::answer::review::findings::open_sheet_findings;
use crate::answer::status::on_hold::{HeldLine, held};
use crate::calendar::{Day, Span};
use crate::dose::account::Account;
use crate::dose::checks::{level_findings, work_while_undetermined};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::ledger::Stored;
use crate::record::{RecordId, Sheet};
use crate::rule::{Finding, Quantity, Severity, Tells};

/// One person of the sheets that were handed in.
#[derive(Debug, Clone, Serialize)]
pub struct PersonLine {
    /// The worker's id, or the name as written where it is not known.
    pub worker: String,
    /// Full name, where known.
    pub name: String,
    /// How many of the sheets the person is on.
    pub shifts: usize,
    /// The deep dose that they add.
    pub added: TotalView,
    /// The deep dose of the year so far, the conservative total: what levels use.
    pub year: TotalView,
    /// Which year.
    pub year_first: Day,
    /// The levels, the most used first.
    pub levels: Vec<LevelLine>,
    /// What stops the person or needs somebody.
    pub findings: Vec<Finding>,
}

/// What the sheets mean.
#[derive(Debug, Clone, Serialize)]
pub struct SheetsAnswer {
    /// The unit of every figure for people.
    pub unit: String,
    /// How many sheets.
    pub sheets: usize,
    /// The people, by id.
    pub people: Vec<PersonLine>,
    /// Findings about the sheets and not about one person.
    pub findings: Vec<Finding>,
    /// What is held.
    pub held: Vec<HeldLine>,
    /// Names on the sheets that the ledger does not know.
    pub unknown_people: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
}

/// What the sheets of these entries mean.
pub fn after_sheets(
    house: &OpenHouse<'_>,
    entries: &[i64],
    today: Day,
) -> Result<SheetsAnswer, AnswerError> {
    let chosen: HashSet<i64> = entries.iter().copied().collect();
    let sheets = sheets_of(house.snapshot, entries)?;
    let mut days: BTreeMap<RecordId, Span> = BTreeMap::new();
    let mut unknown_people = Vec::new();
    for sheet in &sheets {
        for person in &sheet.body.people {
            let Some(worker) = person.worker.known() else {
                unknown_people.push(house.names.words(&person.worker));
                continue;
            };
            let day = sheet.body.day;
            let span = days.entry(worker.number()).or_insert(Span {
                first: day,
                last: day,
            });
            *span = Span {
                first: span.first.min(day),
                last: span.last.max(day),
            };
        }
    }
    let mut findings = Vec::new();
    for sheet in &sheets {
        let facts = facts_of(house, sheet)?;
        findings.extend(findings_of_sheet(house, &sheet.body, &facts)?);
    }
    let mut findings = open_sheet_findings(house.snapshot, findings)?;
    for finding in &mut findings {
        as_it_stands(house, finding, today)?;
    }
    let mut people = Vec::new();
    for (worker, span) in days {
        people.push(person_line(house, worker, span, &chosen, today)?);
    }
    people.sort_by(|a, b| a.worker.cmp(&b.worker));
    let findings = share_out(findings, &mut people);
    let held = held(house)?
        .lines
        .into_iter()
        .filter(|it| chosen.contains(&it.entry));
    Ok(SheetsAnswer {
        unit: house.unit().symbol().to_owned(),
        sheets: sheets.len(),
        people,
        findings,
        held: held.collect(),
        unknown_people,
        confirm: house.rule_set_on(today)?.caution_of(Tells::Levels),
    })
}

fn person_line(
    house: &OpenHouse<'_>,
    worker: RecordId,
    span: Span,
    chosen: &HashSet<i64>,
    today: Day,
) -> Result<PersonLine, AnswerError> {
    let facts = house.facts(worker)?;
    let rule_set = house.rule_set_on(span.last)?;
    let unit = house.unit();
    let year = rule_set
        .year_start
        .year(rule_set.year_start.year_of(span.last));
    // At a job east of the ledger's zone the shift may be of tomorrow already.
    let on = standing_day(year, today.max(span.last));
    let wide = Span {
        first: span.first.min(year.first),
        last: on.max(span.last),
    };
    let history = house.history(worker, house.span_needed(rule_set, facts, wide, on))?;
    let mine: Vec<_> = history
        .shifts
        .iter()
        .filter(|it| chosen.contains(&it.entry))
        .cloned()
        .collect();
    let shifts = mine.len();
    let only = History {
        facts: Default::default(),
        shifts: mine,
    };
    let added = Account::of(&only, span)?;
    let index = DoseIndex::build(&history)?;
    let (levels, standings) = level_lines(house, rule_set, facts, &index, on)?;
    let mut levels = open_levels(levels);
    levels.sort_by_key(|it| std::cmp::Reverse(it.most_ppm()));
    let so_far = index.safe(
        Span {
            first: year.first,
            last: on,
        },
        Quantity::Deep,
    )?;
    let mut found = open_findings(level_findings(facts, &standings, &index, rule_set)?);
    let stopped = work_while_undetermined(&history, wide, rule_set)?;
    found.extend(
        stopped
            .into_iter()
            .filter(|it| it.entries.iter().any(|at| chosen.contains(at))),
    );
    let mut findings = open_sheet_findings(house.snapshot, found)?;
    for finding in &mut findings {
        as_it_stands(house, finding, today)?;
    }
    Ok(PersonLine {
        worker: facts.id.clone(),
        name: facts.name.clone(),
        shifts,
        added: TotalView::new(added.totals.get(Quantity::Deep), unit),
        year: TotalView::new(&so_far, unit),
        year_first: year.first,
        levels,
        findings,
    })
}

/// Gives each finding to the person that it names; returns the others.
fn share_out(findings: Vec<Finding>, people: &mut [PersonLine]) -> Vec<Finding> {
    let mut others = Vec::new();
    for finding in findings {
        match people.iter_mut().find(|it| it.worker == finding.subject) {
            Some(person) => person.findings.push(finding),
            None => others.push(finding),
        }
    }
    for person in people {
        person.findings.sort();
    }
    others.sort();
    others
}

/// What sheets that could not be written say that must stop somebody. The
/// ledger does not have them, so only what stands on the sheet itself is
/// looked at.
pub fn stops_of(
    house: &OpenHouse<'_>,
    sheets: &[Sheet],
    today: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let mut stops = Vec::new();
    for sheet in sheets {
        let stored = Stored {
            entry: 0,
            record: 0,
            written_at: String::new(),
            first_written_at: String::new(),
            transcribed: sheet.paper.is_some(),
            body: sheet.clone(),
        };
        let facts = facts_of(house, &stored)?;
        let mut found = findings_of_sheet(house, sheet, &facts)?;
        for finding in &mut found {
            as_it_stands(house, finding, today)?;
        }
        stops.extend(found.into_iter().filter(|it| it.severity == Severity::Stop));
    }
    Ok(stops)
}

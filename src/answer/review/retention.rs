//! How long each kind of record is kept, counted over its own records, and what of the paper
//! behind them may be put away. What is still possessed or in force, or is evidence of an open
//! event, stays however old it is; a photo or paper stays as long as what it goes with.

use std::collections::BTreeMap;

use serde::Serialize;

use super::retention_papers::{Archive, Paper, Stays};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::entry::evidence::{EvidenceDesk, evidence_of_event};
use crate::answer::event::happened::all_happened;
use crate::calendar::Day;
use crate::record::RecordId;
use crate::rule::{Keep, RecordType, Retention};

/// How a kind of record is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RetentionLine {
    /// Its key in the rule set.
    pub key: String,
    /// The rule, and whether that text was read.
    pub citation: String,
    /// What is kept.
    pub what: String,
    /// What the rule wants in it.
    pub contents: String,
    /// How long.
    pub keep: String,
    /// How many the ledger has; nothing where it does not hold it.
    pub count: Option<u64>,
    /// The oldest day of them.
    pub oldest: Option<Day>,
    /// Of a day before this one what may go; nothing where none may before the license ends.
    pub edge: Option<Day>,
    /// How many may be put away now.
    pub may_go: u64,
    /// How many are not old enough.
    pub young: u64,
    /// How many are old enough and of what is still possessed or in force.
    pub in_force: u64,
    /// How many are old enough and evidence of an open event.
    pub evidence: u64,
    /// What it means, in plain words.
    pub meaning: String,
}

/// How each kind of record is kept, and what of it may be put away on a day.
pub(crate) fn retention(house: &OpenHouse<'_>, on: Day) -> Result<Vec<RetentionLine>, AnswerError> {
    let archive = Archive::load(house, on)?;
    let rows = house.rule_set_on(on)?.retention();
    let mut kept = Kept::default();
    let mut lines = Vec::new();
    for row in rows.iter().filter(|it| it.keep != Keep::AsItsRecord) {
        let mut line = begun(row, edge(row, on));
        for kind in &row.records {
            for paper in archive.papers(*kind)? {
                let state = state(&paper, line.edge);
                line.count(paper.1, state);
                kept.note(row, paper, state);
            }
        }
        lines.push(line);
    }
    for (at, row) in rows.iter().enumerate() {
        if row.keep == Keep::AsItsRecord {
            lines.insert(at, as_its_record(&archive, row, &kept)?);
        }
    }
    Ok(lines)
}

/// How it stands with one record under one rule, the least reason to keep it first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum State {
    MayGo,
    Young,
    InForce,
    Evidence,
}

/// Of a day before this one what may go.
fn edge(row: &Retention, on: Day) -> Option<Day> {
    match row.keep {
        Keep::Years(years) => on.checked_sub_months(chrono::Months::new(years * 12)),
        Keep::LicenseEnd | Keep::AfterLicenseEnd(_) | Keep::WhileInForce | Keep::AsItsRecord => {
            None
        }
    }
}

fn state(&(_, day, stays): &Paper, edge: Option<Day>) -> State {
    match (edge.is_some_and(|edge| day < edge), stays) {
        (false, _) => State::Young,
        (true, None) => State::MayGo,
        (true, Some(Stays::InForce)) => State::InForce,
        (true, Some(Stays::Evidence)) => State::Evidence,
    }
}

fn begun(row: &Retention, edge: Option<Day>) -> RetentionLine {
    RetentionLine {
        key: row.key.clone(),
        citation: row.cited(),
        what: row.what.clone(),
        contents: row.contents.clone().unwrap_or_default(),
        keep: row.keep.to_string(),
        count: (!row.records.is_empty()).then_some(0),
        oldest: None,
        edge,
        may_go: 0,
        young: 0,
        in_force: 0,
        evidence: 0,
        meaning: row.meaning.clone(),
    }
}

impl RetentionLine {
    fn count(&mut self, day: Day, state: State) {
        self.count = self.count.map(|count| count + 1);
        self.oldest = self.oldest.into_iter().chain([day]).min();
        let place = match state {
            State::Young => &mut self.young,
            State::MayGo => &mut self.may_go,
            State::InForce => &mut self.in_force,
            State::Evidence => &mut self.evidence,
        };
        *place += 1;
    }
}

/// Each record with the strongest reason to keep it, and the day from which its time runs.
#[derive(Debug, Default)]
struct Kept<'r>(BTreeMap<RecordId, Held<'r>>);

/// How it stands, from which day its time runs, under which rule, and whether it stays longer.
type Held<'r> = (State, Day, &'r Retention, bool);

impl<'r> Kept<'r> {
    fn note(&mut self, row: &'r Retention, (record, day, stays): Paper, state: State) {
        let here = (state, day, row, stays == Some(Stays::InForce));
        let there = self.0.entry(record).or_insert(here);
        // Of two times that both run, the one that is longer.
        let longer = there.2.keep.is_shorter(row.keep);
        if state > there.0 || state == there.0 && longer {
            *there = here;
        }
    }
}

/// Photos and papers, each kept as what it goes with.
fn as_its_record(
    archive: &Archive<'_>,
    row: &Retention,
    kept: &Kept<'_>,
) -> Result<RetentionLine, AnswerError> {
    let mut line = begun(row, None);
    if !row.records.contains(&RecordType::Evidence) {
        return Ok(line);
    }
    let (house, desk) = (archive.house, EvidenceDesk::load(archive.house)?);
    let open = in_open_events(house)?;
    for it in desk
        .all()
        .filter(|it| desk.erased(&it.body.digest).is_none())
    {
        let about = it.body.about.number();
        let written = crate::calendar::parse_instant(&it.first_written_at).ok();
        let written = written.map_or(archive.on, |at| house.today(at.to_utc()));
        let (state, day) = match kept.0.get(&about) {
            _ if open.contains_key(&it.record) => (State::Evidence, written),
            Some((state, day, ..)) => (*state, *day),
            // No rule says how long that is kept.
            None => (State::MayGo, written),
        };
        line.count(day, state);
    }
    Ok(line)
}

/// What goes with an open event, with the event's name.
fn in_open_events(house: &OpenHouse<'_>) -> Result<BTreeMap<RecordId, String>, AnswerError> {
    let mut found = BTreeMap::new();
    for event in all_happened(house)?.iter().filter(|it| it.end.is_none()) {
        for it in evidence_of_event(house, event)? {
            found.insert(it.record, event.body.name.clone());
        }
    }
    Ok(found)
}

/// Why what is kept by a digest cannot be erased on a day: an open event, or the time for which
/// the record is kept that it goes with. None: nothing that the ledger knows holds it.
pub fn evidence_held(
    house: &OpenHouse<'_>,
    digest: &str,
    on: Day,
) -> Result<Vec<String>, AnswerError> {
    let archive = Archive::load(house, on)?;
    let (desk, open) = (EvidenceDesk::load(house)?, in_open_events(house)?);
    let mut kept = Kept::default();
    for row in house.rule_set_on(on)?.retention() {
        for kind in &row.records {
            for paper in archive.papers(*kind)? {
                kept.note(row, paper, state(&paper, edge(row, on)));
            }
        }
    }
    let mut held = Vec::new();
    for it in desk.all().filter(|it| it.body.digest == digest) {
        if let Some(event) = open.get(&it.record) {
            held.push(format!(
                "event {event}, to which entry {} belongs, is open",
                it.entry
            ));
        }
        let about = it.body.about.number();
        let Some((state, day, row, longer)) = kept.0.get(&about) else {
            continue;
        };
        let why = match (state, row.keep) {
            (State::MayGo, _) => continue,
            (State::Evidence, _) => "it is evidence of an open event".to_owned(),
            (State::InForce, _) => "it is of what is possessed or in force".to_owned(),
            (State::Young, Keep::Years(years)) => {
                let until = day.checked_add_months(chrono::Months::new(years * 12));
                let until = until.map(|it| format!(", until {it}")).unwrap_or_default();
                let longer = match longer {
                    true => ", and as long as it is possessed or in force",
                    false => "",
                };
                format!("it is kept {}{until}{longer}", row.keep)
            }
            (State::Young, keep) => format!("it is kept {keep}"),
        };
        let what = format!("{}, with which entry {} goes: {why}", row.what, it.entry);
        held.push(format!("{what} ({})", row.cited()));
    }
    Ok(held)
}

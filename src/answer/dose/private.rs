//! What is private about a person, for the person and the RSO; and what everybody else sees in
//! its place.

use std::collections::HashMap;

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::view::LevelLine;
use crate::calendar::{Day, Window, parse_instant};
use crate::dose::input::Pregnancy;
use crate::ledger::{Gone, Snapshot};
use crate::record::{self, Kept, PregnancyEnd, RecordId, Sex};
use crate::rule::{AppliesTo, CheckKey, Finding, Level, RuleSet, Severity};

/// What a declaration says, and where it stands.
#[derive(Debug, Clone, Serialize)]
pub struct DeclarationLine {
    /// The entry that leads to it, or that says it itself.
    pub entry: i64,
    /// The day of the written notice.
    pub notice_on: Day,
    /// The estimated date of conception, where it is on record.
    pub conception_on: Option<Day>,
    /// The day of the written withdrawal.
    pub withdrawn_on: Option<Day>,
    /// Whether an older program wrote it into the chain, out of which nothing can be erased.
    pub chained: bool,
}

/// What identifies a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Identification {
    /// The number.
    pub number: String,
    /// Which kind of number.
    #[serde(rename = "type")]
    pub kind: String,
}

/// A private record of which the content is not there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GoneLine {
    /// The entry that says so, or that leads to nothing.
    pub entry: i64,
    /// Why.
    pub why: GoneWhy,
}

/// Why the content is not there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GoneWhy {
    /// It was erased.
    Erased {
        /// On which day, in the ledger's zone.
        on: String,
        /// The name that was claimed.
        by: String,
        /// Why.
        reason: String,
    },
    /// The ledger was made from an export.
    NotRestored,
    /// Nobody knows.
    Missing,
}

/// What is private about a person.
#[derive(Debug, Clone, Serialize)]
pub struct PrivateAnswer {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// What identifies the person.
    pub identification: Option<Identification>,
    /// The person's sex.
    pub sex: Option<Sex>,
    /// Declared pregnancies.
    pub declarations: Vec<DeclarationLine>,
    /// What is not there any more.
    pub gone: Vec<GoneLine>,
}

/// What is private about a worker.
pub fn private_of(house: &OpenHouse<'_>, worker: RecordId) -> Result<PrivateAnswer, AnswerError> {
    let facts = house.facts(worker)?;
    let mut answer = PrivateAnswer {
        worker: facts.id.clone(),
        name: facts.name.clone(),
        identification: None,
        sex: None,
        declarations: Vec::new(),
        gone: gone(house, worker)?,
    };
    let rows = house.snapshot.private(Some(worker))?;
    let own: Vec<i64> = rows.iter().map(|it| it.entry).collect();
    for row in rows {
        match row.content {
            Ok(Kept::Identification { number, kind }) => {
                answer.identification = Some(Identification { number, kind });
            }
            Ok(Kept::Sex(sex)) => answer.sex = Some(sex),
            Ok(Kept::Declaration { .. }) | Err(_) => {}
        }
    }
    let declared = facts.pregnancies.iter();
    answer.declarations = declared
        .map(|it| DeclarationLine {
            entry: it.entry,
            notice_on: it.notice_on,
            conception_on: it.conception_on,
            withdrawn_on: it.ended_on,
            chained: !own.contains(&it.entry),
        })
        .collect();
    Ok(answer)
}

/// The private records of a person of which the content is not there. Each may have been a
/// declaration: nobody can tell.
pub(crate) fn gone(house: &OpenHouse<'_>, worker: RecordId) -> Result<Vec<GoneLine>, AnswerError> {
    let rows = house.snapshot.private(Some(worker))?.into_iter();
    Ok(rows
        .filter_map(|row| {
            let why = match row.content.err()? {
                Gone::Erased { at, by, reason } => GoneWhy::Erased {
                    on: day_of(house, &at),
                    by,
                    reason,
                },
                Gone::NotRestored => GoneWhy::NotRestored,
                Gone::Missing => GoneWhy::Missing,
            };
            Some(GoneLine {
                entry: row.entry,
                why,
            })
        })
        .collect())
}

/// The day of an instant in the ledger's zone; as it stands, where it cannot be read.
fn day_of(house: &House, at: &str) -> String {
    match parse_instant(at) {
        Ok(at) => house.today(at.into()).to_string(),
        Err(_) => at.to_owned(),
    }
}

/// Declared pregnancies by worker: those of the private table, and of those that an older
/// program chained the ones of which it has none.
pub(crate) fn declared(
    snapshot: &Snapshot<'_>,
) -> Result<HashMap<RecordId, Vec<Pregnancy>>, AnswerError> {
    let mut all: HashMap<RecordId, Vec<Pregnancy>> = HashMap::new();
    for row in snapshot.private(None)? {
        if let Ok(Kept::Declaration {
            conception_on,
            notice_on,
            withdrawn_on,
        }) = row.content
        {
            all.entry(row.worker).or_default().push(Pregnancy {
                entry: row.entry,
                notice_on,
                conception_on,
                ended_on: withdrawn_on,
            });
        }
    }
    let ends: HashMap<RecordId, Day> = snapshot
        .all::<PregnancyEnd>()?
        .into_iter()
        .map(|it| (it.body.pregnancy.number(), it.body.on))
        .collect();
    for it in snapshot.all::<record::Pregnancy>()? {
        let of = all.entry(it.body.worker.number()).or_default();
        if of.iter().all(|known| known.notice_on != it.body.notice_on) {
            of.push(Pregnancy {
                entry: it.entry,
                notice_on: it.body.notice_on,
                conception_on: it.body.conception_on,
                ended_on: ends.get(&it.record).copied(),
            });
        }
    }
    Ok(all)
}

impl House {
    /// The rule of a limit that counts from conception, under the rule set of a day; of a day
    /// before the first rule set, under the newest.
    pub fn counts_from_conception(&self, day: Day) -> Option<String> {
        let rule_set = self.rule_set_on(day).ok().or(self.newest_rule_set())?;
        let mut levels = rule_set.levels.iter();
        let found = levels.find(|it| {
            it.applies_to == AppliesTo::DeclaredPregnancy
                && it.over() == Some(Window::EntirePregnancy)
        });
        found.map(Level::cited)
    }

    /// Whether the key of a finding names a level of a declared pregnancy, as those of older
    /// programs did.
    pub(crate) fn is_private_finding(&self, key: &str) -> bool {
        let check = key.split('/').next().unwrap_or_default();
        let Some((_, level)) = check.split_once(':') else {
            return false;
        };
        let mut levels = self.rule_sets().flat_map(|rule_set| &rule_set.levels);
        levels.any(|it| it.key == level && it.applies_to == AppliesTo::DeclaredPregnancy)
    }
}

/// The levels that anybody may read.
pub(crate) fn open_levels(levels: Vec<LevelLine>) -> Vec<LevelLine> {
    levels.into_iter().filter(|it| !it.is_private).collect()
}

/// Findings as anybody may read them.
pub(crate) fn open_findings(findings: Vec<Finding>) -> Vec<Finding> {
    findings.into_iter().map(Finding::masked).collect()
}

/// Private records of a person that nobody erased and that are not there: what they told, the RSO
/// has to find out.
pub(crate) fn lost_finding(rule_set: &RuleSet, worker: &str, gone: &[GoneLine]) -> Option<Finding> {
    let lost = |it: &&GoneLine| !matches!(it.why, GoneWhy::Erased { .. });
    let entries: Vec<i64> = gone.iter().filter(lost).map(|it| it.entry).collect();
    if entries.is_empty() {
        return None;
    }
    let mut rule = rule_set.text_of(CheckKey::PrivateLost);
    rule.remedy = format!(
        "Take the ledger from a backup, or ask the person and keep it anew; then: wearbook \
         private erase {worker} lost --reason WHY."
    );
    let what = "private records are not in this ledger, and what they tell is judged nowhere";
    let mut found = Finding::new(Severity::Act, &rule, worker, what, entries);
    found.private = true;
    Some(found)
}

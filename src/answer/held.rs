//! What is held: possible but doubtful, and waiting for somebody's word.

use serde::Serialize;

use super::load::{AnswerError, House};
use crate::calendar::Day;
use crate::ledger::Snapshot;
use crate::record::{DoubtSort, Words};

/// One held item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HeldLine {
    /// How it is named: sheet entry and place.
    pub item: String,
    /// The sheet's entry.
    pub entry: i64,
    /// The sheet's name.
    pub sheet: String,
    /// The sheet's day.
    pub day: Day,
    /// The person concerned.
    pub person: Option<String>,
    /// Why it is held.
    pub sort: String,
    /// What it is about.
    pub about: String,
    /// Whether a reading stays out of the account because of it.
    pub about_dose: bool,
}

/// Everything that is held.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HeldAnswer {
    /// The items, by day.
    pub lines: Vec<HeldLine>,
    /// How many more were ruled upon.
    pub settled: usize,
}

/// Everything that is held and not ruled upon.
pub fn held(snapshot: &Snapshot<'_>, house: &House) -> Result<HeldAnswer, AnswerError> {
    let mut lines = Vec::new();
    let mut settled = 0;
    for row in snapshot.held()? {
        if row.ruling.is_some() {
            settled += 1;
            continue;
        }
        let sheet = snapshot.sheet_at(row.entry)?;
        let person = row.person.and_then(|place| {
            let at = usize::try_from(place - 1).ok()?;
            let person = sheet.as_ref()?.people.get(at)?;
            Some(house.names.words(&person.worker))
        });
        let name = sheet.as_ref().map(|it| match &it.reference {
            Some(reference) => reference.clone(),
            None => format!("{} {}", it.day, it.shift.word()),
        });
        let sort = DoubtSort::from_word(&row.sort);
        lines.push(HeldLine {
            item: format!("{}.{}", row.entry, row.item),
            entry: row.entry,
            sheet: name.unwrap_or_default(),
            day: row.day,
            person,
            about_dose: sort.is_some_and(DoubtSort::keeps_dose_out),
            sort: row.sort,
            about: row.about,
        });
    }
    Ok(HeldAnswer { lines, settled })
}

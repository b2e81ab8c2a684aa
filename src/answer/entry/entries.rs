//! Entries as they stand in the ledger, the rule sets in force, and the sheet
//! that a crew handed in last.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::spelling::{FieldLine, Spelling, masked};
use crate::calendar::Day;
use crate::ledger::{Entry, LedgerError, Snapshot};
use crate::record::{Adoption, Body, Sheet};

/// One entry for people to read.
#[derive(Debug, Clone, Serialize)]
pub struct EntryAnswer {
    /// Its number.
    pub entry: i64,
    /// The record that it belongs to.
    pub record: i64,
    /// Its kind.
    pub kind: String,
    /// When it was written.
    pub written_at: String,
    /// The name that the writer claimed.
    pub written_by: String,
    /// The operating system's user.
    pub os_user: String,
    /// The entry that it replaces.
    pub ends: Option<i64>,
    /// Why.
    pub reason: Option<String>,
    /// Whether it was copied from paper.
    pub transcribed: bool,
    /// Whether it voids its record.
    pub void: bool,
    /// Its fields with their values, as `entry correct` takes them.
    pub fields: Vec<FieldLine>,
    /// Its hash.
    pub hash: String,
    /// The newest entry of the record.
    pub newest: i64,
}

fn answer(
    house: &House,
    spelling: &Spelling<'_>,
    entry: Entry,
    newest: i64,
) -> Result<EntryAnswer, AnswerError> {
    let seq = entry.seq;
    let body = entry
        .read_body()
        .map_err(|detail| LedgerError::Unreadable { seq, detail })?;
    let fields = match &body {
        // An answer that an older program took names the level that it is about.
        Some(Body::Decision(it)) if house.is_private_finding(&it.finding) => Some(vec![masked()]),
        other => other.as_ref().map(|it| spelling.fields(it)).transpose()?,
    };
    let kind = entry.kind_word().to_owned();
    Ok(EntryAnswer {
        entry: entry.seq,
        record: entry.record,
        kind,
        written_at: entry.written_at,
        written_by: entry.written_by,
        os_user: entry.os_user,
        ends: entry.ends,
        reason: entry.reason,
        transcribed: entry.transcribed,
        void: body.is_none(),
        fields: fields.unwrap_or_default(),
        hash: entry.hash.to_string(),
        newest,
    })
}

/// One entry.
pub fn entry_of(house: &OpenHouse<'_>, seq: i64) -> Result<EntryAnswer, AnswerError> {
    let entry = house.snapshot.entry(seq)?;
    let newest = house.snapshot.newest(entry.record)?;
    answer(
        house,
        &Spelling::new(house.snapshot, &house.names),
        entry,
        newest,
    )
}

/// Every version of the record that an entry belongs to, oldest first.
pub fn history_of(house: &OpenHouse<'_>, seq: i64) -> Result<Vec<EntryAnswer>, AnswerError> {
    let versions = house.snapshot.history(seq)?;
    let newest = versions.last().map_or(seq, |it| it.seq);
    let spelling = Spelling::new(house.snapshot, &house.names);
    versions
        .into_iter()
        .map(|it| answer(house, &spelling, it, newest))
        .collect()
}

/// One adoption of a rule set.
#[derive(Debug, Clone, Serialize)]
pub struct RuleSetLine {
    /// Its name.
    pub name: String,
    /// First day in force.
    pub from: Day,
    /// The entry.
    pub entry: i64,
    /// Whether it is the one in force on the day asked for.
    pub in_force: bool,
}

/// The rule sets that the ledger adopted.
pub fn rule_sets(house: &OpenHouse<'_>, on: Day) -> Result<Vec<RuleSetLine>, AnswerError> {
    let now = house
        .rule_set_on(on)
        .map(|it| it.key.clone())
        .unwrap_or_default();
    let all = house.snapshot.all::<Adoption>()?;
    let newest = all
        .iter()
        .filter(|it| it.body.from <= on)
        .max_by_key(|it| (it.body.from, it.entry))
        .map(|it| it.entry);
    Ok(all
        .into_iter()
        .map(|it| RuleSetLine {
            in_force: Some(it.entry) == newest && it.body.name == now,
            name: it.body.name,
            from: it.body.from,
            entry: it.entry,
        })
        .collect())
}

/// The sheet that was handed in last: what a prompt proposes. East of the ledger's zone a sheet may
/// be of tomorrow already.
pub fn last_sheet(snapshot: &Snapshot<'_>, today: Day) -> Result<Option<Sheet>, AnswerError> {
    const DAYS_BACK: u64 = 60;
    let first = today
        .checked_sub_days(chrono::Days::new(DAYS_BACK))
        .unwrap_or(today);
    let last = today.succ_opt().unwrap_or(today);
    let mut sheets = snapshot.sheets(first, last)?;
    sheets.sort_by_key(|it| it.entry);
    Ok(sheets.pop().map(|it| it.body))
}

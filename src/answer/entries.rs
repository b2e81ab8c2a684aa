//! Entries as they stand in the ledger, the schemes in force, and the sheet
//! that a crew handed in last.

use serde::Serialize;
use serde_json::Value;

use super::load::{AnswerError, House};
use super::names::Names;
use crate::calendar::Day;
use crate::ledger::{Entry, Snapshot};
use crate::record::{Adoption, Sheet};

/// One field of an entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FieldLine {
    /// Its path, as `entry amend` takes it.
    pub field: String,
    /// Its value.
    pub value: String,
    /// Whom or what a number of a record means.
    pub means: Option<String>,
}

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
    /// Its fields with their values, as `entry amend` takes them.
    pub fields: Vec<FieldLine>,
    /// Its hash.
    pub hash: String,
    /// The newest entry of the record.
    pub newest: i64,
}

/// Fields that hold the number of a record of a register.
const POINTS_TO: &[&str] = &[
    "attested_by",
    "control_unit",
    "device",
    "dosimeter",
    "guide_tubes",
    "instrument",
    "item",
    "job",
    "meter",
    "ratemeter",
    "source",
    "worker",
];

fn flatten(path: &str, value: &Value, names: &Names, fields: &mut Vec<FieldLine>) {
    let at = |step: &str| {
        if path.is_empty() {
            step.to_owned()
        } else {
            format!("{path}.{step}")
        }
    };
    let line = |value: String, means: Option<String>| FieldLine {
        field: path.to_owned(),
        value,
        means,
    };
    match value {
        Value::Object(map) => {
            for (name, value) in map {
                flatten(&at(name), value, names, fields);
            }
        }
        Value::Array(list) => {
            for (place, value) in list.iter().enumerate() {
                flatten(&at(&(place + 1).to_string()), value, names, fields);
            }
        }
        Value::String(text) => fields.push(line(text.clone(), None)),
        Value::Number(number) => {
            let name = path.rsplit('.').find(|step| step.parse::<usize>().is_err());
            let points = name.is_some_and(|name| POINTS_TO.contains(&name));
            let means = number
                .as_i64()
                .filter(|_| points)
                .map(|record| names.label(record));
            fields.push(line(number.to_string(), means));
        }
        other => fields.push(line(other.to_string(), None)),
    }
}

fn answer(entry: Entry, newest: i64, names: &Names) -> EntryAnswer {
    let mut fields = Vec::new();
    if let Some(value) = entry
        .body
        .as_deref()
        .and_then(|it| serde_json::from_str(it).ok())
    {
        flatten("", &value, names, &mut fields);
    }
    EntryAnswer {
        entry: entry.seq,
        record: entry.record,
        kind: entry.kind,
        written_at: entry.written_at,
        written_by: entry.written_by,
        os_user: entry.os_user,
        ends: entry.ends,
        reason: entry.reason,
        transcribed: entry.transcribed,
        void: entry.body.is_none(),
        fields,
        hash: entry.hash.to_string(),
        newest,
    }
}

/// One entry.
pub fn entry_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    seq: i64,
) -> Result<EntryAnswer, AnswerError> {
    let entry = snapshot.entry(seq)?;
    let newest = snapshot.newest(entry.record)?;
    Ok(answer(entry, newest, &house.names))
}

/// Every version of the record that an entry belongs to, oldest first.
pub fn history_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    seq: i64,
) -> Result<Vec<EntryAnswer>, AnswerError> {
    let versions = snapshot.history(seq)?;
    let newest = versions.last().map_or(seq, |it| it.seq);
    Ok(versions
        .into_iter()
        .map(|it| answer(it, newest, &house.names))
        .collect())
}

/// One adoption of a scheme.
#[derive(Debug, Clone, Serialize)]
pub struct SchemeLine {
    /// Its name.
    pub name: String,
    /// First day in force.
    pub from: Day,
    /// The entry.
    pub entry: i64,
    /// Whether it is the one in force on the day asked for.
    pub in_force: bool,
}

/// The schemes that the ledger adopted.
pub fn schemes(
    snapshot: &Snapshot<'_>,
    house: &House,
    on: Day,
) -> Result<Vec<SchemeLine>, AnswerError> {
    let now = house
        .scheme_on(on)
        .map(|it| it.key.clone())
        .unwrap_or_default();
    let all = snapshot.all::<Adoption>()?;
    let newest = all
        .iter()
        .filter(|it| it.body.from <= on)
        .max_by_key(|it| (it.body.from, it.entry))
        .map(|it| it.entry);
    Ok(all
        .into_iter()
        .map(|it| SchemeLine {
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

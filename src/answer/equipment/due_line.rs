//! A line of what falls due.

use serde::Serialize;

use crate::calendar::Day;

/// How a duty stands, the most urgent first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DueState {
    /// Its last check failed, or it was serviced since.
    NotUsable,
    /// Its time is past.
    Overdue,
    /// Nothing is on record.
    NeverDone,
    /// Not in force: to be done before the next use.
    BeforeUse,
    /// In time.
    #[serde(rename = "current")]
    InTime,
}

/// One duty of one thing.
#[derive(Debug, Clone, Serialize)]
pub struct DueLine {
    /// The thing.
    pub item: String,
    /// What it is.
    #[serde(rename = "type")]
    pub kind: String,
    /// The key of the interval that asks for it.
    #[serde(skip)]
    pub key: &'static str,
    /// What is to be done.
    pub what: String,
    /// When it was last done.
    pub last: Option<Day>,
    /// The last day on which it is in time.
    pub due: Option<Day>,
    /// How it stands.
    pub state: DueState,
    /// The same in words.
    pub words: String,
    /// The rule.
    pub rule: String,
}

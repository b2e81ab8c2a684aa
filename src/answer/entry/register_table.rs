//! A register as a table of words.

use serde::Serialize;

use crate::ledger::Stored;

/// A register as a table of words.
#[derive(Debug, Clone, Serialize)]
pub struct RegisterAnswer {
    /// What is listed.
    pub noun: String,
    /// The headings.
    pub columns: Vec<String>,
    /// The rows.
    pub rows: Vec<Vec<String>>,
    /// A line under the table, where something in it is an estimate.
    pub note: Option<String>,
}

pub(crate) fn table(
    noun: &str,
    columns: &[&str],
    rows: Vec<Vec<String>>,
    note: Option<&str>,
) -> RegisterAnswer {
    RegisterAnswer {
        noun: noun.to_owned(),
        columns: columns.iter().map(|it| (*it).to_owned()).collect(),
        rows,
        note: note.map(str::to_owned),
    }
}

pub(crate) fn by_key<T>(mut all: Vec<Stored<T>>, key: impl Fn(&T) -> String) -> Vec<Stored<T>> {
    all.sort_by_key(|it| key(&it.body));
    all
}

//! The checklists that a ledger adopted.

use serde::Serialize;

use super::maintenance::Maintenance;
use crate::answer::context::error::AnswerError;
use crate::calendar::Day;
use crate::ledger::Snapshot;

/// One adoption of a checklist.
#[derive(Debug, Clone, Serialize)]
pub struct ListLineage {
    /// Its name.
    pub name: String,
    /// First day in force.
    pub from: Day,
    /// How many items it has.
    pub items: usize,
    /// The entry.
    pub entry: i64,
}

/// The checklists that the ledger adopted, by first day.
pub fn checklists_of(snapshot: &Snapshot<'_>) -> Result<Vec<ListLineage>, AnswerError> {
    let maintenance = Maintenance::load(snapshot)?;
    let mut all: Vec<ListLineage> = maintenance
        .lists()
        .iter()
        .map(|it| ListLineage {
            name: it.list.key.clone(),
            from: it.from,
            items: it.list.items.len(),
            entry: it.entry,
        })
        .collect();
    all.sort_by_key(|it| (it.from, it.entry));
    Ok(all)
}

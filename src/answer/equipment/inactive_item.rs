//! An item that measures and has no figures, with what was measured there.

use serde::Serialize;

use crate::calendar::Day;

/// One item of one item that waits for its figures.
#[derive(Debug, Clone, Serialize)]
pub struct InactiveItem {
    /// The item.
    pub equipment: String,
    /// The item's key in the checklist.
    pub line: String,
    /// Which part.
    pub component: String,
    /// What was measured all the same, by day.
    pub facts: Vec<InactiveFact>,
    /// Why it has no verdict, and what would change that.
    pub why: &'static str,
}

/// One measure without a verdict.
#[derive(Debug, Clone, Serialize)]
pub struct InactiveFact {
    /// The day.
    pub on: Day,
    /// As written.
    pub value: String,
    /// Measured or defect, as written.
    pub result: String,
    /// Who looked.
    pub by: String,
    /// The inspection's entry.
    pub entry: i64,
}

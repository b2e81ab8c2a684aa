//! From an event to the items of the checklist that could have shown it, and to each time they
//! were looked at.
//!
//! The room is pure: plain values in, plain values out. It may use `stat`, `calendar`,
//! `quantity`, `rule` and `record`, and never the ledger, a clock, SQL or printing.
//!
//! Each item gets two words: *coverage*, whether it could have shown the failure, which starts
//! from the checklist's data and is concluded by the RSO, and *record*, what the ledger shows of
//! the inspections of it. Inspections count by when they were done, in the version that was written
//! before the event; what was written afterwards is a claim, and what it would change is told.

pub mod barrier;
pub mod check;
pub mod coverage;
pub mod extent;
pub mod finding;
pub mod inspection;
pub mod known;
pub mod occurred;
pub mod ranking;
pub mod record;
pub mod required;
pub mod suggestion;
#[cfg(test)]
mod tests;
pub mod verdict;

/// What goes with every verdict and with the ranking.
pub const JUDGES_ITEMS: &str = "This judges items and procedures, not people.";

//! Equipment, instruments, inspections and wear as reports.

pub(super) mod checklist;
pub(super) mod due_ahead;
pub(super) mod form;
pub(super) mod inspection;
pub(super) mod item;
pub(super) mod labels;
pub(super) mod wear;

//! What was written, or would be, as reports.

pub(super) mod evidence;
pub(super) mod form;
pub(super) mod history;
pub(super) mod preview;
pub(super) mod register;
pub(super) mod rule_set;
pub(super) mod sheet;

//! The commands about an event, its trace and what is owed to an authority.

pub(super) mod command;
pub(super) mod report;
pub(super) mod trace;

//! Questions about an event: what happened, what must be reported by when, and which part,
//! inspection and person it leads back to.

pub(super) mod cause;
pub(super) mod happened;
pub(super) mod in_event;
pub(super) mod lines;
pub(super) mod list;
pub(super) mod notification;
pub(super) mod notification_before;
pub(super) mod notification_changes;
pub(super) mod notification_contents;
pub(super) mod notification_doses;
pub(super) mod notification_facts;
pub(super) mod notification_gone;
pub(super) mod notification_happened;
pub(super) mod notification_hide;
pub(super) mod notification_line;
pub(super) mod notification_people;
pub(super) mod notification_questions;
pub(super) mod notification_report;
pub(super) mod notification_reports;
pub(super) mod person;
pub(super) mod ranking;
pub(super) mod record;
pub(super) mod service;
pub(super) mod trace;
pub(super) mod trace_checks;
pub(super) mod trace_extent;
pub(super) mod trace_facts;
pub(super) mod trace_row;
pub(super) mod trace_rows;
pub(super) mod trace_states;
pub(super) mod trace_triggers;

//! Questions about equipment and instruments: what falls due, what was inspected and with what
//! result, what wears out.

pub(super) mod calendar;
pub(super) mod calibration;
pub(super) mod category;
pub(super) mod checked;
pub(super) mod checklist;
pub(super) mod due;
pub(super) mod due_ahead;
pub(super) mod due_line;
pub(super) mod inactive;
pub(super) mod inactive_item;
pub(super) mod inspection;
pub(super) mod item;
pub(super) mod item_facts;
pub(super) mod label;
pub(super) mod maintenance;
pub(super) mod maintenance_findings;
pub(super) mod measurements;
pub(super) mod tracking;
pub(super) mod tracking_asked;
pub(super) mod wear;
pub(super) mod wear_drawing;
pub(super) mod wear_findings;
pub(super) mod wear_peers;

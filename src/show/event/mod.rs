//! Events, what is owed to an authority, and traces as reports and charts.

pub(super) mod notification;
pub(super) mod ranking;
pub(super) mod record;
pub(super) mod trace;
pub(super) mod trace_chart;
pub(super) mod trace_items;

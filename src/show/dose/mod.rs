//! Answers about dose as reports.

pub(super) mod account;
pub(super) mod estimate;
pub(super) mod forecast;
pub(super) mod nobody;
pub(super) mod notional;
pub(super) mod private;
pub(super) mod reconcile;
pub(super) mod year;

//! The commands about dose and badges.

pub(super) mod badge;
pub(super) mod chart;
pub(super) mod command;
pub(super) mod determination;
pub(super) mod estimate;
pub(super) mod hold;
pub(super) mod private;

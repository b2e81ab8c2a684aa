//! What is held for doubt and what a dose of record is taken from.

pub(super) mod doubt;
pub(super) mod doubt_badge;
pub(super) mod doubt_reading;
pub(super) mod known_dose;

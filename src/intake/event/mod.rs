//! An event and all that is written about it later.

pub(super) mod about_event;
pub(super) mod cause;
pub(super) mod conclude;
pub(super) mod desk;
pub(super) mod happening;
pub(super) mod notification;
pub(super) mod open;
pub(super) mod people;
pub(super) mod position;

//! `wearbook sheet`: the end-of-shift sheet by flags, by file or by prompt.

pub(super) mod ask;
pub(super) mod command;
pub(super) mod crew;
pub(super) mod draft;
pub(super) mod during;
pub(super) mod form;
pub(super) mod list;
pub(super) mod paper;
pub(super) mod people;
pub(super) mod photo;
pub(super) mod prompt;
pub(super) mod reading;
pub(super) mod row;
pub(super) mod settle;
pub(super) mod start;
pub(super) mod written;

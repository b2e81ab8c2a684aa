//! The commands of the morning and of the office.

pub(super) mod alerts;
pub(super) mod board;
pub(super) mod command;
pub(super) mod finding;
pub(super) mod leaver;
mod mail;
pub(super) mod pack;
pub(super) mod records;
pub(super) mod statement;

//! wearbook: the personnel-dosimetry and incident ledger of a crew that makes
//! radiographs of welds with sealed gamma sources.
//!
//! Rooms, from the top down; a room may use only rooms below it (held by
//! `tests/tidy.rs`, drawn in DEVELOPERS.md).
#![forbid(unsafe_code)]

pub mod cli;

pub mod page;

pub mod show;

pub mod answer;
pub mod intake;

pub mod dose;
pub mod instrument;
pub mod notification;
pub mod trace;
pub mod wear;

pub mod source;
pub mod stat;

pub mod ledger;

pub mod record;

pub mod rule;

pub mod calendar;
pub mod quantity;

pub mod file;
pub mod text;

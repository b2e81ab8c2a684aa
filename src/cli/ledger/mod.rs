//! The commands about the ledger itself.

mod calendar;
pub(super) mod command;
mod copies;
pub(super) mod demo;
pub(super) mod entry;
pub(super) mod evidence;
pub(super) mod ledger_words;
pub(super) mod pin;
pub(super) mod rules;
pub(super) mod serve;

//! All integration tests in one binary, one module an area.
#![forbid(unsafe_code)]

mod calendar_reference;
mod cli_badges;
mod cli_gallery;
mod cli_support;
mod decay_reference;
mod ledger_chain;
mod ledger_commands;
mod ledger_files;
mod ledger_fixture;
mod ledger_guards;
mod ledger_histories;
mod ledger_keep;
mod ledger_model;
mod ledger_tamper;
mod quantity_reference;
mod record_canonical;
mod scheme_reference;
mod special_populations;

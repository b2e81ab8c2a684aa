//! All integration tests in one binary, one module an area.
#![forbid(unsafe_code)]

mod calendar_reference;
mod decay_reference;
mod plain_account;
mod quantity_reference;
mod scheme_reference;
mod special_populations;
mod stat_reference;

//! All integration tests in one binary, one module an area.
#![forbid(unsafe_code)]

mod calendar_reference;
mod cli_gallery;
mod cli_support;
mod decay_reference;
mod quantity_reference;
mod scheme_reference;
mod special_populations;

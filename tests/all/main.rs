//! All integration tests in one binary, a module an area.

mod stat_reference;

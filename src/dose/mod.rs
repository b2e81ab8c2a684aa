//! Room to come.

pub mod forecast;

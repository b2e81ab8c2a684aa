//! Room to come.
pub mod chart;

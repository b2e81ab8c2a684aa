//! How an installed part wears: the line through its measures, where it leads, and what in the
//! record of inspections looks as if nobody had looked.
//!
//! The room is pure: plain values and a day in, plain values out. It may use `stat`, `calendar`,
//! `quantity`, `rule` and `record`, and never the ledger, a clock, SQL or printing. Its `f64` are
//! forecasts and chances; what was measured stays a whole number.

pub mod forecast;
pub mod foreseen;
pub mod series;
pub mod signal;
#[cfg(test)]
mod tests;

//! Statistics that the rest of the house asks for: what a sum over days to come may
//! be, how sure a count is, and where a wear line leads.
//!
//! The room is pure: numbers in, numbers out, no record, no clock, no ledger. It
//! uses no other room. Its figures are `f64` because they are estimates and
//! probabilities; nothing in here is ever stored as a dose.
//!
//! - `prediction`: what a sum over days to come may be, from days behind;
//! - `interval`: exact intervals of a share and of a rate, Student's t;
//! - `regression`: least squares and prediction intervals;
//! - `line`: a straight line, and where it or its band reaches a limit;
//! - `range`: how likely some values lie close together;
//! - `sequence`: the interval of a mean that is looked at again and again;
//! - `special`: the functions behind them;
//! - `sum`: compensated sums.

pub mod interval;
pub mod line;
pub mod prediction;
pub mod range;
pub mod regression;
pub mod sequence;
pub mod special;
mod sum;

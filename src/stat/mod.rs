//! Statistics that the rest of the house asks for: how shift doses add up over
//! the shifts still to come, how sure a count is, and where a wear line leads.
//!
//! The room is pure: numbers in, numbers out, no record, no clock, no ledger. It
//! uses no other room. Its figures are `f64` because they are estimates and
//! probabilities; nothing in here is ever stored as a dose.
//!
//! - `convolution`: the distribution of the sum of N shift doses;
//! - `interval`: exact intervals of a share and of a rate, Student's t;
//! - `regression`: least squares and prediction intervals;
//! - `line`: a straight line, and where it or its band reaches a limit;
//! - `range`: how likely some values lie close together;
//! - `sequence`: the interval of a mean that is looked at again and again;
//! - `special`: the functions behind them;
//! - `fourier`: the transform that the long sums use;
//! - `totals`: what such a sum gives: probabilities and quantiles;
//! - `sum`: compensated sums.

pub mod convolution;
mod fourier;
pub mod interval;
pub mod line;
pub mod range;
pub mod regression;
pub mod sequence;
pub mod special;
mod sum;
mod totals;

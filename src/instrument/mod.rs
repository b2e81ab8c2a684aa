//! Survey meters, ratemeters and dosimeters: whether a calibration or response check came out
//! right and was full, and what to look back at when one turns out to have been wrong.
//!
//! The room is pure: plain values and a day in, plain values out. It may use `calendar`,
//! `quantity`, `rule` and `record`, and never the ledger, a clock, SQL or printing.
//!
//! Every verdict is a comparison of whole numbers. Correction factors are estimates and say so.

pub mod assessment;
mod coverage;
pub mod look_back;
pub mod points;
#[cfg(test)]
mod tests;

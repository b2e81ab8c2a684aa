//! Every worker's dose: the account, the conservative total, the levels, and
//! the named checks of a sheet.
//!
//! The room is pure. It takes plain records and a day, and gives plain values
//! back; it may use `quantity`, `calendar`, `rule`, `stat` and `source`, and
//! never the ledger, a clock, SQL or printing.
//!
//! Two figures run through the room. The *account* is what the records say.
//! The *conservative total* is what work status, allowance and levels use: it is
//! never below the account and lists what raised it. A dose that has no upper
//! bound (an off-scale dosimeter, a reading that was not taken) is counted and
//! said beside the known part, and never turned into a number that looks
//! final.

pub mod account;
pub mod by_sheet;
pub mod checks;
pub mod compared;
pub mod dated;
pub mod determine;
mod explain;
pub mod forecast;
pub mod index;
pub mod input;
mod left;
pub mod level;
pub mod population;
pub mod work_status;

pub mod conservative;
pub mod prior;
pub mod qualification;
pub mod reconcile;
pub mod reconcile_mean;
pub mod reconstruct;
pub mod resolve;
pub mod shift;
pub mod total;

#[cfg(test)]
mod tests;

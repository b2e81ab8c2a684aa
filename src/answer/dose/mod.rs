//! Questions about dose: what a person has, why, what is left, what is to come, and what an
//! exposure without a usable dosimeter may have been.

pub(super) mod account;
pub(super) mod annual_report;
pub(super) mod bystander;
pub(super) mod collective;
pub(super) mod conflict;
pub(super) mod crew;
pub(super) mod embryo;
pub(super) mod extremity;
pub(super) mod forecast;
pub(super) mod forecast_behind;
pub(super) mod handling;
pub(super) mod level_findings;
pub(super) mod look_back;
pub(super) mod nobody;
pub(super) mod notional;
pub(super) mod plan;
pub(super) mod presence;
pub(super) mod private;
pub(super) mod reconcile;
pub(super) mod reconcile_span;
pub(super) mod reconstruct;
pub(super) mod reconstruct_asked;
pub(super) mod reconstruct_with;
pub(super) mod request;
pub(super) mod strength;
pub(super) mod unseen;

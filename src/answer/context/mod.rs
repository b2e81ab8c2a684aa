//! What every answer loads: the records of the house at one point of the ledger, found by the
//! names that people use, and the plain values that several answers share.

pub(super) mod badge;
pub(super) mod badge_clock;
pub(super) mod clock;
pub(super) mod effect;
pub(super) mod error;
pub(super) mod here;
pub(super) mod history;
pub(super) mod house;
pub(super) mod houses;
pub(super) mod license;
pub(super) mod load;
pub(super) mod moment;
pub(super) mod names;
pub(super) mod near;
pub(super) mod read_once;
pub(super) mod roles;
pub(super) mod service;
pub(super) mod shift_hours;
pub(super) mod sought;
pub(super) mod spelling;
pub(super) mod view;
pub(super) mod worker;

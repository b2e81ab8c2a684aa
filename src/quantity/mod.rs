//! Exact values with units: dose, dose rate, what a dosimeter shows, activity, length, angle.
//!
//! Each is a whole number of its smallest useful unit, because that unit is chosen once and
//! for ever and because a sum of whole numbers has no rounding to explain to an inspector:
//!
//! | type | is a whole number of | so that exactly |
//! |---|---|---|
//! | [`Dose`] | nanosievert | 1 mrem = 10 000 |
//! | [`DoseRate`] | nanosievert an hour | 1 mrem/h = 10 000 |
//! | [`Indication`] | 1/10 000 of the milli-unit on the face | 1 mR = 10 000, 1 mrem = 10 000 |
//! | [`Activity`] | becquerel | 1 Ci = 37 000 000 000 |
//! | [`Length`] | nanometre | 0.001 in = 25 400 |
//! | [`Angle`] | millidegree | 1 deg = 1 000 |
//!
//! [`Amount`] is whichever of length, angle and rate an inspection measures, with its unit as
//! it was written.
//!
//! Text is read exactly: what is finer than the store can hold is refused, never rounded, and
//! so is a decimal comma, an exponent, or a unit that is not known. Rounding happens only in
//! printing. Sums and products are checked: too large is an error, never a wrap.
//!
//! This room uses no other room.

#[macro_use]
mod whole;

mod activity;
mod amount;
mod angle;
mod decimal;
mod dose;
mod dose_rate;
mod error;
mod indication;
mod length;
mod share;
mod unit;

pub use activity::{Activity, ActivityUnit};
pub use amount::{Amount, AmountKind, AmountUnit};
pub use angle::{Angle, AngleUnit};
pub use dose::{AbsorbedUnit, Dose, DoseUnit};
pub use dose_rate::{DoseRate, DoseRateUnit, MeterUnit};
pub use error::{Overflow, QuantityError};
pub use indication::{Indication, IndicationUnit};
pub use length::{Length, LengthUnit};
pub use share::Share;

//! Sealed sources: what they are made of and how strong they are on a day.
//!
//! May use `quantity` and `calendar`. Pure: the day is given, nothing is read or printed. The
//! activity that a certificate states is never changed; what is computed here is an estimate
//! beside it.

pub mod category;
pub mod constant;
pub mod decay;
pub mod layer;
pub mod nuclide;
pub mod rate;
pub mod usual;
mod written;

pub use constant::{Constant, Measure, Spread};
pub use decay::{DecayError, activity_on, share_left};
pub use layer::Material;
pub use nuclide::{Nuclide, UnknownNuclide};
pub use written::NotAConstant;

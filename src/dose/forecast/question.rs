//! What a forecast is made from.

use serde::Serialize;

use super::rate::Rate;
use super::worked::Worked;
use crate::calendar::Day;
use crate::quantity::{Dose, DoseUnit};

/// A level that a total may pass: strictly above it is passed, at it is not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Mark {
    /// The level's key in the rule set.
    pub key: String,
    /// The level.
    pub dose: Dose,
}

/// What a forecast is made from.
#[derive(Clone, Debug)]
pub struct Question {
    /// The dose so far in the window, by the conservative total.
    pub so_far: Dose,
    /// The last day that the dose so far covers.
    pub on: Day,
    /// The last day of the window.
    pub until: Day,
    /// The days behind, mostly twelve months, with their doses.
    pub worked: Worked,
    /// The levels to be watched.
    pub marks: Vec<Mark>,
    /// The plain rate, mostly the dose so far over the days so far.
    pub plain: Option<Rate>,
    /// The rate of the worst quarter; see [`worst_quarter`](super::worst_quarter).
    pub worst_quarter: Option<Rate>,
    /// The unit for doses in the words.
    pub unit: DoseUnit,
}

//! The points of a calibration or check, and what is asked of them.

use serde::Serialize;

use crate::quantity::{Amount, AmountKind, AmountUnit, Indication, IndicationUnit, MeterUnit};
use crate::record::{CheckType, InstrumentType, Scale};

/// The unit in which figures are told: a meter's rate or a dosimeter's dose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointUnit {
    /// Counts are nSv/h.
    Rate(MeterUnit),
    /// Counts are those of [`Indication`]: nSv, or 0.1 uR.
    Dose(IndicationUnit),
}

impl PointUnit {
    pub(super) fn show(self, count: i64) -> String {
        match self {
            Self::Rate(unit) => {
                Amount::from_count(AmountKind::Rate, count).display(AmountUnit::Rate(unit))
            }
            Self::Dose(unit) => Indication::new(count, unit).to_string(),
        }
    }
}

/// One point of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// Whether it was taken after adjusting; else it shows the instrument as it was found.
    pub as_left: bool,
    /// The full-scale value of the scale that was set, where there are several.
    pub scale: Option<i64>,
    /// The true value; of a ratemeter the true rate at which it sounded.
    pub true_value: i64,
    /// What the instrument showed; of a ratemeter nothing.
    pub reading: Option<i64>,
}

/// What is assessed. All figures are counts in the unit's smallest part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// What the instrument is.
    pub kind: InstrumentType,
    /// A calibration must have certain points; a response check need not.
    pub task: CheckType,
    /// How a survey meter's scale runs.
    pub scale: Option<Scale>,
    /// A survey meter's full-scale values.
    pub full_scales: Vec<i64>,
    /// The rate at which a ratemeter is to sound.
    pub preset: Option<i64>,
    /// The tolerance, in parts of a thousand; at the tolerance itself a point is still good.
    pub permille: i64,
    /// The unit in which reasons tell figures.
    pub unit: PointUnit,
    /// The points.
    pub points: Vec<Point>,
}

/// One point, judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct PointResult {
    /// As in the point.
    pub as_left: bool,
    /// As in the point.
    pub scale: Option<i64>,
    /// As in the point.
    pub true_value: i64,
    /// As in the point.
    pub reading: Option<i64>,
    /// By how much the instrument was off, in parts of a thousand of the true value (of a
    /// ratemeter: of its preset), rounded away from zero; nothing where it cannot be said.
    pub error_permille: Option<i64>,
    /// Whether that is within the tolerance, by exact comparison. What cannot be said is not.
    pub within: bool,
}

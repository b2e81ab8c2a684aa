//! What an estimate from positions is asked for, and its three figures.

use serde::Serialize;

use super::strength::{SourceAsked, Way, rounded};
use crate::answer::context::moment::Moment;
use crate::answer::context::view::DoseFigure;
use crate::calendar::Day;
use crate::dose::reconstruct::{Estimate, Position};
use crate::quantity::{Dose, DoseUnit};

/// An estimate: whole nanosievert, and as it is printed, in three digits.
#[derive(Debug, Clone, Serialize)]
pub struct EstimateView {
    /// Low.
    pub low: DoseFigure,
    /// Central.
    pub central: DoseFigure,
    /// High.
    pub high: DoseFigure,
}

impl EstimateView {
    pub(crate) fn new(it: Estimate, unit: DoseUnit) -> EstimateView {
        let figure = |dose: Dose, way| DoseFigure {
            nsv: dose.nsv(),
            shown: rounded(dose, way, unit),
        };
        EstimateView {
            low: figure(it.low, Way::Down),
            central: figure(it.central, Way::Nearest),
            high: figure(it.high, Way::Up),
        }
    }
}

/// What is asked.
#[derive(Debug)]
pub struct ReconstructAsked {
    /// At which source.
    pub source: SourceAsked,
    /// When.
    pub at: Moment,
    /// The positions.
    pub positions: Vec<Position>,
    /// Whose readings to set it beside.
    pub worker: Option<String>,
    /// The day on which the shift began; else that of `at`.
    pub day: Option<Day>,
}

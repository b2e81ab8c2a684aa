//! Which dose is meant, and what nobody can have received.

use super::problem::Problem;
use super::words::words;
use crate::quantity::{Dose, DoseUnit};

words! {
    /// Which dose a determination gives.
    DoseQuantity {
        /// Deep dose, whole body.
        Deep = "deep",
        /// Lens of the eye.
        Lens = "lens",
        /// Skin of the whole body.
        Shallow = "shallow",
        /// Skin of the extremity.
        Extremity = "extremity",
    }
}

/// Above this the whole body does not live, and no badge or pocket dosimeter measures: a
/// larger figure is a slip of the unit.
const MOST_WHOLE_BODY: Dose = Dose::from_nsv(10_000_000_000);

/// A hand on a source assembly has received more than the whole body could; above this the
/// unit is wrong there too.
const MOST_SKIN: Dose = Dose::from_nsv(1_000_000_000_000);

/// What is wrong with a dose that nobody can have received.
pub(super) fn dose_problem(field: &str, dose: Dose, quantity: DoseQuantity) -> Option<Problem> {
    let most = match quantity {
        DoseQuantity::Deep | DoseQuantity::Lens => MOST_WHOLE_BODY,
        DoseQuantity::Shallow | DoseQuantity::Extremity => MOST_SKIN,
    };
    let written = || dose.display(DoseUnit::Millirem);
    if dose < Dose::ZERO {
        return Some(Problem::new(
            field,
            written(),
            "is below zero",
            "zero or more",
        ));
    }
    (dose > most).then(|| {
        Problem::new(
            field,
            written(),
            format!("is above {}", most.display(DoseUnit::Sievert)),
            "look at the number and its unit: mrem or rem, uSv or mSv?",
        )
    })
}

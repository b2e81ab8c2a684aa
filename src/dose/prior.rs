//! Dose of another employer, as the account counts it.

use crate::calendar::Span;
use crate::dose::input::PriorDose;
use crate::dose::total::{Amount, PerQuantity};
use crate::quantity::Dose;

/// What a whole prior period says of each quantity. Where lens or shallow
/// dose is not stated the deep dose stands in for it; where the deep dose is
/// not stated there is no upper bound, for a dose that nobody wrote down is
/// not zero.
pub(crate) fn prior_amounts(prior: &PriorDose) -> PerQuantity<Amount> {
    let or_deep = |dose: Option<Dose>| match dose.or(prior.deep) {
        Some(dose) => Amount::Known(dose),
        None => Amount::Undetermined(Dose::ZERO),
    };
    PerQuantity {
        deep: or_deep(None),
        lens: or_deep(prior.lens),
        shallow: or_deep(prior.shallow),
        extremity: prior.extremity.map_or(Amount::NotAssessed, Amount::Known),
    }
}

/// The period of a prior dose.
pub(crate) fn prior_span(prior: &PriorDose) -> Span {
    Span {
        first: prior.first,
        last: prior.last.max(prior.first),
    }
}

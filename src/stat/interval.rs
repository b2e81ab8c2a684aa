//! How sure a count is: exact intervals for a share and for a rate, and the quantile
//! of Student's t for regression.
//!
//! "Exact" means that the interval is made from the binomial or the Poisson
//! distribution itself and holds the true value at least as often as it says, with
//! few events too. The price is that it is somewhat wide, which is the conservative total.
//!
//! The quantiles come from `special`.

use super::special::{Tail, beta_quantile, gamma_quantile, student_quantile};
use thiserror::Error;

/// Why there is no interval.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum IntervalError {
    /// A confidence that is not strictly between 0 and 1.
    #[error("a confidence of `{confidence}` is not between 0 and 1")]
    Confidence {
        /// What was given.
        confidence: f64,
    },
    /// More events than cases.
    #[error("`{events}` events in `{cases}` cases: there cannot be more events than cases")]
    MoreEventsThanCases {
        /// The events.
        events: u64,
        /// The cases.
        cases: u64,
    },
    /// No case at all.
    #[error("no share can be estimated from no case")]
    NoCase,
    /// No degree of freedom is left.
    #[error("no degree of freedom is left to judge the spread")]
    NoFreedom,
}

/// Which ends of an interval are wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Both; what lies outside is shared evenly between them.
    Both,
    /// The lower end only.
    Lower,
    /// The upper end only.
    Upper,
}

/// From `lower` to `upper`, both counted.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Bounds {
    /// The lower end.
    pub lower: f64,
    /// The upper end; infinite where none was asked for and none exists.
    pub upper: f64,
}

/// The Clopper-Pearson interval of a share: `events` among `cases`.
///
/// C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404: the ends are quantiles of
/// the beta distribution, with (events, cases - events + 1) for the lower and
/// (events + 1, cases - events) for the upper.
///
/// # Errors
/// A confidence outside 0 to 1, no case, or more events than cases.
pub fn share(
    events: u64,
    cases: u64,
    confidence: f64,
    side: Side,
) -> Result<Bounds, IntervalError> {
    let outside = outside(confidence, side)?;
    if cases == 0 {
        return Err(IntervalError::NoCase);
    }
    let Some(others) = cases.checked_sub(events) else {
        return Err(IntervalError::MoreEventsThanCases { events, cases });
    };
    let lower = if events == 0 || side == Side::Upper {
        0.0
    } else {
        beta_quantile(events as f64, others as f64 + 1.0, Tail::Lower(outside))
    };
    let upper = if others == 0 || side == Side::Lower {
        1.0
    } else {
        beta_quantile(events as f64 + 1.0, others as f64, Tail::Upper(outside))
    };
    Ok(Bounds { lower, upper })
}

/// Garwood's interval of an expected count, of which `events` were seen.
///
/// F. Garwood, Biometrika 28 (1936) 437: the ends are quantiles of the gamma distribution
/// with shape `events` for the lower and `events + 1` for the upper. Divided by the cases
/// (shifts, cycles) it is the interval of a rate.
///
/// # Errors
/// A confidence outside 0 to 1.
pub fn count(events: u64, confidence: f64, side: Side) -> Result<Bounds, IntervalError> {
    let outside = outside(confidence, side)?;
    let lower = if events == 0 || side == Side::Upper {
        0.0
    } else {
        gamma_quantile(events as f64, Tail::Lower(outside))
    };
    let upper = if side == Side::Lower {
        f64::INFINITY
    } else {
        gamma_quantile(events as f64 + 1.0, Tail::Upper(outside))
    };
    Ok(Bounds { lower, upper })
}

/// The factor of Student's t for an interval of the given confidence.
///
/// "Student", Biometrika 6 (1908) 1. With [`Side::Both`] the two-sided factor.
///
/// # Errors
/// A confidence outside 0 to 1, or no degree of freedom.
pub fn student_factor(freedom: u64, confidence: f64, side: Side) -> Result<f64, IntervalError> {
    let outside = outside(confidence, side)?;
    if freedom == 0 {
        return Err(IntervalError::NoFreedom);
    }
    Ok(student_quantile(freedom as f64, Tail::Upper(outside)))
}

// The probability beyond one end.
fn outside(confidence: f64, side: Side) -> Result<f64, IntervalError> {
    if !(confidence > 0.0 && confidence < 1.0) {
        return Err(IntervalError::Confidence { confidence });
    }
    let outside = 1.0 - confidence;
    Ok(if side == Side::Both {
        outside / 2.0
    } else {
        outside
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_event_in_a_few_cases_proves_little() {
        // Closed form: 1 - 0.025^(1/n).
        for cases in [1, 5, 20] {
            let bounds = share(0, cases, 0.95, Side::Both).expect("an interval");
            let exact = 1.0 - 0.025f64.powf(1.0 / cases as f64);
            assert_eq!(bounds.lower, 0.0);
            assert!((bounds.upper - exact).abs() < 1e-14, "{cases}");
        }
    }

    #[test]
    fn the_share_of_the_others_mirrors_the_share() {
        let some = share(3, 17, 0.9, Side::Both).expect("an interval");
        let rest = share(14, 17, 0.9, Side::Both).expect("an interval");
        assert!((some.lower - (1.0 - rest.upper)).abs() < 1e-14);
        assert!((some.upper - (1.0 - rest.lower)).abs() < 1e-14);
    }

    #[test]
    fn no_event_at_all_has_the_rule_of_three_as_its_upper_end() {
        let bounds = count(0, 0.95, Side::Upper).expect("an interval");
        assert!((bounds.upper + 0.05f64.ln()).abs() < 1e-14);
        assert_eq!(bounds.lower, 0.0);
    }

    #[test]
    fn a_lower_end_alone_leaves_the_upper_open() {
        assert_eq!(
            count(4, 0.95, Side::Lower).expect("an interval").upper,
            f64::INFINITY
        );
        assert_eq!(
            share(4, 9, 0.95, Side::Lower).expect("an interval").upper,
            1.0
        );
    }

    #[test]
    fn the_factor_turns_negative_below_an_even_one_sided_confidence() {
        let high = student_factor(7, 0.8, Side::Upper).expect("a factor");
        let low = student_factor(7, 0.2, Side::Upper).expect("a factor");
        assert!((high + low).abs() < 1e-13 && high > 0.0);
        assert_eq!(student_factor(7, 0.5, Side::Upper), Ok(0.0));
    }

    #[test]
    fn what_has_no_interval_is_refused() {
        for confidence in [0.0, 1.0, -0.5, 95.0, f64::NAN] {
            assert!(count(1, confidence, Side::Both).is_err(), "{confidence}");
        }
        assert_eq!(share(0, 0, 0.95, Side::Both), Err(IntervalError::NoCase));
        let more = IntervalError::MoreEventsThanCases {
            events: 3,
            cases: 2,
        };
        assert_eq!(share(3, 2, 0.95, Side::Both), Err(more));
        assert_eq!(
            student_factor(0, 0.95, Side::Both),
            Err(IntervalError::NoFreedom)
        );
    }
}

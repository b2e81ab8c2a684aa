//! A mean that is looked at again and again: an interval that holds at every look.
//!
//! An ordinary 95 % interval that is made anew each month leaves out the true mean at some month
//! far more often than in 5 of 100 cases. A confidence sequence does not: the chance that it ever
//! leaves it out, at any look, is at most what it says (H. Robbins, Annals of Mathematical
//! Statistics 41 (1970) 1397; T. L. Lai, Annals of Statistics 4 (1976) 265; for a standard
//! deviation that is not known, H. Wang and A. Ramdas, "Anytime-valid t-tests and confidence
//! sequences for Gaussian means with unknown variance", Sequential Analysis 44 (2025)).
//!
//! The mixture is over the standardized mean, normal with standard deviation 1 (the weight of one
//! value). With v = n - 1 the evidence against a mean at which Student's t is t is
//!
//! ```text
//! (1 + n)^(-1/2) ((1 + t^2/v) / (1 + t^2/(v (1 + n))))^(n/2)
//! ```
//!
//! (M. Goenen et al., The American Statistician 59 (2005) 252), and the interval holds the means
//! of which it is below 1 / (1 - confidence).

use super::interval::IntervalError;

/// Student's t beyond which a mean is left out at the inspection after `n` values; nothing where no
/// mean can be left out yet, as with few values.
///
/// # Errors
/// A confidence outside 0 to 1.
pub fn factor_at_any_time(n: u64, confidence: f64) -> Result<Option<f64>, IntervalError> {
    if !(confidence > 0.0 && confidence < 1.0) {
        return Err(IntervalError::Confidence { confidence });
    }
    if n < 2 {
        return Ok(None);
    }
    let n = n as f64;
    let needed = ((1.0 + n).sqrt() / (1.0 - confidence)).powf(2.0 / n);
    let left = 1.0 - needed / (1.0 + n);
    // The evidence has a most, however far the mean lies off.
    Ok((left > 0.0).then(|| ((n - 1.0) * (needed - 1.0) / left).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn evidence(n: f64, t: f64) -> f64 {
        let x = t * t / (n - 1.0);
        (1.0 + n).powf(-0.5) * ((1.0 + x) / (1.0 + x / (1.0 + n))).powf(n / 2.0)
    }

    #[test]
    fn at_the_factor_the_evidence_is_what_the_confidence_asks_for() {
        for (n, confidence) in [(4_u32, 0.9), (12, 0.9), (12, 0.95), (60, 0.99)] {
            let factor = factor_at_any_time(u64::from(n), confidence).expect("a confidence");
            let found = evidence(f64::from(n), factor.expect("a factor"));
            let wanted = 1.0 / (1.0 - confidence);
            assert!((found - wanted).abs() < 1e-9 * wanted, "{n} {found}");
        }
    }

    #[test]
    fn few_values_leave_out_no_mean() {
        for n in 0..=3 {
            assert_eq!(factor_at_any_time(n, 0.9), Ok(None), "{n}");
        }
        assert!(factor_at_any_time(4, 1.0).is_err());
    }
}

//! Least squares: the line that wear follows, how sure it is, and where it leads.
//!
//! Places are centred and scaled first (with compensated sums, and one refinement of the
//! slope), so that a cycle count that starts at a thousand million costs no digits. Formulas:
//! N. R. Draper and H. Smith, "Applied Regression Analysis", 3rd ed., chapters 1 to 3.

use super::interval::{Bounds, IntervalError, Side, student_factor};
use super::sum::sum;
use thiserror::Error;

/// Why there is no fit.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum FitError {
    /// Too few points.
    #[error("`{have}` points are too few for a fit and its band (at least {need})")]
    TooFewPoints {
        /// The points there are.
        have: usize,
        /// The points there must be.
        need: usize,
    },
    /// All points stand at one place.
    #[error("the points do not differ enough in what they are set against")]
    NoSpread,
    /// A number that is none, or places and values of different counts.
    #[error("a value is not a number, or a column has a different length")]
    NotNumbers,
    /// A confidence that makes no interval.
    #[error(transparent)]
    Interval(#[from] IntervalError),
}

/// A straight line through points by least squares.
#[derive(Clone, Debug)]
pub struct Fit {
    place: Middle,
    value: Middle,
    // What the places are divided by once they are centred, and the length that is left.
    scale: f64,
    length: f64,
    // For one scaled place.
    slope: f64,
    points: usize,
    freedom: u64,
    residual_sd: f64,
    r_squared: f64,
}

/// What a fit says at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// The installed value.
    pub fit: f64,
    /// Where the true mean lies.
    pub mean: Bounds,
    /// Where the next single value will lie.
    pub next: Bounds,
}

/// Fits values against places by least squares.
///
/// # Errors
/// [`FitError`]: not as many values as places, fewer than three of them, all at one place.
pub fn least_squares(places: &[f64], values: &[f64]) -> Result<Fit, FitError> {
    let points = values.len();
    if points <= 2 {
        return Err(FitError::TooFewPoints {
            have: points,
            need: 3,
        });
    }
    let all = places.iter().chain(values);
    if places.len() != points || !all.clone().all(|it| it.is_finite()) {
        return Err(FitError::NotNumbers);
    }
    let (value, centred) = centre(values);
    let (place, columns) = centre(places);
    let scale = dot(&columns, &columns).sqrt();
    // What centring leaves of equal places is rounding.
    if scale <= 4.0 * f64::EPSILON * place.mean.abs() * (points as f64).sqrt() {
        return Err(FitError::NoSpread);
    }
    let scaled: Vec<f64> = columns.iter().map(|it| it / scale).collect();
    let length = dot(&scaled, &scaled).sqrt();
    let unit: Vec<f64> = scaled.iter().map(|it| it / length).collect();
    let (mut slope, mut residuals) = (0.0, centred.clone());
    for _ in 0..2 {
        slope += dot(&unit, &residuals) / length;
        let left = centred
            .iter()
            .zip(&scaled)
            .map(|(y, x)| sum([*y, -slope * x]));
        residuals = left.collect();
    }
    let left = dot(&residuals, &residuals);
    let all = dot(&centred, &centred);
    let freedom = points - 2;
    Ok(Fit {
        place,
        value,
        scale,
        length,
        slope,
        points,
        freedom: freedom as u64,
        residual_sd: (left / freedom as f64).sqrt(),
        r_squared: if all > 0.0 { 1.0 - left / all } else { 0.0 },
    })
}

impl Fit {
    /// The same fit with another residual standard deviation and the degrees of freedom from
    /// which that is known: its errors and intervals change, its values stay.
    pub fn with_spread(mut self, sd: f64, freedom: u64) -> Self {
        self.residual_sd = sd;
        self.freedom = freedom;
        self
    }

    /// The constant term and the slope.
    pub fn coefficients(&self) -> [f64; 2] {
        [self.value_at(0.0), self.slope / self.scale]
    }

    /// The standard error of each.
    pub fn standard_errors(&self) -> [f64; 2] {
        [
            self.residual_sd * self.leverage(0.0).sqrt(),
            self.residual_sd / self.length / self.scale,
        ]
    }

    /// The standard deviation of the residuals.
    pub fn residual_sd(&self) -> f64 {
        self.residual_sd
    }

    /// The share of the spread about the mean that the fit explains.
    pub fn r_squared(&self) -> f64 {
        self.r_squared
    }

    /// Degrees of freedom from which the residual standard deviation is known.
    pub fn freedom(&self) -> u64 {
        self.freedom
    }

    /// How many points it goes through.
    pub fn points(&self) -> usize {
        self.points
    }

    /// The installed value at one place.
    pub fn value_at(&self, place: f64) -> f64 {
        sum([
            self.value.mean,
            self.value.rest,
            self.slope * self.scaled(place),
        ])
    }

    /// The installed value with its two intervals.
    ///
    /// # Errors
    /// A confidence outside 0 to 1.
    pub fn predict(&self, place: f64, confidence: f64) -> Result<Prediction, FitError> {
        let factor = student_factor(self.freedom(), confidence, Side::Both)?;
        let fit = self.value_at(place);
        let leverage = self.leverage(place);
        let around = |spread: f64| {
            let half = factor * self.residual_sd * spread.sqrt();
            Bounds {
                lower: fit - half,
                upper: fit + half,
            }
        };
        Ok(Prediction {
            fit,
            mean: around(leverage),
            next: around(1.0 + leverage),
        })
    }

    fn scaled(&self, place: f64) -> f64 {
        self.place.less(place) / self.scale
    }

    // The variance of the installed value at a place, in units of the residual variance.
    fn leverage(&self, place: f64) -> f64 {
        let along = self.scaled(place) / self.length;
        1.0 / self.points as f64 + along * along
    }
}

// The middle of some values, in two parts: a mean near a thousand million rounds to a
// coarse number, and what that leaves is kept beside it.
#[derive(Clone, Copy, Debug)]
struct Middle {
    mean: f64,
    rest: f64,
}

impl Middle {
    fn less(self, value: f64) -> f64 {
        (value - self.mean) - self.rest
    }
}

// The middle and the values less it.
fn centre(values: &[f64]) -> (Middle, Vec<f64>) {
    let count = values.len() as f64;
    let mean = sum(values.iter().copied()) / count;
    let rest = sum(values.iter().map(|v| v - mean)) / count;
    let middle = Middle { mean, rest };
    (middle, values.iter().map(|v| middle.less(*v)).collect())
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    sum(a.iter().zip(b).map(|(a, b)| a * b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_on_a_line_give_that_line() {
        let x = vec![1.0, 2.0, 5.0, 9.0];
        let y: Vec<f64> = x.iter().map(|x| 3.0 - 0.5 * x).collect();
        let fit = least_squares(&x, &y).expect("a fit");
        let found = fit.coefficients();
        assert!((found[0] - 3.0).abs() < 1e-14 && (found[1] + 0.5).abs() < 1e-15);
        assert!(fit.residual_sd() < 1e-14 && (fit.r_squared() - 1.0).abs() < 1e-14);
        assert_eq!(fit.freedom(), 2);
    }

    #[test]
    fn another_deviation_changes_the_band_and_moves_nothing() {
        let x = vec![0.0, 1.0, 2.0, 3.0];
        let fit = least_squares(&x, &[1.0, 2.0, 3.0, 4.0]).expect("a fit");
        let wide = fit.clone().with_spread(0.5, 2);
        assert_eq!(fit.coefficients(), wide.coefficients());
        // By hand: with two degrees of freedom t = (2p - 1) / sqrt(2p (1 - p)), which is
        // 4.302653 for p = 0.975; at the middle of four points sqrt(1 + 1/4).
        let factor = 0.95 / (2.0f64 * 0.975 * 0.025).sqrt();
        let half = factor * 0.5 * 1.25f64.sqrt();
        let next = wide.predict(1.5, 0.95).expect("a prediction").next;
        assert!((next.upper - (2.5 + half)).abs() < 1e-12);
        assert!((next.lower - (2.5 - half)).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_fitted_is_refused() {
        let fit = |x: &[f64], y: &[f64]| least_squares(x, y).err();
        let few = FitError::TooFewPoints { have: 2, need: 3 };
        assert_eq!(fit(&[1.0, 2.0], &[1.0, 2.0]), Some(few));
        assert_eq!(
            fit(&[0.1; 5], &[1.0, 2.0, 3.0, 4.0, 5.0]),
            Some(FitError::NoSpread)
        );
        assert_eq!(
            fit(&[1.0, 2.0], &[1.0, 2.0, 3.0]),
            Some(FitError::NotNumbers)
        );
        assert_eq!(
            fit(&[1.0, 2.0, f64::NAN], &[1.0, 2.0, 3.0]),
            Some(FitError::NotNumbers)
        );
    }
}

//! Least squares: the line that wear follows, how sure it is, and where it leads.
//!
//! Columns are centred and scaled first and then made orthogonal (Gram and Schmidt, done
//! twice, with compensated products, and one refinement of the result), so that a cycle
//! count that starts at a thousand million costs no digits. Formulas: N. R. Draper and
//! H. Smith, "Applied Regression Analysis", 3rd ed., chapters 1 to 5.

use super::interval::{Bounds, IntervalError, Side, student_factor};
use super::sum::sum;
use thiserror::Error;

// A column of which the earlier ones leave less than this share is no column of its own.
const LEAST_OWN_SHARE: f64 = 1e-10;

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
    /// All points stand at one place, or one column follows from the others.
    #[error("the points do not differ enough in what they are set against")]
    NoSpread,
    /// A number that is none, or columns of different lengths.
    #[error("a value is not a number, or a column has a different length")]
    NotNumbers,
    /// A confidence that makes no interval.
    #[error(transparent)]
    Interval(#[from] IntervalError),
}

/// Whether the fit has a constant term or goes through the origin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Intercept {
    /// A constant term is fitted; it is the first coefficient.
    Fitted,
    /// None: the fit is zero where all columns are.
    Zero,
}

// One column after centring and scaling: value = (x - middle) / scale.
#[derive(Clone, Copy, Debug)]
struct Column {
    middle: Middle,
    scale: f64,
}

/// A least-squares fit of one value against one or more columns.
#[derive(Clone, Debug)]
pub struct Fit {
    intercept: Intercept,
    columns: Vec<Column>,
    middle: Middle,
    // The slopes in scaled columns, and the triangle R of the scaled columns = Q R,
    // column by column.
    slopes: Vec<f64>,
    triangle: Vec<Vec<f64>>,
    points: usize,
    freedom: u64,
    residual_sd: f64,
    r_squared: f64,
}

/// What a fit says at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// The fitted value.
    pub fit: f64,
    /// Where the true mean lies.
    pub mean: Bounds,
    /// Where the next single value will lie.
    pub next: Bounds,
}

/// Fits `y` against `columns` by least squares.
///
/// # Errors
/// [`FitError`]: columns of different lengths, fewer points than coefficients plus one,
/// a column that follows from the others.
pub fn least_squares(
    columns: &[Vec<f64>],
    y: &[f64],
    intercept: Intercept,
) -> Result<Fit, FitError> {
    let fitted = columns.len() + usize::from(intercept == Intercept::Fitted);
    if y.len() <= fitted {
        return Err(FitError::TooFewPoints {
            have: y.len(),
            need: fitted + 1,
        });
    }
    let whole = |column: &[f64]| column.len() == y.len() && column.iter().all(|v| v.is_finite());
    if !whole(y) || !columns.iter().all(|column| whole(column)) {
        return Err(FitError::NotNumbers);
    }
    let (middle, centred) = centre(y, intercept);
    let mut scales = Vec::new();
    let mut scaled = Vec::new();
    for column in columns {
        let (place, values) = centre(column, intercept);
        let scale = dot(&values, &values).sqrt();
        // What centring leaves of equal values is rounding.
        if scale <= 4.0 * f64::EPSILON * place.mean.abs() * (y.len() as f64).sqrt() {
            return Err(FitError::NoSpread);
        }
        scaled.push(values.iter().map(|v| v / scale).collect::<Vec<f64>>());
        scales.push(Column {
            middle: place,
            scale,
        });
    }
    let (basis, triangle) = orthogonal(&scaled)?;
    let mut slopes = vec![0.0; columns.len()];
    let mut residuals = centred.clone();
    for _ in 0..2 {
        let along: Vec<f64> = basis.iter().map(|q| dot(q, &residuals)).collect();
        for (slope, more) in slopes.iter_mut().zip(solve_upper(&triangle, &along)) {
            *slope += more;
        }
        residuals = residuals_of(&centred, &scaled, &slopes);
    }
    let left = dot(&residuals, &residuals);
    let all = dot(&centred, &centred);
    Ok(Fit {
        intercept,
        columns: scales,
        middle,
        slopes,
        triangle,
        points: y.len(),
        freedom: (y.len() - fitted) as u64,
        residual_sd: (left / (y.len() - fitted) as f64).sqrt(),
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

    /// The coefficients, the constant term first if there is one.
    pub fn coefficients(&self) -> Vec<f64> {
        let slopes = self
            .slopes
            .iter()
            .zip(&self.columns)
            .map(|(b, c)| b / c.scale);
        self.with_constant(self.value_at(&self.origin()), slopes)
    }

    /// The standard error of each coefficient, in the same order.
    pub fn standard_errors(&self) -> Vec<f64> {
        let constant = self.residual_sd * self.leverage(&self.origin()).sqrt();
        let slopes = self.columns.iter().enumerate().map(|(i, column)| {
            let unit: Vec<f64> = (0..self.columns.len())
                .map(|j| if i == j { 1.0 } else { 0.0 })
                .collect();
            let along = solve_lower(&self.triangle, &unit);
            self.residual_sd * dot(&along, &along).sqrt() / column.scale
        });
        self.with_constant(constant, slopes)
    }

    /// The standard deviation of the residuals.
    pub fn residual_sd(&self) -> f64 {
        self.residual_sd
    }

    /// The share of the spread that the fit explains: about the mean, or about zero where
    /// there is no constant term.
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

    /// The fitted value at one place, which has a value for each column.
    pub fn value_at(&self, place: &[f64]) -> f64 {
        let parts = self
            .slopes
            .iter()
            .zip(self.scaled(place))
            .map(|(b, u)| b * u);
        sum([self.middle.mean, self.middle.rest]
            .into_iter()
            .chain(parts))
    }

    /// The fitted value with its two intervals.
    ///
    /// # Errors
    /// A confidence outside 0 to 1.
    pub fn predict(&self, place: &[f64], confidence: f64) -> Result<Prediction, FitError> {
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

    fn with_constant(&self, constant: f64, slopes: impl Iterator<Item = f64>) -> Vec<f64> {
        let first = (self.intercept == Intercept::Fitted).then_some(constant);
        first.into_iter().chain(slopes).collect()
    }

    fn origin(&self) -> Vec<f64> {
        vec![0.0; self.columns.len()]
    }

    fn scaled(&self, place: &[f64]) -> Vec<f64> {
        self.columns
            .iter()
            .zip(place)
            .map(|(c, x)| c.middle.less(*x) / c.scale)
            .collect()
    }

    // The variance of the fitted value at a place, in units of the residual variance.
    fn leverage(&self, place: &[f64]) -> f64 {
        let along = solve_lower(&self.triangle, &self.scaled(place));
        let constant = match self.intercept {
            Intercept::Fitted => 1.0 / self.points as f64,
            Intercept::Zero => 0.0,
        };
        constant + dot(&along, &along)
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

// The middle (zero without a constant term) and the values less it.
fn centre(values: &[f64], intercept: Intercept) -> (Middle, Vec<f64>) {
    let count = values.len() as f64;
    let middle = match intercept {
        Intercept::Fitted => {
            let mean = sum(values.iter().copied()) / count;
            Middle {
                mean,
                rest: sum(values.iter().map(|v| v - mean)) / count,
            }
        }
        Intercept::Zero => Middle {
            mean: 0.0,
            rest: 0.0,
        },
    };
    (middle, values.iter().map(|v| middle.less(*v)).collect())
}

fn residuals_of(y: &[f64], columns: &[Vec<f64>], slopes: &[f64]) -> Vec<f64> {
    let point = |(i, y): (usize, &f64)| {
        let parts = columns
            .iter()
            .zip(slopes)
            .map(|(c, b)| -b * c.get(i).copied().unwrap_or(0.0));
        sum(std::iter::once(*y).chain(parts))
    };
    y.iter().enumerate().map(point).collect()
}

// An orthonormal basis of the columns, and how each column is made of it.
type Orthogonal = (Vec<Vec<f64>>, Vec<Vec<f64>>);

fn orthogonal(columns: &[Vec<f64>]) -> Result<Orthogonal, FitError> {
    let mut basis: Vec<Vec<f64>> = Vec::new();
    let mut triangle = Vec::new();
    for column in columns {
        let mut rest = column.clone();
        let mut parts = vec![0.0; basis.len()];
        for _ in 0..2 {
            for (q, part) in basis.iter().zip(parts.iter_mut()) {
                let along = dot(q, &rest);
                *part += along;
                rest.iter_mut().zip(q).for_each(|(r, q)| *r -= along * q);
            }
        }
        let own = dot(&rest, &rest).sqrt();
        if own < LEAST_OWN_SHARE {
            return Err(FitError::NoSpread);
        }
        rest.iter_mut().for_each(|r| *r /= own);
        basis.push(rest);
        parts.push(own);
        triangle.push(parts);
    }
    Ok((basis, triangle))
}

// R b = z, from the last column back; `triangle` holds R column by column.
fn solve_upper(triangle: &[Vec<f64>], z: &[f64]) -> Vec<f64> {
    let mut left = z.to_vec();
    let mut result = vec![0.0; z.len()];
    for (j, column) in triangle.iter().enumerate().rev() {
        let own = column.last().copied().unwrap_or(1.0);
        let value = left.get(j).copied().unwrap_or(0.0) / own;
        left.iter_mut()
            .zip(column)
            .for_each(|(l, part)| *l -= part * value);
        if let Some(place) = result.get_mut(j) {
            *place = value;
        }
    }
    result
}

// R' w = u, from the first row on.
fn solve_lower(triangle: &[Vec<f64>], u: &[f64]) -> Vec<f64> {
    let mut result: Vec<f64> = Vec::new();
    for (column, u) in triangle.iter().zip(u) {
        let own = column.last().copied().unwrap_or(1.0);
        result.push((u - dot(column.get(..result.len()).unwrap_or(&[]), &result)) / own);
    }
    result
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
        let fit = least_squares(&[x], &y, Intercept::Fitted).expect("a fit");
        let found = fit.coefficients();
        assert!((found[0] - 3.0).abs() < 1e-14 && (found[1] + 0.5).abs() < 1e-15);
        assert!(fit.residual_sd() < 1e-14 && (fit.r_squared() - 1.0).abs() < 1e-14);
        assert_eq!(fit.freedom(), 2);
    }

    #[test]
    fn another_deviation_changes_the_band_and_moves_nothing() {
        let x = vec![0.0, 1.0, 2.0, 3.0];
        let fit = least_squares(&[x], &[1.0, 2.0, 3.0, 4.0], Intercept::Fitted).expect("a fit");
        let wide = fit.clone().with_spread(0.5, 2);
        assert_eq!(fit.coefficients(), wide.coefficients());
        // By hand: with two degrees of freedom t = (2p - 1) / sqrt(2p (1 - p)), which is
        // 4.302653 for p = 0.975; at the middle of four points sqrt(1 + 1/4).
        let factor = 0.95 / (2.0f64 * 0.975 * 0.025).sqrt();
        let half = factor * 0.5 * 1.25f64.sqrt();
        let next = wide.predict(&[1.5], 0.95).expect("a prediction").next;
        assert!((next.upper - (2.5 + half)).abs() < 1e-12);
        assert!((next.lower - (2.5 - half)).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_fitted_is_refused() {
        let fit = |x: &[f64], y: &[f64]| least_squares(&[x.to_vec()], y, Intercept::Fitted).err();
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

    #[test]
    fn a_column_that_follows_from_the_others_is_refused() {
        let x = vec![1.0, 2.0, 3.0, 4.0, 5.0];
        let twice: Vec<f64> = x.iter().map(|x| 2.0 * x + 7.0).collect();
        let fit = least_squares(&[x, twice], &[1.0, 3.0, 2.0, 5.0, 4.0], Intercept::Fitted);
        assert_eq!(fit.err(), Some(FitError::NoSpread));
    }
}

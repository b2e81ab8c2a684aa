//! A discrete Fourier transform of a power-of-two length, enough to raise one
//! distribution to a power: `transform`, raise each value, `back`.
//!
//! The forward transform leaves its values in bit-reversed order and the backward
//! one takes them so; between the two only value-by-value work is done, so nobody
//! needs to sort them (Cooley and Tukey, Math. Comp. 19 (1965) 297; the pairing of
//! decimation in frequency with decimation in time is in any textbook on signals).

use std::f64::consts::PI;
use std::ops::{Add, Mul, Sub};

/// A complex number, with only the arithmetic that the transform needs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Complex {
    /// Real part.
    pub re: f64,
    /// Imaginary part.
    pub im: f64,
}

impl Complex {
    /// The number with its imaginary part negated.
    fn conjugate(self) -> Self {
        Complex {
            re: self.re,
            im: -self.im,
        }
    }

    /// The square of the absolute value.
    pub fn squared(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    /// The number to a whole power, by squaring.
    pub fn power(self, exponent: u32) -> Self {
        let mut result = Complex { re: 1.0, im: 0.0 };
        let mut square = self;
        let mut left = exponent;
        while left > 0 {
            if left & 1 == 1 {
                result = result * square;
            }
            square = square * square;
            left >>= 1;
        }
        result
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Complex {
            re: self.re + other.re,
            im: self.im + other.im,
        }
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Complex {
            re: self.re - other.re,
            im: self.im - other.im,
        }
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Complex {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }
}

/// The roots of unity for one length, one row for each halving, longest first.
///
/// Each root is computed by itself: repeated multiplication would lose digits.
pub struct Roots {
    rows: Vec<Vec<Complex>>,
}

impl Roots {
    /// The roots for a transform of `2^log_length` values.
    pub fn new(log_length: u32) -> Self {
        let length = 1usize << log_length;
        let half = length / 2;
        let longest: Vec<Complex> = (0..half)
            .map(|k| {
                let (sin, cos) = (-2.0 * PI * k as f64 / length as f64).sin_cos();
                Complex { re: cos, im: sin }
            })
            .collect();
        let mut rows = vec![longest];
        for halving in 1..log_length as usize {
            let row = rows
                .first()
                .map(|all| all.iter().step_by(1 << halving).copied().collect());
            rows.push(row.unwrap_or_default());
        }
        Roots { rows }
    }
}

/// Transforms `values` in place; the result is in bit-reversed order.
///
/// `values` must have the length that `roots` was made for.
pub fn transform(values: &mut [Complex], roots: &Roots) {
    forward(values, &roots.rows);
}

/// Undoes [`transform`] in place, without the division by the length.
pub fn back(values: &mut [Complex], roots: &Roots) {
    backward(values, &roots.rows);
}

// Halves first, then each half by itself: the halves soon fit the cache, which
// matters more here than the number of operations.
fn forward(values: &mut [Complex], rows: &[Vec<Complex>]) {
    let Some((row, shorter)) = rows.split_first() else {
        return;
    };
    if values.len() < 2 {
        return;
    }
    let (low, high) = values.split_at_mut(values.len() / 2);
    for ((a, b), root) in low.iter_mut().zip(high.iter_mut()).zip(row) {
        let (sum, difference) = (*a + *b, *a - *b);
        *a = sum;
        *b = difference * *root;
    }
    forward(low, shorter);
    forward(high, shorter);
}

fn backward(values: &mut [Complex], rows: &[Vec<Complex>]) {
    let Some((row, shorter)) = rows.split_first() else {
        return;
    };
    if values.len() < 2 {
        return;
    }
    let (low, high) = values.split_at_mut(values.len() / 2);
    backward(low, shorter);
    backward(high, shorter);
    for ((a, b), root) in low.iter_mut().zip(high.iter_mut()).zip(row) {
        let turned = *b * root.conjugate();
        let (sum, difference) = (*a + turned, *a - turned);
        *a = sum;
        *b = difference;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn real(values: &[f64]) -> Vec<Complex> {
        values.iter().map(|&re| Complex { re, im: 0.0 }).collect()
    }

    #[test]
    fn transforming_there_and_back_gives_the_values_times_the_length() {
        let start = real(&[1.0, 2.0, -3.0, 0.5, 0.0, 7.0, 0.25, -1.0]);
        let roots = Roots::new(3);
        let mut values = start.clone();
        transform(&mut values, &roots);
        back(&mut values, &roots);
        for (value, was) in values.iter().zip(&start) {
            assert!((value.re - 8.0 * was.re).abs() < 1e-13 && value.im.abs() < 1e-13);
        }
    }

    #[test]
    fn the_first_transformed_value_is_the_sum() {
        let mut values = real(&[1.0, 2.0, 3.0, 4.0]);
        transform(&mut values, &Roots::new(2));
        assert!((values[0].re - 10.0).abs() < 1e-14);
    }

    #[test]
    fn a_length_of_one_stays_as_it_is() {
        let mut values = real(&[0.75]);
        let roots = Roots::new(0);
        transform(&mut values, &roots);
        back(&mut values, &roots);
        assert_eq!(values, real(&[0.75]));
    }

    #[test]
    fn a_power_by_squaring_is_the_repeated_product() {
        let z = Complex { re: 0.6, im: -0.7 };
        let mut product = Complex { re: 1.0, im: 0.0 };
        for exponent in 0..20 {
            let power = z.power(exponent);
            assert!((power.re - product.re).abs() < 1e-15, "{exponent}");
            assert!((power.im - product.im).abs() < 1e-15, "{exponent}");
            product = product * z;
        }
    }
}

//! How likely some normal values lie close together: the distribution of their range.

use std::f64::consts::PI;

use super::special::gamma_tails;

// Beyond this many standard deviations nothing counts.
const FAR: f64 = 9.0;
// Intervals of Simpson's rule; even.
const STEPS: u32 = 1_000;

/// The chance that the range of `n` independent normal values of standard deviation 1 is below
/// `width`.
///
/// n times the integral of phi(x) (Phi(x + width) - Phi(x))^(n - 1): L. H. C. Tippett,
/// Biometrika 17 (1925) 364; E. S. Pearson and H. O. Hartley, Biometrika 32 (1942) 301.
pub fn range_below(n: u64, width: f64) -> f64 {
    if n < 2 {
        return 1.0;
    }
    if width <= 0.0 || !width.is_finite() {
        return if width > 0.0 { 1.0 } else { 0.0 };
    }
    let from = -FAR - width.min(FAR);
    let step = (FAR - from) / f64::from(STEPS);
    let height = |k: u32| {
        let x = from + step * f64::from(k);
        let inside = (below(x + width) - below(x)).max(0.0);
        (-0.5 * x * x).exp() * inside.powf(n as f64 - 1.0)
    };
    let mut sum = height(0) + height(STEPS);
    for k in 1..STEPS {
        sum += if k % 2 == 1 { 4.0 } else { 2.0 } * height(k);
    }
    (n as f64 * sum * step / 3.0 / (2.0 * PI).sqrt()).min(1.0)
}

/// The chance that a normal value lies below `x` standard deviations.
fn below(x: f64) -> f64 {
    let (inside, outside) = gamma_tails(0.5, 0.5 * x * x);
    if x < 0.0 {
        0.5 * outside
    } else {
        0.5 + 0.5 * inside
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_values_have_the_difference_of_two_normals() {
        for width in [0.1, 1.0, 2.5] {
            let exact = gamma_tails(0.5, width * width / 4.0).0;
            let found = range_below(2, width);
            assert!((found - exact).abs() < 1e-12, "{width}: {found} {exact}");
        }
    }

    #[test]
    fn more_values_lie_close_together_less_often_and_wide_is_certain() {
        assert!(range_below(8, 1.0) < range_below(4, 1.0));
        assert_eq!(range_below(1, 0.1), 1.0);
        assert_eq!(range_below(5, 0.0), 0.0);
        assert_eq!(range_below(5, f64::INFINITY), 1.0);
        assert!((range_below(5, 30.0) - 1.0).abs() < 1e-9);
    }
}

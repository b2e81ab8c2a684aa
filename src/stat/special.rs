//! The incomplete gamma and beta functions and their inverses.
//!
//! The density in front of each is taken by C. Loader's way ("Fast and accurate
//! computation of binomial probabilities", 2000): deviance and Stirling's error instead
//! of differences of large logarithms, so that no digit is lost with ten thousand cases.
//! The rest is the usual series and continued fractions (Abramowitz and Stegun, 6.5.29,
//! 6.5.31 and 26.5.8), run until they stand still.

use std::f64::consts::PI;

/// Terms after which a series or fraction is given up; those here need about the square
/// root of the largest count, so this is met with counts beyond 10^9 only.
const MOST_TERMS: u32 = 1_000_000;

/// Steps after which a quantile is taken as it is; halving alone needs about 1 100.
const MOST_STEPS: u32 = 1_200;

/// A probability below or above a point.
#[derive(Clone, Copy, Debug)]
pub enum Tail {
    /// Of what lies below.
    Lower(f64),
    /// Of what lies above.
    Upper(f64),
}

/// The share of a gamma distribution (scale 1) below and above `x`.
pub fn gamma_tails(shape: f64, x: f64) -> (f64, f64) {
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    let front = poisson_density(shape, x);
    if x < shape + 1.0 {
        let (mut term, mut sum) = (1.0, 1.0);
        for k in 1..MOST_TERMS {
            term *= x / (shape + f64::from(k));
            sum += term;
            if term <= sum * f64::EPSILON / 4.0 {
                break;
            }
        }
        let lower = front * sum;
        return (lower, 1.0 - lower);
    }
    let upper = front
        * shape
        * fraction(x + 1.0 - shape, |k| {
            let k = f64::from(k);
            (-k * (k - shape), x + 2.0 * k + 1.0 - shape)
        });
    (1.0 - upper, upper)
}

/// The share of a beta distribution below and above `x`.
pub fn beta_tails(a: f64, b: f64, x: f64) -> (f64, f64) {
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if x >= 1.0 {
        return (1.0, 0.0);
    }
    if x < (a + 1.0) / (a + b + 2.0) {
        let lower = beta_lower(a, b, x, 1.0 - x);
        (lower, 1.0 - lower)
    } else {
        let upper = beta_lower(b, a, 1.0 - x, x);
        (1.0 - upper, upper)
    }
}

/// The point that splits off `tail` of a gamma distribution of scale 1.
pub fn gamma_quantile(shape: f64, tail: Tail) -> f64 {
    let mut high = shape + 1.0;
    while !is_beyond(gamma_tails(shape, high), tail) && high < f64::MAX / 4.0 {
        high *= 2.0;
    }
    let density = |x: f64| poisson_density(shape, x) * shape / x;
    solve(|x| gamma_tails(shape, x), density, high, tail)
}

/// The point that splits off `tail` of a beta distribution.
pub fn beta_quantile(a: f64, b: f64, tail: Tail) -> f64 {
    let density = |x: f64| binomial_density(a, b, x, 1.0 - x) * a * b / ((a + b) * x * (1.0 - x));
    solve(|x| beta_tails(a, b, x), density, 1.0, tail)
}

/// The point that splits off `tail` of Student's distribution.
pub fn student_quantile(freedom: f64, tail: Tail) -> f64 {
    let (outside, sign) = match tail {
        Tail::Upper(p) if p <= 0.5 => (p, 1.0),
        Tail::Upper(p) => (1.0 - p, -1.0),
        Tail::Lower(p) if p <= 0.5 => (p, -1.0),
        Tail::Lower(p) => (1.0 - p, 1.0),
    };
    if outside >= 0.5 {
        return 0.0;
    }
    // t^2 / (f + t^2) is beta distributed; whichever of it and its complement is the
    // smaller keeps the digits.
    let part = beta_quantile(0.5, freedom / 2.0, Tail::Upper(2.0 * outside));
    let odds = if part < 0.5 {
        part / (1.0 - part)
    } else {
        let rest = beta_quantile(freedom / 2.0, 0.5, Tail::Lower(2.0 * outside));
        (1.0 - rest) / rest
    };
    sign * (freedom * odds).sqrt()
}

fn is_beyond((lower, upper): (f64, f64), tail: Tail) -> bool {
    match tail {
        Tail::Lower(p) => lower >= p,
        Tail::Upper(p) => upper <= p,
    }
}

// Newton's steps on the logarithm of the tail, halving wherever a step would leave the
// bracket from zero to `high`.
fn solve(
    tails: impl Fn(f64) -> (f64, f64),
    density: impl Fn(f64) -> f64,
    high: f64,
    tail: Tail,
) -> f64 {
    let (mut low, mut high) = (0.0, high);
    let mut x = 0.5 * high;
    for _ in 0..MOST_STEPS {
        let both = tails(x);
        if is_beyond(both, tail) {
            high = x;
        } else {
            low = x;
        }
        let step = match tail {
            Tail::Lower(p) => both.0 * (p / both.0).ln() / density(x),
            Tail::Upper(p) => -both.1 * (p / both.1).ln() / density(x),
        };
        let newton = x + step;
        let next = if newton > low && newton < high {
            newton
        } else {
            0.5 * (low + high)
        };
        if (next - x).abs() <= f64::EPSILON * x {
            return next;
        }
        x = next;
    }
    x
}

// x^shape e^-x / Gamma(shape + 1).
fn poisson_density(shape: f64, x: f64) -> f64 {
    (-stirling_error(shape) - deviance(shape, x)).exp() / (2.0 * PI * shape).sqrt()
}

// Gamma(a + b + 1) / (Gamma(a + 1) Gamma(b + 1)) x^a y^b with y = 1 - x.
fn binomial_density(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let n = a + b;
    let errors = stirling_error(n) - stirling_error(a) - stirling_error(b);
    let power = errors - deviance(a, n * x) - deviance(b, n * y);
    power.exp() * (n / (2.0 * PI * a * b)).sqrt()
}

// The lower tail of the beta distribution, for x below its middle.
fn beta_lower(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let front = binomial_density(a, b, x, y) * b / (a + b);
    front
        * fraction(1.0, |k| {
            let m = f64::from(k / 2);
            let even = a + 2.0 * m;
            let top = if k % 2 == 0 {
                m * (b - m) * x / ((even - 1.0) * even)
            } else {
                -(a + m) * (a + b + m) * x / (even * (even + 1.0))
            };
            (top, 1.0)
        })
}

// 1 / (first + top(1) / (bottom(1) + top(2) / (bottom(2) + ...))) by W. J. Lentz's way
// (Applied Optics 15 (1976) 668).
fn fraction(first: f64, part: impl Fn(u32) -> (f64, f64)) -> f64 {
    let tiny = f64::MIN_POSITIVE / f64::EPSILON;
    let away = |value: f64| if value.abs() < tiny { tiny } else { value };
    let mut d = 1.0 / away(first);
    let mut c = 1.0 / tiny;
    let mut result = d;
    for k in 1..MOST_TERMS {
        let (top, bottom) = part(k);
        d = 1.0 / away(bottom + top * d);
        c = away(bottom + top / c);
        result *= c * d;
        if (c * d - 1.0).abs() <= f64::EPSILON {
            break;
        }
    }
    result
}

// ln Gamma(n + 1) less Stirling's n ln n - n + ln(2 pi n) / 2.
fn stirling_error(n: f64) -> f64 {
    if n < 16.0 {
        // One step up by Gamma(n + 2) = (n + 1) Gamma(n + 1).
        return stirling_error(n + 1.0) + (n + 0.5) * (1.0 / n).ln_1p() - 1.0;
    }
    let n2 = n * n;
    let tail = 1.0 / 1_680.0 - (1.0 / 1_188.0 - 691.0 / 360_360.0 / n2) / n2;
    (1.0 / 12.0 - (1.0 / 360.0 - (1.0 / 1_260.0 - tail / n2) / n2) / n2) / n
}

// n ln(n / mean) + mean - n, also where the two are close.
fn deviance(n: f64, mean: f64) -> f64 {
    if (n - mean).abs() >= 0.1 * (n + mean) {
        return n * (n / mean).ln() + mean - n;
    }
    let v = (n - mean) / (n + mean);
    let mut sum = (n - mean) * v;
    let mut term = 2.0 * n * v;
    for j in 1..MOST_TERMS {
        term *= v * v;
        let next = sum + term / f64::from(2 * j + 1);
        if next == sum {
            break;
        }
        sum = next;
    }
    sum
}

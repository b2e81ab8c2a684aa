//! How much of a limit is used, rounded so that it never looks lower than it is.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::dose::Dose;

/// The used part of a limit in whole parts per million, rounded up.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Share(i64);

impl Share {
    /// The whole limit.
    pub const WHOLE: Self = Self(1_000_000);

    /// From whole parts per million.
    pub const fn from_ppm(ppm: i64) -> Self {
        Self(ppm)
    }

    /// In whole parts per million.
    pub const fn ppm(self) -> i64 {
        self.0
    }

    /// The share of `limit` that `used` is, rounded up. Nothing if the limit is not above
    /// zero: there is no share of an allowance that is gone. A share that does not fit is the
    /// largest there is.
    pub fn of(used: Dose, limit: Dose) -> Option<Self> {
        if limit <= Dose::ZERO {
            return None;
        }
        let limit = i128::from(limit.nsv());
        let parts = div_ceil(i128::from(used.nsv()) * 1_000_000, limit);
        Some(Self(i64::try_from(parts).unwrap_or(if parts > 0 {
            i64::MAX
        } else {
            i64::MIN
        })))
    }
}

/// As `3.2 %`, rounded up to the tenth: a share above the limit never prints as 100.0 %.
impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tenths = div_ceil(i128::from(self.0), 1_000);
        let sign = if tenths < 0 { "-" } else { "" };
        let tenths = tenths.unsigned_abs();
        f.pad(&format!("{sign}{}.{} %", tenths / 10, tenths % 10))
    }
}

/// Division rounded towards the greater, for a divisor above zero.
fn div_ceil(number: i128, by: i128) -> i128 {
    let down = number.div_euclid(by);
    if number.rem_euclid(by) == 0 {
        down
    } else {
        down + 1
    }
}

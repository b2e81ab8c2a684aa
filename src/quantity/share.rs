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

    /// The share of `limit` that `used` is, rounded up, but to the whole only where the limit is
    /// reached. Nothing if the limit is not above zero: there is no share of an allowance that is
    /// gone. A share that does not fit is the largest there is.
    pub fn of(used: Dose, limit: Dose) -> Option<Self> {
        if limit <= Dose::ZERO {
            return None;
        }
        let limit = i128::from(limit.nsv());
        let used = i128::from(used.nsv());
        let mut parts = div_ceil(used * 1_000_000, limit);
        if used < limit {
            parts = parts.min(i128::from(Self::WHOLE.0) - 1);
        }
        Some(Self(i64::try_from(parts).unwrap_or(if parts > 0 {
            i64::MAX
        } else {
            i64::MIN
        })))
    }
}

/// As `3.2 %`, rounded up to the tenth, but below the whole never to it: 100.0 % is a limit that
/// is reached, and a share above it prints as more.
impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut tenths = div_ceil(i128::from(self.0), 1_000);
        if *self < Self::WHOLE {
            tenths = tenths.min(999);
        }
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_share_is_rounded_up_but_to_the_whole_only_at_the_limit() {
        for (used, limit, shown) in [
            (0, 50_000_000, "0.0 %"),
            (1, 50_000_000, "0.1 %"),
            (1_600_000, 50_000_000, "3.2 %"),
            (1_600_001, 50_000_000, "3.3 %"),
            (49_949_999, 50_000_000, "99.9 %"),
            (49_999_999, 50_000_000, "99.9 %"),
            (59_999_000, 60_000_000, "99.9 %"),
            (50_000_000, 50_000_000, "100.0 %"),
            (50_000_001, 50_000_000, "100.1 %"),
            (-1_600_000, 50_000_000, "-3.2 %"),
            (-1, 50_000_000, "0.0 %"),
        ] {
            let share = Share::of(Dose::from_nsv(used), Dose::from_nsv(limit)).unwrap();
            assert_eq!(share.to_string(), shown, "{used} of {limit}");
        }
    }

    #[test]
    fn there_is_no_share_of_an_allowance_that_is_gone() {
        assert_eq!(Share::of(Dose::from_nsv(1), Dose::ZERO), None);
        assert_eq!(Share::of(Dose::from_nsv(1), Dose::from_nsv(-5)), None);
    }

    proptest! {
        #[test]
        fn the_share_holds_the_whole_dose(used in any::<i64>(), limit in 1..=i64::MAX) {
            let share = Share::of(Dose::from_nsv(used), Dose::from_nsv(limit)).unwrap();
            let held = i128::from(share.ppm()) * i128::from(limit);
            let dose = i128::from(used) * 1_000_000;
            let of_the_last_part = used < limit && share.ppm() == Share::WHOLE.ppm() - 1;
            if share.ppm() < i64::MAX && share.ppm() > i64::MIN {
                prop_assert!(held >= dose || of_the_last_part);
                prop_assert!(held - i128::from(limit) < dose);
            }
            prop_assert_eq!(share.cmp(&Share::WHOLE), used.cmp(&limit));
        }
    }
}

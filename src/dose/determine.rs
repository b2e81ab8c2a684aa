//! Arithmetic that helps the RSO to determine a dose. What comes out is an
//! estimate until somebody whose role allows it records it as a determination.

use crate::quantity::{Dose, Overflow};

/// The share of a year's limit that falls on some days, rounded up to one
/// nanosievert: what is entered where nothing better can be had
/// (Ionising Radiations Regulations 2017, reg. 23(1): the proportion of the
/// annual limit for the period).
///
/// Nothing where the year has no days or the days are not of it.
///
/// # Errors
/// [`Overflow`] when the share does not fit, which a share of at most the
/// limit always does.
pub fn notional(limit: Dose, days: i64, year_days: i64) -> Result<Option<Dose>, Overflow> {
    if year_days <= 0 || !(0..=year_days).contains(&days) {
        return Ok(None);
    }
    up(
        i128::from(limit.nsv()) * i128::from(days),
        i128::from(year_days),
    )
    .map(Some)
}

fn up(product: i128, by: i128) -> Result<Dose, Overflow> {
    let whole = product.div_euclid(by) + i128::from(product.rem_euclid(by) != 0);
    i64::try_from(whole)
        .map(Dose::from_nsv)
        .map_err(|_| Overflow)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::DoseUnit;

    fn dose(text: &str) -> Dose {
        Dose::parse(text, None).unwrap()
    }

    #[test]
    fn thirty_days_at_20_msv_a_year_are_1_64_msv() {
        // Ionising Radiations Regulations 2017, reg. 23(1): 20 mSv x 30/365.
        let found = notional(dose("20 mSv"), 30, 365).unwrap().unwrap();
        assert_eq!(found.display_rounded(DoseUnit::MilliSievert, 2), "1.64 mSv");
        assert_eq!(found.nsv(), 1_643_836);
    }

    #[test]
    fn a_share_is_never_more_than_the_limit_nor_of_no_year() {
        assert_eq!(notional(dose("20 mSv"), 365, 365), Ok(Some(dose("20 mSv"))));
        assert_eq!(notional(dose("20 mSv"), 0, 365), Ok(Some(Dose::ZERO)));
        for (days, year) in [(366, 365), (-1, 365), (1, 0)] {
            assert_eq!(notional(dose("20 mSv"), days, year), Ok(None));
        }
    }
}

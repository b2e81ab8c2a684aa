//! The estimate beside what a dosimeter says of the same day or period.

use crate::quantity::Dose;

/// How a figure on record stands to the estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Judged {
    /// Within what the spread explains.
    Within,
    /// The dosimeter says less than the least that the estimate can be.
    Lower,
    /// The dosimeter says more than the most that it can be.
    Higher,
    /// A factor of about a thousand apart, which is mostly a unit.
    Thousandfold,
}

/// What an estimate allows a dosimeter to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beside {
    /// The least of it.
    pub low: Dose,
    /// The most of it.
    pub high: Dose,
    /// Thousandths by which a dosimeter may be wrong.
    pub permille: i64,
}

/// Judges what a dosimeter shows. Compared in whole numbers.
pub fn judge(shows: Dose, allowed: Beside) -> Judged {
    let shows = i128::from(shows.nsv()) * 1000;
    let (low, high) = (
        i128::from(allowed.low.nsv()),
        i128::from(allowed.high.nsv()),
    );
    let permille = i128::from(allowed.permille);
    let (least, most) = (low * (1000 - permille), high * (1000 + permille));
    if shows >= least && shows <= most {
        return Judged::Within;
    }
    let apart = |small: i128, large: i128| small > 0 && large > 300 * small && large < 3000 * small;
    if apart(shows, low * 1000) || apart(high * 1000, shows) {
        Judged::Thousandfold
    } else if shows < least {
        Judged::Lower
    } else {
        Judged::Higher
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dosimeter_is_judged_by_the_spread_and_its_own_tolerance() {
        let allowed = Beside {
            low: Dose::from_nsv(100_000),
            high: Dose::from_nsv(200_000),
            permille: 200,
        };
        for (shows, wanted) in [
            (79_999, Judged::Lower),
            (80_000, Judged::Within),
            (240_000, Judged::Within),
            (240_001, Judged::Higher),
            (0, Judged::Lower),
            (100, Judged::Thousandfold),
            (200_000_000, Judged::Thousandfold),
        ] {
            assert_eq!(judge(Dose::from_nsv(shows), allowed), wanted, "{shows}");
        }
    }
}

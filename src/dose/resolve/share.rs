//! A lump and its shares: which part of it belongs to which days.

use crate::calendar::{Day, Span};
use crate::dose::resolve::live::Source;
use crate::dose::total::{Amount, Class};
use crate::quantity::Dose;

/// How a lump is spread over its days.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Shares {
    /// Evenly: no reading tells anything.
    Days,
    /// By the readings of its shifts, ascending by day. The shares add up to
    /// the lump exactly.
    Shifts(Vec<Share>),
    /// Evenly, over the days for which no other badge has more: each stretch with its
    /// part of the dose. They add up to the lump exactly.
    Stretches(Vec<(Span, Dose)>),
}

/// One shift's share of a lump.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Share {
    /// The place of the shift among the live ones.
    pub at: usize,
    /// Its day.
    pub day: Day,
    /// Its share.
    pub dose: Dose,
    /// Whether it counts apart, in a planned special exposure.
    pub special: bool,
}

/// A shift as a lump sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weight {
    pub at: usize,
    pub day: Day,
    /// What its readings show.
    pub dose: Dose,
    /// Whether it takes what the others leave: off-scale, not read, or part of
    /// an event.
    pub open: bool,
    pub special: bool,
}

/// One dose over a period, as the account counts it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Lump {
    /// What it is.
    pub source: Source,
    /// The entry that states it.
    pub entry: i64,
    /// Its period.
    pub days: Span,
    /// Its class where a span holds the whole of it.
    pub class: Class,
    /// The dose.
    pub amount: Amount,
    /// How it is spread: over the shifts that it speaks for.
    pub shares: Shares,
    /// The shifts that it speaks for, by their places.
    pub members: Vec<usize>,
    /// Whether it speaks for all shifts that its period covers; else its shares
    /// alone count.
    pub whole: bool,
    /// The part of it that counts apart.
    pub apart: Dose,
    /// Whether all of it counts apart, in a planned special exposure.
    pub special: bool,
    /// Whether the deep dose stands in for the quantity.
    pub stands_in: bool,
    /// Whether it is dose received with this licensee.
    pub own: bool,
}

impl Lump {
    /// What of it a span holds, apart from the shares that count apart; `None`
    /// where their days do not meet.
    pub(crate) fn within(&self, span: Span) -> Option<(Class, Amount)> {
        let part = self.days.common(&span)?;
        if part == self.days && self.apart == Dose::ZERO && self.whole {
            return Some((self.class, self.amount));
        }
        let share = |lump| match &self.shares {
            Shares::Days => apportion(lump, self.days, part),
            Shares::Shifts(shares) => sum(shares, span, self.special),
            Shares::Stretches(all) => {
                let nsv = all
                    .iter()
                    .map(|(days, dose)| apportion(*dose, *days, span).nsv());
                Dose::from_nsv(nsv.sum())
            }
        };
        let amount = match self.amount {
            Amount::Known(lump) => Amount::Known(share(lump)),
            Amount::Undetermined(lump) => Amount::Undetermined(share(lump)),
            none => none,
        };
        Some((Class::Apportioned, amount))
    }

    /// What of it counts apart in a span though the whole does not; `None`
    /// where nothing does.
    pub(crate) fn special_within(&self, span: Span) -> Option<(Class, Amount)> {
        self.days.common(&span)?;
        match &self.shares {
            Shares::Shifts(shares) if !self.special && shares.iter().any(|it| it.special) => {
                let dose = sum(shares, span, true);
                let open = self.amount.is_undetermined();
                Some((Class::Apportioned, Amount::of(dose, open)))
            }
            _ => None,
        }
    }
}

impl Shares {
    /// One shift's share, where it is spread by shifts.
    pub(crate) fn of(&self, at: usize) -> Dose {
        match self {
            Shares::Days | Shares::Stretches(_) => Dose::ZERO,
            Shares::Shifts(shares) => shares
                .iter()
                .find(|share| share.at == at)
                .map_or(Dose::ZERO, |share| share.dose),
        }
    }
}

/// The shares within a span. They add up to at most their lump, which fits.
fn sum(shares: &[Share], span: Span, special: bool) -> Dose {
    let nsv = shares
        .iter()
        .filter(|share| span.contains(share.day) && share.special == special)
        .map(|share| share.dose.nsv())
        .sum();
    Dose::from_nsv(nsv)
}

/// Spreads a lump over its shifts, which come ascending by day.
///
/// Where a shift is open, the others keep what their readings show and the
/// open ones take the remainder, evenly. Where the others show more than the
/// lump, the second value is `true`, and they share the lump in proportion.
/// Without an open shift the readings give the proportion; without any
/// reading above zero the days do.
pub(super) fn spread(lump: Dose, weights: &[Weight]) -> (Shares, bool) {
    let total = |open: bool| -> i128 {
        weights
            .iter()
            .filter(|weight| weight.open == open)
            .map(|weight| i128::from(weight.dose.nsv()))
            .sum()
    };
    let open = weights.iter().filter(|weight| weight.open).count();
    let closed = total(false);
    let whole = i128::from(lump.nsv());
    if open > 0 && whole >= closed {
        let remainder = whole - closed;
        let count = open as i128;
        let mut nth = 0;
        let shares = weights.iter().map(|weight| {
            if !weight.open {
                return share(weight, i128::from(weight.dose.nsv()));
            }
            nth += 1;
            share(
                weight,
                remainder * nth / count - remainder * (nth - 1) / count,
            )
        });
        return (Shares::Shifts(shares.collect()), false);
    }
    if closed == 0 {
        return (Shares::Days, false);
    }
    let mut running = 0;
    let shares = weights.iter().map(|weight| {
        if weight.open {
            return share(weight, 0);
        }
        let before = whole * running / closed;
        running += i128::from(weight.dose.nsv());
        share(weight, whole * running / closed - before)
    });
    (Shares::Shifts(shares.collect()), open > 0)
}

/// No share is above its lump, so each fits.
fn share(weight: &Weight, nsv: i128) -> Share {
    Share {
        at: weight.at,
        day: weight.day,
        dose: Dose::from_nsv(i64::try_from(nsv).unwrap_or(i64::MAX)),
        special: weight.special,
    }
}

/// The share of a lump for the days from `part.first` to `part.last` of its
/// period `whole`.
///
/// Each day's share is the step of the running share, rounded down to one
/// nanosievert, at that day. So the share of a cut does not depend on other
/// cuts, is never more than 1 nSv from exact, and the shares of any cuts that
/// cover the period add up to the lump exactly. Days outside the period have
/// no share.
pub fn apportion(lump: Dose, whole: Span, part: Span) -> Dose {
    let Some(part) = whole.common(&part) else {
        return Dose::ZERO;
    };
    let days = whole.days();
    let running = |n: i64| i128::from(lump.nsv()) * i128::from(n) / i128::from(days.max(1));
    let share =
        running(days_before(whole, part.last) + 1) - running(days_before(whole, part.first));
    // A share is not above its lump, so it fits.
    Dose::from_nsv(i64::try_from(share).unwrap_or(lump.nsv()))
}

fn days_before(whole: Span, day: Day) -> i64 {
    (day - whole.first).num_days()
}

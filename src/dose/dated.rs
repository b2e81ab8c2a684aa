//! Which dose belongs to which day, once each, as a forecast draws on it: a determination in the
//! place of its shift's reading, a result spread over its shifts by their readings, and what no
//! shift tells apart spread over its days. Never lower than the conservative figure of each
//! group of claims: where that is above the account, the shares of the group are raised to it.
//!
//! Dose of other employers and planned special exposures are not in it: neither is work as it
//! goes on here.

use crate::calendar::{Day, Span};
use crate::dose::index::DoseIndex;
use crate::dose::resolve::Units;
use crate::dose::resolve::group::Group;
use crate::dose::resolve::share::apportion;
use crate::dose::total::Amount;
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

/// The doses of a span, and the shifts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Dated {
    /// Each dose with its day, by day.
    pub doses: Vec<(Day, Dose)>,
    /// The day of each shift, by day.
    pub shifts: Vec<Day>,
    /// Shifts without an upper bound, which count at what is known of them.
    pub open: usize,
}

impl DoseIndex {
    /// The doses of a span by day.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn dated(&self, span: Span, quantity: Quantity) -> Result<Dated, Overflow> {
        let (live, units) = (&self.resolved().live, self.units(quantity));
        let mut of_shift = Vec::with_capacity(live.len());
        for single in &units.singles {
            of_shift.push(single.safe.known().unwrap_or(Dose::ZERO));
        }
        let mut of_days = Vec::new();
        for group in units.groups.iter().filter(|it| !it.special && it.own) {
            let places: Vec<usize> = group
                .shifts()
                .filter(|at| live.get(*at).is_some_and(|it| !it.special))
                .collect();
            let whole = group.safe(group.days)?.known().unwrap_or(Dose::ZERO);
            let told: Vec<Dose> = places.iter().map(|at| told(units, group, *at)).collect();
            if places.is_empty() {
                of_days.push((group.days, whole));
            }
            for (at, dose) in places.iter().zip(spread(whole, &told)?) {
                if let Some(slot) = of_shift.get_mut(*at) {
                    *slot = dose;
                }
            }
        }
        for excess in &units.excesses {
            let singles = live.iter().zip(&units.singles);
            let inside = singles.filter(|(it, _)| !it.special && excess.days.contains(it.day));
            let singles = Dose::sum(inside.filter_map(|(_, it)| it.safe.known()))?;
            let more = excess.within(units, excess.days, singles)?;
            of_days.extend(more.and_then(Amount::known).map(|it| (excess.days, it)));
        }
        let mut dated = Dated::default();
        let all = live.iter().zip(&units.singles).zip(of_shift);
        for ((it, single), dose) in all.filter(|((it, _), _)| span.contains(it.day)) {
            dated.shifts.push(it.day);
            if !it.special {
                dated.doses.push((it.day, dose));
                dated.open += usize::from(single.safe.is_undetermined());
            }
        }
        for (days, dose) in of_days.iter().filter(|it| it.1 != Dose::ZERO) {
            let Some(part) = days.common(&span) else {
                continue;
            };
            let one = |day| Span {
                first: day,
                last: day,
            };
            let each = part.each_day();
            dated
                .doses
                .extend(each.map(|day| (day, apportion(*dose, *days, one(day)))));
        }
        dated.doses.sort_by_key(|it| it.0);
        Ok(dated)
    }
}

/// What the account tells of a shift of a group: its share of what speaks for it, or what it says
/// of itself.
fn told(units: &Units, group: &Group, at: usize) -> Dose {
    let lumps = units.lumps.iter().filter(|it| group.counts(it.source));
    let shares = lumps.map(|it| it.shares.of(at).nsv()).sum();
    let single = units.singles.get(at).and_then(|it| it.account.known());
    // What a correction left below zero takes nothing from the others.
    single.unwrap_or(Dose::from_nsv(shares)).max(Dose::ZERO)
}

/// A dose over shifts in proportion to what is told of each, evenly where nothing is. The parts
/// add up to it.
fn spread(whole: Dose, told: &[Dose]) -> Result<Vec<Dose>, Overflow> {
    let sum = i128::from(Dose::sum(told.iter().copied())?.nsv());
    let count = i128::try_from(told.len()).map_err(|_| Overflow)?;
    let of = |part: i128, all: i128| i128::from(whole.nsv()) * part / all.max(1);
    let (mut running, mut parts) = (0, Vec::with_capacity(told.len()));
    for (at, it) in (0i128..).zip(told) {
        let (from, to) = match sum {
            0 => (of(at, count), of(at + 1, count)),
            _ => {
                let before = running;
                running += i128::from(it.nsv());
                (of(before, sum), of(running, sum))
            }
        };
        parts.push(Dose::from_nsv(
            i64::try_from(to - from).map_err(|_| Overflow)?,
        ));
    }
    Ok(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dose_is_spread_by_what_is_told_and_evenly_where_nothing_is() {
        let nsv = |all: &[i64]| -> Vec<Dose> { all.iter().map(|it| Dose::from_nsv(*it)).collect() };
        for (whole, told, parts) in [
            (300, vec![10, 20], vec![100, 200]),
            (100, vec![10, 10, 10], vec![33, 33, 34]),
            (100, vec![0, 0, 0], vec![33, 33, 34]),
            (0, vec![10, 20], vec![0, 0]),
            (5, vec![], vec![]),
        ] {
            let found = spread(Dose::from_nsv(whole), &nsv(&told)).expect("a spread");
            assert_eq!(found, nsv(&parts), "{whole} over {told:?}");
        }
    }
}

//! Of badges worn together over the same shifts, the one that has most.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::dose::resolve::build::{ClaimDesk, Seat};
use crate::dose::resolve::claim::Claim;
use crate::dose::resolve::decision::Rank;
use crate::dose::resolve::share::Shares;

impl ClaimDesk<'_, '_> {
    /// Of the shifts for which claims of several badges speak, by their places, the claim
    /// that has most for all the shifts which just these badges share. Of one badge the
    /// claim that was chosen, or told first, is weighed.
    pub(super) fn highest_of_badges(
        &self,
        claims: &[Claim],
        seats: &[Seat<'_>],
    ) -> BTreeMap<usize, usize> {
        // By the sides: of each the claim that speaks at each of the shifts.
        let mut shared: BTreeMap<Vec<usize>, Vec<(usize, Vec<usize>)>> = BTreeMap::new();
        for (at, seat) in seats.iter().enumerate() {
            let mut first: BTreeMap<usize, (Rank, usize)> = BTreeMap::new();
            for nth in &seat.claims {
                let Some(claim) = claims.get(*nth) else {
                    continue;
                };
                let Some(badge) = claim.badge else { continue };
                let told = first.entry(badge).or_insert((claim.rank(), *nth));
                *told = (*told).min((claim.rank(), *nth));
            }
            if first.len() > 1 {
                let all: Vec<usize> = first.into_values().map(|(_, nth)| nth).collect();
                let sides = all.iter().map(|nth| side(claims, *nth)).collect();
                shared.entry(sides).or_default().push((at, all));
            }
        }
        let mut highest = BTreeMap::new();
        for (sides, cell) in shared {
            // What one side has is added up over those that speak for it.
            let has = |place: &usize| {
                let mut by_claim: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
                for (at, all) in &cell {
                    let nth = all.get(*place).copied()?;
                    by_claim.entry(nth).or_default().push(*at);
                }
                let speak = || {
                    let all = by_claim.iter();
                    all.filter_map(|(nth, shifts)| Some((claims.get(*nth)?, shifts)))
                };
                let has: i64 = speak().map(|(it, shifts)| self.has(it, shifts)).sum();
                let first = speak().map(|(it, _)| (it.dose, it.open, Reverse(it.order)));
                Some((has, first.max()?))
            };
            let Some(most) = (0..sides.len()).max_by_key(has) else {
                continue;
            };
            let of_it = cell
                .iter()
                .filter_map(|(at, all)| Some((*at, *all.get(most)?)));
            highest.extend(of_it);
        }
        highest
    }

    /// What a claim has for some of its shifts.
    fn has(&self, claim: &Claim, shifts: &[usize]) -> i64 {
        match self.part_of(claim, shifts) {
            Shares::Shifts(all) => all.iter().map(|it| it.dose.nsv()).sum(),
            Shares::Days | Shares::Stretches(_) => 0,
        }
    }
}

/// The side on which a claim of a badge speaks: that of the claim which a decision lets speak for
/// the rest of the same badge. The two are one word about that badge, and are weighed as one
/// against another that measured the same.
fn side(claims: &[Claim], nth: usize) -> usize {
    let Some(claim) = claims.get(nth) else {
        return nth;
    };
    let rest = claims
        .iter()
        .position(|it| it.badge == claim.badge && it.beside.contains(&claim.entry));
    rest.unwrap_or(nth)
}

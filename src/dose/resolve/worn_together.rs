//! Of badges worn together over the same shifts, the one that has most.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::dose::resolve::build::{Desk, Seat};
use crate::dose::resolve::claim::Claim;
use crate::dose::resolve::decision::Rank;
use crate::dose::resolve::share::Shares;

impl Desk<'_, '_> {
    /// Of the shifts for which claims of several badges speak, by their places, the claim
    /// that has most for all the shifts which just these badges share. Of one badge the
    /// claim that was chosen, or told first, is weighed.
    pub(super) fn highest_of_badges(
        &self,
        claims: &[Claim],
        seats: &[Seat<'_>],
    ) -> BTreeMap<usize, usize> {
        let mut shared: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
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
                let all = first.into_values().map(|(_, nth)| nth).collect();
                shared.entry(all).or_default().push(at);
            }
        }
        let mut highest = BTreeMap::new();
        for (all, shifts) in shared {
            let most = all.iter().copied().max_by_key(|nth| {
                let claim = claims.get(*nth)?;
                let has = self.has(claim, &shifts);
                Some((has, claim.dose, claim.open, Reverse(claim.order)))
            });
            let most = most.into_iter();
            highest.extend(most.flat_map(|nth| shifts.iter().map(move |at| (*at, nth))));
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

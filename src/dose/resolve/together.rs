//! Badges of one kind that were worn together measured the same dose: in the account the
//! higher counts for what both speak for, never the sum, and each alone for what it alone
//! speaks for.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::calendar::Span;
use crate::dose::account::apportion;
use crate::dose::resolve::build::{Desk, Seat};
use crate::dose::resolve::claim::{Claim, Rank};
use crate::dose::resolve::share::Shares;
use crate::quantity::Dose;

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

/// What a claim without any shift has for the days for which no other badge that was worn
/// with it has more; `None` where that is the whole of it.
pub(super) fn stretches(claim: &Claim, claims: &[Claim]) -> Option<Vec<(Span, Dose)>> {
    let is_bare = |it: &Claim| it.cover.is_empty() && !it.idle;
    let others: Vec<&Claim> = claims
        .iter()
        .filter(|it| is_bare(it) && claim.is_worn_with(it) && it.days.overlaps(&claim.days))
        .collect();
    if others.is_empty() || !is_bare(claim) {
        return None;
    }
    let mut starts = vec![claim.days.first];
    for other in &others {
        starts.push(other.days.first);
        starts.extend(other.days.last.succ_opt());
    }
    starts.retain(|it| claim.days.contains(*it));
    starts.sort_unstable();
    starts.dedup();
    let ends = starts.iter().skip(1).filter_map(|it| it.pred_opt());
    let ends: Vec<_> = ends.chain([claim.days.last]).collect();
    let mut won = Vec::new();
    let mut lost = false;
    for (first, last) in starts.into_iter().zip(ends) {
        let days = Span { first, last };
        let rank = |it: &Claim| {
            let has = apportion(it.dose, it.days, days);
            (has, it.dose, it.open, Reverse(it.order))
        };
        let beaten = |it: &&&Claim| it.days.overlaps(&days) && rank(it) > rank(claim);
        match others.iter().any(|it| beaten(&it)) {
            true => lost = true,
            false => won.push((days, rank(claim).0)),
        }
    }
    lost.then_some(won)
}

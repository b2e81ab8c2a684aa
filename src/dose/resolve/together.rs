//! Badges of one kind that were worn together measured the same dose: in the account the
//! higher counts for what both speak for, never the sum, and each alone for what it alone
//! speaks for.

use std::cmp::Reverse;

use crate::calendar::Span;
use crate::dose::resolve::claim::Claim;
use crate::dose::resolve::share::apportion;
use crate::quantity::Dose;

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

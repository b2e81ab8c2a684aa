//! The shifts that one which speaks for the rest leaves to those beside it.

use crate::dose::resolve::by_shift::sheet_of;
use crate::dose::resolve::claim::{Claim, Gather};

impl Gather<'_> {
    /// One that speaks for the rest leaves the shifts of those beside it, and what says the
    /// same as it of the same shifts leaves them too: a decision for the one is for both.
    pub(super) fn carve(&self, claims: &mut [Claim]) {
        let mut leaves: Vec<(usize, Vec<i64>, Vec<usize>)> = Vec::new();
        for (at, claim) in claims.iter().enumerate() {
            let rest = claims.iter().filter(|it| at_one(claim, it));
            let beside = rest.flat_map(|it| self.decisions.beside(it.entry));
            let beside: Vec<i64> = beside.filter(|it| *it != claim.entry).collect();
            if beside.is_empty() {
                continue;
            }
            let theirs = claims.iter().filter(|it| beside.contains(&it.entry));
            let mut theirs: Vec<usize> = theirs.flat_map(|it| it.cover.iter().copied()).collect();
            theirs.extend(self.shifts_determined_by(&beside));
            leaves.push((at, beside, theirs));
        }
        for (at, beside, theirs) in leaves {
            if let Some(claim) = claims.get_mut(at) {
                claim.cover.retain(|it| !theirs.contains(it));
                claim.beside = beside;
            }
        }
    }

    /// The shifts that some determinations of readings and shifts are about.
    fn shifts_determined_by(&self, entries: &[i64]) -> Vec<usize> {
        let sheets: Vec<i64> = self
            .dosimetry
            .determinations
            .iter()
            .filter(|it| entries.contains(&it.entry))
            .filter_map(|it| sheet_of(&it.scope))
            .collect();
        let live = self.live.iter().enumerate();
        live.filter(|(_, it)| sheets.contains(&it.sheet))
            .map(|(at, _)| at)
            .collect()
    }
}

/// Whether two say the same dose of the same shifts, as one does with itself.
fn at_one(one: &Claim, other: &Claim) -> bool {
    let figure = |it: &Claim| (it.dose, it.at_most, it.open, it.below);
    let bare = one.cover.is_empty();
    one.entry == other.entry || !bare && one.cover == other.cover && figure(one) == figure(other)
}

//! In which worlds a claim stands as it is: those in which a badge that waits for somebody was
//! ruled out.

use crate::dose::resolve::build::ClaimDesk;
use crate::dose::resolve::claim::{Claim, Gather};

impl ClaimDesk<'_, '_> {
    /// Says of each claim in which worlds it stands as it is, and gives those that stand
    /// otherwise in another.
    pub(super) fn otherwise(&self, claims: &mut [Claim]) -> Vec<Claim> {
        let mut found = Vec::new();
        for (world, ruled) in (1_u32..).zip(self.ruled_out) {
            let then = Gather {
                dosimetry: &ruled.dosimetry,
                live: &ruled.live,
                with: &ruled.with,
                ..self.gather()
            };
            let then = then.claims();
            let reach = |it: &Claim| (it.kind, it.cover.clone(), it.measured.clone(), it.days);
            let there = |it: &Claim| then.iter().find(|of| of.entry == it.entry);
            let moved: Vec<bool> = claims
                .iter()
                .map(|it| there(it).is_none_or(|of| reach(of) != reach(it)))
                .collect();
            let beside_moved = |claim: &Claim| {
                let moved = claims.iter().zip(&moved).filter(|(_, moved)| **moved);
                moved
                    .map(|(it, _)| it)
                    .any(|it| it.cover.iter().any(|at| claim.covers(*at)) || it.shares_with(claim))
            };
            for (claim, moved) in claims.iter().zip(&moved) {
                // What is silent because another says the same may speak there.
                if *moved || claim.absorbed && beside_moved(claim) {
                    found.extend(there(claim).map(|it| Claim {
                        worlds: 1 << world,
                        idle: true,
                        ..it.clone()
                    }));
                }
            }
            for (claim, moved) in claims.iter_mut().zip(moved) {
                if moved {
                    claim.worlds &= !(1 << world);
                }
            }
        }
        found
    }
}

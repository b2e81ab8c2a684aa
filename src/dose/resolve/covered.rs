//! The results of a shift, and what ends with them.

use crate::dose::resolve::claim::{Claim, Type};

/// The results of one shift.
#[derive(Clone, Debug, Default)]
pub(super) struct Covered {
    results: Vec<Measured>,
}

/// One result of it.
#[derive(Clone, Debug)]
struct Measured {
    /// Its entry.
    entry: i64,
    /// It counts in the account.
    counts: bool,
    /// The RSO accepted it.
    accepted: bool,
    /// It states the quantity itself.
    stated: bool,
    /// It speaks for the shift; else a decision lets others speak.
    speaks: bool,
    /// Those that a decision lets speak beside it: they do not end with it.
    beside: Vec<i64>,
}

impl Covered {
    pub(super) fn add(&mut self, claim: &Claim, at: usize) {
        self.results.push(Measured {
            entry: claim.entry,
            counts: !claim.nothing_left,
            accepted: claim.accepted,
            stated: !claim.stands_in,
            speaks: claim.covers(at),
            beside: claim.beside.clone(),
        });
    }

    pub(super) fn add_as_counting(&mut self, claim: &Claim, at: usize) {
        self.add(claim, at);
        if let Some(last) = self.results.last_mut() {
            last.counts = true;
        }
    }

    /// What somebody may yet make of them: each that is not accepted beside those that are, and
    /// all of them. Nothing where all are.
    pub(super) fn by_acceptance(&self) -> Vec<Covered> {
        let (accepted, open): (Vec<_>, Vec<_>) =
            self.results.iter().cloned().partition(|it| it.accepted);
        if open.is_empty() {
            return Vec::new();
        }
        let with = |more: &[Measured]| Covered {
            results: accepted.iter().chain(more).cloned().collect(),
        };
        let mut all: Vec<Covered> = open.chunks(1).map(with).collect();
        if open.len() > 1 {
            all.push(with(&open));
        }
        all
    }

    /// Whether the RSO accepted one that speaks for the shift.
    pub(super) fn accepted(&self) -> bool {
        self.results.iter().any(|it| it.accepted && it.speaks)
    }

    /// The results that have a say beside a determination, by its entry.
    fn beside(&self, entry: i64, accepted: bool) -> impl Iterator<Item = &Measured> {
        self.results.iter().filter(move |it| {
            let takes_part = if accepted { it.accepted } else { it.counts };
            takes_part && !it.beside.contains(&entry)
        })
    }

    /// Whether a determination that only stands until a result comes has ended: with one
    /// that counts, or with an accepted one.
    pub(super) fn end(&self, entry: i64, accepted: bool) -> bool {
        self.beside(entry, accepted).next().is_some()
    }

    /// The result with which it ended in the account.
    pub(super) fn ender(&self, entry: i64) -> Option<i64> {
        self.beside(entry, false).next().map(|it| it.entry)
    }

    /// Whether one states the quantity, for which a determination of the deep dose had
    /// stood in.
    pub(super) fn state(&self, entry: i64, accepted: bool) -> bool {
        self.beside(entry, accepted).any(|it| it.stated)
    }

    /// Whether a claim has ended for the shift.
    pub(super) fn end_claim(&self, claim: &Claim, accepted: bool) -> bool {
        let stated = || claim.stands_in && self.state(claim.entry, accepted);
        match claim.kind {
            Type::Result | Type::OnHold => false,
            Type::UntilResult => self.end(claim.entry, accepted),
            Type::Replaces => stated(),
        }
    }
}

/// Whether a claim about a badge without any shift ends with a result of that
/// badge.
pub(super) fn ended_by_badge(
    claim: &Claim,
    claims: &[Claim],
    which: impl Fn(&Claim) -> bool,
) -> bool {
    let ends = |it: &Claim| match claim.kind {
        Type::Result | Type::OnHold => false,
        Type::UntilResult => true,
        Type::Replaces => claim.stands_in && !it.stands_in,
    };
    let results = claims.iter().filter(|it| it.kind == Type::Result);
    let mut of_it = results.filter(|it| it.badge == claim.badge && which(it));
    claim.badge.is_some() && of_it.any(ends)
}

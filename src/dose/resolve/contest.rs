//! Two claims that both say what one shift was: where they agree one stands
//! for both, else it is open until somebody resolves it.
//!
//! While it is open the account keeps, for the shifts in conflict alone, what
//! stood before: what the RSO chose of it, else the claim that was told first. Nothing
//! wins by its kind, its scope or its relation.

use std::collections::{BTreeMap, BTreeSet};

use crate::calendar::Span;
use crate::dose::resolve::build::{ClaimDesk, Seat};
use crate::dose::resolve::claim::{Claim, Type};
use crate::dose::resolve::conflict::{Conflict, Dispute, Side};
use crate::dose::total::Amount;
use crate::quantity::{Dose, Overflow};

/// Somebody who speaks: a claim by its place, or a shift by its place with
/// what was determined of it alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Voice {
    Claim(usize),
    Shift(usize),
}

impl ClaimDesk<'_, '_> {
    pub(super) fn contest(
        &self,
        claims: &mut [Claim],
        seats: &mut [Seat<'_>],
        conflicts: &mut Vec<Conflict>,
    ) -> Result<(), Overflow> {
        self.absorb(claims, seats)?;
        let pairs = pairs(claims, seats);
        settle_without_shifts(claims, &pairs);
        let highest = self.highest_of_badges(claims, seats);
        for (at, seat) in seats.iter_mut().enumerate() {
            let first = seat
                .claims
                .iter()
                .filter_map(|nth| Some((claims.get(*nth)?.rank(), *nth)))
                .min();
            let own = seat.said.by.iter().map(|it| self.decisions.rank(it)).min();
            let own = own.filter(|_| !seat.absorbed);
            let first = first
                .filter(|(rank, _)| own.is_none_or(|own| *rank < own))
                .map(|(_, nth)| nth);
            let of_a_badge = first.and_then(|it| claims.get(it)?.badge).is_some();
            let highest = highest.get(&at).copied().filter(|_| of_a_badge);
            seat.winner = highest.or(first);
        }
        self.say(claims, seats, &pairs, conflicts);
        Ok(())
    }

    /// Where two agree the one that says less falls silent.
    fn absorb(&self, claims: &mut [Claim], seats: &mut [Seat<'_>]) -> Result<(), Overflow> {
        for nth in 0..claims.len() {
            let Some(claim) = claims.get(nth).filter(|it| !it.idle) else {
                continue;
            };
            if self.adds_up(claim, seats)? {
                for at in claim.cover.clone() {
                    if let Some(seat) = seats.get_mut(at) {
                        seat.absorbed = true;
                    }
                }
            }
        }
        let mut silent = BTreeSet::new();
        for (a, b) in sharing(claims, seats) {
            let (Some(one), Some(other)) = (claims.get(a), claims.get(b)) else {
                continue;
            };
            if silent.contains(&a) || silent.contains(&b) {
                continue;
            }
            if let Some(first_is_less) = self.agree(one, other, seats)? {
                silent.insert(if first_is_less { a } else { b });
            }
        }
        for nth in silent {
            if let Some(claim) = claims.get_mut(nth) {
                claim.idle = true;
                claim.absorbed = true;
            }
            for seat in seats.iter_mut() {
                seat.claims.retain(|it| *it != nth);
            }
        }
        Ok(())
    }

    /// Whether a claim is what its shifts say of themselves, where something
    /// was determined of one of them and nothing is doubtful. A range is never the same
    /// as a sum: nothing says where in it the dose lies.
    fn adds_up(&self, claim: &Claim, seats: &[Seat<'_>]) -> Result<bool, Overflow> {
        let determined = |at: &usize| seats.get(*at).is_some_and(|it| !it.said.by.is_empty());
        if !claim.cover.iter().any(determined) || claim.is_wide() {
            return Ok(false);
        }
        Ok(sum_of(&claim.cover, seats)? == Some(claim.dose))
    }

    /// Whether two claims agree, and if so whether the first says less.
    fn agree(
        &self,
        one: &Claim,
        other: &Claim,
        seats: &[Seat<'_>],
    ) -> Result<Option<bool>, Overflow> {
        if one.cover == other.cover {
            let days = !one.cover.is_empty() || one.days == other.days || one.badge.is_some();
            let figure = |it: &Claim| (it.dose, it.at_most, it.open, it.below);
            let same = figure(one) == figure(other);
            // The weaker falls silent, in whatever order they were told.
            let first_is_less = (one.strength(), std::cmp::Reverse(one.order))
                < (other.strength(), std::cmp::Reverse(other.order));
            return Ok((days && same).then_some(first_is_less));
        }
        let within = |less: &Claim, more: &Claim| {
            !less.cover.is_empty() && less.cover.iter().all(|at| more.covers(*at))
        };
        let (less, more, first_is_less) = match (within(one, other), within(other, one)) {
            (true, _) => (one, other, true),
            (_, true) => (other, one, false),
            _ => return Ok(None),
        };
        let rest: Vec<usize> = more
            .cover
            .iter()
            .filter(|at| !less.covers(**at))
            .copied()
            .collect();
        let agree = match sum_of(&rest, seats)? {
            Some(sum) => {
                let plain = |it: &Claim| !it.below && !it.is_wide();
                sum.checked_add(less.dose)? == more.dose && plain(more) && plain(less)
            }
            None => false,
        };
        Ok(agree.then_some(first_is_less))
    }

    /// One conflict for all that contradict each other directly or by way of
    /// others.
    fn say(
        &self,
        claims: &[Claim],
        seats: &[Seat<'_>],
        pairs: &[(Voice, Voice)],
        conflicts: &mut Vec<Conflict>,
    ) {
        for voices in together(pairs) {
            let badge = voices.iter().find_map(|it| match it {
                Voice::Claim(nth) => claims.get(*nth)?.badge,
                Voice::Shift(_) => None,
            });
            let stands_in = voices.iter().all(|it| match it {
                Voice::Claim(nth) => claims.get(*nth).is_none_or(|it| it.stands_in),
                Voice::Shift(at) => seats.get(*at).is_none_or(|it| it.said.stands_in),
            });
            // What merely stands in contradicts nothing that the deep dose
            // does not say already.
            if stands_in {
                continue;
            }
            let mut sides = Vec::new();
            let mut days: Option<Span> = None;
            for voice in &voices {
                let (of, mut theirs) = self.sides(*voice, claims, seats);
                for side in &mut theirs {
                    side.of_all = says_more(*voice, &voices, claims);
                }
                sides.extend(theirs);
                days = match (days, of) {
                    (Some(a), Some(b)) => Some(Span {
                        first: a.first.min(b.first),
                        last: a.last.max(b.last),
                    }),
                    (a, b) => a.or(b),
                };
            }
            let results = sides.iter().filter(|it| it.is_result).count();
            let dispute = match (results, sides.len() - results) {
                (_, 0) => Dispute::Results,
                (0, _) => Dispute::Determinations,
                _ => Dispute::ResultAndDetermination,
            };
            if let Some(days) = days {
                conflicts.push(self.conflict(dispute, badge, days, &sides));
            }
        }
        for claim in claims.iter().filter(|it| it.nothing_left && !it.stands_in) {
            let side = [side_of(claim)];
            let dispute = Dispute::ReadingsAboveResult;
            conflicts.push(self.conflict(dispute, claim.badge, claim.days, &side));
        }
        for (at, seat) in seats.iter().enumerate() {
            let already = pairs
                .iter()
                .any(|(a, b)| [*a, *b].contains(&Voice::Shift(at)));
            if seat.said.contradict && !seat.said.stands_in && !already {
                let (days, sides) = self.sides(Voice::Shift(at), claims, seats);
                if let Some(days) = days {
                    conflicts.push(self.conflict(Dispute::Determinations, None, days, &sides));
                }
            }
        }
    }

    fn conflict(
        &self,
        dispute: Dispute,
        badge: Option<usize>,
        days: Span,
        sides: &[Side],
    ) -> Conflict {
        let wear = badge.and_then(|at| self.history.facts.dosimetry.wear.get(at));
        let wear = wear.map(|it| (it.record, &*it.badge));
        Conflict::new(dispute, wear, days, self.quantity, sides)
    }

    fn sides(
        &self,
        voice: Voice,
        claims: &[Claim],
        seats: &[Seat<'_>],
    ) -> (Option<Span>, Vec<Side>) {
        match voice {
            Voice::Claim(nth) => match claims.get(nth) {
                Some(claim) => (Some(claim.days), vec![side_of(claim)]),
                None => (None, Vec::new()),
            },
            Voice::Shift(at) => {
                let day = self.live.get(at).map(|it| Span {
                    first: it.day,
                    last: it.day,
                });
                let by = seats.get(at).map(|it| it.said.by.as_slice());
                let sides = by.unwrap_or_default().iter().map(|it| Side {
                    entry: it.entry,
                    order: (it.record, it.entry),
                    dose: it.dose,
                    is_result: false,
                    of_all: false,
                });
                (day, sides.collect())
            }
        }
    }
}

/// Whether a claim speaks for a shift for which no other of some voices speaks.
fn says_more(voice: Voice, voices: &[Voice], claims: &[Claim]) -> bool {
    let Voice::Claim(nth) = voice else {
        return false;
    };
    let others = || voices.iter().filter(|it| **it != voice);
    let spoken_for = |at: &usize| {
        others().any(|it| match it {
            Voice::Claim(nth) => claims.get(*nth).is_some_and(|it| it.covers(*at)),
            Voice::Shift(shift) => shift == at,
        })
    };
    let cover = claims.get(nth).map(|it| it.cover.as_slice());
    !cover.unwrap_or_default().iter().all(spoken_for)
}

fn side_of(claim: &Claim) -> Side {
    Side {
        entry: claim.entry,
        order: claim.order,
        dose: claim.dose,
        is_result: claim.kind == Type::Result,
        of_all: false,
    }
}

/// What some shifts say of themselves together; `None` where one has no upper
/// bound or waits for somebody.
fn sum_of(cover: &[usize], seats: &[Seat<'_>]) -> Result<Option<Dose>, Overflow> {
    let mut sum = Dose::ZERO;
    for seat in cover.iter().filter_map(|at| seats.get(*at)) {
        match seat.said.figure.account {
            Amount::Known(dose) if !seat.waits && !seat.said.contradict && seat.said.is_exact() => {
                sum = sum.checked_add(dose)?;
            }
            Amount::NotAssessed => {}
            _ => return Ok(None),
        }
    }
    Ok(Some(sum))
}

/// Claims that speak for one shift, for one badge, or for one day without any
/// shift. Those of badges that were worn together say two things of one dose: the higher
/// counts, and neither contradicts the other.
fn sharing(claims: &[Claim], seats: &[Seat<'_>]) -> BTreeSet<(usize, usize)> {
    let mut found = BTreeSet::new();
    let of_two = |a: usize, b: usize| {
        let badges = claims.get(a).zip(claims.get(b));
        badges.is_some_and(|(a, b)| a.is_worn_with(b))
    };
    for seat in seats {
        for (nth, a) in seat.claims.iter().enumerate() {
            for b in seat.claims.iter().skip(nth + 1) {
                if !of_two(*a, *b) {
                    found.insert((*a, *b));
                }
            }
        }
    }
    let awake: Vec<usize> = (0..claims.len())
        .filter(|nth| claims.get(*nth).is_some_and(|it| !it.idle))
        .collect();
    let bare = |nth: &usize| claims.get(*nth).is_some_and(|it| it.cover.is_empty());
    for a in awake.iter().filter(|it| bare(it)) {
        for b in awake.iter().filter(|b| a != *b) {
            let both = claims.get(*a).zip(claims.get(*b));
            if both.is_some_and(|(a, b)| a.shares_with(b)) {
                found.insert((*a.min(b), *a.max(b)));
            }
        }
    }
    found
}

/// Who contradicts whom.
fn pairs(claims: &[Claim], seats: &[Seat<'_>]) -> Vec<(Voice, Voice)> {
    let mut found: Vec<(Voice, Voice)> = sharing(claims, seats)
        .into_iter()
        .map(|(a, b)| (Voice::Claim(a), Voice::Claim(b)))
        .collect();
    for (at, seat) in seats.iter().enumerate() {
        if !seat.said.by.is_empty() && !seat.absorbed {
            found.extend(
                seat.claims
                    .iter()
                    .map(|it| (Voice::Claim(*it), Voice::Shift(at))),
            );
        }
    }
    found
}

/// Of two that contradict each other about a badge or days without a shift in
/// common, the account keeps the one that was chosen, or told first. One with shifts goes
/// on speaking for them: no other says what they were.
fn settle_without_shifts(claims: &mut [Claim], pairs: &[(Voice, Voice)]) {
    let mut lost = BTreeSet::new();
    for pair in pairs {
        let (Voice::Claim(a), Voice::Claim(b)) = *pair else {
            continue;
        };
        let (Some(one), Some(other)) = (claims.get(a), claims.get(b)) else {
            continue;
        };
        let (loser, nth) = match one.rank() < other.rank() {
            true => (other, b),
            false => (one, a),
        };
        if loser.cover.is_empty() {
            lost.insert(nth);
        }
    }
    for nth in lost {
        if let Some(claim) = claims.get_mut(nth) {
            claim.idle = true;
        }
    }
}

/// The sets of voices that contradict each other, directly or by way of others.
fn together(pairs: &[(Voice, Voice)]) -> Vec<Vec<Voice>> {
    let mut of: BTreeMap<Voice, usize> = BTreeMap::new();
    let mut sets: Vec<Vec<Voice>> = Vec::new();
    for (a, b) in pairs {
        for voice in [a, b] {
            of.entry(*voice).or_insert_with(|| {
                sets.push(vec![*voice]);
                sets.len() - 1
            });
        }
        let (Some(one), Some(other)) = (of.get(a).copied(), of.get(b).copied()) else {
            continue;
        };
        if one == other {
            continue;
        }
        let moved = sets.get_mut(other).map(std::mem::take).unwrap_or_default();
        for voice in &moved {
            of.insert(*voice, one);
        }
        if let Some(set) = sets.get_mut(one) {
            set.extend(moved);
        }
    }
    sets.retain(|it| !it.is_empty());
    for set in &mut sets {
        set.sort_unstable();
    }
    sets
}

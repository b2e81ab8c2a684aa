//! The plain model's account: who speaks for which shift.

use std::collections::{BTreeMap, BTreeSet};

use super::decided::together;
use super::model::{Claim, Plain, Type, World};

/// Which shifts, and which claims.
pub(super) type Which<'f> = (&'f dyn Fn(usize) -> bool, &'f dyn Fn(&Claim) -> bool);

/// Who is silent because another says the same, who lost without a shift in
/// common, and who speaks for each shift.
pub(super) struct Heard {
    pub(super) silent: BTreeSet<usize>,
    pub(super) agreed: BTreeSet<usize>,
    pub(super) winner: BTreeMap<usize, usize>,
    /// Shifts whose own determinations a claim repeats.
    pub(super) repeated: BTreeSet<usize>,
}

impl World<'_> {
    pub(super) fn speaks(&self, nth: usize, at: usize) -> bool {
        let claim = &self.claims[nth];
        claim.cover.contains(&at)
            && claim.kind != Type::Waiting
            && !claim.suspended
            && !self.ended(claim, at, false)
    }

    fn rank(&self, claim: &Claim) -> (bool, i64, i64) {
        let (told, entry) = claim.order;
        let (unchosen, ..) = self.decided.rank(entry, told);
        (claim.kind == Type::Waiting || unchosen, told, entry)
    }

    pub(super) fn awake(&self, nth: usize) -> bool {
        let claim = &self.claims[nth];
        match claim.cover.is_empty() {
            true => {
                claim.kind != Type::Waiting && !claim.suspended && !self.ended_bare(claim, false)
            }
            false => claim.cover.iter().any(|at| self.speaks(nth, *at)),
        }
    }

    /// What shifts say of themselves together, if nothing of it is doubtful.
    pub(super) fn sum(&self, cover: &[usize]) -> Option<i64> {
        let mut sum = 0;
        for at in cover {
            let own = self.own(*at, false);
            if own.open || own.wide || self.raw.shifts[*at].held.is_some() || own.contradict {
                return None;
            }
            sum += own.dose;
        }
        Some(sum)
    }

    /// Whether two claims agree; if so which of the two says less.
    pub(super) fn agree(&self, a: usize, b: usize) -> Option<usize> {
        let (one, other) = (&self.claims[a], &self.claims[b]);
        if one.cover == other.cover {
            let bare = one.cover.is_empty();
            let days =
                !bare || (one.first, one.last) == (other.first, other.last) || one.badge.is_some();
            let says = |it: &Claim| (it.dose, it.at_most, it.above, it.below);
            let same = says(one) == says(other);
            let rank = |it: &Claim| {
                let kind = [Type::Waiting, Type::Until, Type::Replaces, Type::Result]
                    .iter()
                    .position(|kind| *kind == it.kind);
                (
                    it.accepted,
                    kind,
                    !it.stands_in,
                    std::cmp::Reverse(it.order),
                )
            };
            let less = if rank(one) < rank(other) { a } else { b };
            return (days && same).then_some(less);
        }
        let inside = |less: &Claim, more: &Claim| {
            !less.cover.is_empty() && less.cover.iter().all(|at| more.cover.contains(at))
        };
        let (less, more) = match (inside(one, other), inside(other, one)) {
            (true, _) => (a, b),
            (_, true) => (b, a),
            _ => return None,
        };
        let (small, large) = (&self.claims[less], &self.claims[more]);
        let wide = |it: &Claim| it.below || it.above || it.at_most != it.dose;
        let rest = large.cover.iter().filter(|at| !small.cover.contains(at));
        let rest: Vec<usize> = rest.copied().collect();
        let fits = self.sum(&rest)? + small.dose == large.dose && !wide(small) && !wide(large);
        fits.then_some(less)
    }

    pub(super) fn share_something(&self, a: usize, b: usize) -> bool {
        let (one, other) = (&self.claims[a], &self.claims[b]);
        let shift = one
            .cover
            .iter()
            .any(|at| self.speaks(a, *at) && self.speaks(b, *at));
        let bare = one.cover.is_empty() || other.cover.is_empty();
        let both_bare = one.cover.is_empty() && other.cover.is_empty();
        let badge = one.badge.is_some() && one.badge == other.badge;
        let days = one.first <= other.last && other.first <= one.last;
        let two_badges = one.badge.is_some() && other.badge.is_some();
        let apart = World::beside(one, other);
        // Two badges measure; of what both measured the higher counts.
        if two_badges && !badge {
            return false;
        }
        shift || !apart && (bare && badge || both_bare && !two_badges && days)
    }

    pub(super) fn hear(&self) -> Heard {
        let mut heard = Heard {
            silent: BTreeSet::new(),
            agreed: BTreeSet::new(),
            winner: BTreeMap::new(),
            repeated: BTreeSet::new(),
        };
        let awake: Vec<usize> = (0..self.claims.len())
            .filter(|it| self.awake(*it))
            .collect();
        for nth in &awake {
            let claim = &self.claims[*nth];
            let by_rso = |at: &usize| !self.own(*at, false).by.is_empty();
            let range = claim.above || claim.at_most != claim.dose && !claim.below;
            if claim.cover.iter().any(by_rso)
                && !range
                && self.sum(&claim.cover) == Some(claim.dose)
            {
                heard.repeated.extend(&claim.cover);
            }
        }
        let mut pairs = Vec::new();
        for (nth, a) in awake.iter().enumerate() {
            for b in awake.iter().skip(nth + 1) {
                if self.share_something(*a, *b) {
                    pairs.push((*a, *b));
                }
            }
        }
        for (a, b) in &pairs {
            if !heard.agreed.contains(a) && !heard.agreed.contains(b) {
                heard.agreed.extend(self.agree(*a, *b));
            }
        }
        heard.silent.clone_from(&heard.agreed);
        for (a, b) in &pairs {
            if heard.agreed.contains(a) || heard.agreed.contains(b) {
                continue;
            }
            let (one, other) = (&self.claims[*a], &self.claims[*b]);
            let (loser, nth) = match self.rank(one) < self.rank(other) {
                true => (other, b),
                false => (one, a),
            };
            if loser.cover.is_empty() {
                heard.silent.insert(*nth);
            }
        }
        for at in 0..self.raw.shifts.len() {
            let own = self.own(at, false);
            let told = own
                .by
                .iter()
                .map(|it| self.decided.rank(it.entry, it.told))
                .min();
            let told = told.filter(|_| !heard.repeated.contains(&at));
            let speaking = awake.iter().filter(|it| !heard.silent.contains(it));
            let first = speaking
                .filter(|it| self.speaks(**it, at))
                .min_by_key(|it| self.rank(&self.claims[**it]));
            if let Some(first) = first
                && told.is_none_or(|told| self.rank(&self.claims[*first]) < told)
            {
                heard.winner.insert(at, *first);
            }
        }
        self.highest(&awake, &mut heard);
        heard
    }

    /// The claims of several badges that speak for a shift: of each what was told
    /// first.
    fn contenders(&self, awake: &[usize], heard: &Heard, at: usize) -> BTreeSet<usize> {
        let badge = |nth: usize| self.claims[nth].badge;
        let speaking = awake.iter().filter(|it| !heard.silent.contains(it));
        let speaking: Vec<usize> = speaking
            .filter(|it| self.speaks(**it, at) && badge(**it).is_some())
            .copied()
            .collect();
        let told_first = |nth: &&usize| {
            let same = speaking.iter().filter(|it| badge(**it) == badge(**nth));
            same.min_by_key(|it| self.rank(&self.claims[**it])) == Some(*nth)
        };
        speaking.iter().filter(told_first).copied().collect()
    }

    /// Of badges that were worn together the higher speaks for the shifts that
    /// just they share.
    fn highest(&self, awake: &[usize], heard: &mut Heard) {
        let shifts = 0..self.raw.shifts.len();
        let of: Vec<BTreeSet<usize>> = shifts.map(|at| self.contenders(awake, heard, at)).collect();
        // A claim for the rest of a badge, and those beside it, are one word about that badge.
        let side = |nth: &usize| {
            let it = &self.claims[*nth];
            let rest = |of: &Claim| of.badge == it.badge && of.beside.contains(&it.entry);
            self.claims.iter().position(rest).unwrap_or(*nth)
        };
        let sides = |all: &BTreeSet<usize>| all.iter().map(side).collect::<BTreeSet<usize>>();
        for (at, all) in of.iter().enumerate().filter(|(_, it)| it.len() > 1) {
            let has = |nth: &&usize| {
                let cell = of
                    .iter()
                    .enumerate()
                    .filter(|(_, it)| sides(it) == sides(all));
                let mine = cell.flat_map(|(at, it)| it.iter().map(move |of| (at, of)));
                let mine: Vec<_> = mine.filter(|(_, of)| side(of) == side(nth)).collect();
                let sum: i64 = mine
                    .iter()
                    .map(|(at, of)| self.claims[**of].shares[at])
                    .sum();
                let first = mine.iter().map(|(_, of)| {
                    let claim = &self.claims[**of];
                    (claim.dose, claim.above, std::cmp::Reverse(claim.order))
                });
                (sum, first.max())
            };
            if let Some(winner) = heard.winner.get_mut(&at)
                && self.claims[*winner].badge.is_some()
            {
                *winner = *all.iter().max_by_key(has).unwrap();
            }
        }
    }

    /// The parts of a claim without any shift, stretch by stretch, for which no
    /// other badge worn with it has more; none where that is the whole of it.
    fn stretches(&self, heard: &Heard, nth: usize) -> Option<Vec<(i64, i64, i64)>> {
        let claim = &self.claims[nth];
        let bare = |it: &usize| {
            let it = (*it, &self.claims[*it]);
            it.1.cover.is_empty() && self.awake(it.0) && !heard.silent.contains(&it.0)
        };
        let with = |it: &usize| match (self.claims[*it].badge, claim.badge) {
            (Some(a), Some(b)) => together(self.raw, a, b),
            _ => false,
        };
        let all = 0..self.claims.len();
        let others: Vec<usize> = all.filter(|it| bare(it) && with(it)).collect();
        let on = |day: i64| -> Vec<usize> {
            let meets =
                |it: &&usize| self.claims[**it].first <= day && day <= self.claims[**it].last;
            others.iter().filter(meets).copied().collect()
        };
        let mut found: Vec<(Vec<usize>, i64, i64)> = Vec::new();
        for day in claim.first..=claim.last {
            match found.last_mut() {
                Some((who, _, last)) if *who == on(day) => *last = day,
                _ => found.push((on(day), day, day)),
            }
        }
        let mut lost = false;
        let mut won = Vec::new();
        for (who, first, last) in found {
            let rank = |it: &Claim| {
                let days = it.last - it.first + 1;
                let upto = |day: i64| it.dose * (day - it.first + 1) / days;
                let has = upto(last) - upto(first - 1);
                (has, it.dose, it.above, std::cmp::Reverse(it.order))
            };
            match who.iter().all(|it| rank(&self.claims[*it]) < rank(claim)) {
                true => won.push((first, last, rank(claim).0)),
                false => lost = true,
            }
        }
        lost.then_some(won)
    }

    pub(super) fn account(&self, heard: &Heard, from: i64, to: i64, found: &mut Plain) {
        self.account_of(heard, (from, to), (&|_| true, &|_| true), found);
    }

    /// The account of some shifts and some claims.
    pub(super) fn account_of(
        &self,
        heard: &Heard,
        (from, to): (i64, i64),
        (shifts, claims): Which<'_>,
        found: &mut Plain,
    ) {
        let inside = |day: i64| (from..=to).contains(&day);
        for at in 0..self.raw.shifts.len() {
            let outside = !shifts(at) || !inside(self.raw.shifts[at].day);
            if heard.winner.contains_key(&at) || outside {
                continue;
            }
            let own = self.own(at, false);
            if own.record {
                found.record += own.dose;
            } else {
                found.provisional += own.dose;
            }
            found.undetermined |= own.open;
            found.held += i64::from(own.held);
        }
        for (nth, claim) in self.claims.iter().enumerate() {
            if heard.silent.contains(&nth) || !self.awake(nth) || !claims(claim) {
                continue;
            }
            let bare = claim.cover.is_empty();
            if let Some(parts) = self.stretches(heard, nth).filter(|_| bare) {
                for (first, last, dose) in parts {
                    let days = last - first + 1;
                    for n in (0..days).filter(|n| inside(first + n)) {
                        found.apportioned += dose * (n + 1) / days - dose * n / days;
                    }
                    found.undetermined |= claim.above && first <= to && from <= last;
                }
                continue;
            }
            let won: Vec<usize> = claim
                .cover
                .iter()
                .filter(|at| heard.winner.get(at) == Some(&nth))
                .copied()
                .collect();
            let whole = won.len() == claim.cover.len();
            let met = claim.first <= to && from <= claim.last;
            found.undetermined |= claim.above && met && (whole || !won.is_empty());
            if whole && from <= claim.first && claim.last <= to {
                if claim.record {
                    found.record += claim.dose;
                } else {
                    found.provisional += claim.dose;
                }
            } else if whole && claim.by_days {
                let days = claim.last - claim.first + 1;
                for n in (0..days).filter(|n| inside(claim.first + n)) {
                    found.apportioned += claim.dose * (n + 1) / days - claim.dose * n / days;
                }
            } else {
                let mine = won.iter().filter(|at| inside(self.raw.shifts[**at].day));
                found.apportioned += mine.map(|at| claim.shares[at]).sum::<i64>();
            }
        }
    }
}

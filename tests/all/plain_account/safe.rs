//! The plain model's conservative total: what could turn out right together, by trying.

use std::collections::BTreeSet;

use super::decided::{decided, together};
use super::draw::{About, Raw, RawFixed};
use super::heard::Heard;
use super::model::{Claim, Plain, Type, World};

/// One that may turn out right on the conservative side.
pub(super) struct Voice<'w> {
    claim: Option<&'w Claim>,
    cover: Vec<usize>,
    entries: Vec<i64>,
    first: i64,
    last: i64,
    value: i64,
    waits: bool,
    /// It takes the place of readings.
    replaces: bool,
    /// It ends with any result, and with one that states the quantity.
    until: bool,
    until_stated: bool,
    chosen: bool,
    /// Whether it may be right as things stand, and with the badge on hold ruled out.
    as_it_stands: bool,
    ruled_out: bool,
}

impl World<'_> {
    /// The claims that are others with the badge on hold ruled out, and those of which they
    /// are: what is silent because another says the same may speak then.
    fn otherwise(&self, heard: &Heard) -> (Vec<Claim>, Vec<bool>) {
        let Some(place) = self.raw.badges.iter().position(|it| it.held) else {
            return (Vec::new(), vec![false; self.claims.len()]);
        };
        let raw = without(self.raw, place);
        let then = World::with(&raw, self.lens, decided(self.raw)).claims;
        let there = |it: &Claim| then.iter().find(|of| of.entry == it.entry);
        let says = |it: &Claim| {
            (
                it.kind,
                it.cover.clone(),
                it.measured.clone(),
                it.first,
                it.last,
            )
        };
        let is_moved = |it: &Claim| there(it).is_none_or(|of| says(of) != says(it));
        let moved: Vec<bool> = self.claims.iter().map(is_moved).collect();
        let near = |it: &Claim| {
            let mut all = self.claims.iter().filter(|of| is_moved(of));
            all.any(|of| of.cover.iter().any(|at| it.cover.contains(at)) || Self::of_one(of, it))
        };
        let all = self.claims.iter().enumerate();
        let other = all.filter(|(nth, it)| moved[*nth] || heard.agreed.contains(nth) && near(it));
        let other = other.filter_map(|(_, it)| there(it)).cloned().collect();
        (other, moved)
    }

    /// Whether two say the dose of one badge, or of days without any shift.
    fn of_one(a: &Claim, b: &Claim) -> bool {
        let badge = a.badge.is_some() && a.badge == b.badge;
        let two_badges = a.badge.is_some() && b.badge.is_some();
        let bare = a.cover.is_empty() && b.cover.is_empty();
        let days = a.first <= b.last && b.first <= a.last;
        !Self::beside(a, b) && (badge || bare && !two_badges && days)
    }

    pub(super) fn voices<'w>(
        &'w self,
        heard: &Heard,
        (other, moved): (&'w [Claim], &[bool]),
    ) -> Vec<Voice<'w>> {
        let mut voices = Vec::new();
        let all = self.claims.iter().enumerate();
        let speak = all.filter(|(nth, _)| !heard.agreed.contains(nth));
        let speak = speak.map(|(nth, it)| (it, true, !moved[nth]));
        for (claim, as_it_stands, ruled_out) in
            speak.chain(other.iter().map(|it| (it, false, true)))
        {
            let cover: Vec<usize> = claim
                .cover
                .iter()
                .filter(|at| !self.ended(claim, **at, true))
                .copied()
                .collect();
            let ended = match claim.cover.is_empty() {
                true => self.ended_bare(claim, true),
                false => cover.is_empty(),
            };
            if !ended {
                voices.push(Voice {
                    claim: Some(claim),
                    cover,
                    entries: vec![claim.entry],
                    first: claim.first,
                    last: claim.last,
                    value: 0,
                    waits: matches!(claim.kind, Type::Result | Type::Waiting) && !claim.accepted,
                    replaces: claim.kind == Type::Replaces,
                    until: claim.kind == Type::Until,
                    until_stated: claim.kind == Type::Until
                        || claim.stands_in && claim.kind == Type::Replaces,
                    as_it_stands,
                    ruled_out,
                    chosen: claim.kind != Type::Waiting
                        && self.decided.chosen.contains(&claim.entry),
                });
            }
        }
        self.own_voices(heard, moved, &mut voices);
        voices
    }

    /// Shifts with what was determined of them alone, where a claim speaks of them too.
    fn own_voices(&self, heard: &Heard, moved: &[bool], voices: &mut Vec<Voice<'_>>) {
        for at in 0..self.raw.shifts.len() {
            let own = self.own(at, true);
            let claimed = voices.iter().any(|it| it.cover.contains(&at));
            let repeated = heard.repeated.contains(&at);
            // What a claim repeats it may not repeat with the badge on hold ruled out.
            let covering = self
                .claims
                .iter()
                .zip(moved)
                .filter(|(it, _)| it.cover.contains(&at));
            let another = covering.into_iter().any(|(_, moved)| *moved);
            if claimed && !own.by.is_empty() && (!repeated || another) {
                let day = self.raw.shifts[at].day;
                // A night shift counts on the day after it as well, where a claim beside it does.
                let past = |it: &Voice<'_>| it.cover.contains(&at) && it.last > day;
                let over = self.raw.shifts[at].over && voices.iter().any(past);
                voices.push(Voice {
                    claim: None,
                    cover: vec![at],
                    entries: own.by.iter().map(|it| it.entry).collect(),
                    first: day,
                    last: day + i64::from(over),
                    value: own.safe,
                    waits: false,
                    replaces: own.views.iter().all(|it| it.0),
                    until: own.views.iter().all(|it| !it.0),
                    until_stated: own.views.iter().all(|it| !it.0 || it.1),
                    as_it_stands: !repeated,
                    ruled_out: !repeated || another,
                    chosen: (own.by.iter()).any(|it| self.decided.chosen.contains(&it.entry)),
                });
            }
        }
    }

    /// What one of those that turn out right is worth: it, or what its shifts
    /// show where nothing right takes the place of their readings.
    pub(super) fn value(&self, voice: &Voice<'_>, right: &[&Voice<'_>]) -> i64 {
        let Some(claim) = voice.claim else {
            return voice.value;
        };
        let held = voice
            .cover
            .iter()
            .any(|at| self.raw.shifts[*at].held.is_some());
        if claim.kind == Type::Result && claim.accepted && !claim.below && !held {
            return claim.at_most;
        }
        let shown = |at: &usize| {
            let states = |it: &&&Voice<'_>| {
                let report = it.claim.is_some_and(|it| it.report && !it.stands_in);
                report && it.cover.contains(at)
            };
            let stated = right.iter().any(|it| states(&it));
            let replaced = right
                .iter()
                .any(|it| it.replaces && !(it.until_stated && stated) && it.cover.contains(at));
            match replaced {
                true => self.raw.shifts[*at].held.unwrap_or(0),
                false => self.read(*at),
            }
        };
        claim.at_most.max(voice.cover.iter().map(shown).sum())
    }

    /// Whether at most one of two can be right.
    pub(super) fn exclude(&self, one: &Voice<'_>, other: &Voice<'_>) -> bool {
        if !(one.as_it_stands && other.as_it_stands || one.ruled_out && other.ruled_out) {
            return true;
        }
        if let (Some(a), Some(b)) = (one.claim, other.claim)
            && Self::beside(a, b)
        {
            return false;
        }
        let badge = |it: &Voice<'_>| it.claim.and_then(|it| it.badge);
        let two = badge(one).zip(badge(other)).filter(|(a, b)| a != b);
        let together = two.is_some_and(|(a, b)| together(self.raw, a, b));
        let reach = |it: &Voice<'_>| it.claim.map(|it| it.measured.clone()).unwrap_or_default();
        if together && !reach(one).is_empty() && reach(one) == reach(other) {
            return true;
        }
        let told = one.claim.zip(other.claim);
        let same = one.cover == other.cover || told.is_some_and(|(a, b)| a.cover == b.cover);
        if same && !one.cover.is_empty() && !other.cover.is_empty() {
            return two.is_none() || together;
        }
        let ends = |by: &Voice<'_>, it: &Voice<'_>| {
            by.claim.is_some_and(|by| {
                by.kind == Type::Result && (it.until || it.until_stated && !by.stands_in)
            }) && by
                .claim
                .is_some_and(|by| it.cover.iter().all(|at| by.measured.contains(at)))
                && !it
                    .entries
                    .iter()
                    .any(|it| by.claim.is_some_and(|by| by.beside.contains(it)))
                && (!it.cover.is_empty() || self.linked(by, it) && two.is_none())
        };
        if ends(one, other) || ends(other, one) {
            return true;
        }
        let (Some(a), Some(b)) = (one.claim, other.claim) else {
            return false;
        };
        let both_bare = one.cover.is_empty() && other.cover.is_empty();
        let report = |it: &Claim| it.report;
        let one_badge = a.badge.is_some() && a.badge == b.badge;
        let two_badges = a.badge.is_some() && b.badge.is_some();
        let days = (!two_badges || together) && (a.first, a.last) == (b.first, b.last);
        one_badge && report(a) && report(b)
            || both_bare && !Self::beside(a, b) && (one_badge || days)
    }

    /// Whether the one speaks for what the other leaves.
    pub(super) fn beside(a: &Claim, b: &Claim) -> bool {
        a.beside.contains(&b.entry) || b.beside.contains(&a.entry)
    }

    pub(super) fn linked(&self, one: &Voice<'_>, other: &Voice<'_>) -> bool {
        let shift = one.cover.iter().any(|at| other.cover.contains(at));
        let (a, b) = (one.claim, other.claim);
        let badge = |it: Option<&Claim>| it.and_then(|it| it.badge);
        let days = one.first <= other.last && other.first <= one.last;
        let bare = one.cover.is_empty() && other.cover.is_empty();
        let two_badges = badge(a).is_some() && badge(b).is_some();
        let apart = a.zip(b).is_some_and(|(a, b)| Self::beside(a, b));
        let one_badge = badge(a).is_some() && badge(a) == badge(b);
        let both = badge(a).zip(badge(b));
        let together = both.is_some_and(|(a, b)| together(self.raw, a, b));
        shift || one_badge || bare && (days && !two_badges && !apart || together)
    }

    pub(super) fn safe(&self, heard: &Heard, from: i64, to: i64, found: &mut Plain) {
        let (other, moved) = self.otherwise(heard);
        let voices = self.voices(heard, (&other, &moved));
        let mut left: BTreeSet<usize> = (0..voices.len()).collect();
        let mut grouped: BTreeSet<usize> = BTreeSet::new();
        while let Some(first) = left.pop_first() {
            let mut set = vec![first];
            let mut next = 0;
            while next < set.len() {
                let now = set[next];
                let more: Vec<usize> = left
                    .iter()
                    .filter(|it| self.linked(&voices[now], &voices[**it]))
                    .copied()
                    .collect();
                more.iter().for_each(|it| {
                    left.remove(it);
                });
                set.extend(more);
                next += 1;
            }
            let set: Vec<&Voice<'_>> = set.iter().map(|it| &voices[*it]).collect();
            let members: BTreeSet<usize> =
                set.iter().flat_map(|it| it.cover.iter().copied()).collect();
            let mut most = self.group(&set, &members, (from, to), found);
            // Never below what the account has of the same.
            let mut counted = Plain::default();
            let is_of = |it: &Claim| {
                let mut claims = set.iter().filter_map(|voice| voice.claim);
                claims.any(|of| of.entry == it.entry)
            };
            let of = (&|at| members.contains(&at), &is_of);
            self.account_of(heard, (from, to), (of.0, of.1), &mut counted);
            most = most.max(counted.record + counted.provisional + counted.apportioned);
            found.safe += most;
            self.carried(&set, &members, from, found);
            grouped.extend(members);
        }
        for (at, shift) in self.raw.shifts.iter().enumerate() {
            let inside = (from..=to).contains(&shift.day);
            let carried = shift.over && shift.day + 1 == from;
            if !grouped.contains(&at) && (inside || carried) {
                let own = self.own(at, true);
                found.safe += own.safe;
                found.safe_open |= own.safe_open;
            }
        }
    }

    pub(super) fn is_open(&self, set: &[&Voice<'_>], at: usize) -> bool {
        let by_rso = set
            .iter()
            .filter(|it| it.as_it_stands)
            .filter_map(|it| it.claim)
            .any(|it| matches!(it.kind, Type::Replaces | Type::Until) && it.cover.contains(&at));
        let own = self.own(at, true);
        let mut claims = set.iter().filter_map(|it| it.claim);
        let above = own.above || claims.any(|it| it.above && it.cover.contains(&at));
        let shown = own.safe_open && !own.above;
        above || shown && !by_rso && !self.covered(at, |it| it.accepted)
    }

    pub(super) fn group(
        &self,
        set: &[&Voice<'_>],
        members: &BTreeSet<usize>,
        (from, to): (i64, i64),
        found: &mut Plain,
    ) -> i64 {
        let meets = |it: &Voice<'_>| it.first <= to && from <= it.last;
        let inside = |at: &usize| (from..=to).contains(&self.raw.shifts[*at].day);
        // A night shift of the eve that a claim would carry into the span.
        let over = |at: &usize| {
            let shift = &self.raw.shifts[*at];
            let past = |it: &&&Voice<'_>| it.cover.contains(at) && it.last > shift.day;
            shift.over && shift.day + 1 == from && set.iter().any(|it| past(&it))
        };
        let waiting = set
            .iter()
            .any(|it| it.waits && meets(it) && it.cover.iter().any(|at| self.is_open(set, *at)));
        let inside_open = members
            .iter()
            .any(|at| inside(at) && self.is_open(set, *at));
        let mut claims = set.iter().filter(|it| meets(it)).filter_map(|it| it.claim);
        let above = claims.any(|it| it.above);
        found.safe_open |= waiting || inside_open || above;
        if set.len() > 12 {
            let most = |it: &&&Voice<'_>| it.claim.map_or(it.value, |it| it.at_most);
            let all = set
                .iter()
                .filter(|it| meets(it) && it.as_it_stands)
                .map(|it| most(&it))
                .sum::<i64>();
            return all + members.iter().map(|at| self.read(*at)).sum::<i64>();
        }
        let mut most = 0;
        self.try_all(set, Vec::new(), &mut |right| {
            // What was chosen to stand is right unless something that is right excludes it.
            let missed = |it: &&&Voice<'_>| {
                let isin = right.iter().any(|other| std::ptr::eq(*other, **it));
                it.chosen && !isin && !right.iter().any(|other| self.exclude(other, it))
            };
            if right.is_empty() || set.iter().any(|it| missed(&it)) {
                return;
            }
            let sum: i64 = right
                .iter()
                .filter(|it| meets(it))
                .map(|it| self.value(it, right))
                .sum();
            let alone = members
                .iter()
                .filter(|at| inside(at) || over(at))
                .filter(|at| !right.iter().any(|it| it.cover.contains(at)));
            let alone: i64 = alone.map(|at| self.read(*at)).sum();
            most = most.max(sum + alone);
        });
        most
    }

    /// Every set of those that could be right together.
    pub(super) fn try_all<'v>(
        &self,
        left: &[&'v Voice<'v>],
        right: Vec<&'v Voice<'v>>,
        each: &mut dyn FnMut(&[&Voice<'_>]),
    ) {
        let Some((first, rest)) = left.split_first() else {
            each(&right);
            return;
        };
        self.try_all(rest, right.clone(), each);
        if !right.iter().any(|it| self.exclude(it, first)) {
            let mut with = right;
            with.push(first);
            self.try_all(rest, with, each);
        }
    }

    /// What a night shift of the eve carries into the span, unless a claim that
    /// covers it does.
    pub(super) fn carried(
        &self,
        set: &[&Voice<'_>],
        members: &BTreeSet<usize>,
        from: i64,
        found: &mut Plain,
    ) {
        for at in members {
            let shift = &self.raw.shifts[*at];
            if !shift.over || shift.day + 1 != from {
                continue;
            }
            let covering = set.iter().filter(|it| it.cover.contains(at));
            if covering.clone().any(|it| it.last > shift.day) {
                continue;
            }
            // By days no shift has a share of its own.
            let claims = self
                .claims
                .iter()
                .filter(|it| it.cover.contains(at) && !it.by_days);
            let share = claims.map(|it| it.high_shares[at]).max().unwrap_or(0);
            found.safe += share.max(self.own(*at, true).safe);
            found.safe_open |= self.is_open(set, *at);
        }
    }
}

/// A history with one badge ruled out, and what was said of it gone.
fn without(raw: &Raw, place: usize) -> Raw {
    let mut raw = raw.clone();
    let far = 1_000_000;
    let badge = &mut raw.badges[place];
    (badge.first, badge.last, badge.planned, badge.held) = (far, Some(far), far, false);
    badge.results.clear();
    let of_it = |it: &RawFixed| matches!(it.about, About::Badge(of, _) if of == place);
    raw.fixed.retain(|it| !of_it(it));
    raw
}

pub(super) fn plain(raw: &Raw, lens: bool, from: i64, to: i64) -> Plain {
    let mut found = Plain::default();
    if from > to {
        return found;
    }
    let world = World::of(raw, lens);
    let heard = world.hear();
    world.account(&heard, from, to, &mut found);
    world.safe(&heard, from, to, &mut found);
    lumps(&mut found, raw, lens, from, to);
    found
}

/// Dose of other employers, and doses that add.
pub(super) fn lumps(found: &mut Plain, raw: &Raw, lens: bool, from: i64, to: i64) {
    for today in from..=to {
        for (first, days, dose) in &raw.prior {
            let n = today - first;
            if (0..*days).contains(&n) {
                let step = dose * (n + 1) / days - dose * n / days;
                if from <= *first && first + days - 1 <= to {
                    found.prior += step;
                } else {
                    found.apportioned += step;
                }
            }
        }
        for (_, dose) in raw.added.iter().filter(|(day, _)| *day == today) {
            if lens {
                found.provisional += dose;
            } else {
                found.record += dose;
            }
            found.safe += dose;
        }
    }
    let reaching = raw
        .prior
        .iter()
        .filter(|(first, days, _)| *first <= to && from < first + days);
    found.safe += reaching.map(|it| it.2).sum::<i64>();
}

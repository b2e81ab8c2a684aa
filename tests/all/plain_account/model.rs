//! The plain model: the rules again in plain numbers, slow, by trying.

use std::collections::{BTreeMap, BTreeSet};

use super::decided::{Decided, decided, was_worn, worn_until};
use super::draw::{About, Raw, RawFixed, RawResult, Value};
use super::own::{Own, own};

/// What the plain model finds in a span.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Plain {
    pub(super) record: i64,
    pub(super) provisional: i64,
    pub(super) prior: i64,
    pub(super) apportioned: i64,
    pub(super) undetermined: bool,
    pub(super) held: i64,
    pub(super) safe: i64,
    pub(super) safe_open: bool,
}

/// What kind of claim it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Type {
    Result,
    Replaces,
    Until,
    Waiting,
}

#[derive(Clone, Debug)]
pub(super) struct Claim {
    pub(super) kind: Type,
    pub(super) entry: i64,
    pub(super) order: (i64, i64),
    pub(super) badge: Option<usize>,
    /// A report of it, not a determination.
    pub(super) report: bool,
    pub(super) first: i64,
    pub(super) last: i64,
    pub(super) cover: Vec<usize>,
    /// Before a decision let others speak for some of them.
    pub(super) measured: Vec<usize>,
    pub(super) dose: i64,
    pub(super) at_most: i64,
    pub(super) above: bool,
    pub(super) below: bool,
    pub(super) accepted: bool,
    pub(super) stands_in: bool,
    pub(super) record: bool,
    pub(super) shares: BTreeMap<usize, i64>,
    /// Of the most that it can be.
    pub(super) high_shares: BTreeMap<usize, i64>,
    /// Those that speak for their own where it speaks for the rest.
    pub(super) beside: BTreeSet<i64>,
    pub(super) by_days: bool,
    pub(super) suspended: bool,
}

/// Everything that is decided of one quantity.
pub(super) struct World<'r> {
    pub(super) raw: &'r Raw,
    pub(super) lens: bool,
    /// The shifts by day, by their places in the raw history.
    pub(super) order: Vec<usize>,
    pub(super) decided: Decided,
    pub(super) claims: Vec<Claim>,
}

impl<'r> World<'r> {
    pub(super) fn of(raw: &'r Raw, lens: bool) -> World<'r> {
        World::with(raw, lens, decided(raw))
    }

    pub(super) fn with(raw: &'r Raw, lens: bool, decided: Decided) -> World<'r> {
        let mut order: Vec<usize> = (0..raw.shifts.len()).collect();
        order.sort_by_key(|at| (raw.shifts[*at].day, *at));
        let mut world = World {
            raw,
            lens,
            order,
            decided,
            claims: Vec::new(),
        };
        world.claims = world.all_claims();
        world
    }

    pub(super) fn on(&self, first: i64, last: i64) -> Vec<usize> {
        let inside = |at: &&usize| (first..=last).contains(&self.raw.shifts[**at].day);
        self.order.iter().filter(inside).copied().collect()
    }

    pub(super) fn worn_with(&self, place: usize) -> Vec<usize> {
        let mine = |at: &&usize| was_worn(self.raw, place, &self.raw.shifts[**at]);
        self.order.iter().filter(mine).copied().collect()
    }

    pub(super) fn all_claims(&self) -> Vec<Claim> {
        let mut claims: Vec<Claim> = Vec::new();
        for place in 0..self.raw.badges.len() {
            let results = &self.raw.badges[place].results;
            let gone = |it: &RawResult| {
                self.decided.out.contains(&it.entry)
                    || results
                        .iter()
                        .any(|by| !by.held && by.corrects == Some(it.entry))
            };
            for result in results.iter().filter(|it| !gone(it)) {
                claims.extend(self.result(place, result));
            }
        }
        claims.extend(self.raw.fixed.iter().filter_map(|it| self.fixed(it)));
        // Those that speak for the rest, and those that say the same as they.
        for claim in &mut claims {
            claim.measured.clone_from(&claim.cover);
        }
        let before = claims.clone();
        for claim in &mut claims {
            let figures = |it: &Claim| (it.cover.clone(), it.dose, it.at_most, it.above, it.below);
            let same = before.iter().filter(|it| {
                it.entry == claim.entry || !it.cover.is_empty() && figures(it) == figures(claim)
            });
            let others = same.flat_map(|it| self.decided.rest.get(&it.entry).into_iter().flatten());
            let others = others.filter(|it| !self.decided.out.contains(it) && **it != claim.entry);
            let others: BTreeSet<i64> = others.copied().collect();
            for other in &others {
                let theirs = before.iter().filter(|it| it.entry == *other);
                let mut gone: Vec<usize> = theirs.flat_map(|it| it.cover.clone()).collect();
                let about = self.raw.fixed.iter().find(|it| it.entry == *other);
                if let Some(About::Reading(at) | About::Shift(at)) = about.map(|it| it.about) {
                    gone.push(at);
                }
                claim.cover.retain(|at| !gone.contains(at));
            }
            claim.beside = others;
        }
        for claim in &mut claims {
            let mut high = claim.clone();
            high.dose = if claim.below {
                claim.dose
            } else {
                claim.at_most
            };
            self.spread(&mut high);
            self.spread(claim);
            claim.high_shares = high.shares;
        }
        claims
    }

    pub(super) fn result(&self, place: usize, result: &RawResult) -> Option<Claim> {
        let own = if self.lens { result.lens } else { result.deep };
        let stands_in = own.is_none() && self.lens;
        let value = own.or(result.deep.filter(|_| self.lens))?;
        let badge = &self.raw.badges[place];
        let mut cover = self.worn_with(place);
        if worn_until(self.raw, place).is_none() {
            let stated = badge.planned.max(badge.first);
            cover.retain(|at| self.raw.shifts[*at].day <= stated);
        }
        let days = |at: Option<&usize>| at.map(|at| self.raw.shifts[*at].day);
        let last = worn_until(self.raw, place).unwrap_or(badge.planned.max(badge.first));
        let chosen = self.decided.chosen.contains(&result.entry);
        let held = result.held || badge.held;
        Some(Claim {
            kind: if held { Type::Waiting } else { Type::Result },
            entry: result.entry,
            order: (result.told, result.entry),
            badge: Some(place),
            report: true,
            first: days(cover.first()).map_or(badge.first, |it| it.min(badge.first)),
            last: days(cover.last()).map_or(last, |it| it.max(last)),
            cover,
            measured: Vec::new(),
            dose: counted(value),
            at_most: value.dose,
            above: false,
            below: value.below,
            accepted: !held && (result.accepted || chosen),
            stands_in,
            record: true,
            shares: BTreeMap::new(),
            high_shares: BTreeMap::new(),
            beside: BTreeSet::new(),
            by_days: false,
            suspended: false,
        })
    }

    pub(super) fn fixed(&self, one: &RawFixed) -> Option<Claim> {
        if self.decided.out.contains(&one.entry) || one.lens && !self.lens {
            return None;
        }
        let same = |it: &&RawFixed| it.lens && !self.decided.out.contains(&it.entry);
        let scope = |a: About, b: About| match (a, b) {
            (About::Badge(a, _), About::Badge(b, _)) => a == b,
            (a, b) => a == b,
        };
        let stands_in = self.lens && !one.lens;
        let all = self.raw.fixed.iter().filter(same);
        if stands_in && all.clone().any(|it| scope(it.about, one.about)) {
            return None;
        }
        let (badge, first, last, cover) = match one.about {
            About::Days(first, last) => (None, first, last, self.on(first, last)),
            About::Badge(place, through) => {
                let first = self.raw.badges[place].first;
                let last = worn_until(self.raw, place).map_or(through, |it| it.min(through));
                let mut cover = self.worn_with(place);
                cover.retain(|at| self.raw.shifts[*at].day <= last);
                (Some(place), first, last, cover)
            }
            _ => return None,
        };
        Some(Claim {
            kind: match (badge.is_some_and(|it| self.raw.badges[it].held), one.until) {
                (true, _) => Type::Waiting,
                (false, true) => Type::Until,
                (false, false) => Type::Replaces,
            },
            entry: one.entry,
            order: (one.told, one.entry),
            badge,
            report: false,
            first,
            last,
            cover,
            measured: Vec::new(),
            dose: one.dose,
            at_most: one.high,
            above: one.above,
            below: false,
            accepted: false,
            stands_in,
            record: !one.until && !stands_in,
            shares: BTreeMap::new(),
            high_shares: BTreeMap::new(),
            beside: BTreeSet::new(),
            by_days: false,
            suspended: false,
        })
    }

    /// Off-scale shifts take what the readings of the others leave; else the
    /// readings give the proportion; without any the shifts or days do.
    pub(super) fn spread(&self, claim: &mut Claim) {
        let shows = |at: &usize| {
            let shift = &self.raw.shifts[*at];
            shift.shows.unwrap_or(0).max(shift.second.unwrap_or(0))
        };
        let off = |at: &usize| self.raw.shifts[*at].off();
        let read: i64 = claim.cover.iter().filter(|it| !off(it)).map(shows).sum();
        let open = i64::try_from(claim.cover.iter().filter(|it| off(it)).count()).unwrap();
        if open > 0 && read <= claim.dose {
            let mut nth = 0;
            for at in &claim.cover {
                let share = if off(at) {
                    nth += 1;
                    let rest = claim.dose - read;
                    rest * nth / open - rest * (nth - 1) / open
                } else {
                    shows(at)
                };
                claim.shares.insert(*at, share);
            }
        } else if read > 0 {
            let mut before = 0_i128;
            for at in &claim.cover {
                let after = before + if off(at) { 0 } else { i128::from(shows(at)) };
                let step = |n: i128| i128::from(claim.dose) * n / i128::from(read);
                let share = i64::try_from(step(after) - step(before)).unwrap();
                claim.shares.insert(*at, share);
                before = after;
            }
        } else {
            let count = i64::try_from(claim.cover.len()).unwrap().max(1);
            for (nth, at) in (0..).zip(&claim.cover) {
                let share = claim.dose * (nth + 1) / count - claim.dose * nth / count;
                claim.shares.insert(*at, share);
            }
            claim.by_days = true;
        }
        claim.suspended =
            claim.kind == Type::Result && !claim.accepted && open > 0 && read > claim.dose;
    }

    /// Whether some result that measured a shift ends what only stood for it, by its
    /// entry: not what was decided to stand beside that result.
    fn measured(&self, at: usize, entry: i64, which: impl Fn(&Claim) -> bool) -> bool {
        let mut results = self.claims.iter().filter(|it| it.kind == Type::Result);
        results.any(|it| it.measured.contains(&at) && which(it) && !it.beside.contains(&entry))
    }

    /// Whether some result covers a shift.
    pub(super) fn covered(&self, at: usize, which: impl Fn(&Claim) -> bool) -> bool {
        let mut results = self.claims.iter().filter(|it| it.kind == Type::Result);
        results.any(|it| it.cover.contains(&at) && which(it))
    }

    /// Whether a claim has ended for a shift, with results that count or with
    /// accepted ones.
    pub(super) fn ended(&self, claim: &Claim, at: usize, accepted: bool) -> bool {
        let counts = |it: &Claim| if accepted { it.accepted } else { !it.suspended };
        let any = self.measured(at, claim.entry, counts);
        let stated = self.measured(at, claim.entry, |it| counts(it) && !it.stands_in);
        match claim.kind {
            Type::Result | Type::Waiting => false,
            Type::Until => any,
            Type::Replaces => claim.stands_in && stated,
        }
    }

    /// The same for a claim about a badge without any shift.
    pub(super) fn ended_bare(&self, claim: &Claim, accepted: bool) -> bool {
        let by = |it: &Claim| {
            it.kind == Type::Result
                && it.badge == claim.badge
                && (!accepted || it.accepted)
                && match claim.kind {
                    Type::Result | Type::Waiting => false,
                    Type::Until => true,
                    Type::Replaces => claim.stands_in && !it.stands_in,
                }
        };
        claim.badge.is_some() && self.claims.iter().any(by)
    }

    pub(super) fn own(&self, at: usize, accepted: bool) -> Own {
        let counts = |it: &Claim| if accepted { it.accepted } else { !it.suspended };
        let ended = |entry: i64| {
            let stated = |it: &Claim| counts(it) && !it.stands_in;
            (
                self.measured(at, entry, counts),
                self.measured(at, entry, stated),
            )
        };
        let mut own = own(self.raw, at, self.lens, &self.decided, &ended);
        if accepted {
            // A report that nobody accepted, or that waits, may yet end what a result ends: any
            // of them alone, or all of them.
            let open = self.claims.iter().filter(|it| it.report && !it.accepted);
            let ways = open.map(|it| Some(it.entry)).chain([None]);
            let ways = ways.map(|one| self.reported(at, one));
            for could in ways.chain([self.own(at, false)]) {
                own.safe = own.safe.max(could.safe);
                own.above |= could.above;
                own.safe_open |= could.above;
                own.views.extend(could.views);
            }
        }
        own
    }

    /// What would speak for a shift if beside the accepted reports of it one more counted, or
    /// every one.
    fn reported(&self, at: usize, one: Option<i64>) -> Own {
        let ended = |entry: i64| {
            let speaks = |it: &&Claim| {
                let of_it = match it.kind {
                    Type::Result => it.measured.contains(&at),
                    Type::Waiting => it.report && it.cover.contains(&at),
                    _ => false,
                };
                let counts = it.accepted || one.is_none_or(|one| one == it.entry);
                of_it && counts && !it.beside.contains(&entry)
            };
            let all = || self.claims.iter().filter(speaks);
            (all().next().is_some(), all().any(|it| !it.stands_in))
        };
        own(self.raw, at, self.lens, &self.decided, &ended)
    }
}

impl World<'_> {
    /// What a shift's dosimeters may have shown.
    pub(super) fn read(&self, at: usize) -> i64 {
        let shift = &self.raw.shifts[at];
        [shift.shows, shift.second, shift.held]
            .into_iter()
            .flatten()
            .max()
            .unwrap_or(0)
    }
}

pub(super) fn counted(value: Value) -> i64 {
    if value.below { 0 } else { value.dose }
}

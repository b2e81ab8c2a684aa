//! The plain model: the rules again in plain numbers, slow, by trying.

use std::collections::{BTreeMap, BTreeSet};

use super::draw::{About, Raw, RawFixed, RawResult, RawShift, Value};

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

/// Which claims were set aside, which chosen, which speak for the rest beside
/// which others.
struct Decided {
    out: BTreeSet<i64>,
    chosen: BTreeSet<i64>,
    rest: BTreeMap<i64, Vec<i64>>,
}

fn decided(raw: &Raw) -> Decided {
    let results = raw
        .badges
        .iter()
        .flat_map(|it| &it.results)
        .map(|it| it.entry);
    let known: BTreeSet<i64> = results.chain(raw.fixed.iter().map(|it| it.entry)).collect();
    let mut steps: Vec<(i64, Vec<i64>, Option<i64>, Vec<i64>)> = Vec::new();
    for one in raw.fixed.iter().filter(|it| !it.supersedes.is_empty()) {
        steps.push((one.entry, Vec::new(), None, one.supersedes.clone()));
    }
    for one in &raw.choices {
        steps.push((one.entry, one.stands.clone(), one.rest, one.aside.clone()));
    }
    steps.sort();
    let mut found = Decided {
        out: BTreeSet::new(),
        chosen: BTreeSet::new(),
        rest: BTreeMap::new(),
    };
    for (_, stands, rest, aside) in steps {
        if !stands.iter().all(|it| known.contains(it)) {
            continue;
        }
        for it in &stands {
            found.out.remove(it);
            found.chosen.insert(*it);
            found.rest.remove(it);
        }
        for it in &aside {
            found.out.insert(*it);
            found.chosen.remove(it);
        }
        if let Some(rest) = rest {
            let others = stands.iter().copied().filter(|it| *it != rest).collect();
            found.rest.insert(rest, others);
        }
    }
    found
}

/// The last day on which a badge was worn; `None` while it is.
fn worn_until(raw: &Raw, place: usize) -> Option<i64> {
    let badge = &raw.badges[place];
    let reported = badge.results.iter().any(|it| !it.held);
    badge
        .last
        .or(reported.then_some(badge.planned.max(badge.first)))
}

/// The badge of a shift: the one that the sheet names if it could be, else of
/// those on issue the one issued last.
fn badge_of(raw: &Raw, shift: &RawShift) -> Option<usize> {
    if shift.worn != Some(true) {
        return None;
    }
    let within = |place: usize, last: Option<i64>| {
        raw.badges[place].first <= shift.day && last.is_none_or(|last| shift.day <= last)
    };
    if let Some(named) = shift.named {
        let last = worn_until(raw, named).map(|it| it.max(raw.badges[named].planned));
        if within(named, last) {
            return Some(named);
        }
    }
    (0..raw.badges.len())
        .rev()
        .find(|place| within(*place, worn_until(raw, *place)))
}

/// One shift's own figures.
#[derive(Clone, Debug, Default)]
struct Own {
    dose: i64,
    open: bool,
    record: bool,
    held: bool,
    safe: i64,
    safe_open: bool,
    /// The determinations that take part.
    by: Vec<RawFixed>,
    /// They are of the deep dose and stand in for the lens.
    stands_in: bool,
    contradict: bool,
}

/// `until`, `deep`: whether those that stand until a result, and those of the
/// deep dose in place of the lens, take part.
fn own(raw: &Raw, at: usize, lens: bool, out: &BTreeSet<i64>, take: (bool, bool)) -> Own {
    let (until, deep) = take;
    let shift = &raw.shifts[at];
    let about = |it: &&RawFixed| it.about == About::Reading(at) || it.about == About::Shift(at);
    let takes_part = |it: &&RawFixed| about(it) && !out.contains(&it.entry) && (until || !it.until);
    let mut by: Vec<RawFixed> = raw
        .fixed
        .iter()
        .filter(takes_part)
        .filter(|it| it.lens == lens)
        .cloned()
        .collect();
    let stands_in = lens && by.is_empty() && deep;
    if stands_in {
        by = raw
            .fixed
            .iter()
            .filter(takes_part)
            .filter(|it| !it.lens)
            .cloned()
            .collect();
    }
    by.sort_by_key(|it| (it.told, it.entry));
    let second = shift.second.unwrap_or(0);
    let held = shift.held.unwrap_or(0);
    let shows = shift.shows.unwrap_or(0);
    let readings = Own {
        dose: shows.max(second),
        open: shift.shows.is_none(),
        record: false,
        held: shift.held.is_some(),
        safe: shows.max(second).max(held),
        safe_open: shift.shows.is_none(),
        by: Vec::new(),
        stands_in: false,
        contradict: false,
    };
    let of = |reading: bool| -> Vec<&RawFixed> {
        by.iter()
            .filter(|it| (it.about == About::Reading(at)) == reading)
            .collect()
    };
    let (parts, whole) = (of(true), of(false));
    let mut found = readings.clone();
    let differ = |all: &[&RawFixed]| all.iter().any(|it| it.dose != all[0].dose);
    if let Some(first) = parts.first() {
        let highest = parts.iter().map(|it| it.dose).max().unwrap();
        let floor = if parts.iter().any(|it| it.until) {
            shows
        } else {
            0
        };
        found.dose = first.dose.max(second);
        found.open = false;
        found.record = !first.until && shift.second.is_none();
        found.safe = highest.max(floor).max(second).max(held);
        found.safe_open = false;
        found.contradict = differ(&parts);
    }
    if let Some(first) = whole.first() {
        let high = |it: &&RawFixed| it.dose.max(if it.until { readings.safe } else { held });
        let highest = whole.iter().map(high).max().unwrap();
        let parts_safe = if parts.is_empty() { 0 } else { found.safe };
        let agree = parts.is_empty() || found.dose == first.dose;
        found.contradict |= differ(&whole) || !agree;
        found.safe = highest.max(parts_safe);
        found.safe_open = false;
        if by[0].about == About::Shift(at) {
            found.dose = first.dose;
            found.open = false;
            found.record = !first.until;
            found.held = false;
        }
    }
    found.record &= !stands_in;
    found.by = by;
    found.stands_in = stands_in;
    found
}

/// What sort of claim it is.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Sort {
    Result,
    Replaces,
    Until,
    Waiting,
}

#[derive(Clone, Debug)]
struct Claim {
    sort: Sort,
    entry: i64,
    order: (i64, i64),
    badge: Option<usize>,
    first: i64,
    last: i64,
    cover: Vec<usize>,
    dose: i64,
    at_most: i64,
    below: bool,
    accepted: bool,
    stands_in: bool,
    record: bool,
    shares: BTreeMap<usize, i64>,
    by_days: bool,
    suspended: bool,
}

/// Everything that is decided of one quantity.
struct World<'r> {
    raw: &'r Raw,
    lens: bool,
    /// The shifts by day, by their places in the raw history.
    order: Vec<usize>,
    decided: Decided,
    claims: Vec<Claim>,
}

impl<'r> World<'r> {
    fn of(raw: &'r Raw, lens: bool) -> World<'r> {
        let mut order: Vec<usize> = (0..raw.shifts.len()).collect();
        order.sort_by_key(|at| (raw.shifts[*at].day, *at));
        let mut world = World {
            raw,
            lens,
            order,
            decided: decided(raw),
            claims: Vec::new(),
        };
        world.claims = world.all_claims();
        world
    }

    fn on(&self, first: i64, last: i64) -> Vec<usize> {
        let inside = |at: &&usize| (first..=last).contains(&self.raw.shifts[**at].day);
        self.order.iter().filter(inside).copied().collect()
    }

    fn worn_with(&self, place: usize) -> Vec<usize> {
        let mine = |at: &&usize| badge_of(self.raw, &self.raw.shifts[**at]) == Some(place);
        self.order.iter().filter(mine).copied().collect()
    }

    fn all_claims(&self) -> Vec<Claim> {
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
        // Those that speak for the rest.
        let before = claims.clone();
        for claim in &mut claims {
            for other in self.decided.rest.get(&claim.entry).into_iter().flatten() {
                if self.decided.out.contains(other) {
                    continue;
                }
                let theirs = before.iter().filter(|it| it.entry == *other);
                let mut gone: Vec<usize> = theirs.flat_map(|it| it.cover.clone()).collect();
                let about = self.raw.fixed.iter().find(|it| it.entry == *other);
                if let Some(About::Reading(at) | About::Shift(at)) = about.map(|it| it.about) {
                    gone.push(at);
                }
                claim.cover.retain(|at| !gone.contains(at));
            }
        }
        for claim in &mut claims {
            self.spread(claim);
        }
        claims
    }

    fn result(&self, place: usize, result: &RawResult) -> Option<Claim> {
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
        Some(Claim {
            sort: if result.held {
                Sort::Waiting
            } else {
                Sort::Result
            },
            entry: result.entry,
            order: (result.told, result.entry),
            badge: Some(place),
            first: days(cover.first()).map_or(badge.first, |it| it.min(badge.first)),
            last: days(cover.last()).map_or(last, |it| it.max(last)),
            cover,
            dose: counted(value),
            at_most: value.dose,
            below: value.below,
            accepted: !result.held && (result.accepted || chosen),
            stands_in,
            record: true,
            shares: BTreeMap::new(),
            by_days: false,
            suspended: false,
        })
    }

    fn fixed(&self, one: &RawFixed) -> Option<Claim> {
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
            sort: if one.until {
                Sort::Until
            } else {
                Sort::Replaces
            },
            entry: one.entry,
            order: (one.told, one.entry),
            badge,
            first,
            last,
            cover,
            dose: one.dose,
            at_most: one.dose,
            below: false,
            accepted: false,
            stands_in,
            record: !one.until && !stands_in,
            shares: BTreeMap::new(),
            by_days: false,
            suspended: false,
        })
    }

    /// Off-scale shifts take what the readings of the others leave; else the
    /// readings give the proportion; without any the shifts or days do.
    fn spread(&self, claim: &mut Claim) {
        let shows = |at: &usize| {
            let shift = &self.raw.shifts[*at];
            shift.shows.unwrap_or(0).max(shift.second.unwrap_or(0))
        };
        let off = |at: &usize| self.raw.shifts[*at].shows.is_none();
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
            claim.sort == Sort::Result && !claim.accepted && open > 0 && read > claim.dose;
    }

    /// Whether some result covers a shift.
    fn covered(&self, at: usize, which: impl Fn(&Claim) -> bool) -> bool {
        let mut results = self.claims.iter().filter(|it| it.sort == Sort::Result);
        results.any(|it| it.cover.contains(&at) && which(it))
    }

    /// Whether a claim has ended for a shift, with results that count or with
    /// accepted ones.
    fn ended(&self, claim: &Claim, at: usize, accepted: bool) -> bool {
        let counts = |it: &Claim| if accepted { it.accepted } else { !it.suspended };
        let any = self.covered(at, counts);
        let stated = self.covered(at, |it| counts(it) && !it.stands_in);
        match claim.sort {
            Sort::Result | Sort::Waiting => false,
            Sort::Until => any || claim.stands_in && stated,
            Sort::Replaces => claim.stands_in && stated,
        }
    }

    /// The same for a claim about a badge without any shift.
    fn ended_bare(&self, claim: &Claim, accepted: bool) -> bool {
        let by = |it: &Claim| {
            it.sort == Sort::Result
                && it.badge == claim.badge
                && (!accepted || it.accepted)
                && match claim.sort {
                    Sort::Result | Sort::Waiting => false,
                    Sort::Until => true,
                    Sort::Replaces => claim.stands_in && !it.stands_in,
                }
        };
        claim.badge.is_some() && self.claims.iter().any(by)
    }

    fn own(&self, at: usize, accepted: bool) -> Own {
        let counts = |it: &Claim| if accepted { it.accepted } else { !it.suspended };
        let any = self.covered(at, counts);
        let stated = self.covered(at, |it| counts(it) && !it.stands_in);
        own(self.raw, at, self.lens, &self.decided.out, (!any, !stated))
    }
}

impl World<'_> {
    /// What a shift's dosimeters may have shown.
    fn read(&self, at: usize) -> i64 {
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

/// Who is silent because another says the same, who lost without a shift in
/// common, and who speaks for each shift.
struct Heard {
    silent: BTreeSet<usize>,
    agreed: BTreeSet<usize>,
    winner: BTreeMap<usize, usize>,
    /// Shifts whose own determinations a claim repeats.
    repeated: BTreeSet<usize>,
}

impl World<'_> {
    fn speaks(&self, nth: usize, at: usize) -> bool {
        let claim = &self.claims[nth];
        claim.cover.contains(&at)
            && claim.sort != Sort::Waiting
            && !claim.suspended
            && !self.ended(claim, at, false)
    }

    fn awake(&self, nth: usize) -> bool {
        let claim = &self.claims[nth];
        match claim.cover.is_empty() {
            true => {
                claim.sort != Sort::Waiting && !claim.suspended && !self.ended_bare(claim, false)
            }
            false => claim.cover.iter().any(|at| self.speaks(nth, *at)),
        }
    }

    /// What shifts say of themselves together, if nothing of it is doubtful.
    fn sum(&self, cover: &[usize]) -> Option<i64> {
        let mut sum = 0;
        for at in cover {
            let own = self.own(*at, false);
            if own.open || self.raw.shifts[*at].held.is_some() || own.contradict {
                return None;
            }
            sum += own.dose;
        }
        Some(sum)
    }

    /// Whether two claims agree; if so which of the two says less.
    fn agree(&self, a: usize, b: usize) -> Option<usize> {
        let (one, other) = (&self.claims[a], &self.claims[b]);
        if one.cover == other.cover {
            let bare = one.cover.is_empty();
            let days =
                !bare || (one.first, one.last) == (other.first, other.last) || one.badge.is_some();
            let same =
                (one.dose, one.at_most, one.below) == (other.dose, other.at_most, other.below);
            let rank = |it: &Claim| {
                let sort = [Sort::Waiting, Sort::Until, Sort::Replaces, Sort::Result]
                    .iter()
                    .position(|sort| *sort == it.sort);
                (
                    it.accepted,
                    sort,
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
        let rest = large.cover.iter().filter(|at| !small.cover.contains(at));
        let rest: Vec<usize> = rest.copied().collect();
        let fits = self.sum(&rest)? + small.dose == large.dose && !small.below && !large.below;
        fits.then_some(less)
    }

    fn share_something(&self, a: usize, b: usize) -> bool {
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
        let apart = self.beside(one, other);
        shift || !apart && (bare && badge || both_bare && !two_badges && days)
    }

    fn hear(&self) -> Heard {
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
            if claim.cover.iter().any(by_rso) && self.sum(&claim.cover) == Some(claim.dose) {
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
            if one.cover.is_empty() || other.cover.is_empty() {
                heard
                    .silent
                    .insert(if one.order < other.order { *b } else { *a });
            }
        }
        for at in 0..self.raw.shifts.len() {
            let own = self.own(at, false);
            let told = own.by.iter().map(|it| (it.told, it.entry)).min();
            let told = told.filter(|_| !heard.repeated.contains(&at));
            let speaking = awake.iter().filter(|it| !heard.silent.contains(it));
            let first = speaking
                .filter(|it| self.speaks(**it, at))
                .min_by_key(|it| self.claims[**it].order);
            if let Some(first) = first
                && told.is_none_or(|told| self.claims[*first].order < told)
            {
                heard.winner.insert(at, *first);
            }
        }
        heard
    }

    fn account(&self, heard: &Heard, from: i64, to: i64, found: &mut Plain) {
        let inside = |day: i64| (from..=to).contains(&day);
        for at in 0..self.raw.shifts.len() {
            if heard.winner.contains_key(&at) || !inside(self.raw.shifts[at].day) {
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
            if heard.silent.contains(&nth) || !self.awake(nth) {
                continue;
            }
            let won: Vec<usize> = claim
                .cover
                .iter()
                .filter(|at| heard.winner.get(at) == Some(&nth))
                .copied()
                .collect();
            let whole = won.len() == claim.cover.len();
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

/// One that may turn out right on the safe side.
struct Voice<'w> {
    claim: Option<&'w Claim>,
    cover: Vec<usize>,
    first: i64,
    last: i64,
    value: i64,
    waits: bool,
    until: bool,
    stands_in: bool,
}

impl World<'_> {
    fn voices(&self, heard: &Heard) -> Vec<Voice<'_>> {
        let mut voices = Vec::new();
        for (nth, claim) in self.claims.iter().enumerate() {
            if heard.agreed.contains(&nth) {
                continue;
            }
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
                    first: claim.first,
                    last: claim.last,
                    value: 0,
                    waits: matches!(claim.sort, Sort::Result | Sort::Waiting) && !claim.accepted,
                    until: claim.sort == Sort::Until,
                    stands_in: claim.stands_in && claim.sort == Sort::Replaces,
                });
            }
        }
        for at in 0..self.raw.shifts.len() {
            let own = self.own(at, true);
            let claimed = voices.iter().any(|it| it.cover.contains(&at));
            if claimed && !own.by.is_empty() && !heard.repeated.contains(&at) {
                let day = self.raw.shifts[at].day;
                voices.push(Voice {
                    claim: None,
                    cover: vec![at],
                    first: day,
                    last: day,
                    value: own.safe,
                    waits: false,
                    until: own.by.iter().all(|it| it.until),
                    stands_in: own.stands_in,
                });
            }
        }
        voices
    }

    /// What one of those that turn out right is worth: it, or what its shifts
    /// show where nothing right takes the place of their readings.
    fn value(&self, voice: &Voice<'_>, right: &[&Voice<'_>]) -> i64 {
        let Some(claim) = voice.claim else {
            return voice.value;
        };
        let held = voice
            .cover
            .iter()
            .any(|at| self.raw.shifts[*at].held.is_some());
        if claim.sort == Sort::Result && claim.accepted && !claim.below && !held {
            return claim.at_most;
        }
        let shown = |at: &usize| {
            let replaced = right.iter().any(|it| {
                let replaces = it.claim.map_or(!it.until, |it| it.sort == Sort::Replaces);
                replaces && it.cover.contains(at)
            });
            match replaced {
                true => self.raw.shifts[*at].held.unwrap_or(0),
                false => self.read(*at),
            }
        };
        claim.at_most.max(voice.cover.iter().map(shown).sum())
    }

    /// Whether at most one of two can be right.
    fn exclude(&self, one: &Voice<'_>, other: &Voice<'_>) -> bool {
        if let (Some(a), Some(b)) = (one.claim, other.claim)
            && self.beside(a, b)
        {
            return false;
        }
        if !one.cover.is_empty() && one.cover == other.cover {
            return true;
        }
        let ends = |by: &Voice<'_>, it: &Voice<'_>| {
            by.claim.is_some_and(|by| {
                by.sort == Sort::Result && (it.until || it.stands_in && !by.stands_in)
            }) && it.cover.iter().all(|at| by.cover.contains(at))
                && (!it.cover.is_empty() || self.linked(by, it))
        };
        if ends(one, other) || ends(other, one) {
            return true;
        }
        let (Some(a), Some(b)) = (one.claim, other.claim) else {
            return false;
        };
        let both_bare = one.cover.is_empty() && other.cover.is_empty();
        let report = |it: &Claim| matches!(it.sort, Sort::Result | Sort::Waiting);
        let one_badge = a.badge.is_some() && a.badge == b.badge;
        let days =
            (a.badge.is_none() || b.badge.is_none()) && (a.first, a.last) == (b.first, b.last);
        one_badge && report(a) && report(b)
            || both_bare && !self.beside(a, b) && (one_badge || days)
    }

    /// Whether the one speaks for what the other leaves.
    fn beside(&self, a: &Claim, b: &Claim) -> bool {
        let of = |rest: &Claim, other: &Claim| {
            let beside = self.decided.rest.get(&rest.entry);
            beside.is_some_and(|it| it.contains(&other.entry))
        };
        of(a, b) || of(b, a)
    }

    fn linked(&self, one: &Voice<'_>, other: &Voice<'_>) -> bool {
        let shift = one.cover.iter().any(|at| other.cover.contains(at));
        let (a, b) = (one.claim, other.claim);
        let badge = |it: Option<&Claim>| it.and_then(|it| it.badge);
        let days = one.first <= other.last && other.first <= one.last;
        let bare = one.cover.is_empty() && other.cover.is_empty();
        let two_badges = badge(a).is_some() && badge(b).is_some();
        let apart = a.zip(b).is_some_and(|(a, b)| self.beside(a, b));
        let one_badge = badge(a).is_some() && badge(a) == badge(b);
        shift || one_badge || bare && days && !two_badges && !apart
    }

    fn safe(&self, heard: &Heard, from: i64, to: i64, found: &mut Plain) {
        let voices = self.voices(heard);
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
            self.group(&set, &members, (from, to), found);
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

    fn is_open(&self, set: &[&Voice<'_>], at: usize) -> bool {
        let by_rso = set
            .iter()
            .filter_map(|it| it.claim)
            .any(|it| matches!(it.sort, Sort::Replaces | Sort::Until) && it.cover.contains(&at));
        self.own(at, true).safe_open && !by_rso && !self.covered(at, |it| it.accepted)
    }

    fn group(
        &self,
        set: &[&Voice<'_>],
        members: &BTreeSet<usize>,
        (from, to): (i64, i64),
        found: &mut Plain,
    ) {
        let meets = |it: &Voice<'_>| it.first <= to && from <= it.last;
        let inside = |at: &usize| (from..=to).contains(&self.raw.shifts[*at].day);
        let waiting = set
            .iter()
            .any(|it| it.waits && meets(it) && it.cover.iter().any(|at| self.is_open(set, *at)));
        let inside_open = members
            .iter()
            .any(|at| inside(at) && self.is_open(set, *at));
        found.safe_open |= waiting || inside_open;
        if set.len() > 12 {
            let most = |it: &&&Voice<'_>| it.claim.map_or(it.value, |it| it.at_most);
            found.safe += set
                .iter()
                .filter(|it| meets(it))
                .map(|it| most(&it))
                .sum::<i64>();
            found.safe += members.iter().map(|at| self.read(*at)).sum::<i64>();
            return;
        }
        let mut most = 0;
        self.try_all(set, Vec::new(), &mut |right| {
            if right.is_empty() {
                return;
            }
            let sum: i64 = right
                .iter()
                .filter(|it| meets(it))
                .map(|it| self.value(it, right))
                .sum();
            let alone = members
                .iter()
                .filter(|at| inside(at) && !right.iter().any(|it| it.cover.contains(at)));
            let alone: i64 = alone.map(|at| self.read(*at)).sum();
            most = most.max(sum + alone);
        });
        found.safe += most;
    }

    /// Every set of those that could be right together.
    fn try_all<'v>(
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
    fn carried(&self, set: &[&Voice<'_>], members: &BTreeSet<usize>, from: i64, found: &mut Plain) {
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
            let share = claims.map(|it| it.shares[at]).max().unwrap_or(0);
            found.safe += share.max(self.own(*at, true).safe);
            found.safe_open |= self.is_open(set, *at);
        }
    }
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
fn lumps(found: &mut Plain, raw: &Raw, lens: bool, from: i64, to: i64) {
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

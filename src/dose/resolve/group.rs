//! What the safe side takes of claims that share a shift: the highest that
//! they could make together.
//!
//! Two claims of different reach may both turn out to be right, the one for its
//! shifts and the other for the rest; two of the same shifts may not. Where
//! none of those that turn out right covers a shift, its own figures count.
//! No order of entry changes it, and one claim more never lowers it, but for
//! a result that the RSO accepted and a determination that takes the place of
//! readings alone.

use std::collections::BTreeMap;

use crate::calendar::{Day, Span};
use crate::dose::resolve::Source;
use crate::dose::resolve::build::{Desk, Seat, ended_by_badge, ends};
use crate::dose::resolve::claim::{Claim, Sort, known};
use crate::dose::resolve::figure::undetermined;
use crate::dose::safe_side::Why;
use crate::dose::total::{Amount, Class};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

/// With more claims in one group than this their sum counts: every choice among
/// so many would take too long to try.
const MOST_TRIED: usize = 12;

/// Claims that share shifts, and the shifts.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    /// The claim that is named first.
    pub source: Source,
    /// Its entry.
    pub entry: i64,
    /// From the first day of all to the last.
    pub days: Span,
    /// Why the safe side may be above the account.
    pub why: Why,
    /// Whether it counts apart, in a planned special exposure.
    pub special: bool,
    /// Whether it is dose received with this licensee.
    pub own: bool,
    /// The class, where account and safe side are one figure.
    pub class: Class,
    claims: Vec<Part>,
    members: Vec<Member>,
    /// The sets of claims that could be right together, as bits; none where
    /// there are too many to try.
    choices: Option<Vec<u32>>,
}

/// One claim of a group.
#[derive(Clone, Debug)]
struct Part {
    /// The claim; none where a shift speaks for itself.
    source: Option<Source>,
    /// The days on which the safe side counts it, whole.
    days: Span,
    at_most: Dose,
    /// What the shifts show counts for it, where that is more.
    or_readings: bool,
    /// It takes the place of readings: of them what waits for somebody is left.
    replaces: bool,
    /// Its members by their places in the group.
    covers: Vec<usize>,
    /// Whether it has no upper bound whatever its shifts have.
    open: bool,
    /// Whether somebody has to answer for its open shifts yet.
    waits: bool,
}

/// One shift of a group.
#[derive(Clone, Debug)]
struct Member {
    at: usize,
    day: Day,
    /// What its readings show, where nothing else counts for it.
    own: Dose,
    /// What of them waits for somebody.
    waiting: Dose,
    open: bool,
    special: bool,
}

impl Group {
    /// One dose that stands for itself.
    pub(super) fn of_one(
        source: Source,
        entry: i64,
        days: Span,
        safe_days: Span,
        (safe, class, why): (Amount, Class, Why),
        (special, own): (bool, bool),
    ) -> Group {
        Group {
            source,
            entry,
            days,
            why,
            special,
            own,
            class,
            claims: vec![Part {
                source: Some(source),
                days: safe_days,
                at_most: known(safe),
                or_readings: false,
                replaces: false,
                covers: Vec::new(),
                open: safe.is_undetermined(),
                waits: false,
            }],
            members: Vec::new(),
            choices: Some(vec![1]),
        }
    }

    /// Whether the safe side of a span counts anything of it.
    pub(crate) fn is_in(&self, span: Span) -> bool {
        !self.special
            && (self.claims.iter().any(|it| it.days.overlaps(&span))
                || self.members.iter().any(|it| span.contains(it.day)))
    }

    /// The first day on which the safe side counts anything of it.
    pub(crate) fn first_day(&self) -> Day {
        let claims = self.claims.iter().map(|it| it.days.first);
        claims.min().unwrap_or(self.days.first)
    }

    /// The days on which what the safe side counts of it can grow, each claim
    /// being counted whole from its first day on.
    pub(crate) fn steps(&self) -> impl Iterator<Item = Day> {
        let shifts = self.members.iter().map(|it| it.day);
        self.claims.iter().map(|it| it.days.first).chain(shifts)
    }

    /// Whether a claim is part of it.
    pub(crate) fn counts(&self, source: Source) -> bool {
        self.claims.iter().any(|it| it.source == Some(source))
    }

    /// The shifts of it, by their places.
    pub(crate) fn shifts(&self) -> impl Iterator<Item = usize> {
        self.members.iter().map(|it| it.at)
    }

    /// Whether a claim that covers a shift of this day counts on the days after
    /// it as well.
    pub(super) fn reaches_past(&self, at: usize, day: Day) -> bool {
        let place = self.members.iter().position(|it| it.at == at);
        let covers = |it: &&Part| place.is_some_and(|place| it.covers.contains(&place));
        self.claims
            .iter()
            .filter(covers)
            .any(|it| it.days.last > day)
    }

    /// Whether a shift of it has no upper bound.
    pub(super) fn is_open_at(&self, at: usize) -> bool {
        self.members.iter().any(|it| it.at == at && it.open)
    }

    /// What the safe side of a span counts of it.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub(crate) fn safe(&self, span: Span) -> Result<Amount, Overflow> {
        let open_claim = self.claims.iter().any(|part| {
            let mut covers = part.covers.iter().filter_map(|at| self.members.get(*at));
            part.days.overlaps(&span) && (part.open || part.waits && covers.any(|it| it.open))
        });
        let inside = |it: &&Member| span.contains(it.day) && !it.special;
        let open = open_claim || self.members.iter().filter(inside).any(|it| it.open);
        let known = match &self.choices {
            Some(choices) => {
                let mut most = Dose::ZERO;
                for choice in choices {
                    most = most.max(self.sum(span, *choice)?);
                }
                most
            }
            None => {
                let meets = self.claims.iter().filter(|it| it.days.overlaps(&span));
                let own = self.members.iter().map(|it| it.own);
                Dose::sum(meets.map(|it| it.at_most).chain(own))?
            }
        };
        Ok(Amount::of(known, open))
    }

    /// What a span has if just these claims are right: the whole of each that
    /// meets it, and what the shifts that none of them covers show.
    fn sum(&self, span: Span, choice: u32) -> Result<Dose, Overflow> {
        let right = || {
            let all = self.claims.iter().enumerate();
            all.filter(|(nth, _)| choice & (1 << nth) != 0)
                .map(|(_, it)| it)
        };
        let mut sum = Dose::ZERO;
        for part in right().filter(|it| it.days.overlaps(&span)) {
            let mut value = part.at_most;
            if part.or_readings {
                let members = part.covers.iter();
                let shown = members.filter_map(|place| {
                    let member = self.members.get(*place)?;
                    let replaced = right().any(|it| it.replaces && it.covers.contains(place));
                    Some(match replaced {
                        true => member.waiting,
                        false => member.own,
                    })
                });
                value = value.max(Dose::sum(shown)?);
            }
            sum = sum.checked_add(value)?;
        }
        for (place, member) in self.members.iter().enumerate() {
            let alone = !right().any(|it| it.covers.contains(&place));
            if alone && span.contains(member.day) && !member.special {
                sum = sum.checked_add(member.own)?;
            }
        }
        Ok(sum)
    }
}

/// The group of each shift, by its place.
pub(super) fn grouped(groups: &[Group], shifts: usize) -> Vec<Option<usize>> {
    let mut of = vec![None; shifts];
    for (nth, group) in groups.iter().enumerate() {
        for at in group.shifts() {
            if let Some(slot) = of.get_mut(at) {
                *slot = Some(nth);
            }
        }
    }
    of
}

/// One that may be right: a claim with the shifts for which the safe side
/// still counts it, or a shift with what was determined of it alone.
struct Voice<'c> {
    claim: Option<&'c Claim>,
    cover: Vec<usize>,
    /// What was determined of the shift ends with a result of it.
    until: bool,
    /// What was determined of the shift stands in for the quantity.
    stands_in: bool,
}

impl Desk<'_, '_> {
    pub(super) fn groups(
        &self,
        claims: &[Claim],
        seats: &[Seat<'_>],
    ) -> Result<Vec<Group>, Overflow> {
        let voices = self.voices(claims, seats);
        let mut groups = Vec::new();
        for set in sets(&voices) {
            let set: Vec<&Voice<'_>> = set.iter().filter_map(|it| voices.get(*it)).collect();
            groups.extend(self.group(&set, seats)?);
        }
        Ok(groups)
    }

    /// Everything that the safe side still counts: claims, and what was
    /// determined of a shift alone where a claim speaks of the shift too.
    fn voices<'c>(&self, claims: &'c [Claim], seats: &[Seat<'_>]) -> Vec<Voice<'c>> {
        let mut voices = Vec::new();
        let mut claimed = vec![false; seats.len()];
        for claim in claims.iter().filter(|it| !it.absorbed) {
            let still = |at: &&usize| {
                seats
                    .get(**at)
                    .is_some_and(|it| !ends(claim, it.results.accepted, it.results.stated_accepted))
            };
            let cover: Vec<usize> = claim.cover.iter().filter(still).copied().collect();
            let ended = match claim.cover.is_empty() {
                true => ended_by_badge(claim, claims, |it| it.accepted),
                false => cover.is_empty(),
            };
            if ended {
                continue;
            }
            for at in &cover {
                if let Some(slot) = claimed.get_mut(*at) {
                    *slot = true;
                }
            }
            voices.push(Voice {
                claim: Some(claim),
                cover,
                until: claim.sort == Sort::UntilResult,
                stands_in: claim.stands_in,
            });
        }
        for (at, (seat, claimed)) in seats.iter().zip(claimed).enumerate() {
            if claimed && !seat.safe.by.is_empty() && !seat.absorbed {
                voices.push(Voice {
                    claim: None,
                    cover: vec![at],
                    until: !seat.safe.is_firm(),
                    stands_in: seat.safe.stands_in,
                });
            }
        }
        voices
    }

    fn group(&self, set: &[&Voice<'_>], seats: &[Seat<'_>]) -> Result<Option<Group>, Overflow> {
        let claims = || set.iter().filter_map(|it| it.claim);
        let Some(first) = claims().min_by_key(|it| (it.sort == Sort::OnHold, it.order)) else {
            return Ok(None);
        };
        let mut places: Vec<usize> = set.iter().flat_map(|it| &it.cover).copied().collect();
        places.sort_unstable();
        places.dedup();
        let determined = |at: usize, sorts: &[Sort]| {
            claims().any(|it| sorts.contains(&it.sort) && it.covers(at))
        };
        let mut members = Vec::with_capacity(places.len());
        for at in &places {
            let (Some(live), Some(seat)) = (self.live.get(*at), seats.get(*at)) else {
                continue;
            };
            let by_rso = determined(*at, &[Sort::Replaces, Sort::UntilResult]);
            members.push(Member {
                at: *at,
                day: live.day,
                own: known(undetermined(live, self.quantity).safe),
                waiting: match self.quantity {
                    Quantity::Extremity => Dose::ZERO,
                    _ => live.waiting,
                },
                open: seat.safe.figure.safe.is_undetermined() && !seat.results.accepted && !by_rso,
                special: live.special,
            });
        }
        let mut parts = Vec::with_capacity(set.len());
        for voice in set {
            parts.push(self.part(voice, &places, &members, seats)?);
        }
        let days = Span {
            first: parts
                .iter()
                .map(|it| it.days.first)
                .min()
                .unwrap_or(first.days.first),
            last: parts
                .iter()
                .map(|it| it.days.last)
                .max()
                .unwrap_or(first.days.last),
        };
        Ok(Some(Group {
            source: first.source,
            entry: first.entry,
            days,
            why: why(set, seats, self.is_elsewhere(first)),
            special: parts.iter().all(|it| self.is_special(it.days)),
            own: claims().all(|it| it.own),
            class: first.class,
            choices: choices(set, parts.len()),
            claims: parts,
            members,
        }))
    }

    fn is_elsewhere(&self, claim: &Claim) -> bool {
        claim.sort == Sort::OnHold && !claim.own
    }

    fn part(
        &self,
        voice: &Voice<'_>,
        places: &[usize],
        members: &[Member],
        seats: &[Seat<'_>],
    ) -> Result<Part, Overflow> {
        let covers: Vec<usize> = voice
            .cover
            .iter()
            .filter_map(|at| places.binary_search(at).ok())
            .collect();
        let Some(claim) = voice.claim else {
            let days = covers
                .iter()
                .filter_map(|it| members.get(*it))
                .map(|it| it.day);
            let day = days.min().unwrap_or(Span::OPEN_START);
            return Ok(Part {
                source: None,
                days: Span {
                    first: day,
                    last: day,
                },
                at_most: Dose::sum(voice.cover.iter().filter_map(|at| {
                    let seat = seats.get(*at)?;
                    Some(known(seat.safe.figure.safe))
                }))?,
                or_readings: false,
                replaces: !voice.until,
                covers,
                open: false,
                waits: false,
            });
        };
        let seated = || voice.cover.iter().filter_map(|at| seats.get(*at));
        let held = seated().any(|it| it.waits);
        let settled = claim.sort == Sort::Result && claim.accepted && !claim.below && !held;
        Ok(Part {
            source: Some(claim.source),
            days: claim.days,
            at_most: claim.at_most,
            or_readings: !settled,
            replaces: claim.sort == Sort::Replaces,
            covers,
            open: false,
            waits: matches!(claim.sort, Sort::Result | Sort::OnHold) && !claim.accepted,
        })
    }
}

/// Whether of two at most one can be right: they speak for the same shifts, or
/// are reports of one badge, or the one ends with the other.
fn exclude(one: &Voice<'_>, other: &Voice<'_>) -> bool {
    let both = one.claim.zip(other.claim);
    if both.is_some_and(|(a, b)| a.stands_beside(b)) {
        return false;
    }
    if one.cover == other.cover && !one.cover.is_empty() {
        return true;
    }
    let ended = |by: &Voice<'_>, it: &Voice<'_>| {
        let result = by.claim.filter(|it| it.sort == Sort::Result);
        let determined = it
            .claim
            .is_none_or(|it| matches!(it.sort, Sort::Replaces | Sort::UntilResult));
        result.is_some_and(|result| {
            let bare = it.cover.is_empty();
            determined
                && (!bare || it.claim.is_some_and(|it| it.shares_with(result)))
                && (it.until || it.stands_in && !result.stands_in)
                && it.cover.iter().all(|at| by.cover.contains(at))
        })
    };
    if ended(one, other) || ended(other, one) {
        return true;
    }
    let (Some(a), Some(b)) = (one.claim, other.claim) else {
        return false;
    };
    let reports = |it: &Claim| matches!(it.sort, Sort::Result | Sort::OnHold);
    let one_badge = a.badge.is_some() && a.badge == b.badge;
    let both_bare = one.cover.is_empty() && other.cover.is_empty();
    one_badge && reports(a) && reports(b)
        || both_bare && a.shares_with(b) && (one_badge || a.days == b.days)
}

/// The sets of voices that could be right together.
fn choices(set: &[&Voice<'_>], count: usize) -> Option<Vec<u32>> {
    if count > MOST_TRIED {
        return None;
    }
    let mut excluded = Vec::new();
    for (a, one) in set.iter().enumerate() {
        for (b, other) in set.iter().enumerate().skip(a + 1) {
            if exclude(one, other) {
                excluded.push(1_u32 << a | 1 << b);
            }
        }
    }
    let all = 1_u32..1 << count;
    let together = |choice: &u32| !excluded.iter().any(|pair| choice & pair == *pair);
    Some(all.filter(together).collect())
}

/// Voices that share a shift, a badge or days without any shift, directly or by
/// way of others.
fn sets(voices: &[Voice<'_>]) -> Vec<Vec<usize>> {
    let mut set_of: Vec<usize> = (0..voices.len()).collect();
    let join = |set_of: &mut Vec<usize>, a: usize, b: usize| {
        let (one, other) = (set_of.get(a).copied(), set_of.get(b).copied());
        if let (Some(one), Some(other)) = (one, other)
            && one != other
        {
            for it in set_of.iter_mut().filter(|it| **it == other) {
                *it = one;
            }
        }
    };
    let mut by_shift: BTreeMap<usize, usize> = BTreeMap::new();
    let mut by_badge: BTreeMap<usize, usize> = BTreeMap::new();
    for (nth, voice) in voices.iter().enumerate() {
        for at in &voice.cover {
            let first = *by_shift.entry(*at).or_insert(nth);
            join(&mut set_of, first, nth);
        }
        if let Some(badge) = voice.claim.and_then(|it| it.badge) {
            let first = *by_badge.entry(badge).or_insert(nth);
            join(&mut set_of, first, nth);
        }
    }
    let bare: Vec<(usize, &Claim)> = voices
        .iter()
        .enumerate()
        .filter(|(_, it)| it.cover.is_empty())
        .filter_map(|(nth, it)| Some((nth, it.claim?)))
        .collect();
    for (a, one) in bare.iter().filter(|(_, it)| it.badge.is_none()) {
        for (b, other) in &bare {
            if a != b && one.shares_with(other) {
                join(&mut set_of, *a, *b);
            }
        }
    }
    let mut sets: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (nth, set) in set_of.iter().enumerate() {
        sets.entry(*set).or_default().push(nth);
    }
    sets.into_values().collect()
}

/// What mostly raises the safe side of a group.
fn why(set: &[&Voice<'_>], seats: &[Seat<'_>], elsewhere: bool) -> Why {
    let claims: Vec<&Claim> = set.iter().filter_map(|it| it.claim).collect();
    let held = set
        .iter()
        .flat_map(|it| &it.cover)
        .filter_map(|at| seats.get(*at))
        .any(|it| it.waits);
    let accepted = claims
        .iter()
        .any(|it| it.sort == Sort::Result && it.accepted);
    let waits = claims
        .iter()
        .any(|it| it.sort == Sort::Result && !it.accepted);
    let by_rso = set.iter().any(|it| match it.claim {
        Some(claim) => claim.sort == Sort::Replaces,
        None => !it.until,
    });
    match claims.as_slice() {
        _ if elsewhere => Why::Elsewhere,
        [one] if set.len() == 1 => match one.sort {
            Sort::OnHold => Why::Held,
            Sort::Result if !one.accepted => Why::ResultNotAccepted,
            _ if held => Why::Held,
            Sort::Result => Why::BelowMinimum,
            Sort::Replaces | Sort::UntilResult => Why::UntilResult,
        },
        _ if by_rso || accepted && waits => Why::Conflict,
        _ if waits => Why::ResultNotAccepted,
        _ if claims.iter().any(|it| it.sort == Sort::OnHold) => Why::Held,
        _ => Why::Conflict,
    }
}

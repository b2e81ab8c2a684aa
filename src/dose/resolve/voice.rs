//! Who may turn out right on the conservative side, and which of them together.

use std::collections::BTreeMap;

use crate::dose::resolve::build::{ClaimDesk, Seat};
use crate::dose::resolve::claim::{Claim, Type};
use crate::dose::resolve::covered::ended_by_badge;
use crate::dose::resolve::disposition::{AS_IT_STANDS, EVERY, Worlds};
use crate::dose::resolve::figure::Lasts;
use crate::dose::resolve::live::Source;
use crate::dose::resolve::why::Why;

/// With more claims in one group than this their sum counts: every choice among
/// so many would take too long to try.
const MOST_TRIED: usize = 12;

/// One that may be right: a claim with the shifts for which the conservative total
/// still counts it, or a shift with what was determined of it alone.
pub(super) struct Voice<'c> {
    pub claim: Option<&'c Claim>,
    pub cover: Vec<usize>,
    /// The entries that say it.
    pub entries: Vec<i64>,
    /// How long what was determined goes on speaking.
    pub lasts: Lasts,
    /// The RSO chose it to stand: only what cannot be right beside it leaves it out.
    pub chosen: bool,
    /// In which worlds it may be right.
    pub worlds: Worlds,
}

impl ClaimDesk<'_, '_> {
    /// Everything that the conservative total still counts: claims, and what was
    /// determined of a shift alone where a claim speaks of the shift too.
    pub(super) fn voices<'c>(
        &self,
        claims: &'c [Claim],
        otherwise: &'c [Claim],
        seats: &[Seat<'_>],
    ) -> Vec<Voice<'c>> {
        let mut voices = Vec::new();
        let mut claimed = vec![false; seats.len()];
        let speaking = claims.iter().filter(|it| !it.absorbed);
        for claim in speaking.chain(otherwise) {
            let still = |at: &&usize| {
                seats
                    .get(**at)
                    .is_some_and(|it| !it.results.end_claim(claim, true))
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
                entries: vec![claim.entry],
                lasts: Lasts {
                    replaces: claim.kind == Type::Replaces,
                    until_result: claim.kind == Type::UntilResult,
                    until_stated: claim.kind == Type::UntilResult || claim.stands_in,
                },
                chosen: claim.chosen,
                worlds: claim.worlds,
            });
        }
        for (at, (seat, claimed)) in seats.iter().zip(claimed).enumerate() {
            // What a claim says again as things stand it may not say in another world.
            let moved = |it: &Claim| if it.covers(at) { !it.worlds } else { 0 };
            let worlds = match seat.absorbed {
                true => claims.iter().fold(0, |all, it| all | moved(it)),
                false => EVERY,
            };
            if claimed && worlds != 0 && !seat.safe.by.is_empty() {
                voices.push(Voice {
                    claim: None,
                    cover: vec![at],
                    entries: seat.safe.by.iter().map(|it| it.entry).collect(),
                    lasts: seat.safe.lasts,
                    worlds,
                    chosen: (seat.safe.by.iter())
                        .any(|it| self.decisions.chosen_by(it.entry).is_some()),
                });
            }
        }
        voices
    }
}

/// Whether of two at most one can be right: they speak for the same shifts, or
/// are reports of one badge, or the one ends with the other.
fn exclude(one: &Voice<'_>, other: &Voice<'_>) -> bool {
    if one.worlds & other.worlds == 0 {
        return true;
    }
    let both = one.claim.zip(other.claim);
    if both.is_some_and(|(a, b)| a.stands_beside(b)) {
        return false;
    }
    let badges = both.and_then(|(a, b)| Some((a, b, a.badge?, b.badge?)));
    let two_badges = badges.filter(|(_, _, a, b)| a != b);
    let one_reach = |(a, b): (&Claim, &Claim)| !a.measured.is_empty() && a.measured == b.measured;
    if two_badges.is_some_and(|(a, b, ..)| one_reach((a, b)) && a.is_worn_with(b)) {
        return true;
    }
    // Of the same shifts, whether or not one of them has ended for some.
    let same = one.cover == other.cover || both.is_some_and(|(a, b)| a.cover == b.cover);
    if same && !one.cover.is_empty() && !other.cover.is_empty() {
        // Badges worn together measured the same dose; of others either may be the one
        // that was worn.
        return two_badges.is_none_or(|(a, b, ..)| a.is_worn_with(b));
    }
    let ended = |by: &Voice<'_>, it: &Voice<'_>| {
        let result = by.claim.filter(|it| it.kind == Type::Result);
        let determined = it
            .claim
            .is_none_or(|it| matches!(it.kind, Type::Replaces | Type::UntilResult));
        result.is_some_and(|result| {
            let bare = it.cover.is_empty();
            determined
                && (!bare || it.claim.is_some_and(|it| it.shares_with(result)))
                && (it.lasts.until_result || it.lasts.until_stated && !result.stands_in)
                && it.cover.iter().all(|at| result.measured.contains(at))
                && !it.entries.iter().any(|it| result.beside.contains(it))
        })
    };
    if ended(one, other) || ended(other, one) {
        return true;
    }
    let (Some(a), Some(b)) = (one.claim, other.claim) else {
        return false;
    };
    let reports = |it: &Claim| matches!(it.source, Source::Result(_));
    let one_badge = a.badge.is_some() && a.badge == b.badge;
    let both_bare = one.cover.is_empty() && other.cover.is_empty();
    one_badge && reports(a) && reports(b)
        || both_bare && a.shares_with(b) && (one_badge || a.days == b.days)
        || both_bare && a.is_worn_with(b) && a.days == b.days
}

/// The sets of voices that could be right together. What was chosen to stand is in each of
/// them but those with another that excludes it.
pub(super) fn choices(set: &[&Voice<'_>], count: usize) -> Option<Vec<u32>> {
    if count > MOST_TRIED {
        return None;
    }
    // Of each voice, those that cannot be right beside it.
    let excluded: Vec<u32> = set
        .iter()
        .enumerate()
        .map(|(a, one)| {
            let others = set.iter().enumerate();
            let against = others.filter(|(b, other)| a != *b && exclude(one, other));
            against.fold(0, |all, (b, _)| all | 1_u32 << b)
        })
        .collect();
    let chosen = |nth: usize| set.get(nth).is_some_and(|it| it.chosen);
    let may_be = |choice: &u32| {
        (excluded.iter().enumerate()).all(|(nth, against)| match choice & 1 << nth {
            0 => !chosen(nth) || choice & against != 0,
            _ => choice & against == 0,
        })
    };
    Some((1_u32..1 << count).filter(may_be).collect())
}

/// Voices that share a shift, a badge or days without any shift, directly or by
/// way of others.
pub(super) fn sets(voices: &[Voice<'_>]) -> Vec<Vec<usize>> {
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
    for (a, one) in &bare {
        for (b, other) in &bare {
            let linked = match one.badge {
                None => one.shares_with(other),
                Some(_) => one.is_worn_with(other),
            };
            if a != b && linked {
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

/// What mostly raises the conservative total of a group.
pub(super) fn why(set: &[&Voice<'_>], seats: &[Seat<'_>], elsewhere: bool) -> Why {
    let stands = |it: &&Claim| it.worlds & AS_IT_STANDS != 0;
    let claims: Vec<&Claim> = set
        .iter()
        .filter_map(|it| it.claim)
        .filter(stands)
        .collect();
    let held = set
        .iter()
        .flat_map(|it| &it.cover)
        .filter_map(|at| seats.get(*at))
        .any(|it| it.waits);
    let accepted = claims
        .iter()
        .any(|it| it.kind == Type::Result && it.accepted);
    let waits = claims
        .iter()
        .any(|it| it.kind == Type::Result && !it.accepted);
    let by_rso = set.iter().any(|it| match it.claim {
        Some(claim) => claim.kind == Type::Replaces,
        None => !it.lasts.until_result,
    });
    let mut badges: Vec<usize> = claims.iter().filter_map(|it| it.badge).collect();
    badges.sort_unstable();
    badges.dedup();
    let two_badges = badges.len() > 1;
    match claims.as_slice() {
        _ if elsewhere => Why::Elsewhere,
        [one]
            if set
                .iter()
                .filter(|it| it.worlds & AS_IT_STANDS != 0)
                .count()
                == 1 =>
        {
            match one.kind {
                Type::OnHold => Why::Held,
                _ if one.is_wide() => Why::Range,
                Type::Result if !one.accepted => Why::ResultNotAccepted,
                _ if held => Why::Held,
                Type::Result => Why::BelowMinimum,
                Type::Replaces | Type::UntilResult => Why::UntilResult,
            }
        }
        _ if by_rso || accepted && waits && !two_badges => Why::Conflict,
        _ if waits => Why::ResultNotAccepted,
        _ if claims.iter().any(|it| it.kind == Type::OnHold) => Why::Held,
        _ if two_badges => Why::OtherBadge,
        _ => Why::Conflict,
    }
}

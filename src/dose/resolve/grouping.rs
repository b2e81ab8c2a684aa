//! Which claims share a shift, and so are decided together.

use crate::calendar::Span;
use crate::dose::input::Counting;
use crate::dose::resolve::build::{ClaimDesk, Seat};
use crate::dose::resolve::claim::{Claim, Type, known};
use crate::dose::resolve::disposition::AS_IT_STANDS;
use crate::dose::resolve::figure::undetermined;
use crate::dose::resolve::group::{Group, Member, Part};
use crate::dose::resolve::live::Source;
use crate::dose::resolve::share::Lump;
use crate::dose::resolve::voice::{Voice, choices, sets, why};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

impl ClaimDesk<'_, '_> {
    pub(super) fn groups(
        &self,
        (claims, otherwise): (&[Claim], &[Claim]),
        lumps: &[Lump],
        seats: &[Seat<'_>],
    ) -> Result<Vec<Group>, Overflow> {
        let voices = self.voices(claims, otherwise, seats);
        let mut groups = Vec::new();
        for set in sets(&voices) {
            let set: Vec<&Voice<'_>> = set.iter().filter_map(|it| voices.get(*it)).collect();
            groups.extend(self.group(&set, lumps, seats)?);
        }
        Ok(groups)
    }

    fn group(
        &self,
        set: &[&Voice<'_>],
        lumps: &[Lump],
        seats: &[Seat<'_>],
    ) -> Result<Option<Group>, Overflow> {
        let claims = || set.iter().filter_map(|it| it.claim);
        let Some(first) = claims().min_by_key(|it| (it.kind == Type::OnHold, it.order)) else {
            return Ok(None);
        };
        let mut places: Vec<usize> = set.iter().flat_map(|it| &it.cover).copied().collect();
        places.sort_unstable();
        places.dedup();
        let members = self.members(set, &places, seats);
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
        let is_of = |lump: &Lump| {
            let mut all = claims().map(|it| it.source);
            !lump.special && all.any(|it| it == lump.source)
        };
        Ok(Some(Group {
            source: first.source,
            entry: first.entry,
            days,
            why: why(set, seats, self.is_elsewhere(first)),
            special: parts.iter().all(|it| self.is_special(it.days)),
            own: claims().all(|it| it.own),
            class: first.class,
            unassessed: false,
            choices: choices(set, parts.len()),
            counted: lumps.iter().filter(|it| is_of(it)).cloned().collect(),
            claims: parts,
            members,
        }))
    }

    fn members(&self, set: &[&Voice<'_>], places: &[usize], seats: &[Seat<'_>]) -> Vec<Member> {
        let claims = || set.iter().filter_map(|it| it.claim);
        let determined = |at: usize, kinds: &[Type]| {
            let mut stand = claims().filter(|it| it.worlds & AS_IT_STANDS != 0);
            stand.any(|it| kinds.contains(&it.kind) && it.covers(at))
        };
        let mut members = Vec::with_capacity(places.len());
        for at in places {
            let (Some(live), Some(seat)) = (self.live.get(*at), seats.get(*at)) else {
                continue;
            };
            let by_rso = determined(*at, &[Type::Replaces, Type::UntilResult]);
            // A dose that is only known to be above something takes no upper bound from
            // elsewhere: it stands until somebody sets it aside.
            let told_open = seat.safe.open || claims().any(|it| it.open && it.covers(*at));
            let shown_open = seat.safe.figure.safe.is_undetermined() && !seat.safe.open;
            members.push(Member {
                at: *at,
                day: live.day,
                own: known(undetermined(live, self.quantity).safe),
                waiting: match self.quantity {
                    Quantity::Extremity => Dose::ZERO,
                    _ => live.waiting,
                },
                open: told_open || shown_open && !seat.results.accepted() && !by_rso,
                special: live.special,
                counted: match seat.winner {
                    Some(_) => Dose::ZERO,
                    None => known(seat.said.figure.account),
                },
                reaches_over: live.crosses
                    && set.iter().any(|it| {
                        let past = it.claim.is_some_and(|it| it.days.last > live.day);
                        past && it.cover.contains(at)
                    }),
            });
        }
        members
    }

    fn is_elsewhere(&self, claim: &Claim) -> bool {
        let wear = claim
            .badge
            .and_then(|at| self.history.facts.dosimetry.wear.get(at));
        let doubted = wear.is_some_and(|it| it.counting == Counting::Held);
        claim.kind == Type::OnHold && !claim.own && !doubted
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
            let shift = covers.first().and_then(|it| members.get(*it));
            let first = shift.map_or(Span::OPEN_START, |it| it.day);
            // A night shift counts on the day after it as well, where a claim beside it does.
            let over = shift.filter(|it| it.reaches_over);
            let last = over.and_then(|it| it.day.succ_opt()).unwrap_or(first);
            return Ok(Part {
                source: None,
                days: Span { first, last },
                at_most: Dose::sum(voice.cover.iter().filter_map(|at| {
                    let seat = seats.get(*at)?;
                    Some(known(seat.safe.figure.safe))
                }))?,
                or_readings: false,
                replaces: voice.lasts.replaces,
                stands_in: voice.lasts.until_stated,
                states: false,
                covers,
                open: false,
                waits: false,
                otherwise: voice.worlds & AS_IT_STANDS == 0,
            });
        };
        let seated = || voice.cover.iter().filter_map(|at| seats.get(*at));
        let held = seated().any(|it| it.waits);
        let settled = claim.kind == Type::Result && claim.accepted && !claim.below && !held;
        Ok(Part {
            source: Some(claim.source),
            days: claim.days,
            at_most: claim.at_most,
            or_readings: !settled,
            replaces: claim.kind == Type::Replaces,
            stands_in: claim.stands_in,
            states: matches!(claim.source, Source::Result(_)) && !claim.stands_in,
            covers,
            open: claim.open,
            waits: matches!(claim.kind, Type::Result | Type::OnHold) && !claim.accepted,
            otherwise: voice.worlds & AS_IT_STANDS == 0,
        })
    }
}

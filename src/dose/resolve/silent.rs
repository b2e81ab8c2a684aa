//! What a record says that the account counts no more, and what took its place.

use crate::calendar::Span;
use crate::dose::input::{Counting, Determination, Relation};
use crate::dose::resolve::build::{ClaimDesk, Seat};
use crate::dose::resolve::claim::{Claim, Type};
use crate::dose::resolve::live::Source;
use crate::dose::resolve::silence::{Silence, Silent};
use crate::dose::resolve::together::stretches;

impl ClaimDesk<'_, '_> {
    /// Everything of the quantity that is silent; what merely stands in says nothing of it.
    pub(super) fn silent(&self, claims: &[Claim], seats: &[Seat<'_>], found: &mut Vec<Silent>) {
        self.set_aside(found);
        for claim in claims.iter().filter(|it| !it.stands_in) {
            let how = match claim.kind {
                Type::UntilResult => Silence::Ended,
                _ => Silence::Lower,
            };
            let by = match how {
                Silence::Ended => ended_by(claim, claims, seats),
                _ => lower_than(claim, claims, seats),
            };
            if let Some(by) = by {
                found.push(Silent {
                    source: claim.source,
                    entry: claim.entry,
                    days: claim.days,
                    how,
                    by,
                });
            }
        }
        self.ended_of_shifts(seats, found);
    }

    fn set_aside(&self, found: &mut Vec<Silent>) {
        let facts = &self.history.facts;
        let dosimetry = &facts.dosimetry;
        for (place, one) in dosimetry.determinations.iter().enumerate() {
            let by = self.decisions.out_by(one.entry);
            let by = by.filter(|_| one.quantity == self.quantity && one.stands_for(facts.record));
            if let (Some(by), Some((days, _))) = (by, self.days_of(one)) {
                let source = Source::Determination(place);
                found.push(Silent {
                    source,
                    entry: one.entry,
                    days,
                    how: Silence::SetAside,
                    by,
                });
            }
        }
        for (place, one) in dosimetry.results.iter().enumerate() {
            let stated = one.doses.get(self.quantity).is_some();
            let mut others = dosimetry.results.iter();
            let corrected =
                others.find(|it| it.counting == Counting::Counts && it.corrects == Some(one.entry));
            let by = match (self.decisions.out_by(one.entry), corrected) {
                (Some(by), _) => Some((by, Silence::SetAside)),
                (None, Some(by)) => Some((by.entry, Silence::Corrected)),
                (None, None) => None,
            };
            let by = by.filter(|_| stated && one.counting != Counting::RuledOut);
            let mut wears = dosimetry.wear.iter();
            let wear = wears.find(|it| Some(it.record) == one.wear);
            if let Some((by, how)) = by {
                found.push(Silent {
                    source: Source::Result(place),
                    entry: one.entry,
                    days: wear.map_or(one.stated_days, |it| dosimetry.worn_days(it)),
                    how,
                    by,
                });
            }
        }
    }

    /// What was determined of single shifts and ended with a result of them.
    fn ended_of_shifts(&self, seats: &[Seat<'_>], found: &mut Vec<Silent>) {
        let all = &self.history.facts.dosimetry.determinations;
        for (live, seat) in self.live.iter().zip(seats) {
            let until = |it: &&&Determination| {
                it.relation == Relation::UntilResult && it.quantity == self.quantity
            };
            for one in self.by_shift.on(live.sheet).iter().filter(until) {
                let place = all.iter().position(|it| std::ptr::eq(it, *one));
                if let (Some(by), Some(place)) = (seat.results.ender(one.entry), place) {
                    found.push(Silent {
                        source: Source::Determination(place),
                        entry: one.entry,
                        days: Span {
                            first: live.day,
                            last: live.day,
                        },
                        how: Silence::Ended,
                        by,
                    });
                }
            }
        }
    }
}

/// The result that ended a claim for some of its shifts, or for its badge.
fn ended_by(claim: &Claim, claims: &[Claim], seats: &[Seat<'_>]) -> Option<i64> {
    if claim.cover.is_empty() {
        let mut results = claims.iter().filter(|it| it.kind == Type::Result);
        let result = results.find(|it| claim.badge.is_some() && it.badge == claim.badge)?;
        return Some(result.entry);
    }
    let mut covered = claim.cover.iter().filter_map(|at| seats.get(*at));
    covered.find_map(|it| it.results.ender(claim.entry))
}

/// What has more for some of a claim's shifts, of a badge that was worn together with its
/// own.
fn lower_than(claim: &Claim, claims: &[Claim], seats: &[Seat<'_>]) -> Option<i64> {
    if claim.idle {
        return None;
    }
    if stretches(claim, claims).is_some() {
        let others = claims
            .iter()
            .filter(|it| !it.idle && it.cover.is_empty() && claim.is_worn_with(it));
        return others.max_by_key(|it| it.dose).map(|it| it.entry);
    }
    let mut winners = claim
        .cover
        .iter()
        .filter_map(|at| claims.get(seats.get(*at)?.winner?));
    let higher = winners.find(|it| claim.is_worn_with(it))?;
    Some(higher.entry)
}

//! What claims to say the dose of some shifts or days: results, and
//! determinations of days or of a badge.

use crate::calendar::Span;
use crate::dose::input::{
    BadgeKind, BadgeResult, Counting, Determination, Dosimetry, Issuer, Relation, Reported, Scope,
    Unstated, WearPeriod,
};
use crate::dose::resolve::decision::{Decisions, Rank};
use crate::dose::resolve::disposition::{EVERY, Worlds};
use crate::dose::resolve::live::Live;
use crate::dose::resolve::live::Source;
use crate::dose::resolve::share::{Shares, Weight, spread};
use crate::dose::resolve::wearing::reach;
use crate::dose::total::{Amount, Class};
use crate::quantity::Dose;
use crate::rule::Quantity;

/// What kind of claim it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Type {
    /// A result that counts.
    Result,
    /// A determination that takes the place of readings.
    Replaces,
    /// A determination that stands until a result comes.
    UntilResult,
    /// Possible, and for nobody to count but the conservative total: a result on hold,
    /// a badge on hold.
    OnHold,
}

/// One claim in one quantity.
#[derive(Clone, Debug)]
pub(super) struct Claim {
    pub kind: Type,
    pub source: Source,
    pub entry: i64,
    /// The record's first entry, then this one: which of two was told first.
    pub order: (i64, i64),
    /// The badge that it is about, by its place.
    pub badge: Option<usize>,
    /// The badges that were worn together with that one.
    pub with: Vec<usize>,
    pub days: Span,
    /// The shifts that it speaks for, by their places, ascending.
    pub cover: Vec<usize>,
    /// Of a result all shifts on which its badge was worn, those too for which a
    /// decision lets another speak: what only stands until a result comes has ended
    /// for each of them.
    pub measured: Vec<usize>,
    /// What the account counts.
    pub dose: Dose,
    /// The most that it can be.
    pub at_most: Dose,
    /// A determination that is only known to be above its dose.
    pub open: bool,
    /// A result below the minimum.
    pub below: bool,
    /// The RSO answers for it: an accepted result, or one chosen to stand.
    pub accepted: bool,
    /// The RSO chose it to stand where it and another contradicted each other.
    pub chosen: bool,
    /// The deep dose stands in: what speaks of the quantity itself goes first.
    pub stands_in: bool,
    pub class: Class,
    /// With this licensee.
    pub own: bool,
    /// How its dose lies over all the shifts that it speaks for.
    pub shares: Shares,
    /// The same of the high end of a range; of anything else its shares.
    pub high_shares: Shares,
    /// The readings of others leave nothing for a shift without an upper bound.
    pub nothing_left: bool,
    /// The account leaves it alone: ended, on hold, or another speaks.
    pub idle: bool,
    /// Another claim says the same.
    pub absorbed: bool,
    /// It speaks for what these, by their entries, do not speak for.
    pub beside: Vec<i64>,
    /// In which worlds it stands as it is.
    pub worlds: Worlds,
}

impl Claim {
    /// Which of two that say the same goes on speaking: the greater.
    pub(super) fn strength(&self) -> (bool, u8, bool) {
        let kind = match self.kind {
            Type::Result => 3,
            Type::Replaces => 2,
            Type::UntilResult => 1,
            Type::OnHold => 0,
        };
        (self.accepted, kind, !self.stands_in)
    }

    /// Whether it is a range, or has no upper bound. What a processor reports below its
    /// minimum is no range.
    pub(super) fn is_wide(&self) -> bool {
        self.open || self.at_most != self.dose && !self.below
    }

    /// Which of several goes on speaking while they contradict each other, the least:
    /// what the RSO chose to stand before what was told first.
    pub(super) fn rank(&self) -> Rank {
        (!self.chosen, self.order)
    }

    pub(super) fn covers(&self, at: usize) -> bool {
        self.cover.binary_search(&at).is_ok()
    }

    /// Whether the one speaks for what the other leaves, by a decision.
    pub(super) fn stands_beside(&self, other: &Claim) -> bool {
        self.beside.contains(&other.entry) || other.beside.contains(&self.entry)
    }

    /// Whether two are about badges that were worn together: of both the higher counts.
    pub(super) fn is_worn_with(&self, other: &Claim) -> bool {
        other.badge.is_some_and(|it| self.with.contains(&it))
    }

    /// Whether two say the dose of one thing: a shift, a badge, or days without
    /// any shift.
    pub(super) fn shares_with(&self, other: &Claim) -> bool {
        if self.stands_beside(other) {
            return false;
        }
        if self.badge.is_some() && self.badge == other.badge {
            return true;
        }
        match (self.cover.is_empty(), other.cover.is_empty()) {
            (true, true) => {
                let two_badges = self.badge.is_some() && other.badge.is_some();
                !two_badges && self.own && other.own && self.days.overlaps(&other.days)
            }
            (false, false) => self.cover.iter().any(|at| other.covers(*at)),
            _ => false,
        }
    }
}

/// What the claims of one quantity are made from.
pub(super) struct Gather<'a> {
    pub dosimetry: &'a Dosimetry,
    pub worker: i64,
    pub live: &'a [Live],
    pub decisions: &'a Decisions,
    /// Of each badge, by its place, those that were worn together with it.
    pub with: &'a [Vec<usize>],
    pub quantity: Quantity,
}

/// What one report says of a quantity, and whether the deep dose stands in.
struct Stated {
    reported: Reported,
    stands_in: bool,
}

impl Gather<'_> {
    /// Every claim that counts or may count; those set aside are left out.
    pub(super) fn claims(&self) -> Vec<Claim> {
        let mut claims = Vec::new();
        for at in 0..self.dosimetry.wear.len() {
            self.results_of(at, &mut claims);
        }
        for (place, one) in self.dosimetry.determinations.iter().enumerate() {
            claims.extend(self.determined(place, one));
        }
        for claim in &mut claims {
            claim.measured = claim.cover.clone();
        }
        self.carve(&mut claims);
        for claim in &mut claims {
            let weights = self.weights(&claim.cover);
            let (shares, nothing_left) = spread(claim.dose, &weights);
            claim.high_shares = match claim.is_wide() {
                true => spread(claim.at_most, &weights).0,
                false => shares.clone(),
            };
            claim.shares = shares;
            claim.nothing_left = nothing_left && claim.kind == Type::Result && !claim.accepted;
        }
        claims
    }

    /// A lump is spread by what the dosimeters showed, which no determination
    /// changes. An extremity's is spread by the readings at the trunk: they
    /// tell when there was dose, and not how much.
    fn weights(&self, cover: &[usize]) -> Vec<Weight> {
        let extremity = self.quantity == Quantity::Extremity;
        cover
            .iter()
            .filter_map(|at| Some((*at, self.live.get(*at)?)))
            .map(|(at, live)| {
                let open = live.dose.account.is_undetermined() || live.event;
                Weight {
                    at,
                    day: live.day,
                    dose: live.dose.account.known().unwrap_or(Dose::ZERO),
                    open: open && !extremity,
                    special: live.special,
                }
            })
            .collect()
    }

    fn results_of(&self, at: usize, claims: &mut Vec<Claim>) {
        let Some(wear) = self.dosimetry.wear.get(at) else {
            return;
        };
        let days = self.dosimetry.worn_days(wear);
        if wear.counting == Counting::RuledOut || !self.concerns(wear) {
            return;
        }
        let with = self.worn_with(at);
        let on_hold = wear.counting == Counting::Held || self.is_elsewhere_and_open(wear);
        let corrected: Vec<i64> = reports(self.dosimetry, wear.record)
            .filter(|(_, it)| it.counting == Counting::Counts)
            .filter_map(|(_, it)| it.corrects)
            .collect();
        for (place, result) in reports(self.dosimetry, wear.record) {
            let gone = result.counting == Counting::RuledOut
                || corrected.contains(&result.entry)
                || self.decisions.is_out(result.entry);
            let Some(stated) = self.stated(wear, result).filter(|_| !gone) else {
                continue;
            };
            let deep_alone =
                stated.stands_in && wear.is_own() && result.unstated == Unstated::Nothing;
            let counts = result.counting == Counting::Counts && !on_hold && !deep_alone;
            let mut cover = self.members(at, wear, days);
            let mut days = self.with_members(&cover, days);
            // A report on hold of a badge that nobody took off says nothing of
            // what is worked after the days that it states.
            if days.last == Span::OPEN_END {
                days.last = result.stated_days.last.max(days.first);
                cover.retain(|it| self.live.get(*it).is_some_and(|it| it.day <= days.last));
            }
            let chosen = self.decisions.chosen_by(result.entry).is_some();
            claims.push(Claim {
                kind: if counts { Type::Result } else { Type::OnHold },
                source: Source::Result(place),
                entry: result.entry,
                order: (result.record, result.entry),
                badge: Some(at),
                with: with.to_vec(),
                cover,
                measured: Vec::new(),
                days,
                dose: stated.reported.counted(),
                at_most: stated.reported.at_most(),
                open: false,
                below: matches!(stated.reported, Reported::BelowMinimum { .. }),
                accepted: counts && (result.accepted.is_some() || chosen),
                chosen: counts && chosen,
                stands_in: stated.stands_in,
                class: match (wear.is_own(), result.accepted.is_some() || chosen) {
                    (false, _) => Class::Prior,
                    (true, true) => Class::OfRecord,
                    (true, false) => Class::Reported,
                },
                own: wear.is_own(),
                shares: Shares::Days,
                high_shares: Shares::Days,
                nothing_left: false,
                idle: false,
                absorbed: false,
                beside: Vec::new(),
                worlds: EVERY,
            });
        }
    }

    /// What a report says of the quantity. Where another employer's leaves
    /// lens or shallow dose out, the deep dose stands in for it always.
    fn stated(&self, wear: &WearPeriod, result: &BadgeResult) -> Option<Stated> {
        let own = result.doses.get(self.quantity).clone();
        let photon = wear.kind == BadgeKind::WholeBody
            && matches!(self.quantity, Quantity::Lens | Quantity::Shallow);
        let (reported, stands_in) = match own {
            Some(reported) => (reported, false),
            None if photon => (result.doses.deep.clone()?, true),
            None => return None,
        };
        Some(Stated {
            reported,
            stands_in,
        })
    }

    /// Another employer's badge over own shifts of which nobody said whether it
    /// measured the same dose.
    fn is_elsewhere_and_open(&self, wear: &WearPeriod) -> bool {
        let days = wear.days();
        wear.issuer == Issuer::Other { same_dose: None }
            && self.live.iter().any(|it| days.contains(it.day))
    }

    /// Whether a badge says anything of the quantity here. Those that were worn
    /// together with another are weighed against it elsewhere.
    fn concerns(&self, wear: &WearPeriod) -> bool {
        let extremity = self.quantity == Quantity::Extremity;
        let together = wear.issuer
            == Issuer::Other {
                same_dose: Some(true),
            };
        match wear.kind {
            _ if together => false,
            BadgeKind::Extremity => extremity,
            BadgeKind::WholeBody => !extremity || !self.beside_a_ring(wear),
        }
    }

    /// Whether a whole-body badge states the dose of an extremity beside a
    /// ring, which measures it better.
    pub(super) fn beside_a_ring(&self, wear: &WearPeriod) -> bool {
        let days = self.dosimetry.worn_days(wear);
        self.dosimetry.wear.iter().any(|it| {
            it.kind == BadgeKind::Extremity
                && it.counting == Counting::Counts
                && it.days().overlaps(&days)
        })
    }

    fn worn_with(&self, at: usize) -> &[usize] {
        self.with.get(at).map(Vec::as_slice).unwrap_or_default()
    }

    /// The shifts on which a badge was worn, by their places: those that are its own and
    /// those of badges worn together with it. One on hold speaks for those that it would
    /// speak for if it counted.
    fn members(&self, at: usize, wear: &WearPeriod, days: Span) -> Vec<usize> {
        if !wear.is_own() {
            return Vec::new();
        }
        let extremity = self.quantity == Quantity::Extremity;
        let held = wear.counting == Counting::Held;
        let with = self.worn_with(at);
        let mine = |live: &Live| {
            let (place, named) = match wear.kind {
                BadgeKind::WholeBody if extremity => return false,
                BadgeKind::WholeBody => (live.trunk, live.named),
                BadgeKind::Extremity => (live.ring, None),
            };
            let on_issue = days.contains(live.day);
            match (place, held) {
                (Some(of), _) if of != at => on_issue && named.is_none() && with.contains(&of),
                (Some(_), _) => true,
                (None, true) => on_issue && live.worn && named.is_none_or(|it| it == at),
                (None, false) => false,
            }
        };
        let all = reach(self.dosimetry, wear);
        let from = self.live.partition_point(|live| live.day < all.first);
        let to = self.live.partition_point(|live| live.day <= all.last);
        let places = (from..to).filter(|place| self.live.get(*place).is_some_and(mine));
        places.collect()
    }

    fn with_members(&self, members: &[usize], days: Span) -> Span {
        let of = |place: Option<&usize>| place.and_then(|it| self.live.get(*it)).map(|it| it.day);
        Span {
            first: of(members.first()).map_or(days.first, |it| it.min(days.first)),
            last: of(members.last()).map_or(days.last, |it| it.max(days.last)),
        }
    }

    /// A determination of days or of a badge.
    fn determined(&self, place: usize, one: &Determination) -> Option<Claim> {
        let stands = one.stands_for(self.worker) && !self.decisions.is_out(one.entry);
        if one.relation == Relation::Adds || !stands {
            return None;
        }
        let stands_in = self.stands_in(one)?;
        let (badge, days, cover, own) = match one.scope {
            Scope::Span(span) => {
                let from = self.live.partition_point(|live| live.day < span.first);
                let to = self.live.partition_point(|live| live.day <= span.last);
                (None, span, (from..to).collect(), true)
            }
            Scope::WearPeriod(record) => {
                let wears = self.dosimetry.wear.iter();
                let at = wears.clone().position(|it| it.record == record)?;
                let wear = self.dosimetry.wear.get(at)?;
                let together = Issuer::Other {
                    same_dose: Some(true),
                };
                if wear.counting == Counting::RuledOut || wear.issuer == together {
                    return None;
                }
                let days = determined_days(self.dosimetry, wear, one);
                let mut cover = self.members(at, wear, days);
                cover.retain(|it| self.live.get(*it).is_some_and(|it| it.day <= days.last));
                (Some(at), days, cover, wear.is_own())
            }
            _ => return None,
        };
        let on_hold = badge
            .and_then(|at| self.dosimetry.wear.get(at))
            .is_some_and(|it| it.counting == Counting::Held || self.is_elsewhere_and_open(it));
        let replaces = one.relation == Relation::Replaces;
        Some(Claim {
            kind: match (on_hold, replaces) {
                (true, _) => Type::OnHold,
                (false, true) => Type::Replaces,
                (false, false) => Type::UntilResult,
            },
            source: Source::Determination(place),
            entry: one.entry,
            order: (one.record, one.entry),
            badge,
            with: badge.map_or(Vec::new(), |at| self.worn_with(at).to_vec()),
            days,
            cover,
            measured: Vec::new(),
            dose: one.dose,
            at_most: one.at_most,
            open: one.open,
            below: false,
            accepted: false,
            chosen: !on_hold && self.decisions.chosen_by(one.entry).is_some(),
            stands_in,
            class: match (own, replaces && !stands_in) {
                (false, _) => Class::Prior,
                (true, true) => Class::OfRecord,
                (true, false) => Class::Provisional,
            },
            own,
            shares: Shares::Days,
            high_shares: Shares::Days,
            nothing_left: false,
            idle: false,
            absorbed: false,
            beside: Vec::new(),
            worlds: EVERY,
        })
    }

    /// Whether a deep dose stands in for the quantity, or `None` where the
    /// determination says nothing of it.
    fn stands_in(&self, one: &Determination) -> Option<bool> {
        if one.quantity == self.quantity {
            return Some(false);
        }
        let deep = one.quantity == Quantity::Deep
            && matches!(self.quantity, Quantity::Lens | Quantity::Shallow);
        let own = self.dosimetry.determinations.iter().any(|it| {
            it.quantity == self.quantity
                && it.scope == one.scope
                && it.relation != Relation::Adds
                && it.stands_for(self.worker)
                && !self.decisions.is_out(it.entry)
        });
        (deep && !own).then_some(true)
    }
}

/// The reports of one badge, with their places.
pub(super) fn reports(
    dosimetry: &Dosimetry,
    wear: i64,
) -> impl Iterator<Item = (usize, &BadgeResult)> {
    let all = dosimetry.results.iter().enumerate();
    all.filter(move |(_, it)| it.wear == Some(wear))
}

/// The days of a badge that a determination covers: up to its loss or return;
/// of one still worn, up to the day that it names.
pub(crate) fn determined_days(
    dosimetry: &Dosimetry,
    wear: &WearPeriod,
    one: &Determination,
) -> Span {
    let mut days = dosimetry.worn_days(wear);
    let named = one.through.filter(|it| *it >= days.first);
    match (named, days.last == Span::OPEN_END) {
        (Some(through), _) => days.last = through.min(days.last),
        (None, true) => days.last = wear.planned_last.unwrap_or(days.first).max(days.first),
        (None, false) => {}
    }
    days
}

/// The known part of an amount.
pub(super) fn known(amount: Amount) -> Dose {
    amount.known().unwrap_or(Dose::ZERO)
}

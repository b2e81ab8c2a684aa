//! Decides one quantity: who speaks for which shift in the account, what is
//! open, and what the conservative total takes of each group.

use crate::calendar::Span;
use crate::dose::input::History;
use crate::dose::resolve::by_shift::ByShift;
use crate::dose::resolve::claim::{Claim, Gather, Type};
use crate::dose::resolve::conflict::Conflict;
use crate::dose::resolve::covered::{Covered, ended_by_badge};
use crate::dose::resolve::decision::Decisions;
use crate::dose::resolve::disposition::{RuledOut, ruled_out};
use crate::dose::resolve::figure::{Left, Said};
use crate::dose::resolve::live::{Live, Source};
use crate::dose::resolve::resolved::{Resolved, Single, Units};
use crate::dose::resolve::share::{Lump, Share, Shares};
use crate::dose::resolve::silence::Silent;
use crate::dose::resolve::together::stretches;
use crate::dose::resolve::wearing;
use crate::dose::total::{Amount, Class, PerQuantity, QUANTITIES};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

impl Resolved {
    /// Decides which record speaks for what.
    pub(crate) fn of(history: &History) -> Result<Resolved, Overflow> {
        let facts = &history.facts;
        let all = ByShift::new(&facts.dosimetry, facts.record, &Decisions::default());
        let live = wearing::live(&facts.dosimetry, &history.shifts, &all)?;
        let decisions = Decisions::of(&facts.dosimetry, facts.record, &live);
        let by_shift = ByShift::new(&facts.dosimetry, facts.record, &decisions);
        let special = wearing::authorized(&facts.dosimetry);
        let with = wearing::all_worn_with(&facts.dosimetry);
        let ruled_out = ruled_out(history, &all)?;
        let mut of = PerQuantity::<Units>::default();
        let (mut conflicts, mut silent) = (Vec::new(), Vec::new());
        for quantity in QUANTITIES {
            let desk = ClaimDesk {
                history,
                by_shift: &by_shift,
                live: &live,
                special: &special,
                with: &with,
                ruled_out: &ruled_out,
                decisions: &decisions,
                quantity,
            };
            *of.get_mut(quantity) = desk.decide(&mut conflicts, &mut silent)?;
        }
        silent.sort_by_key(|it: &Silent| (it.days.first, it.entry, it.by));
        silent.dedup_by_key(|it| (it.entry, it.how, it.by));
        conflicts.sort_by_key(|it| (it.days.first, it.entries.first().copied()));
        Ok(Resolved {
            live,
            of,
            conflicts,
            silent,
        })
    }
}

/// What the decision of one quantity is made from.
pub(super) struct ClaimDesk<'b, 'h> {
    pub history: &'h History,
    pub by_shift: &'b ByShift<'h>,
    pub live: &'b [Live],
    pub special: &'b [Span],
    /// Of each badge, by its place, those that were worn together with it.
    pub with: &'b [Vec<usize>],
    /// How the records would lie with badges on hold ruled out.
    pub ruled_out: &'b [RuledOut],
    pub decisions: &'b Decisions,
    pub quantity: Quantity,
}

/// One shift with everything that speaks of it.
pub(super) struct Seat<'h> {
    /// The claims that speak for it in the account, by their places.
    pub claims: Vec<usize>,
    /// What it says of itself in the account.
    pub said: Said<'h>,
    /// What it says of itself on the conservative side.
    pub safe: Said<'h>,
    /// Which results cover it.
    pub results: Covered,
    /// A reading of it waits for somebody.
    pub waits: bool,
    /// A claim says the same as what was determined of it alone.
    pub absorbed: bool,
    /// The claim that speaks for it in the account; its own figures if none.
    pub winner: Option<usize>,
}

impl<'h> ClaimDesk<'_, 'h> {
    fn decide(
        &self,
        conflicts: &mut Vec<Conflict>,
        silent: &mut Vec<Silent>,
    ) -> Result<Units, Overflow> {
        let gather = self.gather();
        let mut claims = gather.claims();
        let mut seats = self.seats(&mut claims)?;
        self.contest(&mut claims, &mut seats, conflicts)?;
        self.silent(&claims, &seats, silent);
        let otherwise = self.otherwise(&mut claims);
        let lumps = self.lumps(&claims, &seats);
        let mut units = Units {
            singles: Vec::new(),
            groups: self.groups((&claims, &otherwise), &lumps, &seats)?,
            lumps,
            excesses: Vec::new(),
        };
        units.singles = self.singles(&claims, &seats, &units.groups);
        self.added(&mut units);
        self.prior(&mut units);
        units.lumps.sort_by_key(|it| (it.days.first, it.entry));
        units.groups.sort_by_key(|it| (it.days.first, it.entry));
        self.beside(&gather, &mut units)?;
        Ok(units)
    }

    pub(super) fn gather(&self) -> Gather<'_> {
        Gather {
            dosimetry: &self.history.facts.dosimetry,
            worker: self.history.facts.record,
            live: self.live,
            decisions: self.decisions,
            with: self.with,
            quantity: self.quantity,
        }
    }

    /// Who may speak for each shift. A determination that stands until a result
    /// comes ends, shift by shift, with a result of that shift; one of the deep
    /// dose stands in for lens or shallow dose until a result states it.
    fn seats(&self, claims: &mut [Claim]) -> Result<Vec<Seat<'h>>, Overflow> {
        let covered = self.covered(claims);
        let reported = reported(claims, self.live.len());
        let mut seats = Vec::with_capacity(self.live.len());
        for (at, (live, results)) in self.live.iter().zip(covered).enumerate() {
            let view = |results: &Covered, accepted| self.said(live, Left { results, accepted });
            let said = view(&results, false)?;
            let mut safe = view(&results, true)?;
            safe.at_least(&said);
            for results in reported
                .get(at)
                .into_iter()
                .flat_map(Covered::by_acceptance)
            {
                safe.at_least(&view(&results, false)?);
            }
            seats.push(Seat {
                claims: Vec::new(),
                said,
                safe,
                results,
                waits: live.dose.held > 0,
                absorbed: false,
                winner: None,
            });
        }
        for nth in 0..claims.len() {
            let ended = claims
                .get(nth)
                .is_some_and(|it| ended_by_badge(it, claims, |_| true));
            let Some(claim) = claims.get_mut(nth) else {
                break;
            };
            let mut speaks = false;
            for at in &claim.cover {
                if let Some(seat) = seats.get_mut(*at)
                    && !seat.results.end_claim(claim, false)
                    && claim.kind != Type::OnHold
                    && !claim.nothing_left
                {
                    seat.claims.push(nth);
                    speaks = true;
                }
            }
            claim.idle = match claim.kind {
                Type::OnHold => true,
                _ if claim.cover.is_empty() => ended,
                _ => !speaks,
            };
        }
        Ok(seats)
    }

    /// The results of each shift.
    fn covered(&self, claims: &[Claim]) -> Vec<Covered> {
        let mut covered = vec![Covered::default(); self.live.len()];
        for claim in claims.iter().filter(|it| it.kind == Type::Result) {
            for at in &claim.measured {
                if let Some(results) = covered.get_mut(*at) {
                    results.add(claim, *at);
                }
            }
        }
        covered
    }

    fn said(&self, live: &Live, left: Left<'_>) -> Result<Said<'h>, Overflow> {
        match self.history.shifts.get(live.at) {
            Some(work) => self.by_shift.said(work, live, self.quantity, left),
            None => Ok(Said::nothing()),
        }
    }

    /// What the account counts of each claim: the whole where it speaks for all
    /// of its shifts, else its share of those that it speaks for.
    fn lumps(&self, claims: &[Claim], seats: &[Seat<'_>]) -> Vec<Lump> {
        let mut lumps = Vec::new();
        for (nth, claim) in claims.iter().enumerate().filter(|(_, it)| !it.idle) {
            if let Some(parts) = stretches(claim, claims) {
                let sum = parts.iter().map(|it| it.1.nsv()).sum();
                if !parts.is_empty() {
                    let all = Shares::Stretches(parts);
                    let mut lump = self.lump(claim, Vec::new(), false, all);
                    // Its parts are not above the whole, which fits.
                    lump.amount = Amount::of(Dose::from_nsv(sum), claim.open);
                    lumps.push(lump);
                }
                continue;
            }
            let wins = |at: &&usize| seats.get(**at).is_some_and(|it| it.winner == Some(nth));
            let won: Vec<usize> = claim.cover.iter().filter(wins).copied().collect();
            let whole = won.len() == claim.cover.len();
            if !whole && won.is_empty() {
                continue;
            }
            let shares = match whole {
                true => claim.shares.clone(),
                false => self.part_of(claim, &won),
            };
            lumps.push(self.lump(claim, won, whole, shares));
        }
        lumps
    }

    /// The shares of some of a claim's shifts; evenly where no reading tells
    /// anything.
    pub(super) fn part_of(&self, claim: &Claim, won: &[usize]) -> Shares {
        let even;
        let all = match &claim.shares {
            Shares::Shifts(all) => all,
            Shares::Days | Shares::Stretches(_) => {
                even = self.evenly(claim);
                &even
            }
        };
        let kept = all.iter().filter(|it| won.contains(&it.at));
        Shares::Shifts(kept.copied().collect())
    }

    fn evenly(&self, claim: &Claim) -> Vec<Share> {
        let count = i128::try_from(claim.cover.len())
            .unwrap_or(i128::MAX)
            .max(1);
        let whole = i128::from(claim.dose.nsv());
        let places = claim
            .cover
            .iter()
            .filter_map(|at| Some((*at, self.live.get(*at)?)));
        let steps = places.zip(0_i128..);
        steps
            .map(|((at, live), nth)| {
                let nsv = whole * (nth + 1) / count - whole * nth / count;
                Share {
                    at,
                    day: live.day,
                    // No share is above its lump, so each fits.
                    dose: Dose::from_nsv(i64::try_from(nsv).unwrap_or(i64::MAX)),
                    special: live.special,
                }
            })
            .collect()
    }

    fn lump(&self, claim: &Claim, members: Vec<usize>, whole: bool, shares: Shares) -> Lump {
        let special = self.is_special(claim.days);
        let apart = match &shares {
            Shares::Shifts(shares) if !special => shares
                .iter()
                .filter(|share| share.special)
                .map(|share| share.dose.nsv())
                .sum(),
            _ => 0,
        };
        Lump {
            source: claim.source,
            entry: claim.entry,
            days: claim.days,
            class: claim.class,
            amount: Amount::of(claim.dose, claim.open),
            shares,
            members,
            whole,
            apart: Dose::from_nsv(apart),
            special,
            stands_in: claim.stands_in,
            own: claim.own,
        }
    }

    /// Whether all days of a period count apart.
    pub(super) fn is_special(&self, days: Span) -> bool {
        self.special
            .iter()
            .any(|it| it.first <= days.first && days.last <= it.last)
    }

    /// What each shift says where nothing else speaks for it, and what of a
    /// night shift reaches into the day after.
    fn singles(
        &self,
        claims: &[Claim],
        seats: &[Seat<'_>],
        groups: &[super::group::Group],
    ) -> Vec<Single> {
        let grouped = super::group::grouped(groups, seats.len());
        let mut singles = Vec::with_capacity(seats.len());
        for (at, ((live, seat), group)) in self.live.iter().zip(seats).zip(grouped).enumerate() {
            let safe = seat.safe.figure.safe;
            let carries = match group.and_then(|it| groups.get(it)) {
                _ if !live.crosses || live.special => Amount::Elsewhere,
                None => safe,
                Some(group) if group.reaches_past(at, live.day) => Amount::Elsewhere,
                Some(group) => {
                    let shares = claims.iter().filter(|it| it.covers(at));
                    let share = shares.map(|it| it.high_shares.of(at)).max();
                    let share = share.unwrap_or(Dose::ZERO);
                    let known = safe.known().unwrap_or(Dose::ZERO);
                    Amount::of(share.max(known), group.is_open_at(at))
                }
            };
            singles.push(Single {
                account: match seat.winner {
                    Some(_) => Amount::Elsewhere,
                    None => seat.said.figure.account,
                },
                class: match seat.winner {
                    Some(_) => Class::Provisional,
                    None => seat.said.figure.class,
                },
                held: seat.said.figure.held,
                wide: !seat.safe.is_exact(),
                safe: match group {
                    Some(_) => Amount::Elsewhere,
                    None => safe,
                },
                carries,
            });
        }
        singles
    }
}

/// Every report of each shift as if it counted: one that leaves nothing for a shift, or is on
/// hold, may be accepted yet.
fn reported(claims: &[Claim], shifts: usize) -> Vec<Covered> {
    let mut found = vec![Covered::default(); shifts];
    for claim in claims {
        let of = match (claim.kind, &claim.source) {
            (Type::Result, _) => &claim.measured,
            (Type::OnHold, Source::Result(_)) => &claim.cover,
            _ => continue,
        };
        for at in of {
            if let Some(results) = found.get_mut(*at) {
                results.add_as_counting(claim, *at);
            }
        }
    }
    found
}

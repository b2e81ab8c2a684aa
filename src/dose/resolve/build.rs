//! Builds the decisions, one quantity after the other.

use crate::calendar::Span;
use crate::dose::account::{prior_amounts, prior_span};
use crate::dose::input::{BadgeKind, Counting, History, Issuer, Relation, Scope, WearPeriod};
use crate::dose::resolve::claim;
use crate::dose::resolve::conflict::Conflict;
use crate::dose::resolve::figure::{ByShift, Figure, Mode};
use crate::dose::resolve::period::{Asked, Decided, Reports, Source};
use crate::dose::resolve::share::{Lump, Shares, Weight, spread};
use crate::dose::resolve::{Bundle, Excess, Live, Resolved, Units};
use crate::dose::safe_side::Why;
use crate::dose::total::{Amount, Class, PerQuantity, QUANTITIES};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

impl Resolved {
    /// Decides which record speaks for what.
    pub(crate) fn of(history: &History) -> Result<Resolved, Overflow> {
        let facts = &history.facts;
        let by_shift = ByShift::new(&facts.dosimetry, facts.record);
        let live = claim::live(history, &by_shift)?;
        let special = claim::authorized(&facts.dosimetry);
        let mut of = PerQuantity::<Units>::default();
        let mut conflicts = Vec::new();
        for quantity in QUANTITIES {
            let mut build = Build {
                history,
                by_shift: &by_shift,
                live: &live,
                special: &special,
                quantity,
                spoken: vec![Spoken::default(); live.len()],
                units: Units::default(),
                conflicts: &mut conflicts,
                set_aside: Vec::new(),
                together: Vec::new(),
            };
            build.periods()?;
            build.spans()?;
            build.added()?;
            build.lonely();
            build.spares();
            build.prior();
            build.singles()?;
            build.worn_together()?;
            build
                .units
                .bundles
                .sort_by_key(|it| (it.days.first, it.entry));
            *of.get_mut(quantity) = build.units;
        }
        conflicts.sort_by_key(|it| (it.days.first, it.entries.first().copied()));
        Ok(Resolved {
            live,
            of,
            conflicts,
        })
    }
}

/// Who speaks for a shift.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spoken {
    /// How its own figures are taken.
    pub mode: Mode,
    /// A lump speaks for it in the account.
    pub account: bool,
    /// The bundle that speaks for it on the safe side.
    pub safe: Option<usize>,
    /// A result or a determination of its wear period stands.
    pub settled: bool,
}

impl Default for Spoken {
    fn default() -> Self {
        Spoken {
            mode: Mode::NO_RESULT,
            account: false,
            safe: None,
            settled: false,
        }
    }
}

/// The work on one quantity.
pub(super) struct Build<'b, 'h> {
    pub history: &'h History,
    pub by_shift: &'b ByShift<'h>,
    pub live: &'b [Live],
    pub special: &'b [Span],
    pub quantity: Quantity,
    pub spoken: Vec<Spoken>,
    pub units: Units,
    pub conflicts: &'b mut Vec<Conflict>,
    /// Determinations of spans that a settlement set aside.
    pub set_aside: Vec<i64>,
    /// What was decided of badges worn together with the own one.
    pub together: Vec<(usize, Span, Decided)>,
}

impl<'h> Build<'_, 'h> {
    pub(super) fn figure(&self, at: usize, mode: Mode) -> Result<Figure, Overflow> {
        figure_of(
            self.history,
            self.by_shift,
            self.live,
            self.quantity,
            at,
            mode,
        )
    }

    pub(super) fn weights(&self, members: &[usize], mode: Mode) -> Result<Vec<Weight>, Overflow> {
        members
            .iter()
            .filter_map(|at| self.live.get(*at).map(|live| (*at, live)))
            .map(|(at, live)| self.weight(at, live, mode))
            .collect()
    }

    /// An extremity's dose is spread by the readings at the trunk, which tell
    /// when there was dose, and not how much.
    fn weight(&self, at: usize, live: &Live, mode: Mode) -> Result<Weight, Overflow> {
        let own = self.figure(at, mode)?;
        let extremity = self.quantity == Quantity::Extremity;
        let amount = match own.account {
            Amount::NotAssessed => live.dose.account,
            amount => amount,
        };
        let open = amount.is_undetermined() || live.event && own.class == Class::Provisional;
        Ok(Weight {
            at,
            day: live.day,
            dose: amount.known().unwrap_or(Dose::ZERO),
            open: open && !extremity,
            special: live.special,
        })
    }

    fn periods(&mut self) -> Result<(), Overflow> {
        let dosimetry = &self.history.facts.dosimetry;
        for (at, wear) in dosimetry.wear.iter().enumerate() {
            if wear.counting == Counting::RuledOut {
                continue;
            }
            let reports = Reports::of(dosimetry, wear.record);
            let spoken_of = !reports.counting.is_empty()
                || !reports.held.is_empty()
                || dosimetry
                    .determinations
                    .iter()
                    .any(|one| one.scope == Scope::WearPeriod(wear.record));
            if !spoken_of || !self.concerns(wear, &reports) {
                continue;
            }
            let (days, members) = self.speaks_for(at, wear, &reports);
            let mut decided = self.decide(at, wear, &reports, &members, self.quantity)?;
            if !wear.is_own() && decided.lump.is_none() && self.quantity != Quantity::Extremity {
                // Where another employer's report leaves lens or shallow dose
                // out, the deep dose stands in for it.
                let conflicts = std::mem::take(&mut decided.conflicts);
                decided = self.decide(at, wear, &reports, &members, Quantity::Deep)?;
                decided.conflicts = conflicts;
            }
            self.conflicts.append(&mut decided.conflicts);
            self.set_aside.append(&mut decided.set_aside);
            self.take(at, wear, days, members, decided)?;
        }
        Ok(())
    }

    /// Whether a badge says anything of the quantity.
    fn concerns(&self, wear: &WearPeriod, reports: &Reports<'_>) -> bool {
        let extremity = self.quantity == Quantity::Extremity;
        match wear.kind {
            BadgeKind::Extremity => extremity,
            BadgeKind::WholeBody if !extremity => true,
            BadgeKind::WholeBody => {
                let all = reports.counting.iter().chain(&reports.held);
                let determinations = &self.history.facts.dosimetry.determinations;
                all.into_iter().any(|(_, it)| it.doses.extremity.is_some())
                    || determinations.iter().any(|one| {
                        one.quantity == Quantity::Extremity
                            && one.scope == Scope::WearPeriod(wear.record)
                    })
            }
        }
    }

    /// The days and the shifts for which a badge speaks. An open period without
    /// a result speaks for no shift: what was determined of it, or waits for a
    /// ruling, counts beside the readings, on the first day.
    fn speaks_for(
        &self,
        at: usize,
        wear: &WearPeriod,
        reports: &Reports<'_>,
    ) -> (Span, Vec<usize>) {
        let mut days = self.history.facts.dosimetry.worn_days(wear);
        if days.last != Span::OPEN_END {
            return (days, self.members(at, wear, days));
        }
        let held = reports.held.iter().map(|(_, it)| it.stated_days.last).max();
        days.last = held.unwrap_or(days.first).max(days.first);
        (days, Vec::new())
    }

    /// The shifts on which a badge was worn, by their places.
    fn members(&self, at: usize, wear: &WearPeriod, days: Span) -> Vec<usize> {
        if !wear.is_own() || wear.counting != Counting::Counts {
            return Vec::new();
        }
        let extremity = self.quantity == Quantity::Extremity;
        let worn = |live: &Live| match wear.kind {
            BadgeKind::WholeBody => !extremity && live.trunk == Some(at),
            BadgeKind::Extremity => extremity && live.ring == Some(at),
        };
        let from = self.live.partition_point(|live| live.day < days.first);
        let to = self.live.partition_point(|live| live.day <= days.last);
        (from..to)
            .filter(|place| self.live.get(*place).is_some_and(worn))
            .collect()
    }

    fn decide(
        &self,
        at: usize,
        wear: &'h WearPeriod,
        reports: &Reports<'h>,
        members: &[usize],
        quantity: Quantity,
    ) -> Result<Decided, Overflow> {
        let facts = &self.history.facts;
        let of_members = members
            .iter()
            .filter_map(|place| self.live.get(*place))
            .filter_map(|live| self.history.shifts.get(live.at))
            .flat_map(|work| self.by_shift.on(work.sheet))
            .filter(|one| one.quantity == quantity && one.relation == Relation::Replaces)
            .copied()
            .collect();
        let figures = |mode: Mode| {
            let all = members.iter().map(|place| self.figure(*place, mode));
            all.collect::<Result<Vec<Figure>, Overflow>>()
        };
        let nothing_left = |dose: Dose, mode: Mode| {
            let (_, nothing) = spread(dose, &self.weights(members, mode)?);
            Ok(nothing)
        };
        let asked = Asked {
            dosimetry: &facts.dosimetry,
            worker: facts.record,
            wear,
            at,
            quantity,
            reports,
            of_members,
            figures: &figures,
            nothing_left: &nothing_left,
        };
        asked.decide()
    }

    /// Puts what was decided of a badge where it belongs.
    fn take(
        &mut self,
        at: usize,
        wear: &WearPeriod,
        days: Span,
        members: Vec<usize>,
        decided: Decided,
    ) -> Result<(), Overflow> {
        let doubled = wear.kind == BadgeKind::WholeBody
            && self.quantity == Quantity::Extremity
            && self.has_ring(days);
        if wear.counting == Counting::Held || doubled {
            if let Some(safe) = highest(&decided) {
                self.units.excesses.push(Excess {
                    source: source_of(&decided, at),
                    entry: entry_of(&decided, wear),
                    days,
                    lump: None,
                    safe,
                    why: if doubled { Why::OtherBadge } else { Why::Held },
                });
            }
            return Ok(());
        }
        match wear.issuer {
            Issuer::Own => self.bundle(at, wear, days, members, decided),
            Issuer::Other { worn_here: false } => self.bundle(at, wear, days, members, decided),
            Issuer::Other { worn_here: true } => {
                self.together.push((at, days, decided));
                Ok(())
            }
        }
    }

    fn has_ring(&self, days: Span) -> bool {
        let wear = &self.history.facts.dosimetry.wear;
        wear.iter().any(|it| {
            it.kind == BadgeKind::Extremity
                && it.counting == Counting::Counts
                && it.days().overlaps(&days)
        })
    }

    fn bundle(
        &mut self,
        at: usize,
        wear: &WearPeriod,
        days: Span,
        members: Vec<usize>,
        decided: Decided,
    ) -> Result<(), Overflow> {
        let weights = self.weights(&members, decided.mode)?;
        let lump = decided.lump.map(|(_, entry, dose, own)| {
            let class = if wear.is_own() { own } else { Class::Prior };
            self.lump(entry, days, class, dose, &weights)
        });
        let place = self.units.bundles.len();
        for member in &members {
            if let Some(spoken) = self.spoken.get_mut(*member) {
                spoken.mode = decided.mode;
                spoken.account = lump.is_some();
                spoken.settled = decided.settled;
                spoken.safe = decided.safe.map(|_| place);
            }
        }
        if let Some(safe) = decided.safe {
            self.units.bundles.push(Bundle {
                source: source_of(&decided, at),
                entry: entry_of(&decided, wear),
                days,
                safe_days: days,
                members,
                lump,
                safe,
                why: decided.why,
                special: self.is_special(days),
                own: wear.is_own(),
            });
        }
        Ok(())
    }

    /// A lump spread over its shifts.
    pub(super) fn lump(
        &self,
        entry: i64,
        days: Span,
        class: Class,
        dose: Dose,
        weights: &[Weight],
    ) -> Lump {
        let (shares, _) = spread(dose, weights);
        let apart = match &shares {
            Shares::ByShift(shares) if !self.is_special(days) => shares
                .iter()
                .filter(|share| share.special)
                .map(|share| share.dose.nsv())
                .sum(),
            _ => 0,
        };
        Lump {
            entry,
            days,
            class,
            amount: Amount::Known(dose),
            shares,
            special: Dose::from_nsv(apart),
        }
    }

    /// Whether all days of a period count apart.
    pub(super) fn is_special(&self, days: Span) -> bool {
        self.special
            .iter()
            .any(|it| it.first <= days.first && days.last <= it.last)
    }

    /// Badges of other employers that were worn together with the own one: what
    /// they have above what is counted of those days adds.
    fn worn_together(&mut self) -> Result<(), Overflow> {
        for (at, days, decided) in std::mem::take(&mut self.together) {
            let Some(wear) = self.history.facts.dosimetry.wear.get(at) else {
                continue;
            };
            let lump = match decided.lump {
                Some((_, entry, dose, _)) => {
                    let counted = self.counted(days)?;
                    let above = dose.checked_sub(counted)?.max(Dose::ZERO);
                    Some(self.lump(entry, days, Class::Prior, above, &[]))
                }
                None => None,
            };
            if let Some(safe) = highest(&decided) {
                self.units.excesses.push(Excess {
                    source: source_of(&decided, at),
                    entry: entry_of(&decided, wear),
                    days,
                    lump,
                    safe,
                    why: Why::OtherBadge,
                });
            }
        }
        Ok(())
    }

    /// What the account counts of the own dose on some days.
    fn counted(&self, days: Span) -> Result<Dose, Overflow> {
        let known = |amount: Amount| amount.known().unwrap_or(Dose::ZERO);
        let singles = self.live.iter().zip(&self.units.singles);
        let singles = singles
            .filter(|(live, _)| days.contains(live.day) && !live.special)
            .map(|(_, single)| known(single.account));
        let lumps = self.units.bundles.iter().filter(|it| it.own);
        let lumps = lumps
            .filter_map(|it| it.lump.as_ref()?.within(days))
            .map(|(_, amount)| known(amount));
        Dose::sum(singles.chain(lumps))
    }

    fn prior(&mut self) {
        for (at, prior) in self.history.facts.prior.iter().enumerate() {
            let days = prior_span(prior);
            let amount = *prior_amounts(prior).get(self.quantity);
            let lump = Lump {
                entry: prior.entry,
                days,
                class: Class::Prior,
                amount,
                shares: Shares::ByDays,
                special: Dose::ZERO,
            };
            self.units.bundles.push(Bundle {
                source: Source::Prior(at),
                entry: prior.entry,
                days,
                safe_days: days,
                members: Vec::new(),
                lump: Some(lump),
                safe: amount,
                why: Why::WholeLump,
                special: false,
                own: false,
            });
        }
    }
}

fn figure_of(
    history: &History,
    by_shift: &ByShift<'_>,
    live: &[Live],
    quantity: Quantity,
    at: usize,
    mode: Mode,
) -> Result<Figure, Overflow> {
    let found = live
        .get(at)
        .and_then(|live| Some((live, history.shifts.get(live.at)?)));
    match found {
        Some((live, work)) => by_shift.figure(work, &live.dose, quantity, mode),
        None => Ok(Figure {
            account: Amount::Elsewhere,
            safe: Amount::Elsewhere,
            class: Class::Provisional,
            held: 0,
        }),
    }
}

fn source_of(decided: &Decided, at: usize) -> Source {
    decided
        .lump
        .map_or(Source::Readings(at), |(source, ..)| source)
}

fn entry_of(decided: &Decided, wear: &WearPeriod) -> i64 {
    decided.lump.map_or(wear.entry, |(_, entry, ..)| entry)
}

/// The whole of a badge's dose on the safe side.
fn highest(decided: &Decided) -> Option<Amount> {
    let counted = decided.lump.map(|(_, _, dose, _)| dose);
    match (decided.safe, counted) {
        (Some(safe), counted) => {
            let known = safe.known().unwrap_or(Dose::ZERO);
            let known = known.max(counted.unwrap_or(Dose::ZERO));
            Some(Amount::of(known, safe.is_undetermined()))
        }
        (None, counted) => counted.map(Amount::Known),
    }
}

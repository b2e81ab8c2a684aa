//! What stands beside the claims: doses that add, dose of other employers,
//! determinations that lack a second person, badges worn together with the own
//! one, results of badges that were never issued.

use crate::calendar::Span;
use crate::dose::input::{
    BadgeKind, Counting, Determination, Issuer, Relation, Reported, Scope, WearPeriod,
};
use crate::dose::prior::{prior_amounts, prior_span};
use crate::dose::resolve::build::ClaimDesk;
use crate::dose::resolve::claim::{Gather, determined_days, known, reports};
use crate::dose::resolve::group::Group;
use crate::dose::resolve::live::Source;
use crate::dose::resolve::resolved::Excess;
use crate::dose::resolve::resolved::Units;
use crate::dose::resolve::share::{Lump, Shares};
use crate::dose::resolve::why::Why;
use crate::dose::total::{Amount, Class};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

impl ClaimDesk<'_, '_> {
    /// Doses that add to whatever else is known.
    pub(super) fn added(&self, units: &mut Units) {
        let facts = &self.history.facts;
        for (place, one) in facts.dosimetry.determinations.iter().enumerate() {
            let lonely = matches!(one.scope, Scope::Event { sheet: None, .. });
            if one.relation != Relation::Adds && !lonely || self.decisions.is_out(one.entry) {
                continue;
            }
            let Some(stands_in) = self.speaks_of(one) else {
                continue;
            };
            let Some((days, crosses)) = self.days_of(one) else {
                continue;
            };
            let stands = one.stands_for(facts.record);
            let class = match stands_in {
                true => Class::Provisional,
                false => Class::OfRecord,
            };
            let special = self.is_special(days);
            let amount = one.counted();
            let source = Source::Determination(place);
            if stands {
                units.lumps.push(Lump {
                    source,
                    entry: one.entry,
                    days,
                    class,
                    amount,
                    shares: Shares::Days,
                    members: Vec::new(),
                    whole: true,
                    apart: Dose::ZERO,
                    special,
                    stands_in,
                    own: true,
                });
            }
            let next = days.last.succ_opt().filter(|_| crosses);
            let safe_days = Span {
                first: days.first,
                last: next.unwrap_or(days.last),
            };
            let why = match stands {
                true if !one.is_exact() => Why::Range,
                true => Why::WholeLump,
                false => Why::NoSecondPerson,
            };
            let safe = (one.safe(), class, why);
            let group = Group::of_one(source, one.entry, days, safe_days, safe, (special, true));
            units.groups.push(group);
        }
    }

    /// Whether an added dose counts in the quantity, and whether a deep dose
    /// only stands in: where nothing adds lens or shallow dose of the same
    /// scope.
    fn speaks_of(&self, one: &Determination) -> Option<bool> {
        if one.quantity == self.quantity {
            return Some(false);
        }
        let all = &self.history.facts.dosimetry.determinations;
        let deep = one.quantity == Quantity::Deep
            && matches!(self.quantity, Quantity::Lens | Quantity::Shallow);
        let own = all.iter().any(|it| {
            it.quantity == self.quantity && it.scope == one.scope && it.relation == one.relation
        });
        (deep && !own).then_some(true)
    }

    /// The days of a determination, and whether they end with a night shift.
    pub(super) fn days_of(&self, one: &Determination) -> Option<(Span, bool)> {
        let day = |day| Span {
            first: day,
            last: day,
        };
        let on_sheet = |sheet: i64| {
            let live = self.live.iter().find(|live| live.sheet == sheet)?;
            Some((day(live.day), live.crosses))
        };
        match one.scope {
            Scope::Reading { sheet, .. } | Scope::Shift { sheet } => on_sheet(sheet),
            Scope::Event { day: on, sheet, .. } => {
                sheet.and_then(on_sheet).or(Some((day(on), false)))
            }
            Scope::WearPeriod(record) => {
                let dosimetry = &self.history.facts.dosimetry;
                let wear = dosimetry.wear.iter().find(|it| it.record == record)?;
                Some((determined_days(dosimetry, wear, one), false))
            }
            Scope::Span(span) => Some((span, false)),
        }
    }

    /// Dose of other employers, as they reported it.
    pub(super) fn prior(&self, units: &mut Units) {
        for (at, prior) in self.history.facts.prior.iter().enumerate() {
            let days = prior_span(prior);
            let amount = *prior_amounts(prior).get(self.quantity);
            let source = Source::Prior(at);
            units
                .lumps
                .push(lump_of_others(source, prior.entry, days, amount));
            let safe = (amount, Class::Prior, Why::WholeLump);
            let apart = (false, false);
            let group = Group::of_one(source, prior.entry, days, days, safe, apart);
            units.groups.push(group);
        }
    }

    /// What was measured or determined at the same time as something else: of
    /// both the higher counts.
    pub(super) fn beside(&self, gather: &Gather<'_>, units: &mut Units) -> Result<(), Overflow> {
        self.lonely(units);
        self.spares(units);
        let dosimetry = &self.history.facts.dosimetry;
        for wear in &dosimetry.wear {
            let together = wear.issuer
                == Issuer::Other {
                    same_dose: Some(true),
                };
            let extremity = self.quantity == Quantity::Extremity;
            let on_trunk = extremity && wear.kind == BadgeKind::WholeBody;
            let doubled = on_trunk && gather.beside_a_ring(wear);
            if wear.counting == Counting::RuledOut || !(together || doubled) {
                continue;
            }
            let Some(has) = self.highest(wear) else {
                continue;
            };
            let days = self.worn_days(wear);
            // Two badges measured one dose: the higher is of record. A report on hold is in
            // no account.
            let lump = match wear.counting == Counting::Counts && !has.held {
                true => Some(self.above(units, &has, days, together)?),
                false => None,
            };
            units.excesses.push(Excess {
                source: has.source,
                entry: has.entry,
                days,
                lump,
                safe: has.at_most,
                why: match wear.counting {
                    Counting::Held => Why::Held,
                    _ => Why::OtherBadge,
                },
            });
        }
        Ok(())
    }

    fn worn_days(&self, wear: &WearPeriod) -> Span {
        let dosimetry = &self.history.facts.dosimetry;
        let mut days = dosimetry.worn_days(wear);
        if days.last == Span::OPEN_END {
            let reports = reports(dosimetry, wear.record).map(|(_, it)| it.stated_days.last);
            days.last = reports.max().or(wear.planned_last).unwrap_or(days.first);
            days.last = days.last.max(days.first);
        }
        days
    }

    /// What a badge was reported or determined to have: what counts first, and
    /// the most that anything of it can be.
    fn highest(&self, wear: &WearPeriod) -> Option<Has> {
        let facts = &self.history.facts;
        let mut found: Vec<(bool, i64, Source, i64, Amount, Amount)> = Vec::new();
        for (place, result) in reports(&facts.dosimetry, wear.record) {
            let own = result.doses.get(self.quantity).as_ref();
            let lens_or_skin = matches!(self.quantity, Quantity::Lens | Quantity::Shallow);
            let deep = result.doses.deep.as_ref().filter(|_| lens_or_skin);
            let Some(stated) = own.or(deep) else { continue };
            if result.counting != Counting::RuledOut && !self.decisions.is_out(result.entry) {
                let held = result.counting == Counting::Held;
                let source = Source::Result(place);
                let dose = Amount::Known(stated.counted());
                let most = Amount::Known(stated.at_most());
                found.push((held, result.record, source, result.entry, dose, most));
            }
        }
        for (place, one) in facts.dosimetry.determinations.iter().enumerate() {
            let about = one.scope == Scope::WearPeriod(wear.record)
                && one.quantity == self.quantity
                && one.relation != Relation::Adds
                && one.stands_for(facts.record)
                && !self.decisions.is_out(one.entry);
            if about {
                let source = Source::Determination(place);
                found.push((
                    false,
                    one.record,
                    source,
                    one.entry,
                    one.counted(),
                    one.safe(),
                ));
            }
        }
        let most = found.iter().filter_map(|it| it.5.known()).max()?;
        let open = found.iter().any(|it| it.5.is_undetermined());
        let first = found.iter().min_by_key(|it| (it.0, it.1, it.3))?;
        Some(Has {
            held: first.0,
            source: first.2,
            entry: first.3,
            dose: first.4,
            at_most: Amount::of(most, open),
        })
    }

    /// What a badge that measured the same dose as another has above what is counted of
    /// those days.
    fn above(
        &self,
        units: &Units,
        has: &Has,
        days: Span,
        elsewhere: bool,
    ) -> Result<Lump, Overflow> {
        let singles = self.live.iter().zip(&units.singles);
        let singles = singles
            .filter(|(live, _)| days.contains(live.day) && !live.special)
            .map(|(_, single)| known(single.account));
        let lumps = units.lumps.iter().filter(|it| it.own && !it.special);
        let lumps = lumps.filter_map(|it| Some(known(it.within(days)?.1)));
        // Of a third badge what it has above the other two.
        let others = units.excesses.iter().filter_map(|it| it.account(days));
        let others = others.map(|(_, amount)| known(amount));
        let counted = Dose::sum(singles.chain(lumps).chain(others))?;
        let above = known(has.dose).checked_sub(counted)?.max(Dose::ZERO);
        let above = Amount::of(above, has.dose.is_undetermined());
        let lump = lump_of_others(has.source, has.entry, days, above);
        Ok(match elsewhere {
            true => lump,
            false => Lump {
                class: Class::OfRecord,
                own: true,
                ..lump
            },
        })
    }

    /// Determinations by somebody of their own dose without a second person:
    /// out of the account; on the conservative side the higher counts.
    fn lonely(&self, units: &mut Units) {
        let facts = &self.history.facts;
        for (place, one) in facts.dosimetry.determinations.iter().enumerate() {
            if one.relation == Relation::Adds
                || matches!(one.scope, Scope::Event { sheet: None, .. })
                || one.stands_for(facts.record)
                || self.speaks_of(one).is_none()
            {
                continue;
            }
            if let Some((days, _)) = self.days_of(one) {
                units.excesses.push(Excess {
                    source: Source::Determination(place),
                    entry: one.entry,
                    days,
                    lump: None,
                    safe: one.safe(),
                    why: Why::NoSecondPerson,
                });
            }
        }
    }

    /// Results of badges that were never issued: out of the account; on the
    /// conservative total the higher of them and of what is counted of those days.
    fn spares(&self, units: &mut Units) {
        let dosimetry = &self.history.facts.dosimetry;
        for (at, result) in dosimetry.results.iter().enumerate() {
            let known = dosimetry
                .wear
                .iter()
                .any(|it| Some(it.record) == result.wear);
            if known || result.counting == Counting::RuledOut {
                continue;
            }
            let stated = result.doses.get(self.quantity).as_ref();
            let stated = stated.map(Reported::at_most);
            let stated = match self.quantity {
                Quantity::Lens | Quantity::Shallow => {
                    stated.max(result.doses.deep.as_ref().map(Reported::at_most))
                }
                Quantity::Deep | Quantity::Extremity => stated,
            };
            if let Some(dose) = stated {
                units.excesses.push(Excess {
                    source: Source::Result(at),
                    entry: result.entry,
                    days: result.stated_days,
                    lump: None,
                    safe: Amount::Known(dose),
                    why: Why::Held,
                });
            }
        }
    }
}

/// What a badge was reported or determined to have.
struct Has {
    /// What counts first of it waits for somebody.
    held: bool,
    source: Source,
    entry: i64,
    /// What counts first.
    dose: Amount,
    /// The most that anything of it can be.
    at_most: Amount,
}

/// Dose of other employers as one lump over the days that it speaks of.
fn lump_of_others(source: Source, entry: i64, days: Span, amount: Amount) -> Lump {
    Lump {
        source,
        entry,
        days,
        class: Class::Prior,
        amount,
        shares: Shares::Days,
        members: Vec::new(),
        whole: true,
        apart: Dose::ZERO,
        special: false,
        stands_in: false,
        own: false,
    }
}

//! Determinations of spans of days, doses that add, determinations that lack
//! a second person, and results of badges that were never issued.

use crate::calendar::Span;
use crate::dose::input::{BadgeKind, Counting, Determination, Relation, Reported, Scope};
use crate::dose::resolve::build::Build;
use crate::dose::resolve::conflict::{Conflict, Dispute};
use crate::dose::resolve::figure::{Mode, pick};
use crate::dose::resolve::period::{Reports, Source};
use crate::dose::resolve::share::{Lump, Shares};
use crate::dose::resolve::{Bundle, Excess};
use crate::dose::safe_side::Why;
use crate::dose::total::{Amount, Class};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

impl<'h> Build<'_, 'h> {
    /// Determinations of spans: each speaks for the shifts on its days that
    /// neither a result nor a determination of a badge speaks for.
    pub(super) fn spans(&mut self) -> Result<(), Overflow> {
        let facts = &self.history.facts;
        let all: Vec<&'h Determination> = facts
            .dosimetry
            .determinations
            .iter()
            .filter(|one| matches!(one.scope, Scope::Span(_)) && one.relation != Relation::Adds)
            .filter(|one| one.stands_for(facts.record) && !self.set_aside.contains(&one.entry))
            .collect();
        if all.is_empty() {
            return Ok(());
        }
        let stated = self.stated();
        let mut seen: Vec<Span> = Vec::new();
        for one in &all {
            let Scope::Span(span) = one.scope else {
                continue;
            };
            if seen.contains(&span) {
                continue;
            }
            seen.push(span);
            let mode = Mode {
                until: !covered(span, &stated),
                stand_in: !stated.iter().any(|days| days.overlaps(&span)),
            };
            let Some(picked) = pick(&all, self.quantity, mode, |it| *it == one.scope) else {
                continue;
            };
            let own: Vec<(i64, Dose)> = all
                .iter()
                .filter(|it| it.scope == one.scope && it.quantity == self.quantity)
                .filter(|it| it.relation == Relation::Replaces)
                .map(|it| (it.entry, it.dose))
                .collect();
            if own
                .iter()
                .any(|(_, dose)| Some(*dose) != own.first().map(|it| it.1))
            {
                let conflict =
                    Conflict::new(Dispute::Determinations, None, span, self.quantity, &own);
                self.conflicts.push(conflict);
            }
            let (dose, entry) = (picked.dose, picked.entry);
            self.speak(
                span,
                entry,
                picked.class,
                dose.account,
                dose.safe,
                dose.readings_too,
            )?;
        }
        Ok(())
    }

    fn speak(
        &mut self,
        span: Span,
        entry: i64,
        class: Class,
        dose: Dose,
        mut safe: Dose,
        readings_too: bool,
    ) -> Result<(), Overflow> {
        let members: Vec<usize> = self
            .live
            .iter()
            .enumerate()
            .filter(|(_, live)| span.contains(live.day))
            .filter(|(at, _)| {
                let spoken = self.spoken.get(*at);
                spoken.is_none_or(|it| !it.account && !it.settled)
            })
            .map(|(at, _)| at)
            .collect();
        let mode = Mode::NO_RESULT;
        let mut sum = Dose::ZERO;
        let mut held = false;
        for at in &members {
            let figure = self.figure(*at, mode)?;
            sum = sum.checked_add(figure.safe.known().unwrap_or(Dose::ZERO))?;
            held |= figure.held > 0;
        }
        if readings_too || held {
            safe = safe.max(sum);
        }
        let weights = self.weights(&members, mode)?;
        let lump = self.lump(entry, span, class, dose, &weights);
        let place = self.units.bundles.len();
        for at in &members {
            if let Some(spoken) = self.spoken.get_mut(*at) {
                spoken.account = true;
                spoken.safe = spoken.safe.or(Some(place));
            }
        }
        self.units.bundles.push(Bundle {
            source: self.place_of(entry),
            entry,
            days: span,
            safe_days: span,
            members,
            lump: Some(lump),
            safe: Amount::Known(safe),
            why: Why::UntilResult,
            special: self.is_special(span),
            own: true,
        });
        Ok(())
    }

    /// The days for which a result of a counting badge states the quantity.
    fn stated(&self) -> Vec<Span> {
        let dosimetry = &self.history.facts.dosimetry;
        let extremity = self.quantity == Quantity::Extremity;
        let kind = if extremity {
            BadgeKind::Extremity
        } else {
            BadgeKind::WholeBody
        };
        let badges = dosimetry.wear.iter();
        let mut found: Vec<Span> = badges
            .filter(|wear| wear.is_own() && wear.kind == kind)
            .filter(|wear| wear.counting == Counting::Counts)
            .filter(|wear| {
                let reports = Reports::of(dosimetry, wear.record);
                let mut counting = reports.counting.iter();
                counting.any(|(_, it)| it.doses.get(self.quantity).is_some())
            })
            .map(|wear| dosimetry.worn_days(wear))
            .collect();
        found.sort_by_key(|days| days.first);
        found
    }

    fn place_of(&self, entry: i64) -> Source {
        let all = &self.history.facts.dosimetry.determinations;
        let place = all.iter().position(|one| one.entry == entry);
        Source::Determination(place.unwrap_or_default())
    }

    /// Doses that add to whatever else is known.
    pub(super) fn added(&mut self) -> Result<(), Overflow> {
        let facts = &self.history.facts;
        for one in &facts.dosimetry.determinations {
            let lonely = matches!(one.scope, Scope::Event { sheet: None, .. });
            if one.relation != Relation::Adds && !lonely {
                continue;
            }
            let Some(stands_in) = self.speaks_of(one) else {
                continue;
            };
            let Some((days, crosses)) = self.days_of(&one.scope) else {
                continue;
            };
            let stands = one.stands_for(facts.record);
            let class = if stands_in {
                Class::Provisional
            } else {
                Class::OfRecord
            };
            let lump = stands.then_some(Lump {
                entry: one.entry,
                days,
                class,
                amount: Amount::Known(one.dose),
                shares: Shares::ByDays,
                special: Dose::ZERO,
            });
            let next = days.last.succ_opt().filter(|_| crosses);
            self.units.bundles.push(Bundle {
                source: self.place_of(one.entry),
                entry: one.entry,
                days,
                safe_days: Span {
                    first: days.first,
                    last: next.unwrap_or(days.last),
                },
                members: Vec::new(),
                lump,
                safe: Amount::Known(one.dose),
                why: if stands {
                    Why::WholeLump
                } else {
                    Why::NoSecondPerson
                },
                special: self.is_special(days),
                own: true,
            });
        }
        Ok(())
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

    /// The days of a scope, and whether they end with a night shift.
    fn days_of(&self, scope: &Scope) -> Option<(Span, bool)> {
        let on_sheet = |sheet: i64| {
            let live = self.live.iter().find(|live| {
                let work = self.history.shifts.get(live.at);
                work.is_some_and(|work| work.sheet == sheet)
            })?;
            let day = Span {
                first: live.day,
                last: live.day,
            };
            Some((day, live.crosses))
        };
        match scope {
            Scope::Reading { sheet, .. } | Scope::Shift { sheet } => on_sheet(*sheet),
            Scope::Event { day, sheet, .. } => sheet.and_then(on_sheet).or(Some((
                Span {
                    first: *day,
                    last: *day,
                },
                false,
            ))),
            Scope::WearPeriod(record) => {
                let wear = &self.history.facts.dosimetry.wear;
                let found = wear.iter().find(|it| it.record == *record)?;
                let mut days = self.history.facts.dosimetry.worn_days(found);
                if days.last == Span::OPEN_END {
                    days.last = days.first;
                }
                Some((days, false))
            }
            Scope::Span(span) => Some((*span, false)),
        }
    }

    /// Determinations by somebody of their own dose without a second person:
    /// out of the account; on the safe side the higher counts.
    pub(super) fn lonely(&mut self) {
        let facts = &self.history.facts;
        for one in &facts.dosimetry.determinations {
            if one.relation == Relation::Adds
                || matches!(one.scope, Scope::Event { sheet: None, .. })
                || one.stands_for(facts.record)
                || self.speaks_of(one).is_none()
            {
                continue;
            }
            if let Some((days, _)) = self.days_of(&one.scope) {
                self.units.excesses.push(Excess {
                    source: self.place_of(one.entry),
                    entry: one.entry,
                    days,
                    lump: None,
                    safe: Amount::Known(one.dose),
                    why: Why::NoSecondPerson,
                });
            }
        }
    }

    /// Results of badges that were never issued: out of the account; on the
    /// safe side the higher of them and of what is counted of those days.
    pub(super) fn spares(&mut self) {
        let dosimetry = &self.history.facts.dosimetry;
        for (at, result) in dosimetry.results.iter().enumerate() {
            let known = dosimetry
                .wear
                .iter()
                .any(|it| Some(it.record) == result.wear);
            if known || result.counting == Counting::RuledOut {
                continue;
            }
            let stated = result
                .doses
                .get(self.quantity)
                .as_ref()
                .map(Reported::at_most);
            let stated = match self.quantity {
                Quantity::Lens | Quantity::Shallow => {
                    stated.max(result.doses.deep.as_ref().map(Reported::at_most))
                }
                Quantity::Deep | Quantity::Extremity => stated,
            };
            if let Some(dose) = stated {
                self.units.excesses.push(Excess {
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

/// Whether some periods, ascending by their first day, cover every day of a
/// span between them.
fn covered(span: Span, periods: &[Span]) -> bool {
    let mut next = Some(span.first);
    for days in periods {
        match next {
            Some(day) if days.first <= day && day <= days.last => next = days.last.succ_opt(),
            _ => {}
        }
    }
    next.is_none_or(|day| day > span.last)
}

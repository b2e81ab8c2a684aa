//! One worker's dose by day, decided and summed once, so that any span costs
//! two look-ups.
//!
//! A crew is held against a dozen levels with as many windows. Summing the
//! shifts again for each would cost the number of shifts times the number of
//! levels; here each worker's records are resolved once and what speaks for
//! itself is kept as running totals by day. Lumps (results, determinations,
//! dose of other employers) are few and are added when asked.

use crate::calendar::{Day, Span};
use crate::dose::input::{History, Unmeasured};
use crate::dose::resolve::{Conflict, Resolved, Units};
use crate::dose::total::{Amount, Class, PerQuantity, QUANTITIES, Total};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

/// Running totals of one worker by day.
#[derive(Clone, Debug)]
pub struct DoseIndex {
    /// The days with a shift, ascending, each once.
    days: Vec<Day>,
    /// Element n is the total of the first n days.
    account: Vec<PerQuantity<Total>>,
    /// The same on the conservative side, each shift on the day on which it started.
    safe: Vec<PerQuantity<Total>>,
    /// What night shifts carry into the day after, by the day on which they
    /// started.
    over_midnight: Vec<(Day, PerQuantity<Total>)>,
    /// The entry of each shift, by day.
    entries: Vec<(Day, i64)>,
    resolved: Resolved,
    unmeasured: Vec<Unmeasured>,
}

/// The two figures of one quantity over one span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Used {
    /// What the records say.
    pub account: Total,
    /// What allowance and levels use; never below the account.
    pub safe: Total,
}

impl DoseIndex {
    /// Resolves and sums a worker's records once.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn build(history: &History) -> Result<DoseIndex, Overflow> {
        let resolved = Resolved::of(history)?;
        let mut index = DoseIndex {
            days: Vec::new(),
            account: vec![PerQuantity::<Total>::empty()],
            safe: vec![PerQuantity::<Total>::empty()],
            over_midnight: Vec::new(),
            entries: Vec::with_capacity(resolved.live.len()),
            resolved,
            unmeasured: history.facts.unmeasured.clone(),
        };
        let mut account = PerQuantity::<Total>::empty();
        let mut safe = PerQuantity::<Total>::empty();
        for at in 0..index.resolved.live.len() {
            let Some(live) = index.resolved.live.get(at).copied() else {
                break;
            };
            if index.days.last() != Some(&live.day) {
                index.days.push(live.day);
                index.account.push(account);
                index.safe.push(safe);
            }
            index.entries.push((live.day, live.entry));
            if live.special {
                continue;
            }
            for quantity in QUANTITIES {
                let Some(single) = index.units(quantity).singles.get(at).copied() else {
                    continue;
                };
                let (sum, class) = (account.get_mut(quantity), single.class);
                sum.add(class, single.account, single.held)?;
                safe.get_mut(quantity).add(class, single.safe, 0)?;
                if live.crosses {
                    index.carry(live.day, quantity, single.carries)?;
                }
            }
            if let (Some(a), Some(s)) = (index.account.last_mut(), index.safe.last_mut()) {
                *a = account;
                *s = safe;
            }
        }
        Ok(index)
    }

    pub(super) fn units(&self, quantity: Quantity) -> &Units {
        self.resolved.of.get(quantity)
    }

    pub(super) fn resolved(&self) -> &Resolved {
        &self.resolved
    }

    /// The open conflicts of the worker's records, by day.
    pub fn conflicts(&self) -> &[Conflict] {
        &self.resolved.conflicts
    }

    /// The account's total of one quantity over a span, without planned
    /// special exposures, which count apart.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn account(&self, span: Span, quantity: Quantity) -> Result<Total, Overflow> {
        let mut total = self.between(&self.account, span, quantity)?;
        for (class, amount) in self.units(quantity).within(span) {
            total.add(class, amount, 0)?;
        }
        self.open(span, quantity, &mut total)?;
        Ok(total)
    }

    /// The account's total of planned special exposures over a span.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn special(&self, span: Span, quantity: Quantity) -> Result<Total, Overflow> {
        self.resolved.special(span, quantity)
    }

    /// The conservative total of one quantity over a span: held readings are in
    /// it, a lump that the span cuts is in it whole, and so is a night shift
    /// that ran into the span's first day.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn safe(&self, span: Span, quantity: Quantity) -> Result<Total, Overflow> {
        let mut total = self
            .between(&self.safe, span, quantity)?
            .plus(&self.carried_over_midnight(span, quantity))?;
        let units = self.units(quantity);
        for group in units.groups.iter().filter(|it| it.is_in(span)) {
            total.add(group.class, group.safe(span)?, 0)?;
        }
        for excess in &units.excesses {
            let Some(part) = excess.part(span) else {
                continue;
            };
            let singles = self.between(&self.safe, part, quantity)?.known();
            if let Some(amount) = excess.within(units, span, singles)? {
                total.add(Class::Provisional, amount, 0)?;
            }
        }
        self.open(span, quantity, &mut total)?;
        Ok(total)
    }

    /// Takes the upper bound from a sum of days on which an event left a dose open.
    fn open(&self, span: Span, quantity: Quantity, total: &mut Total) -> Result<(), Overflow> {
        for it in &self.unmeasured {
            if let Some(amount) = it.within(span, quantity) {
                total.add(Class::Provisional, amount, 0)?;
            }
        }
        Ok(())
    }

    /// When the conservative total of a span first satisfied `passes`, which must
    /// stay true for any greater dose: the day, and the entries that did it.
    /// A lump counts whole from its first day in the span on, and what a night
    /// shift carries into the span stands at the span's first day.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn first_passing(
        &self,
        span: Span,
        quantity: Quantity,
        passes: impl Fn(Dose) -> bool,
    ) -> Result<Option<(Day, Vec<i64>)>, Overflow> {
        let days = self.days_of_change(span, quantity);
        let through = |last: Day| self.safe(Span { last, ..span }, quantity);
        let (mut low, mut high) = (0, days.len());
        while low < high {
            let middle = low + (high - low) / 2;
            let Some(day) = days.get(middle) else {
                break;
            };
            if passes(through(*day)?.known()) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        Ok(days
            .get(low)
            .map(|day| (*day, self.entries_at(*day, span, quantity))))
    }

    /// The days of a span on which its conservative total can grow, ascending.
    fn days_of_change(&self, span: Span, quantity: Quantity) -> Vec<Day> {
        let units = self.units(quantity);
        let from = self.days.partition_point(|day| *day < span.first);
        let shifts = self.days.get(from..).unwrap_or_default().iter().copied();
        let groups = units.groups.iter().filter(|it| it.is_in(span));
        let steps = groups.flat_map(|it| it.steps().map(|day| day.max(span.first)));
        let excesses = units.excesses.iter().filter_map(|it| it.part(span));
        let mut days: Vec<Day> = shifts
            .take_while(|day| *day <= span.last)
            .chain(steps.filter(|day| *day <= span.last))
            .chain(excesses.map(|part| part.first))
            .collect();
        if span.first <= span.last {
            days.push(span.first);
        }
        days.sort_unstable();
        days.dedup();
        days
    }

    /// The entries that the conservative total of a span counts from a day on: first
    /// what reaches into the span, then that day's shifts.
    fn entries_at(&self, day: Day, span: Span, quantity: Quantity) -> Vec<i64> {
        let units = self.units(quantity);
        let groups = units.groups.iter().filter(|it| it.is_in(span));
        let excesses = units.excesses.iter();
        let mut entries: Vec<i64> = groups
            .filter(|it| it.first_day().max(span.first) == day)
            .map(|it| it.entry)
            .chain(
                excesses
                    .filter(|it| it.part(span).is_some_and(|part| part.first == day))
                    .map(|it| it.entry),
            )
            .collect();
        if day == span.first
            && let Some(eve) = span.first.pred_opt()
            && self.over_midnight_at(eve).is_some()
        {
            entries.extend(self.entries_of(eve));
        }
        entries.extend(self.entries_of(day));
        entries
    }

    fn over_midnight_at(&self, eve: Day) -> Option<&PerQuantity<Total>> {
        let at = self
            .over_midnight
            .binary_search_by_key(&eve, |(day, _)| *day)
            .ok()?;
        self.over_midnight.get(at).map(|(_, total)| total)
    }

    /// What the night shift of the eve carries into the span.
    fn carried_over_midnight(&self, span: Span, quantity: Quantity) -> Total {
        span.first
            .pred_opt()
            .and_then(|eve| self.over_midnight_at(eve))
            .map_or(Total::empty(quantity), |total| *total.get(quantity))
    }

    fn entries_of(&self, day: Day) -> Vec<i64> {
        let from = self.entries.partition_point(|(other, _)| *other < day);
        let rest = self.entries.get(from..).unwrap_or_default();
        rest.iter()
            .take_while(|(other, _)| *other == day)
            .map(|(_, entry)| *entry)
            .collect()
    }

    /// Both figures of one quantity over a span.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn used(&self, span: Span, quantity: Quantity) -> Result<Used, Overflow> {
        Ok(Used {
            account: self.account(span, quantity)?,
            safe: self.safe(span, quantity)?,
        })
    }

    /// The account's totals of every quantity over a span.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn totals(&self, span: Span) -> Result<PerQuantity<Total>, Overflow> {
        let mut totals = PerQuantity::<Total>::empty();
        for quantity in QUANTITIES {
            *totals.get_mut(quantity) = self.account(span, quantity)?;
        }
        Ok(totals)
    }

    fn between(
        &self,
        running: &[PerQuantity<Total>],
        span: Span,
        quantity: Quantity,
    ) -> Result<Total, Overflow> {
        let before = self.days.partition_point(|day| *day < span.first);
        let through = self.days.partition_point(|day| *day <= span.last);
        match (running.get(before), running.get(through)) {
            (Some(before), Some(through)) if span.first <= span.last => {
                through.get(quantity).since(before.get(quantity))
            }
            _ => Ok(Total::empty(quantity)),
        }
    }

    fn carry(&mut self, day: Day, quantity: Quantity, amount: Amount) -> Result<(), Overflow> {
        if self.over_midnight.last().map(|(last, _)| *last) != Some(day) {
            self.over_midnight
                .push((day, PerQuantity::<Total>::empty()));
        }
        match self.over_midnight.last_mut() {
            Some((_, total)) => total.get_mut(quantity).add(Class::Provisional, amount, 0),
            None => Ok(()),
        }
    }
}

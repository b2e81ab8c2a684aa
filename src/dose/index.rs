//! One worker's dose by day, summed once, so that any span costs two look-ups.
//!
//! A crew is held against a dozen levels with as many windows. Summing the
//! shifts again for each would cost the number of shifts times the number of
//! levels; here each worker's shifts are resolved once and kept as running
//! totals by day. Lumps of other employers are few and are added when asked.

use crate::calendar::{Day, Span};
use crate::dose::account::{apportioned, prior_amounts, prior_span};
use crate::dose::input::{History, Shift};
use crate::dose::shift;
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
    /// The same on the safe side, each shift on the day on which it started.
    safe: Vec<PerQuantity<Total>>,
    /// Shifts that ran over midnight, by the day on which they started.
    over_midnight: Vec<(Day, PerQuantity<Total>)>,
    /// The entry of each shift, by day.
    entries: Vec<(Day, i64)>,
    lumps: Vec<Lump>,
}

#[derive(Clone, Copy, Debug)]
struct Lump {
    entry: i64,
    span: Span,
    amounts: PerQuantity<Amount>,
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
    /// Resolves and sums a worker's shifts once.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn build(history: &History) -> Result<DoseIndex, Overflow> {
        let mut shifts: Vec<&Shift> = history.shifts.iter().collect();
        shifts.sort_by_key(|shift| shift.day);
        let mut index = DoseIndex {
            days: Vec::new(),
            account: vec![PerQuantity::<Total>::empty()],
            safe: vec![PerQuantity::<Total>::empty()],
            over_midnight: Vec::new(),
            entries: Vec::with_capacity(shifts.len()),
            lumps: history
                .facts
                .prior
                .iter()
                .map(|prior| Lump {
                    entry: prior.entry,
                    span: prior_span(prior),
                    amounts: prior_amounts(prior),
                })
                .collect(),
        };
        let mut account = PerQuantity::<Total>::empty();
        let mut safe = PerQuantity::<Total>::empty();
        for shift in shifts {
            let Some(dose) = shift::resolve(shift)? else {
                continue;
            };
            if index.days.last() != Some(&shift.day) {
                index.days.push(shift.day);
                index.account.push(account);
                index.safe.push(safe);
            }
            index.entries.push((shift.day, shift.entry));
            let on_safe_side = shift::stands_in(dose.safe);
            account.add(
                Class::Provisional,
                &shift::stands_in(dose.account),
                dose.held,
            )?;
            safe.add(Class::Provisional, &on_safe_side, 0)?;
            if let (Some(a), Some(s)) = (index.account.last_mut(), index.safe.last_mut()) {
                *a = account;
                *s = safe;
            }
            if shift.crosses_midnight {
                index.add_over_midnight(shift.day, &on_safe_side)?;
            }
        }
        Ok(index)
    }

    /// The account's total of one quantity over a span.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn account(&self, span: Span, quantity: Quantity) -> Result<Total, Overflow> {
        let mut total = self.between(&self.account, span, quantity)?;
        for lump in &self.lumps {
            let Some(part) = lump.span.common(&span) else {
                continue;
            };
            if part == lump.span {
                total.add(Class::Prior, *lump.amounts.get(quantity), 0)?;
            } else {
                let share = apportioned(&lump.amounts, lump.span, part);
                total.add(Class::Apportioned, *share.get(quantity), 0)?;
            }
        }
        Ok(total)
    }

    /// The safe-side total of one quantity over a span: held readings are in
    /// it, a lump that the span cuts is in it whole, and so is a night shift
    /// that ran into the span's first day.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn safe(&self, span: Span, quantity: Quantity) -> Result<Total, Overflow> {
        self.between(&self.safe, span, quantity)?
            .plus(&self.carried_in(span, quantity)?)
    }

    /// When the safe-side total of a span first satisfied `passes`, which must
    /// stay true for any greater dose: the day, and the entries that did it.
    /// Dose carried into the span stands at its first day.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn first_passing(
        &self,
        span: Span,
        quantity: Quantity,
        passes: impl Fn(Dose) -> bool,
    ) -> Result<Option<(Day, Vec<i64>)>, Overflow> {
        let carried = self.carried_in(span, quantity)?.known();
        if passes(carried) {
            return Ok(Some((span.first, self.entries_carried_in(span))));
        }
        let mut low = self.days.partition_point(|day| *day < span.first);
        let end = self.days.partition_point(|day| *day <= span.last);
        let mut high = end;
        while low < high {
            let middle = low + (high - low) / 2;
            let Some(day) = self.days.get(middle) else {
                break;
            };
            let through = self.between(&self.safe, Span { last: *day, ..span }, quantity)?;
            if passes(through.known().checked_add(carried)?) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        let day = if low < end { self.days.get(low) } else { None };
        Ok(day.map(|day| (*day, self.entries_of(*day))))
    }

    /// What of the safe side does not start in the span and reaches into it:
    /// whole lumps, and the night shift of the eve.
    fn carried_in(&self, span: Span, quantity: Quantity) -> Result<Total, Overflow> {
        let crossing = span.first.pred_opt().and_then(|eve| {
            let at = self
                .over_midnight
                .binary_search_by_key(&eve, |(day, _)| *day)
                .ok()?;
            self.over_midnight.get(at)
        });
        let mut total = crossing.map_or(Total::empty(quantity), |(_, crossing)| {
            *crossing.get(quantity)
        });
        for lump in self.lumps.iter().filter(|lump| lump.span.overlaps(&span)) {
            total.add(Class::Prior, *lump.amounts.get(quantity), 0)?;
        }
        Ok(total)
    }

    fn entries_carried_in(&self, span: Span) -> Vec<i64> {
        let lumps = self.lumps.iter().filter(|lump| lump.span.overlaps(&span));
        let mut entries: Vec<i64> = lumps.map(|lump| lump.entry).collect();
        if let Some(eve) = span.first.pred_opt()
            && self
                .over_midnight
                .binary_search_by_key(&eve, |(day, _)| *day)
                .is_ok()
        {
            entries.extend(self.entries_of(eve));
        }
        entries
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

    fn add_over_midnight(
        &mut self,
        day: Day,
        amounts: &PerQuantity<Amount>,
    ) -> Result<(), Overflow> {
        if self.over_midnight.last().map(|(last, _)| *last) != Some(day) {
            self.over_midnight
                .push((day, PerQuantity::<Total>::empty()));
        }
        match self.over_midnight.last_mut() {
            Some((_, total)) => total.add(Class::Provisional, amounts, 0),
            None => Ok(()),
        }
    }
}

//! What of the decisions lies in a span.

use crate::calendar::Span;
use crate::dose::resolve::resolved::Excess;
use crate::dose::resolve::resolved::Resolved;
use crate::dose::resolve::resolved::Units;
use crate::dose::total::{Amount, Class, Total};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

impl Excess {
    /// The days of it that lie in a span.
    pub(crate) fn part(&self, span: Span) -> Option<Span> {
        self.days.common(&span)
    }

    /// What the conservative total of a span adds for it, where `singles` is what the
    /// conservative total counts of the shifts on those days that speak for themselves.
    /// Of the badge's whole dose and what is counted beside it the higher
    /// counts. Only groups that lie in its period are known to be of its days.
    pub(crate) fn within(
        &self,
        units: &Units,
        span: Span,
        singles: Dose,
    ) -> Result<Option<Amount>, Overflow> {
        if self.part(span).is_none() {
            return Ok(None);
        }
        let mut counted = singles;
        for group in units.groups.iter().filter(|it| it.own && it.is_in(span)) {
            if self.days.first <= group.days.first && group.days.last <= self.days.last {
                let safe = group.safe(span)?.known().unwrap_or(Dose::ZERO);
                counted = counted.checked_add(safe)?;
            }
        }
        let whole = self.safe.known().unwrap_or(Dose::ZERO);
        let above = whole.checked_sub(counted)?.max(Dose::ZERO);
        let account = self.account(span).map_or(Dose::ZERO, |(_, amount)| {
            amount.known().unwrap_or(Dose::ZERO)
        });
        Ok(Some(Amount::of(
            above.max(account),
            self.safe.is_undetermined(),
        )))
    }

    /// What the account of a span adds for it.
    pub(crate) fn account(&self, span: Span) -> Option<(Class, Amount)> {
        self.lump.as_ref()?.within(span)
    }
}

impl Units {
    /// What the account counts of lumps in a span, without what counts apart.
    pub(crate) fn within(&self, span: Span) -> impl Iterator<Item = (Class, Amount)> {
        let lumps = self
            .lumps
            .iter()
            .take_while(move |it| it.days.first <= span.last)
            .filter(|it| !it.special)
            .filter_map(move |it| it.within(span));
        lumps.chain(self.excesses.iter().filter_map(move |it| it.account(span)))
    }
}

impl Resolved {
    /// The total of planned special exposures in a span, which count apart.
    pub(crate) fn special(&self, span: Span, quantity: Quantity) -> Result<Total, Overflow> {
        let units = self.of.get(quantity);
        let mut total = Total::empty(quantity);
        for (live, single) in self.live.iter().zip(&units.singles) {
            if live.special && span.contains(live.day) {
                total.add(single.class, single.account, single.held)?;
            }
        }
        for lump in &units.lumps {
            let part = match lump.special {
                true => lump.within(span),
                false => lump.special_within(span),
            };
            if let Some((class, amount)) = part {
                total.add(class, amount, 0)?;
            }
        }
        Ok(total)
    }
}

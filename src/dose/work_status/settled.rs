//! What resolves a shift whose dosimeters give no dose that can be relied on: a
//! determination that covers it, or a result of its badge for which the RSO
//! answers.

use std::collections::BTreeSet;

use crate::calendar::Span;
use crate::dose::input::{
    BadgeKind, Determination, History, Reading, Relation, Scope, Shift, WearPeriod, WorkerFacts,
};
use crate::dose::resolve::{Decisions, determined_days, trunk_of};
use crate::quantity::Overflow;
use crate::rule::{CheckKey, Quantity};

/// Findings of a sheet that end when the dose of the shift is determined.
pub const SETTLED_BY_A_DOSE: [CheckKey; 3] = [
    CheckKey::OffScale,
    CheckKey::ElectronicOverShiftLimit,
    CheckKey::NoDosimeter,
];

/// What is decided of one worker's records.
pub struct Settling<'h> {
    history: &'h History,
    decisions: Decisions,
}

impl<'h> Settling<'h> {
    /// Takes what the RSO decided into account.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn of(history: &'h History) -> Result<Settling<'h>, Overflow> {
        Ok(Settling {
            history,
            decisions: Decisions::of_history(history)?,
        })
    }

    pub(super) fn history(&self) -> &'h History {
        self.history
    }

    pub(super) fn facts(&self) -> &'h WorkerFacts {
        &self.history.facts
    }

    /// The entries that resolve a finding of this key about a shift of this
    /// sheet. Nothing while any part of it is open, and for findings that no
    /// dose resolves.
    pub fn by(&self, check: CheckKey, sheet: i64) -> Option<BTreeSet<i64>> {
        let work = self.history.shifts.iter().find(|it| it.sheet == sheet)?;
        match check {
            CheckKey::OffScale => {
                let mut entries = BTreeSet::new();
                let off_scale = |it: &&Reading| it.off_scale && !it.is_ruled_out();
                for it in work.readings.iter().filter(off_scale) {
                    entries.insert(self.reading(work, it)?);
                }
                (!entries.is_empty()).then_some(entries)
            }
            CheckKey::ElectronicOverShiftLimit => self.any_reading(work).map(|it| [it].into()),
            CheckKey::NoDosimeter => self.shift(work, |_| false).map(|it| [it].into()),
            _ => None,
        }
    }

    /// What resolves one reading of a shift.
    pub(super) fn reading(&self, work: &Shift, of: &Reading) -> Option<i64> {
        self.shift(work, |scope| match scope {
            Scope::Reading {
                sheet,
                dosimeter,
                part,
            } => (*sheet, *dosimeter, *part) == (work.sheet, of.record, of.part),
            _ => false,
        })
    }

    /// What resolves a shift of which some reading is too high to pass.
    pub(super) fn any_reading(&self, work: &Shift) -> Option<i64> {
        self.shift(
            work,
            |scope| matches!(scope, Scope::Reading { sheet, .. } if *sheet == work.sheet),
        )
    }

    /// What was determined of a badge from its issue to its loss, in one
    /// quantity: about the badge, or about all of those days.
    pub(super) fn wear(&self, wear: &WearPeriod, quantity: Quantity) -> Option<i64> {
        let days = self.history.facts.dosimetry.worn_days(wear);
        let about = |one: &&Determination| match one.scope {
            Scope::WearPeriod(record) => record == wear.record,
            Scope::Span(span) => one.relation != Relation::Adds && span.common(&days) == Some(days),
            _ => false,
        };
        let mut standing = self.standing(quantity);
        if let Some(one) = standing.find(about) {
            return Some(one.entry);
        }
        self.result_of(wear, quantity)
    }

    /// Determinations of a quantity that stand and give an upper bound: one that only
    /// says above what the dose lies resolves nothing.
    pub(super) fn standing(&self, quantity: Quantity) -> impl Iterator<Item = &'h Determination> {
        let facts = &self.history.facts;
        facts.dosimetry.determinations.iter().filter(move |one| {
            one.quantity == quantity
                && !one.open
                && one.stands_for(facts.record)
                && !self.decisions.is_out(one.entry)
        })
    }

    /// The entry by which the RSO answers for a result of a badge.
    pub(super) fn result_of(&self, wear: &WearPeriod, quantity: Quantity) -> Option<i64> {
        let results = self.history.facts.dosimetry.reports(wear.record);
        results
            .into_iter()
            .filter(|it| it.doses.get(quantity).is_some() && !self.decisions.is_out(it.entry))
            .find_map(|it| it.accepted.or_else(|| self.decisions.chosen_by(it.entry)))
    }

    fn shift(&self, work: &Shift, this: impl Fn(&Scope) -> bool) -> Option<i64> {
        let badge = self.badge_of(work);
        let mut standing = self.standing(Quantity::Deep);
        let determined = standing.find(|one| {
            one.relation != Relation::Adds && (this(&one.scope) || self.is_whole(one, work, badge))
        });
        match determined {
            Some(one) => Some(one.entry),
            None => self.result_of(badge?, Quantity::Deep),
        }
    }

    /// Whether a determination covers the whole of a shift.
    fn is_whole(&self, one: &Determination, work: &Shift, badge: Option<&WearPeriod>) -> bool {
        match one.scope {
            Scope::Shift { sheet } => sheet == work.sheet,
            Scope::Event { sheet, .. } => sheet == Some(work.sheet),
            Scope::Span(span) => span.contains(work.day),
            Scope::WearPeriod(record) => badge.is_some_and(|it| {
                let days: Span = determined_days(&self.history.facts.dosimetry, it, one);
                it.record == record && work.day <= days.last
            }),
            Scope::Reading { .. } => false,
        }
    }

    pub(super) fn badge_of(&self, work: &Shift) -> Option<&'h WearPeriod> {
        let dosimetry = &self.history.facts.dosimetry;
        let wear = dosimetry.wear.get(trunk_of(dosimetry, work)?)?;
        (wear.kind == BadgeKind::WholeBody).then_some(wear)
    }
}

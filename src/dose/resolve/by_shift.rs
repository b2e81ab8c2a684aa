//! The determinations of single readings and shifts, by sheet.

use std::collections::HashMap;

use crate::dose::input::{Determination, Dosimetry, ReadsLow, Relation, Scope, Shift};
use crate::dose::resolve::decision::Decisions;
use crate::dose::shift::{self, Besides, ShiftDose};
use crate::dose::total::Amount;
use crate::quantity::{Dose, Overflow};

/// The determinations of single readings and shifts, by sheet.
pub(super) struct ByShift<'h> {
    of: HashMap<i64, Vec<&'h Determination>>,
    pub(super) low: &'h [ReadsLow],
}

/// The sheet that a determination of a reading, a shift or an event names.
pub(super) fn sheet_of(scope: &Scope) -> Option<i64> {
    match scope {
        Scope::Reading { sheet, .. } | Scope::Shift { sheet } => Some(*sheet),
        Scope::Event { sheet, .. } => *sheet,
        Scope::WearPeriod(_) | Scope::Span(_) => None,
    }
}

impl<'h> ByShift<'h> {
    /// Of those that stand for the worker and that nothing set aside: what the RSO chose
    /// to stand, then what was told first.
    pub(super) fn new(dosimetry: &'h Dosimetry, worker: i64, decisions: &Decisions) -> ByShift<'h> {
        let mut of: HashMap<i64, Vec<&Determination>> = HashMap::new();
        for one in &dosimetry.determinations {
            if let Some(sheet) = sheet_of(&one.scope)
                && one.relation != Relation::Adds
                && one.stands_for(worker)
                && !decisions.is_out(one.entry)
            {
                of.entry(sheet).or_default().push(one);
            }
        }
        for all in of.values_mut() {
            all.sort_by_key(|one| decisions.rank(one));
        }
        ByShift {
            of,
            low: &dosimetry.reads_low,
        }
    }

    /// Those of one sheet.
    pub(super) fn on(&self, sheet: i64) -> &[&'h Determination] {
        self.of.get(&sheet).map(Vec::as_slice).unwrap_or_default()
    }

    /// The shift's own figures, without determinations. `None` where a disposition
    /// took the person off the shift and nothing was determined of it.
    pub(super) fn plain(&self, work: &Shift) -> Result<Option<ShiftDose>, Overflow> {
        let besides = Besides {
            determined: &|_| None,
            low: self.low,
        };
        let plain = shift::resolve_with(work, &besides)?;
        let nothing = ShiftDose {
            account: Amount::Known(Dose::ZERO),
            safe: Amount::Known(Dose::ZERO),
            held: 0,
            reads_low: false,
            determined: false,
        };
        Ok(plain.or((!self.on(work.sheet).is_empty()).then_some(nothing)))
    }
}

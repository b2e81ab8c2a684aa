//! What one shift gives in one quantity, with what the RSO determined of it.

use std::collections::HashMap;

use crate::dose::input::{Determination, Dosimetry, Reading, ReadsLow, Relation, Scope, Shift};
use crate::dose::shift::{self, Besides, Determined, ShiftDose};
use crate::dose::total::{Amount, Class};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

/// Which determinations take part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Mode {
    /// Those that only stand until a result comes.
    pub until: bool,
    /// A determination of the deep dose stands in for lens and shallow.
    pub stand_in: bool,
}

impl Mode {
    /// While no result states the quantity.
    pub(crate) const NO_RESULT: Mode = Mode {
        until: true,
        stand_in: true,
    };
    /// Once one does.
    pub(crate) const RESULT: Mode = Mode {
        until: false,
        stand_in: false,
    };
}

/// One shift's figures of one quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Figure {
    pub account: Amount,
    pub safe: Amount,
    pub class: Class,
    pub held: u32,
}

/// The determinations of single readings and shifts, by sheet.
pub(super) struct ByShift<'h> {
    of: HashMap<i64, Vec<&'h Determination>>,
    low: &'h [ReadsLow],
}

/// The dose that stands of several determinations of one thing.
#[derive(Clone, Copy)]
pub(super) struct Pick {
    pub dose: Determined,
    pub class: Class,
    pub entry: i64,
}

impl<'h> ByShift<'h> {
    pub(super) fn new(dosimetry: &'h Dosimetry, worker: i64) -> ByShift<'h> {
        let mut of: HashMap<i64, Vec<&Determination>> = HashMap::new();
        for one in &dosimetry.determinations {
            if let Some(sheet) = sheet_of(&one.scope)
                && one.relation != Relation::Adds
                && one.stands_for(worker)
            {
                of.entry(sheet).or_default().push(one);
            }
        }
        ByShift {
            of,
            low: &dosimetry.reads_low,
        }
    }

    /// What was determined of one sheet.
    pub(super) fn on(&self, sheet: i64) -> &[&'h Determination] {
        self.of.get(&sheet).map(Vec::as_slice).unwrap_or_default()
    }

    /// The shift's own figures, without determinations. `None` where a ruling
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

    /// The shift's figures of one quantity.
    pub(super) fn figure(
        &self,
        work: &Shift,
        plain: &ShiftDose,
        quantity: Quantity,
        mode: Mode,
    ) -> Result<Figure, Overflow> {
        let own = match quantity {
            Quantity::Extremity => Figure {
                account: Amount::NotAssessed,
                safe: Amount::NotAssessed,
                class: Class::Provisional,
                held: 0,
            },
            _ => Figure {
                account: plain.account,
                safe: plain.safe,
                class: Class::Provisional,
                held: plain.held,
            },
        };
        let determined = self.on(work.sheet);
        if determined.is_empty() {
            return Ok(own);
        }
        let whole = |one: &Scope| !matches!(one, Scope::Reading { .. });
        if let Some(pick) = pick(determined, quantity, mode, whole) {
            let floor = if pick.dose.readings_too {
                plain.safe.known().unwrap_or(Dose::ZERO)
            } else {
                Dose::ZERO
            };
            return Ok(Figure {
                account: Amount::Known(pick.dose.account),
                safe: Amount::Known(pick.dose.safe.max(floor)),
                class: pick.class,
                held: 0,
            });
        }
        if quantity == Quantity::Extremity {
            return extremity(determined, own, mode);
        }
        readings(work, determined, quantity, mode, self.low, own)
    }
}

/// The sheet that a determination of a reading, a shift or an event names.
fn sheet_of(scope: &Scope) -> Option<i64> {
    match scope {
        Scope::Reading { sheet, .. } | Scope::Shift { sheet } => Some(*sheet),
        Scope::Event { sheet, .. } => *sheet,
        Scope::WearPeriod(_) | Scope::Span(_) => None,
    }
}

/// The determinations of `quantity` on scopes that `about` takes; where there
/// are none and deep may stand in, those of the deep dose. Of several the
/// first that replaces counts, else the first that stands until a result; the
/// safe side takes the highest.
pub(super) fn pick(
    all: &[&Determination],
    quantity: Quantity,
    mode: Mode,
    about: impl Fn(&Scope) -> bool,
) -> Option<Pick> {
    let of = |wanted: Quantity| {
        let mut found: Vec<&Determination> = all
            .iter()
            .copied()
            .filter(|one| one.quantity == wanted && about(&one.scope))
            .filter(|one| match one.relation {
                Relation::Replaces => true,
                Relation::UntilResult => mode.until,
                Relation::Adds => false,
            })
            .collect();
        found.sort_by_key(|one| (one.relation == Relation::UntilResult, one.entry));
        found
    };
    let own = of(quantity);
    let deep_may = mode.stand_in && matches!(quantity, Quantity::Lens | Quantity::Shallow);
    let (found, stands_in) = if own.is_empty() && deep_may {
        (of(Quantity::Deep), true)
    } else {
        (own, false)
    };
    let first = found.first()?;
    let until = first.relation == Relation::UntilResult;
    Some(Pick {
        dose: Determined {
            account: first.dose,
            safe: found.iter().map(|one| one.dose).max()?,
            readings_too: until,
        },
        class: if until || stands_in {
            Class::Provisional
        } else {
            Class::OfRecord
        },
        entry: first.entry,
    })
}

/// The reading of a shift that a scope names; of several that look alike (two
/// dosimeters that the ledger does not know) the first.
fn named<'s>(work: &'s Shift, scope: &Scope) -> Option<&'s Reading> {
    let Scope::Reading {
        dosimeter, part, ..
    } = scope
    else {
        return None;
    };
    work.readings
        .iter()
        .find(|reading| reading.record == *dosimeter && reading.part == *part)
}

fn readings(
    work: &Shift,
    determined: &[&Determination],
    quantity: Quantity,
    mode: Mode,
    low: &[ReadsLow],
    own: Figure,
) -> Result<Figure, Overflow> {
    let picked = |reading: &Reading| {
        pick(determined, quantity, mode, |scope| {
            named(work, scope).is_some_and(|it| std::ptr::eq(it, reading))
        })
    };
    let besides = Besides {
        determined: &|reading| picked(reading).map(|pick| pick.dose),
        low,
    };
    let Some(dose) = shift::resolve_with(work, &besides)? else {
        return Ok(own);
    };
    let of_record = dose.determined
        && work
            .readings
            .iter()
            .filter_map(picked)
            .all(|pick| pick.class == Class::OfRecord);
    let mut figure = Figure {
        account: dose.account,
        safe: dose.safe,
        class: if of_record {
            Class::OfRecord
        } else {
            Class::Provisional
        },
        held: dose.held,
    };
    // What was determined of a reading that the sheet no longer has is not
    // lost: the shift has at least that much.
    if let Some(stray) = pick(determined, quantity, mode, |scope| {
        matches!(scope, Scope::Reading { .. }) && named(work, scope).is_none()
    }) {
        figure.account = at_least(figure.account, stray.dose.account);
        figure.safe = at_least(figure.safe, stray.dose.safe);
    }
    Ok(figure)
}

/// No reading at the trunk says anything of an extremity, so the determined
/// doses of a shift's readings are the only ones; they add up.
fn extremity(determined: &[&Determination], own: Figure, mode: Mode) -> Result<Figure, Overflow> {
    let mut scopes: Vec<Scope> = Vec::new();
    for one in determined {
        if one.quantity == Quantity::Extremity && !scopes.contains(&one.scope) {
            scopes.push(one.scope);
        }
    }
    let picks: Vec<Pick> = scopes
        .iter()
        .filter_map(|scope| pick(determined, Quantity::Extremity, mode, |it| it == scope))
        .collect();
    if picks.is_empty() {
        return Ok(own);
    }
    Ok(Figure {
        account: Amount::Known(Dose::sum(picks.iter().map(|pick| pick.dose.account))?),
        safe: Amount::Known(Dose::sum(picks.iter().map(|pick| pick.dose.safe))?),
        class: if picks.iter().all(|pick| pick.class == Class::OfRecord) {
            Class::OfRecord
        } else {
            Class::Provisional
        },
        held: 0,
    })
}

fn at_least(amount: Amount, dose: Dose) -> Amount {
    Amount::of(
        amount.known().unwrap_or(Dose::ZERO).max(dose),
        amount.is_undetermined(),
    )
}

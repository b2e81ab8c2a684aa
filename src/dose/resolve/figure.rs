//! What one shift gives in one quantity, with what the RSO determined of it
//! alone.

use crate::dose::input::{Determination, Reading, ReadsLow, Relation, Scope, Shift};
use crate::dose::resolve::by_shift::ByShift;
use crate::dose::resolve::covered::Covered;
use crate::dose::resolve::live::Live;
use crate::dose::shift::{self, Besides, Determined};
use crate::dose::total::{Amount, Class};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

/// Which determinations take part: those that the results of a shift leave.
#[derive(Clone, Copy, Debug)]
pub(super) struct Left<'c> {
    /// The results of the shift.
    pub results: &'c Covered,
    /// Of them those that the RSO accepted alone.
    pub accepted: bool,
}

/// One shift's figures of one quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Figure {
    pub account: Amount,
    pub safe: Amount,
    pub class: Class,
    pub held: u32,
}

/// One shift with what was determined of it.
pub(super) struct Said<'h> {
    pub figure: Figure,
    /// The determinations that take part.
    pub by: Vec<&'h Determination>,
    /// Whether they contradict each other.
    pub contradict: bool,
    /// Whether they are of the deep dose and stand in for this quantity.
    pub stands_in: bool,
    /// Whether one of them has no upper bound.
    pub open: bool,
    /// How long what was determined goes on speaking.
    pub lasts: Lasts,
}

/// How long what was determined of a shift goes on speaking, in every view of the shift.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lasts {
    /// It takes the place of readings.
    pub replaces: bool,
    /// It ends with any result of the shift.
    pub until_result: bool,
    /// It ends with a result that states the quantity.
    pub until_stated: bool,
}

impl Lasts {
    fn of(by: &[&Determination], stands_in: bool) -> Lasts {
        let replaces = by.iter().any(|it| it.relation == Relation::Replaces);
        Lasts {
            replaces,
            until_result: !replaces,
            until_stated: !replaces || stands_in,
        }
    }

    fn and(self, other: Lasts) -> Lasts {
        Lasts {
            replaces: self.replaces && other.replaces,
            until_result: self.until_result && other.until_result,
            until_stated: self.until_stated && other.until_stated,
        }
    }
}

impl Said<'_> {
    /// A shift of which nothing is known.
    pub fn nothing() -> Self {
        Said {
            figure: Figure {
                account: Amount::Elsewhere,
                safe: Amount::Elsewhere,
                class: Class::Provisional,
                held: 0,
            },
            by: Vec::new(),
            contradict: false,
            stands_in: false,
            open: false,
            lasts: Lasts::of(&[], false),
        }
    }

    /// Whether each of them is one figure without a range.
    pub fn is_exact(&self) -> bool {
        self.by.iter().all(|it| it.is_exact())
    }

    /// What another view of the shift leaves without an upper bound has none here.
    pub fn opened_by(&mut self, other: &Said<'_>) {
        if other.open {
            self.open = true;
            let known = self.figure.safe.known().unwrap_or(Dose::ZERO);
            self.figure.safe = Amount::Undetermined(known);
        }
    }

    /// The conservative total is not below that of another view of the shift: what would speak in
    /// the place of a determination that a report may yet end.
    pub fn at_least(&mut self, other: &Said<'_>) {
        let known = |it: &Said<'_>| it.figure.safe.known();
        if let (Some(own), Some(more)) = (known(self), known(other))
            && more > own
        {
            self.figure.safe = Amount::of(more, self.figure.safe.is_undetermined());
        }
        if !other.by.is_empty() {
            self.lasts = self.lasts.and(other.lasts);
        }
        self.opened_by(other);
    }
}

/// The dose that stands of several determinations of one thing: the first that
/// was told; on the conservative side the highest.
#[derive(Clone, Copy)]
struct Pick {
    dose: Determined,
    of_record: bool,
}

impl<'h> ByShift<'h> {
    /// The shift's figures of one quantity.
    pub(super) fn said(
        &self,
        work: &Shift,
        live: &Live,
        quantity: Quantity,
        left: Left<'_>,
    ) -> Result<Said<'h>, Overflow> {
        let own = undetermined(live, quantity);
        let (by, stands_in) = self.taking_part(work.sheet, quantity, left);
        let mut said = Said {
            figure: own,
            contradict: false,
            stands_in,
            open: by.iter().any(|it| it.open),
            lasts: Lasts::of(&by, stands_in),
            by,
        };
        let Some(first) = said.by.first().copied() else {
            return Ok(said);
        };
        let of_reading = |one: &&&Determination| matches!(one.scope, Scope::Reading { .. });
        let whole: Vec<&Determination> = said
            .by
            .iter()
            .filter(|it| !of_reading(it))
            .copied()
            .collect();
        let parts: Vec<&Determination> = said.by.iter().filter(of_reading).copied().collect();
        let of_parts = match (parts.is_empty(), quantity) {
            (true, _) => None,
            (false, Quantity::Extremity) => Some(extremity(&parts)?),
            (false, _) => Some(readings(work, &parts, self.low, own)?),
        };
        let Some(one) = whole.first() else {
            said.figure = of_parts.unwrap_or(own);
            said.contradict = differ_of_one_scope(&parts);
            provisional_if(&mut said.figure, stands_in);
            return Ok(said);
        };
        let floor = |it: &&Determination| match it.relation {
            Relation::UntilResult => live.dose.safe.known().unwrap_or(Dose::ZERO),
            _ => live.waiting,
        };
        let highest = whole.iter().map(|it| it.at_most.max(floor(it))).max();
        let highest = highest.unwrap_or(Dose::ZERO);
        let of_parts_safe = of_parts.and_then(|it| it.safe.known());
        let safe = Amount::of(highest.max(of_parts_safe.unwrap_or(Dose::ZERO)), said.open);
        let differ = whole.iter().any(|it| it.figures() != one.figures());
        let agree = of_parts.is_none_or(|it| it.account == one.counted());
        said.contradict = differ || !agree || differ_of_one_scope(&parts);
        said.figure = match of_parts {
            Some(of_parts) if of_reading(&&first) => Figure { safe, ..of_parts },
            _ => Figure {
                account: first.counted(),
                safe,
                class: class_of(first.relation == Relation::Replaces),
                held: 0,
            },
        };
        provisional_if(&mut said.figure, stands_in);
        Ok(said)
    }

    /// The determinations of a shift that take part in a quantity, the first
    /// told first, and whether they are of the deep dose and stand in.
    fn taking_part(
        &self,
        sheet: i64,
        quantity: Quantity,
        left: Left<'_>,
    ) -> (Vec<&'h Determination>, bool) {
        let of = |wanted: Quantity| -> Vec<&'h Determination> {
            let all = self.on(sheet).iter().copied();
            all.filter(|one| one.quantity == wanted)
                .filter(|one| {
                    let until = one.relation == Relation::UntilResult;
                    !until || !left.results.end(one.entry, left.accepted)
                })
                .collect()
        };
        let own = of(quantity);
        if !own.is_empty() || !matches!(quantity, Quantity::Lens | Quantity::Shallow) {
            return (own, false);
        }
        let mut deep = of(Quantity::Deep);
        deep.retain(|one| !left.results.state(one.entry, left.accepted));
        let stands_in = !deep.is_empty();
        (deep, stands_in)
    }
}

/// What readings alone say of a quantity. No reading at the trunk says
/// anything of an extremity.
pub(super) fn undetermined(live: &Live, quantity: Quantity) -> Figure {
    match quantity {
        Quantity::Extremity => Figure {
            account: Amount::NotAssessed,
            safe: Amount::NotAssessed,
            class: Class::Provisional,
            held: 0,
        },
        _ => Figure {
            account: live.dose.account,
            safe: live.dose.safe,
            class: Class::Provisional,
            held: live.dose.held,
        },
    }
}

/// A dose that stands in for a quantity which nobody determined is not of
/// record in it.
fn provisional_if(figure: &mut Figure, stands_in: bool) {
    if stands_in {
        figure.class = Class::Provisional;
    }
}

fn class_of(of_record: bool) -> Class {
    match of_record {
        true => Class::OfRecord,
        false => Class::Provisional,
    }
}

fn differ_of_one_scope(all: &[&Determination]) -> bool {
    let mut pairs = all
        .iter()
        .enumerate()
        .flat_map(|(nth, one)| all.iter().skip(nth + 1).map(move |other| (one, other)));
    pairs.any(|(one, other)| one.scope == other.scope && one.figures() != other.figures())
}

/// Of determinations of one thing, in the order in which they were told.
fn pick(all: &[&Determination], about: impl Fn(&Scope) -> bool) -> Option<Pick> {
    let found = || all.iter().filter(|one| about(&one.scope));
    let first = found().next()?;
    Some(Pick {
        dose: Determined {
            account: first.dose,
            safe: found().map(|one| one.at_most).max()?,
            open: first.open,
            safe_open: found().any(|one| one.open),
            readings_too: found().any(|one| one.relation == Relation::UntilResult),
        },
        of_record: first.relation == Relation::Replaces,
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
    low: &[ReadsLow],
    own: Figure,
) -> Result<Figure, Overflow> {
    let picked = |reading: &Reading| {
        pick(determined, |scope| {
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
    let all_of_record = work
        .readings
        .iter()
        .filter_map(picked)
        .all(|pick| pick.of_record);
    let mut figure = Figure {
        account: dose.account,
        safe: dose.safe,
        class: class_of(dose.determined && all_of_record),
        held: dose.held,
    };
    // What was determined of a reading that the sheet no longer has is not
    // lost: the shift has at least that much.
    if let Some(stray) = pick(determined, |scope| named(work, scope).is_none()) {
        figure.account = at_least(figure.account, stray.dose.account, stray.dose.open);
        figure.safe = at_least(figure.safe, stray.dose.safe, stray.dose.safe_open);
    }
    Ok(figure)
}

/// No reading at the trunk says anything of an extremity, so the determined
/// doses of a shift's readings are the only ones; they add up.
fn extremity(determined: &[&Determination]) -> Result<Figure, Overflow> {
    let mut scopes: Vec<Scope> = Vec::new();
    for one in determined {
        if !scopes.contains(&one.scope) {
            scopes.push(one.scope);
        }
    }
    let picks: Vec<Pick> = scopes
        .iter()
        .filter_map(|scope| pick(determined, |it| it == scope))
        .collect();
    Ok(Figure {
        account: Amount::of(
            Dose::sum(picks.iter().map(|pick| pick.dose.account))?,
            picks.iter().any(|pick| pick.dose.open),
        ),
        safe: Amount::of(
            Dose::sum(picks.iter().map(|pick| pick.dose.safe))?,
            picks.iter().any(|pick| pick.dose.safe_open),
        ),
        class: class_of(picks.iter().all(|pick| pick.of_record)),
        held: 0,
    })
}

fn at_least(amount: Amount, dose: Dose, open: bool) -> Amount {
    Amount::of(
        amount.known().unwrap_or(Dose::ZERO).max(dose),
        amount.is_undetermined() || open,
    )
}

//! The account: what the records say one worker received over a span, and
//! the contributions that make it up.
//!
//! A shift's dose belongs to the day on which the shift started. Dose of
//! another employer is one lump for its period; where the span cuts the
//! period the lump is apportioned by days and marked as such.

use crate::calendar::{Day, Span};
use crate::dose::input::{History, PriorDose, Shift};
use crate::dose::shift;
use crate::dose::total::{Amount, Class, PerQuantity, Total};
use crate::quantity::{Dose, Overflow};
use crate::record::Words;

/// One part of an account, with the entry that it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contribution {
    /// First day of it inside the span.
    pub first: Day,
    /// Last day of it inside the span; a shift has one day.
    pub last: Day,
    /// How sure it is.
    pub class: Class,
    /// The dose of each quantity.
    pub doses: PerQuantity<Amount>,
    /// Held readings that it leaves out.
    pub held: u32,
    /// The entry that says so.
    pub entry: i64,
    /// How it came about, in plain words, one line each.
    pub words: Vec<String>,
}

/// One worker's account over a span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    /// The days that it covers.
    pub span: Span,
    /// What makes it up, by day and entry.
    pub contributions: Vec<Contribution>,
    /// The totals of the contributions.
    pub totals: PerQuantity<Total>,
    /// Whether exposure readings (mR) are in it, which count as dose 1 mR to
    /// 1 mrem by convention. Whoever shows the account says so.
    pub counts_exposure_as_dose: bool,
}

impl Account {
    /// The account of one worker over a span, both ends inclusive.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn of(history: &History, span: Span) -> Result<Account, Overflow> {
        let mut contributions = Vec::new();
        let mut counts_exposure_as_dose = false;
        for shift in history
            .shifts
            .iter()
            .filter(|shift| span.contains(shift.day))
        {
            if let Some(contribution) = of_shift(shift)? {
                counts_exposure_as_dose |= shows_exposure(shift);
                contributions.push(contribution);
            }
        }
        contributions.extend(
            history
                .facts
                .prior
                .iter()
                .filter_map(|prior| of_prior(prior, span)),
        );
        contributions.sort_by_key(|part| (part.first, part.last, part.entry));
        let mut totals = PerQuantity::<Total>::empty();
        for part in &contributions {
            totals.add(part.class, &part.doses, part.held)?;
        }
        Ok(Account {
            span,
            contributions,
            totals,
            counts_exposure_as_dose,
        })
    }
}

/// What a whole prior period says of each quantity. Where lens or shallow
/// dose is not stated the deep dose stands in for it; where the deep dose is
/// not stated there is no upper bound, for a dose that nobody wrote down is
/// not zero.
pub(crate) fn prior_amounts(prior: &PriorDose) -> PerQuantity<Amount> {
    let or_deep = |dose: Option<Dose>| match dose.or(prior.deep) {
        Some(dose) => Amount::Known(dose),
        None => Amount::Undetermined(Dose::ZERO),
    };
    PerQuantity {
        deep: or_deep(None),
        lens: or_deep(prior.lens),
        shallow: or_deep(prior.shallow),
        extremity: prior.extremity.map_or(Amount::NotAssessed, Amount::Known),
    }
}

/// The period of a prior dose.
pub(crate) fn prior_span(prior: &PriorDose) -> Span {
    Span {
        first: prior.first,
        last: prior.last.max(prior.first),
    }
}

/// The share of a lump for the days from `part.first` to `part.last` of its
/// period `whole`.
///
/// Each day's share is the step of the running share, rounded down to one
/// nanosievert, at that day. So the share of a cut does not depend on other
/// cuts, is never more than 1 nSv from exact, and the shares of any cuts that
/// cover the period add up to the lump exactly. Days outside the period have
/// no share.
pub fn apportion(lump: Dose, whole: Span, part: Span) -> Dose {
    let Some(part) = whole.common(&part) else {
        return Dose::ZERO;
    };
    let days = whole.days();
    let running = |n: i64| i128::from(lump.nsv()) * i128::from(n) / i128::from(days.max(1));
    let share =
        running(days_before(whole, part.last) + 1) - running(days_before(whole, part.first));
    // A share is not above its lump, so it fits.
    Dose::from_nsv(i64::try_from(share).unwrap_or(lump.nsv()))
}

fn days_before(whole: Span, day: Day) -> i64 {
    (day - whole.first).num_days()
}

/// A lump's amounts for the part of its period that a span holds.
pub(crate) fn apportioned(
    amounts: &PerQuantity<Amount>,
    whole: Span,
    part: Span,
) -> PerQuantity<Amount> {
    let share = |amount: Amount| match amount {
        Amount::NotAssessed => Amount::NotAssessed,
        Amount::Known(lump) => Amount::Known(apportion(lump, whole, part)),
        Amount::Undetermined(lump) => Amount::Undetermined(apportion(lump, whole, part)),
    };
    PerQuantity {
        deep: share(amounts.deep),
        lens: share(amounts.lens),
        shallow: share(amounts.shallow),
        extremity: share(amounts.extremity),
    }
}

fn of_shift(shift: &Shift) -> Result<Option<Contribution>, Overflow> {
    let Some(dose) = shift::resolve(shift)? else {
        return Ok(None);
    };
    let mut words = vec![format!(
        "{} {} shift of {}",
        shift.work.word(),
        shift.shift.word(),
        shift.day
    )];
    words.extend(shift::explain(shift));
    Ok(Some(Contribution {
        first: shift.day,
        last: shift.day,
        class: Class::Provisional,
        doses: shift::stands_in(dose.account),
        held: dose.held,
        entry: shift.entry,
        words,
    }))
}

fn of_prior(prior: &PriorDose, span: Span) -> Option<Contribution> {
    let whole = prior_span(prior);
    let part = whole.common(&span)?;
    let amounts = prior_amounts(prior);
    let mut words = vec![format!(
        "{} to {} with {}",
        prior.first, prior.last, prior.employer
    )];
    let (class, doses) = if part == whole {
        (Class::Prior, amounts)
    } else {
        let inside = part.days();
        let of = whole.days();
        words.push(format!(
            "apportioned: {inside} of the {of} days of the period"
        ));
        (Class::Apportioned, apportioned(&amounts, whole, part))
    };
    match (prior.deep, prior.lens, prior.shallow) {
        (None, _, _) => words.push("deep dose not stated: undetermined".to_string()),
        (Some(_), Some(_), Some(_)) => {}
        _ => words.push("lens or shallow dose not stated: the deep dose stands in".to_string()),
    }
    Some(Contribution {
        first: part.first,
        last: part.last,
        class,
        doses,
        held: 0,
        entry: prior.entry,
        words,
    })
}

fn shows_exposure(shift: &Shift) -> bool {
    shift.readings.iter().any(|reading| {
        [reading.start, reading.end]
            .into_iter()
            .flatten()
            .any(|shown| shown.is_exposure())
    })
}

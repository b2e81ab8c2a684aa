//! The safe-side figure of one worker over a span, and what raised it above
//! the account.
//!
//! Clearance, allowance and levels use this figure. It is never below the
//! account. It adds what the account leaves out or splits: readings that wait
//! for a ruling, a lump whose period the span cuts (whole), and a night shift
//! that ran into the span's first day.

use crate::calendar::{Day, Span};
use crate::dose::account::{apportioned, prior_amounts, prior_span};
use crate::dose::input::History;
use crate::dose::shift;
use crate::dose::total::{Amount, Class, PerQuantity, QUANTITIES, Total};
use crate::quantity::{Dose, Overflow};
use crate::record::Words;

/// Why the safe-side figure is above the account.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Why {
    /// A held reading counts until somebody rules.
    Held,
    /// A reading lacks an end, and what its dosimeter's face showed counts.
    ReadingIncomplete,
    /// A night shift that began the day before ran into the span.
    OverMidnight,
    /// A lump whose period the span cuts counts whole.
    WholeLump,
}

/// One thing that raised the figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Raise {
    /// Why.
    pub why: Why,
    /// The entry that it comes from.
    pub entry: i64,
    /// Its day, or the first day of its period.
    pub day: Day,
    /// By how much, a quantity. Zero where it only takes the upper bound away.
    pub by: PerQuantity<Dose>,
    /// Whether it takes the upper bound away.
    pub undetermined: bool,
    /// The same in plain words.
    pub words: String,
}

/// The safe-side totals over a span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SafeSide {
    /// The days that it covers.
    pub span: Span,
    /// The totals. Nothing is held in them: held readings are counted.
    pub totals: PerQuantity<Total>,
    /// What raised them above the account, by day.
    pub raised_by: Vec<Raise>,
}

impl SafeSide {
    /// The safe-side figure of one worker over a span.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn of(history: &History, span: Span) -> Result<SafeSide, Overflow> {
        let mut totals = PerQuantity::<Total>::empty();
        let mut raised_by = Vec::new();
        for work in &history.shifts {
            let over_midnight = work.crosses_midnight && work.day.succ_opt() == Some(span.first);
            if !over_midnight && !span.contains(work.day) {
                continue;
            }
            let Some(dose) = shift::resolve(work)? else {
                continue;
            };
            let safe = shift::stands_in(dose.safe);
            totals.add(Class::Provisional, &safe, 0)?;
            let account = if over_midnight {
                PerQuantity::default()
            } else {
                shift::stands_in(dose.account)
            };
            let why = match (over_midnight, dose.held > 0) {
                (true, _) => Why::OverMidnight,
                (false, true) => Why::Held,
                (false, false) => Why::ReadingIncomplete,
            };
            let words = say_shift(why, work.day, work.shift.word());
            raised_by.extend(raise(why, work.entry, work.day, &account, &safe, words)?);
        }
        for prior in &history.facts.prior {
            let whole = prior_span(prior);
            let Some(part) = whole.common(&span) else {
                continue;
            };
            let lump = prior_amounts(prior);
            totals.add(Class::Prior, &lump, 0)?;
            let account = apportioned(&lump, whole, part);
            let words = format!(
                "dose of {} to {} with {} counts whole",
                prior.first, prior.last, prior.employer
            );
            let entry = prior.entry;
            raised_by.extend(raise(
                Why::WholeLump,
                entry,
                part.first,
                &account,
                &lump,
                words,
            )?);
        }
        raised_by.sort_by_key(|raise| (raise.day, raise.entry));
        Ok(SafeSide {
            span,
            totals,
            raised_by,
        })
    }
}

fn raise(
    why: Why,
    entry: i64,
    day: Day,
    account: &PerQuantity<Amount>,
    safe: &PerQuantity<Amount>,
    words: String,
) -> Result<Option<Raise>, Overflow> {
    let mut by = PerQuantity::<Dose>::default();
    let mut undetermined = false;
    for quantity in QUANTITIES {
        let (account, safe) = (*account.get(quantity), *safe.get(quantity));
        undetermined |= safe.is_undetermined() && !account.is_undetermined();
        let zero = Dose::ZERO;
        *by.get_mut(quantity) = safe
            .known()
            .unwrap_or(zero)
            .checked_sub(account.known().unwrap_or(zero))?;
    }
    let raises = undetermined || by != PerQuantity::default();
    Ok(raises.then_some(Raise {
        why,
        entry,
        day,
        by,
        undetermined,
        words,
    }))
}

fn say_shift(why: Why, day: Day, shift: &str) -> String {
    match why {
        Why::OverMidnight => format!("{shift} shift of {day} ran over midnight: counts here too"),
        Why::Held => format!("held reading of the {shift} shift of {day} counts until ruled on"),
        Why::ReadingIncomplete | Why::WholeLump => {
            format!("{shift} shift of {day}: what the dosimeter's face showed counts")
        }
    }
}

//! Which sheet the dose of an account belongs to. What a shift says of itself, and its share of a
//! result or determination that was spread by readings, is of its sheet; everything else belongs to
//! no sheet. The parts add up to the account.

use crate::calendar::Span;
use crate::dose::input::History;
use crate::dose::resolve::Resolved;
use crate::dose::resolve::share::Shares;
use crate::dose::total::Amount;
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

/// A part of one worker's account.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetDose {
    /// The sheet's record; nothing where the dose belongs to none.
    pub sheet: Option<i64>,
    /// The dose; nothing where nobody measured it.
    pub dose: Option<Dose>,
    /// Whether it is a lower bound.
    pub open: bool,
}

/// One worker's account of a span by sheet, without planned special exposures.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn by_sheet(
    history: &History,
    span: Span,
    quantity: Quantity,
) -> Result<Vec<SheetDose>, Overflow> {
    let resolved = Resolved::of(history)?;
    let units = resolved.of.get(quantity);
    let mut parts = Vec::new();
    for (live, single) in resolved.live.iter().zip(&units.singles) {
        if live.special || !span.contains(live.day) || single.account == Amount::Elsewhere {
            continue;
        }
        let dose = single.account.known();
        parts.push(SheetDose {
            sheet: Some(live.sheet),
            dose,
            open: dose.is_none() || single.account.is_undetermined() || single.held > 0,
        });
    }
    for lump in units.lumps.iter().filter(|it| !it.special) {
        let Some((_, amount)) = lump.within(span) else {
            continue;
        };
        let (mut rest, mut told) = (amount.known(), !amount.is_undetermined());
        if let Shares::Shifts(shares) = &lump.shares {
            for share in shares {
                let Some(live) = resolved.live.get(share.at) else {
                    continue;
                };
                if share.special || !span.contains(share.day) {
                    continue;
                }
                rest = match rest {
                    Some(rest) => Some(rest.checked_sub(share.dose)?),
                    None => None,
                };
                parts.push(SheetDose {
                    sheet: Some(live.sheet),
                    dose: Some(share.dose),
                    open: amount.is_undetermined(),
                });
                told = true;
            }
            // Of a dose without an upper bound even nothing is said once.
            if told && rest == Some(Dose::ZERO) {
                continue;
            }
        }
        parts.push(SheetDose {
            sheet: None,
            dose: rest,
            open: rest.is_none() || amount.is_undetermined(),
        });
    }
    for excess in &units.excesses {
        if let Some((_, amount)) = excess.account(span)
            && amount != Amount::Elsewhere
        {
            parts.push(SheetDose {
                sheet: None,
                dose: amount.known(),
                open: amount.known().is_none() || amount.is_undetermined(),
            });
        }
    }
    Ok(parts)
}

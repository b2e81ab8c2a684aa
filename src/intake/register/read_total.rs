//! Corrections of reads on demand, held against the running total that the badge shows: a
//! read that is corrected changes what the next one has above it.

use super::read::{Before, agrees, before, since};
use crate::intake::entry::fault::Fault;
use crate::ledger::{LedgerError, Snapshot, WearRow};
use crate::quantity::{Dose, DoseUnit};
use crate::record::{BadgeResult, BadgeType, Body, Reported};

/// Where a corrected read no longer is what its running total gives, though it was before: the
/// field, what is wrong and what would be right.
fn apart_from_total(
    snapshot: &Snapshot<'_>,
    unit: DoseUnit,
    (before_it, after): (&BadgeResult, &BadgeResult),
) -> Result<Option<Fault>, LedgerError> {
    let Some((wear, periods)) = on_demand(snapshot, after)? else {
        return Ok(None);
    };
    let before = before(&periods, &wear);
    let dose = |it: &BadgeResult| it.total_nsv.map(|total| since(total, before));
    let agreed = |it: &BadgeResult| match (dose(it), main_of(it, wear.kind)) {
        (Some(Ok(dose)), Some(given)) => agrees(given, dose),
        (Some(Ok(_)), None) => false,
        _ => true,
    };
    let Some(Ok(dose)) = dose(after).filter(|_| agreed(before_it) && !agreed(after)) else {
        return Ok(None);
    };
    let name = main_name(wear.kind);
    let given = main_of(after, wear.kind).map_or(String::new(), |it| it.nsv.display(unit));
    Ok(Some(Fault::new(
        None,
        name,
        &given,
        "is not what the running total gives since the read before",
        format!(
            "total and dose in one correction: {name}={}",
            dose.display(unit)
        ),
    )))
}

/// A read that follows from a corrected one: the running total that it shows gives another dose
/// now.
pub(in crate::intake) struct Follows {
    /// Its newest entry.
    pub entry: i64,
    /// It with that dose.
    pub read: BadgeResult,
}

/// What a correction of a read makes of the next, or why it cannot stand.
///
/// # Errors
/// The ledger cannot be read.
pub(in crate::intake) fn corrected_read(
    snapshot: &Snapshot<'_>,
    unit: DoseUnit,
    (old, new): (&BadgeResult, &BadgeResult),
) -> Result<Result<Option<Follows>, Fault>, LedgerError> {
    if let Some(fault) = apart_from_total(snapshot, unit, (old, new))? {
        return Ok(Err(fault));
    }
    let (Some(was), Some(is)) = (old.total_nsv, new.total_nsv) else {
        return Ok(Ok(None));
    };
    let Some((wear, periods)) = on_demand(snapshot, new)?.filter(|_| was != is) else {
        return Ok(Ok(None));
    };
    let mut later = periods
        .iter()
        .filter(|it| it.on_demand && it.first_day > wear.first_day);
    let next = later.next().and_then(|it| it.results.last());
    let Some((next, total)) = next.and_then(|it| Some((it, it.total?))) else {
        return Ok(Ok(None));
    };
    let Some(Body::BadgeResult(read)) = snapshot.body(next.entry)? else {
        return Ok(Ok(None));
    };
    let dose = |before: Dose| since(total, Before::Total(before, new.reported_on));
    let agreed = match (dose(was), main_of(&read, wear.kind)) {
        (Ok(dose), Some(given)) => agrees(given, dose),
        _ => false,
    };
    if !agreed {
        return Ok(Ok(None));
    }
    let Ok(dose) = dose(is) else {
        let what = format!(
            "is more than the total of {}, {}",
            next.reported_on,
            total.display(unit)
        );
        let fault = Fault::new(None, "total", &is.display(unit), what, "the total as shown");
        return Ok(Err(fault));
    };
    let mut read = *read;
    let main = match wear.kind {
        BadgeType::Extremity => &mut read.extremity,
        _ => &mut read.deep,
    };
    *main = Some(Reported {
        below: false,
        minimum_nsv: None,
        nsv: dose,
        written: dose.display(unit),
    });
    let entry = next.entry;
    Ok(Ok(Some(Follows { entry, read })))
}

/// Why a read cannot be void, where the next has its dose from the running total of this one;
/// else what is to be said of the wear period that it began.
///
/// # Errors
/// The ledger cannot be read.
pub(in crate::intake) fn voided_read(
    snapshot: &Snapshot<'_>,
    entry: i64,
    read: &BadgeResult,
) -> Result<Result<Option<String>, (String, String)>, LedgerError> {
    let Some((wear, periods)) = on_demand(snapshot, read)? else {
        return Ok(Ok(None));
    };
    let mut later = periods
        .iter()
        .filter(|it| it.on_demand && it.first_day > wear.first_day);
    let Some(next) = later.next() else {
        return Ok(Ok(None));
    };
    let follows = next.results.last().and_then(|it| Some((it, it.total?)));
    if let (Some(total), Some((after, shown))) = (read.total_nsv, follows) {
        let body = snapshot.body(after.entry)?;
        let given = match &body {
            Some(Body::BadgeResult(it)) => main_of(it, wear.kind),
            _ => None,
        };
        let dose = since(shown, Before::Total(total, read.reported_on));
        if matches!((dose, given), (Ok(dose), Some(given)) if agrees(given, dose)) {
            let (then, on) = (after.entry, after.reported_on);
            return Ok(Err((
                format!(
                    "entry {then}, the read of {on}, is the running total less that of entry \
                     {entry}: with this one void its dose would be in no read"
                ),
                format!(
                    "a wrong figure, and the next read with it: wearbook entry correct {entry} \
                     total=TOTAL --reason WHY; a read that never was: void the later ones first, \
                     the newest before the others: wearbook entry void {then} --reason WHY"
                ),
            )));
        }
    }
    let began = next.results.is_empty() && next.last_read == Some(read.reported_on);
    Ok(Ok(began.then(|| {
        format!(
            "the wear period of {} that the read began stands (entry {}): a read of the same day \
             goes on with it; if there was none, wearbook entry void {} --reason WHY",
            next.first_day, next.entry, next.entry
        )
    })))
}

/// The wear period of a read on demand, and all periods of its number.
fn on_demand(
    snapshot: &Snapshot<'_>,
    read: &BadgeResult,
) -> Result<Option<(WearRow, Vec<WearRow>)>, LedgerError> {
    let Some(badge) = read.badge.known() else {
        return Ok(None);
    };
    let Some(wear) = snapshot.wear_of_record(badge.number())? else {
        return Ok(None);
    };
    let periods = snapshot.wear_of_number(&wear.number)?;
    Ok(Some((wear, periods)).filter(|(wear, _)| wear.on_demand))
}

/// The dose of which the running total tells.
fn main_of(read: &BadgeResult, kind: BadgeType) -> Option<&Reported> {
    match kind {
        BadgeType::Extremity => read.extremity.as_ref(),
        _ => read.deep.as_ref(),
    }
}

fn main_name(kind: BadgeType) -> &'static str {
    match kind {
        BadgeType::Extremity => "extremity",
        _ => "deep",
    }
}

//! A rule set put in force. Of days that are past it changes what was said of them: that is shown
//! first, and needs a reason.

use super::fault::IntakeError;
use super::taken::{Taken, taken};
use crate::answer::{
    AdoptionChanges, House, SaidOfPast, levels_no_more, license_asked, said_of_past,
};
use crate::calendar::Day;
use crate::ledger::{Instant, Writer};
use crate::record::{Adoption, Record};

/// Adopts a rule set, and says what that changes of days that are past.
///
/// # Errors
/// [`IntakeError::ChangesPast`] where it changes something and no reason is given;
/// [`IntakeError::WhoseLicense`] where it would make the license another authority's.
pub fn adopt_rule_set(
    writer: &mut Writer<'_>,
    now: Instant,
    adoption: Adoption,
) -> Result<(Taken, AdoptionChanges), IntakeError> {
    let from = adoption.from;
    let (house_before, before) = said(writer, from, now)?;
    let (key, has_reason) = (adoption.key(), adoption.reason.is_some());
    let written = writer.append(adoption.into(), false)?;
    let (house, after) = said(writer, from, now)?;
    if let Some(asked) = license_asked(&house_before, &house, from) {
        return Err(IntakeError::WhoseLicense(asked));
    }
    let mut changes = before.changes(&after);
    changes.levels_no_more = levels_no_more(&house_before, &house, from);
    if !changes.is_empty() && !has_reason {
        return Err(IntakeError::ChangesPast(Box::new(changes)));
    }
    let taken = taken(Adoption::KIND.word(), key, written, writer.head());
    Ok((taken, changes))
}

fn said(writer: &Writer<'_>, from: Day, now: Instant) -> Result<(House, SaidOfPast), IntakeError> {
    let snapshot = writer.snapshot()?;
    let house = House::load(&snapshot)?;
    let said = said_of_past(&house.open(&snapshot), from, now)?;
    Ok((house, said))
}

//! Saying who or what was meant by a held item: the words as written give way to a record.

use super::amend::taken;
use super::doubt_badge::with_doubts;
use super::fault::IntakeError;
use super::label::label_in;
use super::register::{Found, find_wear, refused};
use super::sheet::look_at_again;
use super::take::{Taken, find_held};
use crate::answer::Names;
use crate::calendar::Day;
use crate::ledger::{Author, HeldRow, Instant, Ledger, Mode, Snapshot, WearRow};
use crate::record::{Body, DoubtSort, RecordId, Ref, Sheet, Words};

/// Says who or what was meant by a held item: the words as written give way to
/// the record of this id, with an amendment.
pub fn name_held(
    ledger: &mut Ledger,
    author: &Author,
    now: Instant,
    mode: Mode,
    (entry, item): (i64, i64),
    id: &str,
    reason: &str,
) -> Result<Taken, IntakeError> {
    ledger.write(author, now, mode, |writer| {
        let snapshot = writer.snapshot()?;
        let row = find_held(&snapshot, entry, item)?;
        let named = match snapshot.body(entry)? {
            Some(Body::Sheet(mut sheet)) => {
                let names = Names::load(&snapshot)?;
                let done = put_name(&mut sheet, &row, &names, id)?;
                look_at_again(&snapshot, &mut sheet, row.record)?;
                done.then_some(Body::Sheet(sheet))
            }
            Some(Body::BadgeResult(mut result)) if result.badge.written().is_some() => {
                result.badge = Ref::Known(badge_named(&snapshot, id, result.reported_on)?.into());
                let body = Body::BadgeResult(result);
                Some(with_doubts(&snapshot, body, Some(row.record))?)
            }
            _ => None,
        };
        let body = named.ok_or_else(|| IntakeError::BadChange {
            detail: format!("held item {entry}.{item} is not about an unknown name"),
            right: format!(
                "--counts, --does-not-count, or for a wrong figure: wearbook entry amend {entry} \
                 FIELD=VALUE --reason WHY"
            ),
        })?;
        let transcribed = snapshot.entry(entry)?.transcribed;
        let kind = body.kind().word();
        let key = label_in(&snapshot, &Names::load(&snapshot)?, &body)?;
        let written = writer.amend(entry, body, reason, transcribed)?;
        Ok(taken(kind, key, written, writer.head()))
    })
}

/// The badge that a spare's result is of.
fn badge_named(snapshot: &Snapshot<'_>, id: &str, on: Day) -> Result<RecordId, IntakeError> {
    let open = |it: &WearRow| it.results.is_empty();
    let found = find_wear(snapshot, id, on, &|_| false, &[&open])?;
    match &found {
        Found::Wear(wear) | Found::NotYet(wear) => Ok(wear.record),
        Found::Several(_) | Found::Unknown(_) => {
            let (what, right) = refused(&found).unwrap_or_default();
            Err(IntakeError::BadChange {
                detail: format!("`{id}` {what}"),
                right,
            })
        }
    }
}

/// Whether it is the words that a held item is about.
fn is_about<T>(row: &HeldRow, it: &Ref<T>) -> bool {
    it.written()
        .is_some_and(|words| row.about.contains(&format!("`{words}`")))
}

/// Puts the record of `id` in the place that a held item is about. Says whether
/// there were words to replace.
fn put_name(
    sheet: &mut Sheet,
    row: &HeldRow,
    names: &Names,
    id: &str,
) -> Result<bool, IntakeError> {
    let place = row.person.and_then(|place| usize::try_from(place - 1).ok());
    let person = place.and_then(|at| sheet.people.get_mut(at));
    let mut done = false;
    match (DoubtSort::from_stored(&row.sort), person) {
        (Some(DoubtSort::UnknownWorker), Some(person)) if is_about(row, &person.worker) => {
            person.worker = Ref::Known(names.worker(id)?);
            done = true;
        }
        (Some(DoubtSort::UnknownDosimeter), Some(person)) => {
            for reading in person
                .readings
                .iter_mut()
                .filter(|it| is_about(row, &it.dosimeter))
            {
                reading.dosimeter = Ref::Known(names.dosimeter(id)?);
                done = true;
            }
        }
        (Some(DoubtSort::UnknownItem), Some(person)) => {
            if let Some(it) = person.ratemeter.as_mut().filter(|it| is_about(row, it)) {
                *it = Ref::Known(names.instrument(id)?);
                done = true;
            }
        }
        (Some(DoubtSort::UnknownItem), None) => {
            if is_about(row, &sheet.job) {
                sheet.job = Ref::Known(names.job(id)?);
                done = true;
            }
            let attests = sheet.attested_by.as_mut().filter(|it| is_about(row, it));
            if let Some(it) = attests {
                *it = Ref::Known(names.worker(id)?);
                done = true;
            }
            let equipment = [
                sheet.device.as_mut(),
                sheet.source.as_mut(),
                sheet.control_unit.as_mut(),
            ];
            let equipment = equipment.into_iter().flatten();
            for it in equipment.chain(&mut sheet.guide_tubes) {
                if is_about(row, it) {
                    *it = Ref::Known(names.equipment(id)?);
                    done = true;
                }
            }
            if let Some(it) = sheet.meter.as_mut().filter(|it| is_about(row, it)) {
                *it = Ref::Known(names.instrument(id)?);
                done = true;
            }
        }
        _ => {}
    }
    Ok(done)
}

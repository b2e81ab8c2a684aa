//! Saying who or what was meant by a held item: the words as written give way to a record.

use super::fault::{Fault, Faults, IntakeError};
use super::label::label_in;
use super::take::find_held;
use super::taken::{Taken, taken};
use crate::answer::Names;
use crate::calendar::Day;
use crate::intake::dose::doubt_badge::with_doubts;
use crate::intake::file::named::{Finder, Wrong};
use crate::intake::register::{Found, find_wear, refused};
use crate::intake::sheet::whole::look_at_again;
use crate::ledger::{HeldRow, Snapshot, WearRow, Writer};
use crate::record::{Body, DoubtType, RecordId, Ref, Sheet, Target, Words};

/// Says who or what was meant by a held item: the words as written give way to
/// the record of this id, with an amendment.
pub fn name_held(
    writer: &mut Writer<'_>,
    (entry, item): (i64, i64),
    id: &str,
    reason: &str,
) -> Result<Taken, IntakeError> {
    let snapshot = writer.snapshot()?;
    let row = find_held(&snapshot, entry, item)?;
    let named = match snapshot.body(entry)? {
        Some(Body::Sheet(mut sheet)) => {
            let names = Names::load(&snapshot)?;
            let finder = Finder {
                snapshot: &snapshot,
                names: &names,
            };
            let done = put_name(&mut sheet, &row, &Meant { finder, id })?;
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
        detail: format!("item on hold {entry}.{item} is not about an unknown name"),
        right: format!(
            "--counts, --does-not-count, or for a wrong figure: wearbook entry correct {entry} \
             FIELD=VALUE --reason WHY"
        ),
    })?;
    let transcribed = snapshot.entry(entry)?.transcribed;
    let kind = body.kind().word();
    let key = label_in(&snapshot, &Names::load(&snapshot)?, &body)?;
    let written = writer.amend(entry, body, reason, transcribed)?;
    Ok(taken(kind, key, written, writer.head()))
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

/// What `id` means, where a record of a kind is wanted. One that is of another kind or not known
/// is refused under the name of the field.
struct Meant<'a> {
    finder: Finder<'a>,
    id: &'a str,
}

impl Meant<'_> {
    fn record<T: Target>(&self, field: &str) -> Result<Ref<T>, IntakeError> {
        match self.finder.find(T::GOAL, self.id)? {
            Ok(record) => Ok(Ref::to(record)),
            Err(Wrong { what, right, .. }) => {
                let mut faults = Faults::default();
                faults.push(Fault::new(None, field, self.id, what, right));
                Err(faults.refuse(None, Vec::new()))
            }
        }
    }

    /// Puts it where the words stand that a held item is about. Says whether they stood there.
    fn put<'r, T: Target + 'r>(
        &self,
        row: &HeldRow,
        field: &str,
        places: impl IntoIterator<Item = &'r mut Ref<T>>,
    ) -> Result<bool, IntakeError> {
        let mut done = false;
        for place in places.into_iter().filter(|it| is_about(row, it)) {
            *place = self.record(field)?;
            done = true;
        }
        Ok(done)
    }
}

/// Puts the record that is meant in the place that a held item is about. Says whether there were
/// words to replace.
fn put_name(sheet: &mut Sheet, row: &HeldRow, meant: &Meant<'_>) -> Result<bool, IntakeError> {
    let place = row.person.and_then(|place| usize::try_from(place - 1).ok());
    let person = place.and_then(|at| sheet.people.get_mut(at));
    match (DoubtType::from_stored(&row.kind), person) {
        (Some(DoubtType::UnknownWorker), Some(person)) => {
            meant.put(row, "worker", [&mut person.worker])
        }
        (Some(DoubtType::UnknownDosimeter), Some(person)) => {
            let dosimeters = person.readings.iter_mut().map(|it| &mut it.dosimeter);
            meant.put(row, "dosimeter", dosimeters)
        }
        (Some(DoubtType::UnknownItem), Some(person)) => {
            meant.put(row, "ratemeter", &mut person.ratemeter)
        }
        (Some(DoubtType::UnknownItem), None) => {
            let done = [
                meant.put(row, "job", [&mut sheet.job])?,
                meant.put(row, "attested_by", &mut sheet.attested_by)?,
                meant.put(row, "device", &mut sheet.device)?,
                meant.put(row, "source", &mut sheet.source)?,
                meant.put(row, "control_unit", &mut sheet.control_unit)?,
                meant.put(row, "guide_tubes", &mut sheet.guide_tubes)?,
                meant.put(row, "meter", &mut sheet.meter)?,
            ];
            Ok(done.contains(&true))
        }
        _ => Ok(false),
    }
}

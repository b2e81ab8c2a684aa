//! Correcting what the ledger says: correct a field of an entry, void a record,
//! put it in force again. The body passes the same checks as a new one.

use super::authority;
use super::correct::Correction;
use super::fault::{Fault, Faults, IntakeError};
use super::label::{label_in, refusal_fault};
use super::reread::read_again;
use super::take::held_words;
use super::taken::{Taken, TakenItem, taken};
use crate::answer::{House, Names, stops_of};
use crate::intake::dose::doubt_badge::with_doubts;
use crate::intake::file::named::Finder;
use crate::intake::register::{
    Amended, CATEGORY_RIGHT, Follows, RowDesk, UNSAID_CATEGORY, corrected_read, new_faults,
    voided_read,
};
use crate::intake::sheet::whole::{look_at_again, new_sheet_faults};
use crate::ledger::{Instant, LedgerError, Refusal, Snapshot, Writer, Written};
use crate::record::{Body, Role};

/// Replaces fields of an entry: `people.1.readings.1.end` and its new value, in the words of the
/// registers. An empty value takes the field away. Doubts of a sheet are looked at anew.
pub fn amend(
    writer: &mut Writer<'_>,
    now: Instant,
    entry: i64,
    changes: &[(String, String)],
    reason: &str,
) -> Result<Taken, IntakeError> {
    let snapshot = writer.snapshot()?;
    let old = snapshot.entry(entry)?;
    let before = snapshot.body(entry)?.ok_or_else(|| is_void(entry))?;
    if matches!(before, Body::Pregnancy(_) | Body::PregnancyEnd(_)) {
        return Err(is_private(entry));
    }
    let names = Names::load(&snapshot)?;
    let body = corrected(&snapshot, &names, entry, &before, changes)?;
    let (mut body, mut refused) = read_again(&snapshot, now, entry, &before, body)?;
    if before.content() == body.content() {
        return Err(LedgerError::from(Refusal::NothingChanges { entry }).into());
    }
    if let Body::Sheet(sheet) = &mut body {
        look_at_again(&snapshot, sheet, old.record)?;
    }
    let body = with_doubts(&snapshot, body, Some(old.record))?;
    let unit = names.charter.dose_unit();
    let follows = match (&before, &body) {
        (Body::BadgeResult(old), Body::BadgeResult(new)) => {
            corrected_read(&snapshot, unit, (old, new))?
        }
        _ => Ok(None),
    };
    let follows = follows.unwrap_or_else(|fault| {
        refused.push(fault);
        None
    });
    let amends = Amended { before: &before };
    may_stand(&snapshot, &names, now, amends, &body, refused)?;
    let key = label_in(&snapshot, &names, &body)?;
    let kind = body.kind().word();
    let written = match writer.amend(entry, body, reason, old.transcribed) {
        Err(LedgerError::Refused(refusal @ Refusal::SameKey { .. })) => {
            let mut faults = Faults::default();
            let snapshot = writer.snapshot()?;
            faults.push(refusal_fault(&snapshot, &names, None, &key, &refusal)?);
            return Err(faults.refuse(None, Vec::new()));
        }
        written => written?,
    };
    let snapshot = writer.snapshot()?;
    let held = held_words(&snapshot, &written)?;
    let notes = said_of(&snapshot, &written, now)?;
    let mut taken = Taken {
        held,
        notes,
        ..taken(kind, key, written, writer.head())
    };
    if let Some(follows) = follows {
        the_next_read(writer, &names, follows, reason, &mut taken)?;
    }
    Ok(taken)
}

/// What a corrected sheet says that must stop somebody: whoever corrects it hears it as whoever
/// hands one in.
fn said_of(
    snapshot: &Snapshot<'_>,
    written: &Written,
    now: Instant,
) -> Result<Vec<String>, IntakeError> {
    let Written::New { entry, .. } = written else {
        return Ok(Vec::new());
    };
    let Some(Body::Sheet(sheet)) = snapshot.body(*entry)? else {
        return Ok(Vec::new());
    };
    let house = House::load(snapshot)?;
    let stops = stops_of(&house.open(snapshot), &[*sheet], house.today(now))?;
    Ok(stops
        .iter()
        .map(|it| format!("STOP  {}", it.what))
        .collect())
}

/// Corrects the read after a corrected one in the same write: the running total that it shows
/// gives another dose now.
fn the_next_read(
    writer: &mut Writer<'_>,
    names: &Names,
    follows: Follows,
    reason: &str,
    taken: &mut Taken,
) -> Result<(), IntakeError> {
    let snapshot = writer.snapshot()?;
    let old = snapshot.entry(follows.entry)?;
    let body = with_doubts(&snapshot, Body::from(follows.read), Some(old.record))?;
    let (kind, key) = (body.kind().word(), label_in(&snapshot, names, &body)?);
    let written = writer.amend(follows.entry, body, reason, old.transcribed)?;
    taken.items.push(TakenItem {
        line: None,
        kind,
        key,
        written,
    });
    let note = format!(
        "entry {}, the next read, has another dose with it: its running total less this one",
        follows.entry
    );
    taken.notes.push(note);
    let head = writer.head();
    taken.head = crate::ledger::head_text(head.0, &head.1);
    Ok(())
}

/// The body with its fields replaced, or everything that is wrong with the new values.
fn corrected(
    snapshot: &Snapshot<'_>,
    names: &Names,
    entry: i64,
    before: &Body,
    changes: &[(String, String)],
) -> Result<Body, IntakeError> {
    let mut faults = Faults::default();
    let finder = Finder { snapshot, names };
    let mut correction = Correction::of(&finder, entry, before);
    correction.replace(changes, &mut faults)?;
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    let body = correction.body()?;
    if let (Body::Worker(before), Body::Worker(after)) = (before, &body)
        && after.role == Role::Other
        && before.role != Role::Other
        && !changes.iter().any(|(path, _)| path == "category")
    {
        // The category that stands there came with the role that it no longer is.
        let fault = Fault::new(None, "category", "", UNSAID_CATEGORY, CATEGORY_RIGHT);
        faults.push(fault);
        return Err(faults.refuse(None, Vec::new()));
    }
    Ok(body)
}

/// Refuses an amended body that says what cannot be, that is decided by somebody who may not, or
/// that its register would refuse.
fn may_stand(
    snapshot: &Snapshot<'_>,
    names: &Names,
    now: Instant,
    amends: Amended<'_>,
    body: &Body,
    refused: Vec<Fault>,
) -> Result<(), IntakeError> {
    let desk = RowDesk {
        names,
        snapshot,
        today: names.newest_day(now),
        amends: Some(amends),
    };
    // What stood there before is not what this correction has to answer for.
    let stood = amends.before.problems();
    let mut problems = body.problems();
    problems.retain(|it| !stood.contains(it));
    problems.extend(authority::problems(snapshot, names, body)?);
    let of_body = problems
        .into_iter()
        .map(|problem| Fault::of_problem(None, problem));
    let mut all: Vec<Fault> = of_body.collect();
    all.extend(new_faults(&desk, amends.before, body)?);
    all.extend(refused);
    if let (Body::Sheet(before), Body::Sheet(after)) = (amends.before, body) {
        all.extend(new_sheet_faults(&desk, now, before, after)?);
    }
    let mut faults = Faults::default();
    for fault in all {
        let same = |it: &Fault| it.field == fault.field && it.what == fault.what;
        if !faults.list.iter().any(same) {
            faults.push(fault);
        }
    }
    match faults.any() {
        true => Err(faults.refuse(None, Vec::new())),
        false => Ok(()),
    }
}

fn is_void(entry: i64) -> IntakeError {
    IntakeError::BadChange {
        detail: format!("entry {entry} voids its record already"),
        right: format!("to reinstate it: wearbook entry reinstate {entry} --reason WHY"),
    }
}

/// Of an entry that tells of a declared pregnancy itself, in the form of an older program.
fn is_private(entry: i64) -> IntakeError {
    IntakeError::BadChange {
        detail: format!("entry {entry} is private: what it tells may not be chained again"),
        right: format!(
            "wearbook entry void {entry} --reason WHY, then wearbook worker pregnancy, which \
             keeps it out of the chain"
        ),
    }
}

/// Voids a record by its newest entry.
pub fn void(writer: &mut Writer<'_>, entry: i64, reason: &str) -> Result<Taken, IntakeError> {
    let snapshot = writer.snapshot()?;
    let read = match snapshot.body(entry) {
        Ok(Some(Body::BadgeResult(read))) => voided_read(&snapshot, entry, &read)?,
        _ => Ok(None),
    };
    let note = read.map_err(|(detail, right)| IntakeError::BadChange { detail, right })?;
    let written = writer.void(entry, reason).map_err(|error| match error {
        LedgerError::Refused(Refusal::Voided { entry, .. }) => is_void(entry),
        other => other.into(),
    })?;
    let what = format!("of entry {entry}");
    let mut taken = taken("void", what, written, writer.head());
    taken.notes.extend(note);
    Ok(taken)
}

/// Puts a void record in force again.
pub fn reinstate(writer: &mut Writer<'_>, entry: i64, reason: &str) -> Result<Taken, IntakeError> {
    let written = writer
        .reinstate(entry, reason)
        .map_err(|error| match error {
            LedgerError::Refused(Refusal::NothingChanges { entry }) => IntakeError::BadChange {
                detail: format!("entry {entry} is current already"),
                right: "the number of the entry that voids a record".to_owned(),
            },
            other => other.into(),
        })?;
    let what = format!("by taking back entry {entry}");
    Ok(taken("reinstated", what, written, writer.head()))
}

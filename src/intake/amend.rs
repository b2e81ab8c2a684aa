//! Correcting what the ledger says: amend a field of an entry, void a record,
//! put it in force again. The body passes the same checks as a new one.

use serde_json::Value;

use super::authority;
use super::doubt_badge::with_doubts;
use super::fault::{Fault, Faults, IntakeError};
use super::register::{Found, find_wear, refused};
use super::sheet::look_at_again;
use super::take::{Taken, TakenItem, find_held};
use crate::answer::Names;
use crate::calendar::Day;
use crate::ledger::{
    Author, HeldRow, Instant, Ledger, LedgerError, Mode, Refusal, Snapshot, WearRow, Written,
};
use crate::record::{Body, DoubtSort, Kind, RecordId, Ref, Sheet, Words};

fn taken(
    kind: &'static str,
    key: String,
    written: Written,
    head: (i64, crate::ledger::Hash),
) -> Taken {
    Taken {
        items: vec![TakenItem {
            line: None,
            kind,
            key,
            written,
        }],
        head: crate::ledger::head_text(head.0, &head.1),
    }
}

/// Replaces fields of an entry: `people.1.readings.1.end` and its new value.
/// An empty value takes the field away. Doubts of a sheet are looked at anew.
pub fn amend(
    ledger: &mut Ledger,
    author: &Author,
    now: Instant,
    mode: Mode,
    entry: i64,
    changes: &[(String, String)],
    reason: &str,
) -> Result<Taken, IntakeError> {
    ledger.write(author, now, mode, |writer| {
        let snapshot = writer.snapshot()?;
        let old = snapshot.entry(entry)?;
        let text = match &old.body {
            Some(text) => text.clone(),
            None => {
                let refusal = Refusal::Voided {
                    kind: Kind::from_word(&old.kind).unwrap_or(Kind::Sheet),
                    key: old.record.to_string(),
                    entry,
                };
                return Err(LedgerError::from(refusal).into());
            }
        };
        let kind = Kind::from_word(&old.kind)
            .ok_or(Refusal::NoSuchEntry { entry })
            .map_err(LedgerError::from)?;
        let mut value: Value = serde_json::from_str(&text).unwrap_or(Value::Null);
        for (path, to) in changes {
            set(&mut value, path, to)?;
        }
        if let Value::Object(map) = &mut value {
            map.remove("held");
        }
        let mut body = Body::read(kind, old.version, &value.to_string()).map_err(|error| {
            IntakeError::BadChange {
                detail: format!(
                    "the amended {} cannot be read: {}",
                    kind.word(),
                    error.detail
                ),
                right: format!("the fields as `wearbook entry show {entry}` prints them"),
            }
        })?;
        if let Body::Sheet(sheet) = &mut body {
            look_at_again(&snapshot, sheet, old.record)?;
        }
        let body = with_doubts(&snapshot, body, Some(old.record))?;
        who_may(&snapshot, &body)?;
        let key = body.key();
        let written = writer.amend(entry, body, reason, old.transcribed)?;
        Ok(taken(kind.word(), key, written, writer.head()))
    })
}

/// An amended decision must still be by somebody who may decide.
fn who_may(snapshot: &Snapshot<'_>, body: &Body) -> Result<(), IntakeError> {
    let decides = matches!(
        body,
        Body::Determination(_) | Body::Acceptance(_) | Body::Settlement(_)
    );
    if !decides {
        return Ok(());
    }
    let mut faults = Faults::default();
    for problem in authority::problems(&Names::load(snapshot)?, body) {
        faults.push(Fault::of_problem(None, problem));
    }
    match faults.any() {
        true => Err(faults.refuse(None, Vec::new())),
        false => Ok(()),
    }
}

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
                result.badge = Ref::Known(badge_named(&snapshot, id, result.reported_on)?);
                let body = Body::BadgeResult(result);
                Some(with_doubts(&snapshot, body, Some(row.record))?)
            }
            _ => None,
        };
        let body = named.ok_or_else(|| IntakeError::BadChange {
            detail: format!("held item {entry}.{item} is not about an unknown name"),
            right: "--counts, --does-not-count, or `wearbook entry amend` for a wrong figure"
                .to_owned(),
        })?;
        let transcribed = snapshot.entry(entry)?.transcribed;
        let (kind, key) = (body.kind().word(), body.key());
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
    let unknown = |it: &Ref| {
        it.written()
            .is_some_and(|words| row.about.contains(&format!("`{words}`")))
    };
    let mut done = false;
    match (DoubtSort::from_word(&row.sort), person) {
        (Some(DoubtSort::UnknownWorker), Some(person)) if unknown(&person.worker) => {
            person.worker = Ref::Known(names.worker(id)?);
            done = true;
        }
        (Some(DoubtSort::UnknownDosimeter), Some(person)) => {
            for reading in person
                .readings
                .iter_mut()
                .filter(|it| unknown(&it.dosimeter))
            {
                reading.dosimeter = Ref::Known(names.instrument(id)?);
                done = true;
            }
        }
        (Some(DoubtSort::UnknownItem), Some(person)) => {
            if let Some(it) = person.ratemeter.as_mut().filter(|it| unknown(it)) {
                *it = Ref::Known(names.instrument(id)?);
                done = true;
            }
        }
        (Some(DoubtSort::UnknownItem), None) => {
            if unknown(&sheet.job) {
                sheet.job = Ref::Known(names.job(id)?);
                done = true;
            }
            let attests = sheet.attested_by.as_mut().filter(|it| unknown(it));
            if let Some(it) = attests {
                *it = Ref::Known(names.worker(id)?);
                done = true;
            }
            let items = [
                sheet.device.as_mut(),
                sheet.source.as_mut(),
                sheet.control_unit.as_mut(),
                sheet.meter.as_mut(),
            ];
            for it in items.into_iter().flatten().chain(&mut sheet.guide_tubes) {
                if unknown(it) {
                    *it = Ref::Known(names.item(id)?);
                    done = true;
                }
            }
        }
        _ => {}
    }
    Ok(done)
}

/// Voids a record by its newest entry.
pub fn void(
    ledger: &mut Ledger,
    author: &Author,
    now: Instant,
    mode: Mode,
    entry: i64,
    reason: &str,
) -> Result<Taken, IntakeError> {
    ledger.write(author, now, mode, |writer| {
        let written = writer.void(entry, reason)?;
        Ok(taken("void", entry.to_string(), written, writer.head()))
    })
}

/// Puts a void record in force again.
pub fn reinstate(
    ledger: &mut Ledger,
    author: &Author,
    now: Instant,
    mode: Mode,
    entry: i64,
    reason: &str,
) -> Result<Taken, IntakeError> {
    ledger.write(author, now, mode, |writer| {
        let written = writer.reinstate(entry, reason)?;
        Ok(taken(
            "reinstated",
            entry.to_string(),
            written,
            writer.head(),
        ))
    })
}

/// Sets the value at a path of names and places (counted from 1). A number, yes
/// and no, and text are told apart by what stands there now, or by their form.
fn set(value: &mut Value, path: &str, to: &str) -> Result<(), IntakeError> {
    let bad = |what: &str| IntakeError::BadChange {
        detail: format!("`{path}` {what}"),
        right: "a path of field names and places, such as `people.1.readings.1.end`".to_owned(),
    };
    let (parents, last) = match path.rsplit_once('.') {
        Some((parents, last)) => (Some(parents), last),
        None => (None, path),
    };
    let mut at = value;
    for step in parents.into_iter().flat_map(|parents| parents.split('.')) {
        at = match at {
            Value::Object(map) => map.get_mut(step),
            Value::Array(list) => {
                let place: usize = step.parse().map_err(|_| bad("needs a place, from 1"))?;
                place.checked_sub(1).and_then(|place| list.get_mut(place))
            }
            _ => None,
        }
        .ok_or_else(|| bad("leads nowhere"))?;
    }
    match at {
        Value::Object(map) => {
            if last.is_empty() {
                return Err(bad("names no field"));
            }
            if to.is_empty() {
                map.remove(last);
            } else {
                let as_now = map.get(last).cloned();
                map.insert(last.to_owned(), typed(as_now.as_ref(), to));
            }
            Ok(())
        }
        Value::Array(list) => {
            let place: usize = last.parse().map_err(|_| bad("needs a place, from 1"))?;
            let slot = place.checked_sub(1).and_then(|place| list.get_mut(place));
            let slot = slot.ok_or_else(|| bad("leads nowhere"))?;
            *slot = typed(Some(slot), to);
            Ok(())
        }
        _ => Err(bad("leads nowhere")),
    }
}

fn typed(now: Option<&Value>, to: &str) -> Value {
    let as_text = matches!(now, Some(Value::String(_)));
    if let Ok(number) = to.parse::<i64>()
        && !as_text
    {
        return number.into();
    }
    match to {
        "true" | "yes" if !as_text => true.into(),
        "false" | "no" if !as_text => false.into(),
        other => other.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_path_leads_to_one_value_and_nowhere_else() {
        let start = json!({"day": "2026-06-14", "exposures": 3,
                           "people": [{"readings": [{"end": "31 mR", "off_scale": false}]}]});
        for (path, to, expected) in [
            ("exposures", "4", Some(json!(4))),
            ("day", "2026", Some(json!("2026"))),
            ("people.1.readings.1.end", "41 mR", Some(json!("41 mR"))),
            ("people.1.readings.1.off_scale", "yes", Some(json!(true))),
            ("people.2.readings.1.end", "41 mR", None),
            ("people.0.readings", "41 mR", None),
            ("people.x", "41 mR", None),
            ("nowhere.at.all", "1", None),
        ] {
            let mut value = start.clone();
            let done = set(&mut value, path, to);
            let pointer = path
                .split('.')
                .map(|step| {
                    step.parse::<usize>()
                        .map_or(step.to_owned(), |n| (n.max(1) - 1).to_string())
                })
                .fold(String::new(), |all, step| format!("{all}/{step}"));
            assert_eq!(
                done.ok().and(value.pointer(&pointer).cloned()),
                expected,
                "{path}"
            );
        }
    }
}

//! Correcting what the ledger says: amend a field of an entry, void a record,
//! put it in force again. The body passes the same checks as a new one.

use serde_json::Value;

use super::authority;
use super::doubt_badge::with_doubts;
use super::fault::{Fault, Faults, IntakeError};
use super::label::label_in;
use super::sheet::look_at_again;
use super::sheet_rows::today_there;
use super::take::{Taken, TakenItem};
use crate::answer::Names;
use crate::ledger::{
    Author, Instant, Ledger, LedgerError, Mode, Refusal, Snapshot, WearRow, Written,
};
use crate::record::{Body, Kind, RecordId};

pub(super) fn taken(
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
        held: Vec::new(),
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
            None => return Err(is_void(entry)),
        };
        let kind = Kind::from_word(&old.kind)
            .ok_or(Refusal::NoSuchEntry { entry })
            .map_err(LedgerError::from)?;
        let mut value: Value = serde_json::from_str(&text).unwrap_or(Value::Null);
        let mut culprit = None;
        let names = Names::load(&snapshot)?;
        for (path, to) in changes {
            let record = record_of(&snapshot, &names, kind, path, to)?;
            set(&mut value, path, to, record)?;
            // The first change after which the body cannot be read any more.
            if culprit.is_none() && Body::read(kind, old.version, &value.to_string()).is_err() {
                culprit = Some((path, to));
            }
        }
        if let Value::Object(map) = &mut value {
            map.remove("held");
        }
        let mut body = Body::read(kind, old.version, &value.to_string())
            .map_err(|error| cannot_stand(entry, kind, culprit, &error.detail))?;
        if let Body::Sheet(sheet) = &mut body {
            let today = today_there(&names, &sheet.job, now);
            if sheet.day > today {
                return Err(IntakeError::BadChange {
                    detail: format!("`day={}` is in the future: today is {today}", sheet.day),
                    right: "the day the shift began".to_owned(),
                });
            }
            look_at_again(&snapshot, sheet, old.record)?;
        }
        let body = with_doubts(&snapshot, body, Some(old.record))?;
        who_may(&snapshot, &names, &body)?;
        let key = label_in(&snapshot, &names, &body)?;
        let written = writer.amend(entry, body, reason, old.transcribed)?;
        Ok(taken(kind.word(), key, written, writer.head()))
    })
}

/// An amended decision must still be by somebody who may decide.
fn who_may(snapshot: &Snapshot<'_>, names: &Names, body: &Body) -> Result<(), IntakeError> {
    let mut faults = Faults::default();
    for problem in authority::problems(snapshot, names, body)? {
        faults.push(Fault::of_problem(None, problem));
    }
    match faults.any() {
        true => Err(faults.refuse(None, Vec::new())),
        false => Ok(()),
    }
}

fn is_void(entry: i64) -> IntakeError {
    IntakeError::BadChange {
        detail: format!("entry {entry} voids its record already"),
        right: format!("to put it in force again: wearbook entry reinstate {entry} --reason WHY"),
    }
}

/// The record that a new value names by its id, where the field is a reference.
fn record_of(
    snapshot: &Snapshot<'_>,
    names: &Names,
    kind: Kind,
    path: &str,
    to: &str,
) -> Result<Option<RecordId>, LedgerError> {
    let mut steps = path.rsplit('.');
    let last = steps.next().unwrap_or_default();
    let field = match last.parse::<usize>() {
        Ok(_) => steps.next().unwrap_or_default(),
        Err(_) => last,
    };
    let decides = matches!(
        kind,
        Kind::Determination | Kind::Acceptance | Kind::Settlement | Kind::Resolution
    );
    Ok(match field {
        "worker" | "attested_by" => names.worker(to).ok(),
        "by" | "second_by" if decides => names.worker(to).ok(),
        "instrument" | "dosimeter" | "ratemeter" | "meter" => names.instrument(to).ok(),
        "item" | "device" | "source" | "control_unit" | "guide_tubes" => names.item(to).ok(),
        "job" => names.job(to).ok(),
        // The number of a badge is no reference on the badge itself.
        "badge" if kind != Kind::Badge => {
            let periods = snapshot.wear_of_number(to.split('/').next().unwrap_or(to))?;
            let named = |it: &&WearRow| periods.len() == 1 || it.name().eq_ignore_ascii_case(to);
            periods.iter().find(named).map(|it| it.record)
        }
        _ => None,
    })
}

/// The refusal of an amended body that cannot be read, in the words of the
/// change that spoiled it.
fn cannot_stand(
    entry: i64,
    kind: Kind,
    culprit: Option<(&String, &String)>,
    detail: &str,
) -> IntakeError {
    let why = plain_words(detail);
    let detail = match culprit {
        Some((path, to)) => format!("`{path}={to}` cannot stand in a {}: {why}", kind.word()),
        None => format!("the amended {} cannot be read: {why}", kind.word()),
    };
    IntakeError::BadChange {
        detail,
        right: format!("wearbook entry show {entry} prints the fields and how they are written"),
    }
}

/// What the reader of stored bodies says, without the words of its trade.
fn plain_words(detail: &str) -> String {
    let detail = match detail.rfind(" at line ") {
        Some(at) => &detail[..at],
        None => detail,
    };
    if detail.starts_with("unknown field") {
        return "there is no such field".to_owned();
    }
    if detail.starts_with("missing field") {
        return "this field cannot be left out".to_owned();
    }
    // What the calendar says of a day that it cannot read.
    let of_a_day = [
        "out of range",
        "input contains",
        "end of input",
        "trailing input",
    ];
    if of_a_day.iter().any(|words| detail.contains(words)) {
        return "it takes a day of the calendar such as 2026-06-14".to_owned();
    }
    if let Some((_, known)) = detail.split_once(", expected one of ") {
        return format!("it takes one of {known}");
    }
    match detail.rsplit_once(", expected ") {
        Some((_, "i64" | "u32" | "u8")) => "it takes a whole number".to_owned(),
        Some((_, "a boolean")) => "it takes yes or no".to_owned(),
        Some((_, "a string")) => "it takes a text".to_owned(),
        Some(_) => "it takes something else".to_owned(),
        None => detail.to_owned(),
    }
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
        let written = writer.void(entry, reason).map_err(|error| match error {
            LedgerError::Refused(Refusal::Voided { entry, .. }) => is_void(entry),
            other => other.into(),
        })?;
        let what = format!("of entry {entry}");
        Ok(taken("void", what, written, writer.head()))
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
        let written = writer
            .reinstate(entry, reason)
            .map_err(|error| match error {
                LedgerError::Refused(Refusal::NothingChanges { entry }) => IntakeError::BadChange {
                    detail: format!("entry {entry} is in force already"),
                    right: "the number of the entry that voids a record".to_owned(),
                },
                other => other.into(),
            })?;
        let what = format!("by taking back entry {entry}");
        Ok(taken("reinstated", what, written, writer.head()))
    })
}

/// Sets the value at a path of names and places (counted from 1). A number, yes
/// and no, and text are told apart by what stands there now, or by their form.
fn set(
    value: &mut Value,
    path: &str,
    to: &str,
    record: Option<RecordId>,
) -> Result<(), IntakeError> {
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
                map.insert(last.to_owned(), typed(as_now.as_ref(), to, record));
            }
            Ok(())
        }
        Value::Array(list) => {
            let place: usize = last.parse().map_err(|_| bad("needs a place, from 1"))?;
            let slot = place.checked_sub(1).and_then(|place| list.get_mut(place));
            let slot = slot.ok_or_else(|| bad("leads nowhere"))?;
            *slot = typed(Some(slot), to, record);
            Ok(())
        }
        _ => Err(bad("leads nowhere")),
    }
}

/// A new value in the form that the old one has. A record is its number, also where the ledger
/// did not know it before and the words of the paper stand there.
fn typed(now: Option<&Value>, to: &str, record: Option<RecordId>) -> Value {
    if let Some(record) = record {
        return record.into();
    }
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
            let done = set(&mut value, path, to, None);
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

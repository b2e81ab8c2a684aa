//! What is said of one record that was taken in or refused: named as people name it, with the
//! command that would help.

use super::fault::Fault;
use crate::answer::Names;
use crate::ledger::{LedgerError, Refusal, Snapshot};
use crate::record::{BadgeResult, Body, RecordId, Scope, Words};

/// A record as people name it, with badges by their numbers.
pub(super) fn label_in(
    snapshot: &Snapshot<'_>,
    names: &Names,
    body: &Body,
) -> Result<String, LedgerError> {
    Ok(match body {
        Body::BadgeEvent(it) => format!("{} {}", badge(snapshot, it.badge)?, it.change.word()),
        Body::BadgeResult(it) => result(snapshot, it)?,
        Body::Acceptance(it) => match snapshot.body(it.entry)? {
            Some(Body::BadgeResult(of)) => {
                format!("of entry {}: {}", it.entry, result(snapshot, &of)?)
            }
            _ => format!("of entry {}", it.entry),
        },
        Body::Settlement(it) => badge(snapshot, it.badge)?,
        Body::Determination(it) => {
            let about = match &it.scope {
                Scope::Reading {
                    dosimeter,
                    part,
                    sheet,
                } => {
                    let of = match snapshot.body(snapshot.newest(*sheet)?)? {
                        Some(of) => label(names, &of),
                        None => format!("record {sheet}"),
                    };
                    let part = part.map_or(String::new(), |part| format!(" part {part}"));
                    format!("{}{part} on sheet {of}", names.label(*dosimeter))
                }
                Scope::Badge { badge: of, .. } => format!("badge {}", badge(snapshot, *of)?),
                Scope::Days {
                    first_day,
                    last_day,
                } => format!("{first_day} to {last_day}"),
            };
            format!("{} {}, {about}", names.label(it.worker), it.quantity.word())
        }
        Body::Resolution(it) => {
            let named: Vec<String> = it.named().map(|(_, it)| it.entry.to_string()).collect();
            let entries = named.join(", ");
            format!("{}, entries {entries}", names.label(it.worker))
        }
        Body::Conclusion(it) => {
            let (event, of) = (names.label(it.event), names.label(it.equipment));
            format!("{event} {} of {of}", it.item)
        }
        other => label(names, other),
    })
}

fn result(snapshot: &Snapshot<'_>, it: &BadgeResult) -> Result<String, LedgerError> {
    let number = match (it.badge.known(), it.badge.written()) {
        (Some(record), _) => badge(snapshot, record)?,
        (None, words) => words.unwrap_or_default().to_owned(),
    };
    Ok(format!("{number} in report {}", it.report))
}

fn badge(snapshot: &Snapshot<'_>, record: RecordId) -> Result<String, LedgerError> {
    let wear = snapshot.wear_of_record(record)?;
    Ok(wear.map_or_else(|| format!("record {record}"), |wear| wear.name()))
}

/// A record as people name it: ids in the place of record numbers.
pub(super) fn label(names: &Names, body: &Body) -> String {
    if let Body::Sheet(sheet) = body {
        return super::sheet::label(names, sheet);
    }
    let key = body.key();
    // Records about another one have its number at the front of their key.
    let about = match body.references().first() {
        Some(pointer) => key
            .strip_prefix(&format!("{}/", pointer.record))
            .map(|rest| format!("{} {}", names.label(pointer.record), rest.replace('/', " "))),
        None => None,
    };
    about.unwrap_or(key)
}

/// The refusal of one row, named as people name it, with the command that would
/// help.
pub(super) fn refusal_fault(line: Option<u64>, label: &str, refusal: &Refusal) -> Fault {
    match refusal {
        Refusal::SameKey {
            kind,
            entry,
            field,
            old,
            new,
            ..
        } => {
            let known = format!("entry {entry}, {} `{label}`", kind.word());
            // `nothing` is how the ledger prints a field that is not there.
            let (value, what) = match (old.as_str(), new.as_str()) {
                (old, "nothing") => ("", format!("is blank here; {known}, has `{old}`")),
                ("nothing", new) => (new, format!("stands here; {known}, has it blank")),
                (old, new) => (new, format!("differs from {known}, which has `{old}`")),
            };
            let change = format!("\"{field}={value}\"");
            let right = format!(
                "if the entry is wrong: wearbook entry amend {entry} {change} --reason WHY"
            );
            Fault::new(line, field, value, what, right)
        }
        Refusal::Voided { kind, entry, .. } => Fault::new(
            line,
            "",
            "",
            format!("the {} `{label}` is void by entry {entry}", kind.word()),
            format!("to put it in force again: wearbook entry reinstate {entry} --reason WHY"),
        ),
        other => Fault::new(line, "", "", other.to_string(), ""),
    }
}

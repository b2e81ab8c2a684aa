//! What is said of one record that was taken in or refused: named as people name it, with the
//! command that would help.

use super::fault::{Fault, Faults, IntakeError, OnRecord};
use crate::answer::{Difference, Names, Spelling};
use crate::calendar::Day;
use crate::ledger::{LedgerError, Refusal, Snapshot, Writer, Written};
use crate::record::{Adoption, BadgeResult, Body, Draft, Kind, RecordId, Scope, Sheet, Words};
use crate::rule::{RuleSet, Terms};
use crate::text::short;

/// A record as people name it, with badges by their numbers.
pub(crate) fn label_in(
    snapshot: &Snapshot<'_>,
    names: &Names,
    body: &Body,
) -> Result<String, LedgerError> {
    Ok(match body {
        Body::BadgeEvent(it) => format!(
            "{} {}",
            badge(snapshot, it.badge.number())?,
            it.change.word()
        ),
        Body::BadgeResult(it) => result(snapshot, it)?,
        Body::Acceptance(it) => match snapshot.body(it.entry)? {
            Some(Body::BadgeResult(of)) => {
                format!("of entry {}: {}", it.entry, result(snapshot, &of)?)
            }
            _ => format!("of entry {}", it.entry),
        },
        Body::Settlement(it) => badge(snapshot, it.badge.number())?,
        Body::Determination(it) => {
            let about = match &it.scope {
                Scope::Reading {
                    dosimeter,
                    part,
                    sheet,
                } => {
                    let of = match snapshot.body(snapshot.newest(sheet.number())?)? {
                        Some(of) => label(names, &of),
                        None => format!("record {sheet}"),
                    };
                    let part = part.map_or(String::new(), |part| format!(" part {part}"));
                    format!("{}{part} on sheet {of}", names.label(dosimeter.number()))
                }
                Scope::Badge { badge: of, .. } => {
                    format!("badge {}", badge(snapshot, of.number())?)
                }
                Scope::Days {
                    first_day,
                    last_day,
                } => format!("{first_day} to {last_day}"),
            };
            format!(
                "{} {}, {about}",
                names.label(it.worker.number()),
                terms_on(snapshot, it.on)?.short_of(it.quantity.word())
            )
        }
        Body::Resolution(it) => {
            let named: Vec<String> = it.named().map(|(_, it)| it.entry.to_string()).collect();
            let entries = named.join(", ");
            format!("{}, entries {entries}", names.label(it.worker.number()))
        }
        Body::Evidence(it) => format!("of {}", names.label(it.about.number())),
        Body::Conclusion(it) => {
            let event = names.label(it.event.number());
            let of = it.equipment.map(|it| names.label(it.number()));
            let of = of.map(|it| format!(" of {it}")).unwrap_or_default();
            format!("{event} {}{of}", it.item)
        }
        other => label(names, other),
    })
}

/// How the doses are called by the rule set in force on a day.
fn terms_on(snapshot: &Snapshot<'_>, day: Day) -> Result<Terms, LedgerError> {
    let adopted = snapshot.all::<Adoption>()?;
    let by_then = adopted.iter().filter(|it| it.body.from <= day);
    let newest = by_then.max_by_key(|it| (it.body.from, it.entry));
    let rule_set = newest.and_then(|it| RuleSet::parse_adopted(&it.body.text).ok());
    Ok(rule_set.map_or_else(Terms::default, |it| it.terms()))
}

fn result(snapshot: &Snapshot<'_>, it: &BadgeResult) -> Result<String, LedgerError> {
    let number = match (it.badge.known(), it.badge.written()) {
        (Some(record), _) => badge(snapshot, record.number())?,
        (None, words) => words.unwrap_or_default().to_owned(),
    };
    Ok(format!("{number} in report {}", it.report))
}

fn badge(snapshot: &Snapshot<'_>, record: RecordId) -> Result<String, LedgerError> {
    let wear = snapshot.wear_of_record(record)?;
    Ok(wear.map_or_else(|| format!("record {record}"), |wear| wear.name()))
}

/// A record as people name it: ids in the place of record numbers.
pub(crate) fn label(names: &Names, body: &Body) -> String {
    if let Body::Sheet(sheet) = body {
        return of_sheet(names, sheet);
    }
    if let Body::ShiftStart(start) = body {
        return of_sheet(names, &Sheet::started(start));
    }
    let key = body.key();
    // Records about another one have its number at the front of their key.
    let about = body.references().into_iter().find_map(|pointer| {
        let rest = key.strip_prefix(&format!("{}/", pointer.record))?;
        Some(format!(
            "{} {}",
            names.label(pointer.record),
            rest.replace('/', " ")
        ))
    });
    about.unwrap_or(key)
}

/// What was written; what the ledger refuses is a fault beside the others.
pub(crate) fn or_fault(
    writer: &Writer<'_>,
    names: &Names,
    (line, key): (Option<u64>, &str),
    written: Result<Written, LedgerError>,
    faults: &mut Faults,
) -> Result<Option<Written>, IntakeError> {
    match written {
        Ok(written) => Ok(Some(written)),
        Err(LedgerError::Refused(refusal)) => {
            let snapshot = writer.snapshot()?;
            faults.push(refusal_fault(&snapshot, names, line, key, &refusal)?);
            Ok(None)
        }
        Err(other) => Err(other.into()),
    }
}

/// The refusal of one row, named as people name it, with the command that would
/// help.
pub(crate) fn refusal_fault(
    snapshot: &Snapshot<'_>,
    names: &Names,
    line: Option<u64>,
    label: &str,
    refusal: &Refusal,
) -> Result<Fault, LedgerError> {
    Ok(match refusal {
        Refusal::SameKey {
            entry, old, new, ..
        } => same_key(snapshot, names, (line, label), (*entry, old, new))?,
        Refusal::Voided { kind, entry, .. } => Fault::new(
            line,
            "",
            "",
            format!("the {} `{label}` is void by entry {entry}", kind.word()),
            format!("to reinstate it: wearbook entry reinstate {entry} --reason WHY"),
        ),
        Refusal::SameButCase {
            kind, id, there, ..
        } => same_but_case(line, *kind, id, there),
        other => Fault::new(line, "", "", other.to_string(), ""),
    })
}

/// What has the key of another record and says something else: where they differ, and the
/// correction that would make the first say what the second does.
fn same_key(
    snapshot: &Snapshot<'_>,
    names: &Names,
    (line, label): (Option<u64>, &str),
    (entry, old, new): (i64, &Body, &Body),
) -> Result<Fault, LedgerError> {
    // The same row may have another day now.
    let label = match new.row().is_some() && new.row() == old.row() {
        true => label_in(snapshot, names, old)?,
        false => label.to_owned(),
    };
    let known = format!("entry {entry}, {} `{label}`", old.kind().word());
    let all = Spelling::new(snapshot, names).differences(old, new)?;
    let right = remedy(entry, old, &all);
    let on_record = Some(OnRecord {
        entry,
        differences: all.clone(),
    });
    let others: Vec<String> = all
        .iter()
        .skip(1)
        .map(|it| format!("`{}`", it.field))
        .collect();
    // An amendment can make two records the same in all; then they differ in who they are.
    let Some(it) = all.into_iter().next() else {
        let what = format!("is the same as {known}");
        return Ok(Fault::new(
            line,
            "",
            "",
            what,
            "one of the two is to be void",
        ));
    };
    let (value, what) = match (it.old, it.new) {
        (Some(old), None) => (
            String::new(),
            format!("is blank here; {known}, has `{old}`"),
        ),
        (None, new) => (
            new.unwrap_or_default(),
            format!("stands here; {known}, has it blank"),
        ),
        (Some(old), Some(new)) => (new, format!("differs from {known}, which has `{old}`")),
    };
    let what = match others.as_slice() {
        [] => what,
        [one] => format!("{what}; {one} differs too"),
        more => format!("{what}; {} differ too", more.join(", ")),
    };
    Ok(Fault {
        on_record,
        ..Fault::new(line, &it.field, &value, what, right)
    })
}

/// The correction that makes an entry say what was handed in: every field in which it differs,
/// for one alone would leave the others as they are.
fn remedy(entry: i64, old: &Body, all: &[Difference]) -> String {
    let draft = Draft::of(old);
    let can = |it: &&Difference| {
        let place = draft.place(&it.field);
        place.is_ok_and(|place| !place.fixed && (it.new.is_some() || !place.needed))
    };
    let is_sheet = matches!(old, Body::Sheet(_));
    // What a second sheet leaves blank says nothing against the first: it is never blanked.
    let all = all.iter().filter(|it| !is_sheet || it.new.is_some());
    let (puts, stays): (Vec<&Difference>, Vec<&Difference>) = all.partition(can);
    let stays: Vec<String> = stays.iter().map(|it| format!("`{}`", it.field)).collect();
    let show = format!("see wearbook entry show {entry}");
    let other = match old {
        Body::Sheet(_) => {
            "if it is another sheet (a second job, another crew): give it a number \
                           of its own, --sheet NUMBER or the column `sheet`"
        }
        _ => "",
    };
    if puts.is_empty() {
        let changes_none = match stays.is_empty() {
            true => format!("the entry says more; {show}"),
            false => format!("no correction changes {}; {show}", stays.join(", ")),
        };
        return match other {
            "" => changes_none,
            other => format!("{other}; else {changes_none}"),
        };
    }
    let changes: Vec<String> = puts.iter().map(|it| change(it)).collect();
    let command = format!(
        "if the entry is wrong: wearbook entry correct {entry} {} --reason WHY",
        changes.join(" ")
    );
    // Another figure for the same dose does not make the first one wrong.
    let command = match old {
        Body::Determination(_) => format!(
            "{command}; if both were made and this one takes its place: the same command with \
             --supersedes {entry}"
        ),
        Body::Sheet(_) => format!("{other}; {command}"),
        _ => command,
    };
    match stays.as_slice() {
        [] => command,
        stays => format!(
            "{command}; no correction changes {}, {show}",
            stays.join(", ")
        ),
    }
}

/// A field with its new value, as a shell takes it. A command with half a value in it would write
/// half a value, so that what is too long to be repeated is left to whoever has it.
fn change(it: &Difference) -> String {
    let value = it.new.as_deref().unwrap_or_default();
    let special = value.contains(['"', '$', '\\', '`', '!']);
    match (short(value) == value, special, value.contains('\'')) {
        (true, false, _) => format!("\"{}={value}\"", it.field),
        (true, true, false) => format!("'{}={value}'", it.field),
        _ => format!("\"{}=VALUE\"", it.field),
    }
}

fn same_but_case(line: Option<u64>, kind: Kind, id: &str, there: &str) -> Fault {
    let field = match kind {
        Kind::Badge => "badge",
        Kind::Event | Kind::Mapping => "name",
        _ => "id",
    };
    let kind = kind.word();
    let what = format!("differs from the {kind} `{there}` in small and capital letters alone");
    let right = format!("`{there}` if it is the same, else another id");
    Fault::new(line, field, id, what, right)
}

/// A sheet as people name it: by its own number, or by day, shift and device.
pub(crate) fn of_sheet(names: &Names, sheet: &Sheet) -> String {
    if let Some(reference) = &sheet.reference {
        return reference.clone();
    }
    let device = sheet
        .device
        .as_ref()
        .map_or_else(|| "without a device".to_owned(), |it| names.words(it));
    format!("{} {} {device}", sheet.day, sheet.shift.word())
}

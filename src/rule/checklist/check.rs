//! What in a checklist cannot be true at once.

use super::super::draft::{Draft, Section};
use super::super::read::{Found, Reader, nearest};
use super::{ChecklistItem, FailureMode, ItemMeasurement, Sense, is_wear};
use crate::quantity::Amount;

/// Says which item is taken out and told in one file.
pub(super) fn removed_and_told(
    reader: &mut Reader<'_>,
    removed: &[Found<String>],
    items: &Section<ChecklistItem>,
) {
    for gone in removed {
        if items.told.iter().any(|(key, _)| *key == gone.value) {
            let what = format!("item `{}` is removed and given", gone.value);
            let right = "leave it out of `remove`: an item of the same key takes its place";
            reader.problem(gone.at, what, right.to_owned());
        }
    }
}

/// Says what contradicts itself or points at nothing.
pub(super) fn consistent(
    reader: &mut Reader<'_>,
    failures: &Section<FailureMode>,
    items: &Section<ChecklistItem>,
) {
    if items.entries.is_empty() && items.told.is_empty() {
        let right = "give at least one `[[item]]`, or start with `extends = \"general\"`";
        reader.missing(0, "the file has no item".to_owned(), right.to_owned());
    }
    let base = failures
        .entries
        .iter()
        .map(|entry| entry.value.key.as_str());
    let told = failures.told.iter().map(|(key, _)| key.as_str());
    let known: Vec<&str> = base.chain(told).collect();
    for item in &items.entries {
        detects_what_is_there(reader, item, &known);
        mates_with_another(reader, item);
        let Some(at) = item.at else { continue };
        if let Some(measurement) = &item.value.measurement {
            step_holds(reader, at, &item.value.key, measurement.step);
            measurement_holds(reader, at, &item.value.key, measurement);
        }
        if let Some(open) = &item.value.open {
            step_holds(reader, at, &item.value.key, open.step);
            if !is_wear(open.unit.kind()) {
                let what = format!("item `{}` measures a rate and has no limit", item.value.key);
                let right = "give its `limit`: the figures of a part that wears alone can wait";
                reader.missing(at, what, right.to_owned());
            }
        }
    }
}

fn detects_what_is_there(reader: &mut Reader<'_>, item: &Draft<ChecklistItem>, known: &[&str]) {
    let Some(at) = item.at else { return };
    for key in &item.value.detects {
        if known.contains(&key.as_str()) {
            continue;
        }
        let what = format!(
            "item `{}` detects `{key}`, which is no failure",
            item.value.key
        );
        let right = match nearest(key, known) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("add a `[[failure]]` with the key `{key}`"),
        };
        reader.missing(at, what, right);
    }
}

/// A mating check is done with a source in reach, so it never comes without its caution.
fn mates_with_another(reader: &mut Reader<'_>, item: &Draft<ChecklistItem>) {
    let (Some(at), Some(pair)) = (item.at, &item.value.pair) else {
        return;
    };
    let key = &item.value.key;
    if *pair == item.value.on {
        let what = format!("item `{key}` mates `{pair}` with itself");
        let right = "name the other item in `pair`, or leave it out".to_owned();
        reader.problem(at, what, right);
    }
    if item.value.caution.is_none() {
        let what = format!("item `{key}` mates two items and has no `caution`");
        let right = "say what must be heeded while it is done: `caution = \"...\"`".to_owned();
        reader.missing(at, what, right);
    }
}

fn step_holds(reader: &mut Reader<'_>, at: usize, key: &str, step: Amount) {
    if step.count() <= 0 {
        let what = format!("the step of item `{key}` is not above zero");
        let right = "give the smallest step that the gauge shows: `step = \"0.01 mm\"`";
        reader.problem(at, what, right.to_owned());
    }
}

fn measurement_holds(reader: &mut Reader<'_>, at: usize, key: &str, measurement: &ItemMeasurement) {
    let show = |amount: Amount| amount.display(measurement.unit);
    if measurement.lowest.count() >= measurement.highest.count() {
        let what = format!(
            "the lowest of item `{key}`, `{}`, is not below its highest, `{}`",
            show(measurement.lowest),
            show(measurement.highest)
        );
        reader.problem(at, what, "swap them, or widen them".to_owned());
    }
    let named = [
        ("limit", Some(measurement.limit)),
        ("warn", measurement.warn),
        ("nominal", measurement.nominal),
    ];
    for (field, value) in named {
        let Some(value) = value else { continue };
        if !measurement.is_believable(value) {
            let what = format!(
                "the {field} of item `{key}`, `{}`, is not between its lowest and highest",
                show(value)
            );
            let right = format!("widen `{}` to `{}`", show(measurement.lowest), {
                show(measurement.highest)
            });
            reader.problem(at, what, right);
        }
    }
    let (worse, right) = match measurement.sense {
        Sense::NotBelow => ("below", "`limit`, then `warn`, then `nominal`, rising"),
        Sense::NotAbove => ("above", "`limit`, then `warn`, then `nominal`, falling"),
    };
    for (field, value, mark, than) in [
        ("warn", measurement.warn, "limit", Some(measurement.limit)),
        (
            "nominal",
            measurement.nominal,
            "limit",
            Some(measurement.limit),
        ),
        ("nominal", measurement.nominal, "warn", measurement.warn),
    ] {
        let (Some(value), Some(than)) = (value, than) else {
            continue;
        };
        if measurement.sense.is_past(value, than) {
            let what = format!(
                "the {field} of item `{key}`, `{}`, is {worse} its {mark}, `{}`",
                show(value),
                show(than)
            );
            reader.problem(at, what, format!("give them in this order: {right}"));
        }
    }
}

//! What changed from one checklist to another.

use serde::Serialize;

use super::{Checklist, ChecklistItem, FailureMode, Half, ItemMeasurement, Joint};
use crate::quantity::Amount;

/// What happened to an item or a failure mode.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum ChangeType {
    /// Only the new list has it.
    Added,
    /// Only the old list has it.
    Removed,
    /// Both have it, with other words or figures.
    Changed,
}

/// One field that differs, as people read it; an empty text where there is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FieldChange {
    /// The name of the field in the file.
    pub field: &'static str,
    /// What the old list says.
    pub old: String,
    /// What the new list says.
    pub new: String,
}

/// One thing that differs between two checklists.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ChecklistChange {
    /// `list` for what stands before the first section, `failure`, `item` or `joint`.
    pub of: &'static str,
    /// The key; of the list its name.
    pub key: String,
    /// What happened to it.
    #[serde(rename = "type")]
    pub kind: ChangeType,
    /// The fields that differ; empty where it was added or removed.
    pub fields: Vec<FieldChange>,
    /// Whether less is seen than before: an item gone or moved to another item, an occasion or
    /// a failure mode fewer, a measure or its limit dropped, a caution dropped, a looser limit or
    /// warning, a joint or one of its checks gone.
    pub looser: bool,
}

/// Everything that differs, in the order of the new list, what is gone at the end of its part.
pub fn diff(old: &Checklist, new: &Checklist) -> Vec<ChecklistChange> {
    let mut changes = Vec::new();
    let fields = differing(&head(old), &head(new));
    if !fields.is_empty() {
        changes.push(ChecklistChange {
            of: "list",
            key: new.key.clone(),
            kind: ChangeType::Changed,
            fields,
            looser: false,
        });
    }
    part(
        &mut changes,
        "failure",
        (&old.failures, &new.failures),
        |failure: &FailureMode| (failure.key.as_str(), told_of_failure(failure)),
        |_, _| false,
    );
    part(
        &mut changes,
        "item",
        (&old.items, &new.items),
        |item: &ChecklistItem| (item.key.as_str(), told_of_item(item)),
        sees_less,
    );
    part(
        &mut changes,
        "joint",
        (&old.joints, &new.joints),
        |joint: &Joint| (joint.key.as_str(), told_of_joint(joint)),
        |old, new| {
            let kept = |it: &&Half| new.has(&it.on, &it.component);
            let checked = old.mating.iter().all(|it| new.mating.contains(it));
            !checked || old.halves().filter(kept).count() < old.halves().count()
        },
    );
    changes
}

type Told = Vec<(&'static str, String)>;

fn part<T>(
    changes: &mut Vec<ChecklistChange>,
    of: &'static str,
    (old, new): (&[T], &[T]),
    tell: impl Fn(&T) -> (&str, Told),
    looser: impl Fn(&T, &T) -> bool,
) {
    let mut push = |key: &str, kind, fields, looser| {
        changes.push(ChecklistChange {
            of,
            key: key.to_owned(),
            kind,
            fields,
            looser,
        });
    };
    for now in new {
        let (key, told) = tell(now);
        match old.iter().find(|was| tell(was).0 == key) {
            None => push(key, ChangeType::Added, Vec::new(), false),
            Some(was) => {
                let fields = differing(&tell(was).1, &told);
                if !fields.is_empty() {
                    push(key, ChangeType::Changed, fields, looser(was, now));
                }
            }
        }
    }
    for was in old {
        let key = tell(was).0;
        if !new.iter().any(|now| tell(now).0 == key) {
            push(key, ChangeType::Removed, Vec::new(), of != "failure");
        }
    }
}

fn differing(old: &Told, new: &Told) -> Vec<FieldChange> {
    let pairs = old.iter().zip(new);
    let fields = pairs.filter(|((_, old), (_, new))| old != new);
    fields
        .map(|((field, old), (_, new))| FieldChange {
            field,
            old: old.clone(),
            new: new.clone(),
        })
        .collect()
}

fn head(list: &Checklist) -> Told {
    vec![
        ("checklist", list.key.clone()),
        ("title", list.title.clone()),
        ("confirm", list.confirm.clone()),
        ("based_on", list.based_on.clone().unwrap_or_default()),
    ]
}

fn told_of_failure(failure: &FailureMode) -> Told {
    vec![
        ("name", failure.name.clone()),
        ("meaning", failure.meaning.clone()),
    ]
}

fn told_of_joint(joint: &Joint) -> Told {
    let halves = |of: &[Half]| of.iter().map(Half::told).collect::<Vec<_>>().join(", ");
    vec![
        ("name", joint.name.clone()),
        ("one", halves(&joint.one)),
        ("other", halves(&joint.other)),
        ("mating", joint.mating.join(", ")),
    ]
}

fn told_of_item(item: &ChecklistItem) -> Told {
    let when: Vec<&str> = item.when.iter().map(|when| when.name()).collect();
    let mut told = vec![
        ("on", item.on.clone()),
        ("component", item.component.clone()),
        ("look", item.how.clone()),
        ("good", item.good.clone()),
        ("when", when.join(", ")),
        ("detects", item.detects.join(", ")),
        ("basis", item.basis.clone()),
        ("status", item.status.to_string()),
        ("pair", item.pair.clone().unwrap_or_default()),
        ("caution", item.caution.clone().unwrap_or_default()),
    ];
    let in_spanish = item.spanish.fields();
    told.extend(in_spanish.map(|it| (it.0, it.1.unwrap_or_default().to_owned())));
    let measurement = item.measurement.as_ref();
    let show = |pick: fn(&ItemMeasurement) -> Option<Amount>| {
        let shown = measurement.and_then(|it| pick(it).map(|amount| amount.display(it.unit)));
        shown.unwrap_or_default()
    };
    let sense = item.sense().map(|it| it.to_string()).unwrap_or_default();
    let step = match &item.open {
        Some(open) => open.step.display(open.unit),
        None => show(|it| Some(it.step)),
    };
    told.extend([
        ("nominal", show(|it| it.nominal)),
        ("limit", show(|it| Some(it.limit))),
        ("warn", show(|it| it.warn)),
        ("sense", sense),
        ("step", step),
        ("lowest", show(|it| Some(it.lowest))),
        ("highest", show(|it| Some(it.highest))),
    ]);
    told
}

/// Whether an item sees less than it did. Where that cannot be said, as with another kind of
/// measure, it counts as less: somebody is to look.
fn sees_less(old: &ChecklistItem, new: &ChecklistItem) -> bool {
    let fewer_occasions = old.when.iter().any(|when| !new.when.contains(when));
    let fewer_failures = old.detects.iter().any(|key| !new.detects.contains(key));
    let measurement = match (&old.measurement, &new.measurement) {
        (None, _) => old.sense().is_some() && old.sense() != new.sense(),
        (Some(_), None) => true,
        (Some(old), Some(new)) => measures_less(old, new),
    };
    let uncautioned = old.caution.is_some() && new.caution.is_none();
    old.on != new.on
        || old.pair != new.pair
        || fewer_occasions
        || fewer_failures
        || uncautioned
        || measurement
}

fn measures_less(old: &ItemMeasurement, new: &ItemMeasurement) -> bool {
    if old.unit.kind() != new.unit.kind() || old.sense != new.sense {
        return true;
    }
    let wider = |was: Amount, now: Amount| new.sense.is_past(now, was);
    let warning = match (old.warn, new.warn) {
        (None, _) => false,
        (Some(_), None) => true,
        (Some(was), Some(now)) => wider(was, now),
    };
    wider(old.limit, new.limit) || warning
}

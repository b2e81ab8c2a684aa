//! Joints: a connection has two halves, each of which can be named, and checks between them.

use super::super::draft::{Keyed, Section};
use super::super::read::{Fields, Reader, nearest, quoted};
use super::super::written::Text;
use super::{Checklist, ChecklistItem, ITEMS};

/// A component of a kind of thing, one place where a half of a joint is met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Half {
    /// The kind of thing: one of [`THINGS`].
    pub on: String,
    /// The part of it.
    pub component: String,
}

impl Half {
    /// As a file has it: `guide tube: fittings`.
    pub fn told(&self) -> String {
        format!("{}: {}", self.on, self.component)
    }

    fn is(&self, on: &str, component: &str) -> bool {
        self.on == on && self.component == component
    }
}

/// The connection of two halves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// Its name in files, unique in the list.
    pub key: String,
    /// Its name in the trade's words.
    pub name: String,
    /// Where the one half is met; the first place is the half itself.
    pub one: Vec<Half>,
    /// Where the other half is met.
    pub other: Vec<Half>,
    /// Keys of the items that look at both halves together.
    pub mating: Vec<String>,
}

impl Joint {
    /// Whether a component is one of its halves.
    pub fn has(&self, on: &str, component: &str) -> bool {
        self.halves().any(|it| it.is(on, component))
    }

    /// Every place of both halves.
    pub fn halves(&self) -> impl Iterator<Item = &Half> {
        self.one.iter().chain(&self.other)
    }
}

impl Keyed for Joint {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Checklist {
    /// The joints of which a component is a half.
    pub fn joints_of(&self, on: &str, component: &str) -> impl Iterator<Item = &Joint> {
        let has = move |it: &&Joint| it.has(on, component);
        self.joints.iter().filter(has)
    }
}

const HALF: &str =
    "write a kind of equipment, a colon and its component: `\"guide tube: fittings\"`";

/// Reads a section `[[joint]]`.
pub(super) fn joint(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<Joint> {
    let right = "say it in the trade's words: `name = \"tube on the device\"`";
    let name = fields.must(reader, "name", right);
    let one = halves(reader, fields, "one");
    let other = halves(reader, fields, "other");
    let right = "write keys of items that look at both: `mating = [\"device-outlet\"]`";
    let mating = match fields.take("mating") {
        Some(_) => fields.texts(reader, "mating"),
        None => {
            fields.needs(reader, "mating", right);
            None
        }
    };
    let mating = mating?.value.into_iter().map(|it| it.value);
    Some(Joint {
        key,
        name: name?.value,
        one: one?,
        other: other?,
        mating: mating.collect(),
    })
}

fn halves(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    field: &'static str,
) -> Option<Vec<Half>> {
    if fields.take(field).is_none() {
        fields.needs(reader, field, HALF);
        return None;
    }
    let told = fields.texts(reader, field)?;
    if told.value.is_empty() {
        reader.problem(told.at, format!("`{field}` is empty"), HALF.to_owned());
        return None;
    }
    let mut all = Vec::new();
    for text in &told.value {
        let parts = text.value.split_once(':');
        let parts = parts.map(|(on, part)| (on.trim(), part.trim()));
        match parts {
            Some((on, part)) if ITEMS.contains(&on) && !part.is_empty() => all.push(Half {
                on: on.to_owned(),
                component: part.to_owned(),
            }),
            Some((on, _)) if !ITEMS.contains(&on) => {
                let what = format!("`{on}` is not a kind of equipment or instrument");
                let right = match nearest(on, ITEMS) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("write one of {}", quoted(ITEMS)),
                };
                reader.problem(text.at, what, right);
            }
            _ => {
                let what = format!("`{}` names no half of a joint", text.value);
                reader.problem(text.at, what, HALF.to_owned());
            }
        }
    }
    (all.len() == told.value.len()).then_some(all)
}

/// Says what a joint of the file points at that is not there. Of a joint that came with the list
/// below, a mating check that the file takes out is taken out of the joint too.
pub(super) fn consistent(
    reader: &mut Reader<'_>,
    joints: &mut Section<Joint>,
    items: &Section<ChecklistItem>,
) {
    let base = items.entries.iter().map(|it| it.value.key.clone());
    let told = items.told.iter().map(|(key, _)| key.clone());
    let keys: Vec<String> = base.chain(told).collect();
    for joint in &mut joints.entries {
        let Some(at) = joint.at else {
            joint.value.mating.retain(|key| keys.contains(key));
            continue;
        };
        let name = &joint.value.key;
        let known: Vec<&str> = keys.iter().map(String::as_str).collect();
        for key in joint.value.mating.iter().filter(|it| !keys.contains(it)) {
            let what = format!("joint `{name}` has the check `{key}`, which is no item");
            let right = match nearest(key, &known) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("add an `[[item]]` with the key `{key}`"),
            };
            reader.missing(at, what, right);
        }
        let twice = joint
            .value
            .one
            .iter()
            .find(|it| joint.value.other.contains(it));
        if let Some(half) = twice {
            let what = format!("joint `{name}` has `{}` as both halves", half.told());
            let right = "name the two components that meet".to_owned();
            reader.problem(at, what, right);
        }
    }
}

/// Writes a section `[[joint]]`.
pub(super) fn write(out: &mut Text, joint: &Joint) {
    let told = |halves: &[Half]| halves.iter().map(Half::told).collect::<Vec<_>>();
    let (one, other) = (told(&joint.one), told(&joint.other));
    out.section("[[joint]]");
    out.text("key", &joint.key);
    out.text("name", &joint.name);
    out.texts("one", one.iter().map(String::as_str));
    out.texts("other", other.iter().map(String::as_str));
    out.texts("mating", joint.mating.iter().map(String::as_str));
}

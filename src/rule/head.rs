//! The fields of a rule set file before its first section, and what the file starts from.

use super::event_entry::plain;
use super::offer;
use super::read::{Fields, Found, Reader, nearest, quoted};
use super::rule_set::{Caution, RuleSet};
use super::shelf::{Shelf, Taken};
use crate::calendar::YearStart;
use crate::quantity::DoseUnit;

/// What a file starts from.
pub(super) enum Start {
    Empty,
    From(Box<RuleSet>),
    Unknown,
}

pub(super) fn extends(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    shelf: &Shelf<'_>,
) -> Start {
    if fields.take("extends").is_none() {
        return Start::Empty;
    }
    let Some(name) = fields.text(reader, "extends") else {
        return Start::Unknown;
    };
    if let Some(offer) = offer::offer(&name.value) {
        let base = shelf.built_in(offer.text);
        return base.map_or(Start::Unknown, |it| Start::From(Box::new(it)));
    }
    let (what, right) = match shelf.take(&name.value) {
        Taken::Read(base) => return Start::From(base),
        Taken::Not(what, right) => (what, right),
        Taken::None => {
            let names: Vec<&str> = offer::builtin().iter().map(|offer| offer.name).collect();
            let right = match nearest(&name.value, &names) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("write one of {}, or a file beside this one", quoted(&names)),
            };
            let what = format!("no built-in rule set `{}` to start from", name.value);
            (what, right)
        }
    };
    reader.problem(name.at, what, right);
    Start::Unknown
}

/// What stands before the first section.
pub(super) struct Head {
    pub(super) key: String,
    pub(super) title: String,
    pub(super) unit: DoseUnit,
    pub(super) si_in_parentheses: bool,
    pub(super) confirm: String,
    pub(super) year_start: YearStart,
    pub(super) based_on: Option<String>,
    pub(super) through: Vec<String>,
    pub(super) jurisdiction: Option<String>,
    pub(super) cautions: Vec<Caution>,
}

/// The rule set's name, which is not the one of what it starts from.
fn name(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    base: Option<&RuleSet>,
) -> Option<Found<String>> {
    // Rule sets that were adopted before the word changed have the older one.
    let word = if fields.has("scheme") {
        "scheme"
    } else {
        "rule_set"
    };
    let key = fields.must(reader, word, "name it: `rule_set = \"our site\"`");
    if let (Some(key), Some(base)) = (&key, base)
        && key.value == base.key
    {
        let what = format!("`{}` is the name of the rule set it starts from", key.value);
        let right = "give the site's own rule set a name of its own".to_owned();
        reader.problem(key.at, what, right);
    }
    key
}

/// The fields before the first section. Those that a rule set to start from has may be left out.
pub(super) fn head(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    start: &Start,
) -> Option<Head> {
    let base = match start {
        Start::From(base) => Some(base.as_ref()),
        _ => None,
    };
    // Nothing is missed that an unknown rule set to start from may have had.
    let inherits = !matches!(start, Start::Empty);
    let key = name(reader, fields, base);
    let title = fields.must(
        reader,
        "title",
        "say in one line what it is: `title = \"...\"`",
    );
    let unit_right = "write `unit = \"mrem\"` or `unit = \"mSv\"`";
    let unit = fields.parsed(reader, "unit", unit_right, DoseUnit::parse);
    let unit = unit.map(|found| found.value);
    let year_right = "write month and day: `year_start = \"01-01\"`";
    let year_start = fields.parsed(reader, "year_start", year_right, str::parse::<YearStart>);
    let year_start = year_start.map(|found| found.value);
    let confirm = fields.text(reader, "confirm").map(|found| found.value);
    let si = fields.flag(reader, "si_in_parentheses");
    let based_on = fields.text(reader, "based_on").map(|found| found.value);
    let through = plain(fields.texts(reader, "through"));
    let jurisdiction = fields.text(reader, "jurisdiction").map(|found| found.value);
    let cautions = cautions(reader, fields);
    if !inherits {
        for (given, field, right) in [
            (unit.is_some(), "unit", unit_right),
            (year_start.is_some(), "year_start", year_right),
            (
                confirm.is_some(),
                "confirm",
                "say whom to ask: `confirm = \"...\"`",
            ),
        ] {
            if !given && fields.take(field).is_none() {
                fields.needs(reader, field, right);
            }
        }
    }
    Some(Head {
        key: key?.value,
        title: title?.value,
        unit: unit.or(base.map(|base| base.unit))?,
        si_in_parentheses: si
            .or(base.map(|base| base.si_in_parentheses))
            .unwrap_or(false),
        confirm: confirm.or_else(|| base.map(|base| base.confirm.clone()))?,
        year_start: year_start.or(base.map(|base| base.year_start))?,
        jurisdiction: jurisdiction.or_else(|| base.and_then(|base| base.jurisdiction.clone())),
        based_on: base.map(|base| base.root().to_owned()).or(based_on),
        through: base.map_or(through, |base| {
            let own = base.based_on.is_some().then(|| base.key.clone());
            base.through.iter().cloned().chain(own).collect()
        }),
        cautions,
    })
}

/// Cautions that an earlier reading found and wrote out, each as `key: what`.
fn cautions(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Vec<Caution> {
    let Some(value) = fields.take("cautions") else {
        return Vec::new();
    };
    let texts: Option<Vec<&str>> = value
        .get_ref()
        .as_array()
        .and_then(|array| array.iter().map(|one| one.get_ref().as_str()).collect());
    let Some(texts) = texts else {
        let what = "`cautions` is not a list of texts".to_owned();
        let right = "leave it out: the program writes it".to_owned();
        reader.problem(value.span().start, what, right);
        return Vec::new();
    };
    let split = |text: &str| {
        let (about, what) = text.split_once(": ").unwrap_or(("", text));
        Caution {
            about: about.to_owned(),
            what: what.to_owned(),
        }
    };
    texts.into_iter().map(split).collect()
}

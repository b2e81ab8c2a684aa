//! From the text of a checklist file to a checklist, or to everything that is wrong with it.

use toml::Spanned;
use toml::de::DeValue;

use super::super::draft::{Keyed, Section};
use super::super::offer;
use super::super::parse::each;
use super::super::plain::plain;
use super::super::problem::RuleSetProblems;
use super::super::read::{Fields, Found, Reader, nearest, quoted};
use super::check;
use super::joint::{self, joint};
use super::{
    Checklist, ChecklistItem, FailureMode, FiguresOf, ITEMS, InSpanish, ItemMeasurement,
    ItemStatus, OpenMeasurement, Sense, When,
};
use crate::quantity::{Amount, AmountUnit};

impl Keyed for ChecklistItem {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Keyed for FailureMode {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Checklist {
    /// Reads a checklist file. A file with `extends` starts from that built-in list, takes out
    /// what `remove` names, and adds to it or overrides it by key.
    ///
    /// # Errors
    /// Everything that is wrong with the file, each with line, column and what would be right.
    pub fn parse(text: &str) -> Result<Self, RuleSetProblems> {
        Self::read(text).map(|(list, _)| list)
    }

    /// Reads a checklist file for adoption, and gives the text that the ledger keeps: the file
    /// itself, or for a file with `extends` the whole of it written out.
    ///
    /// # Errors
    /// As [`Checklist::parse`].
    pub fn parse_for_adoption(text: &str) -> Result<(Self, String), RuleSetProblems> {
        let text = plain(text)?;
        Self::read(&text).map(|(list, extended)| {
            let kept = if extended { list.written_out() } else { text };
            (list, kept)
        })
    }

    /// The list, and whether it started from another.
    fn read(text: &str) -> Result<(Self, bool), RuleSetProblems> {
        let (mut reader, document) = Reader::open(text);
        let mut fields = Fields::new("the file".to_owned(), 0, document.get_ref());
        let start = extends(&mut reader, &mut fields);
        let head = head(&mut reader, &mut fields, &start);
        let mut failures = Section::over(start.base().map_or(&[], |base| &base.failures));
        let mut items = Section::over(start.base().map_or(&[], |base| &base.items));
        let mut joints = Section::over(start.base().map_or(&[], |base| &base.joints));
        let removed = removed(&mut reader, &mut fields, &start);
        items
            .entries
            .retain(|entry| !removed.iter().any(|gone| gone.value == entry.value.key));
        each(&mut reader, &mut fields, "failure", &mut failures, failure);
        each(&mut reader, &mut fields, "item", &mut items, item);
        each(&mut reader, &mut fields, "joint", &mut joints, joint);
        fields.finish(&mut reader);
        check::removed_and_told(&mut reader, &removed, &items);
        if !matches!(start, Start::Unknown) {
            check::consistent(&mut reader, &failures, &items);
            joint::consistent(&mut reader, &mut joints, &items);
        }
        let clean = reader.is_clean();
        match (head, clean) {
            (Some(head), true) => {
                let list = Self {
                    key: head.key,
                    title: head.title,
                    confirm: head.confirm,
                    based_on: head.based_on,
                    failures: failures.into_values(),
                    items: items.into_values(),
                    joints: joints.into_values(),
                };
                Ok((list, start.base().is_some()))
            }
            _ => {
                // A head without a complaint cannot be missing; should it be, the file is
                // refused all the same.
                if clean {
                    let what = "the head of the file is not readable".to_owned();
                    reader.problem(0, what, "begin with `checklist = \"...\"`".to_owned());
                }
                Err(RuleSetProblems::of(reader.into_problems()))
            }
        }
    }
}

/// What a file starts from.
enum Start {
    Empty,
    From(Box<Checklist>),
    Unknown,
}

impl Start {
    fn base(&self) -> Option<&Checklist> {
        match self {
            Self::From(base) => Some(base),
            Self::Empty | Self::Unknown => None,
        }
    }
}

fn extends(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Start {
    if fields.take("extends").is_none() {
        return Start::Empty;
    }
    let Some(name) = fields.text(reader, "extends") else {
        return Start::Unknown;
    };
    let base = offer::checklist_offer(&name.value).map(|offer| Checklist::parse(offer.text));
    if let Some(Ok(base)) = base {
        return Start::From(Box::new(base));
    }
    let names: Vec<&str> = offer::checklists().iter().map(|offer| offer.name).collect();
    let right = match nearest(&name.value, &names) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("write one of {}", quoted(&names)),
    };
    let what = format!("no built-in checklist `{}` to start from", name.value);
    reader.problem(name.at, what, right);
    Start::Unknown
}

/// What stands before the first section.
struct Head {
    key: String,
    title: String,
    confirm: String,
    based_on: Option<String>,
}

fn head(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>, start: &Start) -> Option<Head> {
    let key = fields.must(reader, "checklist", "name it: `checklist = \"our site\"`");
    if let (Some(key), Some(base)) = (&key, start.base())
        && key.value == base.key
    {
        let what = format!("`{}` is the name of the list it starts from", key.value);
        let right = "give the site's own list a name of its own".to_owned();
        reader.problem(key.at, what, right);
    }
    let right = "say in one line what it is: `title = \"...\"`";
    let title = fields.must(reader, "title", right);
    let right = "say what to look up: `confirm = \"Check your manual: ...\"`";
    let confirm = match start {
        Start::Empty => fields.must(reader, "confirm", right),
        _ => fields.text(reader, "confirm"),
    };
    let confirm = confirm.map(|found| found.value);
    let based_on = fields.text(reader, "based_on").map(|found| found.value);
    Some(Head {
        key: key?.value,
        title: title?.value,
        confirm: confirm.or_else(|| start.base().map(|base| base.confirm.clone()))?,
        based_on: start.base().map(|base| base.key.clone()).or(based_on),
    })
}

/// The keys of items that a file takes out of the list it starts from.
fn removed(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    start: &Start,
) -> Vec<Found<String>> {
    let Some(list) = fields.texts(reader, "remove") else {
        return Vec::new();
    };
    match start {
        Start::Unknown => {}
        Start::Empty => {
            let what = "`remove` stands in a file that starts from no other list".to_owned();
            let right = "leave it out, or write `extends = \"general\"` above it".to_owned();
            reader.problem(list.at, what, right);
        }
        Start::From(base) => {
            let keys: Vec<&str> = base.items.iter().map(|item| item.key.as_str()).collect();
            for key in &list.value {
                if keys.contains(&key.value.as_str()) {
                    continue;
                }
                let right = match nearest(&key.value, &keys) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("write keys of items of `{}`", base.key),
                };
                let what = format!("`{}` has no item `{}` to remove", base.key, key.value);
                reader.problem(key.at, what, right);
            }
        }
    }
    list.value
}

fn failure(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<FailureMode> {
    let right = "say it in the trade's words: `name = \"source will not retract\"`";
    let name = fields.must(reader, "name", right);
    let right = "say in one plain line what happens: `meaning = \"...\"`";
    let meaning = fields.must(reader, "meaning", right);
    Some(FailureMode {
        key,
        name: name?.value,
        meaning: meaning?.value,
    })
}

fn item(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<ChecklistItem> {
    let right = format!("write one of {}", quoted(ITEMS));
    let on = fields.must(reader, "on", &right);
    let on = on.and_then(|found| on_what(reader, found));
    let mut must = |field, right| fields.must(reader, field, right).map(|found| found.value);
    let component = must("component", "name the part: `component = \"drive cable\"`");
    let how = must("look", "say what to look at: `look = \"...\"`");
    let good = must("good", "say what makes it good: `good = \"...\"`");
    let basis = must(
        "basis",
        "say where it comes from: a citation, the manual, or `common practice, no source`",
    );
    let when = occasions(reader, fields);
    let detects = detects(reader, fields);
    let status = fields.word(reader, "status", ItemStatus::ALL, ItemStatus::name);
    let pair = fields.text(reader, "pair");
    let pair = match pair {
        Some(found) => Some(on_what(reader, found)?),
        None => None,
    };
    let mut text = |field| fields.text(reader, field).map(|found| found.value);
    let caution = text("caution");
    let spanish = InSpanish {
        component: text("component_es"),
        how: text("look_es"),
        good: text("good_es"),
        caution: text("caution_es"),
    };
    let (measurement, open) = match fields.take("measure") {
        Some(value) => measurement(reader, fields, value)?,
        None => (None, None),
    };
    Some(ChecklistItem {
        key,
        on: on?,
        component: component?,
        how: how?,
        good: good?,
        when: when?,
        detects: detects?,
        basis: basis?,
        status: status?,
        pair,
        caution,
        measurement,
        open,
        spanish,
    })
}

/// A kind of thing, or what is near it.
fn on_what(reader: &mut Reader<'_>, found: Found<String>) -> Option<String> {
    if ITEMS.contains(&found.value.as_str()) {
        return Some(found.value);
    }
    let right = match nearest(&found.value, ITEMS) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("write one of {}", quoted(ITEMS)),
    };
    let what = format!("`{}` is not a kind of equipment or instrument", found.value);
    reader.problem(found.at, what, right);
    None
}

/// The occasions, in the order of [`When::ALL`], each once.
fn occasions(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Option<Vec<When>> {
    let names: Vec<&str> = When::ALL.iter().map(|when| when.name()).collect();
    let right = format!("write a list of {}", quoted(&names));
    let told = told(reader, fields, "when", &right)?;
    let mut read = Vec::new();
    for one in told {
        match When::from_name(&one.value) {
            Some(when) => read.push(when),
            None => {
                let what = format!("`{}` is not a known occasion", one.value);
                reader.problem(one.at, what, right.clone());
            }
        }
    }
    let all = When::ALL.iter().copied();
    Some(all.filter(|when| read.contains(when)).collect())
}

/// The keys of failure modes; whether they exist is looked at when all are read.
fn detects(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Option<Vec<String>> {
    let right = "write keys of failure modes: `detects = [\"disconnect\"]`";
    let told = told(reader, fields, "detects", right)?;
    let mut keys: Vec<String> = Vec::new();
    for one in told {
        if keys.contains(&one.value) {
            let what = format!("`{}` stands in `detects` twice", one.value);
            reader.problem(one.at, what, "name each once".to_owned());
        } else {
            keys.push(one.value);
        }
    }
    Some(keys)
}

/// A list of texts that must be given and must not be empty.
fn told(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    field: &'static str,
    right: &str,
) -> Option<Vec<Found<String>>> {
    if fields.take(field).is_none() {
        fields.needs(reader, field, right);
        return None;
    }
    let list = fields.texts(reader, field)?;
    if list.value.is_empty() {
        reader.problem(list.at, format!("`{field}` is empty"), right.to_owned());
        return None;
    }
    Some(list.value)
}

const AMOUNT_RIGHT: &str = "write a number and its unit: `\"5.80 mm\"`, `\"6 deg\"`, \
    `\"200 mR/h\"`";

/// What an item measures: with figures, or without where it has no limit.
type Measured = (Option<ItemMeasurement>, Option<OpenMeasurement>);

fn measurement(
    reader: &mut Reader<'_>,
    item: &Fields<'_, '_>,
    value: &Spanned<DeValue<'_>>,
) -> Option<Measured> {
    let at = value.span().start;
    let Some(table) = value.get_ref().as_table() else {
        let what = "`measure` is not a section".to_owned();
        reader.problem(at, what, "write `[item.measure]` below the item".to_owned());
        return None;
    };
    let mut fields = Fields::new(format!("the measure of {}", item.name), at, table);
    if fields.take("limit").is_none() {
        return open(reader, fields).map(|it| (None, Some(it)));
    }
    let limit = amount(reader, &mut fields, "limit", true);
    // One unit for the whole measure: people compare these figures at a glance.
    let unit = limit.as_ref().and_then(|limit| {
        let text = fields.take("limit")?.get_ref().as_str()?;
        Some((AmountUnit::of(text).ok()?, limit.at))
    });
    let mut one = |field, must| {
        let found = amount(reader, &mut fields, field, must)?;
        same_unit(reader, &mut fields, field, found.at, unit?.0)?;
        Some(found.value)
    };
    let step = one("step", true);
    let lowest = one("lowest", true);
    let highest = one("highest", true);
    let optional = [one("nominal", false), one("warn", false)];
    let sense = fields.word(reader, "sense", Sense::ALL, Sense::name);
    let unreadable = [("nominal", optional[0]), ("warn", optional[1])]
        .iter()
        .any(|(field, read)| fields.take(field).is_some() && read.is_none());
    fields.finish(reader);
    if unreadable {
        return None;
    }
    let [nominal, warn] = optional;
    let measurement = ItemMeasurement {
        unit: unit?.0,
        nominal,
        limit: limit?.value,
        warn,
        sense: sense?,
        step: step?,
        lowest: lowest?,
        highest: highest?,
        of: FiguresOf::List,
    };
    Some((Some(measurement), None))
}

/// A measure whose figures are left to the site: the gauge alone tells its unit. One figure
/// without a limit was hardly meant so.
fn open(reader: &mut Reader<'_>, mut fields: Fields<'_, '_>) -> Option<OpenMeasurement> {
    let mut stray = false;
    for field in ["nominal", "warn", "lowest", "highest"] {
        if let Some(found) = fields.take(field) {
            let what = format!("`{field}` stands in a measure without a `limit`");
            let right = "give `limit`, or leave every figure to the site: `step` and `sense` alone";
            reader.problem(found.span().start, what, right.to_owned());
            stray = true;
        }
    }
    let step = amount(reader, &mut fields, "step", true);
    let unit = fields
        .take("step")
        .and_then(|it| AmountUnit::of(it.get_ref().as_str()?).ok());
    let sense = fields.word(reader, "sense", Sense::ALL, Sense::name);
    fields.finish(reader);
    if stray {
        return None;
    }
    Some(OpenMeasurement {
        unit: unit?,
        sense: sense?,
        step: step?.value,
    })
}

/// An amount that prints back exactly as it is: what is finer than its unit prints would be
/// another number in the text that the ledger keeps.
fn amount(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    field: &'static str,
    must: bool,
) -> Option<Found<Amount>> {
    if must && fields.take(field).is_none() {
        fields.needs(reader, field, AMOUNT_RIGHT);
    }
    let read = |text: &str| Amount::parse_with_unit(text, None);
    let found = fields.parsed(reader, field, AMOUNT_RIGHT, read)?;
    let (value, unit) = found.value;
    if Amount::parse(&value.display(unit), None) != Ok(value) {
        let what = format!("`{field}` is finer than `{unit}` is printed");
        let right = "write fewer decimals, or a smaller unit".to_owned();
        reader.problem(found.at, what, right);
        return None;
    }
    let at = found.at;
    Some(Found { value, at })
}

fn same_unit(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    field: &'static str,
    at: usize,
    unit: AmountUnit,
) -> Option<()> {
    let text = fields.take(field)?.get_ref().as_str()?;
    if AmountUnit::of(text) == Ok(unit) {
        return Some(());
    }
    let what = format!("`{field}` is `{text}` and the limit is in `{unit}`");
    let right = format!("write the whole measure in `{unit}`");
    reader.problem(at, what, right);
    None
}

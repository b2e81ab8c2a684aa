//! Reads the form of a year's dose record and the bands of dose from a rule set file.

use super::draft::Sections;
use super::entry::basis;
use super::form::{DoseBands, DoseForm, FormItem, FormLine};
use super::read::{Fields, Found, Reader, quoted};
use crate::quantity::Dose;

/// Reads `[dose_bands]`, which take the place of those that the file started from.
pub(super) fn bands(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>, sections: &mut Sections) {
    let Some(value) = fields.take("dose_bands") else {
        return;
    };
    let at = value.span().start;
    let Some(table) = value.get_ref().as_table() else {
        let what = "`dose_bands` is not a section".to_owned();
        reader.problem(at, what, "begin it with `[dose_bands]`".to_owned());
        return;
    };
    let mut entry = Fields::new("the bands".to_owned(), at, table);
    let right = "list the upper edges: `edges = [\"1 mSv\", \"2 mSv\"]`";
    let listed = entry.texts(reader, "edges");
    if listed.is_none() && entry.take("edges").is_none() {
        entry.needs(reader, "edges", right);
    }
    let basis = basis(reader, &mut entry);
    entry.finish(reader);
    let mut edges: Vec<Dose> = Vec::new();
    let mut good = listed.is_some();
    for one in listed.into_iter().flat_map(|it| it.value) {
        match Dose::parse(&one.value, None) {
            Ok(edge) if edges.last().is_none_or(|it| *it < edge) && edge > Dose::ZERO => {
                edges.push(edge);
            }
            Ok(_) => {
                let what = format!("`{}` is not above the edge before it", one.value);
                reader.problem(one.at, what, right.to_owned());
                good = false;
            }
            Err(error) => {
                reader.problem(one.at, format!("`edges`: {error}"), right.to_owned());
                good = false;
            }
        }
    }
    if let (Some(basis), true) = (basis, good) {
        sections.bands = Some(DoseBands {
            edges,
            citation: basis.citation,
            status: basis.status,
            meaning: basis.meaning,
        });
    }
}

/// Reads `[form]`, which takes the place of the one that the file started from.
pub(super) fn form(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>, sections: &mut Sections) {
    let Some(value) = fields.take("form") else {
        return;
    };
    let at = value.span().start;
    let Some(table) = value.get_ref().as_table() else {
        let what = "`form` is not a section".to_owned();
        reader.problem(at, what, "begin it with `[form]`".to_owned());
        return;
    };
    let mut entry = Fields::new("the form".to_owned(), at, table);
    if let Some(read) = dose_form(reader, &mut entry) {
        sections.form = Some(read);
    }
    entry.finish(reader);
}

fn dose_form(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Option<DoseForm> {
    let name = fields.must(reader, "name", "head it: `name = \"equivalent of ...\"`");
    let right = "write what the form has there: `not_required = \"NR\"`";
    let not_required = fields.must(reader, "not_required", right);
    let not_detected = fields.text(reader, "not_detected");
    let listed = fields.texts(reader, "items");
    if listed.is_none() && fields.take("items").is_none() {
        fields.needs(reader, "items", "list them: `items = [\"1 name: Name\"]`");
    }
    let basis = basis(reader, fields);
    let mut items: Vec<FormLine> = Vec::new();
    let mut good = true;
    for one in listed?.value {
        match item(&one.value) {
            Ok(line) if items.iter().any(|it| it.number == line.number) => {
                let what = format!("there are two items with the number `{}`", line.number);
                reader.problem(one.at, what, "give each its own number".to_owned());
                good = false;
            }
            Ok(line) => items.push(line),
            Err(what) => {
                good = false;
                refuse(reader, &one, what);
            }
        }
    }
    let basis = basis?;
    good.then_some(DoseForm {
        name: name?.value,
        not_required: not_required?.value,
        not_detected: not_detected.map(|it| it.value),
        items,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
    })
}

fn refuse(reader: &mut Reader<'_>, one: &Found<String>, what: String) {
    let names: Vec<&str> = FormItem::ALL.iter().map(|it| it.name()).collect();
    let right = format!(
        "write `NUMBER ITEM: LABEL`, with one of {} for the item",
        quoted(&names)
    );
    reader.problem(one.at, what, right);
}

/// `11B deep: Deep dose equivalent`.
fn item(text: &str) -> Result<FormLine, String> {
    let shape = || format!("`{text}` is not an item of a form");
    let (head, label) = text.split_once(": ").ok_or_else(shape)?;
    let (number, word) = head.split_once(' ').ok_or_else(shape)?;
    let item = FormItem::from_name(word).ok_or_else(|| format!("`{word}` is not a known item"))?;
    Ok(FormLine {
        number: number.to_owned(),
        item,
        label: label.trim().to_owned(),
    })
}

//! The authority's form for the dose record of a year, as a rule set names it: its items in their
//! order, with the numbers that they have there. A rule set without one has the plain statement.

use super::draft::Sections;
use super::entry::basis;
use super::read::{Fields, Found, Reader, quoted};
use super::scheme::cited;
use super::word::{Status, words};
use super::write::Text;
use crate::quantity::{Dose, DoseUnit};

words! {
    /// What an item of such a form asks for.
    FormItem {
        /// The person's name.
        Name = "name",
        /// A number that identifies the person.
        Identification = "identification",
        /// Which sort of number that is.
        IdentificationType = "identification-type",
        /// The person's sex.
        Sex = "sex",
        /// The date of birth.
        BirthDate = "birth-date",
        /// The monitoring period.
        Period = "period",
        /// Who monitored.
        Licensee = "licensee",
        /// Under which licence.
        Licence = "licence",
        /// Record, estimate or no record.
        Standing = "standing",
        /// Routine or planned special exposure.
        Exposure = "exposure",
        /// Of an intake, which is not recorded here: left blank.
        NoIntake = "no-intake",
        /// Effective dose equivalent of external radiation; the deep dose stands for it.
        EffectiveExternal = "effective-external",
        /// Deep dose equivalent.
        Deep = "deep",
        /// Lens dose equivalent.
        Lens = "lens",
        /// Shallow dose equivalent, skin of the whole body.
        Shallow = "shallow",
        /// Shallow dose equivalent, maximally exposed extremity.
        Extremity = "extremity",
        /// A committed dose, of intakes.
        Committed = "committed",
        /// The sum of external and committed effective dose.
        Total = "total",
        /// The sum of deep dose and the committed dose of an organ.
        TotalOrgan = "total-organ",
        /// Comments.
        Comments = "comments",
        /// Signature and date.
        Signature = "signature",
    }
}

/// The form of a year's dose record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoseForm {
    /// What it is, as its heading says.
    pub name: String,
    /// What stands for a dose that nobody had to monitor.
    pub not_required: String,
    /// Its items, in its order.
    pub items: Vec<FormLine>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

/// One item of the form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormLine {
    /// Its number, such as `11A`.
    pub number: String,
    /// What it asks for.
    pub item: FormItem,
    /// Its label.
    pub label: String,
}

impl DoseForm {
    /// The citation, followed by `(to be confirmed)` where the text was not read.
    #[must_use]
    pub fn cited(&self) -> String {
        cited(&self.citation, self.status)
    }

    pub(super) fn write(&self, out: &mut Text) {
        out.section("[form]");
        out.text("name", &self.name);
        out.text("not_required", &self.not_required);
        let items: Vec<String> = self
            .items
            .iter()
            .map(|it| format!("{} {}: {}", it.number, it.item, it.label))
            .collect();
        out.texts("items", items.iter().map(String::as_str));
        out.basis(&self.citation, self.status, &self.meaning);
    }
}

/// Bands of dose by which a law tells how many people lie where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoseBands {
    /// Their upper edges, each above the one before.
    pub edges: Vec<Dose>,
    /// Where they stand.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

impl DoseBands {
    /// The citation, followed by `(to be confirmed)` where the text was not read.
    #[must_use]
    pub fn cited(&self) -> String {
        cited(&self.citation, self.status)
    }

    pub(super) fn write(&self, out: &mut Text, unit: DoseUnit) {
        out.section("[dose_bands]");
        let edges: Vec<String> = self.edges.iter().map(|it| it.display(unit)).collect();
        out.texts("edges", edges.iter().map(String::as_str));
        out.basis(&self.citation, self.status, &self.meaning);
    }
}

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

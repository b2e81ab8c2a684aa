//! The authority's form for the dose record of a year, as a rule set names it: its items in their
//! order, with the numbers that they have there. A rule set without one has the plain statement.

use super::word::{Status, has_citation, words};
use super::written::Text;
use crate::quantity::{Dose, DoseUnit};

words! {
    /// What an item of such a form asks for.
    FormItem {
        /// The person's name.
        Name = "name",
        /// A number that identifies the person.
        Identification = "identification",
        /// Which kind of number that is.
        IdentificationType = "identification-type",
        /// The person's sex.
        Sex = "sex",
        /// The date of birth.
        BirthDate = "birth-date",
        /// The monitoring period.
        Period = "period",
        /// Who monitored.
        Licensee = "licensee",
        /// Under which license.
        License = "licence",
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
    /// What stands for a dose that was monitored and of which nothing was detected.
    pub not_detected: Option<String>,
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
    pub(super) fn write(&self, out: &mut Text) {
        out.section("[form]");
        out.text("name", &self.name);
        out.text("not_required", &self.not_required);
        if let Some(not_detected) = &self.not_detected {
            out.text("not_detected", not_detected);
        }
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
    pub(super) fn write(&self, out: &mut Text, unit: DoseUnit) {
        out.section("[dose_bands]");
        let edges: Vec<String> = self.edges.iter().map(|it| it.display(unit)).collect();
        out.texts("edges", edges.iter().map(String::as_str));
        out.basis(&self.citation, self.status, &self.meaning);
    }
}

has_citation!(DoseForm, DoseBands);

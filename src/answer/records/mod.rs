//! The records that an inspector asks for, each as a list: typed cells under named columns, with
//! its rule, its days and its count. What a record lacks is a cell without a value and is never
//! filled from somewhere else in silence.

mod breakdown;
mod calibrations;
mod inventories;
mod labels;
mod lapsed;
mod leak_tests;
mod person;
mod sources;
mod tracking;
mod utilization;
mod yearly;

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

use super::context::error::AnswerError;
use super::context::load::OpenHouse;
use super::review::desk::began;
use crate::calendar::{Day, Span};
use crate::dose::total::{Extent, Total};
use crate::quantity::Dose;
use crate::record::{RecordId, Ref};
use crate::rule::Terms;

pub use breakdown::breakdown;
pub use calibrations::calibrations;
pub use inventories::inventories;
pub use lapsed::lapsed;
pub use leak_tests::leak_tests;
pub use person::person;
pub use sources::sources;
pub use tracking::tracking;
pub use utilization::{UseAsked, utilization};
pub use yearly::yearly_reports;

/// One value of a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub enum Cell {
    /// The record does not say it.
    NotOnRecord,
    /// There is nothing to say of this row here: a device has no nuclide.
    None,
    /// A day.
    Day(Day),
    /// Words.
    Text(String),
    /// A count, or the number of an entry.
    Count(i64),
    /// A count of what was written down, where not all of it was.
    AtLeast(i64),
    /// A dose.
    Dose {
        /// Nanosievert.
        nsv: i64,
        /// As people read it.
        shown: String,
        /// Whether it is a lower bound.
        at_least: bool,
    },
}

impl Cell {
    /// Words, where there are any.
    pub(super) fn text(it: Option<impl Into<String>>) -> Cell {
        match it.map(Into::into).filter(|it| !it.trim().is_empty()) {
            Some(text) => Cell::Text(text),
            None => Cell::NotOnRecord,
        }
    }

    /// A day, where there is one.
    pub(super) fn day(it: Option<Day>) -> Cell {
        it.map_or(Cell::NotOnRecord, Cell::Day)
    }

    /// As it is printed.
    pub fn words(&self) -> String {
        match self {
            Cell::NotOnRecord => "not on record".to_owned(),
            Cell::None => String::new(),
            Cell::Day(day) => day.to_string(),
            Cell::Text(text) => text.clone(),
            Cell::Count(count) => count.to_string(),
            Cell::AtLeast(count) => format!("at least {count}"),
            Cell::Dose { shown, .. } => shown.clone(),
        }
    }
}

/// One column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Its name in data.
    pub key: &'static str,
    /// Its heading, and what stands before a value that is printed under another.
    pub heading: &'static str,
    /// Whether it has figures.
    #[serde(skip)]
    pub figures: bool,
    /// Where a page has it.
    #[serde(skip)]
    pub place: Place,
}

/// Where a page has a column; data have each on its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Beside the others.
    Own,
    /// Under the column before it, with its heading.
    Under,
    /// Nowhere: another table of the page says it once.
    Data,
}

/// A column of its own.
pub(super) const fn column(key: &'static str, heading: &'static str) -> Column {
    Column {
        key,
        heading,
        figures: false,
        place: Place::Own,
    }
}

/// A column of figures.
pub(super) const fn figures(key: &'static str, heading: &'static str) -> Column {
    Column {
        figures: true,
        ..column(key, heading)
    }
}

/// A column that a page prints under the one before it.
pub(super) const fn under(key: &'static str, heading: &'static str) -> Column {
    Column {
        place: Place::Under,
        ..column(key, heading)
    }
}

/// A column of data alone.
pub(super) const fn data(key: &'static str, heading: &'static str) -> Column {
    Column {
        place: Place::Data,
        ..column(key, heading)
    }
}

/// One table of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordsPart {
    /// Its name in data.
    pub key: &'static str,
    /// Its heading.
    pub title: String,
    /// What a row is, one and many.
    pub of: (&'static str, &'static str),
    /// The columns.
    pub columns: &'static [Column],
    /// What the doses are called.
    pub terms: Terms,
    /// The rows, a value a column.
    pub rows: Vec<Vec<Cell>>,
    /// How many of the last rows sum up others, or are what is left beside them.
    pub sums: usize,
    /// What it says where there are no rows.
    pub none: String,
    /// What else there is to say.
    pub notes: Vec<String>,
}

impl RecordsPart {
    pub(super) fn new(
        key: &'static str,
        title: impl Into<String>,
        of: (&'static str, &'static str),
        columns: &'static [Column],
    ) -> RecordsPart {
        RecordsPart {
            key,
            title: title.into(),
            of,
            columns,
            terms: Terms::default(),
            rows: Vec::new(),
            sums: 0,
            none: "Nothing on record.".to_owned(),
            notes: Vec::new(),
        }
    }

    /// How many rows there are, without those that sum up others.
    pub fn count(&self) -> usize {
        self.rows.len().saturating_sub(self.sums)
    }

    /// How many rows there are, in words.
    pub fn counted(&self) -> String {
        let (one, many) = self.of;
        match self.count() {
            1 => format!("1 {one}"),
            count => format!("{count} {many}"),
        }
    }

    /// How many rows lack something.
    pub fn lacking(&self) -> usize {
        let lacks = |row: &&Vec<Cell>| row.contains(&Cell::NotOnRecord);
        self.rows.iter().take(self.count()).filter(lacks).count()
    }
}

impl Serialize for RecordsPart {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let rows: Vec<RowView<'_>> = self
            .rows
            .iter()
            .map(|it| RowView(self.columns, it))
            .collect();
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("key", self.key)?;
        map.serialize_entry("title", &self.title)?;
        map.serialize_entry("count", &self.count())?;
        map.serialize_entry("lacking", &self.lacking())?;
        map.serialize_entry("columns", self.columns)?;
        map.serialize_entry("rows", &rows)?;
        map.serialize_entry("notes", &self.notes)?;
        map.end()
    }
}

/// A row under the names of its columns.
struct RowView<'a>(&'a [Column], &'a [Cell]);

impl Serialize for RowView<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let said = self.0.iter().zip(self.1);
        serializer.collect_map(
            said.filter(|it| *it.1 != Cell::None)
                .map(|it| (it.0.key, it.1)),
        )
    }
}

/// A list of records.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RecordsAnswer {
    /// The name that tells this ledger from others.
    pub ledger: String,
    /// How many entries the ledger has, and the hash of the last of them.
    pub head: String,
    /// Its name in data.
    pub key: &'static str,
    /// Whom it is about, where it is one person's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<String>,
    /// What it is.
    pub title: String,
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The day that counts as today.
    pub on: Day,
    /// The unit of doses for people.
    pub unit: String,
    /// What narrows it.
    pub asked: Vec<String>,
    /// What the rules want in it, each with its citation.
    pub rules: Vec<String>,
    /// The tables.
    pub parts: Vec<RecordsPart>,
    /// What else there is to say.
    pub notes: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
}

/// What every list of records is asked with.
#[derive(Debug, Clone, Copy)]
pub struct RecordsSpan {
    /// The days.
    pub span: Span,
    /// The day that counts as today.
    pub on: Day,
}

/// Where a list is put together.
pub(super) struct RecordsDesk<'d> {
    pub house: &'d OpenHouse<'d>,
    pub span: Span,
    pub on: Day,
}

impl<'d> RecordsDesk<'d> {
    /// What is after today has not happened yet.
    pub fn new(house: &'d OpenHouse<'d>, asked: RecordsSpan) -> RecordsDesk<'d> {
        let RecordsSpan { span, on } = asked;
        let last = match span.first <= on {
            true => span.last.min(on),
            false => span.last,
        };
        let first = span.first;
        RecordsDesk {
            house,
            span: Span { first, last },
            on,
        }
    }

    /// The list, with its rules by their keys in the rule set and what it does not cover.
    pub fn list(
        &self,
        key: &'static str,
        title: &str,
        rules: &[&str],
    ) -> Result<RecordsAnswer, AnswerError> {
        let rule_set = self.house.rule_set_on(self.on)?;
        let (count, hash) = self.house.snapshot.head()?;
        let known = rules.iter().filter_map(|key| rule_set.rule(key));
        let mut rules: Vec<String> = known
            .map(|it| format!("{}: {}", it.cited(), it.meaning.trim()))
            .collect();
        if rules.is_empty() {
            rules.push(format!(
                "no rule text here: {} has none in this ledger; ask your authority what this \
                 record must hold",
                rule_set.key
            ));
        }
        let mut notes = Vec::new();
        if let Some(began) = began(self.house)?
            && self.span.first < began
        {
            notes.push(format!(
                "The ledger began on {began}: of the days before it there is only what was \
                 entered later."
            ));
        }
        if self.span.first > self.on {
            notes.push(format!("These days are after {}.", self.on));
        }
        Ok(RecordsAnswer {
            ledger: self.house.names.charter.ledger_id.clone(),
            head: crate::ledger::head_text(count, &hash),
            key,
            about: None,
            title: title.to_owned(),
            first: self.span.first,
            last: self.span.last,
            on: self.on,
            unit: self.house.unit().symbol().to_owned(),
            asked: Vec::new(),
            rules,
            parts: Vec::new(),
            notes,
            confirm: rule_set.confirm.clone(),
        })
    }

    /// The name of what a sheet refers to.
    pub fn named<T>(&self, it: Option<&Ref<T>>) -> Cell {
        Cell::text(it.map(|it| match it {
            Ref::Known(_) => self.house.names.words(it),
            Ref::Written(words) => format!("{words} (not in the register)"),
        }))
    }

    /// The id of a record.
    pub fn label(&self, record: RecordId) -> Cell {
        Cell::Text(self.house.names.label(record))
    }

    /// A dose in the ledger's unit.
    pub fn figure(&self, dose: Dose, at_least: bool) -> Cell {
        let shown = dose.display(self.house.unit());
        Cell::Dose {
            nsv: dose.nsv(),
            shown: match at_least {
                true => format!("at least {shown}"),
                false => shown,
            },
            at_least,
        }
    }

    /// A total in the ledger's unit; what nobody measured is no figure.
    pub fn total(&self, total: &Total) -> Cell {
        match total.extent() {
            Extent::NotAssessed => Cell::Text("not assessed".to_owned()),
            Extent::Whole(dose) => self.figure(dose, false),
            Extent::AtLeast(dose) => self.figure(dose, true),
        }
    }
}

//! A file of rows and what was said with it: which table, where its headings stand, what they
//! mean, and how it writes what could mean two things.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Cursor, Read};
use std::path::Path;
use std::sync::Arc;

use super::fault::IntakeError;
use crate::answer::{NoSuchName, Sought, near};
use crate::calendar::DayOrder;
use crate::ledger::Snapshot;
use crate::record::{EVERY_DOSE, MappedWord, Mapping};

/// What is in a file that came without one, as from a browser.
pub type Content = Arc<[u8]>;

/// What was said with a file.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// Whether headings of the file's own can be said at all.
    pub takes_headings: bool,
    /// The table of a spreadsheet file.
    pub sheet: Option<String>,
    /// The row of the headings, from 1.
    pub header_row: Option<u64>,
    /// Our column and the file's heading.
    pub columns: Vec<(String, String)>,
    /// Words of the file's own in its cells.
    pub words: Vec<MappedWord>,
    /// What merged cells of a spreadsheet stand for.
    pub merged: Option<Merged>,
    /// A saved mapping to use; headings that are given too stand before it.
    pub use_map: Option<String>,
    /// A name to save the mapping under.
    pub save_map: Option<String>,
    /// Our column and what a blank or missing cell of it stands for.
    pub defaults: Vec<(String, String)>,
    /// The same of this file alone: no mapping keeps it.
    pub once: Vec<(String, String)>,
    /// The order in which days stand that are not written year-month-day.
    pub dates: Option<DayOrder>,
    /// Whether all of it is history that was written elsewhere at the time.
    pub transcribed: bool,
    /// The unit of numbers without one, of a column or of all that hold doses and readings.
    pub units: Vec<(Option<String>, String)>,
    /// What is in the file, where it came without one: then the path is but its name.
    pub content: Option<Content>,
}

/// What merged cells of a spreadsheet stand for: nobody can see whether the value is meant for
/// each row of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Merged {
    /// Each of them has the value.
    Fill,
    /// The first has it, the others are blank.
    First,
}

impl Merged {
    /// The words for them.
    pub const WORDS: &'static str = "fill: each of the cells has the value; first: the first alone";

    /// The one that somebody means.
    pub fn from_word(word: &str) -> Option<Merged> {
        match word {
            "fill" => Some(Merged::Fill),
            "first" => Some(Merged::First),
            _ => None,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Merged::Fill => "fill",
            Merged::First => "first",
        }
    }
}

impl Said {
    /// Whether a value was said for a column.
    pub(crate) fn is_given(&self, column: &str) -> bool {
        let mut all = self.defaults.iter().chain(&self.once);
        all.any(|it| it.0 == column)
    }
}

/// A file and what was said with it.
#[derive(Debug, Clone, Copy)]
pub struct TableFile<'a> {
    /// The file.
    pub path: &'a Path,
    /// What was said with it.
    pub said: &'a Said,
}

impl TableFile<'_> {
    /// Opens the file, or what came in its place; and how many bytes it has, 0 where nobody can
    /// say, as of a pipe.
    pub(crate) fn opened(&self) -> io::Result<(Box<dyn Read>, u64)> {
        if let Some(content) = &self.said.content {
            let bytes = u64::try_from(content.len()).unwrap_or(0);
            return Ok((Box::new(Cursor::new(Arc::clone(content))), bytes));
        }
        let file = File::open(self.path)?;
        let about = file.metadata()?;
        match about.is_dir() {
            true => Err(io::ErrorKind::IsADirectory.into()),
            false => Ok((Box::new(file), about.len())),
        }
    }
}

/// What of it holds for the next file of the kind too.
pub(crate) fn mapping(name: &str, said: &Said) -> Mapping {
    let sorted = |pairs: &mut dyn Iterator<Item = (String, String)>| -> Vec<_> {
        // Of what was said twice, the last holds.
        let all: BTreeMap<String, String> = pairs.collect();
        all.into_iter().collect()
    };
    let units = said.units.iter().cloned();
    let mut units = units.map(|(of, unit)| (of.unwrap_or_else(|| EVERY_DOSE.to_owned()), unit));
    Mapping {
        columns: said.columns.clone(),
        dates: said.dates.map(|it| it.word().to_owned()),
        defaults: sorted(&mut said.defaults.iter().cloned()),
        header_row: said.header_row.and_then(|it| i64::try_from(it).ok()),
        merged: said.merged.map(|it| it.word().to_owned()),
        name: name.to_owned(),
        sheet: said.sheet.clone(),
        units: sorted(&mut units),
        words: said.words.clone(),
    }
}

/// What was said, over what was saved; our columns in the order of their names, each once.
pub(crate) fn with_saved(snapshot: &Snapshot<'_>, said: &Said) -> Result<Said, IntakeError> {
    let mut said = said.clone();
    said.columns.sort();
    let pairs = said.columns.iter().zip(said.columns.iter().skip(1));
    if let Some(((column, one), (_, other))) = pairs.clone().find(|(a, b)| a.0 == b.0) {
        return Err(IntakeError::BadChange {
            detail: format!("`{column}` is mapped twice, to `{one}` and to `{other}`"),
            right: "each column once".to_owned(),
        });
    }
    one_meaning(&mut said.words)?;
    if let Some(name) = &said.use_map {
        let saved = snapshot.all::<Mapping>()?;
        let found = saved
            .iter()
            .find(|it| it.body.name.eq_ignore_ascii_case(name));
        let found = found.ok_or_else(|| NoSuchName {
            what: Sought::Mapping,
            name: name.clone(),
            near: near(name, saved.iter().map(|it| it.body.name.as_str())),
        })?;
        add_saved(&mut said, &found.body);
    }
    if said.save_map.is_some() && said.columns.is_empty() && said.words.is_empty() {
        return Err(IntakeError::BadChange {
            detail: "there is no mapping to save".to_owned(),
            right: "--map COLUMN=HEADING for each column".to_owned(),
        });
    }
    Ok(said)
}

/// Sorts the words; one that stands for two things is refused.
fn one_meaning(words: &mut Vec<MappedWord>) -> Result<(), IntakeError> {
    words.sort();
    words.dedup();
    let pairs = words.iter().zip(words.iter().skip(1));
    for (one, other) in pairs {
        if one.column == other.column && one.theirs.eq_ignore_ascii_case(&other.theirs) {
            let (column, theirs) = (&one.column, &one.theirs);
            return Err(IntakeError::BadChange {
                detail: format!(
                    "`{theirs}` in `{column}` is mapped twice, to `{}` and to `{}`",
                    one.value, other.value
                ),
                right: "each word of a column once".to_owned(),
            });
        }
    }
    Ok(())
}

/// What was saved stands behind what is said now.
fn add_saved(said: &mut Said, saved: &Mapping) {
    for (column, heading) in &saved.columns {
        if !said.columns.iter().any(|(it, _)| it == column) {
            said.columns.push((column.clone(), heading.clone()));
        }
    }
    said.columns.sort();
    said.sheet = said.sheet.take().or_else(|| saved.sheet.clone());
    let row = saved.header_row.and_then(|it| u64::try_from(it).ok());
    said.header_row = said.header_row.or(row);
    let order = saved.dates.as_deref().and_then(DayOrder::from_word);
    said.dates = said.dates.or(order);
    for (column, value) in &saved.defaults {
        let now = said.defaults.iter().chain(&said.once);
        if !now.into_iter().any(|(it, _)| it == column) {
            said.defaults.push((column.clone(), value.clone()));
        }
    }
    let merged = saved.merged.as_deref().and_then(Merged::from_word);
    said.merged = said.merged.or(merged);
    for word in &saved.words {
        let same = |it: &MappedWord| {
            it.column == word.column && it.theirs.eq_ignore_ascii_case(&word.theirs)
        };
        if !said.words.iter().any(same) {
            said.words.push(word.clone());
        }
    }
    for (column, unit) in &saved.units {
        let of = (column != EVERY_DOSE).then(|| column.clone());
        if !said.units.iter().any(|(it, _)| *it == of) {
            said.units.push((of, unit.clone()));
        }
    }
}

/// Whether a column holds days, by its name.
pub(crate) fn holds_days(name: &str) -> bool {
    const DAYS: [&str; 7] = [
        "day",
        "from",
        "in_service",
        "last_read",
        "on",
        "reciprocity_filed",
        "until",
    ];
    // It says from whom.
    if name == "received_from" {
        return false;
    }
    const ENDS: [&str; 6] = ["_on", "_day", "_date", "_from", "_until", "_at"];
    let ends = ENDS.iter().any(|end| name.ends_with(end));
    (DAYS.contains(&name) || ends) && !holds_doses(name)
}

/// Whether a column holds doses or readings of a dosimeter, by its name.
pub(crate) fn holds_doses(name: &str) -> bool {
    const DOSES: [&str; 13] = [
        "deep",
        "dose",
        "end",
        "extremity",
        "gross",
        "high",
        "lens",
        "low",
        "minimum",
        "shallow",
        "start",
        "total",
        "year_to_date",
    ];
    DOSES.contains(&name)
}

/// Whether a cell is a number and nothing else, also one below another.
pub(crate) fn is_bare(cell: &str) -> bool {
    let number = cell.strip_prefix('<').unwrap_or(cell).trim();
    let sign = |it: char| it.is_ascii_digit() || it == '.' || it == '-';
    number.chars().all(sign) && number.chars().any(|it| it.is_ascii_digit())
}

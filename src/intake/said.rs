//! A file of rows and what was said with it: which table, where its headings stand, what they
//! mean, and how it writes what could mean two things.

use std::path::Path;

use super::cells::Cells;
use super::fault::IntakeError;
use super::mapped::Mapped;
use super::take::TakenItem;
use crate::answer::{NoSuchName, near};
use crate::calendar::DayOrder;
use crate::ledger::{Snapshot, Writer};
use crate::record::{Body, Mapping};

/// What was said with a file.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// The table of a spreadsheet file.
    pub sheet: Option<String>,
    /// The row of the headings, from 1.
    pub header_row: Option<u64>,
    /// Our column and the file's heading.
    pub columns: Vec<(String, String)>,
    /// A saved mapping to use; headings that are given too stand before it.
    pub use_map: Option<String>,
    /// A name to save the mapping under.
    pub save_map: Option<String>,
    /// Our column and what a blank or missing cell of it stands for.
    pub defaults: Vec<(String, String)>,
    /// The order in which days stand that are not written year-month-day.
    pub dates: Option<DayOrder>,
    /// Whether all of it is history that was written elsewhere at the time.
    pub transcribed: bool,
    /// The unit of numbers without one, of a column or of all that hold doses and readings.
    pub units: Vec<(Option<String>, String)>,
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
    /// Opens the file inside a write, and keeps its mapping where that was asked for.
    pub(super) fn open(
        &self,
        writer: &mut Writer<'_>,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<(Cells, Option<TakenItem>), IntakeError> {
        let columns = columns_of(&writer.snapshot()?, self.said)?;
        let saved = self.said.save_map.as_ref().map(|name| Mapping {
            columns: columns.clone(),
            name: name.clone(),
        });
        let cells = self.cells(names, needed, columns)?;
        let saved = match saved {
            None => None,
            Some(mapping) => {
                let key = mapping.name.clone();
                let written = writer.append(Body::from(mapping), false)?;
                Some(TakenItem {
                    line: None,
                    kind: "mapping",
                    key,
                    written,
                })
            }
        };
        Ok((cells, saved))
    }

    /// Opens the file to be looked at.
    pub(super) fn look(
        &self,
        snapshot: &Snapshot<'_>,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<Cells, IntakeError> {
        let columns = columns_of(snapshot, self.said)?;
        self.cells(names, needed, columns)
    }

    /// Opens a file of which nothing is written.
    pub(super) fn alone(
        &self,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<Cells, IntakeError> {
        self.cells(names, needed, self.said.columns.clone())
    }

    fn cells(
        &self,
        names: &'static [&'static str],
        needed: &[&str],
        columns: Vec<(String, String)>,
    ) -> Result<Cells, IntakeError> {
        let mapped = Mapped {
            columns,
            defaults: self.said.defaults.clone(),
        };
        Cells::open(self, names, needed, &mapped)
    }
}

/// The mapping in the order of our columns' names, each once; none where the headings are ours.
fn columns_of(snapshot: &Snapshot<'_>, said: &Said) -> Result<Vec<(String, String)>, IntakeError> {
    let mut columns = said.columns.clone();
    columns.sort();
    let twice = columns
        .iter()
        .zip(columns.iter().skip(1))
        .find(|(a, b)| a.0 == b.0);
    if let Some(((column, one), (_, other))) = twice {
        return Err(IntakeError::BadChange {
            detail: format!("`{column}` is mapped twice, to `{one}` and to `{other}`"),
            right: "each column once".to_owned(),
        });
    }
    if let Some(name) = &said.use_map {
        let saved = snapshot.all::<Mapping>()?;
        let found = saved
            .iter()
            .find(|it| it.body.name.eq_ignore_ascii_case(name));
        let found = found.ok_or_else(|| NoSuchName {
            what: "saved mapping".to_owned(),
            name: name.clone(),
            near: near(name, saved.iter().map(|it| it.body.name.as_str())),
        })?;
        for (column, heading) in &found.body.columns {
            if !columns.iter().any(|(it, _)| it == column) {
                columns.push((column.clone(), heading.clone()));
            }
        }
        columns.sort();
    }
    if said.save_map.is_some() && columns.is_empty() {
        return Err(IntakeError::BadChange {
            detail: "there is no mapping to save".to_owned(),
            right: "--map COLUMN=HEADING for each column".to_owned(),
        });
    }
    Ok(columns)
}

/// Whether a column holds days, by its name.
pub(super) fn holds_days(name: &str) -> bool {
    const DAYS: [&str; 6] = ["day", "from", "in_service", "last_read", "on", "until"];
    const ENDS: [&str; 6] = ["_on", "_day", "_date", "_from", "_until", "_at"];
    DAYS.contains(&name) || ENDS.iter().any(|end| name.ends_with(end))
}

/// Whether a column holds doses or readings of a dosimeter, by its name.
pub(super) fn holds_doses(name: &str) -> bool {
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
pub(super) fn is_bare(cell: &str) -> bool {
    let number = cell.strip_prefix('<').unwrap_or(cell).trim();
    let sign = |it: char| it.is_ascii_digit() || it == '.' || it == '-';
    number.chars().all(sign) && number.chars().any(|it| it.is_ascii_digit())
}

//! The first rows of a file as they are understood. Nothing is written, and nothing is asked of
//! the ledger but a saved mapping.

use super::columns::Row;
use super::grid::letters;
use crate::calendar::DayOrder;
use crate::intake::entry::fault::{Faults, IntakeError};
use crate::intake::entry::said::TableFile;
use crate::ledger::Snapshot;

/// How many rows are shown.
const SHOWN: usize = 3;

/// A file as it is understood.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Preview {
    /// The file, with its table.
    pub file: String,
    /// Where the rows shown stand, as a person finds them.
    pub places: Vec<String>,
    /// The columns that are read.
    pub columns: Vec<PreviewColumn>,
    /// Headings under which nothing is read.
    pub unread: Vec<String>,
    /// The order of days that was said.
    pub dates: Option<DayOrder>,
    /// What has to be told of the file.
    pub notes: Vec<String>,
}

/// One column that is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PreviewColumn {
    /// Our name of it.
    pub name: String,
    /// The file's heading and its place; blank where a value was said for the whole file.
    pub heading: String,
    /// Its cells in the rows shown.
    pub cells: Vec<String>,
}

/// Reads the first rows.
///
/// # Errors
/// A file, a header or one of these rows that cannot be read.
pub fn preview(
    snapshot: &Snapshot<'_>,
    file: &TableFile<'_>,
    names: &'static [&'static str],
    needed: &[&str],
) -> Result<Preview, IntakeError> {
    let mut cells = file.inspection(snapshot, names, needed)?;
    let mut faults = Faults::default();
    let mut rows = Vec::new();
    let mut row = Row::default();
    while rows.len() < SHOWN && cells.next(&mut row, &mut faults) {
        rows.push(row.clone());
    }
    if faults.any() {
        return Err(faults.refuse(Some(cells.file()), Vec::new()));
    }
    let spreadsheet = faults.spreadsheet;
    let columns = &cells.columns;
    let place = |place: usize| match spreadsheet {
        true => format!("column {}", letters(place + 1)),
        false => format!("column {}", place + 1),
    };
    let mut shown = Vec::new();
    for (column, name) in names.iter().enumerate() {
        let at = columns.at.get(column).copied().flatten();
        let cells: Vec<String> = rows
            .iter()
            .map(|row| columns.cell(row, column).to_owned())
            .collect();
        let heading = match at {
            Some(at) => format!("`{}`, {}", columns.name(column), place(at)),
            None if cells.iter().any(|it| !it.is_empty()) => String::new(),
            None => continue,
        };
        shown.push(PreviewColumn {
            name: (*name).to_owned(),
            heading,
            cells,
        });
    }
    let is_read = |at: usize| columns.at.contains(&Some(at));
    let unread = cells.header.iter().enumerate();
    let unread = unread.filter(|(at, it)| !is_read(*at) && !it.trim().is_empty());
    let word = if spreadsheet { "row" } else { "line" };
    Ok(Preview {
        file: cells.file().to_owned(),
        places: rows
            .iter()
            .filter_map(|it| Some(format!("{word} {}", it.line?)))
            .collect(),
        unread: unread.map(|(_, it)| it.trim().to_owned()).collect(),
        columns: shown,
        dates: columns.dates,
        notes: cells.notes.clone(),
    })
}

//! Rows of a file, whatever its form. CSV as spreadsheets write it: a byte-order mark is dropped,
//! CRLF is fine. Tables of XLSX and ODS files. Everything that could be read two ways is refused
//! with the line.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use csv::StringRecord;

use super::cells_csv::{CsvReader, csv_of, header_of_csv, next_of_csv};
pub use super::columns::{Columns, Row};
use super::fault::{Fault, Faults, IntakeError};
use super::said::{Said, TableFile, holds_days};
use super::workbook::{TableRow, is_compound, is_packed, read};
use crate::calendar::in_figures;

/// What the rows of a file are read from.
enum Reading {
    Csv(Box<CsvReader>),
    Table(std::vec::IntoIter<TableRow>),
}

/// How a column of days is written: the first row with a day of the spreadsheet's own, and the
/// first with a day in figures.
#[derive(Debug, Default, Clone, Copy)]
struct DaysOf {
    own: Option<u64>,
    figures: Option<u64>,
    told: bool,
}

/// A file of rows under known columns.
pub struct Cells {
    reading: Reading,
    file: String,
    any_row: bool,
    bytes: u64,
    read: u64,
    days: BTreeMap<usize, DaysOf>,
    /// What whoever takes it in has to be told.
    pub(super) notes: Vec<String>,
    /// Where the file has which column.
    pub columns: Columns,
    /// All headings of the file.
    pub(super) header: StringRecord,
}

impl std::fmt::Debug for Cells {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Cells")
            .field("file", &self.file)
            .finish_non_exhaustive()
    }
}

/// The largest spreadsheet file that is read; its tables alone are read into memory.
const MOST_BYTES: u64 = 32 << 20;

/// A file before its header is understood.
struct Opened {
    reading: Reading,
    file: String,
    bytes: u64,
    header: StringRecord,
    notes: Vec<String>,
}

impl Cells {
    /// Opens a file and reads its header. Faults of the header refuse the file:
    /// without it no row can be read.
    pub(super) fn open(
        path: &Path,
        said: &Said,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<Cells, IntakeError> {
        let file = &TableFile { path, said };
        let mut faults = Faults::default();
        let opened = match open(file, needed, &mut faults)? {
            Some(opened) if !faults.any() => opened,
            _ => {
                let name = file.path.display().to_string();
                return Err(faults.refuse(Some(&name), Vec::new()));
            }
        };
        faults.spreadsheet = matches!(opened.reading, Reading::Table(_));
        let line = file.said.header_row.unwrap_or(1);
        let header = &opened.header;
        let head = (line, header);
        let mut columns = match said.columns.is_empty() {
            true => Columns::of_header(names, needed, head, said, &mut faults),
            false => Columns::of_mapping(names, needed, head, said, &mut faults),
        };
        columns.told(file.said, &mut faults);
        if faults.any() {
            return Err(faults.refuse(Some(&opened.file), Vec::new()));
        }
        Ok(Cells {
            reading: opened.reading,
            file: opened.file,
            any_row: false,
            bytes: opened.bytes,
            read: 0,
            days: BTreeMap::new(),
            notes: opened.notes,
            columns,
            header: opened.header,
        })
    }

    /// The file's name, with that of its table where it is a spreadsheet.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// How long the file is; zero where nobody knows. Of a spreadsheet, how many rows it has.
    pub(super) fn bytes(&self) -> u64 {
        self.bytes
    }

    /// How much of it is read.
    pub(super) fn bytes_read(&self) -> u64 {
        match &self.reading {
            Reading::Csv(reader) => reader.position().byte(),
            Reading::Table(_) => self.read,
        }
    }

    /// Reads the next row into `row`. A row that cannot be read is a fault and
    /// the reading goes on after it; `false` at the end.
    pub(super) fn next(&mut self, row: &mut Row, faults: &mut Faults) -> bool {
        if faults.headings.is_empty() {
            faults.headings = self.columns.places();
            faults.spreadsheet = matches!(self.reading, Reading::Table(_));
        }
        loop {
            let there = match &mut self.reading {
                Reading::Csv(reader) => next_of_csv(reader, &self.columns, row, faults),
                Reading::Table(rows) => {
                    let next = rows.next();
                    self.read += u64::from(next.is_some());
                    next.map_or(Next::End, |it| {
                        sort_days(&mut self.days, &self.columns, &it, faults);
                        next_of_table(it, &self.columns, row, faults)
                    })
                }
            };
            match there {
                Next::Row => {
                    self.any_row = true;
                    self.columns.tidy(row, faults);
                    return true;
                }
                Next::Blank => {}
                Next::Faulty => self.any_row = true,
                Next::End => {
                    if !self.any_row {
                        faults.push(Fault::new(
                            None,
                            "",
                            "",
                            "the file has a header and nothing below it",
                            "one row for each thing to be taken in",
                        ));
                    }
                    return false;
                }
                Next::Torn => return false,
            }
        }
    }
}

/// What stands next in a file.
pub(super) enum Next {
    Row,
    Blank,
    /// A row that cannot be read, which was said.
    Faulty,
    End,
    /// Nothing that could be read follows, which was said.
    Torn,
}

fn next_of_table(it: TableRow, columns: &Columns, row: &mut Row, faults: &mut Faults) -> Next {
    row.line = Some(it.number);
    row.record = it.cells;
    let mut faulty = false;
    for (place, (what, right)) in it.wrong {
        let read = columns.at.iter().position(|at| *at == Some(place));
        let outside = place >= columns.width;
        let name = match read {
            Some(column) => columns.name(column),
            None if outside => "",
            // A column that is not read may hold anything.
            None => continue,
        };
        faulty = true;
        faults.push(Fault::new(row.line, name, "", what, right));
    }
    if faulty { Next::Faulty } else { Next::Row }
}

/// Refuses a column in which some days are the spreadsheet's own and others text in figures: a
/// program that took the figures in another order made days of those that fitted, wrong ones,
/// and left the rest.
fn sort_days(
    days: &mut BTreeMap<usize, DaysOf>,
    columns: &Columns,
    row: &TableRow,
    faults: &mut Faults,
) {
    for (column, place) in columns.at.iter().enumerate() {
        let (Some(place), Some(name)) = (*place, columns.names.get(column)) else {
            continue;
        };
        if !holds_days(name) {
            continue;
        }
        let of = days.entry(place).or_default();
        if row.days.contains(&place) {
            of.own.get_or_insert(row.number);
        } else if row.cells.get(place).and_then(in_figures).is_some() {
            of.figures.get_or_insert(row.number);
        }
        if let (Some(own), Some(figures), false) = (of.own, of.figures, of.told) {
            of.told = true;
            let what = format!(
                "holds dates of the spreadsheet's own, as in row {own}, and dates as text, as in \
                 row {figures}: where a program read the text in another order, the former are \
                 wrong"
            );
            let right = "all days of the column in one form, checked against the paper";
            let name = columns.name(column);
            faults.push(Fault::new(Some(row.number), name, "", what, right));
        }
    }
}

/// Opens a file of either sort and reads its header; nothing where a fault says why not.
fn open(
    file: &TableFile<'_>,
    needed: &[&str],
    faults: &mut Faults,
) -> Result<Option<Opened>, IntakeError> {
    let name = file.path.display().to_string();
    let failed = |source| IntakeError::File {
        file: name.clone(),
        source,
    };
    let mut opened = File::open(file.path)
        .and_then(|opened| match opened.metadata()?.is_dir() {
            true => Err(io::ErrorKind::IsADirectory.into()),
            false => Ok(opened),
        })
        .map_err(failed)?;
    // Of what has no length, such as a pipe, nobody can say how far it is read.
    let bytes = opened.metadata().map_or(0, |it| it.len());
    let mut start = Vec::new();
    opened
        .by_ref()
        .take(4)
        .read_to_end(&mut start)
        .map_err(failed)?;
    if is_compound(&start) {
        let what = "is an older XLS file, or has a password";
        let right = "save it as XLSX without a password, or as CSV";
        faults.push(Fault::new(None, "", "", what, right));
        return Ok(None);
    }
    if is_packed(&start) {
        let mut all = start;
        opened
            .take(MOST_BYTES)
            .read_to_end(&mut all)
            .map_err(failed)?;
        return Ok(open_table(file, &name, &all, faults));
    }
    if let Some(form) = named_like_a_table(file.path) {
        let what = match start.is_empty() {
            true => format!("is empty, and its name ends in .{form}"),
            false => format!("is a text file whose name ends in .{form}, and no spreadsheet"),
        };
        let right = "the spreadsheet itself, saved once more; or, if this is CSV, a name that \
                     ends in .csv";
        faults.push(Fault::new(None, "", "", what, right));
        return Ok(None);
    }
    if let Some(sheet) = &file.said.sheet {
        let what = "is named, and a CSV file has no tables";
        let right = "no --sheet, or the XLSX or ODS file";
        faults.push(Fault::new(None, "sheet", sheet, what, right));
        return Ok(None);
    }
    let mut reader = csv_of(start, opened);
    let header = header_of_csv(&mut reader, file, needed, faults);
    Ok(header.map(|header| Opened {
        reading: Reading::Csv(Box::new(reader)),
        file: name,
        bytes,
        header,
        notes: Vec::new(),
    }))
}

/// The form that the end of a file's name promises, where it is a spreadsheet's.
fn named_like_a_table(path: &Path) -> Option<String> {
    let end = path.extension()?.to_str()?.to_ascii_lowercase();
    ["xlsx", "xlsm", "xls", "ods"]
        .contains(&end.as_str())
        .then_some(end)
}

fn open_table(
    file: &TableFile<'_>,
    name: &str,
    bytes: &[u8],
    faults: &mut Faults,
) -> Option<Opened> {
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) >= MOST_BYTES {
        let what = format!("is larger than {} MB", MOST_BYTES >> 20);
        let right = "the table alone in a file of its own, or saved as CSV";
        faults.push(Fault::new(None, "", "", what, right));
        return None;
    }
    let header_row = file.said.header_row.unwrap_or(1);
    let said = file.said;
    match read(bytes, said.sheet.as_deref(), header_row, said.merged) {
        Ok(table) => Some(Opened {
            bytes: u64::try_from(table.rows.len()).unwrap_or(0),
            file: format!("{name}, table {}", table.sheet),
            header: table.header,
            notes: table.notes,
            reading: Reading::Table(table.rows.into_iter()),
        }),
        Err((what, right)) => {
            faults.push(Fault::new(None, "", "", what, right));
            None
        }
    }
}

//! Rows of a file, whatever its form. CSV as spreadsheets write it: a byte-order mark is dropped,
//! CRLF is fine. Tables of XLSX and ODS files. Everything that could be read two ways is refused
//! with the line.

use std::collections::BTreeMap;
use std::io::Read;
use std::path::Path;

use csv::StringRecord;

use super::cells_csv::{CsvReader, csv_of, header_of_csv, next_of_csv};
use super::columns::{Columns, Next, Row};
use super::workbook::{TableRow, is_compound, is_packed, read};
use crate::calendar::{in_figures, is_year_month_day, read_day};
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::said::{Said, TableFile, holds_days, mapping, with_saved};
use crate::ledger::{Snapshot, Writer};
use crate::record::Mapping;

/// What the rows of a file are read from.
enum Reading {
    Csv(Box<CsvReader>),
    Table(std::vec::IntoIter<TableRow>),
}

/// How a column of days is written: the first row with a day year-month-day, as a spreadsheet
/// writes its own, and the first with a day in figures in another order.
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
    pub(crate) notes: Vec<String>,
    /// Where the file has which column.
    pub columns: Columns,
    /// All headings of the file.
    pub(crate) header: StringRecord,
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
    /// The line or row of the headings.
    line: u64,
    header: StringRecord,
    notes: Vec<String>,
}

impl Cells {
    /// Opens a file and reads its header. Faults of the header refuse the file:
    /// without it no row can be read.
    pub(crate) fn open(
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
        let head = (opened.line, &opened.header);
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
            days: places_of_days(&columns),
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
    pub(crate) fn bytes(&self) -> u64 {
        self.bytes
    }

    /// How much of it is read.
    pub(crate) fn bytes_read(&self) -> u64 {
        match &self.reading {
            Reading::Csv(reader) => reader.position().byte(),
            Reading::Table(_) => self.read,
        }
    }

    /// Reads the next row into `row`. A row that cannot be read is a fault and
    /// the reading goes on after it; `false` at the end.
    pub(crate) fn next(&mut self, row: &mut Row, faults: &mut Faults) -> bool {
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
                        let form = |place| of_table(&it, place);
                        sort_days(
                            &mut self.days,
                            &self.columns,
                            ("row", it.number),
                            form,
                            faults,
                        );
                        next_of_table(it, &self.columns, row, faults)
                    })
                }
            };
            match there {
                Next::Row => {
                    self.any_row = true;
                    if let (Reading::Csv(_), None, Some(line)) =
                        (&self.reading, self.columns.dates, row.line)
                    {
                        let form = |place| of_csv(&row.record, place);
                        sort_days(&mut self.days, &self.columns, ("line", line), form, faults);
                    }
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
                            "one row for each item to be taken in",
                        ));
                    }
                    return false;
                }
                Next::Torn => return false,
            }
        }
    }
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

/// How a cell of a column of days is written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum DayForm {
    Own,
    Figures,
}

/// A day of a spreadsheet file: a cell of days, or text in figures.
fn of_table(row: &TableRow, place: usize) -> Option<DayForm> {
    if row.days.contains(&place) {
        return Some(DayForm::Own);
    }
    let figures = row.cells.get(place).and_then(in_figures);
    figures.map(|_| DayForm::Figures)
}

/// A day of a CSV file, where nobody said an order: year-month-day, or figures with the year last
/// that can mean one day alone. What can mean two is refused itself.
fn of_csv(row: &StringRecord, place: usize) -> Option<DayForm> {
    let cell = row.get(place)?;
    match in_figures(cell) {
        Some([first, ..]) if first.len() == 4 => None,
        Some(_) => read_day(cell).is_ok().then_some(DayForm::Figures),
        None => is_year_month_day(cell).then_some(DayForm::Own),
    }
}

/// Refuses a column in which some days are the spreadsheet's own and others text in figures: a
/// program that took the figures in another order made days of those that installed, wrong ones,
/// and left the rest.
fn sort_days(
    days: &mut BTreeMap<usize, DaysOf>,
    columns: &Columns,
    (word, number): (&str, u64),
    form: impl Fn(usize) -> Option<DayForm>,
    faults: &mut Faults,
) {
    for (place, of) in days {
        match form(*place) {
            Some(DayForm::Own) => of.own.get_or_insert(number),
            Some(DayForm::Figures) => of.figures.get_or_insert(number),
            None => continue,
        };
        if let (Some(own), Some(figures), false) = (of.own, of.figures, of.told) {
            of.told = true;
            let what = format!(
                "holds dates of the spreadsheet's own, as in {word} {own}, and dates as text, as \
                 in {word} {figures}: where a program read the text in another order, the former \
                 are wrong"
            );
            let right = "all days of the column in one form, checked against the paper";
            let name = columns.at_place(*place);
            faults.push(Fault::new(Some(number), name, "", what, right));
        }
    }
}

/// The places of the columns of days, of which no row is read yet.
fn places_of_days(columns: &Columns) -> BTreeMap<usize, DaysOf> {
    let all = columns.names.iter().zip(&columns.at);
    all.filter(|(name, _)| holds_days(name))
        .filter_map(|(_, place)| Some(((*place)?, DaysOf::default())))
        .collect()
}

/// Opens a file of either kind and reads its header; nothing where a fault says why not.
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
    let (mut opened, bytes) = file.opened().map_err(failed)?;
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
    let Some(mut reader) = csv_of(start, opened, faults).map_err(failed)? else {
        return Ok(None);
    };
    let header = header_of_csv(&mut reader, file, needed, faults);
    Ok(header.map(|(line, header)| Opened {
        line,
        reading: Reading::Csv(Box::new(reader)),
        file: name,
        bytes,
        header,
        notes: Vec::new(),
    }))
}

/// The headings of a file as they stand, each with the cell below it: from these somebody says
/// which holds what.
///
/// # Errors
/// A file of which not even the headings can be read.
pub fn headings(file: &TableFile<'_>) -> Result<Vec<(String, String)>, IntakeError> {
    let mut faults = Faults::default();
    let Some(opened) = open(file, &[], &mut faults)? else {
        let name = file.path.display().to_string();
        return Err(faults.refuse(Some(&name), Vec::new()));
    };
    let mut first = StringRecord::new();
    match opened.reading {
        Reading::Csv(mut reader) => {
            // What is wrong below the headings is told when it is read as what it is.
            let _ = reader.read_record(&mut first);
        }
        Reading::Table(mut rows) => first = rows.next().map(|it| it.cells).unwrap_or_default(),
    }
    let all = opened.header.iter().enumerate().map(|(at, heading)| {
        let below = first.get(at).unwrap_or_default().trim();
        (heading.trim().to_owned(), below.to_owned())
    });
    Ok(all.filter(|(heading, _)| !heading.is_empty()).collect())
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
            line: header_row,
            notes: table.notes,
            reading: Reading::Table(table.rows.into_iter()),
        }),
        Err((what, right)) => {
            faults.push(Fault::new(None, "", "", what, right));
            None
        }
    }
}

impl TableFile<'_> {
    /// Opens the file inside a write, with the mapping that is to be kept.
    pub(crate) fn open(
        &self,
        writer: &Writer<'_>,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<(Cells, Option<Mapping>), IntakeError> {
        let said = with_saved(&writer.snapshot()?, self.said)?;
        let cells = Cells::open(self.path, &said, names, needed)?;
        let saved = said.save_map.as_ref().map(|name| mapping(name, &said));
        Ok((cells, saved))
    }

    /// Opens the file to be looked at.
    pub(crate) fn inspection(
        &self,
        snapshot: &Snapshot<'_>,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<Cells, IntakeError> {
        let said = with_saved(snapshot, self.said)?;
        Cells::open(self.path, &said, names, needed)
    }

    /// Opens a file of which nothing is written.
    pub(crate) fn alone(
        &self,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<Cells, IntakeError> {
        Cells::open(self.path, self.said, names, needed)
    }
}

//! CSV files as spreadsheets write them: a byte-order mark is dropped, CRLF is
//! fine, and everything that could be read two ways is refused with the line.

use std::fs::File;
use std::io;
use std::path::Path;

use csv::StringRecord;

use super::fault::{Fault, Faults, IntakeError};
use super::line_ends::LineLimit;
use super::mapped::Mapped;
use crate::record::lines_of;
use crate::text::{Lines, taken_back, unfit};

/// Where a row comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// A CSV file.
    File(String),
    /// Flags or a prompt.
    Typed,
}

impl Source {
    /// The file's name.
    pub fn file(&self) -> Option<&str> {
        match self {
            Source::File(name) => Some(name),
            Source::Typed => None,
        }
    }
}

/// The columns that a kind of file may have, and where this file has them.
#[derive(Debug, Clone)]
pub struct Columns {
    pub(super) names: &'static [&'static str],
    pub(super) at: Vec<Option<usize>>,
    pub(super) width: usize,
    /// The file's own headings, where they are not our names.
    pub(super) headings: Vec<Option<String>>,
    /// What a blank cell stands for, where something was said for the whole file.
    pub(super) defaults: Vec<Option<String>>,
}

/// One row: its physical line and its cells.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// The line; nothing where it was typed.
    pub line: Option<u64>,
    record: StringRecord,
}

impl Columns {
    /// All columns in their own order, as typed input has them.
    pub fn whole(names: &'static [&'static str]) -> Columns {
        Columns {
            names,
            at: (0..names.len()).map(Some).collect(),
            width: names.len(),
            headings: Vec::new(),
            defaults: Vec::new(),
        }
    }

    fn of_header(
        names: &'static [&'static str],
        needed: &[&str],
        header: &StringRecord,
        faults: &mut Faults,
    ) -> Columns {
        let mut at: Vec<Option<usize>> = vec![None; names.len()];
        let line = Some(1);
        if header.len() == 1
            && let Some(only) = header.get(0)
            && let Some(sign) = [';', '\t', '|']
                .into_iter()
                .find(|sign| only.contains(*sign))
        {
            let sign = if sign == '\t' {
                "a tab".to_owned()
            } else {
                format!("`{sign}`")
            };
            let right = "save the file as CSV with commas and a decimal point";
            faults.push(Fault::new(
                line,
                "",
                "",
                format!("its columns are parted by {sign}"),
                right,
            ));
            return Columns {
                names,
                at,
                width: header.len(),
                headings: Vec::new(),
                defaults: Vec::new(),
            };
        }
        for (place, found) in header.iter().enumerate() {
            let found = found.trim();
            match names
                .iter()
                .position(|name| name.eq_ignore_ascii_case(found))
            {
                Some(column) => match at.get_mut(column) {
                    Some(slot @ None) => *slot = Some(place),
                    _ => faults.push(Fault::new(
                        line,
                        found,
                        "",
                        "this column stands twice",
                        "each column once",
                    )),
                },
                None => {
                    let near = crate::answer::near(found, names.iter().copied());
                    let right = match near.first() {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("columns are {}", names.join(", ")),
                    };
                    faults.push(Fault::new(
                        line,
                        found,
                        "",
                        "this column is not known",
                        right,
                    ));
                }
            }
        }
        for name in needed {
            let there = names
                .iter()
                .position(|it| it == name)
                .and_then(|column| at.get(column).copied().flatten());
            if there.is_none() {
                faults.push(Fault::new(
                    line,
                    name,
                    "",
                    "this column is missing",
                    format!("a header with {}", needed.join(", ")),
                ));
            }
        }
        Columns {
            names,
            at,
            width: header.len(),
            headings: Vec::new(),
            defaults: Vec::new(),
        }
    }

    /// One column alone, of this name.
    pub(super) fn one(name: &str) -> Columns {
        Columns {
            headings: vec![Some(name.to_owned())],
            ..Columns::whole(&[""])
        }
    }

    /// The name of a column, as the file has it.
    pub fn name(&self, column: usize) -> &str {
        match self.headings.get(column) {
            Some(Some(heading)) => heading,
            _ => self.names.get(column).copied().unwrap_or(""),
        }
    }

    /// The headings of the file that are read, each with its place from 1.
    fn places(&self) -> Vec<(String, usize)> {
        let places = self.at.iter().enumerate();
        places
            .filter_map(|(column, place)| Some((self.name(column).to_owned(), (*place)? + 1)))
            .collect()
    }

    /// Makes a row of a file what was meant: line ends of a note are plain ones, and what a
    /// spreadsheet was kept from running is as it was. What no text may hold is a fault, and is
    /// taken out so that the rest of the row is still looked at.
    fn tidy(&self, row: &mut Row, faults: &mut Faults) {
        let touched = |cell: &str| {
            let cell = cell.trim();
            cell.contains('\r') || taken_back(cell) != cell || unfit(cell, Lines::One).is_some()
        };
        if !row.record.iter().any(touched) {
            return;
        }
        let mut cells: Vec<String> = row.record.iter().map(str::to_owned).collect();
        for (column, place) in self.at.iter().enumerate() {
            let Some(cell) = place.and_then(|place| cells.get_mut(place)) else {
                continue;
            };
            *cell = taken_back(cell.trim()).replace("\r\n", "\n");
            let name = self.names.get(column).copied().unwrap_or_default();
            let lines = lines_of(name);
            if let Some(unfit) = unfit(cell, lines) {
                let (what, right) = (unfit.what(), unfit.right());
                faults.push(Fault::new(row.line, self.name(column), cell, what, right));
                cell.retain(|sign| {
                    crate::text::unfit(sign.encode_utf8(&mut [0; 4]), lines).is_none()
                });
            }
        }
        row.record = StringRecord::from(cells);
    }

    /// The cell of a row, trimmed; empty where the file has no such column.
    pub fn cell<'a>(&'a self, row: &'a Row, column: usize) -> &'a str {
        let cell = match self.at.get(column) {
            Some(Some(place)) => row.record.get(*place).unwrap_or("").trim(),
            _ => "",
        };
        match self.defaults.get(column) {
            Some(Some(default)) if cell.is_empty() => default,
            _ => cell,
        }
    }
}

impl Row {
    /// A typed row: values in the order of the columns.
    pub fn typed(values: Vec<String>) -> Row {
        Row {
            line: None,
            record: StringRecord::from(values),
        }
    }
}

/// A file of rows under known columns.
pub struct Cells {
    reader: csv::Reader<LineLimit<File>>,
    file: String,
    any_row: bool,
    bytes: u64,
    /// Where the file has which column.
    pub columns: Columns,
}

impl std::fmt::Debug for Cells {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Cells")
            .field("file", &self.file)
            .finish_non_exhaustive()
    }
}

impl Cells {
    /// Opens a file and reads its header. Faults of the header refuse the file:
    /// without it no row can be read.
    pub(super) fn open(
        path: &Path,
        names: &'static [&'static str],
        needed: &[&str],
    ) -> Result<Cells, IntakeError> {
        Cells::open_with(path, needed, |header, faults| {
            Columns::of_header(names, needed, header, faults)
        })
    }

    /// Opens a file with headings of its own.
    pub(super) fn open_mapped(
        path: &Path,
        names: &'static [&'static str],
        needed: &[&str],
        mapped: &Mapped,
    ) -> Result<Cells, IntakeError> {
        Cells::open_with(path, needed, |header, faults| {
            Columns::of_mapping(names, needed, mapped, header, faults)
        })
    }

    fn open_with(
        path: &Path,
        needed: &[&str],
        columns: impl FnOnce(&StringRecord, &mut Faults) -> Columns,
    ) -> Result<Cells, IntakeError> {
        let file = path.display().to_string();
        let opened = File::open(path).and_then(|opened| match opened.metadata()?.is_dir() {
            true => Err(io::ErrorKind::IsADirectory.into()),
            false => Ok(opened),
        });
        let opened = opened.map_err(|source| IntakeError::File {
            file: file.clone(),
            source,
        })?;
        // Of what has no length, such as a pipe, nobody can say how far it is read.
        let bytes = opened.metadata().map_or(0, |it| it.len());
        let limited = LineLimit::new(opened);
        let mut reader = csv::ReaderBuilder::new()
            .flexible(true)
            .has_headers(false)
            .from_reader(limited);
        let mut faults = Faults::default();
        let mut header = StringRecord::new();
        match reader.read_record(&mut header) {
            Ok(true) => {}
            Ok(false) => faults.push(Fault::new(
                None,
                "",
                "",
                "the file is empty",
                format!("a header line with {}", needed.join(", ")),
            )),
            Err(error) => faults.push(csv_fault(&error)),
        }
        if faults.any() {
            return Err(faults.refuse(Some(&file), Vec::new()));
        }
        let columns = columns(&header, &mut faults);
        if faults.any() {
            return Err(faults.refuse(Some(&file), Vec::new()));
        }
        Ok(Cells {
            reader,
            file,
            any_row: false,
            bytes,
            columns,
        })
    }

    /// The file's name.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// How long the file is; zero where nobody knows.
    pub(super) fn bytes(&self) -> u64 {
        self.bytes
    }

    /// How much of it is read.
    pub(super) fn bytes_read(&self) -> u64 {
        self.reader.position().byte()
    }

    /// The line on which a row that was just read begins. The reader's own count is that of the
    /// end of the row before, which blank lines may follow.
    fn line_of(&self, row: &StringRecord) -> u64 {
        let inside = row.iter().flat_map(str::bytes).filter(|it| *it == b'\n');
        let inside = u64::try_from(inside.count()).unwrap_or(0);
        let next = self.reader.position().line();
        let at_least = row.position().map_or(1, csv::Position::line);
        next.saturating_sub(inside + 1).max(at_least)
    }

    /// Reads the next row into `row`. A row that cannot be read is a fault and
    /// the reading goes on after it; `false` at the end.
    pub(super) fn next(&mut self, row: &mut Row, faults: &mut Faults) -> bool {
        if faults.headings.is_empty() {
            faults.headings = self.columns.places();
        }
        loop {
            match self.reader.read_record(&mut row.record) {
                Ok(false) => {
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
                Err(error) => {
                    self.any_row = true;
                    let last = matches!(error.kind(), csv::ErrorKind::Io(_));
                    faults.push(csv_fault(&error));
                    if last {
                        return false;
                    }
                }
                Ok(true) => {
                    row.line = Some(self.line_of(&row.record));
                    let blank = row.record.iter().all(|cell| cell.trim().is_empty());
                    if blank {
                        continue;
                    }
                    self.any_row = true;
                    if row.record.len() == self.columns.width {
                        self.columns.tidy(row, faults);
                        return true;
                    }
                    faults.push(Fault::new(
                        row.line,
                        "",
                        "",
                        format!(
                            "it has {} cells, the header has {}",
                            row.record.len(),
                            self.columns.width
                        ),
                        "one cell a column; a decimal comma makes two cells: write a point",
                    ));
                }
            }
        }
    }
}

fn csv_fault(error: &csv::Error) -> Fault {
    let line = error.position().map(csv::Position::line);
    match error.kind() {
        csv::ErrorKind::Utf8 { .. } => Fault::new(
            line,
            "",
            "",
            "it has bytes that are not UTF-8 text",
            "save the file as `CSV UTF-8`",
        ),
        csv::ErrorKind::Io(io) => Fault::new(line, "", "", io.to_string(), "rows with line ends"),
        _ => Fault::new(line, "", "", error.to_string(), "a CSV file"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<(u64, String)> {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("rows.csv");
        std::fs::write(&path, text).unwrap();
        let mut cells = Cells::open(&path, &["a", "note"], &["a"]).unwrap();
        let (mut row, mut faults) = (Row::default(), Faults::default());
        let mut all = Vec::new();
        while cells.next(&mut row, &mut faults) {
            let cell = cells.columns.cell(&row, 0).to_owned();
            all.push((row.line.unwrap(), cell));
        }
        assert!(!faults.any());
        all
    }

    #[test]
    fn the_line_of_a_row_is_that_of_an_editor_whatever_ends_the_lines() {
        let texts = [
            "a,note\n1,x\n2,x\n",
            "a,note\n1,x\n\n\n2,x",
            "\u{feff}a,note\n1,x\n2,x\n",
            "\"a\",note\n1,\"x\ny\"\n2,x\n",
            "a,note\n\n1,\"x\n\ny\"\n,\n2,\"x\n\"\n",
        ];
        for text in texts {
            let wanted = |end: &str| -> Vec<(u64, String)> {
                // Where the first cell stands in the text, counted in lines.
                let lines = text.lines().zip(1..);
                let of = |(line, n): (&str, u64)| {
                    let first = line.split(',').next().unwrap_or_default();
                    ["1", "2"].contains(&first).then(|| (n, first.to_owned()))
                };
                assert!(["\n", "\r\n", "\r"].contains(&end));
                lines.filter_map(of).collect()
            };
            for end in ["\n", "\r\n", "\r"] {
                // Inside a cell a carriage return alone is no line end to a reader.
                if end == "\r" && text.contains("\"x") {
                    continue;
                }
                assert_eq!(
                    lines(&text.replace('\n', end)),
                    wanted(end),
                    "{text:?} {end:?}"
                );
            }
        }
    }
}

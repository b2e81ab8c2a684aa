//! CSV files as spreadsheets write them: a byte-order mark is dropped, CRLF is fine.

use std::fs::File;
use std::io::{Chain, Cursor, Read};

use csv::StringRecord;

use super::cells::{Columns, Next, Row};
use super::fault::{Fault, Faults};
use super::line_ends::LineLimit;
use super::said::TableFile;

/// The rows of a CSV file, the first bytes of which were looked at.
pub(super) type CsvReader = csv::Reader<LineLimit<Chain<Cursor<Vec<u8>>, File>>>;

/// Reads on after the first bytes.
pub(super) fn csv_of(start: Vec<u8>, rest: File) -> CsvReader {
    csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .from_reader(LineLimit::new(Cursor::new(start).chain(rest)))
}

/// The next row under columns.
pub(super) fn next_of_csv(
    reader: &mut CsvReader,
    columns: &Columns,
    row: &mut Row,
    faults: &mut Faults,
) -> Next {
    match reader.read_record(&mut row.record) {
        Ok(false) => return Next::End,
        Err(error) => {
            let last = matches!(error.kind(), csv::ErrorKind::Io(_));
            faults.push(csv_fault(&error));
            return if last { Next::Torn } else { Next::Faulty };
        }
        Ok(true) => {}
    }
    row.line = Some(line_of(reader, &row.record));
    if row.record.iter().all(|cell| cell.trim().is_empty()) {
        return Next::Blank;
    }
    if row.record.len() == columns.width {
        return Next::Row;
    }
    faults.push(Fault::new(
        row.line,
        "",
        "",
        format!(
            "it has {}, the header has {}",
            crate::text::counted(row.record.len(), "cell", "cells"),
            columns.width
        ),
        "one cell a column; a decimal comma makes two cells: write a point",
    ));
    Next::Faulty
}

/// The line on which a row that was just read begins. The reader's own count is that of the
/// end of the row before, which blank lines may follow.
fn line_of(reader: &CsvReader, row: &StringRecord) -> u64 {
    let inside = row.iter().flat_map(str::bytes).filter(|it| *it == b'\n');
    let inside = u64::try_from(inside.count()).unwrap_or(0);
    let next = reader.position().line();
    let at_least = row.position().map_or(1, csv::Position::line);
    next.saturating_sub(inside + 1).max(at_least)
}

/// The row of the headings: the first, or the one on the line that was named.
pub(super) fn header_of_csv(
    reader: &mut CsvReader,
    file: &TableFile<'_>,
    needed: &[&str],
    faults: &mut Faults,
) -> Option<StringRecord> {
    let wanted = file.said.header_row.unwrap_or(1);
    let mut header = StringRecord::new();
    loop {
        match reader.read_record(&mut header) {
            Ok(true) if wanted == 1 => return Some(header),
            Ok(true) => {
                let line = line_of(reader, &header);
                if line == wanted {
                    return Some(header);
                }
                if line > wanted {
                    let what = format!("has no row that begins on line {wanted}");
                    let right = "the line of the headings: --header-row";
                    faults.push(Fault::new(None, "", "", what, right));
                    return None;
                }
            }
            Ok(false) => {
                faults.push(Fault::new(
                    None,
                    "",
                    "",
                    "the file is empty",
                    format!("a header line with {}", needed.join(", ")),
                ));
                return None;
            }
            Err(error) => {
                faults.push(csv_fault(&error));
                return None;
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
    use crate::intake::said::Said;

    fn lines(text: &str) -> Vec<(u64, String)> {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("rows.csv");
        std::fs::write(&path, text).unwrap();
        let said = Said::default();
        let file = TableFile {
            path: &path,
            said: &said,
        };
        let mut cells = file.alone(&["a", "note"], &["a"]).unwrap();
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

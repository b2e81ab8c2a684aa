//! CSV files as spreadsheets write them: a byte-order mark is dropped, CRLF is fine, and a first
//! line `sep=;` says what stands between the cells.

use std::io::{self, Chain, Cursor, Read};

use csv::StringRecord;

use super::columns::{Columns, Next, Row};
use super::line_ends::LineLimit;
use crate::intake::entry::fault::{Fault, Faults};
use crate::intake::entry::said::TableFile;

/// The rows of a CSV file, the first bytes of which were looked at.
pub(crate) type CsvReader = csv::Reader<LineLimit<Chain<Cursor<Vec<u8>>, Box<dyn Read>>>>;

/// Reads on after the first bytes; nothing where a fault says why not.
pub(crate) fn csv_of(
    mut start: Vec<u8>,
    mut rest: Box<dyn Read>,
    faults: &mut Faults,
) -> io::Result<Option<CsvReader>> {
    /// As much as a line that names a separator has, after a byte-order mark.
    const HEAD: u64 = 32;
    rest.by_ref().take(HEAD).read_to_end(&mut start)?;
    let mut between = b',';
    if let Some((line, sign)) = named_separator(&start) {
        let Some(sign) = sign else {
            let what = "names no separator: it is not one sign";
            let right = "`sep=,`, `sep=;` or another single sign that is no letter or figure";
            faults.push(Fault::new(Some(1), "", "", what, right));
            return Ok(None);
        };
        between = sign;
        // The line stays as a blank one, so that lines are counted as an editor counts them.
        start.drain(..line);
    }
    let reader = csv::ReaderBuilder::new()
        .delimiter(between)
        .flexible(true)
        .has_headers(false)
        .from_reader(LineLimit::new(Cursor::new(start).chain(rest)));
    Ok(Some(reader))
}

/// How long a first line `sep=;` is without its end, and the sign that it names; no sign where it
/// names none that can stand between cells.
fn named_separator(start: &[u8]) -> Option<(usize, Option<u8>)> {
    let mark: &[u8] = b"\xEF\xBB\xBF";
    let text = start.strip_prefix(mark).unwrap_or(start);
    let (head, rest) = text.split_at_checked(4)?;
    if !head.eq_ignore_ascii_case(b"sep=") {
        return None;
    }
    let end = rest.iter().position(|it| b"\r\n".contains(it));
    let sign = match rest.get(..end.unwrap_or(rest.len()))? {
        [sign] if sign.is_ascii() && !sign.is_ascii_alphanumeric() && !b"\"' ".contains(sign) => {
            Some(*sign)
        }
        _ => None,
    };
    let line = start.len() - rest.len() + usize::from(sign.is_some());
    Some((line, sign))
}

/// The next row under columns.
pub(crate) fn next_of_csv(
    reader: &mut CsvReader,
    columns: &Columns,
    row: &mut Row,
    faults: &mut Faults,
) -> Next {
    match read_row(reader, &mut row.record) {
        Ok(false) => return Next::End,
        Err(Unread::NotText { line, column }) => {
            let name = columns.at_place(column);
            faults.push(not_text(line, name));
            return Next::Faulty;
        }
        Err(Unread::Failed(error)) => {
            let last = matches!(error.kind(), csv::ErrorKind::Io(_));
            faults.push(csv_fault(&error));
            return if last { Next::Torn } else { Next::Faulty };
        }
        Ok(true) => {}
    }
    row.line = Some(line_of(reader, row.record.iter().map(str::as_bytes)));
    if row.record.iter().all(|cell| cell.trim().is_empty()) {
        return Next::Blank;
    }
    if columns.has_width_of(&row.record) {
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
        match row.record.len() < columns.width {
            true => "one cell a column; a blank cell has its comma too: was the row cut off?",
            false => "one cell a column; a decimal comma makes two cells: write a point",
        },
    ));
    Next::Faulty
}

/// Why a row was not read.
enum Unread {
    /// A cell holds no text: on the row of this line, at this place from 0.
    NotText {
        line: u64,
        column: usize,
    },
    Failed(csv::Error),
}

/// Reads a row of texts; `false` at the end.
fn read_row(reader: &mut CsvReader, row: &mut StringRecord) -> Result<bool, Unread> {
    let mut bytes = std::mem::take(row).into_byte_record();
    let there = reader
        .read_byte_record(&mut bytes)
        .map_err(Unread::Failed)?;
    match StringRecord::from_byte_record(bytes) {
        Ok(text) => {
            *row = text;
            Ok(there)
        }
        Err(error) => {
            let column = error.utf8_error().field();
            let bytes = error.into_byte_record();
            let line = line_of(reader, bytes.iter());
            Err(Unread::NotText { line, column })
        }
    }
}

fn not_text(line: u64, column: &str) -> Fault {
    let what = "has bytes that are not UTF-8 text";
    Fault::new(Some(line), column, "", what, "save the file as `CSV UTF-8`")
}

/// The line on which a row that was just read begins. The reader's own count is that of the
/// end of the row before, which blank lines may follow.
fn line_of<'r>(reader: &CsvReader, row: impl Iterator<Item = &'r [u8]>) -> u64 {
    let inside = row.flatten().filter(|it| **it == b'\n');
    let inside = u64::try_from(inside.count()).unwrap_or(0);
    reader.position().line().saturating_sub(inside + 1).max(1)
}

/// The row of the headings with its line: the first, or the one on the line that was named.
pub(crate) fn header_of_csv(
    reader: &mut CsvReader,
    file: &TableFile<'_>,
    needed: &[&str],
    faults: &mut Faults,
) -> Option<(u64, StringRecord)> {
    let wanted = file.said.header_row;
    let mut header = StringRecord::new();
    loop {
        match read_row(reader, &mut header) {
            Ok(true) => {
                let line = line_of(reader, header.iter().map(str::as_bytes));
                let wanted = wanted.unwrap_or(line);
                if line == wanted {
                    return Some((line, header));
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
            Err(Unread::NotText { line, .. }) => {
                faults.push(not_text(line, ""));
                return None;
            }
            Err(Unread::Failed(error)) => {
                faults.push(csv_fault(&error));
                return None;
            }
        }
    }
}

fn csv_fault(error: &csv::Error) -> Fault {
    let line = error.position().map(csv::Position::line);
    match error.kind() {
        csv::ErrorKind::Io(io) => Fault::new(line, "", "", io.to_string(), "rows with line ends"),
        _ => Fault::new(line, "", "", error.to_string(), "a CSV file"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::entry::said::Said;

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
            "sep=,\na,note\n1,x\n\n2,x\n",
            "\u{feff}SEP=,\n\na,note\n1,\"x\ny\"\n2,x\n",
            "a,note,,\n1,x,,\n2,x\n",
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

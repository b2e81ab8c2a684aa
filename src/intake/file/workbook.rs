//! One table of a spreadsheet file as rows of texts, each with the number that the spreadsheet
//! shows beside it. A CSV file of the same cells gives the same rows.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Cursor;

use calamine::{Data, DataRef, Ods, Reader, SheetType, SheetVisible, Xlsx};
use csv::StringRecord;

use super::cell_text::{of_ods, of_xlsx};
use super::grid::{Held, Sparse, Wrong, letters};
use super::merged::spread;
use super::workbook_scan::{Form, Scan, scan};
use crate::answer::near;
use crate::intake::entry::said::Merged;

/// Columns to the right of this are a slip, or meant to fill the memory.
const MOST_COLUMNS: usize = 1000;
const MOST_CELLS: usize = 8_000_000;

/// A table that was read.
#[derive(Debug, Default)]
pub(crate) struct Table {
    /// Its name.
    pub sheet: String,
    /// The header.
    pub header: StringRecord,
    /// Rows that are not blank.
    pub rows: Vec<TableRow>,
    /// What whoever takes it in has to be told.
    pub notes: Vec<String>,
}

/// One row of a table.
#[derive(Debug, Default)]
pub(crate) struct TableRow {
    /// Its number in the spreadsheet.
    pub number: u64,
    /// Its cells.
    pub cells: StringRecord,
    /// Cells that say nothing that could be taken in, by their place.
    pub wrong: BTreeMap<usize, Wrong>,
    /// Cells that the spreadsheet itself holds as days.
    pub days: BTreeSet<usize>,
}

/// Whether these are the first bytes of a packed file, which every XLSX and ODS file is.
pub(crate) fn is_packed(start: &[u8]) -> bool {
    start.starts_with(b"PK\x03\x04") || start.starts_with(b"PK\x05\x06")
}

/// Whether these are the first bytes of the older XLS, or of a file with a password.
pub(crate) fn is_compound(start: &[u8]) -> bool {
    start.starts_with(&[0xD0, 0xCF, 0x11, 0xE0])
}

/// Reads a table: the one of this name, or the only one that is not hidden.
pub(crate) fn read(
    bytes: &[u8],
    name: Option<&str>,
    header_row: u64,
    merged: Option<Merged>,
) -> Result<Table, Wrong> {
    let scanned = scan(bytes)?;
    let (sheet, mut cells) = match scanned.form {
        Form::Xlsx => read_xlsx(&scanned.parts, name)?,
        Form::Ods => read_ods(&scanned.parts, name)?,
    };
    let ranges = scanned.merged.get(&sheet).map_or(&[][..], Vec::as_slice);
    let mut merged = spread(&mut cells, ranges, header_row, (merged, MOST_COLUMNS))?;
    let Some(head) = cells.get(&header_row) else {
        let what = match cells.keys().next() {
            None => format!("has no cell in its table `{sheet}`"),
            Some(first) => format!(
                "has nothing in row {header_row} of its table `{sheet}`; its first cells stand in \
                 row {first}"
            ),
        };
        return Err((what, "the row of the headings: --header-row"));
    };
    let width = head.keys().next_back().map_or(0, |it| it + 1);
    if width > MOST_COLUMNS || width.saturating_mul(cells.len()) > MOST_CELLS {
        let what = format!("is too large: {width} columns and {} rows", cells.len());
        return Err((
            what,
            "the table alone in a file of its own, or saved as CSV",
        ));
    }
    let header = dense(head, width).cells;
    let mut rows = Vec::new();
    for (number, row) in cells.range(header_row + 1..) {
        let mut row = dense(row, width);
        row.number = *number;
        row.wrong
            .extend(merged.wrong.remove(number).unwrap_or_default());
        rows.push(row);
    }
    let mut notes = notes(&scanned, &sheet, header_row);
    notes.append(&mut merged.notes);
    Ok(Table {
        sheet,
        header,
        rows,
        notes,
    })
}

fn dense(cells: &BTreeMap<usize, Held>, width: usize) -> TableRow {
    let mut row = TableRow::default();
    for place in 0..width {
        let text = match cells.get(&place) {
            None => "",
            Some(Held {
                text: Ok(text),
                is_day,
            }) => {
                if *is_day {
                    row.days.insert(place);
                }
                text.as_str()
            }
            Some(Held {
                text: Err(wrong), ..
            }) => {
                row.wrong.insert(place, wrong.clone());
                ""
            }
        };
        row.cells.push_field(text);
    }
    if let Some((place, _)) = cells.range(width..).next() {
        let what = format!(
            "a cell in column {} stands under no heading",
            letters(place + 1)
        );
        row.wrong
            .insert(*place, (what, "cells under the headings alone"));
    }
    row
}

/// What nobody sees who looks at the spreadsheet, and is taken in all the same.
fn notes(scanned: &Scan, sheet: &str, header_row: u64) -> Vec<String> {
    let mut notes = Vec::new();
    let hidden = scanned.hidden.get(sheet).map_or(&[][..], Vec::as_slice);
    let hidden: Vec<String> = hidden
        .iter()
        .filter(|it| **it > header_row)
        .map(u64::to_string)
        .collect();
    if !hidden.is_empty() {
        let shown = hidden.iter().take(12).cloned().collect::<Vec<_>>();
        let more = match hidden.len() - shown.len() {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        notes.push(format!(
            "rows that are hidden in the table `{sheet}` are read like the others: {}{more}",
            shown.join(", ")
        ));
    }
    notes
}

fn broken(error: impl std::fmt::Display) -> Wrong {
    (
        format!("is a broken spreadsheet file: {error}"),
        "open it in the spreadsheet program and save it again, or save as CSV",
    )
}

/// The table that is meant, of those that there are.
fn choose(tables: &[calamine::Sheet], name: Option<&str>) -> Result<String, Wrong> {
    let work: Vec<_> = tables
        .iter()
        .filter(|it| it.typ == SheetType::WorkSheet)
        .collect();
    let names = |of: &[&calamine::Sheet]| {
        let names: Vec<String> = of.iter().map(|it| format!("`{}`", it.name)).collect();
        names.join(", ")
    };
    if let Some(name) = name {
        let same = work.iter().find(|it| it.name.eq_ignore_ascii_case(name));
        return same.map(|it| it.name.clone()).ok_or_else(|| {
            let close = near(name, work.iter().map(|it| it.name.as_str()));
            let hint = match close.first() {
                Some(close) => format!("; did you mean `{close}`?"),
                None => String::new(),
            };
            let what = format!("has no table `{name}`, but {}{hint}", names(&work));
            (what, "one of its tables: --sheet NAME")
        });
    }
    let shown: Vec<_> = work
        .iter()
        .copied()
        .filter(|it| it.visible == SheetVisible::Visible)
        .collect();
    match shown.as_slice() {
        [only] => Ok(only.name.clone()),
        [] => Err((
            "has no table that is not hidden".to_owned(),
            "the table by its name: --sheet NAME",
        )),
        several => {
            let what = format!("has several tables: {}", names(several));
            Err((what, "the one that is meant: --sheet NAME"))
        }
    }
}

fn read_xlsx(bytes: &[u8], name: Option<&str>) -> Result<(String, Sparse), Wrong> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(broken)?;
    let sheet = choose(book.sheets_metadata(), name)?;
    let from_1904 = book.has_1904_epoch();
    let mut reader = book.worksheet_cells_reader(&sheet).map_err(broken)?;
    let mut cells = Sparse::new();
    while let Some(cell) = reader.next_cell_with_formula_metadata().map_err(broken)? {
        let (row, column) = cell.pos;
        let text = of_xlsx(&cell.value, cell.formula.is_some(), from_1904);
        let is_day = matches!(cell.value, DataRef::DateTime(_) | DataRef::DateTimeIso(_));
        put(&mut cells, (row, column), Held { text, is_day });
    }
    Ok((sheet, cells))
}

fn read_ods(bytes: &[u8], name: Option<&str>) -> Result<(String, Sparse), Wrong> {
    let mut book: Ods<_> = Ods::new(Cursor::new(bytes)).map_err(broken)?;
    let sheet = choose(book.sheets_metadata(), name)?;
    let range = book.worksheet_range(&sheet).map_err(broken)?;
    let (first_row, first_column) = range.start().unwrap_or((0, 0));
    let mut cells = Sparse::new();
    for (row, column, value) in range.used_cells() {
        let row = first_row.saturating_add(u32::try_from(row).unwrap_or(u32::MAX));
        let column = first_column.saturating_add(u32::try_from(column).unwrap_or(u32::MAX));
        let is_day = matches!(value, Data::DateTime(_) | Data::DateTimeIso(_));
        let text = of_ods(value);
        put(&mut cells, (row, column), Held { text, is_day });
    }
    Ok((sheet, cells))
}

fn put(cells: &mut Sparse, (row, column): (u32, u32), held: Held) {
    let is_blank = held.text.as_ref().is_ok_and(|it| it.trim().is_empty());
    if !is_blank {
        let place = usize::try_from(column).unwrap_or(usize::MAX);
        let row = cells.entry(u64::from(row) + 1).or_default();
        row.insert(place, held);
    }
}

#[cfg(test)]
mod tests {
    use super::letters;

    #[test]
    fn columns_have_the_letters_of_a_spreadsheet() {
        for (column, expected) in [
            (1, "A"),
            (26, "Z"),
            (27, "AA"),
            (52, "AZ"),
            (702, "ZZ"),
            (703, "AAA"),
            (16_384, "XFD"),
        ] {
            assert_eq!(letters(column), expected);
        }
    }
}

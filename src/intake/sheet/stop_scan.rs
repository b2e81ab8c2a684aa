//! A refused file of sheets, read as loosely as it takes to hear that somebody was off-scale: what
//! stands between its cells and what its headings are called is guessed. Nothing of it is written.

use std::io::Read;

use csv::StringRecord;

use super::column::{SHEET_COLUMNS, at};
use super::reading::says_off_scale;
use super::rows::{Rows, read_sheet};
use crate::answer::Names;
use crate::calendar::read_day;
use crate::intake::dose::doubt_reading::passes_range;
use crate::intake::entry::fault::Faults;
use crate::intake::entry::said::TableFile;
use crate::intake::file::columns::{Columns, Row};
use crate::intake::file::workbook::{is_packed, read};
use crate::ledger::Instant;
use crate::record::Sheet;

/// The most of a file that is looked at.
const MOST_BYTES: u64 = 32 << 20;

/// Whoever was off-scale by a file, or by these lines of it: a sheet for each such row. What cannot
/// be read says nothing.
pub(crate) fn off_scale_in(
    file: &TableFile<'_>,
    lines: Option<&[u64]>,
    names: &Names,
    now: Instant,
) -> Vec<Sheet> {
    let mut bytes = Vec::new();
    let opened = file.opened();
    let read = opened.and_then(|it| it.0.take(MOST_BYTES).read_to_end(&mut bytes));
    if read.is_err() {
        return Vec::new();
    }
    let rows = rows_of(&bytes);
    let at = rows.iter().position(|it| it.1.len() > 1).unwrap_or(0);
    let Some((heading, below)) = rows.get(at..).and_then(|it| it.split_first()) else {
        return Vec::new();
    };
    let headings: Vec<String> = heading.1.iter().map(plain).collect();
    let wanted = |line: &u64| lines.is_none_or(|lines| lines.contains(line));
    let found = below.iter().filter(|it| wanted(&it.0));
    found
        .filter_map(|(line, cells)| sheet_of(*line, cells, &headings, names, now))
        .collect()
}

/// The rows with their lines.
fn rows_of(bytes: &[u8]) -> Vec<(u64, StringRecord)> {
    if is_packed(bytes) {
        let Ok(table) = read(bytes, None, 1, None) else {
            return Vec::new();
        };
        let rows = table.rows.into_iter().map(|it| (it.number, it.cells));
        return std::iter::once((1, table.header)).chain(rows).collect();
    }
    let text = String::from_utf8_lossy(bytes);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(between(&text))
        .flexible(true)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let rows = reader.records().filter_map(Result::ok);
    rows.map(|it| (it.position().map_or(0, csv::Position::line), it))
        .collect()
}

/// What most likely stands between the cells: what there is most of in the first line that has
/// any of it.
fn between(text: &str) -> u8 {
    const SIGNS: [u8; 4] = [b',', b';', b'\t', b'|'];
    let count = |line: &str, sign: u8| line.bytes().filter(|it| *it == sign).count();
    let lines = text
        .lines()
        .filter(|it| !it.to_ascii_lowercase().contains("sep="));
    let most = |line: &str| {
        let best = SIGNS.into_iter().max_by_key(|sign| count(line, *sign))?;
        (count(line, best) > 0).then_some(best)
    };
    lines.take(20).find_map(most).unwrap_or(b',')
}

/// A heading without what people put between its words.
fn plain(heading: &str) -> String {
    let letters = heading.chars().filter(|it| it.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}

fn sheet_of(
    line: u64,
    cells: &StringRecord,
    headings: &[String],
    names: &Names,
    now: Instant,
) -> Option<Sheet> {
    let named = || {
        let headings = headings
            .iter()
            .map(String::as_str)
            .chain(std::iter::repeat(""));
        headings.zip(cells.iter().map(str::trim))
    };
    let of = |known: fn(&Names, &str) -> bool, heading: &str| -> Option<&str> {
        let under = named().find(|it| it.0 == heading && !it.1.is_empty());
        // Those who attest and sign are not those who wore it.
        let signs = |it: &str| ["attest", "sign"].iter().any(|word| it.contains(word));
        let other = || named().find(|it| !signs(it.0) && known(names, it.1));
        under.or_else(other).map(|it| it.1)
    };
    let worker = of(|names, it| names.find_worker(it).is_some(), "worker");
    let dosimeter = of(is_dosimeter, "dosimeter");
    let ticked = |it: &str| ["yes", "y", "true", "x", "1"].contains(&it.to_lowercase().as_str());
    let says = |(heading, cell): (&str, &str)| {
        let of_face = heading.contains("reading") || ["start", "end"].contains(&heading);
        let known = SHEET_COLUMNS.iter().any(|it| plain(it) == heading);
        match heading.contains("offscale") {
            true => ticked(cell) || says_off_scale(cell),
            false if of_face => {
                says_off_scale(cell) || dosimeter.is_some_and(|it| passes_range(names, it, cell))
            }
            // Under a heading of something else it is a note, or a switch.
            false => !known && says_off_scale(cell),
        }
    };
    if !named().any(says) {
        return None;
    }
    let day = named().find(|it| it.0.contains("day") || it.0.contains("date"));
    let day = day.filter(|it| read_day(it.1).is_ok()).map(|it| it.1);
    let mut row = vec![String::new(); SHEET_COLUMNS.len()];
    for (column, cell) in [
        (at::DAY, day),
        (at::WORKER, worker),
        (at::DOSIMETER, dosimeter),
        (at::OFF_SCALE, Some("yes")),
    ] {
        if let (Some(place), Some(cell)) = (row.get_mut(column), cell) {
            cell.clone_into(place);
        }
    }
    let mut row = Row::typed(row);
    row.line = Some(line);
    let columns = Columns::whole(SHEET_COLUMNS);
    match read_sheet(&columns, &[row], names, now, &mut Faults::default()) {
        Rows::Sound(sheet) | Rows::Faulty(sheet) => Some(sheet),
        Rows::Unreadable => None,
    }
}

fn is_dosimeter(names: &Names, word: &str) -> bool {
    let item = names.find_item(word);
    let body = item.and_then(|it| names.instrument_body(it.number()));
    body.is_some_and(|it| it.kind.is_dosimeter())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_between_the_cells_is_what_there_is_most_of() {
        for (text, sign) in [
            ("day;shift;note, long\n", b';'),
            ("day,shift\n", b','),
            ("sep=;\nday\tshift\n", b'\t'),
            ("Sheets of June\nday|shift\n", b'|'),
            ("", b','),
        ] {
            assert_eq!(between(text), sign, "{text}");
        }
    }
}

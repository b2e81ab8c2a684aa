//! A spreadsheet file looked over before it is read: that it is whole, how large it becomes when
//! it is unpacked and its repeats are written out, and what is hidden in it. The reader that
//! comes after it takes all of this on trust.

use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};

use quick_xml::events::{BytesStart, Event};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::grid::{Range, Wrong};

/// The most that the tables of a file unpack to: about a million cells.
const MOST_UNPACKED: u64 = 64 << 20;
/// The most cells, blank ones before a written one among them.
const MOST_CELLS: u64 = 4_000_000;
/// The most parts in a file; an office's has a few dozen.
const MOST_PARTS: usize = 10_000;

/// Which form a file has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Form {
    Xlsx,
    Ods,
}

/// What the scan of a file found.
#[derive(Debug)]
pub(crate) struct Scan {
    pub form: Form,
    /// A packed file of nothing but what was looked over.
    pub parts: Vec<u8>,
    /// Hidden rows of each table, from 1.
    pub hidden: BTreeMap<String, Vec<u64>>,
    /// The ranges of merged cells of each table.
    pub merged: BTreeMap<String, Vec<Range>>,
}

const SAVE_AGAIN: &str = "open it in the spreadsheet program and save it again, or save as CSV";
const TOO_LARGE: &str =
    "the table alone in a file of its own, or saved as CSV, which may have any length";

fn broken(error: impl std::fmt::Display) -> Wrong {
    (format!("is a broken spreadsheet file: {error}"), SAVE_AGAIN)
}

/// Looks a file over.
pub(crate) fn scan(bytes: &[u8]) -> Result<Scan, Wrong> {
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(broken)?;
    if zip.len() > MOST_PARTS {
        let what = format!("has {} parts, more than any spreadsheet", zip.len());
        return Err((what, SAVE_AGAIN));
    }
    let mut parts: BTreeMap<String, String> = BTreeMap::new();
    let mut unpacked = 0;
    for at in 0..zip.len() {
        let mut entry = zip.by_index(at).map_err(broken)?;
        let name = entry.name().map_err(broken)?.into_owned();
        let read = [".xml", ".rels"].iter().any(|end| name.ends_with(end)) || name == "mimetype";
        if !read {
            continue;
        }
        let mut part = Vec::new();
        // What the file says of its own sizes is not believed.
        let left = MOST_UNPACKED - unpacked;
        entry
            .by_ref()
            .take(left + 1)
            .read_to_end(&mut part)
            .map_err(broken)?;
        let size = u64::try_from(part.len()).unwrap_or(u64::MAX);
        if size > left {
            let what = format!("unpacks to more than {} MB", MOST_UNPACKED >> 20);
            return Err((what, TOO_LARGE));
        }
        unpacked += size;
        let part = String::from_utf8(part)
            .map_err(|_| broken(format!("its part `{name}` is not UTF-8 text")))?;
        parts.insert(name, part);
    }
    let is_ods = parts
        .get("mimetype")
        .is_some_and(|it| it.trim() == "application/vnd.oasis.opendocument.spreadsheet");
    let mut found = match (is_ods, parts.contains_key("xl/workbook.xml")) {
        (true, _) => ods(&parts)?,
        (_, true) => xlsx(&parts)?,
        _ => {
            let what = "is a packed file and no spreadsheet".to_owned();
            return Err((what, "an XLSX or ODS file, or CSV"));
        }
    };
    found.parts = packed(&parts).map_err(broken)?;
    Ok(found)
}

/// The parts that were looked over and no other: a table may be said to stand in any.
fn packed(parts: &BTreeMap<String, String>) -> Result<Vec<u8>, zip::result::ZipError> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, part) in parts {
        zip.start_file(name.as_str(), stored)?;
        zip.write_all(part.as_bytes())?;
    }
    Ok(zip.finish()?.into_inner())
}

/// Walks the elements of a part with how deep each stands; `end` is told of what closes.
fn walk(
    name: &str,
    part: &str,
    mut see: impl FnMut(Seen<'_>) -> Result<(), Wrong>,
) -> Result<(), Wrong> {
    let part = part.strip_prefix('\u{feff}').unwrap_or(part);
    let mut reader = quick_xml::Reader::from_str(part);
    let mut depth = 0_u64;
    let wrong = |error: quick_xml::Error| broken(format!("its part `{name}`: {error}"));
    loop {
        match reader.read_event().map_err(wrong)? {
            Event::Start(it) => {
                depth += 1;
                see(Seen::Start(&it))?;
            }
            Event::Empty(it) => {
                see(Seen::Start(&it))?;
                see(Seen::End(it.local_name().as_ref()))?;
            }
            Event::End(it) => {
                depth = depth.saturating_sub(1);
                see(Seen::End(it.local_name().as_ref()))?;
            }
            Event::Text(it) => see(Seen::Text(it.as_ref().len()))?,
            Event::DocType(_) => {
                return Err(broken(format!("its part `{name}` defines a document type")));
            }
            Event::Eof if depth == 0 => return Ok(()),
            Event::Eof => return Err(broken(format!("its part `{name}` ends in the middle"))),
            _ => {}
        }
    }
}

enum Seen<'a> {
    Start(&'a BytesStart<'a>),
    End(&'a str),
    Text(usize),
}

/// An attribute by its name without prefix.
fn attribute(element: &BytesStart<'_>, name: &str) -> Option<String> {
    let mut all = element.attributes();
    let found = all
        .with_checks(false)
        .flatten()
        .find(|it| it.key.local_name().as_ref() == name)?;
    let value = found.normalized_value(quick_xml::XmlVersion::Implicit1_0);
    value.ok().map(|it| it.into_owned())
}

fn number(element: &BytesStart<'_>, name: &str) -> Option<u64> {
    attribute(element, name)?.parse().ok()
}

fn too_many(cells: u64) -> Result<(), Wrong> {
    if cells <= MOST_CELLS {
        return Ok(());
    }
    let what = format!("has more than {} million cells", MOST_CELLS / 1_000_000);
    Err((what, TOO_LARGE))
}

fn xlsx(parts: &BTreeMap<String, String>) -> Result<Scan, Wrong> {
    // The sheets stand in parts of any name, which the book's relations tell.
    let mut sheets: Vec<(String, String)> = Vec::new();
    let mut targets: BTreeMap<String, String> = BTreeMap::new();
    let mut found = Scan {
        form: Form::Xlsx,
        parts: Vec::new(),
        hidden: BTreeMap::new(),
        merged: BTreeMap::new(),
    };
    let mut of_parts: BTreeMap<&str, (Vec<u64>, Vec<Range>)> = BTreeMap::new();
    for (name, part) in parts.iter().filter(|it| it.0 != "mimetype") {
        let (mut cells, mut row, mut hidden, mut merged) = (0, 0, Vec::new(), Vec::new());
        walk(name, part, |seen| {
            let Seen::Start(it) = seen else { return Ok(()) };
            match it.local_name().as_ref() {
                "c" | "si" => {
                    cells += 1;
                    too_many(cells)?;
                }
                "row" => {
                    row = number(it, "r").unwrap_or(row + 1);
                    let is_hidden = attribute(it, "hidden");
                    if is_hidden.is_some_and(|it| ["1", "true"].contains(&it.as_str())) {
                        hidden.push(row);
                    }
                }
                "mergeCell" => {
                    merged.extend(attribute(it, "ref").as_deref().and_then(Range::parse));
                }
                "sheet" if name == "xl/workbook.xml" => {
                    if let (Some(name), Some(id)) = (attribute(it, "name"), attribute(it, "id")) {
                        sheets.push((name, id));
                    }
                }
                "Relationship" if name == "xl/_rels/workbook.xml.rels" => {
                    if let (Some(id), Some(to)) = (attribute(it, "Id"), attribute(it, "Target")) {
                        targets.insert(id, to);
                    }
                }
                _ => {}
            }
            Ok(())
        })?;
        of_parts.insert(name, (hidden, merged));
    }
    for (sheet, id) in sheets {
        let Some(target) = targets.get(&id) else {
            continue;
        };
        let path = match target.strip_prefix('/') {
            Some(whole) => whole.to_owned(),
            None => format!("xl/{target}"),
        };
        if let Some((hidden, merged)) = of_parts.remove(path.as_str()) {
            found.hidden.insert(sheet.clone(), hidden);
            found.merged.insert(sheet, merged);
        }
    }
    Ok(found)
}

/// How large a table of an ODS file becomes: its rows and cells stand once with how often.
#[derive(Default)]
struct Table {
    name: String,
    /// Cells written out so far, to the last that is not blank in each row.
    cells: u64,
    /// Text written out so far.
    text: u64,
    /// Rows before the present one, and those of them before the last that is not blank.
    rows: u64,
    rows_written: u64,
    width: u64,
    row_times: u64,
    row_width: u64,
    row_written: u64,
    cell_times: u64,
    cell_text: u64,
    cell_blank: bool,
    hidden: Vec<u64>,
    merged: Vec<Range>,
}

impl Table {
    fn row(&mut self, it: &BytesStart<'_>) {
        self.row_times = number(it, "number-rows-repeated").unwrap_or(1);
        (self.row_width, self.row_written) = (0, 0);
        let visible = attribute(it, "visibility");
        // The empty rest of a sheet may be hidden in one item.
        if visible.is_some_and(|it| it != "visible") {
            let last = self.rows.saturating_add(self.row_times.min(1000));
            self.hidden.extend(self.rows + 1..=last);
        }
    }

    fn cell(&mut self, it: &BytesStart<'_>) {
        self.cell_times = number(it, "number-columns-repeated").unwrap_or(1);
        self.cell_text = 0;
        let says = [
            "value",
            "date-value",
            "time-value",
            "string-value",
            "boolean-value",
        ];
        let says = says.iter().any(|name| attribute(it, name).is_some());
        self.cell_blank = !says && attribute(it, "formula").is_none();
        let spanned = ["number-columns-spanned", "number-rows-spanned"];
        let [columns, rows] = spanned.map(|name| number(it, name).unwrap_or(1).max(1));
        if columns > 1 || rows > 1 {
            let column = |it: u64| usize::try_from(it).unwrap_or(usize::MAX - 1);
            let (row, at) = (self.rows.saturating_add(1), self.row_width);
            self.merged.push(Range {
                first: (row, column(at)),
                last: (
                    row.saturating_add(rows - 1),
                    column(at.saturating_add(columns - 1)),
                ),
            });
        }
    }

    fn cell_ends(&mut self) {
        self.row_width = self.row_width.saturating_add(self.cell_times);
        if !self.cell_blank || self.cell_text > 0 {
            self.row_written = self.row_width;
            let times = self.cell_times.saturating_mul(self.row_times);
            self.text = self
                .text
                .saturating_add(self.cell_text.saturating_mul(times));
        }
    }

    fn row_ends(&mut self) -> Result<(), Wrong> {
        self.rows = self.rows.saturating_add(self.row_times);
        if self.row_written > 0 {
            self.rows_written = self.rows;
            self.cells = self.cells.saturating_add(self.row_written);
            self.width = self.width.max(self.row_written);
        }
        too_many(self.cells)?;
        too_many(self.rows_written.saturating_mul(self.width))?;
        match self.text > MOST_UNPACKED {
            true => Err((
                format!("has more than {} MB of text", MOST_UNPACKED >> 20),
                TOO_LARGE,
            )),
            false => Ok(()),
        }
    }
}

fn ods(parts: &BTreeMap<String, String>) -> Result<Scan, Wrong> {
    let mut found = Scan {
        form: Form::Ods,
        parts: Vec::new(),
        hidden: BTreeMap::new(),
        merged: BTreeMap::new(),
    };
    let mut table = Table::default();
    let mut all = 0_u64;
    for (name, part) in parts.iter().filter(|it| it.0 != "mimetype") {
        let is_content = name == "content.xml";
        walk(name, part, |seen| {
            match seen {
                _ if !is_content => {}
                Seen::Start(it) => match it.local_name().as_ref() {
                    "table" => {
                        table = Table {
                            name: attribute(it, "name").unwrap_or_default(),
                            ..Table::default()
                        }
                    }
                    "table-row" => table.row(it),
                    "table-cell" | "covered-table-cell" => table.cell(it),
                    // Blanks stand as their number.
                    "s" => table.cell_text += number(it, "c").unwrap_or(1).min(MOST_UNPACKED + 1),
                    _ => {}
                },
                Seen::Text(length) => {
                    table.cell_text += u64::try_from(length).unwrap_or(u64::MAX >> 1);
                }
                Seen::End("table-cell" | "covered-table-cell") => table.cell_ends(),
                Seen::End("table-row") => table.row_ends()?,
                Seen::End("table") => {
                    let done = std::mem::take(&mut table);
                    all += done.rows_written.saturating_mul(done.width);
                    too_many(all)?;
                    found.hidden.insert(done.name.clone(), done.hidden);
                    found.merged.insert(done.name, done.merged);
                }
                Seen::End(_) => {}
            }
            Ok(())
        })?;
    }
    Ok(found)
}

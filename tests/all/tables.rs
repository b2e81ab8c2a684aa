//! Tables written as CSV, XLSX and ODS, with nothing but the parts of each form that a reader
//! needs: ECMA-376 Part 1 and OASIS ODF 1.2.

use std::io::{Cursor, Write};

use chrono::{NaiveDate, NaiveTime, Timelike};
use wearbook::intake::letters;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// A cell, as a spreadsheet holds it.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Text(String),
    /// A number as the file writes it, and as it is shown.
    Number(String),
    Day(NaiveDate),
    Time(NaiveTime),
    /// What a formula shows that failed.
    Failed(&'static str),
    /// A formula that was never worked out.
    Formula,
    Blank,
}

pub fn text(it: &str) -> Cell {
    Cell::Text(it.to_owned())
}

pub fn number(it: &str) -> Cell {
    Cell::Number(it.to_owned())
}

pub fn day(it: &str) -> Cell {
    Cell::Day(it.parse().expect("a day"))
}

/// One table.
pub type Rows = Vec<Vec<Cell>>;

pub fn csv(rows: &Rows) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        let cells = row.iter().map(|it| match it {
            Cell::Text(it) | Cell::Number(it) => it.clone(),
            Cell::Day(it) => it.to_string(),
            Cell::Time(it) => it.format("%H:%M").to_string(),
            Cell::Failed(it) => (*it).to_owned(),
            Cell::Formula | Cell::Blank => String::new(),
        });
        writer.write_record(cells).expect("memory");
    }
    writer.into_inner().expect("memory")
}

fn escaped(it: &str) -> String {
    it.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}

/// A packed file of these parts.
pub fn packed(parts: &[(&str, String)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, part) in parts {
        zip.start_file(*name, SimpleFileOptions::default())
            .expect("memory");
        zip.write_all(part.as_bytes()).expect("memory");
    }
    zip.finish().expect("memory").into_inner()
}

/// The `sheetData` of a table whose first row has this number.
pub fn sheet_data(rows: &Rows, from_1904: bool) -> String {
    let mut all = String::new();
    for (row, at) in rows.iter().zip(1..) {
        all.push_str(&format!("<row r=\"{at}\">"));
        for (column, cell) in row.iter().enumerate() {
            let place = format!("{}{at}", letters(column + 1));
            let base = match from_1904 {
                true => NaiveDate::from_ymd_opt(1904, 1, 1),
                false => NaiveDate::from_ymd_opt(1899, 12, 30),
            };
            all.push_str(&match cell {
                Cell::Text(it) => format!(
                    "<c r=\"{place}\" t=\"inlineStr\"><is><t>{}</t></is></c>",
                    escaped(it)
                ),
                Cell::Number(it) => format!("<c r=\"{place}\"><v>{it}</v></c>"),
                Cell::Day(it) => {
                    let days = (*it - base.expect("a day")).num_days();
                    format!("<c r=\"{place}\" s=\"1\"><v>{days}</v></c>")
                }
                Cell::Time(it) => {
                    let share = f64::from(it.num_seconds_from_midnight()) / 86_400.0;
                    format!("<c r=\"{place}\" s=\"2\"><v>{share}</v></c>")
                }
                Cell::Failed(it) => {
                    format!("<c r=\"{place}\" t=\"e\"><f>1/0</f><v>{it}</v></c>")
                }
                Cell::Formula => format!("<c r=\"{place}\"><f>A1*2</f></c>"),
                Cell::Blank => continue,
            });
        }
        all.push_str("</row>");
    }
    all
}

/// A book of sheets, each with its `sheetData` and whether it is hidden.
pub fn book(sheets: &[(&str, String, bool)], from_1904: bool) -> Vec<u8> {
    book_with(sheets, from_1904, "")
}

/// The same with elements that stand behind the `sheetData` of each sheet.
pub fn book_with(sheets: &[(&str, String, bool)], from_1904: bool, behind: &str) -> Vec<u8> {
    const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const RELATIONS: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
    const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let (mut list, mut relations, mut parts) = (String::new(), String::new(), Vec::new());
    for ((name, data, hidden), at) in sheets.iter().zip(1..) {
        let state = if *hidden { " state=\"hidden\"" } else { "" };
        list.push_str(&format!(
            "<sheet name=\"{}\" sheetId=\"{at}\"{state} r:id=\"r{at}\"/>",
            escaped(name)
        ));
        relations.push_str(&format!(
            "<Relationship Id=\"r{at}\" Type=\"{OFFICE}/worksheet\" \
             Target=\"worksheets/s{at}.xml\"/>"
        ));
        let sheet = format!(
            "<worksheet xmlns=\"{MAIN}\"><sheetData>{data}</sheetData>{behind}</worksheet>"
        );
        parts.push((format!("xl/worksheets/s{at}.xml"), sheet));
    }
    relations.push_str(&format!(
        "<Relationship Id=\"s\" Type=\"{OFFICE}/styles\" Target=\"styles.xml\"/>"
    ));
    let system = if from_1904 {
        "<workbookPr date1904=\"1\"/>"
    } else {
        ""
    };
    parts.push((
        "xl/workbook.xml".to_owned(),
        format!(
            "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{OFFICE}\">{system}<sheets>{list}</sheets>\
             </workbook>"
        ),
    ));
    parts.push((
        "xl/_rels/workbook.xml.rels".to_owned(),
        format!("<Relationships xmlns=\"{RELATIONS}\">{relations}</Relationships>"),
    ));
    parts.push((
        "_rels/.rels".to_owned(),
        format!(
            "<Relationships xmlns=\"{RELATIONS}\"><Relationship Id=\"b\" \
             Type=\"{OFFICE}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
        ),
    ));
    let formats =
        ["0", "14", "20"].map(|it| format!("<xf numFmtId=\"{it}\" applyNumberFormat=\"1\"/>"));
    parts.push((
        "xl/styles.xml".to_owned(),
        format!(
            "<styleSheet xmlns=\"{MAIN}\"><cellXfs count=\"3\">{}</cellXfs></styleSheet>",
            formats.concat()
        ),
    ));
    let parts: Vec<(&str, String)> = parts
        .iter()
        .map(|it| (it.0.as_str(), it.1.clone()))
        .collect();
    packed(&parts)
}

pub fn xlsx(rows: &Rows) -> Vec<u8> {
    book(&[("Table", sheet_data(rows, false), false)], false)
}

/// The rows of a table of an ODS file.
pub fn ods_rows(rows: &Rows) -> String {
    let mut all = String::new();
    for row in rows {
        all.push_str("<table:table-row>");
        for cell in row {
            let of = |kind: &str, value: &str, shown: &str| {
                format!(
                    "<table:table-cell office:value-type=\"{kind}\"{value}><text:p>{shown}</text:p>\
                     </table:table-cell>"
                )
            };
            all.push_str(&match cell {
                Cell::Text(it) => of("string", "", &escaped(it)),
                Cell::Number(it) => of("float", &format!(" office:value=\"{it}\""), it),
                Cell::Day(it) => of("date", &format!(" office:date-value=\"{it}\""), "a day"),
                Cell::Time(it) => {
                    let value = it.format(" office:time-value=\"PT%HH%MM%SS\"").to_string();
                    of("time", &value, "a time")
                }
                Cell::Failed(it) => of(
                    "string",
                    " calcext:value-type=\"error\" office:string-value=\"\"",
                    it,
                ),
                Cell::Formula | Cell::Blank => "<table:table-cell/>".to_owned(),
            });
        }
        all.push_str("</table:table-row>");
    }
    all
}

/// An ODS file of one table with these rows.
pub fn ods_of(rows: &str) -> Vec<u8> {
    const NAMES: &str = "xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" \
         xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\"";
    packed(&[
        (
            "mimetype",
            "application/vnd.oasis.opendocument.spreadsheet".to_owned(),
        ),
        (
            "META-INF/manifest.xml",
            "<manifest:manifest \
             xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\">\
             </manifest:manifest>"
                .to_owned(),
        ),
        (
            "content.xml",
            format!(
                "<office:document-content {NAMES}><office:body><office:spreadsheet>\
                 <table:table table:name=\"Table\">{rows}</table:table></office:spreadsheet>\
                 </office:body></office:document-content>"
            ),
        ),
    ])
}

pub fn ods(rows: &Rows) -> Vec<u8> {
    ods_of(&ods_rows(rows))
}

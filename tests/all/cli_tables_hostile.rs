//! Spreadsheets that are none, or too much: each is refused with a sentence.

use super::cli_support::Place;
use super::cli_tables::{PRIOR, refused, three};
use super::tables::{book, ods_of, ods_rows, packed, sheet_data, xlsx};

/// What is wrong with a file, the file, and what is said of it.
type Hostile = (&'static str, Vec<u8>, &'static str);

/// A book whose table stands in a part with the name of a picture.
fn hidden_part() -> Vec<u8> {
    let whole = xlsx(&three());
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(whole)).expect("a book");
    let names: Vec<String> = zip
        .file_names()
        .map(|it| it.expect("a name").into())
        .collect();
    let parts = names.iter().map(|name| {
        let part = std::io::read_to_string(zip.by_name(name).expect("a part")).expect("text");
        let part = part.replace("worksheets/s1.xml", "worksheets/s1.png");
        (name.replace("s1.xml", "s1.png"), part)
    });
    let parts: Vec<(String, String)> = parts.collect();
    let parts: Vec<(&str, String)> = parts.iter().map(|it| (&*it.0, it.1.clone())).collect();
    packed(&parts)
}

fn hostile_packed() -> Vec<Hostile> {
    let whole = xlsx(&three());
    let sheet = |data: &str| book(&[("Table", data.to_owned(), false)], false);
    let data = sheet_data(&three(), false);
    let cut = |whole: Vec<u8>| whole[..whole.len() / 2].to_vec();
    vec![
        (
            "cut in the middle",
            cut(whole),
            "is a broken spreadsheet file",
        ),
        (
            "no spreadsheet",
            packed(&[("a.txt", "x".to_owned())]),
            "no spreadsheet",
        ),
        (
            "a zip bomb",
            packed(&[("xl/workbook.xml", " ".repeat(80 << 20))]),
            "unpacks to more than 64 MB",
        ),
        (
            "XML that ends in the middle",
            sheet(&format!("{data}<row r=\"4\"")),
            "is a broken spreadsheet file",
        ),
        (
            "a document type",
            packed(&[(
                "xl/workbook.xml",
                "<!DOCTYPE a [<!ENTITY b \"c\">]><workbook/>".to_owned(),
            )]),
            "defines a document type",
        ),
        (
            "a cell in the last column",
            sheet(&data.replacen(
                "</row>",
                "<c r=\"XFD1\" t=\"inlineStr\"><is><t>x</t></is></c></row>",
                1,
            )),
            "is too large: 16384 columns",
        ),
        (
            "a table in a part that is not looked at",
            hidden_part(),
            "is a broken spreadsheet file",
        ),
        (
            "an older form or a password",
            vec![0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1],
            "is an older XLS file, or has a password",
        ),
    ]
}

fn hostile_ods() -> Vec<Hostile> {
    let ods_head = ods_rows(&three());
    let row = |cell: &str| format!("{ods_head}<table:table-row>{cell}</table:table-row>");
    vec![
        (
            "a million rows between two",
            ods_of(&format!(
                "{ods_head}<table:table-row table:number-rows-repeated=\"1000000\">\
                 <table:table-cell/></table:table-row>{ods_head}"
            )),
            "has more than 4 million cells",
        ),
        (
            "a row a million times",
            ods_of(&ods_head.replace(
                "<table:table-row>",
                "<table:table-row table:number-rows-repeated=\"1000000\">",
            )),
            "has more than 4 million cells",
        ),
        (
            "a cell of many blanks",
            ods_of(&row(
                "<table:table-cell office:value-type=\"string\"><text:p><text:s \
                 text:c=\"4000000000\"/></text:p></table:table-cell>",
            )),
            "has more than 64 MB of text",
        ),
        (
            "an annotation without an end",
            packed(&[
                (
                    "mimetype",
                    "application/vnd.oasis.opendocument.spreadsheet".to_owned(),
                ),
                ("META-INF/manifest.xml", "<a/>".to_owned()),
                (
                    "content.xml",
                    "<a><table:table table:name=\"T\"><table:table-row><table:table-cell \
                     office:value-type=\"string\"><office:annotation>"
                        .to_owned(),
                ),
            ]),
            "ends in the middle",
        ),
    ]
}

#[test]
fn hostile_files_are_refused_with_a_sentence() {
    let place = Place::with_registers("tables-hostile");
    for (what, bytes, wanted) in hostile_packed().into_iter().chain(hostile_ods()) {
        let told = refused(&place, &bytes, PRIOR);
        assert!(told.contains(wanted), "{what}: {told}");
    }
}

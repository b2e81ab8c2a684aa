//! What an office writes in its own way: words in cells, merged cells, files under other names.

use super::cli_support::{HEADER, Place, crew};
use super::cli_tables::{PRIOR, refused, three};
use super::tables::{book_with, csv, ods_of, ods_rows, sheet_data, text, xlsx};

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn own_words_in_cells_are_mapped_and_kept_with_the_mapping() {
    let place = Place::with_registers("own-words");
    let day = |day: &str| {
        let rows = crew(day, "day").replace(",radiography,", ",RT,");
        let rows = rows.replace(",W07,radiographer,", ",AH,radiographer,");
        place.file("office.csv", format!("{HEADER}{rows}"))
    };
    let first = day("2026-06-10");
    let said = place.quiet(&format!("sheet import {first} --map work:radiography=RT"));
    assert_eq!(said.code, 0, "{}", said.err);
    let held = place.done("hold list").out;
    assert!(
        held.contains("`AH`"),
        "a word that nobody mapped is held: {held}"
    );
    let second = day("2026-06-11");
    let flags = "--map work:radiography=rt --map worker:W07=AH --save-map office";
    let out = place.done(&format!("sheet import {second} {flags}")).out;
    assert!(out.contains("W07") && !out.contains("`AH`"), "{out}");
    let third = day("2026-06-12");
    let out = place
        .done(&format!("sheet import {third} --use-map office"))
        .out;
    assert!(out.contains("W07") && !out.contains("`AH`"), "{out}");
    let preview = place
        .done(&format!("sheet import {third} --use-map office --preview"))
        .out;
    assert!(
        preview.contains("radiography") && !preview.contains("RT"),
        "{preview}"
    );
}

#[test]
fn a_word_that_stands_for_two_things_or_for_no_column_is_refused() {
    let place = Place::with_registers("own-words-refused");
    let file = place.file("a.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    for (flags, wanted) in [
        (
            "--map work:radiography=RT --map work:transport=rt",
            "`RT` in `work` is mapped twice, to `radiography` and to `transport`",
        ),
        ("--map wrok:radiography=RT", "did you mean `work`?"),
        ("--map work:=RT", "is not COLUMN:VALUE=WORD"),
        ("--map :radiography=RT", "is not COLUMN:VALUE=WORD"),
    ] {
        let said = place.quiet(&format!("sheet import {file} {flags}"));
        assert_ne!(said.code, 0, "{flags}");
        let told = squeezed(&said.err);
        assert!(told.contains(wanted), "{flags}: {told}");
    }
}

/// The book of three rows with cells merged, of which the last is blank.
fn merged(range: &str) -> Vec<u8> {
    let merge = format!("<mergeCells count=\"1\"><mergeCell ref=\"{range}\"/></mergeCells>");
    let mut rows = three();
    rows[2][5] = text("");
    book_with(&[("Table", sheet_data(&rows, false), false)], false, &merge)
}

#[test]
fn merged_cells_are_refused_by_their_range_unless_it_is_said_what_they_mean() {
    let place = Place::with_registers("merged");
    let told = refused(&place, &merged("F2:F3"), PRIOR);
    assert!(told.contains("row 2, column F"), "{told}");
    assert!(told.contains("is merged over F2:F3"), "{told}");
    assert!(told.contains("--merged fill"), "{told}");
    // The first alone leaves the second row without what it needs.
    let told = refused(&place, &merged("F2:F3"), &format!("{PRIOR} --merged first"));
    assert!(
        told.contains("row 3, column F") && told.contains("is missing"),
        "{told}"
    );
    let file = place.file("filled.xlsx", merged("F2:F3"));
    let out = place
        .done(&format!("worker prior-doses {file} {PRIOR} --merged fill"))
        .out;
    let out = squeezed(&out);
    assert!(out.contains("2 written"), "{out}");
    assert!(
        out.contains("merged cells F2:F3: each of the cells has the value"),
        "{out}"
    );
    // Headings, whatever they are over, and a word that is none.
    let told = refused(&place, &merged("A1:B1"), PRIOR);
    assert!(
        told.contains("has merged cells `A1:B1` among its headings"),
        "{told}"
    );
    let told = place
        .quiet(&format!("worker prior-doses {file} {PRIOR} --merged all"))
        .err;
    assert!(told.contains("is no meaning of merged cells"), "{told}");
    // In a column that is not read anything may be merged.
    let unread = PRIOR.replace("--map basis=Source", "--set basis=letter");
    let place = Place::with_registers("merged-unread");
    let file = place.file("unread.xlsx", merged("F2:F3"));
    place.done(&format!("worker prior-doses {file} {unread}"));
}

#[test]
fn merged_cells_of_an_open_document_are_refused_alike() {
    let mut rows = three();
    rows[2][5] = text("");
    let cell = "<table:table-cell office:value-type=\"string\"><text:p>signed";
    let spanned = cell.replace("table-cell ", "table-cell table:number-rows-spanned=\"2\" ");
    let data = ods_rows(&rows).replacen(cell, &spanned, 1);
    assert!(data.contains("spanned"), "{data}");
    let place = Place::with_registers("merged-ods");
    let told = refused(&place, &ods_of(&data), PRIOR);
    assert!(told.contains("is merged over F2:F3"), "{told}");
    let file = place.file("filled.ods", ods_of(&data));
    place.done(&format!("worker prior-doses {file} {PRIOR} --merged fill"));
}

#[test]
fn a_text_file_with_the_name_of_a_spreadsheet_is_told_what_it_is() {
    let place = Place::with_registers("text-xlsx");
    for (flags, bytes, wanted) in [
        (
            "",
            csv(&three()),
            "is a text file whose name ends in .xlsx, and no spreadsheet",
        ),
        (
            " --sheet Table",
            csv(&three()),
            "is a text file whose name ends in .xlsx",
        ),
        ("", Vec::new(), "is empty, and its name ends in .xlsx"),
    ] {
        let file = place.file("office.xlsx", bytes);
        let said = place.quiet(&format!("worker prior-doses {file} {PRIOR}{flags}"));
        assert_eq!(said.code, 1, "{}", said.out);
        let told = squeezed(&said.err);
        assert!(told.contains(wanted), "{told}");
        assert!(!told.contains("CSV file has no tables"), "{told}");
    }
    let file = place.file("a.xlsx", xlsx(&three()));
    place.done(&format!("worker prior-doses {file} {PRIOR}"));
}

#[test]
fn a_second_import_tells_what_the_new_rows_bring_and_no_more() {
    let place = Place::with_registers("second-import");
    let bad = crew("2026-06-10", "day").replace(",RM-08,yes,", ",RM-08,no,");
    let file = place.file("a.csv", format!("{HEADER}{bad}"));
    let out = place.done(&format!("sheet import {file}")).out;
    assert!(out.contains("alarm of RM-08 was not heard"), "{out}");
    let again = place.done(&format!("sheet import {file}")).out;
    assert!(!again.contains("alarm of RM-08"), "{again}");
    assert!(again.contains("0 written, 1 were there") && again.contains("wearbook findings"));
    let worse = crew("2026-06-11", "day").replace(",RM-07,yes,", ",RM-07,no,");
    let file = place.file("b.csv", format!("{HEADER}{bad}{worse}"));
    let more = place.done(&format!("sheet import {file}")).out;
    assert!(more.contains("alarm of RM-07 was not heard"), "{more}");
    assert!(!more.contains("alarm of RM-08"), "{more}");
    let all = place.done("findings --json").out;
    assert!(
        all.contains("alarm of RM-08") && all.contains("alarm of RM-07"),
        "{all}"
    );
}

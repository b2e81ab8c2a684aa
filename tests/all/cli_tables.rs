//! Files of an office as they are: CSV, XLSX and ODS, with headings of their own.

use proptest::prelude::*;

use super::cli_support::{HEADER, Place, crew};
use super::tables::{
    Cell, Rows, book, csv, day, number, ods, ods_of, ods_rows, sheet_data, text, xlsx,
};

/// How the office's table of prior doses is read.
pub const PRIOR: &str = "--map worker=Person --map first_day=From --map last_day=To \
     --map employer=Employer --map \"deep=DDE (mrem)\" --map basis=Source --unit mrem";

fn head() -> Vec<Cell> {
    ["Person", "From", "To", "Employer", "DDE (mrem)", "Source"]
        .map(text)
        .to_vec()
}

fn prior(person: &str, from: Cell, to: Cell, dose: Cell) -> Vec<Cell> {
    vec![
        text(person),
        from,
        to,
        text("Pipeline Testing & Sons"),
        dose,
        text("signed statement <A>"),
    ]
}

pub fn three() -> Rows {
    vec![
        head(),
        prior("W07", day("2024-01-01"), day("2024-12-31"), number("12.3")),
        prior("W08", day("2024-02-29"), day("2024-12-31"), number("0.7")),
    ]
}

/// What a command says that takes a file in, and the ledger's head after it.
fn taken(name: &str, file: &str, bytes: &[u8], flags: &str) -> String {
    let place = Place::with_registers(name);
    let file = place.file(file, bytes);
    place.done(&format!("worker prior-doses {file} {flags}"));
    place.head()
}

/// What a refused file is told.
pub fn refused(place: &Place, bytes: &[u8], flags: &str) -> String {
    let before = place.head();
    let name = match bytes.starts_with(b"PK") {
        true => "office.xlsx",
        false => "office.csv",
    };
    let file = place.file(name, bytes);
    let said = place.quiet(&format!("worker prior-doses {file} {flags}"));
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert_eq!(place.head(), before, "something was written");
    said.err.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn cell() -> impl Strategy<Value = Rows> {
    let row = (
        prop::sample::select(vec!["W07", "W08"]),
        0_i64..3000,
        0_u32..100_000,
        "[A-Z][a-z &<>'\"é]{0,12}[a-z]",
    );
    prop::collection::vec(row, 1..6).prop_map(|rows| {
        let start: chrono::NaiveDate = "2012-01-01".parse().expect("a day");
        let mut all = vec![head()];
        for (at, (person, days, dose, employer)) in (0_i64..).zip(rows) {
            let from = start + chrono::Days::new(u64::try_from(days).expect("small"));
            let mut row = prior(
                person,
                Cell::Day(from),
                Cell::Day(from + chrono::Days::new(20)),
                // Thousandths, as a spreadsheet shows them.
                number(&format!("{}", f64::from(dose) / 1000.0)),
            );
            row[3] = text(&format!("{employer} {at}"));
            all.push(row);
        }
        all
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 12,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]
    #[test]
    fn a_table_gives_the_same_entries_in_whatever_form_it_is_written(rows in cell()) {
        let all = [
            taken("tables-csv", "a.csv", &csv(&rows), PRIOR),
            taken("tables-xlsx", "a.csv", &xlsx(&rows), PRIOR),
            taken("tables-ods", "a.csv", &ods(&rows), PRIOR),
        ];
        prop_assert_eq!(&all[0], &all[1]);
        prop_assert_eq!(&all[0], &all[2]);
    }
}

#[test]
fn a_book_that_counts_its_days_from_1904_has_the_same_days() {
    let rows = three();
    let other = book(&[("Table", sheet_data(&rows, true), false)], true);
    assert_eq!(
        taken("tables-1904", "a.xlsx", &other, PRIOR),
        taken("tables-1900", "a.xlsx", &xlsx(&rows), PRIOR)
    );
}

#[test]
fn a_dose_with_the_error_of_a_binary_fraction_is_the_dose_that_is_shown() {
    let mut rows = three();
    let plain = taken("tables-plain", "a.csv", &csv(&rows), PRIOR);
    rows[1][4] = number("12.300000000000001");
    rows[2][4] = number("0.7000000000000001");
    assert_eq!(taken("tables-error", "a.xlsx", &xlsx(&rows), PRIOR), plain);
    assert_eq!(
        taken("tables-error-ods", "a.ods", &ods(&rows), PRIOR),
        plain
    );
}

#[test]
fn days_in_figures_that_could_be_two_are_taken_only_in_the_order_that_was_said() {
    let place = Place::with_registers("tables-dates");
    let rows = |from: &str, to: &str| {
        let mut rows = three();
        rows.truncate(2);
        rows[1][1] = text(from);
        rows[1][2] = text(to);
        csv(&rows)
    };
    for (from, to) in [("03/04/2024", "05/06/2024"), ("13/04/2024", "05/06/2024")] {
        let told = refused(&place, &rows(from, to), PRIOR);
        assert!(told.contains("could mean two things"), "{told}");
        assert!(told.contains("--dates mdy, dmy or ymd"), "{told}");
    }
    let alone = taken(
        "tables-alone",
        "a.csv",
        &rows("13/04/2024", "14.04.2024"),
        PRIOR,
    );
    let plain = rows("2024-04-13", "2024-04-14");
    assert_eq!(taken("tables-alone-iso", "a.csv", &plain, PRIOR), alone);
    let told = refused(
        &place,
        &rows("13/04/2024", "14/04/2024"),
        &format!("{PRIOR} --dates mdy"),
    );
    assert!(told.contains("no day that is written mdy"), "{told}");
    let iso = taken(
        "tables-iso",
        "a.csv",
        &rows("2024-04-03", "2024-06-05"),
        PRIOR,
    );
    for (order, from, to) in [
        ("dmy", "03/04/2024", "5.6.2024"),
        ("mdy", "4/3/2024", "06/05/2024"),
        ("ymd", "2024/4/3", "2024/06/05"),
    ] {
        let flags = format!("{PRIOR} --dates {order}");
        assert_eq!(taken("tables-order", "a.csv", &rows(from, to), &flags), iso);
    }
}

#[test]
fn a_column_of_both_kinds_of_days_is_refused() {
    let place = Place::with_registers("tables-mixed");
    let mut rows = three();
    rows[2][1] = text("13/04/2024");
    let told = refused(&place, &xlsx(&rows), &format!("{PRIOR} --dates dmy"));
    assert!(
        told.contains("row 3, column B, From: holds dates"),
        "{told}"
    );
}

#[test]
fn numbers_under_headings_of_the_file_need_their_unit_said() {
    let place = Place::with_registers("tables-unit");
    let told = refused(
        &place,
        &xlsx(&three()),
        PRIOR.trim_end_matches("--unit mrem"),
    );
    assert!(
        told.contains("has no unit right: the unit of the file's doses"),
        "{told}"
    );
    let mrem = taken("tables-mrem", "a.csv", &csv(&three()), PRIOR);
    let mut rows = three();
    rows[1][4] = number("0.123");
    rows[2][4] = number("0.007");
    let flags = PRIOR.replace("--unit mrem", "--unit mSv");
    assert_eq!(taken("tables-msv", "a.csv", &csv(&rows), &flags), mrem);
    let flags = PRIOR.replace("--unit mrem", "--unit deep=mSv");
    assert_eq!(taken("tables-column", "a.csv", &csv(&rows), &flags), mrem);
}

#[test]
fn the_table_and_the_row_of_its_headings_are_said_where_there_are_several() {
    let mut place = Place::with_registers("tables-sheet");
    let mut rows = vec![vec![text("Dose log of the office")], vec![]];
    rows.extend(three());
    let bytes = book(
        &[
            ("Notes", sheet_data(&vec![vec![text("x")]], false), false),
            ("Doses 2024", sheet_data(&rows, false), false),
            ("Old", sheet_data(&three(), false), true),
        ],
        false,
    );
    let told = refused(&place, &bytes, PRIOR);
    assert!(
        told.contains("has several tables: `Notes`, `Doses 2024`"),
        "{told}"
    );
    let told = refused(&place, &bytes, &format!("{PRIOR} --sheet Doses"));
    assert!(told.contains("has no table `Doses`, but"), "{told}");
    let told = refused(&place, &bytes, &format!("{PRIOR} --sheet \"doses 2024\""));
    assert!(told.contains("is not a heading of the file"), "{told}");
    let flags = format!("{PRIOR} --sheet \"Doses 2024\" --header-row 3");
    let file = place.file("office.xlsx", &bytes);
    place.run(&format!("worker prior-doses {file} {flags} --preview"));
    place.run(&format!(
        "worker prior-doses {file} {flags} --save-map office"
    ));
    // The mapping has the unit and the row of the headings too.
    place.run(&format!(
        "worker prior-doses {file} --use-map office --sheet \"doses 2024\""
    ));
    place.golden("tables");
}

#[test]
fn a_preview_writes_nothing() {
    let place = Place::with_registers("tables-preview");
    let before = place.head();
    let file = place.file("a.csv", csv(&three()));
    let said = place.done(&format!("worker prior-doses {file} {PRIOR} --preview"));
    assert!(said.out.contains("12.3 mrem"), "{}", said.out);
    assert_eq!(place.head(), before);
}

#[test]
fn what_a_spreadsheet_shows_instead_of_a_value_is_refused_with_its_place() {
    let place = Place::with_registers("tables-failed");
    let mut rows = three();
    rows[2][4] = Cell::Failed("#DIV/0!");
    for bytes in [xlsx(&rows), ods(&rows)] {
        let told = refused(&place, &bytes, PRIOR);
        let wanted = "table Table was refused, nothing was written: 1 fault row 3, column \
                      E, DDE (mrem): shows `#DIV/0!` instead of a value";
        assert!(told.contains(wanted), "{told}");
    }
    rows[2][4] = Cell::Formula;
    let told = refused(&place, &xlsx(&rows), PRIOR);
    assert!(
        told.contains("is a formula that was never worked out"),
        "{told}"
    );
    // In a column that is not read anything may stand.
    rows[2][4] = number("1");
    rows[0].push(text("Average"));
    rows[2].push(Cell::Failed("#DIV/0!"));
    place.done(&format!(
        "worker prior-doses {} {PRIOR}",
        place.file("b.xlsx", xlsx(&rows))
    ));
}

#[test]
fn hidden_rows_are_told() {
    let place = Place::with_registers("tables-hidden");
    let data = sheet_data(&three(), false).replace("<row r=\"3\">", "<row r=\"3\" hidden=\"1\">");
    let file = place.file("a.xlsx", book(&[("Table", data, false)], false));
    let out = place
        .done(&format!("worker prior-doses {file} {PRIOR}"))
        .out;
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.starts_with("2 written"), "{out}");
    assert!(
        out.contains("hidden in the table `Table` are read like the others: 3"),
        "{out}"
    );
    let rows = ods_rows(&three()).replace(
        "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>W08",
        "<table:table-row table:visibility=\"collapse\"><table:table-cell \
         office:value-type=\"string\"><text:p>W08",
    );
    let place = Place::with_registers("tables-hidden-ods");
    let file = place.file("a.ods", ods_of(&rows));
    let out = place
        .done(&format!("worker prior-doses {file} {PRIOR}"))
        .out;
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("are read like the others: 3"), "{out}");
}

#[test]
fn blank_rows_between_the_written_ones_are_nothing() {
    let mut rows = three();
    let plain = taken("tables-tight", "a.csv", &csv(&rows), PRIOR);
    rows.insert(2, vec![Cell::Blank; 6]);
    rows.push(vec![text("  ")]);
    assert_eq!(taken("tables-loose", "a.xlsx", &xlsx(&rows), PRIOR), plain);
    let many = "<table:table-row table:number-rows-repeated=\"1000000\"><table:table-cell \
                table:number-columns-repeated=\"16384\"/></table:table-row>";
    let bytes = ods_of(&(ods_rows(&rows) + many));
    assert_eq!(taken("tables-end", "a.ods", &bytes, PRIOR), plain);
}

#[test]
fn a_mended_file_is_run_again_and_a_changed_row_is_told_how_to_correct() {
    let place = Place::with_registers("tables-again");
    let mut rows = three();
    rows[2][2] = text("31 December");
    let told = refused(&place, &xlsx(&rows), PRIOR);
    assert!(told.contains("row 3, column C, To"), "{told}");
    let file = place.file("a.xlsx", xlsx(&three()));
    place.done(&format!("worker prior-doses {file} {PRIOR}"));
    let mut rows = three();
    rows.push(prior(
        "W07",
        day("2023-01-01"),
        day("2023-12-31"),
        number("5"),
    ));
    let file = place.file("a.xlsx", xlsx(&rows));
    let out = place
        .done(&format!("worker prior-doses {file} {PRIOR}"))
        .out;
    assert!(out.starts_with("1 written, 2 were there already"), "{out}");
    rows[1][4] = number("13");
    let told = refused(&place, &xlsx(&rows), PRIOR);
    assert!(told.contains("row 2"), "{told}");
    assert!(told.contains("wearbook entry correct"), "{told}");
}

#[test]
fn a_value_for_the_whole_file_stands_for_a_missing_column() {
    let mut rows = three();
    let plain = taken("tables-full", "a.csv", &csv(&rows), PRIOR);
    for row in &mut rows {
        row.truncate(5);
    }
    let flags = PRIOR.replace("--map basis=Source", "--set \"basis=signed statement <A>\"");
    assert_eq!(taken("tables-set", "a.csv", &csv(&rows), &flags), plain);
}

/// The cells of a CSV text as a spreadsheet would hold them.
fn held(text: &str) -> Rows {
    let mut reader = ::csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.as_bytes());
    let held = |cell: &str| match (cell.parse(), format!("{cell}:00").parse()) {
        _ if cell.is_empty() => Cell::Blank,
        _ if cell.parse::<f64>().is_ok() => number(cell),
        (Ok(day), _) => Cell::Day(day),
        (_, Ok(time)) => Cell::Time(time),
        _ => super::tables::text(cell),
    };
    let rows = reader.records();
    rows.map(|row| row.expect("a row").iter().map(held).collect())
        .collect()
}

#[test]
fn sheets_of_a_spreadsheet_have_the_days_times_and_readings_of_their_cells() {
    let text = format!("{HEADER}{}", crew("2026-06-12", "day"));
    let rows = held(&text);
    let times = rows.iter().flatten();
    assert!(times.filter(|it| matches!(it, Cell::Time(_))).count() >= 4);
    let head = |name: &str, bytes: Vec<u8>| {
        let place = Place::with_registers(name);
        let file = place.file("june.csv", bytes);
        place.done(&format!("sheet import {file}"));
        place.head()
    };
    let plain = head("tables-sheet-csv", text.into_bytes());
    assert_eq!(head("tables-sheet-xlsx", xlsx(&rows)), plain);
    assert_eq!(head("tables-sheet-ods", ods(&rows)), plain);
}

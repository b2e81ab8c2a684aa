//! The gallery: for every mistake of a sheet file that a crew or an office can
//! make, the file that makes it and the exact answer. Refused files change
//! nothing; what is possible but doubtful is held and written as it stands.

use super::cli_support::{HEADER, Place, compare, crew, row};

/// Sheet files, one mistake each. The name of the test is the name of the golden
/// file, `gallery-NAME`.
macro_rules! sheets {
    ($($outcome:ident $name:ident: $file:expr;)+) => {
        $(
            #[test]
            fn $name() {
                $outcome(stringify!($name), $file);
            }
        )+
    };
}

fn golden(place: Place, name: &str) {
    place.golden(&format!("gallery-{name}"));
}

/// The file is refused whole.
fn refused(name: &str, file: impl AsRef<[u8]>) {
    let mut place = Place::with_registers(name);
    place.shown_file("june.csv", file);
    place.refused("sheet import DIR/june.csv");
    golden(place, name);
}

/// The file is taken in, and something is held.
fn held(name: &str, file: impl AsRef<[u8]>) {
    let mut place = Place::with_registers(name);
    place.shown_file("june.csv", file);
    let said = place.run("sheet import DIR/june.csv");
    assert_eq!(said.code, 0, "{}", said.err);
    let said = place.run("hold list");
    assert!(said.out.contains(" on hold, "), "{}", said.out);
    assert!(!said.out.starts_with("0 on hold"), "{}", said.out);
    golden(place, name);
}

/// The file is taken in, and nothing is held.
fn taken(name: &str, file: impl AsRef<[u8]>) {
    let mut place = Place::with_registers(name);
    place.shown_file("june.csv", file);
    let said = place.run("sheet import DIR/june.csv");
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(place.quiet("hold list").out.starts_with("0 on hold"));
    golden(place, name);
}

/// A sheet of the radiographer and one more person, by that row's last cells.
fn second(person: &str) -> String {
    format!(
        "{HEADER}{}{}",
        row("2026-06-12", "day", RADIOGRAPHER),
        row("2026-06-12", "day", person)
    )
}

const RADIOGRAPHER: &str = "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes";

fn day(day: &str) -> String {
    format!("{HEADER}{}", crew(day, "day"))
}

/// The sheet of 12 June with one text replaced everywhere.
fn with(from: &str, to: &str) -> String {
    let file = day("2026-06-12");
    assert!(file.contains(from), "the mistake is made");
    file.replace(from, to)
}

sheets! {
    held an_unknown_worker_is_held_with_near_spellings:
        second("Lucinda Farrow,assistant,PD-08,1,1,9,no,RM-08,yes,yes");
    held an_unknown_dosimeter_is_held_with_near_spellings:
        second("W08,assistant,PD-18,1,1 mR,9 mR,no,RM-08,yes,yes");
    refused a_bare_number_on_an_unknown_dosimeter_has_no_unit:
        second("W08,assistant,PD-18,1,1,9,no,RM-08,yes,yes");
    held unknown_equipment_is_held_with_near_spellings:
        with(",D-1,S-1,C-1,", ",D-11,S-1,K-1,");
    held an_unknown_job_is_held: with("J-1", "J-11");
    held an_end_below_its_start_is_held:
        second("W08,assistant,PD-08,1,31,12,no,RM-08,yes,yes");
    held a_reading_above_the_range_is_held:
        second("W08,assistant,PD-08,1,0,215,no,RM-08,yes,yes");
    held one_dosimeter_on_two_people_of_a_sheet_is_held:
        second("W08,assistant,PD-07,1,1,9,no,RM-08,yes,yes");
    held two_sheets_of_one_person_at_one_time_are_held: {
        let other = crew("2026-06-12", "evening").replace("15:00,23:00", "14:00,22:00");
        format!("{}{}", day("2026-06-12"), other)
    };
    held one_dosimeter_on_two_people_of_two_sheets_is_held: {
        let other = row("2026-06-12", "day", "W09,assistant,PD-08,1,0,2,no,RM-08,yes,yes");
        format!("{}{}", day("2026-06-12"), other.replace(",J-1,", ",J-2,").replace("D-1", ""))
    };
    held a_day_before_the_start_of_monitoring_is_held: {
        let other = row("2026-06-09", "day", "W09,assistant,PD-09,1,0,2,no,RM-08,yes,yes");
        format!("{HEADER}{}{other}", row("2026-06-09", "day", RADIOGRAPHER))
    };
    refused a_day_in_the_future_is_refused: day("2026-06-16");
    refused a_day_that_is_not_in_the_calendar_is_refused: day("2026-02-30");
    refused a_day_that_could_mean_two_things_is_refused: day("06/12/2026");
    refused a_reading_finer_than_the_unit_holds_is_refused:
        second("W08,assistant,PD-08,1,0,1.23456,no,RM-08,yes,yes");
    refused mixed_units_are_refused:
        second("W08,assistant,PD-08,1,0 mR,0.09 mSv,no,RM-08,yes,yes");
    refused a_unit_that_nobody_has_is_refused:
        second("W08,assistant,PD-08,1,0,9 mS,no,RM-08,yes,yes");
    refused a_rate_without_its_unit_is_refused: with("1.8 mR/h", "1.8");
    refused a_decimal_comma_is_refused:
        second("W08,assistant,PD-08,1,0,\"1,25\",no,RM-08,yes,yes");
    refused a_decimal_comma_without_quotes_makes_a_ragged_row:
        second("W08,assistant,PD-08,1,0,1,25,no,RM-08,yes,yes");
    refused a_row_that_is_cut_off_is_refused:
        second("W08,assistant,PD-08,1,0");
    refused a_huge_number_is_refused:
        second("W08,assistant,PD-08,1,0,99999999999999999999,no,RM-08,yes,yes");
    refused a_negative_reading_is_refused:
        second("W08,assistant,PD-08,1,0,-4,no,RM-08,yes,yes");
    refused a_number_in_exponent_form_is_refused:
        second("W08,assistant,PD-08,1,0,1e2,no,RM-08,yes,yes");
    refused words_that_are_not_known_are_refused_with_near_spellings:
        with("radiography", "radiographie");
    refused an_answer_that_is_neither_yes_nor_no_is_refused:
        second("W08,assistant,PD-08,1,1,9,maybe,RM-08,x,yes");
    refused a_time_that_could_mean_two_things_is_refused: with("07:00,15:00", "7:00,3:00 pm");
    refused semicolons_are_refused: day("2026-06-12").replace(',', ";");
    refused a_missing_column_is_refused: with(",start,", ",note,");
    refused a_column_that_stands_twice_is_refused: with(",boundary,", ",meter,");
    refused an_unknown_column_is_refused_with_the_near_one: with(",dosimeter,", ",dosemeter,");
    refused bytes_that_are_not_utf_8_are_refused: {
        let mut bytes = HEADER.as_bytes().to_vec();
        bytes.extend_from_slice(row("2026-06-12", "day", RADIOGRAPHER).as_bytes());
        bytes.extend_from_slice(b"2026-06-12,day,J\xf6rg\n");
        bytes
    };
    refused an_empty_file_is_refused: "";
    refused a_header_without_rows_is_refused: HEADER;
    refused one_person_twice_with_other_roles_is_refused:
        second("W07,assistant,PD-08,1,1,9,no,RM-07,yes,yes");
    refused one_dosimeter_and_part_twice_is_refused: second(RADIOGRAPHER);
    refused rows_of_one_sheet_that_contradict_each_other_are_refused: {
        let other = row("2026-06-12", "day", "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes");
        let first = row("2026-06-12", "day", RADIOGRAPHER);
        format!("{HEADER}{first}{}", other.replace(",24,", ",25,"))
    };
    refused rows_of_one_sheet_that_stand_apart_are_refused: {
        let other = row("2026-06-12", "day", "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes");
        let first = row("2026-06-12", "day", RADIOGRAPHER);
        format!("{HEADER}{first}{}{other}", crew("2026-06-11", "day"))
    };
    refused a_ratemeter_in_the_place_of_a_dosimeter_is_refused:
        second("W08,assistant,RM-08,1,1,9,no,RM-08,yes,yes");
    refused a_reading_without_a_dosimeter_is_refused:
        second("W08,assistant,,1,1,9,no,RM-08,yes,yes");
    refused every_bad_row_is_reported_in_one_run: {
        let rows = [
            row("2026-06-11", "day", "W07,radiographer,PD-07,1,0,12 mrm,no,RM-07,yes,yes"),
            crew("2026-06-12", "day"),
            row("2026-13-01", "day", RADIOGRAPHER),
            row("2026-06-13", "noon", RADIOGRAPHER),
            row("2026-06-14", "day", "W07,radiografer,PD-07,1,\"0,5\",12,no,RM-07,yes,yes"),
        ];
        format!("{HEADER}{}", rows.concat())
    };
    refused a_refused_file_still_prints_its_stops: {
        let off_scale = row("2026-06-12", "day", "W08,assistant,PD-08,1,1,,yes,RM-08,yes,yes");
        let bad = row("2026-06-13", "day", "W07,radiographer,PD-07,1,0,12 mrm,no,RM-07,yes,yes");
        format!("{HEADER}{}{off_scale}{bad}", row("2026-06-12", "day", RADIOGRAPHER))
    };
    taken a_byte_order_mark_and_crlf_are_no_mistake:
        format!("\u{feff}{}", day("2026-06-12").replace('\n', "\r\n"));
}

#[test]
fn a_file_that_was_taken_in_before_adds_nothing() {
    let name = "a_file_that_was_taken_in_before_adds_nothing";
    let mut place = Place::with_registers(name);
    place.shown_file("june.csv", day("2026-06-12"));
    place.run("sheet import DIR/june.csv");
    let head = place.head();
    place.run("sheet import DIR/june.csv");
    assert_eq!(place.head(), head);
    golden(place, name);
}

#[test]
fn a_sheet_that_is_there_with_other_content_is_refused() {
    let name = "a_sheet_that_is_there_with_other_content_is_refused";
    let mut place = Place::with_registers(name);
    place.file("june.csv", day("2026-06-12"));
    place.done("sheet import DIR/june.csv");
    place.shown_file("again.csv", with(",24,", ",25,"));
    place.refused("sheet import DIR/again.csv");
    golden(place, name);
}

#[test]
fn a_file_that_is_not_there_is_refused() {
    let name = "a_file_that_is_not_there_is_refused";
    let mut place = Place::with_registers(name);
    place.refused("sheet import DIR/june.csv");
    place.refused("sheet import DIR/");
    place.refused("worker import DIR/workers.csv");
    golden(place, name);
}

/// A hundred million bytes without a line end are refused after the first
/// million: the file is sparse, and is never read.
#[test]
fn a_file_of_one_endless_line_is_refused_at_once() {
    let name = "a_file_of_one_endless_line_is_refused_at_once";
    let mut place = Place::with_registers(name);
    let mut start = HEADER.as_bytes().to_vec();
    start.extend_from_slice(b"2026-06-12,day,");
    place.file("june.csv", &start);
    let file = std::fs::OpenOptions::new()
        .write(true)
        .open(place.path("june.csv"))
        .unwrap();
    file.set_len(100_000_000).unwrap();
    let begun = std::time::Instant::now();
    place.refused("sheet import DIR/june.csv");
    let took = begun.elapsed();
    assert!(took.as_secs() < 5, "it took {took:?}");
    std::fs::remove_file(place.path("june.csv")).unwrap();
    golden(place, name);
}

#[test]
fn a_dry_run_says_the_same_as_the_commit_and_writes_nothing() {
    let place = Place::with_registers("a_dry_run_says_the_same_as_the_commit");
    place.file(
        "june.csv",
        second("Lucinda Farrow,assistant,PD-08,1,1,9,no,RM-08,yes,yes"),
    );
    let head = place.head();
    let rehearsed = place.done("sheet import DIR/june.csv --dry-run").out;
    assert_eq!(place.head(), head);
    let written = place.done("sheet import DIR/june.csv").out;
    assert_ne!(place.head(), head);
    let rehearsed = rehearsed.replace("dry run: 1 would be written", "1 written");
    let mut written: Vec<&str> = written.lines().collect();
    written.retain(|line| !line.starts_with("ledger seal "));
    assert_eq!(rehearsed.lines().collect::<Vec<_>>(), written);
}

#[test]
fn every_golden_file_belongs_to_a_test() {
    let mut sources = String::new();
    for entry in std::fs::read_dir("tests/all").unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            sources += &std::fs::read_to_string(path).unwrap();
        }
    }
    for entry in std::fs::read_dir("tests/golden").unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let name = name.strip_prefix("gallery-").unwrap_or(&name);
        assert!(
            sources.contains(name),
            "tests/golden/{name}.txt has no test"
        );
    }
}

#[test]
fn a_difference_from_the_golden_file_is_noticed() {
    if std::env::var_os("WEARBOOK_BLESS").is_none() {
        let other = std::panic::catch_unwind(|| {
            compare("gallery-an_empty_file_is_refused", "something else");
        });
        assert!(other.is_err());
    }
}

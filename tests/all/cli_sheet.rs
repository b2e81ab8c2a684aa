//! Handing in one sheet: by flags, and field by field at a terminal. Whole
//! transcripts: what is asked, what is typed, what is said and written.

use super::cli_support::{HEADER, Place, crew};

/// A sheet by flags, as on any day.
const FLAGS: &str = "sheet enter --day 2026-06-12 --shift day --begins 07:00 --ends 15:00 \
     --job J-1 --work radiography --device D-1 --source S-1 --control-unit C-1 \
     --guide-tubes \"G-1 G-2\" --meter SM-1 --exposures 24 --source-out-min 36.5 \
     --boundary \"1.8 mR/h\" --storage-survey \"22 mR/h\" --device-out 06:30 \
     --device-back 15:20 --attested-by W07 \
     --person \"worker=W07, role=radiographer, dosimeter=PD-07, start=0, end=12, \
     ratemeter=RM-07, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W08, role=assistant, dosimeter=PD-08, start=1, end=9, \
     ratemeter=RM-08, alarm_tested=yes, badge_worn=yes\"";

/// What a crew types for a first sheet, up to the question at the end.
const FIRST: &str = "\n\
     day\n\
     J-1\nradiography\nD-1\nS-1\nC-1\nG-1 G-2\nSM-1\n\
     W07\nradiographer\nPD-07\nRM-07\n\
     W08\nassistant\nPD-08\nRM-08\n\
     -\n\
     24\n36.5\n1.8 mR/h\n06:30\n15:20\n22 mR/h\n\
     0 12\nyes\nyes\n\
     1 9\nyes\nyes\n\
     \n";

#[test]
fn a_sheet_by_flags_is_the_sheet_of_the_file() {
    let name = "a_sheet_by_flags";
    let mut place = Place::with_registers(name);
    place.run(&format!("{FLAGS} --dry-run"));
    place.run(FLAGS);
    let head = place.head();
    place.file("june.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    let said = place.run("sheet import DIR/june.csv");
    assert_eq!(
        place.head(),
        head,
        "the file says nothing new: {}",
        said.out
    );
    place.golden(name);
}

#[test]
fn flags_that_do_not_make_a_sheet_are_refused() {
    let name = "flags_that_do_not_make_a_sheet";
    let mut place = Place::with_registers(name);
    place.refused("sheet enter");
    place.refused("sheet enter --day 2026-06-12 --shift day --work radiography");
    place.refused(&FLAGS.replace("role=assistant", "roll=assistant"));
    place.refused(&FLAGS.replace("role=assistant", "assistant"));
    place.refused(&FLAGS.replace("end=9,", "end=nine,"));
    place.refused(&FLAGS.replace("--shift day", "--shift noon"));
    place.refused(&FLAGS.replace("--shift day", "--shfit day"));
    place.golden(name);
}

#[test]
fn a_paper_sheet_keeps_its_date_signer_and_the_digest_of_its_image() {
    let name = "a_paper_sheet";
    let mut place = Place::with_registers(name);
    place.file("scan.svg", "<svg/>");
    let paper = " --paper-date 2026-06-12 --paper-signer W07 --image DIR/scan.svg";
    place.run(&format!("{FLAGS}{paper}"));
    let shown = place.run("entry show 28").out;
    assert!(shown.contains("copied from paper"), "{shown}");
    place.refused(&format!("{FLAGS} --paper-signer W07").replace("06-12", "06-11"));
    place.golden(name);
}

#[test]
fn the_first_sheet_is_asked_for_field_by_field() {
    let name = "the_first_sheet";
    let mut place = Place::with_registers(name);
    let said = place.ask("sheet enter", &format!("{FIRST}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(place.head().starts_with("28:"));
    place.golden(name);
}

#[test]
fn the_second_sheet_proposes_what_was_so_last_time() {
    let name = "the_second_sheet";
    let mut place = Place::with_registers(name);
    place.file("june.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    place.done("sheet import DIR/june.csv");
    // The same crew and equipment; readings, alarm and badge are typed anew,
    // one reading wrongly at first, and figures are corrected at the end. The
    // dosimeter that is off scale stays so and stops its wearer.
    let typed = "2026-06-14\n\nyes\n\
         30\n41\n1.6 mR/h\n06:20\n15:30\n20 mR/h\n\
         0 off\nmaybe\nyes\nyes\n\
         9\n1 9 / 0 4\nyes\nno\n\
         \n\
         exposures=31\nend=4\n3.end=5\nyes\n";
    let said = place.ask("sheet enter --by \"Mirko Sandpiper\"", typed);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("STOP  W07"), "{}", said.out);
    place.golden(name);
}

#[test]
fn a_no_at_the_end_writes_nothing() {
    let name = "a_no_at_the_end";
    let mut place = Place::with_registers(name);
    let head = place.head();
    let said = place.ask("sheet enter", &format!("{FIRST}no\n"));
    assert_eq!(said.code, 1);
    assert_eq!(place.head(), head);
    place.golden(name);
}

#[test]
fn an_input_that_ends_early_writes_nothing() {
    let place = Place::with_registers("an_input_that_ends_early");
    let mut place = place;
    let head = place.head();
    let lines: Vec<&str> = FIRST.split_inclusive('\n').collect();
    for count in (0..=lines.len()).step_by(4) {
        let said = place.ask("sheet enter", &lines[..count].concat());
        assert_eq!(said.code, 1, "after {count} lines");
        assert_eq!(place.head(), head, "after {count} lines");
    }
}

#[test]
fn a_figure_that_cannot_be_is_corrected_before_it_is_written() {
    let name = "a_figure_that_cannot_be";
    let mut place = Place::with_registers(name);
    let typed = FIRST.replace("0 12", "0 12x").replace("\n24\n", "\nmany\n");
    let typed = format!("{typed}yes\nexposures=24\n1.end=12\nyes\n");
    let said = place.ask("sheet enter", &typed);
    assert_eq!(said.code, 0, "{}", said.err);
    place.golden(name);
}

#[test]
fn an_asked_dry_run_writes_nothing() {
    let mut place = Place::with_registers("an_asked_dry_run");
    let head = place.head();
    let said = place.ask("sheet enter --dry-run", &format!("{FIRST}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.out.contains("dry run: 1 would be written"),
        "{}",
        said.out
    );
    assert_eq!(place.head(), head);
}

#[test]
fn the_template_is_a_header_that_the_import_takes() {
    let mut place = Place::with_registers("the_template");
    let header = place.done("sheet template").out;
    place.file("sheet.csv", &header);
    let said = place.refused("sheet import DIR/sheet.csv");
    assert!(
        said.err.contains("a header and nothing below it"),
        "{}",
        said.err
    );
    let columns = header.trim().split(',').count();
    let mut cells = vec![""; columns];
    for (at, column) in header.trim().split(',').enumerate() {
        cells[at] = match column {
            "day" => "2026-06-14",
            "shift" => "day",
            "job" => "J-2",
            "work" => "maintenance",
            "worker" => "W07",
            "role" => "radiographer",
            "dosimeter" => "PD-07",
            "start" | "end" => "0",
            _ => "",
        };
    }
    place.file("sheet.csv", format!("{header}{}\n", cells.join(",")));
    assert!(
        place
            .done("sheet import DIR/sheet.csv")
            .out
            .contains("1 written")
    );
}

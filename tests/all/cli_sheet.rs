//! Handing in one sheet by flags: whole transcripts.

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

//! Inspections, calibrations, inspection and maintenance and wear as the crew and the office type
//! them: whole transcripts, and every refusal.

use super::cli_support::{Place, crew};

/// A ledger with a checklist of its own figures in force.
fn with_list(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.adopt_own_list("2026-01-01");
    place
}

/// A quarterly inspection of the control unit, with one figure of its cable.
fn quarterly(on: &str, cable: &str) -> String {
    format!(
        "inspect enter --item C-1 --on {on} --at 06:20 --when quarterly --performed-by W07 \
         --line \"{cable}\" --line \"cable-connector-tilt, value=4 deg\" \
         --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\" \
         --line \"all others=good\""
    )
}

#[test]
fn an_inspection_by_flags_says_what_it_means() {
    let name = "an_inspection_by_flags";
    let mut place = with_list(name);
    place.run(&quarterly("2026-06-12", "cable-diameter, value=5.9 mm"));
    place.run(&quarterly("2026-06-12", "cable-diameter, value=5.9 mm"));
    place.run(&quarterly("2026-06-13", "cable-diameter=good, value=5.75"));
    place.run(
        "inspect enter --item D-1 --on 2026-06-13 --when \"after an event\" --performed-by W07 \
         --line \"device-lock=defect, note=key turns only when jiggled, action=tagged\"",
    );
    place.run("inspect list C-1 --year 2026");
    place.run("inspect show 30");
    place.run("wear list --on 2026-06-14");
    place.run("wear show C-1 --on 2026-06-14");
    place.run("equipment show C-1 --on 2026-06-14");
    place.run("equipment due --on 2026-06-14");
    place.golden(name);
}

#[test]
fn an_inspection_is_asked_item_by_item() {
    let name = "an_inspection_item_by_item";
    let mut place = with_list(name);
    place.hand_in(&crew("2026-06-12", "day"));
    // The set of the last sheet is proposed; here only the control unit is looked at. A slip
    // is taken back, a figure that no gauge shows is asked again.
    let good = "g\n".repeat(2);
    let typed = format!(
        "\n06:20\nquarterly\nW07\nC-1\n{good}b\ng\ng\n60\n\n6 mR/h\n6\n4\nd\nrust at \
         one strand\nwithdrawn and tagged\ng\ng\ng\ng\n\nD-9\nD-1\nn\ng\ng\nno\n"
    );
    place.ask("inspect enter", &typed);
    let typed = typed.trim_end_matches("no\n").to_owned() + "yes\n";
    place.ask("inspect enter", &typed);
    place.golden(name);
}

#[test]
fn what_no_inspection_can_say_is_refused_whole() {
    let name = "what_no_inspection_can_say";
    let mut place = Place::with_registers(name);
    place.refused(&quarterly("2026-06-12", "cable-diameter, value=5.9 mm"));
    place.adopt_own_list("2026-01-01");
    let header = place.done("inspect template").out;
    // None has a number of its own or the code of a form.
    let row = |text: &str| format!("{header}{},,\n", text.replace('\n', ",,\n"));
    for (file, text) in [
        ("future.csv", "C-1,2026-06-16,,daily,W07,,,crank,good,,,,"),
        ("early.csv", "C-1,2019-06-12,,daily,W07,,,crank,good,,,,"),
        ("unknown.csv", "C-9,2026-06-12,,daily,W07,,,crank,good,,,,"),
        ("item.csv", "C-1,2026-06-12,,daily,W07,,,cranc,good,,,,"),
        (
            "other.csv",
            "C-1,2026-06-12,,daily,W07,,,device-lock,good,,,,",
        ),
        (
            "unit.csv",
            "C-1,2026-06-12,,quarterly,W07,,,cable-diameter,,4 deg,,,",
        ),
        (
            "far.csv",
            "C-1,2026-06-12,,quarterly,W07,,,cable-diameter,,60,,,",
        ),
        (
            "figure.csv",
            "C-1,2026-06-12,,daily,W07,,,crank,good,3 in,,,",
        ),
        ("words.csv", "C-1,2026-06-12,,daily,W07,,,crank,defect,,,,"),
        (
            "mate.csv",
            "C-1,2026-06-12,,daily,W07,,,connector-mating,good,,,,",
        ),
        (
            "mates.csv",
            "C-1,2026-06-12,,daily,W07,S-1,,connector-mating,good,,,,",
        ),
        ("result.csv", "C-1,2026-06-12,,daily,W07,,,crank,fine,,,,"),
        (
            "twice.csv",
            "C-1,2026-06-12,,daily,W07,,,crank,good,,,,\n,,,,,,,crank,good,,,,",
        ),
        (
            "whole.csv",
            "C-1,2026-06-12,,quarterly,W07,,,all others,good,,,,",
        ),
    ] {
        place.file(file, row(text));
        place.refused(&format!("inspect import DIR/{file}"));
    }
    let counter =
        "inspect enter --item D-1 --when daily --performed-by W07 --line device-lock=good";
    place.run(&format!("{counter} --on 2026-06-10 --counter 4120"));
    place.refused(&format!("{counter} --on 2026-06-12 --counter 4119"));
    place.golden(name);
}

#[test]
fn an_implausible_figure_stays_with_a_note() {
    let place = with_list("an-implausible-figure");
    let far = "cable-diameter, value=9 mm, note=read twice with two gauges";
    place.done(&quarterly("2026-06-12", far));
}

#[test]
fn a_calibration_is_judged_by_its_points() {
    let name = "a_calibration_by_its_points";
    let mut place = Place::with_registers(name);
    let meter = "instrument calibrate SM-1 --performed-by \"Cal Lab (invented)\" --certificate C-9";
    let point = |state: &str, scale: &str, is: &str, reads: &str| {
        format!(" --point \"{state}, scale={scale}, true={is}, reads={reads}\"")
    };
    let all = |state: &str, low: &str| {
        point(state, "10 mR/h", "3.3 mR/h", low)
            + &point(state, "10 mR/h", "6.7 mR/h", "6.5 mR/h")
            + &point(state, "100 mR/h", "33 mR/h", "35 mR/h")
            + &point(state, "100 mR/h", "67 mR/h", "70 mR/h")
            + &point(state, "1000 mR/h", "330 mR/h", "310 mR/h")
            + &point(state, "1000 mR/h", "670 mR/h", "650 mR/h")
    };
    // 20 % is still right, a hair more is not.
    place.run(&format!(
        "{meter} --on 2026-06-10{}",
        all("found", "3.96 mR/h")
    ));
    place.run(&format!(
        "{meter} --on 2026-06-11{}{}",
        all("found", "3.9601 mR/h"),
        all("left", "3.3 mR/h")
    ));
    place.run("instrument show SM-1 --on 2026-06-12");
    let ratemeter = "instrument calibrate RM-07 --performed-by \"Cal Lab (invented)\"";
    place.run(&format!(
        "{ratemeter} --on 2026-06-10 --point \"found, true=400 mR/h\""
    ));
    place.run(&format!(
        "{ratemeter} --on 2026-06-11 --point \"found, true=601 mR/h\""
    ));
    place.run("instrument due --within 400 --on 2026-06-12");
    place.refused(&format!("{meter} --on 2026-06-12"));
    let one = |on: &str, more: &str| format!("{meter} --on {on}{more}");
    let good = point("found", "10 mR/h", "3.3 mR/h", "3.3 mR/h");
    place.refused(&one("2026-06-16", &good));
    place.refused(&one("2023-06-12", &good));
    place.refused(&one(
        "2026-06-12",
        &point("found", "20 mR/h", "3.3 mR/h", "3.3 mR/h"),
    ));
    place.refused(&one(
        "2026-06-12",
        &point("found", "10 mR/h", "0 mR/h", "3.3 mR/h"),
    ));
    place.refused(&one(
        "2026-06-12",
        &point("found", "10 mR/h", "3.3 mR", "3.3 mR/h"),
    ));
    let bad = point("left", "10 mR/h", "3.3 mR/h", "6 mR/h");
    place.refused(&one("2026-06-12", &format!("{bad} --result pass")));
    place.golden(name);
}

#[test]
fn what_is_done_to_equipment_is_registered_or_refused() {
    let name = "what_is_done_to_equipment";
    let mut place = Place::with_registers(name);
    let fit = "equipment install --component \"drive cable\" --performed-by W07 --serial K-7";
    place.run(&format!("{fit} --equipment C-1 --installed-on 2026-06-01"));
    place.refused(&format!("{fit} --equipment D-1 --installed-on 2026-06-02"));
    place.refused(&format!("{fit} --equipment C-1 --installed-on 2019-06-01"));
    place.run("equipment load --device D-1 --source S-1 --on 2026-06-01 --performed-by W07");
    place.refused("equipment load --device S-1 --source D-1 --on 2026-06-01 --performed-by W07");
    let wipe = "equipment leak-test --item S-1 --on 2026-06-01 --part source --performed-by Lab";
    place.refused(&format!("{wipe} --removable 12"));
    place.run(&format!("{wipe} --removable \"185 Bq\""));
    place.refused("equipment inventory --on 2026-06-02 --performed-by W07 --found \"S-1 S-11\"");
    place.run("equipment inventory --on 2026-06-02 --performed-by W07 --found \"S-1\"");
    place.run(
        "instrument service --instrument RM-08 --on 2026-06-02 --type servicing \
         --what \"horn exchanged\" --performed-by Lab",
    );
    place.run("findings --year 2026 --on 2026-06-03");
    place.run("equipment show S-1 --on 2026-06-03");
    place.golden(name);
}

#[test]
fn a_checklist_of_the_site_is_checked_compared_and_adopted() {
    let name = "a_checklist_of_the_site";
    let mut place = Place::with_registers(name);
    let site = "checklist = \"our yard\"\ntitle = \"Our list\"\nconfirm = \"Check the manual.\"\n\
        extends = \"general\"\nremove = [\"position-indicator\"]\n\n[[item]]\n\
        key = \"cable-diameter\"\non = \"control unit\"\ncomponent = \"drive cable\"\n\
        look = \"diameter\"\ngood = \"not below 5.7 mm\"\nwhen = [\"quarterly\"]\n\
        detects = [\"drive-cable-broken\"]\nbasis = \"manual, page 12\"\nstatus = \"read\"\n\
        [item.measure]\nlimit = \"5.7 mm\"\nsense = \"not below\"\nstep = \"0.1 mm\"\n\
        lowest = \"4 mm\"\nhighest = \"8 mm\"\n";
    place.shown_file("site.toml", site);
    place.run("checklist check DIR/site.toml");
    place.run("checklist compare general DIR/site.toml");
    place.run("checklist adopt DIR/site.toml --from 2026-06-01");
    place.run("checklist list");
    let wrong = site
        .replace("not below\"", "not under\"")
        .replace("drive-cable-broken", "drive-cable-brocken")
        .replace("position-indicator", "position-indikator");
    place.file("wrong.toml", wrong);
    place.refused("checklist check DIR/wrong.toml");
    place.refused("checklist adopt DIR/wrong.toml --from 2026-06-01");
    place.refused("checklist show generel");
    // An inspection is bound to the list of its day: it cannot be taken away from under it.
    place.run(
        "inspect enter --item C-1 --on 2026-06-12 --when daily --performed-by W07 --line \
        crank=good",
    );
    place.refused("entry void 28 --reason \"not ours\"");
    place.golden(name);
}

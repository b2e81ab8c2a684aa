//! Inspection and maintenance as the office and the crew write it down and see it: inspections,
//! calibrations, parts, what falls due, wear, checklists. Transcripts in golden files.

use super::cli_support::{Place, crew};

/// The test company with a checklist of its own figures and a cable with a number.
pub fn kept(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.adopt_own_list("2025-01-01");
    place.done(
        "equipment install --equipment C-1 --component \"drive cable\" --installed-on 2025-01-06 \
         --performed-by \"Adaeze Hollow\" --serial K-17",
    );
    place
}

/// What a crew of the test company hands in.
pub fn sheet_of(place: &Place, day: &str) {
    place.hand_in(&crew(day, "day"));
}

/// A whole quarterly inspection of the control unit.
pub fn measured(place: &Place, day: &str, value: &str) {
    place.done(&format!(
        "inspect enter --item C-1 --on {day} --at 06:20 --when quarterly --performed-by W07 \
         --line \"cable-diameter, value={value}\" --line \"cable-connector-tilt, value=2 deg\" \
         --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\" \
         --line \"all others=good\""
    ));
}

#[test]
fn a_quarterly_form_has_every_item_with_its_limit_and_caution() {
    let mut place = kept("maintenance-form");
    place.run("form inspect D-1 --when quarterly");
    place.run("form inspect SM-1");
    place.golden("maintenance-form");
}

/// Questions, the other item of a mating check, mistakes, a step back over items, a defect.
#[test]
fn an_inspection_by_prompt_asks_again_and_keeps_what_was_answered() {
    let mut place = kept("maintenance-prompt");
    measured(&place, "2026-03-10", "6 mm");
    let answers = [
        // Head: a day to come, one without a list, an hour, an occasion, a stranger, items.
        "2026-06-16\n2024-12-31\n12/06/2026\n2026-06-14\n6.20\n06:20\nweekly\nquarterly",
        "\nW70\nno\nW07\n",
        "\nC-9\nC-1 G-1 c-1",
        // The first item has nothing before it.
        "b\ng\ng\ng",
        // A slip of the point, a wrong unit, no unit.
        "g\n60\nno\n6 mR/h\n5.95",
        "12 deg\ng",
        // A step back.
        "b\ng\nx\ng\ng\ng",
        // The other item.
        "g\nD-9\nD-1\ng\nS-1\ng\ng",
        // The second item, back into the first.
        "b\nn\ng\ng\ng\nd\n\nkink at the middle\ntaken out\ng\ng\ng\ng\ng\ng",
        "no\n",
    ];
    let said = place.ask("inspect enter", &answers.join("\n"));
    assert_eq!(said.code, 1, "{}", said.err);
    assert!(said.err.contains("error: nothing was written"));
    assert!(place.head().starts_with("30:"), "nothing is written");
    // The same with a yes at the end.
    let typed = answers.join("\n");
    let yes = typed
        .strip_suffix("no\n")
        .expect("the last answer")
        .to_owned()
        + "yes\n";
    let before = place.said_at_terminal("inspect enter", &yes);
    assert_eq!(before.code, 0, "{}", before.err);
    place.run("inspect show 31");
    place.golden("maintenance-prompt");
}

/// A day's check of one set: device, control unit, guide tube, meter and ratemeter.
#[test]
fn a_days_check_of_one_set_takes_less_than_fifty_answers() {
    let mut place = kept("maintenance-day");
    let good = |count: usize| "g\n".repeat(count);
    let typed = format!(
        "\n06:20\n\nW07\nD-1 C-1 G-1 SM-1 RM-07\n35\n{}{}\nD-1\n{}{}{}yes\n",
        good(9),
        good(8).trim_end(),
        good(1),
        good(8),
        good(8)
    );
    assert!(typed.lines().count() < 50 && typed.len() < 140, "{typed}");
    let said = place.ask("inspect enter", &typed);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.starts_with("5 inspections\n"), "{}", said.out);
    assert!(!said.out.contains("NOT DONE"), "{}", said.out);
}

#[test]
fn an_inspection_file_with_faults_names_each_and_writes_nothing() {
    let mut place = kept("maintenance-import");
    const TOP: &str =
        "item,on,at,when,performed_by,with,counter,line,result,value,note,action,remark\n";
    place.shown_file(
        "bad.csv",
        format!(
            "{TOP}C-1,2026-06-14,06:20,daily,W07,,120,crank,good,,,,\n\
             C-1,2026-06-14,06:20,daily,W08,,,conduit,defect,,dented,,\n\
             C-1,2026-06-14,06:20,daily,,D-9,,connector-mating,good,,,,\n\
             C-1,2026-06-14,06:20,daily,,,,krank,good,,,,\n\
             C-1,2026-06-14,06:20,daily,,,,cable-diameter,,60 mm,,,\n\
             C-1,2026-06-14,06:20,daily,,,,crank,good,0.1 in,,,\n\
             D-1,2026-06-16,06:20,daily,W07,,,device-lock,good,,,,\n\
             G-1,2019-06-14,6:20,daily,W07,,,tube-kinks,fine,,,,\n\
             Q-1,2026-06-14,06:20,sometimes,W07,,,tube-kinks,good,,,,\n"
        ),
    );
    place.refused("inspect import DIR/bad.csv");
    place.shown_file(
        "good.csv",
        format!(
            "{TOP}C-1,2026-06-14,06:20,daily,W07,D-1,120,connector-mating,good,,,,\n\
             C-1,2026-06-14,06:20,daily,,,,conduit,defect,,dented,withdrawn,\n\
             C-1,2026-06-14,06:20,daily,,,,all others,,,,,\n\
             G-1,2026-06-14,06:25,daily,W07,,,all others,good,,,,\n"
        ),
    );
    place.run("inspect import DIR/good.csv");
    place.run("inspect import DIR/good.csv");
    place.golden("maintenance-import");
}

const POINTS: &str = "--point \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.5 mR/h\" \
     --point \"found, scale=10 mR/h, true=6.7 mR/h, reads=6.5 mR/h\" \
     --point \"found, scale=100 mR/h, true=33 mR/h, reads=34 mR/h\" \
     --point \"found, scale=100 mR/h, true=67 mR/h, reads=70 mR/h\" \
     --point \"found, scale=1000 mR/h, true=330 mR/h, reads=340 mR/h\"";

#[test]
fn a_calibration_is_judged_point_by_point_and_a_failure_looks_back() {
    let mut place = kept("maintenance-calibrate");
    sheet_of(&place, "2026-06-12");
    let line = "instrument calibrate SM-1 --on 2026-06-14 --performed-by \"Outside Laboratory\" \
                --certificate C-204";
    // One scale lacks a point, and one point is 30 % high as found.
    place.run(&format!(
        "{line} {POINTS} --point \"found, scale=1000 mR/h, true=670 mR/h, reads=871 mR/h\" \
         --point \"left, scale=1000 mR/h, true=670 mR/h, reads=680 mR/h\""
    ));
    place.run("instrument show SM-1");
    place.run(
        "instrument calibrate PD-08 --on 2026-06-14 --type \"response check\" \
         --performed-by \"Outside Laboratory\" --point \"found, true=100 mR, reads=75 mR\"",
    );
    place.run("instrument show PD-08");
    place.run(
        "instrument calibrate RM-07 --on 2026-06-14 --performed-by \"Outside Laboratory\" \
         --point \"found, true=600 mR/h\"",
    );
    place.run(
        "instrument service --instrument SM-1 --on 2026-06-15 --type servicing \
         --what \"new tube\" --performed-by \"Outside Laboratory\"",
    );
    place.run("instrument due --within 30");
    place.run("findings --from 2026-06-01 --to 2026-06-15");
    place.golden("maintenance-calibrate");
}

#[test]
fn equipment_is_shown_whole_with_parts_source_tests_and_duties() {
    let mut place = kept("maintenance-equipment");
    place.done(
        "equipment load --device D-1 --source S-1 --on 2026-04-13 --performed-by \"Adaeze Hollow\"",
    );
    place.done(
        "equipment inventory --on 2026-04-15 --performed-by \"Adaeze Hollow\" --found \"D-1 S-1\"",
    );
    measured(&place, "2026-03-10", "5.98 mm");
    place.done(
        "equipment out-of-service --item C-1 --on 2026-06-01 --reason \"crank slips\" \
         --performed-by \"Adaeze Hollow\"",
    );
    place.done(
        "equipment return --item C-1 --on 2026-06-03 --done \"gear exchanged, tried\" \
         --performed-by \"Adaeze Hollow\"",
    );
    for line in [
        "equipment show C-1",
        "equipment show D-1",
        "equipment show S-1",
        "equipment due --within 60",
        "equipment due --within 60 --check",
    ] {
        place.run(line);
    }
    place.golden("maintenance-equipment");
}

#[test]
fn wear_is_listed_and_shown_with_line_limit_and_breaks() {
    let mut place = kept("maintenance-wear");
    for (day, value) in [
        ("2025-03-10", "6 mm"),
        ("2025-06-10", "5.96 mm"),
        ("2025-09-10", "5.93 mm"),
        ("2025-12-10", "5.89 mm"),
        ("2026-03-10", "5.85 mm"),
    ] {
        measured(&place, day, value);
    }
    place.run("wear list");
    place.run("wear show C-1");
    place.done(
        "equipment install --equipment C-1 --component \"drive cable\" --installed-on 2026-06-01 \
         --performed-by \"Adaeze Hollow\" --serial K-18",
    );
    measured(&place, "2026-06-02", "6.01 mm");
    place.run("wear show C-1");
    place.run("wear list");
    place.golden("maintenance-wear");
}

const SITE: &str = r#"extends = "general"
checklist = "heron"
title = "Heron list (invented)"
remove = ["device-shutter"]

[[item]]
key = "cable-diameter"
on = "control unit"
component = "drive cable"
look = "outside diameter at the most worn place"
good = "not below 5.85 mm"
when = ["quarterly", "after an event"]
detects = ["drive-cable-broken"]
basis = "the maker's manual (invented)"
status = "read"
[item.measure]
limit = "5.85 mm"
sense = "not below"
step = "0.01 mm"
nominal = "6 mm"
lowest = "4 mm"
highest = "8 mm"
"#;

#[test]
fn a_site_s_own_list_is_checked_compared_adopted_and_shown() {
    let mut place = kept("maintenance-checklist");
    place.shown_file("site.toml", SITE);
    place.run("checklist check DIR/site.toml");
    place.run("checklist compare general DIR/site.toml");
    place.run("checklist adopt DIR/site.toml --from 2026-06-01");
    place.run("checklist list");
    place.run("checklist show heron --of \"control unit\"");
    let bad = SITE
        .replace("\"device-shutter\"", "\"device-shuter\"")
        .replace("status = \"read\"", "status = \"sure\"")
        .replace("\"quarterly\"", "\"weekly\"")
        .replace("limit = \"5.85 mm\"", "limit = \"5.85 mR/h\"");
    place.shown_file("bad.toml", bad);
    place.refused("checklist check DIR/bad.toml");
    place.refused("checklist adopt DIR/bad.toml --from 2026-06-01");
    place.golden("maintenance-checklist");
}

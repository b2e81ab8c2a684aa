//! An off-scale dosimeter from its sheet to the RSO's determination, and back when that is voided.

use super::cli_demo::{data, list};
use super::cli_support::{HEADER, Place, data_of, row};

/// W07's dosimeter was set back to zero in the middle of the shift and went off-scale after it.
fn two_parts(name: &str) -> Place {
    let place = Place::with_registers(name);
    let sheet = row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,1,0,60,no,RM-07,yes,yes",
    ) + &row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,2,0,,yes,RM-07,yes,yes",
    ) + &row(
        "2026-06-12",
        "day",
        "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
    );
    place.hand_in(&sheet);
    place
}

const DETERMINE: &str = "determination enter --worker W07 --sheet 28 --quantity deep \
     --relation replaces --method co-worker --basis \"W08 beside him all the time\" \
     --on 2026-06-13 --performed-by W01";

/// The findings of 2026 of one check.
pub fn lines_of_check(place: &Place, flags: &str, check: &str) -> Vec<serde_json::Value> {
    let data = data_of(place, &format!("findings --year 2026 {flags}"));
    let lines = data["lines"].as_array().expect("lines").clone();
    lines
        .into_iter()
        .filter(|it| it["check"] == check)
        .collect()
}

fn off_scale(place: &Place, flags: &str) -> Vec<serde_json::Value> {
    lines_of_check(place, flags, "off-scale")
}

fn deep(place: &Place) -> (serde_json::Value, serde_json::Value) {
    let out = place.done("dose show W07 --year 2026 --json").out;
    let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let deep = &all["data"]["totals"][0];
    assert_eq!(deep["quantity"], "deep");
    (
        deep["total"]["known_nsv"].clone(),
        deep["total"]["undetermined"].clone(),
    )
}

#[test]
fn a_determination_names_the_part_of_a_dosimeter_that_was_set_back_to_zero() {
    let mut place = two_parts("off-scale-parts");
    let said = place.refused(&format!("{DETERMINE} --dose \"70 mrem\""));
    assert!(
        said.err.contains("set back to zero on this shift"),
        "{}",
        said.err
    );
    assert!(said.err.contains("one of `1` or `2`"), "{}", said.err);
    let said = place.refused(&format!("{DETERMINE} --dose \"70 mrem\" --part 3"));
    assert!(
        said.err.contains("is not a part of it on this sheet"),
        "{}",
        said.err
    );
    // The first part has a figure; to determine it leaves the second open.
    place.done(&format!("{DETERMINE} --dose \"61 mrem\" --part 1"));
    assert_eq!(deep(&place), (610_000.into(), true.into()));
    assert_eq!(off_scale(&place, "").len(), 1);
    place.done(&format!("{DETERMINE} --dose \"70 mrem\" --part 2"));
    assert_eq!(deep(&place), (1_310_000.into(), false.into()));
    assert!(off_scale(&place, "").is_empty());
    let list = place.done("determination list").out;
    assert!(list.contains("PD-07 part 2 on"), "{list}");
    // The same again is the same, of either part.
    let again = place
        .done(&format!("{DETERMINE} --dose \"70 mrem\" --part 2"))
        .out;
    assert!(
        again.starts_with("0 written, 1 were there already"),
        "{again}"
    );
    place.done("ledger verify --full");
}

#[test]
fn an_off_scale_finding_ends_with_the_determination_and_returns_when_that_is_voided() {
    let place = two_parts("off-scale-resolved");
    let open = off_scale(&place, "");
    assert_eq!((open.len(), &open[0]["severity"]), (1, &"stop".into()));
    assert_eq!(place.quiet("findings --year 2026 --check").code, 3);
    place.done(&format!("{DETERMINE} --dose \"70 mrem\" --part 2"));
    assert!(off_scale(&place, "").is_empty());
    let all = off_scale(&place, "--answered");
    assert_eq!(all[0]["settled_by"], serde_json::json!([29]));
    let text = place.done("findings --year 2026 --answered").out;
    assert!(text.contains("resolved by entry 29"), "{text}");
    place.done("entry void 29 --reason \"wrong co-worker\"");
    assert_eq!(off_scale(&place, ""), open);
    place.done("entry reinstate 30 --reason \"right after all\"");
    assert!(off_scale(&place, "").is_empty());
}

/// A determination that only adds, or of the skin alone, says nothing of what was off-scale.
#[test]
fn only_a_determination_of_the_deep_dose_that_stands_for_it_settles() {
    let place = two_parts("off-scale-other");
    let adds = DETERMINE.replace("replaces", "adds");
    place.done(&format!("{adds} --dose \"70 mrem\" --part 2"));
    assert_eq!(off_scale(&place, "").len(), 1);
    let skin = DETERMINE.replace("deep", "shallow");
    place.done(&format!("{skin} --dose \"70 mrem\" --part 2"));
    assert_eq!(off_scale(&place, "").len(), 1);
}

/// demo/README.md: 213 mrem on one shift, the badge sent, its result accepted before the next.
#[test]
fn an_accepted_result_settles_what_an_electronic_dosimeter_showed() {
    let october = "findings --from 2025-10-01 --to 2025-10-31 --on 2026-06-05";
    let of = |line: &str| -> Vec<serde_json::Value> {
        let all = data(line);
        let key = "electronic-over-shift-limit";
        let found = list(&all["lines"]).iter().filter(|it| it["check"] == key);
        found.cloned().collect()
    };
    assert!(of(october).is_empty());
    let all = of(&format!("{october} --answered"));
    assert_eq!(all.len(), 1);
    assert_eq!(all[0]["subject"], "W07");
    assert_eq!(all[0]["settled_by"].as_array().map(Vec::len), Some(1));
}

/// Now it is seven in the morning of 15 June.
#[test]
fn the_clock_of_the_badge_counts_from_the_end_of_the_shift_or_the_earliest_that_can_be() {
    let rows = [
        (
            "2026-06-14,night,22:30,00:16",
            "from the end of the shift at 2026-06-15 00:16: 17 h 16 min left",
        ),
        (
            "2026-06-14,day,07:00,15:00",
            "from the end of the shift at 2026-06-14 15:00: 8 h 0 min left",
        ),
        (
            "2026-06-14,evening,15:00,00:00",
            "from the end of the shift at 2026-06-15 00:00: 17 h 0 min left",
        ),
        (
            "2026-06-14,night,,05:00",
            "from the end of the shift at 2026-06-15 05:00: 22 h 0 min left",
        ),
        (
            "2026-06-14,night,,23:30",
            "from the end of the shift at 2026-06-14 23:30: 16 h 30 min left",
        ),
        (
            "2026-06-14,night,22:30,",
            "from the beginning of the shift at 22:30, no end on the sheet: 15 h 30 min left",
        ),
        (
            "2026-06-14,night,,",
            "from 00:00 on 2026-06-14, no hours on the sheet: overdue by 7 h 0 min",
        ),
        (
            "2026-06-15,day,06:00,15:00",
            "from the writing of the sheet at 2026-06-15 07:00: 24 h 0 min left",
        ),
    ];
    for (at, (head, clock)) in rows.into_iter().enumerate() {
        let place = Place::with_registers(&format!("off-scale-clock-{at}"));
        let day = head.split(',').next().unwrap_or_default();
        let person = "W07,radiographer,PD-07,1,0,,yes,RM-07,yes,yes";
        let sheet = row(day, "day", person).replace(&format!("{day},day,07:00,15:00"), head);
        place.hand_in(&sheet);
        for asked in ["work-status W07", "board"] {
            let out = place.done(asked).out;
            let said = out.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(said.contains(clock), "{head}, {asked}: {out}");
        }
    }
}

/// 10 CFR 34.47(d): whoever shows more than the dosimeter can show stops as one off-scale does, in
/// every answer, until the dose is determined. A disposition that it counts gives it no upper
/// bound.
#[test]
fn more_than_a_dosimeter_can_show_is_off_scale_in_every_answer() {
    let place = Place::with_registers("off-scale-above-range");
    let sheet = row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,1,0,215,no,RM-07,yes,yes",
    ) + &row(
        "2026-06-12",
        "day",
        "W08,assistant,PD-08,1,1,200,no,RM-08,yes,yes",
    );
    let file = place.file("sheet.csv", format!("{HEADER}{sheet}"));
    let said = place.done(&format!("sheet import {file}")).out;
    assert!(said.contains("STOP  W07"), "{said}");
    assert!(!said.contains("STOP  W08"), "the top of its range: {said}");
    let stands = |place: &Place, how: &str| {
        assert_eq!(off_scale(place, "").len(), 1, "{how}");
        assert!(deep(place).1.as_bool() == Some(true), "{how}");
        let said = place.done("work-status W07").out;
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        for part in [
            "PD-07 off-scale at 215 mR on 2026-06-12: the dose is not determined",
            "badge to the processor after the off-scale reading of 2026-06-12",
        ] {
            assert!(said.contains(part), "{how}: {said}");
        }
        let board = place.done("board").out;
        let board = board.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(board.contains("STOP W07 Mirko Sandpiper"), "{how}: {board}");
        assert!(board.contains("off scale on 2026-06-12"), "{how}: {board}");
    };
    stands(&place, "hold list");
    place.done("hold resolve 28.1 --counts --reason \"read twice\"");
    stands(&place, "ruled to count");
    assert_eq!(deep(&place).0, 2_150_000);
    place.done(&format!("{DETERMINE} --dose \"250 mrem\""));
    assert!(off_scale(&place, "").is_empty());
    assert_eq!(deep(&place), (2_500_000.into(), false.into()));
    place.done("ledger verify --full");
}

/// A file that cannot be taken in at all says who was off-scale all the same.
#[test]
fn a_refused_file_says_who_was_off_scale_whatever_is_wrong_with_it() {
    let off = "W07,radiographer,PD-07,1,0,off,,RM-07,yes,yes";
    let above = "W07,radiographer,PD-07,1,0,215,no,RM-07,yes,yes";
    let ticked = "W07,radiographer,PD-07,1,0,,TRUE,RM-07,yes,yes";
    let well = "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes";
    let file = |person: &str| format!("{HEADER}{}", row("2026-06-12", "day", person));
    let heading = |text: String| text.replace(",end,", ",End reading,");
    for (how, text, stops) in [
        ("semicolons", file(off).replace(',', ";"), true),
        ("semicolons, above", file(above).replace(',', ";"), true),
        ("semicolons, ticked", file(ticked).replace(',', ";"), true),
        ("semicolons, well", file(well).replace(',', ";"), false),
        ("another heading", heading(file(off)), true),
        ("another heading, above", heading(file(above)), true),
        ("another heading, well", heading(file(well)), false),
        ("a torn row", file(off).replace("36.5", "36,5"), true),
        (
            "a torn row, well",
            file(well).replace("36.5", "36,5"),
            false,
        ),
        (
            "a wrong cell, above",
            file(above).replace(",24,", ",many,"),
            true,
        ),
        ("no day, above", file(above).replace("2026-06-12", ""), true),
    ] {
        let mut place = Place::with_registers(&format!("off-scale-refused-{how}"));
        let name = place.file("sheet.csv", text);
        let said = place.refused(&format!("sheet import {name}")).err;
        assert_eq!(
            said.matches("STOP  W07").count(),
            usize::from(stops),
            "{how}: {said}"
        );
        assert_eq!(said.contains("off-scale"), stops, "{how}: {said}");
    }
}

/// One run tells what is wrong with a figure and with a unit.
#[test]
fn a_fault_of_a_unit_is_told_with_the_others() {
    let mut place = Place::with_registers("faults-of-units");
    let rows = row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes",
    );
    let rows = rows.replace(",24,", ",many,").replace("1.8 mR/h", "1.8");
    let name = place.file("sheet.csv", format!("{HEADER}{rows}"));
    let said = place.refused(&format!("sheet import {name}")).err;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in ["2 faults", "exposures: `many`", "boundary: `1.8`"] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

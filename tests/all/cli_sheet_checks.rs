//! What of a sheet is questioned: hours and places that cannot be, answers that say no, who signs;
//! and a person who was forgotten on it.

use super::cli_support::{HEADER, Place, crew, row};

/// The findings of a key: what each says, and its own key.
fn found(place: &Place, check: &str) -> Vec<(String, String)> {
    let all = place.done("findings --year 2026 --json").out;
    let all: serde_json::Value = serde_json::from_str(&all).expect("JSON");
    let lines = all["data"]["lines"].as_array().expect("lines").clone();
    let text = |it: &serde_json::Value| it.as_str().expect("a text").to_owned();
    let of_it = lines.iter().filter(|it| it["check"] == check);
    of_it
        .map(|it| (text(&it["what"]), text(&it["key"])))
        .collect()
}

/// A sheet of W07 and W08 with further columns.
fn with_more(name: &str, columns: &str, values: &str) -> Place {
    let place = Place::with_registers(name);
    let rows = crew("2026-06-12", "day");
    let rows: Vec<String> = rows.lines().map(|it| format!("{it},{values}\n")).collect();
    let header = HEADER.trim_end();
    place.file("june.csv", format!("{header},{columns}\n{}", rows.concat()));
    place.done("sheet import DIR/june.csv");
    place
}

#[test]
fn a_no_on_a_sheet_is_found_and_a_yes_is_not() {
    for (columns, values, check, count) in [
        ("locked", "no", "not-locked", 1),
        ("locked", "yes", "not-locked", 0),
        ("locked", "", "not-locked", 0),
        ("recharged", "no", "not-recharged", 2),
        ("recharged", "yes", "not-recharged", 0),
        ("signed_by", "W08", "signed-by-no-radiographer", 1),
        ("signed_by", "no one", "signed-by-no-radiographer", 1),
        ("signed_by", "W07", "signed-by-no-radiographer", 0),
        ("signed_by", "W01", "signed-by-no-radiographer", 0),
    ] {
        let place = with_more(&format!("a no of {columns} {values}"), columns, values);
        let all = found(&place, check);
        assert_eq!(all.len(), count, "{columns} {values}: {all:?}");
    }
}

/// Where the ledger keeps certifications, they say who signs and not the word on the sheet.
#[test]
fn who_signs_without_a_certification_in_force_is_told() {
    let place = with_more("signed without a certification", "signed_by", "W07");
    let check = "signed-by-no-radiographer";
    assert!(found(&place, check).is_empty());
    place.done(
        "worker qualification --worker W01 --type certification --on 2026-01-01 --performed-by x",
    );
    let all = found(&place, check);
    let what = "signed for the radiographer by W07, radiographer without certification on record";
    assert!(all.len() == 1 && all[0].0.ends_with(what), "{all:?}");
}

#[test]
fn a_device_that_was_out_for_much_longer_than_the_shift_is_asked_about() {
    for (out, back, count) in [
        ("06:30", "15:20", 0),
        ("07:00", "19:00", 0),
        ("06:59", "19:00", 1),
        // The two in the wrong order: 910 minutes in a shift of eight hours.
        ("15:20", "06:30", 1),
    ] {
        let place = Place::with_registers(&format!("device out {out} to {back}"));
        let rows = crew("2026-06-12", "day").replace("06:30,15:20", &format!("{out},{back}"));
        place.file("june.csv", format!("{HEADER}{rows}"));
        place.done("sheet import DIR/june.csv");
        let all = found(&place, "hours-at-odds");
        assert_eq!(all.len(), count, "{out} {back}: {all:?}");
    }
}

/// Only the hours of both sheets say that one device was in two places.
#[test]
fn one_device_on_two_sheets_at_once_is_held_and_keeps_no_dose_out() {
    let other = "W09,radiographer,PD-09,1,0,3,no,,,yes";
    for (hours, job, held) in [
        ("12:00,18:00", "J-2", 1),
        ("15:00,18:00", "J-2", 0),
        ("15:00,18:00", "J-1", 0),
        (",", "J-2", 0),
    ] {
        let place = Place::with_registers(&format!("one device twice {hours} {job}"));
        let second = row("2026-06-12", "evening", other)
            .replace("15:00,23:00,J-1", &format!("{hours},{job}"));
        let rows = crew("2026-06-12", "day") + &second;
        place.file("june.csv", format!("{HEADER}{rows}"));
        place.done("sheet import DIR/june.csv");
        let text = place.done("hold list").out;
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(
            text.matches("device in two places").count(),
            held,
            "{hours}: {text}"
        );
        if held > 0 {
            let what = "`D-1` is on the sheet of entry 28 at the same time";
            assert!(text.contains(what), "{text}");
            let dose = place.done("dose show W09 --year 2026").out;
            assert!(!dose.contains("on hold"), "{dose}");
        }
    }
}

#[test]
fn somebody_forgotten_on_a_sheet_is_added_by_a_correction() {
    let mut place = Place::with_registers("somebody forgotten");
    place.file("june.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    place.done("sheet import DIR/june.csv");
    let add = "entry correct 28 people.3.worker=W09 people.3.role=assistant \
               people.3.readings.1.dosimeter=PD-09 people.3.readings.1.start=0 \
               people.3.readings.1.end=4";
    // What is lacking is named.
    let said = place.refused(&format!("{add} --reason forgotten")).err;
    for part in ["people.3.readings.1.part", "people.3.readings.1.off_scale"] {
        assert!(said.contains(part), "{said}");
    }
    // Nobody is put behind one who is not there.
    let said = place
        .refused("entry correct 28 people.9.worker=W09 --reason forgotten")
        .err;
    assert!(said.contains("or 3 to add one"), "{said}");
    let rest = "people.3.readings.1.part=1 people.3.readings.1.off_scale=no";
    place.done(&format!("{add} {rest} --reason forgotten"));
    let dose = place.done("dose show W09 --year 2026 --json").out;
    let dose: serde_json::Value = serde_json::from_str(&dose).expect("JSON");
    assert_eq!(dose["data"]["totals"][0]["total"]["known_nsv"], 40_000);
    place.done("ledger verify --full");
}

/// What the answers of a start say was not done stands in the findings until its sheet is there.
#[test]
fn the_findings_of_a_start_are_open_until_its_sheet_says_them() {
    let place = Place::with_registers("findings of a start");
    let said = place.done(
        "sheet start --day 2026-06-14 --shift day --begins 07:00 --job J-1 --work radiography \
         --device D-1 --source S-1 --meter SM-1 --meter-checked yes \
         --person \"worker=W07, role=radiographer, dosimeter=PD-07, recharged=no, start=0, \
         ratemeter=RM-07, alarm_tested=yes, badge_worn=yes\" \
         --person \"worker=W08, role=assistant, dosimeter=PD-08, recharged=yes, start=0, \
         ratemeter=RM-08, alarm_tested=yes, badge_worn=yes\"",
    );
    assert!(
        said.out.contains("key:  not-recharged/W07/28"),
        "{}",
        said.out
    );
    let open = found(&place, "not-recharged");
    assert_eq!(open.len(), 1, "{open:?}");
    assert_eq!(open[0].1, "not-recharged/W07/28");
    place.done("finding answer not-recharged/W07/28 --reason \"recharged at 07:10\"");
    assert!(found(&place, "not-recharged").is_empty());
}

/// No shift begins off its scale, in words or by a figure; whoever hands it in hears the stop.
#[test]
fn a_start_above_the_range_is_refused_and_stops_somebody() {
    for (start, stops) in [("0", false), ("200", false), ("201", true), ("off", true)] {
        let mut place = Place::with_registers(&format!("a start at {start}"));
        let line = format!(
            "sheet start --day 2026-06-14 --shift day --begins 07:00 --job J-1 --work radiography \
             --device D-1 --source S-1 --meter SM-1 --meter-checked yes \
             --person \"worker=W07, role=radiographer, dosimeter=PD-07, recharged=yes, \
             start={start}, ratemeter=RM-07, alarm_tested=yes, badge_worn=yes\""
        );
        let said = if stops {
            place.refused(&line).err
        } else {
            place.done(&line).out
        };
        assert_eq!(said.contains("STOP  W07"), stops, "{start}: {said}");
    }
}

/// `7:00` beside `0700`, in a row and at the keyboard, is the morning.
#[test]
fn an_hour_is_told_by_those_beside_it() {
    let place = Place::with_registers("hours side by side");
    let rows = crew("2026-06-12", "day").replace("07:00,15:00", "0700,1500");
    let rows = rows.replace("06:30,15:20", "6:30,15:20");
    place.file("june.csv", format!("{HEADER}{rows}"));
    place.done("sheet import DIR/june.csv");
    let shown = place.done("entry show 28 --json").out;
    assert!(shown.contains("06:30"), "{shown}");
    let said = place.said_at_terminal("sheet enter", "yes\nday\n7:00 15:00\n2026-06-14\n");
    assert!(said.err.contains("exposures made"), "{}", said.err);
    assert!(!said.err.contains("two things"), "{}", said.err);
}

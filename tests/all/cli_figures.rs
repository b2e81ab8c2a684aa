//! The figures of sheets against whole ledgers: earlier surveys of the device, its source, the
//! clock, certifications, and which inspection is the check of the day.

use serde_json::Value;

use super::cli_support::{HEADER, Place, crew, data_of, row};

/// What the open findings of a check say in one of their fields, over the first half of the year.
pub fn findings_of(place: &Place, check: &str, field: &str) -> Vec<String> {
    let all = data_of(place, "findings --from 2026-01-01 --to 2026-06-15");
    let lines = all["lines"].as_array().expect("lines");
    lines
        .iter()
        .filter(|it| it["check"].as_str().and_then(|it| it.split(':').next()) == Some(check))
        .map(|it| it[field].as_str().expect("words").to_owned())
        .collect()
}

fn surveyed(day: &str, read: &str) -> String {
    crew(day, "day").replace("22 mR/h", read)
}

fn second_source(place: &Place, on: &str) {
    place.done(
        "equipment add --id S-2 --type \"source assembly\" --serial XS2 --nuclide Ir-192 \
         --activity \"180 Ci\" --activity-on 2026-06-12 --in-service 2026-04-13",
    );
    place.done(&format!(
        "equipment load --device D-1 --source S-2 --on {on} --performed-by \"Adaeze Hollow\""
    ));
}

/// Ir-192 leaves 0.674 of itself after the 42 days from 1 May on: 20 mR/h become 13.4.
#[test]
fn a_storage_survey_is_held_against_earlier_ones_that_decayed() {
    for (name, reads, now, found) in [
        ("below", &["20 mR/h"][..], "26.8 mR/h", 0),
        ("above", &["20 mR/h"], "27 mR/h", 1),
        ("as if nothing decayed", &["20 mR/h"], "40 mR/h", 1),
        (
            "one odd one moves nothing",
            &["20 mR/h", "90 mR/h", "20 mR/h"],
            "27 mR/h",
            1,
        ),
        ("first ever", &[], "90 mR/h", 0),
    ] {
        let place = Place::with_registers(&format!("figures-survey-{name}"));
        for (at, read) in reads.iter().enumerate() {
            place.hand_in(&surveyed(&format!("2026-05-0{}", at + 1), read));
        }
        place.hand_in(&surveyed("2026-06-12", now));
        assert_eq!(
            findings_of(&place, "storage-survey-rise", "what").len(),
            found,
            "{name}"
        );
    }
}

/// It stops until the last survey of the device since says that the source is home.
#[test]
fn a_survey_above_the_surface_limit_stops_until_a_later_one_is_below_it() {
    for (name, later, severity) in [
        ("alone", &[][..], "stop"),
        ("later and as high", &["201 mR/h"], "stop"),
        ("later at the limit", &["200 mR/h"], "act"),
        ("low and high again", &["20 mR/h", "201 mR/h"], "stop"),
    ] {
        let place = Place::with_registers(&format!("figures-limit-{name}"));
        place.hand_in(&surveyed("2026-06-10", "201 mR/h"));
        for (at, read) in later.iter().enumerate() {
            place.hand_in(&surveyed(&format!("2026-06-1{}", at + 1), read));
        }
        let out = place.done("findings --from 2026-06-10 --to 2026-06-10 --on 2026-06-15 --json");
        let all: Value = serde_json::from_str(&out.out).expect("JSON");
        let lines = all["data"]["lines"].as_array().expect("lines");
        let mine = lines
            .iter()
            .find(|it| it["check"] == "storage-survey-limit");
        assert_eq!(mine.expect("a finding")["severity"], severity, "{name}");
    }
}

/// A survey from 1 m away says nothing of the surface, and does not end a stop that rests there.
#[test]
fn a_survey_is_judged_by_the_distance_that_was_written_with_it() {
    for (name, read, at, expected, later) in [
        ("within", "1.9 mR/h", "1 m", &[][..], "act"),
        ("above", "90 mR/h", "1 m", &["storage-survey-limit"], "stop"),
        (
            "near",
            "90 mR/h",
            "30 cm",
            &["storage-survey-distance"],
            "stop",
        ),
        ("surface", "90 mR/h", "surface", &[], "act"),
    ] {
        let place = Place::with_registers(&format!("figures-distance-{name}"));
        place.hand_in(&surveyed("2026-06-10", "201 mR/h"));
        let rows: Vec<String> = surveyed("2026-06-11", read)
            .lines()
            .map(|it| format!("{it},{at}\n"))
            .collect();
        let header = format!("{},storage_distance\n", HEADER.trim_end());
        let file = place.file("far.csv", header + &rows.concat());
        place.done(&format!("sheet import {file}"));
        let of = |day: &str| -> Vec<Value> {
            let asked = format!("findings --from {day} --to {day} --on 2026-06-15 --json");
            let all: Value = serde_json::from_str(&place.done(&asked).out).expect("JSON");
            let lines = all["data"]["lines"].as_array().expect("lines").clone();
            let of_survey =
                |it: &Value| it["check"].as_str().unwrap_or("").starts_with("storage-s");
            lines.into_iter().filter(of_survey).collect()
        };
        let found = of("2026-06-11");
        let checks: Vec<&str> = found.iter().filter_map(|it| it["check"].as_str()).collect();
        assert_eq!(checks, expected, "{name}");
        assert_eq!(of("2026-06-10")[0]["severity"], later, "{name}");
    }
}

/// 180 Ci in place of the 71 Ci of 1 May: 20 mR/h become 50.
#[test]
fn a_stronger_source_may_read_more_at_storage() {
    for (now, found) in [("100 mR/h", 0), ("102 mR/h", 1)] {
        let place = Place::with_registers(&format!("figures-exchange-{found}"));
        place.done(
            "equipment load --device D-1 --source S-1 --on 2026-04-13 --performed-by \"Adaeze \
            Hollow\"",
        );
        place.hand_in(&surveyed("2026-05-01", "20 mR/h"));
        second_source(&place, "2026-06-11");
        place.hand_in(&surveyed("2026-06-12", now).replace(",S-1,", ",S-2,"));
        assert_eq!(
            findings_of(&place, "storage-survey-rise", "what").len(),
            found,
            "{now}"
        );
    }
}

/// On the day of an exchange either source was in the device, and nobody knows which when.
#[test]
fn a_source_is_named_with_the_device_that_held_it_that_day() {
    let place = Place::with_registers("figures-source");
    place.hand_in(&crew("2026-04-14", "day"));
    assert_eq!(
        findings_of(&place, "source-not-in-device", "what"),
        [""; 0],
        "none loaded"
    );
    place.done(
        "equipment load --device D-1 --source S-1 --on 2026-04-15 --performed-by \"Adaeze Hollow\"",
    );
    second_source(&place, "2026-06-05");
    let named = |day: &str, source: &str| crew(day, "day").replace(",S-1,", &format!(",{source},"));
    for (day, source, found) in [
        ("2026-06-04", "S-1", 0),
        ("2026-06-05", "S-1", 0),
        ("2026-06-06", "S-2", 0),
        ("2026-06-08", "S-1", 1),
        ("2026-06-03", "S-2", 2),
    ] {
        place.hand_in(&named(day, source));
        assert_eq!(
            findings_of(&place, "source-not-in-device", "what").len(),
            found,
            "{day}"
        );
    }
    let all = findings_of(&place, "source-not-in-device", "what").join("\n");
    assert!(
        all.contains("names S-1 in D-1; by the ledger D-1 holds S-2"),
        "{all}"
    );
}

/// The clock of these tests stands at 07:00 on 15 June at the job.
#[test]
fn hours_that_had_not_come_when_the_sheet_was_written_are_told() {
    let at = |day: &str, shift: &str, from: &str, to: &str| crew(day, shift).replace(from, to);
    for (name, rows, words) in [
        ("yesterday", crew("2026-06-14", "day"), ""),
        (
            "a night that is over",
            crew("2026-06-14", "night").replace("15:20", "05:20"),
            "",
        ),
        (
            "a night up to this minute",
            at("2026-06-14", "night", "21:00,05:00", "21:00,07:00")
                .replace("06:30,15:20", "20:30,06:50"),
            "",
        ),
        (
            "a night a minute longer",
            at("2026-06-14", "night", "21:00,05:00", "21:00,07:01")
                .replace("06:30,15:20", "20:30,06:50"),
            "end 07:01",
        ),
        (
            "today's shift before it began",
            crew("2026-06-15", "day"),
            "device back 15:20, end 15:00",
        ),
    ] {
        let place = Place::with_registers(&format!("figures-ahead-{name}"));
        place.hand_in(&rows);
        let said = findings_of(&place, "hours-ahead", "what");
        assert_eq!(said.is_empty(), words.is_empty(), "{name}: {said:?}");
        assert!(
            words.is_empty() || said[0].ends_with(words),
            "{name}: {said:?}"
        );
    }
}

#[test]
fn a_crew_is_two_people_by_their_certifications_of_the_day() {
    for (name, of, until, found) in [
        ("no qualification kept", "", "", 0),
        ("the last day", "W07", "2026-06-12", 0),
        ("the day after", "W07", "2026-06-11", 1),
        ("somebody else's", "W01", "2030-01-01", 1),
    ] {
        let place = Place::with_registers(&format!("figures-certified-{name}"));
        if !of.is_empty() {
            place.done(&format!(
                "worker qualification --worker {of} --type certification --on 2025-03-01 \
                 --performed-by \"the board (invented)\" --until {until}"
            ));
        }
        place.hand_in(&crew("2026-06-12", "day"));
        assert_eq!(
            findings_of(&place, "two-person", "what").len(),
            found,
            "{name}"
        );
    }
}

/// The control unit's list asks each day whether it fits the device, and no quarter: a quarterly
/// inspection is the day's check where it looked at that too, and says an hour before the use.
#[test]
fn a_quarterly_inspection_is_the_days_check_where_it_has_its_items_and_its_hour() {
    let fits = "--line \"control-fits-device=good\"";
    for (name, hour, more, check, words) in [
        ("whole and before", "--at 06:20", fits, "", ""),
        (
            "without an item of the day",
            "--at 06:20",
            "",
            "daily-check",
            "control-fits-device",
        ),
        (
            "an item not done",
            "--at 06:20",
            "--line \"control-fits-device=not done\"",
            "daily-check",
            "control-fits-device",
        ),
        (
            "without an hour",
            "",
            fits,
            "daily-check",
            "does not say its hour",
        ),
        (
            "after the use",
            "--at 16:40",
            fits,
            "checked-after-use",
            "16:40",
        ),
    ] {
        let place = Place::with_registers(&format!("figures-quarterly-{name}"));
        place.adopt_own_list("2026-01-01");
        let only = row(
            "2026-06-12",
            "day",
            "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes",
        )
        .replace(",D-1,S-1,C-1,G-1 G-2,SM-1,", ",,,C-1,,,");
        place.hand_in(&only);
        place.done(&format!(
            "inspect enter --item C-1 --on 2026-06-12 {hour} --when quarterly --performed-by W07 \
             --line \"cable-diameter, value=6 mm\" --line \"cable-connector-tilt, value=2 deg\" \
             --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\" \
             {more} --line \"all others=good\""
        ));
        for one in ["daily-check", "checked-after-use"] {
            let found = findings_of(&place, one, "what");
            assert_eq!(found.is_empty(), one != check, "{name}: {found:?}");
            assert!(
                found.iter().all(|it| it.contains(words)),
                "{name}: {found:?}"
            );
        }
    }
}

/// The board and the month's review count the same looks as the finding does.
#[test]
fn board_and_review_know_a_quarterly_inspection_for_the_days_check_or_not() {
    let fits = "--line \"control-fits-device=good\"";
    for (name, more, board) in [("whole", fits, "today 06:20"), ("short", "", "not C-1")] {
        let place = Place::with_registers(&format!("figures-board-{name}"));
        place.adopt_own_list("2026-01-01");
        place.hand_in(&crew("2026-06-14", "day"));
        let inspection = |item: &str, when: &str, lines: &str| {
            place.done(&format!(
                "inspect enter --item {item} --on 2026-06-15 --at 06:20 --when {when} \
                 --performed-by W07 {lines} --line \"all others=good\""
            ));
        };
        inspection(
            "D-1",
            "daily",
            "--line \"device-surface-rate, value=20 mR/h\"",
        );
        inspection("G-1", "daily", "");
        inspection("G-2", "daily", "");
        let measurements = "--line \"cable-diameter, value=6 mm\" \
             --line \"cable-connector-tilt, value=2 deg\" \
             --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\"";
        inspection("C-1", "quarterly", &format!("{measurements} {more}"));
        let out = place.done("board --on 2026-06-15 --json").out;
        let all: Value = serde_json::from_str(&out).expect("JSON");
        assert_eq!(all["data"]["sets"][0]["inspected"], board, "{name}");
    }
    for (hour, inspected) in [("--at 06:20", 1), ("", 0)] {
        let place = Place::with_registers(&format!("figures-review-{inspected}"));
        place.adopt_own_list("2026-01-01");
        place.hand_in(&crew("2026-06-12", "day"));
        place.done(&format!(
            "inspect enter --item D-1 --on 2026-06-12 {hour} --when quarterly --performed-by W07 \
             --line \"device-surface-rate, value=20 mR/h\" \
             --line \"device-metre-rate, value=0.5 mR/h\" --line \"all others=good\""
        ));
        let text = place.done("review 2026-06").out;
        let words = match inspected {
            1 => "used on 1 day, inspected on it",
            _ => "used on 1 day, not inspected on it",
        };
        assert!(text.contains(words), "{words}\n{text}");
        // An inspection in the shop is no day of use that is missing.
        assert!(
            !text.contains("inspected before use and on no sheet"),
            "{text}"
        );
    }
}

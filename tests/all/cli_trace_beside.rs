//! What stands beside the checklist in a trace, as whole commands: inventories of a lost source,
//! the alarm check and the calibration of a ratemeter that nobody heard. Transcripts in golden
//! files.

use super::cli_maintenance_shown::kept;
use super::cli_support::{HEADER, row};
use super::cli_trace::{AFTER, Scene};

/// The first screen of a trace, in one line.
fn told(scene: &Scene, event: &str) -> String {
    let text = scene.place.done(&format!("trace {event}")).out;
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A lost source without a cause: the inventories, and what the sentences make of them.
#[test]
fn a_lost_source_is_told_with_the_inventories_that_could_have_shown_it() {
    let inventory = |on: &str, found: &str| {
        format!(
            "equipment inventory --on {on} --performed-by \"Adaeze Hollow\" --found \"{found}\""
        )
    };
    for (name, before, after, last) in [
        (
            "passed",
            vec![inventory("2026-04-15", "D-1 S-1")],
            vec![],
            "Its record before: passed, in time until 2026-09-30; last: 2026-04-15 seen, by \
             Adaeze Hollow",
        ),
        (
            "overdue",
            vec![inventory("2025-12-15", "D-1 S-1")],
            vec![],
            "Its record before: overdue since 2026-04-01; last: 2025-12-15 seen, by \
             Adaeze Hollow",
        ),
        (
            "failed",
            vec![inventory("2026-05-15", "D-1")],
            vec![],
            "Its record before: failed; last: 2026-05-15 NOT SEEN, by \
             Adaeze Hollow",
        ),
        (
            "missing",
            vec![],
            vec![],
            "Its record before: missing; last: none on record.",
        ),
        (
            "late entry, unverified",
            vec![],
            vec![inventory("2026-05-15", "D-1 S-1")],
            "Its record before: late entry, written after the event; last: 2026-05-15 seen, by \
            Adaeze \
             Hollow",
        ),
        (
            "same-day",
            vec![inventory("2026-06-16", "D-1 S-1")],
            vec![],
            "Its record before: same day, order unknown; last: 2026-06-16 seen, by Adaeze Hollow",
        ),
    ] {
        let lines: Vec<&str> = before.iter().map(String::as_str).collect();
        let mut scene = Scene::new(&format!("trace-lost-{name}")).before(&lines);
        scene.place.turn_to("wearbook.db", AFTER);
        scene.place.done(
            "event open --name L-1 --kind lost-source --occurred 2026-06-16T13:40 --equipment \
             S-1 --words \"it was not in the truck\"",
        );
        for line in &after {
            scene.place.done(line);
        }
        let text = told(&scene, "L-1");
        let could = "The inventory of S-1 (asked for by 10 CFR 34.29(a)) could have detected it.";
        assert!(text.contains(could), "{name}\n{text}");
        assert!(text.contains(last), "{name}\n{text}");
        if name == "overdue" {
            scene.place.run("trace L-1");
            scene.place.golden("trace-lost");
        }
    }
}

/// Somebody received a high dose and noticed nothing: the alarm check of that day's sheet and the
/// calibration of the ratemeter that was worn.
#[test]
fn a_high_dose_that_nobody_noticed_is_told_with_the_ratemeter_of_that_days_sheet() {
    let mut scene = Scene {
        place: kept("trace-high-dose"),
    };
    scene.place.turn_to("wearbook.db", AFTER);
    let person = "W07,radiographer,PD-07,1,0,12,no,RM-07,no,yes";
    let sheet = format!("{HEADER}{}", row("2026-06-16", "day", person));
    let file = scene.place.file("sheet.csv", sheet);
    scene.place.done(&format!("sheet import {file}"));
    scene.place.done(
        "event open --name H-1 --kind overexposure --occurred 2026-06-16T13:40 --person \
         \"W07=cranked\" --words \"the badge read high, nothing was heard\"",
    );
    let text = told(&scene, "H-1");
    for part in [
        "Whether the alarm check of the sheet of RM-07 (asked for by 10 CFR 34.47(g)(1)) could \
         have detected it is not established.",
        "Its record before: missing; last: 2026-06-16 the sheet says that it was not done",
        "RM-07 calibration or not established passed, in time 2026-01-12 passed,",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
    scene.place.run("trace H-1");
    scene.place.golden("trace-high-dose");
}

//! The trace of an event of which only a day, a month, a bound or nothing is known, as whole
//! commands.

use serde_json::Value;

use super::cli_maintenance_shown::kept;
use super::cli_trace::{AFTER, BEFORE, Scene, inspected, of_the_day};

/// The control unit with an inspection of May that was written on 15 June, the check of 16 June
/// that was written on its day, and its cable that failed at some time.
fn fails_at(name: &str, before: [&str; 2], occurred: &str) -> Scene {
    let [quarter, day] = before;
    let mut scene = Scene { place: kept(name) };
    scene.place.done(quarter);
    scene.place.turn_to("wearbook.db", BEFORE);
    scene.place.done(day);
    opened(scene, occurred)
}

/// The event, opened and with its cause, two days after it.
fn opened(mut scene: Scene, occurred: &str) -> Scene {
    scene.place.turn_to("wearbook.db", AFTER);
    scene.place.done(&format!(
        "event open --kind source-will-not-retract --occurred \"{occurred}\" --discovered \
         2026-06-17T08:00 --equipment C-1 --equipment D-1 --words \"it would not come home\""
    ));
    scene.place.done(
        "event cause E-1 --of C-1 --component \"drive cable\" --failure drive-cable-broken \
         --because \"parted behind the connector\" --at 2026-06-17T18:00",
    );
    scene
}

/// The row of an item.
fn row(scene: &Scene, item: &str) -> (Value, Value) {
    let said = scene.place.done("trace E-1 --json").out;
    let answer: Value = serde_json::from_str(&said).expect("JSON");
    let mut inner = answer.as_object().expect("an object").values();
    let answer = inner.find(|it| it.get("rows").is_some()).unwrap_or(&answer);
    let rows = answer["rows"].as_array().expect("rows");
    let row = rows.iter().find(|it| it["item"] == item).expect("a row");
    (row.clone(), answer.clone())
}

/// What is known of when it occurred; the record of the item of the quarter, and that of the
/// item of the day, each with what it would be if all had been before.
#[test]
fn the_record_before_an_event_is_only_what_surely_was_before_it() {
    let quarter = inspected("2026-05-04", "quarterly", ", value=6 mm");
    let day = of_the_day();
    for (name, occurred, of_quarter, of_day) in [
        ("hour", "2026-06-16T13:40", ("passed", ""), ("passed", "")),
        (
            "day",
            "2026-06-16",
            ("passed", ""),
            ("order unknown", "passed"),
        ),
        (
            "month",
            "2026-06",
            ("order unknown", "passed"),
            ("order unknown", "passed"),
        ),
        (
            "before",
            "before 2026-06-16",
            ("order unknown", "passed"),
            ("order unknown", "passed"),
        ),
        (
            "between",
            "between 2026-06-16T13:00-05:00 and 2026-06-16T15:00-05:00",
            ("passed", ""),
            ("passed", ""),
        ),
        (
            "unknown",
            "unknown",
            ("order unknown", "passed"),
            ("order unknown", "passed"),
        ),
    ] {
        let scene = fails_at(&format!("trace-when-{name}"), [&quarter, &day], occurred);
        for (item, right) in [
            ("cable-diameter", of_quarter),
            ("cable-behind-connector", of_day),
        ] {
            let (row, answer) = row(&scene, item);
            let word = row["record"]["word"].as_str().unwrap_or_default();
            let other = row["as_if_before"]["word"].as_str().unwrap_or_default();
            assert_eq!((word, other), right, "{occurred} {item}\n{row:#}");
            assert_eq!(answer["between"].is_null(), name == "hour", "{occurred}");
        }
    }
}

/// The first screen says that the time is not known, the table that of the day nobody can tell.
#[test]
fn an_event_of_a_day_without_an_hour_says_so_and_lists_the_look_of_its_day() {
    let quarter = inspected("2026-05-04", "quarterly", ", value=6 mm");
    let mut scene = fails_at("trace-day", [&quarter, &of_the_day()], "2026-06-16");
    scene.place.done(
        "equipment install --equipment C-1 --component \"drive cable\" --installed-on 2026-06-16 \
        --performed-by \
         W01 --serial K-18",
    );
    let text = scene.place.run("trace show E-1 --all").out;
    for part in [
        "TIME NOT KNOWN: it happened from 2026-06-16 00:00 -05:00 to 2026-06-16 23:59 -05:00.",
        "same day, order unknown: not",
        "if all had been before the event whose order is unknown: passed",
        "one installed 2026-06-16, order unknown",
    ] {
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(part), "{part}\n{text}");
    }
    let file = scene.place.path("e1.svg").display().to_string();
    scene.place.done(&format!("chart trace E-1 --out {file}"));
    let picture = std::fs::read_to_string(&file).expect("the picture");
    assert!(
        picture.contains("When it happened is not known"),
        "{picture}"
    );
    scene.place.golden("trace-day");
}

/// The service of an item in such an event ends with what surely came after it: nobody can have
/// inspected for an event of which nobody knew.
#[test]
fn an_inspection_that_may_have_been_before_the_event_puts_nothing_back_into_service() {
    let quarter = inspected("2026-05-04", "quarterly", ", value=6 mm");
    for (name, occurred, day, out) in [
        ("hour-before", "2026-06-16T05:00", "2026-06-16", true),
        ("hour-after", "2026-06-16T05:00", "2026-06-18", false),
        ("day-before", "2026-06-16", "2026-06-16", true),
        ("day-after", "2026-06-16", "2026-06-18", false),
    ] {
        let whole = inspected(day, "after an event", "=good, value=6 mm")
            .replace("connector-gauge=not done", "connector-gauge=good, with=S-1");
        let name = format!("trace-back-{name}");
        let mut scene = fails_at(&name, [&quarter, &of_the_day()], occurred);
        scene.place.turn_to("wearbook.db", "2026-06-19T12:00:00Z");
        scene.place.done(&whole);
        let shown = scene.place.done("event show E-1").out;
        let out_of_service = shown.contains("C-1 control unit, out of service");
        assert_eq!(out_of_service, out, "{occurred} {day}\n{shown}");
    }
}

/// A cable that was installed on the event's day, as somebody wrote on that day: which of the two
/// failed nobody can tell. The measures of the older one count, and what the other would mean is
/// told.
#[test]
fn a_part_that_was_fitted_on_the_day_of_the_event_takes_no_look_away_in_silence() {
    let quarter = inspected("2026-05-04", "quarterly", ", value=6 mm");
    let mut scene = Scene {
        place: kept("trace-installed"),
    };
    scene.place.done(&quarter);
    scene.place.turn_to("wearbook.db", BEFORE);
    scene.place.done(
        "equipment install --equipment C-1 --component \"drive cable\" --installed-on 2026-06-16 \
        --performed-by \
         W01 --serial K-18",
    );
    let scene = opened(scene, "2026-06-16");
    let (row, answer) = row(&scene, "cable-diameter");
    assert_eq!(row["record"]["word"], "passed", "{row:#}");
    assert_eq!(
        row["as_if_before"]["word"], "required inspection missing",
        "{row:#}"
    );
    assert_eq!(answer["cause"]["installed_on"], "2025-01-06");
    assert_eq!(answer["cause"]["perhaps_installed"][0], "2026-06-16");
}

/// The forecast of wear and the days since the last good look are told for the whole time.
#[test]
fn wear_and_days_are_told_from_the_earliest_to_the_latest_day_of_the_event() {
    let mut scene = Scene {
        place: kept("trace-wear-range"),
    };
    for (on, value) in [
        ("2025-12-08", "6 mm"),
        ("2026-03-09", "5.95 mm"),
        ("2026-05-04", "5.9 mm"),
    ] {
        let line = inspected(on, "quarterly", &format!(", value={value}"));
        scene.place.done(&line);
    }
    scene.place.turn_to("wearbook.db", BEFORE);
    let scene = opened(scene, "between 2026-06-16T12:00-05:00 and 2026-06-17");
    let (row, _) = row(&scene, "cable-diameter");
    let good = &row["last_good"];
    assert_eq!(
        (&good["days"], &good["days_at_most"]),
        (&43.into(), &44.into())
    );
    assert!(row["wear"]["outlook_at_latest"].is_string(), "{row:#}");
    let scene = {
        let mut scene = Scene {
            place: kept("trace-wear-exact"),
        };
        let line = inspected("2026-05-04", "quarterly", ", value=5.9 mm");
        scene.place.done(&line);
        scene.place.turn_to("wearbook.db", BEFORE);
        opened(scene, "2026-06-16T13:40")
    };
    let (row, _) = self::row(&scene, "cable-diameter");
    assert_eq!(row["last_good"]["days"], row["last_good"]["days_at_most"]);
}

//! The trace from an event to the items that could have shown it, as whole commands: one a
//! coverage word, one a record word, one a flag, and one for each pair that could be confused.
//! Transcripts in golden files.

use super::cli_maintenance_shown::kept;
use super::cli_support::{Place, data_of};

/// When the test company writes: before the event, and two days after it.
pub const BEFORE: &str = "2026-06-16T12:00:00Z";
pub const AFTER: &str = "2026-06-18T13:00:00Z";

/// A scene: what is written before the event and what after it.
pub struct Scene {
    pub place: Place,
}

impl Scene {
    pub fn new(name: &str) -> Scene {
        let mut place = kept(name);
        place.turn_to("wearbook.db", BEFORE);
        Scene { place }
    }

    /// Written before the event.
    pub fn before(self, lines: &[&str]) -> Scene {
        for line in lines {
            self.place.done(line);
        }
        self
    }

    /// The drive cable of C-1 fails at 13:40 on 16 June.
    pub fn fails(mut self, lines: &[&str]) -> Scene {
        self.place.turn_to("wearbook.db", AFTER);
        self.place.done(
            "event open --kind source-will-not-retract --occurred 2026-06-16T13:40 \
             --equipment C-1 --equipment D-1 --person \"W07=cranked\" --words \"it would not \
             come home\"",
        );
        self.place.done(
            "event cause E-1 --of C-1 --component \"drive cable\" --failure drive-cable-broken \
             --because \"parted 4 in behind the connector\" --at 2026-06-16T18:00",
        );
        for line in lines {
            self.place.done(line);
        }
        self
    }

    /// Coverage, record, the record if claims hold, and the flags of an item, by the JSON.
    pub fn ruled(&self, event: &str, item: &str) -> [String; 4] {
        let data = data_of(&self.place, &format!("trace {event}"));
        let mut rows = data["rows"].as_array().expect("rows").iter();
        let row = rows.find(|it| it["item"] == item);
        let row = row.unwrap_or_else(|| panic!("no row of {item}: {data}"));
        let text = |it: &serde_json::Value| it.as_str().unwrap_or_default().to_owned();
        let flags = row["flags"].as_array().expect("flags").iter();
        let flags: Vec<String> = flags.map(|it| text(&it["flag"])).collect();
        [
            text(&row["covered"]["coverage"]),
            text(&row["record"]["word"]),
            text(&row["as_claimed"]["word"]),
            flags.join("; "),
        ]
    }
}

/// A whole inspection of the control unit with a word for the cable's diameter.
pub fn inspected(on: &str, when: &str, diameter: &str) -> String {
    let mating = if when == "on receipt" {
        String::new()
    } else {
        " --line \"connector-mating=good, with=D-1\"".to_owned()
    };
    let deep = if when == "daily" {
        String::new()
    } else {
        format!(
            " --line \"cable-diameter{diameter}\" --line \"connector-gauge=not done\"{}",
            if when == "on receipt" {
                ""
            } else {
                " --line \"cable-connector-tilt, value=2 deg\""
            }
        )
    };
    format!(
        "inspect enter --item C-1 --on {on} --at 06:20 --when \"{when}\" --performed-by W07\
         {deep}{mating} --line \"all others=good\""
    )
}

/// The check of the day of the event.
pub fn of_the_day() -> String {
    inspected("2026-06-16", "daily", "")
}

fn words(scene: &Scene, item: &str) -> (String, String, String, String) {
    let [coverage, record, claimed, flags] = scene.ruled("E-1", item);
    (coverage, record, claimed, flags)
}

/// The entry of the first inspection of the control unit.
fn first_inspection(scene: &Scene) -> String {
    let list = scene.place.done("inspect list C-1 --json").out;
    let first = list
        .lines()
        .find_map(|it| it.trim().strip_prefix("\"entry\": "));
    first.expect("an entry").trim_end_matches(',').to_owned()
}

#[test]
fn each_record_word_comes_from_whole_commands() {
    let day = of_the_day();
    let quarter = inspected("2026-05-04", "quarterly", ", value=6 mm");
    let beyond = inspected("2026-05-04", "quarterly", "=good, value=5.75 mm");
    let none = inspected("2026-05-04", "quarterly", "=not done");
    let defect = inspected(
        "2026-05-04",
        "quarterly",
        "=defect, value=5.75 mm, note=worn flat, action=RSO told",
    );
    type Row<'a> = (&'a str, &'a [&'a str], &'a [&'a str], &'a str, &'a str);
    let rows: [Row<'_>; 8] = [
        ("passed", &[&quarter, &day], &[], "passed", ""),
        (
            "beyond",
            &[&beyond, &day],
            &[],
            "passed although out of limit",
            "",
        ),
        ("left", &[&none, &day], &[], "skipped", ""),
        ("absent", &[&day], &[], "required inspection missing", ""),
        ("defect", &[&defect, &day], &[], "known defect, used", ""),
        // Written after the event: claimed, and what it would change.
        (
            "late entry, unverified",
            &[&day],
            &[&quarter],
            "late entry, unverified",
            "passed",
        ),
        // A late one that leaves the item out claims nothing, and is still absent.
        (
            "late",
            &[&day],
            &[&none],
            "required inspection missing",
            "skipped",
        ),
        // A defect that was put down only afterwards was not known.
        (
            "late-defect",
            &[&day],
            &[&defect],
            "late entry, unverified",
            "known defect, used",
        ),
    ];
    for (name, before, after, record, claimed) in rows {
        let scene = Scene::new(&format!("trace-{name}"))
            .before(before)
            .fails(after);
        let found = words(&scene, "cable-diameter");
        let right = ("can detect", record, claimed);
        let found = (found.0.as_str(), found.1.as_str(), found.2.as_str());
        let why = scene.place.done("trace E-1").out;
        assert_eq!(found, right, "{name}\n{why}");
    }
}

/// Amended after the event: the earlier version counts, and the change is told.
#[test]
fn an_inspection_amended_after_the_event_changes_no_verdict() {
    let (day, none) = (
        of_the_day(),
        inspected("2026-05-04", "quarterly", "=not done"),
    );
    let mut scene = Scene::new("trace-corrected").before(&[&none, &day]);
    let entry = first_inspection(&scene);
    scene = scene.fails(&[]);
    let shown = scene.place.done(&format!("entry show {entry}")).out;
    let field = shown
        .lines()
        .find(|it| it.contains("cable-diameter"))
        .and_then(|it| it.split_whitespace().next())
        .expect("the line of the diameter")
        .replace(".line", "");
    scene.place.done(&format!(
        "entry correct {entry} \"{field}.result=measured\" \"{field}.value=6 mm\" \
         --reason \"the figure stood on the back\""
    ));
    let found = words(&scene, "cable-diameter");
    assert_eq!((found.1.as_str(), found.2.as_str()), ("skipped", "passed"));
    scene.place.run("trace E-1");
    scene.place.golden("trace-corrected");
}

#[test]
fn each_coverage_word_has_its_command_and_its_author() {
    let (day, quarter) = (
        of_the_day(),
        inspected("2026-05-04", "quarterly", ", value=6 mm"),
    );
    let mut scene = Scene::new("trace-coverage")
        .before(&[&quarter, &day])
        .fails(&[]);
    let by_data = [
        ("cable-diameter", "can detect"),
        ("control-contamination", "cannot detect"),
        ("control-feel", "not established"),
    ];
    for (item, coverage) in by_data {
        assert_eq!(words(&scene, item).0, coverage, "{item}");
    }
    scene.place.run(
        "trace conclude E-1 cable-diameter --coverage \"cannot detect\" --performed-by W01 \
         --because \"it broke inside the connector, where no gauge reaches\"",
    );
    scene.place.run(
        "trace conclude E-1 cable-behind-connector --coverage \"arose after the last inspection\" \
         --performed-by W01 --because \"the truck rolled over it at noon\"",
    );
    scene.place.run("trace show E-1");
    assert_eq!(words(&scene, "cable-diameter").0, "cannot detect");
    assert_eq!(
        words(&scene, "cable-behind-connector").0,
        "arose after the last inspection"
    );
    // What cannot be concluded, by whom, on what.
    for line in [
        "cable-diameter --coverage \"can detect\" --performed-by W07 --because x",
        "cable-diameter --coverage perhaps --performed-by W01 --because x",
        "cable-diametre --coverage \"can detect\" --performed-by W01 --because x",
        "cable-diameter --coverage \"no item\" --performed-by W01 --because x",
        "none --coverage \"can detect\" --performed-by W01 --because x",
        "device-lock --coverage \"can detect\" --performed-by W01 --because x",
        "cable-whole --coverage \"can detect\" --performed-by W01 --because \" \"",
        "cable-whole --coverage \"can detect\" --performed-by W99 --because x",
    ] {
        scene.place.refused(&format!("trace conclude E-1 {line}"));
    }
    scene.place.refused("trace show E-9");
    scene.place.refused("trace");
    scene.place.golden("trace-coverage");
}

/// Nothing looks for it: the fourth word of coverage.
#[test]
fn a_mode_that_no_item_names_has_no_item() {
    let mut scene = Scene::new("trace-no-item").before(&[]).fails(&[
        "event cause E-1 --of G-1 --component tube --failure shutter-stuck --because \
         \"an invented cause that no item of a tube names\"",
    ]);
    let said = scene.place.run("trace E-1");
    assert!(said.out.contains("no item can show"), "{}", said.out);
    scene.place.golden("trace-no-item");
}

#[test]
fn each_flag_comes_from_whole_commands() {
    let (day, quarter) = (
        of_the_day(),
        inspected("2026-05-04", "quarterly", ", value=5.9 mm"),
    );
    let flags = |scene: &Scene, item: &str| words(scene, item).3;
    let scene = Scene::new("trace-flag-warning")
        .before(&[&quarter, &day])
        .fails(&[]);
    assert_eq!(flags(&scene, "cable-diameter"), "warning shown before");
    assert_eq!(flags(&scene, "cable-whole"), "");
    // The same figure written afterwards warned nobody.
    let scene = Scene::new("trace-flag-late")
        .before(&[&day])
        .fails(&[&quarter]);
    assert_eq!(flags(&scene, "cable-diameter"), "");

    let drop = "event open --kind drop-or-fire --occurred 2026-06-10T09:00 --equipment C-1 --words \
         \"fell from the tailgate\" --name D-9";
    let good = inspected("2026-05-04", "quarterly", ", value=6 mm");
    let scene = Scene::new("trace-flag-trigger")
        .before(&[&good, &day])
        .fails(&[drop]);
    let found = words(&scene, "cable-diameter");
    assert_eq!(found.1, "required inspection missing");
    assert_eq!(found.3, "trigger learned of later");
    // Known before: the inspection is absent all the same, and nothing was learned later.
    let scene = Scene::new("trace-flag-known")
        .before(&[&good, &day, drop])
        .fails(&[]);
    let found = words(&scene, "cable-diameter");
    assert_eq!(
        (found.1.as_str(), found.3.as_str()),
        ("required inspection missing", "")
    );
}

#[test]
fn testimony_and_barriers_flag_the_items_that_they_speak_of() {
    let day = of_the_day();
    let good = inspected("2026-05-04", "quarterly", ", value=6 mm");
    let flags = |scene: &Scene, item: &str| words(scene, item).3;
    let scene = Scene::new("trace-flag-said")
        .before(&[&good, &day])
        .fails(&[]);
    let first = first_inspection(&scene);
    scene.place.done(&format!(
        "event note E-1 --at 2026-06-17T08:00 --words \"the gauge was in the other truck\" \
         --disputes {first} --item cable-diameter --person W08"
    ));
    assert_eq!(
        flags(&scene, "cable-diameter"),
        "testimony against the record"
    );
    assert_eq!(flags(&scene, "cable-whole"), "");
    scene.place.done(
        "event note E-1 --at 2026-06-16T13:30 --words \"moved and not gauged\" --barrier \
         \"mating check=absent\"",
    );
    scene.place.done(
        "event cause E-1 --of C-1 --component \"cable connector\" --failure disconnect --because \
         \"neck worn\"",
    );
    assert_eq!(flags(&scene, "connector-mating"), "barrier");
}

/// The check of the day against what looks like it.
#[test]
fn the_days_check_is_told_from_what_looks_like_it() {
    let good = inspected("2026-05-04", "quarterly", ", value=6 mm");
    let at = |on: &str, hour: &str| {
        inspected(on, "daily", "").replace("--at 06:20", &format!("--at {hour}"))
    };
    for (name, line, late, record, claimed) in [
        ("before", at("2026-06-16", "06:20"), false, "passed", ""),
        (
            "after",
            at("2026-06-16", "06:20"),
            true,
            "late entry, unverified",
            "passed",
        ),
        (
            "yesterday",
            at("2026-06-15", "06:20"),
            false,
            "required inspection missing",
            "",
        ),
        (
            "too-late",
            at("2026-06-16", "14:00"),
            true,
            "required inspection missing",
            "",
        ),
    ] {
        let (before, after) = if late {
            (vec![good.as_str()], vec![line.as_str()])
        } else {
            (vec![good.as_str(), line.as_str()], vec![])
        };
        let scene = Scene::new(&format!("trace-day-{name}"))
            .before(&before)
            .fails(&after);
        let found = words(&scene, "cable-behind-connector");
        assert_eq!(
            (found.1.as_str(), found.2.as_str()),
            (record, claimed),
            "{name}"
        );
    }
}

/// The whole trace as text, JSON, page and picture, with inspections of every kind.
#[test]
fn the_whole_trace_is_shown_as_text_page_and_picture() {
    let lines: Vec<String> = [
        ("2025-03-10", "6 mm"),
        ("2025-06-09", "5.96 mm"),
        ("2025-09-08", "5.91 mm"),
        ("2025-12-08", "5.88 mm"),
        ("2026-03-16", "5.83 mm"),
    ]
    .iter()
    .map(|(on, value)| inspected(on, "quarterly", &format!(", value={value}")))
    .collect();
    let mut all: Vec<&str> = lines.iter().map(String::as_str).collect();
    let day = of_the_day();
    all.push(&day);
    let others =
        "equipment add --id C-2 --type \"control unit\" --serial K2 --in-service 2025-01-06";
    all.push(others);
    let late = inspected("2026-06-01", "quarterly", ", value=5.95 mm");
    let mut scene = Scene::new("trace-whole").before(&all).fails(&[
        &late,
        "event note E-1 --at 2026-06-16T13:41 --words \"went in without it\" \
         --barrier survey=absent",
    ]);
    scene.place.run("trace E-1");
    scene.place.run("trace show E-1 --csv");
    let json = scene.place.done("trace show E-1 --json").out;
    assert!(json.contains("\"record\": {"), "{json}");
    let page = scene.place.path("e1.html").display().to_string();
    scene.place.run(&format!("trace show E-1 --out {page}"));
    scene.place.refused(&format!("trace show E-1 --out {page}"));
    scene.place.refused("trace show E-1 --out DIR/e1.pdf");
    let text = std::fs::read_to_string(&page).expect("the page");
    for banned in ["<script", "http://", "https://", "url("] {
        let outside = text.replace("http://www.w3.org/2000/svg", "");
        assert!(!outside.contains(banned), "the page has {banned}");
    }
    assert!(
        text.contains("<svg") && text.contains("<desc>"),
        "no picture"
    );
    for kind in ["svg", "png"] {
        let file = scene
            .place
            .path(&format!("e1.{kind}"))
            .display()
            .to_string();
        scene.place.run(&format!("chart trace E-1 --out {file}"));
    }
    scene.place.run("trace ranking");
    scene.place.run("trace ranking --csv");
    let file = scene.place.path("items.svg").display().to_string();
    scene.place.run(&format!("chart ranking --out {file}"));
    scene.place.golden("trace-whole");
}

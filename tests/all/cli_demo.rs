//! The demonstration, built once as `wearbook demo` builds it, against what
//! demo/README.md says of it: everybody's doses, and each thing hidden in it.

use std::collections::BTreeMap;
use std::sync::{Once, OnceLock};

use serde_json::Value;

use super::cli_support::{Place, Said};
use super::demo_hidden::HIDDEN;

pub const MREM: i64 = 10_000;

/// The moment at which the demonstration is looked at.
const NOW: &str = "2026-06-05T15:00:00Z";

pub struct Demo {
    pub place: Place,
    built: Said,
}

pub fn demo() -> &'static Demo {
    static BUILT: OnceLock<Demo> = OnceLock::new();
    BUILT.get_or_init(|| {
        let mut place = Place::empty("demo");
        let built = place.done("demo --out DIR/demo");
        place.turn_to("demo/demo.db", NOW);
        Demo { place, built }
    })
}

/// Begins the demonstration beside the first tests of a whole run: those that need it would
/// otherwise wait for one of them to make it, and leave half of the machine idle.
pub fn begin() {
    static BEGUN: Once = Once::new();
    let is_whole = std::env::args().len() == 1;
    BEGUN.call_once(|| {
        if is_whole {
            std::thread::spawn(demo);
        }
    });
}

pub fn data(line: &str) -> Value {
    let said = demo().place.done(&format!("{line} --json"));
    let mut value: Value = serde_json::from_str(&said.out).unwrap();
    value["data"].take()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("a text: {value}"))
}

pub fn list(value: &Value) -> &[Value] {
    value
        .as_array()
        .unwrap_or_else(|| panic!("a list: {value}"))
}

/// One worker's deep dose over a span.
fn deep(line: &str) -> Value {
    let mut answer = data(&format!("dose show {line}"));
    answer["totals"][0].take()
}

/// Nanosievert of a dose in mrem as the tables write it, to four decimals: 1 mrem
/// is 10 000 nSv.
pub fn nsv(mrem: &str) -> i64 {
    let (whole, part) = mrem.split_once('.').unwrap_or((mrem, ""));
    assert!(part.len() <= 4, "{mrem}");
    format!("{whole}{part:0<4}").parse().unwrap()
}

fn readme() -> String {
    std::fs::read_to_string("demo/README.md").unwrap()
}

/// The cells of the table of doses of record, a person a row. The demo's own
/// small reckoning (`making/hand.py`) made it from the files, by rules of its own.
pub fn doses_of_record() -> Vec<Vec<String>> {
    let readme = readme();
    let (_, rest) = readme.split_once("<!-- made: record -->").unwrap();
    let (table, _) = rest.split_once("<!-- end -->").unwrap();
    table
        .lines()
        .filter(|line| line.starts_with("| W"))
        .map(|line| {
            line.trim_matches('|')
                .split('|')
                .map(|it| it.trim().to_owned())
                .collect()
        })
        .collect()
}

/// Everybody's deep dose of one year, as `dose crew` has it.
fn crew(year: &str) -> BTreeMap<String, Value> {
    let crew = data(&format!("dose crew --year {year}"));
    list(&crew["lines"])
        .iter()
        .map(|it| (text(&it["worker"]).to_owned(), it["total"].clone()))
        .collect()
}

#[test]
fn everybodys_doses_are_those_of_the_demos_own_table() {
    let rows = doses_of_record();
    assert_eq!(rows.len(), 14);
    let [in_2025, in_2026] = ["2025", "2026"].map(crew);
    for row in rows {
        let (id, cells) = row.split_first().unwrap();
        let [prior, record_5, shared_5, provisional_5, year_5, rest @ ..] = cells else {
            panic!("ten cells: {row:?}");
        };
        let [record_6, shared_6, provisional_6, year_6] = rest else {
            panic!("ten cells: {row:?}");
        };
        let (one, other) = (&in_2025[id], &in_2026[id]);
        assert_eq!(one["prior"]["nsv"], nsv(prior), "{id}, prior");
        assert_eq!(one["of_record"]["nsv"], nsv(record_5), "{id}, 2025");
        assert_eq!(one["apportioned"]["nsv"], nsv(shared_5), "{id}, 2025");
        assert_eq!(one["provisional"]["nsv"], nsv(provisional_5), "{id}, 2025");
        assert_eq!(one["known_nsv"], nsv(year_5), "{id}, 2025");
        assert_eq!(other["of_record"]["nsv"], nsv(record_6), "{id}, 2026");
        assert_eq!(other["apportioned"]["nsv"], nsv(shared_6), "{id}, 2026");
        assert_eq!(
            other["provisional"]["nsv"],
            nsv(provisional_6),
            "{id}, 2026"
        );
        assert_eq!(other["known_nsv"], nsv(year_6), "{id}, 2026");
    }
    // One person's own page says the same as the table of all.
    assert_eq!(deep("W12 --year 2025")["total"], in_2025["W12"]);
}

/// Findings of fifteen months by check: subject and entries of the key.
fn findings() -> BTreeMap<String, Vec<(String, String)>> {
    let answer = data("findings --from 2025-03-01 --to 2026-06-05 --on 2026-06-05");
    let mut found: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    for line in list(&answer["lines"]) {
        let subject = text(&line["subject"]).to_owned();
        let what = text(&line["what"]).to_owned();
        found
            .entry(text(&line["check"]).to_owned())
            .or_default()
            .push((subject, what));
    }
    found
}

/// What is found is what was hidden, and nothing else: check, how many, and for
/// each the subject and a word of what it says.
#[test]
fn the_findings_are_exactly_what_the_demo_hides() {
    let found = findings();
    let checks: Vec<&str> = found.keys().map(String::as_str).collect();
    assert_eq!(checks, HIDDEN.iter().map(|it| it.0).collect::<Vec<_>>());
    for (check, count, some) in HIDDEN {
        let these = &found[*check];
        assert_eq!(these.len(), *count, "{check}: {these:?}");
        for (subject, words) in *some {
            let hit = these
                .iter()
                .any(|(who, what)| who == subject && what.contains(words));
            assert!(hit, "{check}: {subject}, {words}: {these:?}");
        }
    }
    // The six others were taken in on the eighth day, which is one more than the
    // rule set's week.
    let late = &found["late-entry"];
    assert_eq!(
        late.iter().filter(|it| it.1.contains(" 8 days ")).count(),
        6
    );
}

#[test]
fn a_quarter_above_the_sites_level_is_found_on_its_last_day() {
    for (first, last, worker, dose) in [
        ("2025-10-01", "2025-12-31", "W07", 500),
        ("2026-04-01", "2026-06-05", "W11", 672),
    ] {
        let span = format!("--from {first} --to {last}");
        let answer = data(&format!("findings {span} --on {last}"));
        let reached: Vec<&str> = list(&answer["lines"])
            .iter()
            .filter(|it| text(&it["check"]).starts_with("level-reached:"))
            .map(|it| text(&it["subject"]))
            .collect();
        assert!(reached.contains(&worker), "{last}: {reached:?}");
        let dose_there = deep(&format!("{worker} {span}"));
        assert_eq!(
            dose_there["total"]["known_nsv"],
            dose * MREM,
            "{worker}, {last}"
        );
    }
}

/// The level of a worker by a part of its key and window: limit, cut, conservative
/// figure and what is left, in mrem; an empty text for `nothing left`.
fn level(line: &str, key: &str) -> (i64, i64, i64, i64) {
    let answer = data(&format!("dose show {line}"));
    let found: Vec<&Value> = list(&answer["levels"])
        .iter()
        .filter(|it| text(&it["level"]).contains(key))
        .collect();
    let [one] = found.as_slice() else {
        panic!("one level with {key}: {found:?}");
    };
    let whole = |value: &Value| value.as_i64().map_or(-1, |nsv| nsv / MREM);
    (
        whole(&one["limit"]["nsv"]),
        whole(&one["cut"]["nsv"]),
        whole(&one["conservative_nsv"]),
        whole(&one["left_nsv"]),
    )
}

#[test]
fn levels_are_cut_budgeted_and_near_as_the_demo_says() {
    for (line, key, expected) in [
        // The declared pregnancy, by results on the conservative side: 273 before the
        // notice, max(500 - 273, 50) = 227, and 52 since.
        ("W08 --on 2026-06-05", "pregnan", (227, 0, 52, 175)),
        // Two missing quarters with possible exposure.
        ("W14 --year 2025", "deep-year", (5000, 2500, 622, 1878)),
        (
            "W14 --year 2025",
            "site-administrative",
            (2000, 0, 622, 1378),
        ),
        ("W14 --on 2026-06-05", "deep-year", (5000, 0, 344, 4656)),
        // A missing quarter without possible exposure cuts nothing.
        ("W10 --year 2025", "deep-year", (5000, 0, 568, 4432)),
        // Near the administrative level, the New Year's badge whole.
        (
            "W11 --on 2026-06-05",
            "site-administrative",
            (2000, 0, 1884, 116),
        ),
    ] {
        assert_eq!(level(line, key), expected, "{line}, {key}");
    }
}

#[test]
fn an_off_scale_dosimeter_keeps_the_higher_of_estimate_and_result_until_that_is_accepted() {
    // 187 by the badge that was sent at once; its off-scale shift is 187 - 44 = 143.
    let year = deep("W04 --year 2026");
    assert_eq!(year["total"]["known_nsv"], 599 * MREM);
    assert_eq!(year["total"]["of_record"]["nsv"], 490 * MREM);
    assert_eq!(year["conservative"]["known_nsv"], 636 * MREM);
    // What the RSO determined until a result bounds it until the result is accepted.
    assert_eq!(year["conservative"]["undetermined"], false);
    let crew = data("dose crew --on 2026-06-05");
    let stopped: Vec<&str> = list(&crew["lines"])
        .iter()
        .filter(|it| it["stop"] == true)
        .map(|it| text(&it["worker"]))
        .collect();
    assert_eq!(stopped, [""; 0]);
    let cleared = data("work-status W04 --on 2026-06-05");
    assert_eq!(list(&cleared["lines"])[0]["may_work"], true);
}

#[test]
fn shifts_without_a_result_are_what_their_readings_say() {
    for (line, account, conservative) in [
        ("W03 --from 2026-05-19 --to 2026-05-19", "42.8", "42.8"),
        ("W01 --from 2026-05-19 --to 2026-05-19", "126", "126"),
        ("W02 --from 2026-05-19 --to 2026-05-19", "47", "47"),
    ] {
        let dose = deep(line);
        assert_eq!(dose["total"]["known_nsv"], nsv(account), "{line}");
        assert_eq!(
            dose["conservative"]["known_nsv"],
            nsv(conservative),
            "{line}, conservative total"
        );
    }
}

#[test]
fn a_result_across_new_year_is_shared_out_by_its_shifts() {
    // W11: 147 of a badge whose shifts read 127 before and 14 after: 147 x 127/141.
    let (old, new) = (deep("W11 --year 2025"), deep("W11 --year 2026"));
    assert_eq!(old["total"]["apportioned"]["nsv"], nsv("132.4042"));
    assert_eq!(new["total"]["apportioned"]["nsv"], nsv("14.5958"));
    assert_eq!(new["conservative"]["known_nsv"], 1884 * MREM);
}

#[test]
fn readings_and_badges_are_compared_and_a_dosimeter_that_reads_low_stands_out() {
    let found = data("dose reconcile W06 --year 2025");
    let beyond: Vec<&str> = list(&found["lines"])
        .iter()
        .filter(|it| it["beyond"] == true)
        .map(|it| text(&it["badge"]))
        .collect();
    assert_eq!(
        beyond,
        [
            "B-2507-06",
            "B-2508-06",
            "B-2509-06",
            "B-2510-06",
            "B-2511-06"
        ]
    );
    let truck = data("dose reconcile W12 --year 2025");
    let june = list(&truck["lines"])
        .iter()
        .find(|it| it["badge"] == "B-2506-12")
        .unwrap();
    assert_eq!(june["readings"]["nsv"], 61 * MREM);
    assert!(text(&june["agreement"]).contains("above the badge"));
}

#[test]
fn on_an_ordinary_day_one_person_in_ten_at_most_is_stopped_and_for_what_stops() {
    let cleared = data("work-status --on 2026-06-05");
    let may: Vec<&str> = list(&cleared["lines"])
        .iter()
        .filter(|it| it["may_work"] == true)
        .map(|it| text(&it["worker"]))
        .collect();
    assert_eq!(
        may,
        [
            "W01", "W02", "W03", "W04", "W05", "W06", "W07", "W08", "W09", "W10", "W11", "W12",
            "W14"
        ]
    );
    // Mondays, the first of a month among them, and the last day of one.
    for day in [
        "2025-11-10",
        "2026-03-02",
        "2026-04-13",
        "2026-05-18",
        "2026-06-01",
    ] {
        let board = data(&format!("board --on {day}"));
        let stays = list(&board["people"])
            .iter()
            .filter(|it| it["may_go"] == false);
        let stays: Vec<&str> = stays.map(|it| text(&it["worker"])).collect();
        assert!(stays.len() * 10 <= 14, "{day}: {stays:?}");
    }
    let mut out = demo().place.done("work-status --on 2026-06-05").out;
    out.retain(|it| it != '\r');
    assert!(out.contains("refresher"), "W13's training lapsed: {out}");
}

#[test]
fn statements_of_a_year_are_written_for_everybody_and_say_who_must_get_one() {
    let demo = demo();
    let said = demo
        .place
        .done("dose statement --all --year 2025 --out DIR/statements")
        .out;
    assert!(said.contains("14 statements are in"), "{said}");
    let page = std::fs::read_to_string(demo.place.path("statements/W07-2025.html")).unwrap();
    let page = super::pages::unbound(&page);
    assert!(page.contains("1.271 rem (12.71 mSv)"), "{page}");
    assert!(page.contains("regulation 10 CFR part 19"), "{page}");
    let table = std::fs::read_to_string(demo.place.path("statements/statements.csv")).unwrap();
    assert_eq!(table.lines().count(), 15, "{table}");
    assert!(
        table
            .lines()
            .next()
            .unwrap()
            .starts_with("worker,year,1 Name,2 Identification number")
    );
}

#[test]
fn a_forecast_names_the_level_that_will_be_passed() {
    let ahead = data("dose forecast W11 --on 2026-06-05");
    assert_eq!(ahead["so_far"]["nsv"], 1884 * MREM);
    let site = list(&ahead["levels"])
        .iter()
        .find(|it| text(&it["level"]).starts_with("administrative"))
        .unwrap();
    assert!(site["above"].as_f64().unwrap() > 0.99, "{site}");
}

#[test]
fn the_lists_of_an_inspector_name_the_estimates_and_what_has_no_result() {
    let lists = data("dose lists --year 2026 --on 2026-06-05 --share 30");
    let estimates: Vec<&str> = list(&lists["estimates"])
        .iter()
        .map(|it| text(&it["worker"]))
        .collect();
    assert_eq!(estimates, ["W09", "W04"]);
    let above: Vec<&str> = list(&lists["above"])
        .iter()
        .map(|it| text(&it["worker"]))
        .collect();
    assert!(above.contains(&"W11"), "{above:?}");
    assert!(!list(&lists["no_result"]).is_empty());
}

#[test]
fn what_is_held_is_what_the_demo_says() {
    let held = data("hold list");
    let lines: Vec<(&str, &str, &str)> = list(&held["lines"])
        .iter()
        .filter(|it| it["kind"] == "sheet")
        .map(|it| (text(&it["of"]), text(&it["person"]), text(&it["why"])))
        .collect();
    assert_eq!(
        lines,
        [
            ("B-2025-05-13-day", "W09", "end below start"),
            ("C-2025-09-23-day", "W13", "above the range"),
            ("A-2025-12-03-day", "W06", "unknown dosimeter"),
            ("C-2026-04-08-day", "Benedikt Owuso", "unknown worker"),
        ]
    );
    let all = held["lines"].to_string();
    assert!(all.contains("did you mean `Benedikt Owusu`?"), "{all}");
    // And four about badges: overlapping periods, a second report, a report
    // before its period's end, a spare that was never issued.
    let mut badges: Vec<&str> = list(&held["lines"])
        .iter()
        .filter(|it| it["kind"] != "sheet")
        .map(|it| text(&it["why"]))
        .collect();
    badges.sort_unstable();
    assert_eq!(
        badges,
        [
            "before the period's end",
            "overlapping wear periods",
            "second report",
            "unknown badge",
        ]
    );
}

#[test]
fn the_ledger_of_the_demo_is_the_same_everywhere() {
    let demo = demo();
    super::cli_support::compare("demo_head", &demo.place.head());
    let verified = demo.place.done("ledger verify --full").out;
    assert!(verified.contains("verified in full"), "{verified}");
}

#[test]
fn the_demo_shows_doses_findings_and_the_chart_in_eighty_columns() {
    let demo = demo();
    let wide = demo
        .built
        .out
        .lines()
        .find(|line| line.chars().count() > 80);
    assert_eq!(wide, None);
    for words in ["W11", "STOP", "636", "scripted", "hold list"] {
        assert!(
            demo.built.out.contains(words),
            "{words}:\n{}",
            demo.built.out
        );
    }
    for file in ["demo/W11.svg", "demo/W11.png"] {
        assert!(demo.place.path(file).exists(), "{file}");
    }
    for line in [
        "dose crew",
        "dose show W11 --why --year 2026",
        "findings --year 2025",
        "hold list",
        "worker list",
        "instrument list",
        "equipment list",
        "job list",
        "rules show",
    ] {
        let said = demo.place.done(line);
        assert!(
            said.out.contains("scripted"),
            "every output says so: {line}"
        );
    }
}

#[test]
fn a_demo_that_is_there_is_not_built_over() {
    let mut place = Place::empty("a_demo_that_is_there");
    std::fs::create_dir(place.path("demo")).unwrap();
    place.file("demo/demo.db", "mine");
    let said = place.refused("demo --out DIR/demo");
    assert!(said.err.contains("exists already"), "{}", said.err);
    let said = place.refused("demo --out DIR/other --from DIR/nowhere");
    assert!(said.err.contains("there is no"), "{}", said.err);
    assert!(!place.path("other").exists(), "nothing is left behind");
}

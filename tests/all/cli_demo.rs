//! The demonstration, built once as `wearbook demo` builds it, against what
//! demo/README.md says of it: everybody's doses, and each thing hidden in it.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde_json::Value;

use super::cli_support::{Place, Said};

const MREM: i64 = 10_000;

/// The moment at which the demonstration is looked at.
const NOW: &str = "2026-06-05T15:00:00Z";

struct Demo {
    place: Place,
    built: Said,
}

fn demo() -> &'static Demo {
    static BUILT: OnceLock<Demo> = OnceLock::new();
    BUILT.get_or_init(|| {
        let mut place = Place::empty("demo");
        let built = place.done("demo --out DIR/demo");
        place.turn_to("demo/demo.db", NOW);
        Demo { place, built }
    })
}

fn data(line: &str) -> Value {
    let said = demo().place.done(&format!("{line} --json"));
    let mut value: Value = serde_json::from_str(&said.out).unwrap();
    value["data"].take()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("a text: {value}"))
}

fn list(value: &Value) -> &[Value] {
    value
        .as_array()
        .unwrap_or_else(|| panic!("a list: {value}"))
}

/// One worker's deep dose over a span.
fn deep(line: &str) -> Value {
    let mut answer = data(&format!("dose show {line}"));
    answer["totals"][0].take()
}

/// `12.8` mrem in nanosievert.
fn nsv(mrem: &str) -> i64 {
    let (whole, part) = mrem.split_once('.').unwrap_or((mrem, "0"));
    assert_eq!(part.len(), 1, "{mrem}");
    let number = |text: &str| text.parse::<i64>().unwrap();
    number(whole) * MREM + number(part) * MREM / 10
}

fn readme() -> String {
    std::fs::read_to_string("demo/README.md").unwrap()
}

/// The cells of the table of totals, a person a row.
fn totals() -> Vec<Vec<String>> {
    let readme = readme();
    let (_, rest) = readme.split_once("<!-- made: totals -->").unwrap();
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
        .map(|it| (text(&it["worker"]).to_owned(), it["account"].clone()))
        .collect()
}

#[test]
fn everybodys_doses_are_those_of_the_demos_own_table() {
    let rows = totals();
    assert_eq!(rows.len(), 14);
    let [in_2024, in_2025, in_2026] = ["2024", "2025", "2026"].map(crew);
    for row in rows {
        let [
            id,
            name,
            prior_2024,
            prior_2025,
            _,
            by_2025,
            year_2025,
            _,
            by_2026,
        ] = row.as_slice()
        else {
            panic!("nine cells: {row:?}");
        };
        assert_eq!(in_2024[id]["prior"]["nsv"], nsv(prior_2024), "{name}, 2024");
        assert_eq!(
            in_2025[id]["prior"]["nsv"],
            nsv(prior_2025),
            "{name}, prior"
        );
        assert_eq!(
            in_2025[id]["provisional"]["nsv"],
            nsv(by_2025),
            "{name}, shifts"
        );
        assert_eq!(in_2025[id]["known_nsv"], nsv(year_2025), "{name}, 2025");
        assert_eq!(in_2026[id]["known_nsv"], nsv(by_2026), "{name}, 2026");
    }
    // One person's own page says the same as the table of all.
    assert_eq!(deep("W12 --year 2025")["account"], in_2025["W12"]);
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

/// A check, how many findings it has, and of some the subject and a word.
type Hidden<'a> = (&'a str, usize, &'a [(&'a str, &'a str)]);

/// What is found is what was hidden, and nothing else: check, how many, and for
/// each the subject and a word of what it says.
#[test]
fn the_findings_are_exactly_what_the_demo_hides() {
    #[rustfmt::skip]
    let expected: &[Hidden] = &[
        ("badge-not-worn", 2, &[("W09", "B-2026-01-20-day"), ("W09", "B-2026-01-21-day")]),
        ("electronic-over-shift-limit", 1, &[("W07", "213 mrem")]),
        ("held-item", 4, &[("W09", "B-2025-05-13-day"), ("W13", "C-2025-09-23-day"),
            ("W06", "A-2025-12-03-day"), ("Benedikt Owuso", "C-2026-04-08-day")]),
        ("late-entry", 7, &[("B-2025-10-02-day", "2025-11-18, 47 days")]),
        // W13's counts although it is held: a stop costs less than a dose.
        ("level-reached", 4, &[("W07", "213 mrem"), ("W11", "C-2025-10-22-day"),
            ("W01", "126 mrem"), ("W13", "214 mrem")]),
        ("level-reached:site-investigation-quarter", 1, &[("W11", "672 mrem")]),
        ("meter-calibration", 12, &[("SM-04", "B-2025-11-07-day"),
            ("SM-04", "B-2025-11-14-evening-transport"), ("SM-04", "B-2025-11-20-night")]),
        ("no-survey-at-storage", 2, &[("A-2026-02-18-day", "no storage survey"),
            ("A-2026-05-19-day", "neither")]),
        ("not-attested", 1, &[("B-2025-04-24-day", "")]),
        ("off-scale", 1, &[("W04", "A-2026-05-27-day")]),
        ("ratemeter-not-tested", 1, &[("W13", "C-2025-08-21-day")]),
        // The ninth is the spare PD-91 that no register has.
        ("response-check", 9, &[("PD-06", "A-2025-10-17-day"), ("PD-06", "A-2025-10-29-day"),
            ("PD-91", "A-2025-12-03-day")]),
        ("start-not-last-end", 3, &[("EL-01", "3456 uSv"), ("EL-02", "13886 uSv"),
            ("EL-03", "6014 uSv")]),
        ("two-dosimeters-disagree", 1, &[("W12", "EL-03 shows 31 mrem, PD-12 shows 12 mrem")]),
        ("two-person", 1, &[("A-2025-06-17-day", "W05 assistant, W06 assistant")]),
        ("withdrawn-used", 1, &[("ED-03", "B-2025-08-13-day")]),
    ];
    let found = findings();
    let checks: Vec<&str> = found.keys().map(String::as_str).collect();
    assert_eq!(checks, expected.iter().map(|it| it.0).collect::<Vec<_>>());
    for (check, count, some) in expected {
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
    // scheme's week.
    let late = &found["late-entry"];
    assert_eq!(
        late.iter().filter(|it| it.1.contains(" 8 days ")).count(),
        6
    );
}

#[test]
fn a_quarter_above_the_sites_level_is_found_on_its_last_day() {
    for (first, last, worker, dose) in [
        ("2025-10-01", "2025-12-31", "W07", 484),
        ("2026-01-01", "2026-03-31", "W11", 1039),
        ("2026-04-01", "2026-06-05", "W11", 672),
    ] {
        let span = format!("--from {first} --to {last}");
        let answer = data(&format!("findings {span} --on {last}"));
        let reached: Vec<&str> = list(&answer["lines"])
            .iter()
            .filter(|it| text(&it["check"]).starts_with("level-reached:"))
            .map(|it| text(&it["subject"]))
            .collect();
        assert_eq!(reached, [worker], "{last}");
        let dose_there = deep(&format!("{worker} {span}"));
        assert_eq!(
            dose_there["account"]["known_nsv"],
            dose * MREM,
            "{worker}, {last}"
        );
    }
}

/// The level of a worker by a part of its key and window: limit, cut, safe-side
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
        whole(&one["safe_side_nsv"]),
        whole(&one["left_nsv"]),
    )
}

#[test]
fn levels_are_cut_budgeted_and_near_as_the_demo_says() {
    for (line, key, expected) in [
        // The declared pregnancy: max(500 - 229, 50) = 271, and 9 since.
        ("W08 --on 2026-06-05", "pregnan", (271, 0, 9, 262)),
        // Two missing quarters with possible exposure.
        ("W14 --year 2025", "deep-year", (5000, 2500, 579, 1921)),
        ("W14 --year 2025", "lens-year", (15_000, 7500, 579, 6921)),
        (
            "W14 --year 2025",
            "shallow-year",
            (50_000, 25_000, 579, 24_421),
        ),
        (
            "W14 --year 2025",
            "site-administrative",
            (2000, 0, 579, 1421),
        ),
        ("W14 --on 2026-06-05", "deep-year", (5000, 0, 265, 4735)),
        // A missing quarter without possible exposure cuts nothing.
        ("W10 --year 2025", "deep-year", (5000, 0, 542, 4458)),
        // Near the administrative level, the New Year's night included.
        (
            "W11 --on 2026-06-05",
            "site-administrative",
            (2000, 0, 1749, 251),
        ),
    ] {
        assert_eq!(level(line, key), expected, "{line}, {key}");
    }
}

#[test]
fn an_off_scale_dosimeter_leaves_a_dose_that_never_looks_final() {
    let year = deep("W04 --year 2026");
    assert_eq!(year["account"]["known_nsv"], 441 * MREM);
    assert_eq!(year["account"]["undetermined"], true);
    assert!(text(&year["account"]["shown"]).starts_with("at least 441 mrem"));
    let crew = data("dose crew --on 2026-06-05");
    let stopped: Vec<&str> = list(&crew["lines"])
        .iter()
        .filter(|it| it["stop"] == true)
        .map(|it| text(&it["worker"]))
        .collect();
    assert_eq!(stopped, ["W04"]);
    assert!(text(&crew["collective"]).contains("at least"));
}

#[test]
fn single_shifts_are_what_the_demo_says() {
    for (line, account, safe_side) in [
        // Recharged during the shift, in two parts.
        ("W11 --from 2025-10-22 --to 2025-10-22", "93", "93"),
        // Two dosimeters on one person: the higher counts, not the sum.
        ("W12 --from 2026-03-11 --to 2026-03-11", "31", "31"),
        ("W12 --from 2026-03-12 --to 2026-03-12", "12.8", "12.8"),
        // A night across New Year: the account has it once, the safe side twice.
        ("W11 --from 2025-12-31 --to 2025-12-31", "38", "38"),
        ("W11 --from 2026-01-01 --to 2026-01-01", "0", "38"),
        // The night before ran over midnight too: 26 and 6 of it count here too.
        ("W13 --from 2025-12-31 --to 2025-12-31", "21", "47"),
        ("W14 --from 2025-12-31 --to 2025-12-31", "17", "23"),
        // Without a badge.
        ("W09 --from 2026-01-20 --to 2026-01-21", "7", "7"),
        // The day of the retrieval.
        ("W03 --from 2026-05-19 --to 2026-05-19", "42.8", "42.8"),
        ("W01 --from 2026-05-19 --to 2026-05-19", "126", "126"),
        ("W02 --from 2026-05-19 --to 2026-05-19", "47", "47"),
        // Held: out of the account, in the safe-side figure.
        ("W13 --from 2025-09-23 --to 2025-09-23", "0", "214"),
        ("W06 --from 2025-12-03 --to 2025-12-03", "0", "9"),
    ] {
        let dose = deep(line);
        assert_eq!(dose["account"]["known_nsv"], nsv(account), "{line}");
        assert_eq!(
            dose["safe_side"]["known_nsv"],
            nsv(safe_side),
            "{line}, safe side"
        );
    }
}

#[test]
fn what_is_held_is_what_the_demo_says() {
    let held = data("held");
    let lines: Vec<(&str, &str, &str)> = list(&held["lines"])
        .iter()
        .map(|it| (text(&it["sheet"]), text(&it["person"]), text(&it["sort"])))
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
    let near = text(&list(&held["lines"])[3]["about"]);
    assert!(near.contains("did you mean `Benedikt Owusu`?"), "{near}");
}

#[test]
fn the_ledger_of_the_demo_is_the_same_everywhere() {
    let demo = demo();
    super::cli_support::compare("demo_head", &demo.place.head());
    let verified = demo.place.done("ledger verify --full").out;
    assert!(verified.contains("nothing was changed"), "{verified}");
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
    for words in ["W11", "STOP", ">= 441", "off-scale", "scripted", "held"] {
        assert!(
            demo.built.out.contains(words),
            "{words}:\n{}",
            demo.built.out
        );
    }
    for file in ["demo/w11.svg", "demo/w11.png"] {
        assert!(demo.place.path(file).exists(), "{file}");
    }
    for line in [
        "dose crew",
        "dose show W11 --why --year 2026",
        "findings --year 2025",
        "held",
        "worker list",
        "instrument list",
        "equipment list",
        "job list",
        "scheme show",
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

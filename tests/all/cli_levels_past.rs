//! Levels of windows that ended before the day asked for.

use serde_json::Value;

use super::cli_support::{Place, crew};

/// A rule set with a level of a window, as a site writes it.
fn rule_set(window: &str, kind: &str, dose: &str) -> String {
    format!(
        "rule_set = \"site levels\"\ntitle = \"levels of a test\"\nextends = \"10 CFR\"\n\
         [[level]]\nkey = \"site-level\"\nsort = \"{kind}\"\nquantity = \"deep\"\n\
         applies_to = \"adult\"\nwindow = \"{window}\"\ndose = \"{dose}\"\n\
         citation = \"procedure 1\"\nstatus = \"read\"\nmeaning = \"The RSO looks into it.\"\n"
    )
}

/// A ledger whose W07 received 12 mrem on each of these days.
fn kept(name: &str, level: &str, days: &[&str]) -> Place {
    let place = Place::with_registers(name);
    let file = place.file("site.toml", level);
    place.done(&format!(
        "rules adopt {file} --from 2026-01-01 --reason moved"
    ));
    let rows: String = days.iter().map(|day| crew(day, "day")).collect();
    place.hand_in(&rows);
    place
}

/// Severity and words of what is found of the site's level.
fn found(place: &Place, asked: &str) -> Vec<String> {
    let out = place.done(&format!("findings {asked} --json")).out;
    let all: Value = serde_json::from_str(&out).expect("JSON");
    let lines = all["data"]["lines"].as_array().expect("lines").clone();
    let mine = lines.iter().filter(|it| {
        let of = it["check"].as_str().unwrap_or_default();
        // What stands against the person besides says the same of a level that still runs.
        let of_levels = it["what"].as_str().is_some_and(|it| it.starts_with("W07 "));
        of == "level-reached:site-level" && of_levels
    });
    mine.map(|it| {
        let word = |field: &str| it[field].as_str().expect("words").to_owned();
        format!("{} {}", word("severity"), word("what"))
    })
    .collect()
}

const MARCH: &[&str] = &["2026-03-02", "2026-03-03", "2026-03-04"];

#[test]
fn a_level_of_a_quarter_that_ended_in_the_span_is_told_without_asking_for_its_last_day() {
    const PAST: &str = "; over 2026-01-01 to 2026-03-31, which is past";
    let quarter = rule_set("quarter", "investigation", "35 mrem");
    let year = "--from 2026-01-01 --to 2026-06-15";
    for (name, days, asked, words) in [
        ("reached", MARCH, year, Some(PAST)),
        (
            "as of its last day it is not past",
            MARCH,
            "--from 2026-01-01 --to 2026-03-31 --on 2026-03-31",
            Some(""),
        ),
        (
            "the span ends before the quarter",
            MARCH,
            "--from 2026-01-01 --to 2026-03-30 --on 2026-06-15",
            None,
        ),
        (
            "the span begins after the quarter",
            MARCH,
            "--from 2026-04-01 --to 2026-06-15",
            None,
        ),
        (
            "the span begins after the shifts",
            MARCH,
            "--from 2026-03-20 --to 2026-06-15",
            Some(PAST),
        ),
        (
            "two quarters share the dose",
            &["2026-03-02", "2026-03-03", "2026-04-01"],
            year,
            None,
        ),
        (
            "this quarter",
            &["2026-05-02", "2026-05-03", "2026-05-04"],
            year,
            Some(""),
        ),
    ] {
        let place = kept(&format!("levels-past-{name}"), &quarter, days);
        let found = found(&place, asked);
        assert_eq!(
            found.len(),
            usize::from(words.is_some()),
            "{name}: {found:?}"
        );
        let past = found.iter().any(|it| it.ends_with(PAST));
        assert_eq!(past, words == Some(PAST), "{name}: {found:?}");
    }
}

#[test]
fn every_window_of_the_calendar_is_told_when_it_has_ended_and_stops_nobody() {
    let year = "--from 2026-01-01 --to 2026-06-15";
    for (window, kind, dose, words) in [
        ("month", "investigation", "35 mrem", Some("act")),
        ("month", "investigation", "37 mrem", None),
        ("quarter", "administrative", "35 mrem", Some("act")),
        // Still running: it stops, and is not past.
        ("licensee year", "administrative", "35 mrem", Some("stop")),
    ] {
        let place = kept(
            &format!("levels-window-{window}-{kind}-{dose}"),
            &rule_set(window, kind, dose),
            MARCH,
        );
        let found = found(&place, year);
        assert_eq!(
            found.len(),
            usize::from(words.is_some()),
            "{window}: {found:?}"
        );
        let first = found
            .first()
            .map(|it| it.split(' ').next().unwrap_or_default());
        assert_eq!(first, words, "{window}: {found:?}");
        let past = found.iter().any(|it| it.contains("which is past"));
        assert_eq!(past, words == Some("act"), "{window}: {found:?}");
    }
}

/// Its key is of the entries with which it was passed, and they are of the quarter's days.
#[test]
fn what_is_past_can_be_answered() {
    let quarter = rule_set("quarter", "investigation", "35 mrem");
    let place = kept("levels-past-answered", &quarter, MARCH);
    let year = "--from 2026-01-01 --to 2026-06-15";
    let out = place.done(&format!("findings {year} --json")).out;
    let all: Value = serde_json::from_str(&out).expect("JSON");
    let lines = all["data"]["lines"].as_array().expect("lines").clone();
    let key = lines
        .iter()
        .filter_map(|it| it["key"].as_str())
        .find(|it| it.starts_with("level-reached:site-level/W07"));
    let key = key.expect("a key").to_owned();
    place.done(&format!(
        "finding answer {key} --reason \"two welds shot again\""
    ));
    assert_eq!(found(&place, year), [""; 0]);
}

//! What is known of an event for its duties: from when on a dose was, and what is taken to be so.

use super::cli_notification::{clocks, disconnected};
use super::cli_support::{Place, data_of as data};

/// What was heard by telephone was known before what somebody wrote down in the meantime: the
/// clock starts at the first that was enough.
#[test]
fn a_result_that_was_heard_before_a_determination_starts_the_clock_though_written_later() {
    let mut place = disconnected("notice-heard-first");
    place.done(
        "badge issue --badge B-7 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    place.turn_to("wearbook.db", "2026-07-20T15:00:00Z");
    place.done(
        "determination enter --worker W07 --first-day 2026-06-14 --last-day 2026-06-14 --quantity \
         deep --relation replaces --dose \"6 rem\" --method \"time and distance\" --basis \
         \"acted again\" --on 2026-07-20 --performed-by W01",
    );
    let starts = |place: &Place| -> Vec<serde_json::Value> {
        let clocks = clocks(place, "report show E-1", "written-20-2203");
        clocks.iter().map(|it| it["start"].clone()).collect()
    };
    assert_eq!(starts(&place), ["2026-07-20 10:00 -05:00"]);
    place.done(
        "badge result --badge B-7 --report R-7 --reported-on 2026-07-16 --deep \"6.2 rem\" \
         --received-at 2026-07-14T09:30",
    );
    assert_eq!(starts(&place), ["2026-07-14 09:30 -05:00"]);
}

/// A determination is known on the day on which it was made, whoever enters it how much later; not
/// before the event was discovered, and of its own day at the moment of its entry.
#[test]
fn a_determination_that_is_entered_late_starts_its_clock_on_the_day_on_which_it_was_made() {
    for (name, on, start) in [
        ("day", "2026-07-20", "2026-07-20 10:00 -05:00"),
        ("before", "2026-07-19", "2026-07-19 00:00 -05:00"),
        ("long", "2026-06-16", "2026-06-16 00:00 -05:00"),
        ("event", "2026-06-14", ""),
    ] {
        let mut place = disconnected(&format!("notice-determined-{name}"));
        place.turn_to("wearbook.db", "2026-07-20T15:00:00Z");
        place.done(&format!(
            "determination enter --worker W07 --first-day 2026-06-14 --last-day 2026-06-14 \
             --quantity deep --relation replaces --dose \"6 rem\" --method \"time and distance\" \
             --basis \"acted again\" --on {on} --performed-by W01"
        ));
        let clocks = clocks(&place, "report show E-1", "written-20-2203");
        let starts: Vec<&str> = clocks
            .iter()
            .filter_map(|it| it["start"].as_str())
            .collect();
        let discovered = data(&place, "report show E-1")["discovered"].clone();
        let discovered = discovered.as_str().expect("a moment").to_owned();
        let start = if start.is_empty() { &discovered } else { start };
        assert_eq!(starts, [start], "{name}");
    }
}

/// What an open duty rests on without anybody's word is listed with its question, and is no
/// question that stays open.
#[test]
fn what_is_taken_to_be_so_is_listed_until_somebody_says_no() {
    let place = disconnected("notice-assumed");
    let keys = |place: &Place, list: &str| -> Vec<String> {
        let all = data(place, "report show E-1")[list].clone();
        let all = all.as_array().expect("a list").clone();
        let keys = all.iter().filter_map(|it| it["key"].as_str());
        keys.map(str::to_owned).collect()
    };
    let call = ["safety-equipment", "required-operable", "no-redundant"];
    assert_eq!(keys(&place, "assumed"), call);
    let asked = keys(&place, "questions");
    assert!(
        !asked.iter().any(|it| call.contains(&it.as_str())),
        "{asked:?}"
    );
    place.done("report answer E-1 no-redundant no --because \"a second drive stood ready\"");
    // Nothing that is open turns on the other two any more.
    assert_eq!(keys(&place, "assumed"), [""; 0]);
}

//! The packet of somebody who leaves: what is awaited, the law that asks, by when, and the figure
//! on the conservative side.

use serde_json::Value;

use super::cli_demo::list;
use super::cli_support::{Place, crew};

const LEAVES: &str = "dose leaver W07 --on 2026-06-13";

fn json(place: &Place, line: &str) -> Value {
    let said = place.done(&format!("{line} --json")).out;
    let mut value: Value = serde_json::from_str(&said).expect("JSON");
    value["data"].take()
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn read(place: &Place, name: &str) -> String {
    std::fs::read_to_string(place.path(name)).unwrap_or_else(|_| panic!("{name} is written"))
}

/// W07 with a shift on each of these days and, where asked, a badge over all of June.
fn worked(name: &str, days: &[&str], badge: bool) -> Place {
    let place = Place::with_registers(name);
    let rows: String = days.iter().map(|day| crew(day, "day")).collect();
    place.hand_in(&rows);
    if badge {
        place.done(
            "badge issue --badge B-7 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
             --last-day 2026-06-30",
        );
    }
    place.done("worker monitoring --worker W07 --on 2026-06-13 --change ends");
    place
}

#[test]
fn a_packet_says_what_is_awaited_which_law_asks_and_by_when_beside_the_conservative() {
    let place = worked("leaver-packet", &["2026-06-12"], true);
    place.done(&format!("{LEAVES} --out DIR/packet"));
    let sheet = flat(&read(&place, "packet/leaver-W07.txt"));
    for words in [
        "ESTIMATE: some figures are not final.",
        "By 2026-06-13: A worker who leaves must get, on request and at termination",
        "(10 CFR 19.13(e))",
        "Afterwards, within 30 days:",
        "(10 CFR 19.13(c))",
        "B-7 2026-06-01 to 2026-06-13 on issue take it back: wearbook badge return",
        "DDE 0.012 rem (0.12 mSv) estimate 0.012 rem (0.12 mSv)",
        "W07-2026.html: the statement of 2026, estimate; on request",
    ] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
    let page = read(&place, "packet/W07-2026.html");
    for words in [
        "The person leaves before all results are in: this is an estimate (10 CFR 19.13(e)).",
        "figures up to 2026-06-13",
        "No result yet of badge B-7",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
}

#[test]
fn where_an_awaited_badge_is_follows_the_records_until_its_result_is_in() {
    let place = worked("leaver-where", &["2026-06-12"], true);
    let awaited = || {
        let answer = json(&place, LEAVES);
        let all = list(&answer["awaited"]).iter();
        let all: Vec<Value> = all.map(|it| it["at"].clone()).collect();
        (all, answer["current"]["estimate"] == true)
    };
    assert_eq!(awaited(), (vec!["on_issue".into()], true));
    place.done("badge return --badge B-7 --on 2026-06-13");
    assert_eq!(awaited(), (vec!["handed_in".into()], true));
    place.done("badge send --badge B-7 --on 2026-06-14");
    assert_eq!(awaited(), (vec!["at_processor".into()], true));
    place.done(
        "badge result --badge B-7 --report R-1 --reported-on 2026-06-15 --deep \"14 mrem\" --lens \
         \"14 mrem\" --shallow \"14 mrem\"",
    );
    assert_eq!(awaited(), (Vec::new(), false));
    let sheet = flat(&place.done(LEAVES).out);
    assert!(sheet.contains("WHAT IS AWAITED Nothing."), "{sheet}");
    assert!(!sheet.contains("ESTIMATE"), "{sheet}");
}

#[test]
fn of_a_lost_badge_a_determination_is_awaited_and_no_result() {
    let place = worked("leaver-lost", &["2026-06-12"], true);
    place.done("badge lost --badge B-7 --on 2026-06-13");
    let answer = json(&place, LEAVES);
    let awaited = list(&answer["awaited"]);
    assert!(awaited.len() == 1 && awaited[0]["at"].is_null());
    let sheet = flat(&place.done(LEAVES).out);
    for words in ["lost or damaged: no result", "wearbook determination enter"] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
}

#[test]
fn earlier_years_are_in_it_where_they_are_owed_or_asked_for_and_are_named_otherwise() {
    let place = worked("leaver-years", &["2025-05-12", "2026-06-12"], false);
    place.done(
        "worker prior-dose --worker W07 --first-day 2024-01-01 --last-day 2024-12-31 --employer \
         \"Heron Radiography (invented)\" --deep \"140 mrem\" --basis \"own paper\"",
    );
    let years = |line: &str| {
        let answer = json(&place, line);
        let earlier = list(&answer["earlier"]).iter();
        let earlier: Vec<i64> = earlier.filter_map(|it| it["year"].as_i64()).collect();
        let others = list(&answer["not_in_it"]).iter();
        let others: Vec<i64> = others.filter_map(Value::as_i64).collect();
        (earlier, others)
    };
    let older: Vec<i64> = (2018..=2023).rev().collect();
    let with_2025 = [vec![2025], older.clone()].concat();
    // Only 2024 is above 100 mrem.
    assert_eq!(years(LEAVES), (vec![2024], with_2025));
    let since = format!("{LEAVES} --since 2024");
    assert_eq!(years(&since), (vec![2025, 2024], older));
    place.done(&format!("{since} --out DIR/packet"));
    assert!(read(&place, "packet/W07-2024.html").contains("0.14 rem (1.4 mSv)"));
    assert!(read(&place, "packet/W07-2025.html").contains("year 2025"));
}

#[test]
fn dose_after_the_last_day_and_an_end_of_monitoring_on_another_are_said() {
    let place = worked("leaver-after", &["2026-06-11", "2026-06-12"], false);
    let fits = flat(&place.done(LEAVES).out);
    let early = flat(&place.done("dose leaver W07 --on 2026-06-11").out);
    for words in [
        "NOT ALL OF IT: dose after 2026-06-11 is on record",
        "On record monitoring ended on 2026-06-13, not on 2026-06-11",
    ] {
        assert!(early.contains(words), "{words}: {early}");
    }
    assert!(
        !fits.contains("NOT ALL OF IT") && !fits.contains("On record monitoring"),
        "{fits}"
    );
}

#[test]
fn a_last_day_that_has_not_come_is_refused_and_nothing_is_written() {
    let mut place = worked("leaver-ahead", &["2026-06-12"], false);
    let said = place.refused("dose leaver W07 --on 2026-12-24 --out DIR/packet");
    assert!(said.err.contains("the last day, 2026-12-24, has not begun"));
    assert!(!place.path("packet").exists());
}

#[test]
fn under_a_rule_set_without_such_a_rule_the_packet_cites_none() {
    let place = worked("leaver-eu", &["2026-06-12"], true);
    place.done("rules adopt EU --from 2026-01-01 --reason moved");
    let sheet = place.done(LEAVES).out;
    assert!(!sheet.contains("CFR") && sheet.contains("ask your authority"));
}

//! What somebody who leaves is given, and what is awaited.

use serde_json::Value;

use super::cli_demo::list;
use super::cli_support::{HEADER, Place, crew};

fn leaver(place: &Place) -> Value {
    let said = place.done("dose leaver W08 --json");
    let mut all: Value = serde_json::from_str(&said.out).expect("JSON");
    all["data"].take()
}

/// W08 worked in May and wore badge 0417.
fn worked(name: &str) -> Place {
    let place = Place::with_registers(name);
    let rows = crew("2026-05-12", "day");
    let file = place.file("sheet.csv", format!("{HEADER}{rows}"));
    place.done(&format!("sheet import {file}"));
    place.done(
        "badge issue --badge 0417 --sort \"whole body\" --worker W08 --first-day 2026-05-01 \
         --last-day 2026-05-31",
    );
    place
}

#[test]
fn whoever_leaves_gets_an_estimate_while_the_last_badge_is_awaited_and_a_record_after_it() {
    let place = worked("leaver");
    let told = leaver(&place);
    assert!(told["left_on"].is_null());
    place.done("worker monitoring --worker W08 --on 2026-05-31 --change ends");
    let state = |told: &Value| {
        assert_eq!(told["left_on"], "2026-05-31");
        let [badge] = list(&told["awaited"]) else {
            panic!("{told}");
        };
        assert_eq!(badge["badge"], "0417");
        (badge["state"][0].clone(), told["estimate"].clone())
    };
    assert_eq!(state(&leaver(&place)), (Value::Null, true.into()));
    let text = place.done("dose leaver W08").out;
    for words in [
        "not handed back",
        "ESTIMATE (10 CFR 19.13(e))",
        "0.008 rem (0.08 mSv)",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    place.done("badge return --badge 0417 --on 2026-05-31");
    place.done("badge send --badge 0417 --on 2026-06-01");
    assert_eq!(state(&leaver(&place)), ("sent".into(), true.into()));
    place
        .done("badge result --badge 0417 --report R-77 --reported-on 2026-06-10 --deep \"9 mrem\"");
    let text = place.done("dose leaver W08").out;
    assert!(text.contains("No badge waits"), "{text}");
    assert!(text.contains("0.009 rem (0.09 mSv)"), "{text}");
}

#[test]
fn of_a_lost_badge_no_result_is_awaited_and_somebody_has_to_determine_the_dose() {
    let place = worked("leaver-lost");
    place.done("badge lost --badge 0417 --on 2026-05-20");
    let told = leaver(&place);
    let [badge] = list(&told["awaited"]) else {
        panic!("{told}");
    };
    assert_eq!(badge["to_be_determined"], true);
    assert_eq!(told["estimate"], true);
    let text = place.done("dose leaver W08").out;
    assert!(
        text.contains("lost on 2026-05-20: no result comes"),
        "{text}"
    );
    // Nobody else's badge is told.
    let other = place.done("dose leaver W07").out;
    assert!(other.contains("No badge waits"), "{other}");
}

//! What a finding asks for on its day: what ends it then, and nothing that can no longer be done.

use serde_json::Value;

use super::cli_badges::issued;
use super::cli_support::{Place, crew, row};

fn lines(place: &Place, on: &str) -> Vec<Value> {
    let asked = format!("findings --from 2026-01-01 --to 2026-06-15 --on {on} --json");
    let all: Value = serde_json::from_str(&place.done(&asked).out).expect("JSON");
    all["data"]["lines"].as_array().expect("lines").clone()
}

/// Severity and remedy of the open findings of a check.
fn found(place: &Place, check: &str, on: &str) -> Vec<(String, String)> {
    let word = |it: &Value, field: &str| it[field].as_str().expect("words").to_owned();
    let lines = lines(place, on);
    let mine = lines.iter().filter(|it| it["check"] == check);
    mine.map(|it| (word(it, "severity"), word(it, "remedy")))
        .collect()
}

const TODAY: &str = "2026-06-15";

#[test]
fn an_off_scale_stop_asks_for_the_badge_until_its_result_is_there_and_then_for_the_rso() {
    let place = issued("stands-result");
    let off = row(
        "2026-06-10",
        "day",
        "W07,radiographer,PD-07,1,0,,yes,RM-07,yes,yes",
    ) + &row(
        "2026-06-10",
        "day",
        "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
    );
    place.hand_in(&off);
    let asks = |on: &str, wanted: &str, not: &str| {
        let all = found(&place, "off-scale", on);
        // The sheet and what stands against the person say it once.
        assert_eq!(all.len(), 1, "{on}");
        for (severity, remedy) in all {
            assert_eq!(severity, "stop", "{on}");
            assert!(
                remedy.contains(wanted) && !remedy.contains(not),
                "{on}: {remedy}"
            );
        }
    };
    let accept = "accepts the result of the badge";
    asks(TODAY, "send the badge", accept);
    place.done("badge return --badge B-17/2026-06-01 --on 2026-06-11");
    place.done("badge send --badge B-17/2026-06-01 --on 2026-06-11");
    asks(TODAY, "send the badge", accept);
    // Somebody else's result says nothing of this one.
    let result = "--report R-9 --reported-on 2026-06-14 --deep \"90 mrem\" --lens \"90 mrem\" \
         --shallow \"90 mrem\"";
    place.done("badge return --badge B-18/2026-06-01 --on 2026-06-11");
    place.done(&format!("badge result --badge B-18/2026-06-01 {result}"));
    asks(TODAY, "send the badge", accept);
    place.done(&format!("badge result --badge B-17/2026-06-01 {result}"));
    asks(TODAY, accept, "send the badge");
    asks("2026-06-14", accept, "send the badge");
    asks("2026-06-13", "send the badge", accept);
    let text = place.done("findings --year 2026").out;
    let one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        one_line.contains("the result of badge B-17 is there and not accepted"),
        "{text}"
    );
    place.done("badge accept --report R-9 --performed-by W01");
    assert_eq!(found(&place, "off-scale", TODAY), []);
}

fn withdraw(place: &Place, item: &str) {
    place.done(&format!(
        "equipment out-of-service --item {item} --on 2026-06-14 --reason \"sent back\" \
        --performed-by W01"
    ));
}

/// Each finding about a thing stands, and is gone or asks nothing once the thing has left.
#[test]
fn nothing_is_asked_for_what_has_left() {
    for (check, item, make) in [
        (
            "leaking-source",
            "S-1",
            &[
                "equipment leak-test --item S-1 --on 2026-06-01 --part source --performed-by Lab \
                 --removable \"200 Bq\"",
            ][..],
        ),
        (
            "meter-calibration",
            "SM-1",
            &[
                "instrument calibrate SM-1 --performed-by Lab --on 2026-06-10 \
               --point \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.3 mR/h\" \
               --point \"found, scale=10 mR/h, true=6.7 mR/h, reads=6.7 mR/h\"",
            ],
        ),
        (
            "never-measured",
            "C-1",
            &[
                "inspect enter --item C-1 --on 2026-05-01 --when quarterly --performed-by W07 \
               --line \"cable-diameter=not done\" --line \"cable-connector-tilt, value=4 deg\" \
               --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\" \
               --line \"all others=good\"",
            ],
        ),
    ] {
        let place = Place::with_registers(&format!("stands-left-{check}"));
        place.adopt_own_list("2026-01-01");
        for line in make {
            place.done(line);
        }
        assert_eq!(found(&place, check, TODAY).len(), 1, "{check}");
        withdraw(&place, item);
        assert_eq!(found(&place, check, TODAY), [], "{check}");
        assert_eq!(found(&place, check, "2026-06-13").len(), 1, "{check}");
    }
}

/// A source that was used without a leak test.
fn used_untested(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.done(
        "equipment add --id S-2 --type \"source assembly\" --serial XS2 --nuclide Ir-192 \
         --activity \"90 Ci\" --activity-on 2026-04-06 --in-service 2026-04-13",
    );
    place.hand_in(&crew("2026-06-12", "day").replace(",S-1,", ",S-2,"));
    place
}

/// The use was a fault and stays one; the leak test of a source that is gone is not asked for.
#[test]
fn use_out_of_date_of_what_has_left_asks_for_no_test() {
    let place = used_untested("stands-used");
    let before = found(&place, "leak-test", TODAY);
    assert_eq!(before.len(), 1);
    assert_eq!(before[0].0, "stop");
    assert!(before[0].1.contains("leak test"), "{before:?}");
    withdraw(&place, "S-2");
    let after = found(&place, "leak-test", TODAY);
    assert_eq!(after.len(), 1);
    assert_eq!(after[0].0, "act");
    let words = "S-2 has been out of service since 2026-06-14 (sent back): nothing is due";
    assert!(after[0].1.starts_with(words), "{after:?}");
}

/// What was done since is not asked for again; the use before it stays for the RSO to judge.
#[test]
fn use_out_of_date_that_was_put_right_since_is_past_and_asks_the_rso() {
    let place = used_untested("stands-put-right");
    place.done(
        "equipment leak-test --item S-2 --on 2026-06-13 --part source --performed-by Lab \
         --removable \"1 Bq\"",
    );
    for (on, severity, remedy, what) in [
        (
            "2026-06-12",
            "stop",
            "leak test is on record",
            "with no leak test on record",
        ),
        (
            TODAY,
            "act",
            "It has been done since",
            "with no leak test on record; done since",
        ),
    ] {
        let lines = lines(&place, on);
        let mut mine = lines.iter().filter(|it| it["check"] == "leak-test");
        let it = mine.next().expect("a finding");
        assert_eq!(it["severity"], severity, "{on}: {it}");
        assert!(
            it["remedy"].as_str().expect("words").contains(remedy),
            "{on}: {it}"
        );
        assert!(
            it["what"].as_str().expect("words").contains(what),
            "{on}: {it}"
        );
    }
}

/// Nobody can be stopped in a shift that is over.
#[test]
fn a_shift_that_is_past_is_looked_into_and_not_stopped() {
    let place = Place::with_registers("stands-past-shift");
    let alone = "W07,radiographer,PD-07,1,0,,no,RM-07,yes,yes";
    place.hand_in(&row("2026-06-12", "day", alone));
    for (on, remedy) in [
        ("2026-06-12", "Stop radiography"),
        (TODAY, "That shift is over"),
    ] {
        let all = found(&place, "two-person", on);
        assert_eq!(all.len(), 1, "{on}");
        assert!(all[0].1.contains(remedy), "{on}: {all:?}");
    }
}

/// A device may have a shield of uranium, which is counted without any source.
#[test]
fn an_inventory_is_due_while_a_source_or_a_device_is_there() {
    let place = Place::with_registers("stands-inventory");
    place.done("equipment inventory --on 2025-12-05 --performed-by W07 --found S-1");
    let due = |place: &Place| place.done("equipment due").out.contains("all sources");
    for (item, asked) in [("", true), ("S-1", true), ("D-1", false)] {
        if !item.is_empty() {
            withdraw(&place, item);
        }
        assert_eq!(due(&place), asked, "{item}");
        assert_eq!(
            !found(&place, "inventory", TODAY).is_empty(),
            asked,
            "{item}"
        );
    }
}

/// Of the same urgency: what stands today, what is of this year, what is older.
#[test]
fn what_is_held_of_last_year_comes_after_what_stands_today() {
    let place = Place::with_registers("stands-order");
    let stranger = |day: &str| crew(day, "day").replace("PD-08,1,1,9,", "PD-88,1,1 mR,9 mR,");
    place.hand_in(&(stranger("2025-12-18") + &stranger("2026-06-12")));
    // Asked for since the end of the quarter: it stands today.
    place.done("equipment inventory --on 2025-12-05 --performed-by W07 --found S-1");
    let asked = "findings --from 2025-12-01 --to 2026-06-15 --json";
    let all: Value = serde_json::from_str(&place.done(asked).out).expect("JSON");
    let lines = all["data"]["lines"].as_array().expect("lines");
    let what = lines
        .iter()
        .filter(|it| it["severity"] == "act")
        .filter(|it| it["check"] == "held-item" || it["check"] == "inventory");
    let what: Vec<&str> = what.map(|it| it["what"].as_str().expect("words")).collect();
    let place_of = |words: &str| what.iter().position(|it| it.contains(words));
    let order = [
        place_of("no inventory done in time"),
        place_of("2026-06-12 day"),
        place_of("2025-12-18 day"),
    ];
    assert!(order.iter().all(Option::is_some), "{what:?}");
    assert!(order.is_sorted(), "{what:?}");
}

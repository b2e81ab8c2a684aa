//! What of the paper behind the ledger may be put away: each row of the rule over its own records,
//! to the day, and nothing that is possessed, in force, or evidence of an open event.

use serde_json::Value;

use super::cli_maintenance_shown::{kept, sheet_of};
use super::cli_support::{HEADER, Place, crew, data_of};

const LATE: &str = "2032-01-15T12:00:00Z";

/// The test company's paper of 2026 and 2027.
fn kept_for_years(name: &str) -> Place {
    let mut place = kept(name);
    for line in [
        "equipment load --device D-1 --source S-1 --on 2026-04-13 --performed-by W01",
        "equipment inventory --on 2026-04-20 --performed-by W01 --found \"S-1 D-1\"",
        "worker qualification --worker W07 --type \"refresher training\" --on 2026-03-01 \
        --performed-by x",
        "worker qualification --worker W07 --type certification --on 2026-03-01 \
         --until 2031-03-01 --performed-by x",
        "worker dose-request --worker W07 --employer Open --first-day 2025-01-01 \
         --last-day 2025-01-31 --on 2026-03-03",
        "worker dose-request --worker W07 --employer Done --first-day 2025-02-01 \
         --last-day 2025-02-28 --on 2026-03-03 --answered-on 2026-03-09 --answer \"no record\"",
        "inspect enter --item G-2 --on 2026-06-11 --at 15:10 --when daily --performed-by W07 \
         --line \"tube-kinks=defect, note=kink, action=removed from service\" --line \"all \
         others=good\"",
    ] {
        place.done(line);
    }
    sheet_of(&place, "2026-06-11");
    sheet_of(&place, "2026-06-12");
    place.turn_to("wearbook.db", "2026-07-10T12:00:00Z");
    place.done("review 2026-06 --sign --performed-by W01 --reason \"with its stops\"");
    place.turn_to("wearbook.db", LATE);
    for line in [
        "equipment return --item G-2 --on 2026-06-20 --done \"new tube\" --performed-by W01",
        "equipment install --equipment C-1 --component \"drive cable\" --installed-on 2026-06-25 \
         --performed-by W01 --serial K-18",
        "equipment inventory --on 2026-07-20 --performed-by W01 --found \"S-1 D-1\"",
        "instrument check --instrument SM-1 --on 2026-10-10 --type calibration --result pass \
         --performed-by x",
        "equipment leak-test --item S-1 --on 2026-10-12 --part source --performed-by x \
         --removable \"< 5 Bq\"",
        "equipment out-of-service --item S-1 --on 2026-11-02 --reason \"sent back\" \
        --performed-by W01",
        "instrument check --instrument PD-07 --on 2027-01-12 --type \"response check\" \
         --result pass --performed-by x",
        "instrument check --instrument RM-07 --on 2027-01-12 --type calibration --result pass \
         --performed-by x",
        "worker qualification --worker W07 --type \"refresher training\" --on 2027-03-01 \
        --performed-by x",
    ] {
        place.done(line);
    }
    place
}

const GONE: &str = "equipment inventory --on 2026-12-01 --performed-by W01 --found D-1";

fn rows(place: &Place, on: &str) -> Vec<Value> {
    let year = on.split('-').next().expect("a year");
    let review = data_of(place, &format!("review {year} --on {on}"));
    review["retention"].as_array().expect("rows").clone()
}

/// In the ledger, may go, too young, in force or possessed, of an open event.
fn row(place: &Place, key: &str, on: &str) -> [u64; 5] {
    let rows = rows(place, on);
    let row = rows.iter().find(|it| it["key"] == key).expect(key);
    let fields = ["count", "may_go", "young", "in_force", "evidence"];
    fields.map(|it| row[it].as_u64().unwrap_or_default())
}

/// By rule, day and what stands there: the last day on which a record stays and the first on which
/// it may go.
#[test]
fn each_record_may_go_the_day_after_its_time_and_what_is_in_force_stays() {
    let place = kept_for_years("retention-rows");
    // Withdrawn, and nobody knows whether it is still on the shelf.
    for (key, on, wanted) in [
        ("receipt", "2031-01-10", [2, 0, 0, 2, 0]),
        ("leak-test", "2031-01-10", [2, 0, 0, 2, 0]),
    ] {
        assert_eq!(row(&place, key, on), wanted, "{key} on {on}");
    }
    place.done(GONE);
    for (key, on, wanted) in [
        ("receipt", "2029-11-02", [2, 0, 2, 0, 0]),
        ("receipt", "2029-11-03", [2, 2, 0, 0, 0]),
        ("disposal", "2031-01-10", [1, 0, 1, 0, 0]),
        ("meter-calibration", "2029-04-13", [2, 0, 2, 0, 0]),
        ("meter-calibration", "2029-04-14", [2, 1, 1, 0, 0]),
        ("meter-calibration", "2029-10-11", [2, 1, 0, 1, 0]),
        ("leak-test", "2029-04-13", [2, 0, 2, 0, 0]),
        ("leak-test", "2029-04-14", [2, 1, 1, 0, 0]),
        ("leak-test", "2029-10-13", [2, 2, 0, 0, 0]),
        ("inventory", "2029-07-20", [3, 1, 2, 0, 0]),
        ("inventory", "2029-07-21", [3, 2, 1, 0, 0]),
        ("inventory", "2029-12-02", [3, 2, 0, 1, 0]),
        ("utilization", "2029-06-11", [2, 0, 2, 0, 0]),
        ("utilization", "2029-06-12", [2, 1, 1, 0, 0]),
        ("storage-survey", "2029-06-12", [2, 1, 1, 0, 0]),
        ("readings", "2029-01-12", [6, 0, 6, 0, 0]),
        ("readings", "2029-01-13", [6, 1, 3, 2, 0]),
        ("readings", "2029-06-13", [6, 3, 1, 2, 0]),
        ("ratemeter-calibration", "2029-01-13", [3, 1, 1, 1, 0]),
        // The cable that was replaced; then the inspection and the return, not the cable in use.
        ("problems", "2028-01-06", [4, 0, 4, 0, 0]),
        ("problems", "2028-01-07", [4, 1, 3, 0, 0]),
        ("problems", "2029-06-26", [4, 3, 0, 1, 0]),
        ("training", "2029-03-01", [3, 0, 3, 0, 0]),
        ("training", "2029-03-02", [3, 1, 1, 1, 0]),
        ("prior-dose-papers", "2029-03-04", [2, 1, 0, 1, 0]),
        ("programme-reviews", "2029-07-10", [1, 0, 1, 0, 0]),
        ("programme-reviews", "2029-07-11", [1, 1, 0, 0, 0]),
    ] {
        assert_eq!(row(&place, key, on), wanted, "{key} on {on}");
    }
}

/// Of each row the parts are the whole, and what is kept until the license ends never goes.
#[test]
fn the_counts_add_up_in_every_row() {
    let place = kept_for_years("retention-sums");
    for on in ["2027-01-01", "2029-06-12", "2032-01-15"] {
        for row in rows(&place, on) {
            let of = |field: &str| row[field].as_u64().unwrap_or_default();
            let parts = of("may_go") + of("young") + of("in_force") + of("evidence");
            assert_eq!(of("count"), parts, "{row}");
            if row["keep"] == "until the license ends" {
                assert_eq!(of("may_go"), 0, "{row}");
            }
        }
    }
}

/// The sheet of the day, the device's papers and its people's training stay; the day after, the
/// meter and other people's do not.
#[test]
fn evidence_of_an_open_event_stays_however_old() {
    let place = kept_for_years("retention-event");
    place.done(GONE);
    place.done(
        "event open --kind disconnect --occurred 2026-06-11T13:40 --job J-1 --equipment D-1 \
         --person \"W07=cranked\" --words x",
    );
    for (key, wanted) in [
        ("utilization", [2, 1, 0, 0, 1]),
        ("storage-survey", [2, 1, 0, 0, 1]),
        ("receipt", [2, 1, 0, 0, 1]),
        ("training", [3, 0, 0, 0, 3]),
        ("inventory", [3, 0, 0, 0, 3]),
        ("meter-calibration", [2, 1, 0, 1, 0]),
    ] {
        assert_eq!(row(&place, key, "2031-01-10"), wanted, "{key}");
    }
}

/// What the program read no text of stays until the license ends, each in its own row and in no
/// other; a near one beside it changes nothing.
#[test]
fn access_presence_tracking_and_controls_are_counted_apart_and_never_may_go() {
    let place = kept_for_years("retention-tracking");
    place.done(GONE);
    let check = |kind: &str, on: &str| {
        format!(
            "equipment source-check --type \"{kind}\" --sources S-1 --on {on} \
             --performed-by \"Ada Example\""
        )
    };
    let paper = |kind: &str, on: &str| {
        format!("worker qualification --worker W08 --type \"{kind}\" --on {on} --performed-by x")
    };
    let keys = [
        "access-approvals",
        "hazmat-training",
        "receipt-surveys",
        "presence-checks",
        "tracking-reports",
        "controls",
        "training",
        "shipping-papers",
    ];
    let counts = || {
        let rows = rows(&place, "2031-01-10");
        keys.map(|key| {
            let row = rows.iter().find(|it| it["key"] == key).expect(key);
            row["count"].as_u64().unwrap_or_default()
        })
    };
    for (line, key) in [
        (paper("unescorted access", "2026-05-01"), "access-approvals"),
        (paper("hazmat training", "2026-05-01"), "hazmat-training"),
        (paper("practical examination", "2026-05-01"), "training"),
        (check("receipt survey", "2026-06-02"), "receipt-surveys"),
        (check("lodged check", "2026-06-03"), "receipt-surveys"),
        (check("presence check", "2026-06-08"), "presence-checks"),
        (check("receipt report", "2026-06-03"), "tracking-reports"),
        (check("transfer report", "2026-11-03"), "tracking-reports"),
        (check("reconciliation", "2027-01-20"), "tracking-reports"),
        (check("vehicle controls", "2026-06-05"), "controls"),
        (check("storage controls", "2026-06-05"), "controls"),
        (
            check("shipping paper", "2026-11-02") + " --reference SP-1",
            "shipping-papers",
        ),
        (check("stored", "2026-06-09") + " --place Yard", ""),
    ] {
        let before = counts();
        place.done(&line);
        let grown = keys.iter().zip(before).zip(counts());
        let grown: Vec<&str> = grown
            .filter(|((_, then), now)| then != now)
            .map(|((key, _), _)| *key)
            .collect();
        let wanted: Vec<&str> = Some(key).filter(|it| !it.is_empty()).into_iter().collect();
        assert_eq!(grown, wanted, "{line}");
    }
    for row in rows(&place, "2032-01-15") {
        let key = row["key"].as_str().expect("a key");
        if keys[..6].contains(&key) {
            assert_eq!(row["may_go"], 0, "{row}");
            assert_eq!(row["keep"], "until the license ends", "{row}");
            let citation = row["citation"].as_str().expect("its rule");
            assert!(citation.ends_with("(to be confirmed)"), "{row}");
        }
    }
}

/// A check of one kind of instrument counts in no other kind's row.
#[test]
fn each_row_counts_its_own_records_only() {
    let place = kept_for_years("retention-own");
    let counts = |place: &Place| -> Vec<(String, u64)> {
        let rows = rows(place, "2031-01-10");
        let count = |it: &Value| it["count"].as_u64().unwrap_or_default();
        let key = |it: &Value| it["key"].as_str().expect("a key").to_owned();
        rows.iter().map(|it| (key(it), count(it))).collect()
    };
    let file = place.file("more.csv", format!("{HEADER}{}", crew("2026-06-14", "day")));
    for (line, wanted) in [
        (
            "instrument check --instrument SM-1 --on 2027-04-10 --type calibration \
             --result pass --performed-by x"
                .to_owned(),
            vec!["meter-calibration"],
        ),
        (
            "instrument check --instrument RM-08 --on 2027-01-12 --type calibration \
             --result pass --performed-by x"
                .to_owned(),
            vec!["ratemeter-calibration"],
        ),
        (
            "instrument check --instrument PD-08 --on 2027-01-12 --type \"response check\" \
             --result pass --performed-by x"
                .to_owned(),
            vec!["readings"],
        ),
        (
            "equipment out-of-service --item D-1 --on 2027-01-12 --reason x --performed-by x"
                .to_owned(),
            vec![],
        ),
        (
            format!("sheet import {file}"),
            vec!["utilization", "readings", "storage-survey"],
        ),
    ] {
        let before = counts(&place);
        place.done(&line);
        let after = counts(&place);
        let changed: Vec<&str> = after
            .iter()
            .zip(&before)
            .filter(|(now, then)| now != then)
            .map(|(now, _)| now.0.as_str())
            .collect();
        assert_eq!(changed, wanted, "{line}");
    }
}

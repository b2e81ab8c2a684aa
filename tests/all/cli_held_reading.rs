//! A doubt about one dosimeter holds that dosimeter's reading alone, and a disposition touches
//! nothing else.

use serde_json::Value;

use super::cli_demo::list;
use super::cli_support::{Place, data_of as data, row};

/// Two dosimeters of W07 on one shift: the first as given, the second ends below its start.
fn two(name: &str, first: &str) -> Place {
    let place = Place::with_registers(name);
    let rows = row(
        "2026-06-12",
        "day",
        &format!("W07,radiographer,{first},RM-07,yes,yes"),
    ) + &row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-09,1,60,40,no,RM-07,yes,yes",
    ) + &row(
        "2026-06-12",
        "day",
        "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
    );
    place.hand_in(&rows);
    place
}

fn deep(place: &Place) -> (i64, i64) {
    let shown = data(place, "dose show W07 --year 2026");
    let total = &list(&shown["totals"])[0];
    assert_eq!(total["quantity"], "deep");
    let of = |key: &str| total[key]["known_nsv"].as_i64().expect("a dose");
    (of("total"), of("conservative"))
}

#[test]
fn a_disposition_on_one_dosimeter_leaves_the_reading_of_the_other_as_it_was() {
    for disposition in ["--counts", "--does-not-count"] {
        let place = two(&format!("held-reading{disposition}"), "PD-07,1,0,12,no");
        let held = data(&place, "hold list");
        assert_eq!(list(&held["lines"]).len(), 1, "{held:#}");
        // The reading of PD-07 counts before and after.
        assert_eq!(deep(&place).0, 120_000);
        let item = list(&held["lines"])[0]["item"]
            .as_str()
            .expect("an item")
            .to_owned();
        place.done(&format!("hold resolve {item} {disposition} --reason x"));
        let (known, safe) = deep(&place);
        assert_eq!(known, 120_000, "{disposition}");
        assert!(safe >= known, "{disposition}: {safe}");
    }
}

#[test]
fn a_disposition_on_one_dosimeter_ends_no_stop_of_another() {
    let place = two("held-reading-off-scale", "PD-07,1,0,,yes");
    let stops = |place: &Place| {
        let found = data(place, "findings --year 2026");
        let of = |it: &&Value| it["check"] == "off-scale" && it["severity"] == "stop";
        list(&found["lines"]).iter().filter(of).count()
    };
    assert_eq!(stops(&place), 1);
    let held = data(&place, "hold list");
    let item = list(&held["lines"])[0]["item"]
        .as_str()
        .expect("an item")
        .to_owned();
    place.done(&format!("hold resolve {item} --does-not-count --reason x"));
    assert_eq!(stops(&place), 1);
}

/// A dose that counts for nobody would be in no account and in no list.
#[test]
fn what_is_about_nobody_known_cannot_count_as_it_stands() {
    let mut place = Place::with_registers("held-reading-nobody");
    let rows = row(
        "2026-06-12",
        "day",
        "Benny,radiographer,PD-07,1,0,31,no,RM-07,yes,yes",
    );
    place.hand_in(&rows);
    let held = data(&place, "hold list");
    let item = list(&held["lines"])[0]["item"]
        .as_str()
        .expect("an item")
        .to_owned();
    let said = place.refused(&format!("hold resolve {item} --counts --reason x"));
    assert!(
        said.err.contains(&format!("hold resolve {item} --is ID")),
        "{}",
        said.err
    );
    place.done(&format!(
        "hold resolve {item} --is W07 --reason \"his first name\""
    ));
    assert_eq!(deep(&place).0, 310_000);
}

/// The number of a badge is none of an entry, however alike they look.
#[test]
fn a_result_is_accepted_by_its_entry_and_never_by_the_number_of_a_badge() {
    let mut place = Place::with_registers("held-reading-number");
    let issue = |badge: &str, worker: &str| {
        format!(
            "badge issue --badge {badge} --type \"whole body\" --worker {worker} --first-day \
             2026-05-01 --last-day 2026-05-31"
        )
    };
    place.done(&issue("0412", "W07"));
    let result = |badge: &str, dose: &str| {
        format!(
            "badge result --badge {badge} --report R-{badge} --reported-on 2026-06-10 --deep \
             \"{dose} mrem\""
        )
    };
    let told = place.done(&result("0412", "9")).out;
    let entry = told.split("entry ").nth(1).expect("an entry");
    let entry = entry.split(':').next().expect("its number").to_owned();
    // Somebody else's badge has the number of that entry.
    for number in [entry.clone(), format!("00{entry}")] {
        place.done(&issue(&number, "W08"));
        place.done(&result(&number, "50"));
        let said = place.refused(&format!("badge accept {number} --performed-by W01"));
        assert!(
            said.err.contains("is the number of a badge"),
            "{}",
            said.err
        );
        assert!(
            said.err.contains("wearbook badge accept entry:"),
            "{}",
            said.err
        );
        place.done(&format!("badge return --badge {number} --on 2026-05-31"));
    }
    place.refused("badge accept 0999 --performed-by W01");
    place.done(&format!("badge accept entry:{entry} --performed-by W01"));
}

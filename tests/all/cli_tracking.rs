//! Category of sources, and the dated checks and reports about them: what is shown, what falls due
//! and what an inspector is given.

use super::cli_support::{Place, data_of};

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// S-1 in D-1, and S-2 of 40 Ci that is in no device.
fn two_sources(name: &str) -> Place {
    let place = Place::with_registers(name);
    for line in [
        "equipment load --device D-1 --source S-1 --on 2026-04-13 --performed-by \"Adaeze Hollow\"",
        "equipment add --id S-2 --type \"source assembly\" --serial XS2 --nuclide Ir-192 \
         --activity \"40 Ci\" --activity-on 2026-06-01 --received-on 2026-06-12 --received-by \
         \"Adaeze Hollow\"",
    ] {
        place.done(line);
    }
    place
}

#[test]
fn the_category_stands_by_device_and_together_with_the_day_on_which_it_ends() {
    // 90 Ci on 2026-04-06 are 4.1625 times 0.8 TBq: 151.9 days after that day's end (73.829 d),
    // so that 2026-09-06 is the first to begin below. 40 Ci on 2026-06-01: 2026-08-07.
    let place = two_sources("tracking-category");
    let show = flat(&place.done("equipment show S-1 --on 2026-06-15").out);
    for words in [
        "category 2, below from 2026-09-06: an estimate by decay, on the high side (10 CFR 37, \
         App. A; 20, App. E (to be confirmed))",
        "all together, as if at one place (2): category 2, below from",
    ] {
        assert!(show.contains(words), "{words}: {show}");
    }
    let device = flat(&place.done("equipment show D-1 --on 2026-06-15").out);
    assert!(
        device.contains("category 2, below from 2026-09-06"),
        "{device}"
    );
    let list = flat(&place.done("equipment list --on 2026-06-15").out);
    assert!(
        list.contains("2 to") && list.contains("2026-08-06"),
        "{list}"
    );
    let board = data_of(&place, "board --on 2026-06-15");
    let places: Vec<String> = board["categories"]
        .as_array()
        .expect("places")
        .iter()
        .map(|it| format!("{} {} {}", it["place"], it["sources"], it["below_from"]))
        .collect();
    assert_eq!(places[0], r#""D-1" ["S-1"] "2026-09-06""#);
    assert_eq!(places[1], r#""not in a device" ["S-2"] "2026-08-07""#);
    assert!(
        places[2].starts_with(r#""all together" ["S-1","S-2"] "2026-1"#),
        "{places:?}"
    );
    // Both are below alone by then, and not together.
    let later = data_of(&place, "board --on 2026-09-10");
    let words: Vec<&str> = later["categories"]
        .as_array()
        .expect("places")
        .iter()
        .filter_map(|it| it["category"].as_str())
        .collect();
    assert_eq!(
        words,
        ["below category 2", "below category 2", "category 2"]
    );
    let records = flat(&place.done("records sources --on 2026-06-15").out);
    assert!(
        records.contains("CATEGORY BY PLACE ON 2026-06-15"),
        "{records}"
    );
}

#[test]
fn a_source_without_a_quantity_is_not_known_and_never_below() {
    let place = two_sources("tracking-not-known");
    place.done(
        "equipment add --id S-3 --type \"source assembly\" --serial XS3 --nuclide Tm-170 \
         --activity \"1 Ci\" --activity-on 2026-06-01",
    );
    let show = flat(&place.done("equipment show S-3 --on 2026-06-15").out);
    for words in [
        "not known (S-3 not known): an estimate",
        "(3): at least category 2 (S-3 not known)",
    ] {
        assert!(show.contains(words), "{words}: {show}");
    }
}

#[test]
fn a_source_counts_from_its_coming_until_it_left_and_not_until_it_was_withdrawn() {
    let sums = |place: &Place, day: &str| {
        let board = data_of(place, &format!("board --on {day}"));
        let places = board["categories"].as_array().cloned();
        let last = places.unwrap_or_default().pop();
        last.map(|it| it["sources"].to_string()).unwrap_or_default()
    };
    let place = two_sources("tracking-gone");
    assert_eq!(sums(&place, "2026-06-11"), r#"["S-1"]"#);
    assert_eq!(sums(&place, "2026-06-12"), r#"["S-1","S-2"]"#);
    let out = "equipment out-of-service --item S-1 --on 2026-06-14 --reason exchanged \
        --performed-by \
               \"Adaeze Hollow\"";
    place.done(out);
    assert_eq!(sums(&place, "2026-06-15"), r#"["S-1","S-2"]"#);
    let place = two_sources("tracking-transferred");
    place.done(&format!(
        "{out} --transferred-to \"Invented Works, license 00-0001\" --license-verified \
         \"by the authority's letter of 2026-06-10\""
    ));
    assert_eq!(sums(&place, "2026-06-14"), r#"["S-1","S-2"]"#);
    assert_eq!(sums(&place, "2026-06-15"), r#"["S-2"]"#);
}

const BY: &str = "--performed-by \"Adaeze Hollow\"";

fn check(place: &Place, kind: &str, sources: &str, on: &str, more: &str) {
    place.done(&format!(
        "equipment source-check --type \"{kind}\" --sources \"{sources}\" --on {on} {BY} {more}"
    ));
}

/// What is due of a source on a day, presence apart: item, what, last day in time, state.
fn due(place: &Place, on: &str) -> Vec<String> {
    let mut all = asked(place, on);
    all.retain(|it| !it.contains("presence"));
    all
}

/// The same of presence alone.
fn present(place: &Place, on: &str) -> Vec<String> {
    let mut all = asked(place, on);
    all.retain(|it| it.contains("presence"));
    all
}

pub fn asked(place: &Place, on: &str) -> Vec<String> {
    let all = data_of(place, &format!("equipment due --within 30 --on {on}"));
    let lines = all["lines"].as_array().cloned().unwrap_or_default();
    let ours = |it: &&serde_json::Value| {
        let what = it["what"].as_str().unwrap_or_default();
        ["report of", "receipt survey", "presence", "reconciliation"]
            .iter()
            .any(|word| what.contains(word))
    };
    let text = |it: &serde_json::Value, key: &str| it[key].as_str().unwrap_or_default().to_owned();
    lines
        .iter()
        .filter(ours)
        .map(|it| {
            ["item", "what", "due", "state"]
                .map(|key| text(it, key))
                .join(" | ")
        })
        .collect()
}

pub fn late(place: &Place, month: &str, on: &str) -> Vec<String> {
    let (first, last) = month.split_once(' ').expect("two days");
    let all = data_of(
        place,
        &format!("findings --from {first} --to {last} --on {on}"),
    );
    let lines = all["lines"].as_array().cloned().unwrap_or_default();
    let keys = [
        "package-survey",
        "tracking-report",
        "tracking-reconciliation",
        "presence-check",
        "receiver-licence",
    ];
    let ours = lines
        .iter()
        .filter(|it| keys.iter().any(|key| it["check"] == *key));
    ours.map(|it| it["what"].as_str().unwrap_or_default().to_owned())
        .collect()
}

const JUNE: &str = "2026-06-01 2026-06-30";

#[test]
fn nothing_is_asked_for_of_days_before_the_ledger_began() {
    let place = two_sources("tracking-nothing");
    assert_eq!(due(&place, "2026-06-15"), Vec::<String>::new());
    assert_eq!(
        present(&place, "2026-06-15"),
        ["S-1 S-2 | presence check | 2026-06-22 | current"]
    );
    assert_eq!(late(&place, JUNE, "2026-06-15"), Vec::<String>::new());
}

#[test]
fn a_survey_on_receipt_is_asked_for_on_the_day_and_within_three_hours() {
    let place = two_sources("tracking-receipt");
    check(&place, "receipt survey", "S-1", "2026-06-10", "");
    assert_eq!(
        due(&place, "2026-06-12"),
        ["S-2 | receipt survey | 2026-06-12 | current"]
    );
    assert_eq!(
        due(&place, "2026-06-13"),
        ["S-2 | receipt survey | 2026-06-12 | overdue"]
    );
    assert_eq!(
        late(&place, JUNE, "2026-06-13"),
        ["S-2: receipt survey of 2026-06-12 due 2026-06-12, not on record by 2026-06-13"]
    );
    let board = place.done("board --on 2026-06-13").out;
    assert!(
        flat(&board).contains("S-2: receipt survey (10 CFR 20.1906"),
        "{board}"
    );
    check(
        &place,
        "lodged check",
        "S-2",
        "2026-06-12",
        "--arrived 08:00 --at 12:10 --reference RS-7",
    );
    assert_eq!(due(&place, "2026-06-13"), Vec::<String>::new());
    assert_eq!(
        late(&place, JUNE, "2026-06-13"),
        [
            "S-2: receipt survey of 2026-06-12 due 2026-06-12, done on 2026-06-12, 1 h 10 min \
             after the time that the rule gives"
        ]
    );
}

#[test]
fn a_transaction_is_reported_by_the_next_business_day() {
    // 2026-06-12 is a Friday: in time up to and with Monday.
    let place = two_sources("tracking-report");
    check(
        &place,
        "receipt report",
        "S-1",
        "2026-06-10",
        "--reference T-1",
    );
    assert_eq!(
        due(&place, "2026-06-15"),
        ["S-2 | report of the receipt | 2026-06-15 | current"]
    );
    assert_eq!(
        due(&place, "2026-06-16"),
        ["S-2 | report of the receipt | 2026-06-15 | overdue"]
    );
    place.done(
        "equipment out-of-service --item S-1 --on 2026-06-15 --reason exchanged --performed-by \
         \"Adaeze Hollow\" --transferred-to \"Invented Works, license 00-0001\" \
         --license-verified \"copy of 2026-06-11 on file\"",
    );
    check(&place, "receipt report", "S-2", "2026-06-15", "");
    assert_eq!(
        due(&place, "2026-06-16"),
        ["S-1 | report of the transfer | 2026-06-16 | current"]
    );
    assert_eq!(late(&place, JUNE, "2026-06-16"), Vec::<String>::new());
}

#[test]
fn the_inventory_is_reconciled_each_january() {
    let place = two_sources("tracking-january");
    check(&place, "reconciliation", "S-1", "2026-06-10", "");
    place.done(
        "equipment add --id S-9 --type \"source assembly\" --serial XS9 --nuclide Co-60 \
         --activity \"20 Ci\" --activity-on 2026-06-01",
    );
    let yearly = |on: &str| {
        let mut all = due(&place, on);
        all.retain(|it| it.contains("reconciliation"));
        all
    };
    assert_eq!(yearly("2026-12-01"), Vec::<String>::new());
    assert_eq!(
        yearly("2027-01-31"),
        ["all sources | yearly reconciliation | 2027-01-31 | current"]
    );
    assert_eq!(
        yearly("2027-02-01"),
        ["all sources | yearly reconciliation | 2027-01-31 | overdue"]
    );
}

#[test]
fn presence_is_checked_each_week_while_all_together_are_category_two() {
    let place = two_sources("tracking-presence");
    check(&place, "presence check", "S-1", "2026-06-01", "--at 07:10");
    assert_eq!(
        present(&place, "2026-06-08"),
        ["S-1 | presence check | 2026-06-08 | current"]
    );
    check(&place, "presence check", "S-1 S-2", "2026-06-12", "");
    assert_eq!(
        late(&place, JUNE, "2026-06-15"),
        ["S-1: presence check after that of 2026-06-01 due 2026-06-08, done on 2026-06-12"]
    );
    assert_eq!(
        present(&place, "2026-06-20"),
        ["S-1 S-2 | presence check | 2026-06-19 | overdue"]
    );
    // Of July, the finding of June is none.
    assert_eq!(
        late(&place, "2026-07-01 2026-07-31", "2026-06-15"),
        Vec::<String>::new()
    );
    // Years on they have decayed to less, and nobody is asked any more.
    assert_eq!(present(&place, "2029-06-20"), Vec::<String>::new());
}

#[test]
fn a_check_of_what_is_no_source_or_of_an_hour_that_cannot_be_is_refused() {
    let mut place = two_sources("tracking-refused");
    for line in [
        "equipment source-check --type \"presence check\" --sources \"D-1\" --on 2026-06-12 \
        --performed-by X",
        "equipment source-check --type \"presence check\" --sources \"S-1 S-1\" --on 2026-06-12 \
         --performed-by X",
        "equipment source-check --type \"presence check\" --sources \"S-8\" --on 2026-06-12 \
        --performed-by X",
        "equipment source-check --type \"presence check\" --sources \"S-1\" --on 2026-06-16 \
        --performed-by X",
        "equipment source-check --type \"receipt survey\" --sources \"S-1\" --on 2026-06-12 \
         --performed-by X --arrived 11:00 --at 10:00",
        "equipment source-check --type stored --sources S-1 --on 2026-06-12 --performed-by X",
        "equipment source-check --type \"presence check\" --sources S-1 --on 2026-06-12 \
        --performed-by X \
         --place Shed",
        "equipment source-check --type \"shipping paper\" --sources S-1 --on 2026-06-12 \
        --performed-by X",
        "equipment source-check --type \"weekly look\" --sources \"S-1\" --on 2026-06-12 \
        --performed-by X",
    ] {
        place.refused(line);
    }
    place.golden("tracking-refused");
}

/// What the RSO and an inspector are given, whole.
#[test]
fn the_list_of_tracking_has_checks_what_was_asked_for_transfers_and_people() {
    let mut place = two_sources("tracking-records");
    for (kind, sources, on, more) in [
        ("receipt report", "S-1", "2026-06-01", "--reference T-1"),
        ("presence check", "S-1", "2026-06-01", "--at 07:10"),
        ("lodged check", "S-1", "2026-06-01", ""),
        (
            "receipt survey",
            "S-2",
            "2026-06-12",
            "--arrived 08:00 --at 09:30 --reference RS-7",
        ),
        ("presence check", "S-1 S-2", "2026-06-12", ""),
    ] {
        check(&place, kind, sources, on, more);
    }
    for line in [
        "equipment out-of-service --item S-1 --on 2026-06-15 --reason exchanged --performed-by \
         \"Adaeze Hollow\" --transferred-to \"Invented Works, license 00-0001\" \
         --license-verified \"copy of 2026-06-11 on file\"",
        "worker qualification --worker W07 --type \"hazmat training\" --on 2023-06-14 \
        --performed-by \
         \"Invented School\"",
        "worker qualification --worker W07 --type \"unescorted access\" --on 2020-01-06 \
        --performed-by \
         \"Adaeze Hollow\"",
    ] {
        place.done(line);
    }
    check(
        &place,
        "shipping paper",
        "S-1",
        "2026-06-15",
        "--reference SP-7",
    );
    check(&place, "vehicle controls", "S-1 S-2", "2026-06-14", "");
    place.run("records tracking --from 2026-06-01 --to 2026-06-15");
    place.run("board");
    place.golden("tracking-records");
}

#[test]
fn who_lacks_hazmat_training_works_on_and_is_told_and_one_sort_asks_for_itself_alone() {
    let place = two_sources("tracking-people");
    for line in [
        "worker qualification --worker W07 --type certification --on 2024-03-01 --performed-by X",
        "worker qualification --worker W07 --type \"refresher training\" --on 2026-03-01 \
        --performed-by X",
        "worker qualification --worker W07 --type \"job performance inspection\" --on 2026-03-01 \
        --performed-by X",
        "worker qualification --worker W07 --type \"hazmat training\" --on 2023-06-14 \
        --performed-by X",
    ] {
        place.done(line);
    }
    let reasons = |on: &str| {
        let all = data_of(&place, &format!("board --on {on}"));
        let people = all["people"].as_array().cloned().unwrap_or_default();
        let mine = people.iter().find(|it| it["worker"] == "W07").cloned();
        let reasons = mine.map(|it| it["reasons"].clone()).unwrap_or_default();
        let all = reasons.as_array().cloned().unwrap_or_default();
        let ours = all.iter().filter(|it| {
            let what = it["what"].as_str().unwrap_or_default();
            what.contains("hazmat") || what.contains("unescorted")
        });
        ours.map(|it| format!("{} {}", it["severity"], it["what"]))
            .collect::<Vec<_>>()
    };
    assert_eq!(reasons("2026-06-14"), Vec::<String>::new());
    assert_eq!(
        reasons("2026-06-15"),
        [r#""act" "hazmat training lapsed since 2026-06-15""#]
    );
}

/// What the crew reads has names of items and what is due, and nothing of who looked or when.
#[test]
fn what_the_crew_reads_says_nothing_of_who_made_a_presence_check() {
    let place = two_sources("tracking-private");
    check(
        &place,
        "presence check",
        "S-1 S-2",
        "2026-06-12",
        "--at 04:44 --reference ROUND-77",
    );
    for (kind, more) in [
        ("stored", "--place \"Shed 9\""),
        ("storage controls", "--at 05:51"),
    ] {
        check(&place, kind, "S-1 S-2", "2026-06-12", more);
    }
    let board = place.done("board --on 2026-06-15").out;
    assert!(
        flat(&board).contains("due S-1 S-2 presence check 2026-06-19"),
        "{board}"
    );
    for line in [
        "board --on 2026-06-15",
        "equipment due --on 2026-06-15",
        "equipment show S-1 --on 2026-06-15",
        "equipment list",
        "work-status W07 --on 2026-06-15",
        "pack J-1 --from 2026-06-01 --to 2026-06-15",
        "findings --from 2026-06-01 --to 2026-06-30 --on 2026-06-25",
    ] {
        let said = place.quiet(line);
        let said = format!("{}{}", said.out, said.err);
        for private in ["04:44", "ROUND-77", "Shed 9", "05:51", "controls"] {
            assert!(!said.contains(private), "{line}: {said}");
        }
    }
    let records = place.done("records tracking --year 2026").out;
    for told in ["ROUND-77", "04:44", "Shed 9", "05:51", "storage controls"] {
        assert!(records.contains(told), "{told}: {records}");
    }
}

//! From when on the checks of sources, the reports about them and the papers of people are asked
//! for: each hangs on what causes it, and on nothing else.

use super::cli_support::{INIT, Place, crew, data_of};
use super::cli_tracking::{asked, late};

const BY: &str = "--performed-by \"Adaeze Hollow\"";
const DAYS: &str = "2026-04-01 2026-06-15";
const TODAY: &str = "2026-06-15";

/// A ledger of the first of April under a rule set, two and a half months later.
fn begun(name: &str, rule_set: &str) -> Place {
    let mut place = Place::empty(name);
    place.turn_to("wearbook.db", "2026-04-01T12:00:00Z");
    place.done(&format!("{INIT} --rule-set \"{rule_set}\""));
    place.turn_to("wearbook.db", "2026-06-15T18:00:00Z");
    place
}

fn source(place: &Place, id: &str, curies: &str) {
    place.done(&format!(
        "equipment add --id {id} --type \"source assembly\" --serial X{id} --nuclide Ir-192 \
         --activity \"{curies} Ci\" --activity-on 2026-04-01 --in-service 2026-04-01"
    ));
}

/// What the findings say of presence.
fn missed(place: &Place) -> Vec<String> {
    let mut all = late(place, DAYS, TODAY);
    all.retain(|it| it.contains("presence"));
    all
}

/// 0.8 TBq of Ir-192 are 21.62 Ci, and its half-life is 73.829 d: 23 Ci of the end of 1 April fall
/// below during the 8th, 22.8 Ci during the 7th, 30 Ci on 6 May.
/// A name, the activities in Ci, the places on record, what is asked.
type Case<'a> = (
    &'a str,
    &'a [&'a str],
    &'a [(&'a str, &'a str)],
    &'a [&'a str],
);

#[test]
fn presence_is_asked_for_where_and_as_long_as_sources_at_one_place_are_category_two() {
    let stays = "S-1: presence check asked for since 2026-04-01 due 2026-04-08, not on record by \
                 2026-06-15, 10 missing";
    let ends = "S-1: presence check asked for since 2026-04-01 due 2026-04-08, not made before \
                2026-04-09, when it was asked for no more";
    let both = "S-1, S-2: presence check asked for since 2026-04-01 due 2026-04-08, not made \
                before 2026-05-07, when it was asked for no more, 5 missing";
    let cases: [Case<'_>; 9] = [
        ("two", &["90"], &[], &[stays]),
        ("three", &["20"], &[], &[]),
        ("falls below after its day", &["23"], &[], &[ends]),
        ("falls below before its day", &["22.8"], &[], &[]),
        (
            "two of three, no place on record",
            &["15", "15"],
            &[],
            &[both],
        ),
        (
            "at one",
            &["15", "15"],
            &[("S-1", "Yard"), ("S-2", "yard")],
            &[both],
        ),
        (
            "at two",
            &["15", "15"],
            &[("S-1", "Yard"), ("S-2", "Bay")],
            &[],
        ),
        ("one anywhere", &["15", "15"], &[("S-1", "Yard")], &[both]),
        (
            "a weak one anywhere",
            &["15", "15", "3"],
            &[("S-1", "Yard"), ("S-2", "Bay")],
            &[],
        ),
    ];
    for (case, curies, places, wanted) in cases {
        let place = begun(&format!("asked-presence-{case}"), "10 CFR");
        for (at, curies) in curies.iter().enumerate() {
            source(&place, &format!("S-{}", at + 1), curies);
        }
        for (item, name) in places {
            place.done(&format!(
                "equipment source-check --type stored --sources {item} --on 2026-04-01 {BY} \
                 --place {name}"
            ));
        }
        assert_eq!(missed(&place), wanted, "{case}");
    }
}

#[test]
fn nothing_is_asked_for_of_before_the_rule_set_asks_and_nothing_under_one_that_does_not() {
    let place = begun("asked-adopted", "IAEA");
    source(&place, "S-1", "90");
    assert_eq!(asked(&place, TODAY), Vec::<String>::new());
    assert_eq!(late(&place, DAYS, TODAY), Vec::<String>::new());
    let board = place.quiet("board --on 2026-06-15").out;
    assert!(!board.to_lowercase().contains("presence"), "{board}");
    let records = place.done("records tracking --year 2026").out;
    for word in ["presence", "37.", "CFR", "CONTROLS"] {
        assert!(!records.contains(word), "{word}: {records}");
    }
    place.done("rules adopt \"10 CFR\" --from 2026-05-01 --reason \"moved to the States\"");
    assert_eq!(
        missed(&place),
        [
            "S-1: presence check asked for since 2026-05-01 due 2026-05-08, not on record by \
          2026-06-15, 6 missing"
        ]
    );
    // It came before: nobody is asked how it was received.
    assert_eq!(late(&place, DAYS, TODAY).len(), 1);
}

/// Of sources of which nothing is on record, one finding a duty; one that is looked at has its own.
#[test]
fn sources_that_nobody_ever_looked_at_are_told_of_together() {
    let place = begun("asked-together", "10 CFR");
    for id in ["S-1", "S-2", "S-3"] {
        source(&place, id, "90");
    }
    let told = |place: &Place| {
        let mut all = late(place, DAYS, TODAY);
        all.sort();
        all
    };
    assert_eq!(
        told(&place),
        [
            "S-1, S-2, S-3: presence check asked for since 2026-04-01 due 2026-04-08, not on \
             record by 2026-06-15, 10 missing",
            "S-1, S-2, S-3: receipt survey not on record since 2026-04-01, 3 missing",
            "S-1, S-2, S-3: report of the receipt not on record since 2026-04-02, 3 missing",
        ]
    );
    let due = asked(&place, "2026-06-15");
    assert_eq!(due.len(), 3, "{due:?}");
    for (kind, on) in [
        ("receipt survey", "2026-04-01"),
        ("receipt report", "2026-04-03"),
        ("presence check", "2026-04-08"),
        ("presence check", "2026-04-16"),
        ("presence check", "2026-06-15"),
    ] {
        place.done(&format!(
            "equipment source-check --type \"{kind}\" --sources S-1 --on {on} {BY}"
        ));
    }
    assert_eq!(
        told(&place),
        [
            "S-1: presence check late 2 times since 2026-04-15, 9 missing; the last due \
             2026-04-23, done on 2026-06-15",
            "S-1: report of the receipt of 2026-04-01 due 2026-04-02, done on 2026-04-03",
            "S-2, S-3: presence check asked for since 2026-04-01 due 2026-04-08, not on record \
             by 2026-06-15, 10 missing",
            "S-2, S-3: receipt survey not on record since 2026-04-01, 2 missing",
            "S-2, S-3: report of the receipt not on record since 2026-04-02, 2 missing",
        ]
    );
}

/// What the board says of the papers of a person: unescorted access and hazmat training.
fn papers(place: &Place, worker: &str, on: &str) -> Vec<&'static str> {
    let all = data_of(place, &format!("board --on {on}"));
    let people = all["people"].as_array().cloned().unwrap_or_default();
    let mine = people.iter().find(|it| it["worker"] == worker).cloned();
    let said = mine.map(|it| it["reasons"].to_string()).unwrap_or_default();
    let asked = [
        ("access", "unescorted access not on record"),
        ("hazmat", "hazmat training not"),
    ];
    let asked = asked.into_iter().filter(|it| said.contains(it.1));
    asked.map(|it| it.0).collect()
}

/// Who works beside somebody who leads is named too: the sheet does not say that nobody was ever
/// left alone. What was worked is not held against the person then, and nobody is stopped.
#[test]
fn access_is_asked_of_who_works_at_a_category_two_source_and_hazmat_of_who_may_have_driven() {
    type Case<'a> = (
        &'a str,
        &'a str,
        &'a [(&'a str, &'a str)],
        &'a [&'a str],
        &'a [&'a str],
    );
    let cases: [Case<'_>; 5] = [
        (
            "away",
            "2026-06-20",
            &[],
            &["access", "hazmat"],
            &["access"],
        ),
        (
            "in the bay",
            "2026-06-20",
            &[(",J-1,", ",J-2,")],
            &["access"],
            &["access"],
        ),
        ("category 3", "2026-06-20", &[(",S-1,", ",S-4,")], &[], &[]),
        (
            "a ride",
            "2026-06-20",
            &[(",radiography,", ",transport,")],
            &["access", "hazmat"],
            &["access", "hazmat"],
        ),
        ("before the ledger", "2026-06-14", &[], &[], &[]),
    ];
    for (case, day, changes, leads, helps) in cases {
        let mut place = Place::with_registers(&format!("asked-people-{case}"));
        place.turn_to("wearbook.db", "2026-06-22T12:00:00Z");
        place.done(
            "equipment add --id S-4 --type \"source assembly\" --serial X4 --nuclide Ir-192 \
             --activity \"10 Ci\" --activity-on 2026-06-01 --in-service 2026-06-01",
        );
        let mut rows = crew(day, "day");
        for (from, to) in changes {
            assert!(rows.contains(from), "{case}: {rows}");
            rows = rows.replace(from, to);
        }
        place.hand_in(&rows);
        assert_eq!(papers(&place, "W07", "2026-06-22"), leads, "{case}");
        assert_eq!(papers(&place, "W08", "2026-06-22"), helps, "{case}");
        // Twelve months on nobody knows of such work.
        assert_eq!(papers(&place, "W07", "2027-06-21"), [""; 0], "{case}");
        assert_eq!(papers(&place, "W08", "2027-06-21"), [""; 0], "{case}");
        // The list of tracking names the same people.
        let list = data_of(&place, "records tracking --year 2026 --on 2026-06-22");
        let parts = list["parts"].as_array().cloned().unwrap_or_default();
        let part = parts.iter().find(|it| it["key"] == "people").cloned();
        let part = part.unwrap_or_default().to_string();
        for (worker, asked) in [("W07", leads), ("W08", helps)] {
            assert_eq!(part.contains(worker), !asked.is_empty(), "{case}: {part}");
        }
    }
}

#[test]
fn who_works_beside_somebody_without_an_approval_acts_and_goes_out_and_one_on_record_ends_it() {
    let mut place = Place::with_registers("asked-beside");
    place.turn_to("wearbook.db", "2026-06-22T12:00:00Z");
    place.hand_in(&crew("2026-06-20", "day"));
    let found = |worker: &str| {
        let all = data_of(&place, &format!("work-status {worker} --on 2026-06-22"));
        let reasons = all["lines"][0]["reasons"].clone();
        let reasons = reasons.as_array().cloned().unwrap_or_default();
        let mut mine = reasons.into_iter();
        mine.find(|it| it["check"] == "qualification:unescorted-access")
    };
    let beside = found("W08").expect("told of W08");
    assert_eq!(beside["severity"], "act");
    assert_eq!(
        beside["what"],
        "approval for unescorted access not on record; around a category 2 quantity only \
         when escorted by an approved individual"
    );
    assert_eq!(beside["citation"], "10 CFR 37.21 to 37.33");
    assert_eq!(beside["status"], "to be confirmed");
    let leads = found("W07").expect("told of W07");
    let what = leads["what"].as_str().unwrap_or_default();
    assert!(
        what.ends_with("worked on 1 day without it: 2026-06-20"),
        "{what}"
    );
    let lapsed = place.done("records lapsed --year 2026").out;
    assert!(!lapsed.contains("W08"), "{lapsed}");
    place.done(
        "worker qualification --worker W08 --type \"unescorted access\" --on 2026-06-21 \
        --performed-by x",
    );
    assert!(found("W08").is_none() && found("W07").is_some());
}

#[test]
fn a_source_given_away_without_a_word_on_the_receivers_licence_is_a_finding() {
    let to = "--transferred-to \"Invented Works\"";
    let verified = "--license-verified \"copy of 2026-06-10\"";
    let cases = [
        ("given", format!("S-1 --on 2026-06-16 {to}"), 1),
        (
            "verified",
            format!("S-1 --on 2026-06-16 {to} {verified}"),
            0,
        ),
        ("withdrawn", "S-1 --on 2026-06-16".to_owned(), 0),
        ("device", format!("D-1 --on 2026-06-16 {to}"), 0),
        ("before the ledger", format!("S-1 --on 2026-06-14 {to}"), 0),
    ];
    for (case, words, wanted) in cases {
        let mut place = Place::with_registers(&format!("asked-receiver-{case}"));
        place.turn_to("wearbook.db", "2026-06-20T12:00:00Z");
        place.done(&format!(
            "equipment out-of-service --reason sent {BY} --item {words}"
        ));
        let found = |place: &Place| {
            let mut all = late(place, "2026-06-01 2026-06-30", "2026-06-20");
            all.retain(|it| it.contains("receiver's license"));
            all.len()
        };
        assert_eq!(found(&place), wanted, "{case}");
        if case != "device" {
            place.done(
                "equipment return --item S-1 --on 2026-06-18 --done \"is here\" --performed-by W01",
            );
        }
        assert_eq!(found(&place), 0, "{case}, back");
    }
}

/// Shipping papers are kept two years from their day; one that is named twice is one.
#[test]
fn shipping_papers_are_counted_once_and_stand_with_the_papers_of_the_job() {
    let mut place = Place::with_registers("asked-shipping");
    place.turn_to("wearbook.db", "2026-06-22T12:00:00Z");
    place.hand_in(&crew("2026-06-20", "day"));
    let source = "equipment add --type \"source assembly\" --nuclide Ir-192 --activity \"90 Ci\" \
                  --activity-on 2026-06-01";
    for line in [
        format!("{source} --id S-2 --serial X2 --received-on 2026-06-16 --shipping-paper \"SP-2\""),
        format!(
            "{source} --id S-3 --serial X3 --received-on 2026-06-17 --shipping-paper \"SP-30 of \
             2026-06-16\""
        ),
        "equipment source-check --type \"shipping paper\" --sources S-1 --on 2026-06-20 \
        --performed-by W07 \
         --reference SP-3"
            .to_owned(),
        "equipment source-check --type \"shipping paper\" --sources S-1 --on 2026-06-19 \
        --performed-by W07 \
         --reference SP-9"
            .to_owned(),
        "equipment source-check --type \"shipping paper\" --sources S-2 --on 2026-06-20 \
        --performed-by W07 \
         --reference SP-8"
            .to_owned(),
        "equipment source-check --type \"shipping paper\" --sources S-2 --on 2026-06-16 \
        --performed-by W07 \
         --reference SP-2"
            .to_owned(),
    ] {
        place.done(&line);
    }
    let pack = place.done("pack J-1 --on 2026-06-22").out;
    assert!(pack.contains("SP-3"), "{pack}");
    for other in ["SP-9", "SP-8", "SP-2"] {
        assert!(!pack.contains(other), "{other}: {pack}");
    }
    place.turn_to("wearbook.db", "2029-01-15T12:00:00Z");
    for (on, may_go, young) in [
        ("2028-06-16", 0, 5),
        ("2028-06-17", 1, 4),
        ("2028-06-18", 2, 3),
        ("2028-06-21", 5, 0),
    ] {
        let review = data_of(&place, &format!("review 2028 --on {on}"));
        let rows = review["retention"].as_array().cloned().unwrap_or_default();
        let row = rows
            .iter()
            .find(|it| it["key"] == "shipping-papers")
            .cloned();
        let row = row.expect("the row of shipping papers");
        let [goes, stays] = ["may_go", "young"].map(|it| row[it].as_u64());
        assert_eq!([goes, stays], [Some(may_go), Some(young)], "{on}");
    }
}

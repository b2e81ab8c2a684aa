//! Who is qualified: the RSO who does all radiography alone, and assistants.

use serde_json::Value;

use super::cli_demo::list;
use super::cli_support::{Place, data_of as data, findings_of, row};

fn qualified(place: &Place, worker: &str, kind: &str, on: &str) {
    place.done(&format!(
        "worker qualification --worker {worker} --type \"{kind}\" --on {on} --performed-by x"
    ));
}

/// What stops a person for want of a qualification, by the person's page and the board alike.
fn lacks(place: &Place, worker: &str) -> Vec<String> {
    let words = |line: &Value| -> Vec<String> {
        let reasons = list(&line["reasons"]).iter();
        let all = reasons.map(|it| it["what"].as_str().unwrap().to_owned());
        all.filter(|it| it.contains(" on record") || it.contains(" lapsed"))
            .collect()
    };
    let of = |lines: &Value| {
        let mut lines = list(lines).iter();
        words(lines.find(|it| it["worker"] == worker).expect("the person"))
    };
    let own = of(&data(place, &format!("work-status {worker}"))["lines"]);
    assert_eq!(of(&data(place, "board")["people"]), own);
    let found: Vec<String> = findings_of(place, "qualification", "what");
    for what in &own {
        assert!(found.contains(what), "{what}: {found:?}");
    }
    own
}

/// 10 CFR 34.43(e), to be confirmed: one person is radiographer and RSO and does all radiography.
#[test]
fn the_rso_who_does_all_radiography_alone_is_inspected_by_nobody_and_with_a_crew_is() {
    let place = Place::with_registers("qualified-sole");
    for kind in ["certification", "refresher training"] {
        qualified(&place, "W01", kind, "2026-01-10");
    }
    let alone = |day: &str| row(day, "day", "W01,rso,PD-07,1,0,9,no,RM-07,yes,yes");
    // Whoever is RSO and does no radiography is asked for nothing.
    assert!(list(&data(&place, "work-status W01")["lines"][0]["duties"]).is_empty());
    place.hand_in(&alone("2026-06-10").replace("J-1", "J-2"));
    assert_eq!(lacks(&place, "W01"), [""; 0]);
    let page = place.done("work-status W01").out;
    let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let why = "W01: inspection of job performance not required: one person is radiographer and RSO \
               and does all radiography (10 CFR 34.43(e), where one person is both (to be \
               confirmed))";
    assert!(flat.contains(why), "{page}");
    // Who looks on does no radiography; who is a second does.
    let beside = |day: &str, role: &str| {
        alone(day)
            + &row(
                day,
                "day",
                &format!("W08,{role},PD-08,1,1,9,no,RM-08,yes,yes"),
            )
    };
    place.hand_in(&beside("2026-06-11", "other"));
    assert_eq!(lacks(&place, "W01"), [""; 0]);
    place.hand_in(&beside("2026-06-12", "assistant"));
    let asked = "inspection of job performance not on record; worked on 3 days without it: \
                 2026-06-10, 2026-06-11, 2026-06-12";
    assert_eq!(lacks(&place, "W01"), [asked]);
    qualified(&place, "W01", "job performance inspection", "2026-06-12");
    assert_eq!(lacks(&place, "W01"), [""; 0]);
}

/// 10 CFR 34.43(c): from the first record of an assistant on, each needs one.
#[test]
fn an_assistant_who_is_not_qualified_stays_in_and_is_nobodys_second() {
    let place = Place::with_registers("qualified-assistant");
    for (worker, kind) in [
        ("W07", "certification"),
        ("W07", "refresher training"),
        ("W07", "job performance inspection"),
        ("W08", "refresher training"),
        ("W08", "job performance inspection"),
    ] {
        qualified(&place, worker, kind, "2026-05-10");
    }
    place.hand_in(&super::cli_support::crew("2026-06-12", "day"));
    let two = |place: &Place| findings_of(place, "two-person", "what");
    // The ledger keeps nothing of assistants, and says so.
    assert_eq!(lacks(&place, "W08"), [""; 0]);
    assert_eq!(two(&place), [""; 0]);
    let page = data(&place, "work-status W08");
    let not_known = page["lines"][0]["not_known"].to_string();
    assert!(
        not_known.contains("qualified as an assistant"),
        "{not_known}"
    );
    // Somebody else's record shows that it does.
    qualified(&place, "W09", "assistant qualification", "2026-06-11");
    assert_eq!(
        lacks(&place, "W08"),
        ["qualification as an assistant not on record; worked on 1 day without it: 2026-06-12"]
    );
    let alone = two(&place);
    assert!(
        alone.len() == 1
            && alone[0].contains("W08 assistant without qualification as an assistant on record"),
        "{alone:?}"
    );
    let page = place.done("work-status W08").out;
    assert!(page.contains("10 CFR 34.43(c) (to be confirmed)"), "{page}");
    // Of a later day it changes nothing for that shift.
    qualified(&place, "W08", "assistant qualification", "2026-06-13");
    assert_eq!(lacks(&place, "W08"), [""; 0]);
    assert_eq!(two(&place), alone);
    qualified(&place, "W08", "assistant qualification", "2026-06-12");
    assert_eq!(two(&place), [""; 0]);
}

/// Two that rest on the same entry, or on none, are two findings: each is answered alone.
#[test]
fn each_qualification_of_a_person_has_its_own_finding_and_key() {
    let place = Place::with_registers("qualified-keys");
    qualified(&place, "W07", "certification", "2026-05-10");
    place.hand_in(&super::cli_support::crew("2026-06-12", "day"));
    let keys = |place: &Place| {
        let mut keys = findings_of(place, "qualification", "key");
        keys.sort();
        keys
    };
    let all = [
        "qualification:job-inspection/W07/",
        "qualification:job-inspection/W08/",
        "qualification:refresher/W07/",
        "qualification:refresher/W08/",
    ];
    let told: Vec<String> = keys(&place)
        .into_iter()
        .filter(|it| all.contains(&it.as_str()))
        .collect();
    assert_eq!(told, all);
    let page = place.done("work-status W07").out;
    for words in [
        "refresher training not on record",
        "inspection of job performance not on record",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    place.done("finding answer qualification:refresher/W07/ --reason \"is booked\"");
    let left = keys(&place);
    assert!(!left.contains(&all[2].to_owned()), "{left:?}");
    assert!(left.contains(&all[0].to_owned()), "{left:?}");
}

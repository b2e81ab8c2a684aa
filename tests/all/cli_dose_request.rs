//! Requests to other employers for the record of a dose: open until a dose of each of their days,
//! or an answer without one, is on record.

use super::cli_support::{Place, crew};

const ASK: &str = "worker dose-request --worker W07 --employer \"Dunmore Inspection (invented)\" \
     --first-day 2026-01-01 --last-day 2026-05-31 --on 2026-06-02";

fn asked(name: &str) -> Place {
    let place = Place::with_registers(name);
    let rows = crew("2026-06-12", "day");
    place.hand_in(&rows);
    place.done(ASK);
    place
}

/// Mark, words and rule of each line about requests.
fn told(place: &Place) -> Vec<(String, String, String)> {
    let said = place.done("review 2026-06 --json").out;
    let review: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let sections = review["data"]["sections"].as_array().expect("sections");
    let mine = sections.iter().filter(|it| it["key"] == "dose-requests");
    let lines = mine.flat_map(|it| it["lines"].as_array().expect("lines"));
    let text = |it: &serde_json::Value| it.as_str().expect("text").to_owned();
    lines
        .map(|it| (text(&it["mark"]), text(&it["what"]), text(&it["rule"])))
        .collect()
}

fn one(place: &Place) -> (String, String) {
    let mut told = told(place);
    assert_eq!(told.len(), 1, "{told:?}");
    let (mark, what, _) = told.remove(0);
    let (_, came) = what.split_once(": ").expect("what came of it");
    (mark, came.to_owned())
}

fn prior(first: &str, last: &str, employer: &str) -> String {
    format!(
        "worker prior-dose --worker W07 --first-day {first} --last-day {last} --employer \
         \"{employer}\" --deep \"70 mrem\" --basis letter"
    )
}

#[test]
fn a_request_is_open_until_each_of_its_days_has_a_dose_of_that_employer() {
    let place = asked("request-doses");
    let open = ("watch".to_owned(), "no answer yet".to_owned());
    assert_eq!(one(&place), open);
    assert_eq!(told(&place)[0].2, "10 CFR 20.2104(a), (c)");
    place.done(&prior(
        "2026-01-01",
        "2026-05-31",
        "Another Firm (invented)",
    ));
    assert_eq!(one(&place), open);
    place.done(&prior(
        "2026-01-01",
        "2026-03-31",
        "dunmore  Inspection (invented)",
    ));
    let part = "answered in part, nothing from 2026-04-01 on";
    assert_eq!(one(&place), ("watch".to_owned(), part.to_owned()));
    place.done(&prior(
        "2026-04-01",
        "2026-05-31",
        "Dunmore Inspection (invented)",
    ));
    assert_eq!(
        one(&place),
        (String::new(), "its dose is on record".to_owned())
    );
}

#[test]
fn a_dose_from_before_the_request_is_no_answer_to_it_and_an_amended_request_keeps_its_answer() {
    let place = Place::with_registers("request-before");
    place.done(&prior(
        "2026-01-01",
        "2026-05-31",
        "Dunmore Inspection (invented)",
    ));
    place.hand_in(&crew("2026-06-12", "day"));
    let entry = place.done(ASK).out;
    assert_eq!(one(&place).0, "watch");
    place.done(&prior(
        "2026-01-02",
        "2026-05-31",
        "Dunmore Inspection (invented)",
    ));
    let number = entry
        .split("entry ")
        .nth(1)
        .and_then(|it| it.split(':').next());
    let number = number.expect("the entry's number");
    place.done(&format!(
        "entry correct {number} first_day=2026-01-02 --reason slip"
    ));
    assert_eq!(
        one(&place),
        (String::new(), "its dose is on record".to_owned())
    );
}

#[test]
fn an_answer_without_a_dose_ends_the_wait_and_is_said_with_its_day() {
    let mut place = asked("request-answer");
    let lone = format!("{ASK} --answered-on 2026-06-09").replace("2026-06-02", "2026-06-03");
    let said = place.refused(&lone);
    assert!(said.err.contains("what was answered"), "{}", said.err);
    let ahead = format!("{lone} --answer closed").replace("2026-06-09", "2026-08-01");
    let said = place.refused(&ahead);
    assert!(said.err.contains("is in the future"), "{}", said.err);
    let early = format!("{lone} --answer closed").replace("2026-06-09", "2026-06-01");
    let said = place.refused(&early);
    assert!(said.err.contains("is before the request of 2026-06-03"));
    place.done(&format!("{lone} --answer \"the firm is closed\""));
    let marks: Vec<String> = told(&place).into_iter().map(|it| it.0).collect();
    assert_eq!(marks, ["watch", ""]);
    let what = &told(&place)[1].1;
    assert!(
        what.ends_with("answered on 2026-06-09, the firm is closed"),
        "{what}"
    );
}

#[test]
fn under_a_rule_set_without_such_a_rule_a_request_cites_none() {
    let place = asked("request-eu");
    place.done("rules adopt EU --from 2026-01-01 --reason moved");
    assert_eq!(told(&place)[0].2, "");
}

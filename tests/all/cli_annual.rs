//! Where the annual report to the authority stands, from the year that is not over to the one that
//! was sent, and where it is told.

use serde_json::Value;

use super::cli_support::{INIT, Place, crew};

const SENT: &str =
    "review sent 2026 --to \"State Office (invented)\" --performed-by \"Adaeze Hollow\" --on";

/// A ledger that began in June 2026, with a shift.
fn begun(name: &str) -> Place {
    let place = Place::with_registers(name);
    let rows = crew("2026-06-12", "day");
    place.hand_in(&rows);
    place
}

fn at(place: &mut Place, day: &str) {
    let noon: &'static str = Box::leak(format!("{day}T18:00:00Z").into_boxed_str());
    place.turn_to("wearbook.db", noon);
}

fn json(place: &Place, line: &str) -> Value {
    let said = place.quiet(&format!("{line} --json")).out;
    let mut value: Value = serde_json::from_str(&said).expect("JSON");
    value["data"].take()
}

/// The state in the year's review and the days that are left.
fn state(place: &Place) -> (String, i64) {
    let annual = json(place, "review 2026")["annual"].take();
    let word = annual["state"].as_str().expect("a word").to_owned();
    (word, annual["days"].as_i64().expect("days"))
}

/// The board's clock of it, and whether that is overdue.
fn clock(place: &Place) -> Option<(String, bool)> {
    let board = json(place, "board");
    let clocks = board["clocks"].as_array().expect("clocks");
    let mine = clocks.iter().find(|it| it["about"] == "year 2026")?;
    let words = mine["words"].as_str().expect("words").to_owned();
    Some((words, mine["overdue"] == true))
}

/// The marks of its lines in a month's review.
fn in_review(place: &Place, month: &str) -> Vec<String> {
    let review = json(place, &format!("review {month}"));
    let sections = review["sections"].as_array().expect("sections");
    let mine = sections.iter().filter(|it| it["key"] == "annual-report");
    let lines = mine.flat_map(|it| it["lines"].as_array().expect("lines"));
    lines
        .map(|it| it["mark"].as_str().expect("a mark").to_owned())
        .collect()
}

#[test]
fn the_annual_report_is_due_by_30_april_counts_down_and_is_overdue_from_the_day_after() {
    let mut place = begun("annual-states");
    assert_eq!(state(&place).0, "not_over");
    assert_eq!(clock(&place), None);
    for (day, word, days, on_board) in [
        ("2027-01-04", "due", 116, false),
        ("2027-03-01", "due", 60, false),
        ("2027-03-02", "due", 59, true),
        ("2027-04-30", "due", 0, true),
        ("2027-05-01", "overdue", -1, true),
        ("2028-07-01", "overdue", -428, true),
    ] {
        at(&mut place, day);
        assert_eq!(state(&place), (word.to_owned(), days), "{day}");
        let clock = clock(&place);
        assert_eq!(clock.is_some(), on_board, "{day}");
        assert_eq!(
            clock.is_some_and(|it| it.1),
            word == "overdue",
            "{day}: overdue on the board"
        );
    }
}

#[test]
fn the_months_of_february_to_april_tell_of_it_and_later_ones_while_it_is_overdue() {
    let mut place = begun("annual-months");
    at(&mut place, "2027-06-02");
    for (month, marks) in [
        ("2026-12", vec![]),
        ("2027-01", vec![]),
        ("2027-02", vec!["watch"]),
        ("2027-03", vec!["watch"]),
        ("2027-04", vec!["watch"]),
        ("2027-05", vec!["ACT"]),
    ] {
        assert_eq!(in_review(&place, month), marks, "{month}");
    }
    place.done(&format!("{SENT} 2027-04-12"));
    for (month, marks) in [
        ("2027-03", vec!["watch"]),
        ("2027-04", vec![""]),
        ("2027-05", vec![]),
    ] {
        assert_eq!(in_review(&place, month), marks, "{month}, sent");
    }
}

#[test]
fn a_report_that_was_sent_says_to_whom_when_by_whom_and_with_which_receipt() {
    let mut place = begun("annual-sent");
    at(&mut place, "2027-05-03");
    let due = place.done("review 2026").out;
    assert!(due.contains("OVERDUE since 2027-04-30: 3 days"), "{due}");
    place.done(&format!("{SENT} 2027-05-03"));
    let flat = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = flat(place.done("review 2026").out);
    let words = "sent to State Office (invented) on 2027-05-03 by Adaeze Hollow, no receipt on \
                 record, LATE (entry";
    assert!(said.contains(words), "{said}");
    assert_eq!((state(&place).0.as_str(), clock(&place)), ("sent", None));
    let entry = json(&place, "review 2026")["annual"]["sent"][0]["entry"].take();
    place.done(&format!(
        "entry correct {entry} reference=R-27-118 on=2027-04-29 --reason \"receipt came\""
    ));
    let said = flat(place.done("review 2026").out);
    let words = "on 2027-04-29 by Adaeze Hollow, reference R-27-118 (entry";
    assert!(said.contains(words), "{said}");
}

#[test]
fn what_cannot_have_been_sent_is_refused_and_so_is_its_amendment() {
    let mut place = begun("annual-refused");
    at(&mut place, "2027-03-10");
    let to = "--to \"State Office (invented)\" --performed-by \"Adaeze Hollow\"";
    for (line, why) in [
        (
            format!("review sent 2027 {to} --on 2027-03-09"),
            "is not over on 2027-03-09: it ends on 2027-12-31",
        ),
        (
            format!("review sent 1999 {to} --on 2027-03-09"),
            "has no one who was monitored",
        ),
        (
            format!("review sent 2026 {to} --on 2027-03-20"),
            "has not come",
        ),
        (
            "review sent 2026 --to \"\" --performed-by \"Adaeze Hollow\" --on 2027-03-09"
                .to_owned(),
            "to whom it was sent",
        ),
    ] {
        let said = place.refused(&line);
        assert!(said.err.contains(why), "{line}: {}", said.err);
    }
    place.done(&format!("{SENT} 2027-03-09"));
    let entry = json(&place, "review 2026")["annual"]["sent"][0]["entry"].take();
    let said = place.refused(&format!(
        "entry correct {entry} on=2027-03-20 --reason slip"
    ));
    assert!(said.err.contains("has not come"), "{}", said.err);
}

#[test]
fn under_a_rule_set_that_names_no_day_nothing_is_due_and_the_authority_is_to_be_asked() {
    let mut place = begun("annual-eu");
    place.done("rules adopt EU --from 2026-01-01 --reason moved");
    at(&mut place, "2027-05-03");
    assert!(json(&place, "review 2026")["annual"].is_null());
    assert_eq!(clock(&place), None);
    assert_eq!(in_review(&place, "2027-04"), [""; 0]);
    let said = place.done("review 2026").out;
    assert!(said.contains("Whether the authority wants an annual report: ask it."));
    // What was sent all the same is not lost.
    place.done(&format!("{SENT} 2027-05-02 --reference R-7"));
    let said = place.done("review 2026").out;
    let line = "sent to State Office (invented) on 2027-05-02 by Adaeze Hollow, reference R-7";
    assert!(said.contains(line), "{said}");
}

#[test]
fn a_year_that_was_over_when_the_ledger_began_is_not_chased_and_the_first_after_it_is() {
    let mut place = Place::empty("annual-before");
    at(&mut place, "2026-02-10");
    place.done(INIT);
    place.done(
        "worker add --id W07 --name \"Mirko Sandpiper\" --role radiographer --monitored-from \
         2018-03-12",
    );
    let years = |place: &Place| {
        let board = json(place, "board");
        let clocks = board["clocks"].as_array().expect("clocks").iter();
        let about = clocks.filter_map(|it| it["about"].as_str());
        let years = about.filter(|it| it.starts_with("year"));
        years.map(str::to_owned).collect::<Vec<_>>()
    };
    at(&mut place, "2026-05-04");
    assert_eq!(years(&place), [""; 0]);
    at(&mut place, "2027-05-04");
    assert_eq!(years(&place), ["year 2026"]);
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Id, whether it is owed and lacking, and the days on which it was given.
fn given(place: &Place) -> Vec<String> {
    let review = json(place, "review 2026");
    let all = review["given"].as_array().expect("people").iter();
    all.map(|it| {
        let days = it["given"].as_array().expect("days").iter();
        let days: Vec<&str> = days.filter_map(|it| it["on"].as_str()).collect();
        let id = it["worker"].as_str().expect("an id");
        format!("{id} {} {}", it["lacking"], days.join(" "))
    })
    .collect()
}

/// 10 CFR 19.13(b): who received more than 100 mrem in the year is given the report unasked. No
/// day is named, so it is lacking from the end of the year until it is on record.
#[test]
fn each_persons_own_report_is_owed_above_100_mrem_until_it_is_on_record_as_given() {
    let mut place = Place::with_registers("annual-given");
    let rows = crew("2026-06-12", "day").replace("PD-08,1,1,9,", "PD-08,1,0,180,");
    place.hand_in(&rows);
    at(&mut place, "2026-12-31");
    assert!(given(&place).iter().all(|it| !it.contains("true")));
    at(&mut place, "2027-02-04");
    assert_eq!(
        given(&place),
        ["W01 false ", "W07 false ", "W08 true ", "W09 false "]
    );
    let owed = place.done("review 2026").out;
    assert!(owed.contains("OWED"), "{owed}");
    let rows = flat(
        &place
            .done("records yearly-reports --from 2026-01-01 --to 2026-12-31")
            .out,
    );
    assert!(rows.contains("OWED, NONE ON RECORD"), "{rows}");
    for (line, why) in [
        ("--worker W88 --on 2027-02-03", "W88"),
        ("--worker W08 --on 2027-02-05", "has not come"),
        ("--worker W08 --to Office --on 2027-02-03", "--to"),
    ] {
        let said = place.quiet(&format!(
            "review sent 2026 --performed-by \"Adaeze Hollow\" {line}"
        ));
        assert!(said.code == 1 || said.code == 2, "{line}: {}", said.out);
        assert!(said.err.contains(why), "{line}: {}", said.err);
    }
    let who = "--performed-by \"Adaeze Hollow\"";
    place.done(&format!(
        "review sent 2026 --worker W08 {who} --on 2027-02-03"
    ));
    assert_eq!(given(&place)[2], "W08 false 2027-02-03");
    // What a person was given is no report to the authority.
    assert_eq!(state(&place).0, "due");
    place.done(&format!(
        "review sent 2026 --worker all {who} --on 2027-02-04"
    ));
    let wanted = ["W01 false 2027-02-04", "W07 false 2027-02-04"];
    assert_eq!(given(&place)[..2], wanted);
    let rows = flat(
        &place
            .done("records yearly-reports --from 2026-01-01 --to 2026-12-31")
            .out,
    );
    assert!(!rows.contains("NONE ON RECORD:"), "{rows}");
    assert!(rows.contains("2027-02-03"), "{rows}");
    // A year before somebody was monitored has no report of theirs.
    let said = place.refused(&format!(
        "review sent 2020 --worker W08 {who} --on 2027-02-03"
    ));
    assert!(
        said.err.contains("was not monitored in 2020"),
        "{}",
        said.err
    );
}

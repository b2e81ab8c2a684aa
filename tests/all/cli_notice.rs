//! Whom to tell of an event by when. Transcripts in golden files.

use super::cli_support::{HEADER, Place, crew};
use super::cli_upkeep_shown::{kept, measured, sheet_of};

/// The test company on the morning after a disconnect at noon of 14 June.
fn disconnected(name: &str) -> Place {
    let place = kept(name);
    measured(&place, "2026-06-10", "5.85 mm");
    sheet_of(&place, "2026-06-14");
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 \
         --discovered 2026-06-14T13:52 --job J-1 --place \"pipe rack, bay 3\" \
         --equipment D-1 --equipment C-1 --person \"W07=cranked the source out\" \
         --words \"the source stayed out when W07 cranked it in\"",
    );
    place
}

/// The notice line of one duty in the JSON of `notice show`, every clock of it.
fn clocks(place: &Place, line: &str, duty: &str) -> Vec<serde_json::Value> {
    let said = place.done(&format!("{line} --json")).out;
    let json: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let all = json["data"]["clocks"].as_array().expect("clocks").clone();
    all.into_iter().filter(|it| it["duty"] == duty).collect()
}

#[test]
fn a_disconnect_is_told_clock_by_clock() {
    let mut place = disconnected("notice-disconnect");
    place.run("notice show E-1");
    place.run(
        "notice answer E-1 prevents-protection no --because \"the bay could be left at once\"",
    );
    place.run("notice answer E-1 control-lost no --because \"the boundary was watched\"");
    place.run("notice answer E-1 no-redundant yes --because \"one device on the truck\"");
    place.run(
        "notice done E-1 call-30-50-b --who W01 --to \"the duty officer\" --at 2026-06-14T16:20 \
         --reference 57001",
    );
    place.run("notice show E-1 --at 2026-06-15T07:30");
    place.run("notice list");
    place.run("notice list --csv");
    place.run("board");
    place.run("event show E-1");
    place.golden("notice-disconnect");
}

/// Nothing names anybody: the doses of whoever was there stay in question until answered.
#[test]
fn an_event_that_names_nobody_keeps_the_clocks_of_doses_open() {
    let place = kept("notice-nobody");
    place.done(
        "event open --kind lost-source --occurred 2026-06-14T13:40 --job J-1 \
         --words \"the box was empty\"",
    );
    let open = |duty: &str| {
        let all = clocks(&place, "notice show E-1", duty);
        assert_eq!(all.len(), 1, "{duty}");
        all[0]["state"] != "does not apply"
    };
    assert!(open("at-once-20-2202") && open("written-20-2203"));
    let shown = place.done("notice show E-1").out;
    assert!(shown.contains("names nobody"), "{shown}");
    place.done("notice answer E-1 at-once-20-2202 no --because \"locked shed, nobody in\"");
    assert!(!open("at-once-20-2202") && open("written-20-2203"));
}

/// A leak test that failed stands in the report on it; what no record has is named.
#[test]
fn the_draft_on_a_leaking_source_has_the_result_of_its_test() {
    let place = kept("notice-leaking");
    place.done(
        "equipment leak-test --item S-1 --on 2026-06-14 --part source --by Lab \
         --removable \"185 Bq\"",
    );
    place.done(
        "event open --kind leaking-source --occurred 2026-06-14T13:40 --equipment S-1 \
         --person \"W07=wiped the source\" --words \"the wipe came back high\"",
    );
    // Five days from the day of the wipe, not from the event.
    let clock = clocks(&place, "notice show E-1", "leaking-source-34-27");
    assert_eq!(clock[0]["start"], "2026-06-14 00:00 -05:00");
    assert_eq!(clock[0]["deadline"], "2026-06-19 00:00 -05:00");
    place.done("notice report E-1 --out DIR/draft");
    let file = place.dir.join("draft/E-1-report.md");
    let draft = std::fs::read_to_string(file).expect("the draft");
    assert!(
        draft.contains("S-1: 185 Bq removable, wiped 2026-06-14"),
        "{draft}"
    );
}

/// Nothing is left of a clock that was kept, and a check says so by its code.
#[test]
fn a_check_fails_while_something_is_overdue_and_not_before() {
    let place = disconnected("notice-check");
    let code = |line: &str| place.quiet(line).code;
    for (question, reason) in [
        ("prevents-protection", "no fire"),
        ("control-lost", "the boundary was watched"),
        ("defect", "worn, not defective"),
    ] {
        place.done(&format!(
            "notice answer E-1 {question} no --because \"{reason}\""
        ));
    }
    assert_eq!(code("notice show E-1 --check --at 2026-06-15T13:52"), 0);
    assert_eq!(code("notice show E-1 --check --at 2026-06-15T13:53"), 3);
    assert_eq!(code("notice show E-1 --check --on 2026-06-15"), 3);
    assert_eq!(code("notice list --check --at 2026-06-15T13:53"), 3);
    place.done("notice done E-1 call-30-50-b --who W01 --to x --at 2026-06-15T06:00");
    assert_eq!(code("notice show E-1 --check --at 2026-06-15T13:53"), 0);
    // 30 days from the occurrence.
    assert_eq!(code("notice show E-1 --check --at 2026-07-14T13:40"), 0);
    assert_eq!(code("notice show E-1 --check --at 2026-07-14T13:41"), 3);
}

#[test]
fn a_dose_that_is_determined_later_starts_the_clock_that_waited_for_it() {
    let mut place = kept("notice-later");
    let rows = crew("2026-06-14", "day").replace("PD-07,1,0,12,no", "PD-07,1,0,,yes");
    assert!(rows.contains("PD-07,1,0,,yes"), "{rows}");
    let file = place.file("sheet.csv", format!("{HEADER}{rows}"));
    place.done(&format!("sheet import {file}"));
    place.done(
        "event open --kind overexposure --occurred 2026-06-14T13:40 --job J-1 \
         --person \"W07=stood at the guide tube\" --words \"the source was out\"",
    );
    place.run("notice show E-1");
    let before = clocks(&place, "notice show E-1", "written-20-2203");
    place.turn_to("wearbook.db", "2026-06-18T15:00:00Z");
    place.run(
        "determination enter --worker W07 --first-day 2026-06-14 --last-day 2026-06-14 \
         --quantity deep --dose \"6 rem\" --relation replaces --method \"time and distance\" \
         --basis \"re-enactment with the RSO\" --by-worker W01 --on 2026-06-18",
    );
    let after = clocks(&place, "notice show E-1", "written-20-2203");
    place.run("notice show E-1");
    // Until then the clock waits, and says for whose dose.
    assert_eq!(before[0]["state"], "waits", "{before:#?}");
    assert!(before[0]["start"].is_null(), "{before:#?}");
    let starts: Vec<&str> = after.iter().filter_map(|it| it["start"].as_str()).collect();
    assert!(starts.contains(&"2026-06-18 10:00 -05:00"), "{after:#?}");
    assert_eq!(after.len(), 1, "{after:#?}");
    place.golden("notice-later");
}

/// What was begun does not vanish in silence when what it hung on is taken back.
#[test]
fn a_duty_that_no_longer_arises_says_since_which_entry() {
    let place = disconnected("notice-gone");
    let lost = || clocks(&place, "notice show E-1", "lost-20-2201-at-once");
    assert_eq!(lost()[0]["applies"], "does not apply");
    let told = place.done("event happening E-1 lost-source --at 2026-06-14T14:00");
    assert_eq!(lost()[0]["applies"], "applies");
    let entry = told.out.split("entry ").nth(1).expect("its entry");
    let entry = entry.split(':').next().expect("its number");
    let back = place.done(&format!(
        "entry void {entry} --reason \"it lay in the tube\""
    ));
    let after = lost();
    let because = after[0]["because"].as_str().expect("words");
    assert_eq!(after[0]["applies"], "does not apply", "{}", back.out);
    assert!(because.starts_with("no longer since entry "), "{because}");
}

#[test]
fn what_cannot_be_told_or_answered_is_refused() {
    let mut place = disconnected("notice-refused");
    let done = |rest: &str| format!("notice done E-1 {rest} --who W01 --to x");
    let lines = [
        "notice show E-9".to_owned(),
        "notice show E-1 --at 2026-06-15".to_owned(),
        "notice show E-1 --at 2026-11-01T01:30".to_owned(),
        "notice answer E-1 no-redundnt no --because x".to_owned(),
        "notice answer E-1 still-mising no --because x".to_owned(),
        "notice answer E-1 no-redundant maybe --because x".to_owned(),
        "notice answer E-1 no-redundant no --because x --at 2026-06-16T08:00".to_owned(),
        "notice answer E-1 no-redundant no --because \" \"".to_owned(),
        done("call-30-50"),
        done("leaking-source-34-27"),
        // The call has not been made.
        done("written-30-50"),
        done("call-30-50-b --at 2026-06-14T13:51"),
        done("call-30-50-b --at 2026-06-16T08:00"),
        done("call-30-50-b --from 2026-06-14T13:40"),
    ];
    for line in &lines {
        let said = place.refused(line);
        assert!(
            said.err.contains("right:") || said.err.contains("hint:") || said.code == 2,
            "{line} is not told what would be right: {}",
            said.err
        );
    }
    place.run(&done("call-30-50-b --at 2026-06-14T15:00"));
    place.refused(&done("call-30-50-b --at 2026-06-14T15:30"));
    place.golden("notice-refused");
}

/// The seven contents of 34.101(b), in the order of the rule; no name outside the private part.
#[test]
fn a_draft_names_what_is_missing_and_nobody() {
    let mut place = disconnected("notice-draft");
    place.done(
        "event note E-1 --at 2026-06-14T15:10 --words \"W01 and Adaeze Hollow brought the source \
         home, Hollow in front, with the long tongs\" --person W01",
    );
    place.done(
        "event action E-1 --words \"all cables through the gauge\" --who W01 --due 2026-06-20",
    );
    let out = place.dir.join("draft");
    place.run("notice report E-1 --out DIR/draft");
    let read = |name: &str| std::fs::read_to_string(out.join(name)).expect(name);
    let draft = read("E-1-report.md");
    place.shown_file("draft/E-1-report.md", &draft);
    let private = read("E-1-private-part.md");
    place.shown_file("draft/E-1-private-part.md", &private);
    let page = read("E-1-report.html");
    for name in ["W07", "W01", "Adaeze", "Hollow"] {
        assert!(!draft.contains(name) && !page.contains(name), "{name}");
    }
    assert!(private.contains("W07"), "{private}");
    place.golden("notice-draft");
}

/// An event cannot be closed while a notice is open, and can once each is answered or given.
#[test]
fn an_event_is_closed_when_its_notices_are() {
    let place = disconnected("notice-closed");
    place.done("event cause E-1 --not-found --because \"looked at under a lens\"");
    place.done("event action E-1 --words \"gauge\" --who W01 --done 2026-06-15");
    let close = "event close E-1 --by-worker W01 --words \"worn connector\"";
    let said = place.quiet(close);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("written-34-101"), "{}", said.err);
    for question in [
        "prevents-protection",
        "no-redundant",
        "defect",
        "control-lost",
        "unrestricted-area",
    ] {
        place.done(&format!("notice answer E-1 {question} no --because x"));
    }
    let said = place.quiet(close).err;
    assert!(
        !said.contains("call-30-50-b") && said.contains("written-34-101"),
        "{said}"
    );
    place.done("notice done E-1 written-34-101 --who W01 --to \"the region\"");
    place.done(close);
    assert_eq!(place.quiet("board").out.matches("E-1").count(), 0);
}

/// A scheme without duties says whom to ask; an event of a person without a dosimeter says so.
#[test]
fn a_person_without_a_dosimeter_may_have_received_anything() {
    let place = kept("notice-unmeasured");
    place.done(
        "event open --kind loss-of-control --occurred 2026-06-14T13:40 --job J-1 \
         --unmonitored \"a welder=stood at the fence\" --words \"the fence was open\"",
    );
    let shown = place.done("notice show E-1").out;
    assert!(shown.contains("a welder"), "{shown}");
    let state = |duty: &str| {
        let found = clocks(&place, "notice show E-1", duty);
        found
            .first()
            .map(|it| it["applies"].as_str().unwrap_or_default().to_owned())
    };
    assert_eq!(state("at-once-20-2202").as_deref(), Some("may apply"));
    place.done("notice answer E-1 at-once-20-2202 no --because \"2 min at 40 m\"");
    assert_eq!(state("at-once-20-2202").as_deref(), Some("does not apply"));
    assert_eq!(state("call-20-2202").as_deref(), Some("may apply"));
    let board = place.quiet("board").out;
    assert!(board.contains("E-1: may apply"), "{board}");
}

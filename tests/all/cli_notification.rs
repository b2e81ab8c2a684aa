//! Whom to tell of an event by when. Transcripts in golden files.

use super::cli_maintenance_shown::{kept, measured, sheet_of};
use super::cli_support::{Place, crew, data_of as data};

/// The test company on the morning after a disconnect at noon of 14 June.
pub fn disconnected(name: &str) -> Place {
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

/// The notice line of one duty in the JSON of `report show`, every clock of it.
pub fn clocks(place: &Place, line: &str, duty: &str) -> Vec<serde_json::Value> {
    let said = place.done(&format!("{line} --json")).out;
    let json: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let all = json["data"]["clocks"].as_array().expect("clocks").clone();
    all.into_iter().filter(|it| it["duty"] == duty).collect()
}

#[test]
fn a_disconnect_is_told_clock_by_clock() {
    let mut place = disconnected("notice-disconnect");
    place.run("report show E-1");
    place.run(
        "report answer E-1 prevents-protection no --because \"the bay could be left at once\"",
    );
    place.run("report answer E-1 control-lost no --because \"the boundary was watched\"");
    place.run("report answer E-1 no-redundant yes --because \"one device on the truck\"");
    place.run(
        "report done E-1 call-30-50-b --performed-by W01 --to \"the duty officer\" --at \
        2026-06-14T16:20 \
         --reference 57001",
    );
    place.run("report show E-1 --at 2026-06-15T07:30");
    place.run("report list");
    place.run("report list --csv");
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
        let all = clocks(&place, "report show E-1", duty);
        assert_eq!(all.len(), 1, "{duty}");
        all[0]["state"] != "does not apply"
    };
    assert!(open("at-once-20-2202") && open("written-20-2203"));
    let shown = place.done("report show E-1").out;
    assert!(shown.contains("names no one"), "{shown}");
    place.done("report answer E-1 at-once-20-2202 no --because \"locked shed, nobody in\"");
    assert!(!open("at-once-20-2202") && open("written-20-2203"));
}

/// A leak test that failed stands in the report on it; what no record has is named.
#[test]
fn the_draft_on_a_leaking_source_has_the_result_of_its_test() {
    let place = kept("notice-leaking");
    place.done(
        "equipment leak-test --item S-1 --on 2026-06-14 --part source --performed-by Lab \
         --removable \"185 Bq\"",
    );
    place.done(
        "event open --kind leaking-source --occurred 2026-06-14T13:40 --equipment S-1 \
         --person \"W07=wiped the source\" --words \"the wipe came back high\"",
    );
    // Five days from the day of the wipe, not from the event.
    let clock = clocks(&place, "report show E-1", "leaking-source-34-27");
    assert_eq!(clock[0]["start"], "2026-06-14 00:00 -05:00");
    assert_eq!(clock[0]["deadline"], "2026-06-19 00:00 -05:00");
    place.done("report draft E-1 --out DIR/draft");
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
            "report answer E-1 {question} no --because \"{reason}\""
        ));
    }
    assert_eq!(code("report show E-1 --check --at 2026-06-15T13:52"), 0);
    assert_eq!(code("report show E-1 --check --at 2026-06-15T13:53"), 3);
    assert_eq!(code("report show E-1 --check --on 2026-06-15"), 3);
    assert_eq!(code("report list --check --at 2026-06-15T13:53"), 3);
    place.done("report done E-1 call-30-50-b --performed-by W01 --to x --at 2026-06-15T06:00");
    assert_eq!(code("report show E-1 --check --at 2026-06-15T13:53"), 0);
    // 30 days from the occurrence.
    assert_eq!(code("report show E-1 --check --at 2026-07-14T13:40"), 0);
    assert_eq!(code("report show E-1 --check --at 2026-07-14T13:41"), 3);
}

#[test]
fn a_dose_that_is_determined_later_starts_the_clock_that_waited_for_it() {
    let mut place = kept("notice-later");
    let rows = crew("2026-06-14", "day").replace("PD-07,1,0,12,no", "PD-07,1,0,,yes");
    assert!(rows.contains("PD-07,1,0,,yes"), "{rows}");
    place.hand_in(&rows);
    place.done(
        "event open --kind overexposure --occurred 2026-06-14T13:40 --job J-1 \
         --person \"W07=stood at the guide tube\" --words \"the source was out\"",
    );
    place.run("report show E-1");
    let before = clocks(&place, "report show E-1", "written-20-2203");
    place.turn_to("wearbook.db", "2026-06-18T15:00:00Z");
    place.run(
        "determination enter --worker W07 --first-day 2026-06-14 --last-day 2026-06-14 \
         --quantity deep --dose \"6 rem\" --relation replaces --method \"time and distance\" \
         --basis \"re-enactment with the RSO\" --performed-by W01 --on 2026-06-18",
    );
    let after = clocks(&place, "report show E-1", "written-20-2203");
    place.run("report show E-1");
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
    let lost = || clocks(&place, "report show E-1", "lost-20-2201-at-once");
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
    let done = |rest: &str| format!("report done E-1 {rest} --performed-by W01 --to x");
    let lines = [
        "report show E-9".to_owned(),
        "report show E-1 --at 2026-06-15".to_owned(),
        "report show E-1 --at 2026-11-01T01:30".to_owned(),
        "report answer E-1 no-redundnt no --because x".to_owned(),
        "report answer E-1 still-mising no --because x".to_owned(),
        "report answer E-1 no-redundant maybe --because x".to_owned(),
        "report answer E-1 no-redundant no --because x --at 2026-06-16T08:00".to_owned(),
        "report answer E-1 no-redundant no --because \" \"".to_owned(),
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
        "event action E-1 --words \"all cables through the gauge\" --performed-by W01 --due \
        2026-06-20",
    );
    let out = place.dir.join("draft");
    place.run("report draft E-1 --out DIR/draft");
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
fn an_event_is_closed_when_its_notifications_are() {
    let place = disconnected("notice-closed");
    place.done("event cause E-1 --not-found --because \"looked at under a lens\"");
    place.done("event action E-1 --words \"gauge\" --performed-by W01 --done 2026-06-15");
    let close = "event close E-1 --performed-by W01 --words \"worn connector\"";
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
        place.done(&format!("report answer E-1 {question} no --because x"));
    }
    let said = place.quiet(close).err;
    assert!(
        !said.contains("call-30-50-b") && said.contains("written-34-101"),
        "{said}"
    );
    place.done("report done E-1 written-34-101 --performed-by W01 --to \"the region\"");
    place.done(close);
    assert_eq!(place.quiet("board").out.matches("E-1:").count(), 0);
}

/// A rule set without duties says whom to ask; an event of a person without a dosimeter says so.
#[test]
fn a_person_without_a_dosimeter_may_have_received_anything() {
    let place = kept("notice-unmeasured");
    place.done(
        "event open --kind loss-of-control --occurred 2026-06-14T13:40 --job J-1 \
         --unmonitored \"a welder=stood at the fence\" --words \"the fence was open\"",
    );
    let shown = place.done("report show E-1").out;
    assert!(shown.contains("a welder"), "{shown}");
    let state = |duty: &str| {
        let found = clocks(&place, "report show E-1", duty);
        found
            .first()
            .map(|it| it["applies"].as_str().unwrap_or_default().to_owned())
    };
    assert_eq!(state("at-once-20-2202").as_deref(), Some("may apply"));
    place.done("report answer E-1 at-once-20-2202 no --because \"2 min at 40 m\"");
    assert_eq!(state("at-once-20-2202").as_deref(), Some("does not apply"));
    assert_eq!(state("call-20-2202").as_deref(), Some("may apply"));
    // An answered question is asked no more, whichever way it was answered.
    let asked = |key: &str| {
        let notifications = data(&place, "report show E-1");
        let mut all = notifications["questions"]
            .as_array()
            .expect("a list")
            .iter();
        all.any(|it| it["key"] == key)
    };
    assert!(asked("call-20-2202") && !asked("at-once-20-2202"));
    place.done("report answer E-1 call-20-2202 yes --because \"he leaned on the tube\"");
    assert!(!asked("call-20-2202"));
    assert_eq!(state("call-20-2202").as_deref(), Some("applies"));
    let board = place.quiet("board").out;
    assert!(board.contains("E-1: may apply"), "{board}");
}

/// 10 CFR 20.2203: the licensee has learned of a dose when anybody there has heard it.
#[test]
fn a_result_that_was_heard_by_telephone_starts_the_clock_then() {
    let mut place = disconnected("notice-telephone");
    place.done(
        "badge issue --badge B-7 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    place.turn_to("wearbook.db", "2026-07-20T15:00:00Z");
    let result = |received: &str| {
        format!(
            "badge result --badge B-7 --report R-7 --reported-on 2026-07-16 --deep \"6 rem\" \
             --received-at {received}"
        )
    };
    for wrong in ["2026-07-21", "2026-07-1", "9:30", "2026-07-14T25:00"] {
        place.refused(&result(wrong));
    }
    let told = place.done(&result("2026-07-14T09:30"));
    let start =
        |place: &Place| clocks(place, "report show E-1", "written-20-2203")[0]["start"].clone();
    assert_eq!(start(&place), "2026-07-14 09:30 -05:00");
    // Nobody pressed accept, and the day alone counts from its beginning.
    let entry = told.out.split("entry ").nth(1).expect("its entry");
    let entry = entry.split(':').next().expect("its number");
    place.refused(&format!(
        "entry correct {entry} received_at=soon --reason slip"
    ));
    place.done(&format!(
        "entry correct {entry} received_at=2026-07-13 --reason slip"
    ));
    assert_eq!(start(&place), "2026-07-13 00:00 -05:00");
}

/// What an answer changes is said at once; one that changes nothing says so, and why.
#[test]
fn an_answer_says_what_it_changes_or_that_it_changes_nothing() {
    let place = disconnected("notice-changes");
    let answer = |question: &str, word: &str| {
        place
            .done(&format!("report answer E-1 {question} {word} --because x"))
            .out
    };
    let flat = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = flat(answer("no-redundant", "no"));
    assert!(
        said.contains("`call-30-50-b` (10 CFR 30.50(b)(2), (c)(1)) no longer applies"),
        "{said}"
    );
    assert!(!said.contains("changes no duty"), "{said}");
    let said = flat(answer("no-redundant", "no"));
    assert!(
        said.contains("changes no duty: it was known before: answered no, entry "),
        "{said}"
    );
    let said = flat(answer("control-lost", "no"));
    assert!(
        said.contains("changes no duty: nothing that is open turns on it"),
        "{said}"
    );
    // That a source came off is known from the event itself.
    let said = flat(answer("source-disconnected", "no"));
    assert!(
        said.contains("changes no duty: it was known before: disconnect, entry "),
        "{said}"
    );
}

/// One call serves several rules; what a letter leaves open is said with what is missing.
#[test]
fn a_report_says_which_clocks_it_leaves_open_and_what_they_want() {
    let place = disconnected("notice-left");
    let told = "--performed-by W01 --to \"the office\"";
    place.done(&format!("report done E-1 call {told} --reference 57001"));
    // Nothing that the letter would serve has all its contents.
    let refused = place.quiet(&format!("report done E-1 written-report {told}"));
    assert_eq!(refused.code, 1);
    assert!(refused.err.contains("still wants"), "{}", refused.err);
    // Further facts about a source that was found again need no list; the other letter does.
    place.done("event happening E-1 lost-source --at 2026-06-14T14:00");
    place.done("event happening E-1 source-recovered --at 2026-06-14T18:00");
    let said = place
        .done(&format!("report done E-1 written-report {told}"))
        .out;
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let left = "not closed: `written-34-101` (10 CFR 34.101(a), (b)) still wants the cause of each";
    assert!(flat.contains(left), "{said}");
    assert!(flat.contains("lost-20-2201-further"), "{said}");
    let state = |duty: &str| clocks(&place, "report show E-1", duty)[0]["state"].clone();
    assert_eq!(state("lost-20-2201-further"), "done");
    assert_eq!(state("written-34-101"), "open");
}

/// A state of its own: its telephone and its times; another one: its rules are named as the
/// equivalent of those cited; the authority of the rule set itself: as they stand.
#[test]
fn whom_to_call_follows_the_jurisdiction_of_the_job() {
    let place = kept("notice-state");
    let rules = place.file(
        "rules.toml",
        "rule_set = \"site\"\nextends = \"10 CFR\"\ntitle = \"With a state\"\n\n[[authority]]\n\
         key = \"hill\"\njurisdictions = [\"Hill State\"]\n\
         name = \"Hill State Radiation Office (invented)\"\ntelephone = \"555-0100\"\n\
         equivalent = true\ntimes = [\"call-30-50-b: 8 hours\"]\n",
    );
    place.done(&format!(
        "rules adopt {rules} --from 2026-01-01 --reason moved"
    ));
    for (job, state) in [("J-8", "Hill State"), ("J-9", "Vale State")] {
        place.done(&format!(
            "job add --id {job} --place \"Ridge (invented)\" --jurisdiction \"{state}\" \
             --setting \"temporary jobsite\" --zone America/Chicago --first-day 2026-01-01"
        ));
    }
    // The job; whom; how the rule is cited; by when, of 24 hours from the discovery at 13:40.
    for (name, job, to, cited, by) in [
        (
            "E-1",
            "J-1",
            "the authority's operations center, 301-816-5100 (to be confirmed)",
            "10 CFR 30.50(b)(2), (c)(1)",
            "06-15 13:40",
        ),
        (
            "E-2",
            "J-8",
            "Hill State Radiation Office (invented), 555-0100",
            "state equivalent of 10 CFR 30.50(b)(2), (c)(1)",
            "06-14 21:40",
        ),
        (
            "E-3",
            "J-9",
            "the radiation control authority of Vale State (no telephone number here: look it up)",
            "state equivalent of 10 CFR 30.50(b)(2), (c)(1)",
            "06-15 13:40",
        ),
    ] {
        place.done(&format!(
            "event open --kind disconnect --occurred 2026-06-14T13:40 --job {job} --words x"
        ));
        let clock = &clocks(&place, &format!("report show {name}"), "call-30-50-b")[0];
        assert_eq!(
            (clock["to"].as_str(), clock["citation"].as_str()),
            (Some(to), Some(cited))
        );
        assert_eq!(clock["deadline"], format!("2026-{by} -05:00"));
    }
}

/// 10 CFR 37, Appendix A: iridium from 22 Ci (0.8 TBq) on. 90 Ci of 6 April are 47 Ci on 14 June;
/// of a second source the activity is just below and just above, decay of the day counted.
#[test]
fn the_category_of_a_lost_source_is_told_from_its_activity_that_day() {
    let place = kept("notice-category");
    for (id, activity) in [
        ("S-2", "0.79 TBq"),
        ("S-3", "0.81 TBq"),
        ("S-4", "0.42 TBq"),
        ("S-5", "0.42 TBq"),
    ] {
        place.done(&format!(
            "equipment add --id {id} --type \"source assembly\" --serial X{id} --nuclide Ir-192 \
             --activity \"{activity}\" --activity-on 2026-06-14 --in-service 2026-06-14"
        ));
    }
    for (nth, (sources, expected)) in [
        ("S-1", "applies"),
        ("S-2", "does not apply"),
        ("S-3", "applies"),
        // Each is below, both together are not.
        ("S-4 --equipment S-5", "applies"),
        ("S-4", "does not apply"),
    ]
    .into_iter()
    .enumerate()
    {
        let name = format!("E-{}", nth + 1);
        place.done(&format!(
            "event open --kind theft --occurred 2026-06-14T23:40 --job J-1 --words x \
             --equipment {sources}"
        ));
        let clock = &clocks(&place, &format!("report show {name}"), "theft-37-57-call")[0];
        assert_eq!(clock["applies"], expected, "{sources}: {clock:#?}");
    }
}

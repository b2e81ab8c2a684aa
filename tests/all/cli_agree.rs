//! Board, work status, findings and what falls due never disagree about one person, one item or
//! one day: over ledgers that random commands made. Each item of one is in the others, or is left
//! out by a rule that is named here.

use std::collections::BTreeSet;

use serde_json::Value;

use super::cli_demo::list;
use super::cli_maintenance_shown::kept;
use super::cli_support::{HEADER, Place, data_of as data, row};

fn text<'a>(it: &'a Value, key: &str) -> &'a str {
    it[key].as_str().unwrap_or_default()
}

/// A few numbers from a seed, the same each time.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }

    fn day(&mut self) -> String {
        format!("2026-06-{:02}", 1 + self.below(15))
    }

    fn of<const N: usize>(&mut self, words: [&'static str; N]) -> &'static str {
        let place = self.below(u64::try_from(N).unwrap());
        words[usize::try_from(place).unwrap()]
    }

    fn worker(&mut self) -> &'static str {
        self.of(["W07", "W08", "W09"])
    }
}

/// A shift of one person, off scale now and then.
fn shift(place: &Place, draw: &mut Draw, day: &str, worker: &str) -> String {
    let off = draw.below(4) == 0;
    let end = if off {
        String::new()
    } else {
        draw.below(180).to_string()
    };
    let off = if off { "yes" } else { "no" };
    let dosimeter = draw.of(["PD-07", "PD-08", "PD-09"]);
    let person = format!("{worker},radiographer,{dosimeter},1,0,{end},{off},RM-07,yes,yes");
    let rows = format!("{HEADER}{}", row(day, "day", &person));
    format!("sheet import {}", place.file("step.csv", rows))
}

/// One thing that an office writes; what is refused changes nothing. Whether it was taken.
fn step(place: &Place, draw: &mut Draw) -> bool {
    let (day, worker) = (draw.day(), draw.worker());
    let line = match draw.below(14) {
        0..=2 => shift(place, draw, &day, worker),
        3 => format!(
            "badge issue --badge B-{} --type \"whole body\" --worker {worker} --first-day {day} \
             --last-day 2026-06-{:02}",
            draw.below(3),
            1 + draw.below(30)
        ),
        4 => format!("badge return --badge B-{} --on {day}", draw.below(3)),
        5 => format!("badge lost --badge B-{} --on {day}", draw.below(3)),
        6 => {
            let item = draw.of(["D-1", "C-1", "G-1", "RM-07"]);
            format!(
                "equipment out-of-service --item {item} --on {day} --reason x --performed-by W01"
            )
        }
        7 => format!("equipment return --item D-1 --on {day} --done x --performed-by W01"),
        8 => format!(
            "inspect enter --item C-1 --on {day} --at 06:20 --when quarterly --performed-by W07 \
             --line \"cable-diameter, value={}\" --line \"cable-connector-tilt, value=2 deg\" \
             --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\" \
             --line \"all others=good\"",
            draw.of(["6 mm", "5.7 mm"])
        ),
        9 => {
            let action = draw.of(["tagged", "withdrawn, tagged"]);
            format!(
                "inspect enter --item D-1 --on {day} --at 06:30 --when daily --performed-by W07 \
                --line \
                 \"device-surface-rate, value=20 mR/h\" --line \"device-lock=defect, note=stiff, \
                 action={action}\" --line \"all others=good\""
            )
        }
        10 => format!(
            "worker qualification --worker {worker} --type \"{}\" --on 202{}-06-10 --performed-by \
            x",
            draw.of([
                "refresher training",
                "certification",
                "assistant qualification"
            ]),
            4 + draw.below(3)
        ),
        11 => format!(
            "instrument check --instrument {} --performed-by W01 --type \"{}\" --on {day} \
            --result {}",
            draw.of(["PD-07", "RM-07", "SM-1"]),
            draw.of(["response check", "calibration"]),
            draw.of(["pass", "fail"]),
        ),
        12 => format!(
            "equipment leak-test --item S-1 --on {day} --part source --removable \"{}\" \
            --performed-by x \
             --certificate C-{}",
            draw.of(["5 Bq", "200 Bq"]),
            draw.below(90)
        ),
        _ => format!(
            "event open --kind lock-failure --occurred {day}T10:00 --equipment D-1 --person \
             \"{worker}=tried it\" --words x"
        ),
    };
    place.quiet(&line).code == 0
}

/// What each answer says of a day is what the others say. The reasons that were met join `met`.
fn agree(place: &Place, day: &str, seed: u64, met: &mut BTreeSet<String>) {
    let board = data(place, &format!("board --on {day}"));
    let found = format!("findings --from 2026-01-01 --to {day} --on {day} --answered");
    let found = data(place, &found);
    people_agree(place, (&board, &found), day, seed);
    sets_agree(place, (&board, &found), day, seed);
    things_agree(place, &board, day, seed);
    ahead_agrees(place, &board, day, seed);
    let mut kinds = list(&board["instruments"]).iter();
    if kinds.any(|it| !list(&it["not_usable"]).is_empty()) {
        met.insert("an instrument that is not to be taken".to_owned());
    }
    if !list(&board["due"]).is_empty() {
        met.insert("what falls due".to_owned());
    }
    let clear = data(place, &format!("work-status --on {day}"));
    for (lines, word) in [(&clear["lines"], "check"), (&board["sets"], "state")] {
        let reasons = list(lines).iter().flat_map(|it| list(&it["reasons"]));
        met.extend(reasons.map(|it| text(it, word).to_owned()));
    }
}

fn people_agree(place: &Place, (board, found): (&Value, &Value), day: &str, seed: u64) {
    let clear = data(place, &format!("work-status --on {day}"));
    // Which level stops somebody, the answers of everybody do not say: `may-not` is one of these.
    const LEVELS: [&str; 3] = ["may-not", "limit-exceeded", "level-reached"];
    let of = |severity: &str, check: &str, subject: &str| {
        let mut lines = list(&found["lines"]).iter();
        lines.any(|it| {
            let told = text(it, "check");
            let known = told.split(':').next().unwrap_or_default();
            text(it, "severity") == severity
                && text(it, "subject") == subject
                && ([told, known].contains(&check) || check == "may-not" && LEVELS.contains(&known))
        })
    };
    for person in list(&board["people"]) {
        let id = text(person, "worker");
        let mut lines = list(&clear["lines"]).iter();
        let line = lines.find(|it| text(it, "worker") == id);
        let line = line.unwrap_or_else(|| panic!("{seed} {day}: {id} on the board alone"));
        assert_eq!(person["may_go"], line["may_work"], "{seed} {day}: {id}");
        let told = |it: &Value, key: &str| -> BTreeSet<String> {
            let reasons = list(&it[key]).iter();
            reasons.map(|it| text(it, "what").to_owned()).collect()
        };
        assert_eq!(
            told(person, "reasons"),
            told(line, "reasons"),
            "{seed} {day}: {id}"
        );
        // Each reason is a finding. What is on hold stands with the item that it is about.
        for reason in list(&line["reasons"]) {
            let check = text(reason, "check");
            if check == "held-item" {
                continue;
            }
            assert!(
                of(text(reason, "severity"), check, id),
                "{seed} {day}: {reason:#} is in no finding"
            );
        }
        // And nobody is stopped by a finding who may go by the board. A finding that was answered
        // or resolved is over.
        let open = |it: &&Value| it["answer"].is_null() && list(&it["settled_by"]).is_empty();
        let stops = list(&found["lines"])
            .iter()
            .filter(open)
            .find(|it| text(it, "severity") == "stop" && text(it, "subject") == id);
        if person["may_go"] == true {
            assert!(stops.is_none(), "{seed} {day}: {id} may go: {stops:#?}");
        } else {
            assert!(
                stops.is_some(),
                "{seed} {day}: {id} stays in for no finding"
            );
        }
    }
    let people = list(&board["people"]);
    let subjects = list(&found["lines"]).iter();
    for line in subjects.filter(|it| text(it, "severity") == "stop") {
        // Whoever is not monitored on the day is on no board.
        let id = text(line, "subject");
        let known = people.iter().any(|it| text(it, "worker") == id);
        assert!(
            known || !id.starts_with('W') || id == "W09",
            "{seed} {day}: {line:#}"
        );
    }
}

fn sets_agree(place: &Place, (board, found): (&Value, &Value), day: &str, seed: u64) {
    let due = data(place, &format!("equipment due --on {day}"));
    for set in list(&board["sets"]) {
        let state = text(set, "state");
        for reason in list(&set["reasons"]) {
            let item = text(reason, "equipment");
            match text(reason, "state") {
                "stop" => {
                    let subject = |it: &&Value| text(it, "subject").starts_with(item);
                    let mut lines = list(&found["lines"]).iter().filter(subject);
                    assert!(
                        lines.any(|it| text(it, "severity") == "stop"),
                        "{seed} {day}: {reason:#} is in no finding"
                    );
                }
                "inspect before use" | "check before use" => {
                    let mut lines = list(&due["lines"]).iter();
                    assert!(
                        lines.any(|it| text(it, "item") == item && text(it, "state") != "current"),
                        "{seed} {day}: {reason:#} is not due"
                    );
                }
                "out of service" => {
                    let mut out = list(&due["out_of_service"]).iter();
                    assert!(
                        out.any(|it| it.as_str() == Some(item)),
                        "{seed} {day}: {reason:#} is not out of service"
                    );
                }
                other => panic!("{other}"),
            }
        }
        // What is in service has nothing against it, and each stop of one of its items is there.
        let all: Vec<&str> = list(&set["with"])
            .iter()
            .filter_map(Value::as_str)
            .chain([text(set, "device")])
            .collect();
        if state == "in service" {
            assert!(list(&set["reasons"]).is_empty(), "{seed} {day}: {set:#}");
        }
        let told = |item: &str| {
            let mut reasons = list(&set["reasons"]).iter();
            reasons.any(|it| text(it, "equipment") == item)
        };
        for line in list(&found["lines"]) {
            let of = all.iter().find(|it| text(line, "subject") == **it);
            let open = line["answer"].is_null() && list(&line["settled_by"]).is_empty();
            if let Some(item) = of.filter(|_| open && text(line, "severity") == "stop") {
                assert!(told(item), "{seed} {day}: {line:#} is not on {set:#}");
            }
        }
        for line in list(&due["lines"]) {
            let late = text(line, "state") != "current";
            let of = all.iter().find(|it| text(line, "item") == **it);
            if let Some(item) = of.filter(|_| late) {
                assert!(told(item), "{seed} {day}: {line:#} is not on {set:#}");
            }
        }
        for out in list(&due["out_of_service"])
            .iter()
            .filter_map(Value::as_str)
        {
            assert!(
                !all.contains(&out) || told(out),
                "{seed} {day}: {out} is withdrawn"
            );
        }
    }
}

/// The instruments of the board are those of `instrument due`: what is not to be taken is overdue
/// or withdrawn there, and the other way round.
fn things_agree(place: &Place, board: &Value, day: &str, seed: u64) {
    let due = data(place, &format!("instrument due --on {day}"));
    let not: BTreeSet<&str> = list(&board["instruments"])
        .iter()
        .flat_map(|it| list(&it["not_usable"]))
        .filter_map(Value::as_str)
        .filter_map(|it| it.split(':').next())
        .collect();
    let late = list(&due["lines"])
        .iter()
        .filter(|it| text(it, "state") != "current")
        .map(|it| text(it, "item"));
    let out = list(&due["out_of_service"])
        .iter()
        .filter_map(Value::as_str);
    let there: BTreeSet<&str> = late.chain(out).collect();
    assert_eq!(not, there, "{seed} {day}");
}

/// What falls due by the board within thirty days is what the lists of instruments, equipment and
/// each person's qualifications have, no more and no less.
fn ahead_agrees(place: &Place, board: &Value, day: &str, seed: u64) {
    let mut there = BTreeSet::new();
    for noun in ["instrument", "equipment"] {
        let due = data(place, &format!("{noun} due --on {day} --within 30"));
        let lines = list(&due["lines"]).iter();
        let ahead = lines.filter(|it| text(it, "state") == "current" && !it["due"].is_null());
        there.extend(ahead.map(|it| format!("{} {}", text(it, "due"), text(it, "item"))));
    }
    let until = {
        let first: chrono::NaiveDate = day.parse().unwrap();
        (first + chrono::Days::new(30)).to_string()
    };
    for line in list(&data(place, &format!("work-status --on {day}"))["lines"]) {
        let duties = list(&line["duties"]).iter();
        let ahead = duties.filter(|it| it["in_force"] == true && !it["until"].is_null());
        let soon = ahead.filter(|it| text(it, "until") <= until.as_str());
        there.extend(soon.map(|it| format!("{} {}", text(it, "until"), text(line, "worker"))));
    }
    let told: BTreeSet<String> = list(&board["due"])
        .iter()
        .map(|it| format!("{} {}", text(it, "due"), text(it, "about")))
        .collect();
    assert_eq!(told, there, "{seed} {day}");
}

/// Levels so low that a few shifts reach them: one that stops, and one that does not.
const LEVELS: &str = "rule_set = \"site levels\"\ntitle = \"levels of a test\"\n\
    extends = \"10 CFR\"\n\
    [[level]]\nkey = \"site-look\"\nsort = \"investigation\"\nquantity = \"deep\"\n\
    applies_to = \"adult\"\nwindow = \"quarter\"\ndose = \"60 mrem\"\n\
    citation = \"procedure 1\"\nstatus = \"read\"\nmeaning = \"The RSO looks into it.\"\n\
    [[level]]\nkey = \"site-stop\"\nsort = \"investigation\"\nquantity = \"deep\"\n\
    applies_to = \"adult\"\nwindow = \"month\"\ndose = \"150 mrem\"\nstops = true\n\
    citation = \"procedure 1\"\nstatus = \"read\"\nmeaning = \"Nobody goes on above it.\"\n";

#[test]
fn the_answers_about_one_day_never_disagree() {
    let mut met = BTreeSet::new();
    for seed in 0..8 {
        let place = kept(&format!("agree-{seed}"));
        if seed % 2 == 1 {
            let levels = place.file("levels.toml", LEVELS);
            place.done(&format!("rules adopt {levels} --from 2026-01-01"));
        }
        let mut draw = Draw(seed);
        let taken = (0..40).filter(|_| step(&place, &mut draw)).count();
        assert!(taken >= 15, "{seed}: only {taken} of 40 were taken");
        for day in ["2026-06-15", "2026-06-08", "2026-06-01"] {
            agree(&place, day, seed, &mut met);
        }
    }
    // What the answers agreed about was there.
    for reason in [
        "badge-not-worn",
        "lost-badge",
        "off-scale",
        "qualification:certification",
        "may-not",
        "an instrument that is not to be taken",
        "what falls due",
        "stop",
        "out of service",
        "inspect before use",
    ] {
        assert!(met.contains(reason), "{reason} was not met: {met:?}");
    }
}

/// A dosimeter that went off scale is not current until a check shows that it still measures.
#[test]
fn a_dosimeter_that_went_off_scale_is_not_proposed_without_a_word() {
    let place = Place::with_registers("agree-off-scale");
    let rows = row(
        "2026-06-14",
        "day",
        "W07,radiographer,PD-07,1,0,,yes,RM-07,yes,yes",
    ) + &row(
        "2026-06-14",
        "day",
        "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
    );
    place.hand_in(&rows);
    let board = place.done("board").out;
    assert!(
        board.contains("NOT PD-07: off scale on 2026-06-14, not checked since"),
        "{board}"
    );
    let due = data(&place, "instrument due");
    let line = list(&due["lines"]).iter().find(|it| it["item"] == "PD-07");
    let words = text(line.expect("it is due"), "words");
    assert_eq!(words, "off scale on 2026-06-14, not checked since");
    // A meter that is overdue is an item of the set as a device is.
    place
        .done("equipment out-of-service --item SM-1 --on 2026-06-14 --performed-by W07 --reason x");
    // The prompt says so and takes no Enter for the same crew.
    let said = place.said_at_terminal("sheet enter", "\n\n\nno\n");
    let flat = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "NOT AS IT STANDS: W07: PD-07 off-scale on 2026-06-14",
        "NOT AS IT STANDS: SM-1: x",
        "the same job, equipment and crew, yes or no:",
    ] {
        assert!(flat.contains(part), "{}", said.err);
    }
    place.done(
        "instrument check --instrument PD-07 --performed-by W01 --type \"response check\" --on \
        2026-06-15 \
         --result pass",
    );
    let board = place.done("board").out;
    assert!(!board.contains("NOT PD-07"), "{board}");
}

/// A person stands on the board in one way: somebody who may go while another has to act is not
/// one against whom nothing is known.
#[test]
fn nobody_of_whom_somebody_has_to_act_has_nothing_known_against_them() {
    let place = Place::with_registers("agree-one-way");
    place.done(
        "badge issue --badge B-1 --type \"whole body\" --worker W07 --first-day 2026-03-01 \
         --last-day 2026-05-31",
    );
    let board = place.done("board").out;
    let (_, rest) = board
        .split_once("MAY WORK, BUT TO BE CLEARED")
        .expect("an act");
    let (acts, free) = rest
        .split_once("Nothing known against:")
        .expect("the others");
    assert!(acts.contains("W07 Mirko"), "{board}");
    assert!(
        !acts.contains("W01") && free.contains("W01 Adaeze Hollow"),
        "{board}"
    );
}

/// A ledger that keeps nothing of what a day's work rests on says so, and clears nobody.
#[test]
fn a_ledger_without_qualifications_checklist_or_inventory_says_that_it_does_not_know() {
    let place = Place::with_registers("agree-empty");
    let board = data(&place, "board");
    let missing: Vec<&str> = list(&board["not_known"])
        .iter()
        .filter_map(Value::as_str)
        .collect();
    for part in ["qualification", "badge", "checklist", "inventory"] {
        assert!(
            missing.iter().any(|it| it.contains(part)),
            "{part}: {missing:?}"
        );
    }
    let text = place.done("board").out;
    assert!(!text.contains("May go: "), "{text}");
    assert!(text.contains("Nothing known against: "), "{text}");
    // Of a person it is told as of all.
    let words = "whether a badge is worn: none is on record (wearbook badge issue)";
    let text = place.done("work-status W07").out;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains(words), "{text}");
    place.adopt_own_list("2026-01-01");
    place.done("equipment inventory --on 2026-06-10 --performed-by W01 --found S-1");
    place.done(
        "worker qualification --worker W07 --type \"refresher training\" --on 2026-06-01 \
        --performed-by x",
    );
    place.done(
        "badge issue --badge B-1 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    assert!(list(&data(&place, "board")["not_known"]).is_empty());
    assert!(place.done("board").out.contains("May go: "));
}

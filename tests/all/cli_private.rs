//! What is private about a person: where it stands, who sees what of it, and how it goes.

use std::fs;

use rusqlite::Connection;
use serde_json::Value;

use super::cli_support::{HEADER, Place, crew};
use super::ledger_fixture::chained;

pub(super) const DECLARED: &str =
    "worker pregnancy --worker W08 --notice-on 2026-03-02 --conception-on 2026-01-19";

/// A ledger in which W08 has received 500 mrem up to the notice and 60 after it.
fn exposed(name: &str) -> Place {
    let place = Place::with_registers(name);
    let mut rows = String::new();
    for (day, end) in [
        ("2026-02-10", "180"),
        ("2026-02-11", "180"),
        ("2026-02-12", "140"),
        ("2026-04-10", "60"),
    ] {
        let end = format!("PD-08,1,0,{end},");
        rows += &crew(day, "day").replace("PD-08,1,1,9,", &end);
    }
    place.hand_in(&rows);
    place
}

/// The same with a declared pregnancy whose budget of 50 mrem is used up.
pub(super) fn declared(name: &str) -> Place {
    let place = exposed(name);
    place.done(DECLARED);
    place
}

/// Words by which a declared pregnancy is told.
const TELLING: &[&str] = &[
    "pregn",
    "declar",
    "embryo",
    "fetus",
    "conception",
    "20.1208",
    "2026-01-19",
    "2026-03-02",
    "0.05 rem",
    "50 mrem",
];

/// The first of such words in an output. The sheets' own numbers hold none of them.
pub(super) fn told(text: &str) -> Option<&'static str> {
    let text = text.to_lowercase();
    // `1450 mrem` is another figure than `50 mrem`.
    let digit_before = |at: usize| text[..at].ends_with(|it: char| it.is_ascii_digit());
    let told = |it: &&str| text.match_indices(*it).any(|(at, _)| !digit_before(at));
    TELLING.iter().copied().find(told)
}

/// What everybody may read: every command that tells of people and levels.
const OPEN: &[&str] = &[
    "board",
    "board --json",
    "board --csv",
    "board --crew W08",
    "alerts",
    "alerts --json",
    "alerts --for W01 --peek --json",
    "alerts --for W08 --peek",
    "alerts --for W07 --peek",
    "due --within 400",
    "due --within 400 --json",
    "work-status",
    "work-status --json",
    "findings --from 2026-02-01 --to 2026-06-15",
    "findings --from 2026-02-01 --to 2026-06-15 --json",
    "findings --from 2026-02-01 --to 2026-06-15 --answered",
    "dose crew --year 2026",
    "dose crew --year 2026 --json",
    "dose lists --year 2026 --share 1",
    "dose lists --year 2026 --share 1 --json",
    "dose forecast W08 --json",
    "review 2026-06",
    "review 2026-06 --json",
    "worker list",
    "worker list --json",
    "worker show W08",
    "worker show W08 --json",
    "records lapsed",
    "dose breakdown",
    "hold list",
    "event list",
    "ledger verify --full",
];

#[test]
fn everybody_reads_may_or_may_not_and_nothing_of_a_declared_pregnancy() {
    let place = declared("private-open");
    for line in OPEN {
        let said = place.quiet(line);
        assert!(!said.out.is_empty(), "{line}: {}", said.err);
        assert_eq!(told(&said.out), None, "{line}\n{}", said.out);
    }
    for line in OPEN {
        let out = place.quiet(line).out;
        let stops = ["board", "work-status", "findings", "dose crew", "review"];
        if stops.iter().any(|it| line.starts_with(it)) && !line.contains("--csv") {
            assert!(flat(&out).contains("may not: see RSO"), "{line}\n{out}");
        }
    }
    let lists = place.done("dose lists --year 2026 --share 1").out;
    assert!(lists.contains("see RSO"), "{lists}");
    // A sheet that comes in afterwards answers a whole crew.
    let rows = crew("2026-04-11", "day").replace("PD-08,1,1,9,", "PD-08,1,0,3,");
    let file = place.file("later.csv", format!("{HEADER}{rows}"));
    let said = place.done(&format!("sheet import {file}")).out;
    assert_eq!(told(&said), None, "{said}");
    assert!(said.contains("may not: see RSO"), "{said}");
    // Papers, pages and charts.
    place.done("review 2026-06 --out DIR/review");
    place.done("pack J-1 --out DIR/pack --on 2026-04-10");
    place.done("chart crew --year 2026 --out DIR/crew.svg");
    let mut read = 0;
    for folder in ["review", "pack", "."] {
        for entry in fs::read_dir(place.path(folder)).expect("a folder") {
            let path = entry.expect("a file").path();
            let text = path.extension().is_some_and(|it| it != "db" && it != "png");
            if text && path.is_file() {
                let bytes = fs::read(&path).expect("a file");
                let words = String::from_utf8_lossy(&bytes);
                assert_eq!(told(&words), None, "{}", path.display());
                read += 1;
            }
        }
    }
    assert!(read > 4, "{read} files were read");
}

#[test]
fn the_person_and_the_rso_read_all_of_it_by_name() {
    let place = declared("private-own");
    for line in [
        "work-status W08",
        "dose show W08 --year 2026",
        "dose show W08 --year 2026 --json",
        "private show W08",
        "private show W08 --json",
        "dose statement W08 --year 2026",
    ] {
        let out = place.done(line).out;
        assert!(told(&out).is_some(), "{line}\n{out}");
    }
    let out = place.done("dose show W08 --year 2026").out;
    assert!(
        out.contains("60 mrem against the limit pregnancy") || out.contains("limit pregnancy of"),
        "{out}"
    );
    let answer: Value = serde_json::from_str(&place.done("private show W08 --json").out).unwrap();
    let one = &answer["data"]["declarations"][0];
    assert_eq!(one["conception_on"], "2026-01-19");
    assert_eq!(one["notice_on"], "2026-03-02");
    assert_eq!(one["chained"], false);
}

#[test]
fn the_board_tells_nobodys_allowance_and_stops_for_any_level_in_the_same_words() {
    let place = declared("private-board");
    place.done(
        "worker prior-dose --worker W07 --first-day 2026-01-01 --last-day 2026-01-31 \
         --employer \"Other Firm (invented)\" --deep \"5.2 rem\" --basis \"signed letter\"",
    );
    let board: Value = serde_json::from_str(&place.quiet("board --json").out).unwrap();
    let people = board["data"]["people"].as_array().expect("people");
    let level = |id: &str| {
        let person = people.iter().find(|it| it["worker"] == id).expect("a line");
        assert_eq!(person["may_go"], false, "{person}");
        let keys: Vec<&String> = person.as_object().expect("a person").keys().collect();
        assert_eq!(keys, ["may_go", "name", "reasons", "worker"]);
        let reasons = person["reasons"].as_array().expect("reasons").clone();
        let found = reasons
            .into_iter()
            .find(|it| it["what"] == "may not: see RSO");
        found.unwrap_or_else(|| panic!("{person}"))
    };
    // One is over the limit of a year, the other over that of a declared pregnancy.
    assert_eq!(level("W07"), level("W08"));
    let all: Value = serde_json::from_str(&place.quiet("work-status --json").out).unwrap();
    let stop = |id: &str| {
        let lines = all["data"]["lines"].as_array().expect("people").iter();
        let mut one = lines.filter(|it| it["worker"] == id);
        let one = one.next().expect("a line");
        assert!(one["nearest"].is_null(), "{one}");
        let reasons = one["reasons"].as_array().expect("reasons").iter();
        let mut found = reasons.filter(|it| it["check"] == "may-not");
        found.next().expect("a stop").to_string().replace(id, "ID")
    };
    assert_eq!(stop("W07"), stop("W08"));
    // By name the one limit is told with its rule, and in the list of what is to be done too.
    for line in [
        "work-status W07",
        "findings --from 2026-02-01 --to 2026-06-15",
    ] {
        let out = place.quiet(line).out;
        assert!(out.contains("limit deep-year"), "{line}: {out}");
    }
}

/// In one line.
pub(super) fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(super) fn newest(place: &Place) -> i64 {
    let head = place.head();
    head.split(':').next().unwrap().parse().expect("a count")
}

#[test]
fn a_withdrawal_is_recorded_and_the_same_again_is_no_second_record() {
    let place = declared("private-withdrawn");
    let entry = newest(&place);
    assert!(
        place
            .done(DECLARED)
            .out
            .contains(&format!("already entry {entry}"))
    );
    let other = DECLARED.replace("2026-01-19", "2026-01-20");
    let refused = place.quiet(&other);
    assert_ne!(refused.code, 0);
    assert!(
        refused.err.contains("private record of entry"),
        "{}",
        refused.err
    );
    assert_eq!(newest(&place), entry);
    let dry = format!("{DECLARED} --withdrawn-on 2026-05-29 --dry-run");
    place.done(&dry);
    assert_eq!(newest(&place), entry);
    let out_of_service = format!("{DECLARED} --withdrawn-on 2026-05-29");
    place.done(&out_of_service);
    assert_eq!(newest(&place), entry + 1);
    assert!(place.done(&out_of_service).out.contains("already"));
    // A file from before the withdrawal takes nothing of it back.
    assert!(place.done(DECLARED).out.contains("already"));
    assert!(place.done("private show W08").out.contains("2026-05-29"));
    place.done("ledger verify --full");
    let board = place.done("board").out;
    assert!(!board.contains("may not: see RSO"), "{board}");
    let before = place.quiet("work-status W08 --on 2026-05-29").out;
    assert!(before.contains("limit pregnancy"), "{before}");
    // What it was before the withdrawal is erased with it.
    place.done("private erase W08 declaration --notice-on 2026-03-02 --reason asked");
    let bytes = fs::read(place.ledger()).expect("the file");
    for day in ["2026-01-19", "2026-05-29"] {
        assert!(!bytes.windows(10).any(|it| it == day.as_bytes()), "{day}");
    }
}

#[test]
fn a_private_record_is_neither_corrected_nor_voided_as_an_entry() {
    let place = declared("private-entry");
    let entry = newest(&place);
    for line in [
        format!("entry correct {entry} erased=yes --reason x"),
        format!("entry void {entry} --reason x"),
        "private set W08 --number 12".to_owned(),
        "private set W08 --type SSN".to_owned(),
        "private set W08 --sex other".to_owned(),
        "private set W08".to_owned(),
        "private set W88 --sex male".to_owned(),
        "private erase W08 sex --reason x".to_owned(),
        "private erase W08 declaration --notice-on 2026-03-03 --reason x".to_owned(),
    ] {
        let said = place.quiet(&line);
        assert_ne!(said.code, 0, "{line}: {}", said.out);
        assert_eq!(newest(&place), entry, "{line}");
    }
    place.done("ledger verify --full");
}

#[test]
fn identification_and_sex_stand_on_the_form_and_are_written_by_hand_where_they_are_not_on_file() {
    let place = exposed("private-form");
    let item = |text: &str, label: &str| {
        let line = text.lines().find(|it| it.contains(label));
        line.unwrap_or_else(|| panic!("{label}: {text}")).to_owned()
    };
    let form = || place.done("dose statement W08 --year 2026").out;
    for label in ["Identification number", "ID type", "Sex"] {
        assert!(item(&form(), label).contains("____"), "{label}");
    }
    place.done("private set W08 --number \"000-11-2222\" --type SSN --sex female");
    for (label, words) in [
        ("Identification number", "000-11-2222"),
        ("ID type", "SSN"),
        ("Sex", "female"),
    ] {
        let line = item(&form(), label);
        assert!(line.contains(words) && !line.contains("____"), "{line}");
    }
    place.done("dose statement W08 --year 2026 --out DIR/w08.html");
    let page = fs::read_to_string(place.path("w08.html")).expect("the page");
    assert!(page.contains("000-11-2222"), "{page}");
    // Another number takes its place; only the kind is another.
    place.done("private set W08 --number \"000-11-2222\" --type PADS");
    assert!(item(&form(), "ID type").contains("PADS"));
    place.done("private erase W08 identification --reason \"asked in writing\"");
    assert!(item(&form(), "Identification number").contains("____"));
    assert!(item(&form(), "Sex").contains("female"));
    let bytes = fs::read(place.ledger()).expect("the file");
    assert!(!bytes.windows(11).any(|it| it == b"000-11-2222"));
}

#[test]
fn a_declaration_that_an_older_program_chained_still_counts_and_is_masked() {
    let place = exposed("private-older");
    let conn = Connection::open(place.ledger()).expect("a plain connection");
    let worker: i64 = conn
        .query_row("SELECT record FROM worker WHERE id = 'W08'", [], |row| {
            row.get(0)
        })
        .expect("the worker");
    let body = format!(
        "{{\"conception_on\":\"2026-01-19\",\"notice_on\":\"2026-03-02\",\"worker\":{worker}}}"
    );
    chained(&conn, "pregnancy", &body);
    let body = r#"{"answer":"spoke with her","finding":"limit-exceeded:pregnancy/W08/32"}"#;
    chained(&conn, "decision", body);
    drop(conn);
    place.done("ledger rebuild");
    let entry = newest(&place) - 1;
    for line in OPEN {
        let said = place.quiet(line);
        assert_eq!(told(&said.out), None, "{line}\n{}", said.out);
    }
    for line in ["show", "history"] {
        for entry in [entry, entry + 1] {
            let out = place.done(&format!("entry {line} {entry}")).out;
            assert_eq!(told(&out), None, "{out}");
        }
    }
    let board = place.quiet("board").out;
    assert!(board.contains("may not: see RSO"), "{board}");
    let shown = place.done("private show W08").out;
    assert!(shown.contains("chained by an older program"), "{shown}");
    let exported = place.done("ledger export DIR/out").out;
    assert!(
        flat(&exported).contains("chained by an older program: 1; that file stays"),
        "{exported}"
    );
    assert!(!place.path("out/pregnancy.csv").exists());
    let refused = place.quiet(&format!(
        "entry correct {entry} conception_on=2026-01-20 --reason x"
    ));
    assert!(refused.err.contains("is private"), "{}", refused.err);
    // Its withdrawal does not chain more of it, and counts.
    place.done(&format!("{DECLARED} --withdrawn-on 2026-05-29"));
    let board = place.quiet("board").out;
    assert!(!board.contains("may not: see RSO"), "{board}");
}

/// A pregnancy without a date of conception: taken where no limit counts from it, refused with the
/// rule where one does, alone and in a file.
#[test]
fn a_date_of_conception_is_asked_for_where_a_limit_counts_from_it() {
    for (rule_set, rule) in [
        ("10 CFR", Some("10 CFR 20.1208(a)")),
        ("IAEA", None),
        ("EU", None),
        ("Canada", None),
    ] {
        let place = Place::empty(&format!("conception-{}", &rule_set[..2].to_lowercase()));
        place.done(&format!(
            "ledger new --license L-1 --licensee Example --site Yard --zone UTC \
             --rso \"Ada Example\" --rule-set \"{rule_set}\" --from 2021-01-01"
        ));
        place.done(
            "worker add --id W01 --name \"Ada Example\" --role rso --birth-date 1980-03-14 \
             --monitored-from 2025-01-01",
        );
        let file = place.file("declared.csv", "worker,notice_on\nW01,2026-03-02\n");
        for line in [
            "worker pregnancy --worker W01 --notice-on 2026-03-02",
            &format!("worker pregnancies {file}"),
        ] {
            let said = place.quiet(line);
            match rule {
                None => assert_eq!(said.code, 0, "{rule_set} {line}: {}", said.err),
                Some(rule) => {
                    assert_eq!(said.code, 1, "{line}");
                    let err = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
                    let wanted =
                        format!("conception_on: is missing, and a limit counts from it ({rule})");
                    assert!(err.contains(&wanted), "{err}");
                }
            }
        }
        if rule.is_some() {
            continue;
        }
        let told = place.done("private show W01").out;
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            told.contains("written notice 2026-03-02, no date of conception"),
            "{told}"
        );
        place.done("work-status W01");
        // What is added later is added to the same declaration.
        place.done(
            "worker pregnancy --worker W01 --notice-on 2026-03-02 --conception-on 2026-01-19",
        );
        place
            .done("worker pregnancy --worker W01 --notice-on 2026-03-02 --withdrawn-on 2026-04-01");
        let told = place.done("private show W01").out;
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(told.matches("declared pregnancy").count(), 1, "{told}");
        assert!(
            told.contains("estimated conception 2026-01-19, withdrawn or ended on 2026-04-01"),
            "{told}"
        );
    }
}

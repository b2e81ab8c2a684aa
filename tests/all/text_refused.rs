//! Texts that are refused, with their place; how much a message repeats; the file of all faults;
//! ids that could be taken for one another.

use proptest::prelude::*;
use serde_json::Value;

use super::cli_support::{HEADER, Place, crew, row};
use wearbook::record::lines_of;
use wearbook::text::{Lines, shown, taken_back, unfit};

#[test]
fn a_file_with_what_nobody_can_see_is_refused_with_its_place() {
    let mut place = Place::with_registers("unseen-file");
    let sheet = crew("2026-06-12", "day")
        .replace(",W08,", ",W\u{200b}08,")
        .replacen("J-1", "J-1\u{202e}", 1);
    place.shown_file("june.csv", format!("{HEADER}{sheet}"));
    place.refused("sheet import DIR/june.csv");
    place.shown_file(
        "workers.csv",
        "id,name,role,category,birth_date,monitored_from,monitored_until\n\
         W20\u{feff},Ann Teal,assistant,exposed,1990-01-01,2026-01-05,\n\
         W21,\"Ann\nTeal\",assistant,exposed,1990-01-01,2026-01-05,\n\
         W22,Caf\u{fffd},assistant,exposed,1990-01-01,2026-01-05,\n\
         W23,a\u{85}b,assistant,exposed,199,2026-01-05,\n",
    );
    place.refused("worker import DIR/workers.csv");
    place.golden("text-unseen-file");
}

#[test]
fn what_is_typed_with_it_is_refused_with_its_place() {
    let mut place = Place::with_registers("unseen-typed");
    for line in [
        "worker add --id W20 --name \"Ann\u{202e} Teal\" --role assistant \
         --monitored-from 2026-01-05",
        "worker add --id \"W20\u{200d}\" --name \"Ann Teal\" --role assistant \
         --monitored-from 2026-01-05",
        "job add --id J-9 --place \"a\nb\" --jurisdiction NRC --setting \"temporary jobsite\" \
         --zone America/Chicago --first-day 2026-01-05",
        "worker add --id W20 --name \"Ann Teal\" --role assistant --monitored-from 2026-01-05 \
         --by \"R\u{2066}SO\"",
        "entry correct 5 \"name=Ann\u{202e}\" --reason \"typed wrong\"",
        "entry correct 5 \"name=Ann Teal\" --reason \"typed\u{7} wrong\"",
        "entry void 5 --reason \"typed\u{7} wrong\"",
        "equipment out-of-service --item D-1 --on 2026-06-01 --performed-by \"A\u{2028}B\" \
        --reason worn",
    ] {
        place.refused(line);
    }
    place.shown_file(
        "site.toml",
        "rule_set = \"site\u{202e}\"\nextends = \"10 CFR\"\n",
    );
    place.refused("rules check DIR/site.toml");
    place.shown_file(
        "list.toml",
        "checklist = \"a\\u200Bb\"\nextends = \"general\"\n",
    );
    place.refused("checklist check DIR/list.toml");
    place.golden("text-unseen-typed");
}

#[test]
fn ids_that_could_be_taken_for_one_another_are_refused() {
    let mut place = Place::with_registers("ids-alike");
    let add = "worker add --name \"Ann Teal\" --role assistant --monitored-from 2026-01-05 --id";
    let long = "W".repeat(41);
    for line in [
        format!("{add} w07"),
        "entry correct 4 \"id=W 20\" --reason \"typed wrong\"".to_owned(),
        format!("{add} {long}"),
        "entry correct 4 id=w08 --reason \"typed wrong\"".to_owned(),
        format!("entry correct 5 id={long} --reason \"typed wrong\""),
        "instrument add --id pd-07 --type \"pocket dosimeter\" --serial P10 --unit mR \
         --range \"200 mR\" --scale linear"
            .to_owned(),
    ] {
        place.refused(&line);
    }
    place.shown_file(
        "workers.csv",
        "id,name,role,monitored_from\nW20,Ann Teal,assistant,2026-01-05\n\
         É-1,A,assistant,2026-01-05\nw20,Ben Ochre,assistant,2026-01-05\n\
         é-1,B,assistant,2026-01-05\n",
    );
    place.refused("worker import DIR/workers.csv");
    place.run(&format!("{add} {}", "W".repeat(40)));
    // How an id is written can be put right, for it is no other's.
    place.run("entry correct 4 id=w07 --reason \"written so\"");
    place.golden("text-ids-alike");
}

/// A file of jobs with so many rows, each with a zone that nobody has.
fn faulty(rows: usize) -> String {
    let rows = (0..rows)
        .map(|it| format!("J-{it},Yard,NRC,permanent radiographic installation,Mars/Base\n"));
    format!(
        "id,place,jurisdiction,setting,zone\n{}",
        rows.collect::<String>()
    )
}

/// The headings of a CSV file.
pub fn headings(text: &str) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings = reader.headers().expect("headings");
    headings.iter().map(str::to_owned).collect()
}

#[test]
fn a_screen_shows_a_hundred_faults_and_a_file_holds_them_all() {
    let mut place = Place::with_registers("faults-file");
    place.file("jobs.csv", faulty(1334));
    let said = place.refused("job import DIR/jobs.csv --faults DIR/faults.csv");
    let more = "and 1 234 more; with --faults FILE the import writes all of them";
    assert!(said.err.contains(more), "{}", said.err);
    assert_eq!(said.err.matches("`Mars/Base`").count(), 100);
    let faults = std::fs::read_to_string(place.path("faults.csv")).unwrap();
    assert_eq!(faults.lines().count(), 1 + 1334);
    let mut reader = csv::Reader::from_reader(faults.as_bytes());
    let headings = headings(&faults);
    assert_eq!(
        headings.join(","),
        "file,line,column,field,value,wrong,right"
    );
    let first = reader.records().next().unwrap().unwrap();
    let cells: Vec<&str> = first.iter().collect();
    assert_eq!(cells[1..5], ["2", "5", "zone", "Mars/Base"]);
    assert!(cells[0].ends_with("jobs.csv"));
    // An earlier file of faults gives way, also to one without a row.
    place.file("june.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    place.done("sheet import DIR/june.csv --faults DIR/faults.csv");
    let faults = std::fs::read_to_string(place.path("faults.csv")).unwrap();
    assert_eq!(faults.lines().count(), 1);
    let left = std::fs::read_dir(&place.dir).unwrap().count();
    assert_eq!(left, 4, "the ledger, two files, the faults");
}

#[test]
fn a_file_of_another_kind_is_never_written_over_with_faults() {
    let mut place = Place::with_registers("faults-other");
    place.file("jobs.csv", faulty(1));
    place.file("notes.txt", "file,line: my own notes");
    for there in ["notes.txt", "jobs.csv", "wearbook.db", ""] {
        let before = std::fs::read(place.path(there)).ok();
        let line = format!("job import DIR/jobs.csv --faults DIR/{there}");
        let said = place.refused(&line);
        assert!(said.err.contains("is no file of faults"), "{}", said.err);
        assert_eq!(before, std::fs::read(place.path(there)).ok());
    }
    let said = place.refused("job import DIR/jobs.csv --faults DIR/no/such/faults.csv");
    assert!(said.err.contains("`Mars/Base`"), "{}", said.err);
    assert!(said.err.contains("there is no `"), "{}", said.err);
}

#[test]
fn every_import_takes_a_file_for_its_faults() {
    let place = Place::with_registers("faults-every");
    let help = place.done("help --all").out;
    let imports = help.matches("Take in").count();
    assert!(imports > 25, "{imports}");
    let mut lacking = Vec::new();
    for part in help.split("\n# wearbook ") {
        let takes = part
            .lines()
            .nth(2)
            .is_some_and(|it| it.starts_with("Take in"))
            || part.starts_with("sheet import");
        if takes && !part.contains("--faults") {
            lacking.push(part.lines().next().unwrap_or_default());
        }
    }
    assert!(lacking.is_empty(), "{lacking:?}");
}

#[test]
fn a_message_repeats_no_more_than_200_characters_of_a_value() {
    let mut place = Place::with_registers("long-values");
    let long = "x".repeat(5000);
    let bad = format!("W08,{long},PD-08,{long},{long},9 {long},{long},RM-08,yes,yes");
    place.file("june.csv", format!("{HEADER}{}", row(&long, "day", &bad)));
    for line in [
        "sheet import DIR/june.csv".to_owned(),
        format!("dose show {long}"),
        format!("dose show W07 --on {long}"),
        format!("dose show W07 --known-at {long}"),
        format!("entry correct 5 birth_date={long} --reason why"),
        format!("entry correct 5 {long}=1 --reason why"),
        format!("worker add --id {long} --name A --role {long} --monitored-from {long}"),
        format!("rules adopt {long} --from 2026-01-01"),
        format!("dose forecast W07 --on {long}"),
    ] {
        let said = place.refused(&line);
        let said: String = said.err.split_whitespace().collect();
        assert!(!said.contains(&"x".repeat(201)), "{line:.60}: {said}");
        assert!(said.contains(&"x".repeat(180)), "{line:.60}: {said}");
    }
}

#[test]
fn a_cell_that_a_spreadsheet_was_kept_from_running_comes_back() {
    let place = Place::with_registers("cells-back");
    place.file(
        "jobs.csv",
        "id,place,jurisdiction,setting,zone,first_day\n\
         J-8,'=1+1,NRC,temporary jobsite,America/Chicago,2026-01-05\n\
         J-9,'tis a yard,NRC,temporary jobsite,America/Chicago,2026-01-05\n",
    );
    place.done("job import DIR/jobs.csv");
    let list = place.done("job list --csv").out;
    assert!(list.contains("'=1+1"), "{list}");
    assert!(list.contains(",'tis a yard"), "{list}");
    let json = place.done("job list --json").out;
    assert!(json.contains("\"=1+1\""), "{json}");
    assert_eq!(taken_back("'=1+1"), "=1+1");
}

#[test]
fn windows_line_ends_of_a_note_are_plain_ones() {
    let place = Place::with_registers("crlf");
    let note = "withdrawal of\r\ntwo lines";
    place.done(&format!(
        "equipment out-of-service --item D-1 --on 2026-06-01 --performed-by \"Adaeze Hollow\" \
        --reason \
        \"{note}\""
    ));
    place.file(
        "withdrawals.csv",
        "item,on,performed_by,reason\r\nC-1,2026-06-01,Adaeze Hollow,\"worn\r\nand bent\"\r\n",
    );
    place.done("equipment out-of-service-list DIR/withdrawals.csv");
    let bodies = bodies(&place);
    let found = |text: &str| bodies.iter().any(|it| it.contains(text));
    assert!(found("withdrawal of\\ntwo lines") && found("worn\\nand bent"));
}

/// The stored bodies, in order.
fn bodies(place: &Place) -> Vec<String> {
    let dir = place.path("export");
    let _ = std::fs::remove_dir_all(&dir);
    place.done(&format!("ledger export {}", dir.display()));
    let entries = std::fs::read_to_string(dir.join("entries.jsonl")).unwrap();
    let line = |line: &str| serde_json::from_str::<Value>(line).unwrap();
    entries
        .lines()
        .map(line)
        .map(|it| it["body"].as_str().unwrap_or_default().to_owned())
        .collect()
}

/// Every text under its field.
fn texts(value: &Value, name: &str, found: &mut Vec<(String, String)>) {
    match value {
        Value::String(text) => found.push((name.to_owned(), text.clone())),
        Value::Array(list) => list.iter().for_each(|it| texts(it, name, found)),
        Value::Object(map) => map.iter().for_each(|(key, it)| texts(it, key, found)),
        _ => {}
    }
}

/// Text of any script, with what nobody can see more often than people have it.
fn any_text() -> impl Strategy<Value = String> {
    let unseen = "[\u{0}-\u{1f}\u{7f}-\u{9f}\u{ad}\u{61c}\u{200b}-\u{200f}\u{2028}-\u{202e}\
                  \u{2060}-\u{206f}\u{feff}\u{fffd}\u{e0020}-\u{e007f}]";
    let any = prop_oneof![
        8 => proptest::char::any().prop_map(String::from),
        8 => proptest::string::string_regex("[a-zA-Z0-9 .=+@-]").unwrap(),
        2 => proptest::string::string_regex(unseen).unwrap(),
    ];
    proptest::collection::vec(any, 1..12).prop_map(|parts| parts.concat().replace('"', "'"))
}

/// Commands that take `TEXT` in.
const INTAKES: [&str; 9] = [
    "worker add --id W50 --name \"TEXT\" --role assistant --monitored-from 2026-01-05",
    "worker add --id \"TEXT\" --name Ann --role assistant --monitored-from 2026-01-05",
    "job add --id J-50 --place \"TEXT\" --jurisdiction NRC --setting \"temporary jobsite\" \
     --zone America/Chicago --first-day 2026-01-05",
    "equipment out-of-service --item C-1 --on 2026-06-01 --performed-by \"TEXT\" --reason \"TEXT\"",
    "worker add --id W51 --name Ben --role assistant --monitored-from 2026-01-05 --by \"TEXT\"",
    "entry correct 5 \"name=TEXT\" --reason why",
    "entry correct 4 birth_date=1981-01-01 --reason \"TEXT\"",
    "sheet import DIR/text.csv",
    "job import DIR/jobs.csv",
];

#[test]
fn those_commands_take_a_plain_text_in() {
    let place = Place::with_registers("plain-text");
    for line in INTAKES {
        let text = "Ann";
        files(&place, text);
        place.done(&line.replace("TEXT", text));
    }
}

/// The files that they take in.
fn files(place: &Place, text: &str) {
    let cell = format!("\"{text}\"");
    let person = format!("{cell},assistant,PD-08,1,0,9,no,RM-08,yes,yes");
    let sheet = row("2026-06-12", "day", &person);
    place.file("text.csv", format!("{HEADER}{sheet}"));
    let header = "id,place,jurisdiction,setting,zone,first_day";
    let job = format!("J-51,{cell},NRC,temporary jobsite,America/Chicago,2026-01-05");
    place.file("jobs.csv", format!("{header}\n{job}\n"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn nothing_that_nobody_can_see_gets_into_a_ledger(text in any_text()) {
        let place = Place::with_registers("any-text");
        files(&place, &text);
        for line in INTAKES {
            let said = place.quiet(&line.replace("TEXT", &text));
            prop_assert!([0, 1, 2].contains(&said.code), "{line}: {}", said.err);
            for printed in [&said.out, &said.err] {
                prop_assert_eq!(&shown(printed), printed, "{}", line);
            }
        }
        for body in bodies(&place).iter().filter(|it| !it.is_empty()) {
            let mut found = Vec::new();
            texts(&serde_json::from_str(body).unwrap(), "", &mut found);
            for (name, text) in found {
                prop_assert_eq!(unfit(&text, lines_of(&name)), None, "{}: {:?}", name, text);
                let only_a_note = lines_of(&name) == Lines::Many || !text.contains(['\n', '\t']);
                prop_assert!(only_a_note, "{}: {:?}", name, text);
            }
        }
    }
}

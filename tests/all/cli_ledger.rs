//! The ledger's file: not there, something else, of a newer program, changed by
//! one byte; made, copied, exported, restored. Exit codes and exact words.

use super::cli_support::{HEADER, INIT, Place, crew};

fn with_sheet(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.file("june.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    place.done("sheet import DIR/june.csv");
    place
}

/// Changes the file as somebody with a hex editor would, past every trigger.
fn change_one_byte(place: &Place, from: &[u8], to: &[u8]) {
    let mut bytes = std::fs::read(place.ledger()).unwrap();
    let at = bytes.windows(from.len()).position(|it| it == from);
    let at = at.expect("the text is in the file");
    bytes[at..at + to.len()].copy_from_slice(to);
    std::fs::write(place.ledger(), bytes).unwrap();
}

#[test]
fn a_ledger_that_is_not_there_is_said_to_be_missing() {
    let name = "a_ledger_that_is_not_there";
    let mut place = Place::empty(name);
    place.refused("dose crew");
    place.file("june.csv", HEADER);
    place.refused("sheet import DIR/june.csv");
    assert!(!place.ledger().exists(), "a refused command makes no file");
    place.golden(name);
}

#[test]
fn a_file_that_is_no_ledger_is_left_alone() {
    let name = "a_file_that_is_no_ledger";
    let mut place = Place::empty(name);
    place.file("wearbook.db", "day,shift\n2026-06-12,day\n");
    place.refused("dose crew");
    place.file("wearbook.db", "");
    place.refused("dose crew");
    place.refused(INIT);
    std::fs::remove_file(place.ledger()).unwrap();
    std::fs::create_dir(place.ledger()).unwrap();
    place.refused("dose crew");
    place.golden(name);
}

#[test]
fn a_ledger_of_a_newer_program_is_not_touched() {
    let name = "a_ledger_of_a_newer_program";
    let mut place = with_sheet(name);
    let ledger = rusqlite::Connection::open(place.ledger()).unwrap();
    ledger
        .execute_batch("PRAGMA user_version = 8; INSERT INTO form VALUES ('entry 8', 'newer')")
        .unwrap();
    drop(ledger);
    for line in [
        "dose crew",
        "ledger verify",
        "ledger upgrade",
        "entry void 28 --reason why",
    ] {
        place.refused(line);
    }
    place.golden(name);
}

#[test]
fn one_changed_byte_of_an_entry_is_found() {
    let name = "one_changed_byte_of_an_entry";
    let mut place = with_sheet(name);
    place.run("ledger verify");
    place.run("ledger verify --full");
    change_one_byte(&place, b"\"exposures\":24", b"\"exposures\":34");
    let said = place.run("ledger verify");
    assert_eq!(said.code, 4);
    let said = place.run("ledger verify --full --json");
    assert_eq!(said.code, 4);
    let said = place.run("ledger backup DIR/copy.db");
    assert_eq!(said.code, 4);
    assert!(!place.path("copy.db").exists(), "no damaged copy is kept");
    place.golden(name);
}

#[test]
fn a_cut_off_past_is_found_by_whoever_kept_the_head() {
    let name = "a_cut_off_past_is_found";
    let mut place = with_sheet(name);
    let head = place.head().trim().to_owned();
    place.run(&format!("ledger verify --expect {head}"));
    place.run("entry void 28 --reason \"the chain goes on\"");
    place.run(&format!("ledger verify --expect {head}"));
    let other = Place::with_registers("a_cut_off_past_is_found, cut off");
    std::fs::copy(other.ledger(), place.ledger()).unwrap();
    let said = place.run(&format!("ledger verify --expect {head}"));
    assert_eq!(said.code, 4);
    place.refused("ledger verify --expect 28");
    place.refused("ledger verify --expect 28:abc");
    place.golden(name);
}

#[test]
fn a_damaged_page_is_named_as_damage() {
    let mut place = with_sheet("a_damaged_page");
    let mut bytes = std::fs::read(place.ledger()).unwrap();
    // The header page stays; every further page is overwritten.
    for byte in bytes.iter_mut().skip(4096) {
        *byte = 0x5a;
    }
    std::fs::write(place.ledger(), bytes).unwrap();
    for line in ["ledger verify --full", "dose crew"] {
        let said = place.run(line);
        assert_eq!(said.code, 4, "{line}: {}{}", said.out, said.err);
        assert!(
            said.err.starts_with("error: the ledger's file is damaged"),
            "{}",
            said.err
        );
    }
}

#[test]
fn a_new_ledger_is_made_once_and_only_from_what_is_known() {
    let name = "a_new_ledger";
    let mut place = Place::empty(name);
    place.refused(&INIT.replace("America/Chicago", "America/Chicagoo"));
    place.refused(&format!("{INIT} --rule-set Candaa"));
    place.refused(&format!("{INIT} --unit rads"));
    place.refused(&format!("{INIT} --from 02/01/2021"));
    place.refused(&INIT.replace("--rso \"Adaeze Hollow\"", "--rso \"\""));
    assert!(!place.ledger().exists());
    place.run(&format!("{INIT} --dry-run"));
    assert!(!place.ledger().exists());
    place.run(INIT);
    place.refused(INIT);
    place.golden(name);
}

#[test]
fn a_copy_and_an_export_make_the_same_ledger() {
    let name = "a_copy_and_an_export";
    let mut place = with_sheet(name);
    let head = place.head();
    place.run("ledger backup DIR/copy.db");
    place.refused("ledger backup DIR/copy.db");
    place.run("ledger export DIR/out");
    place.refused("ledger export DIR/out");
    place.refused("ledger restore DIR/out/entries.jsonl");
    std::fs::remove_file(place.ledger()).unwrap();
    place.run("ledger restore DIR/out/entries.jsonl");
    assert_eq!(place.head(), head);
    std::fs::copy(place.path("copy.db"), place.ledger()).unwrap();
    assert_eq!(place.head(), head);
    place.run("ledger rebuild");
    place.run("ledger upgrade");
    assert_eq!(place.head(), head);
    place.golden(name);
}

#[test]
fn a_changed_export_is_not_restored() {
    let name = "a_changed_export_is_not_restored";
    let mut place = with_sheet(name);
    place.done("ledger export DIR/out");
    std::fs::remove_file(place.ledger()).unwrap();
    let export = place.path("out/entries.jsonl");
    let text = std::fs::read_to_string(&export).unwrap();
    let changed = text.replace("\\\"exposures\\\":24", "\\\"exposures\\\":34");
    assert_ne!(changed, text);
    std::fs::write(&export, changed).unwrap();
    place.refused("ledger restore DIR/out/entries.jsonl");
    let cut: String = text.lines().skip(1).map(|it| format!("{it}\n")).collect();
    std::fs::write(&export, cut).unwrap();
    place.refused("ledger restore DIR/out/entries.jsonl");
    std::fs::write(&export, "not an export\n").unwrap();
    place.refused("ledger restore DIR/out/entries.jsonl");
    place.refused("ledger restore DIR/out/nothing.jsonl");
    assert!(!place.ledger().exists());
    place.golden(name);
}

#[test]
fn without_a_ledger_nobody_is_asked_who_decides_and_why() {
    let place = Place::empty("no-ledger-first");
    for line in [
        "dose resolve --of-record 12",
        "badge accept 12",
        "entry void 12",
    ] {
        let said = place.quiet(line);
        let first = "error: there is no ledger at";
        assert!(said.err.starts_with(first), "{line}: {}", said.err);
        assert_eq!(said.code, 1, "{line}");
    }
    // With a ledger they are asked.
    let place = Place::with_registers("a-ledger-first");
    let said = place.quiet("dose resolve --of-record 12");
    assert!(said.err.contains("--performed-by"), "{}", said.err);
    assert_eq!(said.code, 2);
}

#[test]
fn the_demonstration_takes_no_ledger_but_its_own() {
    let mut place = Place::empty("demo_ledger");
    let said = place.refused("demo --ledger DIR/mine.db --out DIR/other");
    assert!(said.err.contains("a ledger of its own"), "{}", said.err);
    assert!(!place.path("other").exists(), "nothing is left behind");
}

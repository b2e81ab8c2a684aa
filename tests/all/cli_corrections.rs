//! What comes after a sheet: held items are resolved, entries amended, voided and
//! put in force again, findings answered. Each transcript is one office's hour.

use super::cli_support::{HEADER, Place, crew, row};

const RADIOGRAPHER: &str = "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes";

/// A ledger with one sheet of these rows: it is entry 28.
fn with_sheet(name: &str, rows: &str) -> Place {
    let place = Place::with_registers(name);
    place.file("june.csv", format!("{HEADER}{rows}"));
    let said = place.done("sheet import DIR/june.csv");
    assert!(said.out.contains("entry 28: sheet"), "{}", said.out);
    place
}

fn sheet(name: &str) -> Place {
    with_sheet(name, &crew("2026-06-12", "day"))
}

/// The radiographer, and the assistant with an end below its start.
fn below_start(name: &str) -> Place {
    let second = "W08,assistant,PD-08,1,31,12,no,RM-08,yes,yes";
    let rows = row("2026-06-12", "day", RADIOGRAPHER) + &row("2026-06-12", "day", second);
    with_sheet(name, &rows)
}

/// One worker's deep dose of the year, in nanosievert, and whether it is
/// complete.
fn account(place: &Place, worker: &str) -> (i64, bool) {
    let text = place.done(&format!("dose show {worker} --json")).out;
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    let deep = &value["data"]["totals"][0]["total"];
    let complete = !deep["shown"].as_str().unwrap().contains("at least");
    (deep["known_nsv"].as_i64().unwrap(), complete)
}

#[test]
fn a_held_item_that_counts_is_in_the_account_as_it_stands() {
    let name = "a_held_item_that_counts";
    let rows = row("2026-06-12", "day", RADIOGRAPHER)
        + &row(
            "2026-06-12",
            "day",
            "W08,assistant,PD-08,1,0,215,no,RM-08,yes,yes",
        );
    let mut place = with_sheet(name, &rows);
    assert_eq!(account(&place, "W08"), (0, false));
    place.run("hold list");
    place.run("hold resolve 28.1 --counts --reason \"scale read past its end\" --dry-run");
    assert_eq!(account(&place, "W08"), (0, false));
    place.run("hold resolve 28.1 --counts --reason \"scale read past its end\"");
    place.run("hold list");
    // More than the dosimeter can show: at least that.
    assert_eq!(account(&place, "W08"), (2_150_000, false));
    place.golden(name);
}

#[test]
fn a_held_item_that_does_not_count_leaves_the_shift_undetermined_or_without_dose() {
    let name = "a_held_item_that_does_not_count";
    let second = "W08,assistant,PD-18,1,1 mR,9 mR,no,RM-08,yes,yes";
    let rows = row("2026-06-12", "day", RADIOGRAPHER) + &row("2026-06-12", "day", second);
    let mut place = with_sheet(name, &rows);
    place.run("hold resolve 28.1 --does-not-count --reason \"a toy from the fair\"");
    place.run("hold list");
    place.run("dose show W08");
    let (known, complete) = account(&place, "W08");
    assert_eq!(known, 0);
    assert!(
        !complete,
        "a shift that nothing measured is not a shift without dose"
    );
    place.golden(name);
}

#[test]
fn a_held_name_is_settled_by_saying_who_was_meant() {
    let name = "a_held_name_is_settled";
    let second = "Lucinda Farrow,assistant,PD-08,1,1,9,no,RM-08,yes,yes";
    let rows = row("2026-06-12", "day", RADIOGRAPHER) + &row("2026-06-12", "day", second);
    let mut place = with_sheet(name, &rows);
    place.refused("hold resolve 28.1 --is W80 --reason \"asked her\"");
    place.run("hold resolve 28.1 --is W08 --reason \"asked her\"");
    place.run("hold list");
    place.run("entry history 28");
    assert_eq!(account(&place, "W08"), (80_000, true));
    place.golden(name);
}

#[test]
fn a_held_item_is_settled_in_no_other_way() {
    let name = "held_items_that_cannot_be_settled_so";
    let mut place = below_start(name);
    place.refused("hold resolve 28.1 --reason \"no word given\"");
    place.refused("hold resolve 28.7 --counts --reason \"no such item\"");
    place.refused("hold resolve here --counts --reason \"no item at all\"");
    place.refused("hold resolve 28.1 --is W08 --reason \"nobody is unknown\"");
    place.refused("hold resolve 28.1 --counts --reason \"\"");
    place.refused("hold resolve 28.1 --counts --does-not-count --reason \"both\"");
    place.run("hold resolve 28.1 --counts --reason \"it stands\"");
    place.run("hold resolve 28.1 --counts --reason \"it stands\"");
    place.golden(name);
}

#[test]
fn an_amended_figure_settles_what_was_held_and_keeps_the_old_one_readable() {
    let name = "an_amended_figure";
    let mut place = below_start(name);
    place.run("entry show 28");
    let amend = "entry correct 28 \"people.2.readings.1.start=1 mR\" --reason \"misread 1 as 31\"";
    let head = place.head();
    place.run(&format!("{amend} --dry-run"));
    assert_eq!(place.head(), head, "a dry run writes nothing");
    place.run(amend);
    place.run("entry history 28");
    place.run("hold list");
    assert_eq!(account(&place, "W08"), (110_000, true));
    let before = place.done("dose show W08 --known-at 28").out;
    assert!(before.contains("at least 0"), "{before}");
    place.golden(name);
}

#[test]
fn an_amendment_that_cannot_stand_is_refused() {
    let name = "amendments_that_cannot_stand";
    let mut place = sheet(name);
    place.refused("entry correct 28 people.2.readings.1.end=1,5 --reason typo");
    place.refused(
        "entry correct 28 \"people.2.readings.1.end=12 mrem\" --reason \"not on its face\"",
    );
    place.refused("entry correct 28 people.9.readings.1.end=1 --reason \"no such person\"");
    place.refused("entry correct 28 exposures --reason \"no value\"");
    place.refused("entry correct 28 exposures=many --reason \"not a count\"");
    place.refused("entry correct 28 exposures=24 --reason \"says that already\"");
    place.refused("entry correct 28 exposures=25 --reason \"\"");
    place.refused("entry correct 28 day=2026-06-31 --reason \"not in the calendar\"");
    place.refused("entry correct 28 day=2026-07-01 --reason \"in the future\"");
    place.refused("entry correct 28 colour=red --reason \"no such field\"");
    place.refused("entry correct 280 exposures=25 --reason \"no such entry\"");
    place.refused("entry correct many exposures=25 --reason \"not a number\"");
    place.run("entry correct 28 exposures=25 --reason \"counted again\"");
    place.refused("entry correct 28 exposures=26 --reason \"an entry that was replaced\"");
    place.golden(name);
}

/// A number names no record: the dose would go to whatever has it.
#[test]
fn a_correction_takes_the_words_of_the_register_and_no_number_of_a_record() {
    let name = "corrections_by_name";
    let mut place = sheet(name);
    place.run("entry show 28");
    for (field, value) in [
        ("people.1.worker", "411"),
        ("people.1.worker", "5"),
        ("people.1.worker", "PD-07"),
        ("people.1.worker", "W70"),
        ("people.1.worker", ""),
        ("people.1.readings.1.dosimeter", "RM-07"),
        ("people.1.readings.1.dosimeter", "22"),
        ("people.1.readings.1.end", "12 mrem"),
        ("job", "7"),
        ("device", "PD-07"),
        ("guide_tubes", "G-1 G-1"),
        ("shift", "graveyard"),
        ("source_out_min", "half an hour"),
        ("source_out_s", "60"),
        ("people.1.role.of", "rso"),
        ("people.1", "W07"),
        ("held.1.sort", "end below start"),
    ] {
        place.refused(&format!(
            "entry correct 28 \"{field}={value}\" --reason why"
        ));
    }
    place.run("entry correct 28 people.1.readings.1.end=13 source_out_min=40 --reason \"misread\"");
    place.run("entry correct 29 guide_tubes=G-1 people.2.worker=w08 --reason \"one tube\"");
    place.run("entry show 30");
    let determine = "determination enter --worker W07 --first-day 2026-06-01 --last-day 2026-06-02 \
                     --quantity deep --dose \"12 mrem\" --relation adds --method co-worker \
                     --basis \"a co-worker\" --on 2026-06-14 --performed-by W01";
    place.done(determine);
    place.run("entry show 31");
    for (field, value) in [
        ("worker", "411"),
        ("worker", "5"),
        ("dose", "13"),
        ("dose", "13 mR"),
        ("dose", ""),
        ("dose_nsv", "130000"),
        ("basis", ""),
        ("quantity", "whole"),
        ("on", "2026-07-01"),
        ("by_worker", "W07"),
        ("sheet", "28"),
        ("first_day", ""),
        ("last_day", "2026-06-31"),
    ] {
        place.refused(&format!(
            "entry correct 31 \"{field}={value}\" --reason why"
        ));
    }
    place.run("entry correct 31 \"dose=0.13 mSv\" --reason \"misread\"");
    place.golden(name);
}

#[test]
fn a_voided_sheet_counts_no_more_until_it_is_put_in_force_again() {
    let name = "a_voided_sheet";
    let mut place = sheet(name);
    assert_eq!(account(&place, "W07"), (120_000, true));
    place.run("entry void 28 --reason \"handed in for another crew\"");
    assert_eq!(account(&place, "W07"), (0, true));
    place.refused("entry void 29 --reason \"twice\"");
    place.refused("entry void 28 --reason \"not the newest\"");
    place.refused("sheet import DIR/june.csv");
    place.refused("entry reinstate 28 --reason \"not the newest\"");
    place.run("entry reinstate 29 --reason \"it was ours\"");
    place.refused("entry reinstate 30 --reason \"it is in force\"");
    place.run("entry history 28");
    assert_eq!(account(&place, "W07"), (120_000, true));
    place.golden(name);
}

#[test]
fn a_void_that_would_strand_others_is_refused_and_lists_them() {
    let name = "a_void_that_would_strand_others";
    let mut place = sheet(name);
    let worker = "entry void 4 --reason \"never worked here\"";
    place.run("entry show 4");
    place.refused(worker);
    place.refused("entry void 1 --reason \"another company\"");
    place.golden(name);
}

#[test]
fn an_answered_finding_returns_when_its_entries_change() {
    let name = "an_answered_finding_returns";
    let rows = row("2026-06-12", "day", RADIOGRAPHER)
        + &row(
            "2026-06-12",
            "day",
            "W08,assistant,PD-08,1,1,9,no,RM-08,no,yes",
        );
    let mut place = with_sheet(name, &rows);
    let listed = |place: &mut Place| {
        let said = place.run("findings --check");
        (said.code, said.out.contains("ratemeter-not-tested/"))
    };
    assert_eq!(listed(&mut place), (3, true));
    let key = "ratemeter-not-tested/W08/28";
    place.refused("finding answer ratemeter-not-tested/W08/27 --reason \"no such finding\"");
    place.refused(&format!("finding answer {key} --reason \"\""));
    place.run(&format!(
        "finding answer {key} --reason \"trained anew\" --dry-run"
    ));
    assert_eq!(listed(&mut place), (3, true));
    place.run(&format!("finding answer {key} --reason \"trained anew\""));
    assert_eq!(listed(&mut place), (0, false));
    place.run("findings --answered");
    place.run("entry correct 28 exposures=25 --reason \"counted again\"");
    assert_eq!(listed(&mut place), (3, true));
    place.golden(name);
}

#[test]
fn every_write_has_a_dry_run_that_writes_nothing() {
    let mut place = below_start("every_write_has_a_dry_run");
    place.file(
        "roles.csv",
        "worker,from,role\nW08,2026-06-14,radiographer\n",
    );
    let before = std::fs::read(place.ledger()).unwrap();
    for line in [
        "worker add --id W20 --name \"Nobody Yet\" --role trainee --monitored-from 2026-06-15",
        "worker roles DIR/roles.csv",
        "rules adopt Canada --from 2026-06-15",
        "sheet enter --day 2026-06-14 --shift day --job J-2 --work maintenance \
         --person \"worker=W07, role=radiographer\"",
        "hold resolve 28.1 --counts --reason why",
        "hold resolve 28.1 --does-not-count --reason why",
        "entry correct 28 exposures=25 --reason why",
        "entry void 28 --reason why",
        "finding answer held-item/W08/28 --reason why",
    ] {
        let said = place.quiet(&format!("{line} --dry-run"));
        assert_eq!(said.code, 0, "{line}\n{}{}", said.out, said.err);
        assert!(
            said.out.contains("dry run: 1 would be written"),
            "{}",
            said.out
        );
        let after = std::fs::read(place.ledger()).unwrap();
        assert!(
            before == after,
            "{line} --dry-run changes the ledger's file"
        );
        let written = place.done(line).out;
        assert!(written.contains("1 written"), "{line}\n{written}");
        // Back to where it was, for the next one.
        std::fs::write(place.ledger(), &before).unwrap();
    }
    place.run("hold list");
}

/// What a newer program wrote is refused by name, and nothing is called damaged.
#[test]
fn a_body_of_a_newer_form_asks_for_the_newer_program() {
    let name = "a_body_of_a_newer_form";
    let mut place = sheet(name);
    let ledger = rusqlite::Connection::open(place.ledger()).unwrap();
    ledger
        .execute_batch(
            "DROP TRIGGER entry_is_never_changed;
             UPDATE entry SET version = 7 WHERE kind = 'worker';",
        )
        .unwrap();
    drop(ledger);
    // As if this program's newer self had written it: the count of writes fits.
    let counter = |bytes: &[u8]| {
        bytes[24..28]
            .iter()
            .fold(0_i64, |sum, it| sum * 256 + i64::from(*it))
    };
    let now = counter(&std::fs::read(place.ledger()).unwrap()) + 1;
    rusqlite::Connection::open(place.ledger())
        .unwrap()
        .execute("UPDATE last_write SET counter = ?1", [now])
        .unwrap();
    place.refused("entry show 4");
    place.refused("worker list");
    place.refused("entry correct 28 exposures=25 --reason \"counted again\"");
    place.golden(name);
}

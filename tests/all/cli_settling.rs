//! Settling what contradicts each other: who does it of their own dose, entries that were
//! corrected since, and the way back from a wrong decision.

use super::cli_badges::{issued, ok, rehearsed};
use super::cli_support::Place;

/// B-01 of the RSO has a result of 31 mrem (entry 38) and a determination of 20 mrem (entry 39).
fn contested(name: &str) -> Place {
    let mut place = issued(name);
    for line in [
        "badge issue --badge B-01 --type \"whole body\" --worker W01 --first-day 2026-05-01 \
         --last-day 2026-05-31",
        "badge result --badge B-01 --report R-5 --reported-on 2026-06-10 --deep \"31 mrem\" \
         --lens \"31 mrem\" --shallow \"31 mrem\"",
        "determination enter --worker W01 --badge B-01 --dose \"20 mrem\" --quantity deep \
         --relation replaces --method \"own periods\" --basis \"April and June\" \
         --on 2026-06-11 --performed-by W01 --second-by W07",
    ] {
        ok(&mut place, line);
    }
    place
}

const BY: &str = "--performed-by W01 --second-by W07";

fn why(place: &mut Place) -> String {
    let out = ok(
        place,
        "dose show W01 --from 2026-05-01 --to 2026-05-31 --why",
    );
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn refusal(place: &mut Place, line: &str) -> String {
    let said = place.refused(line).err;
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_refusal_of_a_decision_of_the_rsos_own_dose_names_the_second_person() {
    let mut place = contested("settling-own");
    let reason = "--reason \"hung in the truck\"";
    for line in [
        format!("badge resolve B-01 --of-record determination {reason} --performed-by W01"),
        format!("dose resolve --of-record 38 {reason} --performed-by W01"),
        "badge accept 38 --performed-by W01".to_owned(),
    ] {
        let said = refusal(&mut place, &line);
        assert!(said.contains("--second-by ID: another rso"), "{said}");
    }
    // What is proposed where nothing is open can be run too; of another's dose one decides.
    ok(&mut place, "entry void 39 --reason \"typed twice\"");
    let badge = format!("badge resolve B-01 --of-record result {reason} {BY}");
    let entry = format!("dose resolve --of-record 38 {reason} {BY}");
    for line in [&badge, &entry] {
        let said = refusal(&mut place, line);
        assert!(said.contains("--performed-by ID --second-by ID"), "{said}");
    }
    ok(
        &mut place,
        "badge result --badge B-08/2026-05-01 --report R-5 --reported-on 2026-06-10 \
         --deep \"9 mrem\"",
    );
    let others = badge.replace("B-01", "B-08/2026-05-01");
    let said = refusal(&mut place, &others);
    assert!(
        said.contains("badge accept ENTRY --performed-by ID"),
        "{said}"
    );
    assert!(!said.contains("--second-by ID"), "{said}");
}

#[test]
fn an_entry_that_was_corrected_since_is_answered_with_the_one_in_force() {
    let mut place = contested("settling-stale");
    ok(
        &mut place,
        "entry correct 39 dose=\"22 mrem\" --reason typo",
    );
    let out = why(&mut place);
    assert!(out.contains("dose resolve --of-record 40 "), "{out}");
    assert!(!out.contains("--of-record 39"), "{out}");
    let old = format!("dose resolve --of-record 39 --reason x {BY}");
    let said = refusal(&mut place, &old);
    let right = "was corrected: entry 40 is in force right: wearbook dose resolve --of-record 40";
    assert!(said.contains(right), "{said}");
    ok(&mut place, "entry void 40 --reason \"no such dose\"");
    let said = refusal(&mut place, &old);
    assert!(said.contains("is void since entry 41"), "{said}");
    assert!(said.contains("wearbook entry reinstate 41"), "{said}");
}

#[test]
fn a_wrong_decision_is_made_anew_by_one_command_or_taken_back() {
    let mut place = contested("settling-anew");
    let deep = |place: &mut Place, dose: &str| {
        let out = why(place);
        assert!(
            out.contains(&format!("2026-05-31 {dose} of record")),
            "{out}"
        );
        out
    };
    let badge =
        format!("badge resolve B-01 --of-record determination --reason \"in the truck\" {BY}");
    rehearsed(&mut place, &badge);
    let out = deep(&mut place, "20 mrem");
    assert!(!out.contains("to be resolved"), "{out}");
    let back = "set aside by entry 40, since 2026-06-15; to take that back: wearbook entry void 40";
    assert!(out.contains(back), "{out}");
    // The other way out, of the same: one command, and the decision before stays on file.
    rehearsed(
        &mut place,
        &format!("dose resolve --of-record 38 --reason \"it was worn\" {BY}"),
    );
    let out = deep(&mut place, "31 mrem");
    assert!(out.contains("entry 39: "), "{out}");
    assert!(out.contains("wearbook entry void 41"), "{out}");
    assert!(ok(&mut place, "entry history 41").contains("in the truck"));
    // The same again is no new decision.
    let again = format!("dose resolve --of-record 38 --reason \"it was worn\" {BY}");
    assert!(ok(&mut place, &again).starts_with("0 written"));
    // Taken back it is open again, and can be resolved in each way.
    ok(&mut place, "entry void 41 --reason \"too early\"");
    assert!(why(&mut place).contains("to be resolved"));
    rehearsed(&mut place, &badge);
    deep(&mut place, "20 mrem");
    place.done("ledger verify --full");
    place.done("ledger rebuild");
    deep(&mut place, "20 mrem");
}

#[test]
fn of_three_claims_the_first_choice_can_be_made_again_after_another() {
    let mut place = contested("settling-three");
    let first = format!("dose resolve --of-record 38 --reason \"it was worn\" {BY}");
    ok(&mut place, &first);
    let other = ok(
        &mut place,
        "determination enter --worker W01 --first-day 2026-05-01 --last-day 2026-05-31 \
         --dose \"60 mrem\" --quantity deep --relation replaces --method \"own periods\" \
         --basis \"a second look\" \
         --on 2026-06-12 --performed-by W01 --second-by W07",
    );
    assert!(other.contains("entry 41: "), "{other}");
    ok(
        &mut place,
        &format!("dose resolve --of-record 41 --reason \"the truck\" {BY}"),
    );
    assert!(why(&mut place).contains("60 mrem of record"));
    // Nothing stays as it is in silence: it is decided anew, or refused with the way back.
    let again = place.run(&first);
    let words = format!("{}{}", again.out, again.err);
    assert!(!again.out.starts_with("0 written"), "{words}");
    if again.code == 0 {
        assert!(why(&mut place).contains("31 mrem of record"), "{words}");
    } else {
        assert!(words.contains("wearbook entry void"), "{words}");
    }
}

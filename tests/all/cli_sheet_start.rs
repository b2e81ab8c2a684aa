//! The start of a shift: recorded when it is done, found again by its sheet, and never taken for
//! what was remembered at the end.

use super::cli_support::{HEADER, Place, crew, findings_of};

/// What a crew types at the start, up to its yes.
const START: &str = "1\n1\n1 2 3 4 5 6\nW07 PD-07 RM-07\nW08 PD-08 RM-08\n-\n\
     day\n07:00\n2026-06-15\ny\n0 y y y\n1 y y y\n";

/// What it types at the end.
const END: &str = "yes\n15:00\n24 07:40\n36.5\n1.8\n06:30 15:20\n22 surface\ny\n12\n9\nW07\nyes\n";

/// A start by flags.
const FLAGS: &str = "sheet start --day 2026-06-15 --shift day --begins 07:00 --job J-1 \
     --work radiography --device D-1 --source S-1 --control-unit C-1 --guide-tubes \"G-1 G-2\" \
     --meter SM-1 --meter-checked yes \
     --person \"worker=W07, role=radiographer, dosimeter=PD-07, recharged=yes, start=0, \
     ratemeter=RM-07, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W08, role=assistant, dosimeter=PD-08, recharged=yes, start=1, \
     ratemeter=RM-08, alarm_tested=yes, badge_worn=yes\"";

#[test]
fn a_start_is_recorded_and_the_sheet_asks_for_the_end_alone() {
    let name = "a_start";
    let mut place = Place::with_registers(name);
    let said = place.ask("sheet start", &format!("{START}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    place.run("entry show 28");
    place.turn_to("wearbook.db", "2026-06-15T20:30:00Z");
    let said = place.ask("sheet enter", END);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(!said.err.contains("alarm heard"), "{}", said.err);
    let shown = place.run("entry show 29").out;
    assert!(shown.contains("shift_start"), "{shown}");
    assert_eq!(findings_of(&place, "recorded-late", "what"), [""; 0]);
    place.run("records utilization --from 2026-06-01 --to 2026-06-15");
    // The next sheet is not taken for the end of a shift that has ended.
    let said = place.said_at_terminal("sheet enter", "");
    assert!(!said.err.contains("begun:"), "{}", said.err);
    place.done("ledger verify --full");
    place.golden(name);
}

#[test]
fn a_start_by_flags_is_the_start_of_the_prompt() {
    let mut place = Place::with_registers("a start by flags");
    place.done(&format!("{FLAGS} --dry-run"));
    place.done(FLAGS);
    let head = place.head();
    let said = place.said_at_terminal("sheet start", &format!("{START}yes\n"));
    // The prompt asks whether it is another one; it is not.
    assert!(
        said.err.contains("on file: the start, entry 28"),
        "{}",
        said.err
    );
    assert_eq!(place.head(), head);
    place.done(FLAGS);
    assert_eq!(place.head(), head, "the same again says nothing new");
    place.refused(&FLAGS.replace("start=1,", "start=2,"));
    place.refused(&FLAGS.replace("--job J-1", ""));
    place.refused("sheet start");
}

#[test]
fn what_was_not_recorded_at_the_start_is_marked_as_recorded_late() {
    let place = Place::with_registers("recorded late");
    // Nobody said whether W08's alarm was heard, and the meter's check is not there.
    let start = FLAGS
        .replace(" --meter-checked yes", "")
        .replace("ratemeter=RM-08, alarm_tested=yes", "ratemeter=RM-08");
    place.done(&start);
    let typed = END.replace("22 surface\ny\n12\n9\n", "22 surface\ny\ny\n12\n9 y\n");
    let said = place.said_at_terminal("sheet enter", &typed);
    assert_eq!(said.code, 0, "{}", said.err);
    let late = findings_of(&place, "recorded-late", "what");
    assert_eq!(late.len(), 2, "{late:?}");
    assert!(
        late.iter()
            .any(|it| it.contains("W08") && it.contains(": alarm heard:")),
        "{late:?}"
    );
    assert!(
        late.iter().any(|it| it.contains("survey meter checked:")),
        "{late:?}"
    );
    // Without any start all of it was.
    let place = Place::with_registers("recorded late, all");
    let rows = "1\n1\n1 2 3 4 5 6\nW07 PD-07 RM-07\nW08 PD-08 RM-08\n-\nday\n07:00 15:00\n\
                2026-06-15\n24 07:40\n36.5\n1.8\n06:30 15:20\n22 surface\ny\ny\n0 12 y y y\n\
                1 9 y y y\nW07\nyes\n";
    let said = place.said_at_terminal("sheet enter", rows);
    assert_eq!(said.code, 0, "{}", said.err);
    let late = findings_of(&place, "recorded-late", "what");
    assert_eq!(late.len(), 3, "{late:?}");
    let whole = "reading at the beginning, dosimeter recharged, alarm heard, badge put on";
    assert!(
        late.iter().filter(|it| it.contains(whole)).count() == 2,
        "{late:?}"
    );
    let severity = findings_of(&place, "recorded-late", "severity");
    assert!(severity.iter().all(|it| it == "watch"), "{severity:?}");
}

/// The hour of writing is the program's own.
#[test]
fn a_start_that_was_written_when_the_work_had_begun_is_late_too() {
    for (moment, late) in [("2026-06-15T12:30:00Z", 0), ("2026-06-15T20:30:00Z", 1)] {
        let mut place = Place::with_registers(&format!("a start written at {moment}"));
        place.turn_to("wearbook.db", moment);
        place.done(FLAGS);
        place.turn_to("wearbook.db", "2026-06-15T20:40:00Z");
        let said = place.said_at_terminal("sheet enter", END);
        assert_eq!(said.code, 0, "{}", said.err);
        let found = findings_of(&place, "recorded-late", "what");
        assert_eq!(found.len(), late, "{found:?}");
        assert!(
            found
                .iter()
                .all(|it| it.contains("written at 2026-06-15 15:30")),
            "{found:?}"
        );
    }
}

#[test]
fn a_sheet_that_says_otherwise_than_its_start_is_found() {
    let place = Place::with_registers("not as started");
    place.done(FLAGS);
    place.done(
        "sheet enter --day 2026-06-15 --shift day --begins 07:00 --ends 15:00 --job J-1 \
         --work radiography --device D-1 --source S-1 --meter SM-1 --meter-checked no \
         --shift-start 28 --attested-by W07 \
         --person \"worker=W07, role=radiographer, dosimeter=PD-07, start=5, end=12, \
         ratemeter=RM-07, alarm_tested=yes, badge_worn=no\"",
    );
    let found = findings_of(&place, "not-as-started", "what");
    for part in [
        "PD-07 read 0 mR at the start, 5 mR on the sheet",
        "W07, badge worn: yes at the start, no on the sheet",
        "meter checked: yes at the start, no on the sheet",
        "W08 began the shift and is not on the sheet",
    ] {
        assert!(
            found.iter().any(|it| it.contains(part)),
            "{part}: {found:?}"
        );
    }
    assert_eq!(found.len(), 1, "{found:?}");
    // What a correction brings into line is found no more.
    place.done("entry correct 29 meter_checked=yes --reason \"a slip\"");
    let found = findings_of(&place, "not-as-started", "what");
    assert!(!found.concat().contains("meter checked"), "{found:?}");
    assert_eq!(found.len(), 1, "{found:?}");
}

#[test]
fn a_start_is_corrected_and_voided_like_any_entry_and_not_while_a_sheet_refers_to_it() {
    let mut place = Place::with_registers("a start is corrected");
    place.done(FLAGS);
    place.done("entry correct 28 begins=06:50 people.2.badge_worn=no --reason \"as it was\"");
    let shown = place.done("entry show 29").out;
    assert!(shown.contains("06:50"), "{shown}");
    place.refused("entry correct 29 begins=6:50 --reason why");
    let said = place.said_at_terminal("sheet enter", END);
    assert_eq!(said.code, 0, "{}", said.err);
    place.refused("entry void 29 --reason why");
    place.done("entry void 30 --reason \"by mistake\"");
    place.done("entry void 29 --reason \"by mistake\"");
    place.done("ledger verify --full");
    let head = place.head();
    place.done("ledger export DIR/out");
    place.turn_to("again.db", "2026-06-15T12:00:00Z");
    place.done("ledger restore DIR/out/entries.jsonl");
    assert_eq!(place.head(), head);
}

#[test]
fn a_start_that_is_left_is_kept_and_does_not_stand_in_the_way_of_a_sheet() {
    let place = Place::with_registers("a start is left");
    let lines: Vec<&str> = START.split_inclusive('\n').collect();
    place.said_at_terminal("sheet start", &lines[..8].concat());
    // The draft of a start is offered by the start, not by the sheet.
    let said = place.said_at_terminal("sheet enter", "");
    assert!(!said.err.contains("There is a draft"), "{}", said.err);
    let rest = lines[8..].concat();
    let said = place.said_at_terminal("sheet start", &format!("yes\n{rest}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
}

/// The new columns in a file, and what the log and the papers make of them.
#[test]
fn a_file_may_have_the_start_the_survey_and_the_signature() {
    let place = Place::with_registers("a file with a start");
    let more = "site,recharged,meter_checked,late,storage_meter,storage_distance,locked,signed_by";
    let rows = crew("2026-06-12", "day");
    let rows: Vec<String> = rows
        .lines()
        .map(|it| format!("{it},\"km 14, north\",yes,yes,alarm reading,SM-1,1 m,yes,W07\n"))
        .collect();
    let header = HEADER.trim_end();
    place.file("june.csv", format!("{header},{more}\n{}", rows.concat()));
    place.done("sheet import DIR/june.csv");
    let shown = place.done("entry show 28").out;
    for part in ["km 14, north", "alarm reading", "1 m", "signed_by"] {
        assert!(shown.contains(part), "{part}: {shown}");
    }
    let log = place
        .done("records utilization --from 2026-06-01 --to 2026-06-15 --json")
        .out;
    for part in ["km 14, north", "22 mR/h at 1 m with SM-1, locked"] {
        assert!(log.contains(part), "{part}: {log}");
    }
    assert_eq!(findings_of(&place, "recorded-late", "what").len(), 2);
}

/// Whether the frame of a stop is the last thing on a screen.
fn ends_with_stop(screen: &str) -> bool {
    let last = screen.trim_end().lines().next_back().unwrap_or_default();
    last.chars().all(|it| it == '=') && screen.contains("===== STOP ====")
}

#[test]
fn a_start_says_what_was_not_done_before_the_work() {
    let place = Place::with_registers("a start warns");
    let said = place.done(FLAGS);
    assert!(!said.out.contains("badge was not worn"), "{}", said.out);
    for (from, to, wanted, citation) in [
        (
            "alarm_tested=yes",
            "alarm_tested=no",
            "alarm of RM-07 was not heard before use",
            "34.47(g)(1)",
        ),
        (
            "badge_worn=yes",
            "badge_worn=no",
            "the badge was not worn",
            "34.47(a)",
        ),
        (
            "--meter-checked yes",
            "--meter-checked no",
            "SM-1 (not checked before use, as the crew says)",
            "34.31(a)",
        ),
        (
            "role=assistant",
            "role=other",
            "one radiographer, and no second qualified individual",
            "34.41(a)",
        ),
    ] {
        let place = Place::with_registers(&format!("a start warns of {to}"));
        let said = place.done(&FLAGS.replacen(from, to, 1));
        assert!(said.out.contains("1 written"), "{}", said.out);
        let lines = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(lines.contains("ACT "), "{to}: {lines}");
        assert!(lines.contains(wanted), "{to}: {lines}");
        assert!(lines.contains(citation), "{to}: {lines}");
    }
}

#[test]
fn somebody_who_is_stopped_and_withdrawn_equipment_stop_a_start() {
    let place = Place::with_registers("a start of somebody stopped");
    let row = crew("2026-06-12", "day").replace(",12,no,RM-07", ",,yes,RM-07");
    place.file("june.csv", format!("{HEADER}{row}"));
    place.done("sheet import DIR/june.csv");
    for how in ["the prompt", "flags"] {
        let said = match how {
            "flags" => place.done(FLAGS),
            _ => {
                let typed = format!("no\n{START}no\n");
                place.said_at_terminal("sheet start", &typed)
            }
        };
        let screen = if how == "flags" { said.out } else { said.err };
        assert!(screen.contains("STOP  W07"), "{how}: {screen}");
        assert!(ends_with_stop(&screen), "{how}: {screen}");
    }
    // A device that was withdrawn goes nowhere.
    for on in ["2026-06-14", "2026-06-15"] {
        let place = Place::with_registers(&format!("a start with a device withdrawn on {on}"));
        place.done(&format!(
            "equipment out-of-service --item D-1 --on {on} --performed-by W07 --reason stiff"
        ));
        let said = place.done(FLAGS);
        assert!(
            said.out.contains("STOP  D-1 (exposure device) goes out"),
            "{}",
            said.out
        );
        assert!(ends_with_stop(&said.out), "{}", said.out);
    }
}

#[test]
fn a_start_refuses_what_only_its_sheet_has() {
    let mut place = Place::with_registers("a start refuses an end");
    place.refused(&FLAGS.replace("start=1,", "start=1, end=7,"));
    let typed = format!("{START}2.end=7\nnote=\"hot, windy day\", 2.start=4\nyes\n");
    let said = place.said_at_terminal("sheet start", &typed);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("no field of a start"), "{}", said.err);
    let shown = place.done("entry show 28").out;
    assert!(shown.contains("hot, windy day"), "{shown}");
    assert!(shown.contains("4 mR"), "{shown}");
}

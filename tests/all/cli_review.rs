//! The board, the month's review with its signature, the year and the papers of a job, on a small
//! ledger. Each section is tested by changing one record and seeing only its lines change.

use super::cli_badges::issued;
use super::cli_maintenance_shown::{kept, measured, sheet_of};
use super::cli_support::{Place, crew, row};

/// The test company in the middle of June 2026, with three sheets and their checks.
fn worked(name: &str) -> Place {
    let place = kept(name);
    measured(&place, "2026-06-10", "5.95 mm");
    for day in ["2026-06-11", "2026-06-12", "2026-06-14"] {
        checked(&place, day, "D-1 C-1 G-1 SM-1");
        sheet_of(&place, day);
    }
    place
}

/// The check of each of some things before use.
fn checked(place: &Place, day: &str, items: &str) {
    for item in items.split(' ') {
        let measurement = match item {
            "D-1" => "--line \"device-surface-rate, value=20 mR/h\"",
            "C-1" => "--line \"connector-mating=good, with=D-1\"",
            _ => "",
        };
        let line = format!(
            "inspect enter --item {item} --on {day} --at 06:10 --when daily --performed-by W07 \
            {measurement} \
             --line \"all others=good\""
        );
        place.done(&line);
    }
}

fn section<'a>(review: &'a serde_json::Value, key: &str) -> &'a Vec<serde_json::Value> {
    let sections = review["data"]["sections"].as_array().expect("sections");
    let found = sections.iter().find(|it| it["key"] == key).expect(key);
    found["lines"].as_array().expect("lines")
}

fn review(place: &Place) -> serde_json::Value {
    let text = place.done("review 2026-06 --json").out;
    serde_json::from_str(&text).expect("JSON")
}

/// The keys of the sections whose lines differ.
fn changed(before: &serde_json::Value, after: &serde_json::Value) -> Vec<String> {
    let sections = before["data"]["sections"].as_array().expect("sections");
    let keys = sections.iter().filter_map(|it| it["key"].as_str());
    keys.filter(|key| section(before, key) != section(after, key))
        .map(str::to_owned)
        .collect()
}

/// Each of these sections changed.
fn all_of(found: &[String], keys: &[&str]) {
    let all = keys.iter().all(|key| found.iter().any(|it| it == key));
    assert!(all, "{found:?}");
}

/// None of these sections changed.
fn none_of(found: &[String], keys: &[&str]) {
    let any = keys.iter().any(|key| found.iter().any(|it| it == key));
    assert!(!any, "{found:?}");
}

/// One record more, and the sections that it changes.
fn after(name: &str, prepare: &[&str], line: &str) -> Vec<String> {
    let place = worked(name);
    for line in prepare {
        place.done(line);
    }
    let before = review(&place);
    place.done(line);
    changed(&before, &review(&place))
}

#[test]
fn a_board_and_a_review_read_from_top_to_bottom() {
    let mut place = worked("review-read");
    place.run("board");
    place.run("board --crew W07,W08 --check");
    place.run("review 2026-06");
    place.run("pack J-1");
    place.golden("review-read");
}

/// Whoever is named for a crew stands on the board, and stays in where nobody monitors him.
#[test]
fn a_board_of_a_crew_names_who_is_not_monitored() {
    let place = worked("review-not-monitored");
    // W09 is monitored from the 10th on.
    let said = place.quiet("board --crew W07,W09 --on 2026-06-09 --check");
    assert_eq!(said.code, 3, "{}", said.out);
    assert!(said.out.contains("1 of 2 people"), "{}", said.out);
    let words = "monitoring on record";
    assert!(
        said.out.contains("STOP  W09") && said.out.contains(words),
        "{}",
        said.out
    );
}

#[test]
fn an_event_changes_the_lines_of_events_and_what_it_takes_out_of_service() {
    let found = after(
        "review-event",
        &[],
        "event open --kind drop-or-fire --occurred 2026-06-14T13:40 --words x",
    );
    assert_eq!(found, ["events"]);
}

/// Use of the source without its inspection stops while it may go out again; once it is gone that
/// is for somebody to look into.
#[test]
fn a_withdrawal_changes_what_is_due_of_that_piece_and_ends_the_stop_of_its_use_out_of_date() {
    let found = after(
        "review-withdrawal",
        &[],
        "equipment out-of-service --item S-1 --on 2026-06-14 --reason \"sent back\" \
        --performed-by W01",
    );
    assert_eq!(found, ["decide", "maintenance", "due"]);
}

#[test]
fn a_check_of_a_device_that_is_on_no_sheet_changes_the_lines_of_sheets() {
    let found = after(
        "review-no-sheet",
        &[],
        "inspect enter --item D-1 --on 2026-06-13 --at 06:10 --when daily --performed-by W07 \
         --line \"device-surface-rate, value=20 mR/h\" --line \"all others=good\"",
    );
    assert_eq!(found, ["sheets"]);
}

#[test]
fn a_void_changes_the_lines_of_corrections_and_of_what_it_voids() {
    let place = worked("review-void");
    let before = review(&place);
    let entries = place.done("entry history 30").out;
    assert!(!entries.is_empty());
    let last = place.head();
    let last: i64 = last
        .split(':')
        .next()
        .and_then(|it| it.parse().ok())
        .expect("a count");
    place.done(&format!("entry void {last} --reason \"handed in twice\""));
    let found = changed(&before, &review(&place));
    all_of(&found, &["corrections", "daily"]);
    none_of(&found, &["events", "wear"]);
}

#[test]
fn a_measure_past_its_warning_changes_the_lines_of_wear_and_of_nothing_above_it() {
    let place = worked("review-wear");
    let before = review(&place);
    measured(&place, "2026-06-13", "5.7 mm");
    let found = changed(&before, &review(&place));
    all_of(&found, &["wear"]);
    none_of(
        &found,
        &[
            "events",
            "levels",
            "disagree",
            "held",
            "away",
            "corrections",
        ],
    );
}

#[test]
fn an_off_scale_reading_changes_what_needs_a_decision_and_the_open_doses() {
    let place = worked("review-off-scale");
    let before = review(&place);
    place.hand_in(
        &(row(
            "2026-06-13",
            "day",
            "W07,radiographer,PD-07,1,0 mR,,yes,RM-07,yes,yes",
        ) + &row(
            "2026-06-13",
            "day",
            "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
        )),
    );
    let found = changed(&before, &review(&place));
    all_of(&found, &["decide", "open-doses"]);
    none_of(&found, &["events", "wear", "held", "items", "corrections"]);
}

#[test]
fn a_defect_changes_the_lines_of_items() {
    let found = after(
        "review-items",
        &[],
        "inspect enter --item G-2 --on 2026-06-14 --at 15:10 --when daily --performed-by W07 \
         --line \"tube-kinks=defect, note=kink at the middle, action=removed from service\" \
         --line \"all others=good\"",
    );
    all_of(&found, &["items"]);
    none_of(
        &found,
        &["events", "wear", "held", "levels", "corrections", "away"],
    );
}

#[test]
fn a_badge_without_a_result_changes_the_lines_of_open_doses() {
    let found = after(
        "review-badge",
        &[],
        "badge issue --badge B-1 --worker W07 --type \"whole body\" --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    all_of(&found, &["open-doses"]);
    none_of(
        &found,
        &[
            "events",
            "wear",
            "held",
            "levels",
            "corrections",
            "away",
            "items",
        ],
    );
}

#[test]
fn an_unknown_dosimeter_changes_the_lines_of_held_items_and_no_others_of_other_people() {
    let place = worked("review-held");
    let before = review(&place);
    place.hand_in(
        &(row(
            "2026-06-13",
            "day",
            "W07,radiographer,PD-77,1,0 mR,12 mR,no,RM-07,yes,yes",
        ) + &row(
            "2026-06-13",
            "day",
            "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
        )),
    );
    let after = review(&place);
    assert_eq!(section(&before, "held").len(), 0);
    assert_eq!(section(&after, "held").len(), 1);
    assert_eq!(section(&before, "wear"), section(&after, "wear"));
    assert_eq!(section(&before, "events"), section(&after, "events"));
}

#[test]
fn a_signed_month_shows_what_was_written_later_with_before_and_after() {
    let mut place = worked("review-signed");
    place.refused("review 2026-06 --sign --performed-by W07");
    place.done("review 2026-06 --sign --performed-by W01 --reason \"partial, for the inspector\"");
    place.refused("review 2026-06 --sign --performed-by W01");
    place.run("review changes 2026-06");
    place.hand_in(&crew("2026-06-13", "day"));
    place.run("review changes 2026-06");
    let next = place.done("review 2026-06").out;
    assert!(next.contains("SIGNED MONTHS THAT CHANGED SINCE"), "{next}");
    place.refused("review changes 2026-05");
    place.golden("review-signed");
}

#[test]
fn what_is_no_month_of_this_ledger_is_refused() {
    let mut place = worked("review-refused");
    for line in [
        "review 2026-07",
        "review 2026-05",
        "review 2026-13",
        "review june",
        "review 2027",
        "review 2026 --sign --performed-by W01",
        "review 2026-06 --sign",
        "review changes june",
        "pack J-9",
        "board --crew W77",
    ] {
        place.refused(line);
    }
    place.golden("review-refused");
}

/// A folder keeps the files of one ledger.
#[test]
fn a_folder_of_another_ledger_is_left_alone() {
    let mut place = worked("review-folder");
    let out = place.path("out").display().to_string();
    place.done(&format!("review 2026-06 --out {out}"));
    place.done(&format!("review 2026-06 --out {out}"));
    place.done(&format!("review 2026 --out {out}"));
    place.done(&format!("pack J-1 --out {out}"));
    let mark = place.path("out").join("ledger-id.txt");
    std::fs::write(&mark, "another\n").expect("the test's own folder");
    let said = place.quiet(&format!("review 2026-06 --out {out}"));
    assert_eq!(said.code, 1, "{}", said.err);
    assert!(said.err.contains("another ledger"), "{}", said.err);
    std::fs::remove_file(&mark).expect("it is there");
    let said = place.quiet(&format!("pack J-1 --out {out}"));
    assert!(said.err.contains("not this ledger's"), "{}", said.err);
    place.run("review 2026");
    place.golden("review-folder");
}

/// A badge is handed back on the last day of its wear: it was worn on that day, and the review of
/// a day that is over says what board and findings of that day say.
#[test]
fn a_badge_handed_back_on_the_last_day_of_a_review_was_on_issue_on_it() {
    for (handed_back, stops) in [("2026-06-13", true), ("2026-06-14", false)] {
        let place = issued(&format!("review-badge-back-{handed_back}"));
        place.done(
            "badge issue --badge B-19 --type \"whole body\" --worker W09 --first-day 2026-06-10 \
             --last-day 2026-06-30",
        );
        place.done(&format!(
            "badge return --badge B-19/2026-06-10 --on {handed_back}"
        ));
        let day = "2026-06-14";
        for asked in [
            format!("review 2026-06 --on {day}"),
            format!("findings --from 2026-06-01 --to {day} --on {day}"),
            format!("board --crew W09 --on {day}"),
        ] {
            let said = place.quiet(&format!("{asked} --json")).out;
            let lines = said.matches("no badge on issue on 2026-06-14").count();
            assert_eq!(lines > 0, stops, "{asked}: {said}");
        }
    }
}

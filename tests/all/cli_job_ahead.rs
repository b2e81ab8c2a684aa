//! A job east of the office: its day begins before the office's, and what happened on it is known
//! to everybody who asks today.

use super::cli_demo::list;
use super::cli_support::{Place, data_of as data};

/// W07 on 16 June at a job where that day has begun; at the office it is the 15th.
fn ahead(name: &str, reading: &str) -> Place {
    let place = Place::with_registers(name);
    place.done(
        "job add --id K-1 --place \"Atoll (invented)\" --jurisdiction NRC --setting \"temporary \
         jobsite\" --zone Pacific/Kiritimati --first-day 2026-01-01",
    );
    place.done(&format!(
        "sheet enter --day 2026-06-16 --shift day --job K-1 --work radiography --device D-1 \
         --source S-1 --meter SM-1 --attested-by W07 --person \"worker=W07, role=radiographer, \
         dosimeter=PD-07, start=0, {reading}, ratemeter=RM-07, alarm_tested=yes, badge_worn=yes\""
    ));
    place
}

#[test]
fn an_off_scale_reading_of_a_day_that_has_begun_there_stops_here() {
    let place = ahead("ahead-off-scale", "off_scale=yes");
    let line = data(&place, "work-status W07")["lines"][0].take();
    assert_eq!(line["may_work"], false, "{line:#}");
    let board = data(&place, "board");
    let line = list(&board["people"])
        .iter()
        .find(|it| it["worker"] == "W07");
    assert_eq!(line.expect("on the board")["may_go"], false);
    // It can be determined at once, and not for a day that has begun nowhere.
    let determined = |day: &str| {
        place.quiet(&format!(
            "determination enter --worker W07 --first-day 2026-06-16 --last-day 2026-06-16 \
             --quantity deep --relation replaces --dose \"3 mrem\" --method \"time and distance\" \
             --basis x --performed-by W01 --on {day}"
        ))
    };
    assert_eq!(determined("2026-06-17").code, 1);
    let said = determined("2026-06-16");
    assert_eq!(said.code, 0, "{}", said.err);
    let line = data(&place, "work-status W07")["lines"][0].take();
    assert_eq!(line["may_work"], true, "{line:#}");
}

#[test]
fn a_dose_of_a_day_that_has_begun_there_is_in_what_is_left_here() {
    let left = |place: &Place| {
        let line = data(place, "work-status W07")["lines"][0].take();
        line["nearest"]["left_nsv"].as_i64().expect("a dose")
    };
    let place = ahead("ahead-left", "end=150");
    assert_eq!(left(&place), 50_000_000 - 1_500_000);
}

//! An event in the small hours belongs to the night that was on, not to the night after it.

use super::cli_support::{Place, crew};

#[test]
fn an_event_in_the_night_takes_the_sheet_of_the_night_that_was_on() {
    let place = Place::with_registers("event-night");
    place.adopt_own_list("2026-01-01");
    let nights = [crew("2026-06-11", "night"), crew("2026-06-12", "night")].concat();
    place.hand_in(&nights);
    place.done(
        "event open --kind disconnect --occurred 2026-06-12T01:30 --equipment D-1 \
         --person \"W07=cranked\" --words \"the source stayed out\"",
    );
    let notification = place.done("report show E-1").out;
    assert!(
        notification.contains("the shift of 2026-06-11"),
        "{notification}"
    );
    assert!(
        !notification.contains("the shift of 2026-06-12"),
        "{notification}"
    );
    // What was used after it was not used before it.
    let trace = place.done("trace E-1").out;
    assert!(!trace.contains("used on 2026-06-12"), "{trace}");
    // Nobody knew of an event before it was discovered.
    let before = place.quiet("report show E-1 --on 2026-06-11");
    assert_eq!(before.code, 1, "{}", before.out);
}

#[test]
fn who_never_had_a_badge_is_told_of_where_others_have_one() {
    let place = Place::with_registers("never-a-badge");
    place.done(
        "badge issue --badge 0417 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    let words = "whether a badge is worn: none was issued to them";
    // An assistant works, and stops without one; the RSO may not.
    assert!(place.done("work-status W01").out.contains(words));
    for worker in ["W07", "W08"] {
        let out = place.done(&format!("work-status {worker}")).out;
        assert!(!out.contains(words), "{out}");
        let stops = out.contains("no badge on issue");
        assert_eq!(stops, worker == "W08", "{out}");
    }
}

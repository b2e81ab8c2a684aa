//! What a disposition or an acceptance would make of the conservative total is in it before, and a
//! claim without a shift takes none from another. Histories that once broke a rule, by hand. A
//! line's number is its entry.

use super::badges::{YEAR, hold, of};
use super::table::history;
use crate::rule::Quantity;

/// The sheet of 6 March names B2, which is on hold: ruled out, B1 was worn.
const NAMED: &str = "shift 2026-03-02 day: PD-1 0mR>0mR
    shift 2026-03-06 day badge=B2: PD-1 0mR>0mR
    badge B1 2026-03-01 2026-03-31 returned
    badge B2 2026-03-01 2026-03-31 returned RULING\n";

fn ruled(lines: &str, disposition: &str) -> String {
    format!("{NAMED}{lines}").replace("RULING", disposition)
}

#[test]
fn a_badge_on_hold_may_leave_its_shifts_to_another() {
    // Of the same shift alone the result and the determination exclude each other; with one
    // shift more in the result both may be right.
    let both = "result B1 deep=10mrem accepted
        determined 2026-03-01..2026-03-03 80mrem";
    hold(&[
        (&ruled(both, "held"), "10 of record", "90 mrem"),
        (&ruled(both, "out"), "10 of record", "90 mrem"),
        (&ruled(both, ""), "10 of record", "80 mrem"),
    ]);
}

#[test]
fn what_was_determined_of_other_days_stays_where_a_disposition_gives_a_badge_its_only_shift() {
    // With B2 ruled out B1 has the shift of 6 March, and what was determined of the 5th stays.
    let day = "shift 2026-03-06 day badge=B2: PD-1 0mR>0mR
        badge B1 2026-03-01 2026-03-31 returned
        badge B2 2026-03-01 2026-04-10 returned 2026-03-31 RULING
        result B1 deep=200mrem accepted
        determined 2026-03-05..2026-03-05 60mrem until";
    for (disposition, safe) in [("held", "260 mrem"), ("out", "260 mrem"), ("", "200 mrem")] {
        let lines = day.replace("RULING", disposition);
        assert_eq!(safe_of(&lines, Quantity::Deep), safe, "{lines}");
    }
}

#[test]
fn readings_that_a_badge_on_hold_may_leave_to_a_determination_count_for_it() {
    // Ruled out, B1 was on issue on its last day, and what was determined of it until a result
    // comes has the 90 mrem that the dosimeter showed.
    let lines = "shift 2026-03-31 day badge=B2: PD-1 0mR>90mR
        badge B1 2026-03-01 2026-03-31 returned 2026-04-20
        badge B2 2026-03-01 2026-04-20 returned 2026-04-20 RULING
        determined B1 0mrem until through:2026-04-10
        determined 2026-03-31..2026-04-30 80mrem until
        shift 2026-04-20 day no-badge: PD-1 0mR>0mR";
    for (disposition, safe) in [("held", "180 mrem"), ("out", "180 mrem"), ("", "90 mrem")] {
        let lines = lines.replace("RULING", disposition);
        assert_eq!(safe_of(&lines, Quantity::Deep), safe, "{lines}");
    }
}

#[test]
fn a_report_of_a_badge_on_hold_may_state_what_a_deep_dose_stood_in_for() {
    // The deep dose of those days no longer replaces, in the lens, what the badge of a
    // counting report states: its readings count beside it.
    let lines = "shift 2026-03-20 day: PD-1 0mR>10mR
        shift 2026-03-10 day no-badge: PD-1 0mR>0mR
        badge B1 2026-03-01 2026-03-31 returned RULING
        result B1 lens=0mrem
        determined 2026-03-09..2026-03-22 100mrem";
    for (disposition, safe) in [("held", "110 mrem"), ("", "110 mrem"), ("out", "100 mrem")] {
        let lines = lines.replace("RULING", disposition);
        assert_eq!(safe_of(&lines, Quantity::Lens), safe, "{lines}");
    }
}

#[test]
fn an_acceptance_ends_a_lens_dose_and_the_deep_dose_behind_it_was_counted_before() {
    let lines = "shift 2026-03-17 day: PD-1 0mR>0mR
        shift 2026-03-16 day: PD-1 0mR>0mR
        badge B1 2026-03-01 2026-03-31 returned
        result B1 deep=100mrem ACCEPTED
        determined 2026-03-17/PD-1 0mrem until lens
        determined 2026-03-17/PD-1 60mrem";
    for accepted in ["", "accepted"] {
        let lines = lines.replace("ACCEPTED", accepted);
        assert_eq!(safe_of(&lines, Quantity::Lens), "160 mrem", "{lines}");
    }
}

#[test]
fn what_speaks_for_no_shift_takes_none_from_another() {
    // Off-scale on 20 March. A determination of the badge up to the 3rd covers no shift: the
    // other one, or the accepted result, still says what the shift was.
    let with = |rest: &str| {
        format!(
            "shift 2026-03-20 day: PD-1 0mR>- off-scale
             badge B1 2026-03-01 2026-03-31 returned
             determined B1 5mrem through:2026-03-03
             {rest}"
        )
    };
    let later = "determined B1 30mrem until through:2026-03-21";
    let chosen = "result B1 deep=40mrem accepted
        resolved - of-record:3 aside:999";
    hold(&[
        (&with(later), "5 of record + 30 provisional", "35 mrem"),
        (&with(chosen), "45 of record", "45 mrem"),
    ]);
    // Whichever was told first, no shift is left without an upper bound.
    let earlier = with(later).replace("5mrem through:2026-03-03", "SECOND");
    let earlier = earlier
        .replace(
            "30mrem until through:2026-03-21",
            "5mrem through:2026-03-03",
        )
        .replace("SECOND", "30mrem until through:2026-03-21");
    hold(&[(&earlier, "30 provisional", "35 mrem")]);
}

#[test]
fn the_share_that_a_ring_has_of_its_last_night_counts_on_the_day_after_too() {
    let lines = "shift 2025-12-30 day: PD-1 0mR>10mR
        shift 2025-12-31 night over: PD-1 0mR>30mR
        badge R1 2025-12-01 2025-12-31 returned ring
        result R1 extremity=400mrem accepted";
    assert_eq!(safe_of(lines, Quantity::Extremity), "300 mrem");
}

#[test]
fn a_lens_dose_stated_on_hold_may_end_a_deep_dose_beside_another_badge() {
    // What B2 states ends, for its shifts, the deep dose that stood in; the 20 mrem that B1's
    // report below the minimum leaves to the readings then count again.
    let lines = "shift 2026-03-20 day: PD-1 0mR>20mR
        shift 2026-03-15 day no-badge: PD-1 0mR>0mR
        shift 2026-03-10 day: PD-1 0mR>0mR
        badge B1 2026-03-16 2026-04-30 returned
        badge B2 2026-03-01 2026-04-20 returned RULING
        result B1 deep=M10mrem accepted
        result B2 lens=100mrem accepted
        determined 2026-03-10..2026-03-30 20mrem";
    for (disposition, safe) in [("held", "140 mrem"), ("", "140 mrem"), ("out", "30 mrem")] {
        let lines = lines.replace("RULING", disposition);
        assert_eq!(safe_of(&lines, Quantity::Lens), safe, "{lines}");
    }
}

#[test]
fn the_conservative_is_not_below_what_the_account_adds_up() {
    // The report of record for the rest has no shift left; the one of the badge worn with it
    // speaks for the shift. The conservative total takes the two for one dose, the account for two.
    let lines = "shift 2026-03-20 day: PD-1 0mR>0mR
        badge B1 2026-03-01 2026-04-30 returned
        badge B2 2026-03-15 2026-05-10 returned
        result B1 deep=200mrem
        result B1 deep=0mrem
        result B2 deep=100mrem accepted
        determined 2026-03-20/PD-1 0mrem until
        resolved - of-record:7,4 rest:4";
    hold(&[(lines, "300 of record", "300 mrem")]);
}

/// The conservative total of the year.
fn safe_of(lines: &str, quantity: Quantity) -> String {
    of(&history(lines), YEAR, quantity).1
}

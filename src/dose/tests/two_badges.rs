//! Badges worn at once, of this licensee and of others, and which of them a shift
//! belongs to. A line's number is its entry.

use super::badges::{YEAR, deep, hold};
use super::table::history;

const OWN: &str = "shift 2026-03-02 day: PD-1 0mR>12mR
    badge B1 2026-03-01 2026-03-31 returned
    result B1 deep=40mrem accepted\n";

/// The own shift and badge with a further badge, whose report is accepted.
fn with(badge: &str, deep: &str) -> String {
    let number = badge.split_once(' ').map_or(badge, |it| it.0);
    format!("{OWN}badge {badge} returned\n    result {number} deep={deep} accepted")
}

#[test]
fn two_badges_at_once_are_not_counted_twice() {
    hold(&[
        // Over own shifts, and nobody says whether it measured the same dose:
        // on hold, it adds on the safe side alone.
        (
            &with("X1 2026-03-01 2026-03-31 other", "60mrem"),
            "40 of record",
            "100 mrem",
        ),
        (
            &with("X1 2026-03-01 2026-03-31 elsewhere", "60mrem"),
            "40 of record + 60 prior",
            "100 mrem",
        ),
        // Over no shift of ours it is dose from elsewhere.
        (
            &with("X1 2026-04-01 2026-04-30 other", "60mrem"),
            "40 of record + 60 prior",
            "100 mrem",
        ),
        (
            &with("X1 2026-03-01 2026-03-31 together", "60mrem"),
            "40 of record + 20 prior",
            "60 mrem",
        ),
        (
            &with("X1 2026-03-01 2026-03-31 together", "30mrem"),
            "40 of record",
            "40 mrem",
        ),
    ]);
}

#[test]
fn a_badge_on_hold_adds_for_shifts_that_no_other_covers() {
    hold(&[
        // An overlapping own badge is on hold, and no shift is its alone: the
        // higher of what is known to be of the same days.
        (
            &with("B2 2026-03-15 2026-04-14 held", "55mrem"),
            "40 of record",
            "95 mrem",
        ),
        (
            &with("B2 2026-03-01 2026-04-14 held", "55mrem"),
            "40 of record",
            "55 mrem",
        ),
        // It adds where a shift is worked on its days alone.
        (
            &format!(
                "{OWN}shift 2026-04-05 day: PD-1 0mR>9mR
                 badge B2 2026-03-15 2026-04-14 held returned
                 result B2 deep=55mrem accepted"
            ),
            "40 of record + 9 provisional",
            "95 mrem",
        ),
        // A badge that was never issued.
        (
            &format!("{OWN}result - 2026-03-01 2026-03-31 deep=70mrem"),
            "40 of record",
            "70 mrem",
        ),
    ]);
}

#[test]
fn an_exchange_on_one_day_counts_the_shift_with_the_later_badge() {
    let lines = "shift 2026-03-31 day: PD-1 0mR>12mR
        badge B1 2026-03-01 2026-03-31 returned
        badge B2 2026-03-31 -
        result B1 deep=40mrem accepted";
    hold(&[(lines, "40 of record + 12 provisional", "52 mrem")]);
}

#[test]
fn the_sheet_names_the_badge_that_was_worn() {
    let lines = |named: &str| {
        format!(
            "shift 2026-03-31 day {named}: PD-1 0mR>12mR
             badge B1 2026-03-01 2026-03-31 returned
             badge B2 2026-03-31 -
             result B1 deep=40mrem accepted"
        )
    };
    hold(&[
        (&lines("badge=b1"), "40 of record", "40 mrem"),
        (
            &lines("badge=B2"),
            "40 of record + 12 provisional",
            "52 mrem",
        ),
        // A number that was not theirs that day says nothing.
        (
            &lines("badge=B9"),
            "40 of record + 12 provisional",
            "52 mrem",
        ),
    ]);
}

#[test]
fn a_late_return_keeps_every_shift_in_one_period() {
    // B1 came back on 3 July; from 1 July on B2 was on issue too.
    let lines = "shift 2026-06-20 day: PD-1 0mR>10mR
        shift 2026-07-02 day: PD-1 0mR>30mR
        badge B1 2026-06-01 2026-07-03 returned 2026-06-30
        badge B2 2026-07-01 2026-07-31 returned
        result B1 deep=40mrem accepted
        result B2 deep=70mrem accepted";
    let all = history(lines);
    let (june, july) = ("2026-06-01 2026-06-30", "2026-07-01 2026-07-31");
    assert_eq!(deep(&all, june).0, "40 apportioned");
    assert_eq!(deep(&all, july).0, "70 of record");
    assert_eq!(deep(&all, YEAR).0, "110 of record");
}

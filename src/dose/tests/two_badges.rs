//! Badges worn at once, of this licensee and of others, and which of them a shift
//! belongs to. A line's number is its entry.

use super::badges::{YEAR, deep, extremity, hold};
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
        // on hold, it adds on the conservative side alone.
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

/// Two shifts of 12 and 20 mrem, and two own badges.
fn two(first: &str, second: &str, (one, other): (i64, i64)) -> String {
    format!(
        "shift 2026-03-02 day: PD-1 0mR>12mR
         shift 2026-03-20 day: PD-1 0mR>20mR
         badge B1 {first} returned
         badge B2 {second} returned
         result B1 deep={one}mrem accepted
         result B2 deep={other}mrem accepted"
    )
}

#[test]
fn own_badges_worn_together_count_the_higher_and_each_alone_where_it_is_alone() {
    const MARCH: &str = "2026-03-01 2026-03-31";
    let held = format!("{MARCH} held");
    let out = format!("{MARCH} out");
    hold(&[
        (&two(MARCH, MARCH, (70, 170)), "170 of record", "170 mrem"),
        (&two(MARCH, MARCH, (170, 70)), "170 of record", "170 mrem"),
        (&two(MARCH, &held, (70, 170)), "70 of record", "170 mrem"),
        (&two(MARCH, &out, (70, 170)), "70 of record", "70 mrem"),
        // The first alone for 2 March: 12/32 of 96. Both for 20 March, where the
        // second has more than 60. The conservative total: all of the second may be of that day,
        // and all of the first of the other.
        (
            &two(MARCH, "2026-03-15 2026-04-14", (96, 70)),
            "70 of record + 36 apportioned",
            "166 mrem",
        ),
        (
            &two(MARCH, "2026-03-15 2026-04-14", (96, 40)),
            "96 of record",
            "136 mrem",
        ),
        // In no common shift: both.
        (
            &two("2026-03-01 2026-03-18", "2026-03-15 2026-04-14", (96, 70)),
            "166 of record",
            "166 mrem",
        ),
    ]);
}

#[test]
fn own_badges_worn_together_over_no_shift_count_the_higher_of_their_days() {
    let lines = |second: &str| {
        format!(
            "badge B1 2026-03-01 2026-03-30 returned
             badge B2 {second} returned
             result B1 deep=60mrem accepted
             result B2 deep=90mrem accepted"
        )
    };
    hold(&[
        (&lines("2026-03-01 2026-03-30"), "90 of record", "90 mrem"),
        // 15 days of the one alone, 15 of both, 15 of the other alone.
        (
            &lines("2026-03-16 2026-04-14"),
            "90 of record + 30 apportioned",
            "150 mrem",
        ),
        (&lines("2026-03-30 2026-04-28"), "150 of record", "150 mrem"),
    ]);
}

#[test]
fn a_sheet_that_names_one_of_two_badges_says_that_the_other_was_not_worn() {
    let lines = |held: &str| {
        format!(
            "shift 2026-03-02 day badge=B1: PD-1 0mR>12mR
             badge B1 2026-03-01 2026-03-31 returned
             badge B2 2026-03-01 2026-03-31 returned {held}
             result B1 deep=70mrem accepted
             result B2 deep=170mrem accepted"
        )
    };
    hold(&[
        (&lines(""), "240 of record", "240 mrem"),
        (&lines("held"), "70 of record", "240 mrem"),
    ]);
}

#[test]
fn of_two_rings_the_higher_hand_is_the_extremity_dose() {
    let lines = |second: &str| {
        history(&format!(
            "shift 2026-03-02 day: PD-1 0mR>12mR
             badge R1 2026-03-01 2026-03-31 ring returned
             badge R2 2026-03-01 2026-03-31 ring returned {second}
             result R1 extremity=300mrem accepted
             result R2 extremity=500mrem accepted"
        ))
    };
    assert_eq!(extremity(&lines("")), "500 of record, 500 mrem");
    assert_eq!(extremity(&lines("held")), "300 of record, 500 mrem");
}

/// Both measured an extremity of one person: the ring better, and the trunk badge more.
#[test]
fn of_a_ring_and_a_badge_with_an_extremity_dose_the_higher_is_of_record() {
    let lines = |badge: &str, rest: &str| {
        history(&format!(
            "shift 2026-03-02 day: PD-1 0mR>12mR
             badge R1 2026-03-01 2026-03-31 ring returned
             badge B1 2026-03-01 2026-03-31 returned {badge}
             result R1 extremity=70mrem accepted
             result B1 extremity={rest}"
        ))
    };
    let rows = [
        ("", "170mrem accepted", "170 of record, 170 mrem"),
        ("", "30mrem accepted", "70 of record, 70 mrem"),
        ("", "170mrem held", "70 of record, 170 mrem"),
        ("held", "170mrem accepted", "70 of record, 170 mrem"),
        // Another badge on the trunk at the same time: never the sum.
        (
            "",
            "170mrem accepted
             badge B2 2026-03-01 2026-03-31 returned
             result B2 extremity=200mrem accepted",
            "200 of record, 300 mrem",
        ),
    ];
    for (badge, rest, expected) in rows {
        assert_eq!(extremity(&lines(badge, rest)), expected, "{badge} {rest}");
    }
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

//! Determinations in the account and on the safe side, by hand. A line's number
//! is its entry.

use super::badges::{YEAR, deep, hold};
use super::table::history;
use crate::dose::resolve::{Dispute, conflicts};

const OFF_SCALE: &str = "shift 2026-03-02 day: PD-1 0mR>12mR
    shift 2026-03-03 day: PD-1 0mR>- off-scale
    badge B1 2026-03-01 2026-03-31 returned
    determined 2026-03-03/PD-1 350mrem\n";

#[test]
fn a_determination_stands_beside_the_other_readings() {
    hold(&[
        (OFF_SCALE, "350 of record + 12 provisional", "362 mrem"),
        (
            "shift 2026-03-03 day:
             determined 2026-03-03 25mrem",
            "25 of record",
            "25 mrem",
        ),
        (
            "shift 2026-03-03 day: PD-1 0mR>20mR
             determined event:2026-03-03 90mrem",
            "90 of record",
            "90 mrem",
        ),
        // No sheet tells of it: it adds.
        (
            "shift 2026-03-02 day: PD-1 0mR>20mR
             determined event:2026-03-03 90mrem",
            "90 of record + 20 provisional",
            "110 mrem",
        ),
        (
            "shift 2026-03-02 day: PD-1 0mR>20mR
             determined 2026-03-02 5mrem adds",
            "5 of record + 20 provisional",
            "25 mrem",
        ),
        // A lost badge: from issue to loss; the shift without it adds.
        (
            "shift 2026-03-02 day: PD-1 0mR>20mR
             shift 2026-03-03 day no-badge: PD-1 0mR>3mR
             badge B1 2026-03-01 2026-03-10 lost
             determined B1 28mrem",
            "28 of record + 3 provisional",
            "31 mrem",
        ),
        // A span covers its shifts, badge or not.
        (
            "shift 2026-03-02 day no-badge: PD-1 0mR>20mR
             shift 2026-04-02 day no-badge: PD-1 0mR>3mR
             determined 2026-03-01..2026-03-31 28mrem",
            "28 of record + 3 provisional",
            "31 mrem",
        ),
        // Part of two: the determined part and the read one.
        (
            "shift 2026-03-02 day: PD-1 0mR>- off-scale, PD-1 0mR>20mR
             determined 2026-03-02/PD-1 300mrem",
            "320 provisional",
            "320 mrem",
        ),
    ]);
}

#[test]
fn a_result_after_a_determination_is_a_conflict_and_both_stand() {
    let open = history(&format!("{OFF_SCALE}result B1 deep=90mrem accepted"));
    let found = conflicts(&open).unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].dispute, Dispute::ResultAndDetermination);
    assert_eq!(found[0].entries, [4, 5]);
    let row = |rest: &str, account: &str, safe: &str| {
        let found = deep(&history(&format!("{OFF_SCALE}{rest}")), YEAR);
        assert_eq!(found, (account.to_string(), safe.to_string()), "{rest}");
    };
    row(
        "result B1 deep=90mrem accepted",
        "350 of record + 12 provisional",
        "362 mrem",
    );
    row(
        "result B1 deep=500mrem accepted",
        "350 of record + 12 provisional",
        "500 mrem",
    );
    row(
        "result B1 deep=90mrem
         settled B1 of-record:5 aside:4",
        "90 of record",
        "90 mrem",
    );
    row(
        "result B1 deep=500mrem
         settled B1 of-record:4 aside:5",
        "350 of record + 12 provisional",
        "362 mrem",
    );
    // They agree: no conflict.
    row(
        "result B1 deep=362mrem accepted",
        "362 of record",
        "362 mrem",
    );
    // What came after the settlement opens it again.
    row(
        "result B1 deep=90mrem
         settled B1 of-record:5 aside:4
         result B1 deep=95mrem",
        "350 of record + 12 provisional",
        "362 mrem",
    );
}

#[test]
fn an_estimate_until_the_result_ends_with_it() {
    let lost = "shift 2026-03-02 day: PD-1 0mR>20mR
        badge B1 2026-03-01 2026-03-31 returned
        determined B1 35mrem until\n";
    hold(&[
        (lost, "35 provisional", "35 mrem"),
        (
            &format!("{lost}result B1 deep=30mrem"),
            "30 of record",
            "35 mrem",
        ),
        (
            &format!("{lost}result B1 deep=30mrem accepted"),
            "30 of record",
            "30 mrem",
        ),
    ]);
    let reading = "shift 2026-03-02 day: PD-1 0mR>- off-scale
        badge B1 2026-03-01 2026-03-31 returned
        determined 2026-03-02/PD-1 300mrem until\n";
    hold(&[
        (reading, "300 provisional", "300 mrem"),
        (
            &format!("{reading}result B1 deep=30mrem accepted"),
            "30 of record",
            "30 mrem",
        ),
    ]);
}

#[test]
fn nobody_determines_a_dose_of_their_own_alone() {
    let lines = "shift 2026-03-02 day: PD-1 0mR>- off-scale\n";
    hold(&[
        (
            &format!("{lines}determined 2026-03-02/PD-1 30mrem self"),
            " and undetermined",
            "at least 30 mrem, undetermined",
        ),
        (
            &format!("{lines}determined 2026-03-02/PD-1 30mrem self second"),
            "30 of record",
            "30 mrem",
        ),
    ]);
}

//! Determinations in the account and on the conservative side, by hand. A line's number
//! is its entry.

use super::badges::{YEAR, deep, hold};
use super::table::{history, span};
use crate::dose::account::Account;
use crate::dose::conservative::Conservative;
use crate::dose::resolve::{Dispute, Silence, conflicts};

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
        // Of a badge still worn: the wear up to the day that it names.
        (
            "shift 2026-03-02 day: PD-1 0mR>20mR
             shift 2026-03-20 day: PD-1 0mR>3mR
             badge B1 2026-03-01 -
             determined B1 28mrem through:2026-03-10",
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
    // For that shift what was told first; for the other its share of the result,
    // of which the off-scale shift takes what the readings leave. On the safe
    // side both may be right, the one for the rest.
    row(
        "result B1 deep=90mrem accepted",
        "350 of record + 12 apportioned",
        "440 mrem",
    );
    row(
        "result B1 deep=500mrem accepted",
        "350 of record + 12 apportioned",
        "850 mrem",
    );
}

#[test]
fn what_contradicts_each_other_is_settled_in_three_ways_or_superseded() {
    let row = |rest: &str, account: &str, safe: &str| {
        let found = deep(&history(&format!("{OFF_SCALE}{rest}")), YEAR);
        assert_eq!(found, (account.to_string(), safe.to_string()), "{rest}");
    };
    row(
        "result B1 deep=90mrem
         resolved B1 of-record:5 aside:4",
        "90 of record",
        "90 mrem",
    );
    row(
        "result B1 deep=500mrem
         resolved B1 of-record:4 aside:5",
        "350 of record + 12 provisional",
        "362 mrem",
    );
    row(
        "result B1 deep=90mrem
         resolved B1 of-record:4,5 rest:5",
        "440 of record",
        "440 mrem",
    );
    // The form of earlier ledgers.
    row(
        "result B1 deep=90mrem
         resolved B1 result",
        "90 of record",
        "90 mrem",
    );
    row(
        "result B1 deep=90mrem
         resolved B1 determination",
        "350 of record + 12 provisional",
        "362 mrem",
    );
    // They agree: no conflict.
    row(
        "result B1 deep=362mrem accepted",
        "362 of record",
        "362 mrem",
    );
    // What came after the resolution opens it again.
    row(
        "result B1 deep=90mrem
         resolved B1 of-record:5 aside:4
         result B1 deep=95mrem",
        "90 of record",
        "95 mrem",
    );
    // One that names the other as superseded contradicts nothing.
    row(
        "result B1 deep=90mrem accepted
         determined 2026-03-03/PD-1 200mrem over:4,5",
        "200 of record + 12 provisional",
        "212 mrem",
    );
}

#[test]
fn each_way_out_leaves_no_conflict_and_is_never_above_what_the_conservative_had() {
    let lines = format!("{OFF_SCALE}result B1 deep=90mrem accepted\n");
    let open = history(&lines);
    let most = Conservative::of(&open, span(YEAR)).unwrap();
    let most = most.totals.deep.known();
    for way in [
        "of-record:5 aside:4",
        "of-record:4 aside:5",
        "of-record:4,5 rest:5",
    ] {
        let settled = history(&format!("{lines}resolved B1 {way}"));
        assert!(conflicts(&settled).unwrap().is_empty(), "{way}");
        let safe = Conservative::of(&settled, span(YEAR)).unwrap();
        assert!(safe.totals.deep.known() <= most, "{way}");
    }
}

#[test]
fn a_later_determination_takes_no_stop_away_in_silence() {
    // Above the limit of 5 rem by what was determined first.
    let first = "shift 2026-03-02 day: PD-1 0mR>- off-scale
        determined 2026-03-02/PD-1 6000mrem\n";
    let later = format!("{first}determined 2026-03-02..2026-03-02 100mrem");
    let sooner = "shift 2026-03-02 day: PD-1 0mR>- off-scale
        determined 2026-03-02..2026-03-02 100mrem
        determined 2026-03-02/PD-1 6000mrem";
    // In either order the levels see the higher.
    hold(&[
        (first, "6000 of record", "6000 mrem"),
        (&later, "6000 of record", "6000 mrem"),
        (sooner, "100 of record", "6000 mrem"),
    ]);
    let found = conflicts(&history(&later)).unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].dispute, Dispute::Determinations);
}

#[test]
fn one_fact_told_of_a_reading_its_day_or_its_badge_gives_one_figure() {
    let shift = "shift 2026-03-02 day: PD-1 0mR>70mR
        badge B1 2026-03-01 2026-03-31 returned\n";
    let ways = [
        "2026-03-02/PD-1",
        "2026-03-02",
        "2026-03-02..2026-03-02",
        "B1",
    ];
    for relation in ["", " until", " adds"] {
        for rest in [
            "",
            "\nresult B1 deep=30mrem",
            "\nresult B1 deep=30mrem accepted",
            "\nresult B1 deep=90mrem accepted",
        ] {
            let figures = |way: &str| {
                deep(
                    &history(&format!("{shift}determined {way} 50mrem{relation}{rest}")),
                    YEAR,
                )
            };
            let first = figures(ways[0]);
            for way in &ways[1..] {
                assert_eq!(figures(way), first, "{way}{relation}{rest}");
            }
        }
    }
}

#[test]
fn an_estimate_ends_for_the_shifts_that_a_result_covers_and_for_no_other() {
    let lines = "shift 2026-03-30 day: PD-1 0mR>- off-scale
        shift 2026-04-02 day: PD-1 0mR>- off-scale
        badge B1 2026-03-01 2026-03-31 returned
        badge B2 2026-04-01 -
        determined 2026-03-30..2026-04-02 100mrem until\n";
    hold(&[
        (lines, "100 provisional", "100 mrem"),
        (
            &format!("{lines}result B1 deep=10mrem accepted"),
            "10 of record + 50 apportioned",
            "110 mrem",
        ),
    ]);
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

/// The figure of record is one; duties and levels count the high end. What is only known to be
/// above something has no upper bound in either figure.
#[test]
fn a_range_counts_at_its_high_end_and_what_is_above_something_is_open() {
    let off = "shift 2026-03-02 day: PD-1 0mR>12mR
        shift 2026-03-03 day: PD-1 0mR>- off-scale\n";
    let rows = |words: &str| format!("{off}{words}");
    hold(&[
        (
            &rows("determined 2026-03-03/PD-1 350mrem upto:500mrem"),
            "350 of record + 12 provisional",
            "512 mrem",
        ),
        (
            &rows("determined 2026-03-03 350mrem upto:500mrem"),
            "350 of record + 12 provisional",
            "512 mrem",
        ),
        (
            &rows("determined 2026-03-03..2026-03-04 350mrem upto:500mrem"),
            "350 of record + 12 provisional",
            "512 mrem",
        ),
        (
            &rows("determined 2026-03-03 90mrem upto:100mrem adds"),
            "90 of record + 12 provisional and undetermined",
            "at least 112 mrem, undetermined",
        ),
        (
            &rows("determined 2026-03-03/PD-1 350mrem above"),
            "350 of record + 12 provisional and undetermined",
            "at least 362 mrem, undetermined",
        ),
        (
            &rows("determined 2026-03-03 350mrem above"),
            "350 of record + 12 provisional and undetermined",
            "at least 362 mrem, undetermined",
        ),
        (
            &rows("determined 2026-03-03..2026-03-04 350mrem above"),
            "350 of record + 12 provisional and undetermined",
            "at least 362 mrem, undetermined",
        ),
    ]);
}

/// A result ends what only stood until it came for every shift that it measured: a decision
/// that lets another speak for one of them does not bring that back.
#[test]
fn what_was_ruled_of_record_stands_and_brings_back_nothing_that_a_result_had_ended() {
    let lines = "shift 2026-09-10 day: PD-1 0mR>20mR
        shift 2026-09-11 day: PD-1 0mR>10mR
        shift 2026-09-12 day: PD-1 0mR>15mR
        badge B1 2026-09-01 2026-09-30 returned
        determined 2026-09-10..2026-09-12 100mrem until
        determined 2026-09-12..2026-09-12 33mrem
        result B1 deep=70mrem\n";
    let with = |rest: &str| format!("{lines}{rest}");
    let rest = with("resolved B1 of-record:6,7 rest:7");
    hold(&[
        (lines, "33 of record + 46.6666 apportioned", "133 mrem"),
        (&rest, "103 of record", "103 mrem"),
        // With the result set aside the estimate stands again, but for the shift that
        // was ruled upon.
        (
            &with("resolved B1 of-record:6 aside:7"),
            "33 of record + 66.6666 apportioned",
            "133 mrem",
        ),
        (
            &with("resolved B1 of-record:7 aside:6"),
            "70 of record",
            "70 mrem",
        ),
    ]);
    assert!(conflicts(&history(&rest)).unwrap().is_empty());
}

/// The same where what is ruled upon and what had ended are of one shift alone.
#[test]
fn a_shift_that_was_ruled_upon_keeps_what_was_ruled() {
    let lines = "shift 2026-09-10 day: PD-1 0mR>20mR
        shift 2026-09-12 day: PD-1 0mR>15mR
        badge B1 2026-09-01 2026-09-30 returned
        determined 2026-09-12 100mrem until
        determined 2026-09-12 33mrem
        result B1 deep=70mrem\n";
    let with = |rest: &str| format!("{lines}{rest}");
    hold(&[
        (
            &with("resolved B1 of-record:5,6 rest:6"),
            "103 of record",
            "103 mrem",
        ),
        (
            &with("resolved B1 of-record:5 aside:6"),
            "33 of record + 20 provisional",
            "120 mrem",
        ),
    ]);
}

#[test]
fn what_counts_no_more_is_said_with_what_took_its_place() {
    let shift = "shift 2026-03-02 day: PD-1 0mR>12mR
        badge B1 2026-03-01 2026-03-31 returned\n";
    type Said = (i64, Silence, i64);
    let rows: [(&str, &[Said]); 8] = [
        ("result B1 deep=70mrem accepted", &[]),
        (
            "determined 2026-03-02..2026-03-02 4000mrem until
             result B1 deep=70mrem accepted",
            &[(3, Silence::Ended, 4)],
        ),
        // Of one shift, and of the badge.
        (
            "determined 2026-03-02 4000mrem until
             determined B1 300mrem until
             result B1 deep=70mrem",
            &[(4, Silence::Ended, 5), (3, Silence::Ended, 5)],
        ),
        (
            "determined 2026-03-02 4000mrem
             result B1 deep=70mrem
             resolved B1 of-record:4 aside:3",
            &[(3, Silence::SetAside, 5)],
        ),
        (
            "result B1 deep=70mrem accepted
             determined 2026-03-02 40mrem over:3",
            &[(3, Silence::SetAside, 4)],
        ),
        (
            "result B1 deep=70mrem
             result B1 deep=60mrem corrects=3",
            &[(3, Silence::Corrected, 4)],
        ),
        (
            "badge B2 2026-03-01 2026-03-31 returned
             result B1 deep=70mrem accepted
             result B2 deep=60mrem accepted",
            &[(5, Silence::Lower, 4)],
        ),
        // What contradicts it still counts on the conservative side.
        (
            "determined 2026-03-02 4000mrem
             result B1 deep=70mrem",
            &[],
        ),
    ];
    for (lines, expected) in rows {
        let account = Account::of(&history(&format!("{shift}{lines}")), span(YEAR)).unwrap();
        let said = account.silent.iter().map(|it| (it.entry, it.how, it.by));
        assert_eq!(said.collect::<Vec<_>>(), expected, "{lines}");
        assert!(account.silent.iter().all(|it| !it.words.is_empty()));
    }
}

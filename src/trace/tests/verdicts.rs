//! Record words, and what is claimed.

use super::{built_in, by_data, day, facts, own_list, uses};
use crate::record::Coverage;
use crate::trace::record::RecordWord::{self, *};
use crate::trace::required::Need;
use crate::trace::verdict::{Mark, Verdict, verdict};

pub(super) fn ruled(key: &str, used: &str, text: &str) -> Verdict {
    let list = own_list();
    let item = list.item(key).expect("an item");
    let uses = uses(used);
    let facts = facts(item, &uses, text);
    verdict(&facts, by_data(Coverage::CanDetect), &[], &[])
}

/// Item, what is written, the word, and the word if all were true that was written later.
pub(super) type Row = (&'static str, &'static str, RecordWord, Option<RecordWord>);

pub(super) fn check(rows: &[Row]) {
    for (key, text, word, as_claimed) in rows {
        let found = ruled(key, "2026-05-18/20 2026-05-19/6", text);
        assert_eq!(
            found.record.word, *word,
            "{key}\n{text}\n{:?}",
            found.record
        );
        let claimed = found.as_claimed.map(|it| it.word);
        assert_eq!(claimed, *as_claimed, "if claims hold: {key}\n{text}");
    }
}

const DAY: &str = "look 1 2026-05-19T07:00 daily good";

#[test]
fn each_record_word_comes_from_what_was_written() {
    check(&[
        (
            "crank",
            "look 1 2026-04-01 quarterly good\nlook 2 2026-05-19T07:00 daily good",
            Passed,
            None,
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly measured 5.7_mm",
            PassedBeyondLimit,
            None,
        ),
        (
            "cable-diameter",
            "late 1 2026-04-01 quarterly measured 6_mm",
            Claimed,
            Some(Passed),
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly not-done",
            LeftOut,
            None,
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly none",
            LeftOut,
            None,
        ),
        (
            "crank",
            "look 1 2026-04-01 quarterly good",
            RequiredInspectionMissing,
            None,
        ),
        (
            "crank",
            "look 1 2026-04-01 quarterly good\nlook 2 2026-05-19T07:00 daily defect",
            KnownDefectUsed,
            None,
        ),
        // Nobody ever looked, and nothing was due: counted as absent.
        ("source-leak-wipe", "", RequiredInspectionMissing, None),
    ]);
}

#[test]
fn absent_and_left_out_are_two_things() {
    check(&[
        // The day's inspection is there and leaves it out.
        (
            "crank",
            "look 1 2026-04-01 quarterly good\nlook 2 2026-05-19T07:00 daily not-done",
            LeftOut,
            None,
        ),
        (
            "crank",
            "look 1 2026-04-01 quarterly good\nlook 2 2026-05-19T07:00 daily none",
            LeftOut,
            None,
        ),
        // There is none.
        (
            "crank",
            "look 1 2026-04-01 quarterly good\nlook 2 2026-05-18T07:00 daily good",
            RequiredInspectionMissing,
            None,
        ),
        // Left out once and done at the last inspection.
        (
            "cable-diameter",
            "look 1 2026-03-01 quarterly not-done\nlook 2 2026-04-01 quarterly good 6_mm",
            Passed,
            None,
        ),
        // A daily check that does not ask for it leaves nothing out.
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly good 6_mm\nlook 2 2026-05-19T07:00 daily none",
            Passed,
            None,
        ),
    ]);
}

#[test]
fn the_periodic_look_is_absent_from_the_day_after_it_was_due() {
    let base = |on: &str| format!("look 1 {on} quarterly good 6_mm");
    for (on, word) in [
        ("2026-02-19", Passed),
        ("2026-02-18", RequiredInspectionMissing),
    ] {
        let found = ruled("cable-diameter", "", &base(on));
        assert_eq!(found.record.word, word, "{on}");
    }
}

#[test]
fn a_check_after_the_event_or_at_its_minute_is_not_the_days_look() {
    let quarter = "look 9 2026-04-01 quarterly good\n";
    for (line, word) in [
        ("look 1 2026-05-19T13:39 daily good", Passed),
        (
            "look 1 2026-05-19T13:40 daily good",
            RequiredInspectionMissing,
        ),
        (
            "look 1 2026-05-19T15:00 daily good",
            RequiredInspectionMissing,
        ),
        // Without an hour a daily check counts as before the first use; of any other one nobody
        // can tell.
        ("look 1 2026-05-19 daily good", Passed),
        ("look 1 2026-05-19 after-event good", OrderUnknown),
    ] {
        let found = ruled("crank", "", &format!("{quarter}{line}"));
        assert_eq!(found.record.word, word, "{line}");
    }
    let found = ruled(
        "crank",
        "",
        "look 1 2026-05-19 daily good\nlook 2 2026-05-19 quarterly good",
    );
    let marks: Vec<Mark> = found.seen.iter().map(|it| it.mark).collect();
    assert_eq!(marks, [Mark::TakenAsBefore, Mark::SameDay]);
}

#[test]
fn a_shift_that_ran_past_midnight_has_the_check_of_the_day_on_which_it_began() {
    let list = own_list();
    let item = list.item("crank").expect("an item");
    let text = "look 1 2026-04-01 quarterly good\nlook 2 2026-05-18T18:00 daily good";
    let mut facts = facts(item, &[], text);
    assert_eq!(facts.judged().word, RequiredInspectionMissing);
    facts.shift_day = day("2026-05-18");
    assert_eq!(facts.judged().word, Passed);
}

#[test]
fn a_mating_check_against_another_piece_is_not_that_of_the_set_up() {
    let quarter = "mate 7\nlook 9 2026-04-01 quarterly good with=7\n";
    for (line, word) in [
        ("look 1 2026-05-19T07:00 daily good with=7", Passed),
        (
            "look 1 2026-05-19T07:00 daily good with=8",
            RequiredInspectionMissing,
        ),
        (
            "look 1 2026-05-19T07:00 daily good",
            RequiredInspectionMissing,
        ),
        ("look 1 2026-05-19T07:00 daily not-done", LeftOut),
    ] {
        let found = ruled("connector-mating", "", &format!("{quarter}{line}"));
        assert_eq!(found.record.word, word, "{line}");
        assert!(found.required.iter().any(|it| it.need == Need::SetUp));
    }
}

#[test]
fn a_drop_calls_for_a_look_and_a_daily_check_is_not_that_look() {
    let base = format!("look 9 2026-04-01 quarterly good\n{DAY}\n");
    for (line, word) in [
        ("trigger 2026-05-10", RequiredInspectionMissing),
        (
            "trigger 2026-05-10\nlook 2 2026-05-09 after-event good",
            RequiredInspectionMissing,
        ),
        (
            "trigger 2026-05-10\nlook 2 2026-05-10 after-event good",
            Passed,
        ),
        (
            "trigger 2026-05-10T15:00\nlook 2 2026-05-10T14:00 after-event good",
            RequiredInspectionMissing,
        ),
        (
            "trigger 2026-05-10\nlook 2 2026-05-11 quarterly good",
            Passed,
        ),
        (
            "trigger 2026-05-10\nlook 2 2026-05-11 daily good",
            RequiredInspectionMissing,
        ),
        // At or after the event it called for nothing before it.
        ("trigger 2026-05-19T13:40", Passed),
    ] {
        let found = ruled("crank", "", &format!("{base}{line}"));
        assert_eq!(found.record.word, word, "{line}: {:?}", found.record);
    }
}

#[test]
fn a_part_that_was_fitted_calls_for_a_look_at_its_own_component_only() {
    let list = own_list();
    let item = list.item("crank").expect("an item");
    let text = format!("look 9 2026-04-01 quarterly good\n{DAY}\ntrigger 2026-05-10");
    let mut facts = facts(item, &[], &text);
    facts.triggers[0].component = Some("drive cable".to_owned());
    assert_eq!(facts.judged().word, Passed);
    facts.triggers[0].component = Some("crank".to_owned());
    assert_eq!(facts.judged().word, RequiredInspectionMissing);
}

#[test]
fn what_is_written_after_the_event_is_claimed_and_what_it_would_change_is_told() {
    check(&[
        // The day's look exists only by late entry.
        (
            "crank",
            "look 1 2026-04-01 quarterly good\nlate 2 2026-05-19T07:00 daily good",
            Claimed,
            Some(Passed),
        ),
        // A late one that says `not done` claims nothing.
        (
            "crank",
            "look 1 2026-04-01 quarterly good\nlate 2 2026-05-19T07:00 daily not-done",
            RequiredInspectionMissing,
            Some(LeftOut),
        ),
        // Late and older than the last known look: it changes nothing.
        (
            "cable-diameter",
            "late 1 2026-03-20 quarterly good 6_mm\nlook 2 2026-04-01 quarterly good 6_mm",
            Passed,
            None,
        ),
        // Late and later than it: marked, and what was known stands.
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly good 6_mm\nlate 2 2026-05-01 quarterly good 6_mm",
            Passed,
            None,
        ),
        // Left out in what was known counts before a claim.
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly not-done\nlate 2 2026-05-01 quarterly good 6_mm",
            LeftOut,
            Some(Passed),
        ),
    ]);
}

#[test]
fn of_an_inspection_amended_after_the_event_the_earlier_version_counts() {
    check(&[
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly measured 5.7_mm\n\
             amend 1 2026-04-01 quarterly measured 6_mm",
            PassedBeyondLimit,
            Some(Passed),
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly not-done\namend 1 2026-04-01 quarterly good 6_mm",
            LeftOut,
            Some(Passed),
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly good 6_mm\namend 1 2026-04-01 quarterly defect",
            Passed,
            Some(KnownDefectUsed),
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly good 6_mm\nvoid 1",
            Passed,
            Some(RequiredInspectionMissing),
        ),
    ]);
    let found = ruled(
        "cable-diameter",
        "",
        "look 1 2026-03-01 quarterly not-done\namend 1 2026-03-01 quarterly good 6_mm\n\
         look 2 2026-04-01 quarterly good 6_mm\nvoid 2\n\
         late 3 2026-05-01 quarterly good 6_mm\nlate 4 2026-05-20 after-event defect",
    );
    let marks: Vec<Mark> = found.seen.iter().map(|it| it.mark).collect();
    let right = [
        Mark::AmendedAfter,
        Mark::VoidedAfter,
        Mark::Claimed,
        Mark::After,
    ];
    assert_eq!(marks, right);
    assert!(found.seen[0].later.is_some());
}

#[test]
fn past_the_limit_is_judged_by_the_figure_and_a_part_does_not_grow_back() {
    check(&[
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly good 5.8_mm",
            Passed,
            None,
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly good 5.79_mm",
            PassedBeyondLimit,
            None,
        ),
        (
            "cable-diameter",
            "look 1 2026-03-01 quarterly good 5.7_mm\nlook 2 2026-04-01 quarterly good 5.9_mm",
            PassedBeyondLimit,
            None,
        ),
        // A rate may fall again: another source may have been in.
        (
            "device-metre-rate",
            "look 1 2026-03-01 quarterly good 11_mR/h\nlook 2 2026-04-01 quarterly good 1_mR/h",
            Passed,
            None,
        ),
        (
            "device-metre-rate",
            "look 2 2026-04-01 quarterly good 11_mR/h",
            PassedBeyondLimit,
            None,
        ),
        // Good without a figure is no figure past the limit, and it is told.
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly good",
            Passed,
            None,
        ),
    ]);
    let found = ruled("cable-diameter", "", "look 1 2026-04-01 quarterly good");
    assert!(
        found.record.because.contains("no figure"),
        "{:?}",
        found.record
    );
}

/// An item without figures asked for no look and judged none: neither absent, nor left out, nor
/// passed. A written defect that was used all the same stands.
#[test]
fn an_inactive_item_has_a_word_of_its_own_unless_a_defect_was_known() {
    let list = built_in();
    let item = list.item("cable-diameter").expect("an item");
    assert!(item.is_inactive());
    for (text, word, entries) in [
        ("", Inactive, vec![]),
        ("look 1 2026-04-01 quarterly none", Inactive, vec![]),
        ("look 1 2026-04-01 quarterly not-done", Inactive, vec![]),
        (
            "look 1 2026-04-01 quarterly measured 2_mm",
            Inactive,
            vec![100],
        ),
        (
            "late 1 2026-04-01 quarterly measured 2_mm",
            Inactive,
            vec![],
        ),
        (
            "look 1 2026-04-01 quarterly defect",
            KnownDefectUsed,
            vec![100, 901],
        ),
    ] {
        let uses = uses("2026-05-18/20 2026-05-19/6");
        let facts = facts(item, &uses, text);
        let found = verdict(&facts, by_data(Coverage::CanDetect), &[], &[]);
        assert_eq!(found.record.word, word, "{text}: {:?}", found.record);
        assert_eq!(found.record.entries, entries, "{text}");
        assert!(found.required.is_empty(), "{text}: {:?}", found.required);
    }
}

//! Flags, and what stands beside the words.

use super::verdicts::ruled;
use super::{by_data, day, facts, moment, own_list};
use crate::record::{Barrier, BarrierState, Coverage};
use crate::trace::barrier::BarrierNote;
use crate::trace::occurred::Occurred;
use crate::trace::record::RecordWord::{Passed, RequiredInspectionMissing};
use crate::trace::required::{Met, Need};
use crate::trace::verdict::{FlagWord, Testimony, Verdict, verdict};

const DAY: &str = "look 1 2026-05-19T07:00 daily good";

fn flags(found: &Verdict) -> Vec<FlagWord> {
    found.flags.iter().map(|it| it.flag).collect()
}

#[test]
fn a_warning_counts_where_it_was_shown_before_the_event() {
    for (text, warns) in [
        ("look 1 2026-04-01 quarterly good 5.9_mm", true),
        ("look 1 2026-04-01 quarterly good 5.7_mm", true),
        ("look 1 2026-04-01 quarterly good 6_mm", false),
        // Computable now, and not shown then.
        ("late 1 2026-04-01 quarterly good 5.9_mm", false),
        ("look 1 2026-05-20 quarterly good 5.9_mm", false),
        (
            "look 1 2026-03-01 quarterly good 5.9_mm\ninstalled 2026-03-05",
            false,
        ),
    ] {
        let found = ruled("cable-diameter", "", text);
        assert_eq!(
            flags(&found).contains(&FlagWord::WarningShown),
            warns,
            "{text}"
        );
    }
}

#[test]
fn a_trigger_that_was_written_after_the_event_is_flagged_and_still_called_for_a_look() {
    let base = format!("look 9 2026-04-01 quarterly good\n{DAY}\n");
    let found = ruled("crank", "", &format!("{base}late-trigger 2026-05-10"));
    assert_eq!(flags(&found), [FlagWord::TriggerLater]);
    assert_eq!(found.record.word, RequiredInspectionMissing);
    let found = ruled("crank", "", &format!("{base}trigger 2026-05-10"));
    assert_eq!(flags(&found), []);
    let found = ruled("crank", "", &format!("{base}late-trigger 2026-05-21"));
    assert_eq!(flags(&found), []);
}

#[test]
fn testimony_is_against_one_inspection_and_one_item_of_it_or_of_an_item_alone() {
    let list = own_list();
    let item = list.item("cable-diameter").expect("an item");
    let facts = facts(item, &[], "look 1 2026-04-01 quarterly good 6_mm");
    let of = |disputes, item: Option<&str>| {
        let testimony = Testimony {
            disputes,
            item: item.map(str::to_owned),
            at: "2026-05-18T16:00-05:00".to_owned(),
            words: "the gauge was in the other truck".to_owned(),
            entry: 300,
        };
        flags(&verdict(
            &facts,
            by_data(Coverage::CanDetect),
            &[testimony],
            &[],
        ))
    };
    for (disputes, item, speaks) in [
        (Some(1), None, true),
        (Some(1), Some("cable-diameter"), true),
        (Some(1), Some("crank"), false),
        (Some(2), None, false),
        // Against no inspection: of the item that it names.
        (None, Some("cable-diameter"), true),
        (None, Some("crank"), false),
    ] {
        let right = if speaks {
            vec![FlagWord::Testimony]
        } else {
            Vec::new()
        };
        assert_eq!(of(disputes, item), right, "{disputes:?} {item:?}");
    }
}

#[test]
fn a_mating_check_that_was_not_made_flags_mating_items_only() {
    let list = own_list();
    let note = |state| BarrierNote {
        barrier: Barrier::MatingCheck,
        state,
        words: "moved the stand and cranked".to_owned(),
        entry: 301,
    };
    for (key, state, count) in [
        ("connector-mating", BarrierState::Absent, 1),
        ("connector-mating", BarrierState::Present, 0),
        ("crank", BarrierState::Absent, 0),
    ] {
        let item = list.item(key).expect("an item");
        let facts = facts(item, &[], DAY);
        let found = verdict(&facts, by_data(Coverage::CanDetect), &[], &[note(state)]);
        assert_eq!(flags(&found).len(), count, "{key} {state:?}");
    }
}

#[test]
fn days_and_cycles_run_from_the_last_look_that_vouches() {
    let text = "look 1 2026-05-01 quarterly good 6_mm\n\
                look 2 2026-05-10 quarterly good 5.7_mm\n\
                late 3 2026-05-15 quarterly good 6_mm";
    let used = "2026-04-30/9 2026-05-01/10 2026-05-12/? 2026-05-19/5 2026-05-20/7";
    let found = ruled("cable-diameter", used, text)
        .last_good
        .expect("a good look");
    assert_eq!((found.on, found.days), (day("2026-05-01"), 18));
    assert_eq!((found.cycles_at_least, found.sheets_without_count), (15, 1));
}

#[test]
fn a_required_look_tells_by_which_entry_it_is_met() {
    let found = ruled(
        "crank",
        "",
        "look 1 2026-04-01 quarterly good\nlate 2 2026-05-19T07:00 daily good",
    );
    let met: Vec<(Need, Met)> = found.required.iter().map(|it| (it.need, it.met)).collect();
    assert_eq!(
        met,
        [
            (Need::Day, Met::ByClaim(101)),
            (Need::Periodic, Met::By(100))
        ]
    );
}

#[test]
fn equipment_that_was_not_in_use_needed_no_check_of_the_day() {
    let list = own_list();
    let item = list.item("crank").expect("an item");
    let mut facts = facts(item, &[], "look 1 2026-04-01 quarterly good");
    facts.in_use = false;
    assert_eq!(facts.judged().word, Passed);
    facts.event = Occurred::at(moment("2026-05-19"));
    assert_eq!(facts.judged().word, Passed);
}

/// Item, what is written, the requirement and the entry that it is credited with.
#[test]
fn a_requirement_is_met_by_the_first_look_that_does_it() {
    let base = "look 9 2025-04-01 quarterly good\n";
    for (key, text, need, entry) in [
        // An inspection of a year later is not what answered the drop.
        (
            "crank",
            "trigger 2025-05-10\nlook 1 2025-05-11 after-event good\n\
             look 2 2026-04-01 quarterly good\nlook 3 2026-05-19T07:00 daily good",
            Need::Called,
            102,
        ),
        // The first that left the item out did not do it.
        (
            "crank",
            "trigger 2025-05-10\nlook 1 2025-05-11 after-event not-done\n\
             look 2 2025-05-12 after-event good\nlook 3 2026-05-19T07:00 daily good",
            Need::Called,
            103,
        ),
        // Only such ones: the inspection was there.
        (
            "crank",
            "trigger 2025-05-10\nlook 1 2025-05-11 after-event not-done\n\
             look 3 2026-05-19T07:00 daily good",
            Need::Called,
            102,
        ),
        (
            "crank",
            "look 1 2026-05-19T06:00 daily good\nlook 2 2026-05-19T11:00 daily good",
            Need::Day,
            101,
        ),
        // The term that is told is that of the last one.
        (
            "cable-diameter",
            "look 1 2026-03-01 quarterly good 6_mm\nlook 2 2026-04-01 quarterly good 6_mm",
            Need::Periodic,
            102,
        ),
    ] {
        let found = ruled(key, "", &format!("{base}{text}"));
        let met = found.required.iter().find(|it| it.need == need);
        assert_eq!(met.map(|it| it.met), Some(Met::By(entry)), "{key}\n{text}");
    }
}

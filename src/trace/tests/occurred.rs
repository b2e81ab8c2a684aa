//! An event of which only a day, a month, a bound or nothing is known, against inspections at every
//! place beside it.

use super::{by_data, day, facts, moment, own_list, uses};
use crate::record::Coverage;
use crate::trace::occurred::Occurred;
use crate::trace::record::RecordWord::{self, *};
use crate::trace::required::{Met, Need};
use crate::trace::verdict::{Mark, Verdict, verdict};

/// `MOMENT`, or `FIRST..LAST` with `-` for a first one that nobody knows.
fn occurred(text: &str) -> Occurred {
    match text.split_once("..") {
        Some(("-", last)) => Occurred::between(None, moment(last)),
        Some((first, last)) => Occurred::between(Some(moment(first)), moment(last)),
        None => Occurred::at(moment(text)),
    }
}

const HOUR: &str = "2026-05-19T13:40";
const DAY: &str = "2026-05-19T00:00..2026-05-19T23:59";
const HOURS: &str = "2026-05-19T10:00..2026-05-19T14:00";
const MONTH: &str = "2026-05-01T00:00..2026-05-31T23:59";
const BETWEEN: &str = "2026-05-12T00:00..2026-05-19T13:40";
const BEFORE: &str = "-..2026-05-19T23:59";

fn ruled_at(event: &str, key: &str, used: &str, text: &str) -> Verdict {
    let list = own_list();
    let item = list.item(key).expect("an item");
    let used = uses(used);
    let mut facts = facts(item, &used, text);
    facts.event = occurred(event);
    verdict(&facts, by_data(Coverage::CanDetect), &[], &[])
}

/// The event, the inspection (its moment and occasion), and how it counts.
#[test]
fn a_look_counts_only_where_it_surely_was_before_the_event() {
    use Mark::{After, Counts, SameDay, TakenAsBefore, Within};
    let rows: &[(&str, &str, Mark)] = &[
        (HOUR, "2026-05-18 quarterly", Counts),
        (HOUR, "2026-05-19T13:39 quarterly", Counts),
        (HOUR, "2026-05-19T13:40 quarterly", After),
        (HOUR, "2026-05-19 quarterly", SameDay),
        (HOUR, "2026-05-19 daily", TakenAsBefore),
        (HOUR, "2026-05-20 quarterly", After),
        (DAY, "2026-05-18T23:59 quarterly", Counts),
        (DAY, "2026-05-19T06:20 quarterly", SameDay),
        (DAY, "2026-05-19T06:20 daily", SameDay),
        (DAY, "2026-05-19 daily", SameDay),
        (DAY, "2026-05-19 quarterly", SameDay),
        (DAY, "2026-05-20T00:00 quarterly", After),
        (HOURS, "2026-05-19T09:59 quarterly", Counts),
        (HOURS, "2026-05-19T10:00 quarterly", SameDay),
        (HOURS, "2026-05-19 daily", SameDay),
        (HOURS, "2026-05-19T14:01 quarterly", After),
        (MONTH, "2026-04-30 quarterly", Counts),
        (MONTH, "2026-05-01 quarterly", Within),
        (MONTH, "2026-05-10T08:00 daily", Within),
        (MONTH, "2026-05-31T10:00 quarterly", Within),
        (MONTH, "2026-06-01 quarterly", After),
        (BETWEEN, "2026-05-11 quarterly", Counts),
        (BETWEEN, "2026-05-15 quarterly", Within),
        (BETWEEN, "2026-05-19T13:40 quarterly", Within),
        (BETWEEN, "2026-05-19T13:41 quarterly", After),
        (BEFORE, "2020-01-01 quarterly", Within),
        (BEFORE, "2026-05-19 daily", Within),
        (BEFORE, "2026-05-20 quarterly", After),
    ];
    for (event, inspection, mark) in rows {
        let found = ruled_at(
            event,
            "cable-diameter",
            "",
            &format!("look 1 {inspection} good 6_mm"),
        );
        let marks: Vec<Mark> = found.seen.iter().map(|it| it.mark).collect();
        assert_eq!(marks, [*mark], "{event}: {inspection}");
        let vouches = matches!(mark, Counts | TakenAsBefore);
        assert_eq!(found.last_good.is_some(), vouches, "{event}: {inspection}");
    }
}

/// The event, what is written, the word, and the word if it had been before.
#[test]
fn what_may_have_been_before_counts_neither_for_nor_against_and_the_other_word_is_told() {
    let base = "look 9 2026-04-01 quarterly good 6_mm\n";
    type Row = (&'static str, &'static str, RecordWord, Option<RecordWord>);
    let rows: &[Row] = &[
        // It would have harmed.
        (
            HOUR,
            "look 1 2026-05-19 quarterly good 5.7_mm",
            Passed,
            Some(PassedBeyondLimit),
        ),
        (
            DAY,
            "look 1 2026-05-19T06:20 quarterly defect",
            Passed,
            Some(KnownDefectUsed),
        ),
        (
            MONTH,
            "look 1 2026-05-10 quarterly not-done",
            Passed,
            Some(LeftOut),
        ),
        // It changes nothing.
        (
            DAY,
            "look 1 2026-05-19T06:20 quarterly good 6_mm",
            Passed,
            None,
        ),
        (MONTH, "look 1 2026-06-02 quarterly defect", Passed, None),
        // Written when the event may have been: not surely before it.
        (
            MONTH,
            "perhaps 1 2026-04-20 quarterly good 5.7_mm",
            Passed,
            Some(PassedBeyondLimit),
        ),
    ];
    for (event, text, word, other) in rows {
        let found = ruled_at(
            event,
            "cable-diameter",
            "2026-05-19/1",
            &format!("{base}{text}"),
        );
        assert_eq!(
            found.record.word, *word,
            "{event}: {text}\n{:?}",
            found.record
        );
        let told = found.as_if_before.map(|it| it.word);
        assert_eq!(told, *other, "{event}: {text}");
    }
}

/// Where no other inspection is there the word says it.
#[test]
fn a_single_look_that_may_have_been_before_is_of_unknown_order() {
    for (event, inspection) in [
        (HOUR, "2026-05-19"),
        (DAY, "2026-05-19T06:20"),
        (MONTH, "2026-05-10"),
    ] {
        let text = format!("look 1 {inspection} quarterly good 6_mm");
        let found = ruled_at(event, "cable-diameter", "", &text);
        assert_eq!(found.record.word, OrderUnknown, "{event}");
        assert_eq!(
            found.as_if_before.map(|it| it.word),
            Some(Passed),
            "{event}"
        );
    }
    let text = "look 1 2026-05-19 quarterly good 6_mm";
    let because = ruled_at(HOUR, "cable-diameter", "", text).record.because;
    assert!(because.contains("same day, order unknown"), "{because}");
}

#[test]
fn the_check_of_a_day_that_is_not_known_is_absent_only_where_no_day_has_one() {
    let quarter = "look 9 2026-04-01 quarterly good\n";
    for (event, text, met) in [
        (
            DAY,
            "look 1 2026-05-19T06:20 daily good",
            Met::OrderUnknown(101),
        ),
        (DAY, "look 1 2026-05-18T06:20 daily good", Met::No),
        (
            MONTH,
            "look 1 2026-05-10T06:20 daily good",
            Met::OrderUnknown(101),
        ),
        (MONTH, "look 1 2026-04-30T06:20 daily good", Met::No),
        // Made before the earliest hour: of the first of two days, and not surely of the event's.
        (
            "2026-05-18T10:00..2026-05-19T10:00",
            "look 1 2026-05-18T06:20 daily good",
            Met::OrderUnknown(101),
        ),
        (HOURS, "look 1 2026-05-19T06:20 daily good", Met::By(101)),
    ] {
        let found = ruled_at(event, "crank", "", &format!("{quarter}{text}"));
        let need = found.required.iter().find(|it| it.need == Need::Day);
        assert_eq!(need.map(|it| it.met), Some(met), "{event}: {text}");
    }
}

/// The last periodic look in time on the first day of the event may be overdue on its last.
#[test]
fn a_term_that_ended_while_the_event_may_have_been_is_no_look_in_time_and_none_that_is_absent() {
    for (on, word, other) in [
        ("2026-03-05", Passed, None),
        ("2026-02-10", OrderUnknown, Some(RequiredInspectionMissing)),
        ("2026-01-20", RequiredInspectionMissing, None),
    ] {
        let text = format!("look 1 {on} quarterly good 6_mm");
        let found = ruled_at(MONTH, "cable-diameter", "", &text);
        assert_eq!(found.record.word, word, "{on}: {:?}", found.record);
        assert_eq!(found.as_if_before.map(|it| it.word), other, "{on}");
    }
    let found = ruled_at(
        MONTH,
        "cable-diameter",
        "",
        "look 1 2026-02-10 quarterly good 6_mm",
    );
    let because = found.record.because;
    assert!(because.contains("as late as 2026-05-31"), "{because}");
}

#[test]
fn days_since_the_last_good_look_are_a_range_and_cycles_only_those_that_surely_were_before() {
    let text = "look 1 2026-04-20 quarterly good 6_mm";
    let used = "2026-04-20/3 2026-04-30/10 2026-05-01/50 2026-05-20/70";
    let good = ruled_at(MONTH, "cable-diameter", used, text).last_good;
    let good = good.expect("a good look");
    assert_eq!(
        (good.on, good.days, good.days_at_most),
        (day("2026-04-20"), 11, 41)
    );
    assert_eq!(good.cycles_at_least, 13);
}

#[test]
fn what_called_for_a_look_only_perhaps_before_the_event_is_not_held_against_it() {
    let base = "look 9 2026-04-01 quarterly good\nlook 8 2026-05-19T05:00 daily good\n";
    for (event, trigger, word, other) in [
        (HOURS, "trigger 2026-05-18", RequiredInspectionMissing, None),
        (
            HOURS,
            "trigger 2026-05-19",
            Passed,
            Some(RequiredInspectionMissing),
        ),
        (HOURS, "trigger 2026-05-20", Passed, None),
        (HOURS, "late-trigger 2026-05-19", Passed, None),
    ] {
        let found = ruled_at(event, "crank", "", &format!("{base}{trigger}"));
        assert_eq!(found.record.word, word, "{trigger}: {:?}", found.record);
        assert_eq!(found.as_if_before.map(|it| it.word), other, "{trigger}");
    }
    // A drop in May, and an inspection in May: nobody can tell whether it was the inspection after
    // the drop.
    let list = own_list();
    let text = format!("{base}trigger 2026-05-18\nlook 2 2026-05-10 after-event good");
    let mut facts = facts(list.item("crank").expect("an item"), &[], &text);
    facts.event = occurred(HOURS);
    facts.triggers[0].from = moment("2026-05-01");
    assert_eq!(facts.judged().word, OrderUnknown, "{:?}", facts.judged());
}

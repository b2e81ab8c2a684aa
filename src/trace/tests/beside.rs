//! Extent of condition, barriers, suggestions.

use super::{by_data, day, facts, own_list};
use crate::record::{Barrier, BarrierState, Coverage, HumanCause};
use crate::trace::barrier::{BARRIERS, BarrierNote, HumanFact, barriers, by_human};
use crate::trace::coverage::{Beside, Failed};
use crate::trace::extent::{Elsewhere, ItemElsewhere, extent};
use crate::trace::suggestion::{Ruled, suggestions};
use crate::trace::verdict::verdict;

fn elsewhere(equipment: &str, lot: Option<&str>, item: ItemElsewhere) -> Elsewhere {
    Elsewhere {
        equipment: equipment.to_owned(),
        out_of_service: false,
        lot: lot.map(str::to_owned),
        items: vec![item],
    }
}

fn sound() -> ItemElsewhere {
    ItemElsewhere {
        item: "cable-diameter".to_owned(),
        measured: true,
        figures: 3,
        last: Some((day("2026-04-01"), 40)),
        defect: None,
        heading: None,
    }
}

#[test]
fn other_equipment_is_told_with_each_reason_and_the_sound_one_without() {
    let others = [
        elsewhere("CU-1", None, sound()),
        elsewhere("CU-2", Some("L7"), sound()),
        elsewhere(
            "CU-3",
            None,
            ItemElsewhere {
                figures: 0,
                ..sound()
            },
        ),
        elsewhere(
            "CU-4",
            None,
            ItemElsewhere {
                last: None,
                figures: 0,
                ..sound()
            },
        ),
        elsewhere(
            "CU-5",
            Some("L8"),
            ItemElsewhere {
                defect: Some(7),
                ..sound()
            },
        ),
        elsewhere(
            "CU-6",
            Some("L7"),
            ItemElsewhere {
                heading: Some("heading for its limit".to_owned()),
                ..sound()
            },
        ),
    ];
    let told: Vec<(String, usize)> = extent(Some("L7"), &others)
        .into_iter()
        .map(|it| (it.equipment, it.why.len()))
        .collect();
    let right = [
        ("CU-6", 2),
        ("CU-2", 1),
        ("CU-3", 1),
        ("CU-4", 1),
        ("CU-5", 1),
        ("CU-1", 0),
    ];
    assert_eq!(told, right.map(|(id, count)| (id.to_owned(), count)));
    // No lot is no lot in common.
    assert!(
        extent(None, &others[..2])
            .iter()
            .all(|it| it.why.is_empty())
    );
}

#[test]
fn a_barrier_that_nobody_told_of_is_asked_for() {
    let note = BarrierNote {
        barrier: Barrier::Survey,
        state: BarrierState::Absent,
        words: "went in without the meter".to_owned(),
        entry: 9,
    };
    let told: Vec<(&str, Option<&str>)> = barriers(&[note], &[], |_| None)
        .into_iter()
        .map(|it| (it.barrier, it.state))
        .collect();
    let right = [
        ("mating check", None),
        ("survey", Some("absent")),
        ("alarm ratemeter", None),
        ("dosimeter", None),
    ];
    assert_eq!(told, right);
}

/// Cause, barriers that could have shown it by its kind alone, and what it tells of one.
#[test]
fn what_people_did_tells_which_barrier_was_missing_and_which_could_have_shown_it() {
    type Row = (
        HumanCause,
        &'static [&'static str],
        Option<(&'static str, &'static str)>,
    );
    let rows: &[Row] = &[
        (
            HumanCause::SurveyNotMade,
            &["survey", "alarm ratemeter"],
            Some(("survey", "absent")),
        ),
        (
            HumanCause::RatemeterOff,
            &["survey", "alarm ratemeter"],
            Some(("alarm ratemeter", "off")),
        ),
        (
            HumanCause::LockNotUsed,
            &["survey", "lock"],
            Some(("lock", "absent")),
        ),
        (
            HumanCause::BoundaryNotKept,
            &["boundary"],
            Some(("boundary", "absent")),
        ),
        (HumanCause::ProcedureNotFollowed, &[], None),
        (HumanCause::Other, &[], None),
    ];
    for (human, could, told) in rows {
        let can = |it: &&&str| by_human(*human, it) == Coverage::CanDetect;
        let found: Vec<&str> = BARRIERS.iter().filter(can).copied().collect();
        assert_eq!(found, *could, "{human:?}");
        let fact = HumanFact {
            human: *human,
            because: "said so".to_owned(),
            entry: 12,
        };
        let lines = barriers(&[], &[fact], |_| None);
        let mut states = lines.iter().filter_map(|it| Some((it.barrier, it.state?)));
        assert_eq!(states.next(), *told, "{human:?}");
        assert!(lines.iter().all(|it| it.covered.is_some()), "{human:?}");
    }
}

#[test]
fn a_conclusion_on_a_barrier_goes_before_what_the_cause_says_and_is_always_there() {
    let lines = barriers(&[], &[], |barrier| {
        (barrier == "boundary").then(|| by_data(Coverage::CannotDetect))
    });
    let boundary = lines.iter().find(|it| it.barrier == "boundary");
    let covered = boundary.and_then(|it| it.covered.as_ref());
    assert_eq!(covered.map(|it| it.coverage), Some(Coverage::CannotDetect));
    let others = lines.iter().filter(|it| it.barrier != "boundary");
    assert_eq!(others.filter(|it| it.covered.is_some()).count(), 0);
}

#[test]
fn one_advice_is_given_once_for_every_item_that_it_is_for() {
    let list = own_list();
    let items = ["control-feel", "crank"].map(|key| list.item(key).expect("an item"));
    let verdicts = items.map(|item| {
        let facts = facts(item, &[], "");
        verdict(&facts, by_data(Coverage::NotEstablished), &[], &[])
    });
    let rows: Vec<Ruled<'_>> = items
        .iter()
        .zip(&verdicts)
        .map(|(item, verdict)| Ruled {
            equipment: "CU-2",
            item,
            verdict,
        })
        .collect();
    let said = suggestions(&Failed::Human, &rows);
    assert_eq!(said.len(), 1);
    assert!(
        said[0].starts_with("control-feel, crank: coverage is not"),
        "{said:?}"
    );
}

#[test]
fn a_suggestion_follows_from_coverage_first_and_then_from_the_record() {
    let list = own_list();
    let item = list.item("cable-diameter").expect("an item");
    let failed = Failed::Found {
        on: "control unit".to_owned(),
        component: "drive cable".to_owned(),
        failure: "drive-cable-broken".to_owned(),
        beside: Beside::default(),
    };
    let of = |coverage, text: &str| {
        let verdict = verdict(&facts(item, &[], text), by_data(coverage), &[], &[]);
        let row = Ruled {
            equipment: "CU-2",
            item,
            verdict: &verdict,
        };
        suggestions(&failed, &[row]).join("\n")
    };
    let left = "look 1 2026-04-01 quarterly not-done";
    assert!(of(Coverage::CanDetect, left).contains("why it was skipped"));
    // What cannot show it is not to blame for being left out.
    let none = of(Coverage::CannotDetect, left);
    assert!(
        none.contains("no item can show") && !none.contains("skipped"),
        "{none}"
    );
    assert!(of(Coverage::AroseAfter, left).contains("at each set-up"));
    let warned = of(
        Coverage::CanDetect,
        "look 1 2026-04-01 quarterly good 5.9_mm",
    );
    assert!(warned.contains("who acts on a warning"), "{warned}");
}

//! Extent of condition, barriers, suggestions.

use super::{by_data, day, facts, own_list};
use crate::record::{Barrier, BarrierState, Coverage};
use crate::trace::coverage::Failed;
use crate::trace::extent::{Elsewhere, ItemElsewhere, extent};
use crate::trace::suggestion::{Ruled, suggestions};
use crate::trace::verdict::{BarrierNote, barriers, verdict};

fn elsewhere(piece: &str, lot: Option<&str>, item: ItemElsewhere) -> Elsewhere {
    Elsewhere {
        piece: piece.to_owned(),
        withdrawn: false,
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
        .map(|it| (it.piece, it.why.len()))
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
    let told: Vec<(&str, Option<&str>)> = barriers(&[note])
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

#[test]
fn a_suggestion_follows_from_coverage_first_and_then_from_the_record() {
    let list = own_list();
    let item = list.item("cable-diameter").expect("an item");
    let failed = Failed::Found {
        on: "control unit".to_owned(),
        component: "drive cable".to_owned(),
        failure: "drive-cable-broken".to_owned(),
    };
    let of = |coverage, text: &str| {
        let verdict = verdict(&facts(item, &[], text), by_data(coverage), &[], &[]);
        let row = Ruled {
            piece: "CU-2",
            item,
            verdict: &verdict,
        };
        suggestions(&failed, &[row]).join("\n")
    };
    let left = "look 1 2026-04-01 quarterly not-done";
    assert!(of(Coverage::CanDetect, left).contains("why it was left out"));
    // What cannot show it is not to blame for being left out.
    let none = of(Coverage::CannotDetect, left);
    assert!(
        none.contains("no item can show") && !none.contains("left out"),
        "{none}"
    );
    assert!(of(Coverage::AroseAfter, left).contains("at each set-up"));
    let warned = of(
        Coverage::CanDetect,
        "look 1 2026-04-01 quarterly good 5.9_mm",
    );
    assert!(warned.contains("who acts on a warning"), "{warned}");
}

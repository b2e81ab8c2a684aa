//! Ranking: caught, let through, rates.

use super::day;
use crate::record::Coverage::{self, *};
use crate::trace::ranking::{CauseFact, DefectFact, EventFact, ItemFact, ItemRank, ranking};
use crate::trace::record::RecordWord::{self, *};

fn event(on: &str, words: &[(Coverage, RecordWord)]) -> EventFact {
    EventFact {
        name: format!("E-{on}"),
        day: day(on),
        is_human: false,
        causes: vec![CauseFact {
            equipment: 5,
            on: "control unit".to_owned(),
            component: "drive cable".to_owned(),
            failure: "drive-cable-broken".to_owned(),
        }],
        items: words
            .iter()
            .map(|(coverage, record)| ItemFact {
                on: "control unit".to_owned(),
                item: "cable-diameter".to_owned(),
                coverage: *coverage,
                concluded: false,
                record: *record,
            })
            .collect(),
    }
}

fn defect(equipment: i64, on: &str, cleared: Option<&str>) -> DefectFact {
    DefectFact {
        equipment,
        on: "control unit".to_owned(),
        item: "cable-diameter".to_owned(),
        component: "drive cable".to_owned(),
        day: day(on),
        entry: 50,
        cleared_on: cleared.map(day),
        installed: None,
    }
}

fn ranked(events: &[EventFact], defects: &[DefectFact]) -> Option<ItemRank> {
    ranking(events, defects, |_| vec![5], |_| Some(500))
        .items
        .pop()
}

fn counts(events: &[EventFact], defects: &[DefectFact]) -> (u64, u64, u64, u64) {
    let it = ranked(events, defects).expect("an item");
    (it.caught, it.let_through, it.used_all_the_same, it.open)
}

#[test]
fn only_an_item_that_could_have_shown_it_lets_it_through() {
    for (coverage, record, right) in [
        (CanDetect, Passed, Some((0, 1, 0, 0))),
        (CanDetect, LeftOut, Some((0, 1, 0, 0))),
        (CanDetect, RequiredInspectionMissing, Some((0, 1, 0, 0))),
        (CanDetect, Claimed, Some((0, 1, 0, 0))),
        (CanDetect, PassedBeyondLimit, Some((0, 1, 0, 0))),
        (CanDetect, KnownDefectUsed, Some((0, 0, 1, 0))),
        (NotEstablished, Passed, Some((0, 0, 0, 1))),
        (CannotDetect, Passed, None),
        (AroseAfter, Passed, None),
        (NoItem, Passed, None),
    ] {
        let found = ranked(&[event("2026-05-19", &[(coverage, record)])], &[]);
        let found = found.map(|it| (it.caught, it.let_through, it.used_all_the_same, it.open));
        assert_eq!(found, right, "{coverage:?} {record:?}");
    }
}

#[test]
fn a_defect_is_caught_once_while_it_is_open_and_not_after_the_event_it_led_to() {
    let none: &[EventFact] = &[];
    let open = [defect(5, "2026-03-01", None), defect(5, "2026-03-02", None)];
    assert_eq!(counts(none, &open), (1, 0, 0, 0));
    let again = [
        defect(5, "2026-03-01", Some("2026-03-02")),
        defect(5, "2026-03-09", None),
    ];
    assert_eq!(counts(none, &again), (2, 0, 0, 0));
    let happened = [event("2026-05-19", &[(CanDetect, Passed)])];
    assert_eq!(
        counts(&happened, &[defect(5, "2026-05-19", None)]),
        (0, 1, 0, 0)
    );
    assert_eq!(
        counts(&happened, &[defect(5, "2026-05-18", None)]),
        (1, 1, 0, 0)
    );
    assert_eq!(
        counts(&happened, &[defect(6, "2026-05-20", None)]),
        (1, 1, 0, 0)
    );
    // A new part since: its defect is one of its own.
    let mut fresh = defect(5, "2026-07-01", None);
    fresh.installed = Some(day("2026-05-25"));
    assert_eq!(counts(&happened, &[fresh]), (1, 1, 0, 0));
}

#[test]
fn the_share_has_the_exact_interval_and_the_rate_too() {
    let happened = [event("2026-05-19", &[(CanDetect, Passed)])];
    let caught = [defect(6, "2026-01-05", None)];
    let answer = ranking(&happened, &caught, |_| vec![5], |_| Some(500));
    let item = &answer.items[0];
    assert_eq!(item.share, Some(0.5));
    // Clopper-Pearson of 1 in 2: 1 less the root of 0.975, and that root.
    let bounds = item.interval.expect("an interval");
    assert!(
        (bounds.lower - (1.0 - 0.975_f64.sqrt())).abs() < 1e-6,
        "{bounds:?}"
    );
    assert!((bounds.upper - 0.975_f64.sqrt()).abs() < 1e-6, "{bounds:?}");
    let rate = &answer.rates[0];
    assert_eq!(
        (rate.events, rate.shifts, rate.per_thousand),
        (1, Some(500), Some(2.0))
    );
    // Garwood of one event, from poisson_ci.csv: 0.0253178, 5.5716434; times two.
    let bounds = rate.interval.expect("an interval");
    assert!((bounds.lower - 2.0 * 0.0253178).abs() < 1e-6, "{bounds:?}");
    assert!((bounds.upper - 2.0 * 5.5716434).abs() < 1e-6, "{bounds:?}");
}

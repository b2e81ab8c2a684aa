//! Inventories, leak tests and the checks of the sheet.

use super::day;
use crate::trace::check::{Beside, Done, Known, judge, of_sheet};
use crate::trace::record::RecordWord::{self, *};

fn done(on: &str, is_good: bool, entry: i64) -> Done {
    Done {
        on: day(on),
        said: "by A. Reyes".to_owned(),
        is_good,
        entry,
    }
}

/// Known before, in force, written now; the word and the entry.
#[test]
fn what_stands_beside_the_list_is_judged_as_an_item_is() {
    let good = || Some(done("2026-04-01", true, 10));
    let bad = || Some(done("2026-04-01", false, 10));
    let late = || Some(done("2026-05-01", true, 90));
    type Row = (Option<Done>, bool, Option<Done>, RecordWord, Option<i64>);
    let rows: [Row; 6] = [
        (good(), true, good(), Passed, Some(10)),
        (good(), false, good(), RequiredLookAbsent, Some(10)),
        (good(), false, late(), Claimed, Some(90)),
        (None, false, late(), Claimed, Some(90)),
        (None, false, None, RequiredLookAbsent, None),
        (bad(), true, late(), KnownDefectUsed, Some(10)),
    ];
    for (n, (then, in_force, now, word, entry)) in rows.into_iter().enumerate() {
        let line = judge(&Known {
            check: Beside::Inventory,
            piece: "SA-1".to_owned(),
            then,
            in_force,
            now,
        });
        assert_eq!((line.record, line.entry), (word, entry), "row {n}");
    }
}

#[test]
fn a_sheet_tells_done_not_done_or_nothing() {
    let of = |sheet, done| {
        let line = of_sheet((Beside::Alarm, "RM-1".to_owned()), sheet, done, "heard");
        (line.record, line.last)
    };
    let sheet = Some((day("2026-05-19"), 7));
    for (sheet, done, word, last) in [
        (sheet, Some(true), Passed, "2026-05-19 heard"),
        (
            sheet,
            Some(false),
            RequiredLookAbsent,
            "2026-05-19 the sheet says that it was not done",
        ),
        (
            sheet,
            None,
            RequiredLookAbsent,
            "2026-05-19 the sheet does not say",
        ),
        (None, None, RequiredLookAbsent, "no sheet of the shift"),
    ] {
        assert_eq!(of(sheet, done), (word, last.to_owned()));
    }
}

#[test]
fn each_shows_the_failures_that_it_could_have_shown_and_no_wear() {
    for (failure, checks) in [
        ("lost-source", vec![Beside::Inventory, Beside::Survey]),
        ("leaking-source", vec![Beside::LeakTest]),
        ("ratemeter-failure", vec![Beside::Check, Beside::Alarm]),
        ("meter-failure", vec![Beside::Check]),
        ("false-home", vec![Beside::Survey]),
        ("drive-cable-broken", vec![]),
    ] {
        let shows = |it: &&Beside| it.shows(failure);
        let found: Vec<Beside> = Beside::ALL.iter().filter(shows).copied().collect();
        assert_eq!(found, checks, "{failure}");
    }
}

//! Inventories, leak tests and the checks of the sheet.

use super::{day, moment};
use crate::calendar::{Interval, YearStart};
use crate::record::Coverage::{self, CanDetect, NotEstablished};
use crate::trace::barrier::BarrierLine;
use crate::trace::check::CheckWord::{self, *};
use crate::trace::check::{Asked, Beside, CheckLine, Done, Known, best, judge, of_sheet};
use crate::trace::coverage::{self, Failed};
use crate::trace::finding::{Told, finding};
use crate::trace::occurred::Occurred;

fn done(on: &str, is_good: bool, entry: i64) -> Done {
    Done {
        on: day(on),
        said: "by A. Reyes".to_owned(),
        is_good,
        entry,
    }
}

fn asked(check: Beside, coverage: Coverage) -> Asked {
    Asked {
        check,
        equipment: "SA-1".to_owned(),
        coverage,
        rule: Some("10 CFR 34.29(a)".to_owned()),
    }
}

/// An event of 19 May, of some day of May, or of which nothing bounds the time before.
fn event(word: &str) -> Occurred {
    match word {
        "hour" => Occurred::at(moment("2026-05-19T13:40")),
        "month" => Occurred::between(Some(moment("2026-05-01T00:00")), moment("2026-05-31T23:59")),
        _ => Occurred::between(None, moment("2026-05-31T23:59")),
    }
}

fn known(when: &str, [then, perhaps, now]: [Option<Done>; 3]) -> Known {
    Known {
        asked: asked(Beside::Inventory, CanDetect),
        interval: Some((Interval::NotToExceedMonths(3), YearStart::JANUARY_FIRST)),
        event: event(when),
        then,
        perhaps,
        now,
    }
}

/// What a word of the table stands for.
fn named(word: &str) -> Option<Done> {
    match word {
        "good" => Some(done("2026-04-01", true, 10)),
        "old" => Some(done("2026-02-10", true, 9)),
        "bad" => Some(done("2026-04-01", false, 10)),
        "good-within" => Some(done("2026-05-19", true, 50)),
        "bad-within" => Some(done("2026-05-19", false, 50)),
        "late" => Some(done("2026-05-10", true, 90)),
        _ => None,
    }
}

/// The event; surely before, perhaps before, written now; the word, what it would be if all had
/// been before, and the entry.
#[test]
fn what_stands_beside_the_list_is_judged_by_what_surely_was_before() {
    let rows = "\
hour|good|good|good|passed|-|10
hour|old|old|old|overdue|-|9
hour|-|-|-|missing|-|-
hour|bad|bad|late|failed|-|10
hour|-|-|late|late entry, unverified|-|90
hour|old|old|late|late entry, unverified|-|90
hour|-|good-within|good-within|order unknown|passed|50
hour|good|bad-within|bad-within|passed|failed|10
hour|good|good-within|good-within|passed|-|10
month|old|old|old|order unknown|overdue|9
month|good|good|good|passed|-|10
month|-|good-within|good-within|order unknown|passed|50
unknown|-|good|good|order unknown|passed|10
unknown|-|-|-|missing|-|-";
    for row in rows.lines() {
        let cells: Vec<&str> = row.split('|').collect();
        let [when, then, perhaps, now, word, other, entry] = cells.as_slice() else {
            panic!("{row} is no row");
        };
        let line = judge(&known(when, [then, perhaps, now].map(|it| named(it))));
        let shown = line.as_if_before.map_or("-", CheckWord::word);
        let rests = line.entry.map_or("-".to_owned(), |it| it.to_string());
        let found = (line.record.word(), shown, rests.as_str());
        assert_eq!(found, (*word, *other, *entry), "{row}: {line:?}");
    }
    let late = judge(&known("hour", ["old"; 3].map(named)));
    assert_eq!(late.told, "overdue since 2026-05-11");
    assert_eq!(late.rule.as_deref(), Some("10 CFR 34.29(a)"));
}

#[test]
fn a_sheet_tells_done_not_done_or_nothing() {
    let of = |when, sheet, done| {
        let asked = asked(Beside::Alarm, CanDetect);
        let line = of_sheet(&asked, event(when), sheet, done, "heard");
        (line.record, line.last)
    };
    let sheet = Some((day("2026-05-19"), 7));
    for (when, sheet, done, word, last) in [
        ("hour", sheet, Some(true), Passed, "2026-05-19 heard"),
        (
            "hour",
            sheet,
            Some(false),
            Missing,
            "2026-05-19 the sheet says that it was not done",
        ),
        (
            "hour",
            sheet,
            None,
            Missing,
            "2026-05-19 the sheet does not say",
        ),
        ("hour", None, None, Missing, "no sheet of the shift"),
        // Of which shift it is nobody can tell.
        ("month", sheet, Some(true), OrderUnknown, "2026-05-19 heard"),
    ] {
        assert_eq!(of(when, sheet, done), (word, last.to_owned()));
    }
}

fn found(failure: &str) -> Failed {
    Failed::Found {
        on: "alarm ratemeter".to_owned(),
        component: "alarm".to_owned(),
        failure: failure.to_owned(),
        beside: coverage::Beside::default(),
    }
}

fn open(failure: &str) -> Failed {
    Failed::NotFound {
        failures: vec![failure.to_owned()],
    }
}

/// What failed, what happened, and what each check could have shown of it.
#[test]
fn each_shows_what_it_is_for_and_no_wear() {
    use Beside::{Alarm, Check, Inventory, LeakTest, Survey};
    type Row = (Failed, &'static str, Vec<(Beside, Coverage)>);
    let rows: Vec<Row> = vec![
        (
            open("lost-source"),
            "lost-source",
            vec![(Inventory, CanDetect), (Survey, NotEstablished)],
        ),
        (Failed::Human, "lost-source", vec![(Inventory, CanDetect)]),
        (Failed::Human, "theft", vec![(Inventory, CanDetect)]),
        (
            open("leaking-source"),
            "leaking-source",
            vec![(LeakTest, CanDetect)],
        ),
        (
            found("ratemeter-failure"),
            "meter-failure",
            vec![(Check, CanDetect), (Alarm, CanDetect)],
        ),
        // Whether the ratemeter was silent is not known.
        (
            open("loss-of-control"),
            "overexposure",
            vec![
                (Check, NotEstablished),
                (Alarm, NotEstablished),
                (Survey, NotEstablished),
            ],
        ),
        (found("false-home"), "other", vec![(Survey, CanDetect)]),
        (
            open("source-will-not-lock"),
            "source-will-not-lock",
            vec![(Survey, CanDetect)],
        ),
        (found("drive-cable-broken"), "drive-cable-broken", vec![]),
        (
            found("drive-cable-broken"),
            "source-will-not-retract",
            vec![],
        ),
    ];
    for (failed, kind, right) in rows {
        let could = |it: &Beside| Some((*it, it.could(&failed, &[kind])?));
        let all: Vec<(Beside, Coverage)> = Beside::ALL.iter().filter_map(could).collect();
        assert_eq!(all, right, "{failed:?} {kind}");
    }
}

fn told<'t>(beside: &'t [CheckLine], barriers: &'t [BarrierLine]) -> Vec<String> {
    finding(&Told {
        failed: Vec::new(),
        is_human: false,
        rows: Vec::new(),
        no_item: None,
        barriers,
        beside,
        out_of_service: &[],
        testimonies: 0,
    })
}

/// An event without a component: the sentences name the check that tells most.
#[test]
fn where_no_item_leads_the_finding_names_the_check_that_tells_most() {
    let passed = judge(&known("hour", ["good"; 3].map(named)));
    let missing = CheckLine {
        equipment: "D-1".to_owned(),
        ..judge(&known("hour", [None, None, None]))
    };
    let open = CheckLine {
        equipment: "RM-1".to_owned(),
        coverage: NotEstablished,
        ..missing.clone()
    };
    let all = [open.clone(), passed.clone(), missing];
    assert_eq!(best(&all).map(|it| it.equipment.as_str()), Some("D-1"));
    assert_eq!(
        told(&all, &[])[1..3],
        [
            "The inventory of D-1 (asked for by 10 CFR 34.29(a)) could have detected it.",
            "Its record before: missing; last: none on record.",
        ]
    );
    assert_eq!(
        told(&[passed], &[])[2],
        "Its record before: passed, in time until 2026-07-01; last: 2026-04-01 by A. Reyes (entry \
         10)."
    );
    assert_eq!(
        told(&[open], &[])[1],
        "Whether the inventory of RM-1 (asked for by 10 CFR 34.29(a)) could have detected it is \
        not \
         established."
    );
    let failed = judge(&known("hour", ["bad"; 3].map(named)));
    assert_eq!(
        told(&[failed], &[])[3],
        "Known before: the inventory of SA-1 had failed: 2026-04-01 by A. Reyes."
    );
    let overdue = judge(&known("hour", ["old"; 3].map(named)));
    assert_eq!(
        told(&[overdue], &[])[3],
        "Known before: the inventory of SA-1 was overdue since 2026-05-11."
    );
}

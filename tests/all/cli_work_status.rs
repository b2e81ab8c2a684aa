//! Who may work, as the office asks it: what stands against it besides the dose.

use super::cli_support::{Place, crew, row};

/// A sheet of a few days ago, and what `work_status` says of W07 today.
fn worked(name: &str, sheet: &str) -> Place {
    let place = Place::with_registers(name);
    place.hand_in(sheet);
    place
}

fn said(place: &Place) -> serde_json::Value {
    let out = place.done("work-status W07 --json").out;
    let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    all["data"]["lines"][0].clone()
}

fn reasons(place: &Place) -> Vec<String> {
    let line = said(place);
    let reasons = line["reasons"].as_array().expect("reasons");
    let stops = reasons.iter().any(|it| it["severity"] == "stop");
    assert_eq!(line["may_work"], !stops);
    let what = reasons.iter().map(|it| it["what"].as_str().expect("words"));
    what.map(str::to_owned).collect()
}

/// 10 CFR 34.47(g)(4): at periods of at most 12 months.
#[test]
fn a_ratemeter_out_of_calibration_is_told_to_whoever_wore_it_last() {
    let mut place = worked("work status-ratemeter", &crew("2026-06-12", "day"));
    assert_eq!(reasons(&place), Vec::<String>::new());
    let check =
        "instrument check --instrument RM-07 --performed-by \"Adaeze Hollow\" --type calibration";
    place.done(&format!("{check} --on 2026-06-14 --result fail"));
    assert_eq!(
        reasons(&place),
        ["alarm ratemeter RM-07: failed its calibration of 2026-06-14"]
    );
    let line = said(&place);
    // Another one can be taken: use of this one is a stop of its own.
    assert_eq!(line["reasons"][0]["severity"], "act");
    assert_eq!(line["reasons"][0]["citation"], "10 CFR 34.47(g)(4)");
    assert_ne!(
        line["reasons"][0]["entries"].as_array().map(Vec::len),
        Some(0)
    );
    place.done(&format!("{check} --on 2026-06-15 --result pass"));
    assert_eq!(reasons(&place), Vec::<String>::new());
    // A year and a day after; the sheet must not be too old to tell what is used.
    place.turn_to("wearbook.db", "2027-06-16T12:00:00Z");
    place.hand_in(&crew("2027-06-10", "day"));
    let overdue = "alarm ratemeter RM-07: last calibration on 2026-06-15, overdue since 2027-06-16";
    assert!(reasons(&place).contains(&overdue.to_owned()));
}

#[test]
fn a_thing_out_of_service_is_told_to_whoever_wore_it_last() {
    let place = worked("work status-withdrawn", &crew("2026-06-12", "day"));
    for item in ["RM-07", "PD-07"] {
        place.done(&format!(
            "equipment out-of-service --item {item} --on 2026-06-15 --performed-by W01 \
             --reason \"fell into the river\""
        ));
    }
    assert_eq!(
        reasons(&place),
        [
            "alarm ratemeter RM-07: out of service since 2026-06-15: fell into the river",
            "pocket dosimeter PD-07: out of service since 2026-06-15: fell into the river",
        ]
    );
    place.done(
        "equipment return --item RM-07 --on 2026-06-15 --performed-by W01 --done \"dried \
            and tested\"",
    );
    assert_eq!(reasons(&place).len(), 1);
}

#[test]
fn what_is_not_on_the_last_sheet_is_said_to_be_not_known() {
    let bare = "W07,radiographer,PD-07,1,0,12,no,,,yes";
    let place = worked("work status-bare", &row("2026-06-12", "day", bare));
    let not_known = |place: &Place| said(place)["not_known"][0].clone();
    assert_eq!(
        not_known(&place),
        "which alarm ratemeter is used: none on the sheet of 2026-06-12"
    );
    let text = place.done("work-status").out;
    assert!(
        text.contains("Not known, and to be checked before work:"),
        "{text}"
    );
    let fresh = Place::with_registers("work status-fresh");
    assert_eq!(
        not_known(&fresh),
        "which dosimeter and alarm ratemeter are used: no sheet since 2026-04-16"
    );
}

/// 10 CFR 34.43(d), (e).
#[test]
fn the_days_on_which_qualifications_end_stand_in_the_table() {
    let place = worked("work status-duties", &crew("2026-06-12", "day"));
    for (kind, on) in [
        ("\"refresher training\"", "2025-09-01"),
        ("\"job performance inspection\"", "2026-05-04"),
    ] {
        place.done(&format!(
            "worker qualification --worker W07 --type {kind} --on {on} --performed-by \"Adaeze \
            Hollow\""
        ));
    }
    let text = place.done("work-status W07").out;
    for row in [
        "W07  refresher training",
        "2026-09-01",
        "2026-11-04",
        "NO: not on record",
        "10 CFR 34.43(d)",
    ] {
        assert!(text.contains(row), "{row}: {text}");
    }
}

/// A result of a badge that was issued to nobody: somebody received it.
#[test]
fn a_result_that_belongs_to_nobody_stands_under_every_list() {
    let place = worked("work status-nobody", &crew("2026-06-12", "day"));
    place.done(
        "badge result --badge X-1 --report R-5 --reported-on 2026-06-10 --deep \"44 mrem\" \
         --lens \"M\" --minimum \"10 mrem\" --below-code M",
    );
    let shown = |place: &Place| {
        [
            "work-status",
            "dose crew --year 2026",
            "dose lists --year 2026",
        ]
        .map(|line| {
            let out = place.done(line).out;
            assert_eq!(
                out.contains("nassigned badge results"),
                out.contains("deep 44 mrem, lens M")
            );
            out.contains("badge X-1, report R-5 of 2026-06-10: deep 44 mrem")
        })
    };
    assert_eq!(shown(&place), [true; 3]);
    // To say that it counts names nobody.
    place.done("hold resolve 29.1 --counts --reason \"asked the lab\"");
    assert_eq!(shown(&place), [true; 3]);
    place.done(
        "badge issue --badge X-1 --type \"whole body\" --worker W08 --first-day 2026-05-01 \
         --last-day 2026-05-31",
    );
    place.done("entry correct 29 badge=X-1 --reason \"the spare that she wore\"");
    assert_eq!(shown(&place), [false; 3]);
    let dose = place.done("dose show W08 --year 2026").out;
    assert!(dose.contains("44"), "{dose}");
}

/// A negative dose is told so, and no riddle about flags.
#[test]
fn a_negative_dose_is_refused_in_words_about_the_dose() {
    let mut place = Place::with_registers("work status-negative");
    let said = place.refused(
        "badge result --badge X-1 --report R-5 --reported-on 2026-06-10 --deep \"-4 mrem\"",
    );
    assert!(said.err.contains("deep: "), "{}", said.err);
    assert!(!said.err.contains("unexpected argument"), "{}", said.err);
}

/// What is known later of a day is not in what was known then.
#[test]
fn who_may_work_can_be_asked_as_known_at_an_entry() {
    let place = worked("work status-known", &crew("2026-06-12", "day"));
    let seal = place.done("ledger seal").out;
    let count = seal.split(':').next().expect("a count");
    let asked = format!("work-status W07 --known-at {count}");
    let board = format!("board --crew W07 --json --known-at {count}");
    let before = [place.done(&asked).out, place.done(&board).out];
    place.done(
        "instrument check --instrument RM-07 --performed-by \"Adaeze Hollow\" --type calibration \
         --on 2026-06-14 --result fail",
    );
    assert_ne!(place.done("work-status W07").out, before[0]);
    assert_ne!(place.done("board --crew W07 --json").out, before[1]);
    assert_eq!([place.done(&asked).out, place.done(&board).out], before);
}

//! The checks of a sheet against the inspection and maintenance of what it used: each row changes
//! one thing on a sheet on which all is well, and stands beside a near miss.

use super::checks::hold;
use super::sheet::{checked, item, sheet, us};
use super::table::day;
use crate::calendar::parse_time;
use crate::dose::checks::input::*;
use crate::dose::checks::sheet_findings;
use crate::record::Work;

fn duty(s: &mut SheetFacts, key: &'static str, last: Option<LastCheck>) {
    let what = match key {
        "equipment-inspection" => "inspection",
        _ => "leak test",
    };
    s.equipment[0].maintenance.duties = vec![Duty { key, what, last }];
}

fn failed(on: &str) -> Option<LastCheck> {
    let check = checked(8, on)?;
    Some(LastCheck {
        passed: false,
        ..check
    })
}

fn inspected(s: &mut SheetFacts, checked_at: &str, in_use_by: &str) {
    let time = |text: &str| (!text.is_empty()).then(|| parse_time(text).expect("a time"));
    s.in_use_by = time(in_use_by);
    s.equipment[0].maintenance.daily = Daily::Inspected {
        entry: 9,
        at: time(checked_at),
    };
}

fn defect(on: &str) -> Option<Defect> {
    Some(Defect {
        entry: 8,
        on: day(on),
        what: "device-lock: sticks".to_owned(),
    })
}

fn serviced() -> Option<Done> {
    Some(Done {
        entry: 8,
        on: day("2026-06-01"),
        what: "new tube".to_owned(),
    })
}

/// 10 CFR 34.27(c)(1): six months; (e): twelve for a shield of depleted uranium. Of the day
/// itself both still hold.
#[test]
fn sources_and_shields_without_a_leak_test_in_date_are_found() {
    hold(&[
        (
            "a source on its last day",
            |s| duty(s, "leak-test", checked(8, "2025-12-14")),
            &[],
        ),
        (
            "a source a day over",
            |s| duty(s, "leak-test", checked(8, "2025-12-13")),
            &["act leak-test ED-A"],
        ),
        (
            "a source never tested",
            |s| duty(s, "leak-test", None),
            &["act leak-test ED-A"],
        ),
        (
            "a source that leaked",
            |s| duty(s, "leak-test", failed("2026-06-01")),
            &["act leak-test ED-A"],
        ),
        (
            "a shield on its last day",
            |s| duty(s, "shield-leak-test", checked(8, "2025-06-14")),
            &[],
        ),
        (
            "a shield a day over",
            |s| duty(s, "shield-leak-test", checked(8, "2025-06-13")),
            &["act shield-leak-test ED-A"],
        ),
    ]);
}

/// 10 CFR 34.31(b): three months, or before the first use thereafter.
#[test]
fn equipment_whose_periodic_inspection_is_overdue_is_found() {
    hold(&[
        (
            "on its last day",
            |s| duty(s, "equipment-inspection", checked(8, "2026-03-14")),
            &[],
        ),
        (
            "a day over",
            |s| duty(s, "equipment-inspection", checked(8, "2026-03-13")),
            &["act equipment-inspection ED-A"],
        ),
        (
            "never",
            |s| duty(s, "equipment-inspection", None),
            &["act equipment-inspection ED-A"],
        ),
    ]);
}

#[test]
fn a_day_of_use_without_its_check_is_found_once_for_all_pieces() {
    hold(&[
        (
            "no list asks for one",
            |s| s.equipment[0].maintenance.daily = Daily::NotAsked,
            &[],
        ),
        ("looked at", |s| inspected(s, "06:40", "07:10"), &[]),
        (
            "device and meter not looked at",
            |s| {
                s.equipment[0].maintenance.daily = Daily::Missing;
                s.meters[0].item.maintenance.daily = Daily::Missing;
            },
            &["act daily-check 2026-06-14 night"],
        ),
        (
            "looked at, and the crew says that the meter was not checked",
            |s| {
                inspected(s, "06:40", "07:10");
                s.meter_checked = Some(false);
            },
            &["act daily-check 2026-06-14 night"],
        ),
        (
            "looked at, and the crew says so too",
            |s| {
                inspected(s, "06:40", "07:10");
                s.meter_checked = Some(true);
            },
            &[],
        ),
        (
            "at a source exchange",
            |s| {
                s.work = Work::SourceExchange;
                s.equipment[0].maintenance.daily = Daily::Missing;
            },
            &["act daily-check 2026-06-14 night"],
        ),
        (
            "only carried",
            |s| {
                s.work = Work::Transport;
                s.equipment[0].maintenance.daily = Daily::Missing;
            },
            &[],
        ),
    ]);
}

#[test]
fn a_check_that_came_after_the_use_is_found_and_one_at_its_minute_is_not() {
    hold(&[
        (
            "in the same minute",
            |s| inspected(s, "08:30", "08:30"),
            &[],
        ),
        (
            "a minute later",
            |s| inspected(s, "08:31", "08:30"),
            &["act checked-after-use ED-A"],
        ),
        ("no hour of the check", |s| inspected(s, "", "08:30"), &[]),
        ("no hour of the use", |s| inspected(s, "16:00", ""), &[]),
        (
            "only carried",
            |s| {
                s.work = Work::Transport;
                inspected(s, "16:00", "08:30");
            },
            &[],
        ),
    ]);
}

#[test]
fn use_with_a_defect_stops_and_on_its_own_day_is_looked_at() {
    hold(&[
        (
            "written down the day before",
            |s| s.equipment[0].maintenance.defect = defect("2026-06-13"),
            &["stop used-with-defect ED-A"],
        ),
        (
            "written down that day",
            |s| s.equipment[0].maintenance.defect = defect("2026-06-14"),
            &["watch used-with-defect ED-A"],
        ),
        (
            "a meter",
            |s| s.meters[0].item.maintenance.defect = defect("2026-06-13"),
            &["stop used-with-defect SM-02"],
        ),
        (
            "none that stands",
            |s| s.equipment.push(item("CU-B", "control unit")),
            &[],
        ),
    ]);
}

/// 10 CFR 34.25(b)(1): calibrated after servicing, except battery changes.
#[test]
fn an_instrument_serviced_and_not_calibrated_since_is_found_once() {
    hold(&[
        (
            "a meter",
            |s| s.meters[0].item.maintenance.serviced = serviced(),
            &["act serviced-not-calibrated SM-02"],
        ),
        (
            "one ratemeter on two people",
            |s| {
                let mut it = s.people[0].ratemeter.clone();
                it.as_mut().expect("a ratemeter").item.maintenance.serviced = serviced();
                s.people[0].ratemeter = it.clone();
                s.people[1].ratemeter = it;
            },
            &["act serviced-not-calibrated RM-W01"],
        ),
        (
            "a dosimeter",
            |s| s.people[1].dosimeters[0].item.maintenance.serviced = serviced(),
            &["act serviced-not-calibrated PD-2"],
        ),
        (
            "equipment is not calibrated",
            |s| s.equipment[0].maintenance.serviced = serviced(),
            &[],
        ),
    ]);
}

#[test]
fn what_maintenance_finds_names_the_piece_the_days_and_the_entries() {
    let mut sheet = sheet();
    inspected(&mut sheet, "08:31", "08:30");
    sheet.equipment[0].maintenance.defect = defect("2026-06-13");
    let found = sheet_findings(&sheet, &us(), &us());
    let said: Vec<(&str, &[i64])> = found
        .iter()
        .map(|it| (it.what.as_str(), it.entries.as_slice()))
        .collect();
    assert_eq!(
        said,
        [
            (
                "ED-A was used on 2026-06-14 night with a defect written down on 2026-06-13 \
                 (device-lock: sticks)",
                &[8, 100][..]
            ),
            (
                "ED-A was checked at 08:31 on 2026-06-14, after its use on 2026-06-14 night \
                 (08:30)",
                &[9, 100][..]
            ),
        ]
    );
}

#[test]
fn a_sheet_is_late_by_the_day_on_which_it_was_surely_or_perhaps_written() {
    hold(&[
        ("seven days late", |s| s.written_on = day("2026-06-21"), &[]),
        (
            "eight days late",
            |s| s.written_on = day("2026-06-22"),
            &["watch late-entry 2026-06-14 night"],
        ),
        (
            "perhaps eight days late: the clock cannot be trusted",
            |s| s.clock_doubted = Some((Some(day("2026-06-22")), 7)),
            &["watch late-entry 2026-06-14 night"],
        ),
        (
            "perhaps later, nobody can tell until when",
            |s| s.clock_doubted = Some((None, 7)),
            &["watch late-entry 2026-06-14 night"],
        ),
        (
            "seven days late at the most, by a clock that cannot be trusted",
            |s| s.clock_doubted = Some((Some(day("2026-06-21")), 7)),
            &[],
        ),
        (
            "eight days late, copied from paper",
            |s| {
                s.written_on = day("2026-06-22");
                s.transcribed = true;
            },
            &[],
        ),
    ]);
}

//! The checks of a sheet: each row changes one thing on a sheet on which all
//! is well, and names the findings that follow.

use super::sheet::{checked, electronic, pocket, sheet, shown, us};
use super::table::{day, reading};
use crate::dose::checks::input::*;
use crate::dose::checks::{CHECKS, sheet_findings};
use crate::record::{Role, Setting, Work};
use crate::rule::{Finding, RULE_KEYS, RuleSet, Severity, builtin, offer};

pub(super) type Row = (&'static str, fn(&mut SheetFacts), &'static [&'static str]);

pub(super) fn hold(rows: &[Row]) {
    let us = us();
    for (what, change, expected) in rows {
        let mut sheet = sheet();
        change(&mut sheet);
        let found = sheet_findings(&sheet, &us, &us);
        let said: Vec<String> = found
            .iter()
            .map(|one| format!("{} {} {}", one.severity, one.check, one.subject))
            .collect();
        assert_eq!(said, *expected, "{what}");
    }
}

fn withdrawal(on: &str) -> Option<Withdrawal> {
    Some(Withdrawal {
        entry: 50,
        on: day(on),
        reason: "lock sticks".to_string(),
    })
}

fn last_end(text: &str) -> Option<LastEnd> {
    Some(LastEnd {
        entry: 90,
        day: day("2026-06-13"),
        shift: "day".to_string(),
        end: shown(text),
    })
}

#[test]
fn a_sheet_on_which_all_is_well_has_no_finding() {
    assert_eq!(sheet_findings(&sheet(), &us(), &us()), []);
}

#[test]
fn readings_that_need_somebody_are_found() {
    hold(&[
        (
            "off-scale",
            |s| s.people[0].dosimeters[0] = pocket("PD-1 0mR>- off-scale"),
            &["stop off-scale W01"],
        ),
        (
            "an off-scale reading that is held stops all the same",
            |s| s.people[0].dosimeters[0] = pocket("PD-1 0mR>- off-scale held:two-people"),
            &["stop off-scale W01", "act held-item W01"],
        ),
        (
            "a reading that is not this person's",
            |s| s.people[0].dosimeters[0] = pocket("PD-1 0mR>- off-scale held:two-people out"),
            &["act no-dosimeter W01"],
        ),
        (
            "electronic, 200 mrem: no trigger",
            |s| s.people[0].dosimeters[0] = electronic("ED-1 0mrem>200mrem"),
            &[],
        ),
        (
            "electronic, 201 mrem",
            |s| s.people[0].dosimeters[0] = electronic("ED-1 0mrem>201mrem"),
            &["stop electronic-over-shift-limit W01"],
        ),
        (
            "electronic, 2.00 mSv and 2.01 mSv in parts",
            |s| {
                let mut two = electronic("ED-1 0mSv>1mSv");
                two.readings.push(reading("ED-1 0mSv>1.01mSv"));
                s.people[0].dosimeters[0] = two;
                s.people[1].dosimeters[0] = electronic("ED-2 0.5mSv>2.5mSv");
            },
            &["stop electronic-over-shift-limit W01"],
        ),
        (
            "no dosimeter at all",
            |s| s.people[1].dosimeters.clear(),
            &["act no-dosimeter W02"],
        ),
        (
            "no dosimeter while carrying the device",
            |s| {
                s.work = Work::Transport;
                s.people[1].dosimeters.clear();
            },
            &["watch no-dosimeter W02"],
        ),
        (
            "no end",
            |s| s.people[1].dosimeters[0] = pocket("PD-2 0mR>-"),
            &["act no-dosimeter W02"],
        ),
        (
            "held",
            |s| s.people[1].dosimeters[0] = pocket("PD-2 31mR>12mR held:end-below-start"),
            &["act held-item W02"],
        ),
        (
            "badge not worn",
            |s| s.people[1].badge_worn = Some(false),
            &["act badge-not-worn W02"],
        ),
    ]);
}

#[test]
fn somebody_too_young_is_found_where_the_work_is_at_a_source() {
    hold(&[
        (
            "somebody whom the rule set's ages keep from exposed work",
            |s| s.people[1].too_young = Some((Severity::Stop, "under 16".to_owned())),
            &["stop minor W02"],
        ),
        (
            "somebody under 18 where the rule set has no age",
            |s| s.people[1].too_young = Some((Severity::Watch, "under 18".to_owned())),
            &["watch minor W02"],
        ),
        (
            "the same who carries a closed device",
            |s| {
                s.people[1].too_young = Some((Severity::Stop, "under 16".to_owned()));
                s.work = Work::Transport;
            },
            &[],
        ),
    ]);
}

#[test]
fn two_dosimeters_of_one_person_are_compared() {
    hold(&[
        (
            "12 and 22 mrem: 10 apart is not beyond the minimum",
            |s| s.people[0].dosimeters.push(electronic("ED-1 0mrem>22mrem")),
            &[],
        ),
        (
            "12 and 23 mrem",
            |s| s.people[0].dosimeters.push(electronic("ED-1 0mrem>23mrem")),
            &["act two-dosimeters-disagree W01"],
        ),
        (
            "75 and 100 mrem: a quarter of the higher is not beyond",
            |s| {
                s.people[0].dosimeters =
                    vec![pocket("PD-1 0mR>75mR"), electronic("ED-1 0mrem>100mrem")];
            },
            &[],
        ),
        (
            "74 and 100 mrem",
            |s| {
                s.people[0].dosimeters =
                    vec![pocket("PD-1 0mR>74mR"), electronic("ED-1 0mrem>100mrem")];
            },
            &["act two-dosimeters-disagree W01"],
        ),
        (
            "an off-scale one is not compared",
            |s| {
                s.people[0].dosimeters = vec![
                    pocket("PD-1 0mR>0mR off-scale"),
                    electronic("ED-1 0mrem>100mrem"),
                ];
            },
            &["stop off-scale W01"],
        ),
    ]);
}

#[test]
fn a_start_is_the_last_end_or_a_fresh_start() {
    hold(&[
        (
            "pocket, recharged to near zero",
            |s| {
                s.people[0].dosimeters[0] = pocket("PD-1 3mR>12mR");
                s.people[0].dosimeters[0].last_end = last_end("31 mR");
            },
            &[],
        ),
        (
            "pocket, carried on",
            |s| {
                s.people[0].dosimeters[0] = pocket("PD-1 31mR>40mR");
                s.people[0].dosimeters[0].last_end = last_end("31 mR");
            },
            &[],
        ),
        (
            "pocket, neither",
            |s| {
                s.people[0].dosimeters[0] = pocket("PD-1 35mR>40mR");
                s.people[0].dosimeters[0].last_end = last_end("31 mR");
            },
            &["watch start-not-last-end PD-1"],
        ),
        (
            "electronic, reset to zero",
            |s| {
                s.people[0].dosimeters[0] = electronic("ED-1 0mrem>4mrem");
                s.people[0].dosimeters[0].last_end = last_end("31 mrem");
            },
            &[],
        ),
        (
            "electronic, goes on counting",
            |s| {
                s.people[0].dosimeters[0] = electronic("ED-1 0.31mSv>0.4mSv");
                s.people[0].dosimeters[0].last_end = last_end("310 uSv");
            },
            &[],
        ),
        (
            "electronic, dose between two sheets",
            |s| {
                s.people[0].dosimeters[0] = electronic("ED-1 2mrem>4mrem");
                s.people[0].dosimeters[0].last_end = last_end("1 mrem");
            },
            &["watch start-not-last-end ED-1"],
        ),
    ]);
}

#[test]
fn meters_out_of_date_or_never_checked_are_found() {
    hold(&[
        // 10 CFR 34.25(b)(1): six months, valid on the day, overdue the next.
        (
            "meter on its last day",
            |s| s.meters[0].calibrated = checked(7, "2025-12-14"),
            &[],
        ),
        (
            "meter a day over",
            |s| s.meters[0].calibrated = checked(7, "2025-12-13"),
            &["act meter-calibration SM-02"],
        ),
        (
            "meter never checked",
            |s| s.meters[0].calibrated = None,
            &["act meter-calibration SM-02"],
        ),
        (
            "meter that failed",
            |s| s.meters[0].calibrated.as_mut().unwrap().passed = false,
            &["act meter-calibration SM-02"],
        ),
        (
            "no meter on the sheet",
            |s| s.meters.clear(),
            &["act meter-calibration 2026-06-14 night"],
        ),
    ]);
}

#[test]
fn dosimeters_and_ratemeters_out_of_date_or_untested_are_found() {
    hold(&[
        // 34.47(c), (g)(4): twelve months.
        (
            "dosimeter a day over",
            |s| s.people[0].dosimeters[0].response = checked(5, "2025-06-13"),
            &["act response-check PD-1"],
        ),
        (
            "dosimeter on its last day",
            |s| s.people[0].dosimeters[0].response = checked(5, "2025-06-14"),
            &[],
        ),
        (
            "ratemeter never checked",
            |s| s.people[0].ratemeter.as_mut().unwrap().calibrated = None,
            &["act ratemeter-calibration RM-W01"],
        ),
        (
            "alarm not tested",
            |s| s.people[0].alarm_tested = Some(false),
            &["act ratemeter-not-tested W01"],
        ),
        (
            "alarm test not said",
            |s| s.people[0].alarm_tested = None,
            &["act ratemeter-not-tested W01"],
        ),
        (
            "no ratemeter",
            |s| s.people[0].ratemeter = None,
            &["act ratemeter-not-worn W01"],
        ),
        (
            "no ratemeter at a permanent radiographic installation",
            |s| {
                s.people[0].ratemeter = None;
                s.setting = Setting::Fixed;
            },
            &[],
        ),
        (
            "no ratemeter, carrying the device",
            |s| {
                s.people[0].ratemeter = None;
                s.work = Work::Transport;
            },
            &[],
        ),
    ]);
}

#[test]
fn equipment_and_paper_that_need_somebody_are_found() {
    hold(&[
        (
            "device withdrawn before",
            |s| s.equipment[0].out_of_service = withdrawal("2026-06-13"),
            &["stop withdrawn-used ED-A"],
        ),
        (
            "device withdrawn on the day",
            |s| s.equipment[0].out_of_service = withdrawal("2026-06-14"),
            &["watch withdrawn-used ED-A"],
        ),
        (
            "meter withdrawn before",
            |s| s.meters[0].item.out_of_service = withdrawal("2026-06-01"),
            &["stop withdrawn-used SM-02"],
        ),
        (
            "one ratemeter on two people is one item",
            |s| {
                s.people[0].ratemeter.as_mut().unwrap().item.out_of_service =
                    withdrawal("2026-06-01");
                s.people[1].ratemeter = s.people[0].ratemeter.clone();
            },
            &["stop withdrawn-used RM-W01"],
        ),
        (
            "no storage survey",
            |s| s.storage_survey = None,
            &["act no-survey-at-storage 2026-06-14 night"],
        ),
        (
            "neither storage nor survey",
            |s| {
                s.storage_survey = None;
                s.device_back = false;
            },
            &["watch no-survey-at-storage 2026-06-14 night"],
        ),
        (
            "source exchange without a survey",
            |s| {
                s.work = Work::SourceExchange;
                s.storage_survey = None;
                s.device_back = false;
            },
            &["act no-survey-at-storage 2026-06-14 night"],
        ),
        (
            "not attested",
            |s| s.attested_by = Some(" ".to_string()),
            &["watch not-attested 2026-06-14 night"],
        ),
    ]);
}

fn only(change: fn(&mut SheetFacts)) -> Finding {
    let mut sheet = sheet();
    change(&mut sheet);
    let mut found = sheet_findings(&sheet, &us(), &us());
    assert_eq!(found.len(), 1);
    found.remove(0)
}

#[test]
fn findings_are_plain_words_with_rule_and_entries() {
    let off = only(|s| s.people[0].dosimeters[0] = pocket("PD-1 0mR>- off-scale"));
    assert_eq!(
        off.what,
        "W01 A. Worker, 2026-06-14 night: PD-1 off-scale: the dose has no upper bound"
    );
    assert_eq!(off.citation, "10 CFR 34.47(d)");
    assert_eq!(off.key(), "off-scale/W01/100");
    let meter = only(|s| s.meters[0].calibrated = checked(7, "2025-12-13"));
    assert_eq!(
        meter.what,
        "SM-02 used on 2026-06-14 night with its calibration overdue since 2026-06-14 \
         (last 2025-12-13)"
    );
    assert_eq!(meter.entries, [7, 100]);
    let never = only(|s| s.meters[0].calibrated = None);
    assert_eq!(
        never.what,
        "SM-02 used on 2026-06-14 night with no calibration on record"
    );
    let two = only(|s| s.people[0].role = Role::Assistant);
    assert_eq!(
        two.what,
        "2026-06-14 night: no radiographer on the sheet (W01 assistant, W02 assistant)"
    );
}

#[test]
fn every_check_has_a_rule_text_in_every_built_in_rule_set() {
    for check in CHECKS {
        let key = check.key.key();
        assert!(RULE_KEYS.contains(&key), "{key}");
        assert!(check.key.harm().ends_with('.'), "{key}");
        for offer in builtin() {
            let rule_set = RuleSet::parse(offer.text).unwrap();
            assert!(rule_set.rule(key).is_some(), "{} {key}", offer.name);
        }
    }
}

/// SOR/2000-207 s. 20: calibrated within the 12 months before its use.
#[test]
fn another_rule_set_has_its_own_interval() {
    let canada = RuleSet::parse(offer("Canada").unwrap().text).unwrap();
    let mut sheet = sheet();
    sheet.meters[0].calibrated = checked(7, "2025-06-14");
    assert_eq!(sheet_findings(&sheet, &canada, &canada), []);
    sheet.meters[0].calibrated = checked(7, "2025-06-13");
    let found = sheet_findings(&sheet, &canada, &canada);
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0].what,
        "SM-02 used on 2026-06-14 night with its calibration overdue since 2026-06-14 \
         (last 2025-06-13)"
    );
}

//! Tests against the built-in rule sets: the rows of the published rules with their near misses.

mod clocks;
mod doses;
mod order;
mod questions;
mod table;

use super::{
    Answered, Applies, Assessed, Category, DutyState, Facts, Given, Happening, Notifications,
    Progress, Start, State, Unmeasured, notifications,
};
use crate::calendar::{Instant, Zone, parse_instant};
use crate::quantity::Dose;
use crate::rule::{Quantity, RuleSet, offer};

pub(super) fn rule_set(key: &str) -> RuleSet {
    RuleSet::parse(offer(key).unwrap().text).unwrap()
}

pub(super) fn at(text: &str) -> Instant {
    parse_instant(text).unwrap().to_utc()
}

/// A disconnect of 1 March, discovered on 3 March, asked about an hour later. Whoever was there
/// received next to nothing.
pub(super) fn facts(kind: &str) -> Facts {
    Facts {
        happenings: vec![Happening {
            key: kind.to_owned(),
            entry: 10,
            at: None,
        }],
        occurred: start("2026-03-01T13:40-06:00"),
        discovered: start("2026-03-03T08:00-06:00"),
        category: None,
        authority: None,
        tested: None,
        zone: Zone::parse("America/Chicago").unwrap(),
        doses: vec![dose(Quantity::Deep, "1 mrem")],
        limits: Vec::new(),
        unmeasured: Vec::new(),
        answers: Vec::new(),
        done: Vec::new(),
        present: Vec::new(),
        now: at("2026-03-03T09:00-06:00"),
    }
}

pub(super) fn start(text: &str) -> Start {
    Start {
        at: at(text),
        taken: None,
    }
}

pub(super) fn answer(facts: &mut Facts, question: &str, yes: bool) {
    facts.answers.push(Answered {
        question: question.to_owned(),
        yes,
        at: facts.now,
        entry: 20 + facts.answers.len() as i64,
    });
}

pub(super) fn dose(quantity: Quantity, text: &str) -> Assessed {
    Assessed {
        person: "W07".to_owned(),
        quantity,
        dose: Dose::parse(text, None).unwrap(),
        open: false,
        of_record: true,
        reported: false,
        known_at: at("2026-03-10T10:00-05:00"),
        clock_doubted: None,
    }
}

pub(super) fn given(duty: &str, from: Instant, at: Instant) -> Given {
    Given {
        duty: duty.to_owned(),
        from,
        at,
        by: "the RSO".to_owned(),
        to: "the duty officer".to_owned(),
        reference: None,
    }
}

pub(super) fn us(facts: &Facts) -> Notifications {
    notifications(&rule_set("10 CFR"), facts)
}

/// The clocks of one duty.
pub(super) fn of<'a>(found: &'a Notifications, duty: &str) -> Vec<&'a DutyState> {
    found.duties.iter().filter(|it| it.duty == duty).collect()
}

/// The only clock of one duty.
pub(super) fn one<'a>(found: &'a Notifications, duty: &str) -> &'a DutyState {
    let all = of(found, duty);
    assert_eq!(all.len(), 1, "{duty}: {all:#?}");
    all[0]
}

pub(super) fn applies(found: &Notifications, duty: &str) -> Option<Applies> {
    of(found, duty).first().map(|it| it.applies)
}

#[test]
fn a_rule_set_without_duties_sends_to_the_authority() {
    let found = notifications(&rule_set("IAEA"), &facts("disconnect"));
    assert!(found.duties.is_empty());
    assert!(found.ask.unwrap().contains("ask your authority"));
}

#[test]
fn what_is_overdue_stands_first_and_what_does_not_arise_last() {
    let mut asked = facts("disconnect");
    answer(&mut asked, "control-lost", false);
    answer(&mut asked, "prevents-protection", false);
    asked.now = at("2026-03-20T08:00-05:00");
    let found = us(&asked);
    let ranks: Vec<Progress> = found.duties.iter().map(|it| it.state.progress()).collect();
    let mut sorted = ranks.clone();
    sorted.sort_unstable();
    assert_eq!(ranks, sorted);
    assert_eq!(found.duties[0].duty, "call-30-50-b");
    assert_eq!(found.duties[0].state, State::Overdue);
    let last = found.duties.last().unwrap();
    assert_eq!(last.state, State::NotApplicable);
}

#[test]
fn a_report_says_which_of_its_contents_are_missing() {
    let mut asked = facts("disconnect");
    let report = "written-34-101".to_owned();
    asked.present = vec![(report.clone(), "problem".into()), (report, "place".into())];
    // Of another duty, under the same key.
    asked.present.push(("written-30-50".into(), "cause".into()));
    let found = us(&asked);
    let missing: Vec<&str> = one(&found, "written-34-101")
        .missing()
        .map(|it| it.key.as_str())
        .collect();
    // The seven of 10 CFR 34.101(b), less two.
    assert_eq!(
        missing,
        ["cause", "maker", "restored", "corrective", "qualifications"]
    );
}

#[test]
fn a_notification_for_a_clock_that_is_no_more_is_not_forgotten() {
    let mut asked = facts("disconnect");
    let earlier = at("2026-02-28T08:00-06:00");
    asked.done = vec![given("written-34-101", earlier, asked.now)];
    let found = us(&asked);
    assert!(one(&found, "written-34-101").is_open());
    assert_eq!(found.stray, asked.done);
}

#[test]
fn canada_is_told_at_once_and_again_within_21_days_of_a_dose_above_a_limit() {
    let rule_set = rule_set("Canada");
    let mut asked = facts("disconnect");
    asked.limits = vec![doses::left("50 mSv", "0 mSv")];
    asked.doses = vec![dose(Quantity::Deep, "50.1 mSv")];
    let found = notifications(&rule_set, &asked);
    let device = one(&found, "at-once-30");
    assert_eq!(device.applies, Applies::Yes);
    assert_eq!(device.deadline, Some(asked.discovered.at));
    assert_eq!(device.state, State::Overdue);
    let known = at("2026-03-10T10:00-05:00");
    assert_eq!(one(&found, "limit-at-once-16").deadline, Some(known));
    let report = one(&found, "limit-report-16");
    assert_eq!(report.deadline, Some(at("2026-03-31T10:00-05:00")));
    assert!(report.citation.contains("to be confirmed"));
    asked.doses = vec![dose(Quantity::Deep, "50 mSv")];
    let found = notifications(&rule_set, &asked);
    assert_eq!(applies(&found, "limit-report-16"), Some(Applies::No));
}

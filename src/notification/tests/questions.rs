//! Questions of the rules: what nobody answered counts as yes.

use super::*;

#[test]
fn an_unanswered_question_never_stops_a_clock() {
    let found = us(&facts("meter-failure"));
    let call = one(&found, "call-30-50-b");
    assert_eq!(call.applies, Applies::May);
    let open: Vec<&str> = call.unanswered.iter().map(|it| it.key.as_str()).collect();
    assert_eq!(
        open,
        ["safety-equipment", "required-operable", "no-redundant"]
    );
    assert!(call.is_open());
}

/// 10 CFR 30.50(b)(2): all three, or none of it.
#[test]
fn one_no_of_three_is_enough_and_two_yes_are_not() {
    let all = ["safety-equipment", "required-operable", "no-redundant"];
    for no in all {
        let mut asked = facts("disconnect");
        for question in all {
            answer(&mut asked, question, question != no);
        }
        let found = us(&asked);
        assert_eq!(applies(&found, "call-30-50-b"), Some(Applies::No), "{no}");
        assert_eq!(applies(&found, "written-30-50"), Some(Applies::No), "{no}");
        // The report of 34.101 is another duty.
        assert_eq!(
            applies(&found, "written-34-101"),
            Some(Applies::Yes),
            "{no}"
        );
    }
    let mut asked = facts("disconnect");
    for question in all {
        answer(&mut asked, question, true);
    }
    assert_eq!(applies(&us(&asked), "call-30-50-b"), Some(Applies::Yes));
    // What was answered last holds.
    answer(&mut asked, "no-redundant", false);
    assert_eq!(applies(&us(&asked), "call-30-50-b"), Some(Applies::No));
    answer(&mut asked, "no-redundant", true);
    assert_eq!(applies(&us(&asked), "call-30-50-b"), Some(Applies::Yes));
}

/// 10 CFR 30.50(b)(2), as an information notice of 2001 reads it: by default of a disconnect.
#[test]
fn a_disconnect_is_told_by_default_and_the_rso_s_no_removes_it() {
    for kind in ["disconnect", "source-will-not-retract"] {
        let mut asked = facts(kind);
        let found = us(&asked);
        let call = one(&found, "call-30-50-b");
        assert_eq!(
            (call.applies, call.unanswered.len()),
            (Applies::Yes, 0),
            "{kind}"
        );
        answer(&mut asked, "no-redundant", false);
        let found = us(&asked);
        let call = one(&found, "call-30-50-b");
        assert_eq!(
            (call.applies, call.not_since),
            (Applies::No, Some(20)),
            "{kind}"
        );
    }
}

/// 10 CFR 30.50(a): four hours, where anything could have been prevented.
#[test]
fn an_event_that_prevents_protection_is_told_within_four_hours_of_discovery() {
    for kind in ["drop-or-fire", "source-will-not-retract", "disconnect"] {
        let found = us(&facts(kind));
        let call = one(&found, "call-30-50-a");
        assert_eq!(call.deadline, Some(at("2026-03-03T12:00-06:00")), "{kind}");
        let mut asked = facts(kind);
        answer(&mut asked, "prevents-protection", false);
        assert_eq!(applies(&us(&asked), "call-30-50-a"), Some(Applies::No));
    }
    // Where a badge came back late nothing was prevented, and nothing is asked.
    for kind in [
        "overexposure",
        "off-scale-dosimeter",
        "dosimeter-lost-or-damaged",
    ] {
        assert_eq!(
            applies(&us(&facts(kind)), "call-30-50-a"),
            Some(Applies::No),
            "{kind}"
        );
    }
}

#[test]
fn a_duty_that_does_not_arise_is_in_the_list_and_says_why() {
    let found = us(&facts("dosimeter-lost-or-damaged"));
    for duty in [
        "written-34-101",
        "call-30-50-b",
        "written-30-50",
        "lost-20-2201-written",
    ] {
        let state = one(&found, duty);
        assert_eq!(state.applies, Applies::No, "{duty}");
        assert!(!state.because.is_empty(), "{duty}");
    }
    let all = rule_set("10 CFR");
    for duty in all.notifications() {
        assert!(!of(&found, &duty.key).is_empty(), "{}", duty.key);
    }
}

#[test]
fn what_was_told_stays_told_when_a_question_is_answered_no_afterwards() {
    let mut asked = facts("disconnect");
    asked.done = vec![given("call-30-50-b", asked.discovered.at, asked.now)];
    answer(&mut asked, "no-redundant", false);
    let found = us(&asked);
    let call = one(&found, "call-30-50-b");
    assert_eq!(call.applies, Applies::No);
    assert!(matches!(call.state, State::Done(_)));
    assert!(found.stray.is_empty());
}

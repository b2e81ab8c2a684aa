//! Questions of the rules: what nobody answered counts as yes.

use super::*;

#[test]
fn an_unanswered_question_never_stops_a_clock() {
    let found = us(&facts("disconnect"));
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
            Some(Applies::May),
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

/// 10 CFR 30.50(a): four hours, whatever kind of event it is.
#[test]
fn an_event_that_prevents_protection_is_told_within_four_hours_of_discovery() {
    for kind in ["drop-or-fire", "off-scale-dosimeter", "disconnect"] {
        let found = us(&facts(kind));
        let call = one(&found, "call-30-50-a");
        assert_eq!(call.deadline, Some(at("2026-03-03T12:00-06:00")), "{kind}");
        let mut asked = facts(kind);
        answer(&mut asked, "prevents-protection", false);
        assert_eq!(applies(&us(&asked), "call-30-50-a"), Some(Applies::No));
    }
}

#[test]
fn an_event_of_another_kind_does_not_have_the_duty() {
    let found = us(&facts("dosimeter-lost-or-damaged"));
    for duty in [
        "written-34-101",
        "call-30-50-b",
        "written-30-50",
        "lost-20-2201-written",
    ] {
        assert_eq!(applies(&found, duty), None, "{duty}");
    }
}

#[test]
fn what_was_told_stays_told_when_a_question_is_answered_no_afterwards() {
    let mut asked = facts("disconnect");
    asked.done = vec![given("call-30-50-b", asked.discovered, asked.now)];
    answer(&mut asked, "no-redundant", false);
    let found = us(&asked);
    let call = one(&found, "call-30-50-b");
    assert_eq!(call.applies, Applies::No);
    assert!(matches!(call.state, State::Done(_)));
    assert!(found.stray.is_empty());
}

//! Doses from which a duty arises, as they firm up.

use super::*;
use crate::notification::Left;

pub(super) fn left(limit: &str, besides: &str) -> Left {
    let dose = |text: &str| Dose::parse(text, None).unwrap();
    Left {
        person: "W07".to_owned(),
        quantity: Quantity::Deep,
        limit: format!("limit of {limit}"),
        left: dose(limit).checked_sub(dose(besides)).unwrap(),
        at_or_above: false,
        unsure: false,
    }
}

fn overexposed() -> Facts {
    let mut asked = facts("overexposure");
    asked.now = at("2026-03-11T08:00-05:00");
    answer(&mut asked, "control-lost", true);
    answer(&mut asked, "prevents-protection", false);
    asked.limits = vec![left("5 rem", "0.2 rem")];
    asked
}

fn with(doses: Vec<Assessed>) -> Notifications {
    let mut asked = overexposed();
    asked.doses = doses;
    us(&asked)
}

/// 10 CFR 20.2202(a): 25 rem or more; (b): above 5 rem, not 5 rem.
#[test]
fn thresholds_are_met_as_each_rule_says() {
    use Applies::{No, Yes};
    use Quantity::{Deep, Extremity, Lens, Shallow};
    for (quantity, text, at_once, call) in [
        (Deep, "25 rem", Yes, Yes),
        (Deep, "24.999 rem", No, Yes),
        (Deep, "5.001 rem", No, Yes),
        (Deep, "5 rem", No, No),
        (Lens, "75 rem", Yes, Yes),
        (Lens, "74.999 rem", No, Yes),
        (Lens, "15.001 rem", No, Yes),
        (Lens, "15 rem", No, No),
        (Shallow, "250 rem", Yes, Yes),
        (Shallow, "249.999 rem", No, Yes),
        (Shallow, "50 rem", No, No),
        (Extremity, "250 rem", Yes, Yes),
        (Extremity, "50.001 rem", No, Yes),
        (Extremity, "50 rem", No, No),
    ] {
        let found = with(vec![dose(quantity, text)]);
        assert_eq!(
            applies(&found, "at-once-20-2202"),
            Some(at_once),
            "{quantity:?} {text}"
        );
        assert_eq!(
            applies(&found, "call-20-2202"),
            Some(call),
            "{quantity:?} {text}"
        );
    }
}

#[test]
fn a_very_large_dose_is_told_at_once_which_is_when_it_occurred() {
    let found = with(vec![dose(Quantity::Deep, "25 rem")]);
    let call = one(&found, "at-once-20-2202");
    assert_eq!(call.deadline, Some(at("2026-03-01T13:40-06:00")));
    assert_eq!(call.state, State::Overdue);
    assert_eq!(found.duties[0].duty, "at-once-20-2202");
}

#[test]
fn loss_of_control_without_a_dose_is_no_call_and_a_dose_without_it_neither() {
    let mut asked = overexposed();
    asked.doses = vec![dose(Quantity::Deep, "6 rem")];
    answer(&mut asked, "control-lost", false);
    assert_eq!(applies(&us(&asked), "call-20-2202"), Some(Applies::No));
    answer(&mut asked, "control-lost", true);
    asked.doses = vec![dose(Quantity::Deep, "1 rem")];
    assert_eq!(applies(&us(&asked), "call-20-2202"), Some(Applies::No));
}

/// What was received besides counts against a limit: 0.2 rem leave 4.8 rem of 5 rem.
#[test]
fn a_dose_above_what_the_limit_leaves_is_reported_within_30_days_of_learning_of_it() {
    let found = with(vec![dose(Quantity::Deep, "4.8 rem")]);
    assert_eq!(applies(&found, "written-20-2203"), Some(Applies::No));
    let found = with(vec![dose(Quantity::Deep, "4.801 rem")]);
    let report = one(&found, "written-20-2203");
    assert_eq!(report.applies, Applies::Yes);
    assert_eq!(report.start, Some(at("2026-03-10T10:00-05:00")));
    assert_eq!(report.deadline, Some(at("2026-04-09T10:00-05:00")));
    // The person is told with the report: no later than its last day.
    let person = one(&found, "to-the-person-20-2205");
    assert_eq!(person.deadline, report.deadline);
}

#[test]
fn the_person_is_told_no_later_than_the_report_went_out() {
    let mut asked = overexposed();
    asked.doses = vec![dose(Quantity::Deep, "6 rem")];
    let sent = at("2026-03-10T16:00-05:00");
    asked.done = vec![given("written-20-2203", at("2026-03-10T10:00-05:00"), sent)];
    let found = us(&asked);
    let person = one(&found, "to-the-person-20-2205");
    assert_eq!(person.deadline, Some(sent));
    assert_eq!(person.state, State::Overdue);
}

/// A reading off the scale is no dose above a limit that anybody knows: its clock waits for the
/// determination, and is in the list while it does.
#[test]
fn a_clock_of_learning_waits_for_the_dose_and_says_whose() {
    let off_scale = Assessed {
        open: true,
        of_record: false,
        reported: false,
        known_at: at("2026-03-05T08:00-06:00"),
        clock_doubted: None,
        ..dose(Quantity::Deep, "0.2 rem")
    };
    let found = with(vec![off_scale.clone()]);
    let report = one(&found, "written-20-2203");
    assert_eq!(
        (report.applies, &report.state),
        (Applies::Waits, &State::Waits)
    );
    assert_eq!((report.start, report.deadline), (None, None));
    assert!(
        report.start_words.ends_with("waits for the dose of W07"),
        "{report:?}"
    );
    let person = one(&found, "to-the-person-20-2205");
    assert_eq!(person.state, State::Waits);
    // A call within a day does not wait.
    assert_eq!(applies(&found, "call-20-2202"), Some(Applies::May));

    let found = with(vec![off_scale.clone(), dose(Quantity::Deep, "6 rem")]);
    let starts: Vec<_> = of(&found, "written-20-2203")
        .iter()
        .map(|it| it.start)
        .collect();
    assert_eq!(starts, [Some(at("2026-03-10T10:00-05:00"))]);
    assert!(
        of(&found, "written-20-2203")
            .iter()
            .all(|it| it.applies == Applies::Yes)
    );

    // A second determination that says the same starts none, and a small one ends them all.
    let again = Assessed {
        known_at: at("2026-03-10T15:00-05:00"),
        clock_doubted: None,
        ..dose(Quantity::Deep, "7 rem")
    };
    let found = with(vec![
        off_scale.clone(),
        dose(Quantity::Deep, "6 rem"),
        again,
    ]);
    assert_eq!(of(&found, "written-20-2203").len(), 1);
    let found = with(vec![off_scale, dose(Quantity::Deep, "0.3 rem")]);
    assert_eq!(applies(&found, "written-20-2203"), Some(Applies::No));
    assert_eq!(applies(&found, "at-once-20-2202"), Some(Applies::No));
}

/// One clock that is kept does not keep the other.
#[test]
fn a_notification_answers_the_clock_that_it_names() {
    let mut asked = overexposed();
    let readings = Assessed {
        of_record: false,
        reported: false,
        ..dose(Quantity::Deep, "5.5 rem")
    };
    let of_another = Assessed {
        person: "W08".to_owned(),
        ..dose(Quantity::Deep, "6 rem")
    };
    asked.limits.push(Left {
        person: "W08".to_owned(),
        ..left("5 rem", "0 rem")
    });
    asked.doses = vec![readings, of_another];
    asked.done = vec![given("written-20-2203", asked.discovered.at, asked.now)];
    let found = us(&asked);
    let open = of(&found, "written-20-2203")
        .into_iter()
        .filter(|it| it.is_open());
    let open: Vec<_> = open.map(|it| it.start).collect();
    assert_eq!(open, [Some(at("2026-03-10T10:00-05:00"))]);
}

#[test]
fn a_dose_that_nobody_measured_may_have_reached_anything() {
    let mut asked = overexposed();
    asked.unmeasured = vec![Unmeasured {
        person: "a welder".to_owned(),
        quantities: vec![Quantity::Extremity],
    }];
    asked.doses = vec![dose(Quantity::Deep, "0.1 rem")];
    let found = us(&asked);
    for (duty, as_it_stands) in [
        ("at-once-20-2202", Applies::May),
        ("call-20-2202", Applies::May),
        ("written-20-2203", Applies::Waits),
    ] {
        let state = one(&found, duty);
        assert_eq!(state.applies, as_it_stands, "{duty}");
        assert_eq!(state.unmeasured, ["a welder"], "{duty}");
    }
    // The RSO says that it cannot be so much; that is no answer for another threshold, and none
    // for a dose that is known to be so much.
    answer(&mut asked, "at-once-20-2202", false);
    let found = us(&asked);
    assert_eq!(applies(&found, "at-once-20-2202"), Some(Applies::No));
    assert_eq!(applies(&found, "call-20-2202"), Some(Applies::May));
    asked.doses = vec![dose(Quantity::Deep, "25 rem")];
    assert_eq!(applies(&us(&asked), "at-once-20-2202"), Some(Applies::Yes));
}

/// An event of which nobody has yet said who was there is no event without people.
#[test]
fn an_event_that_names_nobody_may_have_given_anybody_anything() {
    for kind in ["overexposure", "lost-source", "loss-of-control"] {
        let mut asked = facts(kind);
        asked.doses.clear();
        let found = us(&asked);
        let written = one(&found, "written-20-2203");
        assert_eq!(written.state, State::Waits, "{kind}");
        assert!(written.unmeasured[0].contains("names no one"), "{kind}");
        let state = one(&found, "at-once-20-2202");
        assert_eq!(state.applies, Applies::May, "{kind}");
        assert!(state.unmeasured[0].contains("names no one"), "{kind}");
        assert!(state.is_open(), "{kind}");
        // The RSO says that nobody can have received so much.
        answer(&mut asked, "written-20-2203", false);
        let found = us(&asked);
        assert_eq!(applies(&found, "written-20-2203"), Some(Applies::No));
        assert_eq!(applies(&found, "at-once-20-2202"), Some(Applies::May));
        // Once people are named with their doses, those decide.
        asked.doses = vec![dose(Quantity::Deep, "1 mrem")];
        assert_eq!(applies(&us(&asked), "at-once-20-2202"), Some(Applies::No));
    }
}

#[test]
fn what_was_received_besides_without_an_upper_bound_leaves_the_limit_open() {
    let mut asked = overexposed();
    asked.limits[0].unsure = true;
    asked.doses = vec![dose(Quantity::Deep, "0.1 rem")];
    assert_eq!(
        applies(&us(&asked), "written-20-2203"),
        Some(Applies::Waits)
    );
    // No dose at all adds nothing.
    asked.doses = vec![dose(Quantity::Deep, "0 rem")];
    assert_eq!(applies(&us(&asked), "written-20-2203"), Some(Applies::No));
}

#[test]
fn one_person_s_limit_is_not_another_s() {
    let mut asked = overexposed();
    asked.doses = vec![Assessed {
        person: "W08".to_owned(),
        ..dose(Quantity::Deep, "4.9 rem")
    }];
    assert_eq!(applies(&us(&asked), "written-20-2203"), Some(Applies::No));
}

/// A duty that a dose alone makes arise, with a clock of learning: nobody learned a dose in an
/// event that names nobody, or of somebody whom nobody measured.
#[test]
fn a_call_of_a_dose_waits_until_somebody_knows_the_dose_and_not_for_the_event() {
    let text = "extends = \"10 CFR\"
rule_set = \"ours\"
title = \"Ours\"
confirm = \"invented\"

[[notice]]
key = \"call-of-badge\"
what = \"call of a badge's result above a year's limit\"
doses = [\"deep above 5 rem\"]
clock = \"learning\"
within = \"24 hours\"
how = \"telephone\"
to = \"the authority\"
citation = \"invented\"
status = \"to be confirmed\"
meaning = \"invented\"
";
    let (state, _) = RuleSet::parse_for_adoption(text, &|_| None).unwrap();
    let mut asked = facts("drop-or-fire");
    asked.doses.clear();
    let nobody = asked.clone();
    asked.unmeasured = vec![Unmeasured {
        person: "a welder".to_owned(),
        quantities: vec![Quantity::Deep],
    }];
    for waiting in [nobody, asked.clone()] {
        let found = notifications(&state, &waiting);
        let call = one(&found, "call-of-badge");
        assert_eq!(
            (call.applies, call.start, call.deadline),
            (Applies::Waits, None, None)
        );
    }
    asked.doses = vec![dose(Quantity::Deep, "6 rem")];
    asked.unmeasured.clear();
    let found = notifications(&state, &asked);
    let call = one(&found, "call-of-badge");
    assert_eq!(call.applies, Applies::Yes);
    assert_eq!(call.start, Some(at("2026-03-10T10:00-05:00")));
}

/// What the RSO said of head, hands and feet is an answer with an entry; without it nobody asks.
#[test]
fn a_dose_that_nobody_assessed_is_told_with_the_answer_that_the_rso_gave() {
    let mut asked = facts("drop-or-fire");
    answer(&mut asked, "exposure-possible", true);
    let why = |asked: &Facts| one(&us(asked), "at-once-20-2202").because.join("; ");
    assert!(
        why(&asked).contains("not in question: W07 lens"),
        "{}",
        why(&asked)
    );
    answer(&mut asked, "lens-extremity", false);
    let said = why(&asked);
    assert!(
        said.contains("answered no (entry 21): W07 lens, W07 extremity"),
        "{said}"
    );
    assert!(said.contains("not in question: W07 shallow"), "{said}");
}

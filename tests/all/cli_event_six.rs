//! Six events as they come, each told in at most ten commands and with no invented fact: the
//! duties are those of the law, whoever must stop stops and nobody else does, and the trace names
//! the item or the barrier.

use std::collections::BTreeSet;

use serde_json::Value;

use super::cli_demo::list;
use super::cli_maintenance_shown::{kept, measured, sheet_of};
use super::cli_support::{Place, data_of as data};

/// What an event comes to.
struct Expected<'a> {
    /// What is typed; `E-1` is the event.
    typed: &'a [&'a str],
    /// Duties that apply, by key, with the start of the clock where it is looked at.
    applies: &'a [(&'a str, &'a str)],
    /// Duties that may apply.
    may: &'a [&'a str],
    /// Whose dose a clock of learning waits for.
    waits_for: &'a str,
    /// Duties that do not apply, although an event that is near to it would have them.
    not: &'a [&'a str],
    /// Who stays in.
    stops: &'a [&'a str],
    /// What the first sentences of the trace say.
    trace: &'a [&'a str],
}

/// The test company ten days after its registers were taken in: inspected, counted, at work.
fn at_work(name: &str) -> Place {
    let mut place = kept(name);
    measured(&place, "2026-05-10", "6 mm");
    for item in ["D-1", "G-1"] {
        let gauged = match item {
            "D-1" => {
                "--line \"device-surface-rate=20 mR/h\" --line \"device-metre-rate=0.5 mR/h\" "
            }
            _ => "",
        };
        let gauged = gauged.replace("rate=", "rate, value=");
        place.done(&format!(
            "inspect enter --item {item} --on 2026-05-10 --at 06:20 --when quarterly \
            --performed-by W07 \
             {gauged}--line \"all others=good\""
        ));
    }
    place.done("equipment inventory --on 2026-04-10 --performed-by W01 --found S-1");
    place.turn_to("wearbook.db", "2026-06-25T12:00:00Z");
    sheet_of(&place, "2026-06-24");
    place
}

fn holds(name: &str, expected: &Expected<'_>) {
    let place = at_work(name);
    assert!(expected.typed.len() <= 10, "{name}: too many commands");
    for line in expected.typed {
        place.done(line);
    }
    let notifications = data(&place, "report show E-1");
    let clocks = list(&notifications["clocks"]);
    let of = |duty: &str| {
        let found = clocks.iter().find(|it| it["duty"] == duty);
        found.unwrap_or_else(|| panic!("{name}: no {duty}")).clone()
    };
    for (duty, start) in expected.applies {
        let clock = of(duty);
        assert_eq!(clock["applies"], "applies", "{name} {duty}: {clock:#}");
        let begun = clock["start"].as_str().unwrap_or_default();
        assert!(begun.starts_with(start), "{name} {duty}: from {begun}");
    }
    for duty in expected.may {
        assert_eq!(of(duty)["applies"], "may apply", "{name} {duty}");
    }
    for duty in expected.not {
        assert_eq!(of(duty)["applies"], "does not apply", "{name} {duty}");
    }
    let learning = of("written-20-2203");
    match expected.waits_for {
        "" => assert_ne!(learning["applies"], "waits", "{name}: {learning:#}"),
        who => {
            let words = learning["start_words"].as_str().unwrap_or_default();
            assert!(
                words.ends_with(&format!("waits for the dose of {who}")),
                "{name}: {words}"
            );
        }
    }
    let board = data(&place, "board");
    let stays = list(&board["people"])
        .iter()
        .filter(|it| it["may_go"] == false);
    let stays: BTreeSet<&str> = stays.filter_map(|it| it["worker"].as_str()).collect();
    let stops: BTreeSet<&str> = expected.stops.iter().copied().collect();
    assert_eq!(stays, stops, "{name}");
    let trace = data(&place, "trace E-1");
    let finding: Vec<&str> = list(&trace["finding"])
        .iter()
        .filter_map(Value::as_str)
        .collect();
    let finding = finding.join(" ");
    for words in expected.trace {
        assert!(
            finding.contains(words),
            "{name}: {words} is not in: {finding}"
        );
    }
}

#[test]
fn a_disconnect_whose_source_is_lost_for_two_days_and_found_by_a_passer_by() {
    holds(
        "six-found",
        &Expected {
            typed: &[
                "event open --kind disconnect --occurred 2026-06-20T13:40 --job J-1 --equipment \
                 D-1 --equipment C-1 --equipment S-1 --person \"W07=cranked\" --words \"the \
                 source did not come back\"",
                "event happening E-1 lost-source --at 2026-06-20T15:10 --words \"in neither tube \
                 nor device\"",
                "event happening E-1 source-recovered --at 2026-06-22T09:00 --words \"a \
                 passer-by brought it to the gate\"",
                "event person E-1 --bystander \"passer-by=carried it in a pocket; member of the \
                 public; 1 person; dose unknown\"",
                "event cause E-1 --of C-1 --component \"cable connector\" --failure disconnect \
                 --because \"ball worn\"",
            ],
            applies: &[
                ("lost-20-2201-at-once", "2026-06-20 15:10"),
                ("lost-20-2201-written", ""),
                ("lost-20-2201-further", "2026-06-22 09:00"),
                ("written-34-101", "2026-06-20 13:40"),
                ("call-30-50-b", "2026-06-20 13:40"),
            ],
            may: &[
                "at-once-20-2202",
                "call-20-2202",
                "theft-37-57-call",
                "shipment-37-81",
            ],
            waits_for: "W07, passer-by",
            // It is no longer missing; nobody shipped or received a package.
            not: &[
                "lost-20-2201-30-days",
                "package-20-1906",
                "transport-171-15",
            ],
            stops: &["W07"],
            trace: &[
                "The cable connector of C-1 failed: disconnect",
                "`cable-connector` of C-1 could have detected it",
            ],
        },
    );
}

#[test]
fn an_overexposure_of_a_hand_with_a_normal_chest_badge() {
    holds(
        "six-hand",
        &Expected {
            typed: &[
                "event open --kind overexposure --occurred 2026-06-24T13:40 --job J-1 \
                 --equipment D-1 --person \"W07=held the end of the tube\" --near W07=hand \
                 --person \"W08=kept the boundary\" --words \"he thought that it was home\"",
                "event cause E-1 --human survey-not-made --because \"says so himself\"",
            ],
            applies: &[],
            may: &["at-once-20-2202", "call-20-2202"],
            waits_for: "W07",
            not: &["lost-20-2201-at-once", "call-30-50-a"],
            stops: &["W07"],
            trace: &[
                "Survey not made",
                "survey and alarm ratemeter could have detected it",
            ],
        },
    );
}

#[test]
fn a_source_stuck_by_ice_in_the_tube() {
    holds(
        "six-ice",
        &Expected {
            typed: &[
                "event open --kind source-will-not-retract --occurred 2026-06-24T07:40 --job J-1 \
                 --equipment D-1 --equipment C-1 --equipment G-1 --person \"W07=cranked\" \
                 --person \"W08=warmed the tube\" --near W08=hand --words \"ice in the tube\"",
                "event cause E-1 --of G-1 --component bore --failure source-will-not-retract \
                 --because \"water ran out when it thawed\"",
            ],
            applies: &[
                ("written-34-101", "2026-06-24 07:40"),
                ("call-30-50-b", "2026-06-24 07:40"),
            ],
            may: &["at-once-20-2202", "call-30-50-a"],
            waits_for: "W08",
            not: &["lost-20-2201-at-once"],
            stops: &["W08"],
            trace: &[
                "The bore of G-1 failed",
                "`tube-inside` of G-1 could have detected it",
            ],
        },
    );
}

#[test]
fn a_lock_failure_found_at_the_morning_check() {
    holds(
        "six-lock",
        &Expected {
            typed: &[
                "inspect enter --item D-1 --on 2026-06-25 --at 06:20 --when daily --performed-by \
                W07 \
                 --line \"device-surface-rate, value=20 mR/h\" --line \"device-lock=defect, \
                 note=plunger stays in, action=tagged and kept back\" --line \"all others=good\"",
                "event open --kind lock-failure --occurred \"between 2026-06-24 and 2026-06-25\" \
                 --discovered 2026-06-25T06:20 --job J-1 --equipment D-1 --person \"W07=made the \
                 check\" --words \"found before the first exposure\"",
                "report answer E-1 exposure-possible no --because \"the source was home, 20 mR/h \
                 at the surface\"",
                "event cause E-1 --of D-1 --component lock --failure lock-failure --because \
                 \"spring broken\"",
            ],
            applies: &[
                ("written-34-101", "2026-06-24 00:00"),
                ("call-30-50-b", "2026-06-25 06:20"),
            ],
            may: &[],
            waits_for: "",
            not: &[
                "at-once-20-2202",
                "call-20-2202",
                "call-30-50-a",
                "lost-20-2201-at-once",
            ],
            stops: &[],
            trace: &[
                "The lock of D-1 failed",
                "`device-lock` of D-1 could have detected it",
            ],
        },
    );
}

#[test]
fn a_member_of_the_public_who_carried_a_source_home() {
    holds(
        "six-home",
        &Expected {
            typed: &[
                "event open --kind lost-source --occurred \"between 2026-06-18 and 2026-06-20\" \
                 --discovered 2026-06-22T08:00 --job J-1 --equipment S-1 --bystander \"a \
                 neighbour=took it home; member of the public; 1 person; dose unknown\" \
                 --bystander \"his family=lived beside it; member of the public; 4 people; 1 to \
                 90 mrem\" --words \"fell from the truck\"",
                "event cause E-1 --human lock-not-used --because \"the box was not locked\"",
            ],
            applies: &[
                ("lost-20-2201-at-once", "2026-06-22 08:00"),
                ("lost-20-2201-30-days", "2026-06-22 08:00"),
                ("lost-20-2201-written", ""),
            ],
            may: &["at-once-20-2202", "call-20-2202", "theft-37-57-call"],
            waits_for: "a neighbour",
            not: &["call-30-50-b", "leaking-source-34-27"],
            stops: &[],
            trace: &["Lock not used"],
        },
    );
}

#[test]
fn an_event_of_which_only_the_month_is_known() {
    holds(
        "six-month",
        &Expected {
            typed: &[
                "event open --kind disconnect --occurred 2026-05 --discovered 2026-06-24 --job \
                 J-1 --equipment D-1 --equipment C-1 --person \"W08=stood at the crank\" --words \
                 \"told at the medical\"",
                "event cause E-1 --of C-1 --component \"cable connector\" --failure disconnect \
                 --because \"ball worn\"",
            ],
            applies: &[
                ("written-34-101", "2026-05-01 00:00"),
                ("call-30-50-b", "2026-06-24 00:00"),
            ],
            may: &["at-once-20-2202"],
            waits_for: "W08",
            not: &["lost-20-2201-at-once"],
            stops: &["W08"],
            trace: &[
                "of C-1 could have detected it",
                "surely from before the event",
            ],
        },
    );
}

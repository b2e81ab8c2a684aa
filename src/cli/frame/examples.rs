//! What to type: an example for each verb of the registers. The other verbs have theirs in
//! their own comments; `every_command_has_an_example_that_can_be_typed` holds both.

/// Noun and verb, and the flags after them.
const EXAMPLES: &[(&str, &str, &str)] = &[
    (
        "worker",
        "add",
        "--id W07 --name \"Ada Example\" --role radiographer --monitored-from \
         2026-01-05",
    ),
    (
        "worker",
        "role",
        "--worker W07 --from 2026-06-01 --role rso",
    ),
    (
        "worker",
        "monitoring",
        "--worker W07 --on 2026-06-30 --change ends",
    ),
    (
        "worker",
        "alert",
        "--worker W08 --of everything --from 2026-07-01 --until 2026-07-14",
    ),
    (
        "worker",
        "pregnancy",
        "--worker W07 --notice-on 2026-04-20 --conception-on 2026-03-01",
    ),
    (
        "worker",
        "prior-dose",
        "--worker W07 --first-day 2026-01-01 --last-day 2026-01-31 --employer \
         \"Other Firm\" --deep \"40 mrem\" --basis \"signed letter\"",
    ),
    (
        "worker",
        "opening-total",
        "--worker W07 --period 2024 --deep \"412 mrem\" --source \"report of the year\"",
    ),
    (
        "worker",
        "missing-quarter",
        "--worker W07 --year 2025 --quarter 3 --exposure-possible yes",
    ),
    (
        "worker",
        "dose-request",
        "--worker W07 --employer \"Other Firm\" --first-day 2026-01-01 --last-day 2026-01-31 \
         --on 2026-02-03",
    ),
    (
        "worker",
        "authorization",
        "--worker W07 --level year-twenty --first-day 2026-01-01 --last-day \
         2026-12-31 --basis \"letter 12\"",
    ),
    (
        "worker",
        "qualification",
        "--worker W07 --type certification --on 2025-03-01 --until 2030-02-28 --performed-by \
         \"State Office\"",
    ),
    (
        "worker",
        "planned-exposure",
        "--worker W07 --first-day 2026-05-19 --last-day 2026-05-19 --authorized-on \
         2026-05-18 --basis \"written order 3\"",
    ),
    (
        "job",
        "add",
        "--id J-12 --place \"Pump station\" --jurisdiction TX --setting \"temporary jobsite\" \
         --zone America/Chicago",
    ),
    (
        "instrument",
        "add",
        "--id PD-01 --type \"pocket dosimeter\" --serial 5501 --unit mR --range \"200 mR\"",
    ),
    (
        "instrument",
        "check",
        "--instrument PD-01 --on 2026-06-01 --type \"response check\" --result pass \
         --performed-by \"Ada Example\"",
    ),
    (
        "instrument",
        "service",
        "--instrument SM-01 --on 2026-05-19 --type servicing --what \"detector \
         replaced\" --performed-by \"Cal Lab\"",
    ),
    (
        "equipment",
        "add",
        "--id D-2 --type \"exposure device\" --serial 771",
    ),
    (
        "equipment",
        "out-of-service",
        "--item D-2 --on 2026-06-01 --reason \"lock sticks\" --performed-by \"Ada Example\"",
    ),
    (
        "equipment",
        "return",
        "--item D-2 --on 2026-06-08 --done \"lock replaced\" --performed-by \"Ada Example\"",
    ),
    (
        "equipment",
        "install",
        "--equipment CU-2 --component \"drive cable\" --installed-on 2026-03-02 --performed-by \
         \"Ada Example\" --serial 771",
    ),
    (
        "equipment",
        "leak-test",
        "--item S-7 --on 2026-05-12 --part source --removable \"< 5 Bq\" --performed-by \
         \"Wipe Lab\" --certificate W-12",
    ),
    (
        "equipment",
        "inventory",
        "--on 2026-06-01 --performed-by \"Ada Example\" --found \"D-2 S-7\"",
    ),
    (
        "equipment",
        "source-check",
        "--type \"presence check\" --sources S-7 --on 2026-06-01 --performed-by \"Ada Example\"",
    ),
    (
        "equipment",
        "load",
        "--device D-2 --source S-7 --on 2026-05-20 --performed-by \"Ada Example\"",
    ),
    (
        "badge",
        "issue",
        "--badge 0417 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    ),
    ("badge", "return", "--badge 0417 --on 2026-06-30"),
    ("badge", "send", "--badge 0417 --on 2026-07-01"),
    ("badge", "lost", "--badge 0417 --on 2026-06-12"),
    ("badge", "damaged", "--badge 0417 --on 2026-06-12"),
    (
        "badge",
        "result",
        "--badge 0417 --report R-77 --reported-on 2026-07-20 --deep \"31 mrem\"",
    ),
    (
        "badge",
        "read",
        "--badge 0612 --on 2026-06-30 --deep \"12 mrem\"",
    ),
    (
        "determination",
        "enter",
        "--worker W02 --sheet entry:23 --dosimeter PD-02 --quantity deep --dose \"45 \
         mrem\" --relation \"until result\" --method \"time and distance\" \
         --basis \"statement of both\" --on 2026-06-16 --performed-by W01",
    ),
];

/// What to type for a verb of a register; nothing for a verb that is none.
pub(crate) fn example(noun: &str, verb: &str) -> Option<String> {
    let found = EXAMPLES.iter().find(|it| it.0 == noun && it.1 == verb)?;
    Some(format!("wearbook {noun} {verb} {}", found.2))
}

//! What the demonstration hides, as its findings tell it; demo/README.md says how.

use super::cli_demo::demo;

/// A check, how many findings it has, and of some the subject and a word.
pub type Hidden<'a> = (&'a str, usize, &'a [(&'a str, &'a str)]);

/// Every finding of the fifteen months, by check in the order of the alphabet.
#[rustfmt::skip]
pub const HIDDEN: &[Hidden] = &[
    ("badge-exchange", 1, &[("W08", "B-2605-08 was due for exchange by 2026-05-31")]),
    ("badge-not-worn", 2, &[("W09", "B-2026-01-20-day"), ("W09", "B-2026-01-21-day")]),
    ("checked-after-use", 2, &[("CU-03", "12:20"), ("ED-03", "B-2025-06-11-day (08:10)")]),
    ("daily-check", 1, &[("B-2025-09-25-day", "ED-03, CU-03, GT-31, GT-32, SM-04")]),
    ("equipment-inspection", 8, &[("ED-02", "A-2026-05-08"), ("CU-06", "C-2026-05-22")]),
    ("held-item", 8, &[("W09", "B-2025-05-13-day"), ("W13", "C-2025-09-23-day"),
        ("W06", "A-2025-12-03-day"), ("Benedikt Owuso", "C-2026-04-08-day")]),
    ("inventory", 1, &[("inventory", "2025-06-20: due 2025-09-30, the next 2025-10-03")]),
    ("late-entry", 7, &[("B-2025-10-02-day", "2025-11-18, 47 days")]),
    ("leak-test", 3, &[("SA-06", "C-2025-08-18-day"), ("SA-06", "C-2025-08-20-day")]),
    // W13's counts although it is held: a stop costs less than a dose.
    ("level-reached", 4, &[("W07", "213 mrem"), ("W11", "C-2025-10-22-day"),
        ("W01", "126 mrem"), ("W13", "214 mrem")]),
    // Those that are past stand for their last day, on the conservative side.
    ("level-reached:site-investigation-quarter", 7, &[("W11", "672 mrem"), ("W11", "1212 mrem"),
        ("W07", "500 mrem"), ("W13", "440 mrem")]),
    ("look-back", 2, &[("PD-06", "163 mR in sum, 217.33"), ("SM-07", "6 sheets")]),
    ("meter-calibration", 12, &[("SM-04", "B-2025-11-07-day"),
        ("SM-04", "B-2025-11-14-evening-transport"), ("SM-04", "B-2025-11-20-night")]),
    ("no-survey-at-storage", 2, &[("A-2026-02-18-day", "no storage survey"),
        ("A-2026-05-19-day", "storage survey missing")]),
    ("not-attested", 1, &[("B-2025-04-24-day", "")]),
    ("package-survey", 1, &[("SA-11/2025-07-18", "0 h 45 min")]),
    ("passed-beyond-limit", 1, &[("CU-02-cable-diameter", "5.75 mm on 2026-05-09")]),
    ("presence-check", 1, &[("6 sources/2025-11-17", "due 2025-11-24, done on 2025-12-01")]),
    ("qualification:job-inspection", 1,
        &[("W05", "worked on 6 days while it was not current: 2025-09-06")]),
    ("qualification:refresher", 1, &[("W13", "worked on 6 days since: 2026-05-21")]),
    ("qualification:unescorted-access", 1, &[("W10", "not on record; around a category 2")]),
    ("ratemeter-not-tested", 1, &[("W13", "C-2025-08-21-day")]),
    ("receiver-licence", 1, &[("SA-12/2025-12-15", "transferred on 2025-12-15 to Invented Works")]),
    // One is the spare PD-91 that no register has; W04's went off scale.
    ("response-check", 10, &[("W04", "PD-04: off scale on 2026-05-27, not checked since"),
        ("PD-06", "A-2025-10-17-day"), ("PD-06", "A-2025-10-29-day"),
        ("PD-91", "A-2025-12-03-day")]),
    ("same-figure", 1, &[("ED-03-device-surface-rate", "19 mR/h 12 times running")]),
    ("serviced-not-calibrated", 5, &[("SM-06", "C-2026-01-12"), ("SM-06", "C-2026-01-16")]),
    ("shield-leak-test", 3, &[("ED-03", "B-2026-02-23-day"), ("ED-03", "B-2026-02-25-day")]),
    ("start-not-last-end", 3, &[("EL-01", "3456 uSv"), ("EL-02", "13886 uSv"),
        ("EL-03", "6014 uSv")]),
    ("tracking-report", 2, &[("SA-14/2025-10-03", "done on 2025-10-07"),
        ("SA-13/2026-01-12", "done on 2026-01-26")]),
    ("two-dosimeters-disagree", 1, &[("W12", "EL-03 shows 31 mrem, PD-12 shows 12 mrem")]),
    (
        "two-person",
        2,
        &[
            ("A-2025-06-17-day", "W05 assistant, W06 assistant"),
            ("C-2026-04-08-day", "Benedikt Owuso assistant without"),
        ],
    ),
    // The third is the maintenance sheet of the day itself.
    ("used-with-defect", 3, &[("ED-04", "C-2025-05-06"), ("ED-04", "which came first?")]),
    ("withdrawn-used", 1, &[("ED-03", "B-2025-08-13-day")]),
];

#[test]
fn the_demonstration_brings_its_files_with_it() {
    let demo = demo();
    for file in ["script.toml", "sheets/2026-W19.csv", "state-rules.toml"] {
        let there = std::fs::read(demo.place.path(&format!("demo/files/{file}"))).unwrap();
        assert!(
            there == std::fs::read(format!("demo/{file}")).unwrap(),
            "{file}"
        );
    }
}

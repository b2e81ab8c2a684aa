//! Qualifications: what is due when, and to whom it does not apply.

use super::levels::rule_set;
use super::table::day;
use crate::dose::qualification::*;
use crate::rule::Status;

const ON: &str = "2026-06-15";

/// 10 CFR 34.43(d), (e): refresher within 12 months, inspection within 6, and
/// a practical examination after more than 6 months without work.
#[test]
fn duties_are_due_by_the_rule_sets_intervals() {
    let us = rule_set("10 CFR");
    let done = |on: &str| Done {
        entry: 1,
        on: day(on),
    };
    let known = |inspected: &str, examined: &[&str], worked: &[&str]| Qualifications {
        acts: true,
        training: vec![done("2025-08-31")],
        inspections: vec![done(inspected)],
        examinations: examined.iter().map(|on| done(on)).collect(),
        worked: worked.iter().map(|on| day(on)).collect(),
        ..Qualifications::default()
    };
    let monthly: &[&str] = &["2026-02-01", "2026-04-01", "2026-06-01", "2026-08-01"];
    let rows = [
        (
            known("2026-01-31", &[], monthly),
            "2026-07-31",
            "inspection of job performance valid through 2026-07-31",
        ),
        (
            known("2026-01-31", &[], monthly),
            "2026-08-01",
            "inspection of job performance lapsed since 2026-08-01",
        ),
        // Worked last on 10 February: gone by 10 August.
        (
            known("2026-01-31", &[], &["2026-02-10"]),
            "2026-08-10",
            "inspection of job performance lapsed since 2026-08-01",
        ),
        (
            known("2026-01-31", &[], &["2026-02-10"]),
            "2026-08-11",
            "practical examination lapsed since 2026-08-11",
        ),
        // Going back to work without it makes up for nothing.
        (
            known("2026-01-31", &[], &["2026-02-10", "2026-09-01"]),
            "2026-09-02",
            "practical examination lapsed since 2026-08-11",
        ),
        (
            known("2026-01-31", &["2026-08-20"], &["2026-02-10"]),
            "2026-09-02",
            "inspection of job performance valid through 2027-02-20",
        ),
        // What has not happened yet counts for nothing.
        (
            known("2026-09-30", &[], &[]),
            "2026-09-02",
            "inspection of job performance not on record",
        ),
    ];
    for (known, on, expected) in rows {
        let found = duties(&known, &us, day(on));
        assert_eq!(found[1].words, expected, "{on}");
    }
    let found = duties(&known("2026-01-31", &[], monthly), &us, day("2026-08-31"));
    assert_eq!(found[0].due(), Some(day("2026-08-31")));
    let found = duties(&known("2026-01-31", &[], monthly), &us, day("2026-09-01"));
    assert_eq!(found[0].state, DutyState::Since(day("2026-09-01")));
    assert_eq!(duties(&Qualifications::default(), &us, day(ON)), []);
}

/// 10 CFR 34.43(e), where one person is radiographer and RSO: in a rule set that says so, and for
/// inspections alone.
#[test]
fn a_sole_radiographer_who_is_the_rso_needs_no_inspection_by_another() {
    let known = |is_sole| Qualifications {
        needs_certification: true,
        acts: true,
        is_sole,
        ..Qualifications::default()
    };
    let words = |name: &str, is_sole| -> Vec<String> {
        let found = duties(&known(is_sole), &rule_set(name), day(ON));
        found.into_iter().map(|it| it.words).collect()
    };
    assert_eq!(
        words("10 CFR", true),
        [
            "certification not on record",
            "refresher training not on record",
            "inspection of job performance not required: one person is radiographer and RSO and \
             does all radiography",
        ]
    );
    let asked = "inspection of job performance not on record";
    assert_eq!(words("10 CFR", false)[2], asked);
    let found = &duties(&known(true), &rule_set("10 CFR"), day(ON))[2];
    assert!(found.in_force() && found.due().is_none());
    assert_eq!(found.status, Status::ToBeConfirmed);
    // A rule set that asks for inspections and knows no exemption exempts nobody.
    let mut own = rule_set("10 CFR");
    own.rules.retain(|it| it.key != "job-inspection-sole-rso");
    assert_eq!(duties(&known(true), &own, day(ON))[2].words, asked);
}

#[test]
fn a_certification_holds_to_its_last_day() {
    let us = rule_set("10 CFR");
    let known = Qualifications {
        needs_certification: true,
        certifications: vec![Certification {
            entry: 1,
            from: day("2021-06-16"),
            until: Some(day("2026-06-15")),
        }],
        ..Qualifications::default()
    };
    for (on, expected) in [
        ("2021-06-15", DutyState::Never),
        ("2026-06-15", DutyState::Until(Some(day("2026-06-15")))),
        ("2026-06-16", DutyState::Since(day("2026-06-16"))),
    ] {
        let found = duties(&known, &us, day(on));
        assert_eq!(found[0].state, expected, "{on}");
        assert_eq!(found[0].in_force(), on == "2026-06-15");
    }
}

/// 49 CFR 172.704 (three years) and 10 CFR 37 (ten years), both to be confirmed.
#[test]
fn access_and_hazmat_are_due_by_their_years_and_asked_only_of_who_needs_them() {
    let us = rule_set("10 CFR");
    let done = |on: &str| Done {
        entry: 1,
        on: day(on),
    };
    let known = |needed: bool| Qualifications {
        needs_access: needed,
        access: vec![done("2016-06-15")],
        needs_hazmat: needed,
        hazmat: vec![done("2023-06-15")],
        ..Qualifications::default()
    };
    let words = |needed: bool, on: &str, name: &str| -> Vec<String> {
        let found = duties(&known(needed), &rule_set(name), day(on)).into_iter();
        found.map(|it| it.words).collect()
    };
    assert_eq!(
        words(true, "2026-06-15", "10 CFR"),
        [
            "approval for unescorted access valid through 2026-06-15",
            "hazmat training valid through 2026-06-15"
        ]
    );
    assert_eq!(
        words(true, "2026-06-16", "10 CFR"),
        [
            "approval for unescorted access lapsed since 2026-06-16",
            "hazmat training lapsed since 2026-06-16"
        ]
    );
    assert_eq!(words(false, "2026-06-16", "10 CFR"), Vec::<String>::new());
    for other in ["Canada", "EU", "IAEA"] {
        assert_eq!(
            words(true, "2026-06-16", other),
            Vec::<String>::new(),
            "{other}"
        );
    }
    // Who lacks one works on, without the part that it is for.
    let found = duties(&known(true), &us, day("2026-06-16"));
    assert!(
        found
            .iter()
            .all(|it| !it.duty.stops() && it.status == Status::ToBeConfirmed)
    );
}

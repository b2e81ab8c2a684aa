//! What of a standing needs somebody.

use super::levels::rule_set;
use super::table::{day, history};
use crate::dose::checks::level_findings;
use crate::dose::index::DoseIndex;
use crate::dose::level::standings;
use crate::rule::{Finding, RuleSet, Severity};

/// A site's own levels beside the limits of a built-in rule set.
pub(super) const SITE: &str = r#"
extends = "10 CFR"
rule_set = "site"
title = "a site's own"

[[level]]
key = "site-administrative"
sort = "administrative"
quantity = "deep"
applies_to = "adult"
window = "licensee year"
dose = "2 rem"
reached = "at or above"
citation = "site procedure 7"
status = "read"
meaning = "The site's own ceiling."

[[level]]
key = "site-rolling"
sort = "investigation"
quantity = "deep"
applies_to = "adult"
window = "rolling twelve months"
dose = "1 rem"
reached = "at or above"
citation = "site procedure 8"
status = "read"
meaning = "The RSO looks into it."
"#;

fn findings(rule_set: &RuleSet, text: &str, on: &str) -> Vec<Finding> {
    let history = history(text);
    let index = DoseIndex::build(&history).unwrap();
    let all = standings(rule_set, &history.facts, &index, day(on)).unwrap();
    level_findings(&history.facts, &all, &index, rule_set).unwrap()
}

/// A limit is kept with exactly its dose and passed by the next nanosievert
/// that a reading can carry; a site's level is reached by its dose. Whoever has used up a limit to
/// the last stays in all the same.
#[test]
fn a_limit_is_passed_strictly_above_and_a_level_reached_at() {
    let site = RuleSet::parse(SITE).unwrap();
    let rows: [(&str, &[&str]); 5] = [
        ("999", &[]),
        ("1000", &["act level-reached:site-rolling"]),
        (
            "2000",
            &[
                "stop level-reached:site-administrative",
                "act level-reached:site-rolling",
            ],
        ),
        (
            "5000",
            &[
                "act level-reached:site-rolling",
                "stop level-reached:deep-year",
                "stop level-reached:site-administrative",
            ],
        ),
        (
            "5000.1",
            &[
                "stop limit-exceeded:deep-year",
                "stop level-reached:site-administrative",
                "act level-reached:site-rolling",
            ],
        ),
    ];
    for (mrem, expected) in rows {
        let text = format!(
            "born 1980-01-01
             shift 2026-03-02 day: ED-1 0mrem>{mrem}mrem
             shift 2026-03-03 day: PD-1 0mR>0mR"
        );
        let found = findings(&site, &text, "2026-12-31");
        let mut names: Vec<String> = found
            .iter()
            .map(|one| format!("{} {}", one.severity, one.check))
            .collect();
        names.sort();
        let mut expected: Vec<String> = expected.iter().map(|one| (*one).to_string()).collect();
        expected.sort();
        assert_eq!(names, expected, "{mrem} mrem");
        // They rest on the shift that did it, not on the latest.
        assert!(found.iter().all(|one| one.entries == [2]), "{mrem} mrem");
    }
}

#[test]
fn a_finding_of_a_limit_cites_the_limit_and_says_the_dose() {
    let us = rule_set("10 CFR");
    let text = "born 1980-01-01
                shift 2026-03-02 day: ED-1 0mrem>5100mrem";
    let found = findings(&us, text, "2026-12-31");
    assert_eq!(found.len(), 1);
    let one = &found[0];
    assert_eq!(one.severity, Severity::Stop);
    assert_eq!(
        one.what,
        "W07 A. Worker: deep dose 5100 mrem against the limit deep-year of 5000 mrem, since \
         2026-03-02"
    );
    assert!(
        one.citation.starts_with("10 CFR 20.1201(a)(1)(i); "),
        "{}",
        one.citation
    );
    assert_eq!(one.key(), "limit-exceeded:deep-year/W07/2");
}

/// 10 CFR 20.2104(e) cuts the allowance; it stops nobody by itself.
#[test]
fn missing_quarters_alone_stop_nobody() {
    let us = rule_set("10 CFR");
    let four = "born 1980-01-01
                missing 2026 1 exposed
                missing 2026 2 exposed
                missing 2026 3 exposed
                missing 2026 4 exposed
                shift 2026-03-02 day: PD-1 0mR>10mR";
    let found = findings(&us, four, "2026-12-31");
    assert!(!found.is_empty());
    assert!(
        found
            .iter()
            .all(|one| one.check.starts_with("missing-quarter:"))
    );
    assert!(found.iter().all(|one| one.severity == Severity::Act));
    assert_eq!(found[0].entries, [2, 3, 4, 5]);
    // Three quarters leave 1250 mrem, which the shift of entry 5 uses up.
    let three = "born 1980-01-01
                 missing 2026 1 exposed
                 missing 2026 2 exposed
                 missing 2026 3 exposed
                 shift 2026-10-02 day: ED-1 0mrem>1250mrem";
    let found = findings(&us, three, "2026-12-31");
    let names: Vec<&str> = found.iter().map(|one| one.check.as_str()).collect();
    assert_eq!(names, ["missing-quarter:deep-year"]);
    assert_eq!(found[0].entries, [2, 3, 4, 5]);
}

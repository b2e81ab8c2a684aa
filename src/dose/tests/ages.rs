//! From which age anybody is exposed at work, by the rule set's own ages.
//!
//! 2013/59/Euratom Arts. 8 and 11(2); GSR Part 3 paras. 3.115 and 3.116. 10 CFR 20.1207 has limits
//! for minors and no least age; SOR/2000-203 has neither, and what is open is watched.

use super::levels::rule_set;
use super::table::{day, history};
use crate::dose::population::too_young;

#[test]
fn each_rule_set_keeps_from_exposed_work_whom_its_ages_keep_from_it() {
    const ON: &str = "2026-06-15";
    let (so_young, training) = (
        Some("stop under 16"),
        Some("stop under 18 and no apprentice"),
    );
    let open = Some("watch under 18: the youngest age");
    // Born, category, then under IAEA, EU, 10 CFR, Canada.
    let rows = [
        ("born 2011-03-14", [so_young, so_young, None, open]),
        (
            "born 2011-03-14 apprentice",
            [so_young, so_young, None, open],
        ),
        (
            "born 2010-06-16 apprentice",
            [so_young, so_young, None, open],
        ),
        ("born 2010-06-15 apprentice", [None, None, None, open]),
        ("born 2010-06-15", [training, training, None, open]),
        ("born 2008-06-16", [training, training, None, open]),
        ("born 2008-06-15", [None, None, None, None]),
        // Not exposed at work: the limits of the public, at any age.
        ("born 2011-03-14 other", [None, None, None, None]),
    ];
    for (text, expected) in rows {
        let facts = history(text).facts;
        for (name, expected) in ["IAEA", "EU", "10 CFR", "Canada"].into_iter().zip(expected) {
            let found = too_young(&rule_set(name), &facts, day(ON));
            let found = found.map(|(severity, what)| format!("{} {what}", severity.name()));
            let begins = found
                .as_deref()
                .map(|it| it.starts_with(expected.unwrap_or("?")));
            assert_eq!(begins, expected.map(|_| true), "{name}: {text}: {found:?}");
        }
    }
}

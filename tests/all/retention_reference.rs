//! How long records are kept, against the rows of the fact sheet on 10 CFR 34.61 to 34.85 and
//! 20.2102 to 20.2106 (`tests/reference/retention.csv`), one test a row.

use std::path::Path;

use wearbook::record::{InstrumentSort, Kind, Words};
use wearbook::rule::{AT_SITE, Keep, Of, RETENTION, Retention, Scheme, builtin, retention_of};

fn reference(section: &str) -> String {
    let path = Path::new("tests/reference/retention.csv");
    let mut rows = csv::Reader::from_path(path).expect("the reference");
    let found = rows
        .records()
        .map(|it| it.expect("a row"))
        .find(|it| &it[0] == section);
    found.unwrap_or_else(|| panic!("no row {section}"))[2].to_owned()
}

fn ours(section: &str) -> &'static Retention {
    let citation = format!("10 CFR {section}");
    let mut found = RETENTION.iter().filter(|it| it.citation == citation);
    let row = found
        .next()
        .unwrap_or_else(|| panic!("no row of {citation}"));
    assert!(found.next().is_none(), "{citation} twice");
    row
}

/// The row keeps what the reference says, and each of its kinds is one that there is.
fn agrees(section: &str) {
    let (row, keep) = (ours(section), reference(section));
    let right = match row.keep {
        Keep::Years(years) => keep.starts_with(&format!("{years} years")),
        Keep::LicenceEnd => keep.starts_with("until licence"),
        Keep::WhileInForce => keep.starts_with("until superseded"),
    };
    assert!(right, "{section}: {:?} for `{keep}`", row.keep);
    for also in [
        "stored source",
        "superseded 3 years",
        "audits",
        "working papers",
    ] {
        let words = also.split(' ').next().unwrap_or_default();
        assert!(
            !keep.contains(also) || row.note.contains(words),
            "{section}: {also}"
        );
    }
    for (kind, of) in row.kinds {
        if let Of::Instruments(sorts) = of {
            let known = |it: &&str| InstrumentSort::from_word(it).is_some();
            assert!(sorts.iter().all(known), "{section}: {sorts:?}");
        }
        assert!(Kind::from_word(kind).is_some(), "{section}: {kind}");
    }
}

macro_rules! rows {
    ($($name:ident: $section:literal),+ $(,)?) => {
        $(#[test] fn $name() { agrees($section); })+

        #[test]
        fn no_row_is_without_its_test() {
            let tested = [$($section),+];
            for row in RETENTION {
                let section = row.citation.trim_start_matches("10 CFR ");
                assert!(tested.contains(&section), "{section}");
            }
            let mut rows = csv::Reader::from_path("tests/reference/retention.csv").expect("it");
            for row in rows.records() {
                let row = row.expect("a row");
                assert!(tested.contains(&&row[0]), "{}", &row[0]);
            }
        }
    };
}

rows! {
    the_licence_is_kept_while_it_is_in_force: "34.61",
    receipts_are_kept_three_years: "34.63",
    meter_calibrations_are_kept_three_years: "34.65",
    leak_tests_are_kept_three_years_or_until_the_source_leaves: "34.67",
    inventories_are_kept_three_years: "34.69",
    the_utilization_log_is_kept_three_years: "34.71",
    problems_found_are_kept_three_years: "34.73",
    alarm_tests_are_kept_three_years: "34.75",
    training_is_kept_three_years: "34.79",
    procedures_are_kept_until_the_licence_ends: "34.81",
    readings_are_kept_three_years: "34.83(a)",
    ratemeter_calibrations_are_kept_three_years: "34.83(b)",
    badge_results_are_kept_until_the_licence_ends: "34.83(c)",
    estimates_are_kept_until_the_licence_ends: "34.83(d)",
    storage_surveys_are_kept_three_years: "34.85",
    the_programme_is_kept_until_the_licence_ends: "20.2102",
    surveys_used_for_a_dose_are_kept_until_the_licence_ends: "20.2103(b)(1)",
    prior_dose_is_kept_until_the_licence_ends: "20.2104(f)",
    dose_records_are_kept_until_the_licence_ends: "20.2106",
}

/// 10 CFR 34.89(b), in the words of the fact sheet.
#[test]
fn a_job_site_has_each_paper_of_the_rule() {
    let rule = "licence; Parts 19, 20, 34; utilization records; daily-check problems; \
                alarm checks; dosimeter readings; procedures; latest meter calibration; \
                latest ratemeter calibration and dosimeter checks; latest surveys; \
                shipping papers; reciprocity licence";
    assert_eq!(rule.split("; ").count(), AT_SITE.len());
    for (words, ours) in rule.split("; ").zip(AT_SITE) {
        let stem: String = ours.key.chars().take(5).collect();
        let named = words.to_lowercase().contains(&stem) || ours.what.contains(words);
        let known = matches!(
            (ours.key, words),
            (
                "instruments",
                "latest ratemeter calibration and dosimeter checks"
            )
        );
        assert!(named || known, "{} for {words}", ours.key);
    }
}

#[test]
fn only_the_scheme_whose_rule_was_read_has_rows() {
    for offer in builtin() {
        let scheme = Scheme::parse(offer.text).expect("a built-in scheme");
        assert_eq!(retention_of(&scheme).is_empty(), offer.name != "10 CFR");
    }
}

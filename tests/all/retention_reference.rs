//! How long records are kept, against the rows of the fact sheet on 10 CFR 34.61 to 34.85 and
//! 20.2102 to 20.2106 (`tests/reference/retention.csv`), one test a row.

use std::path::Path;

use wearbook::rule::{AT_SITE, Keep, Retention, RuleSet, builtin};

fn rule_set(name: &str) -> RuleSet {
    let offer = builtin().iter().find(|it| it.name == name).expect(name);
    RuleSet::parse(offer.text).expect("a built-in rule set")
}

fn reference(section: &str) -> String {
    let path = Path::new("tests/reference/retention.csv");
    let mut rows = csv::Reader::from_path(path).expect("the reference");
    let found = rows
        .records()
        .map(|it| it.expect("a row"))
        .find(|it| &it[0] == section);
    found.unwrap_or_else(|| panic!("no row {section}"))[2].to_owned()
}

/// Rows that the fact sheet has not: from no text that was read.
const UNREAD: &[&str] = &[
    "disposal",
    "shipping-papers",
    "access-approvals",
    "hazmat-training",
    "receipt-surveys",
    "presence-checks",
    "tracking-reports",
    "controls",
    "evidence",
];

/// A section has a row for each time that the reference gives it, and none besides.
fn agrees(section: &str) {
    let rule_set = rule_set("10 CFR");
    let (keep, citation) = (reference(section), format!("10 CFR {section}"));
    let rows: Vec<&Retention> = rule_set
        .retention()
        .iter()
        .filter(|it| it.citation == citation)
        .collect();
    assert!(!rows.is_empty(), "no row of {citation}");
    for row in &rows {
        let right = match row.keep {
            Keep::Years(years) => keep.contains(&format!("{years} years")),
            Keep::LicenseEnd => keep.contains("until licence"),
            Keep::AfterLicenseEnd(_) => false,
            Keep::WhileInForce => keep.starts_with("until superseded"),
            Keep::AsItsRecord => false,
        };
        assert!(right, "{section}: {:?} for `{keep}`", row.keep);
    }
    for also in [
        "stored source",
        "superseded 3 years",
        "audits",
        "working papers",
    ] {
        let words = also.split(' ').next().unwrap_or_default();
        let said = |it: &&Retention| {
            it.meaning.contains(words) || it.what.contains(words) || it.meaning.contains("storage")
        };
        assert!(
            !keep.contains(also) || rows.iter().any(said),
            "{section}: {also}"
        );
    }
}

macro_rules! rows {
    ($($name:ident: $section:literal),+ $(,)?) => {
        $(#[test] fn $name() { agrees($section); })+

        #[test]
        fn no_row_is_without_its_test() {
            let tested = [$($section),+];
            for row in rule_set("10 CFR").retention() {
                let section = row.citation.trim_start_matches("10 CFR ");
                let unread = UNREAD.contains(&row.key.as_str()) && row.cited() != row.citation;
                assert!(unread || tested.contains(&section), "{section}");
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
    let rule = "license; Parts 19, 20, 34; utilization records; daily-check problems; \
                alarm checks; dosimeter readings; procedures; latest meter calibration; \
                latest ratemeter calibration and dosimeter checks; latest surveys; \
                shipping papers; reciprocity license";
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
fn only_the_rule_set_whose_rule_was_read_has_rows() {
    for offer in builtin() {
        let none = rule_set(offer.name).retention().is_empty();
        assert_eq!(none, offer.name != "10 CFR");
    }
}

/// A file that starts from it has its rows and can replace each; written out it reads back whole.
#[test]
fn a_file_of_its_own_replaces_a_row_and_keeps_the_others() {
    let own = "extends = \"10 CFR\"\nscheme = \"own\"\ntitle = \"own\"\n[[retention]]\n\
        key = \"readings\"\nwhat = \"readings\"\nrecords = [\"sheet\"]\n\
        keep = \"until the license ends\"\ncitation = \"own\"\nstatus = \"read\"\n\
        meaning = \"own\"\n";
    let own = RuleSet::parse(own).expect("a file that extends");
    assert_eq!(own.retention().len(), rule_set("10 CFR").retention().len());
    let row = own.retention().iter().find(|it| it.key == "readings");
    assert_eq!(row.expect("it").keep, Keep::LicenseEnd);
    let again = RuleSet::parse(&own.to_toml()).expect("what was written");
    assert_eq!(again.retention(), own.retention());
}

/// Who adopts a file in which something may go sooner is told.
#[test]
fn a_shorter_time_than_the_one_that_it_started_from_is_told() {
    let file = |keep: &str| {
        let text = format!(
            "extends = \"10 CFR\"\nscheme = \"own\"\ntitle = \"own\"\n[[retention]]\n\
             key = \"readings\"\nwhat = \"readings\"\nrecords = [\"sheet\"]\n\
             keep = \"{keep}\"\ncitation = \"own\"\nstatus = \"read\"\nmeaning = \"own\"\n"
        );
        let own = RuleSet::parse(&text).expect("a file that extends");
        own.cautions().iter().any(|it| it.about == "readings")
    };
    for (keep, told) in [
        ("2 years", true),
        ("3 years", false),
        ("4 years", false),
        ("until the license ends", false),
    ] {
        assert_eq!(file(keep), told, "{keep}");
    }
}

//! Files that read: what a site adds, overrides and loosens, and what a ledger keeps.

use super::super::{Level, RULE_KEYS, Reached, RuleSet, Status, builtin};
use super::{cautions, level, read, site};
use crate::calendar::{Interval, YearStart};
use crate::quantity::{Dose, DoseUnit};

/// The form of a site that leaves out most of the items of the one that it started from.
const OWN_FORM: &str = "[form]\nname = \"our form\"\nnot_required = \"none\"\n\
                        items = [\"1 name: Name\", \"2 deep: Dose\"]\ncitation = \"procedure 9\"\n\
                        status = \"read\"\nmeaning = \"ours\"\n";

#[test]
fn a_sites_own_form_is_kept_and_what_it_leaves_out_is_told() {
    let own = read(&site(OWN_FORM));
    let kept = own.form.clone().expect("a form");
    assert_eq!((kept.items.len(), kept.not_required.as_str()), (2, "none"));
    assert_eq!(read(&own.to_toml()).form, own.form);
    let told = cautions(&site(OWN_FORM));
    let leaves_out = |item: &str| told.iter().any(|it| it.contains(item));
    assert!(
        leaves_out("leaves out item 9A `Record or estimate`"),
        "{told:?}"
    );
    assert!(!leaves_out("item 1 "), "{told:?}");
    // Without a word about it, the form of the rule set that it starts from stands.
    let base = read(builtin()[0].text);
    assert_eq!(read(&site("")).form, base.form);
}

#[test]
fn an_item_that_no_form_has_is_refused_with_those_that_there_are() {
    let found = super::problems(&site(&OWN_FORM.replace("2 deep", "2 depp")));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("`depp` is not a known item"), "{found:?}");
}

const OWN_LEVELS: [[&str; 5]; 2] = [
    [
        "site-year",
        "administrative",
        "adult",
        "licensee year",
        "2 rem",
    ],
    ["site-month", "investigation", "adult", "month", "100 mrem"],
];

#[test]
fn a_site_file_adds_levels_to_the_rule_set_it_starts_from() {
    let rule_set = read(&site(&OWN_LEVELS.map(level).concat()));
    let base = read(builtin()[0].text);
    assert_eq!(rule_set.key, "our site");
    assert_eq!(rule_set.based_on.as_deref(), Some("10 CFR"));
    assert_eq!(rule_set.unit, DoseUnit::Millirem);
    assert!(rule_set.si_in_parentheses);
    assert_eq!(rule_set.confirm, base.confirm);
    assert_eq!(rule_set.levels.len(), base.levels.len() + 2);
    assert_eq!(rule_set.rules, base.rules);
    let own = rule_set
        .level("site-year")
        .map(|level| (level.dose, level.reached));
    assert_eq!(own, Some((Dose::from_nsv(20_000_000), Reached::AtOrAbove)));
    assert_eq!(rule_set.cautions(), []);
}

#[test]
fn a_site_file_overrides_by_key_and_keeps_the_place() {
    let own = level(["deep-year", "limit", "adult", "licensee year", "2 rem"]);
    let text = site(&format!("year_start = \"01-05\"\nunit = \"mSv\"\n{own}"))
        .replace("ours", "our own limit");
    let rule_set = read(&text);
    assert_eq!(rule_set.levels[0].key, "deep-year");
    assert_eq!(rule_set.levels[0].dose, Dose::from_nsv(20_000_000));
    assert_eq!(rule_set.levels[0].citation, "procedure 4");
    assert_eq!(rule_set.unit, DoseUnit::MilliSievert);
    assert_eq!(YearStart::new(1, 5), Ok(rule_set.year_start));
}

#[test]
fn a_stricter_limit_of_the_site_needs_no_caution_once_the_quarters_still_cut_it() {
    let stricter = level(["deep-year", "limit", "adult", "licensee year", "2 rem"]);
    let uncut = site(&stricter);
    assert_eq!(
        cautions(&uncut),
        ["`deep-year`: is not cut by quarters without records as in `10 CFR`"]
    );
    let cut = uncut.replace("dose =", "cut_by_missing_quarters = true\ndose =");
    assert_eq!(cautions(&cut), [""; 0]);
}

/// Holds what is flagged of a site's file, one caution a row, against what must be.
fn flagged(table: &[(String, &str)]) {
    for (rest, wanted) in table {
        assert_eq!(cautions(&site(rest)).join("\n"), *wanted, "{rest}");
    }
}

#[test]
fn a_level_looser_than_the_base_is_taken_and_flagged() {
    let own = |key, kind, who, window, dose| level([key, kind, who, window, dose]);
    let floor = "[pregnancy]\nlevel = \"pregnancy\"\nfloor = \"0.1 rem\"\n\
                 citation = \"procedure 4\"\nstatus = \"read\"\nmeaning = \"ours\"\n";
    flagged(&[
        (
            own("shift-electronic", "shift", "anyone", "shift", "300 mrem"),
            "`shift-electronic`: is looser than the level of 200 mrem in `10 CFR`",
        ),
        (
            own("deep-year", "limit", "adult", "licensee year", "6 rem"),
            "`deep-year`: is looser than the limit of 5000 mrem in `10 CFR`",
        ),
        (
            own("deep-year", "limit", "adult", "calendar year", "5 rem"),
            "`deep-year`: the limit of 5000 mrem a licensee year of `10 CFR` is gone",
        ),
        (
            own(
                "other-deep-year",
                "limit",
                "other",
                "licensee year",
                "0.1 rem",
            ),
            "",
        ),
        (
            floor.to_owned(),
            "`pregnancy`: differs from the budget of `10 CFR`",
        ),
    ]);
}

#[test]
fn a_band_or_interval_looser_than_the_base_is_taken_and_flagged() {
    let basis = "citation = \"procedure 4\"\nstatus = \"read\"\nmeaning = \"ours\"\n";
    let band = |key: &str, permille: u32| {
        format!("[[tolerance]]\nkey = \"{key}\"\npermille = {permille}\n{basis}")
    };
    let every = |kind: &str, months: u32| {
        format!(
            "[[interval]]\nkey = \"meter-calibration\"\nwhat = \"it\"\n\
             kind = \"{kind}\"\nmonths = {months}\n{basis}"
        )
    };
    flagged(&[
        (
            band("meter-accuracy", 300),
            "`meter-accuracy`: is looser than in `10 CFR`",
        ),
        (band("meter-accuracy", 100), ""),
        (
            band("missing-quarter", 200),
            "`missing-quarter`: is looser than in `10 CFR`",
        ),
        (band("reconcile-relative", 500), ""),
        (
            band("reconcil-relative", 500),
            "`reconcil-relative`: no check asks for this key; is `reconcile-relative` meant?",
        ),
        (
            every("not to exceed months", 12),
            "`meter-calibration`: is `at most 12 months apart` and not \
             `at most 6 months apart` as in `10 CFR`",
        ),
        (every("not to exceed months", 3), ""),
        (
            every("within months before use", 6),
            "`meter-calibration`: is `within 6 months before use` and not \
             `at most 6 months apart` as in `10 CFR`",
        ),
    ]);
}

#[test]
fn an_adopted_site_file_is_kept_whole_with_its_cautions() {
    let looser = level(["shift-electronic", "shift", "anyone", "shift", "300 mrem"]);
    let text = site(&looser).replace("ours", "say \\\"stop\\\" \\\\ 5 \u{b5}Sv");
    let (rule_set, kept) = RuleSet::parse_for_adoption(&text, &|_| None).unwrap();
    assert!(!kept.contains("extends"));
    assert_eq!(rule_set.cautions().len(), 1);
    assert_eq!(read(&kept), rule_set);
    let (again, same) = RuleSet::parse_for_adoption(&kept, &|_| None).unwrap();
    assert_eq!((again, same), (rule_set, kept));
}

#[test]
fn a_built_in_rule_set_is_adopted_as_it_stands() {
    for offer in builtin() {
        let (rule_set, kept) = RuleSet::parse_for_adoption(offer.text, &|_| None).unwrap();
        // Word for word, but for the numbers in its sentences.
        assert_eq!(kept.lines().count(), offer.text.lines().count());
        assert_eq!(RuleSet::parse_adopted(&kept).unwrap(), rule_set);
        assert_eq!(read(&rule_set.to_toml()), rule_set, "{}", offer.name);
    }
}

#[test]
fn an_odd_dose_is_written_out_exactly() {
    for unit in ["mrem", "rem", "mSv", "Sv", "uSv"] {
        let odd = level(["site", "administrative", "adult", "month", "1234567 nSv"]);
        let rule_set = read(&site(&format!("unit = \"{unit}\"\n{odd}")));
        let again = read(&rule_set.to_toml());
        let dose = again.level("site").map(|level| level.dose);
        assert_eq!(dose, Some(Dose::from_nsv(1_234_567)), "{unit}");
    }
}

#[test]
fn each_value_of_a_built_in_rule_set_says_where_it_stands() {
    for offer in builtin() {
        let rule_set = read(offer.text);
        let said = rule_set.confirm.replace("licence", "license");
        assert!(said.contains("Confirm with your license and your authority"));
        for rule in &rule_set.rules {
            let unread = rule.citation.contains("no source");
            let open = rule.status == Status::ToBeConfirmed;
            assert!(!unread || open, "{}: {}", offer.name, rule.key);
            assert_eq!(open, rule.cited().ends_with("(to be confirmed)"));
        }
        for key in RULE_KEYS {
            assert!(rule_set.rule(key).is_some(), "{}: {key}", offer.name);
        }
        let ratemeter = rule_set
            .interval("ratemeter-alarm-check")
            .map(|one| one.interval);
        assert_eq!(ratemeter, Some(Interval::EachShift));
    }
}

/// Whoever reached a limit or an administrative level stays in, and a site may say so of an
/// investigation level, or not of an administrative one.
#[test]
fn a_level_stops_by_its_type_or_as_the_site_marks_it() {
    for (kind, mark, stops) in [
        ("limit", "", true),
        ("limit", "stops = true\n", true),
        ("administrative", "", true),
        ("administrative", "stops = false\n", false),
        ("investigation", "", false),
        ("investigation", "stops = true\n", true),
    ] {
        let own = level(["site-own", kind, "adult", "quarter", "1 rem"]);
        let rule_set = read(&site(&own.replace("dose =", &format!("{mark}dose ="))));
        let found = rule_set.level("site-own").map(Level::is_stopping);
        assert_eq!(found, Some(stops), "{kind} {mark}");
        // The text that the ledger keeps says the same.
        let kept = read(&rule_set.to_toml());
        assert_eq!(kept.level("site-own"), rule_set.level("site-own"), "{kind}");
    }
}

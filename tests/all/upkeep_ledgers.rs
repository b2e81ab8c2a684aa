//! What upkeep needs somebody for, on whole ledgers: each finding with a case on which it fires
//! and a near miss on which it stays silent.

use super::cli_support::Place;
use super::upkeep_shown::{kept, measured, sheet_of};

/// The keys of the findings of this half year that begin with a name.
fn keys(place: &Place, name: &str) -> Vec<String> {
    let said = place.done("findings --from 2026-01-01 --to 2026-06-15");
    let keys = said
        .out
        .lines()
        .filter_map(|it| it.strip_prefix("  key:  "));
    let mine = keys.filter(|it| it.split('/').next() == Some(name));
    mine.map(str::to_owned).collect()
}

fn subjects(place: &Place, name: &str) -> Vec<String> {
    let all = keys(place, name);
    let subject = |it: &String| it.split('/').nth(1).unwrap_or_default().to_owned();
    all.iter().map(subject).collect()
}

#[test]
fn a_measure_past_its_limit_that_passed_is_found_and_one_at_it_is_not() {
    let place = kept("ledgers-passed");
    measured(&place, "2026-03-10", "0.183 in");
    assert_eq!(keys(&place, "passed-beyond-limit"), [""; 0]);
    measured(&place, "2026-03-11", "0.1829 in");
    let found = keys(&place, "passed-beyond-limit");
    assert_eq!(found, ["passed-beyond-limit/C-1-cable-diameter/31"]);
    // As a defect it is another matter.
    place.done(
        "inspect enter --item C-1 --on 2026-03-12 --when quarterly --looked W07 --line \
         \"cable-diameter=defect, value=0.1828 in, note=worn, action=withdrawn\"",
    );
    assert_eq!(keys(&place, "passed-beyond-limit"), found);
    assert_eq!(subjects(&place, "used-with-defect"), ["C-1"]);
}

/// 10 CFR 34.27(d): 185 Bq or more. A wipe that is only known to be below something larger
/// shows nothing.
#[test]
fn a_source_leaks_from_185_bq_on_and_where_less_is_not_shown() {
    for (removable, leaks) in [
        ("185 Bq", true),
        ("184 Bq", false),
        ("< 185 Bq", false),
        ("< 200 Bq", true),
        ("0.005 uCi", true),
    ] {
        let place = kept("ledgers-leak");
        place.done(&format!(
            "equipment leak-test --item S-1 --on 2026-05-04 --part source \
             --removable \"{removable}\" --by Laboratory"
        ));
        let found = subjects(&place, "leaking-source");
        assert_eq!(found.len(), usize::from(leaks), "{removable}");
    }
}

/// 10 CFR 34.29(a): once in each quarter of the licensee's year.
#[test]
fn an_inventory_is_missed_when_its_quarter_is_over_and_so_is_what_it_did_not_see() {
    let counted = |name: &str, days: &[&str], found: &str| {
        let place = kept(name);
        for day in days {
            place.done(&format!(
                "equipment inventory --on {day} --by \"Adaeze Hollow\" --found \"{found}\""
            ));
        }
        subjects(&place, "inventory")
    };
    let both = "D-1 S-1";
    let none: [&str; 0] = [];
    assert_eq!(
        counted("ledgers-count", &["2025-12-31", "2026-03-31"], both),
        none
    );
    assert_eq!(
        counted("ledgers-count", &["2025-12-31", "2026-04-01"], both),
        ["inventory"]
    );
    assert_eq!(counted("ledgers-count", &["2026-01-01"], both), none);
    assert_eq!(
        counted("ledgers-count", &["2025-12-31"], both),
        ["inventory"]
    );
    assert_eq!(counted("ledgers-count", &["2026-05-10"], "D-1"), ["unseen"]);
    // Before it came into service nobody could see it.
    assert_eq!(counted("ledgers-count", &["2026-04-12"], "D-1"), none);
}

const FULL: &str = "--point \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.3 mR/h\" \
     --point \"found, scale=10 mR/h, true=6.7 mR/h, reads=6.7 mR/h\" \
     --point \"found, scale=100 mR/h, true=33 mR/h, reads=33 mR/h\" \
     --point \"found, scale=100 mR/h, true=67 mR/h, reads=67 mR/h\" \
     --point \"found, scale=1000 mR/h, true=330 mR/h, reads=330 mR/h\" \
     --point \"found, scale=1000 mR/h, true=670 mR/h, reads=";

fn calibrated(place: &Place, last: &str) {
    place.done(&format!(
        "instrument calibrate SM-1 --on 2026-06-14 --looked Laboratory {FULL}{last} mR/h\""
    ));
}

/// +-20 % (10 CFR 34.25(b)(3)): at 670 mR/h up to and with 804 mR/h.
#[test]
fn a_meter_found_wrong_is_looked_back_at_only_where_it_was_used() {
    let used = kept("ledgers-look-back");
    sheet_of(&used, "2026-06-12");
    calibrated(&used, "805");
    assert_eq!(subjects(&used, "look-back"), ["SM-1"]);
    let unused = kept("ledgers-look-back");
    calibrated(&unused, "805");
    assert_eq!(subjects(&unused, "look-back"), [""; 0]);
    let within = kept("ledgers-look-back");
    sheet_of(&within, "2026-06-12");
    calibrated(&within, "804");
    assert_eq!(subjects(&within, "look-back"), [""; 0]);
}

#[test]
fn a_calibration_that_lacks_a_point_is_found_and_a_whole_one_is_not() {
    let whole = kept("ledgers-points");
    calibrated(&whole, "670");
    assert_eq!(subjects(&whole, "meter-calibration"), [""; 0]);
    let lacking = kept("ledgers-points");
    let point = "--point \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.3 mR/h\"";
    lacking.done(&format!(
        "instrument calibrate SM-1 --on 2026-06-14 --looked Laboratory {point}"
    ));
    assert_eq!(subjects(&lacking, "meter-calibration"), ["SM-1"]);
}

#[test]
fn a_part_that_heads_for_its_limit_is_found_and_too_few_or_level_measures_are_not() {
    let series = |values: &[&str]| {
        let place = kept("ledgers-heading");
        let days = [
            "2025-04-10",
            "2025-07-10",
            "2025-10-10",
            "2026-01-10",
            "2026-04-10",
        ];
        for (day, value) in days.iter().zip(values) {
            measured(&place, day, value);
        }
        subjects(&place, "wear-heading")
    };
    let worn = [
        "0.1850 in",
        "0.1846 in",
        "0.1842 in",
        "0.1838 in",
        "0.1834 in",
    ];
    assert_eq!(series(&worn), ["C-1-cable-diameter"]);
    assert_eq!(series(&worn[..3]), [""; 0]);
    assert_eq!(series(&["0.1850 in"; 5]), [""; 0]);
}

/// By hand: none of 8 pairs of the other part repeats; the upper 95 % bound of that share is
/// 1 - 0.05^(1/8) = 0.3123. Four steps of it are 0.0095, three 0.0305; told below 0.01.
#[test]
fn a_figure_is_found_at_the_fifth_time_running_and_not_at_the_fourth() {
    let place = kept("ledgers-same");
    place.done("equipment add --id C-2 --sort \"control unit\" --serial XC2");
    for (at, value) in (185..194).rev().enumerate() {
        place.done(&format!(
            "inspect enter --item C-2 --on 2026-02-{:02} --when quarterly --looked W07 \
             --line \"cable-diameter, value=0.{value} in\"",
            at + 1
        ));
    }
    for day in ["2026-03-01", "2026-03-02", "2026-03-03", "2026-03-04"] {
        measured(&place, day, "0.185 in");
    }
    assert_eq!(keys(&place, "same-figure"), [""; 0]);
    measured(&place, "2026-03-05", "0.185 in");
    assert_eq!(subjects(&place, "same-figure"), ["C-1-cable-diameter"]);
}

#[test]
fn an_item_that_is_never_measured_is_found_until_it_is() {
    let place = kept("ledgers-never");
    let key = "C-1-cable-diameter".to_owned();
    assert!(!subjects(&place, "never-measured").contains(&key));
    place.done(
        "inspect enter --item C-1 --on 2026-03-10 --when quarterly --looked W07 \
         --line \"cable-diameter=good\"",
    );
    assert!(subjects(&place, "never-measured").contains(&key));
    measured(&place, "2026-03-11", "0.185 in");
    assert!(!subjects(&place, "never-measured").contains(&key));
}

#[test]
fn an_answered_finding_of_upkeep_returns_when_its_entry_changes() {
    let place = kept("ledgers-answered");
    measured(&place, "2026-03-11", "0.1829 in");
    let key = keys(&place, "passed-beyond-limit").remove(0);
    place.done(&format!(
        "finding answer {key} --reason \"gauge was dirty, measured again\""
    ));
    assert_eq!(keys(&place, "passed-beyond-limit"), [""; 0]);
    place.done("entry amend 30 \"note=in the rain\" --reason \"left out\"");
    assert_eq!(
        keys(&place, "passed-beyond-limit"),
        ["passed-beyond-limit/C-1-cable-diameter/32"]
    );
}

/// Safe side and account of one day, in nSv.
fn of_day(place: &Place, day: &str) -> (i64, i64) {
    let said = place.done(&format!("dose show W08 --from {day} --to {day} --json"));
    let said: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
    (number(&said, "account"), number(&said, "safe_side"))
}

fn number(said: &serde_json::Value, which: &str) -> i64 {
    let deep = &said["data"]["totals"][0];
    assert_eq!(deep["quantity"], "deep");
    let found = &deep[which]["known_nsv"];
    found.as_i64().unwrap_or_else(|| panic!("{which}: {said}"))
}

/// Read 25 % low: 8 mR shown were 8 / 0.75 mR, rounded up. Only between the last good check
/// and the one that failed, both days with it; the account stays what was read.
#[test]
fn a_dosimeter_found_low_raises_the_safe_side_between_its_checks_alone() {
    let place = kept("ledgers-low");
    let days = [
        "2026-01-11",
        "2026-01-12",
        "2026-05-12",
        "2026-06-10",
        "2026-06-11",
    ];
    for day in days {
        sheet_of(&place, day);
    }
    let before = days.map(|day| of_day(&place, day));
    assert!(before.iter().all(|it| *it == before[0]), "{before:?}");
    place.done(
        "instrument calibrate PD-08 --on 2026-06-10 --sort \"response check\" \
         --looked Laboratory --point \"found, true=100 mR, reads=75 mR\" \
         --point \"left, true=100 mR, reads=100 mR\"",
    );
    let after = days.map(|day| of_day(&place, day));
    let (account, safe) = before[0];
    assert!(after.iter().all(|it| it.0 == account), "{after:?}");
    let raised = after.map(|it| it.1);
    assert_eq!([raised[0], raised[4]], [safe, safe]);
    for it in &raised[1..4] {
        assert!(
            *it * 3 >= safe * 4 && *it * 3 <= safe * 4 + 3_000,
            "{raised:?}"
        );
    }
}

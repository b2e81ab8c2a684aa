//! Worked numbers of limits, missing quarters, pregnancies and windows.
//!
//! The figures are arithmetic on the cited provisions: 10 CFR 20.1201,
//! 20.1207, 20.1208, 20.2104 with HPPOS Q55 and Q406; SOR/2000-203 ss. 1, 13;
//! 2013/59/Euratom Arts. 9, 10, 11.

use super::level_findings::SITE;
use super::table::{day, dose, history};
use crate::dose::index::DoseIndex;
use crate::dose::level::{Certainty, Gone, Standing, standings};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::{RuleSet, offer};

pub(super) fn rule_set(name: &str) -> RuleSet {
    RuleSet::parse(offer(name).unwrap().text).unwrap()
}

fn with<T>(rule_set: &RuleSet, text: &str, on: &str, ask: impl Fn(&[Standing<'_>]) -> T) -> T {
    let history = history(text);
    let index = DoseIndex::build(&history).unwrap();
    ask(&standings(rule_set, &history.facts, &index, day(on)).unwrap())
}

/// The standing of one level as `used | cut | left`, or `does not apply`.
fn standing(rule_set: &RuleSet, text: &str, on: &str, key: &str, unit: DoseUnit) -> String {
    with(rule_set, text, on, |all| {
        let Some(one) = all.iter().find(|one| one.level.key == key) else {
            return "does not apply".to_string();
        };
        let used = one.used.safe.text(unit);
        format!(
            "{used} | {} | {}",
            one.cut.display(unit),
            one.left_text(unit)
        )
    })
}

/// 10 CFR 20.2104(e) and HPPOS Q55: each quarter without records, with
/// possible exposure, takes a quarter of every limit.
#[test]
fn quarters_without_records_cut_every_limit_by_a_quarter_each() {
    let us = rule_set("10 CFR");
    let adult = "born 1990-01-01\n";
    let rows = [
        (
            "prior 2026-01-01 2026-03-31 deep=1.10rem lens=0rem shallow=0rem
             missing 2026 2 exposed",
            "deep-year",
            "1.1 rem | 1.25 rem | 2.65 rem",
        ),
        (
            "missing 2026 1 exposed",
            "lens-year",
            "0 rem | 3.75 rem | 11.25 rem",
        ),
        (
            "missing 2026 1 exposed",
            "shallow-year",
            "0 rem | 12.5 rem | 37.5 rem",
        ),
        (
            "missing 2026 1 exposed
             missing 2026 2 exposed
             missing 2026 3 exposed
             missing 2026 4 exposed",
            "deep-year",
            "0 rem | 5 rem | 0 rem",
        ),
        // No radiation work in it: no reduction (20.2104(e)(1)).
        ("missing 2026 1 clear", "deep-year", "0 rem | 0 rem | 5 rem"),
        // Last year's quarter cuts nothing of this year.
        (
            "missing 2025 4 exposed",
            "deep-year",
            "0 rem | 0 rem | 5 rem",
        ),
        // The same quarter stated twice is one quarter.
        (
            "missing 2026 1 exposed
             missing 2026 1 exposed",
            "deep-year",
            "0 rem | 1.25 rem | 3.75 rem",
        ),
    ];
    for (facts, key, expected) in rows {
        let text = format!("{adult}{facts}");
        let found = standing(&us, &text, "2026-12-31", key, DoseUnit::Rem);
        assert_eq!(found, expected, "{facts}");
    }
}

/// The extremity limit too: 50 - 12.5 = 37.5 rem (HPPOS Q55). Where nothing
/// measured the extremity, what is left is not shown as an allowance.
#[test]
fn an_extremity_that_nothing_measured_has_no_allowance() {
    let us = rule_set("10 CFR");
    let measured = "born 1990-01-01
                    prior 2026-01-01 2026-01-31 deep=0rem extremity=1rem
                    missing 2026 2 exposed";
    let found = standing(&us, measured, "2026-12-31", "extremity-year", DoseUnit::Rem);
    assert_eq!(found, "1 rem | 12.5 rem | 36.5 rem");
    let worked = "born 1990-01-01
                  shift 2026-03-02 day: PD-1 0mR>12mR";
    let found = standing(&us, worked, "2026-12-31", "extremity-year", DoseUnit::Rem);
    assert_eq!(found, "not assessed | 0 rem | not assessed");
}

/// 10 CFR 20.1208(a), (d): max(0.5 rem - dose so far, 0.05 rem), fixed at the
/// declaration.
#[test]
fn a_declared_pregnancy_has_a_budget_fixed_at_the_declaration() {
    let us = rule_set("10 CFR");
    let budgets = [
        ("100mR", "0.4 rem"),
        ("449mR", "0.051 rem"),
        ("450mR", "0.05 rem"),
        ("470mR", "0.05 rem"),
        ("600mR", "0.05 rem"),
    ];
    for (before, left) in budgets {
        let text = format!(
            "born 1990-01-01
             pregnancy 2026-06-01 conceived 2026-03-01
             shift 2026-02-28 day: PD-1 0mR>99mR
             shift 2026-03-01 day: ED-1 0mR>{before}"
        );
        let expected = format!("0 rem | 0 rem | {left}");
        let found = standing(&us, &text, "2026-06-30", "pregnancy", DoseUnit::Rem);
        assert_eq!(found, expected, "{before} before the notice");
    }
    // What comes after is taken from it, from the day of the notice on, may
    // pass it, and does not move it.
    let text = "born 1990-01-01
                pregnancy 2026-06-01 conceived 2026-03-01
                shift 2026-05-31 day: PD-1 0mR>100mR
                shift 2026-06-01 day: PD-1 0mR>150mR
                shift 2026-06-02 day: PD-1 0mR>150mR
                shift 2026-06-03 day: PD-1 0mR>150mR";
    let rows = [
        ("2026-05-31", "does not apply"),
        ("2026-06-01", "0.15 rem | 0 rem | 0.25 rem"),
        ("2026-06-02", "0.3 rem | 0 rem | 0.1 rem"),
        ("2026-06-03", "0.45 rem | 0 rem | 0.05 rem over"),
    ];
    for (on, expected) in rows {
        assert_eq!(
            standing(&us, text, on, "pregnancy", DoseUnit::Rem),
            expected,
            "{on}"
        );
    }
    // The adult limits hold besides.
    let year = standing(&us, text, "2026-06-03", "deep-year", DoseUnit::Rem);
    assert_eq!(year, "0.55 rem | 0 rem | 4.45 rem");
}

/// Where no conception is on record, all counts that was received since the earliest day that is
/// believable, 310 days before the notice: here 2025-07-26.
#[test]
fn a_pregnancy_without_a_conception_counts_from_the_earliest_that_is_believable() {
    let us = rule_set("10 CFR");
    for (shift, left) in [("2025-07-25", "0.5 rem"), ("2025-07-26", "0.4 rem")] {
        let text = format!(
            "born 1990-01-01
             pregnancy 2026-06-01 conceived unknown
             shift {shift} day: ED-1 0mR>100mR"
        );
        let found = standing(&us, &text, "2026-06-30", "pregnancy", DoseUnit::Rem);
        assert_eq!(found, format!("0 rem | 0 rem | {left}"), "{shift}");
    }
}

/// HPPOS Q406: a time without records in the pregnancy may not be taken as
/// zero.
#[test]
fn a_pregnancy_with_an_unknown_time_has_no_allowance() {
    let us = rule_set("10 CFR");
    let text = "born 1990-01-01
                pregnancy 2026-06-01 conceived 2026-03-01
                missing 2026 2 exposed";
    let found = standing(&us, text, "2026-06-30", "pregnancy", DoseUnit::Rem);
    assert_eq!(found, "0 rem | 0 rem | none: undetermined");
    let text = "born 1990-01-01
                pregnancy 2026-06-01 conceived 2026-03-01
                shift 2026-04-01 day: PD-1 0mR>- off-scale";
    let found = standing(&us, text, "2026-06-30", "pregnancy", DoseUnit::Rem);
    assert_eq!(found, "0 rem | 0 rem | none: undetermined");
}

/// SOR/2000-203 s. 13(1) item 2 and 2013/59/Euratom Art. 10(1): from the
/// notice on, whatever was received before.
#[test]
fn other_laws_count_a_pregnancy_from_the_notification() {
    let text = "born 1990-01-01
                pregnancy 2026-06-01 conceived 2026-03-01 ended 2026-11-30
                shift 2026-05-31 day: ED-1 0mSv>3mSv
                shift 2026-06-01 day: ED-1 0mSv>0.25mSv";
    let rows = [
        ("Canada", "2026-06-30", "0.25 mSv | 0 mSv | 3.75 mSv"),
        ("EU", "2026-06-30", "0.25 mSv | 0 mSv | 0.75 mSv"),
        ("Canada", "2026-12-01", "does not apply"),
    ];
    for (name, on, expected) in rows {
        let found = standing(
            &rule_set(name),
            text,
            on,
            "pregnancy",
            DoseUnit::MilliSievert,
        );
        assert_eq!(found, expected, "{name} {on}");
    }
}

/// 10 CFR 20.1207: a worker under 18 has 10 % of each adult limit; what was
/// received under 18 stays held against it for the rest of the year.
#[test]
fn a_minor_has_a_tenth_and_keeps_it_for_what_was_received_under_18() {
    let us = rule_set("10 CFR");
    let text = "born 2008-07-01
                shift 2026-05-01 day: PD-1 0mR>190mR
                shift 2026-06-30 day: PD-1 0mR>190mR
                shift 2026-07-01 day: PD-1 0mR>190mR";
    let rows = [
        (
            "2026-06-29",
            "minor-deep-year",
            "0.19 rem | 0 rem | 0.31 rem",
        ),
        (
            "2026-06-30",
            "minor-deep-year",
            "0.38 rem | 0 rem | 0.12 rem",
        ),
        (
            "2026-06-30",
            "minor-lens-year",
            "0.38 rem | 0 rem | 1.12 rem",
        ),
        ("2026-06-30", "deep-year", "does not apply"),
        ("2026-07-01", "minor-deep-year", "0.38 rem | 0 rem | closed"),
        ("2026-07-01", "deep-year", "0.57 rem | 0 rem | 4.43 rem"),
        ("2027-01-01", "minor-deep-year", "does not apply"),
    ];
    for (on, key, expected) in rows {
        assert_eq!(
            standing(&us, text, on, key, DoseUnit::Rem),
            expected,
            "{on} {key}"
        );
    }
    // Whose age is not known is not taken for an adult.
    let unknown = "shift 2026-05-01 day: PD-1 0mR>190mR";
    let found = standing(&us, unknown, "2026-06-30", "minor-deep-year", DoseUnit::Rem);
    assert_eq!(found, "0.19 rem | 0 rem | 0.31 rem");
}

/// 10 CFR 20.1207 binds a minor; who has come of age is bound by 20.1201 alone, and what was
/// received above a tenth of it before stays an excess.
#[test]
fn the_closed_level_of_a_minor_binds_nobody_of_age() {
    let us = rule_set("10 CFR");
    let binding = |text: &str| {
        with(&us, text, "2026-07-01", |all| {
            let binding = all.iter().filter(|it| it.binds());
            let least = binding.min_by_key(|it| it.left).unwrap();
            let of_minor = all.iter().find(|it| it.level.key == "minor-deep-year");
            (
                least.level.key.clone(),
                of_minor.unwrap().gone() == Some(Gone::Passed),
            )
        })
    };
    let born = "born 2008-07-01\n";
    for (mrem, passed) in [(1, false), (499, false), (500, false), (501, true)] {
        let text = format!("{born}shift 2026-05-01 day: ED-1 0mrem>{mrem}mrem");
        assert_eq!(binding(&text), ("deep-year".to_owned(), passed), "{mrem}");
    }
}

/// 10 CFR 20.1201(a)(1)(i): a dose equal to the limit is no excess, and leaves nothing.
#[test]
fn a_dose_equal_to_a_limit_is_at_the_limit() {
    let us = rule_set("10 CFR");
    let rows = [
        (4_999, "4999 mrem | 0 mrem | 1 mrem"),
        (5_000, "5000 mrem | 0 mrem | at the limit"),
        (5_001, "5001 mrem | 0 mrem | 1 mrem over"),
    ];
    for (mrem, expected) in rows {
        let text = format!("born 1990-01-01\nshift 2026-05-01 day: ED-1 0mrem>{mrem}mrem");
        let unit = DoseUnit::Millirem;
        let found = standing(&us, &text, "2026-06-01", "deep-year", unit);
        assert_eq!(found, expected);
    }
}

/// SOR and Euratom levels alike: whoever received nothing is bound by the level with the least
/// dose, and what nothing measured binds nobody.
#[test]
fn the_level_that_binds_is_the_one_with_the_least_left() {
    let rows = [
        ("10 CFR", "born 1990-01-01", "deep-year"),
        ("10 CFR", "born 2009-01-01", "minor-deep-year"),
        ("EU", "born 1990-01-01", "deep-year"),
        ("EU", "born 2009-06-01 apprentice", "apprentice-deep-year"),
        ("Canada", "born 1990-01-01", "deep-year"),
    ];
    for (name, text, expected) in rows {
        let least = with(&rule_set(name), text, "2026-06-01", |all| {
            let binding = all.iter().filter(|it| it.binds());
            binding.min_by_key(|it| it.left).unwrap().level.key.clone()
        });
        assert_eq!(least, expected, "{name}: {text}");
    }
}

#[test]
fn who_is_born_on_29_february_is_of_age_on_1_march() {
    let us = rule_set("10 CFR");
    for (on, expected) in [("2026-02-28", true), ("2026-03-01", false)] {
        let is_minor = with(&us, "born 2008-02-29", on, |all| {
            !all.iter().any(|one| one.level.key == "deep-year")
        });
        assert_eq!(is_minor, expected, "{on}");
    }
}

/// 2013/59/Euratom Art. 11: apprentices under 18 have 6 mSv, from 18 on the
/// limits of workers.
#[test]
fn an_apprentice_has_lower_limits_only_under_18() {
    let eu = rule_set("EU");
    let rows = [
        (
            "born 2009-01-01 apprentice",
            "apprentice-deep-year",
            "0 mSv | 0 mSv | 6 mSv",
        ),
        ("born 2009-01-01 apprentice", "deep-year", "does not apply"),
        (
            "born 2000-01-01 apprentice",
            "apprentice-deep-year",
            "does not apply",
        ),
        (
            "born 2000-01-01 apprentice",
            "deep-year",
            "0 mSv | 0 mSv | 20 mSv",
        ),
        ("born 2000-01-01 other", "deep-year", "does not apply"),
    ];
    for (text, key, expected) in rows {
        let found = standing(&eu, text, "2026-06-30", key, DoseUnit::MilliSievert);
        assert_eq!(found, expected, "{text} {key}");
    }
}

/// SOR/2000-203 s. 1(1): fixed blocks, so 60 mSv on either side of their
/// border pass both years and no block.
#[test]
fn fixed_blocks_do_not_reach_over_their_border() {
    let canada = rule_set("Canada");
    let text = "born 1980-01-01
                shift 2025-06-01 day: ED-1 0mSv>60mSv
                shift 2026-06-01 day: ED-1 0mSv>60mSv";
    let rows = [
        ("2025-12-31", "deep-year", "60 mSv | 0 mSv | 10 mSv over"),
        ("2026-12-31", "deep-year", "60 mSv | 0 mSv | 10 mSv over"),
        ("2025-12-31", "deep-five-years", "60 mSv | 0 mSv | 40 mSv"),
        ("2026-12-31", "deep-five-years", "60 mSv | 0 mSv | 40 mSv"),
    ];
    for (on, key, expected) in rows {
        let found = standing(&canada, text, on, key, DoseUnit::MilliSievert);
        assert_eq!(found, expected, "{on} {key}");
    }
}

/// 45 mSv in each of 2024, 2025, 2026: the Canadian block 2021 to 2025 has
/// 90 and holds; any five years under the Directive have 135, a mean of 27,
/// and break it even with an authorization (Art. 9(2)).
#[test]
fn any_five_years_are_broken_where_fixed_blocks_hold() {
    let text = "born 1980-01-01
                shift 2024-06-01 day: ED-1 0mSv>45mSv
                shift 2025-06-01 day: ED-1 0mSv>45mSv
                shift 2026-06-01 day: ED-1 0mSv>45mSv
                authorized deep-year-authorized 2024-01-01 2026-12-31";
    let msv = DoseUnit::MilliSievert;
    let canada = rule_set("Canada");
    let rows = [
        ("2025-12-31", "90 mSv | 0 mSv | 10 mSv"),
        ("2026-12-31", "45 mSv | 0 mSv | 55 mSv"),
    ];
    for (on, expected) in rows {
        assert_eq!(
            standing(&canada, text, on, "deep-five-years", msv),
            expected,
            "{on}"
        );
    }
    let eu = rule_set("EU");
    let found = standing(&eu, text, "2026-12-31", "deep-five-years", msv);
    assert_eq!(found, "135 mSv | 0 mSv | 35 mSv over");
    // The year itself holds under the authorization, which takes the place
    // of the 20 mSv; without one it does not.
    let found = standing(&eu, text, "2026-12-31", "deep-year-authorized", msv);
    assert_eq!(found, "45 mSv | 0 mSv | 5 mSv");
    assert_eq!(
        standing(&eu, text, "2026-12-31", "deep-year", msv),
        "does not apply"
    );
    let (without, _) = text.rsplit_once('\n').unwrap();
    let found = standing(&eu, without, "2026-12-31", "deep-year", msv);
    assert_eq!(found, "45 mSv | 0 mSv | 25 mSv over");
    let found = standing(&eu, without, "2026-12-31", "deep-year-authorized", msv);
    assert_eq!(found, "does not apply");
}

/// The worst of the five runs that hold a year is the one that ends with it.
#[test]
fn of_several_windows_the_worst_is_given() {
    with(
        &rule_set("EU"),
        "born 1980-01-01
         shift 2022-06-01 day: ED-1 0mSv>15mSv
         shift 2026-06-01 day: ED-1 0mSv>10mSv",
        "2026-12-31",
        |all| {
            let one = all
                .iter()
                .find(|one| one.level.key == "deep-five-years")
                .unwrap();
            assert_eq!(one.window.first, day("2022-01-01"));
            assert_eq!(one.used.safe.known(), dose("25mSv"));
        },
    );
}

#[test]
fn rolling_twelve_months_let_go_of_the_day_a_year_ago() {
    let site = RuleSet::parse(SITE).unwrap();
    let text = "born 1980-01-01
                shift 2025-06-14 day: PD-1 0mR>150mR
                shift 2026-06-01 day: PD-1 0mR>50mR";
    let rows = [
        ("2026-06-13", "200 mrem | 0 mrem | 800 mrem"),
        ("2026-06-14", "50 mrem | 0 mrem | 950 mrem"),
    ];
    for (on, expected) in rows {
        let found = standing(&site, text, on, "site-rolling", DoseUnit::Millirem);
        assert_eq!(found, expected, "{on}");
    }
}

#[test]
fn a_held_reading_takes_from_the_allowance_and_undetermined_leaves_none() {
    let us = rule_set("10 CFR");
    let held = "born 1980-01-01
                shift 2026-03-02 day: PD-1 0mR>100mR
                shift 2026-03-03 day: PD-1 0mR>250mR held:two-people";
    with(&us, held, "2026-12-31", |all| {
        let one = all.iter().find(|one| one.level.key == "deep-year").unwrap();
        assert_eq!(
            one.used.account.text(DoseUnit::Millirem),
            "at least 100 mrem, 1 on hold"
        );
        assert_eq!(one.used.safe.text(DoseUnit::Millirem), "350 mrem");
        assert_eq!(one.left_text(DoseUnit::Millirem), "4650 mrem");
        assert_eq!(one.share.unwrap().to_string(), "7.0 %");
        assert_eq!(one.certainty, Certainty::Known);
    });
    let off = "born 1980-01-01
               shift 2026-03-02 day: PD-1 0mR>100mR
               shift 2026-03-03 day: PD-1 0mR>- off-scale";
    let found = standing(&us, off, "2026-12-31", "deep-year", DoseUnit::Millirem);
    assert_eq!(
        found,
        "at least 100 mrem, undetermined | 0 mrem | none: undetermined"
    );
}

#[test]
fn the_share_of_a_limit_never_looks_lower() {
    let us = rule_set("10 CFR");
    let text = "born 1980-01-01
                shift 2026-03-02 day: ED-1 0mrem>0.001mrem";
    with(&us, text, "2026-12-31", |all| {
        let one = all.iter().find(|one| one.level.key == "deep-year").unwrap();
        assert_eq!(one.used.safe.known(), Dose::from_nsv(10));
        assert_eq!(one.share.unwrap().ppm(), 1);
        assert_eq!(one.share.unwrap().to_string(), "0.1 %");
    });
}

//! The account and the conservative total of single shifts and cut periods.

use super::table::{day, dose, history, span};
use crate::dose::account::Account;
use crate::dose::conservative::Conservative;
use crate::dose::index::DoseIndex;
use crate::dose::resolve::share::apportion;
use crate::dose::resolve::why::Why;
use crate::dose::total::{Class, Extent, PerQuantity, Total};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::Quantity;

fn deep_text(totals: &PerQuantity<Total>) -> String {
    totals.deep.text(DoseUnit::Millirem)
}

/// Each row: what the sheet has, the account, the conservative total.
type Row = (&'static str, &'static str, &'static str);

fn hold(rows: &[Row]) {
    for (readings, account, safe) in rows {
        let history = history(&format!("shift 2026-03-02 day: {readings}"));
        let year = span("2026-01-01 2026-12-31");
        let found = Account::of(&history, year).unwrap();
        assert_eq!(
            deep_text(&found.totals),
            *account,
            "account of `{readings}`"
        );
        let found = Conservative::of(&history, year).unwrap();
        assert_eq!(
            deep_text(&found.totals),
            *safe,
            "conservative total of `{readings}`"
        );
    }
}

#[test]
fn parts_add_up_and_of_two_dosimeters_the_higher_counts() {
    hold(&[
        ("PD-1 0mR>12mR", "12 mrem", "12 mrem"),
        ("PD-1 3mR>12mR", "9 mrem", "9 mrem"),
        ("ED-1 0.31mSv>0.43mSv", "12 mrem", "12 mrem"),
        // Parts of a re-zeroed dosimeter add up.
        ("PD-1 0mR>150mR, PD-1 0mR>40mR", "190 mrem", "190 mrem"),
        // Of two dosimeters the higher counts, not the sum.
        ("PD-1 0mR>12mR, PD-2 0mR>14mR", "14 mrem", "14 mrem"),
        (
            "PD-1 0mR>9mR, PD-1 0mR>9mR, PD-2 0mR>14mR",
            "18 mrem",
            "18 mrem",
        ),
    ]);
}

#[test]
fn what_has_no_upper_bound_is_never_a_plain_number() {
    hold(&[
        // Off-scale has no upper bound; other parts stay a lower bound.
        (
            "PD-1 0mR>- off-scale",
            "at least 0 mrem, undetermined",
            "at least 0 mrem, undetermined",
        ),
        (
            "PD-1 0mR>150mR, PD-1 0mR>- off-scale",
            "at least 150 mrem, undetermined",
            "at least 150 mrem, undetermined",
        ),
        (
            "PD-1 0mR>200mR off-scale",
            "at least 200 mrem, undetermined",
            "at least 200 mrem, undetermined",
        ),
        // A second dosimeter does not rule the off-scale one out.
        (
            "PD-1 0mR>- off-scale, ED-1 0mSv>0.12mSv",
            "at least 12 mrem, undetermined",
            "at least 12 mrem, undetermined",
        ),
        // What was not taken is not zero.
        (
            "",
            "at least 0 mrem, undetermined",
            "at least 0 mrem, undetermined",
        ),
        (
            "PD-1 5mR>-",
            "at least 0 mrem, undetermined",
            "at least 0 mrem, undetermined",
        ),
        (
            "PD-1 ->20mR",
            "at least 0 mrem, undetermined",
            "at least 20 mrem, undetermined",
        ),
    ]);
}

#[test]
fn a_held_reading_is_out_of_the_account_and_on_the_conservative_until_ruled_on() {
    hold(&[
        // Held: out of the account, in the conservative total.
        (
            "PD-1 0mR>210mR held:above-range",
            "at least 0 mrem, undetermined, 1 on hold",
            "at least 210 mrem, undetermined",
        ),
        (
            "PD-1 0mR>12mR, PD-2 0mR>90mR held:two-people",
            "at least 12 mrem, 1 on hold",
            "90 mrem",
        ),
        (
            "PD-1 0mR>12mR, PD-1 0mR>90mR held:above-range",
            "at least 12 mrem, undetermined, 1 on hold",
            "at least 102 mrem, undetermined",
        ),
        (
            "PD-1 31mR>12mR held:end-below-start",
            "at least 0 mrem, 1 on hold",
            "at least 12 mrem, undetermined",
        ),
        // Ruled on.
        (
            "PD-1 0mR>210mR held:above-range counts",
            "at least 210 mrem, undetermined",
            "at least 210 mrem, undetermined",
        ),
        (
            "PD-1 0mR>12mR, PD-2 0mR>90mR held:two-people out",
            "12 mrem",
            "12 mrem",
        ),
        (
            "PD-1 0mR>90mR held:two-people out",
            "at least 0 mrem, undetermined",
            "at least 0 mrem, undetermined",
        ),
        (
            "PD-1 31mR>12mR held:end-below-start counts",
            "at least 0 mrem, undetermined",
            "at least 12 mrem, undetermined",
        ),
        // Ruled off the sheet altogether: there was no such shift.
        ("PD-1 0mR>90mR held:overlap out", "0 mrem", "0 mrem"),
    ]);
}

#[test]
fn an_extremity_without_a_monitor_is_not_assessed_and_never_zero() {
    let idle = history("born 1990-01-01");
    let worked = history("shift 2026-03-02 day: PD-1 0mR>12mR");
    let both = history(
        "shift 2026-03-02 day: PD-1 0mR>12mR
         prior 2026-01-01 2026-01-31 deep=20mrem extremity=60mrem",
    );
    let text = |history| {
        let account = Account::of(history, span("2026-01-01 2026-12-31")).unwrap();
        assert_ne!(account.totals.extremity.extent(), Extent::Whole(Dose::ZERO));
        account.totals.extremity.text(DoseUnit::Millirem)
    };
    assert_eq!(text(&idle), "not assessed");
    assert_eq!(text(&worked), "not assessed");
    assert_eq!(text(&both), "at least 60 mrem, 1 not assessed");
}

#[test]
fn readings_stand_in_for_deep_lens_and_shallow() {
    let history = history("shift 2026-03-02 day: PD-1 0mR>12mR");
    let totals = Account::of(&history, span("2026-01-01 2026-12-31"))
        .unwrap()
        .totals;
    for quantity in [Quantity::Deep, Quantity::Lens, Quantity::Shallow] {
        assert_eq!(totals.get(quantity).provisional, dose("12 mrem"));
    }
}

#[test]
fn a_prior_period_is_whole_or_apportioned_and_says_which() {
    let history = history(
        "prior 2025-12-01 2026-01-30 deep=61mrem
         prior 2026-02-01 2026-02-28 deep=28mrem lens=30mrem",
    );
    let account = Account::of(&history, span("2026-01-01 2026-12-31")).unwrap();
    let deep = account.totals.deep;
    assert_eq!(deep.apportioned, dose("30 mrem"));
    assert_eq!(deep.prior, dose("28 mrem"));
    assert_eq!(account.totals.lens.prior, dose("30 mrem"));
    let classes: Vec<Class> = account
        .contributions
        .iter()
        .map(|part| part.class)
        .collect();
    assert_eq!(classes, [Class::Apportioned, Class::Prior]);
    let words = &account.contributions[0].words;
    assert!(
        words
            .iter()
            .any(|line| line == "apportioned: 30 of the 61 days of the period")
    );
    // The whole lump stands on the conservative total of every year that it reaches.
    for year in ["2025-01-01 2025-12-31", "2026-01-01 2026-01-31"] {
        let safe = Conservative::of(&history, span(year)).unwrap();
        assert_eq!(safe.totals.deep.known(), dose("61 mrem"));
        assert_eq!(safe.raised_by[0].why, Why::WholeLump);
    }
}

#[test]
fn a_prior_deep_dose_that_is_not_stated_is_not_zero() {
    let history = history("prior 2026-01-01 2026-03-31 extremity=60mrem");
    let account = Account::of(&history, span("2026-01-01 2026-12-31")).unwrap();
    assert_eq!(deep_text(&account.totals), "at least 0 mrem, undetermined");
    assert_eq!(
        account.totals.lens.text(DoseUnit::Millirem),
        "at least 0 mrem, undetermined"
    );
    assert_eq!(account.totals.extremity.text(DoseUnit::Millirem), "60 mrem");
}

#[test]
fn the_shares_of_a_lump_add_up_to_it_exactly() {
    let whole = span("2026-01-01 2026-12-31");
    let lump = Dose::from_nsv(1_000_003);
    let cuts = [
        "2026-01-01 2026-01-31",
        "2026-02-01 2026-08-17",
        "2026-08-18 2026-12-31",
    ];
    let shares = cuts.map(|cut| apportion(lump, whole, span(cut)));
    assert_eq!(Dose::sum(shares).unwrap(), lump);
    assert_eq!(apportion(lump, whole, whole), lump);
    assert_eq!(
        apportion(lump, whole, span("2027-01-01 2027-01-31")),
        Dose::ZERO
    );
}

#[test]
fn a_night_shift_across_new_year_counts_once_and_on_the_conservative_twice() {
    let history = history(
        "shift 2026-12-31 night over: PD-1 0mR>40mR
         shift 2027-01-02 day: PD-1 0mR>5mR",
    );
    let old = span("2026-01-01 2026-12-31");
    let new = span("2027-01-01 2027-12-31");
    assert_eq!(
        deep_text(&Account::of(&history, old).unwrap().totals),
        "40 mrem"
    );
    assert_eq!(
        deep_text(&Account::of(&history, new).unwrap().totals),
        "5 mrem"
    );
    assert_eq!(
        deep_text(&Conservative::of(&history, old).unwrap().totals),
        "40 mrem"
    );
    let safe = Conservative::of(&history, new).unwrap();
    assert_eq!(deep_text(&safe.totals), "45 mrem");
    assert_eq!(safe.raised_by.len(), 1);
    assert_eq!(safe.raised_by[0].why, Why::OverMidnight);
    assert_eq!(safe.raised_by[0].by.deep, dose("40 mrem"));
    let index = DoseIndex::build(&history).unwrap();
    assert_eq!(
        index.safe(new, Quantity::Deep).unwrap().known(),
        dose("45 mrem")
    );
}

#[test]
fn a_contribution_says_how_it_came_about() {
    let history = history(
        "shift 2026-03-02 night over: PD-1 0mR>12mR, PD-2 0mR>14mR
         shift 2026-03-03 day: PD-1 31mR>12mR held:end-below-start
         shift 2026-03-04 day:",
    );
    let account = Account::of(&history, span("2026-01-01 2026-12-31")).unwrap();
    assert!(account.counts_exposure_as_dose);
    let words: Vec<&[String]> = account
        .contributions
        .iter()
        .map(|p| p.words.as_slice())
        .collect();
    assert_eq!(
        words[0],
        [
            "radiography night shift of 2026-03-02",
            "PD-1 0 mR to 12 mR",
            "PD-2 0 mR to 14 mR",
            "of PD-2 and PD-1 the higher counts: PD-2, not the sum",
            "ran over midnight: counted on the day on which it started",
        ]
    );
    assert_eq!(
        words[1][1],
        "PD-1 31 mR to 12 mR; on hold, not counted: end below start"
    );
    assert_eq!(
        words[2][1],
        "no dosimeter reading: the dose is undetermined"
    );
    assert_eq!(account.contributions[2].entry, 3);
}

#[test]
fn the_index_tells_when_a_dose_was_passed_and_by_which_entry() {
    let history = history(
        "shift 2026-01-05 day: PD-1 0mR>40mR
         shift 2026-01-06 day: PD-1 0mR>40mR
         shift 2026-01-06 night: PD-1 0mR>40mR
         shift 2026-01-07 day: PD-1 0mR>40mR",
    );
    let index = DoseIndex::build(&history).unwrap();
    let rows = [
        ("40 mrem", Some((day("2026-01-05"), vec![1]))),
        ("41 mrem", Some((day("2026-01-06"), vec![2, 3]))),
        ("120 mrem", Some((day("2026-01-06"), vec![2, 3]))),
        ("160 mrem", Some((day("2026-01-07"), vec![4]))),
        ("161 mrem", None),
    ];
    for (least, expected) in rows {
        let year = span("2026-01-01 2026-12-31");
        let passes = |sum: Dose| sum >= dose(least);
        let found = index.first_passing(year, Quantity::Deep, passes).unwrap();
        assert_eq!(found, expected, "{least}");
    }
}

#[test]
fn a_sum_that_does_not_fit_is_an_error_and_never_a_wrap() {
    let mut history = history("prior 2026-01-01 2026-01-31 deep=1mrem");
    history.facts.prior[0].deep = Some(Dose::from_nsv(i64::MAX));
    history.facts.prior.push(history.facts.prior[0].clone());
    let year = span("2026-01-01 2026-12-31");
    assert!(Account::of(&history, year).is_err());
    assert!(Conservative::of(&history, year).is_err());
    let index = DoseIndex::build(&history).unwrap();
    assert!(index.account(year, Quantity::Deep).is_err());
}

//! Readings against badge results, shifts without a badge, years to date.

use super::sheet::us;
use super::table::{dose, history, span};
use crate::dose::reconcile::*;
use crate::quantity::{Dose, DoseUnit};

const YEAR: &str = "2026-01-01 2026-12-31";

fn one(readings: &str, result: &str) -> Comparison {
    let text = format!(
        "{readings}
         badge B1 2026-03-01 2026-03-31 returned
         {result}"
    );
    compare(&history(&text), &us(), span(YEAR))
        .unwrap()
        .remove(0)
}

/// The default band is the +-25 % of a 1996 accelerator-laboratory training
/// handbook: worn together, a direct reading should be within it most of the
/// time. The minimum is the scheme's 20 mrem.
#[test]
fn a_period_is_judged_by_band_and_minimum() {
    use Agreement::*;
    let rows = [
        ("125", "100mrem", Within),
        ("126", "100mrem", ReadingsHigher),
        ("75", "100mrem", Within),
        ("74", "100mrem", ReadingsLower),
        // Both below the minimum: nothing is compared.
        ("19", "5mrem", TooSmall),
        // One of them is enough to compare.
        ("20", "5mrem", ReadingsHigher),
        ("5", "20mrem", ReadingsLower),
        // Below the minimum of the processor it may be all of it.
        ("12", "M10mrem", TooSmall),
        ("25", "M20mrem", Within),
        ("26", "M20mrem", ReadingsHigher),
        ("0", "M30mrem", Within),
    ];
    for (readings, result, expected) in rows {
        let readings = format!("shift 2026-03-02 day: PD-1 0mR>{readings}mR");
        let found = one(&readings, &format!("result B1 deep={result}"));
        assert_eq!(found.agreement, expected, "{readings} {result}");
        let leads = found.agreement.usual_explanations();
        assert_eq!(leads.is_empty(), !expected.is_beyond());
    }
}

#[test]
fn the_sign_of_the_difference_and_the_ratio_say_which_way() {
    let found = one(
        "shift 2026-03-02 day: PD-1 0mR>80mR",
        "result B1 deep=100mrem",
    );
    assert_eq!(found.difference, Some(dose("20 mrem")));
    assert_eq!(found.ratio_permille, Some(800));
    let found = one(
        "shift 2026-03-02 day: PD-1 0mR>80mR",
        "result B1 deep=M10mrem",
    );
    let back = Dose::ZERO.checked_sub(dose("80 mrem")).unwrap();
    assert_eq!((found.difference, found.ratio_permille), (Some(back), None));
}

#[test]
fn only_shifts_on_which_the_badge_was_worn_are_compared() {
    let found = one(
        "shift 2026-03-02 day: PD-1 0mR>80mR
         shift 2026-03-03 day no-badge: PD-1 0mR>70mR
         shift 2026-03-04 day badge-unsaid: PD-1 0mR>60mR",
        "result B1 deep=80mrem",
    );
    assert_eq!(found.readings, dose("80 mrem"));
    assert_eq!((found.not_worn, found.shifts.as_slice()), (2, &[1][..]));
    assert_eq!(found.agreement, Agreement::Within);
}

#[test]
fn an_off_scale_shift_leaves_nothing_to_compare_unless_the_rest_is_too_high() {
    let off = "shift 2026-03-02 day: PD-1 0mR>- off-scale
         shift 2026-03-03 day: PD-1 0mR>80mR";
    let found = one(off, "result B1 deep=300mrem");
    assert_eq!(found.agreement, Agreement::ReadingsIncomplete);
    let found = one(off, "result B1 deep=30mrem");
    assert_eq!(found.agreement, Agreement::ReadingsHigher);
    let found = one(off, "");
    assert_eq!(found.agreement, Agreement::NoResult);
    let found = one(off, "result B1 lens=30mrem");
    assert_eq!(found.agreement, Agreement::NotComparable);
}

#[test]
fn a_year_shows_a_dosimeter_that_always_reads_low() {
    let mut lines = String::new();
    for month in 1..=4 {
        // Within the band each time.
        lines.push_str(&format!(
            "shift 2026-0{month}-10 day: PD-1 0mR>40mR
             badge B{month} 2026-0{month}-01 2026-0{month}-28 returned
             result B{month} deep=50mrem\n"
        ));
    }
    let periods = compare(&history(&lines), &us(), span(YEAR)).unwrap();
    assert!(periods.iter().all(|it| it.agreement == Agreement::Within));
    let totals = YearTotals::of(&periods).unwrap();
    assert!(totals.always_lower() && !totals.always_higher());
    assert_eq!(totals.readings, dose("160 mrem"));
    assert_eq!(totals.results, dose("200 mrem"));
    assert_eq!(totals.ratio_permille, Some(800));
    assert_eq!(totals.agreement(&us()), Agreement::Within);
    let two = YearTotals::of(&periods[..2]).unwrap();
    assert!(!two.always_lower());
}

#[test]
fn what_is_too_small_alone_shows_in_the_year() {
    let mut lines = String::new();
    for month in 1..=6 {
        lines.push_str(&format!(
            "shift 2026-0{month}-10 day: PD-1 0mR>4mR
             badge B{month} 2026-0{month}-01 2026-0{month}-28 returned
             result B{month} deep=15mrem\n"
        ));
    }
    let periods = compare(&history(&lines), &us(), span(YEAR)).unwrap();
    assert!(periods.iter().all(|it| it.agreement == Agreement::TooSmall));
    let totals = YearTotals::of(&periods).unwrap();
    assert_eq!(totals.agreement(&us()), Agreement::ReadingsLower);
}

#[test]
fn shifts_that_no_badge_speaks_for_are_listed_with_the_reason() {
    let history = history(
        "shift 2026-02-28 day: PD-1 0mR>1mR
         shift 2026-03-02 day: PD-1 0mR>1mR
         shift 2026-03-03 day no-badge: PD-1 0mR>1mR
         shift 2026-03-04 day badge-unsaid: PD-1 0mR>1mR
         badge B1 2026-03-01 - ",
    );
    let found: Vec<(i64, NoBadge)> = unbadged(&history, span(YEAR))
        .unwrap()
        .iter()
        .map(|it| (it.entry, it.why))
        .collect();
    assert_eq!(
        found,
        [
            (1, NoBadge::NotIssued),
            (3, NoBadge::NotWorn),
            (4, NoBadge::NotSaid)
        ]
    );
}

#[test]
fn the_processors_year_to_date_is_held_against_our_results() {
    let history = history(
        "badge A 2025-12-01 2025-12-31 returned
         result A deep=500mrem
         badge B1 2026-01-01 2026-01-31 returned
         result B1 deep=30mrem ytd=30mrem
         badge B2 2026-02-01 2026-02-28 returned
         result B2 deep=M10mrem ytd=30mrem
         badge B3 2026-03-01 2026-03-31 returned
         result B3 deep=20mrem ytd=95mrem",
    );
    let found: Vec<(String, String)> = years_to_date(&history, &us())
        .unwrap()
        .iter()
        .map(|it| {
            (
                it.through.to_string(),
                it.difference.display(DoseUnit::Millirem),
            )
        })
        .collect();
    let expected = [
        ("2026-01-31", "0 mrem"),
        ("2026-02-28", "0 mrem"),
        ("2026-03-31", "45 mrem"),
    ];
    let expected = expected.map(|(a, b)| (a.to_string(), b.to_string()));
    assert_eq!(found, expected);
}

//! Readings against badge results, shifts without a badge, years to date.

use super::sheet::us;
use super::table::{dose, history, span};
use crate::dose::reconcile::*;
use crate::dose::reconcile_mean::{MeanRatio, Verdict};
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

/// The default band is the 25 % of a 1996 accelerator-laboratory training handbook, as a ratio of
/// 0.8 to 1.25: worn together, a direct reading should be within it most of the time. The minimum
/// is the rule set's 20 mrem.
#[test]
fn a_period_is_judged_by_band_and_minimum() {
    use Agreement::*;
    let rows = [
        ("125", "100mrem", Within),
        ("126", "100mrem", ReadingsHigher),
        ("80", "100mrem", Within),
        ("79", "100mrem", ReadingsLower),
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

/// Months as readings and result, `40/50` or `3/M10`: mR and mrem.
fn months(text: &str) -> MeanRatio {
    let mut lines = String::new();
    for (word, month) in text.split_whitespace().zip(1..) {
        let (readings, result) = word.split_once('/').unwrap();
        lines.push_str(&format!(
            "shift 2026-{month:02}-10 day: PD-1 0mR>{readings}mR
             badge B{month} 2026-{month:02}-01 2026-{month:02}-28 returned
             result B{month} deep={result}mrem\n"
        ));
    }
    let periods = compare(&history(&lines), &us(), span(YEAR)).unwrap();
    MeanRatio::of(&periods, &us()).unwrap()
}

/// Months, ratios that they give, left out, what is said.
#[test]
fn periods_together_differ_where_the_interval_of_their_mean_ratio_says_so() {
    use Verdict::*;
    let rows = [
        ("40/60", 1, 0, TooFew),
        // Three of the same kind in a row say nothing yet, however far below the badge.
        ("80/90 82/90 78/90", 3, 0, TooFew),
        ("40/60 42/61 39/60", 3, 0, TooFew),
        // Always a little below the badge, and within the band: not what matters.
        (
            "95/100 96/100 94/100 95/100 96/100 94/100 95/100 96/100",
            8,
            0,
            WithinBand,
        ),
        (
            "95/100 105/100 92/100 104/100 99/100 90/100",
            6,
            0,
            NotShown,
        ),
        (
            "66/100 70/100 68/100 71/100 65/100 69/100",
            6,
            0,
            ReadingsLower,
        ),
        (
            "140/100 150/100 144/100 151/100 139/100 146/100",
            6,
            0,
            ReadingsHigher,
        ),
        // One month below the processor's minimum changes nothing but the count.
        (
            "66/100 70/100 3/M10 68/100 71/100 65/100 69/100",
            6,
            1,
            ReadingsLower,
        ),
        // One high month among low ones does not hide them.
        (
            "66/100 70/100 103/100 68/100 71/100 65/100 69/100 67/100 70/100",
            9,
            0,
            ReadingsLower,
        ),
        // Months too small alone are added up: 8 against 30, five times.
        (
            "4/15 4/15 4/15 4/15 4/15 4/15 4/15 4/15 5/15 4/15",
            5,
            0,
            ReadingsLower,
        ),
        ("3/M10 4/M10 2/M10 5/M10", 0, 4, TooFew),
    ];
    for (text, ratios, left_out, expected) in rows {
        let found = months(text);
        assert_eq!(found.verdict, expected, "{text}: {found:?}");
        assert_eq!(
            (found.ratios, found.below_minimum),
            (ratios, left_out),
            "{text}"
        );
        assert_eq!(found.verdict.explanations().is_empty(), !expected.differs());
    }
}

/// What it is about may lie with either: both kinds of explanation stand there, and no word says
/// which of the two is wrong.
#[test]
fn a_difference_is_explained_at_either_dosimeter() {
    for verdict in [Verdict::ReadingsLower, Verdict::ReadingsHigher] {
        assert!(verdict.words().starts_with("differs: "));
        let all = verdict.explanations();
        for word in ["the dosimeter", "the badge"] {
            assert!(all.iter().any(|it| it.starts_with(word)), "{word}");
        }
        assert!(!all.iter().any(|it| it.contains("wrong")));
    }
}

#[test]
fn readings_lower_and_readings_higher_are_mirrors() {
    let low = months("66/100 70/100 68/100 71/100 65/100 69/100");
    let high = months("100/66 100/70 100/68 100/71 100/65 100/69");
    let (low, high) = ((low.mean, low.half), (high.mean, high.half));
    let close = |a: Option<f64>, b: f64| (a.unwrap() - b).abs() < 1e-12;
    assert!(close(low.0, -high.0.unwrap()) && close(low.1, high.1.unwrap()));
}

/// Beyond the band, a period is looked into by itself only where it is three times so far: under
/// 51.2 %, above 195.3 %.
#[test]
fn one_period_is_looked_into_by_itself_only_far_beyond_the_band() {
    for (readings, result, agreement, alone) in [
        ("74", "100mrem", Agreement::ReadingsLower, false),
        ("52", "100mrem", Agreement::ReadingsLower, false),
        ("51", "100mrem", Agreement::ReadingsLower, true),
        ("0", "30mrem", Agreement::ReadingsLower, true),
        ("195", "100mrem", Agreement::ReadingsHigher, false),
        ("196", "100mrem", Agreement::ReadingsHigher, true),
        ("61", "M10mrem", Agreement::ReadingsHigher, true),
        ("25", "M20mrem", Agreement::Within, false),
    ] {
        let readings = format!("shift 2026-03-02 day: PD-1 0mR>{readings}mR");
        let found = one(&readings, &format!("result B1 deep={result}"));
        assert_eq!(
            (found.agreement, found.by_itself),
            (agreement, alone),
            "{readings} {result}"
        );
    }
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
fn a_badge_that_began_in_the_year_before_is_named_where_the_years_to_date_are_compared() {
    let history = history(
        "badge A 2025-12-01 2026-01-04 returned
         result A deep=140mrem ytd=1310mrem
         badge B1 2026-01-05 2026-01-31 returned
         result B1 deep=30mrem ytd=30mrem",
    );
    let found = years_to_date(&history, &us()).unwrap();
    let told: Vec<_> = found
        .iter()
        .map(|it| (it.difference.display(DoseUnit::Millirem), it.across))
        .collect();
    let across = Some(span("2025-12-01 2026-01-04"));
    assert_eq!(
        told,
        [
            ("1170 mrem".to_owned(), across),
            ("-140 mrem".to_owned(), across)
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

//! Points against tolerance and coverage.

use super::super::assessment::{Assessment, Ratio, assess};
use super::super::points::{Point, PointUnit, Question};
use super::MR;
use crate::quantity::{IndicationUnit, MeterUnit};
use crate::record::{CheckType, InstrumentType, Scale};

/// Points in a line of words: `found`, `left`, then `scale:true=reading` in mR/h, scale and
/// reading as they are needed.
fn points(text: &str) -> Vec<Point> {
    let mut as_left = false;
    let mut points = Vec::new();
    let count = |text: &str| {
        let value: f64 = text.parse().expect("a number");
        (value * MR as f64).round() as i64
    };
    for word in text.split_whitespace() {
        match word {
            "found" => as_left = false,
            "left" => as_left = true,
            point => {
                let (scale, rest) = match point.split_once(':') {
                    Some((scale, rest)) => (Some(count(scale)), rest),
                    None => (None, point),
                };
                let (true_value, reading) = match rest.split_once('=') {
                    Some((true_value, reading)) => (true_value, Some(count(reading))),
                    None => (rest, None),
                };
                points.push(Point {
                    as_left,
                    scale,
                    true_value: count(true_value),
                    reading,
                });
            }
        }
    }
    points
}

fn meter(scale: Scale, full_scales: &[i64], text: &str) -> Question {
    Question {
        kind: InstrumentType::Meter,
        task: CheckType::Calibration,
        scale: Some(scale),
        full_scales: full_scales.iter().map(|full| full * MR).collect(),
        preset: None,
        permille: 200,
        unit: PointUnit::Rate(MeterUnit::Milliroentgen),
        points: points(text),
    }
}

fn other(kind: InstrumentType, preset: Option<i64>, text: &str) -> Question {
    Question {
        kind,
        scale: None,
        preset: preset.map(|rate| rate * MR),
        unit: match kind {
            InstrumentType::Ratemeter => PointUnit::Rate(MeterUnit::Milliroentgen),
            _ => PointUnit::Dose(IndicationUnit::Milliroentgen),
        },
        ..meter(Scale::Linear, &[], text)
    }
}

fn verdict(assessment: &Assessment) -> (Option<bool>, Option<bool>) {
    (assessment.found_ok, assessment.left_ok)
}

#[test]
fn a_point_is_right_up_to_and_with_a_fifth_of_the_truth() {
    for (text, error, within) in [
        ("100=120", 200, true),
        ("100=80", -200, true),
        ("100=120.0001", 201, false),
        ("100=79.9999", -201, false),
        ("3=3.6", 200, true),
        ("3=2.4", -200, true),
        ("100=100", 0, true),
        ("100=100.01", 1, true),
        ("100=0", -1000, false),
    ] {
        let found = assess(&meter(Scale::Digital, &[], text));
        let point = found.points[0];
        assert_eq!(
            (point.error_permille, point.within),
            (Some(error), within),
            "{text}"
        );
        assert_eq!(verdict(&found), (Some(within), Some(within)));
        assert_eq!(found.reasons.is_empty(), within);
    }
}

#[test]
fn every_point_counts_and_not_their_mean() {
    let found = assess(&meter(Scale::Digital, &[], "2=2 100=121 1000=900"));
    assert_eq!(verdict(&found), (Some(false), Some(false)));
    assert_eq!(
        found.reasons,
        ["as found: showed 121 mR/h at 100 mR/h, 21 % off (within 20 % is right)"]
    );
}

#[test]
fn found_and_left_are_judged_apart() {
    let found = assess(&meter(
        Scale::Digital,
        &[],
        "found 100=75 left 2=2 100=101 1000=990",
    ));
    assert_eq!(verdict(&found), (Some(false), Some(true)));
    assert!(found.is_good());
    let left_only = assess(&meter(Scale::Digital, &[], "left 2=2 100=101 1000=990"));
    assert_eq!(verdict(&left_only), (None, Some(true)));
    let found_only = assess(&meter(Scale::Digital, &[], "2=2 100=101 1000=990"));
    assert_eq!(verdict(&found_only), (Some(true), Some(true)));
    let none = assess(&meter(Scale::Digital, &[], ""));
    assert_eq!(verdict(&none), (None, None));
    assert!(!none.is_good() && none.reasons.len() == 1);
}

#[test]
fn a_scale_found_wrong_and_not_checked_again_stays_wrong() {
    let all = "found 10:3=3 10:7=7 100:33=20 100:67=67";
    let text = format!("{all} left 10:3=3 10:7=7");
    let other_scale = assess(&meter(Scale::Linear, &[10, 100], &text));
    assert_eq!(verdict(&other_scale), (Some(false), Some(false)));
    let text = format!("{all} left 100:33=33 100:67=67");
    let adjusted = assess(&meter(Scale::Linear, &[10, 100], &text));
    assert_eq!(verdict(&adjusted), (Some(false), Some(true)));
    // What was not adjusted needs no second look to be full.
    assert!(adjusted.is_good(), "{:?}", adjusted.gaps);
}

#[test]
fn a_true_value_of_zero_or_a_reading_not_taken_is_not_right() {
    for text in ["0=0", "100"] {
        let found = assess(&meter(Scale::Digital, &[], text));
        assert_eq!(found.points[0].error_permille, None);
        assert_eq!(verdict(&found), (Some(false), Some(false)), "{text}");
        assert_eq!(found.reasons.len(), 1, "{text}");
    }
}

/// Points, what 10 CFR 34.25(b)(2) asks for and is missing.
#[test]
fn a_linear_scale_needs_a_third_and_two_thirds_of_each_scale() {
    for (text, missing) in [
        ("10:3=3 10:7=7 100:33=33 100:67=67", &[][..]),
        // Within a tenth of full scale is near: 2.34 to 4.33 and 5.67 to 7.66.
        ("10:2.34=2.34 10:7.66=7.66 100:33=33 100:67=67", &[]),
        (
            "10:2.33=2.33 10:7=7 100:33=33 100:67=67",
            &["near a third of the scale `10 mR/h`"],
        ),
        (
            "10:3=3 10:7.67=7.67 100:33=33 100:67=67",
            &["near two thirds of the scale `10 mR/h`"],
        ),
        (
            "10:3=3 10:7=7 100:33=33",
            &["near two thirds of the scale `100 mR/h`"],
        ),
        // The same rate on the wrong scale is no point of the other.
        (
            "10:3=3 10:7=7 100:3=3 100:7=7",
            &["a third of the scale `100 mR/h`", "two thirds"],
        ),
        (
            "10:3=3 10:7=7 100:33=33 100:67=67 50:20=20",
            &["scale `50 mR/h`, which the meter"],
        ),
        // As left counts, not as found.
        (
            "found 10:3=3 10:7=7 100:33=33 100:67=67 left 10:3=3 10:7=7 100:33=33",
            &["two thirds"],
        ),
        // Two scales and none named.
        ("3=3 7=7 33=33 67=67", &["`10", "`10", "`100", "`100"]),
    ] {
        expect_gaps(&meter(Scale::Linear, &[10, 100], text), missing);
    }
    expect_gaps(&meter(Scale::Linear, &[10], "3=3 7=7"), &[]);
    expect_gaps(
        &meter(Scale::Linear, &[], "3=3 7=7"),
        &["full-scale values are not recorded"],
    );
}

#[test]
fn a_logarithmic_scale_needs_each_decade_and_two_points_of_one() {
    for (full, text, missing) in [
        (&[1000][..], "3=3 30=30 300=300 700=700", &[][..]),
        (&[1000], "3=3 30=30 300=300", &["no decade has two points"]),
        (
            &[1000],
            "3=3 30=30 300=300 300=310",
            &["no decade has two points"],
        ),
        (&[1000], "3=3 300=300 700=700", &["decade up to `100 mR/h`"]),
        (
            &[1000],
            "3=3 19=19 300=300 700=700",
            &["decade up to `100 mR/h`"],
        ),
        (&[1000], "2=2 20=20 200=200 700=700", &[]),
        (&[1000], "7=7 70=70 700=700 200=200", &[]),
        (&[10, 100], "3=3 30=30 6=6", &[]),
        (&[10, 100], "3=3 6=6", &["decade up to `100 mR/h`"]),
    ] {
        expect_gaps(&meter(Scale::Logarithmic, full, text), missing);
    }
}

#[test]
fn a_digital_one_needs_three_points_between_2_and_1000() {
    for (text, missing) in [
        ("2=2 100=100 1000=1000", &[][..]),
        (
            "1.9=1.9 100=100 1000=1000",
            &["2 points between 2 and 1000 mrem/h"],
        ),
        ("2=2 100=100 1001=1001", &["2 points"]),
        ("2=2 100=100 100=101", &["2 points"]),
    ] {
        expect_gaps(&meter(Scale::Digital, &[], text), missing);
    }
    let unknown = Question {
        scale: None,
        ..meter(Scale::Digital, &[], "2=2 100=100 1000=1000")
    };
    expect_gaps(&unknown, &["how the meter's scale runs is not recorded"]);
    let response = Question {
        task: CheckType::Response,
        ..meter(Scale::Digital, &[], "2=2")
    };
    expect_gaps(&response, &[]);
}

fn expect_gaps(question: &Question, missing: &[&str]) {
    let found = assess(question);
    assert_eq!(
        found.gaps.len(),
        missing.len(),
        "{:?} for {:?}",
        found.gaps,
        question.points
    );
    for (gap, part) in found.gaps.iter().zip(missing) {
        assert!(gap.contains(part), "{gap} has no {part}");
    }
    let within = found.points.iter().all(|it| it.within);
    assert_eq!(found.is_good(), within && missing.is_empty());
}

#[test]
fn a_ratemeter_set_to_500_sounds_from_400_to_600() {
    for (text, right) in [
        ("400", true),
        ("500", true),
        ("600", true),
        ("399.9999", false),
        ("600.0001", false),
    ] {
        let found = assess(&other(InstrumentType::Ratemeter, Some(500), text));
        assert_eq!(verdict(&found), (Some(right), Some(right)), "{text}");
        assert_eq!(found.gaps.len(), 0);
    }
    let found = assess(&other(InstrumentType::Ratemeter, Some(500), "625"));
    assert_eq!(
        found.reasons,
        ["as found: sounded at 625 mR/h, 25 % off its preset of 500 mR/h (within 20 % is right)"]
    );
    let unset = assess(&other(InstrumentType::Ratemeter, None, "500"));
    assert_eq!(verdict(&unset), (Some(false), Some(false)));
    assert_eq!(
        unset.reasons,
        ["the rate at which the ratemeter is to sound is not recorded"]
    );
}

#[test]
fn a_dosimeter_is_right_within_a_fifth_and_its_worst_point_is_kept() {
    let found = assess(&other(InstrumentType::Pocket, None, "50=48 100=75 150=140"));
    assert_eq!(verdict(&found), (Some(false), Some(false)));
    let worst = Ratio {
        true_value: 100 * MR,
        reading: 75 * MR,
    };
    assert_eq!(found.worst_found, Some(worst));
    assert_eq!(
        found.reasons,
        ["as found: showed 75 mR at 100 mR, -25 % off (within 20 % is right)"]
    );
    let silent = assess(&other(InstrumentType::Pocket, None, "50=48 100=0"));
    assert_eq!(silent.worst_found.map(|it| it.reading), Some(0));
    let adjusted = assess(&other(InstrumentType::Electronic, None, "left 100=60"));
    assert_eq!(adjusted.worst_found, None);
}

#[test]
fn a_correction_is_the_mean_of_a_scale_as_left_and_rounded_up() {
    let text = "found 10:3=2 left 10:3=3 10:6=5 100:30=31";
    let found = assess(&meter(Scale::Linear, &[10, 100], text));
    let told: Vec<(Option<i64>, i64, usize)> = found
        .corrections
        .iter()
        .map(|it| (it.scale.map(|full| full / MR), it.permille, it.points))
        .collect();
    // (3/3 + 6/5) / 2 = 1.1; 30/31 = 0.9677...
    assert_eq!(told, [(Some(10), 1100, 2), (Some(100), 968, 1)]);
    let silent = assess(&meter(Scale::Digital, &[], "100=0"));
    assert_eq!(silent.corrections, []);
}

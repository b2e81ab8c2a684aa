//! Looking back at what a wrong instrument showed.

use proptest::prelude::*;

use super::super::assessment::Ratio;
use super::super::look_back::{CheckFact, look_back, raised};
use super::{MR, day};

/// Checks as day, found, left; `+` right, `-` wrong, `?` not known.
fn checks(text: &str) -> Vec<CheckFact> {
    let known = |sign: char| match sign {
        '+' => Some(true),
        '-' => Some(false),
        _ => None,
    };
    let each = text.split_whitespace().enumerate();
    each.map(|(n, word)| {
        let mut signs = word[10..].chars();
        CheckFact {
            entry: n as i64 + 1,
            on: day(&word[..10]),
            found_ok: known(signs.next().expect("a sign")),
            left_ok: known(signs.next().expect("a sign")),
        }
    })
    .collect()
}

#[test]
fn a_look_back_goes_from_the_last_good_check_to_the_one_that_failed() {
    for (text, spans) in [
        ("2026-01-10++ 2026-07-01++", &[][..]),
        ("2026-01-10++ 2026-07-01-+", &[(Some(1), 2)]),
        ("2026-07-01-+", &[(None, 1)]),
        // Adjusted without looking: it was right as left.
        ("2026-01-10?+ 2026-07-01-+", &[(Some(1), 2)]),
        // Wrong as left too: the next one reaches back over it.
        (
            "2026-01-10++ 2026-03-01-- 2026-07-01-+",
            &[(Some(1), 2), (Some(1), 3)],
        ),
        // Right as found, spoilt by the adjustment: right up to that day.
        ("2026-01-10++ 2026-03-01+- 2026-07-01-+", &[(Some(2), 3)]),
        // Not known as found is not a failure.
        ("2026-01-10++ 2026-07-01?+", &[]),
        // In any order of entry.
        ("2026-07-01-+ 2026-01-10++", &[(Some(2), 1)]),
    ] {
        let found = look_back(&checks(text));
        let told: Vec<(Option<i64>, i64)> = found
            .iter()
            .map(|it| (it.good_entry, it.failed_entry))
            .collect();
        assert_eq!(told, spans, "{text}");
    }
}

#[test]
fn use_on_both_days_of_a_look_back_counts_and_beyond_them_does_not() {
    let found = look_back(&checks("2026-01-10++ 2026-07-01-+"));
    for (on, covered) in [
        ("2026-01-09", false),
        ("2026-01-10", true),
        ("2026-07-01", true),
        ("2026-07-02", false),
    ] {
        assert_eq!(found[0].covers(day(on)), covered, "{on}");
    }
    assert!(look_back(&checks("2026-07-01-+"))[0].covers(day("1999-01-01")));
}

#[test]
fn a_reading_of_a_dosimeter_that_read_low_is_raised_and_never_lowered() {
    let worst = |true_value, reading| Ratio {
        true_value,
        reading,
    };
    // Read 25 % low: a third is added.
    assert_eq!(raised(30 * MR, worst(100, 75)), Some(40 * MR));
    assert_eq!(raised(1, worst(100, 75)), Some(2));
    assert_eq!(raised(0, worst(100, 75)), Some(0));
    assert_eq!(raised(30 * MR, worst(100, 125)), Some(30 * MR));
    assert_eq!(raised(30 * MR, worst(100, 100)), Some(30 * MR));
    assert_eq!(raised(30 * MR, worst(100, 0)), None);
    assert_eq!(raised(i64::MAX, worst(2, 1)), None);
}

proptest! {
    #[test]
    fn a_raised_reading_is_never_below_the_reading(
        reading in 0..i64::MAX / 4, truth in 1..1_000_000_i64, shown in 1..1_000_000_i64,
    ) {
        let ratio = Ratio { true_value: truth, reading: shown };
        if let Some(up) = raised(reading, ratio) {
            prop_assert!(up >= reading);
            prop_assert!(i128::from(up) * i128::from(shown) >= i128::from(reading) * i128::from(
                truth.min(shown)));
        }
    }

    #[test]
    fn the_order_of_the_checks_does_not_matter(shift in 0..6_usize) {
        let mut all = checks("2026-01-10++ 2026-02-10-- 2026-03-10?+ 2026-04-10+- 2026-05-10-+ \
                              2026-06-10-+");
        let wanted = look_back(&all);
        all.rotate_left(shift);
        prop_assert_eq!(look_back(&all), wanted);
    }
}

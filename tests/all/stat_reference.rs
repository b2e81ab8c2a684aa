//! The statistics against published and independently computed values.
//! Each file's source stands in tests/reference/README.md.

use std::collections::BTreeMap;
use std::path::Path;
use wearbook::stat::convolution::{ErrorBound, ShiftDoses};

/// The rows of a reference file, each as column name to cell.
fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/reference")
        .join(file);
    let mut reader = csv::Reader::from_path(path).expect("the reference file is there");
    let rows: Vec<_> = reader
        .deserialize()
        .map(|row| row.expect("a row"))
        .collect();
    assert!(!rows.is_empty(), "{file} is empty");
    rows
}

fn number<T: std::str::FromStr>(row: &BTreeMap<String, String>, column: &str) -> T {
    let cell = row
        .get(column)
        .unwrap_or_else(|| panic!("no column {column}"));
    cell.parse()
        .unwrap_or_else(|_| panic!("{column} is `{cell}`"))
}

fn recent_doses() -> BTreeMap<String, Vec<u64>> {
    let mut sets: BTreeMap<String, Vec<u64>> = BTreeMap::new();
    for row in rows("projection_inputs.csv") {
        let dose = number(&row, "dose_uSv");
        sets.entry(row["set"].clone()).or_default().push(dose);
    }
    sets
}

// Exact rational convolutions, each probability printed to 17 digits.
#[test]
fn year_end_probabilities_agree_with_exact_fractions_down_to_1e_23() {
    let sets = recent_doses();
    for row in rows("projection_exact.csv") {
        let so_far: u64 = number(&row, "cumulative_uSv");
        let level: u64 = number(&row, "level_uSv");
        let totals = ShiftDoses::new(&sets[&row["set"]], number(&row, "remaining_shifts"))
            .expect("good doses")
            .totals();
        let (above, at_or_above) = match level.checked_sub(so_far) {
            Some(room) => (
                totals.probability_above(room),
                totals.probability_at_or_above(room),
            ),
            None => (1.0, 1.0),
        };
        for (found, column) in [
            (above, "P_total_gt_level"),
            (at_or_above, "P_total_ge_level"),
        ] {
            let exact: f64 = number(&row, column);
            assert!(
                (found - exact).abs() <= 1e-12 * exact,
                "{column}: {found} instead of {exact} in {row:?}"
            );
        }
        for (probability, column) in [
            (0.05, "q05_total_uSv"),
            (0.50, "q50_total_uSv"),
            (0.95, "q95_total_uSv"),
        ] {
            let exact: u64 = number(&row, column);
            assert_eq!(
                so_far + totals.quantile_usv(probability),
                exact,
                "{column} of {row:?}"
            );
        }
        assert!(matches!(totals.error(), ErrorBound::Relative(_)));
    }
}

// The seeded bootstrap is a third way to the same probability, with its own error.
#[test]
fn year_end_probabilities_agree_with_a_bootstrap() {
    let sets = recent_doses();
    let mut compared = 0;
    for row in rows("projection_exact.csv") {
        if row["bootstrap_P_gt"].is_empty() {
            continue;
        }
        let room = number::<u64>(&row, "level_uSv") - number::<u64>(&row, "cumulative_uSv");
        let found = ShiftDoses::new(&sets[&row["set"]], number(&row, "remaining_shifts"))
            .expect("good doses")
            .totals()
            .probability_above(room);
        let error: f64 = number(&row, "bootstrap_se");
        let bootstrap: f64 = number(&row, "bootstrap_P_gt");
        assert!((found - bootstrap).abs() < 4.0 * error, "{row:?}");
        compared += 1;
    }
    assert!(compared >= 8);
}

//! The statistics against published and independently computed values.
//! Each file's source stands in tests/reference/README.md.

use std::collections::BTreeMap;
use std::path::Path;
use wearbook::calendar::parse_day;
use wearbook::dose::forecast::Rate;
use wearbook::quantity::Dose;
use wearbook::stat::interval::{self, Side};
use wearbook::stat::line::{Limit, Line, Reach};
use wearbook::stat::prediction::Behind;
use wearbook::stat::range::range_below;
use wearbook::stat::regression::{Fit, least_squares};
use wearbook::stat::sequence::factor_at_any_time;
use wearbook::stat::special::{self, Tail};

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

// The largest of several variances, and the inverted beta distribution, by numpy and scipy.
#[test]
fn a_sum_to_come_has_the_computed_distribution() {
    let mut amounts: BTreeMap<String, Vec<(i64, f64)>> = BTreeMap::new();
    for row in rows("sum_prediction_inputs.csv") {
        let amount = (number(&row, "day"), number(&row, "amount"));
        amounts.entry(row["case"].clone()).or_default().push(amount);
    }
    for row in rows("sum_prediction.csv") {
        let behind = Behind::of(&amounts[&row["case"]], number(&row, "days")).expect("enough");
        let ahead = number(&row, "ahead");
        let above = behind.above(ahead, number(&row, "room"));
        assert!(
            agree(above, number(&row, "above"), 1e-9),
            "{above}: {row:?}"
        );
        for (probability, column) in [(0.05, "q05"), (0.5, "q50"), (0.95, "q95")] {
            let found = behind.quantile(ahead, probability);
            assert!(agree(found, number(&row, column), 1e-8), "{found}: {row:?}");
        }
    }
}

fn dose(row: &BTreeMap<String, String>, column: &str) -> Dose {
    Dose::from_nsv(number::<i64>(row, column) * 1_000)
}

// Exact rational arithmetic: the day a constant rate reaches and passes a level.
#[test]
fn a_constant_rate_reaches_and_passes_a_level_on_the_computed_day() {
    for row in rows("projection.csv") {
        let on = parse_day(&row["as_of"]).expect("a day");
        let until = parse_day(&row["year_end"]).expect("a day");
        let (so_far, level) = (dose(&row, "cumulative_uSv"), dose(&row, "level_uSv"));
        let (over, days) = row["rate_uSv_per_day"]
            .split_once('/')
            .unwrap_or((&row["rate_uSv_per_day"], "1"));
        let rate = Rate {
            dose: Dose::from_nsv(over.parse::<i64>().expect("uSv") * 1_000),
            days: days.parse().expect("days"),
        };
        let after = |days: Option<i64>| match days {
            Some(days) => (on + chrono::TimeDelta::days(days)).to_string(),
            None => "never".to_string(),
        };
        let reached = after(rate.days_to_reach(so_far, level));
        assert_eq!(reached, row["first_date_at_or_above_level"], "{row:?}");
        let passed = after(rate.days_to_pass(so_far, level));
        assert_eq!(passed, row["first_date_strictly_above_level"], "{row:?}");
        let left = until.signed_duration_since(on).num_days();
        let total = rate.total_after(so_far, left).expect("a total");
        let exact: f64 = number(&row, "projected_year_end_uSv");
        // Rounded up to the next nanosievert, never down.
        let over = total.nsv() as f64 / 1_000.0 - exact;
        assert!((-1e-9..=0.001).contains(&over), "{over} in {row:?}");
    }
}

/// Whether two figures agree to a relative error; zero and infinity must be met exactly.
fn agree(found: f64, exact: f64, relative: f64) -> bool {
    found == exact || (found - exact).abs() <= relative * exact.abs()
}

fn side_of(kind: &str) -> Side {
    match kind {
        "two-sided Clopper-Pearson" | "two-sided Garwood" => Side::Both,
        "one-sided lower" => Side::Lower,
        "one-sided upper" => Side::Upper,
        other => panic!("no such interval: {other}"),
    }
}

// Garwood (1936), 40-digit arithmetic.
#[test]
fn poisson_intervals_agree_to_twelve_digits() {
    for row in rows("poisson_ci.csv") {
        let side = side_of(&row["kind"]);
        let found = interval::count(number(&row, "count"), number(&row, "confidence"), side)
            .expect("an interval");
        assert!(
            agree(found.lower, number(&row, "lower_mean"), 1e-12),
            "{found:?} for {row:?}"
        );
        assert!(
            agree(found.upper, number(&row, "upper_mean"), 1e-12),
            "{found:?} for {row:?}"
        );
    }
}

// Clopper and Pearson (1934), 40-digit arithmetic.
#[test]
fn binomial_intervals_agree_to_twelve_digits() {
    for row in rows("binomial_ci.csv") {
        let side = side_of(&row["kind"]);
        let (x, n) = (number(&row, "x"), number(&row, "n"));
        let found = interval::share(x, n, number(&row, "confidence"), side).expect("an interval");
        assert!(
            agree(found.lower, number(&row, "lower"), 1e-12),
            "{found:?} for {row:?}"
        );
        assert!(
            agree(found.upper, number(&row, "upper"), 1e-12),
            "{found:?} for {row:?}"
        );
    }
}

// 40-digit arithmetic; the values run down to 1e-189.
#[test]
fn quantiles_and_incomplete_functions_agree_to_twelve_digits() {
    let mut compared = BTreeMap::<&str, u32>::new();
    for row in rows("quantiles.csv") {
        let first: f64 = row["p1"].parse().unwrap_or(0.0);
        let second: f64 = row["p2"].parse().unwrap_or(0.0);
        let at: f64 = number(&row, "argument");
        let (name, found) = match row["function"].split(['(', ' ']).next() {
            Some("gamma_quantile") => ("g", special::gamma_quantile(first, Tail::Lower(at))),
            Some("beta_quantile") => ("b", special::beta_quantile(first, second, Tail::Lower(at))),
            Some("student_t_quantile") => ("t", special::student_quantile(first, Tail::Lower(at))),
            Some("reg_lower_incomplete_gamma") => ("P", special::gamma_tails(first, at).0),
            Some("reg_upper_incomplete_gamma") => ("Q", special::gamma_tails(first, at).1),
            Some("reg_incomplete_beta") => ("I", special::beta_tails(first, second, at).0),
            _ => continue, // the normal quantile, which nothing here needs
        };
        assert!(
            agree(found, number(&row, "value"), 1e-12),
            "{found} for {row:?}"
        );
        *compared.entry(name).or_default() += 1;
    }
    let expected = [
        ("I", 30),
        ("P", 35),
        ("Q", 35),
        ("b", 88),
        ("g", 88),
        ("t", 50),
    ];
    assert_eq!(compared, BTreeMap::from(expected));
}

/// A data set of the reference: its places and its values. Those with several columns, with a
/// curve or without a constant term are for more than a line, which nothing here fits.
fn data_set(name: &str) -> Option<(Vec<f64>, Vec<f64>)> {
    let (file, y, x) = match name {
        "Norris" => ("nist_norris.csv", "y", "x"),
        "wear_synthetic" => ("wear_synthetic.csv", "diameter_mm", "cycles"),
        "Pontius" | "NoInt1" | "Longley" => return None,
        other => panic!("no such data set: {other}"),
    };
    let rows = rows(file);
    let column = |name: &str| rows.iter().map(|row| number(row, name)).collect();
    Some((column(x), column(y)))
}

fn fit_of(name: &str) -> Option<Fit> {
    let (x, y) = data_set(name)?;
    Some(least_squares(&x, &y).expect("a fit"))
}

/// The figure of a fit that a reference file calls by this name.
fn figure(fit: &Fit, quantity: &str) -> f64 {
    let place = |text: &str| text.parse::<usize>().expect("a number");
    if let Some(inside) = quantity.strip_prefix("se(B") {
        return fit.standard_errors()[place(inside.trim_end_matches(')'))];
    }
    match quantity {
        "residual_sd" => fit.residual_sd(),
        "R2" => fit.r_squared(),
        "df_residual" => fit.freedom() as f64,
        _ => fit.coefficients()[place(quantity.trim_start_matches('B'))],
    }
}

// NIST StRD, linear regression: Norris; all certified digits.
#[test]
fn regressions_agree_with_the_certified_values_of_nist() {
    let mut compared = 0;
    for row in rows("nist_certified.csv") {
        let Some(fit) = fit_of(&row["dataset"]) else {
            continue;
        };
        assert_eq!(fit.freedom(), number::<u64>(&row, "df_residual"));
        let found = figure(&fit, &row["quantity"]);
        assert!(
            agree(found, number(&row, "certified"), 1e-11),
            "{found} for {row:?}"
        );
        let exact: f64 = number(&row, "exact_rational_refit_20_digits");
        assert!(agree(found, exact, 1e-11), "{found} for {row:?}");
        compared += 1;
    }
    assert_eq!(compared, 6);
}

// Exact rational arithmetic with 40-digit Student factors.
#[test]
fn prediction_intervals_agree_to_eleven_digits() {
    for row in rows("prediction_intervals.csv") {
        let name = row["dataset"].as_str();
        if name == "Norris_x_plus_1e9" {
            continue; // its own test below
        }
        let Some(fit) = fit_of(name) else { continue };
        let found = fit
            .predict(number(&row, "x0"), number(&row, "confidence"))
            .expect("a prediction");
        for (found, column) in [
            (found.fit, "fit"),
            (found.mean.lower, "mean_ci_lower"),
            (found.mean.upper, "mean_ci_upper"),
            (found.next.lower, "pred_lower"),
            (found.next.upper, "pred_upper"),
        ] {
            assert!(
                agree(found, number(&row, column), 1e-11),
                "{found}: {column} of {row:?}"
            );
        }
    }
}

// Norris with 1e9 added to x. In tenths x is a whole number and so exact in binary64 (in
// units it is not, and that alone would cost six digits).
#[test]
fn a_count_that_starts_at_a_thousand_million_costs_few_digits() {
    let (x, y) = data_set("Norris").expect("the data");
    let tenths: Vec<f64> = x.iter().map(|x| (x * 10.0).round() + 1e10).collect();
    let fit = least_squares(&tenths, &y).expect("a fit");
    for row in rows("wear_fit.csv") {
        if row["dataset"] != "Norris_x_plus_1e9" {
            continue;
        }
        let tenth = if row["quantity"].contains("B1") {
            10.0
        } else {
            1.0
        };
        let found = tenth * figure(&fit, &row["quantity"]);
        assert!(
            agree(found, number(&row, "value"), 1e-11),
            "{found} for {row:?}"
        );
    }
    for row in rows("prediction_intervals.csv") {
        if row["dataset"] != "Norris_x_plus_1e9" {
            continue;
        }
        let place = number::<f64>(&row, "x0") * 10.0;
        let found = fit
            .predict(place, number(&row, "confidence"))
            .expect("a prediction");
        assert!(
            agree(found.next.lower, number(&row, "pred_lower"), 1e-10),
            "{row:?}"
        );
        assert!(
            agree(found.next.upper, number(&row, "pred_upper"), 1e-10),
            "{row:?}"
        );
    }
}

// Exact rational arithmetic; the data are invented and the limit of 4.60 mm is no real one.
#[test]
fn wear_reaches_its_limit_where_the_exact_line_and_bound_do() {
    let (x, y) = data_set("wear_synthetic").expect("the data");
    let points: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
    let line = Line::through(&points, 0.0).expect("a line");
    let limit = Limit::Least(4.60);
    let mut places = 0;
    for row in rows("wear_fit.csv") {
        if row["dataset"] != "wear_synthetic" {
            continue;
        }
        let quantity = row["quantity"].as_str();
        let reach = if quantity.starts_with("cycles at which the fitted line") {
            line.reaches(limit)
        } else if let Some(rest) = quantity.strip_prefix("cycles at which the one-sided ") {
            let confidence = rest.split(' ').next().and_then(|c| c.parse().ok());
            line.may_reach(limit, confidence.expect("a confidence"))
                .expect("a place")
        } else {
            let found = figure(line.fit(), quantity);
            assert!(
                agree(found, number(&row, "value"), 1e-11),
                "{found} for {row:?}"
            );
            continue;
        };
        let Reach::At(place) = reach else {
            panic!("{reach:?} for {row:?}")
        };
        assert!(
            agree(place, number(&row, "value"), 1e-11),
            "{place} for {row:?}"
        );
        places += 1;
    }
    assert_eq!(places, 4);
}

#[test]
fn the_chance_that_measures_lie_close_together_agrees() {
    for row in rows("range.csv") {
        let (n, width): (u64, f64) = (number(&row, "n"), number(&row, "width"));
        let wanted: f64 = number(&row, "probability");
        let found = range_below(n, width);
        let far = (found - wanted).abs();
        assert!(
            far <= 1e-9 * wanted + 1e-14,
            "{n} {width}: {found} for {wanted}"
        );
    }
}

/// The outside value integrates the noncentral t density over the mixture; the closed form here
/// was never used for it.
#[test]
fn the_factor_of_an_interval_that_is_looked_at_again_and_again_agrees() {
    for row in rows("sequence.csv") {
        let (n, confidence): (u64, f64) = (number(&row, "n"), number(&row, "confidence"));
        let wanted: f64 = number(&row, "factor");
        let found = factor_at_any_time(n, confidence)
            .expect("a confidence")
            .expect("a factor");
        assert!(
            (found - wanted).abs() <= 1e-7 * wanted,
            "{n} {confidence}: {found} for {wanted}"
        );
    }
}

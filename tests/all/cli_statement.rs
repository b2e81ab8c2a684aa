//! The page that goes to a worker.

use super::cli_demo::demo;
use super::cli_support::{HEADER, Place, compare, crew};

/// An open year with an off-scale shift, and a year that is of record.
#[test]
fn the_page_of_a_year_is_as_it_was_looked_at() {
    for (name, worker, year) in [
        ("statement_w04", "W04", "2026"),
        ("statement_w01", "W01", "2025"),
    ] {
        let line = format!("dose statement {worker} --year {year} --out DIR/{name}.html");
        demo().place.done(&line);
        let page = std::fs::read_to_string(demo().place.path(&format!("{name}.html")));
        let page = page.expect("the page that was just written");
        // A tag a line reads better than one line of a thousand.
        compare(name, &page.replace("><", ">\n<"));
    }
}

/// 10 CFR 20.2101 and 19.13 are of one country; elsewhere nothing is given under them.
#[test]
fn under_another_scheme_the_page_cites_no_rule_of_the_first() {
    let place = Place::with_registers("statement-eu");
    place.done("scheme adopt EU --from 2026-06-15");
    let file = place.file(
        "sheet.csv",
        format!("{HEADER}{}", crew("2026-06-12", "day")),
    );
    place.done(&format!("sheet import {file}"));
    place.done("dose statement W07 --year 2026 --out DIR/eu.html");
    let page = std::fs::read_to_string(place.path("eu.html")).expect("the page");
    let text = place.done("dose statement W07 --year 2026").out;
    for said in [&page, &text] {
        assert!(
            said.contains("0.12 mSv") && !said.contains(" rem"),
            "{said}"
        );
        assert!(!said.contains("10 CFR"), "{said}");
        assert!(
            said.contains("Keep this report for your own records."),
            "{said}"
        );
    }
}

/// 10 CFR 19.13(e): an estimate to a departing worker is clearly marked as one.
#[test]
fn who_leaves_before_all_results_are_in_gets_an_estimate_that_says_so() {
    let place = Place::with_registers("statement-leaves");
    let file = place.file(
        "sheet.csv",
        format!("{HEADER}{}", crew("2026-06-12", "day")),
    );
    place.done(&format!("sheet import {file}"));
    place.done("worker monitoring --worker W07 --on 2026-06-13 --change ends");
    place.done("dose statement W07 --year 2026 --out DIR/leaves.html");
    let page = std::fs::read_to_string(place.path("leaves.html")).expect("the page");
    let mark = "<p class=\"mark\">The person leaves before all results are in: this is an estimate \
                (10 CFR 19.13(e)).</p>";
    assert!(page.contains(mark), "{page}");
}

//! Readings, badge results and the processor's own sums held against each other.

use super::cli_badges::issued;
use super::cli_demo::{MREM, data, demo, list};

#[test]
fn the_processors_year_is_held_against_ours_and_each_change_is_told_once() {
    // demo/README.md: the report of March left February's late result out; December's badges that
    // reach into January are of the old year with the processor.
    let found = data("dose reconcile W10 --year 2026");
    let years = list(&found["years_to_date"]);
    let march = years.iter().find(|it| it["through"] == "2026-03-31");
    let march = march.expect("the report of March");
    assert_eq!(march["theirs"]["nsv"], 122 * MREM);
    assert_eq!(march["ours"]["nsv"], 192 * MREM);
    assert_eq!(march["difference"]["nsv"], -70 * MREM);
    let told: Vec<_> = list(&found["findings"])
        .iter()
        .filter(|it| it["check"] == "processor-year-to-date")
        .collect();
    assert_eq!(told.len(), 1);
    assert_eq!(told[0]["entries"][0], march["entry"]);
    // The months before the ledger began are prior dose, and the processor counted them.
    let found = data("dose reconcile W06 --year 2025");
    for it in list(&found["years_to_date"]) {
        assert_eq!(it["prior"]["nsv"], 118 * MREM);
        assert_eq!(
            (&it["beyond"], &it["changed"]),
            (&false.into(), &false.into())
        );
    }
}

/// demo/README.md: six months of W06 read low by about a third, three before them do not.
#[test]
fn a_dosimeter_that_reads_low_for_half_a_year_is_said_to_differ_and_a_mixed_year_is_not() {
    let found = data("dose reconcile W06 --year 2025");
    let total = &list(&found["totals"])[0];
    assert_eq!(
        (&total["compared"], &total["ratios"]),
        (&9.into(), &9.into())
    );
    assert_eq!(total["words"], "differs: readings below the badges");
    let upper = total["upper_permille"].as_i64().expect("an interval");
    assert!(upper < 1_000, "{total}");
    let told = list(&found["findings"]).iter();
    let told: Vec<&str> = told.filter_map(|it| it["what"].as_str()).collect();
    assert!(
        told.iter().any(|it| it.contains("Either may explain it")),
        "{told:?}"
    );
    assert!(told.iter().all(|it| !it.contains("wrong")), "{told:?}");
    let found = data("dose reconcile W05 --year 2025");
    assert_eq!(list(&found["totals"])[0]["differs"], false);
    // What it assumes stands in the answer and on the page.
    assert!(
        found["assumes"]
            .as_str()
            .expect("a line")
            .contains("assumes")
    );
    let text = demo().place.done("dose reconcile W06 --year 2025").out;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("an estimate: it says") || text.contains("An estimate: it says"));
}

/// May's results have not come, and one badge came back with readings that have no sum.
#[test]
fn agreement_is_said_only_of_periods_that_were_compared() {
    let words = "0 compared, 12 without a result, 1 with nothing to compare";
    let found = data("dose reconcile --from 2026-05-01 --to 2026-05-31");
    let counts = &found["counts"];
    assert_eq!(
        (
            &counts["compared"],
            &counts["without_result"],
            &counts["nothing_to_compare"]
        ),
        (&0.into(), &12.into(), &1.into())
    );
    let place = &demo().place;
    let text = place
        .done("dose reconcile --from 2026-05-01 --to 2026-05-31")
        .out;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains(words) && !text.contains("13 compared"),
        "{text}"
    );
    // The same in the month's review, where no line stands under the heading.
    let text = place.done("review 2026-05").out;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!text.contains("agree within the band"), "{text}");
    assert!(
        text.contains(&format!("Nothing was compared: {words}.")),
        "{text}"
    );
}

#[test]
fn shifts_without_a_badge_on_issue_are_listed_with_the_reason() {
    let found = data("dose reconcile W09 --year 2026");
    let lines: Vec<(String, String)> = list(&found["without_badge"])
        .iter()
        .map(|it| (it["why"].to_string(), it["days"].to_string()))
        .collect();
    let line = |why: &str, day: &str| (format!("\"{why}\""), format!("[\"{day}\"]"));
    assert_eq!(
        lines,
        [
            line("none on issue", "2026-01-21"),
            line("not worn, by the sheet", "2026-01-20"),
        ]
    );
}

#[test]
fn only_what_has_to_be_acted_on_ends_a_check() {
    let mut place = issued("reconcile-check");
    let result = "badge result --badge B-07/2026-04-01 --report R-4 --reported-on 2026-05-20 \
         --lens \"30 mrem\" --shallow \"30 mrem\" --deep \"30 mrem\"";
    place.done("badge return --badge B-07/2026-04-01 --on 2026-05-01");
    let check = "dose reconcile W07 --year 2026 --check";
    place.done(&format!("{result} --year-to-date \"30 mrem\""));
    // Nothing was read while the badge shows 30 mrem.
    assert_eq!(place.quiet(check).code, 3);
    let out = place.run(check).out;
    assert!(
        out.contains("2026-05-01         30       30      0           0  the same"),
        "{out}"
    );
    assert!(
        out.contains("readings below the badge, beyond the band"),
        "{out}"
    );
}

//! A dose as people know it: a range, a lower bound, an absorbed dose; what each does to account,
//! levels, stops and notices.

use super::cli_support::{Place, row};

/// W07's dosimeter went off-scale on 12 June.
fn off_scale(name: &str) -> Place {
    let place = Place::with_registers(name);
    let sheet = row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,1,0,,yes,RM-07,yes,yes",
    ) + &row(
        "2026-06-12",
        "day",
        "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
    );
    place.hand_in(&sheet);
    place
}

const DETERMINE: &str = "determination enter --worker W07 --sheet 28 --quantity deep \
     --relation replaces --method \"time and distance\" --basis \"re-enactment with the RSO\" \
     --on 2026-06-13 --performed-by W01";

fn data(place: &Place, line: &str) -> serde_json::Value {
    let out = place.quiet(&format!("{line} --json")).out;
    let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    all["data"].clone()
}

/// Known and undetermined of account and conservative total of the year, deep.
fn year(place: &Place) -> [(i64, bool); 2] {
    let all = data(place, "dose show W07 --year 2026");
    let deep = &all["totals"][0];
    assert_eq!(deep["quantity"], "deep");
    ["total", "conservative"].map(|side| {
        let it = &deep[side];
        (
            it["known_nsv"].as_i64().expect("a dose"),
            it["undetermined"].as_bool().expect("yes or no"),
        )
    })
}

fn off_scale_stops(place: &Place) -> usize {
    let all = data(place, "findings --year 2026");
    let lines = all["lines"].as_array().expect("lines").iter();
    lines.filter(|it| it["check"] == "off-scale").count()
}

#[test]
fn a_range_counts_at_its_high_end_and_ends_the_stop() {
    let place = off_scale("known-range");
    let said = place
        .done(&format!("{DETERMINE} --dose \"2 to 4 rem\""))
        .out;
    assert!(said.contains("the high end of the range"), "{said}");
    assert!(said.contains("counts for duties and levels"), "{said}");
    assert_eq!(year(&place), [(40_000_000, false), (40_000_000, false)]);
    assert_eq!(off_scale_stops(&place), 0);
    let list = place.done("determination list --json").out;
    assert!(list.contains("(2000 mrem to 4000 mrem)"), "{list}");
    place.done("ledger verify --full");
}

#[test]
fn a_figure_of_record_stays_the_one_figure_beside_its_range() {
    let place = off_scale("known-figure");
    let line = format!("{DETERMINE} --dose \"3 rem\" --low \"2 rem\" --high \"4 rem\"");
    place.done(&line);
    assert_eq!(year(&place), [(30_000_000, false), (40_000_000, false)]);
    // The same again is the same; another range is another determination of one thing.
    let again = place.done(&line).out;
    assert!(again.starts_with("0 written"), "{again}");
    let shown = place.done("dose show W07 --year 2026").out;
    assert!(shown.contains("range"), "{shown}");
    // A correction of the figure beyond its range is refused; the range goes with it.
    let said = place.quiet("entry correct 29 \"dose=5 rem\" --reason \"slip\"");
    assert_eq!(said.code, 1, "{}", said.out);
    assert!(
        said.err.contains("below the dose of record"),
        "{}",
        said.err
    );
    place.done("entry correct 29 \"dose=5 rem\" \"high=6 rem\" --reason \"slip\"");
    assert_eq!(year(&place), [(50_000_000, false), (60_000_000, false)]);
}

#[test]
fn what_is_only_known_to_be_above_something_stays_undetermined_and_keeps_the_stop() {
    let place = off_scale("known-above");
    let said = place
        .done(&format!("{DETERMINE} --dose \"above 5 rem\""))
        .out;
    assert!(said.contains("no upper bound"), "{said}");
    assert_eq!(year(&place), [(50_000_000, true), (50_000_000, true)]);
    assert_eq!(off_scale_stops(&place), 1);
    let status = place.quiet("work-status W07").out;
    let board = place.quiet("board").out;
    for text in [&status, &board] {
        assert!(text.contains("W07") && text.contains("off-scale"), "{text}");
    }
    let list = place.done("determination list --json").out;
    assert!(
        list.contains("at least 5000 mrem, no upper bound"),
        "{list}"
    );
    // A high end that is known later ends it.
    place.done("entry correct 29 \"high=9 rem\" --reason \"blood test came\"");
    assert_eq!(year(&place), [(50_000_000, false), (90_000_000, false)]);
    assert_eq!(off_scale_stops(&place), 0);
}

#[test]
fn a_dose_above_something_may_reach_every_threshold_of_a_notification() {
    let place = off_scale("known-notice");
    place.done(
        "event open --kind overexposure --occurred 2026-06-12T13:40 --job J-1 \
         --person \"W07=stood at the guide tube\" --words \"the source was out\"",
    );
    // 10 CFR 20.2202(a): 25 rem or more, at once.
    let at_once = |place: &Place| -> Vec<String> {
        let all = data(place, "report show E-1");
        let clocks = all["clocks"].as_array().expect("clocks").iter();
        let words = |it: &serde_json::Value| it.as_str().unwrap_or_default().to_owned();
        clocks
            .filter(|it| words(&it["citation"]).contains("20.2202(a)"))
            .map(|it| words(&it["applies"]))
            .collect()
    };
    place.done(&format!("{DETERMINE} --dose \"above 6 rem\""));
    let open = at_once(&place);
    assert!(
        !open.is_empty() && open.iter().all(|it| it == "may apply"),
        "{open:?}"
    );
    place.done("entry correct 30 \"high=6 rem\" --reason \"blood test came\"");
    let known = at_once(&place);
    assert!(known.iter().all(|it| it == "does not apply"), "{known:?}");
}

#[test]
fn low_and_high_have_the_dose_of_record_between_them() {
    let mut place = off_scale("known-refused");
    for dose in [
        "--dose \"3 rem\" --low \"4 rem\"",
        "--dose \"3 rem\" --high \"2 rem\"",
        "--dose \"3 rem\" --low \"1 rem\" --high \"20 Sv\"",
        "--dose \"3 rem\" --low 1",
        "--dose \"2 to 4 rem\" --high \"5 rem\"",
        "--dose \"above 3 rem\" --low \"3 rem\"",
        "--dose \"4 to 2 rem\"",
        "--dose \"2-4 rem\"",
        "--dose above",
        "--dose \"2 Gy\"",
        "--dose \"0 mrem\" --high \"1 rem\" --method \"no exposure\"",
    ] {
        let line = DETERMINE.to_owned();
        let line = match dose.contains("--method") {
            true => line.replace("--method \"time and distance\" ", ""),
            false => line,
        };
        place.refused(&format!("{line} {dose}"));
    }
    place.golden("known-refused");
}

#[test]
fn gray_counts_as_sievert_for_a_part_of_the_body_and_says_so() {
    let place = off_scale("known-gray");
    let skin = DETERMINE
        .replace("deep", "extremity")
        .replace("time and distance", "clinical");
    let said = place.done(&format!("{skin} --dose \"3 Gy\"")).out;
    assert!(said.contains("1 Gy = 1 Sv"), "{said}");
    let list = place.done("determination list --json").out;
    assert!(list.contains("300000 mrem"), "{list}");
    let blood = DETERMINE.replace("time and distance", "cytogenetic");
    place.done(&format!(
        "{blood} --dose \"0.2 Sv\" --low \"0.1 Sv\" --high \"0.4 Sv\""
    ));
}

#[test]
fn a_list_of_determinations_takes_ranges_in_its_columns() {
    let place = off_scale("known-list");
    let file = place.file(
        "doses.csv",
        "worker,sheet,quantity,dose,relation,method,basis,on,performed_by,low,high\n\
         W07,28,deep,3 rem,replaces,co-worker,beside him,2026-06-13,W01,2 rem,4 rem\n\
         W08,28,lens,above 1 rem,replaces,co-worker,beside him,2026-06-13,W01,,\n",
    );
    let said = place.done(&format!("determination import {file}")).out;
    assert!(said.contains("line 3: it has no upper bound"), "{said}");
    assert_eq!(year(&place), [(30_000_000, false), (40_000_000, false)]);
}

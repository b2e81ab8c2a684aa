//! The spreadsheets of the demo's office become a ledger, by the commands that its page tells.

use super::cli_support::{Place, data_of};

const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/README.md");

/// The commands of the page's first console block.
fn told() -> Vec<String> {
    let page = std::fs::read_to_string(PAGE).expect("the demo's page");
    let block = page.split("```console\n").nth(1).expect("a console block");
    let block = block.split("```").next().expect("its end");
    let joined = block.replace("\\\n", " ");
    let lines = joined
        .lines()
        .filter_map(|it| it.strip_prefix("$ wearbook "));
    lines.map(str::to_owned).collect()
}

fn office(name: &str) -> Place {
    let place = Place::empty(name);
    for command in told() {
        place.done(&command);
    }
    place
}

/// Deep dose of a person's year: known, and the part from before the ledger, in nanosievert.
fn deep(place: &Place, worker: &str, year: i32) -> (i64, i64) {
    let data = data_of(place, &format!("dose show {worker} --year {year}"));
    let account = &data["totals"][0]["total"];
    let number = |it: &serde_json::Value| it.as_i64().expect("a number");
    (
        number(&account["known_nsv"]),
        number(&account["prior"]["nsv"]),
    )
}

#[test]
fn three_spreadsheets_of_an_office_are_a_ledger_in_ten_commands() {
    let commands = told();
    assert!(
        (2..=10).contains(&commands.len()),
        "{} commands",
        commands.len()
    );
    let files = ["doses.xlsx", "equipment-log.xlsx", "inspection-log.xlsx"];
    for file in files {
        assert!(commands.iter().any(|it| it.contains(file)), "{file}");
    }
    let place = office("office");
    // The last cells of the book's own column `Running total`, and its yearly totals.
    assert_eq!(deep(&place, "K02", 2026), (1_660_000, 0));
    assert_eq!(deep(&place, "K03", 2026), (1_270_000, 0));
    assert_eq!(deep(&place, "K02", 2025), (5_740_000, 5_740_000));
    assert_eq!(deep(&place, "K03", 2025), (4_953_000, 4_953_000));
    assert_eq!(deep(&place, "K02", 2024), (6_125_000, 6_125_000));
    let held = data_of(&place, "hold list");
    assert!(held.to_string().contains("[]"), "{held}");
    place.done("ledger verify");
}

#[test]
fn the_commands_of_the_office_run_again_write_nothing() {
    let place = office("office-again");
    let before = place.head();
    for command in told().iter().skip(2) {
        let out = place.done(command).out;
        assert!(out.contains("0 written"), "{command}: {out}");
    }
    assert_eq!(place.head(), before);
}

#[test]
fn an_opening_total_is_shown_as_one_and_counts_whole_where_a_span_cuts_it() {
    let place = office("office-opening");
    let said = |line: &str| {
        let out = place.done(line).out;
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let year = said("dose show K02 --year 2025");
    assert!(
        year.contains(
            "opening total of 2025-01-01 to 2025-12-31, deep 574 mrem, from before this ledger: \
             the office's dose record of the year"
        ),
        "{year}"
    );
    let part = said("dose show K02 --from 2025-06-01 --to 2025-06-30");
    assert!(
        part.contains("here a share of it by days, an estimate"),
        "{part}"
    );
    let data = data_of(&place, "dose show K02 --from 2025-06-01 --to 2025-06-30");
    let deep = &data["totals"][0];
    assert_eq!(deep["conservative"]["known_nsv"], 5_740_000);
    let account = deep["total"]["known_nsv"].as_i64().expect("a dose");
    // 30 of 365 days.
    assert_eq!(account, 5_740_000 * 30 / 365);
    let crew = said("dose crew --year 2025");
    assert!(
        crew.contains("3 opening totals of years or months before this ledger"),
        "{crew}"
    );
    let review = said("review 2025");
    assert!(review.contains("opening totals"), "{review}");
}

#[test]
fn an_opening_total_is_of_a_whole_year_or_month_and_of_each_day_once() {
    let place = office("office-refused");
    let add = |period: &str, dose: &str| {
        let line = format!(
            "worker opening-total --worker K02 --period {period} --deep \"{dose}\" --source x"
        );
        let said = place.quiet(&line);
        let told = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        (said.code, told)
    };
    for (period, dose, wanted) in [
        (
            "2025-05",
            "5 mrem",
            "overlaps the total of 2025-01-01 to 2025-12-31 in entry",
        ),
        ("2026", "5 mrem", "is not over: it ends on 2026-12-31"),
        ("2026-06", "5 mrem", "is not over: it ends on 2026-06-30"),
        ("2023-Q1", "5 mrem", "is neither a year nor a month"),
        ("2023", "-5 mrem", "below"),
    ] {
        let (code, told) = add(period, dose);
        assert_eq!(code, 1, "{period}: {told}");
        assert!(told.contains(wanted), "{period}: {told}");
    }
    assert_eq!(add("2023-05", "5 mrem").0, 0);
    assert_eq!(add("2023-05", "5 mrem").0, 0, "once more is nothing new");
    // Another figure for the same days is told, with how to correct the first.
    let (code, told) = add("2023-05", "6 mrem");
    assert_eq!(code, 1);
    assert!(told.contains("wearbook entry correct"), "{told}");
}

#[test]
fn a_review_of_history_says_so() {
    let place = office("office-review");
    let out = place.done("review 2026-01").out;
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        out.contains("over before this ledger began on 2026-06-15"),
        "{out}"
    );
    assert!(out.contains("16 of its 16 sheets are transcribed"), "{out}");
    let said = place.quiet("review 2025-03");
    assert_eq!(
        said.code, 1,
        "a month with nothing has no review: {}",
        said.out
    );
    // What was written elsewhere at the time was not handed in late here.
    let findings = place.done("findings").out;
    assert!(!findings.contains("days after the shift"), "{findings}");
}

//! The statement of a year as the authority's form has it, and the dose of an embryo beside it.

use super::cli_demo::{data, demo, list};
use super::cli_support::{HEADER, Place, crew};
use super::text_refused::headings;

/// The items of the form in their order, with what stands beside each for W07 in 2025.
const FORM: &[(&str, &str)] = &[
    ("1 Name", "Ingrid Mbeki-Santos"),
    ("2 Identification number", ""),
    ("3 ID type", ""),
    ("4 Sex", ""),
    ("5 Date of birth", "1983-12-21"),
    ("6 Monitoring period", "2025-01-01 to 2025-12-31"),
    ("7 Licensee name", "Quillback Plains Radiography (invented)"),
    ("8 License number(s)", "00-DEMO-01"),
    ("9A Record or estimate", "record"),
    ("9B Routine or PSE", "routine"),
    ("10A", ""),
    ("10B", ""),
    ("10C", ""),
    ("10D", ""),
    ("11A EDEX", "1.271 rem (12.71 mSv)"),
    ("11B DDE", "1.271 rem (12.71 mSv)"),
    ("12 LDE", ""),
    ("13 SDE,WB", ""),
    ("14 SDE,ME", "not assessed"),
    ("15 CEDE", "NR"),
    ("16 CDE", "NR"),
    ("17 TEDE", "1.271 rem (12.71 mSv)"),
    ("18 TODE", "1.271 rem (12.71 mSv)"),
    ("19 Comments", "With this licensee before this ledger"),
    ("20 Signature", ""),
];

/// Items whose figure another test holds.
const NOT_LOOKED_AT: [&str; 2] = ["12 LDE", "13 SDE,WB"];

/// The items of the form as the file of a year has them, a column each.
fn file_of(place: &Place, whose: &str) -> String {
    let name = whose.replace(' ', "-") + ".csv";
    place.done(&format!("dose statement {whose} --out DIR/{name}"));
    std::fs::read_to_string(place.path(&name)).expect("the file")
}

#[test]
fn the_years_file_has_every_item_of_the_form_in_its_order() {
    let said = file_of(&demo().place, "W07 --year 2025");
    let mut reader = csv::Reader::from_reader(said.as_bytes());
    let headings = headings(&said);
    let row = reader.records().next().expect("a row").unwrap();
    assert_eq!(headings.len(), FORM.len() + 2, "{headings:?}");
    for (at, (label, value)) in FORM.iter().enumerate() {
        let heading = &headings[at + 2];
        assert!(heading.starts_with(label), "{heading} is not {label}");
        let cell = &row[at + 2];
        if !NOT_LOOKED_AT.contains(label) {
            assert!(cell.starts_with(value), "{label}: {cell}");
            assert_eq!(cell.is_empty(), value.is_empty(), "{label}: {cell}");
        }
    }
}

/// As 10 CFR 19.13(a) has it.
const SENTENCE: &str = "This report is furnished to you under the provisions of the Nuclear \
                        Regulatory Commission regulation 10 CFR part 19. You should preserve this \
                        report for further reference.";

#[test]
fn page_and_text_have_the_items_and_the_sentence_word_for_word() {
    let place = &demo().place;
    place.done("dose statement W07 --year 2025 --out DIR/form-w07.html");
    let page = std::fs::read_to_string(place.path("form-w07.html")).expect("the page");
    let text = place.done("dose statement W07 --year 2025").out;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [&page, &text] {
        assert!(said.contains(SENTENCE), "{said}");
        assert!(said.contains("equivalent of NRC Form 5"), "{said}");
    }
    let mut from = 0;
    for (label, _) in FORM {
        let number = label.split(' ').next().unwrap();
        let heading = format!("<th scope=\"row\" class=\"w\">{number}</th>");
        let found = page[from..].find(&heading);
        from += found.unwrap_or_else(|| panic!("no item {number} in its place: {page}"));
    }
    // The company keeps no such number and no sex: they are written in by hand.
    assert_eq!(
        page.matches("____________________</td>").count(),
        4,
        "{page}"
    );
}

/// A ledger keeps the rules that it adopted; theirs had neither form nor the whole sentence.
#[test]
fn rules_adopted_before_there_was_a_form_still_say_that_the_report_is_kept() {
    let text = wearbook::rule::offer("10 CFR")
        .expect("the built-in rules")
        .text;
    let (before, rest) = text.split_once("[form]").expect("the form");
    let (_, after) = rest
        .split_once("# ---- limits: people")
        .expect("what follows");
    let own = format!("{before}# ---- limits: people{after}");
    let own = own.replace("rule_set = \"10 CFR\"", "rule_set = \"older rules\"");
    let place = Place::with_registers("form-older");
    let file = place.file("older.toml", own);
    place.done(&format!(
        "rules adopt {file} --from 2026-01-01 --reason moved"
    ));
    let sheet = place.file(
        "sheet.csv",
        format!("{HEADER}{}", crew("2026-06-12", "day")),
    );
    place.done(&format!("sheet import {sheet}"));
    let said = place.done("dose statement W07 --year 2026").out;
    assert!(
        said.contains("Keep this report for your own records."),
        "{said}"
    );
    assert!(said.contains("covered: 2026-06-12"), "{said}");
    assert!(!said.contains("Form 5, equivalent"), "{said}");
}

#[test]
fn planned_special_exposures_have_a_form_of_their_own() {
    let place = Place::with_registers("form-special");
    super::cli_statement::planned_exposure(&place);
    let said = file_of(&place, "W07 --year 2026");
    let mut reader = csv::Reader::from_reader(said.as_bytes());
    let at = |label: &str, headings: &csv::StringRecord| {
        let mut all = headings.iter();
        all.position(|it| it.starts_with(label)).expect("the item")
    };
    let headings = reader.headers().unwrap().clone();
    let (kind, dose) = (at("9B", &headings), at("11B", &headings));
    let rows: Vec<(String, String)> = reader
        .records()
        .map(|it| it.unwrap())
        .map(|it| (it[kind].to_owned(), it[dose].to_owned()))
        .collect();
    let row = |kind: &str, dose: &str| (kind.to_owned(), dose.to_owned());
    let special = row("PSE", "0.14 rem (1.4 mSv), estimate");
    assert_eq!(rows[1], special, "{rows:?}");
    assert_eq!(rows[0].0, "routine");
    assert!(!rows[0].1.contains("0.14"), "{rows:?}");
    // It is dose of the year all the same: the report is owed.
    let text = place.done("dose statement W07 --year 2026").out;
    assert!(text.contains("To be given unasked"), "{text}");
}

#[test]
fn an_embryos_dose_has_a_page_of_its_own_and_is_in_no_file_for_others() {
    let place = &demo().place;
    place.done("dose statement W08 --year 2025 --out DIR/form-w08.html");
    let page = std::fs::read_to_string(place.path("form-w08.html")).expect("the page");
    let own = page
        .find("<section class=\"own\">")
        .expect("a page of its own");
    let (before, after) = page.split_at(own);
    assert!(page.contains(".own { break-before: page }"), "{page}");
    assert!(
        !before.contains("embryo") && !before.contains("2025-09-15"),
        "{before}"
    );
    for words in ["0.273 rem", "0.02 rem", "0.293 rem", "10 CFR 20.2106(e)"] {
        assert!(after.contains(words), "{words}: {after}");
    }
    let table = file_of(place, "W08 --year 2025");
    assert!(
        !table.contains("embryo") && !table.contains("2025-09-15"),
        "{table}"
    );
    // Who declared none has no such page, nor has she in a year before it.
    for line in ["W07 --year 2025", "W08 --year 2024"] {
        let answer = data(&format!("dose statement {line}"));
        assert!(list(&answer["embryos"]).is_empty(), "{line}");
    }
}

#[test]
fn both_shares_of_a_declared_pregnancy_are_told_to_her_and_either_can_put_her_on_the_list() {
    // 58.6 % of all since conception, 8.9 % of the rest: the greater decides, and the list tells
    // neither.
    let list = |share: &str| {
        let line = format!("dose lists --year 2025 --share {share}");
        demo().place.done(&line).out
    };
    let of_w08 = |said: &str| {
        let line = said.lines().find(|it| it.starts_with("W08"));
        line.map(str::to_owned)
    };
    let named = of_w08(&list("50")).expect("she is on the list");
    assert!(named.contains("see RSO"), "{named}");
    assert!(!named.contains('%'), "{named}");
    assert_eq!(of_w08(&list("59")), None);
    let shown = demo().place.done("dose show W08 --year 2025").out;
    assert!(
        shown.contains("8.9 % of rest") && shown.contains("58.6 % of all"),
        "{shown}"
    );
}

#[test]
fn a_pregnancy_that_ended_in_the_year_counts_for_the_list_by_its_last_day() {
    let place = Place::with_registers("lists-ended");
    let high = crew("2026-02-10", "day").replace("PD-08,1,1,9,", "PD-08,1,0,180,");
    let rows = high + &crew("2026-04-10", "day");
    place.hand_in(&rows);
    place.done(
        "worker pregnancy --worker W08 --notice-on 2026-03-02 --conception-on 2026-01-20 \
         --withdrawn-on 2026-05-29",
    );
    // 37.6 % of 500 mrem since conception.
    let said = place.done("dose lists --year 2026 --share 30").out;
    assert!(said.contains("see RSO"), "{said}");
    for words in ["pregnan", "2026-05-29", "37.6", "320 mrem"] {
        assert!(!said.contains(words), "{words}: {said}");
    }
    let said = place.done("dose lists --year 2026 --share 40").out;
    assert!(!said.contains("see RSO"), "{said}");
}

/// Born on 2008-01-01, somebody was under 18 in all of 2025.
#[test]
fn a_share_refers_to_the_level_of_that_years_end_unless_another_day_is_asked_for() {
    let place = Place::with_registers("share-of-that-day");
    let born = "worker add --id W20 --name \"Young Person\" --role trainee --category exposed \
                --birth-date 2008-01-01 --monitored-from 2025-01-06";
    place.done(born);
    let row = crew("2025-12-30", "day").replace("W08,assistant", "W20,assistant");
    place.hand_in(&row);
    let levels = |line: &str| -> Vec<String> {
        let said = place.done(&format!("{line} --json")).out;
        let answer: serde_json::Value = serde_json::from_str(&said).expect("JSON");
        let all = list(&answer["data"]["levels"]).iter();
        all.map(|it| it["level"].as_str().expect("a key").to_owned())
            .collect()
    };
    let is_minor = |keys: &[String]| keys.iter().any(|it| it == "minor-deep-year");
    assert!(is_minor(&levels("dose show W20 --year 2025")));
    assert!(!is_minor(&levels(
        "dose show W20 --year 2025 --on 2026-06-12"
    )));
    let lists = |line: &str| place.done(line).out;
    assert!(lists("dose lists --year 2025 --share 1").contains("limits on 2025-12-31"));
    assert!(lists("dose lists --year 2025 --share 1").contains("1.6 % of 500 mrem"));
    assert!(
        lists("dose lists --year 2025 --share 1 --on 2026-06-12").contains("limits on 2026-06-12")
    );
}

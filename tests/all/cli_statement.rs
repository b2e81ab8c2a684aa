//! The page that goes to a worker.

use super::cli_demo::demo;
use super::cli_support::{Place, compare, crew};

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
fn under_another_rule_set_the_page_cites_no_rule_of_the_first() {
    let place = Place::with_registers("statement-eu");
    place.done("rules adopt EU --from 2026-06-15");
    place.hand_in(&crew("2026-06-12", "day"));
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
    place.hand_in(&crew("2026-06-12", "day"));
    place.done("worker monitoring --worker W07 --on 2026-06-13 --change ends");
    place.done("dose statement W07 --year 2026 --out DIR/leaves.html");
    let page = std::fs::read_to_string(place.path("leaves.html")).expect("the page");
    let mark = "<p class=\"mark\">The person leaves before all results are in: this is an estimate \
                (10 CFR 19.13(e)).</p>";
    assert!(page.contains(mark), "{page}");
}

/// What the commands about doses print, and what a worker is given.
fn printed(place: &Place) -> [String; 2] {
    let all = |lines: &[&str]| -> String {
        let said = lines.iter().map(|line| place.done(line).out);
        said.collect()
    };
    let tables = all(&[
        "dose show W07 --year 2026 --why",
        "dose show W08 --year 2026",
        "dose crew --year 2026",
        "review 2026-06",
    ]);
    let given = all(&[
        "dose statement W07 --year 2026",
        "dose statement W07 --year 2026 --out DIR/year.csv",
        "dose statement W07 --year 2026 --out DIR/page.html",
    ]);
    let page = std::fs::read_to_string(place.path("page.html")).expect("the page");
    let given = given + &std::fs::read_to_string(place.path("year.csv")).expect("the file");
    [tables, given + &page.replace("><", ">\n<")]
}

fn lines_with<'a>(said: &'a str, words: &str) -> Vec<&'a str> {
    said.lines().filter(|it| it.contains(words)).collect()
}

/// A shift of W07 above 1 mSv that was a planned special exposure.
pub fn planned_exposure(place: &Place) {
    let high = crew("2026-06-12", "day").replace("PD-07,1,0,12,", "PD-07,1,0,140,");
    place.hand_in(&high);
    place.done(
        "worker planned-exposure --worker W07 --first-day 2026-06-12 --last-day 2026-06-12 \
         --basis \"a stuck source\" --authorized-on 2026-06-11",
    );
}

/// A year in which each rule has something to say of W07: above 1 mSv, apart, and leaving.
fn year_under(rule_set: &str) -> Place {
    let place = Place::with_registers(&format!("year-under-{rule_set}"));
    if rule_set != "10 CFR" {
        place.done(&format!(
            "rules adopt \"{rule_set}\" --from 2026-01-01 --reason moved"
        ));
    }
    planned_exposure(&place);
    place.done("worker monitoring --worker W07 --on 2026-06-13 --change ends");
    place
}

#[test]
fn under_no_other_rule_set_do_doses_cite_the_law_of_the_first() {
    for rule_set in ["Canada", "EU", "IAEA"] {
        let [tables, given] = printed(&year_under(rule_set));
        for foreign in ["10 CFR", "Form 5", "34.101", "19.13", "20.1206"] {
            for said in [&tables, &given] {
                assert_eq!(lines_with(said, foreign), [""; 0], "{rule_set}");
            }
        }
        // Tables are in the unit that the ledger was made with; the report is in that of the law.
        for foreign in ["mrem", " rem"] {
            assert_eq!(lines_with(&given, foreign), [""; 0], "{rule_set}");
        }
    }
    // The words that are looked for are there where they belong.
    let [tables, given] = printed(&year_under("10 CFR"));
    for own in ["10 CFR 20.1206", "10 CFR 34.101(c)"] {
        assert!(tables.contains(own), "{own} is not said: {tables}");
    }
    for own in ["10 CFR 20.1206", "10 CFR 19.13", " rem"] {
        assert!(given.contains(own), "{own} is not said: {given}");
    }
}

/// What a statement has as the extremity dose, and its standing.
fn stated(place: &Place) -> [String; 2] {
    let said = place.done("dose statement W07 --year 2026 --json").out;
    let answer: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let items = answer["data"]["items"].as_array().expect("items").iter();
    let mut mine = items.filter(|it| it["code"] == "SDE-ME" || it["code"] == "extremity");
    let item = mine.next().expect("the extremity");
    assert!(item["nsv"].is_null(), "{item}");
    ["shown", "standing"].map(|it| item[it].as_str().expect("words").to_owned())
}

/// The line of the extremity in the table of a person's dose.
fn shown(place: &Place) -> String {
    let said = place.done(SHOWN).out;
    let mut found = said.lines().filter(|it| it.starts_with("extremity "));
    let line = found.next().expect("a line of the extremity");
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

const SHOWN: &str = "dose show W07 --year 2026";
const STATED: &str = "dose statement W07 --year 2026";

/// A shift of W07 on which nothing happened.
fn plain_shift(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.hand_in(&crew("2026-06-12", "day"));
    place
}

#[test]
fn an_extremity_that_nobody_had_to_monitor_is_told_from_one_that_nobody_assessed() {
    let place = plain_shift("extremity-quiet");
    let not_required = ["not required / not monitored", "not monitored"];
    assert_eq!(stated(&place), not_required);
    let line = shown(&place);
    let is_said = line.starts_with("extremity n/m ") && line.ends_with(" n/m");
    assert!(is_said, "{line}");
    for line in [STATED, SHOWN] {
        let said = place.done(line).out;
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains("It is not a dose of zero."), "{said}");
        assert!(flat.contains("code NR (to be confirmed)"), "{said}");
        assert!(!said.contains("not assessed"), "{said}");
    }
    place.done("rules adopt EU --from 2026-01-02 --reason moved");
    assert_eq!(stated(&place), ["not monitored"; 2]);
    let said = place.done(STATED).out;
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("that is not a dose of zero"), "{said}");
}

#[test]
fn an_extremity_in_question_stays_not_assessed() {
    let badge = "badge issue --badge R-1 --worker W07 --type extremity --first-day 2026-06-01 \
                 --last-day 2026-06-30";
    let event = "event open --kind disconnect --occurred 2026-06-12T13:40 --words x \
                 --person \"W07=handled the source\"";
    for (at, line) in [badge, event].into_iter().enumerate() {
        let place = plain_shift(&format!("extremity-asked-{at}"));
        place.done(line);
        assert_eq!(stated(&place), ["not assessed"; 2]);
        let said = place.done(SHOWN).out;
        assert!(
            said.contains("- means not assessed") && !said.contains("n/m"),
            "{said}"
        );
    }
    // An off-scale shift.
    let place = Place::with_registers("extremity-off-scale");
    let sheet = crew("2026-06-12", "day").replace("0,12,no,RM-07", "0,,yes,RM-07");
    place.hand_in(&sheet);
    assert_eq!(stated(&place), ["not assessed"; 2]);
}

/// A dosimeter on the trunk does not stand in for a ring; and where a ring alone waits, the shifts
/// are still said to have readings alone.
#[test]
fn no_reading_stands_in_for_a_badge_on_an_extremity() {
    let place = plain_shift("extremity-waits");
    place.done(
        "badge issue --badge R-1 --worker W07 --type extremity --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    let said = place.done("dose statement W07 --year 2026").out;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "of an extremity, so no reading stands in for it",
        "No badge result for 1 shift of",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("readings stand in for it"), "{said}");
}

/// Of a year that has not begun nothing is stated.
#[test]
fn a_year_that_has_not_begun_has_no_statement() {
    let place = plain_shift("statement-ahead");
    for asked in ["2027", "20266", "2026 --on 2025-06-01"] {
        let said = place.quiet(&format!("dose statement W07 --year {asked}"));
        assert_eq!((said.code, said.out.as_str()), (1, ""), "{asked}");
        assert!(said.err.contains("has not begun"), "{asked}: {}", said.err);
    }
    let said = place.quiet("dose leaver W07 --on 2026-06-12 --since 2031");
    assert!(
        said.err.contains("2031 is after the last day"),
        "{}",
        said.err
    );
}

/// A badge of another employer over our shifts adds on the conservative side alone, until somebody
/// says whether it measured the same dose: it is found with the command, and the statement says so.
#[test]
fn a_badge_of_another_employer_over_our_shifts_waits_for_a_word() {
    let place = plain_shift("statement-elsewhere");
    place.done(
        "badge issue --badge X-9 --worker W07 --type \"whole body\" --employer \"Other firm\" \
         --first-day 2026-06-01 --last-day 2026-06-13",
    );
    let flat = |line: &str| {
        let said = place.done(line).out;
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let found = |said: &str| said.contains("badge X-9 of another employer was worn from");
    let stands = |said: &str| said.contains("On hold and in no figure: badge X-9");
    for reported in [false, true] {
        if reported {
            place.done(
                "badge result --badge X-9 --report R-9 --reported-on 2026-06-14 --deep \"60 mrem\"",
            );
        }
        let said = flat("findings --year 2026");
        assert!(found(&said), "{said}");
        assert!(said.contains("same_dose=yes --reason WHY"), "{said}");
        let said = flat(STATED);
        assert!(stands(&said) && said.contains("ESTIMATE"), "{said}");
        assert_eq!(said.contains("it has no result yet"), !reported, "{said}");
    }
    let said = flat("findings --year 2026");
    let from = said.find("wearbook entry correct ").expect("the command");
    let command = &said[from + "wearbook ".len()..];
    let end = command.find(" --reason").expect("its reason");
    place.done(&format!("{} --reason asked", &command[..end]));
    assert!(!found(&flat("findings --year 2026")));
    assert!(!stands(&flat(STATED)));
}

//! What hangs on a job follows the authority of the job, what hangs on the license follows the
//! license: whom to call by when, how it is cited, what is reported, which papers a crew has.

use serde_json::Value;

use super::cli_jurisdiction::{STATE, licensed, with_an_event};
use super::cli_support::{Place, crew, data_of};

/// What is said of a job, and of the license beside it.
struct Said {
    call: String,
    told: Vec<String>,
    reports: Vec<String>,
    papers: String,
    alone: String,
    meter: String,
}

fn words_of(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn text(it: &Value) -> String {
    it.as_str().unwrap_or_default().to_owned()
}

/// Of an event at J-1, of its papers, of a sheet with one person, of a meter past its day.
fn said(place: &Place) -> Said {
    with_an_event(place);
    let rows = crew("2026-06-12", "day");
    let alone: String = rows.lines().take(1).map(|it| format!("{it}\n")).collect();
    place.hand_in(&alone);
    let notifications = data_of(place, "report show E-1");
    let clocks = notifications["clocks"].as_array().expect("clocks").clone();
    let call = clocks.iter().find(|it| it["duty"] == "call-30-50-b");
    let call = call.expect("the call of the equipment");
    let told = clocks.iter().map(|it| text(&it["duty"])).collect();
    place.done("report draft E-1 --out DIR/draft");
    let draft = std::fs::read_to_string(place.path("draft/E-1-report.md")).expect("a draft");
    let found = data_of(place, "findings --from 2026-06-12 --to 2026-06-12");
    let rule = |check: &str, field: &str| {
        let lines = found["lines"].as_array().expect("lines").clone();
        let line = lines.iter().find(|it| it["check"] == check).cloned();
        line.map(|it| text(&it[field])).unwrap_or_default()
    };
    Said {
        call: ["to", "citation", "within"]
            .map(|it| text(&call[it]))
            .join("; "),
        told,
        reports: draft.lines().map(str::to_owned).collect(),
        papers: text(&data_of(place, "pack J-1")["rule"]),
        alone: rule("two-person", "citation"),
        meter: rule("meter-calibration", "citation"),
    }
}

/// Whom to call of a state whose own law the program does not have.
const CALL_OF_TX: &str = "the radiation control authority of TX (no telephone number here: look \
     it up); state equivalent of 10 CFR 30.50(b)(2), (c)(1); 24 hours from discovery: the time of \
     10 CFR, for want of one of the authority's own; ask it";

/// License, job, the call, the papers, company on the job, and whether the state's own duties hold.
const ROWS: &[(&str, &str, &str, [&str; 3], bool)] = &[
    (
        "NRC",
        "NRC",
        "the authority's operations center, 301-816-5100 (to be confirmed); \
         10 CFR 30.50(b)(2), (c)(1); 24 hours from discovery",
        ["10 CFR 34.89(b)", "10 CFR 34.41(a)", ""],
        false,
    ),
    (
        "NRC",
        "TX",
        CALL_OF_TX,
        [
            "state equivalent of 10 CFR 34.89(b)",
            "state equivalent of 10 CFR 34.41(a)",
            "",
        ],
        false,
    ),
    (
        "state",
        "NRC",
        "the authority's operations center, 301-816-5100 (to be confirmed); \
         10 CFR 30.50(b)(2), (c)(1); 24 hours from discovery",
        ["10 CFR 34.89(b)", "10 CFR 34.41(a)", "MRC 12-34.25("],
        false,
    ),
    (
        "state",
        "MW",
        "the Radiation Control Office of Merrowan (invented), 555-0142 (invented); \
         MRC 12-30.50(b)(2), (c)(1); 12 hours from discovery",
        ["MRC 12-34.89(b)", "MRC 12-34.41(a)", "MRC 12-34.25("],
        true,
    ),
    (
        "state",
        "TX",
        CALL_OF_TX,
        [
            "state equivalent of 10 CFR 34.89(b)",
            "state equivalent of 10 CFR 34.41(a)",
            "MRC 12-34.25(",
        ],
        false,
    ),
];

#[test]
fn what_hangs_on_a_job_follows_the_job_and_what_hangs_on_the_licence_the_licence() {
    for (n, (licence, job, call, [papers, alone, meter], own)) in ROWS.iter().enumerate() {
        let init = match *licence {
            "state" => format!("--rule-set {STATE}"),
            _ => String::new(),
        };
        let place = licensed(&format!("job-law-{n}"), &init, job, "NRC");
        let it = said(&place);
        let row = format!("license {licence}, job {job}");
        assert_eq!(it.call, *call, "{row}");
        assert!(it.papers.starts_with(papers), "{row}: {}", it.papers);
        assert!(it.alone.starts_with(alone), "{row}: {}", it.alone);
        // Calibrated in January: past its day under the state's three months alone.
        assert_eq!(it.meter.is_empty(), meter.is_empty(), "{row}: {}", it.meter);
        assert!(it.meter.starts_with(meter), "{row}: {}", it.meter);
        let asks = it.told.iter().any(|it| it == "call-of-badge");
        assert_eq!(asks, *own, "{row}: {:?}", it.told);
        let strength = it
            .reports
            .iter()
            .any(|it| it.contains("activity of the source"));
        assert_eq!(strength, *own, "{row}: {:#?}", it.reports);
    }
}

/// The day on which the rules came into force decides, at the job as at home.
#[test]
fn an_event_before_the_states_rules_were_adopted_keeps_the_duties_of_its_day() {
    let place = licensed("job-law-days", "--jurisdiction MW", "MW", "NRC");
    place.done(&format!("rules adopt {STATE} --from 2026-06-14"));
    let it = said(&place);
    assert!(
        it.call.starts_with("the radiation control authority of MW"),
        "{}",
        it.call
    );
    assert!(
        !it.told.iter().any(|it| it == "call-of-badge"),
        "{:?}",
        it.told
    );
}

fn site(extends: &str, rest: &str) -> String {
    format!(
        "extends = \"{extends}\"\nscheme = \"Yard rules\"\ntitle = \"Our yard\"\n{rest}\
         [[level]]\nkey = \"yard-year\"\nsort = \"administrative\"\nquantity = \"deep\"\n\
         applies_to = \"adult\"\nwindow = \"licensee year\"\ndose = \"2 rem\"\n\
         needs_authorization = false\ncut_by_missing_quarters = false\n\
         citation = \"procedure 4\"\nstatus = \"read\"\nmeaning = \"Not planned for more.\"\n"
    )
}

/// What is left out stands at the top of the two answers that it changes.
fn it_stands_at_the_top(place: &Place) {
    // Whoever is asked about reads of it before anything else.
    for (line, whom) in [
        ("work-status W07", "though it would hold for W07: the limit"),
        (
            "work-status",
            "though it would hold for W01, W07, W08: the limit",
        ),
        (
            "report show E-1",
            "so that no dose below is held against it: the limit",
        ),
    ] {
        let out = words_of(&place.quiet(line).out);
        let (_, after) = out
            .split_once("LEFT OUT by this site's rules, ")
            .expect(line);
        assert!(after.starts_with(whom), "{line}: {out}");
        assert!(
            after.contains("(MRC 12-20.1201(a)(2)(i)): condition 14."),
            "{line}: {out}"
        );
        let table = ["W07 Mirko", "occurred"].map(|it| out.find(it).unwrap_or(out.len()));
        let at = out.find("LEFT OUT").expect("it");
        assert!(
            table.iter().any(|it| *it < out.len()) && table.iter().all(|it| at < *it),
            "{out}"
        );
    }
    // Whom it never held for reads nothing of it.
    place.done(
        "worker add --id W09 --name \"Di Early\" --role assistant --birth-date 2010-01-01 \
         --monitored-from 2026-01-01",
    );
    let out = place.quiet("work-status W09").out;
    assert!(!out.contains("LEFT OUT"), "{out}");
}

fn it_is_told_where_it_changes_something(place: &Place) {
    for (line, told) in [
        ("dose show W07", true),
        ("dose crew", true),
        ("work-status W07", true),
        ("board", true),
        ("findings --on 2026-06-15", true),
        ("review 2026-06", true),
        ("report show E-1", true),
        ("report list", true),
        ("event show E-1", true),
        ("equipment due", true),
        ("pack J-1", false),
        ("dose reconcile", false),
    ] {
        let out = place.quiet(line).out;
        assert_eq!(out.contains("LEFT OUT"), told, "{line}: {out}");
        let left_out = words_of(out.split_once("LEFT OUT").map_or("", |it| it.1));
        assert!(!left_out.contains("(10 CFR"), "{line}: {out}");
    }
}

#[test]
fn a_sites_file_starts_from_the_states_and_keeps_its_authority() {
    let place = licensed("job-law-chain", "--jurisdiction MW", "MW", "NRC");
    let state = std::fs::read_to_string(STATE).expect("the worked state file");
    place.file("state.toml", state);
    let remove = "[[remove]]\nkey = \"lens-year\"\nreason = \"condition 14\"\n\
                  [[remove]]\nkey = \"leaking-source-34-27\"\nreason = \"condition 15\"\n";
    let file = place.file("yard.toml", site("state.toml", remove));
    let checked = place.done(&format!("rules check {file}")).out;
    let words = checked.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "can be adopted as `Yard rules`",
        "LEFT OUT by this site's rules: the limit `lens-year`",
        "condition 14.",
    ] {
        assert!(words.contains(said), "{said}: {checked}");
    }
    let shown = place.done(&format!("rules show {file}")).out;
    assert!(
        shown.contains("based on 10 CFR, by way of Merrowan"),
        "{shown}"
    );
    let adopted = place.done(&format!(
        "rules adopt {file} --from 2026-01-01 --reason opened"
    ));
    let adopted = adopted.out;
    assert!(!words_of(&adopted).contains("(10 CFR"), "{adopted}");
    let it = said(&place);
    assert!(
        it.call
            .starts_with("the Radiation Control Office of Merrowan"),
        "{}",
        it.call
    );
    assert!(it.meter.starts_with("MRC 12-34.25("), "{}", it.meter);
    it_is_told_where_it_changes_something(&place);
    for out in [checked, shown, adopted, place.done("rules show").out] {
        let (_, left_out) = out.split_once("LEFT OUT").expect("what is left out");
        assert!(!words_of(left_out).contains("(10 CFR"), "{out}");
    }
    it_stands_at_the_top(&place);
    let missing = place.file("lost.toml", site("nowhere.toml", ""));
    let refused = place.quiet(&format!("rules check {missing}"));
    assert_eq!(refused.code, 1);
    assert!(
        words_of(&refused.err).contains("or a file beside this one"),
        "{}",
        refused.err
    );
}

#[test]
fn adopting_rules_of_another_authority_asks_whose_licence_it_is() {
    let place = licensed("job-law-whose", &format!("--rule-set {STATE}"), "MW", "NRC");
    let file = place.file("yard.toml", site("10 CFR", ""));
    let before = place.head();
    let refused = place.quiet(&format!("rules adopt {file} --from 2026-07-01"));
    assert_eq!(refused.code, 1, "{}", refused.out);
    for said in [
        "these rules would make the license one under NRC",
        "wearbook entry correct 1 jurisdiction=Merrowan --reason WHY",
    ] {
        assert!(refused.err.contains(said), "{said}: {}", refused.err);
    }
    assert_eq!(place.head(), before);
    // Said once, it is kept, and what is the state's in law is cited as its equivalent.
    place.done("entry correct 1 jurisdiction=Merrowan --reason \"as the license says\"");
    place.done(&format!(
        "rules adopt {file} --from 2026-06-01 --reason \"own levels\""
    ));
    let statement = place.done("dose statement W07 --year 2026").out;
    assert!(!statement.contains("Nuclear Regulatory"), "{statement}");
    // And the other way round: a state's file does not take the license from the NRC in silence.
    let place = licensed("job-law-whose-too", "", "NRC", "MW");
    let refused = place.quiet(&format!("rules adopt {STATE} --from 2026-07-01"));
    assert_eq!(refused.code, 1, "{}", refused.out);
    assert!(refused.err.contains("under Merrowan"), "{}", refused.err);
}

#[test]
fn an_adoption_names_the_levels_of_the_site_that_go_with_it() {
    let place = licensed("job-law-levels", "", "NRC", "MW");
    let file = place.file("yard.toml", site("10 CFR", ""));
    place.done(&format!("rules adopt {file} --from 2026-06-20"));
    let adopted = place.done("rules adopt \"10 CFR\" --from 2026-07-01").out;
    let words = adopted.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("LIMITS AND LEVELS THAT GO"), "{adopted}");
    assert!(
        words.contains("`yard-year`: the level of 2000 mrem"),
        "{adopted}"
    );
    let same = place
        .done(&format!("rules adopt {file} --from 2026-08-01"))
        .out;
    assert!(!same.contains("THAT GO"), "{same}");
}

/// What a site's file leaves out of the law is marked as such, a limit and a duty alike.
#[test]
fn an_adoption_marks_a_limit_of_the_law_that_goes_and_lists_the_duty() {
    let place = licensed("job-law-removed", "", "NRC", "MW");
    let remove = "[[remove]]\nkey = \"lens-year\"\nreason = \"condition 14\"\n\
                  [[remove]]\nkey = \"written-20-2203-area\"\nreason = \"condition 15\"\n";
    let file = place.file("less.toml", site("10 CFR", remove));
    let adopted = place
        .done(&format!("rules adopt {file} --from 2026-07-01"))
        .out;
    let words = adopted.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "LIMITS AND LEVELS THAT GO",
        "`lens-year`: LIMIT OF THE LAW (10 CFR 20.1201",
        "written-20-2203-area: the duty of `10 CFR` is left out (10 CFR 20.2203",
    ] {
        assert!(words.contains(said), "{said}: {adopted}");
    }
}

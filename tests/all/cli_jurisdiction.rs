//! Whose license it is and whose rules hold at a job: whom to call, what is cited, what is asked of
//! the licensees of one authority alone, and the two counts of days away from home.

use serde_json::Value;

use super::cli_maintenance_shown::{measured, sheet_of};
use super::cli_support::{INIT, Place, crew, data_of};

pub const STATE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/state-rules.toml");

const REGISTERS: &[(&str, &str)] = &[
    (
        "worker import",
        "id,name,role,category,birth_date,monitored_from\n\
         W01,Adaeze Hollow,rso,exposed,1975-02-01,2015-01-05\n\
         W07,Mirko Sandpiper,radiographer,exposed,1984-08-17,2018-03-12\n\
         W08,Lucinda Ferrow,assistant,exposed,1996-11-30,2024-09-02\n",
    ),
    (
        "job import",
        "id,place,jurisdiction,setting,zone\n\
         J-1,Heron Flats line (invented),HOME,temporary jobsite,America/Chicago\n\
         J-2,Heron Flats line (invented),HOME,temporary jobsite,America/Chicago\n\
         J-3,Far bay (invented),AWAY,permanent radiographic installation,America/Chicago\n",
    ),
    (
        "instrument import",
        "id,type,serial,unit,range,scale,scales,alarm_preset,in_service\n\
         PD-07,pocket dosimeter,P7,mR,200 mR,linear,,,2024-01-08\n\
         PD-08,pocket dosimeter,P8,mR,200 mR,linear,,,2024-01-08\n\
         RM-07,alarm ratemeter,R7,,,,,500 mR/h,2024-01-08\n\
         RM-08,alarm ratemeter,R8,,,,,500 mR/h,2024-01-08\n\
         SM-1,survey meter,S1,,,linear,10 mR/h / 100 mR/h / 1000 mR/h,,2024-01-08\n",
    ),
    (
        "instrument checks",
        "instrument,on,type,result,performed_by\n\
         PD-07,2026-01-12,response check,pass,x\n\
         SM-1,2026-01-13,calibration,pass,x\n",
    ),
    (
        "equipment import",
        "id,type,serial,nuclide,activity,activity_on,in_service\n\
         D-1,exposure device,XD1,,,,2020-01-06\n\
         S-1,source assembly,XS1,Ir-192,90 Ci,2026-04-06,2026-04-13\n\
         C-1,control unit,XC1,,,,2020-01-06\n\
         G-1,guide tube,XG1,,,,2020-01-06\n\
         G-2,guide tube,XG2,,,,2020-01-06\n",
    ),
];

/// A ledger with jobs under two jurisdictions.
pub fn licensed(name: &str, init: &str, home: &str, away: &str) -> Place {
    let mut place = Place::empty(name);
    // Wide enough that no cell breaks a citation.
    place.width = 1000;
    place.done(&format!("{INIT} {init}"));
    for (verb, text) in REGISTERS {
        let text = text.replace("HOME", home).replace("AWAY", away);
        let file = place.file("register.csv", text);
        place.done(&format!("{verb} {file}"));
    }
    place.adopt_own_list("2025-01-01");
    place
}

/// With a shift, a disconnect and somebody whose dose waits.
pub fn with_an_event(place: &Place) {
    measured(place, "2026-06-10", "5.85 mm");
    sheet_of(place, "2026-06-11");
    place.done(
        "event open --kind disconnect --occurred 2026-06-11T13:40 --job J-1 --equipment D-1 \
         --equipment C-1 --equipment S-1 --person \"W07=cranked\" --words \"it stayed out\"",
    );
}

/// What a crew reads, an office, and whoever writes the report.
const WALK: &[&str] = &[
    "board",
    "work-status W07",
    "review 2026-06",
    "review 2026",
    "findings --from 2026-01-01 --to 2026-06-15",
    "dose show W07",
    "dose crew",
    "dose statement W07 --year 2026",
    "dose forecast W07",
    "equipment due",
    "instrument due",
    "event show E-1",
    "trace E-1 --all",
    "report show E-1",
    "report list",
    "pack J-1",
    "form inspect D-1 --when quarterly",
    "dose plan --source S-1 --budget \"50 mrem\"",
];

/// The words of all that a walk says, with what stands in files.
fn walked(place: &Place) -> Vec<(String, String)> {
    let mut said = Vec::new();
    for line in WALK {
        let it = place.quiet(line);
        assert!(matches!(it.code, 0 | 3), "{line}: {}{}", it.out, it.err);
        // The table of records cuts its citations: the JSON has them whole.
        let text = it
            .out
            .split("HOW LONG RECORDS ARE KEPT")
            .next()
            .unwrap_or_default();
        said.push(((*line).to_owned(), format!("{text} {}", it.err)));
        let json = place.quiet(&format!("{line} --json")).out;
        said.push((format!("{line} --json"), json));
    }
    place.done("report draft E-1 --out DIR/draft");
    for name in ["E-1-report.md", "E-1-private-part.md"] {
        let text = std::fs::read_to_string(place.dir.join("draft").join(name)).expect("it");
        said.push((name.to_owned(), text));
    }
    let plain = |it: String| it.split_whitespace().collect::<Vec<_>>().join(" ");
    said.into_iter()
        .map(|(line, it)| (line, plain(it)))
        .collect()
}

/// Federal numbers that are cited as if they held.
fn federal(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices("10 CFR") {
        let before = &text[..at];
        // Of several sections in one citation the first says whose they are.
        let start = before
            .rfind("state equivalent of")
            .map(|from| &before[from..]);
        let said = start.is_some_and(|it| it.len() < 80 && !it.contains(". "))
            || before.ends_with("federal ") && text[at..].starts_with("10 CFR 21.")
            || before.ends_with("the time of ");
        if !said {
            let from = at.saturating_sub(60);
            let from = (0..=from)
                .rev()
                .find(|it| text.is_char_boundary(*it))
                .unwrap_or(0);
            found.push(text[from..].chars().take(110).collect());
        }
    }
    found
}

#[test]
fn a_ledger_under_the_worked_state_file_cites_the_state_and_calls_the_state() {
    let place = licensed("state-file", &format!("--rule-set {STATE}"), "MW", "NRC");
    with_an_event(&place);
    let walk = walked(&place);
    for (line, text) in &walk {
        assert_eq!(federal(text), Vec::<String>::new(), "{line}");
        assert!(!text.contains("NRC"), "{line}: {text}");
    }
    // What no state has in its place goes to whom it binds by; everything else to the state.
    let clocks = data_of(&place, "report show E-1")["clocks"].clone();
    for clock in clocks.as_array().expect("clocks") {
        let text = |key: &str| clock[key].as_str().expect("text").to_owned();
        let is_federal = text("citation").starts_with("federal 10 CFR 21.");
        let (to, within) = (text("to"), text("within"));
        if text("duty").starts_with("defect-21-21") {
            assert!(
                is_federal && text("citation").ends_with("(to be confirmed)"),
                "{clock}"
            );
        }
        assert!(is_federal || !to.contains("Nuclear Regulatory"), "{clock}");
        assert!(!is_federal || !to.contains("Merrowan"), "{clock}");
        // Of the state's own is the time of one call, and those of its own notices.
        let own = ["call-30-50-b", "call-of-badge", "written-34-101"];
        let lent = within.contains("the time of 10 CFR, for want of one of the authority's own");
        let has_no_length = within.starts_with("at once") || within.starts_with("no later");
        let is_own = own.contains(&text("duty").as_str()) || is_federal || has_no_length;
        let of_transport = text("citation").contains("49 CFR");
        assert_eq!(lent, !is_own && !of_transport, "{clock}");
    }
    let of = |line: &str| &walk.iter().find(|it| it.0 == line).expect("it").1;
    let told = of("report show E-1");
    let office = "the Radiation Control Office of Merrowan (invented), 555-0142 (invented)";
    assert!(told.contains(office), "{told}");
    assert!(told.contains("MRC 12-30.50(b)"), "{told}");
    assert!(told.contains("MRC 12-34.101 (invented)"), "{told}");
    let papers = of("pack J-1");
    assert!(
        papers.contains("MRC 12-19, MRC 12-20 and MRC 12-34"),
        "{papers}"
    );
    assert!(
        of("review 2026").contains("2027-03-31"),
        "{}",
        of("review 2026")
    );
    let statement = of("dose statement W07 --year 2026");
    assert!(
        statement.contains("under the radiation code of Merrowan"),
        "{statement}"
    );
    // Calibrated on 13 January; the state has three months.
    let due = of("instrument due");
    assert!(due.contains("2026-01-13 2026-04-13 overdue since"), "{due}");
    let draft = of("E-1-report.md");
    assert!(
        draft.contains("activity of the source on that day"),
        "{draft}"
    );
}

/// Of a state without a map each number is the state's equivalent, and what the NRC asks of its own
/// licensees is not asked.
#[test]
fn a_state_licensee_under_the_federal_set_reads_of_state_equivalents() {
    let place = licensed("state-none", "--jurisdiction TX", "TX", "NRC");
    with_an_event(&place);
    let walk = walked(&place);
    for (line, text) in &walk {
        assert_eq!(federal(text), Vec::<String>::new(), "{line}");
    }
    let of = |line: &str| &walk.iter().find(|it| it.0 == line).expect("it").1;
    let told = of("report show E-1");
    assert!(
        told.contains("the radiation control authority of TX"),
        "{told}"
    );
    assert!(
        of("review 2026").contains("ask it"),
        "{}",
        of("review 2026")
    );
    let statement = of("dose statement W07 --year 2026");
    assert!(statement.contains("Keep this report"), "{statement}");
    assert!(!statement.contains("Nuclear Regulatory"), "{statement}");
}

/// The same commands for a licensee of the NRC: its numbers, its sentence, its annual report; and
/// an event under a state calls that state.
#[test]
fn a_licensee_of_the_nrc_reads_federal_numbers_and_calls_the_state_of_a_job() {
    let place = licensed("nrc-licensee", "", "NRC", "TX");
    with_an_event(&place);
    let statement = place.done("dose statement W07 --year 2026").out;
    assert!(statement.contains("Nuclear Regulatory"), "{statement}");
    let year = place.done("review 2026").out;
    assert!(year.contains("2027-04-30"), "{year}");
    let told = place.done("report show E-1").out;
    assert!(
        told.contains("10 CFR 30.50(b)") && !told.contains("state equivalent"),
        "{told}"
    );
    place.done(
        "event open --kind disconnect --occurred 2026-06-11T15:40 --job J-3 --equipment D-1 \
         --words \"again\"",
    );
    let told = place.done("report show E-2").out;
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("state equivalent of 10 CFR 30.50(b)"),
        "{told}"
    );
    assert!(
        told.contains("the radiation control authority of TX"),
        "{told}"
    );
    // A charter that says otherwise holds for the license, and the job keeps its own.
    place.done("entry correct 1 jurisdiction=KS --reason \"the state issued it\"");
    let year = place.done("review 2026").out;
    assert!(
        !year.contains("2027-04-30") && year.contains("ask it"),
        "{year}"
    );
    let told = place.done("report show E-1").out;
    assert!(
        told.contains("10 CFR 30.50(b)") && !told.contains("state equivalent"),
        "{told}"
    );
}

fn away(place: &Place) -> Vec<(String, String, String, String)> {
    let review = data_of(place, "review 2026-06");
    let sections = review["sections"].as_array().expect("sections").clone();
    let away = sections
        .into_iter()
        .find(|it| it["key"] == "away")
        .expect("away");
    let text = |it: &Value| it.as_str().expect("text").to_owned();
    let lines = away["lines"].as_array().expect("lines");
    lines
        .iter()
        .map(|it| {
            (
                text(&it["subject"]),
                text(&it["mark"]),
                text(&it["what"]),
                text(&it["rule"]),
            )
        })
        .collect()
}

fn sheet_at(place: &Place, job: &str, days: &[&str]) {
    for day in days {
        let rows = crew(day, "day").replace(",J-1,", &format!(",{job},"));
        place.hand_in(&rows);
    }
}

/// Two jobs at one place are one place under one's own license; days under another authority are
/// that authority's count, and never the other's.
#[test]
fn places_of_ones_own_and_days_of_reciprocity_are_two_counts() {
    let place = licensed("reciprocity", "--jurisdiction TX", "TX", "NRC");
    sheet_at(&place, "J-1", &["2026-06-01", "2026-06-02"]);
    sheet_at(&place, "J-2", &["2026-06-03"]);
    let lines = away(&place);
    assert_eq!(lines.len(), 1, "{lines:?}");
    assert_eq!(lines[0].0, "J-1, J-2");
    assert!(lines[0].2.starts_with("3 days of 2026"), "{lines:?}");
    assert!(
        lines[0]
            .3
            .starts_with("state equivalent of 10 CFR 34.101(c)"),
        "{lines:?}"
    );
    sheet_at(&place, "J-3", &["2026-06-05", "2026-06-08"]);
    let lines = away(&place);
    assert!(lines[0].2.starts_with("3 days of 2026"), "{lines:?}");
    assert!(lines[1].2.starts_with("2 days of 2026"), "{lines:?}");
    assert_eq!(
        lines[1].3,
        "10 CFR 150.20(b) (to be confirmed): 180 days in a calendar year"
    );
    let form = |place: &Place| {
        let line = away(place)
            .into_iter()
            .find(|it| it.0 == "J-3")
            .expect("it");
        (line.1, line.2)
    };
    assert_eq!(form(&place).0, "ACT");
    assert!(
        form(&place).1.contains("no form of reciprocity"),
        "{:?}",
        form(&place)
    );
    // Three days before the first day of work is in time, two are late.
    for (filed, mark) in [("2026-06-03", "ACT"), ("2026-06-02", "")] {
        let csv = place.done("job list --csv").out;
        let job = csv.lines().find(|it| it.starts_with("J-3,")).expect("J-3");
        let entry = job.rsplit(',').next().expect("its entry");
        place.done(&format!(
            "entry correct {entry} reciprocity_filed={filed} --reason filed"
        ));
        assert_eq!(form(&place).0, mark, "{filed}: {:?}", form(&place));
    }
}

/// What is open is named, what the file has is not.
#[test]
fn a_check_of_a_state_file_says_what_it_leaves_open() {
    let place = Place::empty("state-check");
    let said = place.quiet(&format!("rules check {STATE}")).out;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for open in [
        "21.21",
        "whether these bind its licensees",
        "times to tell: those of 10 CFR are taken for these, and said to be call-20-2202",
        "intervals as in `10 CFR`",
        "to be confirmed",
    ] {
        assert!(said.contains(open), "{open}: {said}");
    }
    for told in ["where to call", "annual report", "the sentence", "34.25"] {
        assert!(!said.contains(told), "{told}: {said}");
    }
    let bare = place.file(
        "bare.toml",
        "extends = \"10 CFR\"\nscheme = \"bare\"\ntitle = \"bare\"\njurisdiction = \"ZZ\"\n\
         [[authority]]\nkey = \"zz\"\njurisdictions = [\"ZZ\"]\nname = \"the office\"\n\
         equivalent = true\n",
    );
    let said = place.quiet(&format!("rules check {bare}")).out;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for open in [
        "where to call",
        "annual report",
        "the sentence",
        "34.25",
        "for how long others",
    ] {
        assert!(said.contains(open), "{open}: {said}");
    }
}

/// The worked checklist of the invented state reads as it stands, cites the state for each item of
/// its own, and sees no less than the list that it starts from.
#[test]
fn the_states_checklist_adds_its_items_to_the_general_list() {
    let list = STATE.replace("state-rules", "state-checklist");
    let place = licensed(
        "state-list",
        "--jurisdiction Merrowan",
        "Merrowan",
        "Merrowan",
    );
    let said = place.done(&format!("checklist check {list}")).out;
    assert!(said.contains("can be adopted as `Merrowan`"), "{said}");
    let changes = data_of(&place, &format!("checklist compare general {list}"));
    let changes = changes.as_array().expect("changes");
    let told: Vec<String> = changes
        .iter()
        .filter(|it| it["of"] == "item")
        .map(|it| format!("{} {} {}", it["key"], it["type"], it["looser"]).replace('"', ""))
        .collect();
    assert_eq!(
        told,
        [
            "meter-due Changed false",
            "pocket-recharge Added false",
            "pocket-readings Added false",
            "device-source-data Added false",
        ]
    );
    place.done(&format!("rules adopt {STATE} --from 2026-06-01"));
    place.done(&format!("checklist adopt {list} --from 2026-06-01"));
    let form = place
        .done("form inspect PD-07 --when daily --on 2026-06-12")
        .out;
    assert!(form.contains("(pocket-recharge)"), "{form}");
    let shown = place.done("checklist show --of \"survey meter\"").out;
    assert!(shown.contains("MRC 12-34.25(b)(1) (invented)"), "{shown}");
}

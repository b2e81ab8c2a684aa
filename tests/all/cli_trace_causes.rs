//! Causes of an event as whole commands: either half of a joint, chains, what people did, and
//! conclusions and testimony that must not be left out.

use serde_json::Value;

use super::cli_trace::{AFTER, Scene, inspected, of_the_day};

fn answer(scene: &Scene) -> Value {
    let said = scene.place.done("trace E-1 --json").out;
    serde_json::from_str(&said).expect("JSON")
}

/// Whether somewhere in an answer a list stands under a name; the first one.
fn list<'v>(value: &'v Value, name: &str) -> Option<&'v Vec<Value>> {
    match value {
        Value::Object(map) => map
            .get(name)
            .and_then(Value::as_array)
            .or_else(|| map.values().find_map(|it| list(it, name))),
        Value::Array(all) => all.iter().find_map(|it| list(it, name)),
        _ => None,
    }
}

/// Step, equipment, item and coverage of each row.
fn rows(scene: &Scene) -> Vec<[String; 4]> {
    let said = scene.place.done("trace E-1 --csv").out;
    let mut read = csv::Reader::from_reader(said.as_bytes());
    let heads = read.headers().expect("a header").clone();
    let at = |name: &str| heads.iter().position(|it| it == name).expect("a column");
    let columns = ["step", "equipment", "item", "covered.coverage"].map(at);
    read.records()
        .map(|it| it.expect("a row"))
        .map(|row| columns.map(|at| row[at].to_owned()))
        .collect()
}

fn has(scene: &Scene, row: [&str; 4]) -> bool {
    rows(scene)
        .iter()
        .any(|it| it.each_ref().map(String::as_str) == row)
}

/// The entries of the causes, in the order in which they stand.
fn causes(scene: &Scene) -> Vec<(i64, String)> {
    let answer = answer(scene);
    let steps = list(&answer, "steps").expect("steps");
    let of = |it: &Value| {
        let entry = it["entry"].as_i64().expect("an entry");
        (entry, it["words"].as_str().expect("words").to_owned())
    };
    steps.iter().map(of).collect()
}

fn written() -> [String; 2] {
    let deep = inspected("2026-05-04", "quarterly", ", value=6 mm");
    [
        deep.replace("connector-gauge=not done", "connector-gauge=good, with=S-1"),
        of_the_day(),
    ]
}

fn scene(name: &str, lines: &[&str]) -> Scene {
    let written = written();
    Scene::new(name)
        .before(&written.each_ref().map(String::as_str))
        .fails(lines)
}

#[test]
fn a_cause_at_either_half_of_a_joint_brings_the_items_of_both() {
    let because = "--failure disconnect --because \"seen under a lens\"";
    for (name, of, component) in [
        ("cable", "C-1", "cable connector"),
        ("source", "S-1", "source-assembly connector"),
    ] {
        let cause = format!("event cause E-1 --of {of} --component \"{component}\" {because}");
        let scene = scene(&format!("trace-joint-{name}"), &[&cause]);
        let why = scene.place.done("trace E-1 --all").out;
        for (equipment, item, own) in [
            ("C-1", "connector-mating", None),
            ("C-1", "connector-gauge", None),
            ("C-1", "cable-connector", Some("C-1")),
            ("S-1", "source-connector-wear", Some("S-1")),
        ] {
            // A check of both halves can detect it, an inspection of one half what is on that half.
            let coverage = match own {
                None => "can detect",
                Some(own) if own == of => "can detect",
                Some(_) => "not established",
            };
            let right = ["1", equipment, item, coverage];
            assert!(has(&scene, right), "{name} {right:?}\n{why}");
        }
        assert!(!why.contains("nothing covers this"), "{why}");
    }
}

#[test]
fn a_chain_of_causes_is_traced_step_by_step() {
    let mut scene = scene("trace-chain", &[]);
    let first = causes(&scene);
    assert_eq!(first.len(), 1);
    scene.place.run(&format!(
        "event cause E-1 --of G-1 --component fittings --failure guide-tube-off --leads-to {} \
         --because \"the fitting stood crooked and rubbed the cable\" --at 2026-06-17T09:00",
        first[0].0
    ));
    scene.place.run(
        "event cause E-1 --human procedure-not-followed --contributing --because \"the tube was \
         not checked after the stand was moved\" --at 2026-06-17T10:00",
    );
    let words: Vec<String> = causes(&scene).into_iter().map(|it| it.1).collect();
    assert_eq!(
        words,
        [
            "the fittings of G-1 failed: guide tube comes off",
            "procedure not followed",
            "the drive cable of C-1 failed: drive cable broken",
        ]
    );
    assert!(has(&scene, ["1", "G-1", "tube-fitting", "can detect"]));
    assert!(has(&scene, ["1", "D-1", "device-outlet", "can detect"]));
    assert!(has(&scene, ["3", "C-1", "cable-diameter", "can detect"]));
    scene.place.run("trace E-1");
    scene.place.run("event show E-1");
    // Said without a kind, a cause takes the place of them all.
    scene.place.done(
        "event cause E-1 --of C-1 --component crank --failure drive-failure --because \"the \
         gear had slipped\" --at 2026-06-17T11:00",
    );
    assert_eq!(causes(&scene).len(), 1);
    // What cannot be.
    for line in [
        "--human forgot --because x",
        "--human other --leads-to 1 --because x",
        "--of C-1 --component crank --failure drive-failure --human other --because x",
        "--not-found --contributing --because x",
    ] {
        scene.place.refused(&format!("event cause E-1 {line}"));
    }
    scene.place.golden("trace-chain");
}

#[test]
fn with_a_human_cause_the_trace_is_over_barriers_and_they_can_be_concluded() {
    let mut scene = scene(
        "trace-human",
        &[
            "event cause E-1 --human survey-not-made --because \"the meter lay in the truck\" \
             --at 2026-06-17T09:00",
            "event note E-1 --at 2026-06-16T13:45 --words \"sounded and was taken for a test\" \
             --barrier \"alarm ratemeter=unheeded\"",
        ],
    );
    scene.place.run("trace E-1");
    assert_eq!(rows(&scene), Vec::<[String; 4]>::new());
    scene.place.run(
        "trace conclude E-1 survey --coverage \"can detect\" --performed-by W01 --because \"it \
        would \
         have read off scale at the door\"",
    );
    let text = scene.place.run("trace E-1").out;
    assert!(text.contains("survey"), "{text}");
    // A conclusion that is written is shown, whatever it is on.
    scene.place.run(
        "trace conclude E-1 crank --of C-1 --coverage \"cannot detect\" --performed-by W01 \
         --because \"it turned freely\"",
    );
    assert!(has(&scene, ["1", "C-1", "crank", "cannot detect"]));
    assert!(scene.place.run("trace E-1").out.contains("crank"));
    scene.place.refused(
        "trace conclude E-1 crank --coverage \"cannot detect\" --performed-by W01 --because x",
    );
    scene.place.golden("trace-human");
}

#[test]
fn testimony_stands_above_the_finding() {
    let scene = scene(
        "trace-testimony",
        &[
            "event note E-1 --at 2026-06-15T16:00 --words \"cranking felt heavy and nobody was \
             told\" --item control-feel --person W08",
        ],
    );
    let text = scene.place.done("trace E-1").out;
    let said = text.find("TESTIMONY, control-feel: cranking felt heavy");
    let finding = text.find("The drive cable of C-1 failed");
    let (said, finding) = (said.expect("the testimony"), finding.expect("the finding"));
    assert!(said < finding, "{text}");
    let flag = scene.ruled("E-1", "control-feel")[3].clone();
    assert_eq!(flag, "testimony against the record");
}

/// The first screen: heading, finding and the one table stand in fewer lines than a screen has.
#[test]
fn the_finding_and_its_table_fit_on_one_screen() {
    let scene = scene("trace-screen", &[]);
    let text = scene.place.done("trace E-1").out;
    let first: Vec<&str> = text
        .lines()
        .take_while(|it| *it != "ITEM BY ITEM")
        .collect();
    assert!(first.len() <= 32, "{} lines\n{text}", first.len());
    assert!(first.iter().all(|it| it.chars().count() <= 80), "{text}");
    let all = scene.place.done("trace E-1 --all").out;
    assert!(all.lines().count() > text.lines().count(), "{all}");
}

/// A permanent radiographic installation that let somebody in: opened as what it is, its trace
/// names the items.
#[test]
fn a_failed_interlock_is_an_event_whose_trace_names_the_checks_of_the_installation() {
    let mut scene = Scene::new("trace-interlock").before(&[
        "equipment add --id V-1 --type \"permanent radiographic installation\" --serial V1 \
         --in-service 2025-01-06",
        "inspect enter --item V-1 --on 2026-05-04 --at 06:20 --when quarterly --performed-by W07 \
        --line \
         \"all others=good\"",
        "inspect enter --item V-1 --on 2026-06-16 --at 06:20 --when daily --performed-by W07 \
        --line \
         \"installation-audible=not done\" --line \"all others=good\"",
    ]);
    scene.place.turn_to("wearbook.db", AFTER);
    scene.place.run(
        "event open --name I-1 --kind interlock-failure --occurred 2026-06-16T13:40 --equipment \
         V-1 --words \"the door opened while the source was out and nothing sounded\"",
    );
    let text = scene.place.done("trace I-1").out;
    for item in [
        "installation-entrance",
        "installation-interlock",
        "installation-visible",
        "installation-audible",
    ] {
        let found = scene.ruled("I-1", item);
        assert_eq!(found[0], "not established", "{item}\n{text}");
        assert!(text.contains(item), "{item}\n{text}");
    }
    scene.place.done(
        "event cause I-1 --of V-1 --component \"audible signal\" --failure interlock-failure \
         --because \"the horn had no power\" --at 2026-06-17T09:00",
    );
    let found = scene.ruled("I-1", "installation-audible");
    assert_eq!((&*found[0], &*found[1]), ("can detect", "skipped"));
    scene.place.run("trace I-1");
    let told = scene.place.run("report show I-1").out;
    assert!(told.contains("10 CFR 30.50"), "{told}");
    scene.place.golden("trace-interlock");
}

/// The draft report tells the whole chain in its order, not the last cause alone.
#[test]
fn the_draft_report_tells_every_cause_in_its_order() {
    let scene = scene("report-chain", &[]);
    let first = causes(&scene);
    scene.place.done(&format!(
        "event cause E-1 --of G-1 --component fittings --failure guide-tube-off --leads-to {} \
         --because \"the fitting stood crooked\" --at 2026-06-17T09:00",
        first[0].0
    ));
    scene.place.done(
        "event cause E-1 --human procedure-not-followed --contributing --because \"the tube was \
         not checked\" --at 2026-06-17T10:00",
    );
    let out = scene.place.path("report").display().to_string();
    scene.place.done(&format!("report draft E-1 --out {out}"));
    let files = std::fs::read_dir(&out).expect("the folder of the draft");
    let texts = files.map(|it| std::fs::read_to_string(it.expect("a file").path()));
    let text: String = texts.map(|it| it.expect("a text")).collect();
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut at = 0;
    for cause in [
        "1. fittings of G-1: guide tube comes off (contributing) (rests on: the fitting stood",
        "2. procedure not followed (contributing) (rests on: the tube was not checked)",
        "3. drive cable of C-1: drive cable broken (rests on: parted 4 in behind the connector)",
    ] {
        let found = flat[at..].find(cause);
        at += found.unwrap_or_else(|| panic!("{cause}\n{text}"));
    }
}

/// Ice stands in the bore; whoever names the tube is told where else the failure is looked for.
#[test]
fn a_cause_says_which_other_components_are_looked_at_for_its_failure() {
    let scene = Scene::new("cause-elsewhere").fails(&[]);
    let said = |failure: &str| {
        let cause = "event cause E-1 --of G-1 --component tube";
        let rest = format!("--failure {failure} --because {failure}");
        scene.place.done(&format!("{cause} {rest}")).out
    };
    let ice = said("source-will-not-retract");
    assert!(ice.contains("`tube-inside`"), "{ice}");
    let off = said("ratemeter-failure");
    assert!(!off.contains("are looked at for"), "{off}");
}

//! Checklist files as sites write them, right and wrong.

use super::super::{RuleSetProblem, checklist_offer, checklists};
use super::*;
use crate::quantity::{Amount, AmountUnit};

fn general() -> Checklist {
    read(checklist_offer("general").expect("the offer").text)
}

/// The built-in list with the invented figures of the demonstration.
fn figured() -> Checklist {
    read(include_str!("../../../demo/site-checklist.toml"))
}

fn read(text: &str) -> Checklist {
    Checklist::parse(text).unwrap_or_else(|problems| panic!("{problems}\n\n{text}"))
}

/// A site's own file: a head of three lines that starts from the built-in list, then `rest`.
fn site(rest: &str) -> String {
    format!("checklist = \"ours\"\ntitle = \"Our site\"\nextends = \"general\"\n{rest}")
}

fn problems(text: &str) -> Vec<RuleSetProblem> {
    match Checklist::parse(text) {
        Ok(_) => Vec::new(),
        Err(problems) => problems.into_iter().collect(),
    }
}

/// An item of a site's file; `more` may change or add fields below it.
fn own_item(more: &str) -> String {
    format!(
        "[[item]]\nkey = \"hook\"\non = \"control unit\"\ncomponent = \"hook\"\nlook = \"a\"\n\
         good = \"b\"\nwhen = [\"daily\"]\ndetects = [\"disconnect\"]\nbasis = \"manual 4\"\n\
         status = \"read\"\n{more}"
    )
}

const DIAMETER: &str = "limit = \"4.60 mm\"\nsense = \"not below\"\nstep = \"0.01 mm\"\n\
                        lowest = \"4 mm\"\nhighest = \"6 mm\"\n";

#[test]
fn every_offer_reads_has_its_name_and_can_detect_each_of_its_failures() {
    for offer in checklists() {
        let list = read(offer.text);
        assert_eq!(list.key, offer.name);
        for failure in &list.failures {
            let seen = list
                .items
                .iter()
                .any(|it| it.detects.contains(&failure.key));
            assert!(seen, "nothing looks for `{}`", failure.key);
            assert_eq!(list.failure(&failure.key), Some(failure));
        }
        for item in ITEMS {
            assert!(list.items_for(item, "daily").count() > 0 || *item == "source assembly");
            assert!(!list.components_of(item).is_empty(), "{item}");
        }
    }
}

#[test]
fn a_list_written_out_reads_back_as_the_same_list() {
    let own = format!(
        "{}[item.measure]\n{DIAMETER}",
        own_item(
            "pair = \"exposure device\"\n\
        caution = \"with \\\"care\\\": \u{b5}\"\n"
        )
    );
    for text in [
        checklists()[0].text.to_owned(),
        site(&own),
        site("remove = [\"crank\"]\n"),
    ] {
        let list = read(&text);
        let written = list.written_out();
        assert!(!written.contains("extends"));
        assert_eq!(read(&written), list);
        assert_eq!(read(&written).written_out(), written);
    }
}

#[test]
fn a_ledger_keeps_a_file_as_it_is_unless_it_starts_from_another() {
    let own = checklists()[0].text;
    let (list, kept) = Checklist::parse_for_adoption(own).expect("a list");
    assert_eq!((list, kept.as_str()), (general(), own));
    let text = site("remove = [\"crank\"]\n");
    let (list, kept) = Checklist::parse_for_adoption(&text).expect("a list");
    assert_eq!(read(&kept), list);
    assert!(!kept.contains("extends") && kept.contains("based_on = \"general\""));
}

#[test]
fn a_site_starts_from_the_built_in_list_and_says_only_what_differs() {
    let manual = own_item("").replace("hook", "crank");
    let list = read(&site(&format!(
        "remove = [\"device-shutter\"]\n{manual}{}",
        own_item("")
    )));
    let base = general();
    assert_eq!(list.based_on.as_deref(), Some("general"));
    assert_eq!(list.confirm, base.confirm);
    assert_eq!(list.items.len(), base.items.len());
    assert_eq!(list.item("device-shutter"), None);
    assert_eq!(
        list.item("crank").map(|it| it.basis.as_str()),
        Some("manual 4")
    );
    assert_eq!(list.items.last().map(|it| it.key.as_str()), Some("hook"));
    let place = |list: &Checklist| list.items.iter().position(|it| it.key == "conduit");
    assert_eq!(place(&list), place(&base).map(|at| at - 1));
}

#[test]
fn items_come_by_thing_and_occasion_and_components_once() {
    let list = general();
    let keys: Vec<&str> = list
        .items_for("survey meter", "quarterly")
        .map(|it| it.key.as_str())
        .collect();
    assert_eq!(keys, ["meter-body", "meter-battery", "meter-check-source"]);
    assert_eq!(list.items_for("survey meter", "yearly").count(), 0);
    assert_eq!(list.items_for("crank", "daily").count(), 0);
    let components = list.components_of("guide tube");
    assert_eq!(
        components,
        [
            "bore",
            "fittings",
            "source stop",
            "tube",
            "collimator mount",
            "stand and tie-down"
        ]
    );
}

#[test]
fn a_measure_stands_on_one_side_of_warning_and_limit() {
    let list = figured();
    let standing = |key: &str, text: &str| {
        let measurement = list
            .item(key)
            .and_then(|it| it.measurement.clone())
            .expect("a measure");
        let value = Amount::parse(text, Some(measurement.unit)).expect("a value");
        (
            measurement.standing(value),
            measurement.is_believable(value),
        )
    };
    for (key, text, wanted, believable) in [
        ("cable-diameter", "6", Standing::Good, true),
        ("cable-diameter", "5.9", Standing::Warning, true),
        ("cable-diameter", "5.8", Standing::Warning, true),
        ("cable-diameter", "5.79", Standing::Beyond, true),
        ("cable-diameter", "60", Standing::Good, false),
        ("cable-diameter", "0.58", Standing::Beyond, false),
        ("device-metre-rate", "1.9", Standing::Good, true),
        ("device-metre-rate", "2", Standing::Warning, true),
        ("device-metre-rate", "10", Standing::Warning, true),
        ("device-metre-rate", "10.1", Standing::Beyond, true),
    ] {
        assert_eq!(
            standing(key, text),
            (Some(wanted), believable),
            "{key} {text}"
        );
    }
    let angle = Amount::parse("3 deg", None).expect("an angle");
    let diameter = list
        .item("cable-diameter")
        .and_then(|it| it.measurement.clone());
    let diameter = diameter.expect("a measure");
    assert_eq!(diameter.standing(angle), None);
    assert!(!diameter.is_believable(angle));
}

#[test]
fn every_problem_has_its_place_and_all_are_told_at_once() {
    let text = "\
checklist = \"general\"
extends = \"general\"
remove = [\"cranks\", 3]
colour = 1

[[failure]]
key = \"snapped\"
nmae = \"snapped\"

[[item]]
key = \"Hook\"
on = \"control units\"
component = \"hook\"
look = \"\"
good = \"b\"
when = [\"dayly\", \"daily\"]
detects = [\"disconect\"]
status = \"reed\"
[item.measure]
limit = \"4.60 mm\"
warn = \"0.2 in\"
step = \"0.01\"
sense = \"under\"
lowest = \"4 deg\"
";
    let places: Vec<String> = problems(text)
        .iter()
        .map(|it| format!("{}:{} {}", it.line, it.column, it.what))
        .collect();
    assert_eq!(
        places,
        [
            "1:1 the file has no `title`",
            "1:13 `general` is the name of the list it starts from",
            "3:10 `remove` is not a list of texts",
            "4:1 the file has an unknown field `colour`",
            "6:1 failure `snapped` has no `meaning`",
            "6:1 failure `snapped` has no `name`",
            "8:1 failure `snapped` has an unknown field `nmae`",
            "10:1 this item has no `basis`",
            "11:7 `Hook` is not a key",
            "12:6 `control units` is not a kind of equipment or instrument",
            "14:8 `look` is empty",
            "16:9 `dayly` is not a known occasion",
            "18:10 `reed` is not a known status",
            "19:1 the measure of this item has no `highest`",
            "21:8 `warn` is `0.2 in` and the limit is in `mm`",
            "22:8 `step`: `0.01` has no unit: write it with one of in, mm, cm, m, ft, um, deg, \
             mR/h, R/h, uR/h",
            "23:9 `under` is not a known sense",
            "24:10 `lowest` is `4 deg` and the limit is in `mm`",
        ]
    );
}

/// An own item whose measure has one thing changed.
fn measured(from: &str, to: &str) -> String {
    own_item(&format!("[item.measure]\n{}", DIAMETER.replace(from, to)))
}

#[test]
fn what_cannot_be_true_at_once_is_refused_with_what_would_be_right() {
    for (rest, what, right) in [
        (
            "remove = [\"cranks\"]\n".to_owned(),
            "line 4, column 11: `general` has no item `cranks` to remove",
            "did you mean `crank`?",
        ),
        (
            format!(
                "remove = [\"crank\"]\n{}",
                own_item("").replace("hook", "crank")
            ),
            "line 4, column 11: item `crank` is removed and given",
            "leave it out of `remove`: an item of the same key takes its place",
        ),
        (
            own_item("").replace("\"disconnect\"", "\"disconect\""),
            "line 4, column 1: item `hook` detects `disconect`, which is no failure",
            "did you mean `disconnect`?",
        ),
        (
            own_item("").replace("[\"disconnect\"]", "[]"),
            "line 11, column 11: `detects` is empty",
            "write keys of failure modes: `detects = [\"disconnect\"]`",
        ),
        (
            own_item("pair = \"control unit\"\ncaution = \"c\"\n"),
            "line 4, column 1: item `hook` mates `control unit` with itself",
            "name the other item in `pair`, or leave it out",
        ),
        (
            own_item("pair = \"exposure device\"\n"),
            "line 4, column 1: item `hook` mates two items and has no `caution`",
            "say what must be heeded while it is done: `caution = \"...\"`",
        ),
        (
            measured("\"0.01 mm\"", "\"0 mm\""),
            "line 4, column 1: the step of item `hook` is not above zero",
            "give the smallest step that the gauge shows: `step = \"0.01 mm\"`",
        ),
        (
            measured("4.60 mm", "3 mm"),
            "line 4, column 1: the limit of item `hook`, `3 mm`, is not between its lowest and \
             highest",
            "widen `4 mm` to `6 mm`",
        ),
        (
            measured("limit", "warn = \"4.5 mm\"\nlimit"),
            "line 4, column 1: the warn of item `hook`, `4.5 mm`, is below its limit, `4.6 mm`",
            "give them in this order: `limit`, then `warn`, then `nominal`, rising",
        ),
        (
            measured(
                "limit = \"4.60 mm\"",
                "nominal = \"5 mm\"\nlimit = \"4.60 mm\"",
            )
            .replace("not below", "not above"),
            "line 4, column 1: the nominal of item `hook`, `5 mm`, is above its limit, `4.6 mm`",
            "give them in this order: `limit`, then `warn`, then `nominal`, falling",
        ),
    ] {
        let found = problems(&site(&rest));
        let said: Vec<(String, &str)> = found
            .iter()
            .map(|it| (it.to_string(), it.right.as_str()))
            .collect();
        assert_eq!(said, [(what.to_owned(), right)], "{rest}");
    }
}

#[test]
fn a_file_that_stands_alone_needs_its_own_head_and_items() {
    let found = problems("checklist = \"ours\"\nremove = [\"crank\"]\n");
    let said: Vec<&str> = found.iter().map(|it| it.what.as_str()).collect();
    assert_eq!(
        said,
        [
            "the file has no `confirm`",
            "the file has no `title`",
            "the file has no item",
            "`remove` stands in a file that starts from no other list",
        ]
    );
    let found = problems(&site("").replace("\"general\"", "\"genral\""));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].right, "did you mean `general`?");
}

#[test]
fn a_diff_names_each_field_and_says_where_less_is_seen() {
    let base = figured();
    assert_eq!(diff(&base, &base), []);
    let mut new = base.clone();
    new.key = "ours".to_owned();
    new.items.retain(|it| it.key != "conduit");
    for item in &mut new.items {
        match item.key.as_str() {
            "cable-diameter" => {
                let measurement = item.measurement.as_mut().expect("a measure");
                measurement.limit = Amount::parse("5.7 mm", None).expect("a length");
            }
            "crank" => item.when.retain(|when| *when != When::Daily),
            "tube-cuts" => item.how = "cuts".to_owned(),
            "device-metre-rate" => {
                let measurement = item.measurement.as_mut().expect("a measure");
                measurement.limit = Amount::parse("5 mR/h", None).expect("a rate");
            }
            _ => {}
        }
    }
    let hook = own_item("");
    new.items.extend(read(&site(&hook)).items.pop());
    let told: Vec<String> = diff(&base, &new)
        .iter()
        .map(|it| {
            let fields = it
                .fields
                .iter()
                .map(|field| format!(" {}: {} -> {}", field.field, field.old, field.new));
            let looser = if it.looser { " (looser)" } else { "" };
            format!(
                "{} {} {:?}{looser}{}",
                it.of,
                it.key,
                it.kind,
                fields.collect::<String>()
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            "list ours Changed checklist: our yard -> ours",
            "item device-metre-rate Changed limit: 10 mR/h -> 5 mR/h",
            "item cable-diameter Changed (looser) limit: 5.8 mm -> 5.7 mm",
            "item crank Changed (looser) when: daily, quarterly, after an event -> quarterly, \
             after an event",
            "item tube-cuts Changed look: cuts in the sheath, especially near a crimped fitting \
             -> cuts",
            "item hook Added",
            "item conduit Removed (looser)",
        ]
    );
    let back = diff(&new, &base);
    let looser: Vec<&str> = back
        .iter()
        .filter(|it| it.looser)
        .map(|it| it.key.as_str())
        .collect();
    assert_eq!(looser, ["device-metre-rate", "hook"]);
}

/// An item without figures, as the built-in list has it.
const OPEN: &str = "[item.measure]\nsense = \"not below\"\nstep = \"0.01 mm\"\n";

#[test]
fn a_measure_without_a_limit_is_inactive_and_says_only_gauge_and_side() {
    let list = read(&site(&own_item(OPEN)));
    let item = list.item("hook").expect("the item");
    assert!(item.is_inactive() && item.measurement.is_none());
    assert_eq!(item.unit(), AmountUnit::of("1 mm").ok());
    assert_eq!(item.sense(), Some(Sense::NotBelow));
    let written = list.written_out();
    assert_eq!(read(&written), list);
    for field in ["nominal", "warn", "lowest", "highest"] {
        let stray = format!("{OPEN}{field} = \"6 mm\"\n");
        let said: Vec<String> = problems(&site(&own_item(&stray)))
            .iter()
            .map(|it| it.what.clone())
            .collect();
        let wanted = format!("`{field}` stands in a measure without a `limit`");
        assert_eq!(said, [wanted]);
    }
    let rate = OPEN.replace("0.01 mm", "1 mR/h");
    let said = problems(&site(&own_item(&rate)));
    assert_eq!(said[0].what, "item `hook` measures a rate and has no limit");
}

/// A joint of a site's file; `more` may change or add fields below it.
fn own_joint(one: &str, mating: &str) -> String {
    format!(
        "[[joint]]\nkey = \"hook-joint\"\nname = \"hook on its eye\"\none = [\"{one}\"]\n\
         other = [\"exposure device: eye\"]\nmating = [\"{mating}\"]\n"
    )
}

#[test]
fn a_joint_is_kept_whole_and_both_its_halves_are_components() {
    let text = site(&format!(
        "{}{}",
        own_item(""),
        own_joint("control unit: hook", "hook")
    ));
    let list = read(&text);
    let joints: Vec<&str> = list
        .joints_of("exposure device", "eye")
        .map(|it| it.key.as_str())
        .collect();
    assert_eq!(joints, ["hook-joint"]);
    assert!(list.components_of("exposure device").contains(&"eye"));
    assert_eq!(list.joints_of("exposure device", "lock").count(), 0);
    assert_eq!(read(&list.written_out()), list);
    // A check that the file takes out is taken out of the joint that came with the list below.
    let without = read(&site("remove = [\"connector-gauge\"]\n"));
    let coupling = without.joints.iter().find(|it| it.key == "source-coupling");
    let coupling = coupling.expect("the joint");
    assert_eq!(coupling.mating, ["connector-mating"]);
    assert_eq!(read(&without.written_out()), without);
    let fewer: Vec<ChecklistChange> = diff(&general(), &without)
        .into_iter()
        .filter(|it| it.of == "joint")
        .collect();
    assert_eq!(fewer.len(), 1);
    assert!(fewer[0].looser);
}

#[test]
fn a_joint_that_points_at_nothing_is_refused_with_what_would_be_right() {
    for (joint, what, right) in [
        (
            own_joint("control unit", "hook"),
            "`control unit` names no half of a joint",
            "guide tube: fittings",
        ),
        (
            own_joint("contrl unit: hook", "hook"),
            "`contrl unit` is not a kind of equipment",
            "did you mean `control unit`?",
        ),
        (
            own_joint("control unit: hook", "hok"),
            "has the check `hok`, which is no item",
            "did you mean `hook`?",
        ),
        (
            own_joint("exposure device: eye", "hook"),
            "as both halves",
            "name the two components that meet",
        ),
    ] {
        let found = problems(&site(&format!("{}{joint}", own_item(""))));
        let told = found.first().map(|it| format!("{it} {}", it.right));
        let told = told.unwrap_or_default();
        assert!(
            told.contains(what) && told.contains(right),
            "{what}: {told}"
        );
    }
}

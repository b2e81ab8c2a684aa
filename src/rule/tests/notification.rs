//! Events and notices: the rows of the published rules, and what a site makes of them.

use std::collections::BTreeSet;

use super::super::{Clock, Duty, How, RuleSet, Status, Within, builtin, offer};
use super::{cautions, read, site};

fn rule_set(key: &str) -> RuleSet {
    read(offer(key).unwrap().text)
}

fn keys(duty: &Duty) -> Vec<&str> {
    duty.contents.iter().map(|it| it.key.as_str()).collect()
}

/// The kinds of the issue, each once, in every built-in rule set.
#[test]
fn every_built_in_rule_set_has_the_kinds_of_events_of_the_trade() {
    let wanted = [
        "connector-damage",
        "disconnect",
        "dosimeter-lost-or-damaged",
        "drive-cable-broken",
        "drop-or-fire",
        "guide-tube-damaged",
        "interlock-failure",
        "leaking-source",
        "lock-failure",
        "loss-of-control",
        "lost-source",
        "meter-failure",
        "misconnect",
        "off-scale-dosimeter",
        "overexposure",
        "package-above-limits",
        "shutter-stuck",
        "source-recovered",
        "source-stop-worn-through",
        "source-will-not-lock",
        "source-will-not-retract",
        "theft",
        "transport-incident",
        "unusual-cranking-force",
    ];
    for offer in builtin() {
        let rule_set = read(offer.text);
        let mut found: Vec<&str> = rule_set.events().iter().map(|it| it.key.as_str()).collect();
        found.sort_unstable();
        assert_eq!(found, wanted, "{}", offer.name);
    }
}

/// Nothing is to be inspected only where a dosimeter is what the event is about.
#[test]
fn only_events_of_dosimeters_leave_equipment_in_service() {
    let rule_set = rule_set("10 CFR");
    let kept = rule_set.events().iter().filter(|it| !it.withdraws);
    let kept: Vec<&str> = kept.map(|it| it.key.as_str()).collect();
    assert_eq!(kept, ["off-scale-dosimeter", "dosimeter-lost-or-damaged"]);
    for key in ["drop-or-fire", "unusual-cranking-force"] {
        assert!(rule_set.event(key).unwrap().calls_for_inspection, "{key}");
    }
}

#[test]
fn every_failure_of_a_kind_is_one_of_the_checklist() {
    let list = super::super::Checklist::parse(super::super::checklists()[0].text).unwrap();
    let known: BTreeSet<&str> = list.failures.iter().map(|it| it.key.as_str()).collect();
    for kind in rule_set("10 CFR").events() {
        assert!(!kind.failures.is_empty(), "{}", kind.key);
        for failure in &kind.failures {
            assert!(known.contains(failure.as_str()), "{}: {failure}", kind.key);
        }
    }
}

/// What an item can show has a kind of event that may come from it.
#[test]
fn every_failure_that_an_item_can_show_may_be_opened_as_an_event() {
    let list = super::super::Checklist::parse(super::super::checklists()[0].text).unwrap();
    let kinds = rule_set("10 CFR");
    for failure in list.items.iter().flat_map(|it| &it.detects) {
        let comes = |it: &super::super::EventKind| it.failures.contains(failure);
        assert!(kinds.events().iter().any(comes), "{failure}");
    }
}

/// A row of the table of reports: the notice, what starts its clock, the notice that it follows,
/// how long there is, how it is told.
type Row = (&'static str, Clock, &'static str, Within, How);

/// The rows of the table of reports.
fn rows() -> Vec<Row> {
    use Clock::{Discovery, FirstReport, Learning, Occurrence, Test};
    use How::{Either, Telephone, Written};
    use Within::{AtOnce, Days, Hours, WithTheReport, WorkingDays};
    let evaluate = "defect-21-21-evaluate";
    let officer = "defect-21-21-officer";
    let lost = "lost-20-2201-at-once";
    let missing = "lost-20-2201-30-days";
    let later = "lost-20-2201-written-later";
    vec![
        ("at-once-20-2202", Occurrence, "", AtOnce, Telephone),
        ("call-20-2202", Discovery, "", Hours(24), Telephone),
        ("written-20-2203", Learning, "", Days(30), Written),
        ("written-20-2203-area", Learning, "", Days(30), Written),
        (
            "to-the-person-20-2205",
            Learning,
            "",
            WithTheReport,
            Written,
        ),
        ("call-30-50-a", Discovery, "", Hours(4), Telephone),
        ("call-30-50-b", Discovery, "", Hours(24), Telephone),
        (
            "written-30-50",
            FirstReport,
            "call-30-50-b",
            Days(30),
            Written,
        ),
        (
            "written-30-50-a",
            FirstReport,
            "call-30-50-a",
            Days(30),
            Written,
        ),
        ("written-34-101", Occurrence, "", Days(30), Written),
        ("leaking-source-34-27", Test, "", Days(5), Written),
        (lost, Learning, "", AtOnce, Telephone),
        (missing, Learning, "", Days(30), Telephone),
        ("lost-20-2201-written", FirstReport, lost, Days(30), Written),
        ("lost-20-2201-further", Learning, "", Days(30), Written),
        ("theft-37-57-police", Discovery, "", AtOnce, Telephone),
        ("theft-37-57-call", Discovery, "", Hours(4), Telephone),
        (
            "theft-37-57-written",
            FirstReport,
            "theft-37-57-call",
            Days(30),
            Written,
        ),
        ("shipment-37-81", Discovery, "", Hours(4), Telephone),
        ("package-20-1906", Discovery, "", AtOnce, Telephone),
        ("transport-171-15", Occurrence, "", Hours(12), Telephone),
        ("transport-171-16", Discovery, "", Days(30), Written),
        (later, FirstReport, missing, Days(30), Written),
        (evaluate, Discovery, "", Days(60), Written),
        (officer, FirstReport, evaluate, WorkingDays(5), Either),
        ("defect-21-21-first", FirstReport, officer, Days(2), Either),
        (
            "defect-21-21-written",
            FirstReport,
            officer,
            Days(30),
            Written,
        ),
    ]
}

#[test]
fn every_clock_of_the_published_rules_starts_and_ends_as_they_say() {
    let rule_set = rule_set("10 CFR");
    let mut known = BTreeSet::new();
    for (key, clock, after, within, how) in rows() {
        let duty = rule_set.duty(key).unwrap_or_else(|| panic!("no {key}"));
        let follows = duty.after.as_deref().unwrap_or_default();
        let found = (duty.clock, follows, duty.within, duty.how);
        assert_eq!(found, (clock, after, within, how), "{key}");
        known.insert(key);
    }
    let all: BTreeSet<&str> = rule_set
        .notifications()
        .iter()
        .map(|it| it.key.as_str())
        .collect();
    assert_eq!(all, known, "a notice without its row here");
}

/// 10 CFR 34.101(b), 30.50(c)(1), 30.50(c)(2), 20.2203(b) with 34.101(b), 34.27(d).
#[test]
fn a_report_contains_what_its_rule_wants_item_by_item() {
    let rule_set = rule_set("10 CFR");
    let equipment = [
        "problem",
        "cause",
        "maker",
        "place",
        "restored",
        "corrective",
        "qualifications",
    ];
    let contents = |key: &str| keys(rule_set.duty(key).unwrap());
    assert_eq!(contents("written-34-101"), equipment);
    for key in ["call-30-50-a", "call-30-50-b"] {
        let wanted = ["caller", "event", "place", "material", "exposure"];
        assert_eq!(contents(key), wanted, "{key}");
    }
    for key in ["written-30-50", "written-30-50-a"] {
        let wanted = [
            "event",
            "place",
            "material",
            "time",
            "corrective",
            "exposure",
        ];
        assert_eq!(contents(key), wanted, "{key}");
    }
    let of_dose = contents("written-20-2203");
    let own = ["doses", "levels", "cause", "corrective", "private"];
    for key in own.iter().chain(&equipment) {
        assert!(of_dose.contains(key), "{key}");
    }
    let leaking = ["equipment", "result", "corrective"];
    assert_eq!(contents("leaking-source-34-27"), leaking);
}

/// 10 CFR 30.50(b)(2): all three; and of 34.101(a) one of three.
#[test]
fn what_a_rule_turns_on_stands_with_its_notification() {
    let rule_set = rule_set("10 CFR");
    let when = |key: &str| rule_set.duty(key).unwrap().when.clone();
    let lines = |all: &[&[&str]]| -> Vec<Vec<String>> {
        let line = |it: &&[&str]| it.iter().map(|it| (*it).to_owned()).collect();
        all.iter().map(line).collect()
    };
    let three: &[&[&str]] = &[
        &["safety-equipment"],
        &["required-operable"],
        &["no-redundant"],
    ];
    assert_eq!(when("call-30-50-b"), lines(three));
    let one: &[&[&str]] = &[&[
        "source-disconnected",
        "source-not-secured",
        "component-failed",
    ]];
    assert_eq!(when("written-34-101"), lines(one));
    assert_eq!(when("call-30-50-a"), lines(&[&["prevents-protection"]]));
}

/// The worked rules: which activities are category 2 (10 CFR 37, App. A).
#[test]
fn the_category_quantities_are_those_of_the_fact_sheet() {
    let rule_set = rule_set("10 CFR");
    for (nuclide, tenths) in [
        ("Co-60", 3),
        ("Ir-192", 8),
        ("Se-75", 20),
        ("Yb-169", 30),
        ("Cs-137", 10),
    ] {
        let found = rule_set.category(nuclide).unwrap();
        assert_eq!(found.category_2.bq(), tenths * 100_000_000_000, "{nuclide}");
        assert_eq!(found.status, Status::ToBeConfirmed, "{nuclide}");
    }
}

#[test]
fn a_rule_sets_notifications_are_there_or_the_authority_is_to_be_asked() {
    for (key, any) in [
        ("10 CFR", true),
        ("Canada", true),
        ("EU", false),
        ("IAEA", false),
    ] {
        assert_eq!(!rule_set(key).notifications().is_empty(), any, "{key}");
    }
    let rule_set = rule_set("10 CFR");
    // Sub-paragraphs that were not read are not said to be.
    for duty in rule_set.notifications() {
        let unread = [
            "defect",
            "lost",
            "theft",
            "shipment",
            "package",
            "transport",
        ];
        let finer = unread.iter().any(|it| duty.key.starts_with(it));
        assert_eq!(duty.status == Status::ToBeConfirmed, finer, "{}", duty.key);
        assert_eq!(
            duty.cited().ends_with("(to be confirmed)"),
            finer,
            "{}",
            duty.key
        );
    }
}

/// The texts that ledgers keep from before events stood in rule sets.
#[test]
fn a_rule_set_adopted_before_there_were_notifications_stays_readable_and_knows_none() {
    for offer in builtin() {
        let cut = offer
            .text
            .find("[[event]]")
            .into_iter()
            .chain(offer.text.find("[[fact]]"))
            .chain(offer.text.find("[[notice]]"));
        let older = &offer.text[..cut.min().unwrap()];
        let rule_set = RuleSet::parse_adopted(older).unwrap_or_else(|it| panic!("{it}"));
        assert_eq!(
            (rule_set.events().len(), rule_set.notifications().len()),
            (0, 0)
        );
    }
    assert_eq!(super::super::event_kinds().len(), 24);
}

const CALL: &str = "[[notice]]\nkey = \"call-30-50-a\"\nwhat = \"call\"\nhow = \"telephone\"\n\
    to = \"us\"\ncitation = \"procedure 4\"\nstatus = \"read\"\nmeaning = \"ours\"\n\
    questions = [\"prevents-protection: did it?\"]\nclock = \"discovery\"\n\
    within = \"4 hours\"\ncontents = [\"caller: x\", \"event: x\", \"place: x\", \"material: x\", \
    \"exposure: x\"]\n";

#[test]
fn a_site_overrides_a_notification_and_adds_its_own() {
    let stricter = CALL.replace("4 hours", "1 hours");
    let own = CALL.replace("call-30-50-a", "call-the-client");
    let rule_set = read(&site(&format!("{stricter}{own}")));
    let base = self::rule_set("10 CFR");
    assert_eq!(
        rule_set.duty("call-30-50-a").unwrap().within,
        Within::Hours(1)
    );
    assert_eq!(
        rule_set.notifications().len(),
        base.notifications().len() + 1
    );
    assert_eq!(rule_set.events(), base.events());
    assert_eq!(rule_set.cautions(), []);
    assert_eq!(read(&rule_set.to_toml()), rule_set);
}

#[test]
fn a_notification_that_comes_later_more_rarely_or_with_less_is_taken_and_flagged() {
    let of = |what: &str| format!("`call-30-50-a`: {what} in `10 CFR`");
    let rarer = of("arises more rarely than");
    for (from, to, wanted) in [
        ("4 hours", "4 hours", String::new()),
        ("4 hours", "at once", String::new()),
        (
            "4 hours",
            "5 hours",
            of("is `5 hours` and not `4 hours` as"),
        ),
        ("4 hours", "1 days", of("is `1 day` and not `4 hours` as")),
        (
            "4 hours",
            "1 working days",
            of("is `1 working day` and not `4 hours` as"),
        ),
        ("\"discovery\"", "\"occurrence\"", String::new()),
        (
            "\"discovery\"",
            "\"learning\"",
            of("starts at learning and not at discovery as"),
        ),
        (
            "did it?\"",
            "did it?\", \"told: were you told?\"",
            rarer.clone(),
        ),
        ("within =", "of = [\"disconnect\"]\nwithin =", rarer.clone()),
        (
            "within =",
            "doses = [\"deep 1 rem or more\"]\nwithin =",
            rarer.clone(),
        ),
        ("within =", "above_a_limit = true\nwithin =", rarer),
        (", \"exposure: x\"", "", of("contains less than")),
    ] {
        let changed = CALL.replace(from, to);
        assert!(from == to || changed != CALL, "{from}");
        assert_eq!(
            cautions(&site(&changed)).join("\n"),
            wanted,
            "{from} -> {to}"
        );
    }
}

/// Exactly 25 rem is told at once by the rule: a site that says `above` tells of less.
#[test]
fn a_dose_from_which_a_notification_arises_is_held_to_its_edge() {
    let own = |deep: &str| {
        format!(
            "[[notice]]\nkey = \"at-once-20-2202\"\nwhat = \"call\"\nhow = \"telephone\"\n\
             to = \"us\"\ncitation = \"procedure 4\"\nstatus = \"read\"\nmeaning = \"ours\"\n\
             clock = \"occurrence\"\nwithin = \"at once\"\ndoses = [\"{deep}\", \
             \"lens 75 rem or more\", \"shallow 250 rem or more\", \"extremity 250 rem or more\"]\n"
        )
    };
    for (deep, is_flagged) in [
        ("deep 25 rem or more", false),
        ("deep 24 rem or more", false),
        ("deep above 24 rem", false),
        ("deep above 25 rem", true),
        ("deep 26 rem or more", true),
    ] {
        let found = cautions(&site(&own(deep)));
        assert_eq!(!found.is_empty(), is_flagged, "{deep}: {found:?}");
    }
}

#[test]
fn a_kind_that_no_longer_withdraws_equipment_is_flagged() {
    let own = |withdraws: bool| {
        format!(
            "[[event]]\nkey = \"disconnect\"\nname = \"disconnect\"\nmeaning = \"ours\"\n\
             withdraws = {withdraws}\nfailures = [\"disconnect\"]\n"
        )
    };
    assert_eq!(cautions(&site(&own(true))), [""; 0]);
    assert_eq!(
        cautions(&site(&own(false))),
        ["`disconnect`: leaves equipment in service, unlike in `10 CFR`"]
    );
}

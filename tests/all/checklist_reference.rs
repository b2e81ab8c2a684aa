//! The built-in checklist against the published inspection lists in
//! `tests/reference/inspection_items.csv`, row by row.

use wearbook::record::{EquipmentType, InstrumentType, Words};
use wearbook::rule::{Checklist, ITEMS, ItemStatus, checklist_offer, checklists, is_wear};

/// Which items look at what a row asks for: part, start of the row's item, keys.
const COVERED_BY: &[(&str, &str, &[&str])] = &[
    (
        "exposure device",
        "abnormal surface",
        &[
            "device-surface-rate",
            "device-metre-rate",
            "tube-rate",
            "collimator-rate",
        ],
    ),
    ("exposure device", "safety plugs", &["device-plugs"]),
    ("exposure device", "locking mechanism", &["device-lock"]),
    (
        "exposure device",
        "source-assembly",
        &["source-connector", "source-connector-wear"],
    ),
    ("exposure device", "S-tube", &["device-channel"]),
    ("exposure device", "carrying", &["device-carrying"]),
    ("exposure device", "labels", &["device-labels"]),
    ("guide tube", "rust", &["tube-inside"]),
    ("guide tube", "connector", &["tube-fitting"]),
    ("guide tube", "source stop", &["source-stop"]),
    ("guide tube", "kinks", &["tube-kinks"]),
    ("guide tube", "contamination", &["tube-contamination"]),
    ("drive", "right drive", &["control-fits-device"]),
    ("drive", "change in operating", &["control-feel"]),
    (
        "drive",
        "cable connector",
        &["cable-connector", "connector-gauge"],
    ),
    (
        "drive",
        "cable flexibility",
        &["cable-behind-connector", "cable-whole"],
    ),
    ("drive", "crank", &["crank"]),
    ("drive", "conduit", &["conduit"]),
    ("drive", "mating", &["connector-mating"]),
    ("drive", "position indicator", &["position-indicator"]),
    ("drive", "contamination", &["control-contamination"]),
    (
        "directional devices",
        "shutter works",
        &["device-shutter", "device-labels", "device-surface-rate"],
    ),
];

fn general() -> Checklist {
    let offer = checklist_offer("general").expect("the offer");
    Checklist::parse(offer.text).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn every_item_of_the_published_lists_is_looked_at_and_names_them() {
    let list = general();
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/reference/inspection_items.csv"
    );
    let mut rows = 0;
    for row in csv::Reader::from_path(path).expect("the file").records() {
        let row = row.expect("a row");
        let cell = |n: usize| row.get(n).expect("a cell");
        let of_row = |(part, item, _): &&(&str, &str, &[&str])| {
            *part == cell(0) && cell(1).starts_with(item)
        };
        let (_, _, keys) = COVERED_BY
            .iter()
            .find(of_row)
            .unwrap_or_else(|| panic!("nothing looks at {}: {}", cell(0), cell(1)));
        let items: Vec<_> = keys
            .iter()
            .map(|key| list.item(key).unwrap_or_else(|| panic!("no item `{key}`")))
            .collect();
        for (n, source) in [
            (2, "WAC 246-243-240"),
            (3, "32 IAC 350"),
            (4, "SOR/2000-207"),
        ] {
            let named = items.iter().any(|item| item.basis.contains(source));
            assert_eq!(named, !cell(n).is_empty(), "{}: {source}", cell(1));
        }
        rows += 1;
    }
    assert_eq!(rows, COVERED_BY.len());
}

#[test]
fn no_item_names_a_published_list_that_has_no_such_row() {
    let covering: Vec<&str> = COVERED_BY
        .iter()
        .flat_map(|(_, _, keys)| keys.to_vec())
        .collect();
    for item in general().items {
        let from_a_list = ["WAC", "IAC", "SOR"]
            .iter()
            .any(|it| item.basis.contains(it));
        assert!(
            !from_a_list || covering.contains(&item.key.as_str()),
            "{}",
            item.key
        );
    }
}

/// 10 CFR 34.21 for changers and containers; it leaves exposure devices out, whose rates come
/// through 34.20(a)(1) from the design standard (from memory).
#[test]
fn the_rates_of_the_built_in_list_say_where_they_are_from() {
    let list = general();
    for (key, warn, limit) in [
        ("device-surface-rate", "", "200 mR/h"),
        ("device-metre-rate", "2 mR/h", "10 mR/h"),
        ("changer-surface-rate", "", "200 mR/h"),
        ("changer-metre-rate", "", "10 mR/h"),
        ("container-surface-rate", "", "200 mR/h"),
        ("container-metre-rate", "", "10 mR/h"),
    ] {
        let item = list.item(key).unwrap_or_else(|| panic!("no item `{key}`"));
        let measurement = item.measurement.as_ref().expect("a measure");
        let show = |it: Option<wearbook::quantity::Amount>| {
            it.map(|it| it.display(measurement.unit))
                .unwrap_or_default()
        };
        assert_eq!(
            [show(measurement.warn), show(Some(measurement.limit))],
            [warn, limit],
            "{key}"
        );
        if item.basis == "10 CFR 34.21" {
            assert_eq!(item.status, ItemStatus::Read, "{key}");
        } else {
            assert_ne!(item.status, ItemStatus::Read, "{key}");
            assert!(item.basis.contains("ANSI N432-1980, unverified"), "{key}");
        }
    }
    assert!(list.confirm.starts_with("Check your manual"));
}

/// How far a part may wear is its maker's to say: no built-in list has a figure of it, neither as
/// nominal, limit or mark, nor in words.
#[test]
fn no_built_in_list_has_a_figure_of_wear() {
    for offer in checklists() {
        let list = Checklist::parse(offer.text).expect("a list");
        let mut inactive = Vec::new();
        for item in &list.items {
            let wears = item.unit().is_some_and(|unit| is_wear(unit.kind()));
            assert_eq!(wears, item.is_inactive(), "{}", item.key);
            assert!(!(wears && item.measurement.is_some()), "{}", item.key);
            if wears {
                inactive.push(item.key.as_str());
            }
            // A rate is read at a distance, and a meter against a band: no part of those wears.
            if item.measurement.is_none() && item.on != "survey meter" {
                let words = format!("{} {}", item.how, item.good);
                let figure = words.chars().any(|it| it.is_ascii_digit());
                assert!(!figure, "{}: {words}", item.key);
            }
            let caution = item.caution.as_deref().unwrap_or_default();
            for of_time in ["minute", "second"] {
                assert!(!caution.contains(of_time), "{}: {caution}", item.key);
            }
        }
        assert_eq!(inactive, ["cable-diameter", "cable-connector-tilt"]);
    }
}

#[test]
fn a_check_of_one_set_stays_short_enough_to_be_done() {
    let list = general();
    let set = [
        "exposure device",
        "control unit",
        "guide tube",
        "survey meter",
        "alarm ratemeter",
    ];
    let daily: usize = set
        .iter()
        .map(|on| list.items_for(on, "daily").count())
        .sum();
    assert!((30..=35).contains(&daily), "{daily}");
    let device = list.items_for("exposure device", "quarterly").count();
    assert!((10..=16).contains(&device), "{device}");
}

#[test]
fn what_mates_two_pieces_warns_before_it_is_done() {
    let list = general();
    let test = list.item("connector-mating").expect("the item");
    assert_eq!(
        (test.on.as_str(), test.pair.as_deref()),
        ("control unit", Some("exposure device"))
    );
    let caution = test.caution.as_deref().expect("a caution");
    assert!(caution.contains("stays locked and shielded"), "{caution}");
    assert!(test.is_for("daily") && test.is_for("quarterly") && test.is_for("after an event"));
    let gauge = list.item("connector-gauge").expect("the item");
    assert_eq!(gauge.pair.as_deref(), Some("source assembly"));
    assert!(
        gauge
            .caution
            .as_deref()
            .is_some_and(|it| it.contains("out of service"))
    );
}

/// What `text` takes on lines of `wide` characters, broken at blanks.
fn lines(text: &str, wide: usize) -> usize {
    let mut lines = 1;
    let mut used = 0;
    for word in text.split_whitespace() {
        if used > 0 && used + 1 + word.len() > wide {
            lines += 1;
            used = 0;
        }
        used += word.len() + usize::from(used > 0);
    }
    lines
}

/// A page holds some 60 lines; five are for its head and foot.
#[test]
fn a_list_of_one_equipment_fits_on_a_page() {
    let list = general();
    for on in ITEMS {
        for when in ["daily", "quarterly", "after an event", "on receipt"] {
            let each = list.items_for(on, when).map(|item| {
                let caution = item.caution.as_deref().map_or(0, |it| lines(it, 72));
                let text = format!("{}: {}. Good: {}", item.component, item.how, item.good);
                lines(&text, 72) + caution
            });
            let all: usize = each.sum();
            assert!(all <= 55, "{on}, {when}: {all} lines");
        }
    }
}

#[test]
fn what_a_list_can_look_at_is_what_the_registers_have() {
    let equipment = EquipmentType::ALL.iter().map(|it| it.word());
    let instruments = InstrumentType::ALL.iter().map(|it| it.word());
    let mut registers: Vec<&str> = equipment.chain(instruments).collect();
    let mut items = ITEMS.to_vec();
    registers.sort_unstable();
    items.sort_unstable();
    assert_eq!(items, registers);
}

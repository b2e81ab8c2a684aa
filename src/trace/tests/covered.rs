//! Coverage by the checklist's data.

use super::own_list;
use crate::record::Coverage::{self, *};
use crate::record::Words;
use crate::trace::coverage::{Beside, Failed, by_data};

fn failed(on: &str, component: &str, failure: &str) -> Failed {
    Failed::Found {
        on: on.to_owned(),
        component: component.to_owned(),
        failure: failure.to_owned(),
        beside: Beside::of(&own_list(), on, component),
    }
}

#[test]
fn coverage_starts_from_what_the_list_says_an_item_detects() {
    let list = own_list();
    let broken = failed("control unit", "drive cable", "drive-cable-broken");
    let apart = failed("control unit", "cable connector", "disconnect");
    let source = failed("source assembly", "source-assembly connector", "disconnect");
    for (failed, key, coverage) in [
        (&broken, "cable-diameter", Some(CanDetect)),
        (&broken, "control-contamination", Some(CannotDetect)),
        // Another component of the same kind that names the mode.
        (&broken, "control-feel", Some(NotEstablished)),
        (&broken, "crank", None),
        (&apart, "connector-mating", Some(CanDetect)),
        // Another kind, and no half of the joint.
        (&apart, "device-lock", None),
        (&apart, "collimator-mount", None),
        (&source, "source-connector-wear", Some(CanDetect)),
    ] {
        let item = list.item(key).expect("an item");
        assert_eq!(by_data(item, failed), coverage, "{key} {failed:?}");
    }
}

#[test]
fn a_cause_at_either_half_of_a_joint_brings_the_items_of_both_and_the_checks_between() {
    let list = own_list();
    // Kind, component, failure mode, item, coverage: the coupling of the source, named from the
    // cable, the source and the device; the tube on the device; the collimator on the tube.
    let rows = "\
control unit|cable connector|disconnect|cable-connector|can detect
control unit|cable connector|disconnect|connector-mating|can detect
control unit|cable connector|disconnect|source-connector|not established
control unit|cable connector|disconnect|source-connector-wear|not established
source assembly|source-assembly connector|disconnect|connector-mating|can detect
source assembly|source-assembly connector|disconnect|connector-gauge|can detect
source assembly|source-assembly connector|disconnect|cable-connector|not established
source assembly|source-assembly connector|connector-damage|connector-mating|cannot detect
source assembly|source-assembly connector|misconnect|cable-connector|cannot detect
exposure device|source-assembly connector|disconnect|connector-gauge|can detect
exposure device|source-assembly connector|disconnect|cable-connector-tilt|not established
guide tube|fittings|guide-tube-off|device-outlet|can detect
exposure device|outlet|guide-tube-off|tube-fitting|not established
exposure device|outlet|guide-tube-off|tube-fitting-wipe|cannot detect
guide tube|collimator mount|guide-tube-damaged|collimator-mount|can detect
collimator|mount|guide-tube-damaged|tube-collimator-mount|not established";
    for row in rows.lines() {
        let cells: Vec<&str> = row.split('|').collect();
        let [on, component, failure, key, word] = cells.as_slice() else {
            panic!("{row} is no row");
        };
        let item = list.item(key).expect("an item");
        let found = by_data(item, &failed(on, component, failure));
        assert_eq!(found.map(Words::word), Some(*word), "{row}");
    }
}

#[test]
fn no_item_looks_for_a_mode_that_no_item_names() {
    let list = own_list();
    let failed = failed("guide tube", "weld", "guide-tube-off");
    let rows: Vec<Coverage> = list
        .items
        .iter()
        .filter(|it| !it.detects.iter().any(|it| it == "guide-tube-off"))
        .filter_map(|item| by_data(item, &failed))
        .collect();
    assert_eq!(rows, []);
}

#[test]
fn without_a_cause_nothing_is_established() {
    let list = own_list();
    let failed = Failed::NotFound {
        failures: vec!["drive-cable-broken".to_owned()],
    };
    let of = |key| by_data(list.item(key).expect("an item"), &failed);
    assert_eq!(of("cable-diameter"), Some(NotEstablished));
    assert_eq!(of("device-labels"), None);
}

//! Coverage by the checklist's data.

use super::own_list;
use crate::record::Coverage::{self, *};
use crate::trace::coverage::{Failed, by_data};

fn failed(on: &str, component: &str, failure: &str) -> Failed {
    Failed::Found {
        on: on.to_owned(),
        component: component.to_owned(),
        failure: failure.to_owned(),
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
        // Another kind.
        (&apart, "source-connector", None),
        (&apart, "connector-mating", Some(CanDetect)),
        // A mating check against the kind that failed.
        (&source, "connector-gauge", Some(NotEstablished)),
        (&source, "source-connector-wear", Some(CanDetect)),
    ] {
        let item = list.item(key).expect("an item");
        assert_eq!(by_data(item, failed), coverage, "{key} {failed:?}");
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

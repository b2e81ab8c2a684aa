//! Category of sources, and the dated checks and reports about them: what is shown, what falls due
//! and what an inspector is given.

use super::cli_support::{Place, data_of};

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// S-1 in D-1, and S-2 of 40 Ci that is in no device.
fn two_sources(name: &str) -> Place {
    let place = Place::with_registers(name);
    for line in [
        "equipment load --device D-1 --source S-1 --on 2026-04-13 --by \"Adaeze Hollow\"",
        "equipment add --id S-2 --sort \"source assembly\" --serial XS2 --nuclide Ir-192 \
         --activity \"40 Ci\" --activity-on 2026-06-01 --received-on 2026-06-12 --received-by \
         \"Adaeze Hollow\"",
    ] {
        place.done(line);
    }
    place
}

#[test]
fn the_category_stands_by_device_and_together_with_the_day_on_which_it_ends() {
    // 90 Ci on 2026-04-06 are 4.1625 times 0.8 TBq: 151.9 days after that day's end (73.829 d),
    // so that 2026-09-06 is the first to begin below. 40 Ci on 2026-06-01: 2026-08-06.
    let place = two_sources("tracking-category");
    let show = flat(&place.done("equipment show S-1 --on 2026-06-15").out);
    for words in [
        "category 2, below from 2026-09-06: an estimate by decay, on the high side (10 CFR 37, \
         App. A; 10 CFR 20, App. E (to be confirmed))",
        "all together, as if at one place (2): category 2, below from",
    ] {
        assert!(show.contains(words), "{words}: {show}");
    }
    let device = flat(&place.done("equipment show D-1 --on 2026-06-15").out);
    assert!(
        device.contains("category 2, below from 2026-09-06"),
        "{device}"
    );
    let list = flat(&place.done("equipment list --on 2026-06-15").out);
    assert!(list.contains("category 2, below from 2026-08-06"), "{list}");
    let board = data_of(&place, "board --on 2026-06-15");
    let places: Vec<String> = board["categories"]
        .as_array()
        .expect("places")
        .iter()
        .map(|it| format!("{} {} {}", it["place"], it["sources"], it["below_from"]))
        .collect();
    assert_eq!(places[0], r#""D-1" ["S-1"] "2026-09-06""#);
    assert_eq!(places[1], r#""not in a device" ["S-2"] "2026-08-06""#);
    assert!(
        places[2].starts_with(r#""all together" ["S-1","S-2"] "2026-1"#),
        "{places:?}"
    );
    // Both are below alone by then, and not together.
    let later = data_of(&place, "board --on 2026-09-10");
    let words: Vec<&str> = later["categories"]
        .as_array()
        .expect("places")
        .iter()
        .filter_map(|it| it["category"].as_str())
        .collect();
    assert_eq!(
        words,
        ["below category 2", "below category 2", "category 2"]
    );
    let records = flat(&place.done("records sources --on 2026-06-15").out);
    assert!(
        records.contains("Category by place on 2026-06-15"),
        "{records}"
    );
}

#[test]
fn a_source_without_a_quantity_is_not_known_and_never_below() {
    let place = two_sources("tracking-not-known");
    place.done(
        "equipment add --id S-3 --sort \"source assembly\" --serial XS3 --nuclide Tm-170 \
         --activity \"1 Ci\" --activity-on 2026-06-01",
    );
    let show = flat(&place.done("equipment show S-3 --on 2026-06-15").out);
    for words in [
        "not known (S-3 not known): an estimate",
        "(3): at least category 2 (S-3 not known)",
    ] {
        assert!(show.contains(words), "{words}: {show}");
    }
}

#[test]
fn a_withdrawn_source_and_one_that_has_not_come_are_in_no_sum() {
    let place = two_sources("tracking-gone");
    place.done(
        "equipment withdraw --item S-1 --on 2026-06-14 --reason exchanged --by \"Adaeze Hollow\"",
    );
    let board = data_of(&place, "board --on 2026-06-15");
    assert_eq!(board["categories"].as_array().map(Vec::len), Some(1));
    let before = data_of(&place, "board --on 2026-06-11");
    assert_eq!(before["categories"][0]["sources"][0], "S-1");
    assert_eq!(before["categories"].as_array().map(Vec::len), Some(1));
}

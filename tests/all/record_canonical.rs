//! The stored form of every kind of body: JSON with sorted keys, no spaces, no nulls, no
//! floats, and whole numbers that every JSON reader holds exactly.

use proptest::prelude::*;
use serde_json::Value;
use wearbook::quantity::{Activity, Dose, Indication, IndicationUnit};
use wearbook::record::*;

use crate::ledger_fixture::{Bench, day, refusal, sheet};

/// The largest whole number that every JSON reader holds exactly, 2^53 - 1 (RFC 8259,
/// section 6).
const MOST: i64 = 9_007_199_254_740_991;

/// Bodies as version 1 stores them, a line each: one with every field of its kind and, where it
/// matters, one with the fewest. Ledgers hold these bytes: a line is never changed, only added.
const BODIES: &str = include_str!("../reference/bodies_v1.txt");

fn bodies() -> Vec<(Kind, &'static str, Body)> {
    BODIES
        .lines()
        .map(|line| {
            let (word, text) = line.split_once(": ").expect("a kind and its body");
            let kind = Kind::from_stored(word).expect("a kind");
            (kind, text, Body::read(kind, 1, text).expect(text))
        })
        .collect()
}

/// JSON written anew by hand: keys in the order of their bytes, nothing between the tokens.
fn rewritten(value: &Value) -> String {
    match value {
        Value::Object(map) => {
            let mut keys: Vec<&String> = map.keys().collect();
            keys.sort();
            let cells: Vec<String> = keys
                .into_iter()
                .map(|key| format!("{}:{}", Value::from(key.as_str()), rewritten(&map[key])))
                .collect();
            format!("{{{}}}", cells.join(","))
        }
        Value::Array(list) => {
            let cells: Vec<String> = list.iter().map(rewritten).collect();
            format!("[{}]", cells.join(","))
        }
        leaf => leaf.to_string(),
    }
}

/// What a stored body may not have in it.
fn flaws(value: &Value) -> Vec<String> {
    match value {
        Value::Null => vec!["a null".to_owned()],
        Value::Number(number) => match number.as_i64() {
            Some(whole) if (-MOST..=MOST).contains(&whole) => Vec::new(),
            _ => vec![format!("the number {number}")],
        },
        Value::Array(list) => list.iter().flat_map(flaws).collect(),
        Value::Object(map) => map.values().flat_map(flaws).collect(),
        Value::Bool(_) | Value::String(_) => Vec::new(),
    }
}

fn is_canonical(text: &str) -> Result<(), String> {
    let value: Value = serde_json::from_str(text).map_err(|error| error.to_string())?;
    if rewritten(&value) != text {
        return Err(format!("{text}\n  should be {}", rewritten(&value)));
    }
    match flaws(&value) {
        flaws if flaws.is_empty() => Ok(()),
        flaws => Err(format!("{text}\n  has {flaws:?}")),
    }
}

#[test]
fn every_kind_has_a_body_here() {
    for kind in Kind::ALL {
        assert!(bodies().iter().any(|(it, ..)| it == kind), "{kind:?}");
    }
}

#[test]
fn a_stored_body_is_read_and_written_back_byte_for_byte() {
    for (kind, text, body) in bodies() {
        assert_eq!(body.kind(), kind);
        assert_eq!(body.canonical(), text);
        assert_eq!(body.problems(), Vec::new(), "{text}");
        assert_eq!(is_canonical(text), Ok(()));
    }
}

#[test]
fn the_order_of_keys_in_what_is_read_does_not_matter() {
    for (kind, text, body) in bodies() {
        let value: Value = serde_json::from_str(text).expect(text);
        let mut cells: Vec<String> = value
            .as_object()
            .expect("an object")
            .iter()
            .map(|(key, value)| format!("{}: {value}", Value::from(key.as_str())))
            .collect();
        cells.reverse();
        let turned = format!("{{ {} }}", cells.join(" , "));
        assert_ne!(turned, text);
        assert_eq!(Body::read(kind, 1, &turned).expect(text), body);
    }
}

#[test]
fn a_body_of_another_form_is_not_read() {
    for (kind, text, _) in bodies() {
        let with_more = text.replacen('{', r#"{"extra":1,"#, 1);
        let with_less = text.replacen("\":", "_\":", 1);
        for (version, text) in [(1, with_more.as_str()), (1, &with_less), (2, text), (1, "")] {
            assert!(Body::read(kind, version, text).is_err(), "{version} {text}");
        }
    }
}

#[test]
fn a_body_of_a_newer_form_is_told_from_a_damaged_one() {
    for (kind, text, body) in bodies() {
        assert_eq!(
            Body::read(kind, kind.form(), &body.canonical()).expect(text),
            body
        );
        let newer = kind.form() + 1;
        let error = Body::read(kind, newer, text).expect_err(text);
        assert!(error.needs_newer(), "{error}");
        let said = error.to_string();
        let wanted = format!(
            "the {} has form {newer}; this program knows forms up to {} of it",
            kind.word(),
            kind.form()
        );
        assert_eq!(said, wanted);
        let damaged = Body::read(kind, kind.form(), "{}").expect_err(text);
        assert!(!damaged.needs_newer(), "{damaged}");
    }
}

#[test]
fn a_whole_number_that_json_readers_would_round_is_refused() {
    let mut bench = Bench::of_ten_entries();
    let too_much = MOST + 1;
    let prior = |nsv: i64| PriorDose {
        basis: "letter".to_owned(),
        deep_nsv: Some(Dose::from_nsv(nsv)),
        employer: "Other Testing".to_owned(),
        extremity_nsv: None,
        first_day: day("2024-01-01"),
        last_day: day("2024-12-31"),
        lens_nsv: None,
        row: None,
        shallow_nsv: None,
        worker: 3.into(),
    };
    let source = |bq: i64| Equipment {
        held: Vec::new(),
        activity_bq: Some(Activity::from_bq(bq)),
        activity_on: Some(day("2026-01-05")),
        id: "SRC-1".to_owned(),
        in_service: None,
        maker: None,
        model: None,
        nuclide: Some("Ir-192".to_owned()),
        received_by: None,
        received_from: None,
        received_on: None,
        serial: "S1".to_owned(),
        shipping_paper: None,
        kind: EquipmentType::Source,
        uranium_mass: None,
        uranium_tube: None,
    };
    let disposition = |item: i64| Disposition {
        entry: 8,
        item,
        outcome: Outcome::Counts,
        reason: "seen".to_owned(),
        record: 7.into(),
    };
    let refused: [Body; 4] = [
        prior(too_much).into(),
        source(too_much).into(),
        disposition(too_much).into(),
        disposition(0).into(),
    ];
    for body in refused {
        let error = bench.try_append(body.clone()).expect_err("a refusal");
        assert_eq!(refusal(&error), "Problems", "{}", body.canonical());
    }
    let written: [Body; 2] = [prior(MOST).into(), source(MOST).into()];
    for body in written {
        assert_eq!(is_canonical(&body.canonical()), Ok(()));
        bench.append(body);
    }
}

fn any_reading() -> impl Strategy<Value = Option<Indication>> {
    let units: Vec<IndicationUnit> = IndicationUnit::ALL.to_vec();
    prop::option::of(
        (0..=MOST, prop::sample::select(units)).prop_map(|(n, unit)| Indication::new(n, unit)),
    )
}

fn any_text() -> impl Strategy<Value = String> {
    // Letters of all kinds, the signs that JSON escapes, and control characters among them.
    prop::collection::vec(
        prop_oneof![
            any::<char>(),
            prop::sample::select(vec!['"', '\\', '\n', '\0', '{', ','])
        ],
        0..12,
    )
    .prop_map(String::from_iter)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_sheet_reads_back_from_its_canonical_form(
        texts in prop::collection::vec(any_text(), 4),
        readings in prop::collection::vec((any_reading(), any_reading(), any::<bool>()), 0..4),
        flags in (prop::option::of(any::<bool>()), prop::option::of(any::<bool>())),
    ) {
        let mut it = sheet("2026-02-27", 5, 3, 4, "12 mR");
        it.note = Some(texts[0].clone());
        it.device = Some(Ref::Written(texts[1].clone()));
        it.guide_tubes = vec![Ref::Written(texts[2].clone()), Ref::Known(9.into())];
        it.people[0].worker = Ref::Written(texts[3].clone());
        (it.people[0].alarm_tested, it.people[0].badge_worn) = flags;
        it.people[0].readings = readings
            .into_iter()
            .zip(1..)
            .map(|((start, end, off_scale), part)| Reading {
                recharged: None,
                dosimeter: Ref::Written(texts[part as usize - 1].clone()),
                end,
                off_scale,
                part,
                start,
            })
            .collect();
        let body = Body::from(it);
        let text = body.canonical();
        prop_assert_eq!(is_canonical(&text), Ok(()));
        prop_assert_eq!(Body::read(Kind::Sheet, 1, &text).expect("a sheet"), body);
    }
}

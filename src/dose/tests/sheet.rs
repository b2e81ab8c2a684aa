//! A sheet on which all is well, for tests that change one thing on it.

use super::table::{day, reading};
use crate::dose::checks::input::*;
use crate::quantity::{DoseRate, Indication};
use crate::record::{InstrumentType, Role, Setting, Work};
use crate::rule::{RuleSet, offer};

pub(super) fn item(id: &str, kind: &str) -> Item {
    Item {
        id: id.to_string(),
        kind: kind.to_string(),
        out_of_service: None,
        maintenance: Maintenance::default(),
    }
}

pub(super) fn checked(entry: i64, on: &str) -> Option<LastCheck> {
    Some(LastCheck {
        entry,
        on: day(on),
        passed: true,
    })
}

pub(super) fn shown(text: &str) -> Indication {
    Indication::parse(text, None).unwrap()
}

pub(super) fn worn(kind: Option<InstrumentType>, text: &str) -> WornDosimeter {
    let reading = reading(text);
    WornDosimeter {
        recharged: None,
        item: item(&reading.dosimeter, "dosimeter"),
        kind,
        range: (kind == Some(InstrumentType::Pocket)).then(|| shown("200 mR")),
        response: checked(5, "2026-01-10"),
        last_end: None,
        readings: vec![reading],
    }
}

pub(super) fn pocket(text: &str) -> WornDosimeter {
    worn(Some(InstrumentType::Pocket), text)
}

pub(super) fn electronic(text: &str) -> WornDosimeter {
    worn(Some(InstrumentType::Electronic), text)
}

pub(super) fn person(worker: &str, role: Role, dosimeter: WornDosimeter) -> Person {
    Person {
        too_young: None,
        worker: worker.to_string(),
        name: "A. Worker".to_string(),
        role,
        certified: None,
        assistant: None,
        on_demand: None,
        badge_worn: Some(true),
        ratemeter: Some(Instrument {
            item: item(&format!("RM-{worker}"), "alarm ratemeter"),
            calibrated: checked(6, "2026-02-01"),
        }),
        alarm_tested: Some(true),
        late: Vec::new(),
        dosimeters: vec![dosimeter],
    }
}

/// A sheet with nothing to find.
pub(super) fn sheet() -> SheetFacts {
    SheetFacts {
        locked: Some(true),
        signed_by_other: None,
        entry: 100,
        reference: None,
        day: day("2026-06-14"),
        shift: "night".to_string(),
        setting: Setting::Temporary,
        work: Work::Radiography,
        equipment: vec![item("ED-A", "exposure device")],
        has_device: true,
        device_back: true,
        in_use_by: None,
        storage_survey: Some(DoseRate::parse("0.4 mrem/h", None).unwrap()),
        storage_distance: None,
        figures: Figures::default(),
        meters: vec![Instrument {
            item: item("SM-02", "survey meter"),
            calibrated: checked(7, "2026-03-01"),
        }],
        at_start: false,
        meter_checked: None,
        meter_late: false,
        started_late: None,
        not_as_started: None,
        attested_by: Some("W01".to_string()),
        written_on: day("2026-06-15"),
        clock_doubted: None,
        transcribed: false,
        people: vec![
            person("W01", Role::Radiographer, pocket("PD-1 0mR>12mR")),
            person("W02", Role::Assistant, pocket("PD-2 0mR>9mR")),
        ],
    }
}

pub(super) fn us() -> RuleSet {
    RuleSet::parse(offer("10 CFR").unwrap().text).unwrap()
}

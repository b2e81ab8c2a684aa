//! Each mistake in inspection and maintenance with its exact answer: what, where, what would be
//! right. A refused command leaves the ledger's file as it was.

use super::cli_maintenance_shown::kept;
use super::cli_support::Place;

fn all_refused(name: &str, place: &mut Place, lines: &[String]) {
    for line in lines {
        let said = place.refused(line);
        assert!(
            said.err.contains("right:") || said.err.contains("hint:") || said.code == 2,
            "{line} is not told what would be right: {}",
            said.err
        );
    }
    assert!(!lines.is_empty(), "{name}");
}

#[test]
fn a_calibration_that_cannot_be_judged_is_refused() {
    let mut place = kept("maintenance-refused-calibration");
    let meter = |rest: &str| format!("instrument calibrate SM-1 --performed-by Laboratory {rest}");
    let point = |text: &str| meter(&format!("--on 2026-06-14 --point \"{text}\""));
    let good = "--point \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.5 mR/h\"";
    let lines = [
        meter("--on 2026-06-14"),
        meter(&format!("--on 2024-01-07 {good}")),
        meter(&format!("--on 2026-06-16 {good}")),
        point("found, scale=20 mR/h, true=3.3 mR/h, reads=3.5 mR/h"),
        point("found, true=3.3 mR/h, reads=3.5 mR/h"),
        point("found, scale=10 mR/h, true=33 mR/h, reads=3.5 mR/h"),
        point("found, scale=10 mR/h, true=0 mR/h, reads=3.5 mR/h"),
        point("found, scale=10 mR/h, true=3.3, reads=3.5 mR/h"),
        point("found, scale=10 mR/h, true=3.3 mR/h"),
        point("before, scale=10 mR/h, true=3.3 mR/h, reads=3.5 mR/h"),
        point("found, scale=10 mR/h, truth=3.3 mR/h, reads=3.5 mR/h"),
        point("found, scale=10 mR/h, true=3.3 mR/h, reads=5 mR/h") + " --result pass",
        meter(&format!("--on 2026-06-14 {good}")).replace("SM-1", "SM-7"),
        meter(&format!("--on 2026-06-14 {good}")).replace("SM-1", "D-1"),
        "instrument calibrate RM-07 --performed-by Laboratory --on 2026-06-14 \
         --point \"found, true=500 mR/h, reads=510 mR/h\""
            .to_owned(),
        "instrument calibrate PD-07 --performed-by Laboratory --on 2026-06-14 \
         --point \"found, true=100 mR/h, reads=98 mR\""
            .to_owned(),
    ];
    all_refused("calibration", &mut place, &lines);
    place.golden("maintenance-refused-calibration");
}

#[test]
fn an_inspection_that_cannot_be_is_refused() {
    let mut place = kept("maintenance-refused-inspection");
    place.done(
        "inspect enter --item C-1 --on 2026-03-10 --when quarterly --performed-by W07 --counter \
        120 \
         --line \"cable-diameter, value=5.98 mm\"",
    );
    let on = |day: &str, line: &str| {
        format!(
            "inspect enter --item C-1 --on {day} --when quarterly --performed-by W07 --line \
            \"{line}\""
        )
    };
    let at = |line: &str| on("2026-06-14", line);
    let lines = [
        // In another unit, a slip of the point with the last value shown, an item not listed.
        at("cable-diameter, value=6 mR/h"),
        at("cable-diameter, value=60 mm"),
        at("cable-diameter, value=0,185 in"),
        at("cable-diametre, value=6 mm"),
        at("tube-kinks=good"),
        at("crank, value=6 mm"),
        at("crank=defect"),
        at("crank"),
        at("all others=good"),
        at("connector-mating=good"),
        at("connector-mating=good, with=G-1"),
        at("crank=good, with=D-1"),
        on("2026-04-12", "connector-gauge=good, with=S-1"),
        at("crank=good, nota=x"),
        // Not in service, not yet, without a list.
        on("2019-06-14", "crank=good"),
        on("2026-06-16", "crank=good"),
        on("2024-12-31", "crank=good"),
        // Cycles that go backwards.
        at("crank=good") + " --counter 119",
        at("crank=good").replace("C-1", "C-7"),
        at("crank=good") + " --line \"crank=good\"",
        at("crank=good") + " --at 6.20",
        "inspect enter --item C-1 --on 2026-06-14 --when weekly --performed-by W07 \
         --line \"crank=good\""
            .to_owned(),
        "inspect enter --item C-1 --on 2026-06-14 --when daily --line \"crank=good\"".to_owned(),
        "inspect enter".to_owned(),
    ];
    all_refused("inspection", &mut place, &lines);
    place.golden("maintenance-refused-inspection");
}

#[test]
fn what_cannot_have_been_done_to_equipment_is_refused() {
    let mut place = kept("maintenance-refused-equipment");
    place.done("equipment add --id C-2 --type \"control unit\" --serial XC2");
    let fit = |equipment: &str, component: &str, rest: &str| {
        format!(
            "equipment install --equipment {equipment} --component \"{component}\" --performed-by \
            A {rest}"
        )
    };
    let leak = |item: &str, part: &str, rest: &str| {
        format!(
            "equipment leak-test --item {item} --part \"{part}\" --performed-by Laboratory {rest}"
        )
    };
    let good = "--on 2026-06-14 --removable \"12 Bq\"";
    let lines = [
        // One part in two places, a misspelt one, one of another item, one before its time.
        fit(
            "C-2",
            "drive cable",
            "--serial K-17 --installed-on 2026-06-14",
        ),
        fit(
            "C-1",
            "drive cable",
            "--serial K-18 --installed-on 2025-01-06",
        ),
        fit("C-1", "drive cabel", "--installed-on 2026-06-14"),
        fit("G-1", "drive cable", "--installed-on 2026-06-14"),
        fit("C-1", "drive cable", "--installed-on 2019-06-14"),
        fit("C-1", "drive cable", "--installed-on 2026-06-16"),
        fit("SM-1", "drive cable", "--installed-on 2026-06-14"),
        leak("S-1", "source", "--on 2026-06-14 --removable 12"),
        leak("S-1", "source", "--on 2026-06-14 --removable \"12 mR\""),
        leak("S-1", "source", "--on 2026-04-12 --removable \"12 Bq\""),
        leak("D-1", "source", good),
        leak("S-1", "shield tube", good),
        leak("S-1", "capsule", good),
        "equipment inventory --on 2026-06-14 --performed-by A --found \"D-1 S-7\"".to_owned(),
        "equipment inventory --on 2026-06-14 --performed-by A --found \"D-1 S-1 D-1\"".to_owned(),
        "equipment inventory --on 2026-06-16 --performed-by A --found \"D-1 S-1\"".to_owned(),
        "equipment load --device D-1 --source G-1 --on 2026-06-14 --performed-by A".to_owned(),
        "equipment load --device D-1 --source S-1 --on 2026-04-12 --performed-by A".to_owned(),
        "instrument service --instrument SM-1 --on 2024-01-07 --type servicing --what x \
        --performed-by A"
            .to_owned(),
        "instrument service --instrument SM-1 --on 2026-06-14 --type repair --what x \
        --performed-by A"
            .to_owned(),
        "equipment show D-7".to_owned(),
        "wear show D-7".to_owned(),
    ];
    all_refused("equipment", &mut place, &lines);
    place.golden("maintenance-refused-equipment");
}

/// An inspection is read by the list of its day: that list cannot be taken away under it.
#[test]
fn an_adoption_that_inspections_point_to_is_not_voided_and_a_line_can_be_amended() {
    let mut place = kept("maintenance-refused-void");
    place.done(
        "inspect enter --item C-1 --on 2026-06-14 --when daily --performed-by W07 \
         --line \"crank=good\" --line \"connector-mating=good, with=D-1\"",
    );
    place.refused("entry void 28 --reason \"another list\"");
    place.run("entry correct 30 \"remark=in the rain\" --reason \"left out\"");
    place.run("inspect show 31");
    place.refused("entry void 28 --reason \"another list\"");
    place.golden("maintenance-refused-void");
}

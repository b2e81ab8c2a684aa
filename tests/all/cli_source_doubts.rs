//! A source with a nuclide or an activity that no source has: refused or held by the register, by
//! its list and by a correction, as an estimate would.

use super::cli_support::Place;

fn add(id: &str, nuclide: &str, activity: &str) -> String {
    format!(
        "equipment add --id {id} --type \"source assembly\" --serial K-{id} --nuclide {nuclide} \
         --activity \"{activity}\" --activity-on 2026-06-01"
    )
}

#[test]
fn a_nuclide_that_does_not_exist_is_refused_with_near_names() {
    let mut place = Place::with_registers("source-nuclide");
    for (nuclide, near) in [
        ("Se-57", "did you mean `Se-75`"),
        ("Ir-129", "did you mean `Ir-192`"),
        ("Q", "symbol and mass number"),
    ] {
        let said = place.refused(&add("S-9", nuclide, "60 Ci"));
        let err = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(err.contains(near), "{nuclide}: {err}");
    }
    let file = place.file(
        "list.csv",
        "id,type,serial,nuclide,activity,activity_on\n\
         S-8,source assembly,K-8,Se-75,60 Ci,2026-06-01\n\
         S-9,source assembly,K-9,Se-57,60 Ci,2026-06-01\n",
    );
    let said = place.refused(&format!("equipment import {file}"));
    assert!(said.err.contains("line 3"), "{}", said.err);
    // A correction is looked at in the same way.
    let said = place.done(&add("S-9", "Se-75", "60 Ci")).out;
    let entry = said.split_whitespace().find_map(|it| it.strip_suffix(':'));
    let entry = entry.expect("entry N:").to_owned();
    let said = place.refused(&format!(
        "entry correct {entry} nuclide=Se-57 --reason slip"
    ));
    assert!(said.err.contains("Se-75"), "{}", said.err);
}

fn held(place: &Place) -> Vec<(String, String)> {
    let out = place.done("hold list --json").out;
    let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let lines = all["data"]["lines"].as_array().expect("lines").iter();
    let text = |it: &serde_json::Value| it.as_str().unwrap_or_default().to_owned();
    lines
        .map(|it| (text(&it["item"]), text(&it["why"])))
        .collect()
}

#[test]
fn an_activity_that_no_source_of_that_nuclide_has_is_held_until_the_rso_rules() {
    let place = Place::with_registers("source-activity");
    for (id, activity, meant) in [
        ("S-8", "1800 TBq", "was `GBq` meant for `TBq`?"),
        ("S-9", "3 GBq", "was `TBq` meant for `GBq`"),
    ] {
        let said = place.done(&add(id, "Se-75", activity)).out;
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("is on hold, unusual activity"), "{said}");
        assert!(said.contains(meant), "{said}");
        // The same again is the same, held or not.
        let again = place.done(&add(id, "Se-75", activity)).out;
        assert!(again.starts_with("0 written"), "{again}");
    }
    place.done(&add("S-7", "Se-75", "80 Ci"));
    place.done(&add("S-6", "Tm-170", "80 Ci"));
    let all = held(&place);
    let kinds: Vec<&str> = all.iter().map(|it| it.1.as_str()).collect();
    assert_eq!(
        kinds,
        ["unusual activity", "unusual activity", "unusual nuclide"]
    );
    // Ruled upon, or corrected.
    place.done(&format!(
        "hold resolve {} --counts --reason \"certificate seen\"",
        all[0].0
    ));
    let entry = all[1].0.split('.').next().expect("entry").to_owned();
    place.done(&format!(
        "entry correct {entry} \"activity=3 TBq\" --reason \"unit\""
    ));
    assert_eq!(held(&place).len(), 1);
    // A correction to what no source has is held again.
    let said = place.done("equipment list --json").out;
    assert!(said.contains("S-9"), "{said}");
    place.done("ledger verify --full");
}

//! Items that measure wear and have no figures: what they ask for, what they say, and who gives
//! them figures. Every figure here is invented.

use serde_json::Value;

use super::cli_support::Place;

/// The test company with the built-in list, which has no figure of wear.
fn with_built_in(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.done("checklist adopt general --from 2026-01-01");
    place
}

const REST: &str = "--line \"connector-mating=good, with=D-1\" \
     --line \"connector-gauge=good, with=S-1\" --line \"all others=good\"";

fn inspected(on: &str, more: &str) -> String {
    format!(
        "inspect enter --item C-1 --on {on} --at 06:20 --when quarterly --performed-by W07 {more} \
        {REST}"
    )
}

fn json(place: &Place, line: &str) -> Value {
    let out = place.done(&format!("{line} --json")).out;
    serde_json::from_str::<Value>(&out).expect("JSON")["data"].clone()
}

/// The subjects of the open findings of a check.
fn found(place: &Place, check: &str) -> Vec<String> {
    let all = json(place, "findings --from 2026-01-01 --to 2026-06-15");
    let lines = all["lines"].as_array().expect("lines").clone();
    let mine = lines.iter().filter(|it| it["check"] == check);
    mine.map(|it| it["subject"].as_str().expect("a subject").to_owned())
        .collect()
}

const BOTH: [&str; 2] = ["cable-diameter", "cable-connector-tilt"];
const INACTIVE: &str = "until your list or the record of the part gives nominal and limit";

/// The text in one line, as it was before it was wrapped.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Each place where an inactive item says that it is one.
#[test]
fn an_inactive_item_says_so_wherever_it_is_met() {
    let place = with_built_in("inactive-says-so");
    place.done(&inspected(
        "2026-06-10",
        "--line \"cable-diameter, value=2 mm\"",
    ));
    for line in [
        "checklist show general --of \"control unit\"",
        "form inspect C-1 --when quarterly",
        "wear list",
        "wear show C-1",
        "findings --from 2026-01-01 --to 2026-06-15",
    ] {
        let out = flat(&place.done(line).out);
        assert!(out.contains(INACTIVE), "{line}: {out}");
        for key in BOTH {
            assert!(out.contains(key), "{line}: {out}");
        }
    }
    let typed = "2026-06-11\n06:20\nquarterly\nW07\nC-1\ng\ng\ng\n";
    let asked = place.said_at_terminal("inspect enter", typed);
    assert!(flat(&asked.err).contains(INACTIVE), "{}", asked.err);
    let drawn = place.quiet("chart wear C-1 --line cable-diameter --out DIR/c.svg");
    assert_eq!(drawn.code, 1, "{}", drawn.err);
    assert!(flat(&drawn.err).contains("is inactive"), "{}", drawn.err);
    assert!(flat(&drawn.err).contains("equipment install --equipment C-1"));
}

/// Lines of an inspection, and what the import says: whole, a fact, or refused.
#[test]
fn an_inactive_item_is_not_asked_for_and_gets_no_verdict() {
    for (name, more, refused) in [
        ("left-out", "", None),
        ("measured", "--line \"cable-diameter, value=2 mm\"", None),
        ("not-done", "--line \"cable-diameter=not done\"", None),
        (
            "defect",
            "--line \"cable-diameter=defect, note=flat, action=tagged\"",
            None,
        ),
        (
            "good",
            "--line \"cable-diameter=good, value=2 mm\"",
            Some("`good` is a verdict, and `cable-diameter` has none"),
        ),
        (
            "angle",
            "--line \"cable-diameter, value=2 deg\"",
            Some("`2 deg` is an angle and a length is wanted"),
        ),
    ] {
        let place = with_built_in(&format!("inactive-{name}"));
        let said = place.quiet(&inspected("2026-06-10", more));
        if let Some(words) = refused {
            assert_eq!(said.code, 1, "{name}");
            assert!(flat(&said.err).contains(words), "{name}: {}", said.err);
            continue;
        }
        assert_eq!(said.code, 0, "{name}: {}", said.err);
        let all = json(&place, "inspect list C-1 --year 2026");
        assert_eq!(all["lines"][0]["not_done"], Value::Array(vec![]), "{name}");
        // It counts as the periodic inspection, of which each item has its line.
        let due = place.done("equipment due --within 400").out;
        assert!(due.contains("2026-09-10"), "{name}: {due}");
        // A figure is a fact without a verdict: neither past a limit nor a part heading for one.
        for check in ["passed-beyond-limit", "never-measured", "wear-heading"] {
            assert_eq!(found(&place, check), [""; 0], "{name}: {check}");
        }
        let kept = flat(&said.out).contains("C-1 cable-diameter 2 mm is kept without a verdict");
        assert_eq!(kept, name == "measured", "{name}: {}", said.out);
        let wear = json(&place, "wear list");
        assert_eq!(wear["lines"], Value::Array(vec![]), "{name}");
        let facts = wear["inactive"][0]["facts"]
            .as_array()
            .expect("facts")
            .len();
        assert_eq!(facts, usize::from(name == "measured"), "{name}");
        // The bad news stands, whoever gave no limit.
        let defects = found(&place, "used-with-defect");
        assert_eq!(defects.len(), usize::from(name == "defect"), "{name}");
    }
}

#[test]
fn a_prompt_passes_an_inactive_item_over_and_takes_a_figure_of_it() {
    let place = with_built_in("inactive-prompt");
    let head = "2026-06-11\n06:20\nquarterly\nW07\nC-1\n";
    // Three good, diameter and tilt, four good, two mating checks, two good.
    for (two, kept) in [("\n\n", 0), ("g\n\n3\n", 1), ("2.5\n\n", 1)] {
        let typed = format!("{head}g\ng\ng\n{two}g\ng\ng\ng\ng\nD-1\ng\nS-1\ng\ng\nno\n");
        let said = place.said_at_terminal("inspect enter", &typed);
        let text = flat(&said.err);
        assert!(text.contains("error: nothing was written"), "{text}");
        let counted = match kept {
            0 => "11 good, no defect".to_owned(),
            count => format!("11 good, {count} measured, no defect"),
        };
        assert!(text.contains(&counted), "{two}: {text}");
    }
}

/// Whether the list gives figures, and the limit by the record of the part; then the limit that
/// holds, and what is said of whose it is.
const GIVEN: &[(bool, &str, &str, &str)] = &[
    (true, "", "not below 5.8 mm", ""),
    (
        false,
        "6 mm",
        "not below 6 mm",
        "by the record of the part, entry",
    ),
    (true, "6 mm", "not below 6 mm", "the list has 5.8 mm"),
    (
        true,
        "5.5 mm",
        "not below 5.5 mm",
        "the list has 5.8 mm, which is tighter",
    ),
];

/// The item is then judged, and the finding is gone for it.
#[test]
fn a_list_of_the_site_or_the_record_of_the_part_makes_an_item_active() {
    let fit = "equipment install --equipment C-1 --component \"drive cable\" --installed-on \
        2026-01-05 \
               --performed-by W07 --line cable-diameter --nominal \"6.2 mm\" --limit";
    for (by_list, by_part, limit, of) in GIVEN {
        let name = format!("inactive-active-{by_list}-{}", by_part.replace(' ', "-"));
        let place = with_built_in(&name);
        place.done(&inspected(
            "2026-05-10",
            "--line \"cable-diameter, value=6.1 mm\"",
        ));
        assert_eq!(found(&place, "inactive-item").len(), 2, "{name}");
        if *by_list {
            place.adopt_own_list("2026-06-01");
        }
        if !by_part.is_empty() {
            place.done(&format!("{fit} \"{by_part}\""));
        }
        let wear = json(&place, "wear list");
        let lines = wear["lines"].as_array().expect("lines");
        let line = lines.iter().find(|it| it["line"] == "cable-diameter");
        let line = line.unwrap_or_else(|| panic!("{name}: {wear}"));
        assert_eq!(line["limit"], *limit, "{name}");
        // What was measured before is a point of the line.
        assert_eq!(line["points"], 1, "{name}");
        let said = line["limit_of"].as_str().unwrap_or_default();
        assert_eq!(said.is_empty(), of.is_empty(), "{name}");
        assert!(said.contains(of), "{name}: {said}");
        let (open, tilt): (&[&str], &str) = match by_list {
            true => (&[], "--line \"cable-connector-tilt, value=2 deg\" "),
            false => (&["cable-connector-tilt"], ""),
        };
        assert_eq!(found(&place, "inactive-item"), open, "{name}");
        let shown = flat(&place.done("form inspect C-1 --when quarterly").out);
        assert!(
            shown.contains(&format!("Limit: {limit}")),
            "{name}: {shown}"
        );
        // A figure between the two limits is judged by the one that holds.
        let past = format!("{tilt}--line \"cable-diameter=good, value=5.9 mm\"");
        let said = flat(&place.done(&inspected("2026-06-10", &past)).out);
        let beyond = *by_part == "6 mm";
        assert_eq!(said.contains("STOP"), beyond, "{name}: {said}");
        let by = said.contains("by the record of the part, entry");
        assert!(by || !beyond, "{said}");
    }
}

/// A new part has its own figures, or none: those of the part before do not pass to it.
#[test]
fn the_figures_of_a_part_end_with_it() {
    let place = with_built_in("inactive-next-part");
    let fit = "equipment install --equipment C-1 --component \"drive cable\" --performed-by W07 \
        --installed-on";
    let figures = "--line cable-diameter --nominal \"6 mm\" --limit \"5.8 mm\"";
    place.done(&format!("{fit} 2026-01-05 {figures}"));
    let past = "--line \"cable-diameter=good, value=5.7 mm\"";
    place.done(&inspected("2026-05-10", past));
    assert_eq!(found(&place, "passed-beyond-limit").len(), 1);
    place.done(&format!("{fit} 2026-06-01"));
    assert_eq!(found(&place, "inactive-item").len(), 2);
    // What the earlier part was found to be stands.
    assert_eq!(found(&place, "passed-beyond-limit").len(), 1);
    let shown = flat(&place.done("equipment show C-1").out);
    assert!(
        shown.contains("cable-diameter: new 6 mm, limit 5.8 mm"),
        "{shown}"
    );
    assert_eq!(
        place.quiet(&inspected("2026-06-10", past)).code,
        1,
        "no verdict any more"
    );
}

/// A ledger whose list had figures keeps them: its text is what was adopted.
#[test]
fn an_older_list_with_figures_is_read_as_it_was_adopted() {
    let place = Place::with_registers("inactive-older");
    place.adopt_own_list("2026-01-01");
    let tilt = "--line \"cable-connector-tilt, value=2 deg\"";
    place.done(&inspected(
        "2026-05-10",
        &format!("{tilt} --line \"cable-diameter, value=5.7 mm\""),
    ));
    place.done(&inspected("2026-05-11", tilt).replace(REST, ""));
    place.done("checklist adopt general --from 2026-06-01");
    assert_eq!(found(&place, "passed-beyond-limit"), ["C-1-cable-diameter"]);
    let all = json(&place, "inspect list C-1 --year 2026");
    let left: Vec<usize> = all["lines"]
        .as_array()
        .expect("lines")
        .iter()
        .map(|it| it["not_done"].as_array().expect("a list").len())
        .collect();
    assert_eq!(
        left,
        [0, 12],
        "an item with a limit is asked for, as it was then"
    );
}

/// What a record of a part cannot say.
#[test]
fn figures_of_a_part_that_cannot_be_are_refused() {
    let mut place = with_built_in("inactive-refused");
    let fit = |component: &str, more: &str| {
        format!(
            "equipment install --equipment C-1 --component \"{component}\" --installed-on \
            2026-06-01 \
             --performed-by W07 {more}"
        )
    };
    for (component, more) in [
        ("drive cable", "--limit \"5.8 mm\""),
        ("drive cable", "--line cable-diameter --nominal \"6 mm\""),
        (
            "drive cable",
            "--line cable-diametre --nominal \"6 mm\" --limit \"5.8 mm\"",
        ),
        (
            "drive cable",
            "--line cable-connector-tilt --nominal \"0 deg\" --limit \"9 deg\"",
        ),
        (
            "drive cable",
            "--line cable-whole --nominal \"6 mm\" --limit \"5.8 mm\"",
        ),
        (
            "drive cable",
            "--line cable-diameter --nominal \"6 mm\" --limit \"9 deg\"",
        ),
        (
            "drive cable",
            "--line cable-diameter --nominal \"6 mm\" --limit 6,2",
        ),
        (
            "drive cable",
            "--line cable-diameter --nominal \"5.8 mm\" --limit \"6 mm\"",
        ),
    ] {
        place.refused(&fit(component, more));
    }
    place.refused(
        "equipment install --equipment D-1 --component shielding --installed-on 2026-06-01 \
        --performed-by W07 \
         --line device-surface-rate --nominal \"20 mR/h\" --limit \"900 mR/h\"",
    );
    place.golden("inactive-refused");
}

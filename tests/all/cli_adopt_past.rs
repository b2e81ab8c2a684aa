//! A rule set adopted for days that are past: what it changes is told first, needs a reason, and
//! takes away no duty that had begun.

use super::cli_support::{Place, crew};

const LATER: &str = "2026-06-30T12:00:00Z";

/// A month with an event under 10 CFR, and a crew that dropped no meter.
fn place(name: &str) -> Place {
    let mut place = Place::with_registers(name);
    place.hand_in(&crew("2026-06-12", "day"));
    place.done(
        "event open --kind disconnect --occurred 2026-06-12T10:00 --equipment D-1 \
         --person \"W07=cranked\" --words \"the source stayed out\"",
    );
    place.done(
        "worker add --id W20 --name \"Kit Young\" --role assistant --birth-date 2009-03-14 \
         --monitored-from 2026-01-01",
    );
    place.turn_to("wearbook.db", LATER);
    place
}

#[test]
fn adopting_for_past_days_lists_what_it_changes_and_wants_a_reason() {
    let mut place = place("adopt-past");
    let before = place.done("findings --from 2026-06-01 --to 2026-06-29").out;
    let refused = place.refused("rules adopt IAEA --from 2026-06-01");
    let said = refused.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("needs a reason"), "{said}");
    assert!(said.contains("findings that come"), "{said}");
    assert!(
        said.contains("stop W20: under 18 and no apprentice"),
        "{said}"
    );
    assert_eq!(
        place.done("findings --from 2026-06-01 --to 2026-06-29").out,
        before
    );
    let adopted = place.done("rules adopt IAEA --from 2026-06-01 --reason \"moved to Lagos\"");
    assert!(adopted.out.contains("stop W20"), "{}", adopted.out);
    let entries = place.done("rules list").out;
    assert!(entries.contains("IAEA"), "{entries}");
    place.golden("adopt-past");
}

#[test]
fn adopting_from_a_day_to_come_needs_no_reason() {
    let place = place("adopt-ahead");
    place.done("rules adopt IAEA --from 2026-07-01");
}

#[test]
fn a_duty_that_had_begun_stays_with_its_citation() {
    let place = place("adopt-duty");
    let cited = "10 CFR 30.50(b)";
    let before = place.done("report show E-1").out;
    assert!(before.contains(cited), "{before}");
    place.done("rules adopt IAEA --from 2026-06-01 --reason moved");
    let after = place.done("report show E-1").out;
    let words = after.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(cited), "{after}");
    assert!(words.contains("begun under 10 CFR"), "{after}");
    // It can still be done, and then is.
    let open = place.quiet("report show E-1 --check");
    assert_eq!(open.code, 3, "{}", open.out);
}

#[test]
fn a_duty_that_began_and_stands_in_the_newer_rules_too_is_one_line() {
    let place = place("adopt-one-line");
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/state-rules.toml");
    place.done("entry correct 1 jurisdiction=Merrowan --reason \"the license is the state's\"");
    place.done(&format!(
        "rules adopt {file} --from 2026-06-01 --reason moved"
    ));
    let out = place.done("report show E-1 --json").out;
    let data: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let mut seen = std::collections::BTreeSet::new();
    let lines = data["data"]["clocks"].as_array().expect("clocks");
    let lines = lines.iter().filter(|it| !it["start"].is_null());
    for line in lines.clone() {
        let name = format!("{} from {}", line["duty"], line["start"]);
        assert!(seen.insert(name.clone()), "{name} stands twice: {out}");
    }
    assert!(seen.len() > 3, "{out}");
    let both = lines.filter(|it| {
        let because = it["because"].to_string();
        because.contains("begun under 10 CFR") && because.contains("the same duty of Merrowan")
    });
    assert!(both.count() > 0, "{out}");
}

//! The draft of a report on an event: what it asks for, what it says was done, and whom it hides.

use super::cli_maintenance_shown::{kept, measured};
use super::cli_support::Place;

fn draft(place: &Place, folder: &str) -> String {
    place.done(&format!("report draft E-1 --out DIR/{folder}"));
    let file = place.dir.join(folder).join("E-1-report.md");
    let text = std::fs::read_to_string(file).expect("the draft");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const QUALIFIED: &str = "worker qualification --worker W07 --type certification --on 2026-01-05 \
     --until 2030-01-05 --performed-by x";

/// Somebody of the public has no qualification to be missing; a radiographer without one has.
#[test]
fn what_is_missing_is_asked_only_of_whom_it_can_be_missing_of() {
    let place = kept("draft-missing");
    place.done(QUALIFIED);
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --job J-1 --equipment D-1 \
         --person \"W07=cranked\" --words \"it stayed out\"",
    );
    place.done(
        "event person E-1 --bystander \"two walkers=walked past; member of the public; 2 people; 1 \
         to 2 mrem\"",
    );
    let text = draft(&place, "one");
    assert!(!text.contains("qualifications of person"), "{text}");
    assert!(!text.contains("the dose of person"), "{text}");
    place.done("event person E-1 --person W08=watched");
    let text = draft(&place, "two");
    assert!(
        text.contains("MISSING: qualifications of assistant"),
        "{text}"
    );
}

/// Where no component failed, the report of a dose asks for none.
#[test]
fn contents_of_a_component_are_asked_for_only_where_one_may_have_failed() {
    let place = kept("draft-component");
    place.done(
        "event open --kind overexposure --occurred 2026-06-14T13:40 --job J-1 \
         --person \"W07=stood near\" --words \"he went in\"",
    );
    let asked = "where a safety component failed, maker and model";
    assert!(
        draft(&place, "before").contains(asked),
        "{}",
        draft(&place, "open")
    );
    place.done("event cause E-1 --human survey-not-made --because \"he said so\"");
    place.done("report answer E-1 component-failed no --because \"all of it was looked at\"");
    assert!(
        !draft(&place, "after").contains(asked),
        "{}",
        draft(&place, "no")
    );
}

/// A plan that was carried out is what was done, and so is what became of the equipment.
#[test]
fn a_draft_says_what_was_done() {
    let place = kept("draft-done");
    measured(&place, "2026-06-10", "5.85 mm");
    for line in [
        "event open --kind disconnect --occurred 2026-06-11T13:40 --job J-1 --equipment C-1 \
         --person \"W07=cranked\" --words \"it stayed out\"",
        "event action E-1 --words \"gauge every cable\" --performed-by W01 --due 2026-06-13",
        "equipment install --equipment C-1 --component \"drive cable\" --installed-on 2026-06-12 \
         --performed-by W01 --serial K-18",
        "equipment out-of-service --item C-1 --on 2026-06-11 --reason \"cable frayed\" \
        --performed-by W01",
        "report done E-1 call-30-50-b --performed-by W01 --to \"the duty officer\" \
         --at 2026-06-11T16:20 --reference 57001",
    ] {
        place.done(line);
    }
    let text = draft(&place, "planned");
    assert!(
        text.contains("gauge every cable (planned, by 2026-06-13)"),
        "{text}"
    );
    let plan = place.done("event show E-1").out;
    let plan = plan.split("--carries-out ").nth(1).expect("a plan");
    let plan = plan
        .split_whitespace()
        .next()
        .expect("its entry")
        .to_owned();
    place.done(&format!(
        "event action E-1 --words \"every cable was gauged\" --performed-by W01 --done 2026-06-13 \
         --carries-out {plan}"
    ));
    let text = draft(&place, "done");
    for wanted in [
        "every cable was gauged (done 2026-06-13)",
        "2026-06-12: C-1: drive cable installed, serial K-18",
        "2026-06-11: C-1: out of service: cable frayed",
        "done: the duty officer notified on 2026-06-11 16:20 -05:00, number 57001",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    assert!(!text.contains("(planned"), "{text}");
}

/// Ids that may be ordinary words stay and are told; whoever is surely meant is hidden.
#[test]
fn an_id_that_is_a_word_is_told_and_not_masked() {
    let place = kept("draft-ids");
    let file = place.file(
        "more.csv",
        "id,name,role,category,birth_date,monitored_from\n\
         lead,Ebba Quarry,radiographer,exposed,1984-08-17,2018-03-12\n\
         W0,Odo Lintel,radiographer,exposed,1984-08-17,2018-03-12\n",
    );
    place.done(&format!("worker import {file}"));
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --job J-1 --equipment D-1 \
         --person \"W07=cranked\" --words \"W07 and W0 held a lead plate by weld W0-12\"",
    );
    let text = draft(&place, "ids");
    let wanted = "radiographer A and another employee held a lead plate by weld W0-12";
    assert!(text.contains(wanted), "{text}");
    let said = place.done("report draft E-1 --out DIR/again").out;
    assert!(said.contains("check lead"), "{said}");
}

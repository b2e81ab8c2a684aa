//! What somebody meets who walks through the records: nothing reads as more or other than it is.

use super::cli_demo::{data, demo, list};
use super::cli_maintenance_shown::kept;
use super::cli_support::{Place, crew, data_of};

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// W20 is registered and W09 too, and neither is on a sheet.
fn worked(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.done(
        "worker add --id W20 --name \"Noor Unmet\" --role assistant --birth-date 1990-02-02 \
         --monitored-from 2026-01-01",
    );
    place.hand_in(&crew("2026-06-12", "day"));
    place
}

/// No figure, no share and no allowance of a person of whom nothing is on record.
#[test]
fn nobody_has_an_allowance_a_rate_or_a_zero_beside_no_record() {
    let place = worked("walked-none");
    let crew = data_of(&place, "dose crew --year 2026");
    let line = |id: &str| {
        let mut lines = list(&crew["lines"]).iter();
        lines.find(|it| it["worker"] == id).expect(id).clone()
    };
    assert_eq!(line("W20")["total"]["short"], "no record");
    assert!(line("W20")["nearest"].is_null(), "{}", line("W20"));
    assert!(!line("W07")["nearest"].is_null(), "{}", line("W07"));
    let review = data_of(&place, "review 2026-06 --on 2026-06-15");
    let person = |id: &str| {
        let mut people = list(&review["people"]).iter();
        people.find(|it| it["worker"] == id).expect(id).clone()
    };
    for field in ["month", "quarter", "year", "conservative"] {
        assert_eq!(person("W20")[field]["short"], "no record", "{field}");
        assert_ne!(person("W07")[field]["short"], "no record", "{field}");
    }
    for part in ["of_record", "provisional"] {
        assert_eq!(person("W20")["year"][part]["shown"], "-", "{part}");
    }
    assert_eq!(person("W20")["change"], "-");
    assert!(person("W20")["nearest"].is_null());
    let ahead = data_of(&place, "dose forecast W20 --on 2026-06-15");
    assert_eq!(ahead["so_far"]["shown"], "no record");
    let why = ahead["withheld"].as_str().expect("why");
    assert!(why.contains("holds nothing of this person"), "{why}");
    assert!(ahead["at_plain_rate"].is_null(), "{ahead}");
    let ahead = data_of(&place, "dose forecast W07 --on 2026-06-15");
    assert!(ahead["withheld"].is_null() && !ahead["at_plain_rate"].is_null());
}

/// A shift that never was is no source of a dose: of whom no sheet names that is said.
#[test]
fn a_notification_names_the_shift_only_of_who_was_on_one() {
    let place = worked("walked-notice");
    for line in [
        "event open --kind disconnect --occurred 2026-06-12T13:40 --job J-1 --equipment D-1 \
         --person \"W07=cranked\" --person \"W09=kept the gate\" --words \"source out\"",
        "determination enter --worker W09 --first-day 2026-06-12 --last-day 2026-06-12 \
         --quantity deep --relation replaces --dose \"3 mrem\" --method co-worker \
         --basis \"stood behind the hill\" --on 2026-06-14 --performed-by W01",
    ] {
        place.done(line);
    }
    let notification = data_of(&place, "report show E-1");
    let of = |id: &str| {
        let mut people = list(&notification["people"]).iter();
        people.find(|it| it["person"] == id).expect(id)["of"].clone()
    };
    assert_eq!(of("W07"), "the shift of 2026-06-12");
    assert_eq!(of("W09"), "2026-06-12, on no sheet");
}

/// Whom it is about and the day alone do not say what somebody has to do.
#[test]
fn the_board_says_what_falls_due_within_thirty_days() {
    let place = worked("walked-due");
    place.done(
        "worker qualification --worker W07 --type certification --on 2024-01-02 --performed-by x",
    );
    for (worker, on) in [("W07", "2025-07-01"), ("W08", "2025-07-05")] {
        place.done(&format!(
            "worker qualification --worker {worker} --type \"refresher training\" --on {on} \
            --performed-by x"
        ));
    }
    let board = flat(&place.quiet("board --on 2026-06-15").out);
    assert!(board.contains("more within 30 days: "), "{board}");
    assert!(
        board.contains("refresher training: W07 07-01, W08 07-05"),
        "{board}"
    );
}

/// The looks stand on the form of the day, of what is kept and carried, and nothing of what is
/// found in them.
#[test]
fn the_days_form_lists_the_looks_at_the_place_and_the_vehicle() {
    let place = kept("walked-form");
    let form = |line: &str| flat(&place.done(&format!("form inspect {line}")).out);
    for (line, wanted) in [
        ("D-1", true),
        ("D-1 --when quarterly", false),
        ("SM-1", false),
        ("C-1", false),
    ] {
        let form = form(line);
        for inspection in [
            "vehicle controls: ",
            "storage controls: ",
            "10 CFR 37.53 (to be confirmed)",
        ] {
            assert_eq!(
                form.contains(inspection),
                wanted,
                "{line}: {inspection}: {form}"
            );
        }
    }
}

/// A problem that was found and mended before a job began is no paper of it.
#[test]
fn a_pack_has_the_problems_of_its_job_and_those_still_open() {
    let problems = |job: &str| {
        let pack = data(&format!("pack {job} --on 2026-06-05"));
        let mut parts = list(&pack["parts"]).iter();
        let part = parts.find(|it| it["key"] == "problems").expect("the part");
        part["rows"].to_string()
    };
    let later = problems("JOB-12");
    assert!(!later.contains("2025-05-05"), "{later}");
    let own = problems("JOB-11");
    assert!(own.contains("cable-diameter"), "{own}");
}

/// Where readings are no sum there is no ratio of them.
#[test]
fn no_ratio_stands_beside_readings_that_are_no_sum() {
    let all = data("dose reconcile --from 2025-03-01 --to 2026-06-05 --on 2026-06-05");
    let mut met = 0;
    for line in list(&all["lines"]) {
        let is_sum = !line["agreement"].to_string().contains("no sum");
        if !is_sum {
            assert_eq!(line["ratio"], "-", "{line}");
            met += 1;
        }
    }
    assert!(met > 0, "none was met");
}

/// Under levels stand levels; an instrument's check and a qualification have their own places.
#[test]
fn a_review_has_levels_qualifications_and_instruments_apart() {
    let review = data("review 2026-05 --on 2026-05-31");
    let section = |key: &str| {
        let mut all = list(&review["sections"]).iter();
        let section = all.find(|it| it["key"] == key).expect(key);
        section["lines"].to_string()
    };
    for (words, wanted) in [
        ("pocket dosimeter PD-04", "maintenance"),
        ("unescorted access", "people"),
        ("site-investigation-quarter", "levels"),
    ] {
        for key in ["levels", "people", "maintenance"] {
            assert_eq!(
                section(key).contains(words),
                key == wanted,
                "{words}, {key}"
            );
        }
    }
}

/// W11's year has a share of a badge in it: a tenth of a millirem on the screen, all of it in data.
#[test]
fn no_screen_of_the_demo_has_a_dose_finer_than_a_tenth_of_a_millirem() {
    for line in [
        "dose crew --year 2026 --on 2026-05-31",
        "dose show W11 --year 2026 --on 2026-05-31",
        "review 2026-05 --on 2026-05-31",
        "worker show W11 --on 2026-05-31",
    ] {
        let said = demo().place.quiet(line).out;
        assert!(!said.contains("1751.5958"), "{line}: {said}");
        assert!(said.contains("1751.6"), "{line}: {said}");
        assert!(flat(&said).contains("rounded up"), "{line}: {said}");
    }
    let csv = demo()
        .place
        .quiet("dose crew --year 2026 --on 2026-05-31 --csv")
        .out;
    assert!(csv.contains("1751.5958"), "{csv}");
    let all = data("dose crew --year 2026 --on 2026-05-31");
    let mut lines = list(&all["lines"]).iter();
    let line = lines.find(|it| it["worker"] == "W11").expect("W11");
    assert_eq!(line["total"]["known_nsv"], 17_515_958);
}

//! The records that an inspector asks for: each question with its answer on a small ledger, what a
//! record lacks, what is out, and that the parts of a dose add up.

use serde_json::Value;

use super::cli_notification::disconnected;
use super::cli_support::{NOW, Place, crew, data_of, row};

/// The fifteen months of the lists below.
const DAYS: &str = "--from 2025-01-01 --to 2026-06-15";

/// Every list, with the days of the tests.
const LISTS: &[&str] = &[
    "records utilization",
    "records inventories",
    "records sources",
    "records leak-tests",
    "records calibrations",
    "records lapsed",
    "records tracking",
    "records yearly-reports",
    "worker show W07",
    "dose breakdown",
];

/// A company that keeps everything, with one thing of each that went otherwise.
fn kept(name: &str) -> Place {
    let place = Place::with_registers(name);
    for line in [
        "job add --id J-3 --place \"Mill <north> (invented)\" --jurisdiction NRC --setting \
         \"temporary jobsite\" --zone America/Chicago --client \"Invented Pipelines\"",
        "equipment add --id S-2 --type \"source assembly\" --maker \"Invented Works\" --model \
         \"Pigtail <Ir>\" --serial XS2 --nuclide Ir-192 --activity \"100 Ci\" --activity-on \
         2026-06-01 --in-service 2026-06-03 --received-on 2026-06-02 --received-from \
         \"Invented Works\" --received-by \"Adaeze Hollow\" --shipping-paper \"SP-118 of \
         2026-06-01\"",
        "equipment load --device D-1 --source S-1 --on 2026-04-13 --performed-by \"Adaeze Hollow\"",
        "equipment load --device D-1 --source S-2 --on 2026-06-14 --performed-by \"Mirko \
        Sandpiper\"",
        "equipment out-of-service --item S-1 --on 2026-06-14 --reason \"exchanged\" --performed-by \
         \"Adaeze Hollow\" --transferred-to \"Invented Works, license 00-0001\" \
         --shipping-paper \"SP-119 of 2026-06-14\"",
        "equipment inventory --on 2026-04-20 --performed-by \"Adaeze Hollow\" --found \"D-1 S-1\" \
         --location vault",
        "equipment inventory --on 2026-06-10 --performed-by \"Adaeze Hollow\" --found \"D-1 S-1\" \
        --note \
         \"S-2 still in its crate?\"",
        "equipment leak-test --item S-1 --on 2026-06-14 --part source --removable \"185 Bq\" \
         --performed-by \"Wipe Laboratory (invented)\" --certificate W-2",
        "instrument calibrate SM-1 --on 2026-06-08 --performed-by \"Cal Lab (invented)\" --point \
         \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.5 mR/h\" --point \
         \"found, scale=10 mR/h, true=6.7 mR/h, reads=9.9 mR/h\"",
        "instrument add --id SM-2 --type \"survey meter\" --serial S2 --scale digital --scales \
         \"10 mR/h\" --in-service 2024-01-08",
        "worker qualification --worker W07 --type certification --on 2024-03-01 --until \
         2026-05-31 --performed-by \"State Office (invented)\"",
        "worker qualification --worker W07 --type \"refresher training\" --on 2025-09-01 \
        --performed-by \
         \"Adaeze Hollow\" --note \"surveys, the retrieval of 2024\"",
        "worker qualification --worker W07 --type \"job performance inspection\" --on 2026-03-02 \
        --performed-by \
         \"Adaeze Hollow\"",
    ] {
        place.done(line);
    }
    let at_mill = |it: String| it.replace("J-1,", "J-3,");
    let rows = [
        crew("2025-06-10", "day"),
        crew("2026-05-29", "night"),
        at_mill(crew("2026-06-11", "day")),
        crew("2026-06-12", "day"),
        row(
            "2026-06-13",
            "day",
            "W07,radiographer,EL-01,1,40,165,no,RM-07,yes,yes",
        ),
    ];
    place.hand_in(&(rows.concat()));
    let plain = "day,shift,job,work,worker,role,dosimeter,start,end\n\
                 2026-06-14,day,J-2,maintenance,W08,assistant,PD-08,0 mR,2 mR\n";
    let file = place.file("bench.csv", plain);
    place.done(&format!("sheet import {file}"));
    place
}

/// The entry of a day's sheet.
fn entry_of(place: &Place, day: &str) -> i64 {
    let log = data_of(place, &format!("records utilization {DAYS}"));
    let rows = rows(&log, "uses");
    let mine = rows.iter().find(|it| it["day"] == day);
    mine.and_then(|it| it["entry"].as_i64()).expect("a use")
}

fn rows(data: &Value, part: &str) -> Vec<Value> {
    let parts = data["parts"].as_array().expect("parts");
    let part = parts.iter().find(|it| it["key"] == part).expect("the part");
    part["rows"].as_array().expect("rows").clone()
}

#[test]
fn every_question_of_an_inspector_has_its_answer() {
    for (name, line) in [
        ("records-utilization", "records utilization --source S-1"),
        ("records-inventories", "records inventories"),
        ("records-sources", "records sources"),
        ("records-leak-tests", "records leak-tests"),
        (
            "records-calibrations",
            "records calibrations --instrument SM-1",
        ),
        ("records-lapsed", "records lapsed"),
        ("records-yearly-reports", "records yearly-reports"),
        ("records-worker", "worker show W07"),
        ("records-breakdown", "dose breakdown"),
    ] {
        let mut place = kept(name);
        // A person's file is of all days, and a dose is compared with the year before.
        let days = if line.starts_with("records") {
            DAYS
        } else {
            ""
        };
        for form in ["", " --csv"] {
            assert_eq!(place.run(format!("{line} {days}{form}").trim()).code, 0);
        }
        place.golden(name);
    }
}

#[test]
fn no_list_is_wider_than_a_terminal_and_each_is_a_page_of_its_own() {
    let place = kept("records-pages");
    for line in LISTS {
        let text = place.done(&format!("{line} {DAYS}")).out;
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        place.done(&format!("{line} {DAYS} --out DIR/papers"));
    }
    let pages = std::fs::read_dir(place.path("papers")).expect("the folder");
    let pages = pages.map(|it| it.expect("a file").path());
    let pages: Vec<_> = pages
        .filter(|it| it.extension().is_some_and(|it| it == "html"))
        .collect();
    assert_eq!(pages.len(), LISTS.len());
    for path in pages {
        let page = std::fs::read_to_string(&path).expect("a page");
        for bad in ["http", "<script", "<link", "Mill <north>", "Pigtail <Ir>"] {
            assert!(!page.contains(bad), "{}: {bad}", path.display());
        }
    }
    let page = std::fs::read_to_string(place.path("papers/utilization.html")).expect("the log");
    assert!(page.contains("Mill &lt;north&gt; (invented)"), "{page}");
}

#[test]
fn what_an_entry_does_not_say_is_not_on_record_and_never_filled_in() {
    let place = kept("records-lacking");
    let log = data_of(&place, &format!("records utilization {DAYS}"));
    let first = rows(&log, "uses").remove(0);
    assert_eq!(first["maker"], Value::Null, "{first}");
    assert_eq!(first["serial"], "XD1");
    // A device has no nuclide: there is nothing to say, and so nothing is lacking.
    let seen = data_of(&place, &format!("records inventories {DAYS}"));
    let device = rows(&seen, "seen").remove(0);
    assert_eq!(device["item"], "D-1");
    assert!(device.get("nuclide").is_none(), "{device}");
    let csv = place.done(&format!("records utilization {DAYS} --csv")).out;
    assert!(csv.contains("D-1,not on record,not on record,XD1"), "{csv}");
    // Of five sheets with a device one is named otherwise; the bench has neither.
    assert_eq!(rows(&log, "uses").len(), 5);
    let said = place.done(&format!("records utilization {DAYS}")).out;
    assert!(
        said.contains("1 sheet of these days names neither a device"),
        "{said}"
    );
}

#[test]
fn a_receipt_is_added_by_the_amendment_that_the_list_names() {
    let place = kept("records-receipt");
    let lacking = |place: &Place| {
        let data = data_of(place, &format!("records sources {DAYS}"));
        rows(&data, "no_receipt")
    };
    let entry = lacking(&place)[0]["entry"].as_i64().expect("an entry");
    place.done(&format!(
        "entry correct {entry} received_on=2026-04-10 \"received_from=Invented Works\" \
         \"received_by=Adaeze Hollow\" \"shipping_paper=SP-90 of 2026-04-09\" --reason \"from the \
         binder\""
    ));
    assert_eq!(lacking(&place).len(), 0);
    let data = data_of(&place, &format!("records sources --source S-1 {DAYS}"));
    let first = rows(&data, "history").remove(0);
    assert_eq!(
        (&first["on"], &first["what"]),
        (&"2026-04-10".into(), &"received".into())
    );
    assert_eq!(first["shipping_paper"], "SP-90 of 2026-04-09");
}

#[test]
fn a_night_ends_on_the_day_after_and_a_source_that_no_sheet_names_is_marked() {
    let place = kept("records-night");
    let out = row(
        "2026-06-09",
        "night",
        "W07,radiographer,PD-07,1,0,3,no,RM-07,yes,yes",
    )
    .replace("06:30,15:20", "20:30,05:40")
    .replace(",S-1,", ",,");
    place.hand_in(&out);
    let log = data_of(&place, &format!("records utilization --source S-1 {DAYS}"));
    let rows = rows(&log, "uses");
    let night = rows
        .iter()
        .find(|it| it["day"] == "2026-06-09")
        .expect("the night");
    assert_eq!(night["out"], "2026-06-09 20:30");
    assert_eq!(night["back"], "2026-06-10 05:40");
    assert_eq!(night["source"], "S-1 (as loaded)");
    assert_eq!(night["source_serial"], "XS1");
}

#[test]
fn voided_entries_are_out_and_amended_ones_as_they_stand() {
    let place = kept("records-void");
    let count = |place: &Place| {
        let log = data_of(place, &format!("records utilization {DAYS}"));
        rows(&log, "uses").len()
    };
    assert_eq!(count(&place), 5);
    let entry = entry_of(&place, "2026-06-13");
    // After it the bench was written.
    let before = entry + 1;
    place.done(&format!("entry void {entry} --reason \"another crew's\""));
    assert_eq!(count(&place), 4);
    let entry = entry_of(&place, "2026-06-12");
    place.done(&format!(
        "entry correct {entry} job=J-2 --reason \"it was the bay\""
    ));
    let log = data_of(&place, &format!("records utilization --job J-2 {DAYS}"));
    assert_eq!(rows(&log, "uses").len(), 1);
    let before = data_of(
        &place,
        &format!("records utilization {DAYS} --known-at {before}"),
    );
    assert_eq!(rows(&before, "uses").len(), 5);
}

#[test]
fn what_is_not_covered_is_never_a_zero_of_record() {
    let place = kept("records-covered");
    for (line, words) in [
        (
            "records leak-tests --year 2020",
            "The ledger began on 2026-06-15",
        ),
        ("records leak-tests --year 2020", "Nothing on record."),
        (
            "records lapsed --year 2027 --on 2026-06-15",
            "These days are after 2026-06-15.",
        ),
        ("worker show W07 --year 2024", "no record"),
        (
            "dose breakdown --year 2024",
            "No sheet and no dose of these days is on record.",
        ),
        (
            "dose breakdown --year 2025",
            "of which the ledger holds nothing",
        ),
    ] {
        let said = place.done(line).out;
        assert!(said.contains(words), "{line}: {said}");
    }
    let bare = Place::with_registers("records-bare");
    let said = bare.done("records lapsed").out;
    assert!(said.contains("No qualification is on record"), "{said}");
    let said = bare.done("records inventories").out;
    assert!(said.contains("No inventory is on record"), "{said}");
}

#[test]
fn a_rule_set_without_the_rule_says_so_and_names_no_other_law() {
    let place = Place::empty("records-elsewhere");
    place.done(
        "ledger new --license 1 --licensee \"Heron (invented)\" --site Yard --zone \
         Europe/Berlin --rso \"Adaeze Hollow\" --rule-set EU",
    );
    for line in LISTS.iter().filter(|it| !it.contains("W07")) {
        let said = place.done(&format!("{line} {DAYS}")).out;
        let lists_calibrations = line.contains("lapsed") || line.contains("leak");
        assert!(!said.contains("CFR"), "{line}: {said}");
        assert!(
            lists_calibrations || said.contains("no rule text here"),
            "{line}: {said}"
        );
    }
}

/// Sums the doses of the rows but the last, which is the whole.
fn sum_and_whole(rows: &[Value], column: &str) -> (i64, i64) {
    let nsv = |row: &Value| row[column]["nsv"].as_i64();
    let (whole, parts) = rows.split_last().expect("rows");
    assert_eq!(whole[whole_name(whole)], "whole");
    (parts.iter().filter_map(nsv).sum(), nsv(whole).unwrap_or(0))
}

fn whole_name(row: &Value) -> &'static str {
    let names = ["job", "client", "work", "crew"];
    names
        .into_iter()
        .find(|it| row.get(it).is_some())
        .expect("a group")
}

#[test]
fn the_rows_of_a_breakdown_add_up_to_the_collective_dose_with_what_belongs_to_no_sheet() {
    let place = kept("records-sums");
    // A badge of a month with a reading in it, and one of a month in which nobody worked.
    for line in [
        "badge issue --badge B-5 --type \"whole body\" --worker W07 --first-day 2026-05-01 \
         --last-day 2026-05-31",
        "badge issue --badge B-4 --type \"whole body\" --worker W08 --first-day 2026-04-01 \
         --last-day 2026-04-30",
        "badge result --badge B-5 --report R-1 --reported-on 2026-06-10 --unit mrem --deep 31 \
         --lens 31 --shallow 31",
        "badge result --badge B-4 --report R-1 --reported-on 2026-06-10 --unit mrem --deep 7 \
         --lens 7 --shallow 7",
    ] {
        place.done(line);
    }
    for days in [
        "--year 2026",
        "--from 2026-05-15 --to 2026-06-12",
        "--year 2025",
    ] {
        let data = data_of(&place, &format!("dose breakdown {days} --on 2026-06-15"));
        let crew = data_of(&place, &format!("dose crew {days} --on 2026-06-15"));
        for part in ["jobs", "clients", "works", "crews"] {
            let rows = rows(&data, part);
            if part == "clients" && rows.is_empty() {
                continue;
            }
            let (sum, whole) = sum_and_whole(&rows, "dose");
            assert_eq!(sum, whole, "{days} {part}");
            assert_eq!(
                whole,
                crew["collective_nsv"].as_i64().expect("a sum"),
                "{days}"
            );
            let (before, whole) = sum_and_whole(&rows, "dose_before");
            assert_eq!(before, whole, "{days} {part}, a year before");
        }
    }
    let data = data_of(&place, "dose breakdown --year 2026 --on 2026-06-15");
    let jobs = rows(&data, "jobs");
    let none = jobs.iter().find(|it| it["job"] == "belongs to no sheet");
    let none = &none.expect("its row")["dose"]["nsv"];
    assert_eq!(*none, 70_000, "the badge of the month without work");
    // The night of 29 May: 31 mrem by the badge of the one, 8 by the reading of the other.
    let night = data_of(&place, "dose breakdown --from 2026-05-29 --to 2026-05-29");
    assert_eq!(rows(&night, "works")[0]["dose"]["nsv"], 390_000);
}

#[test]
fn a_client_has_its_dose_per_exposure_and_hour_and_what_says_neither_has_none() {
    let place = kept("records-rates");
    let data = data_of(&place, "dose breakdown --year 2026 --on 2026-06-15");
    let of = |part: &str, key: &str, name: &str| {
        let rows = rows(&data, part);
        let found = rows.iter().find(|it| it[key] == name).cloned();
        found.unwrap_or_else(|| panic!("{name}"))
    };
    let mill = of("clients", "client", "Invented Pipelines");
    assert_eq!(mill["dose"]["nsv"], 200_000);
    assert_eq!(mill["exposures"], 24);
    // 12 and 8 mrem at 24 exposures and 36.5 minutes.
    assert_eq!(mill["per_exposure"]["nsv"], 8_340);
    assert_eq!(mill["per_hour"]["nsv"], 328_770);
    let whole = of("works", "work", "whole");
    let said = (
        &whole["sheets"],
        &whole["sheets_with_exposures"],
        &whole["exposures"],
    );
    assert_eq!(
        said,
        (&5.into(), &4.into(), &96.into()),
        "the bench says none"
    );
    let bench = of("works", "work", "maintenance");
    assert_eq!(bench["exposures"], Value::Null);
    assert!(bench.get("per_exposure").is_none(), "{bench}");
}

#[test]
fn the_papers_of_a_job_are_whole_or_say_which_days_they_are_of() {
    let place = Place::with_registers("records-pack");
    let mut rows = String::new();
    for month in ["2026-01", "2026-02", "2026-03"] {
        for day in 10..28 {
            rows += &crew(&format!("{month}-{day}"), "day");
            rows += &crew(&format!("{month}-{day}"), "evening");
        }
    }
    place.hand_in(&rows);
    let count = |line: &str, part: &str| {
        let data = data_of(&place, line);
        let parts = data["parts"].as_array().expect("parts").iter();
        let mine = parts
            .clone()
            .find(|it| it["key"] == part)
            .expect("the part");
        mine["rows"].as_array().expect("rows").len()
    };
    for (part, all, some) in [
        ("alarms", 216, 8),
        ("readings", 216, 8),
        ("surveys", 108, 4),
        ("utilization", 108, 4),
    ] {
        assert_eq!(count("pack J-1", part), all, "{part}");
        let days = "pack J-1 --from 2026-02-10 --to 2026-02-11";
        assert_eq!(count(days, part), some, "{part}");
    }
    let whole = place.done("pack J-1").out;
    assert!(
        whole.contains("the whole job: 108 sheets, 2026-01-10 to 2026-03-27"),
        "{whole}"
    );
    let some = place.done("pack J-1 --from 2026-02-10 --to 2026-02-11").out;
    let flat = some.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("ONLY 2026-02-10 to 2026-02-11, as asked: 4 of 108 sheets"),
        "{some}"
    );
}

#[test]
fn a_persons_file_tells_nothing_that_is_private() {
    let place = kept("records-private");
    let before = place.done("worker show W08").out;
    place.done("worker pregnancy --worker W08 --notice-on 2026-06-01 --conception-on 2026-04-20");
    place.done("private set W08 --number 000-00-0000 --type SSN");
    let after = place.done("worker show W08").out;
    let body = |it: &str| {
        let lines = it.lines().filter(|it| !it.starts_with("ledger "));
        lines.map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(body(&before), body(&after));
    assert_eq!(NOW.get(..10), Some("2026-06-15"));
}

/// A yearly report to a person is lacking once it is owed and not given, or nobody can tell whether
/// it was owed: not in its own year, nor where nothing is owed.
#[test]
fn a_yearly_report_is_lacking_from_the_end_of_its_year_on_and_only_where_it_is_owed() {
    let mut place = disconnected("records-yearly-owed");
    place.turn_to("wearbook.db", "2026-07-20T15:00:00Z");
    place.done(
        "determination enter --worker W07 --first-day 2026-06-14 --last-day 2026-06-14 --quantity \
         deep --relation replaces --dose \"6 rem\" --method \"time and distance\" --basis \
         \"acted again\" --on 2026-07-20 --performed-by W01",
    );
    // W07 is owed it, W08 is not; of W01 and W09 the ledger has no dose of that year.
    for (now, state, unknown, lacking) in [
        ("2026-12-31T15:00:00Z", "the year is not over; owed: ", 0, 0),
        ("2027-01-04T15:00:00Z", "OWED, NONE ON RECORD: ", 2, 3),
    ] {
        place.turn_to("wearbook.db", now);
        let people = &data_of(&place, "records yearly-reports --year 2026")["parts"][1];
        assert_eq!(people["lacking"], lacking, "{now}: {people}");
        let text = people.to_string();
        assert_eq!(text.matches(state).count(), 1, "{now}: {text}");
        let told = text.matches("it cannot tell").count();
        assert_eq!(told, unknown, "{now}: {text}");
    }
}

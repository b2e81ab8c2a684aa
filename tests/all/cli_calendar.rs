//! What falls due as a calendar: read by a second library, subscribed to with a secret, and without
//! a name or a dose in it.

use std::collections::BTreeSet;
use std::io::BufReader;

use ical::IcalParser;
use ical::parser::ical::component::IcalEvent;

use super::cli_support::Place;
use super::page_support::{Moving, served_by};

/// Uid, property of the start, summary of an event.
fn value<'e>(event: &'e IcalEvent, name: &str) -> &'e str {
    let found = event.properties.iter().find(|it| it.name == name);
    let found = found.and_then(|it| it.value.as_deref());
    found.unwrap_or_else(|| panic!("no {name}: {event:?}"))
}

/// The events of a calendar, by a parser that is not the library which wrote it.
fn read(text: &str) -> Vec<IcalEvent> {
    let mut all = IcalParser::new(BufReader::new(text.as_bytes()));
    let calendar = all.next().expect("a calendar").expect("RFC 5545");
    assert!(all.next().is_none(), "one calendar");
    let has = |name: &str, value: &str| {
        let mut all = calendar.properties.iter();
        all.any(|it| it.name == name && it.value.as_deref() == Some(value))
    };
    assert!(has("VERSION", "2.0") && has("CALSCALE", "GREGORIAN"));
    // Lines end as the standard says, and none is longer than 75 bytes.
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    for line in text.split_terminator("\r\n") {
        assert!(line.len() <= 75 && !line.contains('\n'), "{line}");
    }
    calendar.events
}

fn with_an_event(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.done(
        "event open --kind disconnect --occurred 2026-06-15T06:30 --discovered 2026-06-15T06:30 \
         --equipment D-1 --words \"the source stayed out\"",
    );
    place
}

fn due(place: &Place, name: &str) -> Vec<IcalEvent> {
    place.done(&format!("due --within 400 --out DIR/{name}"));
    read(&std::fs::read_to_string(place.path(name)).expect("a calendar"))
}

#[test]
fn a_calendar_has_each_thing_once_with_whole_days_and_moments_and_the_same_names_again() {
    let mut place = with_an_event("calendar, file");
    let events = due(&place, "due.ics");
    let answer = place.done("due --within 400 --json").out;
    let answer: serde_json::Value = serde_json::from_str(&answer).expect("JSON");
    let lines = answer["data"]["lines"].as_array().expect("lines");
    let deadlines = answer["data"]["deadlines"].as_array().expect("deadlines");
    assert!(lines.len() > 3 && !deadlines.is_empty(), "{answer}");
    let uids: BTreeSet<String> = events
        .iter()
        .map(|it| value(it, "UID").to_owned())
        .collect();
    assert_eq!(uids.len(), events.len(), "each name is one thing's");
    let mut moments = 0;
    for event in &events {
        assert_eq!(
            value(event, "DTSTAMP"),
            "20260615T120000Z",
            "the program's clock"
        );
        let start = value(event, "DTSTART");
        let of_day = start.len() == 8;
        let of_moment = start.len() == 16 && start.ends_with('Z');
        assert!(of_day || of_moment, "{start}");
        moments += usize::from(of_moment);
        assert!(event.properties.iter().all(|it| it.name != "DTEND"));
    }
    assert_eq!(moments, deadlines.len());
    for line in lines {
        for item in line["items"].as_array().expect("items") {
            let (item, what) = (
                item.as_str().expect("an id"),
                line["what"].as_str().expect("a duty"),
            );
            let found = events.iter().find(|it| {
                let summary = value(it, "SUMMARY").replace("\\,", ",").replace("\\;", ";");
                summary.ends_with(&format!("{item}: {what}"))
            });
            let found = found.unwrap_or_else(|| panic!("{item}: {what}"));
            if let Some(day) = line["day"].as_str() {
                assert_eq!(value(found, "DTSTART"), day.replace('-', ""));
            }
        }
    }
    // A day later the same things have the same names.
    place.turn_to("wearbook.db", "2026-06-16T12:00:00Z");
    let later: BTreeSet<String> = due(&place, "later.ics")
        .iter()
        .map(|it| value(it, "UID").to_owned())
        .collect();
    assert!(uids.intersection(&later).count() * 10 > uids.len() * 9);
}

#[test]
fn a_calendar_has_no_name_of_anybody_and_no_dose() {
    let place = with_an_event("calendar, private");
    place.done("due --within 400 --out DIR/due.ics");
    let text = std::fs::read_to_string(place.path("due.ics")).expect("a calendar");
    let text = text.replace("\r\n ", "");
    let workers = place.done("worker list").out;
    for name in ["Hollow", "Sandpiper", "Ferrow", "Ashgrove"] {
        assert!(workers.contains(name) && !text.contains(name), "{name}");
    }
    for unit in ["mrem", "mSv", "uSv"] {
        let is_dose = text.match_indices(unit).any(|(at, _)| {
            text[..at]
                .trim_end()
                .ends_with(|it: char| it.is_ascii_digit())
        });
        assert!(!is_dose, "{unit}: {text}");
    }
}

/// What the command printed: the path of the address.
fn new_address(place: &Place) -> String {
    let said = place.done("ledger calendar new --label \"quartz lamp\"");
    said.out.lines().next().expect("a line").to_owned()
}

#[test]
fn a_calendar_program_subscribes_with_a_secret_that_can_be_withdrawn() {
    let place = with_an_event("calendar, served");
    let first = new_address(&place);
    let second = new_address(&place);
    let secret = |it: &str| it["/calendar/".len()..it.len() - ".ics".len()].to_owned();
    assert_ne!(secret(&first), secret(&second));
    assert_eq!(
        secret(&first).len(),
        64,
        "256 bits, so that nobody guesses it"
    );
    // The ledger has its hash alone, and no copy has that.
    let bytes = std::fs::read(place.ledger()).expect("the ledger");
    let has = |bytes: &[u8], what: &str| bytes.windows(what.len()).any(|it| it == what.as_bytes());
    assert!(!has(&bytes, &secret(&first)));
    place.done("ledger backup DIR/copy.db");
    let copied = std::fs::read(place.path("copy.db")).expect("the copy");
    assert!(has(&bytes, "quartz lamp"), "the ledger's own row");
    assert!(!has(&copied, "quartz lamp"), "a copy has none");
    let clock = Moving::from(place.now);
    let browser = served_by(&place, "serve", &clock);
    let plain = super::page_support::Browser {
        cookie: String::new(),
        ..browser
    };
    let answer = plain.get(&first);
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert_eq!(
        answer.header("content-type"),
        Some("text/calendar; charset=utf-8")
    );
    let events = read(&answer.body);
    assert_eq!(events.len(), due(&place, "same.ics").len());
    // Withdrawn it says so; a secret that never was says that, and nothing else.
    place.done("ledger calendar withdraw 1");
    let answer = plain.get(&first);
    assert_eq!(answer.status, 410);
    assert!(answer.body.contains("was withdrawn"), "{}", answer.body);
    assert_eq!(plain.get(&second).status, 200, "the other one stays");
    let wrong = second.replace(&secret(&second), &"0".repeat(64));
    let answer = plain.get(&wrong);
    assert_eq!(answer.status, 404);
    assert!(!answer.body.contains("BEGIN"), "{}", answer.body);
    // It opens nothing else.
    assert_eq!(plain.get("/board").status, 403);
    let listed = place.done("ledger calendar list").out;
    assert!(!listed.contains(&secret(&second)), "{listed}");
    assert_eq!(place.quiet("ledger calendar withdraw 7").code, 1);
    assert_eq!(place.quiet("ledger calendar withdraw 1").code, 0);
    place.done("ledger verify --full");
}

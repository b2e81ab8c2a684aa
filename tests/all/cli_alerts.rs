//! What somebody hears of without asking: once, again when it gets worse, again and again where it
//! stops somebody; to whom; and by a mail that is encrypted or not sent.

use std::time::{Duration, Instant};

use serde_json::Value;

use super::cli_private::{declared, told};
use super::cli_support::{Place, crew, data_of};
use super::mail_server::{MailServer, Manner};

/// Type and words of what is new to somebody.
fn new_to(place: &Place, reader: &str, more: &str) -> Vec<(String, String, String)> {
    let said = place.quiet(&format!("alerts --for {reader} --json {more}"));
    assert!(matches!(said.code, 0 | 3), "{}", said.err);
    let all: Value = serde_json::from_str(&said.out).expect("JSON");
    let rows = all["data"]["rows"].as_array().expect("rows").clone();
    let word = |it: &Value, key: &str| it[key].as_str().expect("words").to_owned();
    let rows = rows.iter();
    rows.map(|it| (word(it, "type"), word(it, "about"), word(it, "what")))
        .collect()
}

/// What of it is of a level of W07's year: reached, passed and so on.
fn levels(rows: &[(String, String, String)]) -> Vec<&str> {
    let mine = rows.iter().filter(|it| it.0 == "level" && it.1 == "W07");
    let year = mine.filter(|it| it.2.starts_with("limit, licensee year"));
    year.map(|it| it.2.as_str()).collect()
}

/// W07 with so many mrem from another employer in a quarter of this year.
fn with_dose(place: &Place, last_day: &str, mrem: &str) {
    place.done(&format!(
        "worker prior-dose --worker W07 --first-day 2026-01-01 --last-day {last_day} --employer \
         \"Other {mrem} (invented)\" --deep \"{mrem} mrem\" --basis \"signed letter\""
    ));
}

#[test]
fn a_level_is_told_once_and_again_when_it_gets_worse() {
    let place = Place::with_registers("alerts, level");
    new_to(&place, "W01", "");
    assert!(new_to(&place, "W01", "").iter().all(|it| it.0 != "level"));
    with_dose(&place, "2026-02-28", "4100");
    // A look counts as told to nobody.
    for more in ["--peek", "--peek", ""] {
        let rows = new_to(&place, "W01", more);
        let words = levels(&rows);
        assert_eq!(words.len(), 1, "{rows:?}");
        assert!(words[0].contains("80 % or more used"), "{rows:?}");
    }
    assert!(
        levels(&new_to(&place, "W01", "")).is_empty(),
        "told already"
    );
    with_dose(&place, "2026-03-31", "1000");
    let rows = new_to(&place, "W01", "");
    assert_eq!(levels(&rows).len(), 1, "{rows:?}");
    assert!(levels(&rows)[0].contains("passed"), "{rows:?}");
    assert!(levels(&new_to(&place, "W01", "")).is_empty());
    // The person hears of it, and of nobody else.
    let mine = new_to(&place, "W07", "");
    assert_eq!(levels(&mine).len(), 1, "{mine:?}");
    assert!(mine.iter().all(|it| it.1 == "W07"), "{mine:?}");
}

/// What stops W07, in words.
fn stops(rows: &[(String, String, String)]) -> Vec<&str> {
    let mine = rows.iter().filter(|it| it.0 == "stop" && it.1 == "W07");
    mine.map(|it| it.2.as_str()).collect()
}

/// A reading off scale, that stops W07.
fn off_scale(place: &Place) {
    place.hand_in(&crew("2026-06-12", "day").replace(",12,no,", ",,yes,"));
}

#[test]
fn a_stop_is_told_until_it_was_seen_and_then_no_more() {
    let mut place = Place::with_registers("alerts, stop");
    off_scale(&place);
    let first = new_to(&place, "W01", "");
    assert_eq!(
        stops(&first),
        ["PD-07 off-scale on 2026-06-12: the dose is not determined"]
    );
    // Nothing but what repeats is told a second time.
    let again = new_to(&place, "W01", "");
    let repeats: Vec<_> = first
        .iter()
        .filter(|it| matches!(&*it.0, "stop" | "deadline"))
        .cloned()
        .collect();
    assert_eq!(again, repeats, "nobody has seen it");
    assert_eq!(place.quiet("alerts --for W01 --check --peek").code, 3);
    place.done("alerts --for W01 --seen");
    assert_eq!(new_to(&place, "W01", ""), []);
    assert_eq!(place.quiet("alerts --for W01 --check --peek").code, 0);
    place.turn_to("wearbook.db", "2026-06-16T12:00:00Z");
    assert!(stops(&new_to(&place, "W01", "")).is_empty());
}

/// Rows with what is new to somebody, as JSON has them.
fn rows(place: &Place, reader: &str) -> Vec<Value> {
    let data = data_of(place, &format!("alerts --for {reader} --peek"));
    data["rows"].as_array().expect("rows").clone()
}

#[test]
fn one_alert_is_seen_by_its_key_and_the_others_come_again() {
    let place = Place::with_registers("alerts, one seen");
    off_scale(&place);
    place.hand_in(&crew("2026-06-13", "day").replace(",1,9,no,", ",1,,yes,"));
    let key = |it: &Value| it["key"].as_str().expect("a key").to_owned();
    let before: Vec<Value> = rows(&place, "W01");
    let repeat = |all: &[Value]| -> Vec<String> {
        all.iter()
            .filter(|it| it["repeats"] == true)
            .map(key)
            .collect()
    };
    let keys = repeat(&before);
    assert!(keys.len() > 1, "{before:?}");
    // Its key stands in the table, a key of nothing marks nothing, the good one beside it neither.
    let shown = place.done("alerts --for W01 --peek").out;
    assert!(keys.iter().all(|it| shown.contains(it)), "{shown}");
    let said = place.quiet(&format!("alerts --for W01 --seen {} 00000000", keys[0]));
    assert_eq!(said.code, 1, "{}", said.out);
    assert!(said.err.contains("has the key `00000000`"), "{}", said.err);
    assert_eq!(repeat(&rows(&place, "W01")), keys);
    let said = place.done(&format!(
        "alerts --for W01 --seen {}",
        keys[0].to_uppercase()
    ));
    assert!(said.out.contains("1 alert is seen by W01"), "{}", said.out);
    assert_eq!(repeat(&rows(&place, "W01")), keys[1..]);
    let said = place.done(&format!("alerts --for W01 --seen {}", keys[0]));
    assert!(said.out.contains("0 alerts are seen"), "{}", said.out);
    // What got worse has another key.
    with_dose(&place, "2026-02-28", "4100");
    let level = |all: &[Value]| {
        let mut mine = all
            .iter()
            .filter(|it| it["type"] == "level" && it["about"] == "W07");
        let year = mine.find(|it| {
            it["what"]
                .as_str()
                .is_some_and(|it| it.starts_with("limit, lic"))
        });
        key(year.expect("a level"))
    };
    let near = level(&rows(&place, "W01"));
    with_dose(&place, "2026-03-31", "1000");
    let said = place.quiet(&format!("alerts --for W01 --seen {near}"));
    assert_eq!(said.code, 1, "{}", said.out);
    let passed = level(&rows(&place, "W01"));
    assert_ne!(near, passed);
    place.done(&format!("alerts --for W01 --seen {passed}"));
    assert!(levels(&new_to(&place, "W01", "")).is_empty());
}

/// Who hears by which right, in the answer's words.
fn hears(place: &Place, reader: &str) -> String {
    let data = data_of(place, &format!("alerts --for {reader} --peek"));
    data["hears"].as_str().expect("words").to_owned()
}

#[test]
fn a_record_adds_to_what_a_role_brings_on_its_days_alone() {
    let mut place = Place::with_registers("alerts, records");
    off_scale(&place);
    with_dose(&place, "2026-02-28", "4100");
    let (none, peek) = ("no record adds to it", "--peek");
    assert!(hears(&place, "W08").ends_with(none));
    assert!(hears(&place, "W01").contains("by role (rso) of everything"));
    let of_others = |place: &Place, reader: &str| {
        let mut all = new_to(place, reader, peek);
        all.retain(|it| it.1 != reader);
        all
    };
    assert_eq!(of_others(&place, "W08"), []);
    // Not its day yet, or no more.
    place.done("worker alert --worker W08 --of everything --from 2026-06-17 --until 2026-06-30");
    place.done("worker alert --worker W08 --of equipment --from 2026-01-05 --until 2026-06-14");
    assert_eq!(of_others(&place, "W08"), []);
    assert!(hears(&place, "W08").ends_with(none));
    place.turn_to("wearbook.db", "2026-06-17T12:00:00Z");
    let all = of_others(&place, "W08");
    assert!(hears(&place, "W08").contains("everything, as soon as it is so, from 2026-06-17 to"));
    // An assistant hears that W07 must not work, and no dose of W07.
    assert!(
        stops(&all).iter().all(|it| *it == "must not work"),
        "{all:?}"
    );
    assert_eq!(stops(&all).len(), stops(&new_to(&place, "W01", peek)).len());
    let level = all.iter().find(|it| it.0 == "level" && it.1 == "W07");
    assert_eq!(level.expect("a level").2, "stands near a level or past one");
    assert!(!format!("{all:?}").contains("mrem"), "{all:?}");
    // Equipment is no person and no clock.
    place.done("worker alert --worker W09 --of equipment --from 2026-06-17");
    let items = of_others(&place, "W09");
    assert!(!items.is_empty());
    let right = |it: &(String, String, String)| {
        matches!(&*it.0, "stop" | "due" | "wear") && !it.1.starts_with('W')
    };
    assert!(items.iter().all(right), "{items:?}");
    let wanted: Vec<_> = of_others(&place, "W01").into_iter().filter(right).collect();
    assert_eq!(items, wanted);
    // Who hears of what is told to whoever asks for everything.
    let said = place.done("alerts").out;
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("By role the RSO hears of everything"),
        "{said}"
    );
    assert!(
        flat.contains("W09 hears of sets, equipment, instruments and badges"),
        "{said}"
    );
}

#[test]
fn a_designee_hears_of_oneself_and_of_clocks_by_record() {
    let place = Place::with_registers("alerts, records of a designee");
    place.done("worker role --worker W07 --role \"rso designee\" --from 2026-06-01");
    off_scale(&place);
    let mine = |place: &Place| stops(&new_to(place, "W07", "--peek")).len();
    assert_eq!(mine(&place), 1, "one's own, whatever the RSO was told");
    new_to(&place, "W01", "");
    assert_eq!(mine(&place), 1);
    place.done("worker alert --worker W07 --of oneself --from 2026-06-01");
    assert_eq!(mine(&place), 1);
    assert!(hears(&place, "W07").contains("by role (rso designee)"));
    // The badge of W07 is late at the processor.
    place.done("worker alert --worker W09 --of deadlines --from 2026-06-01");
    let clocks = |reader: &str| {
        let mut all = new_to(&place, reader, "--peek");
        all.retain(|it| it.0 == "deadline");
        all
    };
    let all = new_to(&place, "W09", "--peek");
    assert!(
        all.iter().all(|it| it.0 == "deadline" || it.1 == "W09"),
        "{all:?}"
    );
    assert_eq!(clocks("W09").len(), clocks("W01").len());
    assert!(!clocks("W09").is_empty());
}

#[test]
fn a_record_of_alerts_that_says_nothing_right_is_refused() {
    let place = Place::with_registers("alerts, wrong records");
    for (line, words) in [
        ("--worker W99 --of everything --from 2026-06-01", "W99"),
        (
            "--worker W08 --of doses --from 2026-06-01",
            "everything, oneself, deadlines",
        ),
        ("--worker W08 --of everything --from soon", "soon"),
        (
            "--worker W08 --of everything --from 2026-06-02 --until 2026-06-01",
            "is before the first day 2026-06-02",
        ),
    ] {
        let head = place.head();
        let said = place.quiet(&format!("worker alert {line}"));
        assert!(matches!(said.code, 1 | 2), "{line}: {}", said.out);
        let flat = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words), "{line}: {}", said.err);
        assert_eq!(place.head(), head);
    }
}

#[test]
fn what_falls_due_comes_once_a_week() {
    let mut place = Place::with_registers("alerts, digest");
    // SM-1 and S-1 fall due on 2026-10-13, PD-09 on 2026-10-17: they come into view thirty days
    // before, and are told again within seven.
    place.done(
        "instrument check --instrument PD-09 --performed-by W01 --type \"response check\" \
         --on 2025-10-17 --result pass",
    );
    let due = |rows: &[(String, String, String)]| -> Vec<String> {
        let mine = rows.iter().filter(|it| it.0 == "due");
        mine.map(|it| format!("{}: {}", it.1, it.2)).collect()
    };
    let mut told = Vec::new();
    for day in [
        "09-10", "09-14", "09-18", "09-20", "09-21", "10-02", "10-07", "10-11",
    ] {
        let moment = Box::leak(format!("2026-{day}T12:00:00Z").into_boxed_str());
        place.turn_to("wearbook.db", moment);
        for row in due(&new_to(&place, "W01", "")) {
            told.push(format!("{day} {row}"));
        }
        assert_eq!(
            due(&new_to(&place, "W01", "")),
            [""; 0],
            "{day}: told already"
        );
    }
    assert_eq!(
        told,
        [
            "09-10 all sources: inventory, not in force now",
            "09-14 S-1: leak test, by 2026-10-13",
            "09-14 SM-1: calibration, by 2026-10-13",
            "09-21 PD-09: response check, by 2026-10-17",
            "10-07 S-1: leak test, by 2026-10-13",
            "10-07 SM-1: calibration, by 2026-10-13",
            "10-11 PD-09: response check, by 2026-10-17",
        ]
    );
}

#[test]
fn what_no_rso_has_seen_for_a_day_goes_to_the_designee() {
    let mut place = Place::with_registers("alerts, designee");
    place.done("worker role --worker W08 --role \"rso designee\" --from 2026-06-01");
    off_scale(&place);
    let stops = |place: &Place| stops(&new_to(place, "W08", "")).len();
    assert_eq!(stops(&place), 1, "no RSO was told of anything for a day");
    new_to(&place, "W01", "");
    assert_eq!(stops(&place), 0, "the RSO was told just now");
    place.turn_to("wearbook.db", "2026-06-16T11:59:59Z");
    assert_eq!(stops(&place), 0, "a day is not over");
    place.turn_to("wearbook.db", "2026-06-16T12:00:00Z");
    assert_eq!(stops(&place), 1);
    place.done("alerts --for W01 --seen");
    assert_eq!(stops(&place), 0);
}

/// A command that mails to a server.
fn mail(place: &Place, server: &MailServer, more: &str) -> super::cli_support::Said {
    place.quiet(&format!(
        "alerts --for W01 --mail-to rso@example.com --mail-from wearbook@example.com --smtp {} \
         --smtp-ca {} {more}",
        server.at, server.ca
    ))
}

#[test]
fn a_mail_is_taken_when_a_worker_passes_80_per_cent_and_none_the_second_time() {
    let place = Place::with_registers("alerts, mail");
    // What stood before is told.
    new_to(&place, "W01", "");
    let server = MailServer::begin(&place, "mail", Manner::Good);
    assert_eq!(mail(&place, &server, "").code, 0);
    assert!(server.taken().is_empty(), "nothing is new");
    with_dose(&place, "2026-02-28", "4100");
    let secret = place.file("secret", "heron flats\n");
    let more = format!("--smtp-user wearbook --smtp-secret {secret}");
    let said = mail(&place, &server, &more);
    assert_eq!(said.code, 1, "others can read the password");
    assert!(said.err.contains("can be read by others"), "{}", said.err);
    use std::os::unix::fs::PermissionsExt;
    std::fs::set_permissions(&secret, std::fs::Permissions::from_mode(0o600)).expect("a file");
    let said = mail(&place, &server, &more);
    assert_eq!(said.code, 0, "{}", said.err);
    let taken = server.taken();
    assert_eq!(taken.len(), 1);
    let text = taken[0].replace("=\n", "");
    assert!(text.contains("Subject: wearbook: "), "{text}");
    assert!(text.contains("level  W07: stands near a level"), "{text}");
    assert!(text.contains("wearbook dose show W07 --why"), "{text}");
    // No dose, no name, no share.
    for secret in ["4100", "4.1", "82", "mrem of", "Sandpiper", "80 %"] {
        assert!(!text.contains(secret), "{secret}: {text}");
    }
    assert_eq!(mail(&place, &server, &more).code, 0);
    assert_eq!(server.taken().len(), 1, "told already");
    // Worse, and with doses only because they are asked for.
    with_dose(&place, "2026-03-31", "1000");
    assert_eq!(mail(&place, &server, "--with-doses").code, 0);
    let taken = server.taken();
    assert_eq!(taken.len(), 2);
    assert!(
        taken[1].replace("=\n", "").contains("5100 mrem"),
        "{}",
        taken[1]
    );
    let clear = server.said_in_the_clear();
    assert!(
        !clear.contains("MAIL") && !clear.contains("AUTH"),
        "{clear}"
    );
}

#[test]
fn a_server_that_hangs_refuses_or_lies_is_a_sentence_and_nothing_counts_as_told() {
    let place = Place::with_registers("alerts, mail refused");
    new_to(&place, "W01", "");
    with_dose(&place, "2026-02-28", "4100");
    for (name, manner, words) in [
        ("hangs", Manner::Hangs, "does not answer"),
        ("clear", Manner::InTheClear, "does not encrypt"),
        ("other", Manner::OtherName, "has no certificate of its name"),
        ("refuses", Manner::Refuses, "refuses the mail"),
        ("drops", Manner::Drops, "broke off before it took the mail"),
    ] {
        let server = MailServer::begin(&place, name, manner);
        let head = place.head();
        let begun = Instant::now();
        let said = mail(&place, &server, "--smtp-wait 1");
        assert_eq!(said.code, 1, "{name}: {}", said.out);
        let flat = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words), "{name}: {}", said.err);
        assert!(flat.contains("nothing was told"), "{name}: {}", said.err);
        assert!(begun.elapsed() < Duration::from_secs(30), "{name}");
        assert!(server.taken().is_empty(), "{name}");
        assert_eq!(place.head(), head);
        assert!(!server.said_in_the_clear().contains("RCPT"), "{name}");
    }
    // Nobody listens there.
    let mut gone = MailServer::begin(&place, "gone", Manner::Good);
    gone.at = "127.0.0.1:9".to_owned();
    let said = mail(&place, &gone, "--smtp-wait 1");
    assert!(said.err.contains("cannot be reached"), "{}", said.err);
    assert_eq!(
        levels(&new_to(&place, "W01", "")).len(),
        1,
        "it is told yet"
    );
}

/// A mail hangs for seconds; entries are written all the same.
#[test]
fn nobody_who_writes_waits_for_a_mail() {
    let place = Place::with_registers("alerts, mail waits");
    with_dose(&place, "2026-02-28", "4100");
    let server = MailServer::begin(&place, "hangs", Manner::Hangs);
    std::thread::scope(|scope| {
        let mailing = scope.spawn(|| {
            let other = Place::with_registers("alerts, mail waits beside");
            let line = format!(
                "alerts --for W01 --mail-to rso@example.com --mail-from w@example.com --smtp {} \
                 --smtp-ca {} --smtp-wait 4 --ledger",
                server.at, server.ca
            );
            let mut words = super::cli_support::words(&line);
            words.push(place.ledger().into());
            let (mut out, mut err) = (Vec::new(), Vec::new());
            let begun = Instant::now();
            let code = super::cli_support::run_with(
                (&words, 80),
                other.now,
                (false, &mut std::io::empty()),
                &mut out,
                &mut err,
            );
            (code, begun.elapsed())
        });
        std::thread::sleep(Duration::from_millis(1500));
        let begun = Instant::now();
        place.done("worker role --worker W09 --role radiographer --from 2026-06-16");
        let took = begun.elapsed();
        let (code, hung) = mailing.join().expect("the mail");
        assert_eq!(code, 1);
        assert!(hung > Duration::from_secs(3), "it hung {hung:?}");
        assert!(took < Duration::from_millis(1500), "a write took {took:?}");
    });
}

#[test]
fn no_alert_and_no_mail_tells_of_a_declared_pregnancy() {
    let place = declared("alerts, private");
    let server = MailServer::begin(&place, "mail", Manner::Good);
    let said = mail(&place, &server, "--with-doses --peek");
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("W08"), "{}", said.out);
    assert_eq!(told(&said.out), None, "{}", said.out);
    let taken = server.taken();
    assert_eq!(taken.len(), 1);
    assert_eq!(told(&taken[0].replace("=\n", "")), None, "{}", taken[0]);
    // Neither does a record that somebody hears of everything.
    place.done("worker alert --worker W07 --of everything --from 2026-01-05");
    for reader in ["W01", "W07", "W08"] {
        let said = place.done(&format!("alerts --for {reader}"));
        assert_eq!(told(&said.out), None, "{reader}: {}", said.out);
    }
}

//! What somebody hears of without asking: once, again when it gets worse, again and again where it
//! stops somebody; to whom; and by a mail that is encrypted or not sent.

use std::time::{Duration, Instant};

use serde_json::Value;

use super::cli_private::{declared, told};
use super::cli_support::{Place, crew};
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

#[test]
fn a_stop_is_told_until_it_was_seen_and_then_no_more() {
    let mut place = Place::with_registers("alerts, stop");
    place.hand_in(&crew("2026-06-12", "day").replace(",12,no,", ",,yes,"));
    let stops = |place: &Place| {
        let rows = new_to(place, "W01", "");
        rows.into_iter()
            .filter(|it| it.0 == "stop" && it.1 == "W07")
            .count()
    };
    let first = stops(&place);
    assert!(first > 0);
    assert_eq!(stops(&place), first, "nobody has seen it");
    assert_eq!(place.quiet("alerts --for W01 --check --peek").code, 3);
    place.done("alerts --for W01 --seen");
    assert_eq!(stops(&place), 0);
    // What falls due waited for nothing the first time, and waits a week for the next.
    place.turn_to("wearbook.db", "2026-06-16T12:00:00Z");
    assert_eq!(stops(&place), 0);
}

#[test]
fn what_falls_due_comes_once_a_week() {
    let mut place = Place::with_registers("alerts, digest");
    let due = |rows: &[(String, String, String)], item: &str| {
        rows.iter().any(|it| it.0 == "due" && it.1 == item)
    };
    // SM-1 falls due on 2026-10-13; RM-07 on 2027-01-12.
    place.turn_to("wearbook.db", "2026-09-10T12:00:00Z");
    let rows = new_to(&place, "W01", "");
    assert!(!due(&rows, "SM-1"), "{rows:?}");
    let digest = rows
        .iter()
        .any(|it| it.0 == "due" && !it.2.contains("not in force"));
    place.turn_to("wearbook.db", "2026-09-14T12:00:00Z");
    let before = due(&new_to(&place, "W01", ""), "SM-1");
    assert_eq!(before, !digest, "it waits for a week after a digest");
    place.turn_to("wearbook.db", "2026-09-18T12:00:00Z");
    let rows = new_to(&place, "W01", "");
    assert!(before || due(&rows, "SM-1"), "{rows:?}");
    place.turn_to("wearbook.db", "2026-10-02T12:00:00Z");
    assert!(!due(&new_to(&place, "W01", ""), "SM-1"));
    // Within a week of its day it got worse, and waits for nothing.
    place.turn_to("wearbook.db", "2026-10-07T12:00:00Z");
    assert!(due(&new_to(&place, "W01", ""), "SM-1"));
}

#[test]
fn what_no_rso_has_seen_for_a_day_goes_to_the_designee() {
    let mut place = Place::with_registers("alerts, designee");
    place.done("worker role --worker W08 --role \"rso designee\" --from 2026-06-01");
    place.hand_in(&crew("2026-06-12", "day").replace(",12,no,", ",,yes,"));
    let stops = |place: &Place| {
        let rows = new_to(place, "W08", "");
        rows.iter()
            .filter(|it| it.0 == "stop" && it.1 == "W07")
            .count()
    };
    assert_eq!(stops(&place), 0, "the RSO was not told yet");
    new_to(&place, "W01", "");
    assert_eq!(stops(&place), 0, "the RSO was told just now");
    place.turn_to("wearbook.db", "2026-06-16T12:00:01Z");
    assert!(stops(&place) > 0);
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
    for reader in ["W01", "W07", "W08"] {
        let said = place.done(&format!("alerts --for {reader}"));
        assert_eq!(told(&said.out), None, "{reader}: {}", said.out);
    }
}

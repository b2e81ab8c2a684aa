//! Signing in at the page: PINs, sessions, rights by role, and the encrypted connection.

use std::sync::Arc;

use rustls::{ClientConfig, RootCertStore};

use super::cli_support::Place;
use super::page::{handed_in, parsed, sheet};
use super::page_support::{Browser, Moving, served_by};

pub const RSO: &str = "long way to the heron flats";
pub const CREW: &str = "480261";

pub fn pin(place: &Place, worker: &str, pin: &str) {
    let said = place.said_at_terminal(&format!("worker pin {worker} --stdin"), &format!("{pin}\n"));
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
}

/// The test company with PINs for the RSO and an assistant, and an inspector.
pub fn with_pins(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.done(
        "worker add --id W90 --name \"Ines Overlook\" --role inspector --monitored-from 2026-06-01",
    );
    pin(&place, "W01", RSO);
    pin(&place, "W08", CREW);
    pin(&place, "W90", "reads and never writes");
    place
}

fn bytes_have(path: &std::path::Path, what: &str) -> bool {
    let bytes = std::fs::read(path).expect("a file");
    bytes.windows(what.len()).any(|it| it == what.as_bytes())
}

#[test]
fn a_pin_is_kept_as_a_slow_hash_beside_the_chain_and_no_copy_has_it() {
    let place = Place::with_registers("sign-in, kept");
    let head = place.head();
    pin(&place, "W08", CREW);
    let typed = format!("{CREW}\n{CREW}\n");
    let said = place.said_at_terminal("worker pin W07", &typed);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    assert_eq!(place.head(), head, "no entry says it");
    let hash = "$argon2id$v=19$m=65536,t=3,p=4$";
    assert!(bytes_have(&place.ledger(), hash));
    assert!(!bytes_have(&place.ledger(), CREW));
    place.done("ledger verify --full");
    place.done("ledger backup DIR/copy.db");
    assert!(!bytes_have(&place.path("copy.db"), hash), "the backup");
    assert!(bytes_have(&place.ledger(), hash), "the ledger keeps it");
    place.done("ledger export DIR/out");
    let export = std::fs::read_dir(place.path("out")).expect("the export");
    for file in export.map(|it| it.expect("a file").path()) {
        assert!(!bytes_have(&file, "argon2id"), "{}", file.display());
    }
    // A rebuild leaves it alone; taking it away overwrites it.
    place.done("ledger rebuild");
    assert!(bytes_have(&place.ledger(), hash));
    for worker in ["W07", "W08"] {
        place.done(&format!("worker pin {worker} --remove"));
    }
    assert!(!bytes_have(&place.ledger(), hash));
    let said = place.done("worker pin W08 --remove");
    assert!(said.out.contains("had none"), "{}", said.out);
}

#[test]
fn what_is_no_pin_is_refused_in_a_sentence_and_changes_nothing() {
    let mut place = Place::with_registers("sign-in, no pin");
    let long = "1".repeat(200);
    for (worker, typed, words) in [
        ("W08", "48026", "a PIN of 5 characters is too short"),
        ("W08", "", "a PIN of 0 characters is too short"),
        ("W01", "4802617", "of 7 characters is too short"),
        ("W08", "111111", "are tried first"),
        ("W08", &long, "more than 128 characters"),
    ] {
        let before = std::fs::read(place.ledger()).expect("the ledger");
        let line = format!("worker pin {worker} --stdin");
        let said = place.said_at_terminal(&line, &format!("{typed}\n"));
        assert_eq!(said.code, 1, "{typed}: {}{}", said.out, said.err);
        assert!(said.err.contains(words), "{typed}: {}", said.err);
        assert!(before == std::fs::read(place.ledger()).expect("the ledger"));
    }
    let said = place.said_at_terminal("worker pin W08", "480261\n480262\n");
    assert_eq!(said.code, 1);
    assert!(
        said.err.contains("the two are not the same"),
        "{}",
        said.err
    );
    let said = place.refused("worker pin W88");
    assert!(said.err.contains("W88"), "{}", said.err);
    let said = place.refused("worker pin W08");
    assert!(said.err.contains("there is no terminal"), "{}", said.err);
    assert!(said.err.contains("--stdin"), "{}", said.err);
}

#[test]
fn a_stranger_gets_nothing_but_the_form_and_the_right_pin_leads_back() {
    let place = with_pins("sign-in, the form");
    let mut browser = served_by(&place, "serve --sign-in", &Moving::from(place.now));
    assert!(
        browser.said.contains("3 people can sign in"),
        "{}",
        browser.said
    );
    assert!(browser.said.contains("W07, W09"), "{}", browser.said);
    for path in ["/", "/sheet", "/people/W07", "/month.csv", "/in/0123"] {
        let answer = browser.get(path);
        assert_eq!(answer.status, 303, "{path}");
        let to = answer.header("location").expect("an address");
        assert!(to.starts_with("/sign-in"), "{path}: {to}");
        assert!(!answer.body.contains("Sandpiper"), "{path}");
    }
    let page = browser.get("/sign-in?to=%2Fsheet");
    assert_eq!(page.status, 200);
    assert_eq!(page.value("to"), "/sheet");
    assert!(!page.body.contains("W07"), "{}", page.body);
    assert_eq!(parsed(&page.body), [""; 0]);
    let fields = [("name", "W08"), ("pin", CREW)];
    let no_origin = browser.send("/sign-in", &[], &fields);
    assert_eq!(no_origin.status, 403);
    assert_eq!(no_origin.header("set-cookie"), None);
    let answer = browser.sign_in("lucinda ferrow", CREW, "/sheet");
    assert_eq!(answer.status, 303, "{}", answer.body);
    assert_eq!(answer.header("location"), Some("/sheet"));
    let cookie = answer.header("set-cookie").expect("a cookie");
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax"));
    let page = browser.get("/sheet");
    assert_eq!(page.status, 200, "{}", page.body);
    assert!(
        page.body.contains("Signed in as W08 by PIN"),
        "{}",
        page.body
    );
    let mut other = Browser {
        cookie: String::new(),
        ..browser.clone()
    };
    for to in ["//evil.example", "https://evil.example/", "/\\evil.example"] {
        let answer = other.sign_in("W08", CREW, to);
        assert_eq!(answer.header("location"), Some("/"), "{to}");
    }
    let out = browser.post("/sign-out", &[]);
    assert_eq!(out.header("location"), Some("/sign-in"));
    assert_eq!(
        browser.get("/sheet").status,
        303,
        "the cookie is worth nothing"
    );
    assert_eq!(other.get("/sheet").status, 200, "another browser stays");
}

#[test]
fn wrong_pins_wait_longer_each_and_the_tenth_locks_also_over_a_restart() {
    let place = with_pins("sign-in, wrong");
    let clock = Moving::from(place.now);
    let mut browser = served_by(&place, "serve --sign-in", &clock);
    for wait in [1, 2, 4, 8, 16, 32, 60, 60, 60] {
        let wrong = browser.sign_in("W08", "480262", "/");
        assert_eq!(wrong.status, 403, "{}", wrong.body);
        assert!(
            wrong.body.contains(&format!("in {wait} s")),
            "{}",
            wrong.body
        );
        // Before the time is over the right one is not even looked at.
        clock.on(wait - 1);
        let early = browser.sign_in("W08", CREW, "/");
        assert_eq!(early.status, 429, "{}", early.body);
        clock.on(1);
    }
    let tenth = browser.sign_in("W08", "480262", "/");
    assert!(tenth.body.contains("locked"), "{}", tenth.body);
    let mut again = served_by(&place, "serve --sign-in", &clock);
    clock.on(15 * 60 - 1);
    assert_eq!(again.sign_in("W08", CREW, "/").status, 429);
    // Nobody else is kept out by it.
    assert_eq!(again.clone().sign_in("W01", RSO, "/").status, 303);
    clock.on(1);
    assert_eq!(again.sign_in("W08", CREW, "/").status, 303);
    // After a right one it begins anew, and a new PIN ends any wait.
    let wrong = again.sign_in("W08", "480262", "/");
    assert!(wrong.body.contains("in 1 s"), "{}", wrong.body);
    pin(&place, "W08", "593172");
    assert_eq!(again.sign_in("W08", "593172", "/").status, 303);
    let board = place.done("board").out;
    let board = board.split_whitespace().collect::<Vec<_>>().join(" ");
    let line = "2026-06-15 W08: locked 1 time, wrong PIN 10 times, last /sign-in";
    assert!(board.contains(line), "{board}");
}

#[test]
fn a_name_that_nobody_has_and_one_without_a_pin_hear_what_a_wrong_pin_hears() {
    let place = with_pins("sign-in, nobody");
    let mut browser = served_by(&place, "serve --sign-in", &Moving::from(place.now));
    let words = |answer: &super::page_support::Answer, name: &str| {
        (answer.status, answer.body.replace(name, "NAME"))
    };
    let of = |browser: &mut Browser, name: &str| {
        let (first, second) = (
            browser.sign_in(name, "480262", "/"),
            browser.sign_in(name, "480262", "/"),
        );
        assert_eq!((first.status, second.status), (403, 429), "{name}");
        (words(&first, name), words(&second, name))
    };
    let known = of(&mut browser, "W08");
    assert_eq!(of(&mut browser, "W99"), known);
    assert_eq!(of(&mut browser, "W07"), known, "no PIN");
    let board = place.done("board --json").out;
    for there in [
        "a name that nobody has",
        "no PIN 1 time",
        "wrong PIN 1 time",
    ] {
        assert!(board.contains(there), "{there}: {board}");
    }
}

#[test]
fn a_session_ends_by_rest_by_its_hours_and_with_the_pin_and_says_so_to_a_form() {
    let place = with_pins("sign-in, sessions");
    let clock = Moving::from(place.now);
    let mut crew = served_by(&place, "serve --sign-in", &clock);
    crew.sign_in("W08", CREW, "/");
    clock.on(29 * 60);
    assert_eq!(crew.get("/").status, 200);
    clock.on(30 * 60);
    let head = place.head();
    let late = handed_in(&crew, &sheet("P-1", ""), "send");
    assert_eq!(late.status, 403, "{}", late.body);
    assert!(
        late.body.contains("href=\"/sign-in?to=%2Fsheet\""),
        "{}",
        late.body
    );
    assert_eq!(place.head(), head);
    assert_eq!(crew.sign_in("W08", CREW, "/").status, 303);
    for _ in 0..16 {
        assert_eq!(crew.get("/").status, 200);
        clock.on(29 * 60);
    }
    clock.on(16 * 60);
    assert_eq!(crew.get("/").status, 303, "eight hours in all");
    crew.sign_in("W08", CREW, "/");
    assert_eq!(crew.get("/").status, 200);
    pin(&place, "W08", CREW);
    assert_eq!(crew.get("/").status, 303, "the PIN was set anew");
    crew.sign_in("W08", CREW, "/");
    // A role that asks for more than a PIN ends the session, and the PIN is not enough any more.
    place.done("worker role --worker W08 --from 2026-06-15 --role \"rso designee\"");
    assert_eq!(crew.get("/").status, 303);
    let short = crew.sign_in("W08", CREW, "/");
    assert_eq!(short.status, 403);
    assert!(
        short.body.contains("passphrase of at least 12"),
        "{}",
        short.body
    );
    place.done("worker pin W01 --remove");
}

#[test]
fn the_crew_hands_in_and_its_entries_say_who_signed_in() {
    let place = with_pins("sign-in, an entry");
    let mut crew = served_by(&place, "serve --sign-in", &Moving::from(place.now));
    crew.sign_in("W08", CREW, "/");
    let sent = handed_in(&crew, &sheet("P-1", "windy"), "send");
    assert_eq!(sent.status, 200, "{}", sent.body);
    let entry = place.done("entry show 29").out;
    let entry = entry.split_whitespace().collect::<Vec<_>>().join(" ");
    let by = "by Lucinda Ferrow (system user tester, page, signed in as W08)";
    assert!(entry.contains(by), "{entry}");
}

#[test]
fn what_a_role_does_not_allow_is_refused_before_anything_is_done_and_stands_on_the_board() {
    let place = with_pins("sign-in, rights");
    let mut crew = served_by(&place, "serve --sign-in", &Moving::from(place.now));
    let (mut rso, mut inspector) = (crew.clone(), crew.clone());
    crew.sign_in("W08", CREW, "/");
    rso.sign_in("W01", RSO, "/");
    inspector.sign_in("W90", "reads and never writes", "/");
    let head = place.head();
    let fields = [
        ("do", "send"),
        ("worker", "W08"),
        ("from", "2026-06-01"),
        ("role", "rso"),
        ("reason", "because"),
    ];
    for path in ["/do/worker/role", "/do/review/2026-05", "/do/no/such"] {
        assert_eq!(crew.post(path, &fields).status, 403, "{path}");
        assert_eq!(inspector.post(path, &fields).status, 403, "{path}");
        assert_eq!(inspector.get(path).status, 403, "{path}");
    }
    for path in [
        "/people",
        "/people/W07",
        "/people/W07.json",
        "/more",
        "/entries/5",
    ] {
        assert_eq!(crew.get(path).status, 403, "{path}");
        assert_eq!(inspector.get(path).status, 200, "{path}");
        assert_eq!(rso.get(path).status, 200, "{path}");
    }
    for path in ["/sheet", "/start", "/check", "/wrong"] {
        // Where no checklist is in force, that is said.
        let status = if path == "/check" { 422 } else { 200 };
        assert_eq!(crew.get(path).status, status, "{path}");
        assert_eq!(inspector.get(path).status, 403, "{path}");
        assert_eq!(inspector.post(path, &fields).status, 403, "{path}");
    }
    assert_eq!(inspector.get("/").header("location"), Some("/board"));
    assert_eq!(place.head(), head, "nothing was written");
    let page = inspector.get("/findings").body;
    assert!(!page.contains("href=\"/do/"), "no way to write: {page}");
    let board = rso.get("/board").body;
    for there in ["W08: no right 8 times", "W90: no right 14 times"] {
        assert!(board.contains(there), "{there}: {board}");
    }
    assert!(board.contains("GET /entries/5"), "{board}");
    assert!(!crew.get("/board").body.contains("no right"));
    // The same form is taken from the RSO.
    assert_eq!(rso.post("/do/worker/role", &fields).status, 200);
    assert_ne!(place.head(), head);
}

#[test]
fn a_crew_sees_who_may_go_and_why_not_only_of_itself() {
    let place = with_pins("sign-in, the board");
    let mut crew = served_by(&place, "serve --sign-in", &Moving::from(place.now));
    let mut rso = crew.clone();
    crew.sign_in("W08", CREW, "/");
    rso.sign_in("W01", RSO, "/");
    let off_scale = super::page::with(sheet("P-1", ""), "r1.off_scale", "yes");
    assert_eq!(handed_in(&crew, &off_scale, "send").status, 200);
    let (mine, whole) = (crew.get("/board").body, rso.get("/board").body);
    assert!(whole.contains("off-scale"), "{whole}");
    assert!(!mine.contains("off-scale"), "{mine}");
    assert!(mine.contains("W07 Mirko Sandpiper"), "{mine}");
    assert!(mine.contains("stays in"), "{mine}");
    for suffix in ["csv", "json"] {
        let path = format!("/board.{suffix}");
        assert_eq!(crew.get(&path).status, 404, "{path}");
        assert_eq!(rso.get(&path).status, 200, "{path}");
    }
    assert_eq!(parsed(&mine), [""; 0]);
}

#[test]
fn an_inspector_is_registered_and_not_monitored() {
    let place = with_pins("sign-in, inspector");
    let board = place.done("board --json").out;
    assert!(board.contains("W08") && !board.contains("W90"), "{board}");
    place.done("worker monitoring --worker W90 --on 2026-06-10 --change starts");
    assert!(place.done("board --json").out.contains("W90"));
}

/// A certificate for this machine and its key, in two files, and a client that trusts it.
fn certified(place: &Place, name: &str) -> (String, String, Arc<ClientConfig>) {
    let made = rcgen::generate_simple_self_signed(vec!["127.0.0.1".to_owned()]);
    let made = made.expect("a certificate");
    let cert = place.file(&format!("{name}.pem"), made.cert.pem());
    let key = place.file(&format!("{name}.key"), made.signing_key.serialize_pem());
    let mut roots = RootCertStore::empty();
    roots.add(made.cert.der().clone()).expect("a root");
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .expect("the usual versions")
        .with_root_certificates(roots)
        .with_no_client_auth();
    (cert, key, Arc::new(config))
}

#[test]
fn an_encrypted_connection_answers_to_its_address_and_nothing_goes_in_the_clear() {
    let place = with_pins("sign-in, tls");
    let (cert, key, trusts) = certified(&place, "site");
    let line = format!("serve --sign-in --cert {cert} --key {key} --name truck.local");
    let plain = served_by(&place, &line, &Moving::from(place.now));
    assert!(plain.said.contains("https://127.0.0.1:"), "{}", plain.said);
    assert!(plain.said.contains("SHA-256"), "{}", plain.said);
    let clear = plain.exchanged(format!("GET / HTTP/1.1\r\nHost: {}\r\n\r\n", plain.at).as_bytes());
    assert!(!String::from_utf8_lossy(&clear).contains("HTTP/1.1"));
    let mut browser = Browser {
        tls: Some(trusts),
        ..plain.clone()
    };
    let answer = browser.sign_in("W01", RSO, "/board");
    assert_eq!(answer.status, 303, "{}", answer.body);
    let cookie = answer.header("set-cookie").expect("a cookie");
    assert!(cookie.contains("; Secure"), "{cookie}");
    assert_eq!(browser.get("/board").status, 200);
    let port = browser.at.port();
    for (host, status) in [
        (format!("truck.local:{port}"), 200),
        (format!("evil.example:{port}"), 421),
        ("truck.local".to_owned(), 421),
    ] {
        let mut head = browser.head("GET", "/board", &[]);
        head[1] = format!("Host: {host}");
        assert_eq!(browser.raw(&head, "").status, status, "{host}");
    }
    let fields = [("token", browser.token.as_str())];
    let clear = format!("Origin: http://{}", browser.at);
    assert_eq!(browser.send("/sign-out", &[&clear], &fields).status, 403);
    let (_, _, stranger) = certified(&place, "other");
    let stranger = Browser {
        tls: Some(stranger),
        ..plain
    };
    let asked = b"GET / HTTP/1.1\r\n\r\n";
    assert!(stranger.exchanged(asked).is_empty(), "not the certificate");
}

#[test]
fn a_certificate_or_key_that_is_none_is_refused_in_a_sentence() {
    let mut place = with_pins("sign-in, bad files");
    let (cert, key, _) = certified(&place, "site");
    let (_, other, _) = certified(&place, "other");
    let text = place.file("text.pem", "no certificate");
    let line = |cert: &str, key: &str| format!("serve --port 0 --cert {cert} --key {key}");
    for (line, words) in [
        (line(&text, &key), "there is no certificate as PEM in"),
        (line(&cert, &text), "there is no private key as PEM in"),
        (line(&cert, &other), "is not the one of the certificate"),
        (line("none.pem", &key), "there is no `none.pem`"),
        (format!("serve --cert {cert}"), "--key"),
        ("serve --name \"a b\"".to_owned(), "is no name of a machine"),
    ] {
        let said = place.refused(&line);
        let err = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(err.contains(words), "{line}: {err}");
    }
}

#[test]
fn an_address_that_others_can_reach_asks_for_a_passphrase_of_the_office_and_a_private_network() {
    let mut place = Place::with_registers("sign-in, beyond");
    for (listen, words) in [
        ("0.0.0.0", "is every address of this machine"),
        ("::", "is every address of this machine"),
        ("192.168.7.2", "has a passphrase to sign in with"),
    ] {
        let said = place.refused(&format!("serve --port 0 --listen {listen}"));
        let err = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(err.contains(words), "{listen}: {err}");
    }
    pin(&place, "W08", CREW);
    let said = place.refused("serve --port 0 --sign-in");
    assert!(said.err.contains("passphrase"), "{}", said.err);
    pin(&place, "W01", RSO);
    // No address of this machine: the authority is made, nothing listens.
    for (listen, words) in [
        ("192.0.2.7", "is no address of a private network"),
        (
            "10.255.255.254",
            "10.255.255.254:0 is no address of this machine",
        ),
    ] {
        let said = place.refused(&format!("serve --port 0 --listen {listen}"));
        assert!(said.err.contains(words), "{listen}: {}", said.err);
    }
    let folder = place.path("wearbook.db.site");
    assert!(bytes_have(&folder.join("authority.key"), "PRIVATE KEY"));
    assert!(bytes_have(&folder.join("authority.pem"), "CERTIFICATE"));
}

#[test]
fn refused_attempts_stand_in_a_bounded_table_a_line_a_person_and_day() {
    use wearbook::ledger::{KnownAt, Ledger, LedgerError, Refused};
    let place = Place::with_registers("sign-in, bounded");
    let ledger = Ledger::open(&place.ledger()).expect("the ledger");
    let first = wearbook::calendar::parse_day("2020-01-01").expect("a day");
    for day in first.iter_days().take(1_003) {
        for _ in 0..if day == first { 2 } else { 1 } {
            let about = (day, Some(4));
            ledger
                .note_refused(about, Refused::WrongPin, "/sign-in", place.now)
                .expect("a row");
        }
    }
    let rows = ledger.read(KnownAt::Now, |it| {
        let last = first + chrono::Days::new(2_000);
        it.refused_attempts(first, last)
    });
    let rows: Result<Vec<_>, LedgerError> = rows;
    let rows = rows.expect("the rows");
    assert_eq!(rows.len(), 1_000);
    assert!(rows.iter().all(|it| it.count == 1 && it.day > first));
}

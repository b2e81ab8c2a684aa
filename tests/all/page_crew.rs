//! What a crew has of the page: what to do in words and no terminal, checks while typing, the
//! site's own steps, forms that waited for a connection, and the own PIN.

use super::cli_support::Place;
use super::page::{handed_in, parsed, sheet, with};
use super::page_sign_in::{CREW, RSO, pin, with_pins};
use super::page_support::{Answer, Browser, Moving, served, served_by};

/// The parts of a page that somebody reads as commands or keys of the command line.
fn of_a_terminal(body: &str) -> Vec<&str> {
    let marks = ["wearbook ", "<dt>key</dt>", "key: ", "--on", "--ledger"];
    marks.into_iter().filter(|it| body.contains(it)).collect()
}

#[test]
fn no_page_of_the_crew_asks_for_a_terminal() {
    let place = Place::with_registers("page, no terminal");
    let crew = served(&place).signed_in("W08");
    let off_scale = with(sheet("P-1", ""), "r2.off_scale", "yes");
    let off_scale = with(off_scale, "r2.badge_worn", "no");
    let off_scale = with(off_scale, "r2.alarm_tested", "no");
    let looked = handed_in(&crew, &off_scale, "look");
    assert!(looked.body.contains("STOP"), "{}", looked.body);
    assert_eq!(of_a_terminal(&looked.body), [""; 0], "{}", looked.body);
    let sent = handed_in(&crew, &off_scale, "send");
    assert_eq!(of_a_terminal(&sent.body), [""; 0], "{}", sent.body);
    assert!(sent.body.contains("tell the RSO"), "{}", sent.body);
    for path in [
        "/",
        "/board",
        "/check",
        "/alerts",
        "/people/W08",
        "/people/W08/status",
        "/people/W08/forecast",
        "/people/W08/statement",
        "/people/W08?on=never",
        "/away",
        "/paper",
        "/scan",
        "/sheet",
        "/start",
        "/wrong",
    ] {
        let page = crew.get(path);
        assert_eq!(of_a_terminal(&page.body), [""; 0], "{path}: {}", page.body);
        assert_eq!(parsed(&page.body), [""; 0], "{path}");
    }
    // The RSO has the keys and the commands.
    let rso = crew.another("W01").get("/findings").body;
    assert!(rso.contains("<dt>key</dt>"), "{rso}");
}

#[test]
fn what_is_typed_so_far_is_tried_in_the_words_of_the_sheet_and_writes_nothing() {
    let place = Place::with_registers("page, tried");
    let crew = served(&place).signed_in("W08");
    let head = place.head();
    let draft = with(sheet("P-1", ""), "r2.end", "9 mmR");
    let draft = with(draft, "r1.off_scale", "yes");
    let tried = handed_in(&crew, &draft, "try");
    assert_eq!(tried.status, 200, "{}", tried.body);
    assert!(tried.body.contains("data-for=\"r2.end\""), "{}", tried.body);
    assert!(tried.body.contains("STOP"), "{}", tried.body);
    assert_eq!(of_a_terminal(&tried.body), [""; 0]);
    let fault = tried.body.split("data-for=\"r2.end\">").nth(1);
    let fault = fault.and_then(|it| it.split('<').next()).expect("a fault");
    let sent = handed_in(&crew, &draft, "send");
    assert_eq!(sent.status, 422);
    assert!(sent.body.contains(fault), "{fault}: {}", sent.body);
    let good = handed_in(&crew, &sheet("P-1", ""), "try");
    assert!(!good.body.contains("data-for"), "{}", good.body);
    assert_eq!(place.head(), head, "nothing was written");
}

#[test]
fn the_site_s_own_steps_stand_before_any_field_below_the_two_that_are_always_there() {
    let mut place = Place::with_registers("page, steps");
    let steps = place.file("steps.txt", "Shout <stop>.\n\n  Count heads at the gate.\n");
    let line = format!("serve --call RSO-555-0100 --steps {steps}");
    let crew = served_by(&place, &line, &Moving::from(place.now)).signed_in("W08");
    let page = crew.get("/wrong").body;
    let at = |words: &str| {
        page.find(words)
            .unwrap_or_else(|| panic!("{words}: {page}"))
    };
    let order = [
        "hold the boundary",
        "No retrieval unless",
        "Shout &lt;stop&gt;.",
        "Count heads at the gate.",
        "555-0100",
        "<form method=\"post\" action=\"/wrong\"",
    ];
    let found = order.map(at);
    assert!(found.is_sorted(), "{found:?}");
    let none = place.file("none.txt", "\n \n");
    let many = place.file("many.txt", "step\n".repeat(13));
    let long = place.file("long.txt", "x".repeat(201));
    for (file, words) in [
        (&none, "has no step"),
        (&many, "has 13 steps"),
        (&long, "more than 200 characters in step 1"),
        (&"no-such.txt".to_owned(), "there is no `no-such.txt`"),
    ] {
        let said = place.refused(&format!("serve --port 0 --steps {file}"));
        let err = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(err.contains(words), "{file}: {err}");
    }
}

/// The faults of a form lead to the fields that have them.
#[test]
fn each_fault_of_a_check_leads_to_its_own_item() {
    let place = super::cli_maintenance_shown::kept("page, faults");
    let crew = served(&place).signed_in("W07");
    let page = crew.get("/check?set=G-1%20C-1");
    let names = |nth: usize| ["key", "result"].map(|it| format!("i2.{nth}.{it}"));
    let [key, result] = names(2);
    let of_item = page.value(&key);
    let answer = crew.post(
        "/check",
        &[
            ("set", "G-1 C-1"),
            (&key, &of_item),
            (&result, "defect"),
            ("do", "look"),
        ],
    );
    assert_eq!(answer.status, 422);
    for field in ["note", "action"] {
        let link = format!("href=\"#i2.2.{field}\"");
        assert!(answer.body.contains(&link), "{link}: {}", answer.body);
    }
    assert!(
        !answer.body.contains("href=\"#i1.1.note\""),
        "{}",
        answer.body
    );
}

/// Everybody who may be on a sheet can be chosen, however many there are.
#[test]
fn the_thirteenth_person_and_dosimeter_can_be_chosen() {
    let place = Place::with_registers("page, thirteen");
    for nth in 10..25 {
        place.done(&format!(
            "instrument add --id PD-9{nth} --type \"pocket dosimeter\" --serial 9{nth} --unit \
             mR --range \"200 mR\""
        ));
    }
    let crew = served(&place).signed_in("W08");
    let page = crew.get("/sheet?rows=3").body;
    for nth in 10..25 {
        let id = format!("<option value=\"PD-9{nth}\"");
        assert!(page.contains(&id), "{id}: {page}");
    }
}

/// A form as it waited: its items in another order than the list has them now, the last with a
/// defect.
fn waited(page: &Answer) -> Vec<(String, String)> {
    let items = page.body.matches(".key\"").count();
    assert!(items > 1, "{}", page.body);
    let keys = (1..=items).map(|it| page.value(&format!("i1.{it}.key")));
    let mut fields = vec![
        ("set".to_owned(), "G-1".to_owned()),
        ("at".to_owned(), "06:20".to_owned()),
        ("on".to_owned(), page.value("on")),
    ];
    for (nth, key) in keys.collect::<Vec<_>>().into_iter().rev().enumerate() {
        let result = if nth == 0 { "defect" } else { "good" };
        fields.push((format!("i9.{nth}.key"), key));
        fields.push((format!("i9.{nth}.result"), result.to_owned()));
    }
    fields.push(("i9.0.note".to_owned(), "kink at the middle".to_owned()));
    fields.push(("i9.0.action".to_owned(), "taken out".to_owned()));
    fields
}

/// A form that waited is of the list and the day on which it was opened.
#[test]
fn a_check_that_waited_answers_the_items_that_it_showed_on_their_day() {
    let place = super::cli_maintenance_shown::kept("page, waited");
    super::cli_maintenance_shown::sheet_of(&place, "2026-06-14");
    let clock = Moving::from(place.now);
    let crew = served_by(&place, "serve", &clock).signed_in("W07");
    let page = crew.get("/check?set=G-1");
    let (day, fields) = (page.value("on"), waited(&page));
    let send = |fields: &[(String, String)], step: &str| {
        let fields: Vec<(&str, &str)> = fields.iter().map(|it| (&*it.0, &*it.1)).collect();
        crew.post("/check", &with(fields, "do", step))
    };
    // A day later, when there is a connection again.
    for _ in 0..3 {
        clock.on(11 * 60 * 60);
        assert_eq!(crew.get("/board").status, 200);
    }
    assert_ne!(crew.get("/check?set=G-1").value("on"), day);
    let mut gone = fields.clone();
    for (name, value) in [("key", "G-1 no-such-item"), ("result", "defect")] {
        gone.push((format!("i9.99.{name}"), value.to_owned()));
    }
    let head = place.head();
    let gone = send(&gone, "send");
    assert_eq!(gone.status, 422, "{}", gone.body);
    let words = "G-1 no-such-item: defect";
    assert!(gone.body.contains(words), "{}", gone.body);
    assert_eq!(place.head(), head, "an answer is not dropped");
    let tried = send(&fields, "try");
    assert!(tried.body.contains("STOP"), "{}", tried.body);
    assert_eq!(place.head(), head);
    let sent = send(&fields, "send");
    assert_eq!(sent.status, 200, "{}", sent.body);
    let head = place.head();
    let number = head.split(':').next().unwrap_or_default().trim();
    let entry = super::cli_support::data_of(&place, &format!("entry show {number}"));
    let value = |name: &str| {
        let fields = entry["fields"].as_array().expect("fields");
        let found = fields.iter().find(|it| it["field"] == name);
        found.map(|it| it["value"].as_str().unwrap_or_default().to_owned())
    };
    assert_eq!(value("on"), Some(day));
    let of_list = |key: &String| key.trim_start_matches("G-1 ").to_owned();
    let wanted: Vec<String> = fields
        .iter()
        .filter(|it| it.0.ends_with(".key"))
        .map(|it| of_list(&it.1))
        .rev()
        .collect();
    for (key, nth) in wanted.iter().zip(1..) {
        let result = if nth == wanted.len() {
            "defect"
        } else {
            "good"
        };
        assert_eq!(value(&format!("lines.{nth}.line")).as_ref(), Some(key));
        assert_eq!(
            value(&format!("lines.{nth}.result")).as_deref(),
            Some(result)
        );
    }
}

fn change(browser: &Browser, (old, new, again): (&str, &str, &str)) -> Answer {
    browser.post("/pin", &[("old", old), ("new", new), ("again", again)])
}

#[test]
fn a_new_pin_that_is_none_or_a_wrong_old_one_changes_nothing_and_counts_as_at_the_sign_in() {
    let place = with_pins("page, no new pin");
    let mut crew = served_by(&place, "serve --sign-in", &Moving::from(place.now));
    for path in ["/token", "/away", "/pin"] {
        let status = crew.get(path).status;
        assert_eq!(status, 303, "{path}: a stranger signs in first");
    }
    let mut rso = crew.clone();
    crew.sign_in("W08", CREW, "/");
    rso.sign_in("W01", RSO, "/");
    let (mine, of_rso) = (crew.get("/pin").body, rso.get("/pin").body);
    assert_eq!(parsed(&mine), [""; 0]);
    assert!(mine.contains("a PIN of at least 6 characters"), "{mine}");
    let words = "a passphrase of at least 12 characters";
    assert!(of_rso.contains(words), "{of_rso}");
    let new = "730518";
    let short = "a PIN of 5 characters is too short";
    for (typed, status, words) in [
        ((CREW, new, "730519"), 422, "are not the same"),
        ((CREW, CREW, CREW), 422, "is the one that you have"),
        ((CREW, "73051", "73051"), 422, short),
        ((CREW, "111111", "111111"), 422, "are tried first"),
        (("480262", new, new), 403, "The next try is in 1 s"),
        ((CREW, new, new), 429, "the next try is in 1 s"),
    ] {
        let answer = change(&crew, typed);
        assert_eq!(answer.status, status, "{typed:?}: {}", answer.body);
        for words in [words, "Nothing was changed."] {
            assert!(answer.body.contains(words), "{words}: {}", answer.body);
        }
        assert_eq!(parsed(&answer.body), [""; 0]);
    }
    let spanish = crew.with_cookie("wearbook-language=es");
    let said = change(&spanish, (CREW, new, "730519")).body;
    for words in ["Los dos nuevos no son iguales.", "No se cambió nada."] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // The sign-in waits for it too, and the board has it.
    assert_eq!(crew.clone().sign_in("W08", CREW, "/").status, 429);
    assert!(place.done("board").out.contains("wrong PIN 1 time"));
    let short = change(&rso, (RSO, "elevensigns", "elevensigns")).body;
    assert!(short.contains("is too short"), "{short}");
    // Where nobody signs in there is no PIN to change.
    let place = Place::with_registers("page, no pin");
    let crew = served(&place).signed_in("W08");
    assert_eq!(crew.get("/pin").status, 404);
    assert_eq!(change(&crew, ("", new, new)).status, 404);
}

#[test]
fn the_own_pin_is_changed_by_the_old_one_and_the_other_sessions_are_over() {
    let place = with_pins("page, own pin");
    let clock = Moving::from(place.now);
    let mut crew = served_by(&place, "serve --sign-in", &clock);
    let (mut other, mut rso) = (crew.clone(), crew.clone());
    crew.sign_in("W08", CREW, "/");
    other.sign_in("W08", CREW, "/");
    rso.sign_in("W01", RSO, "/");
    let new = "730518";
    let fields = [("old", CREW), ("new", new), ("again", new)];
    let no_token = crew.send("/pin", &[], &fields);
    assert_eq!(no_token.status, 403);
    let done = change(&crew, (CREW, new, new));
    assert_eq!(done.status, 200, "{}", done.body);
    let cookie = done.header("set-cookie").expect("a new session");
    assert_eq!(crew.get("/").status, 303, "the old session is over");
    assert_eq!(other.get("/").status, 303, "and the other device's");
    crew.cookie = cookie.split(';').next().unwrap_or_default().to_owned();
    assert_eq!(crew.get("/").status, 200);
    assert_eq!(rso.get("/").status, 200, "nobody else is out");
    assert_eq!(other.sign_in("W08", CREW, "/").status, 403);
    clock.on(1);
    assert_eq!(other.sign_in("W08", new, "/").status, 303);
}

/// Each hash takes 64 MiB: the most that the program ever held tells how many there were at once.
#[cfg(target_os = "linux")]
#[test]
fn at_most_two_pins_are_hashed_at_once() {
    use std::io::BufRead;
    use std::process::{Command, Stdio};
    const HASH_KIB: u64 = 64 * 1024;
    let place = Place::with_registers("page, hashes");
    pin(&place, "W01", RSO);
    let mut server = Command::new(env!("CARGO_BIN_EXE_wearbook"))
        .args(["serve", "--sign-in", "--port", "0", "--ledger"])
        .arg(place.ledger())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program");
    let out = server.stdout.take().expect("its output");
    let mut line = String::new();
    std::io::BufReader::new(out)
        .read_line(&mut line)
        .expect("an address");
    let at = line
        .trim()
        .trim_start_matches("http://")
        .trim_end_matches('/');
    let browser = Browser {
        at: at.parse().expect("an address"),
        cookie: String::new(),
        invited: String::new(),
        token: String::new(),
        tls: None,
        said: String::new(),
    };
    let most = || -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", server.id()));
        let status = status.expect("what the system knows of it");
        let line = status
            .lines()
            .find(|it| it.starts_with("VmHWM:"))
            .expect("the most");
        let number = line
            .split_whitespace()
            .nth(1)
            .and_then(|it| it.parse().ok());
        number.expect("a number of KiB")
    };
    let before = most();
    std::thread::scope(|scope| {
        for at in 0..8 {
            let mut browser = browser.clone();
            // Each name waits for itself alone.
            scope.spawn(move || browser.sign_in(&format!("nobody {at}"), "480261", "/"));
        }
    });
    let grown = most() - before;
    server.kill().expect("its end");
    server.wait().expect("its end");
    assert!(grown > HASH_KIB / 2, "{grown} KiB: none was hashed");
    assert!(
        grown < 2 * HASH_KIB + HASH_KIB / 2,
        "{grown} KiB: more than two at once"
    );
}

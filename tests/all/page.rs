//! The page: who is answered, what a person may do, and that a form is the same as a file.

use super::cli_support::{HEADER, Place, row};
use super::page_support::{Browser, served};
use super::pages::faults;

/// A sheet of two people as the form sends it.
pub fn sheet<'a>(number: &'a str, note: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("sheet", number),
        ("rows", "2"),
        ("day", "2026-06-14"),
        ("shift", "day"),
        ("begins", "07:00"),
        ("ends", "15:00"),
        ("job", "J-1"),
        ("work", "radiography"),
        ("device", "D-1"),
        ("source", "S-1"),
        ("control_unit", "C-1"),
        ("guide_tubes", "G-1 G-2"),
        ("meter", "SM-1"),
        ("exposures", "24"),
        ("source_out_min", "36.5"),
        ("unit", "mR/h"),
        ("boundary", "1.8"),
        ("storage_survey", "22 mR/h"),
        ("device_out", "06:30"),
        ("device_back", "15:20"),
        ("attested_by", "W07"),
        ("note", note),
        ("r1.worker", "W07"),
        ("r1.role", "radiographer"),
        ("r1.dosimeter", "PD-07"),
        ("r1.part", "1"),
        ("r1.start", "0"),
        ("r1.end", "12"),
        ("r1.off_scale", "no"),
        ("r1.ratemeter", "RM-07"),
        ("r1.alarm_tested", "yes"),
        ("r1.badge_worn", "yes"),
        ("r2.worker", "W08"),
        ("r2.role", "assistant"),
        ("r2.dosimeter", "PD-08"),
        ("r2.part", "1"),
        ("r2.start", "1"),
        ("r2.end", "9"),
        ("r2.off_scale", "no"),
        ("r2.ratemeter", "RM-08"),
        ("r2.alarm_tested", "yes"),
        ("r2.badge_worn", "yes"),
    ]
}

pub fn with<'a>(
    mut fields: Vec<(&'a str, &'a str)>,
    name: &'a str,
    value: &'a str,
) -> Vec<(&'a str, &'a str)> {
    fields.retain(|it| it.0 != name);
    fields.push((name, value));
    fields
}

pub fn handed_in(
    browser: &Browser,
    fields: &[(&str, &str)],
    what: &str,
) -> super::page_support::Answer {
    browser.post("/sheet", &with(fields.to_vec(), "do", what))
}

/// What a page of the server has that a page of its own must not have.
pub fn parsed(page: &str) -> Vec<String> {
    let served = [
        "a script",
        "a link",
        "a form",
        "link fetches",
        "script fetches",
        "a fetches",
    ];
    let mut found = faults(page);
    found.retain(|it| !served.iter().any(|one| it.starts_with(one)));
    found
}

#[test]
fn the_printed_address_opens_one_browser_and_a_stranger_sees_nothing() {
    let place = Place::with_registers("page, an address");
    let browser = served(&place);
    let stranger = browser.get("/");
    assert_eq!(stranger.status, 403);
    assert!(!stranger.body.contains("Sandpiper"), "{}", stranger.body);
    let first = browser.get(&browser.invited);
    assert_eq!((first.status, first.header("location")), (303, Some("/")));
    let cookie = first.header("set-cookie").expect("a cookie");
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax"),
        "{cookie}"
    );
    assert_eq!(browser.get(&browser.invited).status, 403, "it works once");
    let mine = Browser {
        cookie: cookie.split(';').next().expect("a cookie").to_owned(),
        ..browser
    };
    let who = mine.get("/");
    assert_eq!(who.status, 200);
    assert!(who.body.contains("Mirko Sandpiper"), "{}", who.body);
    assert_eq!(who.header("cache-control"), Some("no-store"));
    let policy = who.header("content-security-policy").expect("a policy");
    assert!(policy.contains("script-src 'self';"), "{policy}");
    assert!(!policy.contains("unsafe"), "{policy}");
}

#[test]
fn a_page_elsewhere_gets_nothing_and_sends_nothing() {
    let place = Place::with_registers("page, elsewhere");
    let browser = served(&place).signed_in("W07");
    let head = place.head();
    let mut renamed = browser.head("GET", "/", &[]);
    renamed[1] = "Host: evil.example".to_owned();
    let answer = browser.raw(&renamed, "");
    assert_eq!(answer.status, 421);
    assert!(!answer.body.contains("Sandpiper"), "{}", answer.body);
    let token = browser.get("/sheet").value("token");
    let mut fields = with(sheet("P-1", ""), "do", "send");
    fields.push(("token", &token));
    for (more, status) in [
        (&["Origin: http://evil.example"][..], 403),
        (&["Origin: null"][..], 403),
        (&["Sec-Fetch-Site: cross-site"][..], 403),
    ] {
        assert_eq!(
            browser.send("/sheet", more, &fields).status,
            status,
            "{more:?}"
        );
    }
    let without = with(sheet("P-1", ""), "do", "send");
    assert_eq!(
        browser.send("/sheet", &[], &without).status,
        403,
        "no token"
    );
    let guessed = with(without, "token", "00000000000000000000000000000000");
    assert_eq!(
        browser.send("/sheet", &[], &guessed).status,
        403,
        "another's token"
    );
    assert_eq!(place.head(), head, "nothing was written");
    // The same with its own token and no other fault is taken.
    assert_eq!(browser.send("/sheet", &[], &fields).status, 200);
    assert_ne!(place.head(), head);
}

#[test]
fn a_sheet_by_the_form_is_the_sheet_by_a_file_and_a_second_sending_is_no_second_sheet() {
    let place = Place::with_registers("page, a sheet");
    let browser = served(&place).signed_in("W08");
    let head = place.head();
    let inspected = handed_in(&browser, &sheet("P-77", "windy"), "look");
    assert_eq!(inspected.status, 200, "{}", inspected.body);
    assert_eq!(place.head(), head, "looking writes nothing");
    assert_eq!(parsed(&inspected.body), [""; 0]);
    // Whoever sends sees the own dose, and of the others only the shift's and what stops them.
    assert_eq!(
        inspected.body.matches("not shown").count(),
        1,
        "{}",
        inspected.body
    );
    let own = inspected.body.matches("limit, licensee year").count();
    assert_eq!(own, 1, "the levels of one person: {}", inspected.body);
    let sent = handed_in(&browser, &sheet("P-77", "windy"), "send");
    assert_eq!(sent.status, 200, "{}", sent.body);
    assert!(sent.body.contains("entry 28"), "{}", sent.body);
    let head = place.head();
    let again = handed_in(&browser, &sheet("P-77", "windy"), "send");
    assert_eq!(again.status, 200, "{}", again.body);
    assert!(again.body.contains("entry 28"), "{}", again.body);
    assert_eq!(place.head(), head, "one entry, however often it is sent");
    let other = handed_in(
        &browser,
        &with(sheet("P-77", "windy"), "r2.end", "10"),
        "send",
    );
    assert_eq!(other.status, 422, "{}", other.body);
    assert!(other.body.contains("Not sent yet"), "{}", other.body);
    assert_eq!(place.head(), head);

    let file = Place::with_registers("page, the same by file");
    let rows = [
        "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes",
        "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes",
    ];
    let rows = rows.map(|it| row("2026-06-14", "day", it).trim_end().to_owned() + ",P-77,windy\n");
    let header = HEADER.trim_end().to_owned() + ",sheet,note\n";
    let csv = file.file("sheet.csv", format!("{header}{}", rows.join("")));
    file.done(&format!("sheet import {csv}"));
    let fields =
        |place: &Place| super::cli_support::data_of(place, "entry show 28")["fields"].take();
    assert_eq!(fields(&place), fields(&file));
    let entry = place.done("entry show 28").out;
    let claimed = "by Lucinda Ferrow (system user tester, page, name claimed)";
    assert!(
        entry
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains(claimed),
        "{entry}"
    );
}

#[test]
fn what_is_wrong_is_said_beside_its_field_in_the_words_of_the_file_and_all_typed_is_kept() {
    let place = Place::with_registers("page, faults");
    let browser = served(&place).signed_in("W07");
    let head = place.head();
    let wrong = with(sheet("P-1", "kept <b>&\"as it is"), "r2.end", "9 mmR");
    let wrong = with(wrong, "begins", "25:00");
    let answer = handed_in(&browser, &wrong, "send");
    assert_eq!(answer.status, 422, "{}", answer.body);
    assert_eq!(place.head(), head);
    assert_eq!(parsed(&answer.body), [""; 0]);
    for there in [
        "href=\"#r2.end\"",
        "id=\"r2.end-fault\"",
        "href=\"#begins\"",
        "value=\"9 mmR\"",
        "value=\"25:00\"",
        "value=\"12\"",
        "kept &lt;b&gt;&amp;",
    ] {
        assert!(answer.body.contains(there), "{there}: {}", answer.body);
    }
    let good = row(
        "2026-06-14",
        "day",
        "W08,assistant,PD-08,1,1,9 mmR,no,RM-08,yes,yes",
    );
    let file = place.file("wrong.csv", format!("{HEADER}{good}"));
    let faults = place.path("faults.csv").display().to_string();
    place.quiet(&format!("sheet import {file} --faults {faults}"));
    let mut told = csv::Reader::from_path(&faults).expect("the faults");
    let told = told.records().next().expect("a fault").expect("a row");
    let what = told.get(5).expect("what is wrong");
    assert!(answer.body.contains(what), "{what}: {}", answer.body);
}

#[test]
fn markup_in_any_field_is_text_on_every_page() {
    let place = Place::with_registers("page, markup");
    let browser = served(&place).signed_in("W07");
    let evil = "\"><script>alert(1)</script><img src=x onerror=alert(2)>";
    let fields = sheet("P-2", "");
    let all = fields.iter().map(|(name, value)| match *name {
        "rows" => (*name, *value),
        _ => (*name, evil),
    });
    let all: Vec<_> = all.collect();
    let one = |name| with(fields.clone(), name, evil);
    for fields in [
        all,
        one("note"),
        one("sheet"),
        one("r1.worker"),
        one("job"),
        one("site"),
    ] {
        for step in ["look", "send", "person"] {
            let answer = handed_in(&browser, &fields, step);
            assert!(
                !answer.body.contains("<script>alert"),
                "{step}: {}",
                answer.body
            );
            assert!(!answer.body.contains("<img"), "{step}: {}", answer.body);
            assert_eq!(parsed(&answer.body), [""; 0], "{step}");
        }
    }
    let path = "/people/%3Cscript%3Ealert(1)%3C%2Fscript%3E";
    let answer = browser.get(path);
    assert!(!answer.body.contains("<script>alert"), "{}", answer.body);
}

#[test]
fn the_office_is_for_the_office() {
    let place = Place::with_registers("page, rights");
    let rso = served(&place).signed_in("W01");
    let assistant = rso.another("W08");
    let head = place.head();
    for path in [
        "/findings",
        "/people",
        "/people/W07",
        "/people/W07/status",
        "/people/W07.csv",
        "/month/2026-05",
        "/entries/5",
        "/do/review/2026-05",
        "/do/worker/role",
        "/ledger",
    ] {
        assert_eq!(assistant.get(path).status, 403, "{path}");
    }
    for path in [
        "/",
        "/board",
        "/sheet",
        "/wrong",
        "/people/W08",
        "/people/W08/forecast",
    ] {
        assert_eq!(assistant.get(path).status, 200, "{path}");
    }
    let fields = [
        ("do", "send"),
        ("period", "2026-05"),
        ("reason", "reviewed at the desk"),
        ("worker", "W08"),
        ("from", "2026-06-01"),
        ("role", "rso"),
        ("performed-by", "W01"),
    ];
    for path in ["/do/review", "/do/worker/role", "/do/entry/void"] {
        let answer = assistant.post(path, &fields);
        assert_eq!(answer.status, 403, "{path}: {}", answer.body);
    }
    assert_eq!(place.head(), head, "nothing was written");
    // The same address takes the same form from the RSO.
    let answer = rso.post("/do/worker/role", &fields);
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert_ne!(place.head(), head);
    // A role counts from the day that its record says, also for whoever is signed in already.
    assert_eq!(assistant.get("/findings").status, 200);
}

#[test]
fn a_form_that_is_too_large_or_no_form_is_refused() {
    let place = Place::with_registers("page, large");
    let browser = served(&place).signed_in("W07");
    let large = "x".repeat(600 * 1024);
    let answer = browser.send("/sheet", &[], &[("note", &large)]);
    assert_eq!(answer.status, 413, "{}", answer.body);
    let mut head = browser.head("POST", "/sheet", &["Content-Type: text/plain".to_owned()]);
    head.push("Content-Length: 1".to_owned());
    assert_eq!(browser.raw(&head, "x").status, 415);
    assert_eq!(
        browser.raw(&browser.head("DELETE", "/", &[]), "").status,
        405
    );
}

/// The program itself: Ctrl-C ends it, and it says so by ending.
#[cfg(unix)]
#[test]
fn ctrl_c_ends_the_server_cleanly() {
    use std::io::BufRead;
    use std::process::{Command, Stdio};
    let place = Place::with_registers("page, the end");
    let mut server = Command::new(env!("CARGO_BIN_EXE_wearbook"))
        .args(["serve", "--port", "0", "--ledger"])
        .arg(place.ledger())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program");
    let mut line = String::new();
    let out = server.stdout.take().expect("its output");
    std::io::BufReader::new(out)
        .read_line(&mut line)
        .expect("an address");
    assert!(line.starts_with("http://127.0.0.1:"), "{line}");
    let pid = server.id().to_string();
    let told = Command::new("kill")
        .args(["-INT", &pid])
        .status()
        .expect("kill");
    assert!(told.success());
    let ended = server.wait().expect("the end");
    assert_eq!(ended.code(), Some(0));
}

//! Files that come with a form: taken in as the command line takes them, refused in the same words,
//! bounded, and never a file of this machine.

use super::cli_badges::issued;
use super::cli_support::Place;
use super::page::parsed;
use super::page_sign_in::{CREW, with_pins};
use super::page_support::{Browser, Moving, Sent, served, served_by};

const REPORT: &str = "Account,Dosimeter,Name,Use,Begin,DDE (mrem),YTD DDE
1,B-07,Sandpiper,WB,2026-05-01,31,120
1,B-08,Ferrow,WB,2026-05-01,M,M
";

const SAID: &[(&str, &str)] = &[
    ("report", "R-5"),
    ("reported-on", "2026-06-10"),
    ("minimum", "10 mrem"),
    ("below", "M"),
    ("unit", "mrem"),
];

const HEADINGS: &[(&str, &str)] = &[
    ("heading.badge", "Dosimeter"),
    ("heading.first_day", "Begin"),
    ("heading.deep", "DDE (mrem)"),
];

const IMPORT: &str = "/do/badge/import";

fn entries(place: &Place) -> String {
    place.quiet("ledger seal").out
}

fn with<'a>(parts: &[&[(&'a str, &'a str)]], step: &'a str) -> Vec<(&'a str, &'a str)> {
    let all = parts.iter().flat_map(|it| it.iter().copied());
    all.chain([("do", step)]).collect()
}

#[test]
fn a_report_is_mapped_looked_at_and_taken_as_at_the_command_line() {
    let (place, other) = (issued("page, report"), issued("page, report by hand"));
    let browser = served(&place).signed_in("W01");
    let before = entries(&place);
    // Nothing is known of its headings yet: they are offered, each with the cell below it.
    let first = browser.upload(
        IMPORT,
        &with(&[SAID], "preview"),
        ("file", "may.csv", REPORT),
    );
    assert_eq!(first.status, 200, "{}", first.body);
    assert_eq!(parsed(&first.body), [""; 0]);
    for (words, is_there) in [
        ("Say below which of its headings holds what", true),
        ("error", false),
        ("--", false),
    ] {
        assert_eq!(
            first.body.contains(words),
            is_there,
            "{words}: {}",
            first.body
        );
    }
    assert!(
        first.body.contains(">DDE (mrem): 31</option>"),
        "{}",
        first.body
    );
    // The file is in hand: nobody chooses it again.
    let held = first.value("held");
    let in_hand = [("held", held.as_str())];
    let rows = browser.upload_none(IMPORT, &with(&[SAID, HEADINGS, &in_hand], "preview"));
    assert_eq!(rows.status, 200, "{}", rows.body);
    assert!(
        rows.body.contains("its first rows as they are understood"),
        "{}",
        rows.body
    );
    let held = rows.value("held");
    let in_hand = [("held", held.as_str())];
    let dry = browser.upload_none(IMPORT, &with(&[SAID, HEADINGS, &in_hand], "look"));
    assert_eq!(dry.status, 200, "{}", dry.body);
    assert!(dry.body.contains("dry run: "), "{}", dry.body);
    assert_eq!(entries(&place), before);
    let held = dry.value("held");
    let in_hand = [("held", held.as_str())];
    let sent = browser.upload_none(IMPORT, &with(&[SAID, HEADINGS, &in_hand], "send"));
    assert_eq!(sent.status, 200, "{}", sent.body);
    assert!(sent.body.contains("On record"), "{}", sent.body);
    // A second tap adds nothing: the file is not in hand any more.
    let again = browser.upload_none(IMPORT, &with(&[SAID, HEADINGS, &in_hand], "send"));
    assert_eq!(again.status, 422, "{}", again.body);
    assert!(again.body.contains("no longer in hand"), "{}", again.body);
    let file = other.file("may.csv", REPORT);
    other.done(&format!(
        "badge import {file} --map badge=Dosimeter --map first_day=Begin --map \"deep=DDE (mrem)\" \
         --report R-5 --reported-on 2026-06-10 --minimum \"10 mrem\" --below M --unit mrem"
    ));
    let doses = "dose crew --csv";
    assert_eq!(place.quiet(doses).out, other.quiet(doses).out);
    assert_ne!(entries(&place), before);
}

/// Files that no command takes: the command, the file's name and what is in it.
const REFUSED: &[(&str, &str, &[u8])] = &[
    ("worker import", "w.csv", b"id,nam\nW77,x\n"),
    ("sheet import", "s.csv", b"day,shift\n2026-06-14,day\n"),
    ("inspect import", "i.csv", b""),
    ("instrument calibrations", "c.csv", b"a\xff,b\n1,2\n"),
    ("job import", "j.csv", b"i\0d\0,\0n\0a\0m\0e\0\n\0"),
    ("badge results", "b.xlsx", b"PK\x03\x04 and no more"),
    ("badge results", "b.xlsx", b"badge,deep\n"),
    ("equipment parts", "p.csv", &[0; 64]),
];

#[test]
fn a_file_is_refused_in_the_words_of_the_command_line() {
    let place = Place::with_registers("page, refused file");
    let browser = served(&place).signed_in("W01");
    let before = entries(&place);
    for (command, name, bytes) in REFUSED {
        let to = format!("/do/{}", command.replace(' ', "/"));
        let answer = browser.upload(&to, &[("do", "send")], ("file", name, bytes));
        assert_eq!(answer.status, 422, "{to}: {}", answer.body);
        assert_eq!(parsed(&answer.body), [""; 0], "{to}");
        let file = place.file(name, bytes);
        let said = place.quiet(&format!("{command} {file}"));
        assert_eq!(said.code, 1, "{command}: {}", said.err);
        let plain = |text: &str| -> String {
            let signs = [
                ("&lt;", "<"),
                ("&gt;", ">"),
                ("&quot;", "\""),
                ("&amp;", "&"),
            ];
            let text = text.replace(&file, name);
            let text = signs.iter().fold(text, |text, it| text.replace(it.0, it.1));
            text.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        let first = plain(said.err.lines().next().unwrap_or_default());
        let page = plain(&answer.body);
        assert!(page.contains(&first), "{to}: {first}\n{page}");
    }
    assert_eq!(entries(&place), before);
}

#[test]
fn a_form_with_files_is_bounded_and_reads_no_file_of_this_machine() {
    let place = Place::with_registers("page, hostile files");
    let browser = served(&place).signed_in("W01");
    let before = entries(&place);
    let to = "/do/worker/import";
    // What says that it holds a gigabyte is not read at all.
    let head = |length: &str, kind: &str| {
        let lines = [
            format!("Content-Type: {kind}"),
            format!("Content-Length: {length}"),
        ];
        browser.head("POST", to, &lines)
    };
    let form = "multipart/form-data; boundary=x";
    assert_eq!(browser.raw(&head("1073741824", form), "").status, 413);
    // A browser that sends more than a form may hold is told so.
    let large = "1".repeat(17 << 20);
    let answer = browser.upload(to, &[("do", "look")], ("file", "w.csv", &large));
    assert_eq!(answer.status, 413);
    assert!(answer.body.contains("at most 16 MB"), "{}", answer.body);
    for (kind, body, status) in [
        ("multipart/form-data", "x", 400),
        (form, "no part of anything", 400),
        (form, "--x\r\n", 400),
        (form, "--x--\r\n", 403),
        ("multipart/mixed; boundary=x", "--x--\r\n", 415),
        ("text/csv", "id,name\n", 415),
    ] {
        let answer = browser.raw(&head(&body.len().to_string(), kind), body);
        assert_eq!(answer.status, status, "{kind} {body}: {}", answer.body);
    }
    // The token comes first: before it no file is read, and another's is none.
    let file = Sent::File("file", "w.csv", b"id,name\nW77,X\n");
    let (token, stale) = (browser.token.clone(), "0".repeat(32));
    let late = [
        file,
        Sent::Field("token", &token),
        Sent::Field("do", "send"),
    ];
    assert_eq!(browser.multipart(to, &late).status, 403);
    let wrong = [
        Sent::Field("token", &stale),
        file,
        Sent::Field("do", "send"),
    ];
    assert_eq!(browser.multipart(to, &wrong).status, 403);
    // A file's name is a name, and a field that names a file of this machine names nothing.
    let own = place.file("own.csv", "id,name\nW77,X\n");
    for fields in [
        vec![("do", "send"), ("file", own.as_str())],
        vec![("do", "send"), ("held", "00")],
        vec![("do", "send")],
    ] {
        assert_eq!(browser.post(to, &fields).status, 422);
        assert_eq!(browser.upload_none(to, &fields).status, 422);
    }
    let named = browser.upload(to, &[("do", "send")], ("file", &own, ""));
    assert!(named.body.contains("the file is empty"), "{}", named.body);
    // What one session has in hand is another's not.
    let held = browser.upload(to, &[("do", "look")], ("file", "w.csv", "id,name\nW77,X\n"));
    let id = held.value("held");
    let other = browser.another("W01");
    let taken = other.upload_none(to, &[("do", "send"), ("held", id.as_str())]);
    assert_eq!(taken.status, 422, "{}", taken.body);
    assert_eq!(entries(&place), before);
}

#[test]
fn whoever_is_no_rso_hands_in_no_file_and_it_is_noted() {
    let place = with_pins("page, no right to files");
    let clock = Moving::from(place.now);
    let mut browser = served_by(&place, "serve --sign-in", &clock);
    assert_eq!(browser.sign_in("W08", CREW, "/").status, 303);
    let file = ("file", "w.csv", "id,name\nW77,X\n");
    let answer = browser.upload("/do/worker/import", &[("do", "send")], file);
    assert_eq!(answer.status, 403, "{}", answer.body);
    let board = place.quiet("board").out;
    assert!(board.contains("/do/worker/import"), "{board}");
    assert_eq!(place.quiet("worker show W77").code, 1);
}

/// What is downloaded from an address: its head and its bytes.
fn downloaded(browser: &Browser, path: &str) -> (String, Vec<u8>) {
    let body = format!("token={}", browser.token);
    let lines = [
        "Content-Type: application/x-www-form-urlencoded".to_owned(),
        format!("Content-Length: {}", body.len()),
    ];
    let head = browser.head("POST", path, &lines).join("\r\n");
    let bytes = browser.exchanged(format!("{head}\r\n\r\n{body}").as_bytes());
    let end = bytes.windows(4).position(|it| it == b"\r\n\r\n");
    let (head, body) = bytes.split_at(end.expect("a head") + 4);
    (String::from_utf8_lossy(head).into_owned(), body.to_vec())
}

fn has(bytes: &[u8], what: &str) -> bool {
    bytes.windows(what.len()).any(|it| it == what.as_bytes())
}

#[test]
fn what_commands_write_is_a_download_and_a_copy_leaves_without_the_pins() {
    let mut place = with_pins("page, downloads");
    super::cli_maintenance_shown::sheet_of(&place, "2026-06-14");
    let browser = served(&place).signed_in("W01");
    for (path, name, holds) in [
        ("/files/export", "export.zip", "entries.jsonl"),
        ("/files/statements", "statements.zip", "W07-2026.html"),
        ("/files/review/2026-06", "review.zip", "review-2026-06.html"),
        ("/files/papers/J-1", "papers.zip", "papers-J-1.html"),
    ] {
        let (head, bytes) = downloaded(&browser, path);
        assert!(
            head.contains(&format!("filename=\"{name}\"")),
            "{path}: {head}"
        );
        assert!(bytes.starts_with(b"PK") && has(&bytes, holds), "{path}");
    }
    place.done(
        "badge issue --badge B-9 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    for (path, name, holds) in [
        ("equipment-labels", "equipment-labels.html", "D-1"),
        ("instrument-labels", "instrument-labels.html", "SM-1"),
        ("badge-labels", "badge-labels.html", "B-9"),
        ("calendar", "due.ics", "BEGIN:VCALENDAR"),
    ] {
        let (head, bytes) = downloaded(&browser, &format!("/files/{path}"));
        assert!(
            head.contains(&format!("filename=\"{name}\"")),
            "{path}: {head}"
        );
        assert!(has(&bytes, holds), "{path}");
    }
    assert!(has(
        &std::fs::read(place.ledger()).expect("the ledger"),
        "$argon2id$"
    ));
    let head = place.head();
    let (_, copy) = downloaded(&browser, "/files/backup");
    assert!(!has(&copy, "$argon2id$"));
    place.file("copy.db", copy);
    place.turn_to("copy.db", "2026-06-15T12:00:00Z");
    assert_eq!(place.head(), head);
    place.done("ledger verify --full");
    // They are not for everybody, and reading an address writes nothing.
    for (who, path) in [("W08", "backup"), ("W08", "statements"), ("W90", "backup")] {
        let other = browser.another(who);
        assert_eq!(
            other.post(&format!("/files/{path}"), &[]).status,
            403,
            "{who} {path}"
        );
    }
    assert_eq!(browser.get("/files/backup").status, 404);
    for path in [
        "/files/none",
        "/files/review",
        "/files/backup/x",
        "/files/papers/J-99",
    ] {
        let status = browser.post(path, &[]).status;
        assert!([404, 422].contains(&status), "{path}: {status}");
    }
}

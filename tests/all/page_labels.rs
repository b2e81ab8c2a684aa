//! What a label leads to at the page, and how photos and papers are served there.

use super::cli_evidence::{PAPER, photo};
use super::cli_maintenance_shown::kept;
use super::page::parsed;
use super::page_support::{Browser, served};

/// Where an address leads.
fn led(browser: &Browser, path: &str) -> String {
    let answer = browser.get(path);
    assert_eq!(answer.status, 303, "{path}: {}", answer.body);
    answer.header("location").expect("an address").to_owned()
}

#[test]
fn a_label_opens_the_check_for_a_crew_the_file_for_the_rso_and_nothing_for_a_stranger() {
    let place = kept("page-labels");
    place.done(
        "equipment add --id G-9 --type \"guide tube\" --serial 9 --in-service 2026-01-05 --maker x \
         --model y",
    );
    let head = place.head();
    let entry = head.split(':').next().expect("a count");
    place.done(&format!(
        "entry void {entry} --reason \"registered by mistake\""
    ));
    let browser = served(&place);
    let stranger = browser.get("/item/C-1?of=0123");
    assert_eq!(stranger.status, 403, "{}", stranger.body);
    assert!(!stranger.body.contains("C-1"), "{}", stranger.body);
    let crew = browser.signed_in("W07");
    assert_eq!(led(&crew, "/item/C-1"), "/check?set=C%2D1");
    assert_eq!(led(&crew, "/item/SM-1"), "/check?set=SM%2D1");
    for (path, said) in [
        ("/item/G-9", "was voided"),
        ("/item/Z-1", "Nothing of this name"),
        ("/item/C-1?of=0123456789abcdef", "of another ledger"),
        ("/badge/0417", "do not wear it"),
    ] {
        let answer = crew.get(path);
        assert_eq!(
            (answer.status, parsed(&answer.body)),
            (200, vec![]),
            "{path}"
        );
        assert!(answer.body.contains(said), "{path}: {}", answer.body);
    }
    // What stands against it comes before any question, and a daily check does not end it.
    place.done(
        "inspect enter --item G-1 --on 2026-06-14 --when daily --performed-by W07 --line \
         \"tube-kinks=defect, note=dented, action=removed from service\" --line \
         \"all others=good\"",
    );
    let check = crew.get("/check?set=G-1").body;
    let stop = check.find("dented").expect("the defect");
    assert!(
        stop < check.find("data-draft").expect("the form"),
        "{check}"
    );
    assert!(check.contains("do not use what stands here"), "{check}");
    assert!(!crew.get("/check?set=SM-1").body.contains("do not use"));
    let office = crew.another("W01");
    assert_eq!(led(&office, "/item/C-1"), "/equipment/C%2D1");
    assert_eq!(led(&office, "/item/SM-1"), "/instruments/SM%2D1");
}

#[test]
fn a_photo_is_shown_as_it_was_encoded_anew_and_a_paper_is_saved_and_never_shown() {
    let place = kept("page-evidence");
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --equipment D-1 --words \"the \
         source stayed out\"",
    );
    place.file("kink.jpg", photo(320, 240, "GPS 36.15N"));
    place.file("paper.pdf", PAPER);
    let add = |what: &str, more: &str| {
        place.done(&format!(
            "evidence add DIR/{what} --about E-1 --words \"{what}{more}\" {more}"
        ));
        let head = place.head();
        head.split(':').next().expect("a count").to_owned()
    };
    let (small, original, paper) = (
        add("kink.jpg", ""),
        {
            place.file("other.jpg", photo(64, 48, "GPS 36.15N"));
            add("other.jpg", "--keep-original")
        },
        add("paper.pdf", ""),
    );
    let office = served(&place).signed_in("W01");
    for entry in [&small, &original] {
        let path = format!("/evidence/{entry}/file");
        let bytes = office.exchanged(
            format!("{}\r\n\r\n", office.head("GET", &path, &[]).join("\r\n")).as_bytes(),
        );
        let at = bytes
            .windows(4)
            .position(|it| it == b"\r\n\r\n")
            .expect("a head");
        let (head, body) = (String::from_utf8_lossy(&bytes[..at]), &bytes[at + 4..]);
        assert!(head.contains("content-type: image/jpeg"), "{head}");
        assert!(head.contains("cache-control: no-store"), "{head}");
        assert!(head.contains("x-content-type-options: nosniff"), "{head}");
        assert!(body.starts_with(&[0xff, 0xd8]), "a JPEG");
        let holds = body.windows(6).any(|it| it == b"36.15N");
        assert!(
            !holds,
            "the place of a photo that was kept as it was sent reaches no browser"
        );
    }
    let answer = office.get(&format!("/evidence/{paper}/file"));
    let how = answer.header("content-disposition").expect("how");
    assert!(how.starts_with("attachment; filename=\"evidence-"), "{how}");
    let event = office.get("/events/E-1");
    let mut found = parsed(&event.body);
    found.retain(|it| !it.starts_with("img fetches /evidence/"));
    assert_eq!(found, [""; 0]);
    assert!(
        event
            .body
            .contains(&format!("src=\"/evidence/{small}/file\"")),
        "{}",
        event.body
    );
    assert!(
        !event
            .body
            .contains(&format!("src=\"/evidence/{paper}/file\""))
    );
    let crew = office.another("W07");
    assert_eq!(crew.get(&format!("/evidence/{small}/file")).status, 403);
}

/// Sends a form with a file as a browser does; the status and the page.
fn sent(browser: &Browser, fields: &[(&str, &str)], file: (&str, &[u8])) -> (u16, String) {
    const MARK: &str = "----a-line-that-stands-nowhere-else";
    let mut body = Vec::new();
    for (name, value) in [("token", browser.token.as_str())].iter().chain(fields) {
        body.extend(
            format!(
                "--{MARK}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
            )
            .bytes(),
        );
    }
    for (name, file_name, bytes) in [("camera", file.0, file.1), ("file", "", &b""[..])] {
        body.extend(
            format!(
                "--{MARK}\r\nContent-Disposition: form-data; name=\"{name}\"; \
                 filename=\"{file_name}\"\r\nContent-Type: image/jpeg\r\n\r\n"
            )
            .bytes(),
        );
        body.extend(bytes);
        body.extend(b"\r\n");
    }
    body.extend(format!("--{MARK}--\r\n").bytes());
    let lines = [
        format!("Content-Type: multipart/form-data; boundary={MARK}"),
        format!("Content-Length: {}", body.len()),
        format!("Origin: http://{}", browser.at),
    ];
    let head = browser.head("POST", "/photo", &lines).join("\r\n");
    let whole = [format!("{head}\r\n\r\n").as_bytes(), &body].concat();
    let answer = browser.exchanged(&whole);
    let text = String::from_utf8_lossy(&answer).into_owned();
    let status = text.split(' ').nth(1).and_then(|it| it.parse().ok());
    (status.expect("a status"), text)
}

#[test]
fn a_crew_sends_a_photo_of_an_event_from_its_phone_and_the_office_sees_it_in_the_trace() {
    let place = kept("page-photo");
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --equipment D-1 --words \"the \
         source stayed out\"",
    );
    let crew = served(&place).signed_in("W07");
    let form = crew.get("/photo?about=E-1");
    assert_eq!(form.status, 200, "{}", form.body);
    for part in [
        "enctype=\"multipart/form-data\"",
        "capture=\"environment\"",
        "accept=\"image/jpeg,image/png\"",
    ] {
        assert!(form.body.contains(part), "{part}: {}", form.body);
    }
    let fields = [("about", "E-1"), ("words", "bent fitting")];
    let (status, page) = sent(
        &crew,
        &fields,
        ("IMG_1.jpg", &photo(640, 480, "GPS 36.15N")),
    );
    assert_eq!(status, 200, "{page}");
    assert!(page.contains("On record"), "{page}");
    for (name, bytes, said) in [
        (
            "IMG_1.jpg",
            &b"no photo at all"[..],
            "neither a photo nor a PDF",
        ),
        ("IMG_1.heic", b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
        ("", b"", "take a photo, or choose one"),
    ] {
        let (status, page) = sent(&crew, &fields, (name, bytes));
        assert_eq!(status, 422, "{said}: {page}");
        assert!(
            page.contains(said) && page.contains("bent fitting"),
            "{said}: {page}"
        );
    }
    // What it did not write itself is not its own to add to.
    assert_eq!(crew.get("/photo?about=W07").status, 422);
    assert_eq!(crew.get("/photo?about=S-1").status, 403);
    let office = crew.another("W01");
    let trace = office.get("/events/E-1/trace");
    assert!(trace.body.contains("bent fitting"), "{}", trace.body);
    assert!(trace.body.contains("<img"), "{}", trace.body);
    let entry = place.head();
    let entry = entry.split(':').next().expect("a count");
    let shown = place.done(&format!("entry show {entry}")).out;
    assert!(shown.contains("Mirko Sandpiper"), "{shown}");
}

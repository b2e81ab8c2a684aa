//! What a label leads to at the page, and how photos and papers are served there.

use super::cli_evidence::{PAPER, photo};
use super::cli_labels::photographed;
use super::cli_maintenance_shown::{kept, sheet_of};
use super::cli_support::Place;
use super::page::{parsed, sheet, with};
use super::page_support::{Answer, Browser, served};

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

/// A tube in the register, and one whose entry is voided.
fn with_tubes(name: &str) -> Place {
    let place = kept(name);
    sheet_of(&place, "2026-06-12");
    for id in ["G-9", "G-8"] {
        place.done(&format!(
            "equipment add --id {id} --type \"guide tube\" --serial {id} --in-service 2026-01-05 \
             --maker x --model y"
        ));
    }
    let head = place.head();
    let entry = head.split(':').next().expect("a count");
    place.done(&format!("entry void {entry} --reason \"by mistake\""));
    place
}

/// The first label of a command as a photo, and the ledger that its code names.
fn label(place: &Place, line: &str) -> (Vec<u8>, String) {
    place.done(&format!("{line} --out DIR/labels.html"));
    let page = std::fs::read_to_string(place.path("labels.html")).expect("the labels");
    let code = super::cli_labels::scanned(&page).remove(0);
    let ledger = code.split(':').nth(1).expect("a ledger").to_owned();
    (photographed(&page), ledger)
}

/// A page of HTML that says this, with everything that was typed.
fn says(answer: &Answer, status: u16, said: &str) {
    assert_eq!(answer.status, status, "{said}: {}", answer.body);
    assert_eq!(parsed(&answer.body), [""; 0], "{said}");
    assert!(answer.body.contains(said), "{said}: {}", answer.body);
}

#[test]
fn a_label_is_scanned_into_the_sheet_where_it_belongs_and_what_was_typed_stays() {
    let place = with_tubes("page-scan-sheet");
    let (photo, ledger) = label(&place, "equipment labels G-9");
    let crew = served(&place).signed_in("W08");
    let head = place.head();
    let typed = with(sheet("P-1", "two welds cut out"), "scan", "sheet set");
    let shot = ("photo.set", "IMG_1.png", photo);
    let answer = crew.upload("/scan", &typed, shot.clone());
    says(&answer, 200, "G-9 is added.");
    for (name, value) in [
        ("guide_tubes", "G-1 G-2 G-9"),
        ("device", "D-1"),
        ("sheet", "P-1"),
        ("ends", "15:00"),
        ("r2.end", "9"),
    ] {
        assert_eq!(answer.value(name), value, "{name}");
    }
    assert!(answer.body.contains("two welds cut out"), "{}", answer.body);
    for (part, name, file, said) in [
        ("photo.set", "", b"".to_vec(), "there is no photo."),
        ("photo.r1", "x.png", shot.2, "there is no photo."),
        ("photo.set", "x.png", b"no".to_vec(), "this is no photo"),
    ] {
        says(&crew.upload("/scan", &typed, (part, name, file)), 422, said);
    }
    assert_eq!(place.head(), head, "a scan writes nothing");
    // Another session's form.
    let forged = [("token", "x"), ("scan", "sheet set"), ("code", &ledger)];
    assert_eq!(crew.send("/scan", &[], &forged).status, 403);
}

/// Sends what a browser read for a part of a sheet.
fn read_for(crew: &Browser, part: &str, code: &str) -> Answer {
    let to = format!("sheet {part}");
    let mut typed = with(sheet("P-1", ""), "scan", &to);
    typed.push(("code", code));
    crew.post("/scan", &typed)
}

#[test]
fn a_code_that_the_browser_reads_goes_where_it_belongs_or_says_why_nothing_is_chosen() {
    let place = with_tubes("page-scan-code");
    let (_, ledger) = label(&place, "equipment labels G-9");
    let crew = served(&place).signed_in("W08");
    let of = |id: &str| format!("wearbook:{ledger}:item:{id}");
    for (part, code, name, value, said) in [
        ("set", of("sm-1"), "meter", "SM-1", "SM-1 is here already."),
        (
            "r2",
            of("RM-07"),
            "r2.ratemeter",
            "",
            "in the place of RM-08.",
        ),
        (
            "r2",
            format!("https://x.example/badge/B%209?of={ledger}"),
            "r2.badge",
            "B 9",
            "B 9 is chosen.",
        ),
    ] {
        let answer = read_for(&crew, part, &code);
        says(&answer, 200, said);
        match value {
            "" => {
                let chosen = answer.body.matches("value=\"RM-07\" selected");
                assert_eq!(chosen.count(), 2, "{name}: both persons have it now");
            }
            value => assert_eq!(answer.value(name), value, "{name}"),
        }
    }
    for (part, code, said) in [
        (
            "set",
            of("PD-07"),
            "PD-07 (pocket dosimeter) does not go here.",
        ),
        ("r1", of("G-9"), "G-9 (guide tube) does not go here."),
        ("set", of("G-8"), "the entry of G-8 was voided."),
        ("set", of("Z-1"), "Z-1 is in no register here."),
        ("set", of("W07"), "W07 is in no register here."),
        (
            "set",
            format!("wearbook:{ledger}:badge:1"),
            "does not go here.",
        ),
        (
            "set",
            "wearbook:0123:item:G-9".to_owned(),
            "is of another ledger.",
        ),
        ("set", "WEARBOOK:FORM:1N7YD".to_owned(), "of a paper form"),
        (
            "set",
            "https://maker.example/x".to_owned(),
            "no label can be read.",
        ),
    ] {
        let answer = read_for(&crew, part, &code);
        says(&answer, 422, said);
        assert!(answer.body.contains("Nothing is chosen: "), "{said}");
        assert_eq!(answer.value("guide_tubes"), "G-1 G-2", "{said}");
        assert_eq!(answer.value("ends"), "15:00", "{said}");
    }
}

#[test]
fn a_label_is_scanned_into_the_set_of_a_check_and_the_answers_stay() {
    let place = with_tubes("page-scan-check");
    let (_, ledger) = label(&place, "equipment labels G-9");
    place.done(
        "equipment add --id C-2 --type \"control unit\" --serial 2 --in-service 2026-01-05 \
         --maker x --model y",
    );
    let crew = served(&place).signed_in("W08");
    let page = crew.get("/check?set=C-1+G-1");
    let day = page.value("on");
    let code = |id: &str| format!("wearbook:{ledger}:item:{id}");
    let answered = |result: &str, id: &str| {
        let key = page.value("i1.1.key");
        let code = code(id);
        let fields = [
            ("set", "C-1 G-1"),
            ("on", &day),
            ("at", "06:20"),
            ("i1.1.key", &key),
            ("i1.1.result", result),
            ("i1.1.note", "a frayed end"),
            ("scan", "check set"),
            ("code", &code),
        ];
        let fields: Vec<_> = fields.into_iter().collect();
        let skip = |it: &&(&str, &str)| !(result.is_empty() && it.0 == "i1.1.note");
        let fields: Vec<(&str, &str)> = fields.iter().filter(skip).copied().collect();
        crew.post("/scan", &fields)
    };
    let answer = answered("defect", "G-9");
    says(&answer, 200, "G-9 is added.");
    assert_eq!(answer.value("set"), "C-1 G-1 G-9");
    assert_eq!(answer.value("at"), "06:20");
    assert_eq!(answer.value("i1.1.note"), "a frayed end");
    assert!(
        answer.body.contains("value=\"defect\" checked"),
        "{}",
        answer.body
    );
    // One of which a set has one is changed, but never under answers.
    says(&answered("defect", "C-2"), 200, "C-2 is added.");
    let answer = answered("", "C-2");
    says(&answer, 200, "C-2 is chosen in the place of C-1.");
    assert_eq!(answer.value("set"), "C-2 G-1");
    says(
        &answered("defect", "S-1"),
        422,
        "S-1 (source assembly) does not go here.",
    );
    // The event: what may have been part of it.
    let (name, code) = ("E-scan", code("G-9"));
    let fields = [
        ("name", name),
        ("piece", "D-1"),
        ("equipment", "C-2"),
        ("words", "the crank went hard"),
        ("scan", "wrong equipment"),
        ("code", &code),
    ];
    let answer = crew.post("/scan", &fields);
    says(&answer, 200, "G-9 is added.");
    assert_eq!(answer.value("equipment"), "C-2 G-9");
    assert!(
        answer.body.contains("the crank went hard"),
        "{}",
        answer.body
    );
    assert_eq!(crew.post("/scan", &[("scan", "do entry")]).status, 404);
}

//! Forms of paper that are typed in at the page.

use super::cli_forms::{INSPECT, SHEET, printed, yard};
use super::cli_labels::photographed;
use super::cli_support::data_of;
use super::page::{handed_in, parsed, sheet, with};
use super::page_support::{Answer, Browser, served};

fn led(answer: &Answer) -> &str {
    assert_eq!(answer.status, 303, "{}", answer.body);
    answer.header("location").expect("an address")
}

fn opened(browser: &Browser, code: &str) -> Answer {
    let answer = browser.get(&format!("/paper?code={code}"));
    browser.get(led(&answer))
}

#[test]
fn a_form_of_paper_is_typed_in_by_its_code_and_kept_as_a_copy() {
    let place = yard("page, paper");
    let (code, _) = printed(&place, SHEET);
    let crew = served(&place).signed_in("W08");
    let page = opened(&crew, &code.replace('-', "").to_lowercase());
    assert_eq!(
        (page.status, parsed(&page.body)),
        (200, vec![]),
        "{}",
        page.body
    );
    assert_eq!(page.value("paper_form"), code);
    let fields = with(sheet("P-1", ""), "paper_form", &code);
    let fields = with(fields, "paper_date", "2026-06-14");
    let fields = with(fields, "paper_signer", "W07");
    let sent = handed_in(&crew, &fields, "send");
    assert_eq!(sent.status, 200, "{}", sent.body);
    let head = place.head();
    let number = head.split(':').next().expect("a count");
    let entry = data_of(&place, &format!("entry show {number}"));
    let fields = entry["fields"].as_array().expect("fields");
    let value = |name: &str| {
        fields
            .iter()
            .find(|it| it["field"] == name)
            .map(|it| &it["value"])
    };
    let kept = ["paper_form", "paper_signer", "paper_date"].map(value);
    let wanted = [code.as_str(), "W07", "2026-06-14"].map(serde_json::Value::from);
    assert_eq!(kept, wanted.each_ref().map(Some), "{fields:?}");
    let again = crew.get(&format!("/sheet?paper={code}"));
    assert_eq!(again.status, 422, "{}", again.body);
    assert!(again.body.contains("typed in"), "{}", again.body);
}

#[test]
fn a_photo_of_a_label_or_a_form_leads_to_what_its_code_is_about() {
    let place = yard("page, scan");
    let (code, form) = printed(&place, SHEET);
    place.done("equipment labels C-1 --out DIR/labels.html");
    let labels = std::fs::read_to_string(place.path("labels.html")).expect("the labels");
    let crew = served(&place).signed_in("W08");
    let shot = |page: &str| {
        let photo = photographed(page);
        crew.upload("/scan", &[], ("file", "shot.png", photo))
    };
    assert!(led(&shot(&labels)).starts_with("/item/C%2D1?of="));
    let to = format!("/paper?code={}", code.replace('-', ""));
    assert_eq!(led(&shot(&form)), to);
    let head = place.head();
    for (name, bytes) in [
        ("blank.png", &blank()[..]),
        ("no.png", b"no picture"),
        ("", b""),
    ] {
        let answer = crew.upload("/scan", &[], ("file", name, bytes));
        assert_eq!(
            (answer.status, parsed(&answer.body)),
            (422, vec![]),
            "{name}"
        );
        assert!(
            answer.body.contains("class=\"fault\""),
            "{name}: {}",
            answer.body
        );
    }
    assert_eq!(place.head(), head, "a scan writes nothing");
}

/// A picture without a code.
fn blank() -> Vec<u8> {
    let pixels = resvg::tiny_skia::Pixmap::new(64, 64).expect("room");
    pixels.encode_png().expect("a picture")
}

#[test]
fn the_form_of_a_check_opens_its_items_on_its_day_and_a_wrong_code_says_why() {
    let place = yard("page, paper check");
    let (code, _) = printed(&place, INSPECT);
    let crew = served(&place).signed_in("W08");
    let page = opened(&crew, &code);
    assert_eq!(
        (page.status, parsed(&page.body)),
        (200, vec![]),
        "{}",
        page.body
    );
    assert_eq!(page.value("paper_form"), code);
    assert!(
        page.body.contains("Who checked, as on the paper"),
        "{}",
        page.body
    );
    let mut slip = code.clone();
    let last = if slip.ends_with('A') { 'B' } else { 'A' };
    slip.pop();
    slip.push(last);
    let answer = crew.get(&format!("/paper?code={slip}"));
    assert_eq!(
        (answer.status, parsed(&answer.body)),
        (422, vec![]),
        "{}",
        answer.body
    );
    assert!(answer.body.contains("role=\"alert\""), "{}", answer.body);
    assert_eq!(crew.get("/paper").status, 200);
}

#[test]
fn a_crew_prints_a_sheet_to_write_on_and_the_office_the_forms_of_an_item() {
    let place = yard("page, printed");
    let crew = served(&place).signed_in("W08");
    assert!(crew.get("/paper").body.contains("/files/sheet-form"));
    let sheet = crew.post("/files/sheet-form", &[]);
    assert_eq!(sheet.status, 200, "{}", sheet.body);
    assert!(sheet.body.contains("Form 3"), "{}", sheet.body);
    let to = "/files/quarterly-form/C-1";
    assert_eq!(crew.post(to, &[]).status, 403);
    let office = crew.another("W01");
    assert!(
        office
            .get("/equipment/C-1/form")
            .body
            .contains("/files/quarterly-form/C%2D1")
    );
    let item = office.get("/instruments/SM-1").body;
    assert!(
        item.contains("/files/quarterly-form-of-instrument/SM%2D1"),
        "{item}"
    );
    for (to, words) in [
        (to, "Quarterly inspection"),
        ("/files/daily-form/C-1", "Daily inspection"),
        (
            "/files/quarterly-form-of-instrument/SM-1",
            "Quarterly inspection",
        ),
    ] {
        let form = office.post(to, &[]);
        assert_eq!(form.status, 200, "{to}: {}", form.body);
        assert!(
            form.body.contains(words) && form.body.contains("Form 4"),
            "{to}"
        );
    }
}

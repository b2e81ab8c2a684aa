//! A crew's day, at the size of a phone and of a desk: each flow from the first address to the
//! entry in the ledger.

use serde_json::Value;

use super::access;
use super::driver::{Browser, DESK, PHONE, Size};
use super::served::{Served, TODAY};

/// A radiographer of a crew of three, with the others of the crew in the order of their sheet.
pub const LEAD: &str = "Yara Thistlewood";

/// The words of a field of an entry.
pub fn field<'a>(entry: &'a Value, name: &str) -> &'a str {
    let fields = entry["fields"].as_array();
    let fields = fields.unwrap_or_else(|| panic!("no fields: {entry}"));
    let found = fields.iter().find(|it| it["field"] == name);
    found
        .and_then(|it| it["value"].as_str())
        .unwrap_or_else(|| panic!("no {name}: {entry}"))
}

/// What stands for the crew before the work.
pub fn start_the_shift(browser: &Browser) {
    browser.tap("Today");
    browser.tap("Start of shift");
    browser.fill("begins", "0700AM");
    browser.choose("meter_checked", "yes");
    for row in 1..=3 {
        browser.read_off(&format!("r{row}.start"), &row.to_string());
        for asked in ["recharged", "alarm_tested", "badge_worn"] {
            browser.choose(&format!("r{row}.{asked}"), "yes");
        }
    }
    browser.tap("Check");
    browser.see("Nothing is written yet");
    browser.tap("Put on record");
    browser.see("Start of shift P-");
}

/// Everything of the sheet that is asked at the end.
pub fn fill_the_sheet(browser: &Browser) {
    browser.fill("ends", "0300PM");
    browser.fill("exposures", "18");
    browser.fill("source_out_min", "31");
    browser.read_off("boundary", "1.4");
    browser.fill("device_out", "0640AM");
    browser.fill("device_back", "0320PM");
    browser.read_off("storage_survey", "9");
    browser.choose("locked", "yes");
    browser.read_off("r1.end", "14");
    browser.choose("r2.off_scale", "yes");
    browser.read_off("r3.end", "9");
    browser.pick("signed_by", "W14");
    browser.pick("attested_by", "W14");
}

fn sheet_of_three(size: Size) {
    let served = Served::start(&format!("sheet {}", size.width));
    let browser = served.signed_in(size, LEAD);
    start_the_shift(&browser);
    let before = served.entries();
    browser.tap("Today");
    browser.count();
    browser.tap("End of shift");
    browser.see("The start of this shift is on record");
    fill_the_sheet(&browser);
    browser.tap("Check");
    browser.see("Is this right?");
    browser.see("PD-13 off-scale: the dose has no upper bound");
    browser.see("Stop this person's work, tell the RSO now");
    assert_eq!(served.entries(), before, "looking writes nothing");
    access::hold(&browser, "a sheet before it is sent");
    browser.tap("Put on record");
    browser.see("On record");
    let (taps, typed) = browser.count();
    assert_eq!(
        (taps, typed),
        (5, 7),
        "taps and typed fields beside the readings"
    );
    assert!(taps + typed <= 12);
    access::hold(&browser, "a sheet on record");

    let number = before + 1;
    assert_eq!(served.entries(), number, "one entry");
    browser.see(&format!("entry {number}"));
    let entry = served.entry(number);
    assert_eq!(entry["kind"], "sheet");
    assert_eq!(entry["written_by"], LEAD);
    for (name, value) in [
        ("day", TODAY),
        ("begins", "07:00"),
        ("ends", "15:00"),
        ("exposures", "18"),
        ("locked", "yes"),
        ("signed_by", "W14"),
    ] {
        assert_eq!(field(&entry, name), value, "{name}");
    }
    let shown = entry["fields"].to_string();
    assert!(shown.contains("off_scale"), "{shown}");
    // What was sent stays readable on the device.
    browser.tap("Today");
    browser.see("Sent today");
    browser.tap("End of shift P-");
    browser.see("Stop this person's work, tell the RSO now");
}

#[test]
fn a_sheet_of_three_with_one_off_scale_takes_twelve_taps_and_fields_on_a_phone() {
    sheet_of_three(PHONE);
}

#[test]
fn a_sheet_of_three_with_one_off_scale_takes_twelve_taps_and_fields_at_a_desk() {
    sheet_of_three(DESK);
}

fn morning_check(size: Size) {
    let served = Served::start(&format!("check {}", size.width));
    let browser = served.signed_in(size, LEAD);
    let before = served.entries();
    browser.tap("Morning check of ED-06");
    browser.see("carrying handle");
    browser.fill("at", "0630AM");
    let script = "
        const all = [...document.querySelectorAll('input[type=radio][value=good]')];
        return all.map((it) => it.name)";
    let items = browser.script(script, &[]);
    let items: Vec<&str> = items
        .as_array()
        .map(|it| it.iter().filter_map(Value::as_str).collect())
        .unwrap_or_default();
    assert!(items.len() > 30, "{items:?}");
    browser.count();
    // A good item is one tap; the last item but one has a defect.
    let (bad, good) = items.split_last().expect("items");
    for item in good {
        browser.choose(item, "good");
    }
    assert_eq!(browser.count(), (good.len(), 0));
    browser.choose(bad, "defect");
    let of_bad = bad.trim_end_matches("result");
    browser.fill(&format!("{of_bad}note"), "case cracked at the handle");
    browser.fill(
        &format!("{of_bad}action"),
        "taken out, another meter from the truck",
    );
    browser.read_off("i1.1.value", "52");
    let mates = "
        const all = [...document.querySelectorAll('input[name$=\".with\"]')];
        return all.map((it) => it.name)";
    for mate in browser.script(mates, &[]).as_array().into_iter().flatten() {
        browser.fill(mate.as_str().unwrap_or_default(), "ED-06");
    }
    browser.tap("Check: writes nothing");
    browser.see("Nothing is written yet");
    assert_eq!(served.entries(), before, "looking writes nothing");
    access::hold(&browser, "a check before it is sent");
    browser.tap("Put on record");
    browser.see("On record");
    browser.see("STOP");
    assert_eq!(browser.path(), "/check");
    access::hold(&browser, "a check on record");
    let written = served.entries() - before;
    assert_eq!(written, 5, "an entry for each item");
    let defect = (before + 1..=before + written)
        .map(|it| served.entry(it))
        .find(|it| it.to_string().contains("case cracked at the handle"));
    let defect = defect.expect("the defect");
    assert_eq!(defect["kind"], "inspection");
    assert_eq!(field(&defect, "item"), "SM-05");
    browser.tap("Today");
    browser.see("Sent today");
}

#[test]
fn a_morning_check_with_one_defect_is_a_tap_an_item_on_a_phone() {
    morning_check(PHONE);
}

#[test]
fn a_morning_check_with_one_defect_is_a_tap_an_item_at_a_desk() {
    morning_check(DESK);
}

fn went_wrong(size: Size) {
    let served = Served::start(&format!("wrong {}", size.width));
    let browser = served.signed_in(size, LEAD);
    let before = served.entries();
    browser.count();
    browser.tap("Something went wrong");
    browser.see("No retrieval unless you are trained");
    // Whom to call is one tap away.
    let call = "return document.querySelector('.stop a[href^=\"tel:\"]')?.getAttribute('href')";
    assert_eq!(browser.script(call, &[]), "tel:555-0100");
    browser.pick("kind", "source-will-not-retract");
    browser.fill("words", "cranked in, the meter stays high");
    browser.choose("when", "now");
    browser.choose("piece", "ED-06");
    browser.tap("Put it on record");
    browser.see("Who must be notified");
    let (taps, typed) = browser.count();
    assert!(taps + typed <= 6, "{taps} taps, {typed} fields");
    browser.see("Sending this page notifies no one");
    access::hold(&browser, "an event on record");
    assert_eq!(served.entries(), before + 1);
    let entry = served.entry(before + 1);
    assert_eq!(entry["kind"], "event");
    assert_eq!(field(&entry, "words"), "cranked in, the meter stays high");
    // The calls that the page showed are those of the command.
    let name = field(&entry, "name").to_owned();
    let owed = served.ask(&["report", "show", &name]);
    assert!(owed.to_string().contains("10 CFR"), "{owed}");
    browser.see(&name);
}

#[test]
fn an_event_is_on_record_with_its_first_calls_in_six_taps_on_a_phone() {
    went_wrong(PHONE);
}

#[test]
fn an_event_is_on_record_with_its_first_calls_in_six_taps_at_a_desk() {
    went_wrong(DESK);
}

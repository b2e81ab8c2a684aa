//! The RSO at a desk: what is on hold is resolved in its place, and the month is signed.

use serde_json::Value;

use super::crew::field;
use super::driver::{Browser, DESK};
use super::served::Served;

const RSO: &str = "Ngozi Halvorsen";

#[test]
fn an_item_on_hold_is_resolved_from_its_line() {
    let served = Served::start("hold");
    let browser = served.signed_in(DESK, RSO);
    let before = served.entries();
    browser.tap("On hold");
    browser.see("8 on hold, 0 resolved");
    browser.count();
    browser.tap_in("tbody tr:nth-child(2)", "Resolve");
    assert_eq!(browser.value("item"), "4213.1");
    browser.see("What it is about: 4213.1");
    browser.choose("does-not-count", "yes");
    browser.fill("reason", "the range was exceeded: the badge tells the dose");
    browser.tap("Check: writes nothing");
    browser.see("4213");
    assert_eq!(served.entries(), before, "looking writes nothing");
    browser.tap("Put on record");
    browser.see("On record");
    let (taps, typed) = browser.count();
    assert_eq!((taps, typed), (4, 1));
    assert_eq!(served.entries(), before + 1);
    let entry = served.entry(before + 1);
    assert_eq!(entry["written_by"], RSO);
    let reason = "the range was exceeded: the badge tells the dose";
    assert!(entry.to_string().contains(reason), "{entry}");
    browser.tap("On hold");
    browser.see("7 on hold, 1 resolved");
}

#[test]
fn a_month_is_read_and_signed_at_the_desk() {
    let served = Served::start("month");
    let browser = served.signed_in(DESK, RSO);
    // Counted once the page stands.
    browser.see("new alert");
    let before = served.entries();
    browser.tap("Month");
    browser.see("2026-05");
    browser.see("Not signed.");
    browser.count();
    browser.tap("Sign this month");
    assert_eq!(browser.value("period"), "2026-05");
    browser.fill("reason", "the open stops are known, and W13 stays in");
    browser.tap("Put on record");
    browser.see("On record");
    let (taps, typed) = browser.count();
    assert_eq!((taps, typed), (2, 1));
    assert_eq!(served.entries(), before + 1);
    let entry = served.entry(before + 1);
    assert_eq!(entry["written_by"], RSO);
    assert_eq!(field(&entry, "month"), "2026-05");
    let review = served.ask(&["review", "2026-05"]);
    assert!(
        review.to_string().contains("the open stops are known"),
        "{review}"
    );
    // Nothing was changed since it was signed.
    let changes = served.ask(&["review", "changes", "2026-05"]);
    assert_eq!(changes["what"], Value::from("review changes"), "{changes}");
    browser.tap("Month");
    browser.see("Changes since a month was signed");
}

/// What a page draws, and what of its drawings the browser would not show: the policy of the server
/// lets nothing be styled in place.
fn drawings(browser: &Browser) -> (u64, u64) {
    let count = |what: &str| {
        let script = format!("return document.querySelectorAll('{what}').length");
        browser.script(&script, &[]).as_u64().expect("a count")
    };
    (
        count("figure svg"),
        count("figure svg [style], figure svg style"),
    )
}

/// The processor's report, with headings of its own, from its file to its entries.
fn take_report(served: &Served, browser: &Browser) {
    let before = served.entries();
    let report = served.file(
        "may.csv",
        "Dosimeter,Begin,DDE (mrem)\nB-2605-08,2026-05-01,31\n",
    );
    browser.tap("Badges");
    browser.tap("Take in the processor's report");
    browser.attach("file", &report);
    browser.fill("report", "R-MAY");
    browser.fill("reported-on", "2026-06-04");
    browser.tap("Show the first rows");
    browser.see("Say below which of its headings holds what");
    browser.pick("heading.badge", "Dosimeter");
    browser.pick("heading.first_day", "Begin");
    browser.pick("heading.deep", "DDE (mrem)");
    browser.tap("How the file is written");
    browser.fill("unit", "mrem");
    browser.tap("Show the first rows");
    browser.see("its first rows as they are understood");
    browser.tap("Check: writes nothing");
    browser.see("dry run");
    assert_eq!(served.entries(), before, "looking writes nothing");
    browser.tap("Put on record");
    browser.see("On record");
}

#[test]
fn everything_of_a_month_is_done_at_the_desk_without_a_terminal() {
    let served = Served::start("desk");
    let browser = served.signed_in(DESK, RSO);
    let before = served.entries();
    browser.tap("Month");
    browser.see("Not signed.");
    let (drawn, styled) = drawings(&browser);
    assert!(drawn >= 4, "{drawn} drawings");
    assert_eq!(styled, 0);
    // A finding is answered from its own line.
    browser.tap("Findings");
    browser.tap("Answer");
    browser.see("What it is about");
    assert!(!browser.value("key").is_empty());
    browser.fill("reason", "seen with the crew");
    browser.tap("Put on record");
    browser.see("On record");
    assert_eq!(served.entries(), before + 1);
    browser.tap("Findings");
    browser.see("answered");
    // An event is added to on its own page.
    browser.tap("Events");
    browser.tap("E-6");
    browser.tap("Add a note");
    browser.fill("at", "2026-06-04T10:00");
    browser.fill("words", "the tube was sent to its maker");
    browser.tap_in("details[open]", "Put on record");
    browser.see("On record");
    assert_eq!(served.entries(), before + 2);
    browser.tap("Event: E-6");
    browser.see("the tube was sent to its maker");
    take_report(&served, &browser);
    assert_eq!(served.entries(), before + 3);
    // A person's year, its drawing, and everybody's statement.
    browser.tap("People");
    assert_eq!(drawings(&browser), (1, 0));
    browser.tap("Dose statements of all");
    let leaves = browser.script("return document.querySelectorAll('.leaf h1').length", &[]);
    assert!(leaves.as_u64().is_some_and(|it| it > 5), "{leaves}");
    browser.tap("Month");
    browser.tap("Sign this month");
    browser.see("What it is about");
    browser.fill("reason", "the open stops are known, and W13 stays in");
    browser.tap("Put on record");
    browser.see("On record");
    assert_eq!(field(&served.entry(before + 4), "month"), "2026-05");
}

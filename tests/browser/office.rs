//! The RSO at a desk: what is on hold is resolved in its place, and the month is signed.

use serde_json::Value;

use super::crew::field;
use super::driver::DESK;
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
    browser.tap("4213.1");
    assert_eq!(browser.value("item"), "4213.1");
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
    browser.see("Changes since it was signed");
}

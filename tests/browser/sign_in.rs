//! The page as the site's network has it: PINs and an encrypted connection.

use super::access::hold;
use super::driver::{Browser, PHONE};
use super::served::{CREW_PIN, Served};

/// How a browser takes a certificate that nobody installed: as one that was, so that these tests
/// need no store of certificates.
const TRUSTS: &str = "--ignore-certificate-errors";

fn sign_in(browser: &Browser, pin: &str) {
    browser.see("Worker id or full name");
    browser.fill("name", "W14");
    browser.fill("pin", pin);
    browser.tap("Sign in");
}

#[test]
fn a_stranger_gets_nothing_but_the_sign_in_and_a_pin_opens_the_crew_s_day() {
    let served = Served::with_pins("pins");
    let browser = Browser::with(PHONE, &[TRUSTS.to_owned()]);
    for path in [
        "/",
        "/sheet",
        "/board",
        "/people/W14",
        "/away",
        "/paper",
        "/scan",
        "/token",
        "/month.json",
    ] {
        browser.open(&served.at(path));
        browser.see("Worker id or full name");
        assert_eq!(browser.path(), "/sign-in", "{path}");
        let said = browser.said();
        for name in ["Thistlewood", "Quillback", "W14", "PD-1"] {
            assert!(!said.contains(name), "{path}: {said}");
        }
    }
    hold(&browser, "the sign-in");
    browser.open(&served.at("/sheet"));
    sign_in(&browser, "000000");
    browser.see("The name or the PIN is not right. The next try is in 1 s.");
    hold(&browser, "a wrong PIN");
    std::thread::sleep(std::time::Duration::from_secs(1));
    sign_in(&browser, CREW_PIN);
    browser.see("End of shift");
    assert_eq!(browser.path(), "/sheet");
    browser.see("Signed in as W14 by PIN");
    // Where the connection is trusted, the pages open without one.
    browser.tap("Today");
    browser.see("Without a connection these pages open too");
    browser.tap("sign out");
    browser.see("Worker id or full name");
    let left = browser.kept();
    let shell = left.iter().all(|it| it.starts_with("wearbook shell /"));
    assert!(shell, "{left:?}");
    browser.done(|it| it.back());
    let said = browser.said();
    assert!(
        !said.contains("My dose"),
        "nothing by the back button: {said}"
    );
}

#[test]
fn somebody_changes_the_own_pin_and_the_other_device_is_out() {
    let served = Served::with_pins("own pin");
    let browser = Browser::with(PHONE, &[TRUSTS.to_owned()]);
    let other = Browser::with(PHONE, &[TRUSTS.to_owned()]);
    for device in [&browser, &other] {
        device.open(&served.at("/"));
        sign_in(device, CREW_PIN);
        device.see("End of shift");
    }
    browser.tap("change it");
    hold(&browser, "the own PIN");
    browser.fill("old", CREW_PIN);
    browser.fill("new", "730518");
    browser.fill("again", "730518");
    browser.tap("Change it");
    browser.see("Changed. Your other sessions are over.");
    hold(&browser, "a PIN that was changed");
    browser.tap("Today");
    browser.see("What I carry");
    other.tap("Today");
    other.see("Worker id or full name");
    sign_in(&other, "730518");
    other.see("What I carry");
}

#[test]
fn where_the_connection_is_not_trusted_the_page_says_that_it_works_only_while_it_is_open() {
    let (served, rule) = Served::untrusted("untrusted");
    let browser = Browser::with(PHONE, &[rule]);
    browser.open(&served.at("/"));
    sign_in(&browser, CREW_PIN);
    browser.see("Without a connection this page works only while it stays open.");
    browser.tap("End of shift");
    browser.see("Without a connection this page works only while it stays open.");
    assert!(browser.kept().is_empty(), "{:?}", browser.kept());
}

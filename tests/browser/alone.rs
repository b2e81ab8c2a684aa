//! Without a connection: the page opens, takes what is typed and sends it by itself, once; and
//! nothing of it stays on the device when its user has gone.

use super::access::hold;
use super::crew::{LEAD, field, fill_the_sheet, start_the_shift};
use super::driver::{Browser, PHONE};
use super::served::Served;

/// What is there of the program when nobody has used the device.
fn is_shell(name: &str) -> bool {
    name.starts_with("wearbook shell /")
}

/// Waits until the form pages are on the device.
fn kept(browser: &Browser) {
    browser.see("Without a connection these pages open too");
}

#[test]
fn a_sheet_typed_without_a_connection_is_sent_by_itself_and_once_and_nothing_stays() {
    let served = Served::start("cut");
    let (browser, line) = served.by_line(PHONE, LEAD);
    start_the_shift(&browser);
    kept(&browser);
    let before = served.entries();
    line.cut();
    browser.tap("Today");
    browser.see("No connection to the server");
    hold(&browser, "the first page without a connection");
    browser.tap("End of shift");
    browser.see("was kept on this device at");
    browser.see("The start of this shift is on record");
    let number = browser.value("sheet");
    fill_the_sheet(&browser);
    browser.tap("Check");
    browser.see("not sent yet: no connection to the server");
    browser.see("stop that work now and call the RSO, 555-0100");
    hold(&browser, "a sheet that nobody can check");
    browser.tap("Send it unchecked when there is a connection");
    browser.see(&format!("Not sent yet: End of shift {number}"));
    // The page is left, and what waits goes with the device.
    browser.open(&served.at("/board"));
    browser.see("No connection to the server");
    browser.see(&format!("Not sent yet: End of shift {number}"));
    // A second form of the same kept page is another sheet, and this one has its start.
    browser.tap("End of shift");
    browser.see("A further one needs a connection");
    assert_eq!(served.entries(), before);
    line.mend();
    browser.see(&format!("End of shift {number}"));
    browser.see("Sent ");
    browser.see("PD-13 off-scale: the dose has no upper bound");
    assert_eq!(served.entries(), before + 1, "exactly one");
    assert_eq!(field(&served.entry(before + 1), "sheet"), number);
    // It is read on the device also when the connection is gone again.
    line.cut();
    browser.open(&served.at("/"));
    browser.see("No connection to the server");
    browser.tap("End of shift P-");
    browser.see("Stop this person's work, tell the RSO now");
    line.mend();
    browser.see("You may work");
    browser.tap("sign out");
    browser.see("Who are you?");
    let left: Vec<String> = browser.kept();
    assert!(left.iter().all(|it| is_shell(it)), "{left:?}");
    line.cut();
    browser.open(&served.at("/sheet"));
    browser.see("nothing of this page is kept on this device");
    assert_eq!(served.entries(), before + 1);
}

#[test]
fn a_page_opened_while_the_server_is_down_takes_an_event_that_is_sent_after_it_is_up_again() {
    let mut served = Served::start("down");
    let browser = served.signed_in(PHONE, LEAD);
    kept(&browser);
    let before = served.entries();
    served.kill();
    browser.open(&served.at("/"));
    browser.see("No connection to the server");
    browser.tap("Something went wrong");
    browser.see("No retrieval unless you are trained");
    // The hour of a page that was kept is not now.
    assert!(!browser.said().contains("now, 2026"), "{}", browser.said());
    browser.pick("kind", "source-will-not-retract");
    browser.fill("words", "cranked in, the meter stays high");
    browser.choose("when", "unknown");
    let name = browser.value("name");
    browser.tap("Put it on record");
    browser.see("not sent yet");
    // The browser goes, as with an empty battery, and comes back.
    browser.open("about:blank");
    browser.open(&served.at("/"));
    browser.see(&format!("Not sent yet: Event {name}"));
    browser.tap("Something went wrong");
    assert_ne!(browser.value("name"), name, "another event");
    served.restart();
    served.sign_in_again(&browser, LEAD);
    browser.see(&format!("Event {name}"));
    browser.see("Sent ");
    assert_eq!(served.entries(), before + 1, "exactly one");
    assert_eq!(field(&served.entry(before + 1), "name"), name);
    browser.see("Sent today");
}

#[test]
fn what_is_refused_after_it_waited_is_not_lost_and_another_user_sees_none_of_it() {
    let served = Served::start("refused");
    let (browser, line) = served.by_line(PHONE, LEAD);
    kept(&browser);
    let before = served.entries();
    line.cut();
    browser.open(&served.at("/sheet"));
    browser.read_off("r1.end", "12 furlongs");
    browser.tap("Check");
    browser.tap("Send it unchecked");
    browser.see("Not sent yet");
    line.mend();
    browser.see("Not taken, and nothing is written");
    assert_eq!(served.entries(), before);
    browser.tap("See what is wrong");
    browser.tap("Take up what was not taken");
    assert_eq!(browser.value("r1.end"), "12 furlongs");
    browser.tap("Check");
    browser.see("Not sent yet:");
    // Somebody else on the same device: nothing of it is shown or offered.
    browser.tap("sign out");
    browser.see("Who are you?");
    assert!(browser.kept().iter().all(|it| is_shell(it)));
    browser.tap("Rashid Fontanelle");
    browser.tap("End of shift");
    browser.see("End of shift");
    let offered = browser.said().contains("Take up");
    assert!(!offered, "{}", browser.said());
}

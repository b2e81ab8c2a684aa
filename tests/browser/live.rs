//! What the server says while a form is typed.

use super::access::hold;
use super::crew::LEAD;
use super::driver::PHONE;
use super::served::Served;

#[test]
fn what_is_typed_is_checked_while_it_is_typed_in_the_server_s_words_and_writes_nothing() {
    let served = Served::start("live");
    let browser = served.signed_in(PHONE, LEAD);
    let before = served.entries();
    browser.tap("End of shift");
    browser.read_off("r1.start", "31");
    browser.read_off("r1.end", "12 mmR");
    browser.see("`12 mmR`");
    // Of what nobody has touched, nothing is said.
    let faults = "return [...document.querySelectorAll('.fault')].map((it) => it.id)";
    let found = browser.script(faults, &[]);
    assert_eq!(
        found,
        serde_json::json!(["r1.end-fault"]),
        "{}",
        browser.said()
    );
    let said = browser.script("return document.querySelector('.fault').textContent", &[]);
    hold(&browser, "a fault while it is typed");
    browser.read_off("r1.end", "12");
    browser.wait_for("the fault to go", || {
        let found = browser.script(faults, &[]);
        (!found.to_string().contains("mmR") && !browser.said().contains("mmR")).then_some(())
    });
    browser.choose("r2.off_scale", "yes");
    browser.see("PD-13 off-scale: the dose has no upper bound");
    browser.see("Stop this person's work, tell the RSO now");
    hold(&browser, "a stop while it is typed");
    // The same words as when it is sent.
    browser.read_off("r1.end", "12 mmR");
    browser.tap("Check");
    browser.see("Not sent yet");
    let said = said.as_str().expect("a fault");
    assert!(browser.said().contains(said), "{said}: {}", browser.said());
    assert_eq!(served.entries(), before, "nothing is written");
}

#[test]
fn a_defect_says_at_once_what_must_not_be_used_and_an_hour_is_one_tap() {
    let served = Served::start("live check");
    let browser = served.signed_in(PHONE, LEAD);
    let before = served.entries();
    browser.open(&served.at("/check?set=SM-05"));
    browser.tap("now");
    let at = browser.value("at");
    assert!(at.len() == 5 && at.contains(':'), "{at}");
    browser.choose("i1.1.result", "defect");
    browser.see("STOP");
    browser.see("SM-05");
    assert_eq!(served.entries(), before, "nothing is written");
    browser.choose("i1.1.result", "good");
    browser.wait_for("the stop to go", || {
        (!browser.said().contains("STOP")).then_some(())
    });
}

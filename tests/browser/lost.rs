//! Nothing is lost and nothing is written twice: a killed server, the back button, a thumb that
//! taps twice, two tabs, a second device.

use serde_json::json;

use super::access::hold;
use super::crew::{LEAD, field, fill_the_sheet, start_the_shift};
use super::driver::{Browser, DESK, PHONE};
use super::served::Served;

const RSO: &str = "Ngozi Halvorsen";

/// Opens the sheet and types all of it, with the start of its shift on record.
fn typed_sheet(served: &Served) -> Browser {
    let browser = served.signed_in(PHONE, LEAD);
    start_the_shift(&browser);
    browser.tap("Today");
    browser.tap("End of shift");
    fill_the_sheet(&browser);
    browser
}

fn sent(browser: &Browser) {
    browser.tap("Check");
    browser.see("Is this right?");
    browser.tap("Put on record");
    browser.see("On record");
}

#[test]
fn a_server_that_is_killed_in_the_middle_loses_no_sheet_and_makes_none_twice() {
    let mut served = Served::start("killed");
    let browser = typed_sheet(&served);
    let (number, before) = (browser.value("sheet"), served.entries());
    browser.see("kept on this device");
    served.kill();
    // The page that would not come is not left for.
    browser.tap("Check");
    browser.see("not sent yet: no connection to the server");
    served.restart();
    browser.see("The session has ended");
    served.sign_in_again(&browser, LEAD);
    browser.tap("End of shift");
    browser.tap("Take up what was typed before");
    assert_eq!(browser.value("sheet"), number);
    assert_eq!(browser.value("r3.end"), "9");
    assert_eq!(browser.value("signed_by"), "W14");
    browser.tap("Check");
    browser.see("Is this right?");
    // It is sent while there is no server, and the page waits for one.
    served.kill();
    browser.tap("Put on record");
    browser.see("not sent yet");
    served.restart();
    browser.see("sign in again");
    served.sign_in_again(&browser, LEAD);
    // What was waiting goes by itself.
    browser.see(&format!("End of shift {number}"));
    browser.see("Sent ");
    assert_eq!(served.entries(), before + 1, "exactly one sheet");
    assert_eq!(field(&served.entry(before + 1), "sheet"), number);
    // What is on record is no draft any more.
    browser.tap("Today");
    browser.tap("End of shift");
    let offered = browser.said().contains("Take up what was typed before");
    assert!(!offered, "{}", browser.said());
}

#[test]
fn what_is_typed_survives_a_reload_and_the_back_button() {
    let served = Served::start("back");
    let browser = typed_sheet(&served);
    let (number, before) = (browser.value("sheet"), served.entries());
    browser.done(|it| it.refresh());
    browser.see("what was typed before is here again");
    assert_eq!(browser.value("sheet"), number);
    assert_eq!(browser.value("r1.end"), "14");
    browser.tap("Check");
    browser.see("Is this right?");
    browser.done(|it| it.back());
    browser.see("End of shift");
    browser.wait_for("what was typed", || {
        (browser.value("r1.end") == "14" && browser.value("sheet") == number).then_some(())
    });
    browser.read_off("r1.end", "15");
    sent(&browser);
    assert_eq!(served.entries(), before + 1);
    // Going back from a sheet on record and sending what is there makes no second one.
    browser.done(|it| it.back());
    let there = browser.value("r1.end");
    assert_eq!(there, "", "an old sheet stands there as a new one");
    assert_eq!(served.entries(), before + 1);
}

#[test]
fn a_thumb_that_taps_twice_writes_once() {
    let served = Served::start("twice");
    let browser = typed_sheet(&served);
    let before = served.entries();
    browser.tap("Check");
    browser.see("Is this right?");
    let twice = "
        const button = [...document.querySelectorAll('button')]
            .find((it) => it.innerText.startsWith(arguments[0]));
        button.click();
        button.click();";
    browser.script(twice, &[json!("Put on record")]);
    browser.see("On record");
    assert_eq!(served.entries(), before + 1);
    // The same where no script holds the second tap back.
    browser.tap("Today");
    browser.tap("Something went wrong");
    browser.pick("kind", "off-scale-dosimeter");
    browser.fill("words", "PD-13 off scale at the end of the shift");
    browser.choose("when", "now");
    let plain = "
        const form = document.querySelector('form[data-draft]');
        const data = new URLSearchParams(new FormData(form));
        const send = () => fetch(form.action, { method: 'POST', body: data });
        const done = arguments[0];
        Promise.all([send(), send()]).then((all) => done(all.map((it) => it.status)));";
    let answers = browser.done(|it| it.execute_async(plain, Vec::new()));
    assert_eq!(answers, json!([200, 200]));
    assert_eq!(served.entries(), before + 2);
}

#[test]
fn two_tabs_with_one_sheet_make_one_entry() {
    let served = Served::start("tabs");
    let browser = typed_sheet(&served);
    let (number, before) = (browser.value("sheet"), served.entries());
    let first = browser.done(|it| it.window());
    let tab = browser.done(|it| it.new_window(true));
    browser.done(|it| it.switch_to_window(tab.handle.clone()));
    browser.open(&served.at("/sheet"));
    browser.tap("Take up what was typed before");
    assert_eq!(browser.value("sheet"), number);
    sent(&browser);
    assert_eq!(served.entries(), before + 1);
    // The other tab still has it, and is told that it is there.
    browser.done(|it| it.switch_to_window(first));
    sent(&browser);
    browser.see(&format!("entry {}", before + 1));
    assert_eq!(served.entries(), before + 1, "one entry");
}

#[test]
fn a_second_device_with_the_same_sheet_is_told_what_is_on_record() {
    let served = Served::start("second");
    let rso = served.signed_in(DESK, RSO);
    let one = served.let_in(&rso, PHONE, LEAD);
    start_the_shift(&one);
    let two = served.let_in(&rso, PHONE, "Rashid Fontanelle");
    let three = served.let_in(&rso, PHONE, "Benedikt Owusu");
    let before = served.entries();
    for device in [&one, &two, &three] {
        device.open(&served.at("/sheet"));
        device.see("The start of this shift is on record");
        fill_the_sheet(device);
    }
    assert_eq!(one.value("sheet"), two.value("sheet"));
    three.read_off("r1.end", "15");
    sent(&one);
    sent(&two);
    let entry = before + 1;
    two.see(&format!("entry {entry}"));
    assert_eq!(served.entries(), entry, "the same sheet");

    // A reading that differs changes nothing: both stand side by side, with a way out.
    three.tap("Check");
    three.see(&format!("entry {entry} has this number already"));
    for words in ["14 mR", "15 mR", "tell the RSO"] {
        three.see(words);
    }
    hold(&three, "a sheet that differs from the one on record");
    assert_eq!(three.value("r1.end"), "15", "what was typed is kept");
    three.tap("Give it its own number");
    three.see("End of shift");
    assert_ne!(three.value("sheet"), one.value("sheet"));
    assert_eq!(three.value("r1.end"), "15");
    assert_eq!(served.entries(), entry);
}

/// The office corrects from the page that shows what differs.
#[test]
fn an_entry_that_is_wrong_is_corrected_from_what_differs() {
    let served = Served::start("corrected");
    let rso = served.signed_in(DESK, RSO);
    let one = served.let_in(&rso, PHONE, LEAD);
    start_the_shift(&one);
    one.open(&served.at("/sheet"));
    fill_the_sheet(&one);
    // The RSO has the same sheet open, taken over from the crew's own paper.
    let script = "
        const form = document.querySelector('form[data-draft]');
        return [...new FormData(form)]";
    let typed = one.script(script, &[]);
    sent(&one);
    let entry = served.entries();
    rso.open(&served.at("/sheet"));
    let again = "
        const form = document.createElement('form');
        form.method = 'post';
        form.action = '/sheet';
        const token = document.querySelector('input[name=token]').value;
        for (const [name, value] of arguments[0].concat([['do', 'look']])) {
            const said = { token, 'r1.end': '15' }[name] ?? value;
            form.append(Object.assign(document.createElement('input'),
                { type: 'hidden', name, value: said }));
        }
        document.body.append(form);
        form.submit();";
    rso.script(again, &[typed]);
    rso.see(&format!("entry {entry} has this number already"));
    rso.tap("Correct the entry");
    assert_eq!(rso.value("entry"), entry.to_string());
    rso.fill("reason", "read again on the dosimeter: 15 mR");
    rso.tap("Put on record");
    rso.see("On record");
    assert_eq!(served.entries(), entry + 1);
    let shown = served.entry(entry + 1).to_string();
    assert!(shown.contains("15 mR"), "{shown}");
}

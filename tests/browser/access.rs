//! What whoever cannot see, point or hold still needs: no violation that axe-core finds, everything
//! by the keyboard alone in an order that is seen, and no scrolling sideways at 200 %.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::crew::LEAD;
use super::driver::{Browser, DESK, PHONE, Size};
use super::served::Served;

/// axe-core 4.14.1, as its registry has it, under the license in its head (MPL 2.0). It stands here
/// so that the pages are judged by the same rules wherever and whenever the tests run, and without
/// another language's packages.
const AXE: &str = include_str!("axe.min.js");

/// What every page holds: WCAG 2.2, levels A and AA.
const TAGS: &[&str] = &["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

/// What axe-core finds on the page that is open.
fn violations(browser: &Browser) -> Vec<String> {
    browser.script(AXE, &[]);
    let ask = "
        const [tags, done] = arguments;
        const only = { runOnly: { type: 'tag', values: tags }, resultTypes: ['violations'] };
        const of = (it) => it.id + ' at ' + it.nodes.map((node) => node.target).slice(0, 3)
            + ': ' + it.nodes[0].failureSummary;
        axe.run(document, only).then((found) => done(found.violations.map(of)), done);";
    let found = browser.done(|it| it.execute_async(ask, vec![json!(TAGS)]));
    let found = found.as_array().cloned();
    let found = found.unwrap_or_else(|| panic!("axe-core did not run: {}", browser.said()));
    found
        .iter()
        .map(|it| it.as_str().unwrap_or("?").to_owned())
        .collect()
}

/// How far a page can be pushed sideways, in CSS pixels.
fn sideways(browser: &Browser) -> i64 {
    let script = "return document.scrollingElement.scrollWidth";
    let width = browser.script(script, &[]).as_i64().expect("a width");
    (width - browser.width).max(0)
}

/// The page that is open has no violation and does not scroll sideways.
pub fn hold(browser: &Browser, what: &str) {
    let found = violations(browser);
    assert!(found.is_empty(), "{what}: {found:#?}");
    assert_eq!(sideways(browser), 0, "{what} scrolls sideways");
}

#[test]
fn what_is_wrong_with_a_page_is_found() {
    let browser = Browser::new(PHONE);
    let page = "data:text/html,<html lang=en><title>x</title><main><h1>x</h1>\
                <img src=x><p style='width:500px'>wide</p></main>";
    browser.open(page);
    let found = violations(&browser);
    assert!(
        found.iter().any(|it| it.starts_with("image-alt")),
        "{found:?}"
    );
    assert!(sideways(&browser) > 0);
}

/// Where the keyboard stands: which of all that can be reached, and what is wrong with it there.
const FOCUS: &str = "
    const it = document.activeElement;
    const wanted = 'a[href], button, input, select, textarea, summary, [tabindex=\"0\"]';
    const seen = (one) => one.checkVisibility() && one.tabIndex >= 0 && one.type !== 'hidden';
    let all = [...document.querySelectorAll(wanted)].filter(seen);
    // Of several choices the keyboard reaches one, and the arrows the others.
    const first = new Set();
    all = all.filter((one) => {
        if (one.type !== 'radio') return true;
        const group = document.querySelectorAll('input[name=\"' + one.name + '\"]');
        const stop = [...group].find((of) => of.checked) ?? group[0];
        return one === stop;
    });
    if (!it || it === document.body) return [-1, all.length, ''];
    const framed = (one) => {
        const style = getComputedStyle(one);
        return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
    };
    const box = it.getBoundingClientRect();
    const at = document.elementFromPoint(
        Math.min(Math.max(box.left + box.width / 2, 0), innerWidth - 1),
        Math.min(Math.max(box.top + box.height / 2, 0), innerHeight - 1));
    let wrong = '';
    if (!framed(it) && !framed(it.parentElement)) wrong += 'no frame ';
    if (!at || !(it.contains(at) || at.contains(it))) wrong += 'not seen ';
    // A date or an hour has several places for the keyboard.
    const parts = ['date', 'time', 'datetime-local'].includes(it.type);
    const group = it.type === 'radio' ? it.name : '';
    const place = all.findIndex((one) => one === it || (group && one.name === group));
    return [place, all.length, wrong && wrong + it.outerHTML.slice(0, 200), parts];";

/// Goes through a page by Tab: everything is reached in its order, and seen where it is.
fn by_tab(browser: &Browser, what: &str) {
    browser.script("document.activeElement?.blur(); window.scrollTo(0, 0)", &[]);
    let mut before = -1;
    loop {
        browser.press("\u{e004}");
        let found = browser.script(FOCUS, &[]);
        let number = |at: usize| found[at].as_i64().expect("a number");
        let (place, count) = (number(0), number(1));
        assert_eq!(found[2], "", "{what}");
        let stays = found[3] == true && place == before;
        assert!(
            stays || place == before + 1,
            "{what}: {found} after {before}"
        );
        if place + 1 == count {
            return;
        }
        before = place;
    }
}

#[test]
fn a_keyboard_alone_reaches_everything_in_its_order_and_sees_where_it_is() {
    let served = Served::start("keyboard");
    let browser = served.signed_in(DESK, LEAD);
    for path in [
        "/",
        "/sheet",
        "/start",
        "/wrong",
        "/check?set=GT-61",
        "/board",
        "/people/W14",
    ] {
        browser.open(&served.at(path));
        by_tab(&browser, path);
    }
}

#[test]
fn enter_in_a_field_checks_and_sends_nothing() {
    let served = Served::start("enter");
    let browser = served.signed_in(DESK, LEAD);
    let before = served.entries();
    browser.open(&served.at("/sheet"));
    browser.read_off("r1.end", "12\u{e007}");
    browser.see("Nothing is written yet");
    browser.open(&served.at("/check?set=GT-61"));
    browser.read_off("remark", "windy\u{e007}");
    browser.see("Not sent yet");
    assert_eq!(served.entries(), before);
    // A choice by the keyboard: the tap of Space is the tap of a thumb.
    browser.open(&served.at("/"));
    let focus = "document.querySelector('a[href=\"/wrong\"]').focus()";
    browser.script(focus, &[]);
    browser.press("\u{e007}");
    browser.see("No retrieval unless you are trained");
}

/// A page of 720 pixels at 200 % has 360 to lay out in; 320 is what WCAG 2.2 asks for.
#[test]
fn no_page_scrolls_sideways_at_two_hundred_percent() {
    for width in [360, 320] {
        let served = Served::start(&format!("zoom {width}"));
        let size = Size {
            width,
            height: 400,
            touch: false,
            ratio: 2,
        };
        let browser = served.signed_in(size, "Ngozi Halvorsen");
        for path in [
            "/",
            "/sheet",
            "/start",
            "/wrong",
            "/check?set=ED-06",
            "/board",
            "/people/W14",
            "/people",
            "/findings",
            "/hold",
            "/events",
            "/month",
            "/equipment",
            "/more",
            "/do/hold/resolve",
            "/do/review/2026-05",
            "/entries/8000",
            "/ledger",
        ] {
            browser.open(&served.at(path));
            assert_eq!(sideways(&browser), 0, "{path} at {width}");
        }
    }
}

/// The values of a list of texts.
pub fn texts(list: &Value) -> BTreeSet<String> {
    let all = list.as_array().into_iter().flatten();
    all.filter_map(Value::as_str).map(str::to_owned).collect()
}

//! Every page that somebody can come to from Today by its links, each kind of address once.

use std::collections::{BTreeSet, VecDeque};

use super::access::{hold, texts};
use super::crew::LEAD;
use super::driver::{Browser, DESK, PHONE, Size};
use super::served::Served;

/// What kind of address it is: names and numbers left out.
fn type_of(path: &str) -> String {
    let path = path.split(['?', '#']).next().unwrap_or_default();
    let parts = path.split('/').filter(|it| !it.is_empty());
    let is_name = |it: &str| it.contains(|one: char| one.is_ascii_digit() || one == '%');
    let mut parts: Vec<&str> = parts.map(|it| if is_name(it) { "*" } else { it }).collect();
    if parts.first() == Some(&"do") {
        parts.truncate(3);
    }
    format!("/{}", parts.join("/"))
}

/// Follows every link, and holds what each page must hold.
fn walk(served: &Served, browser: &Browser, look: impl Fn(&str, &str)) -> BTreeSet<String> {
    let mut todo = VecDeque::from(["/".to_owned()]);
    let mut seen = BTreeSet::new();
    while let Some(path) = todo.pop_front() {
        if !seen.insert(type_of(&path)) {
            continue;
        }
        browser.open(&served.at(&path));
        let said = browser.said();
        for refused in ["Not here", "Not done", "Not answered", "Something failed"] {
            let is = said.lines().any(|it| it == refused);
            assert!(!is, "{path}: {said}");
        }
        hold(browser, &path);
        look(&path, &said);
        let links = "
            const all = [...document.querySelectorAll('a[href]')];
            return all.map((it) => it.getAttribute('href'))";
        let links = texts(&browser.script(links, &[]));
        let is_page = |it: &String| {
            let path = it.split('?').next().unwrap_or_default();
            // A table and a photo are files, which the browser shows as it likes.
            let is_file = [".csv", ".json", "/file"]
                .iter()
                .any(|end| path.ends_with(end));
            path.starts_with('/') && !is_file
        };
        todo.extend(links.into_iter().filter(is_page));
    }
    seen
}

fn crew(size: Size) {
    let served = Served::start(&format!("walk crew {}", size.width));
    let browser = served.signed_in(size, LEAD);
    let seen = walk(&served, &browser, |path, said| {
        // Who has a phone has no terminal.
        for of_a_terminal in ["wearbook ", "\nkey"] {
            assert!(!said.contains(of_a_terminal), "{path}: {said}");
        }
    });
    for page in [
        "/sheet",
        "/start",
        "/check",
        "/wrong",
        "/board",
        "/people/*/forecast",
    ] {
        assert!(seen.contains(page), "{seen:?}");
    }
    assert!(!seen.iter().any(|it| it.starts_with("/do")), "{seen:?}");
    browser.open(&served.at("/findings"));
    browser.see("This is for the RSO");
    hold(&browser, "a page for others");
    browser.tap("sign out");
    browser.see("Who are you?");
    hold(&browser, "who sits there");
}

fn office(size: Size) {
    let served = Served::start(&format!("walk office {}", size.width));
    let browser = served.signed_in(size, "Ngozi Halvorsen");
    let seen = walk(&served, &browser, |_, _| {});
    assert!(seen.len() > 65, "{} pages: {seen:?}", seen.len());
    for page in [
        "/do/hold/resolve",
        "/do/review/*",
        "/entries/*/history",
        "/events/*/trace",
    ] {
        assert!(seen.contains(page), "{seen:?}");
    }
    browser.open(&served.at("/more"));
    browser.tap("Another browser on this machine");
    browser.see("it works once");
    hold(&browser, "another browser");
}

#[test]
fn every_page_of_the_crew_can_be_used_by_everybody_on_a_phone() {
    crew(PHONE);
}

#[test]
fn every_page_of_the_crew_can_be_used_by_everybody_at_a_desk() {
    crew(DESK);
}

#[test]
fn every_page_of_the_office_can_be_used_by_everybody_on_a_phone() {
    office(PHONE);
}

#[test]
fn every_page_of_the_office_can_be_used_by_everybody_at_a_desk() {
    office(DESK);
}

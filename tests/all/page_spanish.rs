//! The crew's pages in Spanish: every word of them, and nothing of the office's.

use super::cli_maintenance_shown::{kept, sheet_of};
use super::page::{handed_in, parsed, sheet, with};
use super::page_support::served;

/// The texts of a page that are said in its own language, in their order; what is marked as English
/// in a page of another language is left out.
fn own_texts(body: &str) -> Vec<String> {
    let mut texts = Vec::new();
    let (mut rest, mut english) = (body, 0_usize);
    while let Some((before, from)) = rest.split_once('<') {
        let (tag, behind) = from.split_once('>').expect("a tag");
        let alone = ["input", "meta", "link", "br", "rect", "!"];
        let is_alone = alone.iter().any(|it| tag.starts_with(it));
        let text = before.trim();
        if english == 0 && !text.is_empty() {
            texts.push(text.to_owned());
        }
        match (english, tag.starts_with('/')) {
            (0, false) if tag.contains("lang=\"en\"") && !tag.starts_with("html") => english = 1,
            (0, _) => {}
            (_, true) => english -= 1,
            (_, false) => english += usize::from(!is_alone),
        }
        rest = behind;
    }
    texts
}

/// A text that both pages may have: an id, a figure, a name, a unit, a place.
fn is_data(text: &str) -> bool {
    let names = ["wearbook", "Lucinda Ferrow", "Heron Flats", "inspector"];
    let is_word = |it: &str| it.len() > 3 && it != "mrem" && it.chars().all(char::is_lowercase);
    names.iter().any(|it| text.contains(it)) || !text.split(' ').any(is_word)
}

#[test]
fn a_crew_reads_its_pages_in_spanish_word_for_word_and_the_office_in_english() {
    let place = kept("page, Spanish");
    sheet_of(&place, "2026-06-14");
    let english = served(&place).signed_in("W08");
    let answer = english.get("/language/es");
    assert_eq!(answer.status, 303);
    let cookie = answer.header("set-cookie").expect("a cookie");
    let spanish = english.with_cookie(cookie.split(';').next().expect("a pair"));
    let mut left = Vec::new();
    for path in [
        "/",
        "/start",
        "/sheet",
        "/check",
        "/wrong",
        "/away",
        "/paper",
        "/scan",
        "/photo?about=5",
        "/item/Z-1",
    ] {
        let (en, es) = (english.get(path).body, spanish.get(path).body);
        assert_eq!(parsed(&es), [""; 0], "{path}");
        assert!(es.contains("<html lang=\"es\">"), "{path}: {es}");
        let (en, es) = (own_texts(&en), own_texts(&es));
        assert!(es.len() > 5, "{path}: {es:?}");
        let same = es.iter().filter(|it| en.contains(it) && !is_data(it));
        left.extend(same.map(|it| format!("{path}: {it}")));
    }
    // What follows from a form: what was understood, and that it is on record.
    let twice = |path: &str, fields: &[(&str, &str)]| {
        let [en, es] = [&english, &spanish].map(|it| own_texts(&it.post(path, fields).body));
        let same = es.iter().filter(|it| en.contains(it) && !is_data(it));
        same.map(|it| format!("{path}: {it}")).collect::<Vec<_>>()
    };
    let event = [
        ("name", "E-es"),
        ("kind", "disconnect"),
        ("words", "x"),
        ("do", "send"),
    ];
    left.extend(twice("/wrong", &event));
    left.extend(twice("/sheet", &with(sheet("P-2", ""), "do", "look")));
    let check = with(vec![("set", "G-1")], "do", "look");
    left.extend(twice("/check", &check));
    assert_eq!(left, [""; 0], "not in the table");
    // A STOP is said in Spanish above its own words.
    let off_scale = with(sheet("P-1", ""), "r2.off_scale", "yes");
    let looked = handed_in(&spanish, &off_scale, "look").body;
    let stop = looked
        .find("se salió de escala")
        .expect("a STOP in Spanish");
    assert!(
        stop < looked.find("off-scale at").expect("its own words"),
        "{looked}"
    );
    let board = spanish.get("/board").body;
    assert!(board.contains("<html lang=\"en\">"), "{board}");
    assert_eq!(english.get("/language/tlh").status, 404);
}

/// What people are called, what a job and an item are called, is no word of ours.
#[test]
fn what_somebody_typed_is_never_translated() {
    let place = kept("page, Spanish names");
    for line in [
        "worker add --id Today --name Board --role radiographer --monitored-from 2026-01-05",
        "job add --id Good --place Good --jurisdiction \"US NRC\" --setting \"temporary jobsite\" \
         --zone America/Chicago",
        "equipment add --id Day --type \"guide tube\" --serial day --in-service 2026-01-05",
        "instrument add --id Other --type \"pocket dosimeter\" --serial other --unit mR \
         --range \"200 mR\" --in-service 2026-01-05",
    ] {
        place.done(line);
    }
    let crew = sheet("P-3", "good");
    let typed = [
        ("job", "Good"),
        ("guide_tubes", "Day"),
        ("r1.worker", "Today"),
        ("r1.dosimeter", "Other"),
        ("attested_by", "Today"),
        ("signed_by", "Today"),
        ("site", "night"),
    ];
    let sent = typed
        .into_iter()
        .fold(crew, |all, (name, value)| with(all, name, value));
    let english = served(&place).signed_in("Today");
    let spanish = english.with_cookie("wearbook-language=es");
    // The page again with what was typed, then what was understood, then everything once more.
    let mut pages = Vec::new();
    for what in ["person", "look"] {
        pages.push([&english, &spanish].map(|it| handed_in(it, &sent, what).body));
    }
    english.post("/sheet", &with(sent.clone(), "do", "send"));
    for path in [
        "/",
        "/start",
        "/sheet",
        "/check?set=Day",
        "/wrong",
        "/photo?about=Good",
    ] {
        pages.push([&english, &spanish].map(|it| it.get(path).body));
    }
    for [english, spanish] in pages {
        assert!(spanish.contains("<html lang=\"es\">"), "{spanish}");
        // What is marked in English is as it is in Spanish, where a STOP names its subject once more.
        let marked = |page: &str, word: &str| {
            let texts = page.split("translate=\"no\"").skip(1);
            let texts = texts.filter_map(|it| it.split_once('>')?.1.split('<').next());
            texts.filter(|it| it.contains(word)).count()
        };
        let mut there = 0;
        for word in ["Today", "Board", "Good", "Day", "Other", "good", "night"] {
            assert!(
                marked(&spanish, word) >= marked(&english, word),
                "{word}: {spanish}"
            );
            there += marked(&spanish, word);
        }
        assert!(there > 0, "{spanish}");
        // Nobody is called `Tablero`: it stands in the way to the board alone.
        assert_eq!(spanish.matches("Tablero").count(), 1, "{spanish}");
    }
}

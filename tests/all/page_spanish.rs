//! The crew's pages in Spanish: every word of them, and nothing of the office's.

use super::cli_maintenance_shown::{kept, sheet_of};
use super::cli_support::Place;
use super::page::{handed_in, parsed, sheet, with};
use super::page_support::{Moving, served, served_by};
use wearbook::text::{Language, TABLE_OF_WORDS};

/// The texts of a page that are said in its own language, in their order; what is marked as English
/// in a page of another language is left out, and what somebody typed.
pub fn own_texts(body: &str) -> Vec<String> {
    let mut texts = Vec::new();
    let (mut rest, mut english) = (body, 0_usize);
    while let Some((before, from)) = rest.split_once('<') {
        let (tag, behind) = from.split_once('>').expect("a tag");
        let alone = ["input", "meta", "link", "br", "rect", "!"];
        let is_alone = alone.iter().any(|it| tag.starts_with(it));
        let text = before.trim();
        let left_out = ["lang=\"en\"", "translate=\"no\"", "style"];
        if english == 0 && !text.is_empty() {
            texts.push(text.to_owned());
        }
        match (english, tag.starts_with('/')) {
            (0, false) if is_alone || tag.starts_with("html") => {}
            (0, false) if left_out.iter().any(|it| tag.contains(it)) => english = 1,
            (0, _) => {}
            (_, true) => english -= 1,
            (_, false) => english += usize::from(!is_alone),
        }
        rest = behind;
    }
    texts
}

/// A text that both pages may have: an id, a figure, a name, a unit, a place.
pub fn is_data(text: &str) -> bool {
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
    for path in ["/", "/start", "/sheet", "/check?set=Day", "/wrong"] {
        pages.push([&english, &spanish].map(|it| it.get(path).body));
    }
    for [english, spanish] in pages {
        assert!(spanish.contains("<html lang=\"es\">"), "{spanish}");
        // What is marked in English is so in Spanish, where a STOP names its subject besides.
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

/// A site says its own steps and items in both languages, or its crews are told that they are in
/// English.
#[test]
fn the_own_words_of_a_site_stand_in_spanish_or_are_announced_as_english() {
    let place = Place::with_registers("page, Spanish of a site");
    let list = place.file(
        "own.toml",
        "extends = \"general\"\nchecklist = \"own\"\ntitle = \"Ours\"\n\
         [[item]]\nkey = \"tube-tag\"\non = \"guide tube\"\ncomponent = \"tag\"\n\
         component_es = \"placa\"\nlook = \"our tag\"\nlook_es = \"nuestra placa\"\n\
         good = \"there\"\ngood_es = \"está\"\nwhen = [\"daily\"]\ndetects = [\"disconnect\"]\n\
         basis = \"common practice, no source\"\nstatus = \"common practice\"\n\
         [[item]]\nkey = \"tube-paint\"\non = \"guide tube\"\ncomponent = \"paint\"\n\
         look = \"our paint\"\ngood = \"yellow\"\nwhen = [\"daily\"]\ndetects = [\"disconnect\"]\n\
         basis = \"common practice, no source\"\nstatus = \"common practice\"\n",
    );
    place.done(&format!("checklist adopt {list} --from 2025-01-01"));
    let steps = place.file(
        "steps.txt",
        "Meet at the gate.\nes: Reúnanse en el portón.\nCount heads.\n",
    );
    let line = format!("serve --steps {steps}");
    let english = served_by(&place, &line, &Moving::from(place.now)).signed_in("W08");
    let spanish = english.with_cookie("wearbook-language=es");
    const NOTE: &str = "En inglés, como lo puso la empresa:";
    for (path, own, other, count) in [
        ("/wrong", "Reúnanse en el portón.", "Count heads.", 1),
        ("/check?set=G-1", "nuestra placa", "our paint", 1),
    ] {
        let (en, es) = (english.get(path).body, spanish.get(path).body);
        assert!(es.contains(own) && es.contains(other), "{path}: {es}");
        assert_eq!(es.matches(NOTE).count(), count, "{path}: {es}");
        assert!(!en.contains(own), "{path}: {en}");
    }
    let refused = place.file("wrong.txt", "es: Reúnanse en el portón.\n");
    let said = place.quiet(&format!("serve --steps {refused}"));
    assert!(
        said.code == 1 && said.err.contains("has no step"),
        "{}",
        said.err
    );
}

/// The record of whoever signs in says the language, until the browser chooses one.
#[test]
fn a_page_is_in_the_language_of_the_record_unless_the_browser_chose_another() {
    let place = Place::with_registers("page, own language");
    place.done(
        "worker add --id W20 --name \"Inés Marrow\" --role assistant --language español \
         --monitored-from 2026-01-05",
    );
    let own = served(&place).signed_in("W20");
    assert!(own.get("/").body.contains("<html lang=\"es\">"));
    let chosen = own.with_cookie("wearbook-language=en");
    assert!(chosen.get("/").body.contains("<html lang=\"en\">"));
    let said = place.quiet(
        "worker add --id W21 --name X --role rso --language tlh \
         --monitored-from 2026-01-05",
    );
    assert!(said.err.contains("en or es"), "{}", said.err);
}

/// A fault that the table has is said in Spanish beside its field; any other is marked as English.
#[test]
fn a_fault_beside_its_field_is_said_in_spanish() {
    let place = Place::with_registers("page, Spanish faults");
    let spanish = served(&place).signed_in("W08");
    let spanish = spanish.with_cookie("wearbook-language=es");
    let wrong = with(sheet("P-9", ""), "exposures", "many");
    let body = handed_in(&spanish, &wrong, "look").body;
    let said = "exposiciones: `many` no es un número entero. Correcto: por ejemplo `24`";
    assert!(body.contains(said), "{body}");
    assert!(!body.contains("is not a whole number"), "{body}");
}

/// Everything that a crew is asked and told at a prompt, and that stands on its forms and labels,
/// by the sources themselves: no text of two words there may lack its row.
#[test]
fn no_word_of_a_prompt_a_form_or_a_label_is_missing_in_the_table() {
    let mut rows = csv::Reader::from_reader(TABLE_OF_WORDS.as_bytes());
    let rows = rows.records().map(|it| it.expect("a row"));
    let table: Vec<String> = rows.map(|it| with_holes(&it[0])).collect();
    // What is no talk: names of files, of fields, of commands, and refusals without a terminal.
    const OTHERS: &[&str] = &[
        "there are too many drafts already",
        "form {}",
        "{} {} {} no. {}",
        "there is no terminal to ask at, and no flag was given",
        "wearbook sheet start --help",
        "fields {}",
        "The clock of this ledger is scripted: not records.",
        "box {}",
        "line {}",
        "{} in {}",
        "left blank: {}",
        "NOT AS IT STANDS: {}",
        "{} labels",
        "no label for {}",
        "Print it at 100 %, without margins, and scan one before you print them all.",
        "left:{};top:{}",
    ];
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut missing = Vec::new();
    let mut count = 0;
    for file in [
        "cli/sheet/ask.rs",
        "cli/sheet/crew.rs",
        "cli/sheet/draft.rs",
        "cli/sheet/during.rs",
        "cli/sheet/list.rs",
        "cli/sheet/paper.rs",
        "cli/sheet/people.rs",
        "cli/sheet/prompt.rs",
        "cli/sheet/reading.rs",
        "cli/sheet/settle.rs",
        "cli/sheet/start.rs",
        "cli/equipment/inspect_prompt.rs",
        "cli/frame/ask.rs",
        "intake/sheet/reading_line.rs",
        "show/entry/form.rs",
        "show/equipment/form.rs",
    ] {
        let source = std::fs::read_to_string(root.join(file)).expect("a source file");
        let source = source.split("#[cfg(test)]").next().expect("its first part");
        for text in literals(source) {
            let text = with_holes(text.trim());
            count += 1;
            let is_talk = text.split(' ').filter(|it| is_word(it)).count() > 1;
            // A page has its texts in pieces around what is filled in.
            let of_page = file.starts_with("show/");
            let is_there = |row: &&String| **row == text || of_page && row.contains(&text);
            if is_talk && !table.iter().any(|it| is_there(&it)) && !OTHERS.contains(&&*text) {
                missing.push(format!("{file}: {text}"));
            }
        }
    }
    assert_eq!(missing, [""; 0], "{}", missing.join("\n"));
    assert!(count > 400, "{count}");
    // The names by which a sheet is corrected.
    for column in wearbook::intake::SHEET_COLUMNS {
        let said = Language::Spanish.other(column);
        assert!(said.is_some(), "{column}");
    }
}

fn is_word(text: &str) -> bool {
    let bare = text.trim_matches(|it: char| !it.is_alphanumeric());
    bare.len() > 1 && bare.chars().all(|it| it.is_ascii_lowercase())
}

/// A text with every hole as the table has it.
fn with_holes(text: &str) -> String {
    let mut out = String::new();
    for (at, part) in text.split('{').enumerate() {
        match (at, part.split_once('}')) {
            (0, _) => out.push_str(part),
            (_, Some((_, behind))) => {
                out.push_str("{}");
                out.push_str(behind);
            }
            (_, None) => out.push_str(part),
        }
    }
    out
}

/// What stands between quotes in a source, outside of its comments.
fn literals(source: &str) -> Vec<String> {
    let code: Vec<&str> = source
        .lines()
        .filter(|it| !it.trim_start().starts_with("//"))
        .collect();
    let mut all = Vec::new();
    let code = code.join("\n").replace("'\"'", "''").replace("'{'", "''");
    let mut signs = code.chars().peekable();
    while let Some(sign) = signs.next() {
        if sign != '"' {
            continue;
        }
        let mut text = String::new();
        while let Some(sign) = signs.next() {
            match sign {
                '"' => break,
                '\\' => match signs.next() {
                    // A text that goes on in the next line.
                    Some('\n') => while signs.next_if(|it| it.is_whitespace()).is_some() {},
                    Some(other) => text.push(other),
                    None => {}
                },
                sign => text.push(sign),
            }
        }
        all.push(text);
    }
    all
}

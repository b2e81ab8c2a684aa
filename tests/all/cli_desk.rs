//! What the RSO's desk holds to: one count of what is owed, a name that leads nowhere is looked up
//! where such names stand, a folder is no file, a flag that does nothing is refused, and a result
//! that its own report cannot tell is asked about.

use super::cli_support::{Place, data_of};

fn flat(said: &str) -> String {
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// An event with open duties, some of which one report serves.
fn with_event(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.done(
        "event open --name E-1 --kind disconnect --occurred 2026-06-12T10:00 \
         --equipment D-1 --words \"the source came off\"",
    );
    place
}

#[test]
fn one_event_and_the_list_count_reports_and_duties_alike() {
    let place = with_event("desk, owed");
    let heading = |line: &str| {
        let out = flat(&place.done(line).out);
        let at = out.find("reports open").expect("a count");
        let said = out[..at].rsplit(": ").next().unwrap_or_default().to_owned();
        let rest = out[at..].split("by them").next().unwrap_or_default();
        format!("{said}{rest}")
    };
    let one = heading("report show E-1");
    assert_eq!(one, heading("report list"));
    let (shown, listed) = (
        data_of(&place, "report show E-1"),
        data_of(&place, "report list"),
    );
    let count = |it: &serde_json::Value| it.as_array().map_or(0, Vec::len);
    let (reports, duties) = (count(&shown["reports"]), count(&listed["clocks"]));
    assert!(duties > reports && reports > 1, "{reports} {duties}");
    assert!(one.starts_with(&format!("{reports} reports open")), "{one}");
    assert!(one.contains(&format!("{duties} duties")), "{one}");
}

#[test]
fn a_name_that_leads_nowhere_is_looked_up_where_such_names_stand() {
    let place = Place::with_registers("desk, names");
    place.file("kink.jpg", "no picture");
    for (line, list) in [
        ("evidence list --about ZZZZ", "wearbook event list"),
        ("evidence show 1", "wearbook evidence list"),
        ("dose show ZZZZ", "wearbook worker list"),
        ("event show ZZZZ", "wearbook event list"),
        ("report show ZZZZ", "wearbook event list"),
        ("equipment show ZZZZ", "wearbook equipment list"),
        ("instrument show ZZZZ", "wearbook instrument list"),
        ("pack ZZZZ", "wearbook job list"),
        (
            "hold resolve 99.9 --counts --reason x",
            "wearbook hold list",
        ),
        ("badge labels ZZZZ --out DIR/l.html", "wearbook badge list"),
        ("inspect show 1", "wearbook inspect list"),
        ("rules show ZZZZ", "wearbook rules list"),
        ("checklist show ZZZZ", "wearbook checklist list"),
    ] {
        let said = flat(&place.quiet(line).err);
        assert!(said.contains(list), "{line}: {said}");
        for command in said.split("wearbook ").skip(1) {
            let words: Vec<&str> = command.split([' ', ';']).take(2).collect();
            let help = place.quiet(&format!("{} --help", words.join(" ")));
            assert_eq!(help.code, 0, "{line}: {said}");
        }
    }
}

#[test]
fn a_folder_with_the_name_of_a_file_is_refused_and_not_made() {
    let place = with_event("desk, folder");
    for line in [
        "review 2026-06",
        "report draft E-1",
        "pack J-1",
        "records tracking",
        "dose statement --all",
        "dose leaver W07 --on 2026-06-12",
        "demo",
        "man",
    ] {
        for name in ["r1.html", "r1.CSV"] {
            let said = place.quiet(&format!("{line} --out DIR/{name}"));
            assert_eq!(said.code, 1, "{line}: {}", said.err);
            let words = flat(&said.err);
            assert!(words.contains("a file's name"), "{line}: {words}");
            assert!(!place.path(name).exists(), "{line}");
        }
    }
    let said = place.quiet("ledger export DIR/all.zip");
    assert!(flat(&said.err).contains("a file's name"), "{}", said.err);
}

#[test]
fn what_was_seen_is_said_now_and_of_now() {
    let place = Place::with_registers("desk, seen");
    for flag in ["--on 2026-06-12", "--check", "--json", "--csv", "--peek"] {
        let said = place.quiet(&format!("alerts --for W01 {flag} --seen"));
        assert_eq!(said.code, 2, "{flag}: {}", said.out);
        assert!(said.err.contains("--seen"), "{flag}: {}", said.err);
    }
    place.done("alerts --for W01 --seen");
}

#[test]
fn a_dose_that_its_own_report_cannot_tell_is_on_hold() {
    let place = Place::with_registers("desk, minimum");
    place.done(
        "badge issue --badge B-9 --worker W07 --type \"whole body\" --first-day 2026-05-01 \
         --last-day 2026-05-31",
    );
    let result = |report: &str, deep: &str, more: &str| {
        place.done(&format!(
            "badge result --badge B-9 --report {report} --reported-on 2026-06-10 \
             --deep \"{deep}\" --minimum \"10 mrem\" {more}"
        ))
    };
    result("R-1", "1 mrem", "--lens \"0.09 mSv\"");
    let held = flat(&place.done("hold list").out);
    for words in [
        "1 on hold",
        "lens `0.09 mSv` below the report's own minimum of 10 mrem",
        "ask the processor",
    ] {
        assert!(held.contains(words), "{words}: {held}");
    }
    // It is of no figure until somebody rules.
    let all = data_of(&place, "hold list");
    let item = all["lines"][0]["item"]
        .as_str()
        .expect("an item")
        .to_owned();
    place.done(&format!(
        "hold resolve {item} --counts --reason \"the laboratory confirms it\""
    ));
    assert!(place.done("hold list").out.starts_with("0 on hold"));
    place.done("ledger verify --full");
}

/// What a page of the office says, without its tags.
fn words_of(page: &str) -> String {
    let mut words = String::new();
    let mut rest = page;
    while let Some((before, behind)) = rest.split_once('<') {
        words.push_str(before);
        let (tag, after) = behind.split_once('>').unwrap_or((behind, ""));
        if !tag.trim_start_matches('/').starts_with("span") {
            words.push(' ');
        }
        rest = after;
    }
    words.push_str(rest);
    flat(&words)
}

/// The addresses that a page leads to, each once by its shape.
fn leads(page: &str) -> Vec<String> {
    let hrefs = page.split("href=\"/").skip(1);
    let to = hrefs.filter_map(|it| it.split('"').next());
    to.map(|it| format!("/{}", it.replace("&amp;", "&")))
        .collect()
}

fn shape(to: &str) -> String {
    let path = to.split('?').next().unwrap_or_default();
    let is_name = |it: &str| it.contains('%') || it.bytes().any(|it| it.is_ascii_digit());
    let parts = path.split('/').map(|it| {
        if is_name(it) || it.starts_with(char::is_uppercase) {
            "*"
        } else {
            it
        }
    });
    parts.collect::<Vec<_>>().join("/")
}

#[test]
fn no_page_of_the_demonstrations_office_tells_anybody_to_type_what_it_does_itself() {
    let place = &super::cli_demo::demo().place;
    let browser = super::page_support::served(place).signed_in("W01");
    let done = wearbook::page::commands();
    let mut seen = std::collections::BTreeMap::new();
    let mut open = vec!["/board".to_owned(), "/month/2026-05".to_owned()];
    open.extend(leads(&browser.get("/more").body));
    while let Some(to) = open.pop() {
        let is_page = !to.contains(['.']) && !to.starts_with("/files");
        if !is_page || seen.contains_key(&shape(&to)) {
            continue;
        }
        let answer = browser.get(&to);
        let title = answer.body.split("<title>").nth(1).unwrap_or_default();
        let title = title.split("</title>").next().unwrap_or_default();
        seen.insert(shape(&to), title.to_owned());
        if answer.status != 200 {
            continue;
        }
        let words = words_of(&answer.body);
        for command in words.split("wearbook ").skip(1) {
            let told: Vec<&str> = command.split(' ').collect();
            let is_told = done.iter().any(|(it, flags)| {
                told.starts_with(it) && flags.iter().all(|flag| told.contains(flag))
            });
            let told = told.join(" ");
            assert!(
                !is_told,
                "{to}: wearbook {}",
                told.chars().take(80).collect::<String>()
            );
        }
        assert!(!words.contains(" --"), "{to} has a flag: {words}");
        open.extend(leads(&answer.body));
    }
    assert!(seen.len() > 60, "{seen:#?}");
    // A form has one title, whatever of it is filled in already; a photo itself has none.
    let pages = seen
        .iter()
        .filter(|(shape, title)| !shape.starts_with("/do/") && !title.is_empty());
    let mut titles: Vec<&String> = pages.map(|it| it.1).collect();
    titles.sort();
    let twice = titles.windows(2).find(|it| it[0] == it[1]);
    assert_eq!(twice, None, "{seen:#?}");
}

#[test]
fn an_item_on_hold_is_resolved_from_its_row_and_nowhere_without_it() {
    let place = &super::cli_demo::demo().place;
    let browser = super::page_support::served(place).signed_in("W01");
    let page = browser.get("/hold").body;
    let rows = page.matches("<tr>").count() - page.matches("<thead>").count();
    let ways: Vec<&str> = page.split("href=\"/do/hold/resolve").skip(1).collect();
    assert!(
        rows > 3 && ways.len() == rows,
        "{rows} rows, {} ways",
        ways.len()
    );
    assert!(
        ways.iter().all(|it| it.starts_with('/')),
        "each has its subject"
    );
}

#[test]
fn no_chart_of_the_demonstration_shows_a_part_of_a_tenth_of_a_millirem() {
    let place = &super::cli_demo::demo().place;
    for line in [
        "crew",
        "crew --year 2025",
        "worker W11",
        "worker W09",
        "reconcile",
        "collective",
    ] {
        let file = format!("{}.svg", line.replace(' ', "-"));
        place.done(&format!("chart {line} --out DIR/{file}"));
        let svg = std::fs::read_to_string(place.path(&file)).expect("a drawing");
        let words: Vec<&str> = svg.split([' ', '<', '>', '(', ',']).collect();
        for pair in words
            .windows(2)
            .filter(|it| it[1].trim_end_matches(['.', ':']) == "mrem")
        {
            let part = pair[0].split_once('.').map_or("", |it| it.1);
            // One more where less would move it onto a level.
            assert!(part.len() <= 2, "{line}: {pair:?}");
        }
    }
}

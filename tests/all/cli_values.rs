//! JSON and CSV for programs: every command's are read by a reader of their own, and the keys are
//! those of the reference, `demo/keys.md`.

use std::collections::BTreeMap;
use std::sync::Mutex;

use wearbook::quantity::DoseUnit;
use wearbook::show::{Value, ValueTable, csv_of, listed, tables_in};

use super::cli_columns::every_question;
use super::cli_demo::demo;

const FILE: &str = "demo/keys.md";

/// What a command's JSON is of, and its tables. Words that are no such JSON have none.
fn read(out: &str) -> Option<(String, Vec<ValueTable>)> {
    let Ok(Value::Map(envelope)) = serde_json::from_str(out) else {
        return None;
    };
    let get = |key: &str| envelope.iter().find(|it| it.0 == key).map(|it| &it.1);
    match (get("what"), get("data")) {
        (Some(Value::Cell(what)), Some(data)) => Some((what.clone(), tables_in(data))),
        _ => None,
    }
}

/// The tables of a section of the reference, each with its keys.
type Section = Vec<(String, Vec<String>)>;

fn section(reference: &str, what: &str) -> Section {
    let all = listed(reference, what).into_iter();
    all.map(|it| {
        (
            it.0.to_owned(),
            it.1.into_iter().map(str::to_owned).collect(),
        )
    })
    .collect()
}

/// A key without the star of those that the demonstration does not give.
fn plain(key: &str) -> &str {
    key.strip_suffix('*').unwrap_or(key)
}

fn is_blessed() -> bool {
    std::env::var_os("WEARBOOK_BLESS").is_some()
}

/// What the reference lacks of the keys of a command's JSON; with `WEARBOOK_BLESS` it is written
/// there, with the star.
fn lacking(out: &str) -> Vec<String> {
    static ONE: Mutex<()> = Mutex::new(());
    let Some((what, found)) = read(out) else {
        return Vec::new();
    };
    let _one = ONE.lock();
    let reference = std::fs::read_to_string(FILE).unwrap_or_default();
    let mut all = section(&reference, &what);
    let mut missing = Vec::new();
    for table in found.into_iter().filter(|it| !it.keys.is_empty()) {
        let at = all.iter().position(|it| it.0 == table.name);
        let at = at.unwrap_or_else(|| {
            all.push((table.name.clone(), Vec::new()));
            all.len() - 1
        });
        for (nth, key) in table.keys.iter().enumerate() {
            let keys = &mut all[at].1;
            if keys.iter().any(|it| plain(it) == key) {
                continue;
            }
            missing.push(format!("{what}: {}: {key}", table.name));
            let before = nth.checked_sub(1).map(|it| &table.keys[it]);
            let place = before.and_then(|it| keys.iter().position(|key| plain(key) == it));
            keys.insert(place.map_or(0, |it| it + 1), format!("{key}*"));
        }
    }
    if !missing.is_empty() && is_blessed() {
        write(&reference, &what, &all);
        missing.clear();
    }
    missing
}

/// Whatever a test asks for as JSON has the keys of the reference. Reading a long answer costs
/// more than making it, so that of each command the first answers are read and no more.
pub fn hold_to_reference(line: &str, out: &str) {
    const READ: u32 = 12;
    static SEEN: Mutex<BTreeMap<String, u32>> = Mutex::new(BTreeMap::new());
    if !line.contains("--json") {
        return;
    }
    let command = line
        .split_whitespace()
        .take(2)
        .collect::<Vec<_>>()
        .join(" ");
    let seen = SEEN.lock().map_or(0, |mut seen| {
        let count = seen.entry(command).or_default();
        *count += 1;
        *count
    });
    if seen <= READ {
        let lacking = lacking(out);
        assert!(lacking.is_empty(), "{FILE} lacks: {}", lacking.join("\n"));
    }
}

fn write(reference: &str, what: &str, all: &[(String, Vec<String>)]) {
    let mut sections = reference.split("\n## ");
    let head = sections.next().unwrap_or_default();
    let mut by_name: BTreeMap<String, String> = sections
        .map(|it| {
            let (name, rest) = it.split_once('\n').unwrap_or((it, ""));
            (name.to_owned(), rest.trim().to_owned())
        })
        .collect();
    let lines = all.iter().map(|(name, keys)| {
        let mut text = String::new();
        let mut line = format!("- {name}:");
        for (at, key) in keys.iter().enumerate() {
            let comma = if at + 1 < keys.len() { "," } else { "" };
            if line.len() + key.len() + 2 > 100 {
                text.push_str(&format!("{line}\n"));
                " ".clone_into(&mut line);
            }
            line.push_str(&format!(" {key}{comma}"));
        }
        text + &line
    });
    by_name.insert(what.to_owned(), lines.collect::<Vec<_>>().join("\n"));
    let mut text = head.trim_end().to_owned() + "\n";
    for (name, lines) in by_name {
        text.push_str(&format!("\n## {name}\n\n{lines}\n"));
    }
    std::fs::write(FILE, text).expect("the reference can be written");
}

/// Each command's JSON is read, each of its tables as CSV with a strict reader, and what the
/// reference lists is what they give.
#[test]
fn every_command_gives_the_tables_of_the_reference() {
    let place = &demo().place;
    let mut wrong = Vec::new();
    let mut given: BTreeMap<String, BTreeMap<String, Vec<String>>> = BTreeMap::new();
    let mut asked: BTreeMap<String, u32> = BTreeMap::new();
    every_question(place, |line| {
        // Of one command for other people and days a few answers have every key.
        let command = line
            .split_whitespace()
            .take(2)
            .collect::<Vec<_>>()
            .join(" ");
        let count = asked.entry(command).or_default();
        *count += 1;
        if *count > 4 {
            return;
        }
        let said = place.quiet(&format!("{line} --json"));
        wrong.extend(lacking(&said.out));
        let Some((what, tables)) = read(&said.out) else {
            wrong.push(format!("{line}: no JSON"));
            return;
        };
        let is_new = !given.contains_key(&what);
        let of = given.entry(what.clone()).or_default();
        for table in tables {
            of.entry(table.name).or_default().extend(table.keys);
        }
        // The main table as the command prints it; the others are written from the same answer.
        if is_new {
            wrong.extend(unfit(line, &place.quiet(&format!("{line} --csv")).out));
        }
        let answer: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
        let reference = std::fs::read_to_string(FILE).expect("the reference");
        for (name, _) in listed(&reference, &what) {
            let csv = csv_of(&what, &answer["data"], Some(name), DoseUnit::Millirem);
            match csv {
                Ok(csv) => wrong.extend(unfit(&format!("{line}: {name}"), &csv)),
                Err(why) => wrong.push(format!("{line}: {name}: {why:?}")),
            }
        }
    });
    for (what, tables) in &given {
        let reference = std::fs::read_to_string(FILE).expect("the reference");
        let mut all = section(&reference, what);
        let mut changed = Vec::new();
        for (name, keys) in &mut all {
            for key in keys {
                let own = plain(key).to_owned();
                let is_given = tables.get(name).is_some_and(|it| it.contains(&own));
                if is_given == key.ends_with('*') {
                    changed.push(format!("{what}: {name}: `{key}`, given: {is_given}"));
                    *key = if is_given { own } else { own + "*" };
                }
            }
        }
        if !changed.is_empty() && is_blessed() {
            write(&reference, what, &all);
            changed.clear();
        }
        wrong.extend(changed);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is wrong with a CSV: rows of other widths, empty or equal headings, words under a unit.
fn unfit(line: &str, csv: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut reader = csv::ReaderBuilder::new()
        .flexible(false)
        .from_reader(csv.as_bytes());
    let headings: Vec<String> = match reader.headers() {
        Ok(it) => it.iter().map(str::to_owned).collect(),
        Err(error) => return vec![format!("{line}: {error}")],
    };
    for (at, heading) in headings.iter().enumerate() {
        if heading.is_empty() || headings[..at].contains(heading) {
            wrong.push(format!("{line}: heading `{heading}`"));
        }
    }
    for row in reader.records() {
        match row {
            Ok(row) => wrong.extend(row.iter().zip(&headings).filter_map(|(cell, heading)| {
                // Under a heading with a unit stands a bare number.
                let is_bare = cell.is_empty() || cell.parse::<f64>().is_ok();
                (heading.ends_with(')') && !is_bare).then(|| format!("{line}: {heading}: `{cell}`"))
            })),
            Err(error) => wrong.push(format!("{line}: {error}")),
        }
    }
    wrong.dedup();
    wrong
}

#[test]
fn a_table_that_is_none_is_refused_with_the_names_of_those_that_are() {
    let said = demo().place.quiet("board --csv --table nobody");
    assert_eq!(said.code, 2, "{}", said.err);
    assert!(
        said.err.contains("people, people.reasons, sets"),
        "{}",
        said.err
    );
    assert!(said.out.is_empty());
}

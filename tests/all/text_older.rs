//! Ledgers of an older program, which took every text: whatever a text in them holds, no output
//! of any command has a character that nobody can see, and no cell that a spreadsheet would run.

use std::path::Path;
use std::sync::OnceLock;

use serde_json::Value;
use sha2::{Digest, Sha256};

use super::cli_demo::demo;
use super::cli_support::{Place, Said};
use wearbook::text::{id_of_file_name, shown, shown_as_text};

/// A bell, an escape of a terminal, what turns the writing, what nobody sees, a line separator,
/// a C1 control.
const NASTY: &str = "\u{202e}\u{7}\u{1b}[31m\u{200b}\u{2028}\u{85}\u{feff}";

/// The same in an id, where a blank would part it.
const NASTY_ID: &str = "\u{202e}\u{200b}";

/// The moment at which the demonstration is looked at.
const NOW: &str = "2026-06-05T15:00:00Z";

/// The hash of an entry in form 1, from the description in `tests/reference/entry_hash_v1.py`.
fn hash(entry: &Value, previous: &[u8]) -> Vec<u8> {
    let mut bytes = b"wearbook entry v1\0".to_vec();
    bytes.extend(previous);
    let number = |bytes: &mut Vec<u8>, value: &Value| {
        bytes.extend(value.as_i64().unwrap().to_le_bytes());
    };
    let text = |bytes: &mut Vec<u8>, value: &Value| {
        let text = value.as_str().unwrap();
        bytes.extend((text.len() as u64).to_le_bytes());
        bytes.extend(text.as_bytes());
    };
    number(&mut bytes, &entry["seq"]);
    number(&mut bytes, &entry["record"]);
    text(&mut bytes, &entry["kind"]);
    number(&mut bytes, &entry["version"]);
    for field in ["written_at", "written_by", "os_user"] {
        text(&mut bytes, &entry[field]);
    }
    let optional = |bytes: &mut Vec<u8>, value: &Value, form: &dyn Fn(&mut Vec<u8>, &Value)| {
        bytes.push(u8::from(!value.is_null()));
        if !value.is_null() {
            form(bytes, value);
        }
    };
    optional(&mut bytes, &entry["ends"], &number);
    optional(&mut bytes, &entry["reason"], &text);
    bytes.push(u8::from(entry["transcribed"].as_bool().unwrap()));
    optional(&mut bytes, &entry["body"], &text);
    Sha256::digest(bytes).to_vec()
}

/// An export with its texts changed as an older program would have written them.
fn rewritten(export: &str, change: &dyn Fn(&str, &str, &mut String)) -> String {
    let (mut previous, mut out) = (vec![0; 32], String::new());
    for line in export.lines() {
        let mut entry: Value = serde_json::from_str(line).unwrap();
        // The last line is the seal of what was exported: as it is now.
        if let Some(seal) = entry.get_mut("seal") {
            let digits: String = previous.iter().map(|it| format!("{it:02x}")).collect();
            seal["head"] = digits.into();
            out.push_str(&format!("{entry}\n"));
            continue;
        }
        let kind = entry["kind"].as_str().unwrap().to_owned();
        if let Some(body) = entry["body"].as_str() {
            let mut body: Value = serde_json::from_str(body).unwrap();
            walk(&mut body, "", &|name, text| change(&kind, name, text));
            entry["body"] = body.to_string().into();
        }
        for field in ["written_by", "os_user", "reason"] {
            if let Value::String(text) = &mut entry[field] {
                change("head", field, text);
            }
        }
        previous = hash(&entry, &previous);
        let digits: String = previous.iter().map(|it| format!("{it:02x}")).collect();
        entry["hash"] = digits.into();
        out.push_str(&format!("{entry}\n"));
    }
    out
}

fn walk(value: &mut Value, name: &str, change: &dyn Fn(&str, &mut String)) {
    match value {
        Value::String(text) => change(name, text),
        Value::Array(list) => list.iter_mut().for_each(|it| walk(it, name, change)),
        Value::Object(map) => map.iter_mut().for_each(|(key, it)| walk(it, key, change)),
        _ => {}
    }
}

/// Texts that people type freely, and ids.
fn nasty(kind: &str, field: &str, text: &mut String) {
    const FREE: [&str; 26] = [
        "about",
        "action",
        "answer",
        "basis",
        "because",
        "by",
        "certificate",
        "done",
        "employer",
        "first_rso",
        "jurisdiction",
        "licence",
        "licensee",
        "maker",
        "model",
        "note",
        "os_user",
        "place",
        "reason",
        "report",
        "serial",
        "signer",
        "site",
        "what",
        "words",
        "written_by",
    ];
    let is_id = field == "id" || (field, kind) == ("name", "event");
    if is_id {
        text.push_str(NASTY_ID);
    } else if (kind, field) == ("worker", "name") {
        *text = format!("=1+{text}{NASTY}");
    } else if FREE.contains(&field) {
        text.push_str(NASTY);
    }
}

/// The demonstration as an older program would have written it.
fn older() -> &'static Place {
    static MADE: OnceLock<Place> = OnceLock::new();
    MADE.get_or_init(|| {
        let mut place = Place::empty("older");
        let from = demo();
        let export = place.path("export");
        from.place
            .done(&format!("ledger export {}", export.display()));
        remade(&place, &export, "older.db", &nasty);
        place.turn_to("older.db", NOW);
        place
    })
}

fn remade(place: &Place, export: &Path, to: &str, change: &dyn Fn(&str, &str, &mut String)) {
    let entries = std::fs::read_to_string(export.join("entries.jsonl")).unwrap();
    let file = place.file("older.jsonl", rewritten(&entries, change));
    let mut at = Place::empty(&format!("{to}-restored"));
    at.dir.clone_from(&place.dir);
    at.turn_to(Box::leak(to.to_owned().into_boxed_str()), NOW);
    at.done(&format!("ledger restore {file}"));
}

/// Nothing in a text but what can be seen, line ends and tabs.
fn visible(what: &str, text: &str) {
    if let Some(line) = text.lines().find(|line| shown(line) != *line) {
        panic!("{what} prints {line:?}");
    }
}

fn checked_at(line: &str, said: &Said) {
    visible(line, &said.out);
    visible(line, &said.err);
}

/// Every cell of CSV stands as it is in a spreadsheet.
fn inert(line: &str, text: &str) {
    for cell in cells(text) {
        assert_eq!(shown_as_text(&cell), cell, "{line}");
    }
}

fn cells(text: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let rows = reader.records().map(Result::unwrap);
    rows.flat_map(|row| row.iter().map(str::to_owned).collect::<Vec<_>>())
        // What has an apostrophe is looked at without it.
        .filter(|cell| !cell.starts_with('\''))
        .collect()
}

/// Commands with `--json` and `--csv`; `ID` is the end of every id.
const SHOWN: &str = "worker list
job list
instrument list
equipment list
badge list
determination list
findings --on 2026-06-05
hold list
board --on 2026-06-05
work-status --on 2026-06-05
dose crew --year 2026
dose show W07ID --year 2026 --why
dose reconcile --year 2026
dose forecast W07ID --on 2026-06-05
dose lists --year 2026
dose statement W07ID --year 2025
instrument due
equipment due
instrument show PD-07ID
equipment show DEVICE
inspect list
wear list
event list
event show EVENT
trace EVENT
trace ranking
report show EVENT
report list
review 2026-04
review 2026
pack JOB
entry show 5
entry history 5
rules list
checklist list
";

/// Commands of other forms.
const OTHER: &str = "entry show 1
ledger verify
ledger seal
form inspect DEVICE
worker add --id w07ID --name x --role assistant --category exposed --monitored-from 2026-01-01
worker add --id \"W09NEW\" --name \"a\u{202e}b\" --category exposed
dose show W0\u{202e}
dose show W07 --year 2026
entry correct 5 \"note=\u{202e}x\" --reason \"because\u{7}\"
entry void 5 --reason why
sheet import no-\u{202e}-such.csv
badge resolve 0417 --of-record \u{202e}result --reason x --performed-by W01ID
--\u{202e}
";

/// The id of the first thing of a list that begins so.
fn first_id(place: &Place, list: &str, start: &str) -> String {
    let said = place.done(&format!("{list} --csv")).out;
    let cells = cells(&said);
    let found = cells.iter().find(|it| it.starts_with(start));
    let found = found.unwrap_or_else(|| panic!("{list} has no {start}: {said}"));
    let plain = found.split('\\').next().unwrap();
    format!("{plain}{NASTY_ID}")
}

fn commands(place: &Place, list: &str) -> Vec<String> {
    let job = first_id(place, "job list", "J");
    let device = first_id(place, "equipment list", "ED-");
    let event = first_id(place, "event list", "E");
    let filled = list
        .replace("DEVICE", &device)
        .replace("EVENT", &event)
        .replace("JOB", &job)
        .replace("ID", NASTY_ID);
    filled.lines().map(str::to_owned).collect()
}

#[test]
fn no_table_prints_what_nobody_can_see() {
    let place = older();
    for line in commands(place, SHOWN) {
        let said = place.done(&line);
        checked_at(&line, &said);
        let said = place.done(&format!("{line} --csv"));
        checked_at(&line, &said);
        inert(&line, &said.out);
    }
}

#[test]
fn no_json_prints_what_nobody_can_see_and_it_means_what_is_stored() {
    let place = older();
    let mut nasty = 0;
    for line in commands(place, SHOWN) {
        let said = place.done(&format!("{line} --json"));
        checked_at(&line, &said);
        let value: Value = serde_json::from_str(&said.out).unwrap();
        nasty += usize::from(value.to_string().contains(NASTY_ID));
    }
    assert!(
        nasty > 20,
        "{nasty} answers hold the ids as they are stored"
    );
}

#[test]
fn no_refusal_and_no_prompt_prints_what_nobody_can_see() {
    let place = older();
    for line in commands(place, OTHER) {
        checked_at(&line, &place.quiet(&line));
    }
    // What is typed stands on the screen already.
    let typed = "\nday\nyes\n\n\n\n\n\n\n\n\n\n\n\n\n\n";
    for line in ["sheet enter", "inspect enter"] {
        checked_at(line, &place.said_at_terminal(line, typed));
    }
}

#[test]
fn no_file_that_is_written_holds_what_nobody_can_see() {
    let place = older();
    let lines = "review 2026-04 --out DIR/out-review
review 2026 --out DIR/out-review
pack JOB --out DIR/out-pack
report draft EVENT --out DIR/out-notice
dose statement --all --year 2025 --out DIR/out-statements
chart worker W07ID --year 2026 --out DIR/a.svg
chart crew --year 2026 --out DIR/b.svg
chart reconcile --year 2026 --out DIR/c.svg
chart due --out DIR/d.svg
chart collective --year 2026 --out DIR/e.svg
chart trace EVENT --out DIR/f.svg
chart ranking --out DIR/g.svg
trace EVENT --out DIR/h.html
";
    for line in commands(place, lines) {
        checked_at(&line, &place.quiet(&line));
    }
    let mut seen = Vec::new();
    let folders = ["", "out-review", "out-pack", "out-notice", "out-statements"];
    for folder in folders {
        for entry in std::fs::read_dir(place.path(folder)).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            visible("a folder", &name);
            let is_own = name.contains(".db") || name.ends_with(".jsonl");
            if !is_own && path.is_file() {
                let text = std::fs::read_to_string(&path).unwrap();
                visible(&name, &text);
                if name.ends_with(".csv") {
                    inert(&name, &text);
                }
                seen.push(name);
            }
        }
    }
    for ending in [".html", ".md", ".svg", ".csv", ".json", ".txt"] {
        assert!(
            seen.iter().any(|it| it.ends_with(ending)),
            "{ending}: {seen:?}"
        );
    }
    assert!(seen.len() > 25, "{seen:?}");
}

#[test]
fn ids_that_only_an_older_program_let_in_have_files_of_their_own() {
    let mut place = Place::empty("older-ids");
    let export = place.path("export");
    demo()
        .place
        .done(&format!("ledger export {}", export.display()));
    let long = "L".repeat(70);
    let change = |kind: &str, field: &str, text: &mut String| {
        let id = match (kind, field, text.as_str()) {
            ("worker", "id", "W02") => "w01".to_owned(),
            ("worker", "id", "W03") => "../W03".to_owned(),
            ("worker", "id", "W04") => "CON".to_owned(),
            ("worker", "id", "W05") => "con".to_owned(),
            ("worker", "id", "W06") => long.clone(),
            _ => return,
        };
        *text = id;
    };
    remade(&place, &export, "older.db", &change);
    place.turn_to("older.db", NOW);
    place.done("dose statement --all --year 2025 --out DIR/all");
    let names = std::fs::read_dir(place.path("all")).unwrap();
    let names: Vec<String> = names
        .map(|it| it.unwrap().file_name().into_string().unwrap())
        .filter(|it| it.ends_with(".html"))
        .collect();
    assert_eq!(names.len(), 14, "{names:?}");
    let mut folded: Vec<String> = names.iter().map(|it| it.to_lowercase()).collect();
    folded.sort();
    folded.dedup();
    assert_eq!(folded.len(), 14, "{names:?}");
    let ids: Vec<String> = names
        .iter()
        .map(|it| id_of_file_name(it.strip_suffix("-2025.html").unwrap()).unwrap())
        .collect();
    for id in ["W01", "w01", "../W03", "CON", "con", long.as_str()] {
        assert!(ids.iter().any(|it| it == id), "{id}: {ids:?}");
    }
}

#[test]
fn what_an_older_ledger_holds_can_be_corrected_and_put_right() {
    let place = older();
    let list = place.done("worker list --csv").out;
    let row = list.lines().find(|it| it.starts_with("W08")).unwrap();
    let entry = row.rsplit(',').next().unwrap();
    let amend = |change: &str| {
        place.quiet(&format!(
            "entry correct {entry} {change} --reason \"typed wrong\" --dry-run"
        ))
    };
    // What is not changed does not stand in the way; what is changed is held to the rule.
    let said = amend("birth_date=1980-01-02");
    assert_eq!(said.code, 0, "{}", said.err);
    let said = amend("\"name=b\u{202e}c\"");
    assert!(said.err.contains("has U+202E"), "{}", said.err);
    let said = amend("\"name=Plain Name\"");
    assert_eq!(said.code, 0, "{}", said.err);
}

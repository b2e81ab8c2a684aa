//! Which room uses which, and what only one place may do.

use super::code::*;
use super::{MAY_PANIC, ROOMS};

/// The room of a file: the folder under src/.
fn room(path: &str) -> Option<&str> {
    path.strip_prefix("src/")?
        .split_once('/')
        .map(|(room, _)| room)
}

/// The rooms that an item of code names, by `crate::room` and `crate::{room, ...}`.
fn rooms_named(code: &str) -> Vec<(usize, String)> {
    let mut named = Vec::new();
    for at in places(code, "crate::") {
        let rest = &code[at + "crate::".len()..];
        let word = |text: &str| -> String {
            text.bytes()
                .take_while(|it| is_word(*it))
                .map(char::from)
                .collect()
        };
        if let Some(list) = rest.strip_prefix('{') {
            let mut depth = 0;
            for part in list.split_inclusive(['{', '}', ',']) {
                if depth == 0 {
                    named.push((at, word(part.trim_start())));
                }
                depth += i32::from(part.ends_with('{')) - i32::from(part.ends_with('}'));
                if depth < 0 {
                    break;
                }
            }
        } else {
            named.push((at, word(rest)));
        }
    }
    named.retain(|(_, name)| !name.is_empty());
    named
}

/// Arrows that point where they must not, in the code of one file.
fn wrong_arrows(path: &str, code: &str) -> Vec<String> {
    let Some(from) = room(path) else {
        return Vec::new();
    };
    let Some((_, allowed)) = ROOMS.iter().find(|(name, _)| *name == from) else {
        return vec![format!("{path}: `{from}` is not in the list of rooms")];
    };
    let mut problems = Vec::new();
    for (at, to) in rooms_named(code) {
        let is_room = ROOMS.iter().any(|(name, _)| *name == to);
        if is_room && to != from && allowed.split(' ').all(|it| it != to) {
            problems.push(format!(
                "{path}:{}: `{from}` uses `{to}`",
                line_of(code, at)
            ));
        }
    }
    // Nobody leaves a room by its back door.
    let depth = path.matches('/').count() - usize::from(path.ends_with("/mod.rs"));
    let out = "super::".repeat(depth);
    if !out.is_empty() && code.contains(&out) {
        problems.push(format!("{path}: `{out}` leaves the room; write `crate::`"));
    }
    problems
}

#[test]
fn arrows_point_down_only() {
    let mut problems = Vec::new();
    for source in program() {
        problems.extend(wrong_arrows(&source.path, &source.shipped));
    }
    for (at, (room, allowed)) in ROOMS.iter().enumerate() {
        let below = |it: &str| ROOMS[..at].iter().any(|(name, _)| *name == it);
        if !allowed.split_whitespace().all(below) {
            problems.push(format!("the list lets `{room}` use a room above it"));
        }
    }
    none_of(&problems);
}

/// The rooms of the page, from the lowest up.
const OF_THE_PAGE: [&str; 4] = ["shell", "office", "crew", "server"];

#[test]
fn the_rooms_of_the_page_point_down_too() {
    let mut problems = Vec::new();
    for source in program() {
        let Some(path) = source.path.strip_prefix("src/page/") else {
            continue;
        };
        let Some((room, _)) = path.split_once('/') else {
            continue;
        };
        let place = |room: &str| OF_THE_PAGE.iter().position(|it| *it == room);
        let from = place(room).expect("a room of the page");
        for at in places(&source.shipped, "page::") {
            let rest = &source.shipped[at + "page::".len()..];
            let to = rest.split(|it: char| !it.is_alphanumeric()).next();
            if to.and_then(place).is_some_and(|to| to > from) {
                problems.push(format!(
                    "{path}: `{room}` uses `{}`",
                    to.unwrap_or_default()
                ));
            }
        }
    }
    none_of(&problems);
}

#[test]
fn an_arrow_upwards_is_seen() {
    for (path, code, count) in [
        ("src/dose/level.rs", "use crate::ledger::Snapshot;", 1),
        (
            "src/dose/level.rs",
            "use crate::{rule::Rule set, ledger::{A, show}, cli};",
            2,
        ),
        (
            "src/dose/level.rs",
            "use crate::{\n    quantity::{Dose, Share},\n    rule,\n};",
            0,
        ),
        ("src/dose/level.rs", "fn a(b: crate::answer::House) {}", 1),
        ("src/dose/level.rs", "use super::super::ledger::A;", 1),
        ("src/dose/checks/crew.rs", "use super::super::level::A;", 0),
        ("src/dose/mod.rs", "use super::ledger;", 1),
        ("src/dose/level.rs", "use super::account::Account;", 0),
        ("src/attic/chest.rs", "", 1),
    ] {
        assert_eq!(wrong_arrows(path, code).len(), count, "{path}: {code}");
    }
}

/// Words in shipped code outside the files where they belong.
fn outside(words: &[&str], belongs: impl Fn(&str) -> bool) -> Vec<String> {
    let mut problems = Vec::new();
    for source in program().filter(|it| !belongs(&it.path)) {
        for word in words {
            for at in places(&source.shipped, word) {
                let line = line_of(&source.shipped, at);
                problems.push(format!("{}:{line}: `{word}`", source.path));
            }
        }
    }
    problems
}

#[test]
fn there_is_one_printer() {
    let words = [
        "println!",
        "eprintln!",
        "print!",
        "eprint!",
        "dbg!",
        "stdout",
        "stderr",
    ];
    // main hands the streams over; the output alone writes to them.
    none_of(&outside(&words, |path| {
        ["src/main.rs", "src/cli/frame/output.rs"].contains(&path)
    }));
}

/// Whatever is written appears whole, and nothing that is somebody else's is written over.
#[test]
fn only_one_room_writes_files() {
    const OTHERS: &[&str] = &[
        // Keys and drafts that only their owner may read.
        "src/page/server/tls.rs",
        "src/cli/sheet/draft.rs",
        // In a folder that is being built.
        "src/ledger/export.rs",
        "src/ledger/evidence.rs",
        // Whether the folder lets a write end.
        "src/ledger/place.rs",
    ];
    let words = ["fs::write", "File::create", "fs::rename", "OpenOptions"];
    none_of(&outside(&words, |path| {
        room(path) == Some("file") || OTHERS.contains(&path)
    }));
}

#[test]
fn only_main_has_a_clock() {
    let words = ["Utc::now", "Local::now", "Instant::now", "SystemTime"];
    // A copy in slices has a stopwatch: no answer and no entry sees it.
    none_of(&outside(&words, |path| {
        ["src/main.rs", "src/ledger/slices.rs"].contains(&path)
    }));
}

#[test]
fn only_the_ledger_speaks_sql() {
    let mut problems = outside(&["rusqlite"], |path| room(path) == Some("ledger"));
    let marks = [
        "SELECT ",
        "INSERT INTO",
        "INSERT OR",
        "UPDATE ",
        "DELETE FROM",
        "CREATE TABLE",
        "CREATE INDEX",
        "CREATE TRIGGER",
        "DROP TABLE",
        "PRAGMA ",
        "BEGIN IMMEDIATE",
    ];
    for source in program().filter(|it| room(&it.path) != Some("ledger")) {
        for (line, string) in &source.strings {
            if marks.iter().any(|mark| string.contains(mark)) {
                problems.push(format!("{}:{line}: {string}", source.path));
            }
        }
    }
    none_of(&problems);
}

/// Whether a statement, blanks made one, says these words and then no longer name.
fn says(statement: &str, words: &str) -> bool {
    let plain = statement
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase();
    places(&plain, words).any(|at| {
        plain
            .as_bytes()
            .get(at + words.len())
            .is_none_or(|byte| !is_word(*byte))
    })
}

#[test]
fn an_entry_is_only_ever_added_and_in_one_place() {
    let mut problems = Vec::new();
    let mut adds = 0;
    for source in program() {
        for (line, string) in &source.strings {
            let place = format!("{}:{line}", source.path);
            for words in [
                "update entry",
                "update or replace entry",
                "delete from entry",
                "replace into entry",
                "insert or replace into entry",
                "drop table entry",
                "alter table entry",
                "drop trigger",
            ] {
                if says(string, words) {
                    problems.push(format!("{place}: {words}"));
                }
            }
            if says(string, "insert into entry") {
                adds += 1;
                if source.path != "src/ledger/append.rs" {
                    problems.push(format!("{place}: adds an entry"));
                }
            }
        }
    }
    none_of(&problems);
    assert_eq!(adds, 1, "one statement adds entries");
}

#[test]
fn nothing_that_somebody_types_stops_the_program() {
    let words = [
        ".unwrap()",
        ".expect(",
        "panic!",
        "todo!",
        "unimplemented!",
        "unreachable!",
        ".unwrap_err()",
    ];
    let mut problems = Vec::new();
    for source in program() {
        let found: Vec<usize> = words
            .iter()
            .flat_map(|word| source.shipped.match_indices(word))
            .map(|(at, _)| line_of(&source.shipped, at))
            .collect();
        let exception = MAY_PANIC.iter().find(|(path, ..)| *path == source.path);
        let allowed = exception.map_or(0, |(_, count, _)| *count);
        if found.len() != allowed {
            let path = &source.path;
            problems.push(format!(
                "{path}: lines {found:?}, and {allowed} are excepted"
            ));
        }
    }
    none_of(&problems);
}

/// Tables hold stored words. The words that people read may change, and must not be looked for
/// there; the few of the ledger's own sentences stand in these files.
#[test]
fn the_ledger_keeps_stored_words_and_not_those_that_people_read() {
    let sentences = ["entry.rs", "admit.rs", "error.rs"];
    let may = |path: &str| {
        room(path) != Some("ledger") || sentences.iter().any(|name| path.ends_with(name))
    };
    none_of(&outside(&[".word()", "from_word"], may));
}

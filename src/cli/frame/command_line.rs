//! What holds of the whole command line: purposes, examples, flags, groups, and which commands
//! answer for a day.

use std::collections::BTreeSet;

use clap::Command;

use super::args::{GROUPS, command};

#[test]
fn the_command_line_contradicts_itself_nowhere() {
    command().debug_assert();
}

/// Each command that is no group, with its words and its help.
fn leaves(command: &mut Command, path: &str, found: &mut Vec<(String, String)>) {
    let path = format!("{path} {}", command.get_name()).trim().to_owned();
    if !command.has_subcommands() {
        found.push((path, command.render_long_help().to_string()));
        return;
    }
    // Some nouns answer alone.
    if !command.is_subcommand_required_set() && command.get_about().is_some() {
        found.push((path.clone(), command.render_long_help().to_string()));
    }
    for verb in command.get_subcommands_mut() {
        leaves(verb, &path, found);
    }
}

/// The words of an example: quotation marks hold words together.
fn words(example: &str) -> Vec<&str> {
    let parts = example.trim().split('"').enumerate();
    parts
        .flat_map(|(at, part)| {
            let whole = at % 2 == 1;
            let split = part.split_whitespace().filter(move |_| !whole);
            split.chain(whole.then_some(part))
        })
        .collect()
}

#[test]
fn every_command_has_an_example_of_its_own_that_can_be_typed() {
    let mut found = Vec::new();
    leaves(&mut command().term_width(0), "", &mut found);
    assert!(found.len() > 90, "{} commands", found.len());
    for (path, help) in found {
        let Some((_, rest)) = help.split_once("Example: ") else {
            panic!("`{path}` has no example");
        };
        let example = rest.split("\n\n").next().unwrap_or(rest).trim_end();
        let own = example == path || example.starts_with(&format!("{path} "));
        assert!(own, "`{path}`: {example}");
        let taken = command().try_get_matches_from(words(example));
        assert!(taken.is_ok(), "{example}: {}", taken.unwrap_err());
    }
}

#[test]
fn no_line_of_any_help_is_wider_than_a_terminal() {
    let mut found = Vec::new();
    leaves(&mut command().term_width(80), "", &mut found);
    for (path, help) in found {
        for line in help.lines() {
            assert!(line.chars().count() <= 80, "`{path}`: {line}");
        }
    }
}

/// Every command below this one, with its words, groups among them.
fn every(command: &Command, path: &str, found: &mut Vec<(String, Command)>) {
    let path = format!("{path} {}", command.get_name()).trim().to_owned();
    found.push((path.clone(), command.clone()));
    for verb in command.get_subcommands() {
        every(verb, &path, found);
    }
}

fn all() -> Vec<(String, Command)> {
    let mut found = Vec::new();
    every(&command(), "", &mut found);
    found
}

/// The verbs with which a purpose begins.
const VERBS: &[&str] = &[
    "Accept", "Add", "Answer", "Bring", "Build", "Cancel", "Check", "Compare", "Conclude",
    "Decide", "Correct", "Draft", "Draw", "End", "Erase", "Estimate", "Fill", "Go", "Hand",
    "Issue", "Keep", "List", "Make", "Open", "Plan", "Print", "Put", "Rank", "Record", "Register",
    "Say", "See", "Set", "Resolve", "Show", "Take", "Walk", "Work", "Write",
];

#[test]
fn every_command_says_its_purpose_in_one_line_that_begins_with_a_verb() {
    for (path, command) in all() {
        let about = command.get_about().map(ToString::to_string);
        let about = about.unwrap_or_else(|| panic!("`{path}` has no purpose"));
        let first = about
            .split_whitespace()
            .next()
            .unwrap_or_default()
            .trim_end_matches(',');
        assert!(VERBS.contains(&first), "`{path}`: {about}");
        assert!(
            !about.contains('\n') && !about.ends_with('.'),
            "`{path}`: {about}"
        );
    }
}

#[test]
fn every_flag_is_described() {
    for (path, command) in all() {
        for arg in command.get_arguments() {
            let help = arg.get_help().map(ToString::to_string).unwrap_or_default();
            assert!(help.len() > 2, "`{path}`: {}", arg.get_id());
        }
    }
}

#[test]
fn every_noun_stands_in_one_group_of_the_first_page() {
    let grouped: Vec<&str> = GROUPS.iter().flat_map(|it| it.1).copied().collect();
    let once: BTreeSet<&str> = grouped.iter().copied().collect();
    assert_eq!(once.len(), grouped.len(), "{grouped:?}");
    let command = command();
    let nouns: BTreeSet<&str> = command.get_subcommands().map(Command::get_name).collect();
    assert_eq!(once, nouns);
}

/// Commands that show and answer for no day: what they show is one thing that was written, or a
/// file, or they have days of their own.
const FOR_NO_DAY: &[&str] = &[
    "checklist compare",
    "checklist list",
    "determination notional",
    "dose leaver",
    "dose plan",
    "dose reconstruct",
    "entry history",
    "entry show",
    "evidence list",
    "evidence show",
    "inspect show",
    "ledger verify",
    "private show",
    "review changes",
];

/// Whatever looks at today can be asked for another day, by either name of the flag.
#[test]
fn every_command_that_looks_at_today_takes_another_day() {
    let mut without = Vec::new();
    for (path, command) in all() {
        let has = |name: &str| {
            command
                .get_arguments()
                .any(|it| it.get_long() == Some(name))
        };
        if !has("csv") {
            continue;
        }
        let path = path.strip_prefix("wearbook ").unwrap_or(&path).to_owned();
        let on = command
            .get_arguments()
            .find(|it| it.get_long() == Some("on"));
        let named = on.and_then(clap::Arg::get_visible_aliases);
        match named.is_some_and(|it| it.contains(&"as-of")) {
            true => assert!(!FOR_NO_DAY.contains(&path.as_str()), "`{path}` takes a day"),
            false => without.push(path),
        }
    }
    without.sort();
    assert_eq!(without, FOR_NO_DAY);
}

/// Words of our own that a radiographer would not know; each has one of the trade in its place.
const OLD_WORDS: &[&str] = &[
    "safe side",
    "clearance",
    "ruling",
    "scheme",
    "upkeep",
    "settle",
    "amend",
    "observed performance",
    "fixed installation",
    "belong to nobody",
    "by-worker",
];

#[test]
fn no_help_has_a_word_that_was_given_up() {
    let mut found = Vec::new();
    leaves(&mut command().term_width(80), "", &mut found);
    for (path, help) in found {
        for word in OLD_WORDS {
            assert!(!help.to_lowercase().contains(word), "`{path}`: {word}");
        }
    }
}

/// Words that follow the program's name where a sentence is about the program.
const PROSE: &[&str] = &["has", "is", "last"];

/// Every text of the sources and of what goes with the program, lines that were parted joined.
fn texts(folder: &std::path::Path, found: &mut Vec<(String, String)>) {
    let entries = std::fs::read_dir(folder).expect("a folder");
    for path in entries.map(|it| it.expect("an entry").path()) {
        let ending = path.extension().and_then(|it| it.to_str());
        if path.is_dir() {
            texts(&path, found);
        } else if matches!(ending, Some("rs" | "toml" | "md")) {
            let text = std::fs::read_to_string(&path).expect("a text");
            let lines = text
                .lines()
                .map(|line| line.trim_start().trim_start_matches("///"));
            let joined = lines.fold(String::new(), |all, line| match all.strip_suffix('\\') {
                Some(parted) => format!("{parted}{line}"),
                None => format!("{all}\n{line}"),
            });
            found.push((path.display().to_string(), joined));
        }
    }
}

/// What is wrong with a command as a text names it, if it is one.
fn misnamed(commands: &Command, named: &str) -> Option<String> {
    let ends = |it: char| matches!(it, '"' | '`' | ')' | ';' | '\n' | '|');
    let named = named.split(ends).next().unwrap_or_default();
    let mut words = named.split_whitespace();
    let is_word = |it: &&str| it.bytes().all(|it| it.is_ascii_lowercase() || it == b'-');
    let noun = words
        .next()
        .filter(|it| it.starts_with(|it: char| it.is_ascii_lowercase()))?;
    let noun = noun.trim_end_matches(|it: char| !it.is_ascii_lowercase());
    if PROSE.contains(&noun) {
        return None;
    }
    let Some(mut command) = commands.find_subcommand(noun) else {
        return Some(format!("no `{noun}`"));
    };
    let mut rest = words.peekable();
    if command.is_subcommand_required_set()
        && let Some(verb) = rest.next_if(|it| is_word(it) && !it.starts_with('-'))
    {
        match command.find_subcommand(verb) {
            Some(found) => command = found,
            None => return Some(format!("no `{noun} {verb}`")),
        }
    } else if let Some(found) = rest.peek().and_then(|it| command.find_subcommand(it)) {
        command = found;
    }
    // A verb may have verbs of its own.
    while let Some(found) = rest.peek().and_then(|it| command.find_subcommand(it)) {
        command = found;
        rest.next();
    }
    let has = |flag: &str| {
        let own = command.get_arguments().chain(commands.get_arguments());
        own.into_iter().any(|it| it.get_long() == Some(flag))
    };
    let mut flags = rest.filter_map(|it| it.strip_prefix("--"));
    let flags = flags
        .by_ref()
        .map(|it| it.split(['=', ',', '.']).next().unwrap_or(it));
    let mut unknown = flags.filter(|it| !it.is_empty() && is_word(it) && !has(it));
    unknown.next().map(|it| format!("`{noun}` has no `--{it}`"))
}

#[test]
fn every_command_that_a_text_names_is_there_with_its_flags() {
    let commands = command();
    let mut all = Vec::new();
    for folder in ["src", "demo"] {
        texts(std::path::Path::new(folder), &mut all);
    }
    let readme = std::fs::read_to_string("README.md").expect("the README");
    all.push(("README.md".to_owned(), readme));
    let (mut wrong, mut known) = (BTreeSet::new(), 0);
    for (path, text) in &all {
        for named in text.split("wearbook ").skip(1) {
            known += 1;
            wrong.extend(misnamed(&commands, named).map(|it| format!("{path}: {it}")));
        }
    }
    assert!(known > 300, "{known} commands are named");
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(misnamed(&commands, "notice report E-1").is_some());
    assert!(misnamed(&commands, "report send E-1").is_some());
    assert!(misnamed(&commands, "dose show W07 --looked").is_some());
}

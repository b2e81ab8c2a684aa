//! The two documents, the gate and the top level tell of what there is.

use std::collections::BTreeSet;
use std::fs;

use wearbook::cli::{Scripted, Surroundings, run};
use wearbook::rule::{RuleSet, Status, builtin};

use super::TOP;
use super::code::*;

/// The cells of the rows of a document's tables whose first cell is code.
fn rows(document: &str) -> Vec<Vec<String>> {
    read(document)
        .lines()
        .filter(|line| line.starts_with("| `"))
        .map(|line| {
            line.trim_matches('|')
                .split(" | ")
                .map(|it| it.trim().to_owned())
                .collect()
        })
        .collect()
}

#[test]
fn the_first_line_of_a_file_says_what_it_is_for() {
    let says = |path: &String| {
        let text = read(path);
        let first = text.lines().next().unwrap_or_default();
        first.strip_prefix("//! ").is_some_and(|it| it.len() > 10)
    };
    let silent = files_below("src")
        .into_iter()
        .filter(|it| it.ends_with(".rs"));
    let silent: Vec<String> = silent.filter(|it| !says(it)).collect();
    none_of(&silent);
}

/// Subcommands that `wearbook WORDS --help` lists.
fn verbs(words: &[&str]) -> Vec<String> {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let arguments = ["wearbook"].iter().chain(words).chain(&["--help"]);
    run(
        &arguments.map(Into::into).collect::<Vec<_>>(),
        Surroundings {
            clock: &mut Scripted(wearbook::ledger::Instant::UNIX_EPOCH),
            os_user: "tidy".to_owned(),
            input: &mut std::io::empty(),
            asks: false,
            hidden: None,
            out: &mut out,
            err: &mut err,
            width: 80,
            screen: None,
            if_broken_off: &mut |_| {},
        },
    );
    String::from_utf8_lossy(&out)
        .lines()
        .skip_while(|line| !line.starts_with("Usage:"))
        .take_while(|line| *line != "Options:")
        .filter_map(|line| line.strip_prefix("  "))
        .filter(|line| line.starts_with(|it: char| it.is_ascii_lowercase()))
        .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
        .collect()
}

#[test]
fn the_readme_names_every_command() {
    let told = rows("README.md");
    let nouns = verbs(&[]);
    assert!(nouns.len() > 10, "the help lists {nouns:?}");
    let mut problems = Vec::new();
    for noun in &nouns {
        let Some(row) = told.iter().find(|row| row[0] == format!("`{noun}`")) else {
            problems.push(format!("README.md has no row for `{noun}`"));
            continue;
        };
        let named: BTreeSet<&str> = row[1].split('`').skip(1).step_by(2).collect();
        for verb in verbs(&[noun]) {
            if !named.contains(verb.as_str()) {
                problems.push(format!("README.md does not name `{noun} {verb}`"));
            }
        }
    }
    none_of(&problems);
}

#[test]
fn the_readme_names_every_exit_code() {
    let failure = read("src/cli/frame/failure.rs");
    let (_, body) = failure
        .split_once("fn exit_code")
        .expect("the function of exit codes");
    let body = &body[..item_end(body.as_bytes())];
    let codes: BTreeSet<&str> = body
        .split(|it: char| !it.is_ascii_alphanumeric() && it != '_')
        .filter(|word| word.bytes().all(|it| it.is_ascii_digit()) && !word.is_empty())
        .collect();
    assert!(codes.len() > 4, "exit codes {codes:?}");
    let readme = read("README.md");
    let missing: Vec<_> = codes
        .iter()
        .filter(|code| !readme.contains(&format!("\n| {code} | ")))
        .collect();
    assert!(
        missing.is_empty(),
        "README.md does not say what {missing:?} mean"
    );
}

/// How many of these were read in a published text, as the README says it.
fn read_of(all: &[Status]) -> String {
    let read = all.iter().filter(|it| **it == Status::Read).count();
    format!("{read} of {}", all.len())
}

#[test]
fn the_readme_says_how_much_of_each_rule_set_was_read() {
    let readme = read("README.md");
    for offer in builtin() {
        let rule_set = RuleSet::parse(offer.text).expect("a built-in rule set");
        let levels: Vec<Status> = rule_set.levels.iter().map(|it| it.status).collect();
        let intervals = rule_set.intervals.iter().map(|it| it.status);
        let tolerances = rule_set.tolerances.iter().map(|it| it.status);
        let rules = rule_set.rules.iter().map(|it| it.status);
        let others: Vec<Status> = intervals.chain(tolerances).chain(rules).collect();
        let counts = format!("| {} | {} |", read_of(&levels), read_of(&others));
        let row = readme
            .lines()
            .find(|line| line.starts_with(&format!("| {} | ", offer.name)));
        assert!(
            row.is_some_and(|row| row.ends_with(&counts)),
            "{}: {counts}",
            offer.name
        );
    }
}

/// The lines of the first block of shell commands in a document.
fn first_block(document: &str) -> Vec<String> {
    let text = read(document);
    let (_, rest) = text
        .split_once("```sh\n")
        .expect("a block of shell commands");
    let (block, _) = rest.split_once("```").expect("its end");
    block.lines().map(str::to_owned).collect()
}

#[test]
fn the_readme_and_the_gate_run_the_same_tests() {
    let commands = first_block("README.md");
    assert_eq!(commands, ["cargo run --release -- demo", "cargo test"]);
    let gate = read(".ci/run");
    let told = commands.last().map(String::as_str);
    assert!(gate.lines().any(|line| Some(line) == told), "{gate}");
    // What needs a browser comes last, and is never left out.
    let last = gate.lines().rfind(|line| !line.trim().is_empty());
    assert_eq!(last, Some("cargo test --test browser"));
}

#[test]
fn the_top_level_has_only_what_was_agreed() {
    let listed = std::process::Command::new("git")
        .args(["ls-files", "--cached"])
        .current_dir(root())
        .output();
    let names: BTreeSet<String> = match listed {
        Ok(done) if done.status.success() => String::from_utf8_lossy(&done.stdout)
            .lines()
            .filter_map(|path| path.split('/').next().map(str::to_owned))
            .collect(),
        // An archive without history: what is there, but for what a build leaves.
        _ => fs::read_dir(root())
            .expect("the repository")
            .map(|it| {
                it.expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .filter(|name| name != "target" && name != "wearbook-demo")
            .collect(),
    };
    let extra: Vec<_> = names
        .iter()
        .filter(|name| !TOP.contains(&name.as_str()))
        .collect();
    assert!(extra.is_empty(), "not agreed at the top level: {extra:?}");
}

#[test]
fn no_path_of_a_machine_stands_in_the_project() {
    // Written in two halves, so that this file does not find itself.
    let marks = [
        ("/ho", "me/"),
        ("/ro", "ot/"),
        ("/tm", "p/"),
        ("/Use", "rs/"),
        ("C:", "\\Users"),
    ]
    .map(|(a, b)| [a, b].concat());
    let mut problems = Vec::new();
    let folders = ["src", "tests", "migrations", "demo", ".ci"]
        .map(files_below)
        .concat();
    let top = ["README.md", "DEVELOPERS.md", "Cargo.toml", "LICENSE"].map(str::to_owned);
    for path in folders.iter().chain(&top) {
        let bytes = fs::read(root().join(path)).expect("a file of the repository");
        let Ok(text) = String::from_utf8(bytes) else {
            continue;
        };
        for (at, line) in text.lines().enumerate() {
            if marks.iter().any(|mark| line.contains(mark)) {
                problems.push(format!("{path}:{}: {}", at + 1, line.trim()));
            }
        }
    }
    none_of(&problems);
}

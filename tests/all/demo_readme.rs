//! What the README shows of the demonstration is what the program prints.

use super::cli_demo::demo;

/// The blocks of commands: a command line and the lines under it.
fn blocks(document: &str) -> Vec<(String, Vec<String>)> {
    let mut found: Vec<(String, Vec<String>)> = Vec::new();
    let mut inside = false;
    for line in document.lines() {
        match line {
            "```console" => inside = true,
            "```" => inside = false,
            _ if !inside => {}
            _ => match (line.strip_prefix("$ wearbook "), found.last_mut()) {
                (Some(command), _) => found.push((command.to_owned(), Vec::new())),
                (None, Some((_, shown))) => shown.push(line.to_owned()),
                (None, None) => panic!("`{line}` stands under no command"),
            },
        }
    }
    found
}

/// Whether the printed lines are those that are shown; `...` stands for any.
fn fits(shown: &[String], printed: &[&str]) -> bool {
    match shown.split_first() {
        None => printed.is_empty(),
        Some((line, rest)) if line == "..." => {
            (0..=printed.len()).any(|at| fits(rest, &printed[at..]))
        }
        Some((line, rest)) => match printed.split_first() {
            Some((first, left)) => first.trim_end() == line && fits(rest, left),
            None => false,
        },
    }
}

#[test]
fn the_readme_shows_what_the_demonstration_prints() {
    let all = blocks(&std::fs::read_to_string("README.md").unwrap());
    assert!(all.len() > 1, "{all:?}");
    for (command, shown) in all {
        let asked = command
            .strip_suffix(" --ledger wearbook-demo/demo.db")
            .unwrap_or_else(|| panic!("`{command}` is not of the demonstration's ledger"));
        let printed = demo().place.quiet(asked).out;
        let lines: Vec<&str> = printed.lines().collect();
        assert!(fits(&shown, &lines), "{command}\n{printed}");
    }
}

#[test]
fn a_line_that_is_not_printed_is_seen() {
    let shown = |text: &str| -> Vec<String> { text.lines().map(str::to_owned).collect() };
    assert!(fits(&shown("a\n...\nd"), &["a", "b", "c", "d"]));
    assert!(!fits(&shown("a\n...\nd"), &["a", "b", "c"]));
    assert!(!fits(&shown("a"), &["a", "b"]));
}

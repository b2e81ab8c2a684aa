//! What a server says of itself, and what the page can do and the command line alone.

use crate::cli::frame::args;

#[test]
fn the_help_lists_every_command_in_a_group() {
    let help = args::command().render_help().to_string();
    for command in args::command().get_subcommands() {
        let name = command.get_name();
        assert!(help.contains(&format!("\n  {name} ")), "{name}: {help}");
    }
}

/// Commands that are pages of the crew, or stand on pages as what they draw.
const OWN: &[&str] = &[
    "sheet enter",
    "sheet start",
    "chart",
    "trace",
    "sheet template",
    "inspect template",
    "evidence add",
    "evidence save",
];

fn leaves(command: &clap::Command, words: &str, all: &mut Vec<String>) {
    let mut verbs = command.get_subcommands().peekable();
    if verbs.peek().is_none() || words == "review" {
        all.push(words.to_owned());
    }
    for verb in verbs {
        let name = format!("{words} {}", verb.get_name());
        leaves(verb, name.trim(), all);
    }
}

#[test]
fn the_readme_lists_what_only_the_command_line_can_do() {
    let readme = std::fs::read_to_string("README.md").expect("the README");
    let table = readme.split("| only at the command line |").nth(1);
    let rows = table.expect("its table").lines().skip(2);
    let rows = rows.take_while(|it| it.starts_with('|'));
    let cells = rows.filter_map(|it| it.split('|').nth(1));
    let mut told: Vec<String> = cells
        .flat_map(|it| it.split('`').skip(1).step_by(2))
        .map(str::to_owned)
        .collect();
    let mut found = Vec::new();
    leaves(&args::command(), "", &mut found);
    let pages: Vec<String> = crate::page::commands()
        .into_iter()
        .map(|(words, _)| {
            let plain = words.iter().filter(|it| !it.starts_with('-'));
            plain.copied().collect::<Vec<_>>().join(" ")
        })
        .collect();
    let own = |it: &String| {
        OWN.iter()
            .any(|own| it.split(' ').next() == Some(own) || it == own)
    };
    found.retain(|it| !pages.contains(it) && !own(it));
    told.sort();
    found.sort();
    assert_eq!(told, found);
}

/// A command that is renamed must not leave a page behind that is none.
#[test]
fn every_page_and_every_form_is_a_command_with_its_flags() {
    let all = crate::page::commands();
    assert!(all.len() > 60, "{} commands", all.len());
    for (words, flags) in all {
        let mut command = args::command();
        for word in words.iter().filter(|it| !it.starts_with('-')) {
            let found = command.find_subcommand(word);
            command = found.unwrap_or_else(|| panic!("{words:?}")).clone();
        }
        let given = words.iter().filter_map(|it| it.strip_prefix("--"));
        let flags = flags.iter().map(|it| it.trim_start_matches("--"));
        for flag in flags.chain(given) {
            let flag = flag.split('=').next().unwrap_or_default();
            let known = command
                .get_arguments()
                .any(|it| it.get_long() == Some(flag));
            assert!(known, "{words:?} has no --{flag}");
        }
    }
}

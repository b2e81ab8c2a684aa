//! `wearbook help`, `man` and `completions`: what the command line says of itself, all from the
//! one table of commands in `args`.

use std::path::Path;

use clap::Command;
use clap_complete::Shell;

use super::args;
use super::failure::Failure;
use super::folder::no_file_name;
use super::session::Session;
use crate::file::{Over, has_mark, write_whole};
use crate::show::Report;

/// Columns of the reference, whatever the terminal.
const WIDTH: usize = 80;

/// Prints the help of one command, or of all.
pub(crate) fn help(session: &mut Session<'_>, words: &[String], all: bool) -> Result<(), Failure> {
    let mut command = args::command().term_width(WIDTH);
    if all {
        let mut text = String::new();
        command = command.mut_subcommands(without_shared);
        reference(&mut command, &mut text);
        return session.output.raw(&text);
    }
    let mut found = &mut command;
    for word in words {
        let known = found.get_name().to_owned();
        found = found
            .find_subcommand_mut(word)
            .ok_or_else(|| Failure::Refused {
                what: format!("`{known}` has no command `{word}`"),
                hint: "wearbook help --all lists every command".to_owned(),
            })?;
    }
    let text = found.render_long_help().to_string();
    session.output.raw(&format!("{}\n", text.trim_end()))
}

/// A command and those below it without the flags that every command has: the first page of the
/// reference tells of them.
fn without_shared(command: Command) -> Command {
    let command = command.mut_subcommands(without_shared);
    command.mut_args(|arg| {
        let shared = ["ledger", "wait", "help"]
            .iter()
            .any(|it| arg.get_id() == *it);
        if shared { arg.hide(true) } else { arg }
    })
}

/// The help of a command and of those below it, one after the other.
fn reference(command: &mut Command, text: &mut String) {
    let name = command.get_bin_name().unwrap_or(command.get_name());
    let name = name.to_owned();
    let help = command.render_long_help().to_string();
    text.push_str(&format!("# {name}\n\n"));
    for line in help.trim_end().lines().map(str::trim_end) {
        text.push_str(&format!("{line}\n"));
    }
    text.push('\n');
    for below in command.get_subcommands_mut() {
        reference(below, text);
    }
}

/// Prints the completion script of a shell.
pub(crate) fn completions(session: &mut Session<'_>, shell: Shell) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut args::command(), "wearbook", &mut script);
    session.output.raw(&String::from_utf8_lossy(&script))
}

/// Prints the manual page, or writes a page a command into a folder.
pub(crate) fn man(session: &mut Session<'_>, out: Option<&Path>) -> Result<(), Failure> {
    let mut pages = Vec::new();
    collect(&args::command(), "", out.is_some(), &mut pages)?;
    let Some(dir) = out else {
        let first = pages.first().map(|it| it.1.as_slice()).unwrap_or_default();
        return session.output.raw(&String::from_utf8_lossy(first));
    };
    no_file_name(dir)?;
    let fault = |source| Failure::File {
        file: dir.display().to_string(),
        source,
    };
    std::fs::create_dir_all(dir).map_err(fault)?;
    for (name, page) in &pages {
        let to = dir.join(format!("{name}.1"));
        write_whole(&to, page, Over::Own(is_manual))?;
    }
    let mut report = Report::new(format!(
        "{} manual pages are in {}",
        pages.len(),
        dir.display()
    ));
    report.line(format!("Read one: man {}/wearbook.1", dir.display()));
    session.output.report(report)
}

/// The page of a command, and where asked those of the commands below it.
fn collect(
    command: &Command,
    above: &str,
    deep: bool,
    pages: &mut Vec<(String, Vec<u8>)>,
) -> Result<(), Failure> {
    let name = match above {
        "" => command.get_name().to_owned(),
        above => format!("{above}-{}", command.get_name()),
    };
    let mut page = Vec::new();
    let man = clap_mangen::Man::new(command.clone().display_name(name.clone()))
        .title(name.clone())
        .manual("wearbook");
    man.render(&mut page).map_err(Failure::internal)?;
    pages.push((name.clone(), page));
    if deep {
        for below in command.get_subcommands() {
            collect(below, &name, deep, pages)?;
        }
    }
    Ok(())
}

/// Whether a file is a page of this program's manual.
fn is_manual(path: &Path) -> bool {
    has_mark(path, b".TH wearbook")
}

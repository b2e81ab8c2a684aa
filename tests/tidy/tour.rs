//! The tour of the demonstration, run as it stands: every command line of a console block
//! in one ledger, its output held against what the tour shows.
//!
//! In the tour `...` stands for what was left out: a line of its own for any
//! lines, within a line for any words. What follows the last line shown is left
//! out too. `$ cat FILE` shows a file that the reader makes; `$ sed` corrects it.

use std::cell::RefCell;
use std::ffi::OsString;
use std::fs;
use std::io::Write;

use wearbook::calendar::parse_instant;
use wearbook::cli::{Scripted, Surroundings, run};

use super::code::read;

/// The moment at which the tour was written down.
const MOMENT: &str = "2026-11-25T14:00:00Z";

/// One command line and the lines under it.
struct Step {
    line: usize,
    command: String,
    shown: Vec<String>,
}

fn steps(tour: &str) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    let (mut inside, mut goes_on) = (false, false);
    for (at, line) in tour.lines().enumerate() {
        match line {
            "```console" => inside = true,
            "```" => inside = false,
            _ if !inside => {}
            _ => {
                let last = steps.last_mut();
                if let (true, Some(step)) = (goes_on, last) {
                    step.command
                        .push_str(line.trim_end_matches('\\').trim_start());
                } else if let Some(command) = line.strip_prefix("$ ") {
                    let command = command.trim_end_matches('\\').to_owned();
                    let shown = Vec::new();
                    steps.push(Step {
                        line: at + 1,
                        command,
                        shown,
                    });
                } else if let Some(step) = steps.last_mut() {
                    step.shown.push(line.to_owned());
                    continue;
                }
                goes_on = line.ends_with('\\');
            }
        }
    }
    steps
}

/// The words of a command line, quotation marks taken off.
fn words(command: &str) -> Vec<String> {
    let (mut words, mut word, mut quote) = (Vec::new(), None::<String>, None);
    for letter in command.chars() {
        match (quote, letter) {
            (Some(mark), _) if mark == letter => quote = None,
            (None, '"' | '\'') => {
                quote = Some(letter);
                word.get_or_insert_default();
            }
            (None, ' ') => words.extend(word.take()),
            _ => word.get_or_insert_default().push(letter),
        }
    }
    words.extend(word);
    words
}

/// A stream that shares its place with another.
struct Shared<'a>(&'a RefCell<Vec<u8>>);

impl Write for Shared<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().write(bytes)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn run_wearbook(words: &[&str], typed: &str) -> String {
    let mut arguments: Vec<OsString> = words.iter().map(Into::into).collect();
    // Whatever ledger the surroundings name, the tour's is in its folder.
    arguments.extend(["--ledger".into(), "wearbook.db".into()]);
    let both = RefCell::new(Vec::new());
    run(
        &arguments,
        Surroundings {
            clock: &mut Scripted(parse_instant(MOMENT).expect("a moment").to_utc()),
            os_user: "ada".to_owned(),
            input: &mut typed.as_bytes(),
            asks: true,
            hidden: None,
            out: &mut Shared(&both),
            err: &mut Shared(&both),
            width: 80,
            screen: None,
            if_broken_off: &mut |_| {},
        },
    );
    String::from_utf8(both.into_inner()).expect("text")
}

/// Answers that stand after the questions of a prompt, a line each.
fn answers(shown: &[String]) -> String {
    let typed = shown
        .iter()
        .filter_map(|line| question(line))
        .map(|(_, answer)| answer);
    typed.map(|answer| format!("{answer}\n")).collect()
}

/// A question and what was typed after it. Talk is indented or ends otherwise.
fn question(line: &str) -> Option<(&str, &str)> {
    let (asked, answer) = match line.strip_suffix(':') {
        Some(_) => return None,
        None if line.ends_with(": ") => (&line[..line.len() - 2], ""),
        None => line.rsplit_once(": ")?,
    };
    let is_talk = asked.starts_with([' ', '.']) || asked == "understood";
    (!is_talk && !asked.is_empty()).then_some((asked, answer))
}

/// A line with the blanks of a table's columns made one.
fn plain(line: &str) -> String {
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a printed line is what a shown one stands for, however wide the
/// columns are.
fn fits(shown: &str, printed: &str) -> bool {
    let (shown, printed) = (plain(shown), plain(printed));
    let mut rest = printed.as_str();
    for (at, part) in shown.split("...").enumerate() {
        match rest.find(part) {
            Some(0) => rest = &rest[part.len()..],
            Some(found) if at > 0 => rest = &rest[found + part.len()..],
            _ => return false,
        }
    }
    rest.is_empty() || shown.ends_with("...")
}

/// The first shown line that the printed ones do not have in its place.
fn first_misfit<'a>(shown: &'a [String], printed: &[&str]) -> Option<&'a str> {
    let mut at = 0;
    let mut any_lines = false;
    for line in shown {
        if line.trim() == "..." {
            any_lines = true;
            continue;
        }
        let candidates = printed.get(at..).unwrap_or_default();
        let found = candidates.iter().position(|it| fits(line, it));
        match found {
            Some(skipped) if skipped == 0 || any_lines => at += skipped + 1,
            _ => return Some(line),
        }
        any_lines = false;
    }
    None
}

#[test]
fn the_tour_works_as_it_is_told() {
    let tour = read("demo/tour.md");
    // The other tests of this binary name every file from the repository's root.
    let folder = tempfile::tempdir().expect("a folder");
    std::env::set_current_dir(folder.path()).expect("to go there");
    let steps = steps(&tour);
    assert!(steps.len() > 20, "{} steps", steps.len());
    for Step {
        line,
        command,
        shown,
    } in &steps
    {
        let parts = words(command);
        let words: Vec<&str> = parts.iter().map(String::as_str).collect();
        match words.as_slice() {
            ["cat", file] => {
                fs::write(file, shown.join("\n") + "\n").expect("a file");
            }
            ["sed", "-i", edit, file] => {
                let edit: Vec<&str> = edit.split('/').collect();
                let text = fs::read_to_string(file).expect("a file");
                assert!(text.contains(edit[1]), "line {line}: nothing to correct");
                fs::write(file, text.replace(edit[1], edit[2])).expect("a file");
            }
            ["wearbook", rest @ ..] => {
                let is_prompt = rest == ["sheet", "start"] || rest == ["sheet", "enter"];
                let typed = if is_prompt {
                    answers(shown)
                } else {
                    String::new()
                };
                let mut printed = run_wearbook(&words, &typed);
                if is_prompt {
                    // What is typed is seen at a terminal and not in the stream.
                    for (asked, answer) in shown.iter().filter_map(|line| question(line)) {
                        let asked = format!("{asked}: ");
                        printed = printed.replacen(&asked, &format!("{asked}{answer}\n"), 1);
                    }
                }
                let lines: Vec<&str> = printed.lines().collect();
                let misfit = first_misfit(shown, &lines);
                assert_eq!(misfit, None, "tour line {line}: {command}\n{printed}");
            }
            other => panic!("tour line {line}: `{other:?}` is no command of the tour"),
        }
    }
}

#[test]
fn a_shown_line_stands_for_what_it_leaves_out_and_no_more() {
    for (shown, printed, expected) in [
        ("2 written", "2 written", true),
        ("2 written", "12 written", false),
        ("W01   37", "W01 37", true),
        ("W01   37", "W01 3 7", false),
        ("2 written", "2 written and more", false),
        ("head 5:...", "head 5:abc", true),
        ("head 5:...", "head 6:abc", false),
        ("a ... z", "a b c z", true),
        ("a ... z", "a b c", false),
    ] {
        assert_eq!(fits(shown, printed), expected, "{shown} / {printed}");
    }
    let shown = |lines: &[&str]| lines.iter().map(|it| (*it).to_owned()).collect::<Vec<_>>();
    let printed = ["one", "two", "three"];
    assert_eq!(
        first_misfit(&shown(&["one", "three"]), &printed),
        Some("three")
    );
    assert_eq!(
        first_misfit(&shown(&["one", "...", "three"]), &printed),
        None
    );
    assert_eq!(
        first_misfit(&shown(&["one", "...", "four"]), &printed),
        Some("four")
    );
}

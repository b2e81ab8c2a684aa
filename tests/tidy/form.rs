//! Lines, functions and files of a size that one person reads at once.

use std::collections::BTreeSet;

use super::code::*;
use super::{FILE_LINES, FUNCTION_LINES, LINE_WIDTH, LONG_FILES, LONG_FUNCTIONS, WIDE_LINES};

#[test]
fn no_line_is_longer_than_a_reader_sees() {
    let mut problems = Vec::new();
    let written = ["src", "tests", "migrations", ".ci"]
        .map(files_below)
        .concat();
    let ours = |path: &&String| {
        let read_by_people = [".rs", ".sql", "run"].iter().any(|end| path.ends_with(end));
        // What comes from outside keeps its form.
        read_by_people && !path.starts_with("tests/reference/")
    };
    for path in written.iter().filter(ours) {
        let text = read(path);
        let wide = |(_, line): &(usize, &str)| line.chars().count() > LINE_WIDTH;
        let wide: Vec<usize> = text
            .lines()
            .enumerate()
            .filter(wide)
            .map(|it| it.0 + 1)
            .collect();
        let exception = WIDE_LINES.iter().find(|(file, ..)| file == path);
        let allowed = exception.map_or(0, |(_, count, _)| *count);
        if wide.len() != allowed {
            problems.push(format!(
                "{path}: lines {wide:?}, and {allowed} are excepted"
            ));
        }
    }
    none_of(&problems);
}

#[test]
fn a_file_has_one_subject() {
    let mut problems = Vec::new();
    for source in everything() {
        let lines = source.text.lines().count();
        let exception = LONG_FILES.iter().find(|(path, ..)| *path == source.path);
        let most = exception.map_or(FILE_LINES, |(_, most, _)| *most);
        if lines > most {
            problems.push(format!("{}: {lines} lines, at most {most}", source.path));
        } else if exception.is_some() && lines <= FILE_LINES {
            problems.push(format!(
                "{}: strike its exception, {lines} lines",
                source.path
            ));
        }
    }
    none_of(&problems);
}

/// Every function with a body: its name, its line and how many lines it has.
fn functions(source: &Source) -> Vec<(String, usize, usize)> {
    let mut found = Vec::new();
    for at in places(&source.code, "fn") {
        let rest = source.code[at + 2..].trim_start();
        let name: String = rest
            .bytes()
            .take_while(|it| is_word(*it))
            .map(char::from)
            .collect();
        let end = at + item_end(&source.code.as_bytes()[at..]);
        if !name.is_empty() && source.code[..end].ends_with('}') {
            let (first, last) = (line_of(&source.code, at), line_of(&source.code, end));
            found.push((name, first, last - first + 1));
        }
    }
    found
}

#[test]
fn a_function_fits_on_a_screen() {
    let mut problems = Vec::new();
    let mut excepted = BTreeSet::new();
    for source in everything() {
        for (name, line, lines) in functions(source) {
            if lines <= FUNCTION_LINES {
                continue;
            }
            match LONG_FUNCTIONS
                .iter()
                .position(|it| it.0 == source.path && it.1 == name)
            {
                Some(at) => drop(excepted.insert(at)),
                None => problems.push(format!("{}:{line}: `{name}` has {lines}", source.path)),
            }
        }
    }
    for (at, (path, name, _)) in LONG_FUNCTIONS.iter().enumerate() {
        if !excepted.contains(&at) {
            problems.push(format!("{path}: strike the exception of `{name}`"));
        }
    }
    none_of(&problems);
}

//! What an answer says is not read back from its words.

use super::READ_BACK;
use super::code::*;

/// The rooms that make answers: what they know of a thing stands in a type.
const ROOMS: &[&str] = &[
    "src/answer/",
    "src/dose/",
    "src/notification/",
    "src/trace/",
];

/// How a text is asked what it says.
const ASKED: &[&str] = &[
    ".starts_with(\"",
    ".ends_with(\"",
    ".contains(\"",
    ".replace(\"",
    ".replacen(",
    "== \"",
    "!= \"",
];

#[test]
fn nothing_is_read_back_from_displayed_words() {
    let mut problems = Vec::new();
    for source in program().filter(|it| ROOMS.iter().any(|room| it.path.starts_with(room))) {
        let lines = source.shipped.lines().zip(1..);
        let asked = lines.filter(|(line, _)| ASKED.iter().any(|way| line.contains(way)));
        let asked: Vec<usize> = asked.map(|(_, number)| number).collect();
        let exception = READ_BACK.iter().find(|(path, ..)| *path == source.path);
        let allowed = exception.map_or(0, |(_, count, _)| *count);
        if asked.len() != allowed {
            problems.push(format!(
                "{}: lines {asked:?} ask a text what it says, and {allowed} are excepted",
                source.path
            ));
        }
    }
    none_of(&problems);
}

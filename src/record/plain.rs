//! What no text of any record may hold: one look at the canonical form of a body, which no kind
//! of record can leave out.

use serde_json::Value;

use super::{Body, Problem};
use crate::text::{Lines, unfit};

/// Fields that may have several lines, by their name in the body or their column: what people
/// write in sentences, and the texts of rule sets and checklists. Everything else is one line.
const NOTES: [&str; 11] = [
    "action", "answer", "basis", "because", "done", "note", "reason", "remark", "text", "what",
    "words",
];

/// How many lines a field may have.
pub fn lines_of(field: &str) -> Lines {
    match NOTES.contains(&field) {
        true => Lines::Many,
        false => Lines::One,
    }
}

/// The problem of one text under a name.
fn problem(field: &str, name: &str, text: &str) -> Option<Problem> {
    let unfit = unfit(text, lines_of(name))?;
    Some(Problem::new(field, text, unfit.what(), unfit.right()))
}

/// The problem of a field of an entry's head: its author or its reason.
pub fn header_problem(field: &str, text: &str) -> Option<Problem> {
    problem(field, field, text)
}

/// Every text of a body that holds what no text may hold, with its path. What the program itself
/// added is left out: it may quote an older entry.
pub(super) fn text_problems(body: &Body) -> Vec<Problem> {
    let mut problems = Vec::new();
    if !is_plain(&body.canonical())
        && let Ok(value) = serde_json::from_str::<Value>(&body.content().canonical())
    {
        look_into(&value, "", "", &mut problems);
    }
    problems
}

/// Whether a body has only ASCII that can be seen and no escape but of `"` and `\\`: of almost
/// every body of a bulk import, and then nothing has to be parsed.
fn is_plain(canonical: &str) -> bool {
    let mut escaped = false;
    canonical.bytes().all(|byte| {
        let fits = if escaped {
            matches!(byte, b'"' | b'\\')
        } else {
            (b' '..=b'~').contains(&byte)
        };
        escaped = !escaped && byte == b'\\';
        fits
    })
}

fn look_into(value: &Value, path: &str, name: &str, problems: &mut Vec<Problem>) {
    let under = |step: &str| match path {
        "" => step.to_owned(),
        path => format!("{path}.{step}"),
    };
    match value {
        Value::String(text) => problems.extend(problem(path, name, text)),
        Value::Array(list) => {
            for (it, place) in list.iter().zip(1..) {
                look_into(it, &under(&place.to_string()), name, problems);
            }
        }
        Value::Object(map) => {
            for (key, it) in map {
                problems.extend(problem(&under(key), "", key));
                look_into(it, &under(key), key, problems);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(body: &str, problems_count: usize) -> Vec<String> {
        assert!(problems_count == 0 || !is_plain(body), "{body}");
        let mut problems = Vec::new();
        look_into(&serde_json::from_str(body).unwrap(), "", "", &mut problems);
        problems
            .into_iter()
            .map(|it| format!("{}: {}", it.field, it.what))
            .collect()
    }

    #[test]
    fn every_text_of_a_body_is_looked_at() {
        for (body, problems) in [
            (
                "{\"id\":\"W07\",\"name\":\"Mirko \\\"M\\\" \\\\ é\"}",
                &[][..],
            ),
            ("{\"note\":\"a\\n\\tb\"}", &[]),
            (
                "{\"name\":\"a\\nb\"}",
                &["name: has U+000A, a line break, as character 2"],
            ),
            (
                "{\"note\":\"a\\rb\"}",
                &["note: has U+000D, a carriage return without a line break, as character 2"],
            ),
            (
                "{\"people\":[{\"worker\":1},{\"worker\":\"\u{202e}W\"}]}",
                &[
                    "people.2.worker: has U+202E, which turns the direction of writing, as \
                   character 1",
                ],
            ),
            (
                "{\"columns\":[[\"deep\",\"D\u{200b}\"]],\"x\u{ad}\":1}",
                &[
                    "columns.1.2: has U+200B, which cannot be seen, as character 2",
                    "x\u{ad}: has U+00AD, which cannot be seen, as character 2",
                ],
            ),
            (
                "{\"id\":\"\u{7f}\"}",
                &["id: has U+007F, a control character, as character 1"],
            ),
        ] {
            assert_eq!(of(body, problems.len()), problems, "{body}");
        }
    }
}

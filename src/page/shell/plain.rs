//! Reports for whoever has no terminal: what to do stays, the commands and the keys that do it
//! there go. Nothing is worded anew.

use crate::show::{Part, Piece, Report, Table, pieces};

/// What stands before a command.
const COMMAND: &str = "wearbook ";
/// What is left to do where nothing but a command was said.
const ASK: &str = "Ask the RSO.";
/// The column and the label of what is typed at a terminal alone.
const KEY: &str = "key";

/// A report without commands and keys.
pub fn plain(report: &Report) -> Report {
    Report {
        // A flag is a field of the page.
        heading: without_commands(&report.heading.replace("error: --", "error: ")),
        parts: parts(&report.parts),
        cautions: report
            .cautions
            .iter()
            .map(|it| without_commands(it))
            .collect(),
        of_ledger: report.of_ledger,
        stops: parts(&report.stops),
    }
}

/// Reports about a form: what a flag is called at a terminal is a field here, and its label is its
/// name.
pub fn by_fields(reports: &[Report]) -> Vec<Report> {
    let fields = |it: &Report| {
        let mut it = it.clone();
        it.parts.retain(|part| !is_of_terminal(part));
        it.heading = without_flags(&it.heading);
        for caution in &mut it.cautions {
            *caution = without_flags(caution);
        }
        for part in it.parts.iter_mut().chain(&mut it.stops) {
            match part {
                Part::Line(line) | Part::Under(line) => *line = without_flags(line),
                Part::Table(table) => table
                    .rows
                    .iter_mut()
                    .flatten()
                    .for_each(|cell| *cell = without_flags(cell)),
                _ => {}
            }
        }
        it
    };
    reports.iter().map(fields).collect()
}

/// How a command is written, and where its help stands.
fn is_of_terminal(part: &Part) -> bool {
    match part {
        Part::Line(line) | Part::Under(line) => {
            let line = line.trim_start();
            line.starts_with("Usage:") || line.starts_with("For more information")
        }
        _ => false,
    }
}

/// A text in which flags are fields; what stands in a command is left to it.
pub fn without_flags(text: &str) -> String {
    let words = |words: &str| {
        let pieces = words.split_inclusive([' ', '`', '(', '"']);
        let bare = pieces.map(|it| match it.strip_prefix("--") {
            Some(name) if name.starts_with(|it: char| it.is_ascii_lowercase()) => name,
            _ => it,
        });
        bare.collect::<String>()
    };
    pieces(text)
        .iter()
        .map(|it| match it {
            Piece::Words(text) => words(text),
            Piece::Command(line) => format!("{COMMAND}{line}"),
        })
        .collect()
}

fn parts(all: &[Part]) -> Vec<Part> {
    let kept = all.iter().filter(|it| match it {
        Part::Under(line) => !is_key(line) && !is_hint(line),
        _ => true,
    });
    kept.map(|it| match it {
        Part::Line(line) => Part::Line(counted(&without_commands(line))),
        Part::Under(line) => Part::Under(without_commands(line)),
        Part::Table(table) => Part::Table(without_keys(table)),
        other => other.clone(),
    })
    .collect()
}

fn is_key(line: &str) -> bool {
    line.split_once(':').is_some_and(|it| it.0 == KEY)
}

/// A hint that is nothing but a command.
fn is_hint(line: &str) -> bool {
    let words = line.trim_start();
    let words = words.strip_prefix("hint:").unwrap_or(words).trim_start();
    words.starts_with(COMMAND)
}

/// `ACT recorded-late, 3 times`: the name of a check is words.
fn counted(line: &str) -> String {
    let name = line
        .strip_suffix(" times")
        .and_then(|it| it.rsplit_once(", "));
    match name {
        Some((name, count)) if count.bytes().all(|it| it.is_ascii_digit()) => {
            format!("{}, {count} times", name.replace('-', " "))
        }
        _ => line.to_owned(),
    }
}

fn without_keys(table: &Table) -> Table {
    let mut table = table.clone();
    let key = table.columns.iter().position(|(heading, _)| heading == KEY);
    if let Some(at) = key {
        table.columns.remove(at);
        for row in table.rows.iter_mut().filter(|it| at < it.len()) {
            row.remove(at);
        }
    }
    for cell in table.rows.iter_mut().flatten() {
        if cell.contains(COMMAND) {
            *cell = without_commands(cell);
        }
    }
    table
}

/// A text without commands: brackets that hold one go, and so does what a colon leads to one, and a
/// sentence in which one is left.
pub fn without_commands(text: &str) -> String {
    if !text.contains(COMMAND) {
        return text.to_owned();
    }
    let text = without_brackets(text);
    let sentences = text.split_inclusive(['.', ';']);
    let mut kept = String::new();
    // A point inside a number or a citation ends no sentence.
    let mut sentence = String::new();
    let mut rest = sentences.peekable();
    while let Some(piece) = rest.next() {
        sentence.push_str(piece);
        if rest.peek().is_some_and(|it| !it.starts_with(' ')) {
            continue;
        }
        kept.push_str(&without_command(&sentence));
        sentence.clear();
    }
    let label = text.split_once(':').map_or("", |it| it.0);
    let kept = kept.trim();
    let is_bare = kept.is_empty() || kept.trim_end_matches([':', '.', ' ']) == label;
    match is_bare {
        true if label.bytes().all(|it| it.is_ascii_lowercase()) && !label.is_empty() => {
            format!("{label}: {ASK}")
        }
        true => ASK.to_owned(),
        false => kept.to_owned(),
    }
}

/// A sentence without the command that a colon leads to; nothing where it is one all the same.
fn without_command(sentence: &str) -> String {
    let Some(at) = sentence.find(COMMAND) else {
        return sentence.to_owned();
    };
    let before = sentence.get(..at).unwrap_or_default();
    let before = before.trim_end_matches(['`', ' ']);
    match before.strip_suffix(':') {
        Some(said) if !said.trim().is_empty() => {
            let end = if sentence.ends_with(';') { ";" } else { "." };
            format!("{said}{end}")
        }
        _ => String::new(),
    }
}

/// A text without the brackets that hold a command.
fn without_brackets(text: &str) -> String {
    let mut kept = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('(') {
        kept.push_str(before);
        let (inside, behind) = after.split_once(')').unwrap_or((after, ""));
        match inside.contains(COMMAND) {
            true => kept.truncate(kept.trim_end().len()),
            false => {
                kept.push('(');
                kept.push_str(inside);
                if after.contains(')') {
                    kept.push(')');
                }
            }
        }
        rest = behind;
    }
    kept.push_str(rest);
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_remedy_keeps_what_to_do_and_loses_the_command() {
        for (text, wanted) in [
            (
                "Stop this person's work, tell the RSO now (wearbook determination enter).",
                "Stop this person's work, tell the RSO now.",
            ),
            (
                "Read the badge before the next shift (wearbook badge read), and tell the RSO.",
                "Read the badge before the next shift, and tell the RSO.",
            ),
            (
                "Record the start when it is done: wearbook sheet start. Ask the person (34.49).",
                "Record the start when it is done. Ask the person (34.49).",
            ),
            (
                "A report is due under 20.2202. `wearbook report list` has its time.",
                "A report is due under 20.2202.",
            ),
            ("do:   wearbook badge issue", "do: Ask the RSO."),
            ("wearbook rules adopt FILE", "Ask the RSO."),
            ("10 CFR 34.47(a)(1): worn.", "10 CFR 34.47(a)(1): worn."),
        ] {
            assert_eq!(without_commands(text), wanted);
        }
    }

    #[test]
    fn keys_and_bare_hints_go_and_every_finding_stays() {
        let mut report = Report::new("x");
        report.line("STOP  W03: off scale");
        report.under("do:   tell the RSO (wearbook badge accept)");
        report.under("key:  off-scale/W03/12");
        report.line("ACT   recorded-late, 3 times");
        let mut table = Table::new(&["who or what", "found", "key"]);
        table.row(["W03", "late", "12"].map(str::to_owned));
        report.table(table);
        report.under("hint: wearbook sheet enter");
        let shown = plain(&report);
        assert_eq!(shown.parts.len(), 4, "{shown:?}");
        let words = format!("{shown:?}");
        for gone in ["key:", "wearbook", "off-scale/W03", "recorded-late"] {
            assert!(!words.contains(gone), "{gone}: {words}");
        }
        for there in [
            "W03: off scale",
            "tell the RSO",
            "recorded late, 3 times",
            "late",
        ] {
            assert!(words.contains(there), "{there}: {words}");
        }
    }
}

//! A report as Markdown, for whoever edits it further.

use super::report::{Align, Part, Report, Table};
use crate::text::one_line;

/// Puts a backslash before what Markdown would take for its own.
fn safe(text: &str) -> String {
    let mut out = String::new();
    for sign in one_line(text).chars() {
        if matches!(
            sign,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|'
        ) {
            out.push('\\');
        }
        out.push(sign);
    }
    out
}

/// Renders a report as Markdown.
#[must_use]
pub fn markdown(report: &Report) -> String {
    let mut out = format!("# {}\n", safe(&report.heading));
    let mut listed = false;
    for part in report.parts.iter().chain(&report.stops) {
        let under = matches!(part, Part::Under(_));
        if !under || !listed {
            out.push('\n');
        }
        listed = under;
        match part {
            Part::Line(line) => out.push_str(&format!("{}\n", safe(line))),
            Part::Under(line) => out.push_str(&format!("- {}\n", safe(line))),
            Part::Section(title) => out.push_str(&format!("## {}\n", safe(title))),
            Part::Picture(_) | Part::Gap => {
                out.pop();
            }
            Part::Table(table) => grid(&mut out, table),
        }
    }
    let caution = report.one_caution();
    for line in [caution.as_str(), report.of_ledger.unwrap_or_default()] {
        if !line.is_empty() {
            out.push_str(&format!("\n*{}*\n", safe(line)));
        }
    }
    out
}

fn grid(out: &mut String, table: &Table) {
    let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
    let headings = table.columns.iter().map(|(heading, _)| safe(heading));
    out.push_str(&line(headings.collect()));
    let rule = table.columns.iter().map(|(_, align)| match align {
        Align::Left => "---".to_owned(),
        Align::Right => "---:".to_owned(),
    });
    out.push_str(&line(rule.collect()));
    for row in &table.rows {
        out.push_str(&line(row.iter().map(|cell| safe(cell)).collect()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_typed_cannot_become_markup() {
        let mut report = Report::new("E-1 *x*");
        report.section("a");
        report.line("<script> [link](there) # no\u{2066}");
        report.under("one");
        report.under("two");
        let mut table = Table::new(&["a", ">b"]);
        table.row(["x|y".to_owned(), "1".to_owned()]);
        report.table(table);
        report.caution("careful");
        let wanted = "# E-1 \\*x\\*\n\n## a\n\n\
                      \\<script\\> \\[link\\](there) \\# no\\\\u{2066}\n\n- one\n\
                      - two\n\n| a | b |\n| --- | ---: |\n| x\\|y | 1 |\n\n*careful.*\n";
        assert_eq!(markdown(&report), wanted);
    }
}

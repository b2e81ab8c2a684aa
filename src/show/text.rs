//! A report as plain text.

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, Table as Grid, Width, presets,
};

use unicode_width::UnicodeWidthStr;

use super::report::{Align, Part, Report, Table};
use crate::text::shown;

/// Renders a report for a width in columns.
pub fn text(report: &Report, width: u16) -> String {
    let mut out = String::new();
    if !report.heading.is_empty() {
        wrap(&mut out, &report.heading, "", width);
    }
    parts(&mut out, &report.parts, width);
    if !report.cautions.is_empty() {
        out.push('\n');
    }
    for caution in &report.cautions {
        wrap(&mut out, caution, "", width);
    }
    if !report.stops.is_empty() {
        let columns = usize::from(width);
        out.push_str(&format!("\n{:=<columns$}\n", "===== STOP "));
        parts(&mut out, &report.stops, width);
        out.push_str(&format!("{:=<columns$}\n", ""));
    }
    out
}

fn parts(out: &mut String, all: &[Part], width: u16) {
    for part in all {
        match part {
            Part::Line(line) => wrap(out, line, "", width),
            Part::Under(line) => wrap(out, line, "  ", width),
            Part::Gap => out.push('\n'),
            Part::Section(title) => {
                out.push('\n');
                wrap(out, &title.to_uppercase(), "", width);
            }
            Part::Picture(_) => {}
            Part::Table(table) => grid(out, table, width),
        }
    }
}

/// A text as a screen shows it.
fn on_screen(text: &str) -> String {
    shown(text).replace('\t', " ")
}

/// Breaks a line at blanks and where it has breaks of its own; what follows the first line is set
/// in by two more, so that nothing in it passes for a line of the program.
fn wrap(out: &mut String, line: &str, indent: &str, width: u16) {
    let width = usize::from(width.max(40));
    let mut used = 0;
    for (at, line) in on_screen(line).lines().enumerate() {
        for (place, word) in line.split(' ').enumerate() {
            let length = word.width();
            let broken = at > 0 && place == 0;
            if used == 0 && !broken {
                out.push_str(indent);
                used = indent.len();
            } else if broken || used + 1 + length > width {
                out.push('\n');
                out.push_str(indent);
                out.push_str("  ");
                used = indent.len() + 2;
            } else {
                out.push(' ');
                used += 1;
            }
            out.push_str(word);
            used += length;
        }
    }
    out.push('\n');
}

fn grid(out: &mut String, table: &Table, width: u16) {
    let mut grid = Grid::new();
    grid.load_style(presets::NOTHING);
    grid.style_mut().header_separator.fill = Some('-');
    grid.set_content_arrangement(ContentArrangement::Dynamic);
    grid.set_width(width);
    grid.set_header(table.columns.iter().map(|(heading, _)| on_screen(heading)));
    for row in &table.rows {
        grid.add_row(row.iter().map(|cell| on_screen(cell)));
    }
    let last = table.columns.len().saturating_sub(1);
    for (at, (_, align)) in table.columns.iter().enumerate() {
        let Some(column) = grid.column_mut(at) else {
            continue;
        };
        let padding = if at == last { 0 } else { 2 };
        column.set_padding((0, padding));
        if *align == Align::Right {
            column.set_cell_alignment(CellAlignment::Right);
        }
        let least = least_width(table, at, *align) + padding;
        column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
    }
    for line in grid.lines() {
        out.push_str(line.trim_end());
        out.push('\n');
    }
}

/// The width below which a column would break a figure or a word: figures are
/// never broken, words up to a length that a page can bear.
fn least_width(table: &Table, at: usize, align: Align) -> u16 {
    const LONGEST_WORD: usize = 18;
    let cells = table
        .rows
        .iter()
        .filter_map(|row| row.get(at))
        .map(String::as_str);
    let heading = table.columns.get(at).map(|(heading, _)| heading.as_str());
    let longest = cells
        .chain(heading)
        .flat_map(|cell| match align {
            Align::Right => cell.lines().collect::<Vec<_>>(),
            Align::Left => cell.split_whitespace().collect(),
        })
        .map(|part| on_screen(part).width())
        .filter(|length| *length <= LONGEST_WORD)
        .max()
        .unwrap_or(1);
    u16::try_from(longest).unwrap_or(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_line_breaks_at_a_blank_and_the_rest_is_set_in() {
        let mut report = Report::new("Short");
        report.line("one two three four five six seven eight nine ten");
        assert_eq!(
            text(&report, 40),
            "Short\none two three four five six seven eight\n  nine ten\n"
        );
    }

    #[test]
    fn what_nobody_can_see_is_shown_and_a_note_stays_inside() {
        let mut report = Report::new("W0\u{202e}7");
        report.under("a note\nerror: not an error\tof ours");
        let mut table = Table::new(&["who", "what"]);
        table.row(["W\u{200b}".into(), "two\nlines".into()]);
        report.table(table);
        let wanted = "W0\\u{202e}7\n  a note\n    error: not an error of ours\n\
                      who        what\n----------------\nW\\u{200b}  two\n           lines\n";
        assert_eq!(text(&report, 80), wanted);
    }

    #[test]
    fn columns_stay_aligned_under_wide_and_combining_signs() {
        let mut table = Table::new(&["who", ">dose", "note"]);
        for who in ["W01", "辐射安全", "e\u{301}le\u{300}ve", "👷👷", "ＷＩＤＥ"] {
            table.row([who.into(), "12 mrem".into(), "good".into()]);
        }
        let mut report = Report::new("");
        report.table(table);
        let shown = text(&report, 80);
        let before = |line: &str| line.find("good").map(|at| line[..at].width());
        let places: Vec<_> = shown.lines().filter_map(before).collect();
        assert_eq!(places.len(), 5);
        assert!(places.windows(2).all(|it| it[0] == it[1]), "{shown}");
        report.parts.clear();
        report.line("辐射 ".repeat(60));
        assert!(text(&report, 60).lines().all(|line| line.width() <= 60));
    }

    #[test]
    fn no_line_of_a_table_is_wider_than_the_page() {
        let mut table = Table::new(&["who", ">dose", "what it means"]);
        table.row(["W01".into(), "12 mrem".into(), "many words ".repeat(20)]);
        let mut report = Report::new("");
        report.table(table);
        let shown = text(&report, 80);
        assert!(
            shown.lines().all(|line| line.chars().count() <= 80),
            "{shown}"
        );
        assert!(shown.contains("12 mrem"), "{shown}");
    }
}

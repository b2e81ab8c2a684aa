//! A report as plain text.

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, Table as Grid, Width, presets,
};

use super::report::{Align, Part, Report, Table};

/// Renders a report for a width in columns.
pub fn text(report: &Report, width: u16) -> String {
    let mut out = String::new();
    if !report.heading.is_empty() {
        wrap(&mut out, &report.heading, "", width);
    }
    for part in &report.parts {
        match part {
            Part::Line(line) => wrap(&mut out, line, "", width),
            Part::Under(line) => wrap(&mut out, line, "  ", width),
            Part::Gap => out.push('\n'),
            Part::Section(title) => {
                out.push('\n');
                wrap(&mut out, &title.to_uppercase(), "", width);
            }
            Part::Picture(_) => {}
            Part::Table(table) => grid(&mut out, table, width),
        }
    }
    if !report.cautions.is_empty() {
        out.push('\n');
    }
    for caution in &report.cautions {
        wrap(&mut out, caution, "", width);
    }
    out
}

/// Breaks a line at blanks; what follows the first line is set in by two more.
fn wrap(out: &mut String, line: &str, indent: &str, width: u16) {
    let width = usize::from(width.max(40));
    let mut used = 0;
    for word in line.split(' ') {
        let length = word.chars().count();
        if used == 0 {
            out.push_str(indent);
            used = indent.len();
        } else if used + 1 + length > width {
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
    out.push('\n');
}

fn grid(out: &mut String, table: &Table, width: u16) {
    let mut grid = Grid::new();
    grid.load_style(presets::NOTHING);
    grid.style_mut().header_separator.fill = Some('-');
    grid.set_content_arrangement(ContentArrangement::Dynamic);
    grid.set_width(width);
    grid.set_header(table.columns.iter().map(|(heading, _)| heading));
    for row in &table.rows {
        grid.add_row(row);
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
        .map(|part| part.chars().count())
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

//! A report as plain text.

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, Table as Grid, Width, presets,
};
use unicode_width::UnicodeWidthStr;

use super::fine::fine;
use super::report::{Align, Part, Report, Table};
use crate::text::shown;

/// Renders a report for a width in columns.
pub fn text(report: &Report, width: u16) -> String {
    let report = &fine(report);
    let mut out = String::new();
    if !report.heading.is_empty() {
        wrap(&mut out, &report.heading, "", width);
    }
    parts(&mut out, &report.parts, width);
    let caution = report.one_caution();
    if !caution.is_empty() || report.of_ledger.is_some() {
        out.push('\n');
    }
    for line in [caution.as_str(), report.of_ledger.unwrap_or_default()] {
        if !line.is_empty() {
            wrap(&mut out, line, "", width);
        }
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
    let tight = Tight::that_fits(table, width);
    let mut grid = Grid::new();
    grid.load_style(presets::NOTHING);
    grid.style_mut().header_separator.fill = Some('-');
    grid.set_content_arrangement(ContentArrangement::Dynamic);
    grid.set_width(width);
    grid.set_header(table.columns.iter().map(|it| tight.heading(it)));
    for row in &table.rows {
        grid.add_row(row.iter().map(|cell| on_screen(cell)));
    }
    let last = table.columns.len().saturating_sub(1);
    for (at, (_, align)) in table.columns.iter().enumerate() {
        let Some(column) = grid.column_mut(at) else {
            continue;
        };
        let padding = if at == last { 0 } else { tight.padding };
        column.set_padding((0, padding));
        if *align == Align::Right {
            column.set_cell_alignment(CellAlignment::Right);
        }
        let least = tight.least_width(table, at, *align) + padding;
        column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
    }
    for line in grid.lines() {
        out.push_str(line.trim_end());
        out.push('\n');
    }
}

/// How closely a table is set: as loosely as the page bears.
#[derive(Debug, Clone, Copy)]
struct Tight {
    /// Blanks between two columns.
    padding: u16,
    /// The longest word that is not broken.
    word: usize,
    /// Whether the heading of figures, which are narrower than most words, is broken at blanks.
    breaks_headings: bool,
}

impl Tight {
    fn that_fits(table: &Table, width: u16) -> Tight {
        let of = |padding, word, breaks_headings| Tight {
            padding,
            word,
            breaks_headings,
        };
        let tightest = of(1, 6, true);
        [
            of(2, 18, false),
            of(2, 18, true),
            of(1, 18, true),
            of(1, 14, true),
            of(1, 10, true),
        ]
        .into_iter()
        .find(|it| it.width(table) <= usize::from(width))
        .unwrap_or(tightest)
    }

    /// The least width of the whole table.
    fn width(self, table: &Table) -> usize {
        let columns = table.columns.iter().enumerate();
        let least = columns.map(|(at, (_, align))| self.least_width(table, at, *align));
        let between = table.columns.len().saturating_sub(1) * usize::from(self.padding);
        between + least.map(usize::from).sum::<usize>()
    }

    fn heading(self, (heading, align): &(String, Align)) -> String {
        let heading = on_screen(heading);
        match self.breaks_headings && *align == Align::Right {
            true => heading.replace(' ', "\n"),
            false => heading,
        }
    }

    /// The width below which a column would break a figure or a word: figures are never broken,
    /// words up to a length that the page bears.
    fn least_width(self, table: &Table, at: usize, align: Align) -> u16 {
        let cells = table.rows.iter().filter_map(|row| row.get(at));
        let cells = cells.map(|it| on_screen(it));
        let heading = table.columns.get(at).map(|it| self.heading(it));
        let longest = cells
            .chain(heading)
            .map(|cell| {
                let parts: Vec<&str> = match align {
                    Align::Right => cell.lines().collect(),
                    Align::Left => cell.split_whitespace().collect(),
                };
                let widths = parts.into_iter().map(UnicodeWidthStr::width);
                widths.filter(|it| *it <= self.longest(align)).max()
            })
            .max()
            .flatten()
            .unwrap_or(1);
        u16::try_from(longest).unwrap_or(1)
    }

    fn longest(self, align: Align) -> usize {
        match align {
            Align::Right => 18,
            Align::Left => self.word,
        }
    }
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
    fn a_table_of_many_columns_is_set_closer_until_it_fits() {
        let headings = [
            "level",
            ">of the whole",
            ">used so far",
            ">share",
            ">left of it",
            "window",
            "rule",
        ];
        let mut table = Table::new(&headings);
        table.row([
            "deep administrative\nlicensee year".into(),
            "at least 1234.5".into(),
            "at least 1234.5".into(),
            "93.2 % of rest".into(),
            "1234.5".into(),
            "2026-01-01\n2026-12-31".into(),
            "10 CFR 20.1201(a)(1)(i)".into(),
        ]);
        let mut report = Report::new("");
        report.table(table);
        let shown = text(&report, 80);
        assert!(shown.lines().all(|line| line.width() <= 80), "{shown}");
        assert!(shown.contains("at least 1234.5"), "{shown}");
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

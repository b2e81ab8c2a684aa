//! The lower panel: how much of each level is used, as a bar and in figures.

use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::svg::{Hang, Svg};
use super::words;
use super::worker_year::{Level, Sort, WorkerYear};
use crate::quantity::Share;

/// One level's row.
pub(super) struct Row {
    lines: Vec<String>,
    line: Stroke,
    drawn: bool,
    other_span: bool,
    used: i64,
    level: i64,
    at_least: bool,
    /// `8.3 % (412 of 5000 mrem)`.
    pub figures: String,
}

impl Row {
    /// The level's name on one line.
    pub fn label(&self) -> String {
        self.lines.join(" ")
    }

    fn height(&self) -> i32 {
        i32::try_from(self.lines.len())
            .unwrap_or(1)
            .max(1)
            .saturating_mul(LINE)
            + 4
    }
}

const SWATCH: i32 = 90;
const HEAD: i32 = LINE + 6;
const GAP: i32 = 18;
/// The least length of a bar.
const SHORTEST: i32 = 120;

/// The line that stands for a sort of level.
pub(super) fn line_of(sort: Sort) -> Stroke {
    match sort {
        Sort::Limit => style::LIMIT_LINE,
        Sort::Administrative => style::ADMINISTRATIVE_LINE,
        Sort::Investigation => style::INVESTIGATION_LINE,
        Sort::Shift => style::SHIFT_LINE,
    }
}

/// The rows of a chart, in the order of its levels.
pub(super) fn rows(chart: &WorkerYear) -> Vec<Row> {
    let reach = super::year_plot::reach(chart);
    let open = |level: &Level| chart.at_least() || level.at_least;
    let figures = |level: &Level| {
        let bound = if open(level) { "at least " } else { "" };
        let used = level.used(chart.total());
        let Some(share) = Share::of(used, level.dose) else {
            return format!("nothing allowed ({bound}{})", used.display(chart.unit));
        };
        let state = match used.cmp(&level.dose) {
            std::cmp::Ordering::Greater => ", passed",
            std::cmp::Ordering::Equal => ", reached",
            std::cmp::Ordering::Less => "",
        };
        let (part, whole) = (chart.figure(used), level.dose.display(chart.unit));
        format!("{bound}{share} ({part} of {whole}){state}")
    };
    let all: Vec<_> = chart.levels.iter().map(figures).collect();
    let taken = SWATCH + 2 * GAP + SHORTEST + words::widest(&all, BODY);
    let room = (style::WIDTH - 2 * MARGIN - taken).clamp(150, 420);
    let row = |(level, figures): (&Level, String)| Row {
        lines: words::wrap(&words::clean(&level.label), BODY, room),
        line: line_of(level.sort),
        drawn: level.dose.nsv() <= reach && !level.other_span,
        other_span: level.other_span,
        used: level.used(chart.total()).nsv(),
        level: level.dose.nsv().max(0),
        at_least: open(level),
        figures,
    };
    chart.levels.iter().zip(all).map(row).collect()
}

/// Height of the whole panel.
pub(super) fn height(rows: &[Row]) -> i32 {
    if rows.is_empty() {
        0
    } else {
        HEAD + GAP + rows.iter().map(Row::height).sum::<i32>()
    }
}

/// Draws the panel from `top` down.
pub(super) fn draw(pen: &Svg, rows: &[Row], top: i32) {
    if rows.is_empty() {
        return;
    }
    let mut head = "Share of each level used, rounded up".to_owned();
    if rows.iter().any(|r| !r.drawn && !r.other_span) {
        head.push_str(" (arrow: the level lies above the picture)");
    }
    let mut y = top + GAP + HEAD / 2;
    pen.say((MARGIN, y), Hang::Left, style::QUIET, &head);
    y += HEAD / 2;

    let names: i32 = rows
        .iter()
        .map(|r| words::widest(&r.lines, BODY))
        .max()
        .unwrap_or(0);
    let figures: Vec<_> = rows.iter().map(|r| r.figures.as_str()).collect();
    let left = MARGIN + SWATCH + names + GAP;
    let right = (style::WIDTH - MARGIN - words::widest(&figures, BODY) - GAP).max(left + SHORTEST);
    let over = rows.iter().any(|r| r.used > r.level);
    // A bar past its level needs room beyond the full mark.
    let full = if over {
        left + (right - left) * 4 / 5
    } else {
        right
    };
    for row in rows {
        let middle = y + row.height() / 2;
        swatch(pen, row, middle);
        let mut line = y + LINE / 2 + 2;
        for text in &row.lines {
            pen.say((MARGIN + SWATCH, line), Hang::Left, style::INK, text);
            line += LINE;
        }
        bar(pen, row, (left, full, right), middle);
        pen.say((right + GAP, middle), Hang::Left, style::INK, &row.figures);
        y += row.height();
    }
}

fn swatch(pen: &Svg, row: &Row, middle: i32) {
    let (from, to) = (MARGIN, MARGIN + SWATCH - GAP);
    if row.drawn {
        return pen.path(&[(from, middle), (to, middle)], row.line);
    }
    if row.other_span {
        return;
    }
    let x = (from + to) / 2;
    let colour = row.line.colour;
    pen.fill((x - 2, middle - 4), (x + 2, middle + 13), colour);
    pen.shape(
        &[(x - 9, middle - 3), (x + 9, middle - 3), (x, middle - 14)],
        colour,
    )
}

/// Track, filled part, the mark at the whole level; what may lie beyond a lower bound is hatched.
fn bar(pen: &Svg, row: &Row, (left, full, right): (i32, i32, i32), middle: i32) {
    let (up, down) = (middle - 10, middle + 10);
    let share = i128::from(row.used) * i128::from(full - left);
    let share = (share + i128::from(row.level.max(1)) - 1) / i128::from(row.level.max(1));
    let end = i32::try_from(share)
        .unwrap_or(i32::MAX)
        .saturating_add(left);
    let cut = end.min(right);
    pen.fill((left, up), (cut, down), style::DOSE);
    if row.at_least {
        let mut x = cut + 8;
        while x < right {
            pen.path(&[(x, up + 3), (x, down - 3)], Stroke::solid(style::DOSE, 2));
            x += 12;
        }
    }
    if end > right {
        // Longer than there is room for: a point instead of a blunt end.
        pen.fill((right - 14, up), (right, down), style::PAPER);
        pen.shape(
            &[(right - 14, up), (right - 14, down), (right, middle)],
            style::DOSE,
        );
    }
    pen.frame((left, up), (full, down), Stroke::solid(style::QUIET, 2));
    pen.path(
        &[(full, up - 5), (full, down + 5)],
        Stroke::solid(style::INK, 4),
    )
}

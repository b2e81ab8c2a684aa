//! The lower panel: how much of each level is used, as a bar and in figures.

use super::marks::{Part, SAMPLE, Shape};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::svg::{Hang, Svg};
use super::worker_year::{Level, Type, WorkerYear};
use super::{frame, words};
use crate::quantity::Share;
use crate::show::fine;

/// One level's row.
pub(super) struct Row {
    lines: Vec<String>,
    /// The level's line; an arrow where it lies above the picture; nothing where it sums another
    /// span.
    sample: Vec<Part>,
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
        frame::height(self.lines.len().max(1)) + 4
    }
}

const NAMES: i32 = MARGIN + SAMPLE + 16;
const HEAD: i32 = LINE + 6;
const GAP: i32 = 18;
/// The least length of a bar.
const SHORTEST: i32 = 120;

/// The line that stands for a kind of level.
pub(super) fn line_of(kind: Type) -> Stroke {
    match kind {
        Type::Limit => style::LIMIT_LINE,
        Type::Administrative => style::ADMINISTRATIVE_LINE,
        Type::Investigation => style::INVESTIGATION_LINE,
        Type::Shift => style::SHIFT_LINE,
    }
}

/// The rows of a chart, in the order of its levels.
pub(super) fn rows(chart: &WorkerYear) -> Vec<Row> {
    let reach = chart.reach();
    let open = |level: &Level| chart.at_least() || level.at_least;
    let figures = |level: &Level| {
        let least = open(level);
        let bound = if least { "at least " } else { "" };
        let used = level.used(chart.total());
        let Some(share) = Share::of(used, level.dose) else {
            let used = fine::dose(used, chart.unit, least);
            return format!("nothing allowed ({bound}{used})");
        };
        let state = match used.cmp(&level.dose) {
            std::cmp::Ordering::Greater => ", passed",
            std::cmp::Ordering::Equal => ", reached",
            std::cmp::Ordering::Less => "",
        };
        let part = fine::figure(used, chart.unit, least);
        let whole = level.dose.display(chart.unit);
        format!("{bound}{share} ({part} of {whole}){state}")
    };
    let all: Vec<_> = chart.levels.iter().map(figures).collect();
    let taken = NAMES + 2 * GAP + SHORTEST + words::widest(&all, BODY);
    let room = (style::WIDTH - MARGIN - taken).clamp(150, 420);
    let row = |(level, figures): (&Level, String)| Row {
        lines: words::wrap(&words::clean(&level.label), BODY, room),
        sample: match (line_of(level.kind), level.dose.nsv() <= reach) {
            _ if level.other_span => Vec::new(),
            (line, true) => vec![Part::Line(line)],
            (line, false) => vec![
                Part::Upright(13, Stroke::solid(line.colour, 4)),
                Part::Full(Shape::Triangle, 12, line.colour),
            ],
        },
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
    if rows.iter().any(|r| r.sample.len() > 1) {
        head.push_str(" (arrow: the level lies above the picture)");
    }
    let mut y = top + GAP + HEAD / 2;
    pen.say((MARGIN, y), Hang::Left, style::QUIET, &head);
    y += HEAD / 2;

    let names: Vec<&String> = rows.iter().flat_map(|r| &r.lines).collect();
    let figures: Vec<_> = rows.iter().map(|r| r.figures.as_str()).collect();
    let left = NAMES + words::widest(&names, BODY) + GAP;
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
        pen.mark((MARGIN + SAMPLE / 2, middle), &row.sample);
        for (text, n) in row.lines.iter().zip(0..) {
            let at = (NAMES, y + LINE / 2 + 2 + frame::height(n));
            pen.say(at, Hang::Left, style::INK, text);
        }
        bar(pen, row, (left, full, right), middle);
        pen.say((right + GAP, middle), Hang::Left, style::INK, &row.figures);
        y += row.height();
    }
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
        pen.fill((right - 20, up), (right, down), style::PAPER);
        pen.mark(
            (right - 20, middle),
            &[Part::Full(Shape::Arrow, 10, style::DOSE)],
        );
    }
    pen.frame((left, up), (full, down), Stroke::solid(style::QUIET, 2));
    pen.path(
        &[(full, up - 5), (full, down + 5)],
        Stroke::solid(style::INK, 4),
    );
}

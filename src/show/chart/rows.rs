//! Rows of words at the left, each as high as its words need, beside a field of marks or bars.

use super::axis::Axis;
use super::frame::{Plot, height};
use super::style::{self, BODY, MARGIN, Stroke};
use super::svg::Hang;
use super::words;

/// The words of each row, in lines. The axis counts units of the paper from the foot up.
pub(super) struct Rows(Vec<Vec<String>>);

impl Rows {
    pub fn new(rows: Vec<Vec<String>>) -> Self {
        Self(rows)
    }

    fn high(row: &[String]) -> i32 {
        height(row.len().max(1)) + 12
    }

    pub fn height(&self) -> i32 {
        let all = self.0.iter().map(|it| Self::high(it));
        all.sum::<i32>().max(2 * height(1))
    }

    pub fn axis(&self) -> Axis {
        Axis::bare(0, i64::from(self.height()))
    }

    /// Room for the words, with at least so much.
    pub fn left(&self, least: i32) -> i32 {
        let lines = self.0.iter().flatten();
        let wide = lines.map(|it| words::width(it, BODY)).max().unwrap_or(0);
        MARGIN + wide.max(least) + 20
    }

    pub fn top(&self, plot: &Plot, row: usize) -> i32 {
        let above = self.0.iter().take(row).map(|it| Self::high(it));
        plot.top + above.sum::<i32>()
    }

    pub fn middle(&self, plot: &Plot, row: usize) -> i32 {
        i32::midpoint(self.top(plot, row), self.top(plot, row + 1))
    }

    /// The words, with a thin line between rows.
    pub fn draw_names(&self, plot: &Plot) {
        for (row, n) in self.0.iter().zip(0..) {
            let first = self.middle(plot, n) - height(row.len().saturating_sub(1)) / 2;
            for (line, n) in row.iter().zip(0..) {
                let at = (MARGIN, first + height(n));
                plot.pen.say(at, Hang::Left, style::INK, line);
            }
            let top = self.top(plot, n);
            if n > 0 {
                let thin = Stroke::solid(style::GRID, 2);
                plot.pen.path(&[(MARGIN, top), (plot.right, top)], thin);
            }
        }
    }
}

/// A name on one line, cut where it would take too much room.
pub(super) fn cut(name: &str, room: i32) -> Vec<String> {
    let lines = words::wrap(&words::clean(name), BODY, room);
    let more = if lines.len() > 1 { ".." } else { "" };
    lines
        .first()
        .map(|it| format!("{it}{more}"))
        .into_iter()
        .collect()
}

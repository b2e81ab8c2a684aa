//! What every chart has around its drawing: the title and its lines above, notes and the
//! caution below, and the legend in rows.

use plotters::style::RGBColor;

use super::canvas::{Canvas, Hang};
use super::style::{self, BODY, LINE, MARGIN, TITLE};
use super::{ChartError, words};

/// The words around a drawing, broken into lines.
pub(super) struct Page {
    title: Vec<String>,
    head: Vec<(String, RGBColor)>,
    below: Vec<String>,
}

impl Page {
    /// The title, the lines under it with their colours, and what stands at the foot.
    pub fn new<'a>(
        title: &str,
        head: &[(&str, RGBColor)],
        below: impl Iterator<Item = &'a String>,
    ) -> Self {
        let wide = style::WIDTH - 2 * MARGIN;
        let broken = |text: &str, size| words::wrap(&words::clean(text), size, wide);
        Self {
            title: broken(title, TITLE),
            head: head
                .iter()
                .flat_map(|(text, colour)| {
                    broken(text, BODY).into_iter().map(move |it| (it, *colour))
                })
                .collect(),
            below: below.flat_map(|text| broken(text, BODY)).collect(),
        }
    }

    /// Where the drawing may begin.
    pub fn top(&self) -> i32 {
        MARGIN + height(self.title.len(), TITLE + 10) + height(self.head.len(), LINE)
    }

    /// How much room the foot needs below the drawing.
    pub fn after(&self) -> i32 {
        height(self.below.len(), LINE) + 20 + MARGIN
    }

    /// Draws the paper and the words around a drawing that ends at `foot`.
    pub fn draw(&self, canvas: &mut Canvas, foot: i32) -> Result<(), ChartError> {
        canvas.layer("paper", |pen| {
            pen.fill((0, 0), (style::WIDTH, foot + self.after()), style::PAPER)
        })?;
        canvas.layer("words", |pen| {
            let mut y = MARGIN + TITLE / 2;
            for line in &self.title {
                pen.text((MARGIN, y), Hang::Left, TITLE, style::INK, line)?;
                y += TITLE + 10;
            }
            for (line, colour) in &self.head {
                pen.text((MARGIN, y), Hang::Left, BODY, *colour, line)?;
                y += LINE;
            }
            let mut y = foot + 20 + LINE / 2;
            for line in &self.below {
                pen.text((MARGIN, y), Hang::Left, BODY, style::INK, line)?;
                y += LINE;
            }
            Ok(())
        })
    }
}

/// Height of so many lines of text.
pub(super) fn height(lines: usize, each: i32) -> i32 {
    i32::try_from(lines).unwrap_or(0).saturating_mul(each)
}

/// Width of a legend's sample.
pub(super) const SAMPLE: i32 = 74;

/// A legend in rows no wider than the paper: each key with its place and words.
pub(super) fn legend<K>(keys: Vec<(K, String)>) -> Vec<Vec<(i32, K, String)>> {
    let mut rows = Vec::new();
    let mut row = Vec::new();
    let mut x = MARGIN;
    for (key, text) in keys {
        let wide = SAMPLE + 16 + words::width(&text, BODY) + 40;
        if x + wide > style::WIDTH - MARGIN && !row.is_empty() {
            rows.push(std::mem::take(&mut row));
            x = MARGIN;
        }
        row.push((x, key, text));
        x += wide;
    }
    if !row.is_empty() {
        rows.push(row);
    }
    rows
}

/// Draws a legend from `top` down; `sample` draws a key's sample from a point to its right.
pub(super) fn draw_legend<K: Copy>(
    canvas: &mut Canvas,
    rows: &[Vec<(i32, K, String)>],
    top: i32,
    sample: impl Fn(&super::canvas::Pen, (i32, i32), K) -> Result<(), ChartError>,
) -> Result<(), ChartError> {
    canvas.layer("legend", |pen| {
        let mut y = top + LINE / 2;
        for row in rows {
            for (x, key, text) in row {
                sample(pen, (*x, y), *key)?;
                let at = (x + SAMPLE + 16, y);
                pen.text(at, Hang::Left, BODY, style::INK, text)?;
            }
            y += LINE;
        }
        Ok(())
    })
}

/// A dose in a unit, exact, without the unit's label.
pub(super) fn figure(dose: crate::quantity::Dose, unit: crate::quantity::DoseUnit) -> String {
    let whole = dose.display(unit);
    let number = whole.trim_end_matches(unit.symbol());
    number.trim_end().to_owned()
}

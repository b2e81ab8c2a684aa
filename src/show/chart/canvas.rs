//! The sheet of paper and the pen: thin words over the plotters backend.

use plotters::coord::Shift;
use plotters::element::{Circle, PathElement, Polygon, Rectangle, Text};
use plotters::prelude::{DrawingArea, IntoDrawingArea, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, RGBColor, TextStyle};

use super::ChartError;
use super::style::{self, Stroke};
use super::words;

/// A drawing in the making: named layers, one above the other.
pub(super) struct Canvas {
    height: i32,
    body: String,
}

/// Where a text hangs from its point; the point is always half-way up the small letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hang {
    Left,
    Middle,
    Right,
}

/// Draws into one layer.
pub(super) struct Pen<'a, 'b>(&'b DrawingArea<SVGBackend<'a>, Shift>);

impl Canvas {
    pub fn new(height: i32) -> Self {
        Self {
            height,
            body: String::new(),
        }
    }

    /// Draws one layer, which becomes a group of that class.
    pub fn layer(
        &mut self,
        class: &str,
        draw: impl FnOnce(&Pen) -> Result<(), ChartError>,
    ) -> Result<(), ChartError> {
        let size = (style::WIDTH.unsigned_abs(), self.height.unsigned_abs());
        let mut text = String::new();
        {
            let area = SVGBackend::with_string(&mut text, size).into_drawing_area();
            draw(&Pen(&area))?;
            area.present()
                .map_err(|e| ChartError::Draw(e.to_string()))?;
        }
        // The backend writes a whole document each time; only what is inside is wanted.
        let inside = text
            .split_once(">\n")
            .and_then(|(_, rest)| rest.trim_end().strip_suffix("</svg>"))
            .ok_or_else(|| ChartError::Draw("the backend wrote no document".to_owned()))?;
        self.body
            .push_str(&format!("<g class=\"{class}\">\n{inside}</g>\n"));
        Ok(())
    }

    /// The whole document, with its title and its description in words.
    pub fn finish(self, title: &str, description: &str) -> String {
        let (wide, high) = (style::WIDTH, self.height);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{}mm\" \
             height=\"{}mm\" viewBox=\"0 0 {wide} {high}\">\n<title>{}</title>\n\
             <desc>{}</desc>\n{}</svg>\n",
            tenths(wide),
            tenths(high),
            escape(title),
            escape(description),
            self.body,
        )
    }
}

fn tenths(units: i32) -> String {
    format!("{}.{}", units / 10, units % 10)
}

/// Text as XML carries it.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in words::clean(text).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            other => out.push(other),
        }
    }
    out
}

impl Pen<'_, '_> {
    fn check<E: std::error::Error + Send + Sync>(
        result: Result<(), plotters::drawing::DrawingAreaErrorKind<E>>,
    ) -> Result<(), ChartError> {
        result.map_err(|e| ChartError::Draw(e.to_string()))
    }

    /// A path; dashed ones may run only level and upright.
    pub fn path(&self, points: &[(i32, i32)], stroke: Stroke) -> Result<(), ChartError> {
        for piece in style::pieces(points, stroke.dash) {
            let look = stroke.colour.stroke_width(stroke.width);
            Self::check(self.0.draw(&PathElement::new(piece, look)))?;
        }
        Ok(())
    }

    /// A filled box, given by two corners.
    pub fn fill(
        &self,
        from: (i32, i32),
        to: (i32, i32),
        colour: RGBColor,
    ) -> Result<(), ChartError> {
        Self::check(self.0.draw(&Rectangle::new([from, to], colour.filled())))
    }

    /// A box's outline, given by two corners.
    pub fn frame(
        &self,
        from: (i32, i32),
        to: (i32, i32),
        stroke: Stroke,
    ) -> Result<(), ChartError> {
        let around = [from, (to.0, from.1), to, (from.0, to.1), from];
        self.path(&around, stroke)
    }

    /// A box in slanted stripes, given by its upper left and lower right corner.
    pub fn hatch(
        &self,
        (left, up): (i32, i32),
        (right, down): (i32, i32),
        stroke: Stroke,
    ) -> Result<(), ChartError> {
        const APART: i32 = 12;
        let high = down - up;
        let mut x = left - high + APART;
        while x < right {
            // From the floor at `x` up to the right, cut at both sides.
            let from = x.max(left);
            let to = (x + high).min(right);
            if to > from {
                self.path(&[(from, down - (from - x)), (to, down - (to - x))], stroke)?;
            }
            x += APART;
        }
        Ok(())
    }

    /// A dot.
    pub fn dot(&self, at: (i32, i32), radius: i32, colour: RGBColor) -> Result<(), ChartError> {
        Self::check(self.0.draw(&Circle::new(at, radius, colour.filled())))
    }

    /// A filled shape.
    pub fn shape(&self, points: &[(i32, i32)], colour: RGBColor) -> Result<(), ChartError> {
        Self::check(self.0.draw(&Polygon::new(points.to_vec(), colour.filled())))
    }

    /// One line of text.
    pub fn text(
        &self,
        at: (i32, i32),
        hang: Hang,
        size: i32,
        colour: RGBColor,
        text: &str,
    ) -> Result<(), ChartError> {
        let h = match hang {
            Hang::Left => HPos::Left,
            Hang::Middle => HPos::Center,
            Hang::Right => HPos::Right,
        };
        // The backend divides a font's size by 1.24.
        let look = TextStyle::from((style::FONTS, f64::from(size) * 1.24))
            .color(&colour)
            .pos(Pos::new(h, VPos::Center));
        Self::check(self.0.draw(&Text::new(words::clean(text), at, look)))
    }

    /// One line of text on a patch of paper, so that a line behind does not strike it through.
    pub fn patch(
        &self,
        at: (i32, i32),
        hang: Hang,
        colour: RGBColor,
        text: &str,
    ) -> Result<(), ChartError> {
        let area = Patch::of(at, hang, text);
        self.fill(
            (area.left, area.top),
            (area.right, area.bottom),
            style::PAPER,
        )?;
        self.text(at, hang, style::BODY, colour, text)
    }
}

/// The room that a text in body size takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Patch {
    pub left: i32,
    pub right: i32,
    pub top: i32,
    pub bottom: i32,
}

impl Patch {
    pub fn of(at: (i32, i32), hang: Hang, text: &str) -> Self {
        let wide = words::width(text, style::BODY);
        let left = match hang {
            Hang::Left => at.0,
            Hang::Middle => at.0 - wide / 2,
            Hang::Right => at.0 - wide,
        };
        let half = style::LINE / 2;
        Self {
            left: left - 5,
            right: left + wide + 5,
            top: at.1 - half,
            bottom: at.1 + half,
        }
    }

    pub fn meets(&self, other: &Patch) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
}

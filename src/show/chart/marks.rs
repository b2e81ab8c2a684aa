//! The marks of all charts, alike on the field and in the legend.

use plotters::style::RGBColor;

use super::style::{self, Stroke};
use super::svg::{Spot, Svg};

/// Width of a legend's sample.
pub(super) const SAMPLE: i32 = 74;

/// What a mark or a legend's sample is made of, the lowest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// A shape with half its size.
    Full(Shape, i32, RGBColor),
    /// The same, of paper within an edge.
    Open(Shape, i32, RGBColor),
    /// A short upright of half that height.
    Upright(i32, Stroke),
    /// A level line, in a legend alone.
    Line(Stroke),
    /// A pale field between two edges, in a legend alone.
    Band,
    /// A bar, in a legend alone.
    Bar(Fill),
    /// A line that runs on to its end, in a legend alone.
    RunOn,
}

/// The outlines that a grey copy keeps apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Circle,
    Square,
    Diamond,
    Triangle,
    /// A triangle that points to the right.
    Arrow,
    Cross,
}

/// What a bar rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    Solid,
    Hatched,
    Open,
}

/// A line of the legend: its sample and its words.
pub(super) type Key = (Vec<Part>, String);

impl Svg {
    /// Draws a mark at its place.
    pub fn mark(&self, at: Spot, parts: &[Part]) {
        let (x, y) = at;
        let (left, right) = (x - SAMPLE / 2, x + SAMPLE / 2);
        for part in parts {
            match *part {
                Part::Full(shape, half, colour) => self.outline(at, shape, half, colour),
                Part::Open(shape, half, colour) => {
                    let inner = match shape {
                        Shape::Triangle => half * 3 / 5,
                        Shape::Diamond => half - 6,
                        _ => half - 4,
                    };
                    self.outline(at, shape, half, colour);
                    self.outline(at, shape, inner, style::PAPER);
                }
                Part::Upright(half, stroke) => self.path(&[(x, y - half), (x, y + half)], stroke),
                Part::Line(stroke) => self.path(&[(left, y), (right, y)], stroke),
                Part::Band => self.band(
                    &[(left, y + 11), (right, y + 11)],
                    &[(left, y - 11), (right, y - 11)],
                ),
                Part::Bar(fill) => self.bar((left, y - 11), (right, y + 11), fill),
                Part::RunOn => self.run_on(left, right, y),
            }
        }
    }

    fn outline(&self, (x, y): Spot, shape: Shape, half: i32, colour: RGBColor) {
        match shape {
            Shape::Circle => self.dot((x, y), half, colour),
            Shape::Square => self.fill((x - half, y - half), (x + half, y + half), colour),
            Shape::Diamond => {
                let sides = [(x - half, y), (x, y - half), (x + half, y), (x, y + half)];
                self.shape(&sides, colour);
            }
            Shape::Triangle => {
                let low = y + half * 2 / 3;
                self.shape(&[(x - half, low), (x + half, low), (x, y - half)], colour);
            }
            Shape::Arrow => {
                self.shape(&[(x, y - half), (x, y + half), (x + 2 * half, y)], colour);
            }
            Shape::Cross => {
                let line = Stroke::solid(colour, 6);
                self.path(&[(x - half, y - half), (x + half, y + half)], line);
                self.path(&[(x - half, y + half), (x + half, y - half)], line);
            }
        }
    }

    /// A pale field between two edges, which a copy keeps.
    pub fn band(&self, low: &[Spot], high: &[Spot]) {
        let around: Vec<Spot> = low.iter().chain(high.iter().rev()).copied().collect();
        self.shape(&around, style::BAND);
        self.path(low, style::BAND_EDGE);
        self.path(high, style::BAND_EDGE);
    }

    /// A bar between its upper left and lower right corner.
    pub fn bar(&self, from: Spot, to: Spot, fill: Fill) {
        match fill {
            Fill::Solid => self.fill(from, to, style::DOSE),
            Fill::Hatched => self.hatch(from, to, style::HATCH),
            Fill::Open => {}
        }
        self.frame(from, to, Stroke::solid(style::DOSE, 3));
    }

    /// A level line on to an end.
    pub fn run_on(&self, from: i32, to: i32, y: i32) {
        let line = Stroke::solid(style::INK, 3);
        self.path(&[(from, y), (to, y)], line);
        self.path(&[(to, y - 11), (to, y + 11)], line);
    }
}

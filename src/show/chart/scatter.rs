//! Readings against badge results, a mark a wear period, with the rule set's band.
//!
//! Both axes have the same scale, so that agreement is the slanted line. What is beyond the band
//! has a number, which the list at the right explains.

use super::axis::Axis;
use super::frame::{Frame, Plot, height};
use super::marks::{Key, Part, Shape};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::svg::{Hang, Patch};
use super::{ChartError, words};
use crate::quantity::{Dose, DoseUnit};
use crate::show::fine;

/// All that the chart shows.
#[derive(Debug, Clone)]
pub struct Scatter {
    /// As `Readings against badges, periods that ended 2026-01-01 to 2026-06-05`.
    pub title: String,
    /// Which dose, as it begins a sentence.
    pub quantity: String,
    /// The unit that all figures are printed in.
    pub unit: DoseUnit,
    /// The wear periods that have both figures.
    pub points: Vec<Point>,
    /// The band in thousandths of the result, where the rule set has one.
    pub band_permille: Option<i64>,
    /// The dose below which nothing is compared.
    pub minimum: Option<Dose>,
    /// Lines printed below.
    pub notes: Vec<String>,
    /// The line that says whom to ask; printed last, whole.
    pub caution: String,
}

/// One wear period.
#[derive(Debug, Clone)]
pub struct Point {
    /// Whose and when, as `W04 B-0123`.
    pub label: String,
    /// The result; for what is below a minimum, the minimum.
    pub result: Dose,
    /// Whether the result lies somewhere from zero to that.
    pub below_minimum: bool,
    /// The sum of the readings.
    pub readings: Dose,
    /// What came of the comparison; the chart judges nothing.
    pub kind: PointType,
}

/// What came of a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointType {
    /// Within the band, or too small to compare.
    Within,
    /// Beyond the band, whichever way.
    Beyond,
    /// The readings are a lower bound only.
    Incomplete,
}

impl PointType {
    fn mark(self) -> Part {
        match self {
            Self::Within => Part::Open(Shape::Circle, 10, style::INK),
            Self::Beyond => Part::Full(Shape::Diamond, 12, style::LIMIT),
            Self::Incomplete => Part::Full(Shape::Triangle, 13, style::INK),
        }
    }
}

/// Height and width of the field.
const FIELD: i32 = 720;
/// Most lines of the list at the right.
const LISTED: usize = 18;
const EQUAL: Stroke = Stroke::solid(style::QUIET, 3);
const BELOW: Stroke = Stroke::solid(style::INK, 2);

impl Scatter {
    fn beyond(&self) -> impl Iterator<Item = &Point> {
        let points = self.points.iter();
        points.filter(|it| it.kind == PointType::Beyond)
    }

    fn legend(&self) -> Vec<Key> {
        let within = PointType::Within.mark();
        let mut keys: Vec<Key> = Vec::new();
        let mut push = |parts: &[Part], text: &str| keys.push((parts.to_vec(), text.to_owned()));
        push(&[within], "within the band or too small");
        if self.beyond().next().is_some() {
            push(&[PointType::Beyond.mark()], "beyond the band");
        }
        let incomplete = |it: &Point| it.kind == PointType::Incomplete;
        if self.points.iter().any(incomplete) {
            push(
                &[PointType::Incomplete.mark()],
                "readings are a lower bound",
            );
        }
        if self.points.iter().any(|it| it.below_minimum) {
            let text = "result below its minimum: somewhere on the line";
            push(&[Part::Line(BELOW), within], text);
        }
        push(&[Part::Line(EQUAL)], "equal");
        if let Some(permille) = self.band_permille {
            let text = format!("band, {} of the result", percent(permille));
            push(&[Part::Band], &text);
        }
        if let Some(minimum) = self.minimum {
            let text = format!("not compared below {}", minimum.display(self.unit));
            push(&[Part::Line(style::TODAY)], &text);
        }
        keys
    }

    /// The chart as one SVG document, 160 mm wide.
    ///
    /// # Errors
    /// [`ChartError::Draw`] if the axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        let caption = self.caption();
        let most = self.points.iter().map(|it| it.result.max(it.readings));
        let most = most.chain(self.minimum).map(Dose::nsv).max().unwrap_or(0);
        let doses = Axis::doses(most.saturating_add(most / 20), self.unit);
        let mut frame = Frame {
            head: vec![(&caption, style::QUIET)],
            above: 2 * LINE,
            height: Some(FIELD),
            grid: [true, true],
            legend: self.legend(),
            ..Frame::new(
                &self.title,
                doses.clone(),
                doses,
                &self.notes,
                &self.caution,
            )
        };
        let across = format!("badge result, {}", self.unit.symbol());
        frame.under = vec![vec![(frame.x.last / 2, across)]];
        frame.right = style::WIDTH - MARGIN - frame.left_edge() - FIELD;
        frame.draw(
            &self.description(),
            |plot| plot.pen.layer("band", || self.band(plot)),
            |plot| {
                let pen = &plot.pen;
                pen.layer("lines", || self.lines(plot));
                pen.layer("marks", || self.marks(plot));
                pen.layer("numbers", || self.numbers(plot));
                pen.layer("list", || self.list(plot));
                let text = format!("readings, {}", self.unit.symbol());
                let at = (MARGIN, plot.top - LINE - 2);
                pen.say(at, Hang::Left, style::QUIET, &text);
            },
        )
    }

    fn caption(&self) -> String {
        format!(
            "{} in {}: readings (up) against the badge's result (across); {}, {} \
             beyond the band.",
            self.quantity,
            self.unit.symbol(),
            crate::text::counted(self.points.len(), "period", "periods"),
            self.beyond().count()
        )
    }

    /// The band as a pale field between its two edges, both through zero.
    fn band(&self, plot: &Plot) {
        let (Some(permille), top) = (self.band_permille, plot.most()) else {
            return;
        };
        let steep = 1000_i64.saturating_add(permille).max(1);
        let part = |of: i64, share: i64, whole: i64| {
            let part = i128::from(of) * i128::from(share) / i128::from(whole);
            i64::try_from(part).unwrap_or(top)
        };
        // The upper edge leaves the field at its top; the lower is that one turned about, for the
        // band is symmetric in ratio.
        let upper = plot.at(part(top, 1000, steep), top);
        let lower = plot.at(top, part(top, 1000, steep));
        let (zero, corner) = (plot.at(0, 0), plot.at(top, top));
        plot.pen.shape(&[zero, upper, corner, lower], style::BAND);
        plot.pen.path(&[zero, upper], style::BAND_EDGE);
        plot.pen.path(&[zero, lower], style::BAND_EDGE);
    }

    /// Where both are equal, and below what nothing is compared.
    fn lines(&self, plot: &Plot) {
        let top = plot.most();
        plot.pen.path(&[plot.at(0, 0), plot.at(top, top)], EQUAL);
        if let Some(minimum) = self.minimum.map(Dose::nsv) {
            let corner = [(0, minimum), (minimum, minimum), (minimum, 0)];
            plot.pen
                .path(&corner.map(|(x, y)| plot.at(x, y)), style::TODAY);
        }
    }

    fn marks(&self, plot: &Plot) {
        for point in &self.points {
            let at = plot.at(point.result.nsv(), point.readings.nsv());
            if point.below_minimum {
                plot.pen.path(&[(plot.left, at.1), at], BELOW);
            }
            plot.pen.mark(at, &[point.kind.mark()]);
            plot.take(Patch::around(at, 10));
        }
    }

    /// The number of each period beyond the band, beside its mark where there is room.
    fn numbers(&self, plot: &Plot) {
        for (point, n) in self.beyond().take(LISTED).zip(1..) {
            let number = n.to_string();
            let (x, y) = plot.at(point.result.nsv(), point.readings.nsv());
            let spots = [
                ((x + 18, y), Hang::Left),
                ((x - 18, y), Hang::Right),
                ((x, y - LINE), Hang::Middle),
                ((x, y + LINE), Hang::Middle),
            ];
            for (spot, hang) in spots {
                let patch = Patch::of(spot, hang, &number);
                if patch.left > plot.left && plot.free(patch) {
                    plot.pen.say(spot, hang, style::INK, &number);
                    break;
                }
            }
        }
    }

    fn list(&self, plot: &Plot) {
        let left = plot.right + 40;
        let room = style::WIDTH - MARGIN - left;
        let mut lines = match self.beyond().next() {
            None => words::wrap("No period is beyond the band.", BODY, room),
            Some(_) => Vec::new(),
        };
        for (at, point) in self.beyond().enumerate().take(LISTED) {
            let words = format!("{} {}: {}", at + 1, point.label, self.compared(point));
            lines.extend(words::wrap(&words::clean(&words), BODY, room));
        }
        let most = usize::try_from(FIELD / LINE).unwrap_or(LISTED);
        let more = lines.len() > most || self.beyond().count() > LISTED;
        if more {
            lines.truncate(most.saturating_sub(1));
            lines.push("... the rest: dose reconcile".to_owned());
        }
        for (line, n) in lines.iter().zip(0..) {
            let at = (left, plot.top + LINE / 2 + height(n));
            plot.pen.say(at, Hang::Left, style::INK, line);
        }
    }

    fn compared(&self, point: &Point) -> String {
        let below = if point.below_minimum { "below " } else { "" };
        let bound = if point.kind == PointType::Incomplete {
            "at least "
        } else {
            ""
        };
        format!(
            "{bound}{} against {below}{}",
            fine::figure(point.readings, self.unit, !bound.is_empty()),
            fine::dose(point.result, self.unit, false)
        )
    }

    /// The chart in words.
    fn description(&self) -> String {
        let mut text = self.caption();
        for point in &self.points {
            let beyond = match point.kind {
                PointType::Beyond => ", beyond the band",
                PointType::Within | PointType::Incomplete => "",
            };
            let compared = self.compared(point);
            text.push_str(&format!(" {}: {compared}{beyond}.", point.label));
        }
        text
    }
}

fn percent(permille: i64) -> String {
    match permille % 10 {
        0 => format!("{} %", permille / 10),
        tenth => format!("{}.{tenth} %", permille / 10),
    }
}

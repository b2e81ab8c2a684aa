//! Readings against badge results, a mark a wear period, with the scheme's band.
//!
//! Both axes have the same scale, so that agreement is the slanted line. What is beyond the band
//! has a number, which the list at the right explains.

use super::canvas::{Canvas, Hang, Patch, Pen};
use super::page::{self, Page, SAMPLE};
use super::scale::{DoseScale, round_step};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::wear_layout::Scale;
use super::{ChartError, words};
use crate::quantity::{Dose, DoseUnit};

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
    /// The band in thousandths of the result, where the scheme has one.
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
    pub sort: PointSort,
}

/// What came of a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointSort {
    /// Within the band, or too small to compare.
    Within,
    /// Beyond the band, whichever way.
    Beyond,
    /// The readings are a lower bound only.
    Incomplete,
}

#[derive(Clone, Copy)]
enum Key {
    Within,
    Beyond,
    Incomplete,
    BelowMinimum,
    Equal,
    Band,
    Minimum,
}

/// Height and width of the field.
const FIELD: i32 = 720;
/// Most lines of the list at the right.
const LISTED: usize = 18;
const FLOOR: i32 = 2 * LINE + 18;

struct Plot {
    across: Scale,
    up: DoseScale,
    step: i64,
    legend: Vec<Vec<(i32, Key, String)>>,
}

impl Plot {
    fn at(&self, result: i64, readings: i64) -> (i32, i32) {
        (self.across.at(result), self.up.y(readings))
    }

    fn foot(&self) -> i32 {
        self.up.lower + FLOOR + page::height(self.legend.len(), LINE)
    }
}

impl Scatter {
    fn beyond(&self) -> impl Iterator<Item = &Point> {
        let points = self.points.iter();
        points.filter(|it| it.sort == PointSort::Beyond)
    }

    fn legend(&self) -> Vec<(Key, String)> {
        let mut keys = vec![(Key::Within, "within the band or too small".to_owned())];
        if self.beyond().next().is_some() {
            keys.push((Key::Beyond, "beyond the band".to_owned()));
        }
        let incomplete = |it: &Point| it.sort == PointSort::Incomplete;
        if self.points.iter().any(incomplete) {
            keys.push((Key::Incomplete, "readings are a lower bound".to_owned()));
        }
        if self.points.iter().any(|it| it.below_minimum) {
            let text = "result below its minimum: somewhere on the line";
            keys.push((Key::BelowMinimum, text.to_owned()));
        }
        keys.push((Key::Equal, "equal".to_owned()));
        if let Some(permille) = self.band_permille {
            let text = format!("band, {} of the result", percent(permille));
            keys.push((Key::Band, text));
        }
        if let Some(minimum) = self.minimum {
            let text = format!("not compared below {}", minimum.display(self.unit));
            keys.push((Key::Minimum, text));
        }
        keys
    }

    fn plot(&self, top: i32) -> Plot {
        let most = self.points.iter().map(|it| it.result.max(it.readings));
        let most = most.chain(self.minimum).map(Dose::nsv).max().unwrap_or(0);
        let need = most.saturating_add(most / 20).max(10);
        let step = round_step(need, 6);
        let ceiling = need.saturating_add(step - 1) / step * step;
        let figures: Vec<String> = super::year_layout::ticks(step, ceiling)
            .map(|it| page::figure(Dose::from_nsv(it), self.unit))
            .collect();
        let left = MARGIN + words::widest(&figures, BODY) + 22;
        Plot {
            across: Scale {
                first: 0,
                last: ceiling,
                from: left,
                to: left + FIELD,
            },
            up: DoseScale {
                top: ceiling,
                upper: top,
                lower: top + FIELD,
            },
            step,
            legend: page::legend(self.legend()),
        }
    }

    /// The chart as one SVG document, 160 mm wide.
    ///
    /// # Errors
    /// [`ChartError::Draw`] if the drawing backend fails.
    pub fn svg(&self) -> Result<String, ChartError> {
        let caption = self.caption();
        let page = Page::new(
            &self.title,
            &[(&caption, style::QUIET)],
            self.notes.iter().chain([&self.caution]),
        );
        let plot = self.plot(page.top() + 2 * LINE);
        let mut canvas = Canvas::new(plot.foot() + page.after());
        page.draw(&mut canvas, plot.foot())?;
        canvas.layer("band", |pen| self.band(pen, &plot))?;
        canvas.layer("axes", |pen| self.axes(pen, &plot))?;
        canvas.layer("marks", |pen| self.marks(pen, &plot))?;
        canvas.layer("numbers", |pen| self.numbers(pen, &plot))?;
        canvas.layer("list", |pen| self.list(pen, &plot))?;
        page::draw_legend(&mut canvas, &plot.legend, plot.up.lower + FLOOR, sample)?;
        Ok(canvas.finish(&self.title, &self.description()))
    }

    fn caption(&self) -> String {
        format!(
            "{} in {}: readings (up) against the badge's result (across); {} periods, {} \
             beyond the band.",
            self.quantity,
            self.unit.symbol(),
            self.points.len(),
            self.beyond().count()
        )
    }

    /// The band as a pale field between its two edges, both through zero.
    fn band(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        let top = plot.up.top;
        if let Some(permille) = self.band_permille {
            let steep = 1000_i64.saturating_add(permille).max(1);
            // The upper edge leaves the field at its top.
            let x = i128::from(top) * 1000 / i128::from(steep);
            let upper = plot.at(i64::try_from(x).unwrap_or(top), top);
            // The band is symmetric in ratio: the lower edge is the upper one turned about.
            let lower = plot.at(top, i64::try_from(x).unwrap_or(top));
            let (zero, corner) = (plot.at(0, 0), plot.at(top, top));
            pen.shape(&[zero, upper, corner, lower], style::BAND)?;
            pen.path(&[zero, upper], style::BAND_EDGE)?;
            pen.path(&[zero, lower], style::BAND_EDGE)?;
        }
        if let Some(minimum) = self.minimum {
            let at = plot.at(minimum.nsv(), minimum.nsv());
            let corner = [(plot.across.from, at.1), at, (at.0, plot.up.lower)];
            pen.path(&corner, style::TODAY)?;
        }
        pen.path(&[plot.at(0, 0), plot.at(top, top)], EQUAL)
    }

    fn axes(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        let (left, right) = (plot.across.from, plot.across.to);
        let (upper, lower) = (plot.up.upper, plot.up.lower);
        let mut last = i32::MIN;
        for nsv in super::year_layout::ticks(plot.step, plot.up.top) {
            let text = page::figure(Dose::from_nsv(nsv), self.unit);
            let (x, y) = plot.at(nsv, nsv);
            let tick = Stroke::solid(style::INK, 3);
            pen.path(&[(left - 10, y), (left, y)], tick)?;
            pen.path(&[(x, lower), (x, lower + 10)], tick)?;
            pen.text((left - 20, y), Hang::Right, BODY, style::QUIET, &text)?;
            let half = words::width(&text, BODY) / 2;
            if x - half > last {
                let at = (x, lower + 26);
                pen.text(at, Hang::Middle, BODY, style::QUIET, &text)?;
                last = x + half + 8;
            }
        }
        let frame = Stroke::solid(style::INK, 3);
        pen.path(&[(left, upper), (left, lower), (right, lower)], frame)?;
        let at = (left, lower + 26 + LINE);
        let words = format!("badge result, {}", self.unit.symbol());
        pen.text(at, Hang::Left, BODY, style::QUIET, &words)?;
        let at = (MARGIN, upper - LINE - 2);
        let words = format!("readings, {}", self.unit.symbol());
        pen.text(at, Hang::Left, BODY, style::QUIET, &words)
    }

    fn marks(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        for point in &self.points {
            let at = plot.at(point.result.nsv(), point.readings.nsv());
            if point.below_minimum {
                let from = (plot.across.from, at.1);
                pen.path(&[from, at], Stroke::solid(style::INK, 2))?;
            }
            mark(pen, at, point.sort)?;
        }
        Ok(())
    }

    /// The number of each period beyond the band, right of its mark or left of it.
    fn numbers(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        let marks = self.points.iter().map(|it| {
            let (x, y) = plot.at(it.result.nsv(), it.readings.nsv());
            Patch {
                left: x - 10,
                right: x + 10,
                top: y - 10,
                bottom: y + 10,
            }
        });
        let mut taken: Vec<Patch> = marks.collect();
        for (at, point) in self.beyond().enumerate().take(LISTED) {
            let number = (at + 1).to_string();
            let (x, y) = plot.at(point.result.nsv(), point.readings.nsv());
            let spots = [
                ((x + 18, y), Hang::Left),
                ((x - 18, y), Hang::Right),
                ((x, y - LINE), Hang::Middle),
                ((x, y + LINE), Hang::Middle),
            ];
            for (spot, hang) in spots {
                let patch = Patch::of(spot, hang, &number);
                if patch.left > plot.across.from && super::worker_year::free(&mut taken, patch) {
                    pen.text(spot, hang, BODY, style::INK, &number)?;
                    break;
                }
            }
        }
        Ok(())
    }

    fn list(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        let left = plot.across.to + 40;
        let room = style::WIDTH - MARGIN - left;
        let mut y = plot.up.upper + LINE / 2;
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
        for line in lines {
            pen.text((left, y), Hang::Left, BODY, style::INK, &line)?;
            y += LINE;
        }
        Ok(())
    }

    fn compared(&self, point: &Point) -> String {
        let below = if point.below_minimum { "below " } else { "" };
        let bound = if point.sort == PointSort::Incomplete {
            "at least "
        } else {
            ""
        };
        format!(
            "{bound}{} against {below}{}",
            page::figure(point.readings, self.unit),
            point.result.display(self.unit)
        )
    }

    /// The chart in words.
    fn description(&self) -> String {
        let mut text = self.caption();
        for point in &self.points {
            let beyond = match point.sort {
                PointSort::Beyond => ", beyond the band",
                PointSort::Within | PointSort::Incomplete => "",
            };
            let compared = self.compared(point);
            text.push_str(&format!(" {}: {compared}{beyond}.", point.label));
        }
        for line in self.notes.iter().chain([&self.caution]) {
            text.push(' ');
            text.push_str(line);
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

const EQUAL: Stroke = Stroke::solid(style::QUIET, 3);

fn mark(pen: &Pen, (x, y): (i32, i32), sort: PointSort) -> Result<(), ChartError> {
    match sort {
        PointSort::Within => {
            pen.dot((x, y), 9, style::INK)?;
            pen.dot((x, y), 6, style::PAPER)
        }
        PointSort::Beyond => {
            let sides = [(x - 12, y), (x, y - 12), (x + 12, y), (x, y + 12)];
            pen.shape(&sides, style::LIMIT)
        }
        PointSort::Incomplete => {
            let sides = [(x - 11, y + 8), (x + 11, y + 8), (x, y - 13)];
            pen.shape(&sides, style::INK)
        }
    }
}

fn sample(pen: &Pen, (x, y): (i32, i32), key: Key) -> Result<(), ChartError> {
    let (from, to) = ((x, y), (x + SAMPLE, y));
    let middle = (x + SAMPLE / 2, y);
    match key {
        Key::Within => mark(pen, middle, PointSort::Within),
        Key::Beyond => mark(pen, middle, PointSort::Beyond),
        Key::Incomplete => mark(pen, middle, PointSort::Incomplete),
        Key::BelowMinimum => {
            pen.path(&[from, to], Stroke::solid(style::INK, 2))?;
            mark(pen, (to.0 - 10, y), PointSort::Within)
        }
        Key::Equal => pen.path(&[from, to], EQUAL),
        Key::Band => {
            pen.fill((from.0, y - 11), (to.0, y + 11), style::BAND)?;
            pen.path(&[(from.0, y - 11), (to.0, y - 11)], style::BAND_EDGE)?;
            pen.path(&[(from.0, y + 11), (to.0, y + 11)], style::BAND_EDGE)
        }
        Key::Minimum => pen.path(&[from, to], style::TODAY),
    }
}

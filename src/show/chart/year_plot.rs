//! Drawing a worker's year: levels, forecast, the curve and its marks.

use super::axis::{Axis, middle};
use super::frame::{Frame, Level, Plot};
use super::marks::{Key, Part, Shape};
use super::style::{self, BODY, LINE, Stroke};
use super::svg::{Hang, Patch, Spot};
use super::worker_year::{FanPoint, Standing, Step, WorkerYear};
use super::{ChartError, share_bars, words};
use crate::calendar::{Day, Span};
use crate::quantity::Dose;
use crate::show::fine;

/// From an undetermined step up to the tip of its arrow.
const ARROW: i32 = 64;
/// Printed in the field of a year without any dose.
const NOTHING: &str = "no dose in the ledger for this year";
const UNDETERMINED: &[Part] = &[Part::Open(Shape::Triangle, 19, style::INK)];

/// From zero up to the highest dose or level drawn, with room above the curve for its last figure
/// and for the arrows of undetermined days.
fn doses(chart: &WorkerYear, highest: i64) -> Axis {
    let most = chart.highest();
    let above = if chart.at_least() { most / 2 } else { most / 5 };
    let curve = most.saturating_add(above);
    Axis::doses(curve.max(highest.saturating_add(highest / 20)), chart.unit)
}

impl WorkerYear {
    /// Where a total stands on a day; what is outside the year lies on its edge.
    fn at(&self, plot: &Plot, day: Day, total: Dose) -> Spot {
        let day = day.clamp(self.span.first, self.span.last);
        plot.at(middle(self.span.first, day), total.nsv())
    }

    fn x(&self, plot: &Plot, day: Day) -> i32 {
        self.at(plot, day, Dose::ZERO).0
    }

    fn point(&self, plot: &Plot, step: &Step) -> Spot {
        self.at(plot, step.day, step.total)
    }
}

fn draw(
    chart: &WorkerYear,
    caption: &str,
    undetermined: Option<&str>,
    description: &str,
) -> Result<String, ChartError> {
    let reach = chart.reach();
    let levels = chart.levels.iter();
    let shown = levels.filter(|it| !it.other_span && (1..=reach).contains(&it.dose.nsv()));
    let levels: Vec<Level> = shown
        .map(|it| {
            let figure = it.dose.display(chart.unit);
            Level::new(
                &it.label,
                figure,
                it.dose.nsv(),
                share_bars::line_of(it.kind),
            )
        })
        .collect();
    let highest = levels.iter().map(|it| it.at).max().unwrap_or(0);
    let (first, last) = (chart.span.first, chart.span.last);
    let days = Axis::days(first, last, 14);
    let bars = share_bars::rows(chart);
    let mut frame = Frame {
        head: vec![(caption, style::QUIET)],
        under: vec![days.years(first)],
        levels,
        legend: legend(chart),
        panel: share_bars::height(&bars),
        ..Frame::new(
            &chart.title,
            days,
            doses(chart, highest),
            &chart.notes,
            &chart.caution,
        )
    };
    frame.notes.splice(0..0, undetermined);
    frame.draw(
        description,
        |plot| plot.pen.layer("fan", || fan(plot, chart)),
        |plot| {
            let pen = &plot.pen;
            if (first..=last).contains(&chart.today) {
                let at = (chart.x(plot, chart.today), plot.top);
                let text = format!("today {}", chart.today);
                pen.layer("today", || plot.upright(at, style::TODAY, &text));
            }
            pen.layer("curve", || curve(plot, chart));
            pen.layer("marks", || {
                let dots = has_room(chart);
                for step in chart.steps.iter().filter(|it| !it.undetermined) {
                    pen.mark(chart.point(plot, step), &[mark(step.standing, dots)]);
                }
            });
            pen.layer("bounds", || bounds(plot, chart));
            pen.layer("shares", || share_bars::draw(pen, &bars, plot.foot));
        },
    )
}

fn legend(chart: &WorkerYear) -> Vec<Key> {
    let mut keys: Vec<Key> = Vec::new();
    let mut push = |parts: &[Part], text: &str| keys.push((parts.to_vec(), text.to_owned()));
    for (standing, text) in [
        (Standing::OfRecord, "of record"),
        (Standing::Provisional, "provisional"),
    ] {
        if chart.steps.iter().any(|it| it.standing == standing) {
            let line = Part::Line(stroke_of(standing, false));
            push(&[line, mark(standing, has_room(chart))], text);
        }
    }
    if chart.at_least() {
        push(UNDETERMINED, "off-scale or undetermined");
        let line = Part::Line(style::PROVISIONAL_AT_LEAST);
        push(&[line], "dashed: lower bound, at least");
    }
    if !chart.fan.is_empty() {
        push(&[Part::Band], "forecast, 9 chances in 10");
        push(&[Part::Line(style::FAN_MIDDLE)], "its middle");
    }
    keys
}

/// The forecast: a pale field with thin edges and its middle.
fn fan(plot: &Plot, chart: &WorkerYear) {
    if chart.fan.is_empty() {
        return;
    }
    let along = |pick: fn(&FanPoint) -> Dose| -> Vec<Spot> {
        let points = chart.fan.iter();
        points.map(|it| chart.at(plot, it.day, pick(it))).collect()
    };
    plot.pen.band(&along(|it| it.low), &along(|it| it.high));
    plot.pen.path(&along(|it| it.median), style::FAN_MIDDLE);
}

/// The step line: a run for each stretch that is drawn alike. A stretch is an upright at its
/// step and the level up to the next.
fn curve(plot: &Plot, chart: &WorkerYear) {
    if chart.steps.is_empty() {
        return;
    }
    let mut at = (plot.left, plot.y(0));
    let mut run = vec![at];
    let mut stroke = style::PROVISIONAL;
    let mut at_least = false;
    for step in &chart.steps {
        let (x, y) = chart.point(plot, step);
        let x = x.max(at.0);
        run.push((x, at.1));
        at_least |= step.undetermined;
        let next = stroke_of(step.standing, at_least);
        if next != stroke {
            plot.pen.path(&run, stroke);
            run = vec![(x, at.1)];
            stroke = next;
        }
        run.push((x, y));
        at = (x, y);
    }
    let end = chart.x(plot, chart.end());
    if end > at.0 {
        run.push((end, at.1));
    }
    plot.pen.path(&run, stroke);
}

fn stroke_of(standing: Standing, at_least: bool) -> Stroke {
    match (standing, at_least) {
        (Standing::OfRecord, false) => style::OF_RECORD,
        (Standing::Provisional, false) => style::PROVISIONAL,
        (Standing::OfRecord, true) => style::OF_RECORD_AT_LEAST,
        (Standing::Provisional, true) => style::PROVISIONAL_AT_LEAST,
    }
}

/// Whether a dot a step has room; else a step has a short upright.
fn has_room(chart: &WorkerYear) -> bool {
    let (Some(first), Some(last)) = (chart.steps.first(), chart.steps.last()) else {
        return true;
    };
    let gaps = i64::try_from(chart.steps.len()).unwrap_or(i64::MAX) - 1;
    let days = (last.day - first.day).num_days();
    // So many dots side by side fill a field without words of levels.
    let fits = days.saturating_mul(62) / chart.span.days().max(1);
    gaps == 0 || gaps <= fits
}

fn mark(standing: Standing, dots: bool) -> Part {
    const THIN: Stroke = Stroke::solid(style::INK, 2);
    match (standing, dots) {
        (Standing::OfRecord, true) => Part::Full(Shape::Circle, 9, style::INK),
        (Standing::Provisional, true) => Part::Open(Shape::Circle, 9, style::INK),
        (Standing::OfRecord, false) => Part::Upright(13, THIN),
        (Standing::Provisional, false) => Part::Upright(9, THIN),
    }
}

/// What nobody has determined, with an arrow up and `at least`; and the last total in words.
fn bounds(plot: &Plot, chart: &WorkerYear) {
    let open = chart.steps.iter().filter(|it| it.undetermined);
    let points: Vec<Spot> = open.map(|it| chart.point(plot, it)).collect();
    for (x, y) in &points {
        let tip = (y - ARROW).max(plot.top);
        plot.pen.mark((*x, *y), UNDETERMINED);
        if y - 19 - tip > 16 {
            let line = [(*x, y - 19), (*x, tip + 12)];
            plot.pen.path(&line, Stroke::solid(style::INK, 3));
            let head = [(x - 9, tip + 16), (x + 9, tip + 16), (*x, tip)];
            plot.pen.shape(&head, style::INK);
        }
        plot.take(Patch {
            top: tip,
            bottom: *y,
            ..Patch::around((*x, *y), 10)
        });
    }
    if chart.steps.is_empty() {
        // A blank field must not read as a dose known to be zero.
        let at = (i32::midpoint(plot.left, plot.right), plot.lower - LINE);
        return plot.pen.patch(at, Hang::Middle, style::INK, NOTHING);
    }
    last_figure(plot, chart);
    for (x, y) in points {
        let spot = (x - 16, (y - ARROW).max(plot.top) + LINE / 2);
        let patch = Patch::of(spot, Hang::Right, "at least");
        if patch.left > plot.left {
            plot.say_where_free(spot, Hang::Right, style::INK, "at least");
        }
    }
}

/// The last total, right of the curve's end where there is room (nothing is drawn there), else
/// above and to the left of it (where a curve that only rises never is), clear of the arrows.
fn last_figure(plot: &Plot, chart: &WorkerYear) {
    let text = format!("{} by {}", chart.total_in_words(), chart.end());
    let wide = words::width(&text, BODY) + 10;
    let (x, y) = (chart.x(plot, chart.end()), plot.y(chart.total().nsv()));
    let lowest = plot.lower - LINE / 2 - 4;
    // A fan only rises: below its root there is room.
    let beside = if chart.fan.is_empty() {
        y.min(lowest)
    } else {
        y + LINE + 6
    };
    if x + 24 + wide <= plot.right && beside <= lowest {
        plot.say_where_free((x + 24, beside), Hang::Left, style::INK, &text);
        return;
    }
    let x = (x - 12).max(plot.left + wide);
    let mut y = (y - LINE).min(lowest);
    while !plot.say_where_free((x, y), Hang::Right, style::INK, &text) {
        y -= 4;
        if y < plot.top + LINE / 2 {
            return plot.pen.patch((x, y), Hang::Right, style::INK, &text);
        }
    }
}

impl WorkerYear {
    /// The chart as one SVG document, 160 mm wide and 110 mm high (higher only where many levels
    /// or notes need it).
    ///
    /// # Errors
    /// [`ChartError::Backwards`] if the year ends before it begins; [`ChartError::Draw`] if the
    /// axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        let Span { first, last } = self.span;
        if last < first {
            return Err(ChartError::Backwards { first, last });
        }
        let (caption, undetermined) = (self.caption(), self.undetermined_note());
        draw(self, &caption, undetermined.as_deref(), &self.description())
    }

    fn caption(&self) -> String {
        words::clean(&format!(
            "Cumulative {} in {}, {} to {}",
            self.quantity,
            self.unit.symbol(),
            self.span.first,
            self.span.last
        ))
    }

    /// Names the undetermined days, the first few in full.
    fn undetermined_note(&self) -> Option<String> {
        const NAMED: usize = 5;
        let days: Vec<_> = self
            .steps
            .iter()
            .filter(|s| s.undetermined)
            .map(|s| s.day)
            .collect();
        if days.is_empty() {
            return None;
        }
        let named: Vec<_> = days.iter().take(NAMED).map(ToString::to_string).collect();
        let more = days.len().saturating_sub(NAMED);
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        Some(format!(
            "Undetermined: {}{more}. The true dose is at least what is drawn; no upper bound.",
            named.join(", ")
        ))
    }

    /// The chart in words, for those who cannot see it.
    fn description(&self) -> String {
        let provisional = self
            .steps
            .iter()
            .filter(|s| s.standing == Standing::Provisional)
            .count();
        let mut text = format!(
            "{}. By {}: {}, in {}, {provisional} of them to a total with provisional dose in it.",
            self.caption(),
            self.end(),
            self.total_in_words(),
            crate::text::counted(self.steps.len(), "step", "steps"),
        );
        if self.steps.is_empty() {
            text.push_str(&format!(" There is {}.", NOTHING));
        }
        if let Some(end) = self.fan.last() {
            text.push_str(&format!(
                " Forecast for {}, an estimate: {} to {} with nine chances in ten, middle {}.",
                end.day,
                fine::dose(end.low, self.unit, true),
                fine::dose(end.high, self.unit, false),
                fine::dose(end.median, self.unit, false),
            ));
        }
        for row in share_bars::rows(self) {
            text.push_str(&format!(" {}: {}.", row.label(), row.figures));
        }
        text
    }
}

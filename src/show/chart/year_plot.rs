//! The upper panel of a worker's year: axes, levels, the curve and its marks, the legend.

use super::canvas::{Canvas, Hang, Patch, Pen};
use super::scale::{DayScale, DoseScale, round_step};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::worker_year::{Standing, Step, WorkerYear, free};
use super::{ChartError, Day, share_bars, words};

/// Room under the floor for the names of months and their year.
const MONTHS: i32 = 2 * LINE + 8;
/// The least height of the curve's field.
const LOWEST: i32 = 330;
/// From the field's right edge to the words of a level.
const LEADER: i32 = 26;
/// The widest that the words of a level may be.
const LABEL: i32 = 330;

/// Where everything stands.
pub(super) struct Plot {
    days: DayScale,
    doses: DoseScale,
    step: i64,
    labels: Vec<Label>,
    legend: Vec<Vec<(i32, Key)>>,
}

/// A level's words at the right edge.
struct Label {
    lines: Vec<String>,
    stroke: Stroke,
    nsv: i64,
    /// Middle of the words.
    y: i32,
}

impl Label {
    fn height(&self) -> i32 {
        i32::try_from(self.lines.len()).unwrap_or(1).saturating_mul(LINE) + 6
    }
}

/// One entry of the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Key {
    Step(Standing),
    AtLeast,
    Undetermined,
}

impl Key {
    fn words(self) -> &'static str {
        match self {
            Self::Step(Standing::OfRecord) => "step of record",
            Self::Step(Standing::Provisional) => "step provisional",
            Self::AtLeast => "dashed: lower bound, at least",
            Self::Undetermined => "off-scale or undetermined",
        }
    }
}

const SAMPLE: i32 = 90;

/// The highest level that is drawn as a line: past it the curve would lie in the lower two
/// fifths of the field. Where there is no dose yet, the lowest level is drawn.
pub(super) fn reach(chart: &WorkerYear) -> i64 {
    let most = chart.steps.iter().map(|s| s.total_nsv).max().unwrap_or(0);
    if most > 0 {
        return most.saturating_mul(5) / 2;
    }
    chart.levels.iter().map(|l| l.nsv).filter(|n| *n > 0).min().unwrap_or(0)
}

impl Plot {
    /// Lays the panel out from `top` to about `foot`, lower where the words need it.
    pub fn new(chart: &WorkerYear, top: i32, foot: i32) -> Self {
        let reach = reach(chart);
        let most = chart.steps.iter().map(|s| s.total_nsv).max().unwrap_or(0).max(0);
        let shown = || chart.levels.iter().filter(|l| l.nsv <= reach);
        let highest = shown().map(|l| l.nsv).max().unwrap_or(0);
        let need = most.saturating_add(most / 5).max(highest.saturating_add(highest / 20)).max(10);
        let step = round_step(need, 6);
        let ceiling = need.saturating_add(step - 1) / step * step;

        let mut labels: Vec<_> = shown()
            .map(|l| {
                let mut lines = words::wrap(&words::clean(&l.label), BODY, LABEL);
                lines.push(chart.unit.with_label(l.nsv));
                Label { lines, stroke: share_bars::line_of(l.sort), nsv: l.nsv, y: 0 }
            })
            .collect();
        labels.sort_by_key(|l| std::cmp::Reverse(l.nsv));
        let stacked: i32 = labels.iter().map(Label::height).sum();

        let ticks: Vec<_> = ticks(step, ceiling).map(|n| chart.unit.figure(n)).collect();
        let left = MARGIN + words::widest(&ticks, BODY) + 16;
        let wide = labels.iter().map(|l| words::widest(&l.lines, BODY)).max();
        let right = style::WIDTH - MARGIN - wide.map_or(0, |w| w + LEADER + 4);
        let legend = legend(chart, right.max(style::WIDTH * 3 / 4) - MARGIN);
        let rows = i32::try_from(legend.len()).unwrap_or(0);
        let lower = (foot - MONTHS - rows * LINE).max(top + LOWEST).max(top + stacked);

        let days = DayScale { first: chart.first, last: chart.last, left, right };
        let doses = DoseScale { top: ceiling, upper: top, lower };
        let mut plot = Self { days, doses, step, labels, legend };
        plot.stack();
        plot
    }

    /// The lower edge of the panel.
    pub fn foot(&self) -> i32 {
        let rows = i32::try_from(self.legend.len()).unwrap_or(0);
        self.doses.lower + MONTHS + rows * LINE
    }

    /// Sets the words of the levels as near to their lines as they fit without touching.
    fn stack(&mut self) {
        let mut lowest_top = self.doses.upper;
        for label in &mut self.labels {
            let half = label.height() / 2;
            label.y = self.doses.y(label.nsv).max(lowest_top + half);
            lowest_top = label.y + half;
        }
        let mut highest_foot = self.doses.lower;
        for label in self.labels.iter_mut().rev() {
            let half = label.height() / 2;
            label.y = label.y.min(highest_foot - half);
            highest_foot = label.y - half;
        }
    }

    fn point(&self, step: &Step) -> (i32, i32) {
        (self.days.middle(step.day), self.doses.y(step.total_nsv))
    }
}

fn ticks(step: i64, ceiling: i64) -> impl Iterator<Item = i64> {
    (0..=7).map(move |n| step.saturating_mul(n)).filter(move |n| *n <= ceiling)
}

/// The legend's entries in rows, each with its place.
fn legend(chart: &WorkerYear, room: i32) -> Vec<Vec<(i32, Key)>> {
    let mut keys = Vec::new();
    for standing in [Standing::OfRecord, Standing::Provisional] {
        if chart.steps.iter().any(|s| s.standing == standing) {
            keys.push(Key::Step(standing));
        }
    }
    if chart.at_least() {
        keys.extend([Key::Undetermined, Key::AtLeast]);
    }
    let mut rows = Vec::new();
    let mut row = Vec::new();
    let mut x = MARGIN;
    for key in keys {
        let wide = SAMPLE + words::width(key.words(), BODY) + 40;
        if x + wide > room && !row.is_empty() {
            rows.push(std::mem::take(&mut row));
            x = MARGIN;
        }
        row.push((x, key));
        x += wide;
    }
    if !row.is_empty() {
        rows.push(row);
    }
    rows
}

/// Draws the panel in its layers.
pub(super) fn draw(
    canvas: &mut Canvas,
    chart: &WorkerYear,
    plot: &Plot,
) -> Result<(), ChartError> {
    canvas.layer("axes", |pen| axes(pen, chart, plot))?;
    canvas.layer("levels", |pen| levels(pen, plot))?;
    if plot.days.holds(chart.today) {
        canvas.layer("today", |pen| today(pen, chart.today, plot))?;
    }
    canvas.layer("curve", |pen| curve(pen, chart, plot))?;
    canvas.layer("marks", |pen| marks(pen, chart, plot))?;
    canvas.layer("bounds", |pen| bounds(pen, chart, plot))?;
    canvas.layer("legend", |pen| draw_legend(pen, plot))
}

fn axes(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    let (days, doses) = (&plot.days, &plot.doses);
    for nsv in ticks(plot.step, doses.top) {
        let y = doses.y(nsv);
        pen.path(&[(days.left, y), (days.right, y)], Stroke::solid(style::GRID, 2))?;
        let figure = chart.unit.figure(nsv);
        pen.text((days.left - 12, y), Hang::Right, BODY, style::QUIET, &figure)?;
    }
    let mut year = None;
    for (day, name) in days.months(words::width("Mmm", BODY) + 14) {
        let from = days.start(day);
        pen.path(&[(from, doses.lower), (from, doses.lower + 10)], Stroke::solid(style::INK, 3))?;
        let to = days.start(days.month_end(day)).max(from);
        let half = words::width(&name, BODY) / 2;
        // A cut month is narrower than its name: keep clear of the neighbours.
        if to - from < 2 * half && day != days.first {
            continue;
        }
        let x = ((from + to) / 2).max(from + half);
        pen.text((x, doses.lower + 26), Hang::Middle, BODY, style::QUIET, &name)?;
        let this = chrono::Datelike::year(&day);
        if year != Some(this) {
            let text = this.to_string();
            pen.text((x, doses.lower + 26 + LINE), Hang::Middle, BODY, style::QUIET, &text)?;
            year = Some(this);
        }
    }
    let floor = [(days.left, doses.upper), (days.left, doses.lower), (days.right, doses.lower)];
    pen.path(&floor, Stroke::solid(style::INK, 3))
}

fn levels(pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
    let (left, right) = (plot.days.left, plot.days.right);
    for label in &plot.labels {
        let y = plot.doses.y(label.nsv);
        pen.path(&[(left, y), (right, y)], label.stroke)?;
        let thin = Stroke::solid(label.stroke.colour, 2);
        pen.path(&[(right, y), (right + LEADER - 6, label.y)], thin)?;
        let mut line = label.y - label.height() / 2 + 3 + LINE / 2;
        for text in &label.lines {
            pen.text((right + LEADER, line), Hang::Left, BODY, label.stroke.colour, text)?;
            line += LINE;
        }
    }
    Ok(())
}

fn today(pen: &Pen, day: Day, plot: &Plot) -> Result<(), ChartError> {
    let x = plot.days.middle(day);
    let above = plot.doses.upper - LINE / 2 - 6;
    pen.path(&[(x, plot.doses.lower), (x, above + LINE / 2)], style::TODAY)?;
    let words = format!("today {day}");
    let half = words::width(&words, BODY) / 2;
    let at = x.max(MARGIN + half).min(style::WIDTH - MARGIN - half);
    pen.text((at, above), Hang::Middle, BODY, style::INK, &words)
}

/// The step line: a run for each stretch that is drawn alike. A stretch is an upright at its
/// step and the level up to the next.
fn curve(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    let mut at = (plot.days.left, plot.doses.y(0));
    let mut run = vec![at];
    let mut stroke = style::PROVISIONAL;
    let mut at_least = false;
    for step in &chart.steps {
        let (x, y) = plot.point(step);
        let x = x.max(at.0);
        run.push((x, at.1));
        at_least |= step.undetermined;
        let next = stroke_of(step.standing, at_least);
        if next != stroke {
            pen.path(&run, stroke)?;
            run = vec![(x, at.1)];
            stroke = next;
        }
        run.push((x, y));
        at = (x, y);
    }
    let end = plot.days.middle(chart.end());
    let begun = chart.today >= chart.first || !chart.steps.is_empty();
    if begun && end > at.0 {
        run.push((end, at.1));
    }
    pen.path(&run, stroke)
}

fn stroke_of(standing: Standing, at_least: bool) -> Stroke {
    match (standing, at_least) {
        (Standing::OfRecord, false) => style::OF_RECORD,
        (Standing::Provisional, false) => style::PROVISIONAL,
        (Standing::OfRecord, true) => style::OF_RECORD_AT_LEAST,
        (Standing::Provisional, true) => style::PROVISIONAL_AT_LEAST,
    }
}

/// One mark a step: dots while they have room, short uprights in a busy year.
fn marks(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    let sparse = has_room(chart, plot);
    for step in chart.steps.iter().filter(|s| !s.undetermined) {
        mark(pen, plot.point(step), step.standing, sparse)?;
    }
    Ok(())
}

fn has_room(chart: &WorkerYear, plot: &Plot) -> bool {
    let points = chart.steps.iter().map(|s| plot.point(s));
    let (Some(first), Some(last)) = (points.clone().next(), points.last()) else { return true };
    let gaps = i32::try_from(chart.steps.len()).unwrap_or(i32::MAX) - 1;
    gaps == 0 || (last.0 - first.0) / gaps >= 18
}

fn mark(
    pen: &Pen,
    at: (i32, i32),
    standing: Standing,
    sparse: bool,
) -> Result<(), ChartError> {
    match (standing, sparse) {
        (Standing::OfRecord, true) => pen.dot(at, 9, style::INK),
        (Standing::Provisional, true) => {
            pen.dot(at, 9, style::INK)?;
            pen.dot(at, 6, style::PAPER)
        }
        (standing, false) => {
            let (half, width) = if standing == Standing::OfRecord { (12, 4) } else { (9, 2) };
            pen.path(&[(at.0, at.1 - half), (at.0, at.1 + half)], Stroke::solid(style::INK, width))
        }
    }
}

/// What nobody has determined, with an arrow up and `at least`; and the last total in words.
fn bounds(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    let mut taken = Vec::new();
    if !chart.steps.is_empty() {
        let words = format!("{} by {}", chart.total_in_words(), chart.end());
        let (x, y) = (plot.days.middle(chart.end()), plot.doses.y(chart.total()));
        let least = plot.days.left + words::width(&words, BODY) + 10;
        // Up and to the left of the end there is never a curve: it only rises.
        let spot = ((x - 12).max(least), (y - LINE).max(plot.doses.upper + LINE / 2));
        taken.push(Patch::of(spot, Hang::Right, &words));
        pen.patch(spot, Hang::Right, style::INK, &words)?;
    }
    for step in chart.steps.iter().filter(|s| s.undetermined) {
        let at = plot.point(step);
        let tip = (at.1 - 84).max(plot.doses.upper);
        triangle(pen, at)?;
        arrow(pen, at.0, at.1 - 22, tip)?;
        let spot = (at.0 - 16, tip + LINE / 2);
        if free(&mut taken, Patch::of(spot, Hang::Right, "at least")) {
            pen.patch(spot, Hang::Right, style::INK, "at least")?;
        }
    }
    Ok(())
}

fn triangle(pen: &Pen, (x, y): (i32, i32)) -> Result<(), ChartError> {
    pen.shape(&[(x - 19, y + 14), (x + 19, y + 14), (x, y - 22)], style::INK)?;
    pen.shape(&[(x - 11, y + 10), (x + 11, y + 10), (x, y - 12)], style::PAPER)
}

fn arrow(pen: &Pen, x: i32, from: i32, tip: i32) -> Result<(), ChartError> {
    if from - tip > 16 {
        pen.path(&[(x, from), (x, tip + 12)], Stroke::solid(style::INK, 3))?;
        pen.shape(&[(x - 9, tip + 16), (x + 9, tip + 16), (x, tip)], style::INK)?;
    }
    Ok(())
}

fn draw_legend(pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
    let mut y = plot.doses.lower + MONTHS + LINE / 2;
    for row in &plot.legend {
        for (x, key) in row {
            let middle = x + (SAMPLE - 16) / 2;
            let ends = [(*x, y), (x + SAMPLE - 16, y)];
            match key {
                Key::Step(standing) => {
                    pen.path(&ends, stroke_of(*standing, false))?;
                    mark(pen, (middle, y), *standing, true)?;
                }
                Key::AtLeast => pen.path(&ends, style::PROVISIONAL_AT_LEAST)?,
                Key::Undetermined => triangle(pen, (middle, y))?,
            }
            pen.text((x + SAMPLE, y), Hang::Left, BODY, style::INK, key.words())?;
        }
        y += LINE;
    }
    Ok(())
}

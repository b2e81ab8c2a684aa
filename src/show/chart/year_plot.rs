//! The upper panel of a worker's year: axes, levels, the curve and its marks, the legend.

use super::canvas::{Canvas, Hang, Patch, Pen};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::wear_plot::dashed;
use super::worker_year::{FanPoint, Standing, WorkerYear, free};
use super::year_layout::{Key, LEADER, MONTHS, NOTHING, Plot, SAMPLE, ticks};
use super::{ChartError, words};
use crate::calendar::Day;
use crate::quantity::Dose;

/// From an undetermined step up to the tip of its arrow.
const ARROW: i32 = 64;

/// Draws the panel in its layers.
pub(super) fn draw(canvas: &mut Canvas, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    canvas.layer("axes", |pen| axes(pen, chart, plot))?;
    canvas.layer("levels", |pen| levels(pen, plot))?;
    if plot.days.holds(chart.today) {
        canvas.layer("today", |pen| today(pen, chart.today, plot))?;
    }
    if !chart.fan.is_empty() {
        canvas.layer("fan", |pen| fan(pen, chart, plot))?;
    }
    canvas.layer("curve", |pen| curve(pen, chart, plot))?;
    canvas.layer("marks", |pen| marks(pen, chart, plot))?;
    canvas.layer("bounds", |pen| bounds(pen, chart, plot))?;
    canvas.layer("legend", |pen| {
        draw_legend(pen, plot, has_room(chart, plot))
    })
}

fn axes(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    let (days, doses) = (&plot.days, &plot.doses);
    for nsv in ticks(plot.step, doses.top) {
        let y = doses.y(nsv);
        pen.path(
            &[(days.left, y), (days.right, y)],
            Stroke::solid(style::GRID, 2),
        )?;
        let figure = chart.figure(Dose::from_nsv(nsv));
        pen.text(
            (days.left - 20, y),
            Hang::Right,
            BODY,
            style::QUIET,
            &figure,
        )?;
    }
    let mut year = None;
    for (day, name) in days.months(words::width("Mmm", BODY) + 14) {
        let from = days.start(day);
        pen.path(
            &[(from, doses.lower), (from, doses.lower + 10)],
            Stroke::solid(style::INK, 3),
        )?;
        let to = days.start(days.month_end(day)).max(from);
        let half = words::width(&name, BODY) / 2;
        // A cut month is narrower than its name: keep clear of the neighbours.
        if to - from < 2 * half && day != days.first {
            continue;
        }
        let x = ((from + to) / 2).max(from + half);
        pen.text(
            (x, doses.lower + 26),
            Hang::Middle,
            BODY,
            style::QUIET,
            &name,
        )?;
        let this = chrono::Datelike::year(&day);
        if year != Some(this) {
            let text = this.to_string();
            pen.text(
                (x, doses.lower + 26 + LINE),
                Hang::Middle,
                BODY,
                style::QUIET,
                &text,
            )?;
            year = Some(this);
        }
    }
    let floor = [
        (days.left, doses.upper),
        (days.left, doses.lower),
        (days.right, doses.lower),
    ];
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
            pen.text(
                (right + LEADER, line),
                Hang::Left,
                BODY,
                label.stroke.colour,
                text,
            )?;
            line += LINE;
        }
    }
    Ok(())
}

fn today(pen: &Pen, day: Day, plot: &Plot) -> Result<(), ChartError> {
    let x = plot.days.middle(day);
    let above = plot.doses.upper - LINE / 2 - 6;
    pen.path(
        &[(x, plot.doses.lower), (x, above + LINE / 2)],
        style::TODAY,
    )?;
    let words = format!("today {day}");
    let half = words::width(&words, BODY) / 2;
    let at = x
        .max(plot.days.left + half)
        .min(style::WIDTH - MARGIN - half);
    pen.text((at, above), Hang::Middle, BODY, style::INK, &words)
}

/// The forecast: a pale field with thin edges, which a copy keeps, and its middle in dashes.
fn fan(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    let along = |pick: fn(&FanPoint) -> Dose| -> Vec<(i32, i32)> {
        let points = chart.fan.iter();
        points
            .map(|it| (plot.days.middle(it.day), plot.doses.y(pick(it).nsv())))
            .collect()
    };
    let (low, high) = (along(|it| it.low), along(|it| it.high));
    let around: Vec<(i32, i32)> = low.iter().chain(high.iter().rev()).copied().collect();
    pen.shape(&around, style::BAND)?;
    pen.path(&low, style::BAND_EDGE)?;
    pen.path(&high, style::BAND_EDGE)?;
    for dash in dashed(&along(|it| it.median)) {
        pen.path(&dash, style::FAN_MIDDLE)?;
    }
    Ok(())
}

/// The step line: a run for each stretch that is drawn alike. A stretch is an upright at its
/// step and the level up to the next.
fn curve(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    if chart.steps.is_empty() {
        return Ok(());
    }
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
    if end > at.0 {
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
    let mut points = chart.steps.iter().map(|s| plot.point(s));
    let (Some(first), Some(last)) = (points.next(), points.next_back()) else {
        return true;
    };
    let gaps = i32::try_from(chart.steps.len()).unwrap_or(i32::MAX) - 1;
    gaps == 0 || (last.0 - first.0) / gaps >= 18
}

fn mark(pen: &Pen, at: (i32, i32), standing: Standing, sparse: bool) -> Result<(), ChartError> {
    match (standing, sparse) {
        (Standing::OfRecord, true) => pen.dot(at, 9, style::INK),
        (Standing::Provisional, true) => {
            pen.dot(at, 9, style::INK)?;
            pen.dot(at, 6, style::PAPER)
        }
        (standing, false) => {
            let half = if standing == Standing::OfRecord {
                13
            } else {
                9
            };
            pen.path(
                &[(at.0, at.1 - half), (at.0, at.1 + half)],
                Stroke::solid(style::INK, 2),
            )
        }
    }
}

/// What nobody has determined, with an arrow up and `at least`; and the last total in words.
fn bounds(pen: &Pen, chart: &WorkerYear, plot: &Plot) -> Result<(), ChartError> {
    let mut taken = Vec::new();
    let points: Vec<_> = chart
        .steps
        .iter()
        .filter(|s| s.undetermined)
        .map(|s| plot.point(s))
        .collect();
    for (x, y) in &points {
        let tip = (y - ARROW).max(plot.doses.upper);
        triangle(pen, (*x, *y))?;
        arrow(pen, *x, y - 22, tip)?;
        taken.push(Patch {
            left: x - 10,
            right: x + 10,
            top: tip,
            bottom: *y,
        });
    }
    if chart.steps.is_empty() {
        // A blank field must not read as a dose known to be zero.
        let middle = (plot.days.left + plot.days.right) / 2;
        let low = plot.doses.lower - LINE;
        let at = (middle, low);
        return pen.patch(at, Hang::Middle, style::INK, NOTHING);
    }
    let (spot, hang, words) = last_figure(chart, plot, &taken);
    taken.push(Patch::of(spot, hang, &words));
    pen.patch(spot, hang, style::INK, &words)?;
    for (x, y) in points {
        let spot = (x - 16, (y - ARROW).max(plot.doses.upper) + LINE / 2);
        let patch = Patch::of(spot, Hang::Right, "at least");
        if patch.left > plot.days.left && free(&mut taken, patch) {
            pen.patch(spot, Hang::Right, style::INK, "at least")?;
        }
    }
    Ok(())
}

/// The last total, right of the curve's end where there is room (nothing is drawn there), else
/// above and to the left of it (where a curve that only rises never is), clear of the arrows.
fn last_figure(chart: &WorkerYear, plot: &Plot, arrows: &[Patch]) -> ((i32, i32), Hang, String) {
    let words = format!("{} by {}", chart.total_in_words(), chart.end());
    let wide = words::width(&words, BODY) + 10;
    let (x, y) = (
        plot.days.middle(chart.end()),
        plot.doses.y(chart.total().nsv()),
    );
    let lowest = plot.doses.lower - LINE / 2 - 4;
    // A fan only rises: below its root there is room.
    let beside = if chart.fan.is_empty() {
        y.min(lowest)
    } else {
        y + LINE + 6
    };
    if x + 24 + wide <= plot.days.right && beside <= lowest {
        return ((x + 24, beside), Hang::Left, words);
    }
    let right = (x - 12).max(plot.days.left + wide);
    let mut spot = (right, (y - LINE).min(lowest));
    let meets = |spot| {
        arrows
            .iter()
            .any(|a| a.meets(&Patch::of(spot, Hang::Right, &words)))
    };
    while meets(spot) && spot.1 - 4 >= plot.doses.upper + LINE / 2 {
        spot.1 -= 4;
    }
    (spot, Hang::Right, words)
}

fn triangle(pen: &Pen, (x, y): (i32, i32)) -> Result<(), ChartError> {
    pen.shape(
        &[(x - 19, y + 14), (x + 19, y + 14), (x, y - 22)],
        style::INK,
    )?;
    pen.shape(
        &[(x - 11, y + 10), (x + 11, y + 10), (x, y - 12)],
        style::PAPER,
    )
}

fn arrow(pen: &Pen, x: i32, from: i32, tip: i32) -> Result<(), ChartError> {
    if from - tip > 16 {
        pen.path(&[(x, from), (x, tip + 12)], Stroke::solid(style::INK, 3))?;
        pen.shape(
            &[(x - 9, tip + 16), (x + 9, tip + 16), (x, tip)],
            style::INK,
        )?;
    }
    Ok(())
}

fn draw_legend(pen: &Pen, plot: &Plot, sparse: bool) -> Result<(), ChartError> {
    let mut y = plot.doses.lower + MONTHS + LINE / 2;
    for row in &plot.legend {
        for (x, key) in row {
            let middle = x + (SAMPLE - 16) / 2;
            let ends = [(*x, y), (x + SAMPLE - 16, y)];
            match key {
                Key::Step(standing) => {
                    pen.path(&ends, stroke_of(*standing, false))?;
                    mark(pen, (middle, y), *standing, sparse)?;
                }
                Key::AtLeast => pen.path(&ends, style::PROVISIONAL_AT_LEAST)?,
                Key::Undetermined => triangle(pen, (middle, y))?,
                Key::Fan => {
                    let (from, to) = ((*x, y - 11), (x + SAMPLE - 16, y + 11));
                    pen.fill(from, to, style::BAND)?;
                    pen.path(&[from, (to.0, from.1)], style::BAND_EDGE)?;
                    pen.path(&[(from.0, to.1), to], style::BAND_EDGE)?;
                }
                Key::FanMiddle => {
                    for dash in dashed(&ends) {
                        pen.path(&dash, style::FAN_MIDDLE)?;
                    }
                }
            }
            pen.text((x + SAMPLE, y), Hang::Left, BODY, style::INK, key.words())?;
        }
        y += LINE;
    }
    Ok(())
}

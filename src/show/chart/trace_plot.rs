//! Drawing a trace's time line: lanes with signs, below them the figures with limit and line.

use super::axis::{Axis, middle, start};
use super::frame::{Frame, Plot};
use super::marks::{Part, Shape};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::svg::Hang;
use super::trace::{Measured, Sign, TraceChart};
use super::{ChartError, words};
use crate::calendar::Day;

/// Height of a lane: its words, then its signs.
const LANE: i32 = 2 * LINE + 18;
/// Height of the field of figures, and of none.
const FIGURES: i32 = 360;
const BARE: i32 = 14;
/// Room above the lanes for the words of the fitting and the event.
const ABOVE: i32 = 2 * LINE + 16;
/// Room above the figures for what is measured.
const NAME: i32 = LINE + 20;
const CYCLES: &str = "last row: cycles, exposures on sheets since the first day drawn, at least";

/// Each sign has a shape of its own.
fn sign(sign: Sign) -> &'static [Part] {
    const TICK: Stroke = Stroke::solid(style::INK, 3);
    const DOT: Part = Part::Full(Shape::Circle, 11, style::INK);
    match sign {
        Sign::Daily => &[Part::Upright(9, TICK)],
        Sign::Good => &[DOT],
        Sign::Beyond => &[Part::Open(Shape::Square, 19, style::LIMIT), DOT],
        Sign::Defect => &[Part::Full(Shape::Cross, 11, style::LIMIT)],
        Sign::NotDone => &[Part::Open(Shape::Square, 11, style::INK)],
        Sign::Claimed => &[Part::Open(Shape::Triangle, 14, style::INK)],
        Sign::Changed => &[Part::Full(Shape::Triangle, 14, style::INK)],
    }
}

/// Some days after the event, so that an inspection on its day does not stand under its line.
fn after(chart: &TraceChart) -> Day {
    let days = (chart.event - chart.first).num_days() / 50 + 1;
    let days = chrono::Days::new(days.unsigned_abs());
    chart.event.checked_add_days(days).unwrap_or(chart.event)
}

/// The counts drawn, with a step of the gauge of room, and ticks at its multiples.
fn counts(it: &Measured) -> Axis {
    let counts = it.marks.iter().map(|(_, count, _)| *count);
    let ends = it.line.iter().map(|(_, count)| *count);
    let levels = [Some(it.limit), it.warn].into_iter().flatten();
    let all: Vec<i64> = counts.chain(ends).chain(levels).collect();
    let low = all.iter().copied().min().unwrap_or(it.limit);
    let high = all.iter().copied().max().unwrap_or(it.limit);
    let step = it.step.max(1);
    let (low, high) = (low.saturating_sub(step), high.saturating_add(step));
    Axis::between(low, high, step, |count| it.show(count))
}

fn draw(chart: &TraceChart, description: &str) -> Result<String, ChartError> {
    let days = Axis::days(chart.first, after(chart), 9);
    let y = chart.measured.as_ref().map(counts);
    let lanes = i32::try_from(chart.lanes.len())
        .unwrap_or(0)
        .saturating_mul(LANE);
    let named = if y.is_some() { NAME } else { 0 };
    let keys = chart.signs().into_iter();
    let frame = Frame {
        above: ABOVE + lanes + named,
        height: Some(if y.is_some() { FIGURES } else { BARE }),
        left: Some(MARGIN + 150),
        right: 40,
        edges: [true, y.is_some()],
        under: vec![
            days.years(chart.first),
            cycles(chart, &days),
            vec![(days.last / 2, CYCLES.to_owned())],
        ],
        legend: keys
            .map(|it| (sign(it).to_vec(), it.words().to_owned()))
            .collect(),
        ..Frame::new(
            &chart.title,
            days,
            y.unwrap_or(Axis::bare(0, 1)),
            &chart.notes,
            &chart.caution,
        )
    };
    frame.draw(
        description,
        |_| (),
        |plot| {
            let pen = &plot.pen;
            let top = plot.top - lanes - named;
            pen.layer("ends", || ends(plot, chart, top));
            pen.layer("lanes", || draw_lanes(plot, chart, top));
            let Some(it) = &chart.measured else { return };
            let at = |day: Day, count: i64| plot.at(middle(chart.first, day), count);
            pen.layer("levels", || levels(plot, it));
            pen.layer("line", || {
                let line = it.line.iter().map(|(day, count)| at(*day, *count));
                pen.path(&line.collect::<Vec<_>>(), style::WEAR_LINE);
            });
            pen.layer("marks", || {
                for (day, count, of) in &it.marks {
                    pen.mark(at(*day, *count), sign(*of));
                }
            });
        },
    )
}

/// Cycles up to the event, and up to each tick that is clear of it.
fn cycles(chart: &TraceChart, days: &Axis) -> Vec<(i64, String)> {
    let total: i64 = chart.uses.iter().map(|(_, count)| *count).sum();
    let mut all = vec![(start(chart.first, chart.event), total.to_string())];
    for (at, _) in &days.ticks {
        let day = chrono::Days::new(at.unsigned_abs() / 2);
        let day = chart.first.checked_add_days(day).unwrap_or(chart.first);
        if day <= chart.event {
            all.push((*at, chart.cycles(day).to_string()));
        }
    }
    all
}

/// The fitting at the left, the event at the right.
fn ends(plot: &Plot, chart: &TraceChart, top: i32) {
    let begun = match chart.installed {
        Some(day) => format!("installed {day}"),
        None => format!(
            "first inspection {}; installation not on record",
            chart.first
        ),
    };
    plot.upright((plot.left, top), style::BREAK, &begun);
    let next = chart.event.succ_opt().unwrap_or(chart.event);
    let x = plot.x(start(chart.first, next));
    let strong = Stroke::solid(style::INK, 6);
    plot.upright((x, top), strong, &format!("event {}", chart.event));
}

fn draw_lanes(plot: &Plot, chart: &TraceChart, top: i32) {
    for (lane, n) in chart.lanes.iter().zip(0..) {
        let name = top + n * LANE + LINE / 2 + 6;
        let y = name + LINE + 4;
        first_line(plot, name, &lane.name);
        let thin = Stroke::solid(style::GRID, 2);
        plot.pen.path(&[(plot.left, y), (plot.right, y)], thin);
        for (day, of) in &lane.signs {
            plot.pen
                .mark((plot.x(middle(chart.first, *day)), y), sign(*of));
        }
    }
}

/// Words on one line, cut where they would leave the field; the description has them all.
fn first_line(plot: &Plot, y: i32, text: &str) {
    let lines = words::wrap(text, BODY, plot.right - plot.left - 20);
    let line = lines.first().map(String::as_str).unwrap_or_default();
    plot.pen
        .say((plot.left + 12, y), Hang::Left, style::INK, line);
}

/// The limit and the warning, with their words on the side that is still good.
fn levels(plot: &Plot, it: &Measured) {
    first_line(plot, plot.top - LINE / 2 - 8, &it.name);
    let side = if it.bad_below { -1 } else { 1 };
    let warn = it
        .warn
        .map(|it| ("warning", it, style::ADMINISTRATIVE_LINE));
    for (name, count, stroke) in [Some(("limit", it.limit, style::LIMIT_LINE)), warn]
        .into_iter()
        .flatten()
    {
        let y = plot.y(count);
        plot.pen.path(&[(plot.left, y), (plot.right, y)], stroke);
        let text = format!("{name} {}", it.show(count));
        let at = (plot.left + 12, y + side * (LINE / 2 + 2));
        plot.say_where_free(at, Hang::Left, stroke.colour, &text);
    }
}

impl TraceChart {
    /// The chart as one SVG document, 160 mm wide, as high as its lanes need.
    ///
    /// # Errors
    /// [`ChartError::Backwards`] if the event is before the first day; [`ChartError::Draw`] if
    /// the axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        if self.event < self.first {
            return Err(ChartError::Backwards {
                first: self.first,
                last: self.event,
            });
        }
        draw(self, &self.description())
    }
}

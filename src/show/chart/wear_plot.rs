//! Drawing a wear chart: levels, breaks, lines with their bands, measures.

use super::ChartError;
use super::axis::Axis;
use super::frame::{Frame, Level, Plot};
use super::marks::{Key, Part as Sign, Shape};
use super::style::{self, LINE, Stroke};
use super::svg::{Hang, Spot};
use super::wear::{BandPoint, Mark, Part, WearChart};

/// A hatch stroke on the bad side of the limit: so long, so far apart.
const HATCH: i32 = 14;
const HATCH_GAP: i32 = 28;
/// Printed in the field where nothing was measured.
const NOTHING: &str = "never measured";

const MEASUREMENT: &[Sign] = &[Sign::Full(Shape::Circle, 10, style::INK)];
const OLD_MEASUREMENT: &[Sign] = &[Sign::Open(Shape::Circle, 10, style::INK)];
const BEYOND: &[Sign] = &[
    Sign::Open(Shape::Square, 15, style::LIMIT),
    Sign::Full(Shape::Cross, 11, style::LIMIT),
];
const EARLIEST: &[Sign] = &[Sign::Full(Shape::Diamond, 15, style::INK)];
const LIKELY: &[Sign] = &[Sign::Open(Shape::Diamond, 15, style::INK)];

fn draw(chart: &WearChart, caption: &str, description: &str) -> Result<String, ChartError> {
    let cycles = across(chart);
    let days = if marks(chart).next().is_none() {
        ""
    } else {
        "; above, the days of measurements"
    };
    let named = format!("cycles, at least{days}");
    let frame = Frame {
        head: vec![(&chart.outlook, style::INK), (caption, style::QUIET)],
        above: 2 * LINE + 24,
        under: vec![days_of_measurements(chart), vec![(cycles.last, named)]],
        levels: levels(chart),
        legend: legend(chart, cycles.last),
        ..Frame::new(
            &chart.title,
            cycles,
            heights(chart),
            &chart.notes,
            &chart.caution,
        )
    };
    frame.draw(
        description,
        |plot| plot.pen.layer("bands", || bands(plot, chart)),
        |plot| series(plot, chart),
    )
}

fn series(plot: &Plot, chart: &WearChart) {
    let pen = &plot.pen;
    pen.layer("bad-side", || hatch(plot, chart));
    pen.layer("today", || {
        let text = format!(
            "today {}, at least {}",
            chart.today,
            crate::text::counted(chart.cycles_now, "cycle", "cycles")
        );
        plot.upright((plot.x(chart.cycles_now), plot.top), style::TODAY, &text);
    });
    pen.layer("breaks", || {
        // The fitting of each part but one that the record begins with.
        for part in chart.parts.iter().rev() {
            if let Some(day) = part.installed {
                let at = (plot.x(part.from), plot.top);
                plot.upright(at, style::BREAK, &format!("installed {day}"));
            }
        }
    });
    pen.layer("lines", || lines(plot, chart));
    pen.layer("reaches", || {
        for (sign, reach) in [(EARLIEST, chart.earliest), (LIKELY, chart.likely)] {
            let at = reach
                .and_then(|it| it.cycles)
                .map(|it| plot.at(it, chart.limit));
            if let Some(at) = at.filter(|it| it.0 <= plot.right) {
                pen.mark(at, sign);
            }
        }
    });
    pen.layer("marks", || measurements(plot, chart));
}

/// All measures of all parts.
fn marks(chart: &WearChart) -> impl DoubleEndedIterator<Item = &Mark> {
    chart.parts.iter().flat_map(|part| &part.marks)
}

/// From the first part to today or the last measure, and on to where the limit is reached, unless
/// that would press what was measured into less than half.
fn across(chart: &WearChart) -> Axis {
    let starts = chart.parts.iter().map(|part| part.from);
    let measured = || marks(chart).map(|mark| mark.cycles);
    let first = starts.chain(measured()).min().unwrap_or(0);
    let known = measured().max().unwrap_or(first);
    let known = known.max(chart.cycles_now).max(first.saturating_add(10));
    let room = known.saturating_add(known.saturating_sub(first));
    let reaches = [chart.earliest, chart.likely].into_iter().flatten();
    let ahead = reaches.filter_map(|it| it.cycles).filter(|it| *it <= room);
    let last = ahead.max().unwrap_or(known).max(known);
    let margin = last.saturating_sub(first) / 25 + 1;
    Axis::between(first, last.saturating_add(margin), 1, |it| it.to_string())
}

/// The counts of measures and levels with at least two steps of the gauge of free height, so that
/// one step never looks like a cliff.
fn heights(chart: &WearChart) -> Axis {
    let levels = [Some(chart.limit), chart.warn, chart.nominal];
    let counts = marks(chart).map(|mark| mark.count);
    let all: Vec<i64> = counts.chain(levels.into_iter().flatten()).collect();
    let low = all.iter().copied().min().unwrap_or(0);
    let high = all.iter().copied().max().unwrap_or(0);
    let step = chart.step.max(1).saturating_mul(2);
    let free = (high.saturating_sub(low) / 6).max(step);
    let (low, high) = (low.saturating_sub(free), high.saturating_add(free));
    let mut axis = Axis::between(low, high, chart.unit.size(), |it| chart.figure(it));
    // All figures have as many decimals as the finest of them.
    let decimals = |it: &str| it.split_once('.').map_or(0, |(_, behind)| behind.len());
    let most = axis
        .ticks
        .iter()
        .map(|it| decimals(&it.1))
        .max()
        .unwrap_or(0);
    for (_, figure) in &mut axis.ticks {
        let has = decimals(figure);
        if has == 0 && most > 0 {
            figure.push('.');
        }
        figure.push_str(&"0".repeat(most - has));
    }
    axis
}

fn levels(chart: &WearChart) -> Vec<Level> {
    let bad = if chart.bad_below {
        "below: out"
    } else {
        "above: out"
    };
    let level = |name: &str, count, stroke| Level::new(name, chart.show(count), count, stroke);
    let mut limit = level("limit", chart.limit, style::LIMIT_LINE);
    limit.lines.push(bad.to_owned());
    let warn = chart
        .warn
        .map(|it| level("warning", it, style::ADMINISTRATIVE_LINE));
    let new = chart.nominal.map(|it| level("new", it, style::SHIFT_LINE));
    [Some(limit), warn, new].into_iter().flatten().collect()
}

/// The days of the measures, the last and the first before those between.
fn days_of_measurements(chart: &WearChart) -> Vec<(i64, String)> {
    let mut days: Vec<_> = marks(chart)
        .map(|it| (it.cycles, it.day.to_string()))
        .collect();
    days.reverse();
    if let Some((_, rest)) = days.split_first_mut() {
        rest.rotate_right(rest.len().min(1));
    }
    days
}

/// Short strokes on the bad side of the limit.
fn hatch(plot: &Plot, chart: &WearChart) {
    let y = plot.y(chart.limit);
    let down = if chart.bad_below { HATCH } else { -HATCH };
    let mut x = plot.left + HATCH_GAP / 2;
    while x + HATCH < plot.right {
        let thin = Stroke::solid(style::LIMIT, 2);
        plot.pen.path(&[(x, y), (x - HATCH, y + down)], thin);
        x += HATCH_GAP;
    }
}

fn along(plot: &Plot, part: &Part, pick: fn(&BandPoint) -> i64) -> Vec<Spot> {
    let points = part.band.iter();
    points.map(|it| plot.at(it.cycles, pick(it))).collect()
}

fn bands(plot: &Plot, chart: &WearChart) {
    plot.clipped("band", plot.left, plot.right, || {
        for part in chart.parts.iter().filter(|it| it.band.len() > 1) {
            let low = along(plot, part, |it| it.lower);
            plot.pen.band(&low, &along(plot, part, |it| it.upper));
        }
    });
}

/// Where a part was measured last; its line is foreseen from there on.
fn measured_to(part: &Part) -> Option<i64> {
    part.marks.iter().map(|mark| mark.cycles).max()
}

/// The lines: solid over the measures, dashed past the last of them.
fn lines(plot: &Plot, chart: &WearChart) {
    for (part, n) in chart.parts.iter().zip(1..) {
        let points = along(plot, part, |it| it.line);
        let Some(last) = measured_to(part).filter(|_| points.len() > 1) else {
            continue;
        };
        let edge = plot.x(last).min(plot.right);
        let solid = if n == chart.parts.len() {
            style::WEAR_LINE
        } else {
            style::OLD_WEAR_LINE
        };
        plot.clipped(&format!("line{n}"), plot.left, edge, || {
            plot.pen.path(&points, solid);
        });
        if foresees(part) {
            plot.clipped(&format!("ahead{n}"), edge, plot.right, || {
                plot.pen.path(&points, style::FORESEEN);
            });
        }
    }
}

fn foresees(part: &Part) -> bool {
    let ends = part.band.last().map(|it| it.cycles);
    matches!((measured_to(part), ends), (Some(last), Some(ends)) if last < ends)
}

fn measurements(plot: &Plot, chart: &WearChart) {
    for (part, n) in chart.parts.iter().zip(1..) {
        for mark in &part.marks {
            let sign = if chart.is_beyond(mark.count) {
                BEYOND
            } else if n == chart.parts.len() {
                MEASUREMENT
            } else {
                OLD_MEASUREMENT
            };
            plot.pen.mark(plot.at(mark.cycles, mark.count), sign);
        }
    }
    if marks(chart).next().is_none() {
        // A blank field must not read as a part without wear.
        let middle = i32::midpoint(plot.left, plot.right);
        let at = (middle, i32::midpoint(plot.top, plot.lower));
        plot.pen.patch(at, Hang::Middle, style::INK, NOTHING);
    }
}

/// The legend: only what is on the chart.
fn legend(chart: &WearChart, last: i64) -> Vec<Key> {
    let mut keys: Vec<Key> = Vec::new();
    let mut push = |there: bool, sign: &[Sign], words: &str| {
        if there {
            keys.push((sign.to_vec(), words.to_owned()));
        }
    };
    let measured = |part: &Part| !part.marks.is_empty();
    let (now, old) = match chart.parts.split_last() {
        Some((now, old)) => (measured(now), old.iter().any(measured)),
        None => (false, false),
    };
    push(now, MEASUREMENT, "measure");
    push(old, OLD_MEASUREMENT, "earlier part");
    let beyond = marks(chart).any(|it| chart.is_beyond(it.count));
    push(beyond, BEYOND, "beyond the limit");
    let installed = chart.parts.iter().any(|it| !it.band.is_empty());
    push(installed, &[Sign::Line(style::WEAR_LINE)], "line");
    let words = "where the next measurement lies: 95 %, two-sided";
    push(installed, &[Sign::Band], words);
    let ahead = chart.parts.iter().any(foresees);
    push(ahead, &[Sign::Line(style::FORESEEN)], "foreseen");
    let first = chart.parts.first().map_or(0, |it| it.from);
    let later = |it: &Part| it.installed.is_some() && it.from > first;
    let new = chart.parts.iter().any(later);
    push(
        new,
        &[Sign::Upright(14, style::BREAK)],
        "new part installed",
    );
    for (sign, name, reach) in [
        (
            EARLIEST,
            "earliest credible (95 %, one-sided)",
            &chart.earliest,
        ),
        (LIKELY, "likely", &chart.likely),
    ] {
        let Some(reach) = reach else { continue };
        let off = match reach.cycles {
            Some(cycles) if cycles > last => " (off the chart)",
            Some(_) => "",
            None => " (by days, not on the chart)",
        };
        let words = WearChart::reach_in_words(reach);
        push(true, sign, &format!("{name}: {words}{off}"));
    }
    keys
}

impl WearChart {
    /// The chart as one SVG document, 160 mm wide and 110 mm high (higher only where many words
    /// need it).
    ///
    /// # Errors
    /// [`ChartError::Draw`] if the axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        draw(self, &self.caption(), &self.description())
    }
}

//! The field of a wear chart: axes, levels, breaks, lines with their bands, measures, legend.

use super::canvas::{Canvas, Hang, Patch, Pen};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::wear::{BandPoint, Part, WearChart};
use super::wear_layout::{FLOOR, Key, LEADER, Plot, SAMPLE, marks};
use super::worker_year::free;
use super::{ChartError, words};

/// A hatch stroke on the bad side of the limit: so long, so far apart.
const HATCH: i32 = 14;
const HATCH_GAP: i32 = 28;
/// Drawn and left out along the foreseen part of a line.
const DASH: (f64, f64) = (22.0, 14.0);

/// Printed in the field where nothing was measured.
pub(super) const NOTHING: &str = "never measured";

/// Draws the field in its layers.
pub(super) fn draw(canvas: &mut Canvas, chart: &WearChart, plot: &Plot) -> Result<(), ChartError> {
    canvas.layer("bands", |pen| {
        chart
            .parts
            .iter()
            .try_for_each(|part| band(pen, part, plot))
    })?;
    canvas.layer("axes", |pen| axes(pen, chart, plot))?;
    canvas.layer("levels", |pen| levels(pen, chart, plot))?;
    let mut taken = Vec::new();
    canvas.layer("today", |pen| today(pen, chart, plot, &mut taken))?;
    canvas.layer("breaks", |pen| breaks(pen, chart, plot, &mut taken))?;
    canvas.layer("lines", |pen| {
        let last = chart.parts.len().saturating_sub(1);
        let mut parts = chart.parts.iter().enumerate();
        parts.try_for_each(|(n, part)| line(pen, part, n == last, plot))
    })?;
    canvas.layer("reaches", |pen| reaches(pen, chart, plot))?;
    canvas.layer("marks", |pen| measures(pen, chart, plot))?;
    canvas.layer("legend", |pen| legend(pen, plot))
}

/// The part of a polyline that lies between two heights and two places, in pieces; slanted
/// pieces are cut at the edge.
fn inside(points: &[(i32, i32)], plot: &Plot) -> Vec<Vec<(i32, i32)>> {
    let (top, foot) = (plot.counts.to, plot.counts.from);
    let (left, right) = (plot.cycles.from, plot.cycles.to);
    let mut all = Vec::new();
    let mut piece: Vec<(i32, i32)> = Vec::new();
    for pair in points.windows(2) {
        let &[a, b] = pair else { continue };
        match cut(a, b, (left, right), (top, foot)) {
            Some((from, to)) => {
                if piece.last() != Some(&from) {
                    if piece.len() > 1 {
                        all.push(std::mem::take(&mut piece));
                    }
                    piece = vec![from];
                }
                piece.push(to);
            }
            None if piece.len() > 1 => all.push(std::mem::take(&mut piece)),
            None => piece.clear(),
        }
    }
    if piece.len() > 1 {
        all.push(piece);
    }
    all
}

/// The part of one stretch inside the field (Liang and Barsky's clipping, ACM TOG 3 (1984) 1).
fn cut(
    a: (i32, i32),
    b: (i32, i32),
    (left, right): (i32, i32),
    (top, foot): (i32, i32),
) -> Option<((i32, i32), (i32, i32))> {
    let (dx, dy) = (f64::from(b.0 - a.0), f64::from(b.1 - a.1));
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (p, q) in [
        (-dx, a.0 - left),
        (dx, right - a.0),
        (-dy, a.1 - top),
        (dy, foot - a.1),
    ] {
        let q = f64::from(q);
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            from = from.max(q / p);
        } else {
            to = to.min(q / p);
        }
    }
    let at = |t: f64| {
        let x = f64::from(a.0) + t * dx;
        let y = f64::from(a.1) + t * dy;
        (x.round() as i32, y.round() as i32)
    };
    (from < to).then(|| (at(from), at(to)))
}

/// A slanted line in dashes.
pub(super) fn dashed(points: &[(i32, i32)]) -> Vec<Vec<(i32, i32)>> {
    let mut all = Vec::new();
    let (mut drawn, mut left) = (true, DASH.0);
    let mut piece: Vec<(i32, i32)> = points.first().copied().into_iter().collect();
    for pair in points.windows(2) {
        let &[a, b] = pair else { continue };
        let (dx, dy) = (f64::from(b.0 - a.0), f64::from(b.1 - a.1));
        let long = dx.hypot(dy);
        let mut done = 0.0;
        while long - done > left {
            done += left;
            let at = (
                (f64::from(a.0) + dx * done / long).round() as i32,
                (f64::from(a.1) + dy * done / long).round() as i32,
            );
            if drawn {
                piece.push(at);
                all.push(std::mem::take(&mut piece));
            } else {
                piece = vec![at];
            }
            drawn = !drawn;
            left = if drawn { DASH.0 } else { DASH.1 };
        }
        left -= long - done;
        if drawn {
            piece.push(b);
        }
    }
    if piece.len() > 1 {
        all.push(piece);
    }
    all
}

fn along(part: &Part, plot: &Plot, pick: fn(&BandPoint) -> i64) -> Vec<(i32, i32)> {
    let points = part.band.iter();
    points.map(|it| plot.point(it.cycles, pick(it))).collect()
}

/// The band as a pale field with thin edges, which a copy keeps.
fn band(pen: &Pen, part: &Part, plot: &Plot) -> Result<(), ChartError> {
    if part.band.len() < 2 {
        return Ok(());
    }
    let lower = along(part, plot, |it| it.lower);
    let upper = along(part, plot, |it| it.upper);
    let (top, foot) = (plot.counts.to, plot.counts.from);
    let (left, right) = (plot.cycles.from, plot.cycles.to);
    let shape: Vec<(i32, i32)> = lower
        .iter()
        .chain(upper.iter().rev())
        .map(|(x, y)| ((*x).clamp(left, right), (*y).clamp(top, foot)))
        .collect();
    pen.shape(&shape, style::BAND)?;
    for edge in [lower, upper] {
        for piece in inside(&edge, plot) {
            pen.path(&piece, style::BAND_EDGE)?;
        }
    }
    Ok(())
}

/// The line: solid over the measures, dashed past the last of them.
fn line(pen: &Pen, part: &Part, is_last: bool, plot: &Plot) -> Result<(), ChartError> {
    let stroke = if is_last {
        style::WEAR_LINE
    } else {
        style::OLD_WEAR_LINE
    };
    let points = along(part, plot, |it| it.line);
    let last = part
        .marks
        .iter()
        .map(|mark| plot.cycles.at(mark.cycles))
        .max();
    let Some(last) = last else { return Ok(()) };
    let mut measured: Vec<(i32, i32)> = points.iter().copied().filter(|it| it.0 <= last).collect();
    let mut foreseen: Vec<(i32, i32)> = points.iter().copied().filter(|it| it.0 > last).collect();
    // Both meet at the last measure.
    if let (Some(a), Some(b)) = (measured.last().copied(), foreseen.first().copied()) {
        let share = f64::from(last - a.0) / f64::from((b.0 - a.0).max(1));
        let y = f64::from(a.1) + share * f64::from(b.1 - a.1);
        let meet = (last, y.round() as i32);
        if a != meet {
            measured.push(meet);
        }
        foreseen.insert(0, meet);
    }
    for piece in inside(&measured, plot) {
        pen.path(&piece, stroke)?;
    }
    for piece in inside(&foreseen, plot) {
        for dash in dashed(&piece) {
            pen.path(&dash, stroke)?;
        }
    }
    Ok(())
}

fn axes(pen: &Pen, chart: &WearChart, plot: &Plot) -> Result<(), ChartError> {
    let (left, right) = (plot.cycles.from, plot.cycles.to);
    let (foot, top) = (plot.counts.from, plot.counts.to);
    for (tick, figure) in &plot.count_ticks {
        let y = plot.counts.at(*tick);
        pen.path(&[(left, y), (right, y)], Stroke::solid(style::GRID, 2))?;
        pen.text((left - 20, y), Hang::Right, BODY, style::QUIET, figure)?;
    }
    let ink = Stroke::solid(style::INK, 3);
    let mut taken = Vec::new();
    for tick in &plot.cycle_ticks {
        let x = plot.cycles.at(*tick);
        pen.path(&[(x, foot), (x, foot + 10)], ink)?;
        let figure = tick.to_string();
        let at = (x, foot + 28);
        if free(&mut taken, Patch::of(at, Hang::Middle, &figure)) {
            pen.text(at, Hang::Middle, BODY, style::QUIET, &figure)?;
        }
    }
    // The days of the measures, the last and the first before those between.
    let all: Vec<_> = marks(chart).collect();
    let mut order: Vec<usize> = (0..all.len()).rev().collect();
    if order.len() > 1 {
        let first = order.remove(order.len() - 1);
        order.insert(1, first);
    }
    for mark in order.into_iter().filter_map(|n| all.get(n)) {
        let text = mark.day.to_string();
        let half = words::width(&text, BODY) / 2;
        let x = plot
            .cycles
            .at(mark.cycles)
            .clamp(MARGIN + half, right - half);
        let at = (x, foot + 28 + LINE);
        if free(&mut taken, Patch::of(at, Hang::Middle, &text)) {
            pen.text(at, Hang::Middle, BODY, style::QUIET, &text)?;
        }
    }
    let across = (right, foot + 28 + 2 * LINE);
    let words = if all.is_empty() {
        "cycles, at least"
    } else {
        "cycles, at least; below them the days of measures"
    };
    pen.text(across, Hang::Right, BODY, style::QUIET, words)?;
    pen.path(&[(left, top), (left, foot), (right, foot)], ink)
}

fn levels(pen: &Pen, chart: &WearChart, plot: &Plot) -> Result<(), ChartError> {
    let (left, right) = (plot.cycles.from, plot.cycles.to);
    for label in &plot.labels {
        let y = plot.counts.at(label.count);
        pen.path(&[(left, y), (right, y)], label.stroke)?;
        let thin = Stroke::solid(label.stroke.colour, 2);
        pen.path(&[(right, y), (right + LEADER - 6, label.y)], thin)?;
        let mut line = label.y - label.height() / 2 + 3 + LINE / 2;
        for text in &label.lines {
            let at = (right + LEADER, line);
            pen.text(at, Hang::Left, BODY, label.stroke.colour, text)?;
            line += LINE;
        }
    }
    let y = plot.counts.at(chart.limit);
    let down = if chart.bad_below { HATCH } else { -HATCH };
    let thin = Stroke::solid(style::LIMIT, 2);
    let mut x = left + HATCH_GAP / 2;
    while x + HATCH < right {
        pen.path(&[(x, y), (x - HATCH, y + down)], thin)?;
        x += HATCH_GAP;
    }
    Ok(())
}

fn today(
    pen: &Pen,
    chart: &WearChart,
    plot: &Plot,
    taken: &mut Vec<Patch>,
) -> Result<(), ChartError> {
    let x = plot.cycles.at(chart.cycles_now);
    let words = format!(
        "today {}, at least {}",
        chart.today,
        crate::text::counted(chart.cycles_now, "cycle", "cycles")
    );
    upright(pen, plot, (x, style::TODAY), &words, style::INK, taken)
}

/// The fitting of each part but one that the record begins with.
fn breaks(
    pen: &Pen,
    chart: &WearChart,
    plot: &Plot,
    taken: &mut Vec<Patch>,
) -> Result<(), ChartError> {
    for part in chart.parts.iter().rev() {
        let Some(day) = part.fitted else { continue };
        let x = plot.cycles.at(part.from);
        let words = format!("fitted {day}");
        upright(pen, plot, (x, style::BREAK), &words, style::QUIET, taken)?;
    }
    Ok(())
}

/// An upright line with its words above the field, in the lower of two rows where there is room.
/// Words that fit in neither are left out; the description has them all.
fn upright(
    pen: &Pen,
    plot: &Plot,
    (x, stroke): (i32, Stroke),
    words: &str,
    colour: plotters::style::RGBColor,
    taken: &mut Vec<Patch>,
) -> Result<(), ChartError> {
    let half = words::width(words, BODY) / 2;
    let at = x.clamp(MARGIN + half + 5, style::WIDTH - MARGIN - half - 5);
    let mut top = plot.counts.to - 6;
    for row in 0..2 {
        let spot = (at, plot.counts.to - LINE / 2 - 18 - row * LINE);
        if free(taken, Patch::of(spot, Hang::Middle, words)) {
            pen.text(spot, Hang::Middle, BODY, colour, words)?;
            top = if row == 0 { spot.1 + LINE / 2 } else { top };
            break;
        }
    }
    pen.path(&[(x, plot.counts.from), (x, top)], stroke)
}

/// Where the last part's limit is reached, on the limit's line.
fn reaches(pen: &Pen, chart: &WearChart, plot: &Plot) -> Result<(), ChartError> {
    let y = plot.counts.at(chart.limit);
    for (key, reach) in [(Key::Earliest, chart.earliest), (Key::Likely, chart.likely)] {
        let Some(cycles) = reach.and_then(|it| it.cycles) else {
            continue;
        };
        if (plot.cycles.first..=plot.cycles.last).contains(&cycles) {
            sample(pen, (plot.cycles.at(cycles), y), key)?;
        }
    }
    Ok(())
}

fn measures(pen: &Pen, chart: &WearChart, plot: &Plot) -> Result<(), ChartError> {
    let last = chart.parts.len().saturating_sub(1);
    for (n, part) in chart.parts.iter().enumerate() {
        for mark in &part.marks {
            let at = plot.point(mark.cycles, mark.count);
            let key = if chart.is_beyond(mark.count) {
                Key::Beyond
            } else if n == last {
                Key::Measure
            } else {
                Key::OldMeasure
            };
            sample(pen, at, key)?;
        }
    }
    if marks(chart).next().is_none() {
        // A blank field must not read as a part without wear.
        let at = (
            i32::midpoint(plot.cycles.from, plot.cycles.to),
            i32::midpoint(plot.counts.from, plot.counts.to),
        );
        pen.patch(at, Hang::Middle, style::INK, NOTHING)?;
    }
    Ok(())
}

/// A mark, alike on the field and in the legend.
fn sample(pen: &Pen, (x, y): (i32, i32), key: Key) -> Result<(), ChartError> {
    let diamond = |size: i32| [(x - size, y), (x, y - size), (x + size, y), (x, y + size)];
    match key {
        Key::Measure => pen.dot((x, y), 10, style::INK),
        Key::OldMeasure => {
            pen.dot((x, y), 10, style::INK)?;
            pen.dot((x, y), 6, style::PAPER)
        }
        Key::Beyond => {
            pen.fill((x - 13, y - 13), (x + 13, y + 13), style::PAPER)?;
            let thick = Stroke::solid(style::LIMIT, 5);
            pen.frame((x - 13, y - 13), (x + 13, y + 13), thick)?;
            pen.path(&[(x - 13, y - 13), (x + 13, y + 13)], thick)?;
            pen.path(&[(x - 13, y + 13), (x + 13, y - 13)], thick)
        }
        Key::Earliest => pen.shape(&diamond(17), style::INK),
        Key::Likely => {
            pen.shape(&diamond(17), style::INK)?;
            pen.shape(&diamond(10), style::PAPER)
        }
        Key::Line | Key::Foreseen | Key::Band | Key::Break => Ok(()),
    }
}

fn legend(pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
    let mut y = plot.counts.from + FLOOR + LINE / 2;
    for row in &plot.legend {
        for (x, key, text) in row {
            let ends = [(*x, y), (x + SAMPLE - 16, y)];
            match key {
                Key::Line => pen.path(&ends, style::WEAR_LINE)?,
                Key::Break => {
                    let middle = x + (SAMPLE - 16) / 2;
                    pen.path(&[(middle, y - 14), (middle, y + 14)], style::BREAK)?;
                }
                Key::Foreseen => {
                    for dash in dashed(&ends) {
                        pen.path(&dash, style::WEAR_LINE)?;
                    }
                }
                Key::Band => {
                    let (from, to) = ((*x, y - 11), (x + SAMPLE - 16, y + 11));
                    pen.fill(from, to, style::BAND)?;
                    pen.path(&[from, (to.0, from.1)], style::BAND_EDGE)?;
                    pen.path(&[(from.0, to.1), to], style::BAND_EDGE)?;
                }
                mark => sample(pen, (x + (SAMPLE - 16) / 2, y), *mark)?,
            }
            pen.text((x + SAMPLE, y), Hang::Left, BODY, style::INK, text)?;
        }
        y += LINE;
    }
    Ok(())
}

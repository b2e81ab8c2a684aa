//! The field of a trace's time line: lanes with signs, figures with limit and line, days and
//! cycles below.

use super::canvas::{Canvas, Hang, Pen};
use super::scale::{DayScale, round_step};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::trace::{Lane, Measured, Sign, TraceChart};
use super::wear_layout::Scale;
use super::{ChartError, words};
use crate::calendar::Day;
use chrono::Datelike;

/// Height of a lane: its words, then its signs.
const LANE: i32 = 2 * LINE + 18;
/// Height of the field of figures.
const FIGURES: i32 = 360;
/// Half the size of a sign.
const HALF: i32 = 11;
/// Room of a month's figures.
const MONTH: i32 = 130;
/// Rows above the lanes for the words of the fitting and the event.
const ABOVE: i32 = LINE + 12;

const LIMIT_WORDS: &str = "limit";

/// Where everything stands.
pub(super) struct Field {
    pub days: DayScale,
    /// The middle of each lane's signs.
    pub lanes: Vec<i32>,
    /// Heights of the figures.
    pub counts: Option<Scale>,
    /// Ticks of the figures.
    pub ticks: Vec<(i64, String)>,
    /// Upper and lower edge of everything that has a day.
    pub top: i32,
    pub floor: i32,
    legend: Vec<Vec<(i32, Sign)>>,
}

impl Field {
    pub fn new(chart: &TraceChart, top: i32) -> Self {
        let top = top + ABOVE;
        let ticks = chart.measured.as_ref().map(ticks).unwrap_or_default();
        let figures: Vec<&str> = ticks.iter().map(|(_, text)| text.as_str()).collect();
        let left = MARGIN + words::widest(&figures, BODY).max(110) + 26;
        let days = DayScale {
            first: chart.first,
            last: after(chart),
            left,
            right: style::WIDTH - MARGIN - 40,
        };
        let mut y = top;
        let mut lanes = Vec::new();
        for _ in &chart.lanes {
            lanes.push(y + LINE + LANE / 4 + 8);
            y += LANE;
        }
        let counts = chart.measured.as_ref().map(|it| {
            let (low, high) = range(it);
            let upper = y + LINE + 20;
            y = upper + FIGURES;
            Scale {
                first: low,
                last: high,
                from: y,
                to: upper,
            }
        });
        Self {
            days,
            lanes,
            counts,
            ticks,
            top,
            floor: y + 14,
            legend: legend(chart),
        }
    }

    /// The lower edge of the field with its axes and legend.
    pub fn foot(&self) -> i32 {
        let rows = i32::try_from(self.legend.len()).unwrap_or(0);
        self.floor + 4 * LINE + 16 + rows * LINE
    }
}

/// Some days after the event, so that a look on its day does not stand under its line.
fn after(chart: &TraceChart) -> Day {
    let days = (chart.event - chart.first).num_days() / 50 + 1;
    let days = chrono::Days::new(days.unsigned_abs());
    chart.event.checked_add_days(days).unwrap_or(chart.event)
}

/// Lowest and highest count drawn, with two steps of the gauge of room.
fn range(it: &Measured) -> (i64, i64) {
    let counts = it.marks.iter().map(|(_, count, _)| *count);
    let ends = it.line.iter().map(|(_, count)| *count);
    let levels = [Some(it.limit), it.warn].into_iter().flatten();
    let all: Vec<i64> = counts.chain(ends).chain(levels).collect();
    let low = all.iter().copied().min().unwrap_or(it.limit);
    let high = all.iter().copied().max().unwrap_or(it.limit);
    let room = it.step.max(1);
    (low.saturating_sub(room), high.saturating_add(room))
}

/// Round multiples of the gauge's step.
fn ticks(it: &Measured) -> Vec<(i64, String)> {
    let (low, high) = range(it);
    let step = it.step.max(1);
    let steps = high.saturating_sub(low) / step;
    let every = step.saturating_mul(round_step(steps.max(1), 6)).max(1);
    let first = low
        .div_euclid(every)
        .saturating_add(1)
        .saturating_mul(every);
    let mut all = Vec::new();
    let mut at = first;
    while at <= high && all.len() < 20 {
        all.push((at, it.show(at)));
        at = at.saturating_add(every);
    }
    all
}

fn legend(chart: &TraceChart) -> Vec<Vec<(i32, Sign)>> {
    let mut rows = Vec::new();
    let mut row = Vec::new();
    let mut x = MARGIN;
    for sign in chart.signs() {
        let wide = 50 + words::width(sign.words(), BODY) + 40;
        if x + wide > style::WIDTH - MARGIN && !row.is_empty() {
            rows.push(std::mem::take(&mut row));
            x = MARGIN;
        }
        row.push((x, sign));
        x += wide;
    }
    if !row.is_empty() {
        rows.push(row);
    }
    rows
}

/// Draws the field in its layers.
pub(super) fn draw(
    canvas: &mut Canvas,
    chart: &TraceChart,
    field: &Field,
) -> Result<(), ChartError> {
    canvas.layer("axes", |pen| axes(pen, chart, field))?;
    canvas.layer("ends", |pen| ends(pen, chart, field))?;
    canvas.layer("lanes", |pen| {
        let mut lanes = chart.lanes.iter().zip(&field.lanes);
        lanes.try_for_each(|(lane, y)| self::lane(pen, lane, *y, field))
    })?;
    if let (Some(it), Some(counts)) = (&chart.measured, &field.counts) {
        canvas.layer("levels", |pen| levels(pen, it, counts, field))?;
        canvas.layer("line", |pen| {
            let points: Vec<(i32, i32)> = it
                .line
                .iter()
                .map(|(day, count)| (field.days.middle(*day), counts.at(*count)))
                .collect();
            if points.len() < 2 {
                return Ok(());
            }
            pen.path(&points, style::WEAR_LINE)
        })?;
        canvas.layer("marks", |pen| {
            let inside = it.marks.iter().filter(|(day, ..)| field.days.holds(*day));
            inside
                .map(|(day, count, sign)| ((field.days.middle(*day), counts.at(*count)), *sign))
                .try_for_each(|(at, sign)| draw_sign(pen, at, sign))
        })?;
    }
    canvas.layer("legend", |pen| draw_legend(pen, field))
}

/// Days and cycles.
fn axes(pen: &Pen, chart: &TraceChart, field: &Field) -> Result<(), ChartError> {
    let (left, right) = (field.days.left, field.days.right);
    let grid = Stroke::solid(style::GRID, 2);
    if let Some(counts) = &field.counts {
        for (count, text) in &field.ticks {
            let y = counts.at(*count);
            pen.path(&[(left, y), (right, y)], grid)?;
            pen.text((left - 12, y), Hang::Right, BODY, style::QUIET, text)?;
        }
    }
    let ink = Stroke::solid(style::INK, 3);
    pen.path(&[(left, field.floor), (right, field.floor)], ink)?;
    let rows = [
        field.floor + LINE / 2 + 10,
        field.floor + LINE + LINE / 2 + 10,
        field.floor + 2 * LINE + LINE / 2 + 10,
    ];
    let [months, years, cycles] = rows;
    let mut year = None;
    for (day, name) in field.days.months(MONTH) {
        let x = field.days.start(day);
        pen.path(&[(x, field.floor), (x, field.floor + 10)], ink)?;
        if x > right - MONTH {
            // The event's own figures stand there.
            continue;
        }
        pen.text((x, months), Hang::Left, BODY, style::INK, &name)?;
        if year != Some(day.year()) {
            year = Some(day.year());
            pen.text(
                (x, years),
                Hang::Left,
                BODY,
                style::INK,
                &day.year().to_string(),
            )?;
        }
        let count = chart.cycles(day).to_string();
        pen.text((x, cycles), Hang::Left, BODY, style::QUIET, &count)?;
    }
    let total: i64 = chart.uses.iter().map(|(_, count)| *count).sum();
    let event = style::WIDTH - MARGIN;
    pen.text(
        (event, cycles),
        Hang::Right,
        BODY,
        style::INK,
        &total.to_string(),
    )?;
    let y = field.floor + 3 * LINE + LINE / 2 + 10;
    let words = "third row: cycles, exposures on sheets since the first day drawn, at least";
    pen.text((MARGIN, y), Hang::Left, BODY, style::QUIET, words)
}

/// The fitting at the left, the event at the right.
fn ends(pen: &Pen, chart: &TraceChart, field: &Field) -> Result<(), ChartError> {
    let y = field.top - ABOVE / 2 - 4;
    let next = chart.event.succ_opt().unwrap_or(chart.event);
    let (left, right) = (field.days.start(chart.first), field.days.start(next));
    pen.path(&[(left, field.top - 6), (left, field.floor)], style::BREAK)?;
    let begun = match chart.fitted {
        Some(day) => format!("fitted {day}"),
        None => format!("first look {}; fitting not on record", chart.first),
    };
    pen.text((left, y), Hang::Left, BODY, style::INK, &begun)?;
    let strong = Stroke::solid(style::INK, 6);
    pen.path(&[(right, field.top - 6), (right, field.floor)], strong)?;
    let event = format!("event {}", chart.event);
    let end = style::WIDTH - MARGIN;
    pen.text((end, y), Hang::Right, BODY, style::INK, &event)
}

fn lane(pen: &Pen, lane: &Lane, y: i32, field: &Field) -> Result<(), ChartError> {
    let (left, right) = (field.days.left, field.days.right);
    let above = y - LINE / 2 - HALF - 8;
    let name = words::wrap(&lane.name, BODY, right - left - 20);
    let name = name.first().map(String::as_str).unwrap_or_default();
    pen.text((left + 12, above), Hang::Left, BODY, style::INK, name)?;
    pen.path(&[(left, y), (right, y)], Stroke::solid(style::GRID, 2))?;
    let inside = |day: Day| field.days.holds(day);
    for (day, sign) in lane.signs.iter().filter(|(day, _)| inside(*day)) {
        draw_sign(pen, (field.days.middle(*day), y), *sign)?;
    }
    Ok(())
}

fn levels(pen: &Pen, it: &Measured, counts: &Scale, field: &Field) -> Result<(), ChartError> {
    let (left, right) = (field.days.left, field.days.right);
    let y = counts.to - LINE / 2 - 8;
    let name = words::wrap(&it.name, BODY, right - left - 20);
    let name = name.first().map(String::as_str).unwrap_or_default();
    pen.text((left + 12, y), Hang::Left, BODY, style::INK, name)?;
    let limit = counts.at(it.limit);
    pen.path(&[(left, limit), (right, limit)], style::LIMIT_LINE)?;
    // Words stand on the side that is still good.
    let beside = if it.bad_below {
        -LINE / 2 - 2
    } else {
        LINE / 2 + 2
    };
    let text = format!("{LIMIT_WORDS} {}", it.show(it.limit));
    pen.patch((left + 12, limit + beside), Hang::Left, style::LIMIT, &text)?;
    if let Some(warn) = it.warn {
        let y = counts.at(warn);
        pen.path(&[(left, y), (right, y)], style::ADMINISTRATIVE_LINE)?;
        let text = format!("warning {}", it.show(warn));
        let at = (left + 12, y + beside);
        pen.patch(at, Hang::Left, style::ADMINISTRATIVE, &text)?;
    }
    Ok(())
}

/// One sign; each has a shape of its own.
fn draw_sign(pen: &Pen, (x, y): (i32, i32), sign: Sign) -> Result<(), ChartError> {
    let line = Stroke::solid(style::INK, 4);
    let triangle = [
        (x - HALF, y + HALF),
        (x, y - HALF),
        (x + HALF, y + HALF),
        (x - HALF, y + HALF),
    ];
    match sign {
        Sign::Daily => pen.path(&[(x, y - 9), (x, y + 9)], Stroke::solid(style::INK, 3)),
        Sign::Good => pen.dot((x, y), HALF, style::INK),
        Sign::Beyond => {
            pen.dot((x, y), HALF, style::INK)?;
            let (out, around) = (HALF + 8, Stroke::solid(style::LIMIT, 4));
            pen.frame((x - out, y - out), (x + out, y + out), around)
        }
        Sign::Defect => {
            let line = Stroke::solid(style::LIMIT, 6);
            pen.path(&[(x - HALF, y - HALF), (x + HALF, y + HALF)], line)?;
            pen.path(&[(x - HALF, y + HALF), (x + HALF, y - HALF)], line)
        }
        Sign::NotDone => {
            pen.fill((x - HALF, y - HALF), (x + HALF, y + HALF), style::PAPER)?;
            pen.frame((x - HALF, y - HALF), (x + HALF, y + HALF), line)
        }
        Sign::Claimed => {
            pen.shape(&triangle, style::PAPER)?;
            pen.path(&triangle, line)
        }
        Sign::Changed => {
            pen.shape(&triangle, style::INK)?;
            pen.path(&triangle, line)
        }
    }
}

fn draw_legend(pen: &Pen, field: &Field) -> Result<(), ChartError> {
    let mut y = field.floor + 4 * LINE + 16 + LINE / 2;
    for row in &field.legend {
        for (x, sign) in row {
            draw_sign(pen, (x + 22, y), *sign)?;
            pen.text((x + 50, y), Hang::Left, BODY, style::INK, sign.words())?;
        }
        y += LINE;
    }
    Ok(())
}

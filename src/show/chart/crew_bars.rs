//! Everybody's dose over a span as bars, one a person, against the levels of each.
//!
//! Of record is solid, provisional is hatched, what other employers reported and what is
//! apportioned is open; a thin line runs on to the safe-side figure. Levels are drawn in the
//! rows of those for whom they hold, so that a minor's limit is seen as another one.

use super::canvas::{Canvas, Hang, Pen};
use super::page::{self, Page, SAMPLE};
use super::scale::round_step;
use super::share_bars::line_of;
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::wear_layout::Scale;
use super::worker_year::Sort;
use super::{ChartError, words};
use crate::quantity::{Dose, DoseUnit};

/// All that the chart shows.
#[derive(Debug, Clone)]
pub struct CrewBars {
    /// As `Crew, deep dose 2026-01-01 to 2026-12-31`.
    pub title: String,
    /// The line under it: as of which day.
    pub caption: String,
    /// The unit that all figures are printed in.
    pub unit: DoseUnit,
    /// The people, in the order in which they are drawn.
    pub rows: Vec<PersonRow>,
    /// Lines printed below.
    pub notes: Vec<String>,
    /// The line that says whom to ask; printed last, whole.
    pub caution: String,
}

/// One person.
#[derive(Debug, Clone)]
pub struct PersonRow {
    /// Id and name.
    pub label: String,
    /// Settled by result or determination.
    pub of_record: Dose,
    /// Readings only.
    pub provisional: Dose,
    /// Other employers, and shares of lumps that the span cuts.
    pub other: Dose,
    /// The safe-side figure; where it is below the sum of the parts, the sum is used.
    pub safe_side: Dose,
    /// Whether all of that is only a lower bound.
    pub at_least: bool,
    /// The levels that hold for this person over the span.
    pub levels: Vec<RowLevel>,
}

/// A level of one person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowLevel {
    /// As printed, as `limit, licensee year`.
    pub label: String,
    /// The level.
    pub dose: Dose,
    /// Its sort, which chooses the line.
    pub sort: Sort,
}

impl PersonRow {
    fn total(&self) -> i64 {
        let parts = [self.of_record, self.provisional, self.other];
        let sum = parts.iter().fold(0_i64, |a, b| a.saturating_add(b.nsv()));
        sum.max(0)
    }

    fn safe(&self) -> i64 {
        self.safe_side.nsv().max(self.total())
    }
}

const ROW: i32 = 44;
const HALF: i32 = 11;

#[derive(Clone, Copy)]
enum Key {
    OfRecord,
    Provisional,
    Other,
    SafeSide,
    AtLeast,
    Level(Sort),
}

/// Where everything stands.
struct Plot {
    doses: Scale,
    step: i64,
    top: i32,
    /// Left edge of the figures.
    figures: i32,
    legend: Vec<Vec<(i32, Key, String)>>,
}

impl Plot {
    fn lower(&self, rows: usize) -> i32 {
        self.top + page::height(rows, ROW)
    }

    fn foot(&self, rows: usize) -> i32 {
        self.lower(rows) + 2 * LINE + page::height(self.legend.len(), LINE)
    }
}

impl CrewBars {
    fn figure(&self, row: &PersonRow) -> String {
        let bound = if row.at_least { "at least " } else { "" };
        let total = Dose::from_nsv(row.total()).display(self.unit);
        let passed = row.levels.iter().any(|it| row.safe() >= it.dose.nsv());
        let sign = if passed { " (!)" } else { "" };
        format!("{bound}{total}{sign}")
    }

    /// The levels that the picture reaches, and those above it, each once with how many people
    /// it holds for.
    fn levels(&self) -> Vec<(RowLevel, usize)> {
        let mut all: Vec<(RowLevel, usize)> = Vec::new();
        for level in self.rows.iter().flat_map(|it| &it.levels) {
            match all.iter_mut().find(|(it, _)| it == level) {
                Some((_, count)) => *count += 1,
                None => all.push((level.clone(), 1)),
            }
        }
        all.sort_by_key(|(it, _)| it.dose);
        all
    }

    /// The highest level that is drawn: past it the longest bar would be short.
    fn reach(&self) -> i64 {
        let most = self.rows.iter().map(PersonRow::safe).max().unwrap_or(0);
        let levels = self.levels();
        let lowest = levels
            .iter()
            .map(|(it, _)| it.dose.nsv())
            .find(|it| *it > 0);
        match most {
            0 => lowest.unwrap_or(0),
            most => most.saturating_mul(5) / 2,
        }
    }

    fn legend(&self) -> Vec<(Key, String)> {
        let mut keys = vec![(Key::OfRecord, "of record".to_owned())];
        keys.push((Key::Provisional, "provisional (readings)".to_owned()));
        if self.rows.iter().any(|it| it.other > Dose::ZERO) {
            keys.push((Key::Other, "other employers, apportioned".to_owned()));
        }
        if self.rows.iter().any(|it| it.safe() > it.total()) {
            keys.push((Key::SafeSide, "up to the safe-side figure".to_owned()));
        }
        if self.rows.iter().any(|it| it.at_least) {
            keys.push((Key::AtLeast, "lower bound, no end known".to_owned()));
        }
        let reach = self.reach();
        for (level, count) in self.levels() {
            let far = if level.dose.nsv() > reach {
                ", right of the picture"
            } else {
                ""
            };
            let whom = if count == self.rows.len() {
                String::new()
            } else {
                format!(" ({count} of {})", self.rows.len())
            };
            let dose = level.dose.display(self.unit);
            let text = format!("{} {dose}{whom}{far}", level.label);
            keys.push((Key::Level(level.sort), text));
        }
        keys
    }

    fn plot(&self, top: i32) -> Plot {
        let reach = self.reach();
        let levels = self.levels();
        let drawn = levels.iter().map(|(it, _)| it.dose.nsv());
        let highest = drawn.filter(|it| *it <= reach).max().unwrap_or(0);
        let most = self.rows.iter().map(PersonRow::safe).max().unwrap_or(0);
        let need = most.max(highest).max(10);
        let need = need.saturating_add(need / 20);
        let step = round_step(need, 6);
        let names: Vec<String> = self.rows.iter().filter_map(|it| name(&it.label)).collect();
        let figures: Vec<String> = self.rows.iter().map(|it| self.figure(it)).collect();
        let right = style::WIDTH - MARGIN - words::widest(&figures, BODY) - 20;
        Plot {
            doses: Scale {
                first: 0,
                last: need,
                from: MARGIN + words::widest(&names, BODY) + 20,
                to: right,
            },
            step,
            top,
            figures: right + 20,
            legend: page::legend(self.legend()),
        }
    }

    /// The chart as one SVG document, 160 mm wide; its height follows the number of people.
    ///
    /// # Errors
    /// [`ChartError::Draw`] if the drawing backend fails.
    pub fn svg(&self) -> Result<String, ChartError> {
        let page = Page::new(
            &self.title,
            &[(&self.caption, style::QUIET)],
            self.notes.iter().chain([&self.caution]),
        );
        let plot = self.plot(page.top() + LINE);
        let rows = self.rows.len();
        let foot = plot.foot(rows);
        let mut canvas = Canvas::new(foot + page.after());
        page.draw(&mut canvas, foot)?;
        canvas.layer("axes", |pen| self.axes(pen, &plot))?;
        canvas.layer("bars", |pen| {
            for (at, row) in self.rows.iter().enumerate() {
                bar(pen, row, &plot, middle(&plot, at))?;
            }
            Ok(())
        })?;
        canvas.layer("levels", |pen| self.draw_levels(pen, &plot))?;
        canvas.layer("names", |pen| {
            for (at, row) in self.rows.iter().enumerate() {
                let y = middle(&plot, at);
                if let Some(text) = name(&row.label) {
                    pen.text((MARGIN, y), Hang::Left, BODY, style::INK, &text)?;
                }
                let at = (plot.figures, y);
                pen.text(at, Hang::Left, BODY, style::INK, &self.figure(row))?;
            }
            Ok(())
        })?;
        let top = plot.lower(rows) + LINE + LINE / 2;
        page::draw_legend(&mut canvas, &plot.legend, top, sample)?;
        Ok(canvas.finish(&self.title, &self.description()))
    }

    fn axes(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        let lower = plot.lower(self.rows.len());
        for nsv in super::year_layout::ticks(plot.step, plot.doses.last) {
            let x = plot.doses.at(nsv);
            let line = Stroke::solid(style::GRID, 2);
            pen.path(&[(x, plot.top), (x, lower)], line)?;
            let text = page::figure(Dose::from_nsv(nsv), self.unit);
            let at = (x, lower + LINE / 2 + 8);
            pen.text(at, Hang::Middle, BODY, style::QUIET, &text)?;
        }
        let x = plot.doses.from;
        pen.path(&[(x, plot.top), (x, lower)], Stroke::solid(style::INK, 3))
    }

    /// A level runs through neighbouring rows in one line.
    fn draw_levels(&self, pen: &Pen, plot: &Plot) -> Result<(), ChartError> {
        for (level, _) in self.levels() {
            if level.dose.nsv() > plot.doses.last || level.dose.nsv() <= 0 {
                continue;
            }
            let x = plot.doses.at(level.dose.nsv());
            let mut from: Option<i32> = None;
            for at in 0..=self.rows.len() {
                let y = plot.top + page::height(at, ROW);
                let row = self.rows.get(at);
                let holds = row.is_some_and(|row| row.levels.contains(&level));
                match (from, holds) {
                    (None, true) => from = Some(y),
                    (Some(start), false) => {
                        pen.path(&[(x, start), (x, y)], line_of(level.sort))?;
                        from = None;
                    }
                    _ => {}
                }
            }
        }
        Ok(())
    }

    /// The chart in words.
    fn description(&self) -> String {
        let mut text = words::clean(&self.caption);
        for row in &self.rows {
            text.push_str(&format!(
                " {}: {}, of record {}, provisional {}, other {}, safe side {}.",
                row.label,
                self.figure(row),
                row.of_record.display(self.unit),
                row.provisional.display(self.unit),
                row.other.display(self.unit),
                Dose::from_nsv(row.safe()).display(self.unit),
            ));
        }
        for (level, count) in self.levels() {
            let dose = level.dose.display(self.unit);
            let people = crate::text::counted(count, "person", "people");
            text.push_str(&format!(" {}: {dose} for {people}.", level.label));
        }
        for line in self.notes.iter().chain([&self.caution]) {
            text.push(' ');
            text.push_str(line);
        }
        text
    }
}

/// The name on one line, cut where it would take the room of the bars; whole in the description.
fn name(label: &str) -> Option<String> {
    const ROOM: i32 = 420;
    let lines = words::wrap(&words::clean(label), BODY, ROOM);
    let more = if lines.len() > 1 { ".." } else { "" };
    lines.first().map(|it| format!("{it}{more}"))
}

fn middle(plot: &Plot, at: usize) -> i32 {
    plot.top + page::height(at, ROW) + ROW / 2
}

/// The parts of one person's bar, one after the other from the left.
fn bar(pen: &Pen, row: &PersonRow, plot: &Plot, y: i32) -> Result<(), ChartError> {
    let mut sum = 0_i64;
    let mut from = plot.doses.from;
    for (part, key) in [
        (row.of_record, Key::OfRecord),
        (row.provisional, Key::Provisional),
        (row.other, Key::Other),
    ] {
        sum = sum.saturating_add(part.nsv());
        let to = plot.doses.at(sum);
        if to > from {
            fill(pen, (from, to), y, key)?;
            from = to;
        }
    }
    let safe = plot.doses.at(row.safe());
    if safe > from {
        run_on(pen, (from, safe), y)?;
    }
    if row.at_least {
        arrow(pen, safe + 4, y)?;
    }
    Ok(())
}

fn fill(pen: &Pen, (from, to): (i32, i32), y: i32, key: Key) -> Result<(), ChartError> {
    let (up, down) = (y - HALF, y + HALF);
    if matches!(key, Key::OfRecord) {
        pen.fill((from, up), (to, down), style::DOSE)?;
    }
    if matches!(key, Key::Provisional) {
        pen.hatch((from, up), (to, down), style::HATCH)?;
    }
    pen.frame((from, up), (to, down), Stroke::solid(style::DOSE, 3))
}

fn run_on(pen: &Pen, (from, to): (i32, i32), y: i32) -> Result<(), ChartError> {
    let line = Stroke::solid(style::INK, 3);
    pen.path(&[(from, y), (to, y)], line)?;
    pen.path(&[(to, y - HALF), (to, y + HALF)], line)
}

fn arrow(pen: &Pen, x: i32, y: i32) -> Result<(), ChartError> {
    pen.shape(&[(x, y - HALF), (x, y + HALF), (x + 20, y)], style::INK)
}

fn sample(pen: &Pen, (x, y): (i32, i32), key: Key) -> Result<(), ChartError> {
    let ends = (x, x + SAMPLE);
    match key {
        Key::OfRecord | Key::Provisional | Key::Other => fill(pen, ends, y, key),
        Key::SafeSide => run_on(pen, ends, y),
        Key::AtLeast => arrow(pen, x + SAMPLE / 2, y),
        Key::Level(sort) => pen.path(&[(ends.0, y), (ends.1, y)], line_of(sort)),
    }
}

//! Everybody's dose over a span as bars, one a person, against the levels of each.
//!
//! Of record is solid, provisional is hatched, what other employers reported and what is
//! apportioned is open; a thin line runs on to the conservative total. Levels are drawn in the
//! rows of those for whom they hold, so that a minor's limit is seen as another one.

use super::axis::{Axis, figure};
use super::frame::{Frame, Plot};
use super::marks::{Fill, Key, Part, Shape};
use super::rows::{self, Rows};
use super::share_bars::line_of;
use super::style::{self, BODY};
use super::svg::Hang;
use super::worker_year::Type;
use super::{ChartError, words};
use crate::quantity::{Dose, DoseUnit};
use crate::show::fine;

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
    /// Resolved by result or determination.
    pub of_record: Dose,
    /// Readings only.
    pub provisional: Dose,
    /// Other employers, and shares of lumps that the span cuts.
    pub other: Dose,
    /// the conservative total; where it is below the sum of the parts, the sum is used.
    pub conservative: Dose,
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
    /// Its kind, which chooses the line.
    pub kind: Type,
}

impl PersonRow {
    fn total(&self) -> i64 {
        let parts = [self.of_record, self.provisional, self.other];
        let sum = parts.iter().fold(0_i64, |a, b| a.saturating_add(b.nsv()));
        sum.max(0)
    }

    fn safe(&self) -> i64 {
        self.conservative.nsv().max(self.total())
    }
}

const HALF: i32 = 11;
/// Widest names; a longer one is cut where it stands and whole in the description.
const NAMES: i32 = 420;
const AT_LEAST: &[Part] = &[Part::Full(Shape::Arrow, HALF, style::INK)];

impl CrewBars {
    fn figure(&self, row: &PersonRow) -> String {
        let bound = if row.at_least { "at least " } else { "" };
        let total = fine::dose(Dose::from_nsv(row.total()), self.unit, row.at_least);
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

    fn legend(&self) -> Vec<Key> {
        let solid = vec![Part::Bar(Fill::Solid)];
        let mut keys: Vec<Key> = vec![(solid, "of record".to_owned())];
        let mut push = |part, text: &str| keys.push((vec![part], text.to_owned()));
        push(Part::Bar(Fill::Hatched), "provisional (readings)");
        if self.rows.iter().any(|it| it.other > Dose::ZERO) {
            push(Part::Bar(Fill::Open), "other employers, apportioned");
        }
        if self.rows.iter().any(|it| it.safe() > it.total()) {
            push(Part::RunOn, "up to the conservative total");
        }
        if self.rows.iter().any(|it| it.at_least) {
            keys.push((AT_LEAST.to_vec(), "lower bound, no end known".to_owned()));
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
            keys.push((vec![Part::Line(line_of(level.kind))], text));
        }
        keys
    }

    /// From nought to the longest bar and the highest level that the picture reaches.
    fn doses(&self) -> Axis {
        let reach = self.reach();
        let levels = self.levels();
        let levels = levels.iter().map(|(it, _)| it.dose.nsv());
        let bars = self.rows.iter().map(PersonRow::safe);
        let most = bars
            .chain(levels.filter(|it| *it <= reach))
            .max()
            .unwrap_or(0);
        let need = most.max(10).saturating_add(most / 20);
        Axis::between(0, need, 1, |it| figure(Dose::from_nsv(it), self.unit))
    }

    /// The chart as one SVG document, 160 mm wide; its height follows the number of people.
    ///
    /// # Errors
    /// [`ChartError::Draw`] if the axes cannot be drawn.
    pub fn svg(&self) -> Result<String, ChartError> {
        let names = self.rows.iter().map(|it| rows::cut(&it.label, NAMES));
        let rows = Rows::new(names.collect());
        let figures: Vec<String> = self.rows.iter().map(|it| self.figure(it)).collect();
        let frame = Frame {
            head: vec![(&self.caption, style::QUIET)],
            grid: [true, false],
            left: Some(rows.left(120)),
            right: words::widest(&figures, BODY) + 20,
            height: Some(rows.height()),
            legend: self.legend(),
            ..Frame::new(
                &self.title,
                self.doses(),
                rows.axis(),
                &self.notes,
                &self.caution,
            )
        };
        frame.draw(
            &self.description(),
            |_| (),
            |plot| {
                let pen = &plot.pen;
                let all = || self.rows.iter().zip(0..);
                pen.layer("bars", || {
                    all().for_each(|(row, n)| bar(plot, row, rows.middle(plot, n)));
                });
                pen.layer("levels", || self.draw_levels(plot, &rows));
                pen.layer("names", || {
                    rows.draw_names(plot);
                    for (text, n) in figures.iter().zip(0..) {
                        let at = (plot.right + 20, rows.middle(plot, n));
                        pen.say(at, Hang::Left, style::INK, text);
                    }
                });
            },
        )
    }

    /// A level runs through neighbouring rows in one line.
    fn draw_levels(&self, plot: &Plot, rows: &Rows) {
        for (level, _) in self.levels() {
            let x = plot.x(level.dose.nsv());
            if x > plot.right || level.dose <= Dose::ZERO {
                continue;
            }
            let mut from: Option<i32> = None;
            for n in 0..=self.rows.len() {
                let row = self.rows.get(n);
                match (from, row.is_some_and(|it| it.levels.contains(&level))) {
                    (None, true) => from = Some(rows.top(plot, n)),
                    (Some(start), false) => {
                        let ends = [(x, start), (x, rows.top(plot, n))];
                        plot.pen.path(&ends, line_of(level.kind));
                        from = None;
                    }
                    _ => {}
                }
            }
        }
    }

    /// The chart in words.
    fn description(&self) -> String {
        let mut text = words::clean(&self.caption);
        for row in &self.rows {
            text.push_str(&format!(
                " {}: {}, of record {}, provisional {}, other {}, conservative total {}.",
                row.label,
                self.figure(row),
                fine::dose(row.of_record, self.unit, false),
                fine::dose(row.provisional, self.unit, false),
                fine::dose(row.other, self.unit, false),
                fine::dose(Dose::from_nsv(row.safe()), self.unit, row.at_least),
            ));
        }
        for (level, count) in self.levels() {
            let dose = level.dose.display(self.unit);
            let people = crate::text::counted(count, "person", "people");
            text.push_str(&format!(" {}: {dose} for {people}.", level.label));
        }
        text
    }
}

/// The parts of one person's bar, one after the other from the left.
fn bar(plot: &Plot, row: &PersonRow, y: i32) {
    let mut sum = 0_i64;
    let mut from = plot.x(0);
    for (part, fill) in [
        (row.of_record, Fill::Solid),
        (row.provisional, Fill::Hatched),
        (row.other, Fill::Open),
    ] {
        sum = sum.saturating_add(part.nsv());
        let to = plot.x(sum);
        if to > from {
            plot.pen.bar((from, y - HALF), (to, y + HALF), fill);
            from = to;
        }
    }
    let safe = plot.x(row.safe());
    if safe > from {
        plot.pen.run_on(from, safe, y);
    }
    if row.at_least {
        plot.pen.mark((safe + 4, y), AT_LEAST);
    }
}

//! Where everything of a worker's year stands: scales, words of the levels, legend.

use super::scale::{DayScale, DoseScale, round_step};
use super::style::{self, BODY, LINE, MARGIN, Stroke};
use super::worker_year::{Standing, Step, WorkerYear};
use super::{share_bars, words};
use crate::quantity::Dose;

/// Room under the floor for the names of months and their year.
pub(super) const MONTHS: i32 = 2 * LINE + 8;
/// The least height of the curve's field.
const LOWEST: i32 = 330;
/// From the field's right edge to the words of a level.
pub(super) const LEADER: i32 = 26;
/// The widest that the words of a level may be.
const LABEL: i32 = 330;

/// Where everything stands.
pub(super) struct Plot {
    pub days: DayScale,
    pub doses: DoseScale,
    pub step: i64,
    pub labels: Vec<Label>,
    pub legend: Vec<Vec<(i32, Key)>>,
}

/// A level's words at the right edge.
pub(super) struct Label {
    pub lines: Vec<String>,
    pub stroke: Stroke,
    pub nsv: i64,
    /// Middle of the words.
    pub y: i32,
}

impl Label {
    pub fn height(&self) -> i32 {
        i32::try_from(self.lines.len())
            .unwrap_or(1)
            .saturating_mul(LINE)
            + 6
    }
}

/// Printed in the field of a year without any dose.
pub(super) const NOTHING: &str = "no dose in the ledger for this year";

/// One entry of the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Key {
    Step(Standing),
    AtLeast,
    Undetermined,
    Fan,
    FanMiddle,
}

impl Key {
    pub fn words(self) -> &'static str {
        match self {
            Self::Step(Standing::OfRecord) => "of record",
            Self::Step(Standing::Provisional) => "provisional",
            Self::AtLeast => "dashed: lower bound, at least",
            Self::Undetermined => "off-scale or undetermined",
            Self::Fan => "forecast, 9 chances in 10",
            Self::FanMiddle => "its middle",
        }
    }
}

/// Width of a legend's sample with the gap after it.
pub(super) const SAMPLE: i32 = 90;

/// The highest level that is drawn as a line: past it the curve would lie in the lower two
/// fifths of the field. Where there is no dose yet, the lowest level is drawn.
pub(super) fn reach(chart: &WorkerYear) -> i64 {
    let most = chart.highest();
    if most > 0 {
        return most.saturating_mul(5) / 2;
    }
    chart
        .levels
        .iter()
        .map(|l| l.dose.nsv())
        .filter(|n| *n > 0)
        .min()
        .unwrap_or(0)
}

impl Plot {
    /// Lays the panel out from `top` to about `foot`, lower where the words need it.
    pub fn new(chart: &WorkerYear, top: i32, foot: i32) -> Self {
        let reach = reach(chart);
        let shown = || {
            let levels = chart.levels.iter();
            levels.filter(|l| !l.other_span && (1..=reach).contains(&l.dose.nsv()))
        };
        let (step, ceiling) = grid(chart, shown().map(|l| l.dose.nsv()).max().unwrap_or(0));
        let mut labels: Vec<_> = shown()
            .map(|l| {
                let mut lines = words::wrap(&words::clean(&l.label), BODY, LABEL);
                lines.push(l.dose.display(chart.unit));
                Label {
                    lines,
                    stroke: share_bars::line_of(l.sort),
                    nsv: l.dose.nsv(),
                    y: 0,
                }
            })
            .collect();
        labels.sort_by_key(|l| std::cmp::Reverse(l.nsv));
        let stacked: i32 = labels.iter().map(Label::height).sum();

        let ticks: Vec<_> = ticks(step, ceiling)
            .map(|n| chart.figure(Dose::from_nsv(n)))
            .collect();
        let left = MARGIN + words::widest(&ticks, BODY) + 22;
        let wide = labels.iter().map(|l| words::widest(&l.lines, BODY)).max();
        let right = style::WIDTH - MARGIN - wide.map_or(0, |w| w + LEADER + 4);
        let legend = legend(chart, right.max(style::WIDTH * 3 / 4) - MARGIN);
        let rows = i32::try_from(legend.len()).unwrap_or(0);
        let lower = (foot - MONTHS - rows * LINE)
            .max(top + LOWEST)
            .max(top + stacked);

        let days = DayScale {
            first: chart.span.first,
            last: chart.span.last,
            left,
            right,
        };
        let doses = DoseScale {
            top: ceiling,
            upper: top,
            lower,
        };
        let mut plot = Self {
            days,
            doses,
            step,
            labels,
            legend,
        };
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

    pub fn point(&self, step: &Step) -> (i32, i32) {
        (self.days.middle(step.day), self.doses.y(step.total.nsv()))
    }
}

pub(super) fn ticks(step: i64, ceiling: i64) -> impl Iterator<Item = i64> {
    (0..=7)
        .map(move |n| step.saturating_mul(n))
        .filter(move |n| *n <= ceiling)
}

/// The step of the dose axis and its ceiling, a whole number of steps, in nanosievert.
fn grid(chart: &WorkerYear, highest: i64) -> (i64, i64) {
    let most = chart.highest();
    // Room above the curve for its last figure, and for the arrows of undetermined days.
    let above = if chart.at_least() { most / 2 } else { most / 5 };
    let need = most
        .saturating_add(above)
        .max(highest.saturating_add(highest / 20))
        .max(10);
    let step = round_step(need, 6);
    (step, need.saturating_add(step - 1) / step * step)
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
    if !chart.fan.is_empty() {
        keys.extend([Key::Fan, Key::FanMiddle]);
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

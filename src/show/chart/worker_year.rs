//! One worker's year: the dose as it grew, reading by reading, against the levels.
//!
//! Above, the cumulative dose as steps, with those levels that leave the curve at least two
//! fifths of the height; below, the share of every level as a bar with its figures, so that a
//! limit far above the dose is on the page and does not press the curve flat.

use crate::calendar::{Day, Span};
use crate::quantity::{Dose, DoseUnit};
use crate::show::fine;

/// All that the chart shows. Nothing is computed from it but places, shares and the last total.
#[derive(Debug, Clone)]
pub struct WorkerYear {
    /// Who and which year, as `W07 A. Example, licensee year 2026`.
    pub title: String,
    /// What is counted, as `deep dose (whole body)`.
    pub quantity: String,
    /// The year, first and last day included.
    pub span: Span,
    /// The unit that all figures are printed in.
    pub unit: DoseUnit,
    /// The readings, determinations and results in the order of their days.
    pub steps: Vec<Step>,
    /// The levels that this year's dose is held against.
    pub levels: Vec<Level>,
    /// The day that the chart is for; the line ends there.
    pub today: Day,
    /// Where it is heading from today on, in the order of the days; empty for no forecast.
    pub fan: Vec<FanPoint>,
    /// Lines printed below: what is missing, what is assumed.
    pub notes: Vec<String>,
    /// The line that says whom to ask; printed last, whole.
    pub caution: String,
}

/// What a total rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// All of it is resolved by badge results or determinations.
    OfRecord,
    /// Some of it is only a reading so far.
    Provisional,
}

/// The total after one more reading, result or determination.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// The day that the dose was received.
    pub day: Day,
    /// Total since the first day of the year.
    pub total: Dose,
    /// What the total rests on.
    pub standing: Standing,
    /// Off-scale or missing: the true dose is at least this, and nobody has determined it. All
    /// totals from here on are lower bounds and are drawn and printed as `at least`.
    pub undetermined: bool,
}

/// How the total may stand on a day to come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FanPoint {
    /// The day.
    pub day: Day,
    /// One chance in twenty that the total is at most this.
    pub low: Dose,
    /// As likely above as below.
    pub median: Dose,
    /// One chance in twenty that the total is above this.
    pub high: Dose,
}

/// Why something happens at a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Type {
    /// A limit of law.
    Limit,
    /// The site's own level below it.
    Administrative,
    /// A level at which the cause is looked into.
    Investigation,
    /// A level of one shift.
    Shift,
}

/// A dose that the year is held against.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Level {
    /// As printed, as `limit, adult`.
    pub label: String,
    /// The level. Where it is not above zero nothing is allowed, and the chart says so.
    pub dose: Dose,
    /// Its kind, which chooses the line.
    pub kind: Type,
    /// The figure held against it, where that is not the curve's last total (the conservative
    /// figure, or the dose of a longer window). A figure below the last total is not believed:
    /// the higher of the two is shown. Where one is given, say in a note what it is.
    pub used: Option<Dose>,
    /// Whether the figure held against it is only a lower bound.
    pub at_least: bool,
    /// Whether it sums another span than the curve's (a quarter, a pregnancy). Then it has a bar
    /// and no line, and its own figure stands.
    pub other_span: bool,
}

impl Level {
    /// The figure held against the level: never below the curve's last total, where both sum the
    /// same span.
    pub(super) fn used(&self, last_total: Dose) -> Dose {
        if self.other_span {
            return self.used.unwrap_or(last_total).max(Dose::ZERO);
        }
        self.used
            .unwrap_or(last_total)
            .max(last_total)
            .max(Dose::ZERO)
    }
}

impl WorkerYear {
    /// The highest level that is drawn as a line: past it the curve would lie in the lower two
    /// fifths of the field. Where there is no dose yet, the lowest level is drawn.
    pub(super) fn reach(&self) -> i64 {
        let most = self.highest();
        if most > 0 {
            return most.saturating_mul(5) / 2;
        }
        self.levels
            .iter()
            .map(|l| l.dose.nsv())
            .filter(|n| *n > 0)
            .min()
            .unwrap_or(0)
    }

    /// The last total, zero where nothing was received.
    pub(super) fn total(&self) -> Dose {
        self.steps.last().map_or(Dose::ZERO, |s| s.total)
    }

    /// The highest dose that is drawn, levels apart: never below zero.
    pub(super) fn highest(&self) -> i64 {
        let steps = self.steps.iter().map(|it| it.total.nsv());
        let fan = self.fan.iter().map(|it| it.high.nsv());
        steps.chain(fan).max().unwrap_or(0).max(0)
    }

    /// Is every total from some day on only a lower bound?
    pub(super) fn at_least(&self) -> bool {
        self.steps.iter().any(|s| s.undetermined)
    }

    /// The day at which the line ends: today, or the last step where that is later.
    pub(super) fn end(&self) -> Day {
        let today = self.today.max(self.span.first).min(self.span.last);
        self.steps
            .last()
            .map_or(today, |s| s.day.min(self.span.last).max(today))
    }

    /// `at least 412 mrem`, or without the words where nothing is undetermined.
    pub(super) fn total_in_words(&self) -> String {
        let bound = if self.at_least() { "at least " } else { "" };
        let total = fine::dose(self.total(), self.unit, self.at_least());
        format!("{bound}{total}")
    }
}

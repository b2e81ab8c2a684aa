//! How the parts of one item of equipment wore: each measure, the line through those of each
//! installed part with the band in which the next measure will lie, and the limit.
//!
//! Across run the cycles of the item of equipment, so that a new part stands right of the old
//! one with a break between. The height does not begin at zero, which the caption says: wear is
//! a hundredth of a diameter.

use serde::Serialize;

use crate::calendar::Day;
use crate::quantity::{Amount, AmountUnit};

/// All that the chart shows. Nothing is computed from it but places. Counts are in the base unit
/// of the measure's kind (nm, millidegree); cycles are those of the item of equipment.
#[derive(Debug, Clone, Serialize)]
pub struct WearChart {
    /// Of what, as `CU-03 drive cable, outside diameter`.
    pub title: String,
    /// What is measured, as `outside diameter at the most worn place`.
    pub measurement: String,
    /// The unit that all figures are printed in.
    pub unit: AmountUnit,
    /// The limit.
    pub limit: i64,
    /// Whether below the limit is bad, else above.
    pub bad_below: bool,
    /// Where the warning begins.
    pub warn: Option<i64>,
    /// The value of a new part.
    pub nominal: Option<i64>,
    /// The gauge's step.
    pub step: i64,
    /// The installed parts, the earliest first. The last is the one that is there.
    pub parts: Vec<Part>,
    /// The day that the chart is for.
    pub today: Day,
    /// Cycles up to that day: at least so many.
    pub cycles_now: i64,
    /// Where the line of the last part reaches the limit.
    pub likely: Option<Reaches>,
    /// Where the next measure of the last part may first be at the limit.
    pub earliest: Option<Reaches>,
    /// Where the last part is heading, as `heading for its limit`; printed below the title.
    pub outlook: String,
    /// Lines printed below: what is assumed, what is missing.
    pub notes: Vec<String>,
    /// The line that says what to check; printed last, whole.
    pub caution: String,
}

/// One installed part.
#[derive(Debug, Clone, Serialize)]
pub struct Part {
    /// When it was installed, where that is on record.
    pub installed: Option<Day>,
    /// Cycles of the item of equipment when it was installed.
    pub from: i64,
    /// Its measures.
    pub marks: Vec<Mark>,
    /// Its line and band, from left to right; empty where there are too few measures. What lies
    /// right of its last measure is drawn as foreseen.
    pub band: Vec<BandPoint>,
}

/// One measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Mark {
    /// Cycles of the item of equipment.
    pub cycles: i64,
    /// The measure.
    pub count: i64,
    /// Its day.
    pub day: Day,
}

/// A line and its 95 % prediction band at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct BandPoint {
    /// Cycles of the item of equipment.
    pub cycles: i64,
    /// The line.
    pub line: i64,
    /// The lower end of the band.
    pub lower: i64,
    /// The upper end of the band.
    pub upper: i64,
}

/// A place at which the limit is reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Reaches {
    /// Cycles of the item of equipment, where the line against cycles tells them.
    pub cycles: Option<i64>,
    /// The day, where one can be told.
    pub day: Option<Day>,
}

impl WearChart {
    /// A count as printed.
    pub(super) fn show(&self, count: i64) -> String {
        Amount::from_count(self.unit.kind(), count).display(self.unit)
    }

    /// A count as printed at an axis, without the unit.
    pub(super) fn figure(&self, count: i64) -> String {
        let whole = self.show(count);
        let number = whole.trim_end_matches(self.unit.symbol());
        number.trim_end().to_owned()
    }

    /// Whether a measure is past the limit. At the limit itself it is not.
    pub(super) fn is_beyond(&self, count: i64) -> bool {
        if self.bad_below {
            count < self.limit
        } else {
            count > self.limit
        }
    }

    pub(super) fn caption(&self) -> String {
        format!(
            "{} (unit: {}) against cycles (at least); gauge step {}. The height does not begin at \
             zero.",
            self.measurement,
            self.unit,
            self.show(self.step)
        )
    }

    /// The words of a place at which the limit is reached: whichever comes first, since the day may
    /// be told by the days alone.
    pub(super) fn reach_in_words(reach: &Reaches) -> String {
        match (reach.cycles, reach.day) {
            (Some(cycles), Some(day)) => format!(
                "{day} or at {}",
                crate::text::counted(cycles, "cycle", "cycles")
            ),
            (None, Some(day)) => day.to_string(),
            (Some(cycles), None) => {
                format!("at {}", crate::text::counted(cycles, "cycle", "cycles"))
            }
            (None, None) => "not known".to_owned(),
        }
    }

    /// The chart in words, for those who cannot see it.
    pub(super) fn description(&self) -> String {
        let side = if self.bad_below { "below" } else { "above" };
        let mut text = format!(
            "{} Limit {}, bad {side} it.",
            self.caption(),
            self.show(self.limit)
        );
        for (name, count) in [("Warning from", self.warn), ("New", self.nominal)] {
            if let Some(count) = count {
                text.push_str(&format!(" {name} {}.", self.show(count)));
            }
        }
        for part in &self.parts {
            match part.installed {
                Some(day) => text.push_str(&format!(
                    " Part installed {day} at {}:",
                    crate::text::counted(part.from, "cycle", "cycles")
                )),
                None => text.push_str(" Part whose fitting is not on record:"),
            }
            if part.marks.is_empty() {
                text.push_str(" never measured.");
                continue;
            }
            let each = part.marks.iter().map(|mark| {
                let beyond = if self.is_beyond(mark.count) {
                    " (beyond the limit)"
                } else {
                    ""
                };
                let figure = self.show(mark.count);
                let cycles = crate::text::counted(mark.cycles, "cycle", "cycles");
                format!(" {} at {cycles} {figure}{beyond}", mark.day)
            });
            text.push_str(&each.collect::<Vec<String>>().join(";"));
            text.push('.');
            if part.band.is_empty() {
                text.push_str(" No line.");
            }
        }
        text.push_str(&format!(
            " Today {}, at least {}: {}.",
            self.today,
            crate::text::counted(self.cycles_now, "cycle", "cycles"),
            self.outlook
        ));
        for (name, reach) in [
            ("Earliest credible", &self.earliest),
            ("Likely", &self.likely),
        ] {
            if let Some(reach) = reach {
                text.push_str(&format!(" {name}: {}.", Self::reach_in_words(reach)));
            }
        }
        text
    }
}

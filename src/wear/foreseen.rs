//! Since when a part's limit was foreseeable. It is evidence, so it says no more than the
//! measures hold: every forecast from that day on, and the line itself.

use super::forecast::{Outlook, Pace, Terms};
use super::series::{Others, Point, Series};
use crate::calendar::Day;
use crate::rule::ItemMeasurement;

/// What the day assumes from which on a limit was foreseeable. It may be held against somebody.
pub const FORESEEABLE_ASSUMES: &str = "Each forecast is made again with the measurements up to its \
day, whenever they were written down, at the part's pace up to then, with the limit and the \
interval of inspections of the day asked about; whether anybody made one then is not on record.";

/// Whether a limit was foreseeable.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Foreseeable {
    /// From the day of this measure on every forecast warned, and the line itself led to the
    /// limit before the next inspection.
    Since(Point),
    /// No forecast told anything: too few measures.
    TooFew,
    /// The forecasts told, and at the last of them it was not foreseen.
    No,
}

impl Foreseeable {
    /// The day, where there is one.
    pub fn day(self) -> Option<Day> {
        match self {
            Self::Since(point) => Some(point.day),
            Self::TooFew | Self::No => None,
        }
    }

    /// As printed after `foreseeable`.
    pub fn words(self) -> String {
        match self {
            Self::Since(point) => format!(
                "since {}: from then on every forecast warned, and the line itself led to the \
                 limit before the next inspection",
                point.day
            ),
            Self::TooFew => "not known: too few measurements to tell".to_owned(),
            Self::No => "not from its measurements: no line led to the limit before the next \
                         inspection and stayed there"
                .to_owned(),
        }
    }
}

impl Series {
    /// Since when the limit was foreseeable. Each forecast is as it would have been on the day of
    /// its measure: with what was measured by then on this part and on the others, at the pace
    /// since the part's first measure, and with the inspection that fell due next after that day.
    ///
    /// A measure past the limit ends what could be foreseen, and begins nothing.
    pub fn foreseeable(
        &self,
        measurement: &ItemMeasurement,
        others: &[Series],
        next: impl Fn(Day) -> Option<Day>,
    ) -> Foreseeable {
        let Some(first) = self.points.first() else {
            return Foreseeable::TooFew;
        };
        let (mut since, mut told) = (None, false);
        for (n, point) in self.points.iter().enumerate() {
            let known = Series {
                points: self.points.iter().take(n + 1).copied().collect(),
                ..self.clone()
            };
            let next_inspection = next(point.day);
            let forecast = known.forecast(&Terms {
                measurement,
                today: point.day,
                cycles_now: point.cycles,
                pace: Some(Pace {
                    cycles: point.cycles.saturating_sub(first.cycles),
                    days: (point.day - first.day).num_days(),
                }),
                next_inspection,
                others: Others::of(others, point.day),
            });
            let likely = forecast.likely.map(|it| it.day);
            let led = likely.is_some_and(|day| next_inspection.is_some_and(|next| day < next));
            match forecast.outlook {
                Outlook::Beyond => break,
                // Worse than foreseen: it takes back nothing, and no line leads anywhere.
                Outlook::Refuted => told = true,
                Outlook::TooFew | Outlook::NoSpread => since = None,
                _ => {
                    told = true;
                    let holds = forecast.warns && led;
                    since = if holds { since.or(Some(*point)) } else { None };
                }
            }
        }
        match (since, told) {
            (Some(point), _) => Foreseeable::Since(point),
            (None, true) => Foreseeable::No,
            (None, false) => Foreseeable::TooFew,
        }
    }
}

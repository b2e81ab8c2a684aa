//! The time line of a component from its fitting to an event: each look at each item that could
//! have shown it, the figures with their limit and line, and the cycles below.
//!
//! Across run days. Each kind of look has a sign of its own, so that nothing hangs on colour.

use serde::Serialize;

use crate::calendar::Day;
use crate::quantity::{Amount, AmountUnit};

/// All that the chart shows. Nothing is computed from it but places.
#[derive(Debug, Clone, Serialize)]
pub struct TraceChart {
    /// Of what, as `E-1: drive cable of CU-02`.
    pub title: String,
    /// When the component was installed, where that is on record.
    pub installed: Option<Day>,
    /// The first day drawn: the fitting, or the first look on record.
    pub first: Day,
    /// The day of the event.
    pub event: Day,
    /// The items, a lane each.
    pub lanes: Vec<Lane>,
    /// The figures of one of them.
    pub measured: Option<Measured>,
    /// Cycles since the first day, by the sheets of each day: at least so many.
    pub uses: Vec<(Day, i64)>,
    /// Lines printed below.
    pub notes: Vec<String>,
    /// The line that says what to check; printed last, whole.
    pub caution: String,
}

/// One item.
#[derive(Debug, Clone, Serialize)]
pub struct Lane {
    /// Its key with its verdict, as `cable-diameter: can detect; passed`.
    pub name: String,
    /// The inspections of it.
    pub signs: Vec<(Day, Sign)>,
}

/// The kind of an inspection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Sign {
    /// Good, on a daily check.
    Daily,
    /// Good or measured, on another occasion.
    Good,
    /// Good or measured, and the figure was past its limit.
    Beyond,
    /// A defect.
    Defect,
    /// Inspected, and this item not done.
    NotDone,
    /// Written after the event.
    Claimed,
    /// Amended or voided after the event; the earlier version counts.
    Changed,
}

impl Sign {
    /// Every one, in the order of the legend.
    pub const ALL: [Sign; 7] = [
        Sign::Daily,
        Sign::Good,
        Sign::Beyond,
        Sign::Defect,
        Sign::NotDone,
        Sign::Claimed,
        Sign::Changed,
    ];

    /// As the legend has it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Sign::Daily => "daily check, good",
            Sign::Good => "good or measured",
            Sign::Beyond => "passed, figure past its limit",
            Sign::Defect => "defect",
            Sign::NotDone => "not done",
            Sign::Claimed => "late entry, or order unknown",
            Sign::Changed => "changed after the event",
        }
    }
}

/// The figures of one item.
#[derive(Debug, Clone, Serialize)]
pub struct Measured {
    /// What is measured.
    pub name: String,
    /// The unit that all figures are printed in.
    pub unit: AmountUnit,
    /// The limit, in the base unit of the measure's kind, as all counts here.
    pub limit: i64,
    /// Whether below the limit is bad, else above.
    pub bad_below: bool,
    /// Where the warning begins.
    pub warn: Option<i64>,
    /// The gauge's step.
    pub step: i64,
    /// The figures.
    pub marks: Vec<(Day, i64, Sign)>,
    /// The line through those that count, as known at the event: its two ends.
    pub line: Vec<(Day, i64)>,
}

impl Measured {
    /// A count as printed.
    pub(super) fn show(&self, count: i64) -> String {
        Amount::from_count(self.unit.kind(), count).display(self.unit)
    }
}

impl TraceChart {
    /// Cycles up to a day, that day's not counted: its check comes first.
    pub(super) fn cycles(&self, day: Day) -> i64 {
        let before = self.uses.iter().filter(|(on, _)| *on < day);
        before.map(|(_, count)| *count).sum()
    }

    /// The signs that occur.
    pub(super) fn signs(&self) -> Vec<Sign> {
        let all = |sign: &Sign| {
            let mut lanes = self.lanes.iter().flat_map(|lane| &lane.signs);
            lanes.any(|(_, it)| it == sign)
        };
        Sign::ALL.into_iter().filter(all).collect()
    }

    /// The chart in words, for those who cannot see it.
    pub(super) fn description(&self) -> String {
        let mut text = match self.installed {
            Some(day) => format!(
                "From its installation on {day} to the event on {}.",
                self.event
            ),
            None => format!(
                "From {}, the first inspection on record, to the event on {}; its installation is \
                not \
                on \
                 record.",
                self.first, self.event
            ),
        };
        for lane in &self.lanes {
            text.push_str(&format!(" {}.", lane.name));
            for sign in Sign::ALL {
                let of = || lane.signs.iter().filter(|(_, it)| *it == sign);
                if let Some((last, _)) = of().next_back() {
                    let (count, words) = (of().count(), sign.words());
                    text.push_str(&format!(" {words}: {count}, last {last}."));
                }
            }
            if lane.signs.is_empty() {
                text.push_str(" Never inspected.");
            }
        }
        if let Some(it) = &self.measured {
            text.push_str(&format!(" {}, limit {}:", it.name, it.show(it.limit)));
            let each = it.marks.iter().map(|(day, count, sign)| {
                let beyond = if *sign == Sign::Beyond {
                    " (beyond)"
                } else {
                    ""
                };
                format!(" {day} {}{beyond}", it.show(*count))
            });
            text.push_str(&each.collect::<Vec<String>>().join(";"));
            text.push('.');
        }
        let total: i64 = self.uses.iter().map(|(_, count)| *count).sum();
        text.push_str(&format!(" Cycles to the event: at least {total}."));
        text
    }
}

//! Whether an instrument may be used on a day.

use std::fmt;

use serde::Serialize;

use crate::calendar::{Day, DueStatus, Interval, YearStart};

/// A calibration, or a dosimeter's response check, which stands for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Calibration {
    /// The entry that tells it.
    pub entry: i64,
    /// The day.
    pub on: Day,
    /// Whether the instrument was right as it was left.
    pub passed: bool,
}

/// Something that was done to an instrument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Servicing {
    /// The entry that tells it.
    pub entry: i64,
    /// The day.
    pub on: Day,
    /// A change of battery, which is no servicing (10 CFR 34.25(b)(1)).
    pub battery_only: bool,
    /// What was done.
    pub what: String,
}

/// A withdrawal in force on the day asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Withdrawn {
    /// The entry that tells it.
    pub entry: i64,
    /// Since when.
    pub on: Day,
    /// Why.
    pub reason: String,
}

/// What is known of an instrument. What comes after the day asked about does not count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facts {
    /// Its first day of service, where known.
    pub in_service: Option<Day>,
    /// Its calibrations (of a dosimeter: response checks), in any order.
    pub calibrations: Vec<Calibration>,
    /// What was done to it, in any order.
    pub servicings: Vec<Servicing>,
    /// A withdrawal that is in force on the day.
    pub withdrawn: Option<Withdrawn>,
    /// How often it is to be calibrated.
    pub interval: Interval,
    /// When the licensee's year begins.
    pub year: YearStart,
}

/// Why an instrument is not to be used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "why", rename_all = "snake_case")]
pub enum Reason {
    /// It comes into service later.
    NotInService {
        /// Its first day.
        from: Day,
    },
    /// It is out of service.
    Withdrawn {
        /// Since when.
        on: Day,
        /// Why.
        reason: String,
    },
    /// No calibration is recorded.
    NeverCalibrated,
    /// The last calibration failed.
    Failed {
        /// Its day.
        on: Day,
    },
    /// The last calibration no longer holds.
    Overdue {
        /// The first day on which it was late, where a day tells it.
        since: Option<Day>,
    },
    /// It was serviced and not calibrated since.
    Serviced {
        /// The day.
        on: Day,
        /// What was done.
        what: String,
    },
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotInService { from } => write!(f, "not in service before {from}"),
            Self::Withdrawn { on, reason } => write!(f, "withdrawn on {on}: {reason}"),
            Self::NeverCalibrated => write!(f, "no calibration is recorded"),
            Self::Failed { on } => write!(f, "its calibration of {on} failed"),
            Self::Overdue { since: Some(since) } => write!(f, "calibration overdue since {since}"),
            Self::Overdue { since: None } => write!(f, "calibration overdue"),
            Self::Serviced { on, what } => {
                write!(f, "serviced on {on} ({what}) and not calibrated since")
            }
        }
    }
}

/// Whether an instrument may be used, as far as these facts tell.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Usable {
    /// Nothing stands against it.
    pub ok: bool,
    /// The last day on which the calibration holds, where it is in force.
    pub until: Option<Day>,
    /// What stands against it.
    pub reasons: Vec<Reason>,
    /// What to look at all the same, in plain words.
    pub notes: Vec<String>,
    /// The entries that this rests on.
    pub entries: Vec<i64>,
}

/// Whether an instrument may be used on a day.
///
/// Servicing on the day of a calibration is taken to have come before it, as it does at a
/// calibration laboratory, and a note says so.
#[must_use]
pub fn usable(on: Day, facts: &Facts) -> Usable {
    let mut usable = Usable {
        ok: false,
        until: None,
        reasons: Vec::new(),
        notes: Vec::new(),
        entries: Vec::new(),
    };
    if let Some(from) = facts.in_service.filter(|from| *from > on) {
        usable.reasons.push(Reason::NotInService { from });
    }
    if let Some(out) = &facts.withdrawn {
        usable.entries.push(out.entry);
        usable.reasons.push(Reason::Withdrawn {
            on: out.on,
            reason: out.reason.clone(),
        });
    }
    let past = facts.calibrations.iter().filter(|it| it.on <= on);
    let last = past.max_by_key(|it| (it.on, it.entry)).copied();
    calibrated(&mut usable, on, facts, last);
    serviced(&mut usable, on, facts, last);
    usable.ok = usable.reasons.is_empty();
    usable
}

fn calibrated(usable: &mut Usable, on: Day, facts: &Facts, last: Option<Calibration>) {
    let Some(last) = last else {
        usable.reasons.push(Reason::NeverCalibrated);
        return;
    };
    usable.entries.push(last.entry);
    if !last.passed {
        usable.reasons.push(Reason::Failed { on: last.on });
        return;
    }
    match facts.interval.status(Some(last.on), on, facts.year) {
        DueStatus::InTime { until } => usable.until = Some(until),
        DueStatus::Overdue { since } => {
            usable.reasons.push(Reason::Overdue { since: Some(since) });
        }
        DueStatus::BeforeUse { held_until } => {
            let since = held_until.and_then(|until| until.succ_opt());
            usable.reasons.push(Reason::Overdue { since });
        }
        DueStatus::NeverDone => usable.reasons.push(Reason::NeverCalibrated),
    }
}

fn serviced(usable: &mut Usable, on: Day, facts: &Facts, last: Option<Calibration>) {
    let done = facts
        .servicings
        .iter()
        .filter(|it| it.on <= on && !it.battery_only);
    let Some(done) = done.max_by_key(|it| (it.on, it.entry)) else {
        return;
    };
    match last {
        Some(last) if last.on > done.on => {}
        Some(last) if last.on == done.on => {
            usable.entries.push(done.entry);
            usable.notes.push(format!(
                "serviced on {}, the day of its calibration: taken as calibrated after it",
                done.on
            ));
        }
        _ => {
            usable.entries.push(done.entry);
            usable.reasons.push(Reason::Serviced {
                on: done.on,
                what: done.what.clone(),
            });
        }
    }
}

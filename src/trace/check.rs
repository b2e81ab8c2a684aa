//! What stands beside the checklist and could have shown a failure all the same: inventories, leak
//! tests, checks of instruments, the alarm check and the survey of the sheet.

use serde::{Serialize, Serializer};

use super::coverage::Failed;
use super::occurred::Occurred;
use crate::calendar::{Day, DueStatus, Interval, YearStart};
use crate::record::{Coverage, Words};

/// Which.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Beside {
    /// The count of sources and devices (10 CFR 34.29).
    #[serde(rename = "inventory")]
    Inventory,
    /// The leak test of a source (10 CFR 34.27).
    #[serde(rename = "leak test")]
    LeakTest,
    /// Calibration or response check of an instrument (10 CFR 34.25, 34.47).
    #[serde(rename = "calibration or response check")]
    Check,
    /// The alarm check at the start of the shift, as its sheet tells it (10 CFR 34.47(g)(1)).
    #[serde(rename = "alarm check of the sheet")]
    Alarm,
    /// The survey before storage, as the sheet tells it (10 CFR 34.49(c)).
    #[serde(rename = "survey of the sheet")]
    Survey,
}

/// What each could have shown: failure modes of the built-in list, kinds of events that it shows
/// when they are there, and kinds of events that may have gone unnoticed because it was not made.
type Shows = (
    Beside,
    &'static [&'static str],
    &'static [&'static str],
    &'static [&'static str],
);

const SHOWS: &[Shows] = &[
    (
        Beside::Inventory,
        &["lost-source", "not-identified"],
        &["lost-source", "theft", "source-recovered"],
        &["loss-of-control"],
    ),
    (
        Beside::LeakTest,
        &["leaking-source"],
        &["leaking-source"],
        &["package-above-limits"],
    ),
    (
        Beside::Check,
        &["meter-failure", "ratemeter-failure", "dosimeter-failure"],
        &["meter-failure"],
        &["overexposure", "off-scale-dosimeter"],
    ),
    (
        Beside::Alarm,
        &["ratemeter-failure"],
        &[],
        &["overexposure", "off-scale-dosimeter", "meter-failure"],
    ),
    (
        Beside::Survey,
        &["false-home", "source-will-not-lock", "lost-source"],
        &["source-will-not-lock"],
        &["overexposure", "disconnect", "misconnect"],
    ),
];

impl Beside {
    /// Every one.
    pub const ALL: &'static [Self] = &[
        Self::Inventory,
        Self::LeakTest,
        Self::Check,
        Self::Alarm,
        Self::Survey,
    ];

    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Inventory => "inventory",
            Self::LeakTest => "leak test",
            Self::Check => "calibration or response check",
            Self::Alarm => "alarm check of the sheet",
            Self::Survey => "survey of the sheet",
        }
    }

    /// Whether it could have shown what failed or what happened; nothing where it has nothing to
    /// do with either. By what such a check is for, not concluded by anybody: what failed is not
    /// established where no cause is known, nor is a check that only might have kept it from
    /// going unnoticed.
    pub fn could(self, failed: &Failed, kinds: &[&str]) -> Option<Coverage> {
        let (_, modes, shown, unnoticed) = SHOWS.iter().find(|it| it.0 == self)?;
        let is_mode = |mode: &str| modes.contains(&mode);
        let is = |of: &[&str]| kinds.iter().any(|it| of.contains(it));
        let caused = match failed {
            Failed::Found { failure, .. } => is_mode(failure),
            Failed::Human | Failed::NotFound { .. } => false,
        };
        let perhaps = match failed {
            Failed::NotFound { failures } => failures.iter().any(|it| is_mode(it)),
            Failed::Human | Failed::Found { .. } => false,
        };
        if caused || is(shown) {
            Some(Coverage::CanDetect)
        } else {
            (perhaps || is(unnoticed)).then_some(Coverage::NotEstablished)
        }
    }
}

/// What the record shows of it before the event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckWord {
    /// It failed, and the item was not put right.
    Failed,
    /// The last was not in force any more.
    Overdue,
    /// None is on record.
    Missing,
    /// Nobody can tell whether it was before the event, or in time.
    OrderUnknown,
    /// It is there only by what was written after the event.
    Claimed,
    /// It was in time and found nothing.
    Passed,
}

impl CheckWord {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Failed => "failed",
            Self::Overdue => "overdue",
            Self::Missing => "missing",
            Self::OrderUnknown => "order unknown",
            Self::Claimed => "late entry, unverified",
            Self::Passed => "passed",
        }
    }

    /// How much it tells: the most first.
    const TELLING: &'static [Self] = &[
        Self::Failed,
        Self::Missing,
        Self::Overdue,
        Self::OrderUnknown,
        Self::Claimed,
        Self::Passed,
    ];
}

impl Serialize for CheckWord {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// One time that it was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// The day.
    pub on: Day,
    /// What it said and by whom.
    pub said: String,
    /// Whether it was done and found nothing.
    pub is_good: bool,
    /// The entry.
    pub entry: i64,
}

/// What asks for it on which item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Which.
    pub check: Beside,
    /// The item.
    pub equipment: String,
    /// Whether it could have shown it.
    pub coverage: Coverage,
    /// The citation of the rule that asks for it; nothing where no rule of the rule set does.
    pub rule: Option<String>,
}

/// The last time before the event, as known then and as it is written now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// Which, on what, and why.
    pub asked: Asked,
    /// How often, with the start of the licensee's year; nothing where no rule says it.
    pub interval: Option<(Interval, YearStart)>,
    /// When the event was.
    pub event: Occurred,
    /// The last that surely was made and written before the event.
    pub then: Option<Done>,
    /// The last that may have been.
    pub perhaps: Option<Done>,
    /// The last up to the event's latest day by what is written now.
    pub now: Option<Done>,
}

/// What the record shows of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CheckLine {
    /// Which.
    pub check: Beside,
    /// The item.
    pub equipment: String,
    /// Whether it could have shown it, by what such a check is for.
    #[serde(serialize_with = "word")]
    pub coverage: Coverage,
    /// The citation of the rule that asks for it.
    pub rule: Option<String>,
    /// In a word.
    pub record: CheckWord,
    /// The same in words, with the term that it rests on.
    pub told: String,
    /// The last time, in words.
    pub last: String,
    /// The entry that it rests on.
    pub entry: Option<i64>,
    /// What the word would be if all had been before the event of which nobody can tell.
    pub as_if_before: Option<CheckWord>,
}

fn word<S: Serializer>(coverage: &Coverage, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(coverage.word())
}

/// The word of what was last done on or before a day, and the same with its term.
fn of(known: &Known, done: Option<&Done>, on: Day) -> (CheckWord, String) {
    let plain = |word: CheckWord| (word, word.word().to_owned());
    let Some(done) = done else {
        return plain(CheckWord::Missing);
    };
    if !done.is_good {
        return plain(CheckWord::Failed);
    }
    let status = known
        .interval
        .map(|(interval, year)| interval.status(Some(done.on), on.max(done.on), year));
    match status {
        None | Some(DueStatus::NeverDone) => plain(CheckWord::Passed),
        Some(DueStatus::InTime { until }) => {
            (CheckWord::Passed, format!("passed, in time until {until}"))
        }
        Some(DueStatus::Overdue { since }) => {
            (CheckWord::Overdue, format!("overdue since {since}"))
        }
        Some(DueStatus::BeforeUse { held_until }) => match held_until {
            Some(until) => (
                CheckWord::Overdue,
                format!("overdue, valid only through {until}"),
            ),
            None => plain(CheckWord::Overdue),
        },
    }
}

fn is_newer(one: &Done, than: Option<&Done>) -> bool {
    than.is_none_or(|than| (one.on, one.entry) != (than.on, than.entry) && one.on >= than.on)
}

/// What the record shows: what was found and not heeded; what was due and is not there, or only
/// by what nobody can place or an entry that was written afterwards; passed.
pub fn judge(known: &Known) -> CheckLine {
    let (event, then) = (known.event, known.then.as_ref());
    let perhaps = known.perhaps.as_ref().filter(|it| is_newer(it, then));
    let newest = perhaps.or(then);
    let later = known.now.as_ref().filter(|it| is_newer(it, newest));
    let (sure, mut told) = of(known, then, event.day());
    // Read at its latest: with all that may have been before it, and with the terms of that day.
    let (late, _) = of(known, newest, event.last.day);
    let (record, done) = match (sure, perhaps, later) {
        (CheckWord::Passed, None, _) if late == CheckWord::Overdue => {
            told = format!("order unknown: {told}, and it may have been after that");
            (CheckWord::OrderUnknown, then)
        }
        (CheckWord::Failed | CheckWord::Passed, ..) | (_, None, None) => (sure, then),
        (_, Some(perhaps), _) => {
            told = match event.one_day() {
                Some(_) => "same day, order unknown".to_owned(),
                None => "order unknown".to_owned(),
            };
            (CheckWord::OrderUnknown, Some(perhaps))
        }
        (_, None, Some(later)) => {
            told = "late entry, written after the event".to_owned();
            (CheckWord::Claimed, Some(later))
        }
    };
    CheckLine {
        last: done.map_or_else(
            || "none on record".to_owned(),
            |it| format!("{} {}", it.on, it.said),
        ),
        entry: done.map(|it| it.entry),
        as_if_before: (late != record)
            .then_some(late)
            .filter(|_| record == CheckWord::OrderUnknown || perhaps.is_some()),
        ..line(&known.asked, record, told)
    }
}

fn line(asked: &Asked, record: CheckWord, told: String) -> CheckLine {
    CheckLine {
        check: asked.check,
        equipment: asked.equipment.clone(),
        coverage: asked.coverage,
        rule: asked.rule.clone(),
        record,
        told,
        last: String::new(),
        entry: None,
        as_if_before: None,
    }
}

/// What the sheet of the shift shows: done, said not to be done, or not said. The sheet is written
/// at the end of the shift, so its entry is no late one. Where the day of the event is not known
/// nobody can tell whether the sheet is that of its shift.
pub fn of_sheet(
    asked: &Asked,
    event: Occurred,
    sheet: Option<(Day, i64)>,
    done: Option<bool>,
    said: &str,
) -> CheckLine {
    let record = match (sheet, done) {
        (Some(_), _) if event.one_day().is_none() => CheckWord::OrderUnknown,
        (_, Some(true)) => CheckWord::Passed,
        _ => CheckWord::Missing,
    };
    let what = match (done, said) {
        (Some(true), said) => said.to_owned(),
        (Some(false), _) => "the sheet says that it was not done".to_owned(),
        (None, _) => "the sheet does not say".to_owned(),
    };
    CheckLine {
        last: sheet.map_or_else(
            || "no sheet of the shift".to_owned(),
            |(on, _)| format!("{on} {what}"),
        ),
        entry: sheet.map(|(_, entry)| entry),
        ..line(asked, record, record.word().to_owned())
    }
}

/// The one that the finding is about where no item leads: of those that could have shown it the
/// one that tells most.
pub fn best(lines: &[CheckLine]) -> Option<&CheckLine> {
    let told = |it: &CheckLine| {
        CheckWord::TELLING
            .iter()
            .position(|word| *word == it.record)
    };
    lines
        .iter()
        .min_by_key(|it| (it.coverage != Coverage::CanDetect, told(it)))
}

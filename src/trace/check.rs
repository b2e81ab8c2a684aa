//! What stands beside the checklist and could have shown a failure all the same: inventories, leak
//! tests, checks of instruments, the alarm check and the survey of the sheet.

use serde::Serialize;

use super::record::RecordWord;
use crate::calendar::Day;

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
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Inventory => "inventory",
            Self::LeakTest => "leak test",
            Self::Check => "calibration or response check",
            Self::Alarm => "alarm check of the sheet",
            Self::Survey => "survey of the sheet",
        }
    }

    /// Whether it could have shown a failure mode of the built-in list.
    #[must_use]
    pub fn shows(self, failure: &str) -> bool {
        let modes: &[&str] = match self {
            Self::Inventory => &["lost-source", "not-identified"],
            Self::LeakTest => &["leaking-source"],
            Self::Check => &["meter-failure", "ratemeter-failure", "dosimeter-failure"],
            Self::Alarm => &["ratemeter-failure"],
            Self::Survey => &["false-home", "source-will-not-lock", "lost-source"],
        };
        modes.contains(&failure)
    }
}

/// One time that it was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// The day.
    pub on: Day,
    /// What it said.
    pub said: String,
    /// Whether it was done and found nothing.
    pub is_good: bool,
    /// The entry.
    pub entry: i64,
}

/// The last time before the event, as known then and as it is written now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// Which.
    pub check: Beside,
    /// The piece.
    pub piece: String,
    /// The last that was written before the event.
    pub then: Option<Done>,
    /// Whether that was still in force at the event.
    pub in_force: bool,
    /// The last by what is written now.
    pub now: Option<Done>,
}

/// What the record shows of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CheckLine {
    /// Which.
    pub check: Beside,
    /// The piece.
    pub piece: String,
    /// In a word, as of an item.
    pub record: RecordWord,
    /// The last time, in words.
    pub last: String,
    /// The entry that it rests on.
    pub entry: Option<i64>,
}

/// What the record shows: what was found and not heeded; what was due and is not there, or only by
/// an entry that was written afterwards; passed.
#[must_use]
pub fn judge(known: &Known) -> CheckLine {
    let later = known.now.as_ref().filter(|now| {
        let newer = |then: &Done| (now.on, now.entry) != (then.on, then.entry) && now.on >= then.on;
        known.then.as_ref().is_none_or(newer)
    });
    let (record, done) = match (&known.then, later) {
        (Some(then), _) if !then.is_good => (RecordWord::KnownDefectUsed, Some(then)),
        (Some(then), _) if known.in_force => (RecordWord::Passed, Some(then)),
        (_, Some(later)) => (RecordWord::Claimed, Some(later)),
        (Some(then), None) => (RecordWord::RequiredLookAbsent, Some(then)),
        (None, None) => (RecordWord::RequiredLookAbsent, None),
    };
    CheckLine {
        check: known.check,
        piece: known.piece.clone(),
        record,
        last: done.map_or_else(
            || "none on record".to_owned(),
            |it| format!("{} {}", it.on, it.said),
        ),
        entry: done.map(|it| it.entry),
    }
}

/// What the sheet of the shift shows: done, said not to be done, or not said. The sheet is written
/// at the end of the shift, so its entry is no late one.
#[must_use]
pub fn of_sheet(
    (check, piece): (Beside, String),
    sheet: Option<(Day, i64)>,
    done: Option<bool>,
    said: &str,
) -> CheckLine {
    let record = match done {
        Some(true) => RecordWord::Passed,
        _ => RecordWord::RequiredLookAbsent,
    };
    let what = match (done, said) {
        (Some(true), said) => said.to_owned(),
        (Some(false), _) => "the sheet says that it was not done".to_owned(),
        (None, _) => "the sheet does not say".to_owned(),
    };
    CheckLine {
        check,
        piece,
        record,
        last: sheet.map_or_else(
            || "no sheet of the shift".to_owned(),
            |(on, _)| format!("{on} {what}"),
        ),
        entry: sheet.map(|(_, entry)| entry),
    }
}

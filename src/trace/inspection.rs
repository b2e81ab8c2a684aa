//! One look at one item, and whether it came before the event.

use serde::Serialize;

use super::occurred::{DoneAt, Occurred};
use crate::calendar::Day;
use crate::record::{LineResult, Occasion, RecordId, Words};
use crate::rule::Standing;

/// How an inspection lies to the event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Placed {
    /// Before it.
    Before,
    /// On its day, a daily check without an hour, and the hour of the event is known: taken as
    /// before the first use.
    TakenAsBefore,
    /// On its day, and the hours do not tell which came first.
    SameDay,
    /// Within the days on one of which it happened.
    Within,
    /// At it or after it.
    After,
}

/// One inspection as one of its versions tells it, seen from one item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PastInspection {
    /// The inspection.
    pub record: RecordId,
    /// The entry of this version.
    pub entry: i64,
    /// When that entry was written, as stored.
    pub written_at: String,
    /// The same on the office's clock.
    #[serde(skip)]
    pub written: DoneAt,
    /// Whether that clock cannot be trusted.
    pub clock_doubted: bool,
    /// Whether it was copied from paper.
    pub transcribed: bool,
    /// When it was done.
    pub moment: DoneAt,
    /// What it was made for.
    pub occasion: Occasion,
    /// Who looked.
    pub by: String,
    /// Whether its list asks for the item on that occasion.
    pub asked: bool,
    /// What was found; nothing where the inspection has no line for the item.
    pub result: Option<LineResult>,
    /// What was measured, as written.
    pub value: Option<String>,
    /// The measure in the base unit of its kind.
    pub count: Option<i64>,
    /// Where the measure stands against the criterion of the list of that day.
    pub standing: Option<Standing>,
    /// What was seen.
    pub note: Option<String>,
    /// Whether it shows that a defect found before was repaired: [`crate::record::shows_repair`].
    #[serde(skip)]
    pub shows_repair: bool,
    /// The other item of a mating check.
    pub with: Option<RecordId>,
}

impl PastInspection {
    /// How it lies to the event.
    pub fn placed(&self, event: Occurred) -> Placed {
        if event.is_after(self.moment) {
            Placed::Before
        } else if event.is_before(self.moment) {
            Placed::After
        } else if event.is_exact() && self.occasion == Occasion::Daily {
            Placed::TakenAsBefore
        } else if event.one_day().is_some() {
            Placed::SameDay
        } else {
            Placed::Within
        }
    }

    /// Whether it counts as before the event.
    pub fn is_before(&self, event: Occurred) -> bool {
        match self.placed(event) {
            Placed::Before | Placed::TakenAsBefore => true,
            Placed::SameDay | Placed::Within => event.is_at_latest(),
            Placed::After => false,
        }
    }

    /// Whether it may have been before the event.
    pub fn may_be_before(&self, event: Occurred) -> bool {
        self.placed(event) != Placed::After
    }

    /// Whether the item was looked at.
    pub fn is_done(&self) -> bool {
        self.result.is_some_and(|it| it != LineResult::NotDone)
    }

    /// Whether the item was asked for and not looked at.
    pub fn is_left_out(&self) -> bool {
        match self.result {
            Some(result) => result == LineResult::NotDone,
            None => self.asked,
        }
    }

    /// Whether it vouches for the item: found good, or measured within the limit, and no figure
    /// past it.
    pub fn is_good(&self) -> bool {
        match self.result {
            Some(LineResult::Good) => self.standing != Some(Standing::Beyond),
            Some(LineResult::Measured) => {
                matches!(self.standing, Some(Standing::Good | Standing::Warning))
            }
            _ => false,
        }
    }

    /// Whether it let a figure past the limit through.
    pub fn is_beyond(&self) -> bool {
        matches!(self.result, Some(LineResult::Good | LineResult::Measured))
            && self.standing == Some(Standing::Beyond)
    }

    /// The order of looks: by moment, then by entry.
    pub fn order(&self) -> (DoneAt, i64) {
        (self.moment, self.entry)
    }

    /// What was found, in a word.
    pub fn found(&self) -> &'static str {
        match self.result {
            Some(result) => result.word(),
            None => "no line",
        }
    }

    /// In one line: moment, occasion, who, what, entry.
    pub fn told(&self) -> String {
        let value = self.value.as_deref().map(|it| format!(" {it}"));
        format!(
            "{} {} by {}: {}{} (entry {})",
            self.moment,
            self.occasion.word(),
            self.by,
            self.found(),
            value.unwrap_or_default(),
            self.entry
        )
    }
}

/// A return to service, which ends the defects before it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Clear {
    /// Its entry.
    pub entry: i64,
    /// The day.
    pub day: Day,
    /// What was done.
    pub what: String,
}

/// What one state of the ledger tells of one checklist item of one item of equipment.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct World {
    /// Every inspection of the item, whatever it says of the item, in the order of
    /// [`Look::order`].
    pub inspections: Vec<PastInspection>,
    /// Returns to service.
    pub clears: Vec<Clear>,
    /// When the part that was in it was installed: looks before that day were at another one.
    pub installed: Option<Day>,
}

impl World {
    /// The inspections that count as before the event, at the part that was installed then.
    pub fn before(&self, event: Occurred) -> impl DoubleEndedIterator<Item = &PastInspection> {
        let installed = self.installed;
        self.inspections
            .iter()
            .filter(move |it| it.is_before(event))
            .filter(move |it| installed.is_none_or(|from| from <= it.moment.day))
    }
}

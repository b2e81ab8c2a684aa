//! The verdict on one item: coverage, record and flags, with each inspection that it rests on.

use serde::Serialize;

use super::barrier::BarrierNote;
use super::coverage::Covered;
use super::inspection::{PastInspection, Placed, World};
use super::known::Facts;
use super::known::{Learned, Trigger};
use super::occurred::Occurred;
use super::record::{Judged, order_unknown};
use super::required::Required;
use crate::calendar::Day;
use crate::record::{Barrier, BarrierState, LineResult, RecordId, Words};
use crate::rule::Standing;

/// What is to be known besides the two words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Flag {
    /// Which.
    pub flag: FlagWord,
    /// What it rests on, in one line.
    pub what: String,
    /// The entry that tells it.
    pub entry: i64,
}

/// The flags of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub enum FlagWord {
    /// The program had shown a warning when the inspection was written, before the event.
    #[serde(rename = "warning shown before")]
    WarningShown,
    /// What called for an inspection was learned of only afterwards.
    #[serde(rename = "trigger learned of later")]
    TriggerLater,
    /// Somebody speaks against what the record says.
    #[serde(rename = "testimony against the record")]
    Testimony,
    /// Something that stands between a source and a person was not there.
    #[serde(rename = "barrier")]
    Barrier,
}

impl FlagWord {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::WarningShown => "warning shown before",
            Self::TriggerLater => "trigger learned of later",
            Self::Testimony => "testimony against the record",
            Self::Barrier => "barrier",
        }
    }
}

/// What somebody says against the record of an inspection, or of what an item would have shown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Testimony {
    /// The inspection, where it speaks against one.
    pub disputes: Option<RecordId>,
    /// The item, where one is named; otherwise all of the inspection.
    pub item: Option<String>,
    /// When it was so, local time with its offset.
    pub at: String,
    /// What is said, and by whom.
    pub words: String,
    /// The entry.
    pub entry: i64,
}

/// How an inspection counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Mark {
    /// It counts as it stands.
    #[serde(rename = "counts")]
    Counts,
    /// It counts as before the first use of the day: no hour is written.
    #[serde(rename = "taken as before the first use")]
    TakenAsBefore,
    /// On the event's day, and the hours do not tell: it counts neither for nor against.
    #[serde(rename = "same day, order unknown")]
    SameDay,
    /// Within the days on one of which the event was: it counts neither for nor against.
    #[serde(rename = "within the days of the event, order unknown")]
    Within,
    /// Written within the time in which the event was: it counts neither for nor against.
    #[serde(rename = "written within the time of the event, order unknown")]
    WrittenWithin,
    /// Written after the event.
    #[serde(rename = "late entry, unverified")]
    Claimed,
    /// Changed after the event: the earlier version counts.
    #[serde(rename = "corrected after: earlier version counts")]
    AmendedAfter,
    /// Voided after the event: it still counts.
    #[serde(rename = "voided after: still counts")]
    VoidedAfter,
    /// At a part that was replaced since.
    #[serde(rename = "another part")]
    OtherPart,
    /// The clock of its entry cannot be trusted: it counts neither for nor against.
    #[serde(rename = "order unknown")]
    OrderUnknown,
    /// A later version, which may have been written before the event, says something else.
    #[serde(rename = "corrected or voided, order unknown")]
    ChangeUnplaced,
    /// After the event.
    #[serde(rename = "after the event")]
    After,
}

impl Mark {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Counts => "counts",
            Self::TakenAsBefore => "taken as before the first use",
            Self::SameDay => "same day, order unknown: not counted",
            Self::Within => "within the days of the event, order unknown: not counted",
            Self::WrittenWithin => "order unknown: written when it may have happened; not counted",
            Self::Claimed => "late entry, unverified",
            Self::AmendedAfter => "corrected after: earlier version counts",
            Self::VoidedAfter => "voided after: still counts",
            Self::OrderUnknown => "order unknown: its clock cannot be trusted; not counted",
            Self::ChangeUnplaced => "corrected or voided, order unknown: earlier version counts",
            Self::OtherPart => "another part",
            Self::After => "after the event",
        }
    }
}

/// One look with how it counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Seen {
    /// The look, in the version that counts; a claimed one as it is written now.
    pub inspection: PastInspection,
    /// How it counts.
    pub mark: Mark,
    /// What a later version says.
    pub later: Option<PastInspection>,
}

/// When the item was last good.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LastGood {
    /// The entry.
    pub entry: i64,
    /// The day.
    pub on: Day,
    /// Who looked.
    pub by: String,
    /// Days from then to the event: at least so many.
    pub days: i64,
    /// At most so many, where the day of the event is not known.
    pub days_at_most: i64,
    /// Exposures on sheets from that day to the event: at least so many cycles, since source
    /// exchanges and dry cranks are not on sheets.
    pub cycles_at_least: i64,
    /// Sheets of those days that do not say how many exposures there were.
    pub sheets_without_count: usize,
}

/// The verdict on one item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verdict {
    /// The first word.
    pub covered: Covered,
    /// The second.
    pub record: Judged,
    /// What it would be if all had been before the event of which nobody can tell, and the event
    /// at its latest.
    pub as_if_before: Option<Judged>,
    /// What it would be if all were true that was written after the event.
    pub as_claimed: Option<Judged>,
    /// The flags.
    pub flags: Vec<Flag>,
    /// The inspections that had to be there.
    pub required: Vec<Required>,
    /// The inspections that did the item or left it out, in the order of their days.
    pub seen: Vec<Seen>,
    /// When it was last good.
    pub last_good: Option<LastGood>,
}

/// The verdict on one item.
pub fn verdict(
    facts: &Facts<'_>,
    covered: Covered,
    testimonies: &[Testimony],
    notes: &[BarrierNote],
) -> Verdict {
    Verdict {
        covered,
        record: facts.judged(),
        as_if_before: facts.as_if_before(),
        as_claimed: facts.as_claimed(),
        flags: flags(facts, testimonies, notes),
        required: facts.required(),
        seen: seen(facts),
        last_good: last_good(facts),
    }
}

/// Every look at the item in every world, each once.
pub fn seen(facts: &Facts<'_>) -> Vec<Seen> {
    let touches = |it: &PastInspection| it.is_done() || it.is_left_out();
    let counts = |mark| matches!(mark, Mark::Counts | Mark::TakenAsBefore);
    let mut all = Vec::new();
    for inspection in facts.known.inspections.iter().filter(|it| touches(it)) {
        let of = |world: &World| version(world, inspection.record).map(|it| it.entry);
        let now = version(&facts.now, inspection.record);
        let unplaced = facts.perhaps.as_ref();
        let unplaced = unplaced.is_some_and(|it| of(it) != Some(inspection.entry));
        let mark = match (mark(facts, inspection), now) {
            (mark, _) if counts(mark) && unplaced => Mark::ChangeUnplaced,
            (mark, None) if counts(mark) => Mark::VoidedAfter,
            (mark, Some(now)) if counts(mark) && now.entry != inspection.entry => {
                Mark::AmendedAfter
            }
            (mark, _) => mark,
        };
        all.push(Seen {
            inspection: inspection.clone(),
            mark,
            later: now.filter(|it| it.entry != inspection.entry).cloned(),
        });
    }
    let unordered = |mark| matches!(mark, Mark::SameDay | Mark::Within);
    let unplaced = facts.unplaced().into_iter().map(|it| (it, false));
    let claims = facts.claims().into_iter().map(|it| (it, true));
    for (inspection, is_claim) in unplaced.chain(claims) {
        if touches(inspection) {
            let mark = match mark(facts, inspection) {
                mark if is_claim && (counts(mark) || unordered(mark)) => Mark::Claimed,
                mark if counts(mark) && !facts.event.is_exact() && !inspection.clock_doubted => {
                    Mark::WrittenWithin
                }
                mark if counts(mark) => Mark::OrderUnknown,
                other => other,
            };
            let now = version(&facts.now, inspection.record);
            all.push(Seen {
                inspection: inspection.clone(),
                mark,
                later: now.filter(|it| it.entry != inspection.entry).cloned(),
            });
        }
    }
    all.sort_by_key(|it| it.inspection.order());
    all
}

/// A record as a world has it.
fn version(world: &World, record: RecordId) -> Option<&PastInspection> {
    world.inspections.iter().find(|it| it.record == record)
}

fn mark(facts: &Facts<'_>, inspection: &PastInspection) -> Mark {
    match inspection.placed(facts.event) {
        Placed::After => Mark::After,
        _ if facts
            .known
            .installed
            .is_some_and(|from| inspection.moment.day < from) =>
        {
            Mark::OtherPart
        }
        Placed::SameDay => Mark::SameDay,
        Placed::Within => Mark::Within,
        Placed::Before => Mark::Counts,
        Placed::TakenAsBefore => Mark::TakenAsBefore,
    }
}

/// The last look before the event, as known then, that vouches for the item.
pub fn last_good(facts: &Facts<'_>) -> Option<LastGood> {
    let good = facts.known.before(facts.event).rfind(|it| it.is_good())?;
    let event = facts.event;
    // Where its day is not known the sheets of the first one may be of after it.
    let last = event.one_day().or_else(|| event.day().pred_opt());
    let span = good.moment.day..=last.unwrap_or(Day::MIN);
    let uses = facts.uses.iter().filter(|it| span.contains(&it.day));
    Some(LastGood {
        entry: good.entry,
        on: good.moment.day,
        by: good.by.clone(),
        days: (event.day() - good.moment.day).num_days(),
        days_at_most: (event.last.day - good.moment.day).num_days(),
        cycles_at_least: uses.clone().filter_map(|it| it.exposures).sum(),
        sheets_without_count: uses.filter(|it| it.exposures.is_none()).count(),
    })
}

fn flags(facts: &Facts<'_>, testimonies: &[Testimony], notes: &[BarrierNote]) -> Vec<Flag> {
    let mut flags = Vec::new();
    flags.extend(warning(facts));
    let later = facts.triggers.iter();
    for it in later.filter(|it| it.learned != Learned::Before) {
        let of_item = it
            .component
            .as_ref()
            .is_none_or(|of| *of == facts.item.component);
        if of_item && facts.event.is_after(it.moment) {
            flags.push(Flag {
                flag: FlagWord::TriggerLater,
                what: format!("{} on {}, {}", it.what, it.moment, learned(it, facts.event)),
                entry: it.entry,
            });
        }
    }
    let inspections = || facts.known.inspections.iter().chain(&facts.now.inspections);
    for it in testimonies {
        let key = it.item.as_ref();
        let (is_on, what) = match it.disputes {
            Some(record) => (
                key.is_none_or(|key| *key == facts.item.key)
                    && inspections()
                        .any(|inspection| inspection.record == record && inspection.is_done()),
                format!("against inspection {record}: {}", it.words),
            ),
            None => (key == Some(&facts.item.key), it.words.clone()),
        };
        if is_on {
            flags.push(Flag {
                flag: FlagWord::Testimony,
                what,
                entry: it.entry,
            });
        }
    }
    let mating = notes.iter().filter(|it| {
        facts.item.pair.is_some()
            && it.barrier == Barrier::MatingCheck
            && it.state != BarrierState::Present
    });
    flags.extend(mating.map(|it| Flag {
        flag: FlagWord::Barrier,
        what: format!("mating check {}: {}", it.state.word(), it.words),
        entry: it.entry,
    }));
    flags
}

/// How a trigger that nobody surely knew of came to be written.
fn learned(it: &Trigger, event: Occurred) -> String {
    match it.learned {
        Learned::OrderUnknown => order_unknown(it.entry, event),
        Learned::Before | Learned::After => "written only after the event".to_owned(),
    }
}

/// The last look at which the program showed a warning: its figure was at the warning mark or
/// past the limit, or a defect was written, and it was written before the event. Of a rate the
/// last look alone counts, since another source may have been in.
fn warning(facts: &Facts<'_>) -> Option<Flag> {
    let wears = crate::rule::is_wear(facts.item.unit()?.kind());
    let warns = |it: &&PastInspection| {
        it.result != Some(LineResult::NotDone)
            && matches!(it.standing, Some(Standing::Warning | Standing::Beyond))
    };
    let mut done = facts
        .known
        .before(facts.event)
        .filter(|it| it.is_done())
        .rev();
    let inspection = if wears {
        done.find(warns)?
    } else {
        done.next().filter(warns)?
    };
    let mark = if inspection.standing == Some(Standing::Beyond) {
        "past its limit"
    } else {
        "at its warning mark"
    };
    Some(Flag {
        flag: FlagWord::WarningShown,
        what: format!("{mark}: {}", inspection.told()),
        entry: inspection.entry,
    })
}

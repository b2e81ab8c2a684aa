//! What the ledger shows of one item before the event, in one word.

use std::fmt;

use serde::{Serialize, Serializer};

use super::inspection::{PastInspection, Placed, World};
use super::known::{Facts, Unproven, Use};
use super::occurred::Occurred;
use super::required::{Met, Required, required};
use crate::record::{LineResult, RecordId};
use crate::rule::{INACTIVE, is_wear};

/// The record word; of these the first that fits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RecordWord {
    /// A written defect that was not cleared, and the equipment was used.
    KnownDefectUsed,
    /// It measures and nobody gave its figures: no inspection was asked for, none has a verdict.
    Inactive,
    /// An inspection that had to be there is not.
    RequiredInspectionMissing,
    /// Inspected, and this item not done.
    LeftOut,
    /// Of an inspection that had to be there, or of every look, nobody can tell whether it was
    /// before the event, or in time: unproven.
    OrderUnknown,
    /// An inspection that had to be there, or every look, exists only by what was entered after the
    /// event: unproven.
    Claimed,
    /// Passed with a measure past the criterion.
    PassedBeyondLimit,
    /// Last found with a defect, and not looked at again.
    NotInspectedSince,
    /// Passed.
    Passed,
}

impl RecordWord {
    /// Every one, in the order in which they are tried.
    pub const ALL: &'static [Self] = &[
        Self::KnownDefectUsed,
        Self::Inactive,
        Self::RequiredInspectionMissing,
        Self::LeftOut,
        Self::OrderUnknown,
        Self::Claimed,
        Self::PassedBeyondLimit,
        Self::NotInspectedSince,
        Self::Passed,
    ];

    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::KnownDefectUsed => "known defect, used",
            Self::Inactive => "inactive",
            Self::RequiredInspectionMissing => "required inspection missing",
            Self::LeftOut => "skipped",
            Self::OrderUnknown => "order unknown",
            Self::Claimed => "late entry, unverified",
            Self::PassedBeyondLimit => "passed although out of limit",
            Self::NotInspectedSince => "not inspected since",
            Self::Passed => "passed",
        }
    }
}

impl fmt::Display for RecordWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl Serialize for RecordWord {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// Why what an entry tells counts neither for nor against.
pub fn order_unknown(entry: i64, event: Occurred) -> String {
    match event.is_exact() {
        true => format!("order unknown: the clock of entry {entry} cannot be trusted"),
        false => format!(
            "order unknown: whether entry {entry} was written before the event cannot be told"
        ),
    }
}

/// A word with what it rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Judged {
    /// The word.
    pub word: RecordWord,
    /// Why, in one line.
    pub because: String,
    /// The entries that it rests on.
    pub entries: Vec<i64>,
}

impl Judged {
    fn of(word: RecordWord, because: String, entries: Vec<i64>) -> Self {
        Self {
            word,
            because,
            entries,
        }
    }
}

impl Facts<'_> {
    /// Looks that exist only by an entry of which nobody can tell whether it was written before
    /// the event.
    pub fn unplaced(&self) -> Vec<&PastInspection> {
        let perhaps = self.perhaps.iter().flat_map(|it| &it.inspections);
        perhaps.filter(|it| !has(&self.known, it.record)).collect()
    }

    /// Looks that were surely written before the event, and of which nobody can tell whether
    /// they were made before it.
    fn unordered(&self) -> impl Iterator<Item = &PastInspection> {
        let event = self.event;
        let inspections = self.known.inspections.iter();
        inspections.filter(move |it| it.may_be_before(event) && !it.is_before(event))
    }

    /// Why an inspection counts neither for nor against.
    pub fn why_unordered(&self, inspection: &PastInspection) -> String {
        match inspection.placed(self.event) {
            Placed::SameDay => "same day, order unknown".to_owned(),
            Placed::Within => {
                "order unknown: made within the days in which the event may have been".to_owned()
            }
            _ => order_unknown(inspection.entry, self.event),
        }
    }

    /// Looks that exist only by an entry written after the event.
    pub fn claims(&self) -> Vec<&PastInspection> {
        let perhaps = |record| self.perhaps.as_ref().is_some_and(|it| has(it, record));
        let now = self.now.inspections.iter();
        now.filter(|it| !has(&self.known, it.record) && !perhaps(it.record))
            .collect()
    }

    fn unproven(&self) -> Unproven<'_> {
        Unproven {
            unplaced: self
                .unplaced()
                .into_iter()
                .chain(self.unordered())
                .collect(),
            claims: self.claims(),
        }
    }

    /// The inspections that had to be there, by what was written before the event.
    pub fn required(&self) -> Vec<Required> {
        required(self, &self.known, &self.unproven())
    }

    /// The record word, by what was written before the event.
    pub fn judged(&self) -> Judged {
        self.judge(&self.known, &self.unproven())
    }

    /// What the word would be if everything had been before the event of which nobody can tell,
    /// what was made as what was written, and the event at its latest; nothing where it would be
    /// the same.
    pub fn as_if_before(&self) -> Option<Judged> {
        let mut late = self.clone();
        late.event = self.event.at_its_latest();
        if let Some(perhaps) = late.perhaps.take() {
            late.known = perhaps;
        }
        let late = late.judged();
        (late.word != self.judged().word).then_some(late)
    }

    /// What the word would be if everything were true that was written afterwards; nothing where
    /// it would be the same.
    pub fn as_claimed(&self) -> Option<Judged> {
        let mut claimed = self.clone();
        claimed.known = claimed.now.clone();
        claimed.perhaps = None;
        let claimed = claimed.judged();
        (claimed.word != self.judged().word).then_some(claimed)
    }

    fn judge(&self, world: &World, unproven: &Unproven<'_>) -> Judged {
        let needs = required(self, world, unproven);
        self.known_defect(world)
            .or_else(|| self.inactive(world))
            .or_else(|| absent(&needs))
            .or_else(|| self.left_out(world))
            .or_else(|| self.unplaced_only(world, &unproven.unplaced, &needs))
            .or_else(|| self.claimed(world, &unproven.claims, &needs))
            .or_else(|| self.passed(world))
            .unwrap_or_else(|| {
                // None of the inspections that the list asks for was due, and nobody looked.
                let because = "not inspected before the event; counted as missing";
                Judged::of(
                    RecordWord::RequiredInspectionMissing,
                    because.to_owned(),
                    vec![],
                )
            })
    }

    /// The defects that stood open at the event, by one world.
    fn open_defects<'w>(&self, world: &'w World) -> impl Iterator<Item = &'w PastInspection> {
        let event = self.event;
        world.before(event).filter(move |defect| {
            let good = world
                .before(event)
                .any(|it| it.shows_repair && it.order() > defect.order());
            let returned = world
                .clears
                .iter()
                .any(|it| (defect.moment.day..=event.day()).contains(&it.day));
            defect.result == Some(LineResult::Defect) && !good && !returned
        })
    }

    fn known_defect(&self, world: &World) -> Option<Judged> {
        let defect = self.open_defects(world).next()?;
        let later = |it: &&Use| it.day > defect.moment.day && it.day <= self.event.day();
        let used = self.uses.iter().rfind(later);
        let (how, entry) = match used {
            Some(it) => (
                format!("and used on {} (entry {})", it.day, it.entry),
                Some(it.entry),
            ),
            None if self.in_use => ("and in use when it happened".to_owned(), None),
            None => return None,
        };
        let because = format!("not cleared: {}; {how}", defect.told());
        let entries = std::iter::once(defect.entry).chain(entry).collect();
        Some(Judged::of(RecordWord::KnownDefectUsed, because, entries))
    }

    /// The last look for which the item was asked, or that did it unasked.
    fn last<'w>(&self, world: &'w World) -> Option<&'w PastInspection> {
        world
            .before(self.event)
            .rfind(|it| it.is_done() || it.is_left_out())
    }

    fn left_out(&self, world: &World) -> Option<Judged> {
        let last = self.last(world).filter(|it| it.is_left_out())?;
        let because = format!("the last inspection left it out: {}", last.told());
        Some(Judged::of(RecordWord::LeftOut, because, vec![last.entry]))
    }

    /// The newest of some inspections that did the item before the event, where no inspection is
    /// known.
    fn newest<'l>(
        &self,
        world: &World,
        inspections: &[&'l PastInspection],
    ) -> Option<&'l PastInspection> {
        let of_part =
            |it: &&&PastInspection| world.installed.is_none_or(|from| from <= it.moment.day);
        let done = inspections
            .iter()
            .filter(|it| it.may_be_before(self.event) && it.is_done());
        let newest = done.filter(of_part).max_by_key(|it| it.order());
        newest.copied().filter(|_| self.last(world).is_none())
    }

    /// An inspection that had to be there is one of which nobody can tell whether it was before the
    /// event, or every inspection is.
    fn unplaced_only(
        &self,
        world: &World,
        unplaced: &[&PastInspection],
        needs: &[Required],
    ) -> Option<Judged> {
        let by_need = needs.iter().find_map(|it| match it.met {
            Met::OrderUnknown(entry) => Some((entry, Some(&it.what))),
            _ => None,
        });
        let newest = self.newest(world, unplaced).map(|it| (it.entry, None));
        let (entry, what) = by_need.or(newest)?;
        let of = what.map(|it| format!("{it}: ")).unwrap_or_default();
        let because = match unplaced.iter().find(|it| it.entry == entry) {
            Some(inspection) => format!(
                "{of}{}: {}",
                self.why_unordered(inspection),
                inspection.told()
            ),
            // It was made before the event, and nobody can tell whether that was in time.
            None => {
                let inspection = world.inspections.iter().find(|it| it.entry == entry)?;
                format!("{of}order unknown: {}", inspection.told())
            }
        };
        Some(Judged::of(RecordWord::OrderUnknown, because, vec![entry]))
    }

    /// An inspection that had to be there exists only by a later entry, or every look does. What is
    /// claimed beside inspections that were known changes nothing: it is marked where it stands.
    fn claimed(
        &self,
        world: &World,
        claims: &[&PastInspection],
        needs: &[Required],
    ) -> Option<Judged> {
        let by_claim = needs.iter().find_map(|it| match it.met {
            Met::ByClaim(entry) => Some((entry, Some(&it.what))),
            _ => None,
        });
        let newest = self.newest(world, claims).map(|it| (it.entry, None));
        let (entry, what) = by_claim.or(newest)?;
        let inspection = claims.iter().find(|it| it.entry == entry)?;
        let of = what.map(|it| format!("{it}: ")).unwrap_or_default();
        let when = match inspection.clock_doubted {
            true => "by a clock that cannot be trusted".to_owned(),
            false => format!("on {}", inspection.written),
        };
        let because = format!(
            "{of}written only {when}, after the event: {}",
            inspection.told()
        );
        Some(Judged::of(RecordWord::Claimed, because, vec![entry]))
    }

    /// An item without figures judges nothing; a figure that an earlier list judged stands.
    fn inactive(&self, world: &World) -> Option<Judged> {
        if !self.item.is_inactive() {
            return None;
        }
        let beyond = self.passed(world);
        let beyond = beyond.filter(|it| it.word == RecordWord::PassedBeyondLimit);
        Some(beyond.unwrap_or_else(|| {
            let last = self.last(world).filter(|it| it.is_done());
            let told = last.map_or(String::new(), |it| {
                format!("; last inspection: {}", it.told())
            });
            let because = format!("{INACTIVE}{told}");
            let entries = last.map(|it| it.entry).into_iter().collect();
            Judged::of(RecordWord::Inactive, because, entries)
        }))
    }

    fn passed(&self, world: &World) -> Option<Judged> {
        let measurement = self.item.measurement.as_ref();
        let wears = self.item.unit().is_some_and(|it| is_wear(it.kind()));
        let last = self.last(world).filter(|it| it.is_done())?;
        // A part does not grow back: one measure past the limit is enough. A rate may fall again.
        let beyond = if wears {
            world.before(self.event).rfind(|it| it.is_beyond())
        } else {
            Some(last).filter(|it| it.is_beyond())
        };
        if let Some(inspection) = beyond {
            let because = format!("past its limit and passed: {}", inspection.told());
            let entries = vec![inspection.entry];
            return Some(Judged::of(RecordWord::PassedBeyondLimit, because, entries));
        }
        let mut because = format!("last inspection: {}", last.told());
        let mut word = RecordWord::Passed;
        if last.result == Some(LineResult::Defect) {
            because.push_str("; not inspected again since");
            word = RecordWord::NotInspectedSince;
        } else if measurement.is_some() && last.value.is_none() {
            because.push_str("; no figure was written");
        } else if last.result == Some(LineResult::Measured) && last.standing.is_none() {
            because.push_str("; measured and not judged");
        }
        Some(Judged::of(word, because, vec![last.entry]))
    }
}

fn has(world: &World, record: RecordId) -> bool {
    world.inspections.iter().any(|it| it.record == record)
}

fn absent(needs: &[Required]) -> Option<Judged> {
    let need = needs.iter().find(|it| it.met == Met::No)?;
    let because = format!("not on record: {}", need.what);
    Some(Judged::of(
        RecordWord::RequiredInspectionMissing,
        because,
        vec![],
    ))
}

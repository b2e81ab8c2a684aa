//! What is held: possible but doubtful, and waiting for somebody's word.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::Day;
use crate::record::{Badge, BadgeResult, Body, DoubtType, Sheet, Words};

/// One held item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HeldLine {
    /// How it is named: entry and place.
    pub item: String,
    /// The entry of the sheet, badge, result or source.
    pub entry: i64,
    /// Sheet, badge, badge result or equipment.
    pub kind: &'static str,
    /// Which one.
    pub of: String,
    /// The sheet's day, the badge's first day of wear, the day of the report, or the reference
    /// day of a source.
    pub day: Day,
    /// The person concerned.
    pub person: Option<String>,
    /// Why it is on hold.
    pub why: String,
    /// What it is about.
    pub about: String,
    /// Whether a dose stays out of the account because of it.
    pub about_dose: bool,
}

/// Everything that is held.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HeldAnswer {
    /// The items, by day.
    pub lines: Vec<HeldLine>,
    /// How many more were ruled upon.
    pub resolved: usize,
}

/// How many items were on hold on a day.
pub(crate) fn held_on(house: &OpenHouse<'_>, on: Day) -> Result<usize, AnswerError> {
    let all = held(house)?.lines;
    Ok(all.iter().filter(|it| it.day <= on).count())
}

/// Everything that is held and not ruled upon.
pub fn held(house: &OpenHouse<'_>) -> Result<HeldAnswer, AnswerError> {
    let mut lines = Vec::new();
    let mut resolved = 0;
    for row in house.snapshot.held()? {
        if row.disposition.is_some() {
            resolved += 1;
            continue;
        }
        if house.snapshot.is_later(row.day) {
            continue;
        }
        let body = house.snapshot.body(row.entry)?;
        let kind = body.as_ref().map_or("", |it| it.kind().word());
        let (of, person) = match body {
            Some(Body::Sheet(sheet)) => (
                sheet_words(&sheet),
                row.person
                    .and_then(|place| usize::try_from(place - 1).ok())
                    .and_then(|at| sheet.people.get(at))
                    .map(|person| house.names.words(&person.worker)),
            ),
            Some(Body::Badge(badge)) => (badge_words(&badge), wearer(house, &badge)),
            Some(Body::BadgeResult(result)) => {
                let badge = match result.badge.known() {
                    Some(badge) => house
                        .snapshot
                        .one::<Badge>(badge.number())?
                        .map(|it| it.body),
                    None => None,
                };
                let person = badge.as_ref().and_then(|it| wearer(house, it));
                (result_words(&result, badge.as_ref()), person)
            }
            Some(Body::Equipment(it)) => (format!("{} {}", it.kind.word(), it.id), None),
            _ => (String::new(), None),
        };
        let doubt = DoubtType::from_stored(&row.kind);
        lines.push(HeldLine {
            item: format!("{}.{}", row.entry, row.item),
            entry: row.entry,
            kind,
            of,
            day: row.day,
            person,
            about_dose: doubt.is_some_and(DoubtType::keeps_dose_out),
            why: row.kind,
            about: row.about,
        });
    }
    Ok(HeldAnswer { lines, resolved })
}

fn sheet_words(sheet: &Sheet) -> String {
    match &sheet.reference {
        Some(reference) => reference.clone(),
        None => format!("{} {}", sheet.day, sheet.shift.word()),
    }
}

fn badge_words(badge: &Badge) -> String {
    format!("badge {} of {}", badge.badge, badge.first_day)
}

fn result_words(result: &BadgeResult, badge: Option<&Badge>) -> String {
    let badge = match (badge, result.badge.written()) {
        (Some(badge), _) => badge_words(badge),
        (None, words) => format!("badge {}", words.unwrap_or_default()),
    };
    format!("report {}, {badge}", result.report)
}

fn wearer(house: &House, badge: &Badge) -> Option<String> {
    badge
        .worker
        .map(|worker| house.names.label(worker.number()))
}

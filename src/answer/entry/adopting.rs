//! What the adoption of a rule set for days that are past changes of what was said of them.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::event::happened::all_happened;
use crate::answer::event::notification::open_duties;
use crate::answer::review::findings::findings;
use crate::answer::review::signed::signatures;
use crate::calendar::{Day, Instant, Month, Span};
use crate::rule::levels_gone;

/// What the rules of a ledger say of past days, by what it is about.
#[derive(Debug, Default)]
pub struct SaidOfPast {
    found: BTreeMap<String, String>,
    duties: BTreeMap<String, String>,
    signed: Vec<String>,
}

/// What an adoption changes.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct AdoptionChanges {
    /// Findings that go.
    pub found_no_more: Vec<String>,
    /// Findings that come.
    pub found_anew: Vec<String>,
    /// Duties to tell that are no longer asked for in the form in which they were.
    pub duties_no_more: Vec<String>,
    /// Duties to tell that arise.
    pub duties_anew: Vec<String>,
    /// Months in it that somebody signed under the rules before.
    pub signed: Vec<String>,
    /// Levels of the site's own, and limits of the law, that the new rules do not hold, whatever
    /// the day.
    pub levels_no_more: Vec<String>,
}

/// Whose license it is by the rules before an adoption and by those adopted, where only they say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LicenseAsked {
    /// By the rules in force until then.
    pub before: String,
    /// By those adopted.
    pub after: String,
}

/// Whether an adoption would change whose license it is in silence.
pub fn license_asked(before: &House, after: &House, from: Day) -> Option<LicenseAsked> {
    if before.names.charter.jurisdiction.is_some() {
        return None;
    }
    let was = before.written_on(from).ok()?.jurisdiction()?;
    let new = after.written_on(from).ok()?;
    let is = new.jurisdiction().filter(|_| !new.is_for(was))?;
    Some(LicenseAsked {
        before: was.to_owned(),
        after: is.to_owned(),
    })
}

/// The levels of the site's own, and the limits of the law, that end on a day with an adoption.
pub fn levels_no_more(before: &House, after: &House, from: Day) -> Vec<String> {
    let (Ok(before), Ok(after)) = (before.rule_set_on(from), after.rule_set_on(from)) else {
        return Vec::new();
    };
    let gone = levels_gone(before, after).into_iter();
    gone.map(|it| it.to_string()).collect()
}

impl AdoptionChanges {
    /// Whether nothing that was said changes.
    pub fn is_empty(&self) -> bool {
        let of_past = self.parts();
        of_past.iter().skip(1).all(|it| it.1.is_empty())
    }

    /// Its parts with their headings; what is not of past days first.
    pub fn parts(&self) -> [(&'static str, &[String]); 6] {
        [
            ("limits and levels that go", &self.levels_no_more),
            ("findings that go", &self.found_no_more),
            ("findings that come", &self.found_anew),
            ("reports owed that change or go", &self.duties_no_more),
            ("reports owed that arise", &self.duties_anew),
            (
                "months that were signed under the rules before",
                &self.signed,
            ),
        ]
    }
}

/// What is said of the days from one on, up to yesterday; nothing where that day is not past.
///
/// # Errors
/// A ledger that fails, or a day of it without a rule set.
pub fn said_of_past(
    house: &OpenHouse<'_>,
    from: Day,
    now: Instant,
) -> Result<SaidOfPast, AnswerError> {
    let today = house.today(now);
    let mut said = SaidOfPast::default();
    let Some(yesterday) = today.pred_opt().filter(|it| from <= *it) else {
        return Ok(said);
    };
    let span = Span {
        first: from,
        last: yesterday,
    };
    for line in findings(house, (span, today, now), true)?.lines {
        let it = line.finding.masked();
        let words = format!("{} {}: {}", it.severity, it.subject, it.what);
        said.found
            .insert(format!("{} {}", it.severity, it.key()), words);
    }
    for it in all_happened(house)? {
        if it.day() < from {
            continue;
        }
        for duty in open_duties(house, &it, now)? {
            let by = duty.deadline.as_deref();
            let by = by.map_or_else(String::new, |at| format!(", by {at}"));
            let words = format!("{}: {} ({}{by})", duty.event, duty.what, duty.citation);
            said.duties.insert(words.clone(), words);
        }
    }
    let reaches = |month: &str| {
        month
            .parse::<Month>()
            .is_ok_and(|it| it.span().last >= from)
    };
    for it in signatures(house, None)? {
        if reaches(&it.month) && !said.signed.contains(&it.month) {
            said.signed.push(it.month);
        }
    }
    Ok(said)
}

impl SaidOfPast {
    /// What is said after an adoption and not before, and the other way round.
    pub fn changes(&self, after: &SaidOfPast) -> AdoptionChanges {
        let beyond = |one: &BTreeMap<String, String>, other: &BTreeMap<String, String>| {
            let mine = one.iter().filter(|(key, _)| !other.contains_key(*key));
            mine.map(|(_, words)| words.clone()).collect::<Vec<_>>()
        };
        let mut changes = AdoptionChanges {
            found_no_more: beyond(&self.found, &after.found),
            found_anew: beyond(&after.found, &self.found),
            duties_no_more: beyond(&self.duties, &after.duties),
            duties_anew: beyond(&after.duties, &self.duties),
            signed: Vec::new(),
            levels_no_more: Vec::new(),
        };
        if !changes.is_empty() {
            changes.signed.clone_from(&self.signed);
        }
        changes
    }
}

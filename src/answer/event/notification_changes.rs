//! What something that was written about an event changes in its duties: whoever wrote it sees at
//! once what is now to be told, and what is not.

use super::happened::{Happened, happened, local};
use super::notification::notifications_of;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::calendar::Instant;
use crate::ledger::Snapshot;
use crate::notification::{Applies, DutyState, Notifications};

/// The duties of an event before and after something was written about it.
#[derive(Debug)]
pub struct DutyChanges {
    event: Happened,
    before: Notifications,
    after: Notifications,
}

impl DutyChanges {
    /// The duties that arise now and did not, end now and did not, or have other clocks, a line
    /// each in the order of the rule set's pressing; none where nothing changed.
    pub fn lines(&self) -> Vec<String> {
        let mut keys: Vec<&str> = Vec::new();
        let all = self.after.duties.iter().chain(&self.before.duties);
        for it in all {
            if !keys.contains(&it.duty.as_str()) {
                keys.push(&it.duty);
            }
        }
        keys.into_iter().filter_map(|key| self.line(key)).collect()
    }

    /// Why an answer to a question changes nothing, in words.
    pub fn why_nothing(&self, question: &str) -> String {
        let of = |all: &Notifications| all.facts.iter().find(|it| it.key == question).cloned();
        match (of(&self.before), of(&self.after)) {
            (Some(before), Some(after)) if before.known == after.known => {
                let entry = before.entry.map(|it| format!(", entry {it}"));
                let entry = entry.unwrap_or_default();
                format!("it was known before: {}{entry}", before.because)
            }
            _ => "nothing that is open turns on it".to_owned(),
        }
    }

    /// Clocks of a report that it did not close, because the ledger lacks contents of theirs.
    pub fn left_of(&self, report: &str) -> Vec<String> {
        let left = self.after.duties.iter().filter(|it| {
            it.report == report && it.is_open() && it.start.is_some() && it.missing().count() > 0
        });
        let words = left.map(|it| {
            let missing: Vec<&str> = it.missing().map(|it| it.text.as_str()).collect();
            let (duty, cited) = (&it.duty, &it.citation);
            format!(
                "not closed: `{duty}` ({cited}) still wants {}",
                missing.join("; ")
            )
        });
        words.collect()
    }

    fn line(&self, key: &str) -> Option<String> {
        let of = |all: &Notifications| -> Vec<DutyState> {
            let mine = all.duties.iter().filter(|it| it.duty == key);
            mine.cloned().collect()
        };
        let (before, after) = (of(&self.before), of(&self.after));
        let arises = |all: &[DutyState]| all.iter().map(|it| it.applies).min_by_key(rank);
        let clocks = |all: &[DutyState]| -> Vec<_> {
            let run = all.iter().filter(|it| it.applies != Applies::No);
            run.map(|it| (it.applies, it.start, it.deadline)).collect()
        };
        if clocks(&before) == clocks(&after) {
            return None;
        }
        let first = after.first()?;
        let by = after.iter().filter_map(|it| it.deadline).min();
        let by = by.map_or_else(String::new, |at| format!(", by {}", local(&self.event, at)));
        let words = match arises(&after)? {
            Applies::Yes => format!("applies{by}"),
            Applies::May => format!("may apply{by}"),
            Applies::Waits => first.start_words.clone(),
            Applies::No => format!("no longer applies: {}", first.because.join("; ")),
        };
        let cited = &first.citation;
        Some(format!("`{key}` ({cited}) {words}"))
    }
}

/// The surest first.
fn rank(applies: &Applies) -> u8 {
    match applies {
        Applies::Yes => 0,
        Applies::May => 1,
        Applies::Waits => 2,
        Applies::No => 3,
    }
}

/// What has been written since an event was as it was.
///
/// # Errors
/// A ledger that fails, or no rule set on the day of the event.
pub fn duty_changes(
    (then, before): (&Happened, Notifications),
    snapshot: &Snapshot<'_>,
    now: Instant,
) -> Result<DutyChanges, AnswerError> {
    let house = House::load(snapshot)?;
    let house = &house.open(snapshot);
    let event = happened(house, &then.body.name)?;
    let after = notifications_of(house, &event, now)?;
    Ok(DutyChanges {
        event,
        before,
        after,
    })
}

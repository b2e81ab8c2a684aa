//! Duties that had begun and no longer arise, because something was corrected or determined since:
//! none of them vanishes in silence.

use std::collections::BTreeMap;

use super::happened::{Happened, happened};
use super::notification_line::{Told, told};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::calendar::Instant;
use crate::ledger::Snapshot;
use crate::notification::Applies;
use crate::record::{Body, Determination, RecordId, Resolution};
use crate::rule::{RemovedType, RuleSet};

/// The entry since which a duty no longer arises, by duty; only of those that no fact with an
/// entry of its own says no to.
pub(crate) fn gone(
    snapshot: &Snapshot<'_>,
    it: &Happened,
    now_told: &Told<'_>,
    now: Instant,
) -> Result<BTreeMap<String, i64>, AnswerError> {
    let off = now_told.notifications.duties.iter();
    let off = off.filter(|it| it.applies == Applies::No && it.not_since.is_none());
    let mut left: Vec<&str> = off.map(|it| it.duty.as_str()).collect();
    let mut found = BTreeMap::new();
    for entry in changes(snapshot, it, now_told)?.into_iter().rev() {
        if left.is_empty() {
            break;
        }
        let before = snapshot.as_of(entry - 1);
        let house = House::load(&before)?;
        let house = house.open(&before);
        let Ok(then) = happened(&house, &it.body.name) else {
            continue;
        };
        let then = told(&house, &then, now)?;
        left.retain(|key| {
            let mut clocks = then
                .notifications
                .duties
                .iter()
                .filter(|it| it.duty == *key);
            let arose = clocks.any(|it| it.applies != Applies::No);
            if arose {
                found.insert((*key).to_owned(), entry);
            }
            !arose
        });
    }
    Ok(found)
}

/// Entries after the event's first that may have ended a duty, ascending.
fn changes(
    snapshot: &Snapshot<'_>,
    it: &Happened,
    told: &Told<'_>,
) -> Result<Vec<i64>, AnswerError> {
    let ours = |worker: RecordId| told.people.iter().any(|it| it.worker == Some(worker));
    let mut all = Vec::new();
    for correction in snapshot.corrections()? {
        let Some(before) = correction.ends.filter(|_| correction.seq > it.record) else {
            continue;
        };
        // Of a ledger's corrections only those of this event and of its people cost an inspection
        // back.
        let concerns = match snapshot.body(before)? {
            Some(Body::Event(_)) => correction.record == it.record,
            Some(Body::EventHappening(body)) => body.event.number() == it.record,
            Some(Body::EventCause(body)) => body.event.number() == it.record,
            Some(Body::EventLink(body)) => body.event.number() == it.record,
            Some(Body::DutyAnswer(body)) => body.event.number() == it.record,
            Some(Body::Determination(body)) => ours(body.worker.number()),
            Some(Body::Resolution(body)) => ours(body.worker.number()),
            _ => false,
        };
        if concerns {
            all.push(correction.seq);
        }
    }
    let decided = snapshot.all::<Determination>()?.into_iter();
    let decided = decided.filter(|it| ours(it.body.worker.number()));
    all.extend(decided.map(|it| it.entry));
    let decided = snapshot.all::<Resolution>()?.into_iter();
    let decided = decided.filter(|it| ours(it.body.worker.number()));
    all.extend(decided.map(|it| it.entry));
    all.retain(|entry| *entry > it.record);
    all.sort_unstable();
    all.dedup();
    Ok(all)
}

/// What the rules at the job leave out, with what that changes of the clocks.
pub(crate) fn left_out(there: &RuleSet) -> Vec<String> {
    let told = there.removed().iter().map(|it| {
        let though = match it.of {
            Some(RemovedType::Duty) => ", so that no clock below is of it",
            _ => ", so that no dose below is held against it",
        };
        there.left_out(it, though)
    });
    told.collect()
}

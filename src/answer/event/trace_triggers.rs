//! What called for an inspection of an item before its next use, of what the ledger says of it.

use super::happened::{kind_of, occurred_at};
use super::trace_states::{Both, local};
use crate::answer::context::error::AnswerError;
use crate::record::{Event, RecordId, ServiceReturn, Withdrawal};
use crate::trace::known::Trigger;
use crate::trace::occurred::DoneAt;

/// What called for an inspection of an item before its next use: earlier events, repairs, parts.
pub(crate) fn triggers(both: &Both<'_>, record: RecordId) -> Result<Vec<Trigger>, AnswerError> {
    let mut all = events(both, record)?;
    let whole = |day| DoneAt { day, at: None };
    let withdrawals = both.now.snapshot.all::<Withdrawal>()?;
    for it in both.now.snapshot.all::<ServiceReturn>()? {
        if it.body.item.number() != record || it.body.on > both.when.last.day {
            continue;
        }
        // What was looked at while it was out of service was looked at after the repair.
        let out = withdrawals
            .iter()
            .filter(|out| out.body.item.number() == record && out.body.on <= it.body.on)
            .map(|out| out.body.on)
            .max();
        all.push(Trigger {
            entry: it.entry,
            moment: whole(out.unwrap_or(it.body.on)),
            from: whole(out.unwrap_or(it.body.on)),
            what: format!("a repair ({})", it.body.done),
            component: None,
            learned: both.learned(it.record),
        });
    }
    let in_service = both.now.names.in_service(record);
    for it in both.now.maintenance.parts_of(record) {
        // What came with the item is no repair.
        if in_service.is_none_or(|from| it.body.installed_on > from) {
            all.push(Trigger {
                entry: it.entry,
                moment: whole(it.body.installed_on),
                from: whole(it.body.installed_on),
                what: format!("a new {}", it.body.component),
                component: Some(it.body.component.clone()),
                learned: both.learned(it.record),
            });
        }
    }
    all.sort_by_key(|it| (it.moment, it.entry));
    Ok(all)
}

/// Earlier events that called for an inspection of the item before its next use. A kind that
/// no rule set knows counts as one.
fn events(both: &Both<'_>, record: RecordId) -> Result<Vec<Trigger>, AnswerError> {
    let mut all = Vec::new();
    for it in both.now.snapshot.all::<Event>()? {
        if it.record == both.event.record || !it.body.equipment.contains(&record.into()) {
            continue;
        }
        let (first, last) = occurred_at(both.now, &it)?;
        let (from, moment) = (local(both.now, first), local(both.now, last));
        let rule_set = both.now.judging(from.day).ok();
        let kind = rule_set.and_then(|rule_set| kind_of(rule_set, &it.body.kind));
        let calls = kind
            .as_ref()
            .is_none_or(|it| it.withdraws || it.calls_for_inspection);
        if !calls {
            continue;
        }
        let name = kind.map_or(it.body.kind, |kind| kind.name);
        all.push(Trigger {
            entry: it.entry,
            moment,
            from,
            what: format!("{}, {name},", it.body.name),
            component: None,
            learned: both.learned(it.record),
        });
    }
    Ok(all)
}

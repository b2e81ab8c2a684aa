//! Decisions with what they do to the conservative total and to stops.

use std::collections::BTreeMap;

use super::fault::IntakeError;
use super::taken::Taken;
use crate::answer::Standings;
use crate::calendar::{Day, Span};
use crate::ledger::{Instant, LedgerError, Snapshot, Writer};
use crate::record::{BadgeResult, RecordId};

/// A decision about some people's days, with what it does to the conservative total and to stops.
pub(crate) fn with_changes(
    writer: &mut Writer<'_>,
    people: BTreeMap<RecordId, Span>,
    when: (Day, Instant),
    decide: impl FnOnce(&mut Writer<'_>) -> Result<Taken, IntakeError>,
) -> Result<Taken, IntakeError> {
    if people.is_empty() {
        return decide(writer);
    }
    let mut people = people;
    for days in people.values_mut().filter(|it| it.last == Span::OPEN_END) {
        // A badge that nobody took off: what was worn of it so far.
        days.last = when.0.max(days.first);
    }
    let before = Standings::of(&writer.snapshot()?, &people, when)?;
    let mut taken = decide(writer)?;
    let after = Standings::of(&writer.snapshot()?, &people, when)?;
    taken.notes.extend(before.changes(&after));
    Ok(taken)
}

/// The days of the badge that a result is about.
pub(crate) fn days_of(
    snapshot: &Snapshot<'_>,
    result: &BadgeResult,
) -> Result<Option<Span>, LedgerError> {
    let Some(badge) = result.badge.known() else {
        return Ok(None);
    };
    let wear = snapshot.wear_of_record(badge.number())?;
    Ok(wear.map(|it| Span {
        first: it.first_day,
        last: it.worn_until().max(it.first_day),
    }))
}

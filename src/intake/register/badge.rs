//! Badges: who wears which when, and what becomes of them.

use super::wear::wear;
use super::{Column, Reader, Register, RowBodies, RowDesk, only, register, worker};
use crate::answer::Names;
use crate::intake::file::fields::Fields;
use crate::ledger::{LedgerError, WearRow};
use crate::record::{Badge, BadgeChange, BadgeEvent, BadgeType, Words};

register!(ISSUES: "badge" "issue" "issues" "badge for a wear period", Names read_issue, [
    "badge" true "the number on the badge",
    "type" true "whole body, extremity or control",
    "worker" false "id of who wears it; a control badge is not worn",
    "first_day" true "first day of wear",
    "last_day" true "last day of wear, as planned; of one read on demand, of its use",
    "employer" false "another employer whose badge it is, worn beside ours",
    "same_dose" false "of theirs: yes if worn on our shifts too, no if for other work",
    "on_demand" false "yes if it is read on demand (badge read) and goes to no processor",
    "last_read" false "of one read on demand: day of its last read, where it was read before",
]);

register!(RETURNS: "badge" "return" "returns" "badge handed back", RowDesk read_return, [
    "badge" true "its number, or `NUMBER/FIRST_DAY` where the number is used again",
    "on" true "the day; the last day of wear",
    "note" false "what is known about it",
]);

register!(SENDINGS: "badge" "send" "sent-to-processor" "badge sent to its \
    processor", RowDesk read_sending, [
    "badge" true "its number, or `NUMBER/FIRST_DAY` where the number is used again",
    "on" true "the day",
    "note" false "what is known about it",
]);

register!(LOSSES: "badge" "lost" "lost-badges" "lost badge", RowDesk read_loss, [
    "badge" true "its number, or `NUMBER/FIRST_DAY` where the number is used again",
    "on" true "the day; the last day of wear",
    "note" false "what is known about it",
]);

register!(DAMAGES: "badge" "damaged" "damaged-badges" "damaged badge", RowDesk read_damage, [
    "badge" true "its number, or `NUMBER/FIRST_DAY` where the number is used again",
    "on" true "the day; the last day of wear",
    "note" false "what is known about it",
]);

fn read_issue(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let badge = fields.needed(0, "the number on the badge");
    let kind = fields.needed_word::<BadgeType>(1);
    let unnamed = fields.cell(2).is_empty();
    let worker = match unnamed {
        true => None,
        false => worker(fields, names, 2),
    };
    let (first_day, last_day) = (fields.needed_day(3), fields.needed_day(4));
    let employer = fields.text(5);
    let same_dose = fields.yes(6);
    let (on_demand, last_read) = (fields.yes(7), fields.day(8));
    if worker.is_none() && !unnamed {
        return None;
    }
    only(Badge {
        badge: badge?,
        employer,
        first_day: first_day?,
        held: Vec::new(),
        last_day: last_day?,
        last_read,
        on_demand,
        same_dose,
        kind: kind?,
        worker,
    })
}

type Read = Result<Option<RowBodies>, LedgerError>;

fn read_return(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Read {
    // Only a badge that is still out comes back.
    read_change(fields, desk, BadgeChange::Returned, &|it| {
        it.changes.is_empty() && it.results.is_empty()
    })
}

fn read_sending(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Read {
    read_change(fields, desk, BadgeChange::Sent, &|it| {
        let gone = [BadgeChange::Sent, BadgeChange::Lost];
        it.results.is_empty() && !it.changes.iter().any(|(change, _)| gone.contains(change))
    })
}

fn read_loss(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Read {
    read_change(fields, desk, BadgeChange::Lost, &|it| {
        it.changes.is_empty() && it.results.is_empty()
    })
}

fn read_damage(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Read {
    read_change(fields, desk, BadgeChange::Damaged, &|it| {
        it.changes.is_empty() && it.results.is_empty()
    })
}

fn read_change(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    change: BadgeChange,
    waits: &dyn Fn(&WearRow) -> bool,
) -> Read {
    let Some(on) = past_day(fields, desk, 1) else {
        fields.needed(0, "the number on the badge");
        return Ok(None);
    };
    let said = |it: &WearRow| it.changes.contains(&(change, on));
    let Some(wear) = wear(fields, desk, 0, on, &said, &[waits])? else {
        return Ok(None);
    };
    if wear.on_demand && change == BadgeChange::Sent {
        fields.fault(
            0,
            "is read on demand and goes to no processor",
            "its read: wearbook badge read",
        );
        return Ok(None);
    }
    let lost = wear.changes.iter().find(|it| it.0 == BadgeChange::Lost);
    if let (Some((_, since)), BadgeChange::Damaged | BadgeChange::Sent) = (lost, change) {
        fields.fault(
            0,
            format!("was lost on {since}"),
            "if it was found again, its return: wearbook badge return",
        );
        return Ok(None);
    }
    if on < wear.first_day {
        fields.fault(
            1,
            format!("is before the first day of wear {}", wear.first_day),
            format!("the day on which it was {}", change.word()),
        );
        return Ok(None);
    }
    let note = fields.text(2);
    Ok(only(BadgeEvent {
        badge: wear.record.into(),
        change,
        note,
        on,
    }))
}

/// A day that must be given and must have come.
pub(super) fn past_day(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    column: usize,
) -> Option<crate::calendar::Day> {
    let day = fields.needed_day(column)?;
    if day > desk.today {
        fields.fault(
            column,
            format!("is in the future: today is {}", desk.today),
            "the day on which it was",
        );
        return None;
    }
    Some(day)
}

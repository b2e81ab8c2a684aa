//! Duties that had begun under rules that were in force when an event was written, and that others
//! were adopted instead of for its day since: none of them vanishes.

use super::happened::Happened;
use super::person::authority_of;
use crate::answer::context::load::House;
use crate::notification::{Applies, DutyState, Facts, Given, Notifications, notifications};

/// Lets what had begun stay, with its citation and its deadline.
pub(crate) fn stay(house: &House, it: &Happened, facts: &Facts, all: &mut Notifications) {
    let before = house.rule_set_as_adopted(it.day(), it.record);
    let now = house.written_on(house.judged_on(it.day())).ok();
    let Some(before) = before.filter(|it| now.is_none_or(|now| *it != now)) else {
        return;
    };
    // To whom it was told then, by the duties, numbers and times of that authority.
    let mut then = facts.clone();
    then.authority = authority_of(house, before, it);
    let there = it
        .job(house)
        .and_then(|job| before.at_job(&job.jurisdiction));
    let begun = notifications(there.as_ref().unwrap_or(before), &then)
        .duties
        .into_iter();
    for mut duty in begun.filter(|it| it.applies != Applies::No) {
        let same = |it: &DutyState| it.duty == duty.duty && it.start == duty.start;
        let stands = |it: &DutyState| it.applies != Applies::No && it.citation == duty.citation;
        if all.duties.iter().any(|it| same(it) && stands(it)) {
            continue;
        }
        let begun = format!(
            "begun under {}, in force here when the event was recorded",
            before.key
        );
        // One duty is one line. It stands as it began, unless the newer rules leave less time.
        let newer = all
            .duties
            .iter_mut()
            .find(|it| same(it) && it.applies != Applies::No);
        if let Some(newer) = newer {
            let sooner = matches!(
                (newer.deadline, duty.deadline),
                (Some(newer), Some(begun)) if newer < begun
            );
            if sooner {
                newer.because.push(format!("{begun} ({})", duty.citation));
                continue;
            }
            let newer_rules = now.map_or("the rules adopted since", |it| &it.key);
            let also = format!("the same duty of {newer_rules}: {}", newer.citation);
            duty.because.push(also);
        }
        all.duties.retain(|it| !same(it));
        let given = |it: &Given| it.duty == duty.duty && duty.start == Some(it.from);
        all.stray.retain(|it| !given(it));
        duty.because.insert(0, begun);
        all.duties.push(duty);
    }
    all.duties
        .sort_by_key(|it| (it.state.progress(), it.deadline));
}

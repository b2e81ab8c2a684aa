//! People of an event who are no workers of this license: what is estimated of their dose counts at
//! its high end, and the limits of the public hold for it.

use crate::answer::context::load::House;
use crate::answer::event::notification_doses::KnownAt;
use crate::answer::event::person::Person;
use crate::notification::{Assessed, Left};
use crate::quantity::Dose;
use crate::record::{EventPerson, Words};
use crate::rule::{AppliesTo, LevelType, Quantity, Reached, RuleSet};

/// Puts the estimate of the event to a person, with the limits of the public: nothing else is on
/// record of the person, so that each limit is left whole.
pub(crate) fn estimated(
    house: &House,
    rule_set: &RuleSet,
    named: &EventPerson,
    known: KnownAt,
    person: &mut Person,
) {
    person.estimate = words(house, named);
    let Some(dose) = named.high_nsv.or(named.low_nsv) else {
        return;
    };
    person.doses.push(Assessed {
        person: person.label.clone(),
        quantity: Quantity::Deep,
        dose,
        open: named.high_nsv.is_none(),
        of_record: false,
        reported: false,
        known_at: known.at,
        clock_doubted: known.clock_doubted,
    });
    let of_the_public = rule_set
        .levels
        .iter()
        .filter(|it| it.applies_to == AppliesTo::Other && it.kind == LevelType::Limit);
    for level in of_the_public {
        person.limits.push(Left {
            person: person.label.clone(),
            quantity: level.quantity,
            limit: format!(
                "{} limit of the public of {} ({})",
                rule_set.terms().short(level.quantity),
                rule_set.print(level.dose),
                level.window
            ),
            left: level.dose,
            at_or_above: level.reached == Reached::AtOrAbove,
            unsure: false,
        });
    }
}

/// The dose as it was estimated: `1 to 9 mrem`.
pub(crate) fn range(house: &House, it: &EventPerson) -> Option<String> {
    let print = |dose: Dose| dose.display(house.unit());
    Some(match (it.low_nsv, it.high_nsv) {
        (None, None) => return None,
        (Some(low), Some(high)) if low == high => print(high),
        (Some(low), Some(high)) => format!("{} to {}", print(low), print(high)),
        (None, Some(high)) => format!("up to {}", print(high)),
        (Some(low), None) => format!("at least {}", print(low)),
    })
}

/// How many of whom: `4 people, member of the public`.
pub(crate) fn group(it: &EventPerson) -> Option<String> {
    let count = it.count.map(|count| match count {
        1 => "1 person".to_owned(),
        many => format!("{many} people"),
    });
    let category = it.category.map(|it| it.word().to_owned());
    let parts: Vec<String> = count.into_iter().chain(category).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Both; nothing of somebody of whom neither was said.
fn words(house: &House, it: &EventPerson) -> Option<String> {
    let range = range(house, it);
    let group = group(it);
    if range.is_none() && group.is_none() {
        return None;
    }
    let dose = match range {
        Some(range) => format!(
            "{} {range}, estimated; the high end counts",
            house.terms().short(Quantity::Deep)
        ),
        None => format!("{} not measured", house.terms().dose(Quantity::Deep)),
    };
    Some(match group {
        Some(group) => format!("{dose} ({group})"),
        None => dose,
    })
}

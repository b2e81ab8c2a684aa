//! The people of an event with their doses, in words.

use serde::Serialize;

use super::person::Person;
use crate::answer::context::load::House;
use crate::notification::Assessed;
use crate::rule::Quantity;

/// One person's dose of the event.
#[derive(Debug, Clone, Serialize)]
pub struct NotificationPerson {
    /// The id, or the name as written.
    pub person: String,
    /// What the person did.
    pub role: String,
    /// The doses that were assessed, on the conservative side.
    pub dose: String,
    /// Of which records.
    pub of: String,
}

/// A dose as people read it: `at least 0.2 mrem (provisional)`.
pub(crate) fn dose_words(house: &House, it: &Assessed) -> String {
    let sure = if it.open { "at least " } else { "" };
    format!("{sure}{} ({})", it.dose.display(house.unit()), it.class())
}

/// Every dose of a person that was assessed, in words; those that are as the deep one left out.
pub(crate) fn all_doses(house: &House, it: &Person) -> String {
    if let Some(estimate) = &it.estimate {
        return estimate.clone();
    }
    let terms = house.terms();
    let deep = it.last(Quantity::Deep);
    let mut words = vec![match deep {
        Some(deep) => format!(
            "{} {}",
            terms.short(Quantity::Deep),
            dose_words(house, deep)
        ),
        None => format!("{} not measured", terms.dose(Quantity::Deep)),
    }];
    for quantity in [Quantity::Lens, Quantity::Shallow, Quantity::Extremity] {
        let found = it.last(quantity);
        let same = |it: &Assessed, deep: &Assessed| {
            (it.dose, it.open, it.class()) == (deep.dose, deep.open, deep.class())
        };
        match (found, deep) {
            (Some(it), Some(deep)) if same(it, deep) => {}
            (Some(it), _) => words.push(format!(
                "{} {}",
                terms.short(quantity),
                dose_words(house, it)
            )),
            (None, _) if quantity == Quantity::Extremity && deep.is_some() => {
                words.push("extremity not assessed".to_owned());
            }
            (None, _) => {}
        }
    }
    words.join(", ")
}

/// One person with the dose.
pub(crate) fn person(house: &House, it: &Person) -> NotificationPerson {
    let listed: Vec<String> = it.days.iter().map(ToString::to_string).collect();
    let days = match (it.linked, it.days.first(), it.days.last()) {
        // Of an event whose day is not known: all that it can have been.
        (false, Some(first), Some(last)) if first < last => format!("{first} to {last}, all of it"),
        _ => listed.join(", "),
    };
    NotificationPerson {
        person: it.label.clone(),
        role: it
            .role
            .clone()
            .unwrap_or_else(|| "in a linked record".to_owned()),
        dose: all_doses(house, it),
        of: match (it.doses.is_empty(), it.linked) {
            (true, _) => "no record".to_owned(),
            (false, _) if it.worker.is_none() => "the event".to_owned(),
            (false, true) => format!("linked records, {days}"),
            (false, false) if it.days.len() > 1 => days,
            (false, false) if it.on_sheet => format!("the shift of {days}"),
            (false, false) => format!("{days}, on no sheet"),
        },
    }
}

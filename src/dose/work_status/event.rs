//! A person who was in an event: whether somebody knows the dose of it.
//!
//! Whoever nobody measured, who wore no dosimeter, or had a part of the body near an unshielded
//! source stops until the RSO or the RSO's designee determines that dose, "no exposure" being a
//! determination too, or accepts the result that covers it. For everybody else the lens and the
//! extremities are a question, and no stop.

use std::collections::BTreeSet;

use super::settled::Settling;
use crate::calendar::Day;
use crate::dose::input::{
    BadgeKind, Counting, Reading, Relation, Scope, Shift, Unmeasured, by_flags,
};
use crate::dose::resolve::determined_days;
use crate::quantity::{Dose, DoseUnit};
use crate::record::{NearPart, Words};
use crate::rule::{CheckKey, Finding, Quantity, RuleSet, Severity, Terms};

/// One person's part in an event in which somebody can have been exposed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InEvent {
    /// The event's name.
    pub event: String,
    /// Its newest entry.
    pub entry: i64,
    /// The days of which the dose is.
    pub days: BTreeSet<Day>,
    /// Whether the event says that no dosimeter was worn.
    pub unworn: bool,
    /// Parts of the body that may have been near an unshielded source.
    pub near: Vec<NearPart>,
}

/// Why a dose of an event is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lack {
    /// No reading, no result, no determination.
    Unmeasured,
    /// The dosimeter was not worn.
    NotWorn,
    /// What hung elsewhere on the body bounds no part that was near.
    Near(NearPart),
}

/// A dose of an event that nobody knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Open {
    /// Which dose.
    pub quantity: Quantity,
    /// Why.
    pub lack: Lack,
}

impl Open {
    fn words(self, terms: Terms) -> String {
        let name = terms.dose(self.quantity);
        match self.lack {
            Lack::Unmeasured => format!("the {name} was not measured"),
            Lack::NotWorn => format!("no dosimeter worn, so no {name}"),
            Lack::Near(part) => format!("{} near an unshielded source, so no {name}", part.word()),
        }
    }
}

/// The dose that a part of the body near a source leaves open.
fn dose_of(part: NearPart) -> Quantity {
    match part {
        NearPart::Hand | NearPart::Foot => Quantity::Extremity,
        NearPart::Head => Quantity::Lens,
        NearPart::Trunk => Quantity::Deep,
    }
}

impl Settling<'_> {
    /// The doses of an event that nobody knows.
    pub fn open_in(&self, it: &InEvent) -> Vec<Open> {
        let mut open = Vec::new();
        let mut add = |quantity, lack| {
            if !open.contains(&Open { quantity, lack }) {
                open.push(Open { quantity, lack });
            }
        };
        for day in self.likely_days(it) {
            let shifts: Vec<&Shift> = self.shifts_on(day).collect();
            let unworn = it.unworn || shifts.iter().any(|it| it.badge_worn == Some(false));
            let measured = |it: &&Shift| it.readings.iter().any(says_something);
            let all = !shifts.is_empty() && shifts.iter().all(measured);
            if (unworn || !all) && !self.is_known(Quantity::Deep, day, it) {
                let lack = match unworn {
                    true => Lack::NotWorn,
                    false => Lack::Unmeasured,
                };
                add(Quantity::Deep, lack);
            }
        }
        for part in &it.near {
            let quantity = dose_of(*part);
            if !it.days.iter().any(|day| self.is_known(quantity, *day, it)) {
                add(quantity, Lack::Near(*part));
            }
        }
        open
    }

    /// The doses of an event that nobody knows, for the sums of its days; nothing where all are
    /// known. What the deep dose stands in for is open with it.
    pub fn unmeasured(&self, it: &InEvent) -> Option<Unmeasured> {
        let open = self.open_in(it);
        let mut quantities = Vec::new();
        for one in &open {
            let with: &[Quantity] = match one.quantity {
                Quantity::Deep => &[Quantity::Deep, Quantity::Lens, Quantity::Shallow],
                Quantity::Lens => &[Quantity::Lens],
                Quantity::Shallow => &[Quantity::Shallow],
                Quantity::Extremity => &[Quantity::Extremity],
            };
            for quantity in with {
                if !quantities.contains(quantity) {
                    quantities.push(*quantity);
                }
            }
        }
        let terms = self.facts().terms;
        let words: Vec<String> = open.iter().map(|it| it.words(terms)).collect();
        (!open.is_empty()).then(|| Unmeasured {
            entry: it.entry,
            days: self.likely_days(it),
            quantities,
            words: format!("dose in {} not determined: {}", it.event, words.join("; ")),
        })
    }

    /// Whether lens and extremities of an event are known apart from the trunk's badge.
    pub fn knows_lens_and_extremities(&self, it: &InEvent) -> bool {
        [Quantity::Lens, Quantity::Extremity]
            .into_iter()
            .all(|quantity| it.days.iter().any(|day| self.is_known(quantity, *day, it)))
    }

    /// A person's shifts of a day, and the one that ran into it.
    fn shifts_on(&self, day: Day) -> impl Iterator<Item = &Shift> {
        self.history().shifts.iter().filter(move |it| {
            it.day == day || it.crosses_midnight && it.day.succ_opt() == Some(day)
        })
    }

    /// Of several days on which it may have been those on which the person is known to have been
    /// at work: by a sheet, else by a badge; all of them where no record says so.
    fn likely_days(&self, it: &InEvent) -> Vec<Day> {
        let of = |at_work: &dyn Fn(Day) -> bool| -> Vec<Day> {
            let days = it.days.iter().copied();
            days.filter(|day| at_work(*day)).collect()
        };
        let sheets = of(&|day| self.shifts_on(day).next().is_some());
        if !sheets.is_empty() {
            return sheets;
        }
        let badges = of(&|day| self.wears_on(day));
        match badges.is_empty() {
            true => it.days.iter().copied().collect(),
            false => badges,
        }
    }

    /// Whether a badge of this licensee was worn on a day.
    fn wears_on(&self, day: Day) -> bool {
        let dosimetry = &self.facts().dosimetry;
        let mut own = dosimetry.wear.iter().filter(|it| it.is_own());
        own.any(|it| dosimetry.worn_days(it).contains(day))
    }

    /// Whether somebody determined a dose of a day, or accepted a result of it.
    fn is_known(&self, quantity: Quantity, day: Day, it: &InEvent) -> bool {
        let dosimetry = &self.facts().dosimetry;
        let sheet_on = |sheet: i64| self.shifts_on(day).any(|it| it.sheet == sheet);
        // What is added to readings that say nothing leaves the sum unknown.
        let is_alone = self.shifts_on(day).next().is_none();
        let may_add = quantity != Quantity::Deep || is_alone;
        let determined = self.standing(quantity).any(|one| {
            let about = match one.scope {
                Scope::Span(span) => span.contains(day),
                Scope::Event { day: on, .. } => on == day,
                Scope::Shift { sheet } | Scope::Reading { sheet, .. } => sheet_on(sheet),
                Scope::WearPeriod(record) => dosimetry.wear.iter().any(|it| {
                    it.record == record && determined_days(dosimetry, it, one).contains(day)
                }),
            };
            about && (may_add || one.relation != Relation::Adds)
        });
        determined || self.has_result(quantity, day, it)
    }

    /// Whether a result that was accepted measured a dose of a day: a badge on the trunk for the
    /// deep dose, where it was worn, one on an extremity for that, and none for the lens.
    fn has_result(&self, quantity: Quantity, day: Day, it: &InEvent) -> bool {
        let dosimetry = &self.facts().dosimetry;
        let kind = match quantity {
            Quantity::Deep if !it.unworn => BadgeKind::WholeBody,
            Quantity::Extremity => BadgeKind::Extremity,
            _ => return false,
        };
        let mut shifts = self.shifts_on(day).peekable();
        if kind == BadgeKind::WholeBody && shifts.peek().is_some() {
            let accepted = |it: &Shift| {
                let badge = self.badge_of(it);
                badge.is_some_and(|it| self.result_of(it, quantity).is_some())
            };
            return shifts.all(accepted);
        }
        let mut worn = dosimetry.wear.iter().filter(|it| {
            it.kind == kind
                && it.is_own()
                && it.counting == Counting::Counts
                && dosimetry.worn_days(it).contains(day)
        });
        worn.any(|it| self.result_of(it, quantity).is_some())
    }
}

/// Whether a reading tells something of a dose, or is stopped for by itself.
fn says_something(it: &Reading) -> bool {
    let told = it.start.is_some() && it.end.is_some();
    !it.is_ruled_out() && (told || it.off_scale)
}

/// The stop of one person for one event, with what ends it.
pub(super) fn stop(
    settling: &Settling<'_>,
    it: &InEvent,
    rule_set: &RuleSet,
    on: Day,
) -> Option<Finding> {
    let open = settling.open_in(it);
    if open.is_empty() {
        return None;
    }
    let facts = settling.facts();
    let words: Vec<String> = open.iter().map(|it| it.words(rule_set.terms())).collect();
    let what = format!("dose in {} not determined: {}", it.event, words.join("; "));
    let mut rule = rule_set.text_of(CheckKey::EventDose);
    rule.remedy = format!(
        "{} {}",
        rule.remedy,
        ways(
            (&facts.id, by_flags(facts.role_on(on))),
            it,
            &open,
            rule_set.unit
        )
    );
    let entries = vec![it.entry];
    let severity = Severity::Stop;
    Some(Finding::new(
        severity,
        &rule,
        facts.id.clone(),
        what,
        entries,
    ))
}

/// What ends the stop, as commands.
fn ways((worker, by): (&str, &str), it: &InEvent, open: &[Open], unit: DoseUnit) -> String {
    let mut quantities: Vec<&str> = Vec::new();
    for one in open.iter().map(|it| it.quantity.name()) {
        if !quantities.contains(&one) {
            quantities.push(one);
        }
    }
    let (first, last) = match (it.days.first(), it.days.last()) {
        (Some(first), Some(last)) => (first.to_string(), last.to_string()),
        _ => ("DATE".to_owned(), "DATE".to_owned()),
    };
    let mut words = format!(
        "It ends when each of these doses is determined ({}): wearbook determination enter \
         --worker {worker} --first-day {first} --last-day {last} --quantity {} --relation \
         replaces --dose DOSE --method METHOD --basis WHY --on DATE {by}; where it is \
         proven that there was no exposure: --dose \"{}\" --method \"no exposure\"",
        quantities.join(", "),
        quantities.first().copied().unwrap_or("deep"),
        Dose::ZERO.display(unit),
    );
    let deep = open.iter().any(|it| it.quantity == Quantity::Deep);
    let hand = open.iter().any(|it| it.quantity == Quantity::Extremity);
    match (deep && !it.unworn, hand) {
        (true, false) => words
            .push_str("; or when the result of the badge worn is accepted: wearbook badge accept"),
        (_, true) => words.push_str(
            "; or, for an extremity, when the result of a badge worn there is accepted: wearbook \
             badge accept",
        ),
        _ => {}
    }
    words.push('.');
    words
}

/// The question about lens and extremities of everybody in an event who is not stopped by it.
pub fn beside_question(
    rule_set: &RuleSet,
    (event, entry): (&str, i64),
    people: &[String],
    said_yes: bool,
) -> Option<Finding> {
    if people.is_empty() {
        return None;
    }
    let mut rule = rule_set.text_of(CheckKey::EventLensExtremity);
    let what = match said_yes {
        false => format!(
            "lens and extremities of {}: not recorded",
            people.join(", ")
        ),
        true => format!(
            "lens and extremities of {}: may be more than the badge shows, and not determined",
            people.join(", ")
        ),
    };
    rule.remedy = format!(
        "{} For all of them: wearbook report answer {event} lens-extremity no --because WHY.",
        rule.remedy
    );
    Some(Finding::new(Severity::Act, &rule, event, what, vec![entry]))
}

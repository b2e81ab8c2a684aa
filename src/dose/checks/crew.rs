//! Checks of the people on a sheet: who was there, and what they wore.

use crate::dose::checks::Found;
use crate::dose::checks::equipment::uncalibrated;
use crate::dose::checks::input::{Person, SheetFacts};
use crate::record::{Role, Setting, Words, Work};
use crate::rule::{CheckKey, RuleSet, Severity};

/// A shift on which the sheet says that the badge was not worn.
pub(super) fn badge_not_worn(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let without = sheet.people.iter();
    let without = without.filter(|person| person.badge_worn == Some(false));
    of_each(sheet, without, "the badge was not worn")
}

/// The same of each of some people.
fn of_each<'p>(
    sheet: &SheetFacts,
    people: impl Iterator<Item = &'p Person>,
    what: &str,
) -> Vec<Found> {
    people
        .map(|person| Found::of_person(Severity::Act, sheet, person, what.to_owned()))
        .collect()
}

/// Somebody at a source whom the rule set's ages keep from exposed work, or of whom it leaves open
/// whether they do.
pub(super) fn too_young(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let near = people_near_a_source(sheet);
    near.filter_map(|person| {
        let (severity, what) = person.too_young.clone()?;
        let mut found = Found::of_person(Severity::Act, sheet, person, what);
        found.severity = severity;
        Some(found)
    })
    .collect()
}

/// Radiography away from a permanent radiographic installation with only one qualified person.
///
/// One crew is a radiographer with a second radiographer or with a person who is qualified as an
/// assistant; two assistants are not. Who is what, the records of the day say and not the word in
/// the role: a certification in force makes a radiographer of anybody who is not there to look on,
/// and the qualification of an assistant the second of a crew, a trainee or somebody whose
/// certification has lapsed among them. Only where the ledger keeps no such records does the word
/// count: a radiographer, the RSO, an assistant.
pub(super) fn two_person(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    if sheet.work != Work::Radiography || sheet.setting != Setting::Temporary {
        return Vec::new();
    }
    let takes_part = |it: &&Person| works(it.role);
    let people = || sheet.people.iter().filter(takes_part);
    let radiographers = people().filter(|it| is_radiographer(it)).count();
    let qualified = people().filter(|it| is_second(it)).count();
    let lapsed = |it: &Person| acts(it) && it.certified == Some(false);
    let said = match (radiographers, qualified) {
        (0, _) if people().any(lapsed) => "no radiographer with a current certification",
        (0, _) => "no radiographer on the sheet",
        (_, 1) => "one radiographer, and no second qualified individual",
        _ => return Vec::new(),
    };
    let crew: Vec<String> = sheet
        .people
        .iter()
        .map(|person| {
            let without = match person.role {
                _ if is_second(person) => "",
                Role::Radiographer | Role::Rso => " without certification on record, not counted",
                Role::Assistant => " without qualification as an assistant on record, not counted",
                _ => "",
            };
            format!("{} {}{without}", person.worker, person.role.word())
        })
        .collect();
    let crew = if crew.is_empty() {
        "no one".to_string()
    } else {
        crew.join(", ")
    };
    vec![Found {
        severity: Severity::Act,
        subject: sheet.name(),
        what: format!("{}: {said} ({crew})", sheet.name()),
        entries: vec![sheet.entry],
    }]
}

/// Whether somebody acts as radiographer by the word of the sheet.
fn acts(person: &Person) -> bool {
    matches!(person.role, Role::Radiographer | Role::Rso)
}

fn is_radiographer(person: &Person) -> bool {
    person.certified.unwrap_or_else(|| acts(person))
}

/// Whether a person may be the second of a crew.
fn is_second(person: &Person) -> bool {
    let by_word = person.role == Role::Assistant;
    is_radiographer(person) || person.assistant.unwrap_or(by_word)
}

/// No alarm ratemeter away from a permanent radiographic installation.
pub(super) fn ratemeter_not_worn(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    if sheet.setting == Setting::Fixed {
        return Vec::new();
    }
    let without = people_near_a_source(sheet).filter(|it| it.ratemeter.is_none());
    of_each(sheet, without, "no alarm ratemeter worn")
}

/// A ratemeter whose alarm was not tested at the start of the shift.
pub(super) fn ratemeter_not_tested(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let mut found = Vec::new();
    for person in people_near_a_source(sheet) {
        let said = match (&person.ratemeter, person.alarm_tested) {
            (None, _) | (Some(_), Some(true)) => continue,
            (Some(meter), Some(false)) => {
                format!("the alarm of {} was not heard before use", meter.item.id)
            }
            (Some(meter), None) => {
                format!(
                    "the sheet does not say that the alarm of {} was heard before use",
                    meter.item.id
                )
            }
        };
        found.push(Found::of_person(Severity::Act, sheet, person, said));
    }
    found
}

/// A ratemeter that was worn out of date.
pub(super) fn ratemeter_calibration(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let worn = sheet
        .people
        .iter()
        .filter_map(|person| person.ratemeter.as_ref());
    let check = |meter| uncalibrated(sheet, rule_set, CheckKey::RatemeterCalibration, meter);
    worn.filter_map(check).collect()
}

/// Whether somebody of this role takes part in the work, and does not only look on.
fn works(role: Role) -> bool {
    !matches!(role, Role::Other | Role::Inspector)
}

/// Those who take part in work at a source. Carrying a closed device or
/// mending an empty one is none; a person in no role is there to look on.
fn people_near_a_source(sheet: &SheetFacts) -> impl Iterator<Item = &Person> {
    let near = matches!(
        sheet.work,
        Work::Radiography | Work::SourceExchange | Work::Retrieval
    );
    sheet
        .people
        .iter()
        .filter(move |person| near && works(person.role))
}

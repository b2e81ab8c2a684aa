//! Checks of direct-reading dosimeters and what they read.

use crate::dose::checks::Found;
use crate::dose::checks::equipment::out_of_date;
use crate::dose::checks::input::{LastEnd, Person, SheetFacts, WornDosimeter};
use crate::dose::input::Reading;
use crate::dose::shift::shown;
use crate::quantity::Dose;
use crate::record::{InstrumentType, Words, Work};
use crate::rule::{AppliesTo, LevelType, LevelWindow, RuleSet, Severity};

/// A pocket chamber that starts at or below this part of its range, in
/// permille, counts as recharged: its hairline need not stand at zero exactly.
/// Common practice, no source.
const NEAR_ZERO_PERMILLE: i128 = 100;

/// The range that is taken where it is not known: a pocket dosimeter's, zero
/// to 200 mrem (10 CFR 34.47(a)(1)).
const USUAL_RANGE: Dose = Dose::from_nsv(2_000_000);

/// A dosimeter found off-scale: a state, not a number. One that shows more than it can show was
/// off-scale too.
pub(super) fn off_scale(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    each_person(sheet, Severity::Stop, |person| {
        let off = |worn: &WornDosimeter| standing(worn).find(|it| it.off_scale).cloned();
        let off: Vec<String> = person
            .dosimeters
            .iter()
            .filter_map(off)
            .map(|it| it.off_words())
            .collect();
        (!off.is_empty()).then(|| format!("{}: the dose has no upper bound", off.join(" and ")))
    })
}

/// An electronic dosimeter strictly above the rule set's shift level. A
/// dosimeter that is not registered is taken for one.
pub(super) fn electronic_over_shift_limit(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let Some(level) = rule_set
        .levels
        .iter()
        .find(|level| level.kind == LevelType::Shift && level.applies_to == AppliesTo::Anyone)
    else {
        return Vec::new();
    };
    each_person(sheet, Severity::Stop, |person| {
        let over: Vec<String> = person
            .dosimeters
            .iter()
            .filter(|worn| worn.kind != Some(InstrumentType::Pocket))
            .filter_map(|worn| Some((worn, known(worn)?)))
            .filter(|(_, dose)| level.is_reached_by(*dose))
            .map(|(worn, dose)| format!("{} shows {}", worn.item.id, rule_set.print(dose)))
            .collect();
        (!over.is_empty()).then(|| {
            let limit = rule_set.print(level.dose);
            format!("{} on one shift, above {limit}", over.join(" and "))
        })
    })
}

/// A site's own level of one shift, on any dosimeter: the higher of two counts.
pub(super) fn shift_level(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let levels = rule_set
        .levels
        .iter()
        .filter(|level| level.window == LevelWindow::Shift)
        .filter(|level| level.applies_to != AppliesTo::Anyone);
    levels
        .flat_map(|level| {
            each_person(sheet, Severity::Act, |person| {
                let dose = person.dosimeters.iter().filter_map(known).max()?;
                level.is_reached_by(dose).then(|| {
                    let (got, of) = (rule_set.print(dose), rule_set.print(level.dose));
                    format!(
                        "{got} on one shift; {} is {of} ({})",
                        level.key,
                        level.cited()
                    )
                })
            })
        })
        .collect()
}

/// No reading at all, or one whose start or end was not taken.
pub(super) fn no_dosimeter(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let severity = match sheet.work {
        Work::Radiography | Work::SourceExchange | Work::Retrieval => Severity::Act,
        Work::Maintenance | Work::Transport => Severity::Watch,
    };
    each_person(sheet, severity, |person| {
        if person
            .dosimeters
            .iter()
            .all(|worn| standing(worn).next().is_none())
        {
            return Some("no dosimeter reading: the dose of the shift is undetermined".to_string());
        }
        let missing: Vec<String> = person
            .dosimeters
            .iter()
            .flat_map(|worn| standing(worn).map(move |reading| (worn, reading)))
            .filter(|(_, reading)| !reading.off_scale)
            .filter_map(|(worn, reading)| match (reading.start, reading.end) {
                (Some(_), Some(_)) => None,
                (None, Some(_)) => Some(format!("{} has no start reading", worn.item.id)),
                (Some(_), None) => Some(format!("{} has no end reading", worn.item.id)),
                (None, None) => Some(format!("{} has no start and no end reading", worn.item.id)),
            })
            .collect();
        (!missing.is_empty()).then(|| {
            format!(
                "{}: the dose of the shift is undetermined",
                missing.join(", ")
            )
        })
    })
}

/// A reading that waits for a disposition.
pub(super) fn held_item(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    each_person(sheet, Severity::Act, |person| {
        let held: Vec<String> = person
            .dosimeters
            .iter()
            .flat_map(|worn| worn.readings.iter().map(move |reading| (worn, reading)))
            .filter(|(_, reading)| reading.is_held())
            .map(|(worn, reading)| {
                let doubts: Vec<&str> = reading.held.iter().map(|doubt| doubt.word()).collect();
                format!(
                    "reading of {} is on hold: {}",
                    worn.item.id,
                    doubts.join(", ")
                )
            })
            .collect();
        (!held.is_empty()).then(|| held.join("; "))
    })
}

/// Two dosimeters of one person that differ beyond the rule set's tolerance.
pub(super) fn two_disagree(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let relative = rule_set
        .tolerance("two-dosimeters-relative")
        .and_then(|one| one.permille());
    let minimum = rule_set
        .tolerance("two-dosimeters-minimum")
        .and_then(|one| one.dose());
    let (Some(relative), Some(minimum)) = (relative, minimum) else {
        return Vec::new();
    };
    each_person(sheet, Severity::Act, |person| {
        let shown: Vec<(&WornDosimeter, Dose)> = person
            .dosimeters
            .iter()
            .filter(|worn| !standing(worn).any(|reading| reading.off_scale || reading.is_held()))
            .filter_map(|worn| Some((worn, known(worn)?)))
            .collect();
        let (low, least) = shown.iter().min_by_key(|(_, dose)| *dose)?;
        let (high, most) = shown.iter().max_by_key(|(_, dose)| *dose)?;
        let apart = most.checked_sub(*least).ok()?;
        let beyond = i128::from(apart.nsv()) * 1000 > i128::from(most.nsv()) * i128::from(relative);
        (beyond && apart > minimum).then(|| {
            format!(
                "{} shows {}, {} shows {}: the higher counts",
                high.item.id,
                rule_set.print(*most),
                low.item.id,
                rule_set.print(*least)
            )
        })
    })
}

/// A start that is neither the dosimeter's last end nor a fresh start: a
/// pocket chamber recharged to near zero, an electronic one reset to zero.
pub(super) fn start_not_last_end(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let mut found = Vec::new();
    for worn in sheet.people.iter().flat_map(|person| &person.dosimeters) {
        let first = standing(worn).min_by_key(|reading| reading.part);
        let start = first.and_then(|reading| reading.start);
        let (Some(start), Some(last)) = (start, &worn.last_end) else {
            continue;
        };
        let (from, to) = (
            last.end.as_dose_by_convention(),
            start.as_dose_by_convention(),
        );
        if from == to || is_fresh(worn, to) {
            continue;
        }
        let LastEnd {
            day, shift, end, ..
        } = last;
        found.push(Found {
            severity: Severity::Watch,
            subject: worn.item.id.clone(),
            what: format!(
                "{} starts at {start}; it ended at {end} on {day} {shift}",
                worn.item.id
            ),
            entries: vec![last.entry, sheet.entry],
        });
    }
    found
}

/// A pocket chamber of which the sheet says that it was not recharged for the shift. Of one that
/// is not registered nobody knows that it needs none.
pub(super) fn not_recharged(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    each_person(sheet, Severity::Act, |person| {
        let without = person.dosimeters.iter().filter(|worn| {
            worn.recharged == Some(false) && worn.kind != Some(InstrumentType::Electronic)
        });
        let ids: Vec<&str> = without.map(|worn| worn.item.id.as_str()).collect();
        (!ids.is_empty()).then(|| {
            format!(
                "{} not recharged at the start of the shift",
                ids.join(" and ")
            )
        })
    })
}

/// A dosimeter out of date, or failed, at its response check.
pub(super) fn response_check(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    sheet
        .people
        .iter()
        .flat_map(|person| &person.dosimeters)
        .filter_map(|worn| {
            let key = "dosimeter-response-check";
            out_of_date(
                sheet,
                rule_set,
                key,
                &worn.item.id,
                worn.response,
                "response check",
            )
        })
        .collect()
}

fn is_fresh(worn: &WornDosimeter, start: Dose) -> bool {
    match worn.kind {
        Some(InstrumentType::Electronic) => start == Dose::ZERO,
        _ => {
            let range = worn
                .range
                .map_or(USUAL_RANGE, |range| range.as_dose_by_convention());
            let near_zero = i128::from(range.nsv()) * NEAR_ZERO_PERMILLE;
            i128::from(start.nsv()) * 1000 <= near_zero
        }
    }
}

/// The readings of a dosimeter that nobody ruled out.
fn standing(worn: &WornDosimeter) -> impl Iterator<Item = &Reading> {
    worn.readings
        .iter()
        .filter(|reading| !reading.is_ruled_out())
}

/// What a dosimeter's parts show together; `None` where a part lacks an end,
/// runs backwards, or nothing was read.
fn known(worn: &WornDosimeter) -> Option<Dose> {
    let mut sum = None;
    for reading in standing(worn) {
        let part = shown(reading).ok()??;
        if part < Dose::ZERO {
            return None;
        }
        sum = Some(sum.unwrap_or(Dose::ZERO).checked_add(part).ok()?);
    }
    sum
}

/// One finding a person, about the sheet alone.
fn each_person(
    sheet: &SheetFacts,
    severity: Severity,
    say: impl Fn(&Person) -> Option<String>,
) -> Vec<Found> {
    let found =
        |person: &Person| say(person).map(|what| Found::of_person(severity, sheet, person, what));
    sheet.people.iter().filter_map(found).collect()
}

//! What a statement says in words: the standing of its figures, why they are what they are, which
//! days it covers, and what stands beside each item of the authority's form.

use crate::answer::{
    DosePart, EarlierDose, Gap, ItemStanding, NotCovered, Reason, StatementAnswer, StatementForm,
    StatementItem,
};
use crate::calendar::Day;
use crate::record::{Sex, Words};
use crate::rule::{FormItem, Quantity, Terms};
use crate::show::dose::account::under;

/// The word for what kind of figure it is.
pub(crate) fn standing(standing: ItemStanding) -> &'static str {
    match standing {
        ItemStanding::Record => "record",
        ItemStanding::Estimate => "estimate",
        ItemStanding::NoRecord => "no record",
        ItemStanding::NotAssessed => "not assessed",
        ItemStanding::NotMonitored => "not monitored",
    }
}

/// `2025-01-01 to 2025-02-28`, or the one day.
fn days(first: Day, last: Day) -> String {
    match first == last {
        true => first.to_string(),
        false => format!("{first} to {last}"),
    }
}

/// The days that are covered.
pub(crate) fn periods(answer: &StatementAnswer) -> String {
    let spans = answer.periods.iter();
    let spans: Vec<String> = spans.map(|it| days(it.first, it.last)).collect();
    match spans.is_empty() {
        true => "no day".to_owned(),
        false => spans.join(", "),
    }
}

fn gap(it: &Gap) -> String {
    let why = match it.why {
        NotCovered::BeforeMonitoring => "before monitoring began",
        NotCovered::NotMonitored => "not monitored",
        NotCovered::BeforeLedger => "before this ledger's first sheet",
    };
    format!("Not covered: {}, {why}.", days(it.first, it.last))
}

/// The word for a part of the deep dose.
pub(crate) fn part(part: DosePart) -> &'static str {
    match part {
        DosePart::OfRecord => "in this ledger, of record",
        DosePart::Provisional => "in this ledger, provisional",
        DosePart::Earlier => "earlier with this licensee",
        DosePart::Apportioned => "apportioned",
    }
}

fn earlier(it: &EarlierDose, terms: Terms) -> String {
    let not_stated = format!("{} not stated", terms.dose(Quantity::Deep));
    let dose = it.shown.as_deref().unwrap_or(&not_stated);
    let share = match it.cut {
        true => ", the share of these days in a longer period",
        false => "",
    };
    format!(
        "With this licensee before this ledger: {}, {dose}{share} (entry {}).",
        days(it.first, it.last),
        it.entry
    )
}

/// Why a figure is provisional.
fn reason(it: &Reason) -> String {
    match it {
        Reason::NoResult {
            badge,
            extremity,
            first,
            last,
            ..
        } => format!(
            "No result yet of badge {badge}, {}: {} for it.",
            days(*first, *last),
            stands_in(*extremity)
        ),
        Reason::NoResultToCome {
            badge,
            extremity,
            first,
            last,
        } => format!(
            "Badge {badge}, {}, is lost or damaged: {} until the RSO determines the dose.",
            days(*first, *last),
            stands_in(*extremity)
        ),
        Reason::ReadingsAlone {
            shifts,
            first,
            last,
        } => format!(
            "No badge result for {shifts} {} of {}: readings alone.",
            if *shifts == 1 { "shift" } else { "shifts" },
            days(*first, *last)
        ),
        Reason::Provisional {
            first,
            last,
            entry,
            words,
        } => format!(
            "Provisional, {}: {} (entry {entry}).",
            days(*first, *last),
            words.join("; ")
        ),
        Reason::Apportioned { entry, words, .. } => format!(
            "Apportioned until the RSO fixes the split, by a determination for the days of each \
             year in the place of entry {entry}; then it is record: {}.",
            words.first().map(String::as_str).unwrap_or_default()
        ),
        _ => waiting(it),
    }
}

/// What stands in for a badge without a result. No dosimeter on the trunk says anything of an
/// extremity.
fn stands_in(extremity: bool) -> &'static str {
    match extremity {
        true => "of an extremity, so no reading stands in",
        false => "readings stand in",
    }
}

/// What waits for somebody, and what explains a figure of record.
fn waiting(it: &Reason) -> String {
    match it {
        Reason::ReportHeld { .. } | Reason::Elsewhere { .. } | Reason::ReadingsHeld { .. } => {
            on_hold(it)
        }
        Reason::PartlyAssessed { code } => {
            format!("{code}: not assessed on some of the days.")
        }
        Reason::Open {
            day,
            undetermined: true,
            words,
        } => format!("Not resolved: {day}, {words}."),
        Reason::Open { day, words, .. } => format!("On hold: {day}, {words}."),
        Reason::Conflict { words } => words.clone(),
        Reason::ExposureAsDose => {
            "Readings in mR are counted as dose, which is a convention.".to_owned()
        }
        Reason::BelowMinimum {
            code,
            badges,
            first,
            last,
        } => {
            let which = match badges.as_slice() {
                [one] => format!("badge {one}"),
                more => format!("{} badges", more.len()),
            };
            format!(
                "Below the processor's minimum (reported as {code}), which counts as zero: {which} \
                 of {}.",
                days(*first, *last)
            )
        }
        Reason::NoResult { .. }
        | Reason::NoResultToCome { .. }
        | Reason::ReadingsAlone { .. }
        | Reason::Provisional { .. }
        | Reason::Apportioned { .. } => reason(it),
    }
}

/// What is on hold and in no figure.
fn on_hold(it: &Reason) -> String {
    match it {
        Reason::ReportHeld {
            badge,
            reported_on,
            entry,
            second,
        } => format!(
            "On hold and in no figure: the {}report of {reported_on} on {} (entry {entry}).",
            if *second { "second " } else { "" },
            match badge {
                Some(badge) => format!("badge {badge}"),
                None => "a badge that was never issued".to_owned(),
            }
        ),
        Reason::Elsewhere {
            badge,
            first,
            last,
            entry,
            reported,
        } => format!(
            "On hold and in no figure: badge {badge} of another employer, {}, over shifts of ours \
             (entry {entry}). It is not recorded whether it measured the same dose{}.",
            days(*first, *last),
            if *reported {
                ""
            } else {
                ", and it has no result yet"
            }
        ),
        Reason::ReadingsHeld {
            readings,
            day,
            entry,
        } => format!(
            "On hold and in no figure: {readings} {} of {day} (entry {entry}).",
            if *readings == 1 {
                "reading"
            } else {
                "readings"
            }
        ),
        _ => waiting(it),
    }
}

/// All that is said under the doses.
pub(crate) fn notes(answer: &StatementAnswer) -> Vec<String> {
    let mut found: Vec<String> = answer.gaps.iter().map(gap).collect();
    found.extend(answer.earlier.iter().map(|it| earlier(it, answer.terms)));
    if let Some(rule) = &answer.elsewhere {
        let rule = Some(rule.as_str()).filter(|it| !it.is_empty());
        found.push(format!(
            "Dose with another employer in this year is on record and not in this statement: it \
             counts against limits{}.",
            under(rule)
        ));
    }
    found.extend(answer.reasons.iter().map(reason));
    found.extend(answer.not_monitored.clone());
    found.extend(nothing_detected(answer));
    found
}

/// What the form's word for a dose of which nothing was detected means, where an item has it.
fn nothing_detected(answer: &StatementAnswer) -> Option<String> {
    let word = answer.form.as_ref()?.not_detected.as_ref()?;
    let has_it = answer.items.iter().any(is_not_detected);
    has_it.then(|| {
        format!(
            "{word} means monitored, nothing detected: no result reached the processor's minimum, \
             and it counts as zero (to be confirmed)."
        )
    })
}

/// A final dose of zero: it was measured, and no result reached the minimum.
fn is_not_detected(it: &StatementItem) -> bool {
    it.standing == ItemStanding::Record && it.nsv == Some(0)
}

/// What stands beside an item.
pub(crate) enum Cell {
    /// Words or a dose.
    Said(String),
    /// Somebody writes it in by hand.
    ByHand,
    /// All that is said under the doses.
    Notes,
}

/// A column of the form: routine exposure, or planned special exposures, which have their own.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Exposure {
    Routine,
    Special,
}

/// The columns that a statement fills in.
pub(crate) fn exposures(answer: &StatementAnswer) -> &'static [Exposure] {
    match answer.special.is_empty() {
        true => &[Exposure::Routine],
        false => &[Exposure::Routine, Exposure::Special],
    }
}

/// What is on file, or a line to write it on.
fn known(it: Option<impl ToString>) -> Cell {
    it.map_or(Cell::ByHand, |it| Cell::Said(it.to_string()))
}

/// What stands beside an item of the form.
pub(crate) fn cell(
    answer: &StatementAnswer,
    form: &StatementForm,
    exposure: Exposure,
    item: FormItem,
) -> Cell {
    let items = match exposure {
        Exposure::Routine => &answer.items,
        Exposure::Special => &answer.special,
    };
    let dose = |quantity: Quantity| {
        let found = StatementAnswer::item(items, quantity);
        Cell::Said(found.map_or_else(String::new, |it| figure(form, it)))
    };
    match item {
        FormItem::Name => Cell::Said(answer.name.clone()),
        FormItem::Identification => known(answer.identification.as_ref().map(|it| &it.number)),
        FormItem::IdentificationType => known(answer.identification.as_ref().map(|it| &it.kind)),
        FormItem::Sex => known(answer.sex.map(Sex::word)),
        FormItem::Signature => Cell::ByHand,
        FormItem::BirthDate => known(answer.birth_date),
        FormItem::Period => Cell::Said(periods(answer)),
        FormItem::Licensee => Cell::Said(answer.licensee.clone()),
        FormItem::License => Cell::Said(answer.license.clone()),
        FormItem::Standing => Cell::Said(standing(answer.standing()).to_owned()),
        FormItem::Exposure => Cell::Said(
            match exposure {
                Exposure::Routine => "routine",
                Exposure::Special => "PSE",
            }
            .to_owned(),
        ),
        FormItem::NoIntake => Cell::Said(String::new()),
        FormItem::Committed => Cell::Said(form.not_required.clone()),
        FormItem::EffectiveExternal | FormItem::Deep | FormItem::Total | FormItem::TotalOrgan => {
            dose(Quantity::Deep)
        }
        FormItem::Lens => dose(Quantity::Lens),
        FormItem::Shallow => dose(Quantity::Shallow),
        FormItem::Extremity => dose(Quantity::Extremity),
        FormItem::Comments => Cell::Notes,
    }
}

/// A dose as the form has it. An estimate is told from a record in each line.
fn figure(form: &StatementForm, it: &StatementItem) -> String {
    if let Some(word) = form.not_detected.as_ref().filter(|_| is_not_detected(it)) {
        return word.clone();
    }
    match it.standing {
        ItemStanding::Record | ItemStanding::NoRecord | ItemStanding::NotAssessed => {
            it.shown.clone()
        }
        ItemStanding::Estimate => format!("{}, estimate", it.shown),
        ItemStanding::NotMonitored => form.not_required.clone(),
    }
}

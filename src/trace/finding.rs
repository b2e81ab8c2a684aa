//! The finding of a trace in four sentences: what failed; which item could have shown it; when it
//! was last looked at and what that look said; what was known before.

use super::barrier::BarrierLine;
use super::check::{CheckLine, CheckWord, best};
use super::coverage::Covered;
use super::inspection::PastInspection;
use super::record::RecordWord;
use super::verdict::{FlagWord, Mark, Verdict};
use crate::calendar::Day;
use crate::record::{BarrierState, Coverage, Words};
use crate::rule::Standing;

/// One item with what the finding needs of it.
#[derive(Debug, Clone, Copy)]
pub struct Seen<'v> {
    /// The item.
    pub equipment: &'v str,
    /// The item's key.
    pub item: &'v str,
    /// The limit with its sense, where it measures.
    pub limit: Option<&'v str>,
    /// From when on the limit was to be foreseen: an estimate.
    pub foreseeable: Option<Day>,
    /// The verdict.
    pub verdict: &'v Verdict,
}

/// What the finding is made of.
#[derive(Debug, Clone)]
pub struct Told<'t> {
    /// What failed, each in words such as `the drive cable of CU-02 failed: disconnect`, in
    /// order; none where it is not known.
    pub failed: Vec<String>,
    /// Whether the last of them is what people did.
    pub is_human: bool,
    /// The items.
    pub rows: Vec<Seen<'t>>,
    /// That nothing looks for it.
    pub no_item: Option<&'t Covered>,
    /// The barriers.
    pub barriers: &'t [BarrierLine],
    /// What stands beside the list and could have shown it.
    pub beside: &'t [CheckLine],
    /// Pieces that were withdrawn and in the event all the same.
    pub out_of_service: &'t [String],
    /// How many people speak against the record.
    pub testimonies: usize,
}

/// How much a record word tells, the most first.
const TELLING: &[RecordWord] = &[
    RecordWord::KnownDefectUsed,
    RecordWord::PassedBeyondLimit,
    RecordWord::RequiredInspectionMissing,
    RecordWord::LeftOut,
    RecordWord::NotInspectedSince,
    RecordWord::OrderUnknown,
    RecordWord::Claimed,
    RecordWord::Passed,
    RecordWord::Inactive,
];

fn coverage(row: &Seen<'_>) -> Coverage {
    row.verdict.covered.coverage
}

/// The item that the finding is about: of those that could have shown it the one whose record
/// tells most, concluded ones first; else one that looks for it and found nothing yet.
pub fn lead<'r, 't>(rows: &'r [Seen<'t>]) -> Option<&'r Seen<'t>> {
    let rank = |it: &&Seen<'_>| {
        let word = it.verdict.record.word;
        let told = TELLING.iter().position(|it| *it == word);
        let warned = it
            .verdict
            .flags
            .iter()
            .any(|it| it.flag == FlagWord::WarningShown);
        (
            coverage(it) != Coverage::CanDetect,
            told,
            !it.verdict.covered.is_concluded(),
            !warned,
        )
    };
    let can = |it: &&Seen<'_>| matches!(coverage(it), Coverage::CanDetect | Coverage::AroseAfter);
    rows.iter().filter(can).min_by_key(rank)
}

/// The four sentences.
pub fn finding(told: &Told<'_>) -> Vec<String> {
    let lead = lead(&told.rows);
    let check = check_that_leads(told);
    vec![
        what_failed(told),
        match (lead, check) {
            (Some(row), _) => could_show(row, &told.rows),
            (None, Some(check)) => check_could(told, check),
            (None, None) => nothing_could(told),
        },
        match (lead, check) {
            (Some(row), _) => last_inspection(row),
            (None, Some(check)) => last_check(check),
            (None, None) if told.is_human || told.rows.is_empty() => barriers_stood(told),
            (None, None) => last_of_all(told),
        },
        known_before(told, lead),
    ]
}

/// What stands beside the list and leads where no item does: what could have shown it, or, where
/// no item and no barrier may have, what is not established.
fn check_that_leads<'t>(told: &Told<'t>) -> Option<&'t CheckLine> {
    let can = |it: &Covered| it.coverage == Coverage::CanDetect;
    let best = best(told.beside)?;
    let barrier = told.is_human
        && told
            .barriers
            .iter()
            .any(|it| it.covered.as_ref().is_some_and(can));
    let open = told
        .rows
        .iter()
        .any(|it| coverage(it) == Coverage::NotEstablished);
    match best.coverage {
        Coverage::CanDetect => !barrier,
        _ => !barrier && !open && told.no_item.is_none(),
    }
    .then_some(best)
}

/// Whether a check beside the list could have shown it, by which rule it is asked for.
fn check_could(told: &Told<'_>, check: &CheckLine) -> String {
    let rule = match &check.rule {
        Some(rule) => format!("asked for by {rule}"),
        None => "no rule of the rule set asks for it".to_owned(),
    };
    let what = format!("the {} of {} ({rule})", check.check.word(), check.equipment);
    let could = match check.coverage {
        Coverage::CanDetect => format!("{what} could have detected it"),
        _ => format!("whether {what} could have detected it is not established"),
    };
    match told.no_item {
        Some(none) => format!("No item covers this ({}); {could}.", by_whom(none)),
        None => sentence(&could),
    }
}

/// What the record shows of a check beside the list.
fn last_check(check: &CheckLine) -> String {
    let entry = check.entry.map(|it| format!(" (entry {it})"));
    let other = check.as_if_before.map(|it| {
        format!(
            "; if all had been before the event whose order is unknown: {}",
            it.word()
        )
    });
    sentence(&format!(
        "its record before: {}; last: {}{}{}",
        check.told,
        check.last,
        entry.unwrap_or_default(),
        other.unwrap_or_default()
    ))
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters
        .next()
        .map(|it| it.to_uppercase().chain(letters).collect::<String>());
    let text = first.unwrap_or_default();
    if text.ends_with('.') {
        text
    } else {
        format!("{text}.")
    }
}

fn what_failed(told: &Told<'_>) -> String {
    match told.failed.as_slice() {
        [] => "What failed is not known: say it with `event cause`.".to_owned(),
        [one] => sentence(one),
        [first, rest @ ..] => sentence(&format!("{first}; then {}", rest.join("; then "))),
    }
}

fn by_whom(covered: &Covered) -> String {
    match &covered.source {
        super::coverage::Source::Concluded { by, on, .. } => format!("{by} concluded on {on}"),
        super::coverage::Source::Checklist => {
            "by the list alone, the RSO has not concluded it".to_owned()
        }
    }
}

fn could_show(row: &Seen<'_>, rows: &[Seen<'_>]) -> String {
    let said = by_whom(&row.verdict.covered);
    let (item, equipment) = (row.item, row.equipment);
    if coverage(row) == Coverage::AroseAfter {
        return format!(
            "`{item}` of {equipment} covers it, and it arose after the last inspection ({said})."
        );
    }
    let others = rows
        .iter()
        .filter(|it| coverage(it) == Coverage::CanDetect)
        .count();
    let others = match others.saturating_sub(1) {
        0 => String::new(),
        1 => ", and one other item".to_owned(),
        count => format!(", and {count} other items"),
    };
    format!("`{item}` of {equipment} could have detected it ({said}){others}.")
}

fn nothing_could(told: &Told<'_>) -> String {
    if let Some(none) = told.no_item {
        return format!("No item covers this ({}).", by_whom(none));
    }
    if told.is_human || told.rows.is_empty() {
        let mut could: Vec<&str> = Vec::new();
        for it in told.barriers {
            let can = it
                .covered
                .as_ref()
                .is_some_and(|it| it.coverage == Coverage::CanDetect);
            if can && !could.contains(&it.barrier) {
                could.push(it.barrier);
            }
        }
        return match could.as_slice() {
            [] => "Whether a barrier could have detected it is not established.".to_owned(),
            could => format!(
                "No item covers this; {} could have detected it.",
                and(could)
            ),
        };
    }
    let of = |which: &dyn Fn(&Seen<'_>) -> bool| told.rows.iter().filter(|it| which(it)).count();
    let open = match of(&|it| coverage(it) == Coverage::NotEstablished) {
        0 => None,
        1 => Some("of one item it is not established".to_owned()),
        count => Some(format!("of {count} items it is not established")),
    };
    let out = match of(&|it| it.verdict.covered.is_concluded()) {
        0 => None,
        1 => Some("the RSO concluded that one item could not have shown it".to_owned()),
        count => Some(format!(
            "the RSO concluded that {count} items could not have shown it"
        )),
    };
    match (out, open) {
        (None, None) => "No item could have detected it.".to_owned(),
        (Some(out), None) => sentence(&out),
        (None, Some(open)) => sentence(&format!("what could have detected it is open: {open}")),
        (Some(out), Some(open)) => sentence(&format!("{out}; {open}")),
    }
}

fn and(words: &[&str]) -> String {
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// What is told of barriers where no item leads.
fn barriers_stood(told: &Told<'_>) -> String {
    let mut said: Vec<String> = Vec::new();
    for it in told.barriers {
        if let Some(state) = it.state {
            let entry = it
                .entry
                .map(|it| format!(" (entry {it})"))
                .unwrap_or_default();
            said.push(format!("{} {state}{entry}", it.barrier));
        }
    }
    match said.as_slice() {
        [] => "How the barriers held is not recorded.".to_owned(),
        said => sentence(&said.join(", ")),
    }
}

/// The last inspection that counts, of those before the event.
pub fn counted(verdict: &Verdict) -> Option<&PastInspection> {
    let counts = |mark| {
        matches!(
            mark,
            Mark::Counts
                | Mark::TakenAsBefore
                | Mark::AmendedAfter
                | Mark::VoidedAfter
                | Mark::ChangeUnplaced
        )
    };
    let seen = verdict.seen.iter().filter(|it| counts(it.mark));
    seen.map(|it| &it.inspection).next_back()
}

fn last_inspection(row: &Seen<'_>) -> String {
    let verdict = row.verdict;
    let told = counted(verdict).map(|it| said_of(it, row.limit));
    match (verdict.record.word, told) {
        (RecordWord::Claimed | RecordWord::OrderUnknown, told) => {
            let before = told.map_or_else(
                || "no inspection counts before the event".to_owned(),
                |told| format!("the last inspection that counts: {told}"),
            );
            sentence(&format!(
                "{before}; the one that was due is {}",
                match verdict.record.word {
                    RecordWord::Claimed => {
                        "on record only by an entry written after the event, and counts for nothing"
                    }
                    _ => "not surely from before the event, and counts neither for nor against",
                }
            ))
        }
        (RecordWord::RequiredInspectionMissing, told) => {
            let told = told.map_or_else(
                || "never inspected".to_owned(),
                |it| format!("last inspection: {it}"),
            );
            sentence(&format!("{}; {told}", verdict.record.because))
        }
        (_, Some(told)) => sentence(&format!("last inspection: {told}")),
        (_, None) => "It was not inspected before the event.".to_owned(),
    }
}

/// The last look at any item that is not ruled out, where none leads.
fn last_of_all(told: &Told<'_>) -> String {
    let open = |it: &&Seen<'_>| coverage(it) == Coverage::NotEstablished;
    let inspections = told.rows.iter().filter(open);
    let inspections = inspections.filter_map(|it| Some((it, counted(it.verdict)?)));
    match inspections.max_by_key(|(_, inspection)| inspection.order()) {
        Some((row, inspection)) => sentence(&format!(
            "last inspection of one of them, `{}` of {}: {}",
            row.item,
            row.equipment,
            said_of(inspection, row.limit)
        )),
        None => "No inspection of an item that could have detected it is on record from before."
            .to_owned(),
    }
}

/// One look with what its figure says against the limit.
fn said_of(inspection: &PastInspection, limit: Option<&str>) -> String {
    let left_out = if inspection.is_left_out() {
        ", skipped"
    } else {
        ""
    };
    let told = format!("{}{left_out}", inspection.told());
    let against = match (inspection.standing, limit) {
        (Some(standing), Some(limit)) => {
            let word = match standing {
                Standing::Good => "within",
                Standing::Warning => "at the warning mark of",
                Standing::Beyond => "PAST",
            };
            format!(", {word} the limit, {limit}")
        }
        (None, Some(limit)) if inspection.value.is_none() && inspection.is_done() => {
            format!(", no figure against the limit, {limit}")
        }
        _ => String::new(),
    };
    format!("{told}{against}")
}

/// What a check beside the list told before, or that it was asked for and not made.
fn checked_before(it: &CheckLine) -> Option<String> {
    let what = format!("the {} of {}", it.check.word(), it.equipment);
    match (it.record, &it.rule) {
        (CheckWord::Failed, _) => Some(format!("{what} had failed: {}", it.last)),
        (CheckWord::Overdue, Some(_)) => Some(format!("{what} was {}", it.told)),
        (CheckWord::Missing, Some(_)) => Some(format!("{what} was asked for: {}", it.last)),
        _ => None,
    }
}

fn known_before(told: &Told<'_>, lead: Option<&Seen<'_>>) -> String {
    let mut known: Vec<String> = Vec::new();
    for row in told
        .rows
        .iter()
        .filter(|it| coverage(it) == Coverage::CanDetect)
    {
        let item = row.item;
        if row.verdict.record.word == RecordWord::KnownDefectUsed {
            known.push(format!(
                "a written defect was {} ({item})",
                row.verdict.record.because
            ));
        }
        let perhaps = row.verdict.as_if_before.as_ref();
        if let Some(it) = perhaps.filter(|it| it.word == RecordWord::KnownDefectUsed) {
            known.push(format!(
                "perhaps a written defect, order unknown, {} ({item})",
                it.because
            ));
        }
        for it in &row.verdict.flags {
            match it.flag {
                FlagWord::WarningShown => {
                    known.push(format!(
                        "a warning was shown for `{item}` (entry {})",
                        it.entry
                    ));
                }
                FlagWord::TriggerLater => known.push(format!("{} was not known", it.what)),
                FlagWord::Testimony | FlagWord::Barrier => {}
            }
        }
    }
    let can = |it: &&CheckLine| it.coverage == Coverage::CanDetect;
    known.extend(told.beside.iter().filter(can).filter_map(checked_before));
    if let Some(day) = lead.and_then(|it| it.foreseeable) {
        known.push(format!(
            "the trend led to the limit from {day} on, an estimate"
        ));
    }
    known.extend(told.out_of_service.iter().cloned());
    let unheeded = Some(BarrierState::Unheeded.word());
    for it in told.barriers.iter().filter(|it| it.state == unheeded) {
        known.push(format!("the {} warned and no one acted", it.barrier));
    }
    match told.testimonies {
        0 => {}
        1 => known.push("the account goes beyond what the record shows".to_owned()),
        count => known.push(format!("{count} notes speak of more than the record shows")),
    }
    if known.is_empty() {
        return "Known before: no defect, no warning, nothing that called for an inspection."
            .to_owned();
    }
    sentence(&format!("known before: {}", known.join("; ")))
}

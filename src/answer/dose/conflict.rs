//! Results and determinations that contradict each other: what each says, what
//! counts meanwhile, and the command for each way out.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::names::Names;
use crate::calendar::{Day, Span};
use crate::dose::resolve::{Conflict, Dispute, Side, conflicts};
use crate::quantity::DoseUnit;
use crate::record::RecordId;
use crate::rule::Terms;

const ALL_DAYS: Span = Span {
    first: Span::OPEN_START,
    last: Span::OPEN_END,
};

/// The open conflicts of one person, over all of their days.
pub fn open_conflicts(
    house: &OpenHouse<'_>,
    worker: RecordId,
) -> Result<Vec<Conflict>, AnswerError> {
    let history = house.history(worker, ALL_DAYS)?;
    Ok(conflicts(&history)?)
}

/// Of the decisions between a person's records, the newest first, one without which conflicts
/// would be open that are asked for: its entry, and those conflicts.
pub fn settled_by(
    house: &OpenHouse<'_>,
    worker: RecordId,
    asked: impl Fn(&[Conflict]) -> Vec<Conflict>,
) -> Result<Option<(i64, Vec<Conflict>)>, AnswerError> {
    let history = house.history(worker, ALL_DAYS)?;
    let decisions = &history.facts.dosimetry.resolutions;
    let mut decisions: Vec<i64> = decisions.iter().map(|it| it.entry).collect();
    decisions.sort_unstable();
    for entry in decisions.into_iter().rev() {
        let mut without = history.clone();
        let all = &mut without.facts.dosimetry.resolutions;
        all.retain(|it| it.entry != entry);
        let found = asked(&conflicts(&without)?);
        if !found.is_empty() {
            return Ok(Some((entry, found)));
        }
    }
    Ok(None)
}

/// One open conflict in one quantity.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ConflictLine {
    /// The quantity.
    pub quantity: String,
    /// First day that it touches.
    pub first: Day,
    /// Last day; none while a badge is still worn.
    pub last: Option<Day>,
    /// The badge, where one is concerned.
    pub badge: Option<String>,
    /// What contradicts what, the first told first.
    pub sides: Vec<ConflictSide>,
    /// The same in one sentence.
    pub words: String,
    /// Each way out.
    pub outcomes: Vec<ConflictOutcome>,
}

/// One result or determination of a conflict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ConflictSide {
    /// Its entry.
    pub entry: i64,
    /// Result or determination.
    #[serde(rename = "type")]
    pub kind: String,
    /// Its dose, nanosievert.
    pub dose_nsv: i64,
    /// Its dose as people read it.
    pub dose: String,
}

/// One way out of a conflict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ConflictOutcome {
    /// What is of record then.
    pub words: String,
    /// The command for it.
    pub command: String,
}

/// Who decides about a person's dose, in the words of a command.
pub fn by_flags(names: &Names, worker: RecordId, on: Day) -> &'static str {
    crate::dose::input::by_flags(names.role_on(worker, on))
}

/// The open conflicts of a person that touch a span, for people.
pub(crate) fn conflict_lines(
    house: &House,
    conflicts: &[Conflict],
    (worker, on): (RecordId, Day),
    span: Span,
) -> Vec<ConflictLine> {
    let by = by_flags(&house.names, worker, on);
    let touching = conflicts.iter().filter(|it| it.days.overlaps(&span));
    touching
        .map(|it| line(it, by, (house.unit(), house.terms())))
        .collect()
}

fn line(it: &Conflict, by: &str, (unit, terms): (DoseUnit, Terms)) -> ConflictLine {
    let sides: Vec<ConflictSide> = it
        .sides
        .iter()
        .map(|side| ConflictSide {
            entry: side.entry,
            kind: type_of(side).to_owned(),
            dose_nsv: side.dose.nsv(),
            dose: side.dose.display(unit),
        })
        .collect();
    let last = (it.days.last != Span::OPEN_END).then_some(it.days.last);
    let said: Vec<String> = sides
        .iter()
        .map(|side| {
            format!(
                "the {} of entry {} has {}",
                side.kind, side.entry, side.dose
            )
        })
        .collect();
    let days = match last {
        Some(last) if last == it.days.first => format!("on {last}"),
        Some(last) => format!("from {} to {last}", it.days.first),
        None => format!("from {} on", it.days.first),
    };
    let meanwhile = match it.dispute {
        Dispute::ReadingsAboveResult => {
            "a shift has no upper bound, and the readings of the others leave nothing for it; \
             until the RSO resolves it the readings count"
        }
        _ => {
            "until the RSO resolves it the total keeps what was recorded first for those shifts, \
             and the conservative total takes the highest that all of them could make together"
        }
    };
    ConflictLine {
        quantity: it.quantity.name().to_owned(),
        first: it.days.first,
        last,
        badge: it.badge.clone(),
        words: format!(
            "{} {days}: {}; {meanwhile}",
            terms.dose(it.quantity),
            said.join(", ")
        ),
        sides,
        outcomes: outcomes(it, by),
    }
}

fn type_of(side: &Side) -> &'static str {
    match side.is_result {
        true => "result",
        false => "determination",
    }
}

fn outcomes(it: &Conflict, by: &str) -> Vec<ConflictOutcome> {
    if it.dispute == Dispute::ReadingsAboveResult {
        let accept = it.sides.iter().map(|side| ConflictOutcome {
            words: format!("the result of entry {} for all of its shifts", side.entry),
            command: format!("wearbook badge accept {} {by}", side.entry),
        });
        return accept.collect();
    }
    let mut found: Vec<ConflictOutcome> = it
        .sides
        .iter()
        .map(|side| ConflictOutcome {
            words: format!("the {} of entry {} alone", type_of(side), side.entry),
            command: format!(
                "wearbook dose resolve --of-record {} --reason WHY {by}",
                side.entry
            ),
        })
        .collect();
    for rest in it.sides.iter().filter(|side| side.of_all) {
        let others: Vec<String> = it
            .sides
            .iter()
            .filter(|other| other.entry != rest.entry && !(other.is_result && rest.is_result))
            .map(|other| other.entry.to_string())
            .collect();
        if others.is_empty() {
            continue;
        }
        let flags: Vec<String> = others
            .iter()
            .map(|it| format!("--of-record {it}"))
            .collect();
        found.push(ConflictOutcome {
            words: format!(
                "the {} of entry {} for the rest, and entry {} added",
                type_of(rest),
                rest.entry,
                others.join(", ")
            ),
            command: format!(
                "wearbook dose resolve {} --rest {} --reason WHY {by}",
                flags.join(" "),
                rest.entry
            ),
        });
    }
    found
}

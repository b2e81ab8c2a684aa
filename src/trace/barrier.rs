//! What stands between a source that is not home and a person: how each stood, and with a human
//! cause whether it could have shown or stopped it.

use serde::Serialize;

use super::coverage::{Covered, Source};
use crate::record::{Barrier, BarrierState, Coverage, HumanCause, Words};

/// The barriers that can be concluded on, by their words: those that notes tell of, the lock and
/// the boundary.
pub const BARRIERS: &[&str] = &[
    "mating check",
    "survey",
    "alarm ratemeter",
    "dosimeter",
    LOCK,
    BOUNDARY,
];

const LOCK: &str = "lock";
const BOUNDARY: &str = "boundary";

/// How one barrier stood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BarrierLine {
    /// Which.
    pub barrier: &'static str,
    /// With a human cause, whether it could have shown or stopped it.
    pub covered: Option<Covered>,
    /// How it stood; nothing where nobody wrote it.
    pub state: Option<&'static str>,
    /// In words.
    pub what: String,
    /// The entry that tells it.
    pub entry: Option<i64>,
}

/// One note on a barrier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarrierNote {
    /// Which.
    pub barrier: Barrier,
    /// How it stood.
    pub state: BarrierState,
    /// In words.
    pub words: String,
    /// The entry.
    pub entry: i64,
}

/// A human cause, which tells of a barrier too.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HumanFact {
    /// What people did or left out.
    pub human: HumanCause,
    /// What it rests on.
    pub because: String,
    /// The entry.
    pub entry: i64,
}

/// The barrier that was missing where people did this, and how it stood.
pub const fn missing(human: HumanCause) -> Option<(&'static str, BarrierState)> {
    match human {
        HumanCause::SurveyNotMade => Some(("survey", BarrierState::Absent)),
        HumanCause::LockNotUsed => Some((LOCK, BarrierState::Absent)),
        HumanCause::RatemeterOff => Some(("alarm ratemeter", BarrierState::Off)),
        HumanCause::BoundaryNotKept => Some((BOUNDARY, BarrierState::Absent)),
        HumanCause::ProcedureNotFollowed | HumanCause::Other => None,
    }
}

/// Whether a barrier could have shown or stopped what people did, until the RSO concludes it. The
/// one that was missing could have; a survey and a ratemeter stand in for each other. Of every
/// other nothing is established.
pub fn by_human(human: HumanCause, barrier: &str) -> Coverage {
    let own = missing(human).is_some_and(|(it, _)| it == barrier);
    let other = match human {
        HumanCause::SurveyNotMade => barrier == "alarm ratemeter",
        HumanCause::RatemeterOff | HumanCause::LockNotUsed => barrier == "survey",
        _ => false,
    };
    if own || other {
        Coverage::CanDetect
    } else {
        Coverage::NotEstablished
    }
}

/// The barriers, each note on one of them on a line, and a line for one without a note. A human
/// cause tells of the barrier that was missing, where no note does. `concluded` gives what the RSO
/// concluded on a barrier; lock and boundary stand there only where something is told of them.
pub fn barriers(
    notes: &[BarrierNote],
    humans: &[HumanFact],
    concluded: impl Fn(&str) -> Option<Covered>,
) -> Vec<BarrierLine> {
    let mut lines = Vec::new();
    for barrier in BARRIERS.iter().copied() {
        let covered = concluded(barrier).or_else(|| {
            let words = humans.iter().map(|it| by_human(it.human, barrier));
            let best = words.min_by_key(|it| *it != Coverage::CanDetect)?;
            Some(Covered {
                coverage: best,
                source: Source::Checklist,
            })
        });
        let line = |state: Option<BarrierState>, what: String, entry: Option<i64>| BarrierLine {
            barrier,
            covered: covered.clone(),
            state: state.map(Words::word),
            what,
            entry,
        };
        let before = lines.len();
        let told = notes.iter().filter(|it| it.barrier.stored() == barrier);
        lines.extend(told.map(|it| line(Some(it.state), it.words.clone(), Some(it.entry))));
        let mut human = humans
            .iter()
            .filter_map(|it| Some((it, missing(it.human)?)));
        if let Some((it, (_, state))) = human.find(|(_, (of, _))| *of == barrier)
            && lines.len() == before
        {
            lines.push(line(Some(state), it.because.clone(), Some(it.entry)));
        }
        let asked = Barrier::from_stored(barrier).is_some() || concluded(barrier).is_some();
        if lines.len() == before && asked {
            lines.push(line(None, "not recorded; ask".to_owned(), None));
        }
    }
    lines
}

//! One photo or paper, with what keeps it from being erased.

use serde::Serialize;

use super::evidence::{EvidenceDesk, EvidenceLine};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::sought::{NoSuchName, Sought};
use crate::answer::review::retention::evidence_held;
use crate::calendar::Day;
use crate::ledger::{CopyMade, Stored};
use crate::record::Evidence;

/// One photo or paper, with what keeps it and which copies have it.
#[derive(Debug, Clone, Serialize)]
pub struct OneEvidence {
    /// It.
    #[serde(flatten)]
    pub line: EvidenceLine,
    /// Why it cannot be erased now; none: nothing here holds it.
    pub held: Vec<String>,
    /// Other entries that keep the very same, each with what it goes with: an erasure takes it from
    /// them too.
    #[serde(skip)]
    pub shared: Vec<EvidenceLine>,
    /// Backups and exports that were made since.
    #[serde(skip)]
    pub copies: Vec<CopyMade>,
}

/// The evidence of an entry, any version of it.
///
/// # Errors
/// An entry of another kind, or one that was voided.
pub fn evidence_at(house: &OpenHouse<'_>, entry: i64, on: Day) -> Result<OneEvidence, AnswerError> {
    let desk = EvidenceDesk::load(house)?;
    let record = house.snapshot.entry(entry)?.record;
    let found = desk.all().find(|it| it.record == record);
    let Some(found) = found else {
        let near = desk.all().take(3).map(|it| it.entry.to_string());
        return Err(NoSuchName {
            what: Sought::Evidence,
            name: entry.to_string(),
            near: near.collect(),
        }
        .into());
    };
    let same = |it: &&Stored<Evidence>| it.record != record && it.body.digest == found.body.digest;
    let shared = desk.all().filter(same).map(|it| desk.line(house, it));
    Ok(OneEvidence {
        shared: shared.collect::<Result<_, _>>()?,
        line: desk.line(house, found)?,
        held: evidence_held(house, &found.body.digest, on)?,
        copies: house.snapshot.copies_since(found.record)?,
    })
}

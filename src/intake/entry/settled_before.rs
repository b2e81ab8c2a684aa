//! What was resolved before: the same once more, or entries of which nothing is open now.

use super::fault::IntakeError;
use crate::ledger::{Snapshot, Stored};
use crate::record::{Determination, OfRecord, Resolution, Version};

/// The resolution in force that says the same for the same reason.
pub(crate) fn written_before(
    snapshot: &Snapshot<'_>,
    what: Settled<'_>,
    reason: &str,
) -> Result<Option<Resolution>, IntakeError> {
    let results: Vec<i64> = match what {
        Settled::Badge { badge, .. } => {
            let number = badge.split('/').next().unwrap_or(badge);
            let wears = snapshot.wear_of_number(number)?;
            let results = wears.iter().flat_map(|it| &it.results);
            results.map(|it| it.entry).collect()
        }
        Settled::Entries { .. } => Vec::new(),
    };
    let same = |it: &Resolution| match what {
        Settled::Entries { of_record, rest } => {
            let mut stands: Vec<i64> = it.stands.iter().map(|it| it.entry).collect();
            stands.sort_unstable();
            let mut asked = of_record.to_vec();
            asked.sort_unstable();
            stands == asked && it.rest.map(|it| it.entry) == rest
        }
        Settled::Badge { which, .. } => {
            let is_result = |it: &Version| results.contains(&it.entry);
            let named = it.named().any(|(_, it)| is_result(&it));
            let stands = match which {
                Some(OfRecord::Result) => it.stands.iter().any(is_result),
                Some(OfRecord::Determination) => it.set_aside.iter().any(is_result),
                None => it.rest.as_ref().is_some_and(is_result),
            };
            named && stands
        }
    };
    let all = snapshot.all::<Resolution>()?;
    // What a later decision set aside is to be decided anew, and not there already.
    let overruled = |it: &Stored<Resolution>| {
        let later = all.iter().filter(|one| one.entry > it.entry);
        let aside = |one: &Version| it.body.stands.contains(one);
        later.flat_map(|it| &it.body.set_aside).any(aside)
    };
    let mut again = all.iter();
    let again = again.find(|it| it.body.reason == reason && same(&it.body) && !overruled(it));
    Ok(again.map(|it| it.body.clone()))
}

/// Why an entry can be of record in no open conflict, and what would be right.
pub(crate) fn nothing_to_settle(
    snapshot: &Snapshot<'_>,
    entry: i64,
    by: &str,
) -> Result<(String, String), IntakeError> {
    let newest = snapshot.newest(snapshot.entry(entry)?.record)?;
    if newest != entry {
        let in_force = snapshot.body(newest)?.is_some();
        return Ok(match in_force {
            true => (
                format!("was corrected: entry {newest} is in force"),
                format!("wearbook dose resolve --of-record {newest} --reason WHY {by}"),
            ),
            false => (
                format!("is void since entry {newest}"),
                format!("to reinstate it: wearbook entry reinstate {newest} --reason WHY"),
            ),
        });
    }
    let over = snapshot.all::<Determination>()?.into_iter();
    let mut over = over.filter(|it| it.body.supersedes.iter().any(|it| it.entry == entry));
    if let Some(over) = over.next() {
        let over = over.entry;
        return Ok((
            format!("is superseded by the determination of entry {over}"),
            format!("to take that back: wearbook entry void {over} --reason WHY"),
        ));
    }
    Ok((
        "contradicts nothing: there is nothing to resolve".to_owned(),
        format!(
            "an entry of an open conflict; to take a result alone from now on: wearbook badge \
             accept {entry} {by}"
        ),
    ))
}

/// What is of record.
#[derive(Debug, Clone, Copy)]
pub enum Settled<'a> {
    /// Results and determinations by their newest entries, and the one of them
    /// that speaks for the rest only.
    Entries {
        /// Those that stand for what they are about.
        of_record: &'a [i64],
        /// The one that stands for the shifts that they are not about.
        rest: Option<i64>,
    },
    /// Of what contradicts each other about one badge.
    Badge {
        /// Its number, or NUMBER/FIRST_DAY.
        badge: &'a str,
        /// The kind that is of record; both: the result for the rest.
        which: Option<OfRecord>,
    },
}

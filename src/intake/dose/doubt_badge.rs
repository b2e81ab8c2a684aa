//! What is possible but doubtful about a badge, a result or a source. It is written as it stands
//! and held until somebody rules on it.

use crate::answer::{Named, named, near, unusual};
use crate::intake::file::words::quoted;
use crate::ledger::{LedgerError, Snapshot, WearRow, Writer, Written};
use crate::quantity::{Dose, DoseUnit};
use crate::record::{
    Badge, BadgeResult, Body, Doubt, DoubtType, Equipment, EquipmentType, RecordId, Ref, Reported,
};

/// Appends a body with its doubts, or finds that the ledger says it already.
pub(crate) fn append_with_doubts(
    writer: &mut Writer<'_>,
    body: Body,
    transcribed: bool,
) -> Result<Written, LedgerError> {
    if let Some(already) = writer.find(&body)? {
        return Ok(already);
    }
    if let Body::BadgeResult(result) = &body
        && let Some(already) = said_as_a_spare(writer, result)?
    {
        return Ok(already);
    }
    let body = with_doubts(&writer.snapshot()?, body, None)?;
    writer.append_found_new(&body, transcribed)
}

/// A report that came before its badge was registered stands under the badge's number. The
/// same report again must not make a second dose of it.
fn said_as_a_spare(
    writer: &Writer<'_>,
    result: &BadgeResult,
) -> Result<Option<Written>, LedgerError> {
    let Some(badge) = result.badge.known() else {
        return Ok(None);
    };
    let Some(wear) = writer.snapshot()?.wear_of_record(badge.number())? else {
        return Ok(None);
    };
    for words in [wear.number.clone(), wear.name()] {
        let as_spare = BadgeResult {
            badge: Ref::Written(words),
            ..result.clone()
        };
        if let Some(already) = writer.find(&as_spare.into())? {
            return Ok(Some(already));
        }
    }
    Ok(None)
}

/// Looks a badge, a result or a source over, apart from `own` versions of it. Other bodies stay
/// as they are.
pub(crate) fn with_doubts(
    snapshot: &Snapshot<'_>,
    body: Body,
    own: Option<RecordId>,
) -> Result<Body, LedgerError> {
    Ok(match body {
        Body::Badge(mut badge) => {
            badge.held = of_badge(snapshot, &badge, own)?;
            Body::Badge(badge)
        }
        Body::BadgeResult(mut result) => {
            result.held = of_result(snapshot, &result, own)?;
            Body::BadgeResult(result)
        }
        Body::Equipment(mut item) => {
            item.held = of_source(&item);
            Body::Equipment(item)
        }
        other => other,
    })
}

fn doubt(kind: DoubtType, about: String, with: Option<RecordId>) -> Doubt {
    Doubt {
        about,
        part: None,
        person: None,
        reading: None,
        kind,
        with,
    }
}

/// A source whose activity or nuclide is none that a source for radiography has. The register
/// refuses a nuclide that does not exist.
fn of_source(item: &Equipment) -> Vec<Doubt> {
    let nuclide = item.nuclide.as_deref();
    let Some(name) = nuclide.filter(|_| item.kind == EquipmentType::Source) else {
        return Vec::new();
    };
    match (named(name), item.activity_bq) {
        (Named::Known(nuclide), Some(activity)) => unusual(nuclide, activity)
            .map(|it| {
                let about = format!("{} {}; {}", it.shown, it.what, it.meant);
                doubt(DoubtType::UnusualActivity, about, None)
            })
            .into_iter()
            .collect(),
        (Named::Other(known), _) => {
            let about = format!(
                "`{known}` is no source for radiography that is known here: no decay and no dose \
                 rate is computed of it"
            );
            vec![doubt(DoubtType::UnusualNuclide, about, None)]
        }
        _ => Vec::new(),
    }
}

/// Other wear periods that this one overlaps: of the same person and kind from the same
/// employer, or of the same number on anybody.
fn of_badge(
    snapshot: &Snapshot<'_>,
    badge: &Badge,
    own: Option<RecordId>,
) -> Result<Vec<Doubt>, LedgerError> {
    let mut others = snapshot.wear_of_number(&badge.badge)?;
    if let Some(worker) = badge.worker {
        let theirs = snapshot.wear_of_worker(worker.number(), badge.first_day, badge.last_day)?;
        let same = theirs
            .into_iter()
            .filter(|it| it.kind == badge.kind && it.employer == badge.employer);
        others.extend(same);
    }
    others.sort_by_key(|it| it.entry);
    others.dedup_by_key(|it| it.entry);
    let mine = match own {
        Some(own) => snapshot.wear_of_record(own)?,
        None => None,
    };
    let until = mine.map_or(badge.last_day, |it| it.worn_until().min(badge.last_day));
    Ok(others
        .iter()
        .filter(|it| Some(it.record) != own && overlap(badge, until, it))
        .map(|it| {
            let whose = match it.number.eq_ignore_ascii_case(&badge.badge) {
                true => "of the same number",
                false => "of the same person and kind",
            };
            let about = format!(
                "badge `{}` {whose} is worn from {} to {}",
                it.number,
                it.first_day,
                it.worn_until()
            );
            doubt(DoubtType::OverlappingWear, about, Some(it.record))
        })
        .collect())
}

/// An exchange on one day, the last of one badge and the first of the next, is no overlap.
fn overlap(badge: &Badge, until: crate::calendar::Day, other: &WearRow) -> bool {
    let both = badge.first_day < other.worn_until() && other.first_day < until;
    both || badge.first_day == other.first_day
}

fn of_result(
    snapshot: &Snapshot<'_>,
    result: &BadgeResult,
    own: Option<RecordId>,
) -> Result<Vec<Doubt>, LedgerError> {
    let mut found = under_minimum(result);
    let badge = match &result.badge {
        Ref::Known(badge) => *badge,
        Ref::Written(words) => {
            found.insert(0, unknown(snapshot, words)?);
            return Ok(found);
        }
    };
    let Some(wear) = snapshot.wear_of_record(badge.number())? else {
        return Ok(found);
    };
    let until = wear.worn_until();
    // A read on demand ends the period itself.
    if result.reported_on < until && !wear.on_demand {
        let about = format!(
            "the report is dated {}, before the wear period of badge `{}` ends on {until}; if it \
             came back early, record that (wearbook badge return), then let the result count \
             (wearbook hold resolve ITEM --counts)",
            result.reported_on, wear.number
        );
        found.push(doubt(DoubtType::BeforePeriodEnd, about, None));
    }
    for other in wear.results.iter().filter(|it| Some(it.record) != own) {
        let about = format!(
            "report `{}` (entry {}) has a result of badge `{}` from {} already",
            other.report, other.entry, wear.number, wear.first_day
        );
        found.push(doubt(DoubtType::SecondReport, about, Some(other.record)));
    }
    Ok(found)
}

/// Doses that are below the least that their own report can tell: a unit or a figure is wrong.
fn under_minimum(result: &BadgeResult) -> Vec<Doubt> {
    let values = [
        ("deep", &result.deep),
        ("lens", &result.lens),
        ("shallow", &result.shallow),
        ("extremity", &result.extremity),
    ];
    let low = values.into_iter().filter_map(|(name, value)| {
        let value = value.as_ref()?;
        Some((name, value, value.under_minimum()?))
    });
    let low: Vec<(&str, &Reported, Dose)> = low.collect();
    let Some((_, _, least)) = low.first() else {
        return Vec::new();
    };
    let named: Vec<String> = low
        .iter()
        .map(|(name, value, _)| format!("{name} `{}`", value.written))
        .collect();
    let about = format!(
        "{} below the report's own minimum of {}: ask the processor whether the dose or its unit \
         is wrong; then correct the result, or let it count",
        named.join(", "),
        least.display(DoseUnit::Millirem)
    );
    vec![doubt(DoubtType::BelowMinimum, about, None)]
}

fn unknown(snapshot: &Snapshot<'_>, words: &str) -> Result<Doubt, LedgerError> {
    let number = words.split('/').next().unwrap_or(words);
    let periods = snapshot.wear_of_number(number)?;
    let names = match periods.is_empty() {
        true => near(
            number,
            snapshot.numbers_like(number)?.iter().map(String::as_str),
        ),
        false => periods.iter().rev().take(3).map(WearRow::name).collect(),
    };
    let about = match names.as_slice() {
        [] => format!("the ledger knows no badge `{words}`"),
        names => format!(
            "the ledger knows no badge `{words}`; did you mean {}?",
            quoted(names)
        ),
    };
    Ok(doubt(DoubtType::UnknownBadge, about, None))
}

//! Who may decide: only the RSO or the RSO's designee, by the role records of that day
//! (10 CFR 34.47(d)), and never alone about a dose of their own.

use crate::answer::Names;
use crate::calendar::Day;
use crate::ledger::{LedgerError, Snapshot};
use crate::record::{Body, Id, Problem, RecordId, Role, Words};

/// What is wrong with who decides, for the bodies that decide something.
pub(crate) fn problems(
    snapshot: &Snapshot<'_>,
    names: &Names,
    body: &Body,
) -> Result<Vec<Problem>, LedgerError> {
    // Who says what is known of an event, and ends it, judges no dose.
    match body {
        Body::Conclusion(it) => {
            return Ok(decides(names, "performed_by", it.by.number(), it.on)
                .into_iter()
                .collect());
        }
        Body::Review(it) => {
            return Ok(decides(names, "performed_by", it.by.number(), it.on)
                .into_iter()
                .collect());
        }
        Body::EvidenceErasure(it) => {
            return Ok(decides(names, "performed_by", it.by.number(), it.on)
                .into_iter()
                .collect());
        }
        Body::EventEnd(it) => {
            return Ok(decides(names, "performed_by", it.by.number(), it.on)
                .into_iter()
                .collect());
        }
        _ => {}
    }
    let (by, second_by, on) = match body {
        Body::Determination(it) => (it.by, it.second_by, it.on),
        Body::Acceptance(it) => (it.by, it.second_by, it.on),
        Body::Settlement(it) => (it.by, it.second_by, it.on),
        Body::Resolution(it) => (it.by, it.second_by, it.on),
        _ => return Ok(Vec::new()),
    };
    let mut found: Vec<Problem> = decides(names, "performed_by", by.number(), on)
        .into_iter()
        .collect();
    // A dose that is nobody's is nobody's own.
    let whose = whose(snapshot, body)?.unwrap_or_default();
    let second_by = second_by.map(Id::number);
    found.extend(second(names, by.number(), second_by, whose, on));
    Ok(found)
}

/// Whose dose a decision is about.
pub(crate) fn whose(snapshot: &Snapshot<'_>, body: &Body) -> Result<Option<RecordId>, LedgerError> {
    let badge = match body {
        Body::Determination(it) => return Ok(Some(it.worker.number())),
        Body::Resolution(it) => return Ok(Some(it.worker.number())),
        Body::Settlement(it) => Some(it.badge),
        Body::Acceptance(it) => match snapshot.body(it.entry)? {
            Some(Body::BadgeResult(result)) => result.badge.known(),
            _ => None,
        },
        _ => None,
    };
    let Some(badge) = badge else { return Ok(None) };
    Ok(match snapshot.body(snapshot.newest(badge.number())?)? {
        Some(Body::Badge(badge)) => badge.worker.map(|it| it.number()),
        _ => None,
    })
}

fn role_words(role: Option<Role>, on: Day) -> String {
    match role {
        Some(role) => format!("is {} on {on}", role.word()),
        None => format!("has no role on {on}"),
    }
}

fn decides(names: &Names, field: &str, by: RecordId, on: Day) -> Option<Problem> {
    let role = names.role_on(by, on);
    let may = matches!(role, Some(Role::Rso | Role::RsoDesignee));
    (!may).then(|| {
        Problem::new(
            field,
            names.label(by),
            role_words(role, on),
            format!(
                "somebody who is rso or rso designee on that day; a change of role: wearbook \
                 worker role --worker {} --from {on} --role \"rso designee\"",
                names.label(by)
            ),
        )
    })
}

/// The second person of a dose of one's own: another who may judge it.
fn second(
    names: &Names,
    by: RecordId,
    second: Option<RecordId>,
    worker: RecordId,
    on: Day,
) -> Option<Problem> {
    const RIGHT: &str = "another rso, rso designee or radiographer who has examined it";
    let Some(second) = second else {
        let own = by == worker;
        return own.then(|| {
            Problem::new(
                "second_by",
                "",
                "is missing: no one decides alone about their own dose",
                format!("--second-by ID: {RIGHT}"),
            )
        });
    };
    if second == by || second == worker {
        let what = "is the one who decides, or whose dose it is";
        return Some(Problem::new("second_by", names.label(second), what, RIGHT));
    }
    let role = names.role_on(second, on);
    let may = matches!(
        role,
        Some(Role::Rso | Role::RsoDesignee | Role::Radiographer)
    );
    (!may).then(|| {
        Problem::new(
            "second_by",
            names.label(second),
            role_words(role, on),
            RIGHT,
        )
    })
}

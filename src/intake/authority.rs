//! Who may decide: only the RSO or the RSO's designee, by the role records of that day
//! (10 CFR 34.47(d)), and never alone about a dose of their own.

use crate::answer::Names;
use crate::calendar::Day;
use crate::record::{Body, Problem, RecordId, Role, Words};

/// What is wrong with who decides, for the bodies that decide something.
pub(super) fn problems(names: &Names, body: &Body) -> Vec<Problem> {
    match body {
        Body::Determination(it) => {
            let mut found: Vec<Problem> = decides(names, "by_worker", it.by, it.on)
                .into_iter()
                .collect();
            found.extend(second(names, it.by, it.second_by, it.worker, it.on));
            found
        }
        Body::Acceptance(it) => decides(names, "by_worker", it.by, it.on)
            .into_iter()
            .collect(),
        Body::Settlement(it) => decides(names, "by_worker", it.by, it.on)
            .into_iter()
            .collect(),
        _ => Vec::new(),
    }
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
            "somebody who is rso or rso designee on that day; a change of role: \
             wearbook worker role",
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
    const RIGHT: &str = "another rso, rso designee or radiographer who has looked at it";
    let Some(second) = second else {
        let own = by == worker;
        return own.then(|| {
            Problem::new(
                "second_by",
                "",
                "is missing: nobody determines a dose of their own alone",
                RIGHT,
            )
        });
    };
    if second == by || second == worker {
        let what = "is the one who determines it, or whose dose it is";
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

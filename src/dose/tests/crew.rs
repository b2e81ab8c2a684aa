//! Who makes a crew: by the word of the sheet, and by what is on record of each.

use super::checks::hold;
use super::sheet::{sheet, us};
use crate::dose::checks::sheet_findings;
use crate::record::{Role, Setting, Work};

/// 10 CFR 34.41(a).
#[test]
fn a_crew_is_a_radiographer_and_another_qualified_person() {
    hold(&[
        (
            "two radiographers",
            |s| s.people[1].role = Role::Radiographer,
            &[],
        ),
        (
            "the RSO and an assistant",
            |s| s.people[0].role = Role::Rso,
            &[],
        ),
        (
            "two assistants",
            |s| s.people[0].role = Role::Assistant,
            &["act two-person 2026-06-14 night"],
        ),
        (
            "a radiographer and a trainee",
            |s| s.people[1].role = Role::Trainee,
            &["act two-person 2026-06-14 night"],
        ),
        (
            "a radiographer alone",
            |s| s.people.truncate(1),
            &["act two-person 2026-06-14 night"],
        ),
        (
            "alone at a permanent radiographic installation",
            |s| {
                s.people.truncate(1);
                s.setting = Setting::Fixed;
            },
            &[],
        ),
        (
            "alone, carrying the device",
            |s| {
                s.people.truncate(1);
                s.work = Work::Transport;
            },
            &[],
        ),
    ]);
}

/// 10 CFR 34.41(a), 34.43(a), (c): by what is on record of each and not by the word of the role.
/// A row: role, certified and qualified as an assistant of both; what is found.
#[test]
fn a_crew_is_judged_by_who_is_qualified_and_not_by_the_word() {
    use Role::{Assistant, Other, Radiographer, Rso, RsoDesignee, Trainee};
    const YES: Option<bool> = Some(true);
    const NO: Option<bool> = Some(false);
    const BOTH: &str = "";
    const NONE: &str = "no radiographer";
    const ALONE: &str = "one radiographer, and no second qualified individual";
    type Of = (Role, Option<bool>, Option<bool>);
    let rows: [(Of, Of, &str); 20] = [
        // Where no such records are kept the word counts.
        ((Radiographer, None, None), (Assistant, None, None), BOTH),
        ((Radiographer, None, None), (Trainee, None, None), ALONE),
        ((RsoDesignee, None, None), (Assistant, None, None), NONE),
        // Certifications are kept, and nothing of assistants.
        ((Radiographer, YES, None), (Assistant, NO, None), BOTH),
        ((Radiographer, YES, None), (Radiographer, NO, None), ALONE),
        ((Radiographer, NO, None), (Assistant, NO, None), NONE),
        ((Rso, NO, None), (Radiographer, YES, None), ALONE),
        ((RsoDesignee, YES, None), (Assistant, NO, None), BOTH),
        // Both are kept: an assistant who is not qualified is nobody's second.
        ((Radiographer, YES, NO), (Assistant, NO, YES), BOTH),
        ((Radiographer, YES, NO), (Assistant, NO, NO), ALONE),
        ((Radiographer, YES, NO), (Radiographer, YES, NO), BOTH),
        // Whose certification lapsed is the second with the qualification of an assistant.
        ((Radiographer, YES, NO), (Radiographer, NO, YES), BOTH),
        ((Radiographer, YES, NO), (Radiographer, NO, NO), ALONE),
        ((Radiographer, NO, YES), (Assistant, NO, YES), NONE),
        // Two assistants, one of them certified by now.
        ((Assistant, NO, YES), (Assistant, NO, YES), NONE),
        ((Assistant, YES, YES), (Assistant, NO, YES), BOTH),
        // A trainee who has qualified, and one who has not.
        ((Radiographer, YES, NO), (Trainee, NO, YES), BOTH),
        ((Radiographer, YES, NO), (Trainee, NO, NO), ALONE),
        // Whoever is there to look on accompanies nobody.
        ((Radiographer, YES, NO), (Other, YES, YES), ALONE),
        ((Other, YES, NO), (Assistant, NO, YES), NONE),
    ];
    let us = us();
    for (one, other, wanted) in rows {
        let mut s = sheet();
        for (person, of) in s.people.iter_mut().zip([one, other]) {
            (person.role, person.certified, person.assistant) = of;
        }
        let found = sheet_findings(&s, &us, &us);
        let found: Vec<&str> = found
            .iter()
            .filter(|it| it.check == "two-person")
            .map(|it| it.what.as_str())
            .collect();
        match (wanted, found.as_slice()) {
            ("", []) => {}
            (_, [what]) => {
                assert!(
                    !wanted.is_empty() && what.contains(wanted),
                    "{one:?} {other:?}: {what}"
                );
            }
            _ => panic!("{one:?} {other:?}: {wanted}, {found:?}"),
        }
    }
}

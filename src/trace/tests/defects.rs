//! Which defects count as known when something was used, and what ends one.

use super::verdicts::check;
use super::{facts, own_list, uses};
use crate::trace::record::RecordWord::*;

#[test]
fn a_known_defect_is_not_a_look_that_let_it_through() {
    check(&[
        // Good again before the event, or returned to service: no longer known.
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly defect\nlook 2 2026-04-03 quarterly good 6_mm",
            Passed,
            None,
        ),
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly defect\nclear 2026-04-02",
            NotInspectedSince,
            None,
        ),
        // Measured again is not found good again.
        (
            "cable-diameter",
            "look 1 2026-04-01 quarterly defect\nlook 2 2026-04-03 quarterly measured 5.9_mm",
            KnownDefectUsed,
            None,
        ),
        // A crew's `good` of a later day repairs nothing; with what was done about it, it does.
        (
            "crank",
            "look 1 2026-05-18T07:00 daily defect\nlook 2 2026-05-19T07:00 daily good",
            KnownDefectUsed,
            None,
        ),
        (
            "crank",
            "look 1 2026-05-18T07:00 daily defect\nlook 2 2026-05-19T07:00 daily good repaired",
            RequiredInspectionMissing,
            None,
        ),
        // Good before the defect does not clear it.
        (
            "cable-diameter",
            "look 1 2026-03-01 quarterly good 6_mm\nlook 2 2026-04-03 quarterly defect",
            KnownDefectUsed,
            None,
        ),
        // Another part since.
        (
            "cable-diameter",
            "look 1 2026-03-30 quarterly defect\ninstalled 2026-04-02\n\
             look 2 2026-04-02 quarterly good 6_mm",
            Passed,
            None,
        ),
        // A return from before the defect.
        (
            "cable-diameter",
            "clear 2026-03-31\nlook 1 2026-04-01 quarterly defect",
            KnownDefectUsed,
            None,
        ),
        // A defect that was written down only afterwards was not known.
        (
            "cable-diameter",
            "look 1 2026-03-01 quarterly good 6_mm\nlate 2 2026-05-18 quarterly defect",
            Passed,
            Some(KnownDefectUsed),
        ),
    ]);
}

#[test]
fn a_defect_of_equipment_that_was_not_used_is_not_known_and_used() {
    let list = own_list();
    let item = list.item("cable-diameter").expect("an item");
    let text = "look 1 2026-05-18 quarterly defect";
    let used = uses("2026-05-18/20");
    let mut facts = facts(item, &used, text);
    assert_eq!(
        facts.judged().word,
        KnownDefectUsed,
        "in doubt it was in use"
    );
    facts.in_use = false;
    assert_eq!(
        facts.judged().word,
        NotInspectedSince,
        "the use of the day itself may have been before"
    );
    let later = uses("2026-05-18/20 2026-05-19/1");
    facts.uses = &later;
    assert_eq!(facts.judged().word, KnownDefectUsed);
}

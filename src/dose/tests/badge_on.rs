//! Whether a badge was on the person on a day.

use super::clearing::clear;
use crate::dose::work_status::*;

/// What became of a badge since does not change the day that is asked about.
#[test]
fn a_badge_was_on_the_person_up_to_the_day_on_which_it_was_handed_in() {
    // The badge; whether the day asked about, 15 June, is over; whether there was one.
    let rows: [(&str, bool, bool); 10] = [
        ("badge B1 2026-06-01 2026-06-30 returned", true, true),
        ("badge B1 2026-06-01 2026-06-30 returned", false, true),
        ("badge B1 2026-06-01 2026-06-30 sent", true, true),
        ("badge B1 2026-06-01 2026-06-15 returned", true, true),
        // It was handed in this morning.
        ("badge B1 2026-06-01 2026-06-15 returned", false, false),
        ("badge B1 2026-06-01 2026-06-14 returned", true, false),
        ("badge B1 2026-06-01 2026-06-16 lost", true, true),
        ("badge B1 2026-06-01 2026-06-15 lost", true, false),
        ("badge B1 2026-06-01 2026-06-15 damaged", true, false),
        ("badge B1 2026-06-16 -", true, false),
    ];
    for (line, day_is_over, has) in rows {
        let facts = WorkStatusFacts {
            needs_badge: true,
            day_is_over,
            ..WorkStatusFacts::default()
        };
        let found = clear(line, &facts).reasons;
        let none = |it: &Reason| matches!(it.cause, Cause::NoBadge | Cause::LostBadge);
        assert_eq!(!found.iter().any(none), has, "{line} {day_is_over}");
    }
}

//! Whether estimates that are used as evidence are right, over a few hundred invented parts and
//! people; the bench `coverage_evidence` has the whole tables.

#[path = "../bench/evidence.rs"]
mod evidence;

use super::dice;
use evidence::{Pair, people, percent, same, warned};

#[test]
fn a_part_that_does_not_wear_is_seldom_warned_of_and_one_that_does_always_before_its_limit() {
    for others in [0, 5] {
        let flat = warned(60, 4.0, 0.4, others, false);
        assert!(
            percent(flat.warned, flat.parts) <= 10.0,
            "{others}: {flat:?}"
        );
        assert_eq!(flat.foreseeable, 0, "{others}: {flat:?}");
        let worn = warned(60, 4.0, 0.4, others, true);
        assert!(
            percent(worn.warned, worn.parts) >= 95.0,
            "{others}: {worn:?}"
        );
        assert!(worn.foreseeable > worn.parts / 2, "{others}: {worn:?}");
    }
}

#[test]
fn people_whose_dosimeters_agree_are_seldom_said_to_differ_and_a_bias_is_found_in_a_year() {
    let agree = Pair {
        ratio: 1.0,
        between: 0.0,
        badge: 0.15,
        month: 60.0,
    };
    let told = people(100, agree, 36);
    assert!(percent(told.any, told.people) <= 10.0, "{told:?}");
    for ratio in [0.7, 1.43] {
        let told = people(60, Pair { ratio, ..agree }, 12);
        assert!(
            percent(told.at_last, told.people) >= 90.0,
            "{ratio}: {told:?}"
        );
    }
}

#[test]
fn a_stable_part_is_not_accused_and_a_copied_figure_is_where_the_gauge_can_tell() {
    for scatter in [0.1, 0.3, 0.5, 1.0] {
        let told = same(60, scatter, 24, 0);
        assert!(told <= 2, "{scatter}: {told} of 60");
    }
    assert!(same(60, 1.0, 24, 16) >= 54);
    // A coarse gauge repeats itself: what was copied cannot be told.
    assert_eq!(same(60, 0.1, 24, 16), 0);
}

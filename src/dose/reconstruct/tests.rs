//! Positions by hand, and figures that cannot be meant.

use super::*;
use crate::quantity::Activity;
use crate::source::constant::constant;

fn time(text: &str) -> TimeOfDay {
    crate::calendar::parse_time(text).unwrap()
}

fn length(text: &str) -> Length {
    Length::parse(text, None).unwrap()
}

fn at(what: &str, distance: &str, seconds: i64) -> Position {
    let distance = length(distance);
    Position {
        what: what.to_owned(),
        from: None,
        distance: Range {
            least: distance,
            most: distance,
        },
        seconds: Range {
            least: seconds,
            most: seconds,
        },
        shields: Vec::new(),
        part: BodyPart::WholeBody,
        rounded: false,
    }
}

fn timed(what: &str, from: &str, seconds: i64) -> Position {
    Position {
        from: Some(time(from)),
        ..at(what, "2 m", seconds)
    }
}

/// 1 mSv m2/(h Ci) at 1 Ci: an hour at a metre is 1 mSv.
fn plain() -> (Constant, Spread) {
    let constant = "1 mSv m2/(h Ci)".parse().unwrap();
    (constant, Spread::one(3.7e10))
}

fn dose_of(positions: &[Position]) -> Reconstruction {
    let (constant, activity) = plain();
    reconstruct(Nuclide::Ir192, &constant, activity, positions).unwrap()
}

#[test]
fn an_hour_at_a_metre_and_a_quarter_at_two() {
    let found = dose_of(&[at("one", "1 m", 3600), at("two", "2 m", 3600)]);
    let nsv: Vec<i64> = found
        .positions
        .iter()
        .map(|it| it.dose.central.nsv())
        .collect();
    assert_eq!(nsv, [1_000_000, 250_000]);
    assert_eq!(found.whole_body.unwrap().central.nsv(), 1_250_000);
    assert_eq!(found.hand, None);
}

#[test]
fn what_was_remembered_as_a_range_widens_the_estimate_both_ways() {
    let mut it = at("one", "1 m", 3600);
    it.distance.most = length("2 m");
    it.seconds.most = 7200;
    let found = dose_of(&[it]).whole_body.unwrap();
    // Farthest and shortest; nearest and longest.
    assert_eq!(found.low.nsv(), 250_000);
    assert_eq!(found.high.nsv(), 2_000_000);
    // 1.5 h at the geometric middle, the square root of 2 m: walked at constant speed from 1 m to
    // 2 m, the mean of 1/d^2 is 1/(1 m x 2 m).
    assert_eq!(found.central.nsv(), 750_000);
}

#[test]
fn the_hand_receives_what_the_body_receives_and_its_own() {
    let mut hand = at("hand", "50 cm", 60);
    hand.part = BodyPart::Hand;
    let found = dose_of(&[at("one", "1 m", 3600), hand.clone()]);
    assert_eq!(found.whole_body.unwrap().central.nsv(), 1_000_000);
    assert_eq!(found.hand.unwrap().central.nsv(), 1_066_667);
    let alone = dose_of(&[hand]);
    assert_eq!(
        alone.whole_body, None,
        "no position is about it: never zero"
    );
}

#[test]
fn a_shield_uses_the_thick_layer_for_the_high_side_and_the_thin_one_for_the_low() {
    let mut it = at("one", "1 m", 3600);
    it.shields = vec![Shield::Of(Material::Lead, length("6.1 mm"))];
    let found = dose_of(std::slice::from_ref(&it)).whole_body.unwrap();
    assert_eq!(found.high.nsv(), 500_000);
    // 2^-(6.1/5.5) = 0.46358.
    assert_eq!(found.low.nsv() / 100, 4_635);
    it.shields = vec![Shield::Layers(1_500), Shield::Layers(500)];
    let found = dose_of(&[it]).whole_body.unwrap();
    assert_eq!((found.low.nsv(), found.high.nsv()), (250_000, 250_000));
}

#[test]
fn the_default_constant_spreads_no_more_than_two_per_cent_for_iridium() {
    let constant = constant(Nuclide::Ir192, "ambient").unwrap();
    let found = reconstruct(
        Nuclide::Ir192,
        &constant,
        Spread::one(1e12),
        &[at("one", "1 m", 3600)],
    );
    let found = found.unwrap().whole_body.unwrap();
    assert!(found.high.nsv() < found.low.nsv() / 100 * 102);
}

#[test]
fn gaps_and_overlaps_are_said_also_over_midnight() {
    for (rows, wanted) in [
        (vec![timed("a", "10:00", 120), timed("b", "10:02", 60)], ""),
        (
            vec![timed("a", "10:00", 120), timed("b", "10:01", 60)],
            "overlap by 1 min",
        ),
        (
            vec![timed("a", "10:00", 120), timed("b", "10:05", 60)],
            "3 min are not accounted for",
        ),
        (vec![timed("a", "23:59", 120), timed("b", "00:01", 60)], ""),
        (
            vec![timed("a", "23:59", 60), timed("b", "00:01", 60)],
            "1 min are not accounted for",
        ),
        (
            vec![timed("a", "10:05", 60), timed("b", "10:00", 60)],
            "begins before",
        ),
        (
            vec![
                timed("a", "10:00", 60),
                at("?", "1 m", 1),
                timed("b", "12:00", 60),
            ],
            "",
        ),
    ] {
        let said = gaps_and_overlaps(&rows).join("; ");
        match wanted {
            "" => assert_eq!(said, "", "{rows:?}"),
            wanted => assert!(said.contains(wanted), "{said}"),
        }
    }
}

#[test]
fn a_hand_and_a_body_at_the_same_time_do_not_overlap() {
    let mut hand = timed("hand", "10:00", 60);
    hand.part = BodyPart::Hand;
    let said = gaps_and_overlaps(&[timed("body", "10:00", 60), hand]);
    assert!(said.is_empty(), "{said:?}");
}

#[test]
fn figures_that_cannot_be_meant_are_found_and_near_misses_are_not() {
    for (position, wanted) in [
        (at("a", "0 m", 60), "no distance"),
        (at("a", "9 mm", 60), "nearer than 1 cm"),
        (at("a", "1 cm", 60), ""),
        (at("a", "1000 m", 60), ""),
        (at("a", "1001 m", 60), "more than 1 km"),
        (at("a", "2 m", 0), "no time"),
        (at("a", "2 m", 86_400), ""),
        (at("a", "2 m", 86_401), "more than a day"),
    ] {
        let said: Vec<String> = position_slips(std::slice::from_ref(&position))
            .into_iter()
            .map(|it| it.what)
            .collect();
        let said = said.join("; ");
        match wanted {
            "" => assert_eq!(said, "", "{position:?}"),
            wanted => assert!(said.contains(wanted), "{said}"),
        }
    }
}

#[test]
fn a_shield_of_more_than_twenty_layers_is_refused() {
    let lead = |mm: &str| shield_slips(Nuclide::Ir192, &[Shield::Of(Material::Lead, length(mm))]);
    assert!(lead("122 mm").is_empty());
    assert_eq!(lead("123 mm").len(), 1);
    let slips = shield_slips(
        Nuclide::Cs137,
        &[Shield::Of(Material::Tungsten, length("1 mm"))],
    );
    assert!(
        slips[0].right.contains("lead, steel, concrete"),
        "{slips:?}"
    );
}

/// The mean rate over a walk from 1 m to 9 m is that at 3 m, and not that at 5 m: the walk cut into
/// many short stays gives the same.
#[test]
fn a_walk_between_two_distances_has_the_rate_at_their_geometric_middle() {
    let (constant, _) = plain();
    let nsv = |near: f64, far: f64| {
        let nm = |metres: f64| Length::from_nm((metres * 1e9).round() as i64);
        let distance = Range {
            least: nm(near),
            most: nm(far),
        };
        let seconds = Range {
            least: 60,
            most: 60,
        };
        let one = Spread::one(1.0);
        nsv_at(&constant, Spread::one(1e12), distance, seconds, one).central
    };
    let parts = 8_000;
    let at = |n: i32| 1.0 + 8.0 * (f64::from(n) + 0.5) / f64::from(parts);
    let walked: f64 = (0..parts).map(|n| nsv(at(n), at(n))).sum::<f64>() / f64::from(parts);
    let ranged = nsv(1.0, 9.0);
    assert!(
        (ranged / walked - 1.0).abs() < 1e-6,
        "{ranged} and {walked}"
    );
    assert!((ranged / nsv(3.0, 3.0) - 1.0).abs() < 1e-9);
}

#[test]
fn slips_of_a_thousand_are_found() {
    let activity = |text: &str| Activity::parse(text, None).unwrap();
    for (text, caught) in [
        ("85 Ci", false),
        ("1.5 TBq", false),
        ("1.5 GBq", true),
        ("1500 TBq", true),
        ("85 mCi", true),
        ("60 GBq", true),
        ("1 Ci", true),
        ("10 Ci", false),
        ("1000 Ci", false),
    ] {
        assert_eq!(
            activity_slip(Nuclide::Ir192, activity(text)).is_some(),
            caught,
            "{text}"
        );
    }
    let could = activity("50 Ci");
    for (text, caught) in [
        ("55 Ci", false),
        ("56 Ci", true),
        ("24 Ci", true),
        ("25 Ci", false),
        ("60 GBq", true),
        ("1.85 TBq", false),
    ] {
        let found = source_activity_slip(activity(text), could, false);
        assert_eq!(found.is_some(), caught, "{text}");
        // What is meant may be lower, but not more than decay leaves.
        let meant = source_activity_slip(activity(text), could, true);
        assert_eq!(meant.is_some(), text == "56 Ci", "{text}");
    }
    for (text, right) in [
        ("0.48 R m2/(h Ci)", ""),
        ("0.592 rem m2/(h Ci)", ""),
        ("0.48 mR m2/(h Ci)", "thousand"),
        ("130 mSv m2/(h GBq)", "thousand"),
        ("5.2 R m2/(h Ci)", "in use for Ir-192"),
        ("5.2 R ft2/(h Ci)", ""),
    ] {
        let found = constant_slip(Nuclide::Ir192, &text.parse().unwrap());
        match right {
            "" => assert_eq!(found, None, "{text}"),
            right => assert!(found.unwrap().right.contains(right), "{text}"),
        }
    }
}

#[test]
fn the_high_figure_is_rounded_up_and_the_low_one_down() {
    let (constant, _) = plain();
    let found = reconstruct(
        Nuclide::Ir192,
        &constant,
        Spread::one(3.7e10 / 3.0),
        &[at("one", "1 m", 3600)],
    );
    let dose = found.unwrap().whole_body.unwrap();
    assert_eq!((dose.low.nsv(), dose.high.nsv()), (333_333, 333_334));
}

#[test]
fn near_positions_thick_shields_and_large_doses_are_remarked_on() {
    let said = |it: Position| {
        let found = dose_of(std::slice::from_ref(&it));
        remarks(Nuclide::Ir192, &[it], &found).join("; ")
    };
    assert_eq!(said(at("a", "10 cm", 60)), "");
    assert!(said(at("a", "9 cm", 60)).contains("nearer than 10 cm"));
    let mut thick = at("a", "1 m", 60);
    thick.shields = vec![Shield::Layers(13_000)];
    assert!(said(thick).contains("12 half-value layers"));
    assert!(said(at("a", "10 cm", 50_000)).contains("more than 1 Sv"));
}

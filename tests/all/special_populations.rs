//! Minors, apprentices, declared pregnancies, missing quarters and authorizations: the built-in
//! rule sets against the numbers of the provisions that each test names.

use wearbook::calendar::{Interval, Window};
use wearbook::quantity::Dose;
use wearbook::rule::{
    AppliesTo, Level, LevelType, Quantity, RuleSet, Status, WorkerFacts, builtin, offer,
};

fn rule_set(name: &str) -> RuleSet {
    RuleSet::parse(offer(name).unwrap().text).unwrap()
}

#[test]
fn a_minor_has_a_tenth_of_each_adult_limit() {
    // 10 CFR 20.1207.
    let us = rule_set("10 CFR");
    let adults = us.levels_of(AppliesTo::Adult, &[]);
    for adult in adults.filter(|level| level.kind == LevelType::Limit) {
        let minor = us.level(&format!("minor-{}", adult.key)).unwrap();
        assert_eq!(minor.dose.checked_mul(10), Ok(adult.dose), "{}", adult.key);
        assert_eq!(minor.window, adult.window);
    }
}

#[test]
fn the_pregnancy_budget_is_fixed_at_declaration() {
    // 10 CFR 20.1208(a), (d): dose before declaration, dose left from then on, both in rem.
    let us = rule_set("10 CFR");
    let rule = us.pregnancy.as_ref().unwrap();
    assert_eq!(rule.window, Window::EntirePregnancy);
    let table = "
        0      0.500
        0.100  0.400
        0.449  0.051
        0.450  0.050
        0.470  0.050
        0.500  0.050
        0.600  0.050
    ";
    for row in table.lines().filter(|line| !line.trim().is_empty()) {
        let mut doses = row.split_whitespace();
        let mut next = || Dose::parse(&format!("{} rem", doses.next().unwrap()), None).unwrap();
        let (before, left) = (next(), next());
        assert_eq!(rule.budget(before), Ok(left), "{row}");
    }
}

#[test]
fn from_the_notification_on_the_whole_budget_is_left_whatever_was_before() {
    for (name, millisievert) in [("Canada", 4), ("EU", 1), ("IAEA", 1)] {
        let rule_set = rule_set(name);
        let rule = rule_set.pregnancy.as_ref().unwrap();
        let total = Dose::from_nsv(millisievert * 1_000_000);
        assert_eq!(rule.window, Window::RestOfPregnancy);
        assert_eq!(rule.budget(Dose::ZERO), Ok(total), "{name}");
        assert_eq!(rule.budget(Dose::from_nsv(9_000_000)), Ok(total), "{name}");
    }
}

#[test]
fn each_missing_quarter_takes_a_quarter_of_each_limit() {
    // 10 CFR 20.2104(e), HPPOS Q55: key, quarters, cut in rem.
    let us = rule_set("10 CFR");
    let table = "
        deep-year             1  1.25
        lens-year             1  3.75
        shallow-year          1  12.5
        extremity-year        1  12.5
        deep-year             0  0
        deep-year             3  3.75
        deep-year             4  5
        deep-year             9  5
        minor-deep-year       1  0.125
        pregnancy             1  0
        other-deep-year       2  0
    ";
    for row in table.lines().filter(|line| !line.trim().is_empty()) {
        let cells: Vec<&str> = row.split_whitespace().collect();
        let level = us.level(cells[0]).unwrap();
        let cut = us.missing_quarter_cut(level, cells[1].parse().unwrap());
        let wanted = Dose::parse(&format!("{} rem", cells[2]), None).unwrap();
        assert_eq!(cut, Ok(wanted), "{row}");
    }
}

#[test]
fn one_missing_quarter_and_a_prior_dose_leave_2_65_rem() {
    // 1.10 rem elsewhere this year, one quarter without records: 5 - 1.10 - 1.25.
    let us = rule_set("10 CFR");
    let level = us.level("deep-year").unwrap();
    let rem = |text: &str| Dose::parse(text, None).unwrap();
    let left = level.dose.checked_sub(rem("1.10 rem")).unwrap();
    let left = left.checked_sub(us.missing_quarter_cut(level, 1).unwrap());
    assert_eq!(left, Ok(rem("2.65 rem")));
}

#[test]
fn an_electronic_dosimeter_stops_its_wearer_strictly_above_200_mrem() {
    // 10 CFR 34.47(d): greater than 2 mSv (200 mrem).
    for offer in builtin() {
        let rule_set = rule_set(offer.name);
        let level = rule_set.level("shift-electronic").unwrap();
        let mrem = |count: i64| Dose::from_nsv(count * 10_000);
        assert!(!level.is_reached_by(mrem(200)), "{}", offer.name);
        assert!(level.is_reached_by(Dose::from_nsv(2_000_001)));
        assert!(level.is_reached_by(mrem(201)));
        for who in [AppliesTo::Adult, AppliesTo::Minor, AppliesTo::Other] {
            assert!(rule_set.levels_of(who, &[]).any(|one| one.key == level.key));
        }
    }
}

#[test]
fn a_limit_is_kept_with_exactly_its_dose() {
    let us = rule_set("10 CFR");
    let level = us.level("deep-year").unwrap();
    assert!(!level.is_reached_by(level.dose));
    assert!(level.is_reached_by(level.dose.checked_add(Dose::from_nsv(1)).unwrap()));
}

#[test]
fn without_an_authorization_20_msv_hold_in_any_single_year() {
    for name in ["EU", "IAEA"] {
        let rule_set = rule_set(name);
        let keys = |authorized: &[&str]| -> Vec<String> {
            rule_set
                .levels_of(AppliesTo::Adult, authorized)
                .filter(|level| level.quantity == Quantity::Deep)
                .filter(|level| level.kind == LevelType::Limit)
                .map(|level| level.key.clone())
                .collect()
        };
        assert_eq!(keys(&[]), ["deep-year", "deep-five-years"], "{name}");
        let authorized = keys(&["deep-year-authorized"]);
        assert_eq!(
            authorized,
            ["deep-year-authorized", "deep-five-years"],
            "{name}"
        );
    }
}

#[test]
fn each_person_has_the_levels_of_the_own_people() {
    // rule set, under 18, apprentice, radiation worker, levels.
    let table = "
        10 CFR  no   no   yes  adult
        10 CFR  yes  no   yes  minor
        10 CFR  yes  yes  yes  minor
        10 CFR  no   yes  yes  adult
        10 CFR  no   no   no   other
        10 CFR  yes  no   no   other
        EU      yes  yes  yes  apprentice
        EU      no   yes  yes  adult
        EU      yes  no   yes  minor
        IAEA    yes  yes  yes  apprentice
        Canada  yes  yes  yes  minor
        Canada  no   no   yes  adult
    ";
    for row in table.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let cells: Vec<&str> = row
            .split("  ")
            .map(str::trim)
            .filter(|c| !c.is_empty())
            .collect();
        let facts = WorkerFacts {
            under_18: cells[1] == "yes",
            apprentice: cells[2] == "yes",
            exposed: cells[3] == "yes",
        };
        let rule_set = rule_set(cells[0]);
        let who = rule_set.population(facts);
        assert_eq!(who.name(), cells[4], "{row}");
        let has_limit =
            |level: &Level| level.kind == LevelType::Limit && level.quantity == Quantity::Deep;
        assert!(
            rule_set.levels_of(who, &[]).any(has_limit),
            "no whole-body limit: {row}"
        );
    }
}

#[test]
fn a_declared_pregnancy_adds_its_own_levels_only() {
    let us = rule_set("10 CFR");
    let own: Vec<&str> = us
        .levels_of(AppliesTo::DeclaredPregnancy, &[])
        .map(|level| level.key.as_str())
        .collect();
    assert_eq!(own, ["pregnancy"]);
}

#[test]
fn intervals_are_of_the_kind_that_the_rule_has() {
    let us = rule_set("10 CFR");
    let table = [
        ("meter-calibration", Interval::NotToExceedMonths(6)), // 34.25(b)(1)
        ("dosimeter-response-check", Interval::NotToExceedMonths(12)), // 34.47(c)
        ("ratemeter-calibration", Interval::NotToExceedMonths(12)), // 34.47(g)(4)
        ("ratemeter-alarm-check", Interval::EachShift),        // 34.47(g)(1)
        ("daily-check", Interval::BeforeUseEachDay),           // 34.31(a)
        ("inventory", Interval::OnceEachQuarter),              // 34.29(a)
        (
            "equipment-inspection",
            Interval::NotToExceedMonthsOrBeforeNextUse(3), // 34.31(b)(1)
        ),
    ];
    for (key, interval) in table {
        assert_eq!(us.interval(key).unwrap().interval, interval, "{key}");
        assert_eq!(us.interval(key).unwrap().status, Status::Read, "{key}");
    }
    // SOR/2000-207 s. 20: within the 12 months preceding its use.
    let canada = rule_set("Canada");
    let meter = canada.interval("meter-calibration").unwrap();
    assert_eq!(meter.interval, Interval::WithinMonthsBeforeUse(12));
}

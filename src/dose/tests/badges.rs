//! Badges, results and determinations in the account and on the conservative side, by
//! hand. A line's number is its entry.

use super::table::{history, span};
use crate::dose::account::Account;
use crate::dose::conservative::Conservative;
use crate::dose::index::DoseIndex;
use crate::dose::input::{History, Unstated};
use crate::dose::resolve::why::Why;
use crate::dose::resolve::{Dispute, conflicts};
use crate::dose::total::{Class, QUANTITIES};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::Quantity;

pub(super) const YEAR: &str = "2026-01-01 2026-12-31";

/// A total in millirem by class, such as `50 of record + 12 provisional`,
/// then its text.
pub(super) fn deep(history: &History, days: &str) -> (String, String) {
    of(history, days, Quantity::Deep)
}

/// Both figures of the extremity in a year.
pub(super) fn extremity(history: &History) -> String {
    let (account, safe) = of(history, YEAR, Quantity::Extremity);
    format!("{account}, {safe}")
}

/// Both figures of a quantity in some days.
pub(super) fn of(history: &History, days: &str, quantity: Quantity) -> (String, String) {
    let span = span(days);
    let account = Account::of(history, span).unwrap();
    let safe = Conservative::of(history, span).unwrap();
    let index = DoseIndex::build(history).unwrap();
    for quantity in QUANTITIES {
        let (a, s) = (account.totals.get(quantity), safe.totals.get(quantity));
        assert_eq!(*a, index.account(span, quantity).unwrap());
        assert_eq!(*s, index.safe(span, quantity).unwrap());
        assert!(s.known() >= a.known(), "{quantity:?}");
        let raised = safe.raised_by.iter().map(|it| *it.by.get(quantity));
        let raised = Dose::sum(raised).unwrap();
        assert_eq!(raised, s.known().checked_sub(a.known()).unwrap());
        assert!(
            safe.raised_by
                .iter()
                .all(|it| *it.by.get(quantity) >= Dose::ZERO)
        );
    }
    let total = account.totals.get(quantity);
    let mut parts = Vec::new();
    for (class, dose) in [
        (Class::OfRecord, total.of_record),
        (Class::Provisional, total.provisional),
        (Class::Prior, total.prior),
        (Class::Apportioned, total.apportioned),
    ] {
        if dose > Dose::ZERO {
            let dose = dose.display(DoseUnit::Millirem);
            parts.push(format!(
                "{} {}",
                dose.trim_end_matches(" mrem"),
                class.word()
            ));
        }
    }
    let mut text = parts.join(" + ");
    if total.undetermined > 0 {
        text.push_str(" and undetermined");
    }
    if total.held > 0 {
        text.push_str(" and held");
    }
    let safe = safe.totals.get(quantity).text(DoseUnit::Millirem);
    (text, safe)
}

/// Rows of a table, the account's deep dose of the year, the conservative total's.
pub(super) fn hold(rows: &[(&str, &str, &str)]) {
    for (lines, account, safe) in rows {
        let found = deep(&history(lines), YEAR);
        assert_eq!(
            (found.0.as_str(), found.1.as_str()),
            (*account, *safe),
            "{lines}"
        );
    }
}

const MARCH: &str = "shift 2026-03-02 day: PD-1 0mR>12mR
    shift 2026-03-03 day: PD-1 0mR>30mR
    badge B1 2026-03-01 2026-03-31 returned\n";

#[test]
fn a_result_stands_for_the_shifts_on_which_its_badge_was_worn() {
    let with = |rest: &str| deep(&history(&format!("{MARCH}{rest}")), YEAR);
    let row = |rest: &str, account: &str, safe: &str| {
        assert_eq!(
            with(rest),
            (account.to_string(), safe.to_string()),
            "{rest}"
        );
    };
    row("", "42 provisional", "42 mrem");
    // Until it is accepted the conservative total takes the higher, in the band or not.
    row("result B1 deep=40mrem", "40 of record", "42 mrem");
    row("result B1 deep=50mrem", "50 of record", "50 mrem");
    row("result B1 deep=40mrem accepted", "40 of record", "40 mrem");
    // A shift without the badge adds, also where nobody said.
    row(
        "result B1 deep=40mrem accepted
         shift 2026-03-04 day no-badge: PD-1 0mR>7mR",
        "40 of record + 7 provisional",
        "47 mrem",
    );
    row(
        "result B1 deep=40mrem accepted
         shift 2026-03-04 day badge-unsaid: PD-1 0mR>7mR",
        "40 of record + 7 provisional",
        "47 mrem",
    );
    // A shift outside the period adds.
    row(
        "result B1 deep=40mrem accepted
         shift 2026-04-01 day: PD-1 0mR>7mR",
        "40 of record + 7 provisional",
        "47 mrem",
    );
}

#[test]
fn below_the_minimum_counts_as_zero_and_on_the_conservative_as_the_higher() {
    let quiet = "shift 2026-03-02 day: PD-1 0mR>3mR
        badge B1 2026-03-01 2026-03-31 returned\n";
    hold(&[
        (&format!("{quiet}result B1 deep=M10mrem"), "", "10 mrem"),
        (
            &format!("{quiet}result B1 deep=M10mrem accepted"),
            "",
            "10 mrem",
        ),
        (
            &format!("{MARCH}result B1 deep=M10mrem accepted"),
            "",
            "42 mrem",
        ),
    ]);
    let found = Account::of(
        &history(&format!("{quiet}result B1 deep=M10mrem")),
        span(YEAR),
    );
    let words = found.unwrap().contributions[0].words.join("\n");
    assert!(
        words.contains("deep `M`, below the minimum of 10 mrem"),
        "{words}"
    );
}

#[test]
fn what_a_result_does_not_state_is_the_deep_dose_by_the_convention_for_photons() {
    let mut history = history(&format!(
        "{MARCH}result B1 deep=60mrem shallow=70mrem accepted"
    ));
    let found = |history: &History, quantity| of(history, YEAR, quantity);
    assert_eq!(found(&history, Quantity::Deep).0, "60 of record");
    assert_eq!(found(&history, Quantity::Shallow).0, "70 of record");
    assert_eq!(found(&history, Quantity::Lens).0, "60 of record");
    let account = Account::of(&history, span(YEAR)).unwrap();
    assert!(
        account.contributions[0]
            .words
            .join("\n")
            .contains("does not state the lens dose: the deep dose is taken for it"),
        "{:?}",
        account.contributions
    );
    // A rule set without the convention: readings of 42; the conservative total takes
    // the badge's deep dose.
    history.facts.dosimetry.results[0].unstated = Unstated::Nothing;
    let (account, safe) = found(&history, Quantity::Lens);
    assert_eq!(
        (account.as_str(), safe.as_str()),
        ("42 provisional", "60 mrem")
    );
    let account = Account::of(&history, span(YEAR)).unwrap();
    let extremity = account.totals.extremity;
    assert_eq!(extremity.text(DoseUnit::Millirem), "not assessed");
}

#[test]
fn a_ring_speaks_for_the_extremity_alone() {
    let history = history(
        "shift 2026-03-02 day: PD-1 0mR>12mR
         badge R1 2026-03-01 2026-03-31 ring returned
         result R1 extremity=200mrem accepted",
    );
    assert_eq!(of(&history, YEAR, Quantity::Extremity).0, "200 of record");
    assert_eq!(of(&history, YEAR, Quantity::Deep).0, "12 provisional");
}

#[test]
fn a_lump_is_cut_by_the_readings_inside_or_by_days() {
    // Readings 10 and 30 of a result of 100: 25 and 75.
    let year_end = "shift 2025-12-20 day: PD-1 0mR>10mR
        shift 2026-01-10 day: PD-1 0mR>30mR
        badge B1 2025-12-16 2026-01-14 returned
        result B1 deep=100mrem accepted";
    let one = history(year_end);
    assert_eq!(deep(&one, "2025-01-01 2025-12-31").0, "25 apportioned");
    assert_eq!(deep(&one, YEAR).0, "75 apportioned");
    assert_eq!(deep(&one, "2025-01-01 2026-12-31").0, "100 of record");
    // The conservative total has the whole lump in both years.
    assert_eq!(deep(&one, "2025-01-01 2025-12-31").1, "100 mrem");
    assert_eq!(deep(&one, YEAR).1, "100 mrem");
    // Without a reading above zero: 16 and 14 of 30 days.
    let by_days = history(
        "badge B1 2025-12-16 2026-01-14 returned
         result B1 deep=30mrem accepted",
    );
    assert_eq!(deep(&by_days, "2025-01-01 2025-12-31").0, "16 apportioned");
    assert_eq!(deep(&by_days, YEAR).0, "14 apportioned");
}

#[test]
fn an_off_scale_shift_takes_what_the_other_readings_leave() {
    let lines = "shift 2025-12-20 day: PD-1 0mR>10mR
        shift 2026-01-10 day: PD-1 0mR>- off-scale
        badge B1 2025-12-16 2026-01-14 returned\n";
    let open = history(lines);
    assert_eq!(deep(&open, YEAR).0, " and undetermined");
    let closed = history(&format!("{lines}result B1 deep=100mrem accepted"));
    assert_eq!(deep(&closed, YEAR).0, "90 apportioned");
    assert_eq!(deep(&closed, "2025-01-01 2025-12-31").0, "10 apportioned");
    // Not accepted: nobody has ruled, and there is no upper bound.
    let waiting = history(&format!("{lines}result B1 deep=100mrem"));
    assert_eq!(deep(&waiting, YEAR).1, "at least 100 mrem, undetermined");
    // An event's shift takes what is left too.
    let event = history(
        "shift 2025-12-20 day: PD-1 0mR>10mR
         shift 2026-01-10 day: PD-1 0mR>30mR
         badge B1 2025-12-16 2026-01-14 returned
         result B1 deep=100mrem accepted
         event 2026-01-10",
    );
    assert_eq!(deep(&event, YEAR).0, "90 apportioned");
}

#[test]
fn a_negative_remainder_is_a_conflict_until_it_is_resolved() {
    let lines = "shift 2026-03-02 day: PD-1 0mR>60mR
        shift 2026-03-03 day: PD-1 0mR>- off-scale
        badge B1 2026-03-01 2026-03-31 returned
        result B1 deep=50mrem\n";
    let open = history(lines);
    let found = conflicts(&open).unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].dispute, Dispute::ReadingsAboveResult);
    assert_eq!(
        deep(&open, YEAR),
        (
            "60 provisional and undetermined".to_string(),
            "at least 60 mrem, undetermined".to_string()
        )
    );
    // Whoever accepts the result answers for it, split or no split.
    let accepted = history(lines.replace("50mrem", "50mrem accepted").as_str());
    let settled = history(&format!("{lines}resolved B1 of-record:4"));
    for resolved in [accepted, settled] {
        assert!(conflicts(&resolved).unwrap().is_empty());
        let expected = ("50 of record".to_string(), "50 mrem".to_string());
        assert_eq!(deep(&resolved, YEAR), expected);
    }
}

#[test]
fn two_reports_of_one_badge_are_a_conflict_unless_one_corrects_the_other() {
    let row = |rest: &str, account: &str, safe: &str, open: usize| {
        let history = history(&format!("{MARCH}{rest}"));
        let found = deep(&history, YEAR);
        assert_eq!(found, (account.to_string(), safe.to_string()), "{rest}");
        assert_eq!(conflicts(&history).unwrap().len(), open, "{rest}");
    };
    row(
        "result B1 deep=50mrem accepted
         result B1 deep=80mrem",
        "50 of record",
        "80 mrem",
        1,
    );
    row(
        "result B1 deep=50mrem accepted
         result B1 deep=80mrem corrects:4 accepted",
        "80 of record",
        "80 mrem",
        0,
    );
    // A corrected report waits for a disposition.
    row(
        "result B1 deep=50mrem accepted
         result B1 deep=80mrem corrects:4 held",
        "50 of record",
        "80 mrem",
        0,
    );
    row(
        "result B1 deep=50mrem accepted
         result B1 deep=80mrem
         resolved B1 of-record:5 aside:4",
        "80 of record",
        "80 mrem",
        0,
    );
}

#[test]
fn a_planned_special_exposure_counts_apart_only_if_authorized_before_it() {
    let lines = "shift 2026-03-02 day: PD-1 0mR>12mR
        shift 2026-03-05 day: PD-1 0mR>900mR\n";
    let apart = format!("{lines}special 2026-03-05 2026-03-06 authorized 2026-03-04");
    hold(&[
        (&apart, "12 provisional", "12 mrem"),
        (
            &format!("{lines}special 2026-03-05 2026-03-06 authorized 2026-03-05"),
            "912 provisional",
            "912 mrem",
        ),
        (
            &format!("{lines}special 2026-03-05 2026-03-06"),
            "912 provisional",
            "912 mrem",
        ),
    ]);
    let found = Account::of(&history(&apart), span(YEAR)).unwrap();
    assert_eq!(found.special.deep.text(DoseUnit::Millirem), "900 mrem");
    assert!(found.contributions.iter().any(|it| it.special));
    // A badge worn through both: its share goes apart, the conservative total keeps the
    // whole of it.
    let badge = format!(
        "{apart}
         badge B1 2026-03-01 2026-03-31 returned
         result B1 deep=912mrem accepted"
    );
    hold(&[(&badge, "12 apportioned", "912 mrem")]);
    let found = Account::of(&history(&badge), span(YEAR)).unwrap();
    assert_eq!(found.special.deep.text(DoseUnit::Millirem), "900 mrem");
}

#[test]
fn a_dosimeter_found_to_read_low_raises_the_conservative_alone() {
    let lines = "shift 2026-03-02 day: PD-1 0mR>80mR
        shift 2026-05-02 day: PD-1 0mR>80mR
        low PD-1 2026-03-01 2026-03-31 250";
    hold(&[(lines, "160 provisional", "180 mrem")]);
    let safe = Conservative::of(&history(lines), span(YEAR)).unwrap();
    assert_eq!(safe.raised_by[0].why, Why::ReadsLow);
}

#[test]
fn held_readings_stay_on_the_conservative_under_an_accepted_result() {
    hold(&[(
        "shift 2026-03-02 day: PD-1 0mR>210mR held:two-people
         badge B1 2026-03-01 2026-03-31 returned
         result B1 deep=40mrem accepted",
        "40 of record",
        "210 mrem",
    )]);
}

#[test]
fn a_night_shift_across_new_year_reaches_into_both_years_under_a_result() {
    let one = history(
        "shift 2025-12-20 day: PD-1 0mR>10mR
         shift 2025-12-31 night over: PD-1 0mR>30mR
         badge B1 2025-12-01 2025-12-31 returned
         result B1 deep=60mrem accepted",
    );
    assert_eq!(deep(&one, YEAR), (String::new(), "45 mrem".to_string()));
    assert_eq!(deep(&one, "2025-01-01 2025-12-31").0, "60 of record");
}

#[test]
fn what_is_said_of_a_badge_still_worn_speaks_for_the_wear_that_is_over() {
    let lines = "shift 2026-03-02 day: PD-1 0mR>12mR
        shift 2026-04-10 day: PD-1 0mR>7mR
        badge B1 2026-03-01 -\n";
    hold(&[
        (lines, "19 provisional", "19 mrem"),
        // A determination names the last day that it covers.
        (
            &format!("{lines}determined B1 20mrem through:2026-03-31"),
            "20 of record + 7 provisional",
            "27 mrem",
        ),
        (
            &format!("{lines}determined B1 20mrem through:2026-04-30"),
            "20 of record",
            "20 mrem",
        ),
    ]);
    // A report that came before the return ends with the days that it states.
    let mut one = history(&format!("{lines}result B1 deep=40mrem accepted"));
    one.facts.dosimetry.results[0].stated_days = span("2026-03-01 2026-03-31");
    let found = deep(&one, YEAR);
    assert_eq!(found.0, "40 of record + 7 provisional");
    assert_eq!(found.1, "47 mrem");
}

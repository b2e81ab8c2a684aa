//! Reads of badges that are read on demand. A read is the result of the days since the read
//! before, or the issue: it ends that wear period and begins the next of the same badge.

use super::badge::past_day;
use super::result::{Values, placed, read_dose, read_doses};
use super::wear::wear;
use super::{Column, Reader, Register, RowBodies, RowDesk, Then, register};
use crate::calendar::Day;
use crate::intake::file::fields::Fields;
use crate::ledger::{LedgerError, WearRow};
use crate::quantity::Dose;
use crate::record::{Badge, BadgeChange, BadgeResult, BadgeType, Ref, Reported, Words};

register!(READS: "badge" "read" "reads" "read of a badge that is read on demand",
    RowDesk read_row, [
    "badge" true "its number, or `NUMBER/FIRST_DAY`",
    "on" true "the day of the read",
    "report" false "number of the read, where there is one; blank: `read` and its day",
    "shifts_after" false "yes if shifts began after the read that day: the next read has them",
    "unit" false "unit of the cells that have none: mrem, rem, mSv or uSv",
    "deep" false "deep dose since the last read or the issue, never the running total",
    "lens" false "lens dose since then",
    "shallow" false "shallow dose since then",
    "extremity" false "dose of the extremity since then",
    "minimum" false "least dose that it shows",
    "below_code" false "codes for less than that, separated by ` / `",
    "total" false "running total that it shows, zero at issue; the dose is this less the last",
]);

/// Places of the columns that the reader of doses does not know.
mod at {
    pub const BADGE: usize = 0;
    pub const ON: usize = 1;
    pub const REPORT: usize = 2;
    pub const SHIFTS_AFTER: usize = 3;
    pub const DEEP: usize = 5;
    pub const EXTREMITY: usize = 8;
    pub const TOTAL: usize = 11;
}

fn read_row(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Result<Option<RowBodies>, LedgerError> {
    let on = past_day(fields, desk, at::ON);
    let doses = read_doses(fields, |fields, unit| {
        let total = read_dose(fields, at::TOTAL, unit);
        (total, fields.yes(at::SHIFTS_AFTER) == Some(true))
    });
    let (Some(on), Some((values, (total, shifts_after)))) = (on, doses) else {
        fields.needed(at::BADGE, "the number on the badge");
        return Ok(None);
    };
    let Some(wear) = whose(fields, desk, on)? else {
        return Ok(None);
    };
    let Some(mut values) = placed(fields, Some(wear.kind), values, false) else {
        return Ok(None);
    };
    if let Some(total) = total {
        let before = before(&desk.snapshot.wear_of_number(&wear.number)?, &wear);
        let since = since_total(fields, desk, (&wear, &mut values), total, before);
        if since.is_none() {
            return Ok(None);
        }
    }
    let said = wear.read_on() == Some(on);
    if !said && shifts_after && on == wear.first_day {
        fields.fault(
            at::SHIFTS_AFTER,
            format!("cannot be told of {on}, the first day of its wear"),
            "a blank: the read has the shifts of that day",
        );
        return Ok(None);
    }
    let [deep, lens, shallow, extremity] = values;
    let report = fields.text(at::REPORT);
    let result = BadgeResult {
        badge: Ref::to(wear.record),
        deep,
        extremity,
        gross_nsv: None,
        held: Vec::new(),
        lens,
        received_at: None,
        report: report.unwrap_or_else(|| format!("read {on}")),
        reported_on: on,
        shallow,
        total_nsv: total,
        year_to_date_nsv: None,
    };
    // One that was handed back or damaged is read a last time.
    let goes_on = !said && wear.changes.is_empty();
    Ok(Some(RowBodies {
        notes: Vec::new(),
        first: result.into(),
        then: goes_on.then(|| Then::WornOn(Box::new(next(&wear, on, shifts_after)))),
    }))
}

/// The wear period that begins with a read. The day of the read is in the read, unless shifts
/// began after it: those must not look as if it had them.
fn next(wear: &WearRow, on: Day, shifts_after: bool) -> Badge {
    let first_day = match shifts_after {
        true => on,
        false => on.succ_opt().unwrap_or(on),
    };
    Badge {
        badge: wear.number.clone(),
        employer: None,
        first_day,
        held: Vec::new(),
        last_day: wear.last_day.max(first_day),
        last_read: Some(on),
        on_demand: Some(true),
        same_dose: None,
        kind: wear.kind,
        worker: wear.worker.map(Into::into),
    }
}

/// The wear period that a read on a day ends, or has ended already.
fn whose(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    on: Day,
) -> Result<Option<WearRow>, LedgerError> {
    let said = |it: &WearRow| it.read_on() == Some(on);
    let open = |it: &WearRow| it.results.is_empty() && lost(it).is_none();
    let Some(wear) = wear(fields, desk, at::BADGE, on, &said, &[&open])? else {
        return Ok(None);
    };
    let fault = refusal(&wear, on);
    if let Some((column, what, right)) = fault {
        fields.fault(column, what, right);
        return Ok(None);
    }
    Ok(Some(wear))
}

fn lost(wear: &WearRow) -> Option<Day> {
    let mut lost = wear.changes.iter().filter(|it| it.0 == BadgeChange::Lost);
    lost.next().map(|(_, on)| *on)
}

/// Why a badge cannot have been read on a day, and what would be right.
fn refusal(wear: &WearRow, on: Day) -> Option<(usize, String, &'static str)> {
    if !wear.on_demand {
        return Some((
            at::BADGE,
            "is not read on demand: it must be processed".to_owned(),
            "its processor's result: wearbook badge result",
        ));
    }
    if on < wear.first_day {
        let what = format!("is before the first day of wear {}", wear.first_day);
        return Some((at::ON, what, "the day of the read"));
    }
    if let Some(day) = lost(wear) {
        return Some((
            at::BADGE,
            format!("is not on issue: it was lost on {day}"),
            "the dose that the RSO determines: wearbook determination enter",
        ));
    }
    let off = wear.changes.first();
    match (wear.read_on(), off) {
        (Some(last), _) if last == on => None,
        (Some(last), _) if on < last => Some((
            at::ON,
            format!("is before the last read of {last}"),
            "a later day; a read that is wrong is corrected: wearbook entry correct",
        )),
        (Some(last), Some((change, day))) => Some((
            at::BADGE,
            format!(
                "is not on issue: it was {} on {day} and read on {last}",
                change.word()
            ),
            "a badge that is on issue: wearbook badge list",
        )),
        (Some(last), None) => Some((
            at::BADGE,
            format!("was read on {last} and is not issued from then on"),
            "issue it anew first: wearbook badge issue",
        )),
        (None, Some((change, day))) if on < *day => Some((
            at::ON,
            format!("is before the day on which it was {}: {day}", change.word()),
            "that day or a later one; else void that entry first and enter both in order",
        )),
        (None, _) => None,
    }
}

/// What is known of the running total before a read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Before {
    /// It was never read before: the total counts from its issue.
    Issue,
    /// The total that the read of a day showed.
    Total(Dose, Day),
    /// The read before gives none; the day up to which it was worn.
    NoTotal(Day),
}

/// The total before a wear period, of all periods of the number by first day: the badge's own,
/// whoever wore it.
pub(super) fn before(periods: &[WearRow], wear: &WearRow) -> Before {
    let mut earlier = periods
        .iter()
        .filter(|it| it.on_demand && it.record != wear.record)
        .filter(|it| it.first_day <= wear.first_day);
    match (earlier.next_back(), wear.last_read) {
        (Some(last), _) => {
            let totals = last.results.iter().rev();
            let mut totals = totals.filter_map(|it| Some((it.total?, it.reported_on)));
            let total = totals.next().map(|(total, on)| Before::Total(total, on));
            total.unwrap_or(Before::NoTotal(last.worn_until()))
        }
        (None, Some(day)) => Before::NoTotal(day),
        (None, None) => Before::Issue,
    }
}

/// Why a total gives no dose of the days since the read before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoDose {
    /// The total went down from this one of a day.
    WentDown(Dose, Day),
    /// The read before, of a day, gives no total.
    Unknown(Day),
}

/// The dose since the read before, exactly.
pub(super) fn since(total: Dose, before: Before) -> Result<Dose, NoDose> {
    match before {
        Before::Issue => Ok(total),
        Before::NoTotal(day) => Err(NoDose::Unknown(day)),
        Before::Total(last, day) if total < last => Err(NoDose::WentDown(last, day)),
        Before::Total(last, day) => total
            .checked_sub(last)
            .map_err(|_| NoDose::WentDown(last, day)),
    }
}

/// Fills in the dose that a total gives, or holds the dose that was given against it. Nothing
/// where they cannot both be.
fn since_total(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    (wear, values): (&WearRow, &mut Values),
    total: Dose,
    before: Before,
) -> Option<()> {
    let unit = desk.names.charter.dose_unit();
    let [deep, _, _, extremity] = values;
    let (main, column, name) = match wear.kind {
        BadgeType::Extremity => (extremity, at::EXTREMITY, "extremity"),
        _ => (deep, at::DEEP, "deep"),
    };
    match (since(total, before), main.as_ref()) {
        (Ok(dose), None) => {
            *main = Some(Reported {
                below: false,
                minimum_nsv: None,
                nsv: dose,
                written: dose.display(unit),
            });
            Some(())
        }
        (Ok(dose), Some(given)) if agrees(given, dose) || before == Before::Issue => Some(()),
        (Ok(dose), Some(_)) => {
            let what = format!(
                "is not what the running total gives since the read before: {}",
                dose.display(unit)
            );
            fields.fault(column, what, "the dose since then, or the total alone");
            None
        }
        // Set back to zero, or never told before: the dose is given, and the next has a start.
        (Err(_), Some(_)) => Some(()),
        (Err(NoDose::WentDown(last, day)), None) => {
            fields.fault(
                at::TOTAL,
                format!("is less than the total of {day}, {}", last.display(unit)),
                format!("the total as shown; if it was set back, the dose since then as {name}"),
            );
            None
        }
        (Err(NoDose::Unknown(day)), None) => {
            fields.fault(
                at::TOTAL,
                format!("gives no dose: no running total of {day} is on record"),
                format!("the dose since then as {name}, with the total"),
            );
            None
        }
    }
}

/// Whether a given dose is the one that the totals give; one below what it can show is less
/// than that.
pub(super) fn agrees(given: &Reported, dose: Dose) -> bool {
    match given.minimum_nsv.filter(|_| given.below) {
        Some(minimum) => dose < minimum,
        None => given.nsv == dose,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::parse_day;
    use crate::intake::register::result::RESULTS;

    fn mrem(text: &str) -> Dose {
        Dose::parse(&format!("{text} mrem"), None).unwrap()
    }

    #[test]
    fn the_dose_of_a_read_is_its_total_less_the_one_before_to_the_last_nanosievert() {
        let day = parse_day("2026-03-31").unwrap();
        let total = |text: &str| Before::Total(mrem(text), day);
        for (shown, before, expected) in [
            ("55", Before::Issue, Ok("55")),
            ("0", Before::Issue, Ok("0")),
            ("55", total("55"), Ok("0")),
            ("55.0001", total("55"), Ok("0.0001")),
            ("100.3", total("0.7"), Ok("99.6")),
            (
                "54.9999",
                total("55"),
                Err(NoDose::WentDown(mrem("55"), day)),
            ),
            ("0", total("55"), Err(NoDose::WentDown(mrem("55"), day))),
            ("55", Before::NoTotal(day), Err(NoDose::Unknown(day))),
        ] {
            let said = since(mrem(shown), before);
            assert_eq!(said, expected.map(mrem), "{shown} after {before:?}");
        }
    }

    #[test]
    fn a_dose_below_what_it_shows_agrees_with_any_total_that_rose_by_less() {
        let below = Reported {
            below: true,
            minimum_nsv: Some(mrem("1")),
            nsv: Dose::ZERO,
            written: "M".to_owned(),
        };
        assert!(agrees(&below, mrem("0")));
        assert!(agrees(&below, mrem("0.9999")));
        assert!(!agrees(&below, mrem("1")));
    }

    #[test]
    fn the_doses_stand_where_they_do_in_a_result() {
        let names = |register: &Register| register.names.get(4..=10).map(<[_]>::to_vec);
        assert_eq!(names(&READS), names(&RESULTS));
        for (place, name) in [
            (at::BADGE, "badge"),
            (at::ON, "on"),
            (at::REPORT, "report"),
            (at::SHIFTS_AFTER, "shifts_after"),
            (at::DEEP, "deep"),
            (at::EXTREMITY, "extremity"),
            (at::TOTAL, "total"),
        ] {
            assert_eq!(READS.names.get(place), Some(&name));
        }
    }
}

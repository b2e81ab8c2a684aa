//! Which wear period a badge number means. Many offices use one number again each month, so a
//! number alone can mean several; then the one that waits for what is reported is meant, and
//! where several wait, nobody can tell and the first day must be named.

use super::{RowDesk, did_you_mean};
use crate::answer::near;
use crate::calendar::{Day, parse_day};
use crate::intake::file::fields::Fields;
use crate::ledger::{LedgerError, Snapshot, WearRow};

/// What a number leads to.
#[derive(Debug)]
pub(in crate::intake) enum Found {
    /// One wear period.
    Wear(Box<WearRow>),
    /// Nothing yet: the first wear period of the number begins later.
    NotYet(Box<WearRow>),
    /// Several that it could be, by their full names.
    Several(Vec<String>),
    /// None, with names that are spelled nearly so.
    Unknown(Vec<String>),
}

/// A question that tells one wear period from others.
pub(in crate::intake) type Asks<'a> = &'a dyn Fn(&WearRow) -> bool;

/// Finds the wear period that a cell names: `B-0412`, or `B-0412/2026-05-01` by its first day.
///
/// Of a number's periods that had begun by `on`, the one that `said` holds for (it was reported
/// before), else the only one that `waits`: the first question that holds for any decides, and
/// where it holds for several it could be each of them. Where none waits, the latest that had
/// begun, which is the one that the day falls in or the one before.
pub(in crate::intake) fn find_wear(
    snapshot: &Snapshot<'_>,
    cell: &str,
    on: Day,
    said: Asks<'_>,
    waits: &[Asks<'_>],
) -> Result<Found, LedgerError> {
    let (number, first_day) = match cell.split_once('/') {
        Some((number, day)) => (number.trim(), parse_day(day.trim()).ok()),
        None => (cell, None),
    };
    let mut periods = snapshot.wear_of_number(number)?;
    if cell.contains('/') {
        let exact = periods
            .iter()
            .position(|it| Some(it.first_day) == first_day);
        return Ok(match exact {
            Some(place) => Found::Wear(Box::new(periods.swap_remove(place))),
            None if periods.is_empty() => unknown(snapshot, number)?,
            None => Found::Unknown(periods.iter().map(WearRow::name).collect()),
        });
    }
    if periods.is_empty() {
        return unknown(snapshot, number);
    }
    let begun = periods.partition_point(|it| it.first_day <= on);
    if begun == 0 {
        return Ok(Found::NotYet(Box::new(periods.swap_remove(0))));
    }
    periods.truncate(begun);
    Ok(choose(periods, said, waits))
}

/// Chooses among the wear periods of one number, in the order of their first days.
fn choose(mut periods: Vec<WearRow>, said: Asks<'_>, waits: &[Asks<'_>]) -> Found {
    let mut chosen = periods.iter().rposition(said);
    for asks in waits
        .iter()
        .filter(|_| chosen.is_none() && periods.len() > 1)
    {
        let waiting: Vec<usize> = (0..periods.len())
            .filter(|place| periods.get(*place).is_some_and(asks))
            .collect();
        match waiting.as_slice() {
            [] => {}
            [only] => {
                chosen = Some(*only);
                break;
            }
            several => {
                let names = several.iter().filter_map(|place| periods.get(*place));
                return Found::Several(names.map(WearRow::name).collect());
            }
        }
    }
    let place = chosen.unwrap_or(periods.len() - 1);
    Found::Wear(Box::new(periods.swap_remove(place)))
}

fn unknown(snapshot: &Snapshot<'_>, number: &str) -> Result<Found, LedgerError> {
    let alike = snapshot.numbers_like(number)?;
    Ok(Found::Unknown(near(
        number,
        alike.iter().map(String::as_str),
    )))
}

/// What is wrong where a number does not lead to one wear period, and what would be right.
pub(in crate::intake) fn refused(found: &Found) -> Option<(String, String)> {
    match found {
        Found::Wear(_) => None,
        Found::NotYet(wear) => Some((
            format!("is issued from {} on", wear.first_day),
            "a day on or after that, or the number of another badge".to_owned(),
        )),
        Found::Several(names) => Some((
            "could be each of several wear periods of this number".to_owned(),
            format!("name one by its first day: {}", super::quoted(names)),
        )),
        Found::Unknown(near) => Some((
            "is not a badge that the ledger knows".to_owned(),
            did_you_mean(near, "register it first: wearbook badge issue"),
        )),
    }
}

/// The wear period that a cell names; a fault where there is not one.
pub(super) fn wear(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    column: usize,
    on: Day,
    said: Asks<'_>,
    waits: &[Asks<'_>],
) -> Result<Option<WearRow>, LedgerError> {
    let Some(cell) = fields.needed(column, "the number on the badge") else {
        return Ok(None);
    };
    let found = find_wear(desk.snapshot, &cell, on, said, waits)?;
    if let Some((what, right)) = refused(&found) {
        fields.fault(column, what, right);
    }
    Ok(match found {
        Found::Wear(wear) => Some(*wear),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::ResultName;
    use crate::record::{BadgeChange, BadgeType};

    fn day(text: &str) -> Day {
        parse_day(text).unwrap()
    }

    /// Monthly periods of one number in 2026, each with a letter for what became of it: `-`
    /// nothing, `r` returned, `R` returned and reported.
    fn months(states: &str) -> Vec<WearRow> {
        let month = |(at, state): (usize, char)| {
            let first_day = day(&format!("2026-{:02}-01", at + 1));
            let last_day = day(&format!("2026-{:02}-28", at + 1));
            let back = matches!(state, 'r' | 'R');
            let result = ResultName {
                entry: 1,
                record: 1,
                report: format!("of month {}", at + 1),
                reported_on: last_day,
                total: None,
            };
            WearRow {
                entry: at as i64,
                record: at as i64,
                number: "B-1".to_owned(),
                kind: BadgeType::WholeBody,
                worker: Some(1),
                employer: None,
                first_day,
                last_day,
                last_read: None,
                on_demand: false,
                changes: back
                    .then_some((BadgeChange::Returned, last_day))
                    .into_iter()
                    .collect(),
                results: (state == 'R').then_some(result).into_iter().collect(),
                determined: Vec::new(),
            }
        };
        states.chars().enumerate().map(month).collect()
    }

    #[test]
    fn a_number_means_the_period_that_waits_else_the_latest() {
        for (states, report, on, expected) in [
            ("-", "new", "2026-01-10", "2026-01-01"),
            // One is over and waits; the next is still worn.
            ("r-", "new", "2026-02-10", "2026-01-01"),
            ("--", "new", "2026-02-10", "2026-01-01"),
            ("Rr-", "new", "2026-03-10", "2026-02-01"),
            // None is over: the one that is worn, pulled early.
            ("R-", "new", "2026-02-10", "2026-02-01"),
            // Two are over: it could be each.
            ("rr-", "new", "2026-03-10", "B-1/2026-01-01 B-1/2026-02-01"),
            // None waits: a second report of the latest.
            ("RR", "new", "2026-03-10", "2026-02-01"),
            // What was reported before is meant again, whatever waits now.
            ("Rr", "of month 1", "2026-03-10", "2026-01-01"),
        ] {
            let on = day(on);
            let said = |it: &WearRow| it.results.iter().any(|it| it.report == report);
            let over = |it: &WearRow| it.results.is_empty() && it.worn_until() <= on;
            let open = |it: &WearRow| it.results.is_empty();
            let found = match choose(months(states), &said, &[&over, &open]) {
                Found::Wear(wear) => wear.first_day.to_string(),
                Found::Several(names) => names.join(" "),
                other => format!("{other:?}"),
            };
            assert_eq!(found, expected, "{states} {report} {on}");
        }
    }
}

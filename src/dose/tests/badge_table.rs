//! The lines of a table that speak of badges, results and determinations.

use std::sync::Arc;

use super::table::{WORKER, day, dose};
use crate::calendar::Span;
use crate::dose::input::*;
use crate::dose::total::PerQuantity;
use crate::rule::Quantity;

/// The RSO, who is not the worker of the table.
const RSO: i64 = 2000;

pub(super) fn read_line(history: &mut History, entry: i64, words: &[&str]) {
    match words {
        ["badge", name, first, last, rest @ ..] => {
            let badge = badge(entry, name, first, last, rest);
            history.facts.dosimetry.wear.push(badge);
        }
        ["result", name, rest @ ..] => {
            let result = result(history, entry, name, rest);
            history.facts.dosimetry.results.push(result);
        }
        ["determined", scope, amount, rest @ ..] => {
            let one = determination(history, entry, scope, amount, rest);
            history.facts.dosimetry.determinations.push(one);
        }
        ["resolved", name, rest @ ..] => {
            let one = resolution(history, entry, name, rest);
            history.facts.dosimetry.resolutions.push(one);
        }
        ["special", first, last, rest @ ..] => {
            let authorized_on = match rest {
                ["authorized", on] => Some(day(on)),
                _ => None,
            };
            history
                .facts
                .dosimetry
                .special
                .push(PlannedSpecialExposure {
                    entry,
                    days: days(first, last),
                    authorized_on,
                });
        }
        ["event", on] => {
            let sheet = sheet_of(history, on);
            history.facts.dosimetry.events.push(EventOnShift {
                entry,
                event: entry,
                sheet,
            });
        }
        ["low", dosimeter, first, last, permille] => {
            history.facts.dosimetry.reads_low.push(ReadsLow {
                entry,
                dosimeter: number_of(dosimeter),
                days: days(first, last),
                raise_permille: permille.parse().unwrap(),
            });
        }
        other => panic!("no such line: {other:?}"),
    }
}

fn days(first: &str, last: &str) -> Span {
    Span::new(day(first), day(last)).unwrap()
}

fn number_of(name: &str) -> i64 {
    name.rsplit('-').next().unwrap().parse().unwrap()
}

fn wear_of(history: &History, name: &str) -> i64 {
    let wear = &history.facts.dosimetry.wear;
    wear.iter().find(|it| &*it.badge == name).unwrap().record
}

fn sheet_of(history: &History, on: &str) -> i64 {
    let found = history.shifts.iter().find(|it| it.day == day(on));
    found.unwrap().sheet
}

fn badge(entry: i64, name: &str, first: &str, last: &str, rest: &[&str]) -> WearPeriod {
    let mut badge = WearPeriod {
        record: entry,
        entry,
        badge: Arc::from(name),
        kind: BadgeKind::WholeBody,
        issuer: Issuer::Own,
        first: day(first),
        last: (last != "-").then(|| day(last)),
        planned_last: None,
        read_from: None,
        state: BadgeState::Worn,
        counting: Counting::Counts,
    };
    for word in rest {
        match *word {
            "returned" => badge.state = BadgeState::Returned,
            "sent" => badge.state = BadgeState::Sent,
            "lost" => badge.state = BadgeState::Lost,
            "damaged" => badge.state = BadgeState::Damaged,
            "on-demand" => badge.read_from = Some(badge.first),
            "ring" => badge.kind = BadgeKind::Extremity,
            "other" | "elsewhere" | "together" => {
                let same_dose = match *word {
                    "elsewhere" => Some(false),
                    "together" => Some(true),
                    _ => None,
                };
                badge.issuer = Issuer::Other { same_dose };
            }
            "held" => badge.counting = Counting::Held,
            "out" => badge.counting = Counting::RuledOut,
            other => match other.strip_prefix("last-read=") {
                Some(on) => badge.read_from = Some(day(on)),
                None => badge.planned_last = Some(day(other)),
            },
        }
    }
    badge
}

fn result(history: &History, entry: i64, name: &str, rest: &[&str]) -> BadgeResult {
    let (wear, stated_days, rest) = match (name, rest) {
        ("-", [first, last, rest @ ..]) => (None, days(first, last), rest),
        (name, rest) => {
            let record = wear_of(history, name);
            let wear = &history.facts.dosimetry.wear;
            let wear = wear.iter().find(|it| it.record == record).unwrap();
            let mut days = wear.days();
            if wear.last.is_none() {
                days.last = days.first + chrono::Duration::days(27);
            }
            (Some(record), days, rest)
        }
    };
    let mut result = BadgeResult {
        entry,
        record: entry,
        wear,
        stated_days,
        reported_on: day("2026-12-31"),
        doses: PerQuantity::default(),
        unstated: Unstated::AsDeep,
        year_to_date: PerQuantity::default(),
        accepted: None,
        corrects: None,
        counting: Counting::Counts,
    };
    for word in rest {
        match word.split_once(['=', ':']) {
            Some(("ytd", value)) => result.year_to_date.deep = Some(dose(value)),
            Some(("corrects", of)) => result.corrects = Some(of.parse().unwrap()),
            Some((name, value)) => {
                let quantity = Quantity::from_name(name).expect("a quantity");
                let reported = match value.strip_prefix('M') {
                    Some(minimum) => Reported::BelowMinimum {
                        code: Arc::from("M"),
                        minimum: dose(minimum),
                    },
                    None => Reported::Dose(dose(value)),
                };
                *result.doses.get_mut(quantity) = Some(reported);
            }
            None if *word == "accepted" => result.accepted = Some(entry),
            None if *word == "held" => result.counting = Counting::Held,
            None if *word == "out" => result.counting = Counting::RuledOut,
            None => panic!("no such word: {word}"),
        }
    }
    result
}

fn determination(
    history: &History,
    entry: i64,
    scope: &str,
    amount: &str,
    rest: &[&str],
) -> Determination {
    let scope = if let Some(on) = scope.strip_prefix("event:") {
        let on_sheet = history.shifts.iter().find(|it| it.day == day(on));
        Scope::Event {
            event: 1,
            day: day(on),
            sheet: on_sheet.map(|it| it.sheet),
        }
    } else if let Some((first, last)) = scope.split_once("..") {
        Scope::Span(days(first, last))
    } else if let Some((on, dosimeter)) = scope.split_once('/') {
        Scope::Reading {
            sheet: sheet_of(history, on),
            dosimeter: Some(number_of(dosimeter)),
            part: 1,
        }
    } else if scope.starts_with("20") {
        Scope::Shift {
            sheet: sheet_of(history, scope),
        }
    } else {
        Scope::WearPeriod(wear_of(history, scope))
    };
    let mut one = Determination {
        entry,
        record: entry,
        scope,
        quantity: Quantity::Deep,
        relation: Relation::Replaces,
        dose: dose(amount),
        at_most: dose(amount),
        open: false,
        method: Method::Other,
        determined_by: RSO,
        second_person: None,
        through: None,
        supersedes: Vec::new(),
    };
    for word in rest {
        match *word {
            word if word.starts_with("over:") => {
                one.supersedes = entries(&word["over:".len()..]);
            }
            word if word.starts_with("through:") => {
                one.through = Some(day(&word["through:".len()..]));
            }
            word if word.starts_with("upto:") => {
                one.at_most = dose(&word["upto:".len()..]);
            }
            "above" => one.open = true,
            "adds" => one.relation = Relation::Adds,
            "until" => one.relation = Relation::UntilResult,
            "self" => one.determined_by = WORKER,
            "second" => one.second_person = Some(RSO),
            name => one.quantity = Quantity::from_name(name).expect("a quantity"),
        }
    }
    one
}

fn entries(text: &str) -> Vec<i64> {
    text.split(',').map(|it| it.parse().unwrap()).collect()
}

/// `resolved B1 of-record:5 aside:4`, `resolved B1 of-record:5,4 rest:5`; in the
/// form of earlier ledgers `resolved B1 result`.
fn resolution(history: &History, entry: i64, name: &str, rest: &[&str]) -> Resolution {
    if let [kind @ ("result" | "determination")] = rest {
        let of = Chosen::OfBadge {
            wear: wear_of(history, name),
            result: *kind == "result",
        };
        return Resolution { entry, of };
    }
    let (mut stands, mut for_rest, mut set_aside) = (Vec::new(), None, Vec::new());
    for word in rest {
        match word.split_once(':') {
            Some(("of-record", of)) => stands = entries(of),
            Some(("rest", of)) => for_rest = Some(of.parse().unwrap()),
            Some(("aside", all)) => set_aside = entries(all),
            _ => panic!("no such word: {word}"),
        }
    }
    Resolution {
        entry,
        of: Chosen::Entries {
            stands,
            rest: for_rest,
            set_aside,
        },
    }
}

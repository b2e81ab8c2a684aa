//! A short notation for one worker's history, so that a test shows its
//! scenario as a small table. The number of a line is the number of its entry.
//!
//! ```text
//! born 1990-05-01                          exposed | apprentice | other
//! shift 2026-03-02 day: PD-1 0mR>12mR      readings separated by commas
//! shift 2026-12-31 night over: PD-1 0mR>12mR, PD-2 0mR>14mR
//! shift 2026-03-03 day: PD-1 0mR>- off-scale
//! shift 2026-03-04 day: PD-1 31mR>12mR held:end-below-start counts | out
//! shift 2026-03-05 day:                    nobody read anything
//! shift 2026-03-05 day no-badge: PD-1 0mR>12mR   or badge-unsaid
//! prior 2026-01-01 2026-03-31 deep=1.10rem lens=1rem
//! missing 2026 1 exposed | clear
//! pregnancy 2026-06-01 conceived 2026-03-01 ended 2026-12-01
//! authorized deep-year-authorized 2026-01-01 2026-12-31
//! badge B1 2026-03-01 2026-03-31 returned  or `ring`, `other`, `together`,
//!                                          `held`, `lost`, `damaged`;
//!                                          `-` for a last day still to come
//! result B1 deep=50mrem lens=M10mrem accepted | held | corrects:7 | ytd=90mrem
//! result - 2026-03-01 2026-03-31 deep=50mrem   of a badge never issued
//! determined B1 350mrem                    of a badge, a day's shift, one
//! determined 2026-03-02 350mrem            reading of it, an event's day, a span
//! determined 2026-03-02/PD-1 350mrem adds | until | lens | self | second
//! determined event:2026-03-02 20mrem
//! determined 2026-03-01..2026-03-31 20mrem
//! resolved B1 of-record:4 aside:3,5
//! special 2026-03-02 2026-03-03 authorized 2026-03-01
//! event 2026-03-02                         the shift of that day was part of one
//! low PD-1 2026-03-01 2026-03-31 250
//! ```
//!
//! A report of a badge still worn states 28 days from its issue on.
//!
//! A badge's, sheet's and dosimeter's record is the number of its line; a
//! dosimeter's is the number in its name.

use std::sync::Arc;

use crate::calendar::{Day, Span, parse_day};
use crate::dose::input::*;
use crate::quantity::{Dose, DoseUnit, Indication};
use crate::record::{Category, DoubtType, Outcome, ShiftName, Words, Work};

/// The record of the worker of a table.
pub(super) const WORKER: i64 = 1000;

pub(super) fn day(text: &str) -> Day {
    parse_day(text).unwrap()
}

pub(super) fn span(text: &str) -> Span {
    let (first, last) = text.split_once(' ').unwrap();
    Span::new(day(first), day(last)).unwrap()
}

pub(super) fn dose(text: &str) -> Dose {
    Dose::parse(text, Some(DoseUnit::Millirem)).unwrap()
}

pub(super) fn history(text: &str) -> History {
    let mut history = History {
        facts: WorkerFacts {
            record: WORKER,
            id: "W07".to_string(),
            name: "A. Worker".to_string(),
            ..WorkerFacts::default()
        },
        shifts: Vec::new(),
    };
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    for (nth, line) in lines.enumerate() {
        read_line(&mut history, i64::try_from(nth).unwrap() + 1, line);
    }
    history
}

fn read_line(history: &mut History, entry: i64, line: &str) {
    let facts = &mut history.facts;
    let words: Vec<&str> = line.split_whitespace().collect();
    match words.as_slice() {
        ["born", birth, category @ ..] => {
            facts.birth_date = Some(day(birth));
            facts.category = match category {
                [] | ["exposed"] => Category::Exposed,
                ["apprentice"] => Category::Apprentice,
                ["other"] => Category::Other,
                other => panic!("no such category: {other:?}"),
            };
        }
        ["prior", first, last, stated @ ..] => {
            let of = |name: &str| {
                let value = stated.iter().find_map(|one| one.strip_prefix(name));
                value.map(|value| dose(value.trim_start_matches('=')))
            };
            facts.prior.push(PriorDose {
                entry,
                first: day(first),
                last: day(last),
                opening: None,
                employer: "Other Works".to_string(),
                deep: of("deep"),
                lens: of("lens"),
                shallow: of("shallow"),
                extremity: of("extremity"),
            });
        }
        ["missing", year, quarter, possible] => facts.missing.push(MissingQuarter {
            entry,
            year: year.parse().unwrap(),
            quarter: quarter.parse().unwrap(),
            exposure_possible: match *possible {
                "exposed" => true,
                "clear" => false,
                other => panic!("neither exposed nor clear: {other}"),
            },
        }),
        ["pregnancy", notification, "conceived", conception, end @ ..] => {
            facts.pregnancies.push(Pregnancy {
                entry,
                notice_on: day(notification),
                conception_on: (conception != &"unknown").then(|| day(conception)),
                ended_on: match end {
                    ["ended", end] => Some(day(end)),
                    _ => None,
                },
            });
        }
        ["authorized", level, first, last] => facts.authorizations.push(Authorization {
            entry,
            level: (*level).to_string(),
            first: day(first),
            last: day(last),
        }),
        ["shift", ..] => history.shifts.push(shift(entry, line)),
        [
            "badge" | "result" | "determined" | "resolved" | "special" | "event" | "low",
            ..,
        ] => {
            super::badge_table::read_line(history, entry, &words);
        }
        other => panic!("no such line: {other:?}"),
    }
}

fn shift(entry: i64, line: &str) -> Shift {
    let (head, readings) = line.split_once(':').unwrap();
    let head: Vec<&str> = head.split_whitespace().collect();
    let mut shift = Shift {
        sheet: entry,
        entry,
        day: day(head[1]),
        crosses_midnight: head.contains(&"over"),
        shift: ShiftName::from_word(head[2]).expect("a shift"),
        badge_worn: if head.contains(&"no-badge") {
            Some(false)
        } else {
            (!head.contains(&"badge-unsaid")).then_some(true)
        },
        badge: head
            .iter()
            .find_map(|it| it.strip_prefix("badge="))
            .map(Arc::from),
        work: Work::Radiography,
        readings: Vec::new(),
    };
    for text in readings
        .split(',')
        .map(str::trim)
        .filter(|text| !text.is_empty())
    {
        let mut reading = reading(text);
        let same = |other: &&Reading| other.dosimeter == reading.dosimeter;
        reading.part = i64::try_from(shift.readings.iter().filter(same).count()).unwrap() + 1;
        shift.readings.push(reading);
    }
    shift
}

pub(super) fn reading(text: &str) -> Reading {
    let mut words = text.split_whitespace();
    let dosimeter: Arc<str> = Arc::from(words.next().unwrap());
    let (start, end) = words.next().unwrap().split_once('>').unwrap();
    let shown = |text: &str| (text != "-").then(|| Indication::parse(text, None).unwrap());
    let record = dosimeter.rsplit('-').next().and_then(|n| n.parse().ok());
    let mut reading = Reading {
        record,
        dosimeter,
        part: 1,
        start: shown(start),
        end: shown(end),
        off_scale: false,
        held: Vec::new(),
        disposition: None,
    };
    for word in words {
        match word {
            "off-scale" => reading.off_scale = true,
            "counts" => reading.disposition = Some(Outcome::Counts),
            "out" => reading.disposition = Some(Outcome::DoesNotCount),
            "held:end-below-start" => reading.held.push(DoubtType::EndBelowStart),
            // As every sheet has it that is taken in.
            "held:above-range" => {
                reading.off_scale = true;
                reading.held.push(DoubtType::AboveRange);
            }
            "held:two-people" => reading.held.push(DoubtType::DosimeterTwice),
            "held:overlap" => reading.held.push(DoubtType::Overlap),
            other => panic!("no such word: {other}"),
        }
    }
    reading
}

//! Tests of the room: each coverage word, each record word, each flag, and each pair that could
//! be confused.

mod beside;
mod checks;
mod covered;
mod defects;
mod finding;
mod flags;
mod occurred;
mod ranked;
mod unplaced;
mod verdicts;

use super::coverage::{Covered, Source};
use super::inspection::{Clear, PastInspection, World};
use super::known::{Facts, Use};
use super::known::{Learned, Trigger};
use super::occurred::DoneAt;
use super::occurred::Occurred;
use crate::calendar::{Day, Interval, YearStart, parse_day, parse_time};
use crate::quantity::Amount;
use crate::record::{Coverage, LineResult, Occasion, shows_repair};
use crate::rule::{Checklist, ChecklistItem, checklist_offer};

pub(super) fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

/// `2026-05-19` or `2026-05-19T13:40`.
pub(super) fn moment(text: &str) -> DoneAt {
    let (on, at) = match text.split_once('T') {
        Some((on, at)) => (on, Some(parse_time(at).expect("an hour"))),
        None => (text, None),
    };
    DoneAt { day: day(on), at }
}

/// The built-in list, which has no figure of wear.
pub(super) fn built_in() -> Checklist {
    let offer = checklist_offer("general").expect("the list that comes with the program");
    Checklist::parse(offer.text).expect("a list")
}

/// The built-in list with the invented figures of the demonstration.
pub(super) fn own_list() -> Checklist {
    Checklist::parse(include_str!("../../../demo/site-checklist.toml")).expect("a list")
}

pub(super) fn by_data(coverage: Coverage) -> Covered {
    Covered {
        coverage,
        source: Source::Checklist,
    }
}

/// The event of these tests.
pub(super) const EVENT: &str = "2026-05-19T13:40";

fn result(word: &str) -> Option<LineResult> {
    match word {
        "good" => Some(LineResult::Good),
        "defect" => Some(LineResult::Defect),
        "measured" => Some(LineResult::Measured),
        "not-done" => Some(LineResult::NotDone),
        "none" => None,
        other => panic!("`{other}` is no result"),
    }
}

fn occasion(word: &str) -> Occasion {
    match word {
        "daily" => Occasion::Daily,
        "quarterly" => Occasion::Quarterly,
        "after-event" => Occasion::AfterEvent,
        "receipt" => Occasion::Receipt,
        other => panic!("`{other}` is no occasion"),
    }
}

/// What is written, a line each:
/// - `look N WHEN OCCASION RESULT [VALUE] [with=N]`: inspection N, written before the event;
/// - `late N ...`: written after it; `correct N ...`: what a later version of N says, from after
///   the event; `void N`: voided after it;
/// - `perhaps N ...`: written, or amended, by a clock that cannot be trusted;
/// - `used DAY EXPOSURES`; `clear DAY`; `installed DAY`; `trigger WHEN`; `late-trigger WHEN`,
///   `perhaps-trigger WHEN`.
pub(super) fn facts<'i>(item: &'i ChecklistItem, uses: &'i [Use], text: &str) -> Facts<'i> {
    let mut facts = Facts {
        item,
        event: Occurred::at(moment(EVENT)),
        in_use: true,
        shift_day: day("2026-05-19"),
        uses,
        periodic: Some((Interval::NotToExceedMonths(3), YearStart::JANUARY_FIRST)),
        mates: Vec::new(),
        triggers: Vec::new(),
        known: World::default(),
        // The same, as if a clock that cannot be trusted were right.
        perhaps: text.contains("perhaps ").then(|| {
            let trusted = text.replace("perhaps ", "look ");
            self::facts(item, uses, &trusted).known
        }),
        now: World::default(),
    };
    for (n, line) in text.lines().enumerate() {
        let entry = 100 + n as i64;
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.as_slice() {
            [] => {}
            ["clear", on] => {
                let clear = Clear {
                    entry,
                    day: day(on),
                    what: "put right".to_owned(),
                };
                facts.known.clears.push(clear.clone());
                facts.now.clears.push(clear);
            }
            ["installed", on] => {
                facts.known.installed = Some(day(on));
                facts.now.installed = Some(day(on));
            }
            [word @ ("trigger" | "late-trigger" | "perhaps-trigger"), at] => {
                facts.triggers.push(Trigger {
                    entry,
                    moment: moment(at),
                    from: moment(at),
                    what: "a drop".to_owned(),
                    component: None,
                    learned: match *word {
                        "late-trigger" => Learned::After,
                        "perhaps-trigger" => Learned::OrderUnknown,
                        _ => Learned::Before,
                    },
                })
            }
            ["mate", record] => facts.mates.push(record.parse().expect("a record")),
            ["void", record] => {
                let record: i64 = record.parse().expect("a record");
                facts.now.inspections.retain(|it| it.record != record);
            }
            [how, rest @ ..] => {
                let inspection = inspection(item, entry, rest);
                if *how == "look" {
                    replace(&mut facts.known.inspections, inspection.clone());
                }
                replace(&mut facts.now.inspections, inspection);
            }
        }
    }
    facts.known.inspections.sort_by_key(PastInspection::order);
    facts.now.inspections.sort_by_key(PastInspection::order);
    facts
}

/// A later version of an inspection takes the place of the earlier one.
fn replace(all: &mut Vec<PastInspection>, one: PastInspection) {
    all.retain(|it| it.record != one.record);
    all.push(one);
}

fn inspection(item: &ChecklistItem, entry: i64, words: &[&str]) -> PastInspection {
    let [record, at, when, found, rest @ ..] = words else {
        panic!("{words:?} is no look");
    };
    let occasion = occasion(when);
    let repaired = rest.contains(&"repaired");
    let is_value = |it: &&&str| !it.starts_with("with=") && **it != "repaired";
    let value = rest.iter().find(is_value);
    let amount = value.map(|it| Amount::parse(&it.replace('_', " "), None).expect("an amount"));
    let measurement = item.measurement.as_ref();
    let with = rest.iter().find_map(|it| it.strip_prefix("with="));
    PastInspection {
        record: record.parse().expect("a record"),
        entry,
        written_at: "2026-06-01T08:00:00Z".to_owned(),
        written: moment("2026-06-01T08:00"),
        clock_doubted: false,
        transcribed: false,
        moment: moment(at),
        occasion,
        by: "W02".to_owned(),
        asked: item.is_for(crate::record::Words::word(occasion)) && !item.is_inactive(),
        result: result(found),
        value: value.map(|it| it.replace('_', " ")),
        count: amount.map(|it| it.count()),
        standing: amount
            .and_then(|it| measurement.and_then(|measurement| measurement.standing(it))),
        note: None,
        shows_repair: result(found)
            .is_some_and(|it| shows_repair(it, occasion, repaired.then_some("new spring"))),
        with: with.map(|it| it.parse().expect("a record")),
    }
}

/// Uses as `DAY/EXPOSURES`, `?` where the sheet does not say.
pub(super) fn uses(text: &str) -> Vec<Use> {
    let of = |(n, word): (usize, &str)| {
        let (on, exposures) = word.split_once('/').expect("DAY/EXPOSURES");
        Use {
            entry: 900 + n as i64,
            day: day(on),
            exposures: exposures.parse().ok(),
        }
    };
    text.split_whitespace().enumerate().map(of).collect()
}

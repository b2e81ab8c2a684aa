//! The measurements. Each runs in a process of its own: its pairs alternate
//! there, and what it prints is read by the process that started it.

use wearbook::calendar::{Span, parse_day};
use wearbook::ledger::Ledger;

use crate::files::{Files, read_sheets};
use crate::measure::{Pair, timed};
use crate::{Outcome, bare, ours};

/// One measurement.
pub struct Part {
    /// Its name on the command line.
    pub name: &'static str,
    /// What it is, in the table.
    pub what: &'static str,
    /// What it is set beside.
    pub beside: &'static str,
    /// The ratio that is not to be exceeded.
    pub goal: f64,
    /// Times the work beside the bare work, as the n-th pair.
    pub pair: fn(&Files, usize) -> Outcome<Pair>,
    /// The program's work alone, to see how much memory it takes.
    pub alone: Option<fn(&Files) -> Outcome<()>>,
}

/// How many sheets are handed in one by one in a pair.
pub const SINGLES: usize = 20;

/// Every measurement, in the order in which the files grow.
pub const PARTS: &[Part] = &[
    Part {
        name: "first",
        what: "first import into an empty ledger",
        beside: "bare insert loop",
        goal: 6.0,
        pair: first_import,
        alone: Some(first_alone),
    },
    Part {
        name: "month",
        what: "12 000 rows onto the full ledger",
        beside: "bare insert loop",
        goal: 12.0,
        pair: month_import,
        alone: None,
    },
    Part {
        name: "sheet",
        what: "one durable sheet",
        beside: "commit of equal rows",
        goal: 3.0,
        pair: single_sheets,
        alone: None,
    },
    Part {
        name: "account",
        what: "one worker's account",
        beside: "SELECT of the worker's rows",
        goal: 10.0,
        pair: account,
        alone: Some(|files| ours::account(&files.ledger(), WORKER).map(drop)),
    },
    Part {
        name: "findings",
        what: "findings of a day",
        beside: "GROUP BY over five years",
        goal: 2.0,
        pair: findings,
        alone: Some(|files| ours::findings_of(&files.ledger(), parse_day(BUSY_DAY)?).map(drop)),
    },
    Part {
        name: "crew",
        what: "dose crew of a year, with badges",
        beside: "GROUP BY over five years",
        goal: 3.0,
        pair: crew,
        alone: Some(|files| ours::crew_of(&files.badged(), a_year()?).map(drop)),
    },
    Part {
        name: "board",
        what: "board of a day, with badges",
        beside: "GROUP BY over five years",
        goal: 2.0,
        pair: board,
        alone: Some(|files| ours::board_of(&files.badged(), parse_day(BUSY_DAY)?).map(drop)),
    },
    Part {
        name: "review",
        what: "review of a month, with badges",
        beside: "GROUP BY over five years",
        goal: 3.0,
        pair: review,
        alone: Some(|files| ours::review_of(&files.badged(), BUSY_MONTH).map(drop)),
    },
    Part {
        name: "verify",
        what: "verify",
        beside: "SHA-256 and scan",
        goal: 2.0,
        pair: verify_chain,
        alone: Some(|files| ours::verify(&files.ledger(), false)),
    },
    Part {
        name: "full",
        what: "verify --full",
        beside: "first import and integrity check",
        goal: 1.5,
        pair: verify_full,
        alone: Some(|files| ours::verify(&files.ledger(), true)),
    },
];

fn first_import(files: &Files, _: usize) -> Outcome<Pair> {
    let (ledger, file) = (files.ledger(), files.first());
    std::fs::copy(files.registers(), &ledger)?;
    let (ours, taken) = timed(|| ours::import_sheets(&ledger, &file))?;
    drop(taken);
    bare::one_table(&files.bare())?;
    let (bare, ()) = timed(|| bare::insert_csv(&files.bare(), &file))?;
    Ok(Pair { ours, bare })
}

fn first_alone(files: &Files) -> Outcome<()> {
    std::fs::copy(files.registers(), files.scratch())?;
    ours::import_sheets(&files.scratch(), &files.first())?;
    Ok(std::fs::remove_file(files.scratch())?)
}

fn month_import(files: &Files, number: usize) -> Outcome<Pair> {
    let file = files.month(number);
    let (ours, taken) = timed(|| ours::import_sheets(&files.ledger(), &file))?;
    drop(taken);
    let (bare, ()) = timed(|| bare::insert_csv(&files.bare(), &file))?;
    Ok(Pair { ours, bare })
}

fn single_sheets(files: &Files, number: usize) -> Outcome<Pair> {
    let sheets = read_sheets(&files.singles())?;
    let mut ledger = Ledger::open(&files.ledger())?;
    let mut entries = Vec::new();
    let (ours, ()) = timed(|| {
        for rows in sheets.into_iter().skip(number * SINGLES).take(SINGLES) {
            let taken = ours::hand_in(&mut ledger, rows)?;
            entries.extend(taken.items.iter().map(|item| item.written.entry()));
        }
        Ok(())
    })?;
    if entries.len() != SINGLES {
        return Err(format!("{} sheets were handed in", entries.len()).into());
    }
    let reader = rusqlite::Connection::open(files.ledger())?;
    let mut sheets = Vec::new();
    for entry in entries {
        sheets.push(bare::rows_of_sheet(&reader, entry)?);
    }
    let mut tables = bare::sheet_tables(&files.scratch(), &reader)?;
    let (bare, ()) = timed(|| {
        sheets
            .iter()
            .try_for_each(|rows| bare::commit_sheet(&mut tables, rows))
    })?;
    Ok(Pair { ours, bare })
}

/// Somebody who is in the small ledger too.
const WORKER: &str = "W004";
/// A working day near the end of the first import.
const BUSY_DAY: &str = "2025-11-12";

fn account(files: &Files, _: usize) -> Outcome<Pair> {
    let (ours, parts) = timed(|| ours::account(&files.ledger(), WORKER))?;
    let (bare, rows) = timed(|| bare::select_worker(&files.ledger(), WORKER))?;
    if parts == 0 || rows == 0 {
        return Err("the worker has no readings".into());
    }
    Ok(Pair { ours, bare })
}

fn findings(files: &Files, _: usize) -> Outcome<Pair> {
    let day = parse_day(BUSY_DAY)?;
    let (ours, _) = timed(|| ours::findings_of(&files.ledger(), day))?;
    let (bare, people) = timed(|| bare::group_five_years(&files.ledger()))?;
    if people == 0 {
        return Err("nobody worked in five years".into());
    }
    Ok(Pair { ours, bare })
}

/// The month of that day.
const BUSY_MONTH: &str = "2025-11";

fn board(files: &Files, _: usize) -> Outcome<Pair> {
    files.make_badged()?;
    let day = parse_day(BUSY_DAY)?;
    let (ours, people) = timed(|| ours::board_of(&files.badged(), day))?;
    let (bare, sums) = timed(|| bare::group_five_years(&files.badged()))?;
    if people == 0 || sums == 0 {
        return Err("nobody is on the board".into());
    }
    Ok(Pair { ours, bare })
}

fn review(files: &Files, _: usize) -> Outcome<Pair> {
    files.make_badged()?;
    let (ours, people) = timed(|| ours::review_of(&files.badged(), BUSY_MONTH))?;
    let (bare, sums) = timed(|| bare::group_five_years(&files.badged()))?;
    if people == 0 || sums == 0 {
        return Err("nobody is in the review".into());
    }
    Ok(Pair { ours, bare })
}

fn a_year() -> Outcome<Span> {
    Ok(Span {
        first: parse_day("2025-01-01")?,
        last: parse_day("2025-12-31")?,
    })
}

fn crew(files: &Files, _: usize) -> Outcome<Pair> {
    files.make_badged()?;
    let year = a_year()?;
    let (ours, people) = timed(|| ours::crew_of(&files.badged(), year))?;
    let (bare, sums) = timed(|| bare::group_five_years(&files.badged()))?;
    if people == 0 || sums == 0 {
        return Err("nobody worked in five years".into());
    }
    Ok(Pair { ours, bare })
}

fn verify_chain(files: &Files, _: usize) -> Outcome<Pair> {
    let (ours, ()) = timed(|| ours::verify(&files.ledger(), false))?;
    let (bare, ()) = timed(|| bare::hash_entries(&files.ledger()))?;
    Ok(Pair { ours, bare })
}

fn verify_full(files: &Files, _: usize) -> Outcome<Pair> {
    let (ours, ()) = timed(|| ours::verify(&files.ledger(), true))?;
    let (bare, ()) = timed(|| {
        std::fs::copy(files.registers(), files.scratch())?;
        ours::import_sheets(&files.scratch(), &files.first())?;
        bare::integrity_check(&files.ledger())
    })?;
    Ok(Pair { ours, bare })
}

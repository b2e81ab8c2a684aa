//! Whether and when the report of each year was given to the authority, and to each person.

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, figures, under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::dose::annual_report::{
    ANNUAL, AnnualState, SentLine, annual_report, given, is_of_somebody, sent,
};
use crate::answer::review::desk::began;
use crate::answer::review::year::statements;
use crate::rule::RuleSet;

const COLUMNS: &[Column] = &[
    column("year", "year"),
    column("state", "report to the authority"),
    under("due", "due"),
    column("sent_on", "sent"),
    under("to", "to"),
    under("by", "by"),
    under("reference", "reference"),
    figures("entry", "entry"),
];

const PEOPLE: &[Column] = &[
    column("year", "year"),
    column("worker", "person"),
    column("state", "report of the own year"),
    column("given_on", "given"),
    under("by", "by"),
    under("reference", "reference"),
    figures("entry", "entry"),
];

/// The report of each year that a span touches.
///
/// # Errors
/// What cannot be read.
pub fn yearly_reports(
    house: &OpenHouse<'_>,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let rule_set = house.rule_set_on(desk.on)?;
    let title = "Yearly reports";
    let mut list = desk.list("yearly-reports", title, &[ANNUAL])?;
    let of = ("year or sending", "years or sendings");
    let mut part = RecordsPart::new("years", "To the authority", of, COLUMNS);
    let start = rule_set.year_start;
    for year in start.year_of(desk.span.first)..=start.year_of(desk.span.last) {
        part.rows.extend(rows(&desk, rule_set, year)?);
    }
    list.parts.push(part);
    let of = ("person and year", "people and years");
    let mut people = RecordsPart::new("people", "To each person", of, PEOPLE);
    for year in start.year_of(desk.span.first)..=start.year_of(desk.span.last) {
        people.rows.extend(people_rows(&desk, rule_set, year)?);
    }
    list.parts.push(people);
    list.notes.push(
        "A report to a person has no day by which it is given: what is owed and not on record is \
         told from the end of the year on. Written down by: wearbook review sent YEAR --worker \
         ID|all --performed-by NAME --on DATE"
            .to_owned(),
    );
    Ok(list)
}

/// Everybody of a year: one row a giving, or one that says that there is none.
fn people_rows(
    desk: &RecordsDesk<'_>,
    rule_set: &RuleSet,
    year: i32,
) -> Result<Vec<Vec<Cell>>, AnswerError> {
    let (house, on) = (desk.house, desk.on);
    let whole = rule_set.year_start.year(year);
    if whole.first > on {
        return Ok(Vec::new());
    }
    let statements = statements(house, year, on)?;
    let mut rows = Vec::new();
    let people = given(house, (year, whole.last), &statements, on)?;
    for (it, statement) in people.into_iter().zip(&statements) {
        // Of a year without any dose on record nobody knows whether it was owed.
        let unknown = statement.no_record && it.owed.is_none() && whole.last < on;
        let state = match (&it.owed, it.lacking) {
            (Some(why), true) => format!("OWED, NONE ON RECORD: {why}"),
            (Some(why), false) if whole.last >= on => format!("the year is not over; owed: {why}"),
            (Some(why), false) => format!("owed: {why}"),
            (None, _) if unknown => "no dose of it on record: it cannot tell".to_owned(),
            (None, _) => "on request, or as your own law says".to_owned(),
        };
        let head = [
            Cell::Count(i64::from(year)),
            Cell::Text(it.worker.clone()),
            Cell::Text(state),
        ];
        if it.given.is_empty() {
            let mut row = head.to_vec();
            // What is not owed, or not yet, lacks nothing.
            if it.lacking || unknown {
                row.push(Cell::NotOnRecord);
            }
            row.resize(PEOPLE.len(), Cell::None);
            rows.push(row);
        }
        for one in it.given {
            let mut row = head.to_vec();
            row.extend([
                Cell::Day(one.on),
                Cell::Text(one.by),
                Cell::text(one.reference),
                Cell::Count(one.entry),
            ]);
            rows.push(row);
        }
    }
    Ok(rows)
}

/// The rows of one year: one a sending, or one that says why there is none.
fn rows(
    desk: &RecordsDesk<'_>,
    rule_set: &RuleSet,
    year: i32,
) -> Result<Vec<Vec<Cell>>, AnswerError> {
    let (house, on) = (desk.house, desk.on);
    let last = rule_set.year_start.year(year).last;
    let standing = annual_report(house.snapshot, rule_set, year, on)?;
    let (state, due) = match &standing {
        Some(it) => (state_words(it.state), Cell::Day(it.due)),
        None => ("no day is named here: ask your authority", Cell::None),
    };
    let sent: Vec<SentLine> = match standing {
        Some(it) => it.sent,
        None => sent(house.snapshot, year, on, None)?,
    };
    let year_cell = Cell::Count(i64::from(year));
    if !sent.is_empty() {
        let row = |it: SentLine| {
            vec![
                year_cell.clone(),
                Cell::Text(format!("{state}{}", if it.late { ", LATE" } else { "" })),
                due.clone(),
                Cell::Day(it.on),
                Cell::Text(it.to),
                Cell::Text(it.by),
                Cell::text(it.reference),
                Cell::Count(it.entry),
            ]
        };
        return Ok(sent.into_iter().map(row).collect());
    }
    let before = began(house)?.is_some_and(|began| last < began);
    let cells = if before {
        let state = "over before this ledger began: it cannot tell";
        [Cell::Text(state.to_owned()), Cell::None, Cell::NotOnRecord]
    } else if !is_of_somebody(house, rule_set, year) {
        let state = Cell::Text("nobody was monitored".to_owned());
        [state, Cell::None, Cell::None]
    } else if last < on {
        [Cell::Text(state.to_owned()), due, Cell::NotOnRecord]
    } else {
        [Cell::Text(state.to_owned()), due, Cell::None]
    };
    let mut row = vec![year_cell];
    row.extend(cells);
    row.resize(COLUMNS.len(), Cell::None);
    Ok(vec![row])
}

fn state_words(state: AnnualState) -> &'static str {
    match state {
        AnnualState::NotOver => "the year is not over",
        AnnualState::Due => "NO SENDING ON RECORD, not overdue",
        AnnualState::Overdue => "NO SENDING ON RECORD, OVERDUE",
        AnnualState::Sent => "sent",
    }
}

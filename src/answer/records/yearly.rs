//! Whether and when the report of each year was given to the authority.

use super::{Cell, Column, Desk, RecordsAnswer, RecordsPart, RecordsSpan, column, figures, under};
use crate::answer::annual_report::{
    ANNUAL, AnnualState, SentLine, annual_report, is_of_somebody, sent,
};
use crate::answer::error::AnswerError;
use crate::answer::load::House;
use crate::answer::review::began;
use crate::ledger::Snapshot;
use crate::rule::Scheme;

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

/// The report of each year that a span touches.
///
/// # Errors
/// What cannot be read.
pub fn yearly_reports(
    snapshot: &Snapshot<'_>,
    house: &House,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let desk = Desk::new(snapshot, house, span);
    let scheme = house.scheme_on(desk.on)?;
    let title = "Yearly reports";
    let mut list = desk.list("yearly-reports", title, &[ANNUAL])?;
    let of = ("year or sending", "years or sendings");
    let mut part = RecordsPart::new("years", "To the authority", of, COLUMNS);
    let start = scheme.year_start;
    for year in start.year_of(desk.span.first)..=start.year_of(desk.span.last) {
        part.rows.extend(rows(&desk, scheme, year)?);
    }
    list.parts.push(part);
    let rule = match scheme.rule("worker-report") {
        Some(rule) => format!(" ({})", rule.cited()),
        None => String::new(),
    };
    list.notes.push(format!(
        "To each worker{rule}: whether the yearly report was handed over is not on record; the \
         ledger has no entry for it. Keep the signed copies."
    ));
    Ok(list)
}

/// The rows of one year: one a sending, or one that says why there is none.
fn rows(desk: &Desk<'_, '_>, scheme: &Scheme, year: i32) -> Result<Vec<Vec<Cell>>, AnswerError> {
    let (snapshot, house, on) = (desk.snapshot, desk.house, desk.on);
    let last = scheme.year_start.year(year).last;
    let standing = annual_report(snapshot, scheme, year, on)?;
    let (state, due) = match &standing {
        Some(it) => (state_words(it.state), Cell::Day(it.due)),
        None => ("no day is named here: ask your authority", Cell::None),
    };
    let sent: Vec<SentLine> = match standing {
        Some(it) => it.sent,
        None => sent(snapshot, year, on, None)?,
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
    let before = began(snapshot, house)?.is_some_and(|began| last < began);
    let cells = if before {
        let state = "over before this ledger began: it cannot tell";
        [Cell::Text(state.to_owned()), Cell::None, Cell::NotOnRecord]
    } else if !is_of_somebody(house, scheme, year) {
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

//! Opening totals: what is left of a year or month before the ledger, in which this licensee
//! measured, and of which nobody has the shifts any more. It is kept as dose received here
//! earlier, as a prior dose is, and so counts whole wherever its span is touched.

use super::{Column, Reader, Register, RowBodies, RowDesk, only, register, worker};
use crate::answer::same_name;
use crate::calendar::{Month, Span, YearStart};
use crate::intake::file::fields::Fields;
use crate::ledger::LedgerError;
use crate::record::{Adoption, PriorDose};
use crate::rule::RuleSet;

register!(OPENING: "worker" "opening-total" "opening-totals" "opening total",
RowDesk read_opening, [
    "worker" true "the person's id",
    "period" true "the licensee's year, such as `2024`, or a month, such as `2024-05`",
    "deep" true "deep dose of all of it",
    "lens" false "lens dose",
    "shallow" false "skin dose",
    "extremity" false "dose of the maximally exposed extremity",
    "source" true "where the total comes from: a form, a report, the old spreadsheet",
    "row" false "the number of its row in the office's own file, such as `117`",
]);

mod at {
    pub const WORKER: usize = 0;
    pub const PERIOD: usize = 1;
    pub const DEEP: usize = 2;
    pub const LENS: usize = 3;
    pub const SHALLOW: usize = 4;
    pub const EXTREMITY: usize = 5;
    pub const SOURCE: usize = 6;
}

fn read_opening(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let unit = desk.names.charter.dose_unit();
    let worker = worker(fields, desk.names, at::WORKER);
    let period = period(fields, desk)?;
    if fields.cell(at::DEEP).is_empty() {
        fields.fault(
            at::DEEP,
            "is missing",
            "the total, such as `412 mrem`; zero is one too",
        );
    }
    let (deep, lens) = (fields.dose(at::DEEP, unit), fields.dose(at::LENS, unit));
    let (shallow, extremity) = (
        fields.dose(at::SHALLOW, unit),
        fields.dose(at::EXTREMITY, unit),
    );
    let basis = fields.needed(at::SOURCE, "where the total comes from");
    let (Some(worker), Some(period), Some(deep), Some(basis)) = (worker, period, deep, basis)
    else {
        return Ok(None);
    };
    let employer = desk.names.charter.licensee.clone();
    // A year and a month of it would both count.
    let others = desk.snapshot.all::<PriorDose>()?;
    let overlaps = others.iter().find(|it| {
        let span = Span {
            first: it.body.first_day,
            last: it.body.last_day,
        };
        let here = same_name(&it.body.employer, &employer);
        it.body.worker == worker && here && span != period && span.overlaps(&period)
    });
    if let Some(it) = overlaps {
        let what = format!(
            "overlaps the total of {} to {} in entry {}: the dose would count twice",
            it.body.first_day, it.body.last_day, it.entry
        );
        let right = format!(
            "one total for each day; that one is voided by: wearbook entry void {}",
            it.entry
        );
        fields.fault(at::PERIOD, what, right);
        return Ok(None);
    }
    Ok(only(PriorDose {
        basis,
        deep_nsv: Some(deep),
        employer,
        extremity_nsv: extremity,
        first_day: period.first,
        last_day: period.last,
        lens_nsv: lens,
        row: None,
        shallow_nsv: shallow,
        worker,
    }))
}

/// The days of a year or a month that is over.
fn period(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Result<Option<Span>, LedgerError> {
    const RIGHT: &str = "a year such as `2024`, or a month such as `2024-05`";
    let Some(cell) = fields.needed(at::PERIOD, RIGHT) else {
        return Ok(None);
    };
    let year = cell
        .parse::<i32>()
        .ok()
        .filter(|it| (1950..=2200).contains(it));
    let span = match (year, Month::parse(&cell)) {
        (Some(year), _) if cell.len() == 4 => year_start(desk)?.year(year),
        (_, Ok(month)) => month.span(),
        _ => {
            fields.fault(at::PERIOD, "is neither a year nor a month", RIGHT);
            return Ok(None);
        }
    };
    if span.last >= desk.today {
        let what = format!("is not over: it ends on {}", span.last);
        let right = "months that are over, and the shifts since then as sheets";
        fields.fault(at::PERIOD, what, right);
        return Ok(None);
    }
    Ok(Some(span))
}

/// When the licensee's year begins, by the rule set adopted last.
fn year_start(desk: &RowDesk<'_>) -> Result<YearStart, LedgerError> {
    let adopted = desk.snapshot.all::<Adoption>()?;
    let newest = adopted.iter().max_by_key(|it| (it.body.from, it.entry));
    let rule_set = newest.and_then(|it| RuleSet::parse_adopted(&it.body.text).ok());
    Ok(rule_set.map_or_else(YearStart::default, |it| it.year_start))
}

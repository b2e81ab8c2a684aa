//! The dose with this licensee by job, client, kind of work and crew, with the exposures and hours
//! of source out that it was received at, and the same days a year before: what a yearly review of
//! the program looks at. The rows of each table add up to the whole.

use std::collections::{BTreeMap, HashMap};

use chrono::Months;

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, data, figures, under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::{NO_RECORD, keep_here};
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::crew::needed_by_all;
use crate::answer::dose::nobody::nobodys;
use crate::calendar::Span;
use crate::dose::by_sheet::by_sheet;
use crate::dose::index::DoseIndex;
use crate::dose::total::Total;
use crate::quantity::{Dose, Overflow};
use crate::record::{Job, RecordId, Ref, Sheet, Words};
use crate::rule::Quantity;

/// The row of dose that no sheet accounts for.
const NO_SHEET: &str = "belongs to no sheet";

const fn columns(group: Column) -> [Column; 13] {
    [
        group,
        under("detail", ""),
        figures("sheets", "sheets"),
        data("person_shifts", "person-shifts"),
        figures("exposures", "exposures"),
        figures("minutes_out", "minutes out"),
        data("sheets_with_exposures", "sheets that say exposures"),
        data("sheets_with_minutes", "sheets that say minutes"),
        figures("dose", "dose"),
        data("share", "share"),
        figures("per_exposure", "per exposure"),
        figures("per_hour", "per hour out"),
        figures("dose_before", "a year before"),
    ]
}

const BY_JOB: &[Column] = &columns(super::column("job", "job"));
const BY_CLIENT: &[Column] = &columns(super::column("client", "client"));
const BY_WORK: &[Column] = &columns(super::column("work", "work"));
const BY_CREW: &[Column] = &columns(super::column("crew", "crew"));

/// What is added up of a group of sheets.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    sheets: i64,
    people: i64,
    exposures: i64,
    with_exposures: i64,
    seconds: i64,
    with_seconds: i64,
    /// Nothing where no part of the account says anything.
    dose: Option<Dose>,
    open: bool,
    at_exposures: Dose,
    at_seconds: Dose,
}

/// The dose of one sheet, of all of its people.
#[derive(Debug, Clone, Copy, Default)]
struct OfSheet {
    dose: Option<Dose>,
    open: bool,
}

/// The doses of a span.
#[derive(Default)]
struct Taken {
    sheets: Vec<(RecordId, Sheet)>,
    doses: HashMap<RecordId, OfSheet>,
    no_sheet: OfSheet,
    whole: Total,
    safe: Total,
}

fn plus(to: &mut Option<Dose>, more: Option<Dose>) -> Result<(), Overflow> {
    if let Some(more) = more {
        *to = Some(to.unwrap_or(Dose::ZERO).checked_add(more)?);
    }
    Ok(())
}

impl OfSheet {
    fn add(&mut self, dose: Option<Dose>, open: bool) -> Result<(), Overflow> {
        self.open |= open;
        plus(&mut self.dose, dose)
    }
}

impl Taken {
    fn of(desk: &RecordsDesk<'_>, span: Span) -> Result<Taken, AnswerError> {
        let house = desk.house;
        let sheets = house.snapshot.sheets(span.first, span.last)?.into_iter();
        let mut taken = Taken {
            sheets: sheets.map(|it| (it.record, it.body)).collect(),
            ..Taken::default()
        };
        let needed = needed_by_all(house, house.rule_set_on(desk.on)?, span, span.last);
        for mut history in house.histories(needed)?.into_values() {
            keep_here(house, &mut history);
            for part in by_sheet(&history, span, Quantity::Deep)? {
                let of = match part.sheet {
                    Some(sheet) => taken.doses.entry(sheet).or_default(),
                    None => &mut taken.no_sheet,
                };
                of.add(part.dose, part.open)?;
            }
            let used = DoseIndex::build(&history)?.used(span, Quantity::Deep)?;
            taken.whole = taken.whole.plus(&used.account)?;
            taken.safe = taken.safe.plus(&used.safe)?;
        }
        Ok(taken)
    }

    fn is_empty(&self) -> bool {
        let nothing = self.whole.assessed == 0 && self.whole.unassessed == 0;
        nothing && self.sheets.is_empty()
    }

    /// The sums by a name that each sheet has.
    fn by(
        &self,
        name: impl Fn(&Sheet) -> (String, String),
    ) -> Result<BTreeMap<(String, String), Sum>, AnswerError> {
        let mut sums: BTreeMap<(String, String), Sum> = BTreeMap::new();
        for (record, sheet) in &self.sheets {
            let sum = sums.entry(name(sheet)).or_default();
            sum.add(sheet, self.doses.get(record).copied().unwrap_or_default())?;
        }
        Ok(sums)
    }
}

impl Sum {
    fn add(&mut self, sheet: &Sheet, of: OfSheet) -> Result<(), Overflow> {
        self.sheets += 1;
        self.people += i64::try_from(sheet.people.len()).unwrap_or(0);
        self.open |= of.open;
        plus(&mut self.dose, of.dose)?;
        let dose = of.dose.unwrap_or(Dose::ZERO);
        if let Some(exposures) = sheet.exposures {
            self.exposures = self.exposures.saturating_add(exposures);
            self.with_exposures += 1;
            self.at_exposures = self.at_exposures.checked_add(dose)?;
        }
        if let Some(seconds) = sheet.source_out_s {
            self.seconds = self.seconds.saturating_add(seconds);
            self.with_seconds += 1;
            self.at_seconds = self.at_seconds.checked_add(dose)?;
        }
        Ok(())
    }
}

/// A dose divided, rounded up to a hundredth of a microsievert.
fn each(dose: Dose, times: i64, by: i64) -> Option<Dose> {
    const STEP: i128 = 10;
    if by <= 0 {
        return None;
    }
    let by = i128::from(by) * STEP;
    let whole = i128::from(dose.nsv()) * i128::from(times);
    let steps = (whole + by - 1).div_euclid(by);
    i64::try_from(steps * STEP).ok().map(Dose::from_nsv)
}

/// The dose of a span by job, client, work and crew.
///
/// # Errors
/// What cannot be read.
pub fn breakdown(house: &OpenHouse<'_>, span: RecordsSpan) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let title = format!("{} by job, client, work and crew", house.terms().heading());
    let mut list = desk.list("breakdown", &title, &["programme-review"])?;
    let before_span = a_year_before(desk.span);
    let now = Taken::of(&desk, desk.span)?;
    let before = match before_span.last < desk.span.first {
        true => Taken::of(&desk, before_span)?,
        false => Taken::default(),
    };
    list.notes.extend(desk.said(&now, &before, before_span)?);
    let jobs = desk.by(
        ("jobs", ("job", "jobs")),
        "By job",
        BY_JOB,
        (&now, &before),
        |it| job(house, it),
    )?;
    let mut clients = desk.by(
        ("clients", ("row", "rows")),
        "By client",
        BY_CLIENT,
        (&now, &before),
        |it| {
            (
                client(house, it).unwrap_or_else(|| Cell::NotOnRecord.words()),
                String::new(),
            )
        },
    )?;
    let named = now.sheets.iter().chain(&before.sheets);
    if named.clone().all(|(_, it)| client(house, it).is_none()) {
        clients.rows.clear();
        clients.sums = 0;
        clients.none = "No job of these days names its client (wearbook entry correct ENTRY \
                        client=NAME)."
            .to_owned();
    }
    let works = desk.by(
        ("works", ("kind of work", "kinds of work")),
        "By kind of work",
        BY_WORK,
        (&now, &before),
        |it| (it.work.word().to_owned(), String::new()),
    )?;
    let crews = desk.by(
        ("crews", ("crew", "crews")),
        "By crew",
        BY_CREW,
        (&now, &before),
        |it| {
            let mut people: Vec<String> = it
                .people
                .iter()
                .map(|it| house.names.words(&it.worker))
                .collect();
            people.sort();
            (people.join(", "), String::new())
        },
    )?;
    list.parts = vec![jobs, clients, works, crews];
    Ok(list)
}

/// The same days a year before.
fn a_year_before(span: Span) -> Span {
    let year = Months::new(12);
    let first = span.first.checked_sub_months(year).unwrap_or(span.first);
    let after = span.last.succ_opt().unwrap_or(span.last);
    let after = after.checked_sub_months(year).unwrap_or(after);
    Span {
        first,
        last: after.pred_opt().unwrap_or(after),
    }
}

fn job(house: &House, sheet: &Sheet) -> (String, String) {
    let known = sheet.job.number().and_then(|it| house.names.job_body(it));
    match (&sheet.job, known) {
        (_, Some(it)) => (it.id.clone(), it.place.clone()),
        (Ref::Written(words), _) => (words.clone(), "not in the register".to_owned()),
        (Ref::Known(_), None) => (house.names.words(&sheet.job), String::new()),
    }
}

fn client(house: &House, sheet: &Sheet) -> Option<String> {
    let job: &Job = sheet.job.number().and_then(|it| house.names.job_body(it))?;
    let client = job.client.as_deref()?.trim();
    (!client.is_empty()).then(|| client.to_owned())
}

impl RecordsDesk<'_> {
    /// What the tables are of.
    fn said(
        &self,
        now: &Taken,
        before: &Taken,
        before_span: Span,
    ) -> Result<Vec<String>, AnswerError> {
        let mut notes = Vec::new();
        let (first, last) = (before_span.first, before_span.last);
        notes.push(match before.is_empty() {
            _ if last >= self.span.first => {
                "These are more days than a year: no year before stands beside them.".to_owned()
            }
            true => format!("A year before: {first} to {last}, of which the ledger holds nothing."),
            false => format!("A year before: {first} to {last}."),
        });
        notes.push(format!(
            "All together {}; conservative total {}. Dose with this licensee, by the badge \
            results, \
             determinations and readings as they stand, without planned special exposures.",
            now.whole.text(self.house.unit()),
            now.safe.text(self.house.unit())
        ));
        notes.push(format!(
            "`{NO_SHEET}`: results and determinations that no shift's reading explains, and dose \
             from before the ledger. Per exposure and per hour out: the dose of the sheets that \
             say exposures or minutes, divided by them and rounded up."
        ));
        match nobodys(self.house)?.len() {
            0 => {}
            1 => notes
                .push("1 result is unassigned and is in no figure: wearbook badge list".to_owned()),
            count => notes.push(format!(
                "{count} unassigned badge results are not in any figure: wearbook badge list"
            )),
        }
        Ok(notes)
    }

    fn by(
        &self,
        (key, of): (&'static str, (&'static str, &'static str)),
        title: &str,
        columns: &'static [Column],
        (now, before): (&Taken, &Taken),
        name: impl Fn(&Sheet) -> (String, String),
    ) -> Result<RecordsPart, AnswerError> {
        let mut part = RecordsPart::new(key, title, of, columns);
        let sums = now.by(&name)?;
        let mut sums_before = before.by(&name)?;
        let mut rows: Vec<((String, String), Sum, Option<Sum>)> = Vec::new();
        for (name, sum) in sums {
            let before = sums_before.remove(&name);
            rows.push((name, sum, before));
        }
        let gone = sums_before.into_iter();
        rows.extend(gone.map(|(name, before)| (name, Sum::default(), Some(before))));
        if rows.is_empty() && now.is_empty() {
            part.none = "No sheet and no dose of these days is on record.".to_owned();
            return Ok(part);
        }
        rows.sort_by_key(|it| std::cmp::Reverse(it.1.dose.unwrap_or(Dose::ZERO)));
        let whole = now.whole.known();
        let none_before = before.is_empty();
        for ((name, detail), sum, earlier) in rows {
            let earlier = match (none_before, earlier) {
                (true, _) => None,
                (false, it) => Some(it.unwrap_or_default()),
            };
            part.rows
                .push(self.row(&name, &detail, &sum, earlier, whole));
        }
        let no_sheet = |of: OfSheet| Sum {
            dose: of.dose.or((!of.open).then_some(Dose::ZERO)),
            open: of.open,
            ..Sum::default()
        };
        let earlier = (!none_before).then(|| no_sheet(before.no_sheet));
        part.rows
            .push(self.row(NO_SHEET, "", &no_sheet(now.no_sheet), earlier, whole));
        part.rows.push(self.whole_row(now, before)?);
        // What belongs to no sheet, and the whole.
        part.sums = 2;
        Ok(part)
    }

    fn whole_row(&self, now: &Taken, before: &Taken) -> Result<Vec<Cell>, AnswerError> {
        let mut sum = Sum::default();
        for (record, sheet) in &now.sheets {
            sum.add(sheet, now.doses.get(record).copied().unwrap_or_default())?;
        }
        let mut row = self.row("whole", "", &sum, None, now.whole.known());
        let set = |row: &mut Vec<Cell>, key: &str, cell: Cell| {
            let place = BY_JOB.iter().position(|it| it.key == key);
            if let Some(at) = place.and_then(|at| row.get_mut(at)) {
                *at = cell;
            }
        };
        set(&mut row, "dose", self.total(&now.whole));
        set(&mut row, "share", Cell::None);
        let earlier = match before.is_empty() {
            true => Cell::Text(NO_RECORD.to_owned()),
            false => self.total(&before.whole),
        };
        set(&mut row, "dose_before", earlier);
        Ok(row)
    }

    fn row(
        &self,
        name: &str,
        detail: &str,
        sum: &Sum,
        before: Option<Sum>,
        whole: Dose,
    ) -> Vec<Cell> {
        let is_of_sheets = sum.sheets > 0;
        let if_of_sheets = |cell: Cell| if is_of_sheets { cell } else { Cell::None };
        let said = |with: i64, count: i64| match with {
            0 => Cell::NotOnRecord,
            with if with < sum.sheets => Cell::AtLeast(count),
            _ => Cell::Count(count),
        };
        let rate = |dose: Dose, times: i64, by: i64| match each(dose, times, by) {
            Some(dose) => self.figure(dose, sum.open),
            None => Cell::None,
        };
        let share = sum.dose.filter(|_| whole > Dose::ZERO).map(|dose| {
            let permille = i128::from(dose.nsv()) * 1000 / i128::from(whole.nsv());
            format!("{}.{} %", permille / 10, permille % 10)
        });
        let dose_of = |sum: &Sum| match (sum.dose, sum.open, sum.sheets) {
            (Some(dose), open, _) => self.figure(dose, open),
            (None, true, _) => Cell::Text("not assessed".to_owned()),
            (None, false, 0) => Cell::Text("no sheet".to_owned()),
            (None, false, _) => Cell::Text("none by sheet".to_owned()),
        };
        vec![
            Cell::Text(name.to_owned()),
            match detail {
                "" => Cell::None,
                detail => Cell::Text(detail.to_owned()),
            },
            if_of_sheets(Cell::Count(sum.sheets)),
            if_of_sheets(Cell::Count(sum.people)),
            if_of_sheets(said(sum.with_exposures, sum.exposures)),
            if_of_sheets(said(sum.with_seconds, sum.seconds / 60)),
            if_of_sheets(Cell::Count(sum.with_exposures)),
            if_of_sheets(Cell::Count(sum.with_seconds)),
            dose_of(sum),
            share.map_or(Cell::None, Cell::Text),
            rate(sum.at_exposures, 1, sum.exposures),
            rate(sum.at_seconds, 3600, sum.seconds),
            before.as_ref().map_or(Cell::None, dose_of),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(first: &str, last: &str) -> Span {
        Span {
            first: first.parse().unwrap(),
            last: last.parse().unwrap(),
        }
    }

    #[test]
    fn the_days_a_year_before_end_where_the_year_ends() {
        for (now, before) in [
            (("2026-01-01", "2026-12-31"), ("2025-01-01", "2025-12-31")),
            (("2025-02-01", "2025-02-28"), ("2024-02-01", "2024-02-29")),
            (("2024-02-01", "2024-02-29"), ("2023-02-01", "2023-02-28")),
            (("2026-06-05", "2026-06-05"), ("2025-06-05", "2025-06-05")),
        ] {
            assert_eq!(a_year_before(span(now.0, now.1)), span(before.0, before.1));
        }
    }

    #[test]
    fn a_dose_that_is_divided_is_rounded_up_and_never_by_nothing() {
        let each = |dose, times, by| each(Dose::from_nsv(dose), times, by).map(Dose::nsv);
        assert_eq!(each(100_000, 1, 3), Some(33_340));
        assert_eq!(each(100_000, 1, 10), Some(10_000));
        assert_eq!(each(100_000, 3600, 1800), Some(200_000));
        assert_eq!(each(0, 1, 3), Some(0));
        assert_eq!(each(100_000, 1, 0), None);
    }
}

//! What a processor reports of a badge. A cell is a dose with its unit; a number without one
//! takes the unit of the row, and where the row names none it is refused. What is not a
//! number is below the minimum only if it is a `<` value, or a code that somebody named: what
//! a code means differs between processors, and a wrong guess would be a dose of zero.

use chrono::{DateTime, FixedOffset};

use super::badge::past_day;
use super::wear::{Found, find_wear, refused};
use super::{Column, Reader, Register, RowBodies, RowDesk, only, register};
use crate::answer::{Moment, Roughly};
use crate::calendar::{Day, LocalTime, When};
use crate::intake::file::fields::Fields;
use crate::ledger::{LedgerError, WearRow};
use crate::quantity::{Dose, DoseUnit, QuantityError};
use crate::record::{Badge, BadgeResult, BadgeType, Ref, Reported};

register!(RESULTS: "badge" "result" "results" "result of a badge", RowDesk read_result, [
    "badge" true "its number, or `NUMBER/FIRST_DAY` where the number is used again",
    "first_day" false "first day of wear, where the report has it",
    "report" true "the processor's number of the report",
    "reported_on" true "the report's date",
    "unit" false "unit of the cells that have none: mrem, rem, mSv or uSv",
    "deep" false "deep dose: a dose, `<10 mrem`, or a code of below_code",
    "lens" false "lens dose",
    "shallow" false "shallow dose",
    "extremity" false "dose of the extremity",
    "minimum" false "least dose that the processor reports; a lower one is held",
    "below_code" false "codes for less than that, with ` / ` between, such as `M / ND`",
    "gross" false "gross value of a control badge",
    "year_to_date" false "the processor's own deep dose of the year",
    "received_at" false "when anyone here first had it, by telephone too: a moment or a day",
]);

/// Places of the columns. Those from the unit to the codes are the same in the register of
/// reads, so that one reader serves both.
mod at {
    pub const BADGE: usize = 0;
    pub const FIRST_DAY: usize = 1;
    pub const REPORT: usize = 2;
    pub const REPORTED_ON: usize = 3;
    pub const UNIT: usize = 4;
    pub const DEEP: usize = 5;
    pub const LENS: usize = 6;
    pub const SHALLOW: usize = 7;
    pub const EXTREMITY: usize = 8;
    pub const MINIMUM: usize = 9;
    pub const BELOW_CODE: usize = 10;
    pub const GROSS: usize = 11;
    pub const YEAR_TO_DATE: usize = 12;
    pub const RECEIVED_AT: usize = 13;
}

fn read_result(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let report = fields.needed(at::REPORT, "the processor's number of the report");
    let reported_on = past_day(fields, desk, at::REPORTED_ON);
    let received_at = read_received(fields, desk);
    let doses = read_doses(fields, |fields, unit| {
        let gross = read_dose(fields, at::GROSS, unit);
        (gross, read_dose(fields, at::YEAR_TO_DATE, unit))
    });
    let Some((values, (gross, year_to_date))) = doses else {
        fields.needed(at::BADGE, "the number on the badge");
        return Ok(None);
    };
    let (Some(report), Some(reported_on), Some(received_at)) = (report, reported_on, received_at)
    else {
        fields.needed(at::BADGE, "the number on the badge");
        return Ok(None);
    };
    let Some((badge, wear)) = whose(fields, desk, &report, reported_on)? else {
        return Ok(None);
    };
    let kind = wear.as_ref().map(|it| it.kind);
    let Some([deep, lens, shallow, extremity]) = placed(fields, kind, values, gross.is_some())
    else {
        return Ok(None);
    };
    if wear.is_some_and(|it| it.on_demand) {
        fields.fault(
            at::BADGE,
            "is read on demand and goes to no processor",
            "the day and the dose of its read: wearbook badge read",
        );
        return Ok(None);
    }
    Ok(only(BadgeResult {
        badge,
        deep,
        extremity,
        gross_nsv: gross,
        held: Vec::new(),
        lens,
        received_at,
        report,
        reported_on,
        shallow,
        total_nsv: None,
        year_to_date_nsv: year_to_date,
    }))
}

/// When anyone here first had the result, where the row says so; the outer nothing where that
/// cannot be read. A clock of learning starts then, whoever wrote it down when.
fn read_received(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Option<Option<String>> {
    const RIGHT: &str = "local time, `2026-05-19T10:40`, or a day, `2026-05-19`";
    let cell = fields.cell(at::RECEIVED_AT).to_owned();
    if cell.is_empty() {
        return Some(None);
    }
    let zone = desk.names.zone;
    let local = |at: DateTime<FixedOffset>| at.format("%Y-%m-%dT%H:%M%:z").to_string();
    let stored = match Roughly::parse(&cell) {
        Ok(Roughly::Words(words)) => Ok(words),
        Ok(Roughly::At(Moment::Fixed(at))) => Ok(local(zone.local(at))),
        Ok(Roughly::At(Moment::Local(day, time))) => match zone.at(day, time) {
            LocalTime::Once(at) => Ok(local(at)),
            LocalTime::Twice(..) => Err("is two moments: the clocks went back over it".to_owned()),
            LocalTime::Never => Err("is no time: the clocks went forward over it".to_owned()),
        },
        Err(what) => Err(what),
    };
    let future = |text: &str| {
        let when = When::parse(text, zone).ok();
        let earliest = when.and_then(|it| it.earliest);
        earliest.is_some_and(|at| zone.local_day(at) > desk.today)
    };
    match stored {
        Ok(text) if future(&text) => {
            fields.fault(at::RECEIVED_AT, "is in the future", RIGHT);
            None
        }
        Ok(text) => Some(Some(text)),
        Err(what) => {
            fields.fault(at::RECEIVED_AT, what, RIGHT);
            None
        }
    }
}

/// A badge, or its number as written, and its wear period where the ledger knows it.
type Whose = (Ref<Badge>, Option<Box<WearRow>>);

/// The badge that the result is of, and its wear period where the ledger knows it. A number that
/// the ledger does not know stays as written: a spare.
fn whose(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    report: &str,
    reported_on: Day,
) -> Result<Option<Whose>, LedgerError> {
    let Some(cell) = fields.needed(at::BADGE, "the number on the badge") else {
        return Ok(None);
    };
    let given = !fields.cell(at::FIRST_DAY).is_empty();
    let first_day = fields.day(at::FIRST_DAY);
    if given && first_day.is_none() {
        return Ok(None);
    }
    let name = match first_day {
        Some(day) if !cell.contains('/') => format!("{cell}/{day}"),
        _ => cell,
    };
    let said = |it: &WearRow| it.results.iter().any(|result| result.report == report);
    let over = |it: &WearRow| it.results.is_empty() && it.worn_until() <= reported_on;
    let open = |it: &WearRow| it.results.is_empty();
    let found = find_wear(desk.snapshot, &name, reported_on, &said, &[&over, &open])?;
    Ok(match found {
        Found::Wear(wear) | Found::NotYet(wear) => Some((Ref::to(wear.record), Some(wear))),
        Found::Unknown(_) => Some((Ref::Written(name), None)),
        Found::Several(_) => {
            if let Some((what, right)) = refused(&found) {
                fields.fault(at::BADGE, what, right);
            }
            None
        }
    })
}

/// Deep, lens, shallow, extremity.
pub(super) type Values = [Option<Reported>; 4];

/// Reads every dose of one row, and what `besides` reads; nothing where one of them cannot be
/// read.
pub(super) fn read_doses<T>(
    fields: &mut Fields<'_>,
    besides: impl FnOnce(&mut Fields<'_>, Option<DoseUnit>) -> T,
) -> Option<(Values, T)> {
    let before = fields.faults.count();
    let unit = read_unit(fields);
    let minimum = read_dose(fields, at::MINIMUM, unit);
    let codes: Vec<&str> = fields
        .cell(at::BELOW_CODE)
        .split(" / ")
        .map(str::trim)
        .filter(|code| !code.is_empty())
        .collect();
    let values = [at::DEEP, at::LENS, at::SHALLOW, at::EXTREMITY]
        .map(|column| read_reported(fields, column, unit, minimum, &codes));
    let besides = besides(fields, unit);
    let sound = fields.faults.count() == before;
    sound.then_some((values, besides))
}

fn read_unit(fields: &mut Fields<'_>) -> Option<DoseUnit> {
    let cell = fields.cell(at::UNIT);
    if cell.is_empty() {
        return None;
    }
    match cell.parse::<DoseUnit>() {
        Ok(unit) => Some(unit),
        Err(error) => {
            fields.fault(at::UNIT, error.to_string(), "mrem, rem, mSv or uSv");
            None
        }
    }
}

pub(super) fn read_dose(
    fields: &mut Fields<'_>,
    column: usize,
    unit: Option<DoseUnit>,
) -> Option<Dose> {
    let cell = fields.cell(column);
    if cell.is_empty() {
        return None;
    }
    match Dose::parse(cell, unit) {
        Ok(dose) => Some(dose),
        Err(error) => {
            fault_of(fields, column, &error);
            None
        }
    }
}

/// One reported value. What is below the minimum counts as zero and keeps its words.
fn read_reported(
    fields: &mut Fields<'_>,
    column: usize,
    unit: Option<DoseUnit>,
    minimum: Option<Dose>,
    codes: &[&str],
) -> Option<Reported> {
    let cell = fields.cell(column);
    if cell.is_empty() {
        return None;
    }
    let (below, least, written) = match cell.strip_prefix('<') {
        _ if codes.iter().any(|code| code.eq_ignore_ascii_case(cell)) => {
            (true, minimum, cell.to_owned())
        }
        Some(least) => match Dose::parse(least, unit) {
            Ok(least) => (true, Some(least), with_unit(cell, unit)),
            Err(error) => {
                fault_of(fields, column, &error);
                return None;
            }
        },
        None => (false, None, String::new()),
    };
    if below {
        return Some(Reported {
            below,
            minimum_nsv: least,
            nsv: Dose::ZERO,
            written,
        });
    }
    match Dose::parse(cell, unit) {
        // A dose that the report itself says it cannot tell is kept with the minimum, and held.
        Ok(dose) => Some(Reported {
            below,
            minimum_nsv: minimum.filter(|least| dose > Dose::ZERO && dose < *least),
            nsv: dose,
            written: with_unit(cell, unit),
        }),
        Err(error) => {
            fault_of(fields, column, &error);
            None
        }
    }
}

/// A number as written, with the unit that the row gives it: alone it would say nothing.
fn with_unit(cell: &str, unit: Option<DoseUnit>) -> String {
    match (unit, cell.chars().next_back()) {
        (Some(unit), Some(last)) if last.is_ascii_digit() => format!("{cell} {}", unit.symbol()),
        _ => cell.to_owned(),
    }
}

fn fault_of(fields: &mut Fields<'_>, column: usize, error: &QuantityError) {
    let cell = fields.cell(column);
    let right = match error {
        QuantityError::NoUnit { .. } => {
            "a dose such as `12 mrem`, or the unit of the whole row in `unit`".to_owned()
        }
        QuantityError::NotANumber { .. } if !cell.contains(|it: char| it.is_ascii_digit()) => {
            format!(
                "a dose such as `12 mrem`; if `{cell}` is the report's code for less than it can \
                 measure, name it as below_code (--below-code, --below) with the minimum"
            )
        }
        _ => "a dose such as `12 mrem`, or `<10 mrem`".to_owned(),
    };
    fields.unreadable(column, error, &right);
}

/// Puts the values where they belong on a badge of this kind. Reports give the one figure of
/// an extremity badge under one heading or another; more than one cannot be told apart.
pub(super) fn placed(
    fields: &mut Fields<'_>,
    kind: Option<BadgeType>,
    values: Values,
    gross: bool,
) -> Option<Values> {
    let given = values.iter().filter(|it| it.is_some()).count();
    let nothing = given == 0 && gross;
    match kind {
        Some(BadgeType::Extremity) if given > 1 => {
            fields.fault(
                at::BADGE,
                "is an extremity badge and has more than one dose",
                "its dose under extremity, the others blank",
            );
            None
        }
        Some(BadgeType::Extremity) => {
            let only = values.into_iter().flatten().next();
            Some([None, None, None, only])
        }
        Some(BadgeType::WholeBody) if nothing => {
            fields.fault(
                at::BADGE,
                "is worn by a person and has a gross value alone",
                "the dose as reported, net of the control badge",
            );
            None
        }
        _ => Some(values),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::entry::fault::Faults;
    use crate::intake::file::columns::{Columns, Row};

    #[test]
    fn what_is_no_dose_is_below_the_minimum_only_where_somebody_said_so() {
        // A cell of deep, the row's unit, minimum and codes; what is read, or `refused`.
        for (cell, unit, minimum, codes, expected) in [
            ("31", "mrem", "", "", "310000 `31 mrem`"),
            ("0.31 mSv", "mrem", "", "", "310000 `0.31 mSv`"),
            ("31", "", "", "", "refused"),
            ("0", "mrem", "10", "M", "0 `0 mrem`"),
            ("1", "mrem", "10", "M", "10000 of 100000 `1 mrem`"),
            ("9.9", "mrem", "0.1 mSv", "", "99000 of 100000 `9.9 mrem`"),
            ("10", "mrem", "10", "M", "100000 `10 mrem`"),
            ("M", "mrem", "10", "M", "below 100000 `M`"),
            ("nd", "mrem", "10", "M / ND", "below 100000 `nd`"),
            ("M", "mrem", "", "M", "below nothing `M`"),
            ("M", "mrem", "10", "", "refused"),
            ("MR", "mrem", "10", "M / ND", "refused"),
            ("<10", "mrem", "", "", "below 100000 `<10 mrem`"),
            ("<0.1 mSv", "", "", "", "below 100000 `<0.1 mSv`"),
            ("<10", "mrem", "20", "<10", "below 200000 `<10`"),
            ("<M", "mrem", "10", "M", "refused"),
            ("< ", "mrem", "10", "M", "refused"),
            ("-3", "mrem", "10", "M", "refused"),
            ("1e2", "mrem", "10", "M", "refused"),
        ] {
            let mut cells = vec![String::new(); RESULTS.names.len()];
            for (column, text) in [
                (at::DEEP, cell),
                (at::UNIT, unit),
                (at::MINIMUM, minimum),
                (at::BELOW_CODE, codes),
            ] {
                cells[column] = text.to_owned();
            }
            let mut faults = Faults::default();
            let mut fields = Fields {
                columns: &Columns::whole(RESULTS.names),
                row: &Row::typed(cells),
                faults: &mut faults,
            };
            let deep = read_doses(&mut fields, |_, _| ()).and_then(|(values, ())| {
                let [deep, ..] = values;
                deep
            });
            let read = match deep {
                None => "refused".to_owned(),
                Some(it) if it.below => {
                    let least = it.minimum_nsv.map(|it| it.nsv().to_string());
                    let least = least.unwrap_or_else(|| "nothing".to_owned());
                    format!("below {least} `{}`", it.written)
                }
                Some(it) => match it.minimum_nsv {
                    None => format!("{} `{}`", it.nsv.nsv(), it.written),
                    Some(least) => format!("{} of {} `{}`", it.nsv.nsv(), least.nsv(), it.written),
                },
            };
            assert_eq!(read, expected, "{cell} {unit} {minimum} {codes}");
            assert_eq!(faults.any(), expected == "refused", "{cell} {unit}");
        }
    }
}

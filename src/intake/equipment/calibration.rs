//! Calibrations and response checks with their points: rows of one check become one record,
//! judged by the rule set before it is written.

use crate::answer::{Assessment, House, assess_check};
use crate::calendar::Day;
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::label::{label, or_fault};
use crate::intake::entry::taken::Taken;
use crate::intake::file::columns::{Columns, Row};
use crate::intake::file::fields::Fields;
use crate::intake::file::grouped::{Batch, Shape, each_group};
use crate::intake::register::equipment;
use crate::ledger::{Instant, Writer, Written};
use crate::quantity::DoseRate;
use crate::record::{Body, Check, CheckPoint, CheckResult, CheckType, Instrument, Record};

/// The columns of a calibration file: a row a point.
pub const CALIBRATION_COLUMNS: &[&str] = &[
    "instrument",
    "on",
    "type",
    "performed_by",
    "certificate",
    "as",
    "scale",
    "true",
    "reads",
    "result",
    "row",
];

mod at {
    pub const INSTRUMENT: usize = 0;
    pub const ON: usize = 1;
    pub const KIND: usize = 2;
    pub const BY: usize = 3;
    pub const CERTIFICATE: usize = 4;
    pub const AS: usize = 5;
    pub const SCALE: usize = 6;
    pub const TRUE: usize = 7;
    pub const READS: usize = 8;
    pub const RESULT: usize = 9;
    pub const ROW: usize = 10;
}

/// Columns that each point has for itself.
pub(crate) const OF_A_POINT: &[&str] = &["as", "scale", "true", "reads"];

/// Columns that a file must have.
pub const CALIBRATION_NEEDED: &[&str] = &["instrument", "on", "type", "performed_by", "as", "true"];

const SHAPE: Shape = Shape {
    names: CALIBRATION_COLUMNS,
    needed: CALIBRATION_NEEDED,
    head: &[at::ROW, at::INSTRUMENT, at::ON, at::KIND],
    what: "check",
};

/// What a check that was taken in says of its instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessed {
    /// The instrument's id.
    pub instrument: String,
    /// The day.
    pub on: Day,
    /// What its points say.
    pub assessment: Assessment,
}

/// Takes in checks with points inside a write: all of them or none.
pub fn take_calibrations(
    writer: &mut Writer<'_>,
    now: Instant,
    batch: Batch<'_>,
) -> Result<(Taken, Vec<Assessed>), IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let today = house.today(now);
    let mut faults = Faults::default();
    let mut taken = Taken::default();
    let mut all = Vec::new();
    let transcribed = batch.is_transcribed();
    let batch = batch.open((writer, &house.names), &SHAPE, (&mut taken, &mut faults))?;
    let file = each_group(&SHAPE, batch, &mut faults, |columns, rows, faults| {
        let line = rows.first().and_then(|row| row.line);
        let before = faults.list.len();
        let read = read(&house, today, columns, rows, faults);
        let Some((check, assessment)) = read.filter(|_| faults.list.len() == before) else {
            return Ok(());
        };
        let instrument = house.names.label(check.instrument.number());
        let on = check.on;
        let mut body = Body::from(check);
        columns.number(rows, &mut body);
        let key = label(&house.names, &body);
        let written = writer.append(body, transcribed);
        let written = or_fault(writer, &house.names, (line, &key), written, faults)?;
        if let Some(written) = written {
            taken.put(line, "check", key, written);
            if matches!(written, Written::New { .. }) {
                all.push(Assessed {
                    instrument,
                    on,
                    assessment,
                });
            }
        }
        Ok(())
    })?;
    if faults.any() {
        return Err(faults.refuse(file.as_deref(), Vec::new()));
    }
    Ok((taken.ending(writer.head()), all))
}

/// What is wrong with the rows of one check.
pub(crate) fn faults_of(house: &House, today: Day, rows: &[Row]) -> Vec<Fault> {
    let mut faults = Faults::default();
    let columns = Columns::whole(CALIBRATION_COLUMNS);
    read(house, today, &columns, rows, &mut faults);
    faults.list
}

fn read(
    house: &House,
    today: Day,
    columns: &Columns,
    rows: &[Row],
    faults: &mut Faults,
) -> Option<(Check, Assessment)> {
    let first = rows.first()?;
    let mut fields = Fields {
        columns,
        row: first,
        faults,
    };
    let record = equipment::<Instrument>(&mut fields, &house.names, at::INSTRUMENT);
    let on = fields.needed_day(at::ON);
    let kind = fields.needed_word::<CheckType>(at::KIND);
    let by = fields.needed(at::BY, "who did it");
    let certificate = fields.text(at::CERTIFICATE);
    let said = fields.word::<CheckResult>(at::RESULT);
    let record = record?;
    let known = house.names.instrument_body(record.number())?;
    if let Some(on) = on {
        let first_day = house.names.in_service(record.number());
        if on > today {
            let what = format!("is in the future: today is {today}");
            fields.fault(at::ON, what, "the day of the check");
        } else if let Some(from) = first_day.filter(|from| on < *from) {
            let what = format!("is before it came into service on {from}");
            fields.fault(at::ON, what, format!("a day from {from} on"));
        }
    }
    let mut points = Vec::new();
    for row in rows {
        points.extend(point(columns, row, first, known, faults));
    }
    let check = Check {
        by: by?,
        certificate,
        instrument: record,
        on: on?,
        points,
        result: said.unwrap_or(CheckResult::Pass),
        row: None,
        kind: kind?,
    };
    judge(house, check, said, known, rows, faults)
}

/// One point of a row.
fn point(
    columns: &Columns,
    row: &Row,
    first: &Row,
    instrument: &Instrument,
    faults: &mut Faults,
) -> Option<CheckPoint> {
    let mut fields = Fields {
        columns,
        row,
        faults,
    };
    for column in [at::BY, at::CERTIFICATE, at::RESULT] {
        let (cell, of_first) = (columns.cell(row, column), columns.cell(first, column));
        if !cell.is_empty() && cell != of_first {
            let what = format!("differs from `{of_first}` on the first row of this check");
            let right = "the same on all its rows, or blank below the first";
            fields.fault(column, what, right);
        }
    }
    let as_left = match fields.cell(at::AS).to_lowercase().as_str() {
        "found" => Some(false),
        "left" => Some(true),
        _ => {
            let right = "found, before anything was adjusted, or left, after it";
            fields.fault(at::AS, "is not when a point is taken", right);
            None
        }
    };
    let true_value = fields.needed(at::TRUE, "the true rate or dose, with its unit");
    let scale = fields.text(at::SCALE);
    if let Some(scale) = &scale
        && !instrument.scales.is_empty()
        && !instrument.scales.contains(scale)
    {
        let right = format!("one of {}", instrument.scales.join(" / "));
        fields.fault(at::SCALE, "is no scale of this meter", right);
    }
    if scale.is_none() && instrument.scales.len() > 1 {
        let right = format!("one of {}", instrument.scales.join(" / "));
        fields.fault(
            at::SCALE,
            "is missing at a meter with several scales",
            right,
        );
    }
    if let (Some(text), Some(true_value)) = (&scale, &true_value)
        && let (Ok(full), Ok(rate)) = (
            DoseRate::parse_meter_rate(text, None),
            DoseRate::parse_meter_rate(true_value, None),
        )
        && rate > full
    {
        let what = format!("is above the full scale of `{text}`");
        let right = "the true rate at this point, or the scale that it was read on";
        fields.fault(at::TRUE, what, right);
    }
    Some(CheckPoint {
        as_left: as_left?,
        reads: fields.text(at::READS),
        scale,
        true_value: true_value?,
    })
}

/// Judges the points. A result that they contradict could mean two things and is refused.
fn judge(
    house: &House,
    mut check: Check,
    said: Option<CheckResult>,
    instrument: &Instrument,
    rows: &[Row],
    faults: &mut Faults,
) -> Option<(Check, Assessment)> {
    let line = rows.first().and_then(|row| row.line);
    let rule_set = match house.rule_set_on(check.on) {
        Ok(rule_set) => rule_set,
        Err(error) => {
            let right = "a day on which a rule set is in force";
            faults.push(Fault::new(line, "on", "", error.to_string(), right));
            return None;
        }
    };
    let assessment = match assess_check(instrument, &check, rule_set) {
        Ok(assessment) => assessment,
        Err(wrong) => {
            for it in wrong {
                let line = rows.get(it.point).and_then(|row| row.line);
                faults.push(Fault::new(line, it.field, &it.value, it.what, it.right));
            }
            return None;
        }
    };
    let good = assessment.left_ok != Some(false);
    match said {
        None if good => check.result = CheckResult::Pass,
        None => check.result = CheckResult::Fail,
        Some(CheckResult::Pass) if !good => {
            let what = format!(
                "says pass, and its points do not: {}",
                assessment.reasons.join("; ")
            );
            let right = "leave it blank, or write fail, or correct the point";
            faults.push(Fault::new(line, "result", "pass", what, right));
            return None;
        }
        Some(_) => {}
    }
    for problem in check.problems() {
        faults.push(Fault::of_problem(line, problem));
    }
    Some((check, assessment))
}

//! The points of a calibration or response check as plain values, judged by the rule set.

use crate::calendar::{Day, Span};
use crate::dose::input::ReadsLow;
pub use crate::instrument::assessment::Assessment;
use crate::instrument::assessment::{Ratio, assess};
use crate::instrument::look_back::CheckFact;
use crate::instrument::points::{Point, PointUnit, Question};
use crate::ledger::Stored;
use crate::quantity::{AmountUnit, DoseRate, Indication, IndicationUnit, MeterUnit, QuantityError};
use crate::record::{Check, CheckPoint, CheckResult, Instrument, InstrumentType};
use crate::rule::RuleSet;

/// A point that cannot be read: the column, the value, what is wrong, what would be right.
pub struct PointFault {
    /// Which point, from 0.
    pub point: usize,
    /// The column.
    pub field: &'static str,
    /// As written.
    pub value: String,
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub right: &'static str,
}

/// The unit in which a check's figures are told.
fn unit_of(instrument: &Instrument, points: &[CheckPoint]) -> PointUnit {
    if instrument.kind.is_dosimeter() {
        let face = instrument.face_unit();
        return PointUnit::Dose(face.unwrap_or(IndicationUnit::Milliroentgen));
    }
    let first = points.first().map(|it| AmountUnit::of(&it.true_value));
    match first {
        Some(Ok(AmountUnit::Rate(unit))) => PointUnit::Rate(unit),
        _ => PointUnit::Rate(MeterUnit::Milliroentgen),
    }
}

/// A figure of a point as a count.
fn count_of(instrument: &Instrument, text: &str) -> Result<i64, String> {
    if instrument.kind.is_dosimeter() {
        let face = instrument.face_unit();
        let shown = Indication::parse(text, face).map_err(|it| unreadable(text, &it))?;
        if face.is_some_and(|face| face.is_exposure() != shown.is_exposure()) {
            let face = face.map(|it| it.to_string()).unwrap_or_default();
            return Err(format!("is in {}, and its face shows {face}", shown.unit()));
        }
        return Ok(shown.count());
    }
    DoseRate::parse_meter_rate(text, None)
        .map(DoseRate::nsv_per_hour)
        .map_err(|it| unreadable(text, &it))
}

/// What is wrong with a value, to be read after the value itself.
fn unreadable(text: &str, error: &QuantityError) -> String {
    let words = error.to_string();
    match words.strip_prefix(&format!("`{text}` ")) {
        Some(rest) => rest.to_owned(),
        None => format!("cannot be read: {words}"),
    }
}

/// What a check's points say, or everything in them that cannot be read.
///
/// # Errors
/// Every point that cannot be read or cannot be judged.
pub fn assess_check(
    instrument: &Instrument,
    check: &Check,
    rule_set: &RuleSet,
) -> Result<Assessment, Vec<PointFault>> {
    let mut faults = Vec::new();
    let mut points = Vec::new();
    for (at, written) in check.points.iter().enumerate() {
        let point = read_point(instrument, at, written, &mut faults);
        points.extend(point.filter(|it| judgeable(instrument, at, written, it, &mut faults)));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(assess(&question(instrument, check, rule_set, points)))
}

fn read_point(
    instrument: &Instrument,
    at: usize,
    written: &CheckPoint,
    faults: &mut Vec<PointFault>,
) -> Option<Point> {
    let right = match instrument.kind.is_dosimeter() {
        true => "a reading with the unit of its face, such as `150 mR`",
        false => "a rate with its unit, such as `33 mR/h`",
    };
    let mut read = |field: &'static str, text: &str| match count_of(instrument, text) {
        Ok(count) => Some(count),
        Err(what) => {
            faults.push(PointFault {
                point: at,
                field,
                value: text.to_owned(),
                what,
                right,
            });
            None
        }
    };
    let true_value = read("true", &written.true_value);
    // A cell that is there and cannot be read is no blank cell.
    let mut optional = |field, text: &Option<String>| match text {
        None => Some(None),
        Some(text) => read(field, text).map(Some),
    };
    let reading = optional("reads", &written.reads);
    let scale = optional("scale", &written.scale);
    Some(Point {
        as_left: written.as_left,
        scale: scale?,
        true_value: true_value?,
        reading: reading?,
    })
}

/// Whether an error can be told from a point.
fn judgeable(
    instrument: &Instrument,
    at: usize,
    written: &CheckPoint,
    point: &Point,
    faults: &mut Vec<PointFault>,
) -> bool {
    let before = faults.len();
    let mut fault = |field, value: Option<&String>, what: &str, right| {
        faults.push(PointFault {
            point: at,
            field,
            value: value.cloned().unwrap_or_default(),
            what: what.to_owned(),
            right,
        });
    };
    if point.true_value <= 0 {
        let value = Some(&written.true_value);
        fault(
            "true",
            value,
            "is zero: no error can be told from it",
            "above zero",
        );
    }
    let sounds = instrument.kind == InstrumentType::Ratemeter;
    if !sounds && point.reading.is_none() {
        fault("reads", None, "is missing", "what the instrument showed");
    }
    if sounds && point.reading.is_some() {
        let right = "blank; under `true` the rate at which it sounded";
        let value = written.reads.as_ref();
        fault("reads", value, "stands at a ratemeter, which sounds", right);
    }
    faults.len() == before
}

fn question(
    instrument: &Instrument,
    check: &Check,
    rule_set: &RuleSet,
    points: Vec<Point>,
) -> Question {
    let rate = |text: &String| {
        let rate = DoseRate::parse_meter_rate(text, None).ok();
        rate.map(DoseRate::nsv_per_hour)
    };
    let key = match instrument.kind {
        InstrumentType::Meter => "meter-accuracy",
        InstrumentType::Ratemeter => "ratemeter-accuracy",
        InstrumentType::Pocket | InstrumentType::Electronic => "dosimeter-response",
    };
    let tolerance = rule_set.tolerance(key).and_then(|it| it.permille());
    Question {
        kind: instrument.kind,
        task: check.kind,
        scale: instrument.scale,
        full_scales: instrument.scales.iter().filter_map(rate).collect(),
        preset: instrument.alarm_preset.as_ref().and_then(rate),
        // Without a tolerance in the rule set the 20 % that 10 CFR 34.25 and 34.47 have in common.
        permille: tolerance.unwrap_or(200),
        unit: unit_of(instrument, &check.points),
        points,
    }
}

/// A check with what its points say.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    /// The check.
    pub check: Stored<Check>,
    /// What its points say, where it has any that can be read.
    pub assessment: Option<Assessment>,
}

impl Judged {
    /// Judges a check by the rule set of its day.
    pub fn of(check: Stored<Check>, instrument: Option<&Instrument>, rule_set: &RuleSet) -> Judged {
        let assessment = instrument
            .filter(|_| !check.body.points.is_empty())
            .and_then(|instrument| assess_check(instrument, &check.body, rule_set).ok());
        Judged { check, assessment }
    }

    /// Whether the instrument was right as it was left. Points that say otherwise count more
    /// than a word on the certificate.
    pub fn passed(&self) -> bool {
        let left = self.assessment.as_ref().and_then(|it| it.left_ok);
        self.check.body.result == CheckResult::Pass && left != Some(false)
    }

    /// Whether it has the points that the rule asks for; one without points is taken at its
    /// word.
    pub fn is_whole(&self) -> bool {
        self.assessment.as_ref().is_none_or(|it| it.gaps.is_empty())
    }

    /// What the look-back needs of it. A bare `fail` was found wrong; a bare `pass` was right
    /// before and after.
    pub fn fact(&self) -> CheckFact {
        let (found_ok, left_ok) = match &self.assessment {
            Some(it) => (it.found_ok, it.left_ok),
            None => (Some(self.passed()), Some(self.passed())),
        };
        CheckFact {
            entry: self.check.entry,
            on: self.check.body.on,
            found_ok,
            left_ok: left_ok.map(|it| it && self.passed()),
        }
    }

    /// The worst point as found.
    pub fn worst(&self) -> Option<Ratio> {
        self.assessment.as_ref()?.worst_found
    }
}

/// What a dosimeter that read low adds to its readings on the conservative side; nothing where it
/// read right or high, or showed nothing at all.
pub(crate) fn reads_low(
    dosimeter: i64,
    entry: i64,
    worst: Ratio,
    good_on: Option<Day>,
    failed_on: Day,
) -> Option<ReadsLow> {
    if worst.reading <= 0 || worst.true_value <= worst.reading {
        return None;
    }
    let shown = i128::from(worst.reading);
    let raise = (i128::from(worst.true_value) - shown) * 1_000;
    Some(ReadsLow {
        entry,
        dosimeter,
        days: Span {
            first: good_on.unwrap_or(Day::MIN),
            last: failed_on,
        },
        raise_permille: i64::try_from((raise + shown - 1) / shown).ok()?,
    })
}

//! Things with a calibration or a response check: survey meters, alarm
//! ratemeters, pocket and electronic dosimeters.

use serde::{Deserialize, Serialize};

use super::body::{Record, numbered};
use super::field::{Shape, fields};
use super::item_type::InstrumentType;
use super::kind::Kind;
use super::problem::{Problem, need_id};
use super::reference::Id;
use super::words::words;
use crate::calendar::Day;
use crate::quantity::{DoseRate, Indication, IndicationUnit};

words! {
    /// How a survey meter's scale runs; 10 CFR 34.25(b)(2) asks for other
    /// calibration points for each.
    Scale {
        /// Equal steps.
        Linear = "linear",
        /// Decades.
        Logarithmic = "logarithmic",
        /// Figures.
        Digital = "digital",
    }
}

words! {
    /// What was done with the instrument.
    CheckType {
        /// Calibration.
        Calibration = "calibration",
        /// Check of correct response.
        Response = "response check" also ["response"],
    }
}

words! {
    /// How it came out.
    CheckResult {
        /// Within tolerance.
        Pass = "pass" also ["passed"],
        /// Outside tolerance.
        Fail = "fail" also ["failed"],
    }
}

/// An instrument as the register knows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// The rate at which a ratemeter sounds, with its unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alarm_preset: Option<String>,
    /// The unit that a dosimeter's face shows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub face: Option<String>,
    /// The office's own short name.
    pub id: String,
    /// The first day of service.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub in_service: Option<Day>,
    /// Maker, as on the label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker: Option<String>,
    /// Model, as on the label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub model: Option<String>,
    /// The highest reading that a dosimeter can show, with its unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range: Option<String>,
    /// How a survey meter's scale runs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scale: Option<Scale>,
    /// A survey meter's full-scale values.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub scales: Vec<String>,
    /// Serial number.
    pub serial: String,
    /// What it is.
    #[serde(rename = "sort")]
    pub kind: InstrumentType,
}

fields! { Instrument {
    alarm_preset,
    face.shown("unit"),
    id,
    in_service,
    maker,
    model,
    range,
    scale,
    scales.between(" / "),
    serial.needs("the serial number on the label"),
    kind.stored("sort").shown("type"),
} }

impl Instrument {
    /// The unit of a dosimeter's face.
    pub fn face_unit(&self) -> Option<IndicationUnit> {
        self.face
            .as_deref()
            .and_then(|face| IndicationUnit::parse(face).ok())
    }

    /// The highest reading that a dosimeter can show.
    pub fn top_of_range(&self) -> Option<Indication> {
        Indication::parse(self.range.as_deref()?, self.face_unit()).ok()
    }
}

/// One point of a calibration or response check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckPoint {
    /// After adjustment; else as it was found.
    pub as_left: bool,
    /// What the instrument showed. A ratemeter shows nothing: it sounds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reads: Option<String>,
    /// The full-scale value of the scale that it was read on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scale: Option<String>,
    /// The true rate or dose; of a ratemeter the rate at which it sounded.
    pub true_value: String,
}

fields! { CheckPoint {
    as_left.shown("as").written(Shape::Yes { yes: "left", no: "found" }),
    reads,
    scale,
    true_value.shown("true").needs("the true rate or dose, with its unit"),
} }

/// One calibration or response check of an instrument.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Who did it.
    pub by: String,
    /// The certificate's number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub certificate: Option<String>,
    /// The instrument.
    pub instrument: Id<Instrument>,
    /// The day.
    pub on: Day,
    /// Every point, where the certificate gives them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<CheckPoint>,
    /// Within tolerance or not, as the instrument was left.
    pub result: CheckResult,
    /// The number of its row in the office's own file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<String>,
    /// Calibration or response check.
    #[serde(rename = "sort")]
    pub kind: CheckType,
}

fields! { Check {
    by.shown("performed_by").needs("who did it"), certificate, instrument, on, points, result, row,
    kind.stored("sort").shown("type"),
} }

impl Record for Instrument {
    const KIND: Kind = Kind::Instrument;

    fn key(&self) -> String {
        self.id.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "id", &self.id);
        if self.kind.is_dosimeter() {
            self.dosimeter_problems(&mut problems);
        } else {
            self.rate_problems(&mut problems);
        }
        problems
    }
}

impl Instrument {
    fn dosimeter_problems(&self, problems: &mut Vec<Problem>) {
        match self.face.as_deref() {
            None => problems.push(Problem::missing(
                "unit",
                "the unit on its face: mR, mrem, uSv or mSv",
            )),
            Some(face) if IndicationUnit::parse(face).is_err() => problems.push(Problem::new(
                "unit",
                face,
                "is not a unit that a dosimeter shows",
                "mR, mrem, uSv or mSv",
            )),
            Some(_) => {}
        }
        let Some(range) = self.range.as_deref() else {
            problems.push(Problem::missing(
                "range",
                "the highest reading that it can show, such as `200 mR`",
            ));
            return;
        };
        match Indication::parse(range, self.face_unit()) {
            Err(error) => problems.push(Problem::new(
                "range",
                range,
                error.to_string(),
                "the highest reading that it can show, such as `200 mR`",
            )),
            Ok(top)
                if self
                    .face_unit()
                    .is_some_and(|face| face.is_exposure() != top.is_exposure()) =>
            {
                problems.push(Problem::new(
                    "range",
                    range,
                    "is in another quantity than the face shows",
                    "the unit that is on its face",
                ));
            }
            Ok(top) if top.count() <= 0 => {
                problems.push(Problem::new(
                    "range",
                    range,
                    "is not above zero",
                    "such as `200 mR`",
                ));
            }
            Ok(_) => {}
        }
    }

    fn rate_problems(&self, problems: &mut Vec<Problem>) {
        let rates = self.scales.iter().map(|scale| ("scales", scale)).chain(
            self.alarm_preset
                .iter()
                .map(|preset| ("alarm_preset", preset)),
        );
        for (field, rate) in rates {
            if let Err(error) = DoseRate::parse_meter_rate(rate, None) {
                problems.push(Problem::new(
                    field,
                    rate,
                    error.to_string(),
                    "a rate such as `500 mR/h`",
                ));
            }
        }
        if self.kind == InstrumentType::Ratemeter && self.alarm_preset.is_none() {
            problems.push(Problem::missing(
                "alarm_preset",
                "the rate at which it sounds, such as `500 mR/h`",
            ));
        }
        if self.kind == InstrumentType::Meter && self.scale.is_none() {
            problems.push(Problem::missing("scale", "linear, logarithmic or digital"));
        }
    }
}

impl Record for Check {
    const KIND: Kind = Kind::Check;

    numbered!();

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        use super::Words;
        format!("{}/{}/{}", self.instrument, self.on, self.kind.stored())
    }
}

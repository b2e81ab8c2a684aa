//! The start of a shift: what is done before the work, recorded when it is done. The sheet at the
//! end refers to it.

use serde::{Deserialize, Serialize};

use super::body::Record;
use super::field::fields;
use super::job::Job;
use super::kind::Kind;
use super::problem::Problem;
use super::reference::Ref;
use super::shift::{ShiftName, Work, shift_key, shown};
use super::words::words;
use super::worker::{Role, Worker};
use super::{
    AlarmRatemeter, ControlUnit, Device, Dosimeter, GuideTube, SourceAssembly, SurveyMeter,
};
use crate::calendar::{Day, parse_time};
use crate::quantity::Indication;

words! {
    /// What is done at the start of a shift, and can be recorded late.
    StartPart {
        /// The badge is put on, 10 CFR 34.47(a).
        Badge = "badge",
        /// The pocket dosimeter is recharged, 10 CFR 34.47(a)(1).
        Recharge = "recharge",
        /// The dosimeter is read, 10 CFR 34.47(b).
        Reading = "reading",
        /// The ratemeter's alarm is heard, 10 CFR 34.47(g)(1).
        Alarm = "alarm",
        /// The survey meter is checked, 10 CFR 34.31(a).
        Meter = "meter",
    }
}

/// What a dosimeter showed at the beginning.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StartReading {
    /// The dosimeter.
    pub dosimeter: Ref<Dosimeter>,
    /// Whether it was recharged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recharged: Option<bool>,
    /// The reading at the beginning.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "shown")]
    pub start: Option<Indication>,
}

fields! { StartReading { dosimeter, recharged, start } }

/// One person of the crew, ready to begin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StartPerson {
    /// Whether the ratemeter's alarm was heard before use.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alarm_tested: Option<bool>,
    /// The number of the badge, where it is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub badge: Option<String>,
    /// Whether the badge was put on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub badge_worn: Option<bool>,
    /// The alarm ratemeter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ratemeter: Option<Ref<AlarmRatemeter>>,
    /// What the dosimeters showed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<StartReading>,
    /// What the person acts as.
    pub role: Role,
    /// The person.
    pub worker: Ref<Worker>,
}

fields! { StartPerson { alarm_tested, badge, badge_worn, ratemeter, readings, role, worker } }

/// The start of a shift (10 CFR 34.31(a), 34.47(a), (b), (g)).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShiftStart {
    /// When the shift began, `HH:MM` in the job's zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begins: Option<String>,
    /// The control unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub control_unit: Option<Ref<ControlUnit>>,
    /// The day on which the shift began.
    pub day: Day,
    /// The exposure device.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<Ref<Device>>,
    /// The guide tubes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub guide_tubes: Vec<Ref<GuideTube>>,
    /// The job.
    pub job: Ref<Job>,
    /// The survey meter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter: Option<Ref<SurveyMeter>>,
    /// Whether it was checked with a check source or otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_checked: Option<bool>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The crew.
    pub people: Vec<StartPerson>,
    /// The office's own number of the sheet that will follow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// Day, evening or night.
    pub shift: ShiftName,
    /// The source assembly.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Ref<SourceAssembly>>,
    /// What is done.
    pub work: Work,
}

fields! { ShiftStart {
    begins,
    control_unit,
    day,
    device,
    guide_tubes.between(" "),
    job,
    meter,
    meter_checked,
    note,
    people,
    reference.shown("sheet"),
    shift,
    source,
    work,
} }

impl Record for ShiftStart {
    const KIND: Kind = Kind::ShiftStart;

    fn about(&self) -> Option<Day> {
        Some(self.day)
    }

    fn key(&self) -> String {
        shift_key(
            self.reference.as_deref(),
            self.day,
            self.shift,
            self.device.as_ref(),
        )
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if let Some(begins) = &self.begins
            && let Err(error) = parse_time(begins)
        {
            let right = "a time such as `06:40`";
            problems.push(Problem::new("begins", begins, error.to_string(), right));
        }
        if self.people.is_empty() {
            problems.push(Problem::missing("worker", "at least one person"));
        }
        for (at, person) in self.people.iter().enumerate() {
            let mut before = self.people.iter().take(at);
            if before.any(|other| other.worker == person.worker) {
                let what = format!("person {} stands here twice", at + 1);
                problems.push(Problem::new(
                    "worker",
                    "",
                    what,
                    "one line for each dosimeter",
                ));
            }
            for (at, reading) in person.readings.iter().enumerate() {
                let mut before = person.readings.iter().take(at);
                if before.any(|other| other.dosimeter == reading.dosimeter) {
                    let what = "has one dosimeter twice";
                    problems.push(Problem::new("dosimeter", "", what, "each dosimeter once"));
                }
            }
        }
        problems
    }
}

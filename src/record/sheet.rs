//! What a crew hands in after a shift.

use serde::{Deserialize, Serialize};

use super::body::Record;
use super::doubt::Doubt;
use super::field::{Shape, fields};
use super::job::Job;
use super::kind::Kind;
use super::problem::Problem;
use super::reference::{Id, Ref, Target};
use super::shift::{ShiftName, Work, shift_key, shown};
use super::shift_start::{ShiftStart, StartPart, StartPerson, StartReading};
use super::worker::{Role, Worker};
use super::{
    AlarmRatemeter, ControlUnit, Device, Dosimeter, GuideTube, Item, SourceAssembly, SurveyMeter,
};
use crate::calendar::Day;
use crate::quantity::Indication;

/// Where a sheet that was copied from paper comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Paper {
    /// The date on the paper.
    pub date: Day,
    /// The code of the form that it was written on, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<String>,
    /// The file name of its image.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub image: Option<String>,
    /// The SHA-256 digest of that file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub image_sha256: Option<String>,
    /// Who signed it.
    pub signer: String,
}

fields! { Paper {
    date.shown("paper_date"),
    form.shown("paper_form"),
    image,
    image_sha256,
    signer.shown("paper_signer").needs("who signed the paper"),
} }

/// What one dosimeter showed at the beginning and the end of a shift, or of a
/// part of it where the dosimeter was set back to zero in between.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// The dosimeter.
    pub dosimeter: Ref<Dosimeter>,
    /// The reading at the end; unset when nobody read it.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "shown")]
    pub end: Option<Indication>,
    /// Off its scale: a state that is written down, not a number.
    pub off_scale: bool,
    /// Counted from 1 for each dosimeter.
    pub part: i64,
    /// Whether it was recharged at the start of the shift.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recharged: Option<bool>,
    /// The reading at the beginning; unset when nobody read it.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "shown")]
    pub start: Option<Indication>,
}

fields! { Reading {
    dosimeter, end.written(Shape::ShownOrOff { off: "off_scale" }), off_scale, part, recharged,
    start,
} }

/// One person of the crew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Whether the ratemeter's alarm was heard before use.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alarm_tested: Option<bool>,
    /// The number of the badge that was worn, where the sheet names it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub badge: Option<String>,
    /// Whether the badge was worn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub badge_worn: Option<bool>,
    /// What was recorded at the end and not when it was done.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub late: Vec<StartPart>,
    /// The alarm ratemeter worn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ratemeter: Option<Ref<AlarmRatemeter>>,
    /// What the dosimeters showed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    /// What the person acted as.
    pub role: Role,
    /// The person.
    pub worker: Ref<Worker>,
}

fields! { Person {
    alarm_tested,
    badge,
    badge_worn,
    late.between(" "),
    ratemeter,
    readings,
    role,
    worker,
} }

/// A sheet: what a crew hands in after a shift (10 CFR 34.71, 34.83, 34.85).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// Who attests that it is true.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub attested_by: Option<Ref<Worker>>,
    /// When the shift began, `HH:MM` in the job's zone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub begins: Option<String>,
    /// The highest rate at the boundary, with its unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub boundary: Option<String>,
    /// The control unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub control_unit: Option<Ref<ControlUnit>>,
    /// The day on which the shift began.
    pub day: Day,
    /// The exposure device.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub device: Option<Ref<Device>>,
    /// When the device was back in storage, `HH:MM`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub device_back: Option<String>,
    /// When the device left storage, `HH:MM`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub device_out: Option<String>,
    /// When the shift ended, `HH:MM`; not after the beginning: on the next day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ends: Option<String>,
    /// How many exposures were made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exposures: Option<i64>,
    /// When the first exposure was made, `HH:MM`: the day's check comes before it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_exposure: Option<String>,
    /// The guide tubes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub guide_tubes: Vec<Ref<GuideTube>>,
    /// What was doubtful when it was written.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub held: Vec<Doubt>,
    /// The job.
    pub job: Ref<Job>,
    /// Whether the device was locked when it was back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub locked: Option<bool>,
    /// The survey meter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<Ref<SurveyMeter>>,
    /// Whether the meter was checked before use.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_checked: Option<bool>,
    /// Whether that was recorded at the end and not when it was done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_late: Option<bool>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Where it was copied from, if from paper.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub paper: Option<Paper>,
    /// The crew.
    pub people: Vec<Person>,
    /// The office's own number of the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// Day, evening or night.
    pub shift: ShiftName,
    /// The start of the shift, where it was recorded when it was done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shift_start: Option<Id<ShiftStart>>,
    /// The radiographer who signs that the device was used so (10 CFR 34.71).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed_by: Option<Ref<Worker>>,
    /// Where the work was, where that is not the job's place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<String>,
    /// The source assembly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<Ref<SourceAssembly>>,
    /// How long the source was out in all, in seconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source_out_s: Option<i64>,
    /// How far from the device the survey before storage was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub storage_distance: Option<String>,
    /// The meter of the survey before storage, where it is another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub storage_meter: Option<Ref<SurveyMeter>>,
    /// The survey before storage, with its unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub storage_survey: Option<String>,
    /// What was done.
    pub work: Work,
}

fields! { Sheet {
    attested_by,
    begins.written(Shape::Hour),
    boundary,
    control_unit,
    day,
    device,
    device_back.written(Shape::Hour),
    device_out.written(Shape::Hour),
    ends.written(Shape::Hour),
    exposures,
    first_exposure.written(Shape::Hour),
    guide_tubes.between(" "),
    held.fixed(),
    job,
    locked,
    meter,
    meter_checked,
    meter_late,
    note,
    paper.flat(),
    people,
    reference.shown("sheet"),
    shift,
    shift_start,
    signed_by,
    site,
    source,
    source_out_s.shown("source_out_min").written(Shape::Minutes),
    storage_distance,
    storage_meter,
    storage_survey,
    work,
} }

impl Sheet {
    /// A sheet that says no more than the start of its shift.
    pub fn started(start: &ShiftStart) -> Sheet {
        let reading = |it: &StartReading| Reading {
            dosimeter: it.dosimeter.clone(),
            end: None,
            off_scale: false,
            part: 1,
            recharged: it.recharged,
            start: it.start,
        };
        let person = |it: &StartPerson| Person {
            alarm_tested: it.alarm_tested,
            badge: it.badge.clone(),
            badge_worn: it.badge_worn,
            late: Vec::new(),
            ratemeter: it.ratemeter.clone(),
            readings: it.readings.iter().map(reading).collect(),
            role: it.role,
            worker: it.worker.clone(),
        };
        Sheet {
            attested_by: None,
            begins: start.begins.clone(),
            boundary: None,
            control_unit: start.control_unit.clone(),
            day: start.day,
            device: start.device.clone(),
            device_back: None,
            device_out: None,
            ends: None,
            exposures: None,
            first_exposure: None,
            guide_tubes: start.guide_tubes.clone(),
            held: Vec::new(),
            job: start.job.clone(),
            locked: None,
            meter: start.meter.clone(),
            meter_checked: start.meter_checked,
            meter_late: None,
            note: start.note.clone(),
            paper: None,
            people: start.people.iter().map(person).collect(),
            reference: start.reference.clone(),
            shift: start.shift,
            shift_start: None,
            signed_by: None,
            site: None,
            source: start.source.clone(),
            source_out_s: None,
            storage_distance: None,
            storage_meter: None,
            storage_survey: None,
            work: start.work,
        }
    }

    /// The equipment that was used, each with what was asked for in its place.
    pub fn equipment(&self) -> Vec<(&'static str, Ref<Item>)> {
        fn asked<T: Target>(it: &Ref<T>) -> (&'static str, Ref<Item>) {
            (T::GOAL.only.words().unwrap_or("equipment"), it.any())
        }
        let mut all = Vec::new();
        all.extend(self.device.as_ref().map(asked));
        all.extend(self.source.as_ref().map(asked));
        all.extend(self.control_unit.as_ref().map(asked));
        all.extend(self.guide_tubes.iter().map(asked));
        all
    }

    /// Whether the shift runs past midnight: by its times, else by its name. One that ends at
    /// midnight is over with its day.
    pub fn crosses_midnight(&self) -> bool {
        match (&self.begins, &self.ends) {
            _ if self.ends_at_midnight() => false,
            (Some(begins), Some(ends)) => ends <= begins,
            _ => self.shift == ShiftName::Night,
        }
    }

    /// Whether the shift ends at midnight: an hour of the next day that no work was done in.
    pub fn ends_at_midnight(&self) -> bool {
        self.ends.as_deref().map(str::trim) == Some("00:00")
    }
}

impl Record for Sheet {
    const KIND: Kind = Kind::Sheet;

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
        self.found_wrong()
    }

    fn content(&self) -> Sheet {
        Sheet {
            held: Vec::new(),
            ..self.clone()
        }
    }
}

impl ShiftStart {
    /// The start of a shift as its sheet has it.
    pub fn of(sheet: &Sheet) -> ShiftStart {
        let person = |it: &Person| StartPerson {
            alarm_tested: it.alarm_tested,
            badge: it.badge.clone(),
            badge_worn: it.badge_worn,
            ratemeter: it.ratemeter.clone(),
            readings: it.readings.iter().map(reading_of).collect(),
            role: it.role,
            worker: it.worker.clone(),
        };
        ShiftStart {
            begins: sheet.begins.clone(),
            control_unit: sheet.control_unit.clone(),
            day: sheet.day,
            device: sheet.device.clone(),
            guide_tubes: sheet.guide_tubes.clone(),
            job: sheet.job.clone(),
            meter: sheet.meter.clone(),
            meter_checked: sheet.meter_checked,
            note: sheet.note.clone(),
            people: sheet.people.iter().map(person).collect(),
            reference: sheet.reference.clone(),
            shift: sheet.shift,
            source: sheet.source.clone(),
            work: sheet.work,
        }
    }
}

fn reading_of(it: &Reading) -> StartReading {
    StartReading {
        dosimeter: it.dosimeter.clone(),
        recharged: it.recharged,
        start: it.start,
    }
}

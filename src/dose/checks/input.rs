//! What the checks of one sheet are given: the sheet as it stands, and what
//! was known of its dosimeters, instruments and equipment as of its day.

use crate::calendar::{Day, TimeOfDay};
use crate::dose::input::Reading;
use crate::quantity::{DoseRate, Indication, Length};
use crate::record::{InstrumentType, Role, Setting, StartPart, Work};
use crate::rule::Severity;

/// The latest calibration or response check on or before the sheet's day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LastCheck {
    /// The entry that records it.
    pub entry: i64,
    /// The day on which it was done.
    pub on: Day,
    /// Whether it passed.
    pub passed: bool,
}

/// A withdrawal in force on the sheet's day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Withdrawal {
    /// The entry that records it.
    pub entry: i64,
    /// The day from which it holds.
    pub on: Day,
    /// Why, as written.
    pub reason: String,
}

/// Something that a sheet says was used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// Its short id, such as `SM-02`.
    pub id: String,
    /// What it is, such as `survey meter` or `exposure device`.
    pub kind: String,
    /// Its withdrawal, if one was in force.
    pub out_of_service: Option<Withdrawal>,
    /// What its inspection and maintenance was on that day.
    pub maintenance: Maintenance,
}

/// How the inspection and maintenance of a thing stood on the sheet's day.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Maintenance {
    /// What is to be done to it from time to time, with when it was last done.
    pub duties: Vec<Duty>,
    /// Its check of the day.
    pub daily: Daily,
    /// A defect that was written down before and not cleared.
    pub defect: Option<Defect>,
    /// Servicing after its last calibration.
    pub serviced: Option<Done>,
}

/// One thing that falls due from time to time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Duty {
    /// The key of the rule set's interval, and of the check that asks for it.
    pub key: &'static str,
    /// What it is, such as `leak test`.
    pub what: &'static str,
    /// When it was last done.
    pub last: Option<LastCheck>,
}

/// The check of the day, before use.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Daily {
    /// No checklist in force asks for one.
    #[default]
    NotAsked,
    /// One is asked for and none is on record.
    Missing,
    /// One is asked for; what is on record of that day is not it.
    Other {
        /// The entry of the inspection that there is.
        entry: i64,
        /// Why that is not the check of the day.
        what: String,
    },
    /// One is on record.
    Inspected {
        /// Its entry.
        entry: i64,
        /// The hour that it gives.
        at: Option<TimeOfDay>,
    },
}

/// A defect that an inspection wrote down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Defect {
    /// The entry of the inspection.
    pub entry: i64,
    /// Its day.
    pub on: Day,
    /// The item of the list with what was seen.
    pub what: String,
}

/// Something done on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// The entry that says so.
    pub entry: i64,
    /// The day.
    pub on: Day,
    /// What was done.
    pub what: String,
}

/// An instrument with a calibration, as of the sheet's day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instrument {
    /// What was used.
    pub item: Item,
    /// The latest calibration on record; `None` where there is none.
    pub calibrated: Option<LastCheck>,
}

/// The last end that another sheet gives for a dosimeter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LastEnd {
    /// The entry of that sheet.
    pub entry: i64,
    /// Its day.
    pub day: Day,
    /// Its shift.
    pub shift: String,
    /// What the face showed.
    pub end: Indication,
}

/// One dosimeter that a person wore, with all its parts on this sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WornDosimeter {
    /// Whether it was recharged at the start; `None` where the sheet does not say.
    pub recharged: Option<bool>,
    /// What was worn.
    pub item: Item,
    /// How it works.
    pub kind: Option<InstrumentType>,
    /// Full scale; `None` where it is not known.
    pub range: Option<Indication>,
    /// The latest response check on record; `None` where there is none.
    pub response: Option<LastCheck>,
    /// The end that the sheet before this one gives, whoever wore it.
    pub last_end: Option<LastEnd>,
    /// The parts, in order.
    pub readings: Vec<Reading>,
}

/// One person on the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// The worker's short id.
    pub worker: String,
    /// Name as registered.
    pub name: String,
    /// The role acted in on this shift.
    pub role: Role,
    /// Whether a certification as radiographer was in force that day; `None` where the ledger
    /// keeps no qualifications and so says nothing about it.
    pub certified: Option<bool>,
    /// Why the rule set's ages keep the person from exposed work, where they do.
    pub too_young: Option<(Severity, String)>,
    /// Whether the person was qualified as an assistant that day; `None` where the ledger keeps no
    /// record of assistants.
    pub assistant: Option<bool>,
    /// Whether the badge was worn; `None` where the sheet does not say.
    pub badge_worn: Option<bool>,
    /// The number of the badge, where it is read on demand and goes to no processor.
    pub on_demand: Option<String>,
    /// The alarm ratemeter worn.
    pub ratemeter: Option<Instrument>,
    /// Whether its alarm was tested at the start of the shift.
    pub alarm_tested: Option<bool>,
    /// What of the start was recorded at the end of the shift and not when it was done.
    pub late: Vec<StartPart>,
    /// The dosimeters worn.
    pub dosimeters: Vec<WornDosimeter>,
}

/// What a device's storage survey is expected to read, from those before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Expected {
    /// The middle of the earlier surveys, each brought to the sheet's day.
    pub rate: DoseRate,
    /// How many they were.
    pub surveys: usize,
    /// The entry of the survey in the middle.
    pub entry: i64,
    /// Its day.
    pub on: Day,
    /// What it read then.
    pub read: DoseRate,
    /// Whether the decay of the sources loaded then and now is in it; else their activity is not
    /// on record and the earlier figure stands as it was read.
    pub decayed: bool,
}

/// How long the device was out by the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Away {
    /// The minutes.
    pub minutes: i64,
    /// Whether by the hours of the device; else by those of the shift.
    pub of_device: bool,
}

/// A source named with a device that held another, or none of which it was one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misplaced {
    /// The source's id.
    pub source: String,
    /// The device's id.
    pub device: String,
    /// What the ledger has instead: `ED-02 holds SA-04`.
    pub instead: String,
    /// The entry that says so.
    pub entry: i64,
}

/// An hour of the sheet that had not come when it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ahead {
    /// Which hours, as `end 15:30`.
    pub hours: Vec<String>,
    /// The moment of writing at the job, day and hour.
    pub written: String,
}

/// Figures of a sheet that are held against a limit, against each other or against the ledger.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Figures {
    /// The highest rate at the boundary.
    pub boundary: Option<DoseRate>,
    /// How long the source was out in all, in seconds.
    pub source_out_s: Option<i64>,
    /// How long the device was out.
    pub away: Option<Away>,
    /// How long the shift lasted, in minutes.
    pub shift_minutes: Option<i64>,
    /// What the storage survey is held against.
    pub expected: Option<Expected>,
    /// The source, where it is not the device's.
    pub misplaced: Option<Misplaced>,
    /// Hours that had not come.
    pub ahead: Option<Ahead>,
}

/// One sheet, with what the checks need to know around it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetFacts {
    /// Whether the device was locked at its return; `None` where the sheet does not say.
    pub locked: Option<bool>,
    /// Who signs, where that is no radiographer, and what is known of them.
    pub signed_by_other: Option<String>,
    /// The entry that the findings point to.
    pub entry: i64,
    /// The office's own number of the sheet.
    pub reference: Option<String>,
    /// The day on which the shift started.
    pub day: Day,
    /// `day`, `evening` or `night`.
    pub shift: String,
    /// Where the work was done.
    pub setting: Setting,
    /// What the crew did.
    pub work: Work,
    /// The exposure device and all other equipment used.
    pub equipment: Vec<Item>,
    /// Whether an exposure device is on the sheet.
    pub has_device: bool,
    /// Whether the sheet says when the device went back into storage.
    pub device_back: bool,
    /// The first hour of which the sheet says that the equipment was in use, or had been:
    /// the first exposure, else the device's return, else the end of the shift.
    pub in_use_by: Option<TimeOfDay>,
    /// The survey when it went into storage.
    pub storage_survey: Option<DoseRate>,
    /// How far from the device it was taken; nothing at its surface, or where nobody wrote it.
    pub storage_distance: Option<Length>,
    /// Figures of the sheet that are held against others.
    pub figures: Figures,
    /// The survey meters used.
    pub meters: Vec<Instrument>,
    /// Whether it is the start of a shift alone: nothing was used yet.
    pub at_start: bool,
    /// Whether the meter was checked before use; `None` where the sheet does not say.
    pub meter_checked: Option<bool>,
    /// Whether the meter's check was recorded at the end and not when it was done.
    pub meter_late: bool,
    /// When the start was written, where that was after the work had begun.
    pub started_late: Option<String>,
    /// Where the sheet says otherwise than the start that it refers to, and its entry.
    pub not_as_started: Option<(Vec<String>, i64)>,
    /// Who attests the sheet.
    pub attested_by: Option<String>,
    /// The day on which the sheet was first written into the ledger; where the clock cannot be
    /// trusted, the first on which it may have been.
    pub written_on: Day,
    /// The last day on which it may have been, if there is one, and the entry of whose clock
    /// that is to be said; nothing where the clock can be trusted.
    pub clock_doubted: Option<(Option<Day>, i64)>,
    /// Whether it is marked as copied from paper.
    pub transcribed: bool,
    /// The people.
    pub people: Vec<Person>,
}

impl SheetFacts {
    /// What was or will be done with an item.
    pub fn used(&self) -> &'static str {
        if self.at_start {
            "goes out"
        } else {
            "was used"
        }
    }

    /// The sheet in words: its number, or `2026-06-14 night`.
    pub fn name(&self) -> String {
        match &self.reference {
            Some(reference) => reference.clone(),
            None => format!("{} {}", self.day, self.shift),
        }
    }
}

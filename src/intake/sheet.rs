//! The end-of-shift sheet: rows of people under one head become one record.

use std::collections::HashMap;
use std::path::Path;

use super::cells::{Cells, Columns, Row};
use super::doubt::{Nearby, doubts};
use super::fault::{Fault, Faults, IntakeError};
use super::fields::Fields;
use super::take::{Taken, TakenItem, refusal_fault};
use crate::answer::{House, Names, stops_of};
use crate::calendar::{Day, Zone};
use crate::ledger::{Instant, LedgerError, Snapshot, Writer};
use crate::quantity::{Indication, IndicationUnit};
use crate::record::{
    Body, Paper, Person, Reading, Record, RecordId, Ref, Role, Sheet, ShiftName, Words, Work,
};
use crate::rule::Finding;

/// The columns of a sheet file, which are the keys of typed people and the
/// flags of a typed sheet.
pub const SHEET_COLUMNS: &[&str] = &[
    "sheet",
    "day",
    "shift",
    "begins",
    "ends",
    "job",
    "work",
    "device",
    "source",
    "control_unit",
    "guide_tubes",
    "meter",
    "exposures",
    "source_out_min",
    "boundary",
    "storage_survey",
    "device_out",
    "device_back",
    "attested_by",
    "worker",
    "role",
    "dosimeter",
    "part",
    "start",
    "end",
    "off_scale",
    "ratemeter",
    "alarm_tested",
    "badge_worn",
    "paper_date",
    "paper_signer",
    "image",
    "image_sha256",
    "note",
];

/// Places of the columns in [`SHEET_COLUMNS`].
mod at {
    pub const SHEET: usize = 0;
    pub const DAY: usize = 1;
    pub const SHIFT: usize = 2;
    pub const BEGINS: usize = 3;
    pub const ENDS: usize = 4;
    pub const JOB: usize = 5;
    pub const WORK: usize = 6;
    pub const DEVICE: usize = 7;
    pub const SOURCE: usize = 8;
    pub const CONTROL_UNIT: usize = 9;
    pub const GUIDE_TUBES: usize = 10;
    pub const METER: usize = 11;
    pub const EXPOSURES: usize = 12;
    pub const SOURCE_OUT: usize = 13;
    pub const BOUNDARY: usize = 14;
    pub const STORAGE_SURVEY: usize = 15;
    pub const DEVICE_OUT: usize = 16;
    pub const DEVICE_BACK: usize = 17;
    pub const ATTESTED_BY: usize = 18;
    pub const WORKER: usize = 19;
    pub const ROLE: usize = 20;
    pub const DOSIMETER: usize = 21;
    pub const PART: usize = 22;
    pub const START: usize = 23;
    pub const END: usize = 24;
    pub const OFF_SCALE: usize = 25;
    pub const RATEMETER: usize = 26;
    pub const ALARM_TESTED: usize = 27;
    pub const BADGE_WORN: usize = 28;
    pub const PAPER_DATE: usize = 29;
    pub const PAPER_SIGNER: usize = 30;
    pub const IMAGE: usize = 31;
    pub const IMAGE_SHA256: usize = 32;
    pub const NOTE: usize = 33;
}

/// Columns that belong to the sheet and not to one person: a further row may
/// leave them blank, but must not contradict the first.
const HEAD: &[usize] = &[
    at::SHEET,
    at::DAY,
    at::SHIFT,
    at::BEGINS,
    at::ENDS,
    at::JOB,
    at::WORK,
    at::DEVICE,
    at::SOURCE,
    at::CONTROL_UNIT,
    at::GUIDE_TUBES,
    at::METER,
    at::EXPOSURES,
    at::SOURCE_OUT,
    at::BOUNDARY,
    at::STORAGE_SURVEY,
    at::DEVICE_OUT,
    at::DEVICE_BACK,
    at::ATTESTED_BY,
    at::PAPER_DATE,
    at::PAPER_SIGNER,
    at::IMAGE,
    at::IMAGE_SHA256,
];

/// Columns that every sheet file must have.
const NEEDED: &[&str] = &[
    "day",
    "shift",
    "job",
    "work",
    "worker",
    "role",
    "dosimeter",
    "start",
    "end",
];

/// Where the rows of sheets come from.
#[derive(Debug)]
pub enum SheetBatch<'a> {
    /// A CSV file, the rows of one sheet together.
    File(&'a Path),
    /// One typed sheet: a row a person, in the order of the columns.
    Typed(Vec<Vec<String>>),
}

/// Takes in sheets inside a write: all of them or none. A refusal says what the
/// readable sheets of the file mean for those on them.
pub fn take_sheets(
    writer: &mut Writer<'_>,
    now: Instant,
    batch: SheetBatch<'_>,
) -> Result<Taken, IntakeError> {
    let names = Names::load(&writer.snapshot()?)?;
    let mut taking = Taking {
        writer,
        names: &names,
        now,
        nearby: Nearby::default(),
        faults: Faults::default(),
        taken: Taken::default(),
        readable: Vec::new(),
        stops: Vec::new(),
    };
    let mut group = Group::default();
    let mut file = None;
    match batch {
        SheetBatch::Typed(rows) => {
            let columns = Columns::whole(SHEET_COLUMNS);
            // Where several people were typed, a fault says in whose line it is.
            let several = rows.len() > 1;
            for (values, line) in rows.into_iter().zip(1..) {
                let mut row = Row::typed(values);
                row.line = several.then_some(line);
                group.rows.push(row);
            }
            taking.sheet(&columns, &group.rows)?;
        }
        SheetBatch::File(path) => {
            let mut cells = Cells::open(path, SHEET_COLUMNS, NEEDED)?;
            let mut row = Row::default();
            while cells.next(&mut row, &mut taking.faults) {
                if !group.belongs(&cells.columns, &row) {
                    taking.sheet(&cells.columns, &group.rows)?;
                    group.start(&cells.columns, &row, &mut taking.faults);
                }
                group.rows.push(row.clone());
            }
            taking.sheet(&cells.columns, &group.rows)?;
            file = Some(cells.file().to_owned());
        }
    }
    if taking.faults.any() {
        let (faults, stops) = taking.stops()?;
        return Err(faults.refuse(file.as_deref(), stops));
    }
    let (count, hash) = taking.writer.head();
    let mut taken = taking.taken;
    taken.head = crate::ledger::head_text(count, &hash);
    Ok(taken)
}

/// The rows of one sheet while a file is read.
#[derive(Default)]
struct Group {
    rows: Vec<Row>,
    /// Sheets seen before, by their head, with the line: rows of one sheet must
    /// stand together, so that a file of any length is read in one pass.
    seen: HashMap<u64, u64>,
}

impl Group {
    fn belongs(&self, columns: &Columns, row: &Row) -> bool {
        let Some(first) = self.rows.first() else {
            return false;
        };
        let same = |column| columns.cell(first, column) == columns.cell(row, column);
        match columns.cell(row, at::SHEET) {
            "" => {
                columns.cell(first, at::SHEET).is_empty()
                    && same(at::DAY)
                    && same(at::SHIFT)
                    && same(at::DEVICE)
                    && same(at::JOB)
                    && same(at::WORK)
            }
            _ => same(at::SHEET),
        }
    }

    fn start(&mut self, columns: &Columns, row: &Row, faults: &mut Faults) {
        use std::hash::{DefaultHasher, Hash, Hasher};
        self.rows.clear();
        let mut hasher = DefaultHasher::new();
        match columns.cell(row, at::SHEET) {
            "" => [at::DAY, at::SHIFT, at::DEVICE, at::JOB, at::WORK]
                .map(|column| columns.cell(row, column))
                .hash(&mut hasher),
            reference => reference.hash(&mut hasher),
        }
        let line = row.line.unwrap_or_default();
        if let Some(before) = self.seen.insert(hasher.finish(), line) {
            faults.push(Fault::new(
                row.line,
                "sheet",
                columns.cell(row, at::SHEET),
                format!("the rows of this sheet do not stand together; it began at line {before}"),
                "put all people of one sheet on lines that follow each other",
            ));
        }
    }
}

/// Everything that taking in sheets needs.
struct Taking<'a, 'w> {
    writer: &'a mut Writer<'w>,
    names: &'a Names,
    now: Instant,
    nearby: Nearby,
    faults: Faults,
    taken: Taken,
    /// Sheets of a file that has faults, or what can be read of them: they are
    /// not written, but what they say about people is printed.
    readable: Vec<Sheet>,
    /// The stops of those that were looked at already.
    stops: Vec<Finding>,
}

/// What the rows of one sheet are.
enum Rows {
    /// A sheet without a fault.
    Sound(Sheet),
    /// A sheet with faults, without what cannot be read.
    Faulty(Sheet),
    /// Nothing that could be looked at.
    Unreadable,
}

impl Taking<'_, '_> {
    fn sheet(&mut self, columns: &Columns, rows: &[Row]) -> Result<(), IntakeError> {
        let Some(first) = rows.first() else {
            return Ok(());
        };
        let line = first.line;
        let read = read_sheet(columns, rows, self.names, self.now, &mut self.faults);
        let mut sheet = match read {
            Rows::Sound(sheet) => sheet,
            Rows::Faulty(sheet) => {
                return self.keep(sheet);
            }
            Rows::Unreadable => return Ok(()),
        };
        if self.faults.any() {
            return self.keep(sheet);
        }
        let transcribed = sheet.paper.is_some();
        let key = label(self.names, &sheet);
        // The doubts depend on what else is in the ledger, and are not part of
        // what the crew said: a sheet that is there already gets none.
        let found = self.writer.find(&sheet.clone().into());
        let written = match found {
            Ok(Some(already)) => Ok(already),
            Ok(None) => {
                self.nearby.load(&self.writer.snapshot()?, &sheet)?;
                sheet.held = doubts(&sheet, self.names, &self.nearby, None);
                let body = Body::from(sheet.clone());
                let written = self.writer.append_found_new(body, transcribed);
                if let Ok(written) = &written {
                    self.nearby.remember(&sheet, written.record());
                }
                written
            }
            Err(error) => Err(error),
        };
        match written {
            Ok(written) => {
                self.taken.items.push(TakenItem {
                    line,
                    kind: "sheet",
                    key,
                    written,
                });
                Ok(())
            }
            Err(LedgerError::Refused(refusal)) => {
                self.faults.push(refusal_fault(line, &key, &refusal));
                self.keep(sheet)
            }
            Err(other) => Err(other.into()),
        }
    }

    /// Keeps a sheet that will not be written; a long file's are looked at by
    /// the thousand, so that they do not fill the memory.
    fn keep(&mut self, sheet: Sheet) -> Result<(), IntakeError> {
        const TOGETHER: usize = 1000;
        self.readable.push(sheet);
        if self.readable.len() >= TOGETHER {
            self.look_for_stops()?;
        }
        Ok(())
    }

    fn look_for_stops(&mut self) -> Result<(), IntakeError> {
        let snapshot = self.writer.snapshot()?;
        let found = stops_of(&snapshot, &House::load(&snapshot)?, &self.readable)?;
        self.stops.extend(found);
        self.readable.clear();
        Ok(())
    }

    /// Everything on the readable rows that must stop somebody. Sheets that stood before the first fault are in the write,
    /// which will be taken back.
    fn stops(mut self) -> Result<(Faults, Vec<Finding>), IntakeError> {
        self.look_for_stops()?;
        let snapshot = self.writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let mut stops = Vec::new();
        for item in &self.taken.items {
            if let Some(sheet) = snapshot.sheet_at(item.written.entry())? {
                stops.extend(stops_of(&snapshot, &house, &[sheet])?);
            }
        }
        stops.extend(self.stops);
        Ok((self.faults, stops))
    }
}

/// A sheet as people name it: by its own number, or by day, shift and device.
pub(super) fn label(names: &Names, sheet: &Sheet) -> String {
    if let Some(reference) = &sheet.reference {
        return reference.clone();
    }
    let device = sheet
        .device
        .as_ref()
        .map_or_else(|| "without a device".to_owned(), |it| names.words(it));
    format!("{} {} {device}", sheet.day, sheet.shift.word())
}

/// Finds the doubts of an amended sheet, against everything but itself.
pub(super) fn look_at_again(
    snapshot: &Snapshot<'_>,
    sheet: &mut Sheet,
    record: RecordId,
) -> Result<(), LedgerError> {
    let names = Names::load(snapshot)?;
    let mut nearby = Nearby::default();
    nearby.load(snapshot, sheet)?;
    sheet.held = doubts(sheet, &names, &nearby, Some(record));
    Ok(())
}

fn read_sheet(
    columns: &Columns,
    rows: &[Row],
    names: &Names,
    now: Instant,
    faults: &mut Faults,
) -> Rows {
    let before = faults.list.len() + faults.more;
    let Some(first) = rows.first() else {
        return Rows::Unreadable;
    };
    one_head(columns, rows, faults);
    let head = read_head(
        &mut Fields {
            columns,
            row: first,
            faults,
        },
        names,
        now,
    );
    let mut people: Vec<Person> = Vec::new();
    for row in rows {
        read_person(
            &mut Fields {
                columns,
                row,
                faults,
            },
            names,
            &mut people,
        );
    }
    let Some(mut sheet) = head else {
        return Rows::Unreadable;
    };
    sheet.people = people;
    if faults.list.len() + faults.more == before {
        for problem in sheet.problems() {
            faults.push(Fault::of_problem(first.line, problem));
        }
    }
    if faults.list.len() + faults.more == before {
        Rows::Sound(sheet)
    } else {
        Rows::Faulty(sheet)
    }
}

/// Lists every cell of a further row that contradicts the sheet's first row.
fn one_head(columns: &Columns, rows: &[Row], faults: &mut Faults) {
    let Some((first, others)) = rows.split_first() else {
        return;
    };
    for row in others {
        for column in HEAD {
            let (here, there) = (columns.cell(row, *column), columns.cell(first, *column));
            if !here.is_empty() && here != there {
                faults.push(Fault::new(
                    row.line,
                    columns.name(*column),
                    here,
                    format!("differs from the first row of this sheet, which has `{there}`"),
                    "one value a sheet, or blank on its further rows",
                ));
            }
        }
    }
}

fn read_head(fields: &mut Fields<'_>, names: &Names, now: Instant) -> Option<Sheet> {
    let day = fields.needed_day(at::DAY);
    let shift = fields.needed_word::<ShiftName>(at::SHIFT);
    let work = fields.needed_word::<Work>(at::WORK);
    let job = fields
        .needed(at::JOB, "the id of the job")
        .map(|id| names.job_ref(&id));
    if let (Some(day), Some(job)) = (day, &job) {
        refuse_future(fields, day, today_there(names, job, now));
    }
    let equipment = |id: String| names.equipment_ref(&id);
    let paper = read_paper(fields);
    Some(Sheet {
        attested_by: fields.text(at::ATTESTED_BY).map(|id| names.worker_ref(&id)),
        begins: fields.text(at::BEGINS),
        boundary: fields.text(at::BOUNDARY),
        control_unit: fields.text(at::CONTROL_UNIT).map(equipment),
        device: fields.text(at::DEVICE).map(equipment),
        device_back: fields.text(at::DEVICE_BACK),
        device_out: fields.text(at::DEVICE_OUT),
        ends: fields.text(at::ENDS),
        exposures: fields.count(at::EXPOSURES),
        guide_tubes: fields
            .cell(at::GUIDE_TUBES)
            .split_whitespace()
            .map(|id| names.equipment_ref(id))
            .collect(),
        held: Vec::new(),
        meter: fields.text(at::METER).map(|id| names.instrument_ref(&id)),
        note: fields.text(at::NOTE),
        paper,
        people: Vec::new(),
        reference: fields.text(at::SHEET),
        source: fields.text(at::SOURCE).map(equipment),
        source_out_s: fields.minutes(at::SOURCE_OUT),
        storage_survey: fields.text(at::STORAGE_SURVEY),
        day: day?,
        shift: shift?,
        work: work?,
        job: job?,
    })
}

/// The day that it is at the job, or in the ledger's zone where the job is not
/// known.
pub(super) fn today_there(names: &Names, job: &Ref, now: Instant) -> Day {
    let zone = job
        .known()
        .and_then(|job| names.job_body(job))
        .map(|job| job.zone.as_str());
    Zone::parse(zone.unwrap_or(&names.charter.zone))
        .unwrap_or(Zone::UTC)
        .local_day(now)
}

fn refuse_future(fields: &mut Fields<'_>, day: Day, today: Day) {
    if day > today {
        fields.fault(
            at::DAY,
            format!("is in the future: today is {today}"),
            "the day the shift began",
        );
    }
}

fn read_paper(fields: &mut Fields<'_>) -> Option<Paper> {
    let given = [
        at::PAPER_DATE,
        at::PAPER_SIGNER,
        at::IMAGE,
        at::IMAGE_SHA256,
    ]
    .iter()
    .any(|column| !fields.cell(*column).is_empty());
    if !given {
        return None;
    }
    let date = fields.needed_day(at::PAPER_DATE);
    let signer = fields.needed(at::PAPER_SIGNER, "who signed the paper");
    let image = fields.text(at::IMAGE);
    let image_sha256 = fields
        .text(at::IMAGE_SHA256)
        .map(|digest| digest.to_lowercase());
    Some(Paper {
        date: date?,
        image,
        image_sha256,
        signer: signer?,
    })
}

fn read_person(fields: &mut Fields<'_>, names: &Names, people: &mut Vec<Person>) {
    let worker = fields
        .needed(at::WORKER, "the id of a worker")
        .map(|id| names.worker_ref(&id));
    let role = fields.needed_word::<Role>(at::ROLE);
    let ratemeter = fields
        .text(at::RATEMETER)
        .map(|id| names.instrument_ref(&id));
    let alarm_tested = fields.yes(at::ALARM_TESTED);
    let badge_worn = fields.yes(at::BADGE_WORN);
    let reading = read_reading(fields, names);
    let (Some(worker), Some(role)) = (worker, role) else {
        return;
    };
    let person = Person {
        alarm_tested,
        badge_worn,
        ratemeter,
        readings: reading.into_iter().collect(),
        role,
        worker,
    };
    match people
        .iter_mut()
        .find(|other| other.worker == person.worker)
    {
        None => people.push(person),
        Some(other) => add_reading(fields, other, person),
    }
}

/// A further row of a person: another dosimeter or part. The rest must agree.
fn add_reading(fields: &mut Fields<'_>, known: &mut Person, again: Person) {
    let agree = known.role == again.role
        && (again.ratemeter.is_none() || known.ratemeter == again.ratemeter)
        && (again.alarm_tested.is_none() || known.alarm_tested == again.alarm_tested)
        && (again.badge_worn.is_none() || known.badge_worn == again.badge_worn);
    if !agree {
        fields.fault(
            at::WORKER,
            "stands on the sheet twice, with another role, ratemeter or badge",
            "one line a dosimeter or part, all with the same role, ratemeter and badge",
        );
        return;
    }
    if again.readings.is_empty() {
        fields.fault(
            at::WORKER,
            "stands on the sheet twice",
            "one line a person, and one more for each further dosimeter or part",
        );
    }
    for reading in &again.readings {
        let same = |it: &Reading| it.dosimeter == reading.dosimeter && it.part == reading.part;
        if known.readings.iter().any(same) {
            fields.fault(
                at::PART,
                "has a reading of this person and dosimeter already",
                "number the parts 1, 2, 3 when the dosimeter was set back to zero",
            );
            return;
        }
    }
    known.readings.extend(again.readings);
}

fn read_reading(fields: &mut Fields<'_>, names: &Names) -> Option<Reading> {
    let dosimeter = fields
        .text(at::DOSIMETER)
        .map(|id| names.instrument_ref(&id));
    let off_scale = fields.yes(at::OFF_SCALE);
    let part = match fields.cell(at::PART) {
        "" => Some(1),
        _ => fields.count(at::PART),
    };
    let blank = fields.cell(at::START).is_empty() && fields.cell(at::END).is_empty();
    let Some(dosimeter) = dosimeter else {
        if !blank || off_scale == Some(true) {
            fields.fault(
                at::DOSIMETER,
                "is missing although there is a reading",
                "the id on the dosimeter",
            );
        }
        return None;
    };
    if let Some(what) = not_a_dosimeter(names, &dosimeter) {
        fields.fault(at::DOSIMETER, what, "a pocket or electronic dosimeter");
        return None;
    }
    let face = dosimeter
        .known()
        .and_then(|record| names.instrument_body(record))
        .and_then(|instrument| instrument.face_unit());
    let start = read_shown(fields, at::START, face);
    let end = read_shown(fields, at::END, face);
    if let (Some(start), Some(end)) = (start, end)
        && start.is_exposure() != end.is_exposure()
    {
        fields.fault(
            at::END,
            format!(
                "is in {}, the start in {}",
                end.unit().symbol(),
                start.unit().symbol()
            ),
            "both readings in the unit of the dosimeter's face",
        );
        return None;
    }
    Some(Reading {
        dosimeter,
        end,
        off_scale: off_scale.unwrap_or(false),
        part: part?,
        start,
    })
}

fn not_a_dosimeter(names: &Names, dosimeter: &Ref) -> Option<String> {
    let instrument = dosimeter
        .known()
        .and_then(|record| names.instrument_body(record))?;
    (!instrument.sort.is_dosimeter()).then(|| {
        let sort = instrument.sort.word();
        let article = if sort.starts_with('a') { "an" } else { "a" };
        format!("is {article} {sort}")
    })
}

/// A reading; a bare number takes the unit of the dosimeter's face. Where that
/// is not known, a bare number could mean two things and is refused.
fn read_shown(
    fields: &mut Fields<'_>,
    column: usize,
    face: Option<IndicationUnit>,
) -> Option<Indication> {
    let cell = fields.cell(column);
    if cell.is_empty() {
        return None;
    }
    match Indication::parse(cell, face) {
        Ok(shown) => match face {
            Some(face) if face.is_exposure() != shown.is_exposure() => {
                fields.fault(
                    column,
                    format!("is in {}, but this dosimeter shows {face}", shown.unit()),
                    format!("what is on its face, in {face}"),
                );
                None
            }
            _ => Some(shown),
        },
        Err(error) => {
            fields.unreadable(column, &error, "what is on its face, such as `12 mR`");
            None
        }
    }
}

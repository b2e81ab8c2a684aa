//! The rows of one sheet as a record: a head that they share, a row a person,
//! dosimeter or part.

use super::column::{at, equipment, equipment_of};
use super::reading::read_reading;
use crate::answer::Names;
use crate::calendar::Day;
use crate::intake::dose::doubt_reading::above_range;
use crate::intake::entry::fault::{Fault, Faults};
use crate::intake::file::columns::{Columns, Row};
use crate::intake::file::fields::Fields;
use crate::ledger::Instant;
use crate::record::{
    Id, Paper, Person, Reading, Record, Ref, Role, Sheet, ShiftName, ShiftStart, StartPart, Words,
    Work,
};

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
    at::FIRST_EXPOSURE,
    at::SITE,
    at::SHIFT_START,
    at::METER_CHECKED,
    at::METER_LATE,
    at::STORAGE_METER,
    at::STORAGE_DISTANCE,
    at::LOCKED,
    at::SIGNED_BY,
    at::PAPER_FORM,
];

/// The hours of a sheet.
const HOURS: &[usize] = &[
    at::BEGINS,
    at::ENDS,
    at::DEVICE_OUT,
    at::DEVICE_BACK,
    at::FIRST_EXPOSURE,
];

/// What the rows of one sheet are.
pub(crate) enum Rows {
    /// A sheet without a fault.
    Sound(Sheet),
    /// A sheet with faults, without what cannot be read.
    Faulty(Sheet),
    /// Nothing that could be looked at.
    Unreadable,
}

/// Reads the rows of one sheet; whatever is wrong with them is listed.
pub(crate) fn read_sheet(
    columns: &Columns,
    rows: &[Row],
    names: &Names,
    now: Instant,
    faults: &mut Faults,
) -> Rows {
    let before = faults.count();
    let told = faults.list.len();
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
    let (mut sheet, whole) = head;
    sheet.people = people;
    let sound = faults.count() == before;
    for problem in sheet.problems() {
        // What is blank may have been left out for the fault that is told already.
        let of_it = |it: &Fault| it.field == problem.field;
        let again = faults.list.iter().skip(told).any(of_it);
        if sound || (!problem.value.is_empty() && !again) {
            faults.push(Fault::of_problem(first.line, problem));
        }
    }
    if !whole {
        return only_off_scale(sheet, first, names);
    }
    if faults.count() == before {
        Rows::Sound(sheet)
    } else {
        Rows::Faulty(sheet)
    }
}

/// Who was off-scale, under a head that cannot be read: what they are told hangs on nothing in it.
fn only_off_scale(sheet: Sheet, first: &Row, names: &Names) -> Rows {
    let mut people = sheet.people;
    for person in &mut people {
        let stops = |it: &Reading| it.off_scale || above_range(it, names).is_some();
        person.readings.retain(stops);
    }
    people.retain(|it| !it.readings.is_empty());
    if people.is_empty() {
        return Rows::Unreadable;
    }
    let name = match first.line {
        Some(line) => format!("the sheet that begins on line {line}"),
        None => "this sheet".to_owned(),
    };
    Rows::Faulty(Sheet {
        control_unit: None,
        device: None,
        guide_tubes: Vec::new(),
        meter: None,
        people,
        reference: Some(name),
        source: None,
        work: Work::Transport,
        ..sheet
    })
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

/// The sheet without its people, and whether all that must be there can be read.
fn read_head(fields: &mut Fields<'_>, names: &Names, now: Instant) -> (Sheet, bool) {
    let day = fields.needed_day(at::DAY);
    let shift = fields.needed_word::<ShiftName>(at::SHIFT);
    let work = fields.needed_word::<Work>(at::WORK);
    let job = fields
        .needed(at::JOB, "the id of the job")
        .map(|id| names.job_ref(&id));
    if let (Some(day), Some(job)) = (day, &job) {
        refuse_future(fields, day, names.today_at(job, now));
    }
    let tubes = fields.cell(at::GUIDE_TUBES).split_whitespace();
    let guide_tubes = tubes
        .filter_map(|id| equipment_of(fields, names, at::GUIDE_TUBES, id))
        .collect();
    let paper = read_paper(fields);
    let whole = day.is_some() && shift.is_some() && work.is_some() && job.is_some();
    let sheet = Sheet {
        attested_by: fields.text(at::ATTESTED_BY).map(|id| names.worker_ref(&id)),
        begins: fields.hour(at::BEGINS, HOURS),
        boundary: fields.text(at::BOUNDARY),
        control_unit: equipment(fields, names, at::CONTROL_UNIT),
        device: equipment(fields, names, at::DEVICE),
        device_back: fields.hour(at::DEVICE_BACK, HOURS),
        device_out: fields.hour(at::DEVICE_OUT, HOURS),
        ends: fields.hour(at::ENDS, HOURS),
        exposures: fields.count(at::EXPOSURES),
        first_exposure: fields.hour(at::FIRST_EXPOSURE, HOURS),
        guide_tubes,
        held: Vec::new(),
        locked: fields.yes(at::LOCKED),
        meter: equipment(fields, names, at::METER),
        meter_checked: fields.yes(at::METER_CHECKED),
        meter_late: fields.yes(at::METER_LATE),
        note: fields.text(at::NOTE),
        paper,
        people: Vec::new(),
        reference: fields.text(at::SHEET),
        shift_start: shift_start(fields),
        signed_by: fields.text(at::SIGNED_BY).map(|id| names.worker_ref(&id)),
        site: fields.text(at::SITE),
        source: equipment(fields, names, at::SOURCE),
        source_out_s: fields.minutes(at::SOURCE_OUT),
        storage_distance: fields.text(at::STORAGE_DISTANCE),
        storage_meter: equipment(fields, names, at::STORAGE_METER),
        storage_survey: fields.text(at::STORAGE_SURVEY),
        day: day.unwrap_or_else(|| names.newest_day(now)),
        shift: shift.unwrap_or(ShiftName::Day),
        work: work.unwrap_or(Work::Transport),
        job: job.unwrap_or_else(|| Ref::Written(String::new())),
    };
    (sheet, whole)
}

/// The start that a sheet refers to, by the number of its entry: `118` or `entry:118`.
fn shift_start(fields: &mut Fields<'_>) -> Option<Id<ShiftStart>> {
    let cell = fields.cell(at::SHIFT_START);
    let number = cell.strip_prefix("entry:").unwrap_or(cell);
    if number.is_empty() {
        return None;
    }
    let found = number.parse::<i64>().ok().filter(|it| *it > 0);
    if found.is_none() {
        let right = "the number that `sheet start` printed, such as `118`";
        fields.fault(at::SHIFT_START, "is no entry", right);
    }
    found.map(Id::new)
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
        at::PAPER_FORM,
    ]
    .iter()
    .any(|column| !fields.cell(*column).is_empty());
    if !given {
        return None;
    }
    let date = fields.needed_day(at::PAPER_DATE);
    let signer = fields.needed(at::PAPER_SIGNER, "who signed the paper");
    let form = match fields.cell(at::PAPER_FORM) {
        "" => Some(None),
        _ => fields.form_code(at::PAPER_FORM).map(Some),
    };
    let image = fields.text(at::IMAGE);
    let image_sha256 = fields
        .text(at::IMAGE_SHA256)
        .map(|digest| digest.to_lowercase());
    Some(Paper {
        date: date?,
        form: form?,
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
    let ratemeter = equipment(fields, names, at::RATEMETER);
    let alarm_tested = fields.yes(at::ALARM_TESTED);
    let badge_worn = fields.yes(at::BADGE_WORN);
    let badge = fields.text(at::BADGE);
    if badge.is_some() && badge_worn == Some(false) {
        let what = "is named, and the sheet says that no badge was worn";
        fields.fault(at::BADGE, what, "a blank, or badge_worn=yes");
    }
    let late = read_late(fields);
    let reading = read_reading(fields, names);
    // Whoever it was, an off-scale dosimeter stops somebody.
    let stops = reading.as_ref().is_some_and(|it| it.off_scale);
    let unnamed = || stops.then(|| Ref::Written("a person who is not named".to_owned()));
    let (Some(worker), Some(role)) = (
        worker.or_else(unnamed),
        role.or(stops.then_some(Role::Other)),
    ) else {
        return;
    };
    let person = Person {
        alarm_tested,
        badge,
        badge_worn,
        late,
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

/// What was recorded at the end and not when it was done: `reading alarm`.
fn read_late(fields: &mut Fields<'_>) -> Vec<StartPart> {
    let mut late = Vec::new();
    for word in fields.cell(at::LATE).split_whitespace() {
        match StartPart::from_word(word) {
            Some(part) if !late.contains(&part) => late.push(part),
            Some(_) => {}
            None => fields.fault(
                at::LATE,
                format!("has `{word}`, which is nothing of a start"),
                format!("{}, separated by spaces", StartPart::list()),
            ),
        }
    }
    late
}

/// A further row of a person: another dosimeter or part. The rest must agree.
fn add_reading(fields: &mut Fields<'_>, known: &mut Person, again: Person) {
    let agree = known.role == again.role
        && (again.ratemeter.is_none() || known.ratemeter == again.ratemeter)
        && (again.alarm_tested.is_none() || known.alarm_tested == again.alarm_tested)
        && (again.badge.is_none() || known.badge == again.badge)
        && (again.badge_worn.is_none() || known.badge_worn == again.badge_worn)
        && (again.late.is_empty() || known.late == again.late);
    let same = |old: &Reading, it: &Reading| (&old.dosimeter, old.part) == (&it.dosimeter, it.part);
    if !agree {
        fields.fault(
            at::WORKER,
            "stands on the sheet twice, with another role, ratemeter or badge",
            "one line a dosimeter or part, all with the same role, ratemeter and badge",
        );
    } else if again.readings.is_empty() {
        fields.fault(
            at::WORKER,
            "stands on the sheet twice",
            "one line a person, and one more for each further dosimeter or part",
        );
    } else if again
        .readings
        .iter()
        .any(|it| known.readings.iter().any(|old| same(old, it)))
    {
        fields.fault(
            at::PART,
            "has a reading of this person and dosimeter already",
            "number the parts 1, 2, 3 when the dosimeter was set back to zero",
        );
    }
    // With a fault nothing is written, and what was off-scale is told.
    known.readings.extend(again.readings);
}

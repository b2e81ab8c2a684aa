//! The forms of a day to print: an end-of-shift sheet with crew, set and dosimeters as last time,
//! and the inspection of a set. What is read off, done or signed stays blank.

use super::form_choose::Choosing;
use super::form_code::{
    FORM_MARK, PrintedForm, PrintedInspection, PrintedMember, PrintedSheet, code_of,
};
use super::form_read::free_number;
use super::language::{language_of_last_crew, language_of_lead};
use super::sheet_offer::{
    LastEquipment, LastTime, Member, face_unit, is_recharged, last_time, meter_unit, recent_sheets,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::sought::NoSuchName;
use crate::answer::equipment::inspection::{ToInspect, all_equipment};
use crate::calendar::Day;
use crate::ledger::{Instant, Stored};
use crate::record::{Job, Occasion, RecordId, Sheet, ShiftName, Words, Work};
use crate::rule::RuleSet;
use crate::text::Language;

/// What stands on every form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormHead {
    /// The day for which it is.
    pub day: Day,
    /// Who holds the license.
    pub licensee: String,
    /// The code in letters.
    pub code: String,
    /// What a phone reads.
    pub scanned: String,
    /// The rules that it serves: citation and meaning.
    pub law: Vec<(String, String)>,
    /// The caution of the rule set, or of the list.
    pub confirm: String,
    /// Whether the clock of the ledger is scripted.
    pub scripted: bool,
}

/// A dosimeter of a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormDosimeter {
    /// Its id.
    pub id: String,
    /// The unit of its face; nothing where the register has none.
    pub unit: Option<String>,
    /// The highest reading that it can show.
    pub range: Option<String>,
    /// Whether it is recharged at the start of each shift.
    pub recharged: bool,
}

/// Somebody on a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormMember {
    /// The id.
    pub worker: String,
    /// The full name.
    pub name: String,
    /// What the person acts as; blank where nobody knows.
    pub role: &'static str,
    /// The dosimeters.
    pub dosimeters: Vec<FormDosimeter>,
    /// The alarm ratemeter; blank for none.
    pub ratemeter: String,
}

/// The form of an end-of-shift sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetForm {
    /// What stands on every form.
    pub head: FormHead,
    /// Day, evening or night.
    pub shift: &'static str,
    /// What is done.
    pub work: &'static str,
    /// The job and its place; blank where there is none.
    pub job: (String, String),
    /// Each thing in its place: what it is, its id and serial number; a blank id to be filled in.
    pub set: Vec<(&'static str, String, String)>,
    /// The unit of the survey meter, where it has but one.
    pub meter_unit: Option<String>,
    /// The crew.
    pub crew: Vec<FormMember>,
    /// The language of who leads the crew, where the record says one.
    pub language: Option<Language>,
    /// What must be done at once where a dosimeter is off its scale, and its rule.
    pub off_scale: Option<(String, String)>,
    /// What was so last time and is not printed, with the reason.
    pub left_out: Vec<String>,
    /// What stands against what was asked for by name, and is printed all the same.
    pub against: Vec<String>,
}

/// The form of the inspection of some items.
#[derive(Debug, Clone)]
pub struct InspectionForm {
    /// What stands on every form.
    pub head: FormHead,
    /// What it is made for.
    pub when: Occasion,
    /// The name of the list.
    pub list: String,
    /// Each item with what is to be looked at.
    pub items: Vec<ToInspect>,
    /// The language of who led the last crew, where the record says one.
    pub language: Option<Language>,
}

/// What is asked of the form of a sheet; what is not named is as last time.
#[derive(Debug, Clone, Copy)]
pub struct SheetFormAsked<'a> {
    /// The job.
    pub job: Option<&'a str>,
    /// Ids of workers.
    pub crew: &'a [String],
    /// Ids of equipment and the survey meter.
    pub equipment: &'a [String],
    /// Which shift.
    pub shift: Option<ShiftName>,
    /// The day on which it begins.
    pub on: Day,
    /// Which of several forms with the same print; else the first that nobody has typed in.
    pub copy: Option<u64>,
}

/// The rules that a sheet serves.
const LAW_OF_A_SHEET: &[&str] = &[
    "badge-not-worn",
    "recorded-late",
    "start-not-last-end",
    "no-survey-at-storage",
    "record-utilization",
];

/// The form of an end-of-shift sheet.
///
/// # Errors
/// A name that leads nowhere, or to something that a sheet has no place for.
pub fn sheet_form(
    house: &OpenHouse<'_>,
    asked: SheetFormAsked<'_>,
    now: Instant,
) -> Result<SheetForm, AnswerError> {
    let on = asked.on;
    let sheets = recent_sheets(house, on)?;
    let job = asked.job.map(|it| house.names.job(it)).transpose()?;
    let of_job = |it: &&Stored<Sheet>| job.is_some_and(|job| it.body.job.known() == Some(job));
    let last = sheets.iter().find(of_job).or(sheets.first());
    let last = last.map(|it| last_time(house, &it.body));
    let mut choosing = Choosing {
        house,
        on,
        now,
        left_out: Vec::new(),
        against: Vec::new(),
    };
    let used = last.as_ref().map_or(&[][..], |it| &it.equipment);
    let (one_each, guide_tubes) = match asked.equipment {
        [] => choosing.as_last(used)?,
        ids => choosing.named(ids)?,
    };
    let crew = match asked.crew {
        [] => choosing.crew_as_last(last.as_ref())?,
        ids => choosing.crew_named(ids, &sheets)?,
    };
    let job = match (job, &last) {
        (Some(job), _) => Some(job.number()),
        (None, Some(last)) => house.names.find_job(&last.job).map(|it| it.number()),
        (None, None) => None,
    };
    let mut printed = PrintedSheet {
        day: on,
        shift: asked
            .shift
            .or(last.as_ref().map(|it| it.shift))
            .unwrap_or(ShiftName::Day),
        work: last.as_ref().map_or(Work::Radiography, |it| it.work),
        job,
        one_each,
        guide_tubes,
        crew,
        copy: 1,
    };
    printed.copy = match asked.copy {
        Some(number) => number,
        None => free_number(house, &PrintedForm::Sheet(printed.clone()))?,
    };
    let Choosing {
        left_out, against, ..
    } = choosing;
    Ok(SheetForm {
        left_out,
        against,
        ..shown(house, &printed)?
    })
}

/// A form as it is printed.
fn shown(house: &OpenHouse<'_>, it: &PrintedSheet) -> Result<SheetForm, AnswerError> {
    let names = &house.names;
    let job = it.job.and_then(|it| names.job_body(it));
    let rule_set = house.rule_set_at(job, it.day)?;
    let [device, source, control, meter] = it.one_each;
    let mut set = vec![
        ("device", placed(house, device)),
        ("source", placed(house, source)),
        ("control unit", placed(house, control)),
    ];
    let tubes = it.guide_tubes.iter();
    set.extend(tubes.map(|it| ("guide tube", placed(house, Some(*it)))));
    if it.guide_tubes.is_empty() {
        set.push(("guide tube", placed(house, None)));
    }
    set.push(("survey meter", placed(house, meter)));
    let off_scale = rule_set.rule("off-scale");
    let ids: Vec<String> = it.crew.iter().map(|it| names.label(it.worker)).collect();
    let crew = ids.iter().zip(&it.crew);
    let crew = crew.map(|(id, it)| (id.as_str(), it.role));
    let meter = meter.map(|it| names.label(it));
    Ok(SheetForm {
        head: head(house, rule_set, it.day, &PrintedForm::Sheet(it.clone()))?,
        shift: it.shift.word(),
        work: it.work.word(),
        job: job.map_or_else(Default::default, place_of),
        set: set
            .into_iter()
            .map(|(what, (id, serial))| (what, id, serial))
            .collect(),
        meter_unit: meter.and_then(|it| meter_unit(house, &it)),
        crew: it.crew.iter().map(|it| shown_member(house, it)).collect(),
        language: language_of_lead(names, crew),
        off_scale: off_scale.map(|it| (it.remedy.trim().to_owned(), it.cited())),
        left_out: Vec::new(),
        against: Vec::new(),
    })
}

fn place_of(job: &Job) -> (String, String) {
    (job.id.clone(), job.place.clone())
}

/// An item by its id and serial number.
fn placed(house: &OpenHouse<'_>, it: Option<RecordId>) -> (String, String) {
    let Some(record) = it else {
        return Default::default();
    };
    let names = &house.names;
    let serial = names.equipment_body(record).map(|it| it.serial.clone());
    let serial = serial.or_else(|| names.instrument_body(record).map(|it| it.serial.clone()));
    (names.label(record), serial.unwrap_or_default())
}

fn shown_member(house: &OpenHouse<'_>, it: &PrintedMember) -> FormMember {
    let dosimeter = |record: &RecordId| {
        let id = house.names.label(*record);
        let body = house.names.instrument_body(*record);
        FormDosimeter {
            unit: face_unit(house, &id),
            range: body.and_then(|it| it.range.clone()),
            recharged: is_recharged(house, &id),
            id,
        }
    };
    let body = house.names.worker_body(it.worker);
    FormMember {
        worker: house.names.label(it.worker),
        name: body.map(|it| it.name.clone()).unwrap_or_default(),
        role: it.role.map_or("", Words::word),
        dosimeters: it.dosimeters.iter().map(dosimeter).collect(),
        ratemeter: it
            .ratemeter
            .map(|it| house.names.label(it))
            .unwrap_or_default(),
    }
}

fn head(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    day: Day,
    form: &PrintedForm,
) -> Result<FormHead, AnswerError> {
    let law = match form {
        PrintedForm::Sheet(_) => {
            let rules = LAW_OF_A_SHEET.iter().filter_map(|key| rule_set.rule(key));
            rules
                .map(|it| (it.cited(), it.meaning.trim().to_owned()))
                .collect()
        }
        PrintedForm::Inspection(it) => {
            let key = match it.when {
                Occasion::Daily => "daily-check",
                _ => "equipment-inspection",
            };
            let interval = rule_set.interval(key).into_iter();
            interval
                .map(|it| (it.cited(), it.meaning.trim().to_owned()))
                .collect()
        }
    };
    let code = code_of(house, form)?;
    Ok(FormHead {
        day,
        licensee: house.names.charter.licensee.clone(),
        scanned: format!("{FORM_MARK}{}", code.replace('-', "")),
        code,
        law,
        confirm: rule_set.confirm.trim().to_owned(),
        scripted: house.scripted(),
    })
}

/// What the form of a sheet had printed, as the prompt proposes what was so last time.
pub fn proposed(house: &OpenHouse<'_>, it: &PrintedSheet) -> LastTime {
    const COLUMNS: [&str; 4] = ["device", "source", "control_unit", "meter"];
    let used = |column, record: RecordId| LastEquipment {
        column,
        id: house.names.label(record),
        known: true,
    };
    let one_each = COLUMNS.into_iter().zip(it.one_each);
    let one_each = one_each.filter_map(|(column, it)| Some(used(column, it?)));
    let tubes = it.guide_tubes.iter().map(|it| used("guide_tubes", *it));
    let worn = |record: &RecordId| house.names.label(*record);
    let member = |it: &PrintedMember| Member {
        worker: house.names.label(it.worker),
        name: house
            .names
            .worker_body(it.worker)
            .map(|it| it.name.clone())
            .unwrap_or_default(),
        role: it.role,
        dosimeters: it.dosimeters.iter().map(worn).collect(),
        ratemeter: it.ratemeter.as_ref().map(worn).unwrap_or_default(),
    };
    LastTime {
        job: it.job.map(|it| house.names.label(it)).unwrap_or_default(),
        work: it.work,
        shift: it.shift,
        equipment: one_each.chain(tubes).collect(),
        crew: it.crew.iter().map(member).collect(),
    }
}

/// The form of an inspection of these items.
///
/// # Errors
/// A name that leads nowhere; no list in force that day.
pub fn inspection_to_print(
    house: &OpenHouse<'_>,
    ids: &[String],
    (when, on): (Occasion, Day),
    copy: Option<u64>,
) -> Result<InspectionForm, AnswerError> {
    let items = all_equipment(house, ids, when, on)?;
    let records: Result<Vec<RecordId>, NoSuchName> = ids
        .iter()
        .map(|id| Ok(house.names.item(id)?.number()))
        .collect();
    let form = PrintedForm::Inspection(PrintedInspection {
        on,
        when,
        items: records?,
        copy: 1,
    });
    let number = match copy {
        Some(number) => number,
        None => free_number(house, &form)?,
    };
    let form = form.copied(number);
    let Some((_, list)) = house.checklist_on(on) else {
        return Err(AnswerError::NoChecklist { day: on });
    };
    let mut head = head(house, house.rule_set_on(on)?, on, &form)?;
    list.confirm.trim().clone_into(&mut head.confirm);
    Ok(InspectionForm {
        head,
        when,
        list: list.key.clone(),
        items,
        language: language_of_last_crew(house, on)?,
    })
}

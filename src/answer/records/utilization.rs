//! The utilization log: which device with which source was out, who had it, who signed, where, when
//! it left storage and when it was back. It is made of the sheets as they stand.

use std::collections::BTreeSet;

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, data, figures,
    under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::entry::sheet_start::survey_words;
use crate::calendar::Day;
use crate::ledger::Stored;
use crate::record::{RecordId, Ref, Role, Sheet, Words};

/// What narrows the log, by id.
#[derive(Debug, Clone, Default)]
pub struct UseAsked {
    /// One source assembly.
    pub source: Option<String>,
    /// One exposure device.
    pub device: Option<String>,
    /// One person of the crew.
    pub worker: Option<String>,
    /// One job.
    pub job: Option<String>,
}

const COLUMNS: &[Column] = &[
    column("day", "day"),
    under("shift", "shift"),
    data("work", "work"),
    column("device", "device"),
    data("maker", "maker"),
    data("model", "model"),
    data("serial", "serial"),
    column("source", "source"),
    data("nuclide", "nuclide"),
    data("source_serial", "serial"),
    column("assigned_to", "assigned to"),
    under("signed_by", "signed"),
    column("job", "site"),
    under("place", "at"),
    column("out", "out"),
    under("back", "back"),
    under("survey", "survey"),
    figures("entry", "entry"),
];

/// The records that the questions are narrowed to.
struct Wanted {
    source: Option<RecordId>,
    device: Option<RecordId>,
    worker: Option<RecordId>,
    job: Option<RecordId>,
}

/// The utilization log of a span.
///
/// # Errors
/// A name that the ledger does not know.
pub fn utilization(
    house: &OpenHouse<'_>,
    asked: &UseAsked,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let names = &house.names;
    let equipment = |it: &Option<String>| {
        let found = it.as_deref().map(|it| names.equipment(it));
        found.transpose().map(|it| it.map(|it| it.number()))
    };
    let worker = asked.worker.as_deref().map(|it| names.worker(it));
    let job = asked.job.as_deref().map(|it| names.job(it));
    let wanted = Wanted {
        source: equipment(&asked.source)?,
        device: equipment(&asked.device)?,
        worker: worker.transpose()?.map(|it| it.number()),
        job: job.transpose()?.map(|it| it.number()),
    };
    let mut list = desk.list("utilization", "Utilization log", &["record-utilization"])?;
    for (what, it) in [
        ("source", wanted.source),
        ("device", wanted.device),
        ("person", wanted.worker),
        ("job", wanted.job),
    ] {
        let narrowed = it.map(|it| format!("{what} {}", names.label(it)));
        list.asked.extend(narrowed);
    }
    let mut part = RecordsPart::new("uses", "Uses", ("use", "uses"), COLUMNS);
    let (mut without, mut items) = (0, BTreeSet::new());
    for sheet in house.snapshot.sheets(desk.span.first, desk.span.last)? {
        let body = &sheet.body;
        if body.device.is_none() && body.source.is_none() {
            without += usize::from(wanted.source.is_none() && wanted.device.is_none());
        } else if wanted.takes(house, body) {
            items.extend(body.device.as_ref().and_then(Ref::number));
            items.extend(source_of(house, body).map(|(source, _)| source));
            part.rows.push(row(&desk, &sheet));
        }
    }
    list.parts = vec![part, desk.labels(items)];
    match without {
        0 => {}
        1 => list.notes.push(
            "1 sheet of these days names neither a device nor a source and is not in this log."
                .to_owned(),
        ),
        count => list.notes.push(format!(
            "{count} sheets of these days name neither a device nor a source and are not in this \
             log."
        )),
    }
    list.notes.push(
        "Assigned to: the radiographers of the sheet. Signed: the radiographer who signed it, else \
         who attests the sheet: a name given to this program; a signature by hand is on the paper."
            .to_owned(),
    );
    Ok(list)
}

impl Wanted {
    /// Whether a sheet is asked for. Where it names a device alone, the source is the one that was
    /// in it by the exchanges on record.
    fn takes(&self, house: &House, sheet: &Sheet) -> bool {
        let device = sheet.device.as_ref().and_then(Ref::number);
        let source = source_of(house, sheet).map(|(source, _)| source);
        let is = |wanted: Option<RecordId>, it: Option<RecordId>| wanted.is_none() || wanted == it;
        is(self.device, device)
            && is(self.source, source)
            && is(self.job, sheet.job.number())
            && self.worker.is_none_or(|worker| {
                let mut people = sheet.people.iter();
                people.any(|it| it.worker.number() == Some(worker))
            })
    }
}

/// The source of a sheet, and whether the sheet itself names it.
fn source_of(house: &House, sheet: &Sheet) -> Option<(RecordId, bool)> {
    if let Some(named) = &sheet.source {
        return Some((named.number()?, true));
    }
    let device = sheet.device.as_ref()?.number()?;
    let (source, _) = house.maintenance.source_in(device, sheet.day)?;
    Some((source, false))
}

fn row(desk: &RecordsDesk<'_>, sheet: &Stored<Sheet>) -> Vec<Cell> {
    let (house, body) = (desk.house, &sheet.body);
    let device = body.device.as_ref().and_then(Ref::number);
    let [maker, model, serial] = desk.plate(device);
    let source = source_of(house, body);
    let (source, loaded) = match (&body.source, source) {
        (Some(named), source) => (desk.named(Some(named)), source),
        (None, Some((record, _))) => {
            let id = house.names.label(record);
            (Cell::Text(format!("{id} (as loaded)")), source)
        }
        (None, None) => (Cell::NotOnRecord, None),
    };
    let loaded = loaded.and_then(|(record, _)| house.names.equipment_body(record));
    let out = body.device_out.as_ref();
    vec![
        Cell::Day(body.day),
        Cell::Text(body.shift.word().to_owned()),
        Cell::Text(body.work.word().to_owned()),
        desk.named(body.device.as_ref()),
        maker,
        model,
        serial,
        source,
        Cell::text(loaded.and_then(|it| it.nuclide.clone())),
        Cell::text(loaded.map(|it| it.serial.clone())),
        assigned(desk, body),
        signed(desk, body),
        desk.named(Some(&body.job)),
        Cell::text(place(house, body)),
        Cell::text(out.map(|it| format!("{} {it}", body.day))),
        Cell::text(back(body)),
        Cell::text(survey(house, body)),
        Cell::Count(sheet.entry),
    ]
}

/// Where the work was: as the sheet says, else the job's place.
fn place(house: &House, sheet: &Sheet) -> Option<String> {
    let job = sheet.job.number().and_then(|it| house.names.job_body(it));
    sheet.site.clone().or(job.map(|it| it.place.clone()))
}

/// The survey when the device went into storage, how far from it and with which meter, and whether
/// it was locked.
fn survey(house: &House, sheet: &Sheet) -> Option<String> {
    let locked = sheet.locked.map(|locked| match locked {
        true => "locked".to_owned(),
        false => "not locked".to_owned(),
    });
    let survey = survey_words(house, sheet);
    let all: Vec<String> = survey.into_iter().chain(locked).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// The radiographers of the crew: a source is assigned to nobody else.
fn assigned(desk: &RecordsDesk<'_>, sheet: &Sheet) -> Cell {
    const MAY_HAVE_IT: [Role; 3] = [Role::Radiographer, Role::Rso, Role::RsoDesignee];
    let people = sheet.people.iter();
    let names = people
        .filter(|it| MAY_HAVE_IT.contains(&it.role))
        .map(|it| {
            let id = desk.named(Some(&it.worker)).words();
            let body = it.worker.number();
            match body.and_then(|it| desk.house.names.worker_body(it)) {
                Some(body) => format!("{id} {}", body.name),
                None => id,
            }
        });
    let names: Vec<String> = names.collect();
    Cell::text(Some(names.join(", ")))
}

fn signed(desk: &RecordsDesk<'_>, sheet: &Sheet) -> Cell {
    let by = sheet.signed_by.as_ref().or(sheet.attested_by.as_ref());
    match (by, &sheet.paper) {
        (_, Some(paper)) => Cell::Text(format!("{} on paper {}", paper.signer, paper.date)),
        (Some(by), None) => desk.named(Some(by)),
        (None, None) => Cell::NotOnRecord,
    }
}

/// When the device was back in storage: on the day after where its hour is not after that of
/// leaving.
fn back(sheet: &Sheet) -> Option<String> {
    let back = sheet.device_back.as_ref()?;
    let next = match &sheet.device_out {
        Some(out) => back <= out,
        None => sheet.crosses_midnight(),
    };
    let day: Day = match next {
        true => sheet.day.succ_opt().unwrap_or(sheet.day),
        false => sheet.day,
    };
    Some(format!("{day} {back}"))
}

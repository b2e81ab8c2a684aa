//! The start of a shift beside its sheet: which starts wait for one, and where the two differ.

use std::collections::HashSet;

use super::sheet_met::start_words;
use super::sheet_offer::{LastTime, last_time};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::parse_time;
use crate::ledger::Instant;
use crate::record::{RecordId, Sheet, ShiftStart};

/// A start whose sheet is not on file.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenStart {
    /// Its record.
    pub record: RecordId,
    /// In words: its day, shift, device, job and crew.
    pub words: String,
    /// What it says.
    pub start: ShiftStart,
    /// Job, equipment and crew by their ids.
    pub standing: LastTime,
}

/// How many days back a start may still wait for its sheet at a prompt.
const DAYS: u64 = 2;

/// The starts of these days that no sheet refers to, the newest first.
///
/// # Errors
/// A ledger that fails.
pub fn open_starts(house: &OpenHouse<'_>, now: Instant) -> Result<Vec<OpenStart>, AnswerError> {
    let last = house.names.newest_day(now);
    let first = last
        .checked_sub_days(chrono::Days::new(DAYS))
        .unwrap_or(last);
    let sheets = house.snapshot.sheets(first, last)?;
    let done: HashSet<RecordId> = sheets
        .iter()
        .filter_map(|it| it.body.shift_start.map(|it| it.number()))
        .collect();
    let mut starts = house.snapshot.shift_starts(first, last)?;
    starts.retain(|it| !done.contains(&it.record));
    starts.sort_by_key(|it| std::cmp::Reverse(it.entry));
    let all = starts.into_iter().map(|it| OpenStart {
        record: it.record,
        words: start_words(house, &it.body),
        standing: last_time(house, &Sheet::started(&it.body)),
        start: it.body,
    });
    Ok(all.collect())
}

/// Where a sheet says otherwise than the start that it refers to, and the entry of that.
pub(crate) fn not_as_started(
    house: &OpenHouse<'_>,
    sheet: &Sheet,
) -> Result<Option<(Vec<String>, i64)>, AnswerError> {
    let Some(record) = sheet.shift_start else {
        return Ok(None);
    };
    let Some(stored) = house.snapshot.one::<ShiftStart>(record.number())? else {
        return Ok(None);
    };
    let differs = differences(house, &stored.body, sheet);
    Ok((!differs.is_empty()).then_some((differs, stored.entry)))
}

/// When the start of a sheet was written, where that was surely after its first exposure, or after
/// its end where it does not say when that was.
pub(crate) fn started_late(
    house: &OpenHouse<'_>,
    sheet: &Sheet,
) -> Result<Option<String>, AnswerError> {
    let Some(record) = sheet.shift_start else {
        return Ok(None);
    };
    let Some(stored) = house.snapshot.one::<ShiftStart>(record.number())? else {
        return Ok(None);
    };
    let written = house.written(stored.record, &stored.first_written_at);
    let Some(written) = written.and_then(|it| it.earliest) else {
        return Ok(None);
    };
    let zone = house.names.zone_of(sheet.job.number());
    let local = zone.local(written).naive_local();
    let time = |it: &Option<String>| it.as_deref().and_then(|it| parse_time(it).ok());
    let begins = time(&sheet.begins);
    let done = time(&sheet.first_exposure).or(time(&sheet.ends));
    // An hour before the beginning is of the next day; a day without hours is over with itself.
    let next = match (begins, done) {
        (Some(begins), Some(done)) => done < begins,
        (_, Some(_)) => false,
        (_, None) => true,
    };
    let day = match next {
        true => sheet.day.succ_opt().unwrap_or(sheet.day),
        false => sheet.day,
    };
    let done = day.and_time(done.unwrap_or_default());
    Ok((local > done).then(|| local.format("%F %H:%M").to_string()))
}

fn differences(house: &House, start: &ShiftStart, sheet: &Sheet) -> Vec<String> {
    let mut all = Vec::new();
    let mut answer = |what: String, then: Option<bool>, now: Option<bool>| {
        let yes = |it: bool| if it { "yes" } else { "no" };
        if let (Some(then), Some(now)) = (then, now)
            && then != now
        {
            let (then, now) = (yes(then), yes(now));
            all.push(format!("{what}: {then} at the start, {now} on the sheet"));
        }
    };
    answer(
        "meter checked".to_owned(),
        start.meter_checked,
        sheet.meter_checked,
    );
    let mut readings = Vec::new();
    for began in &start.people {
        let who = house.names.words(&began.worker);
        let Some(person) = sheet.people.iter().find(|it| it.worker == began.worker) else {
            readings.push(format!("{who} began the shift and is not on the sheet"));
            continue;
        };
        answer(
            format!("{who}, alarm heard"),
            began.alarm_tested,
            person.alarm_tested,
        );
        answer(
            format!("{who}, badge worn"),
            began.badge_worn,
            person.badge_worn,
        );
        for reading in &began.readings {
            let of = house.names.words(&reading.dosimeter);
            let mut later = person.readings.iter();
            let later = later.find(|it| it.dosimeter == reading.dosimeter && it.part == 1);
            let Some(later) = later else {
                readings.push(format!(
                    "{who}: {of} was read at the start and is not on the sheet"
                ));
                continue;
            };
            answer(
                format!("{who}, {of} recharged"),
                reading.recharged,
                later.recharged,
            );
            if let (Some(then), Some(now)) = (reading.start, later.start)
                && then != now
            {
                readings.push(format!(
                    "{who}: {of} read {then} at the start, {now} on the sheet"
                ));
            }
        }
    }
    all.extend(readings);
    all
}

/// The survey before storage: `22 mR/h at 1 m with SM-1`.
pub(crate) fn survey_words(house: &House, sheet: &Sheet) -> Option<String> {
    let meter = sheet.storage_meter.as_ref();
    let with = meter.map(|it| format!("with {}", house.names.words(it)));
    let at = sheet.storage_distance.as_ref().map(|it| format!("at {it}"));
    let rate = sheet.storage_survey.clone();
    let survey: Vec<String> = rate.into_iter().chain(at).chain(with).collect();
    (!survey.is_empty()).then(|| survey.join(" "))
}

//! The figures of a sheet with what they are held against: earlier surveys of the device, the
//! source that it holds, the hours that it was out, the moment of writing.

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::strength::{Way, three_digits};
use crate::calendar::{Day, LocalTime, TimeOfDay, parse_time};
use crate::dose::checks::input::{Ahead, Away, Expected, Figures, Misplaced};
use crate::ledger::{Stored, SurveyRow};
use crate::quantity::{Activity, DoseRate, Length};
use crate::record::{RecordId, Ref, Sheet};
use crate::source::{Nuclide, activity_on};

/// So many earlier surveys are looked at: the middle of them is not moved by one that was held
/// nearer or farther. Common practice, no source.
const SURVEYS: usize = 9;

/// How far back they are looked for: over a longer time other things change than the source.
const SURVEY_DAYS: u64 = 180;

const DAY_MINUTES: i64 = 24 * 60;

/// The figures of one stored sheet.
pub(crate) fn figures_of(
    house: &OpenHouse<'_>,
    stored: &Stored<Sheet>,
) -> Result<Figures, AnswerError> {
    let sheet = &stored.body;
    let boundary = sheet.boundary.as_deref();
    Ok(Figures {
        boundary: boundary.and_then(|rate| DoseRate::parse_meter_rate(rate, None).ok()),
        source_out_s: sheet.source_out_s,
        away: away(sheet),
        shift_minutes: between(&sheet.begins, &sheet.ends),
        expected: expected(house, sheet)?,
        misplaced: misplaced(house, sheet),
        ahead: ahead(house, stored),
    })
}

fn time(text: &Option<String>) -> Option<TimeOfDay> {
    parse_time(text.as_deref()?).ok()
}

/// The minutes from one hour to another. What ends at the hour at which it began took a whole
/// day, the longer of the two that it can mean.
fn between(from: &Option<String>, to: &Option<String>) -> Option<i64> {
    let minutes = (time(to)? - time(from)?).num_minutes();
    Some(match minutes {
        ..=0 => minutes + DAY_MINUTES,
        later => later,
    })
}

/// How long the device was out, else the shift.
fn away(sheet: &Sheet) -> Option<Away> {
    let device = between(&sheet.device_out, &sheet.device_back);
    let shift = between(&sheet.begins, &sheet.ends);
    let of_device = device.is_some();
    device.or(shift).map(|minutes| Away { minutes, of_device })
}

/// The middle of the last earlier surveys of the device, each brought to the sheet's day by the
/// activities of the sources loaded then and now. Of an even number the lower of the two in the
/// middle. One of another source whose activity is not on record tells nothing.
fn expected(house: &OpenHouse<'_>, sheet: &Sheet) -> Result<Option<Expected>, AnswerError> {
    let device = sheet.device.as_ref().and_then(Ref::number);
    let (Some(device), true) = (device, sheet.storage_survey.is_some()) else {
        return Ok(None);
    };
    let first = sheet.day.checked_sub_days(chrono::Days::new(SURVEY_DAYS));
    let (Some(first), Some(eve)) = (first, sheet.day.pred_opt()) else {
        return Ok(None);
    };
    let named = sheet.source.as_ref().and_then(Ref::number);
    let now = loaded(house, device, named, sheet.day);
    let rows = house.snapshot.surveys_of(device, (first, eve), SURVEYS)?;
    let to_day = |row: &SurveyRow| {
        let read = DoseRate::parse_meter_rate(&row.read, None).ok()?;
        let then = loaded(house, device, row.source, row.day);
        // A source before its first day was not there, and its activity of then is nobody's.
        let early = |it| {
            house
                .names
                .in_service(it)
                .is_some_and(|from| from > row.day)
        };
        if then.is_some_and(early) {
            return None;
        }
        let activities = now
            .and_then(|it| activity(house, it, sheet.day))
            .zip(then.and_then(|it| activity(house, it, row.day)));
        let (rate, decayed) = match activities {
            Some((now, then)) => (scaled(read, now, then)?, true),
            None if now == then => (read, false),
            None => return None,
        };
        Some(Expected {
            rate,
            surveys: 0,
            entry: row.entry,
            on: row.day,
            read,
            decayed,
        })
    };
    // What was read at another distance says nothing of this one.
    let at = survey_distance(sheet.storage_distance.as_deref());
    let as_far = |row: &&SurveyRow| survey_distance(row.at.as_deref()) == at;
    let mut all: Vec<Expected> = rows.iter().filter(as_far).filter_map(to_day).collect();
    all.sort_by_key(|it| (it.rate, it.entry));
    let middle = all.get(all.len().saturating_sub(1) / 2).copied();
    Ok(middle.map(|it| Expected {
        surveys: all.len(),
        ..it
    }))
}

/// How far from the device a survey was taken; nothing at its surface, or where nobody wrote it.
pub(crate) fn survey_distance(written: Option<&str>) -> Option<Length> {
    let at = Length::parse(written?, None).ok();
    at.filter(|it| *it != Length::ZERO)
}

/// The source that a device held on a day: on the day of an exchange the one that the sheet
/// names, where it was one of them.
fn loaded(house: &House, device: RecordId, named: Option<RecordId>, on: Day) -> Option<RecordId> {
    match named {
        Some(named) if held(house, device, named, (on, on)) => Some(named),
        _ => house
            .maintenance
            .source_in(device, on)
            .map(|(source, _)| source)
            .or(named),
    }
}

/// Whether a device held a source at any time from one day to another.
fn held(house: &House, device: RecordId, source: RecordId, (first, last): (Day, Day)) -> bool {
    let before = first
        .pred_opt()
        .and_then(|eve| house.maintenance.source_in(device, eve));
    let during = house.maintenance.loadings().iter().any(|it| {
        it.body.device.number() == device
            && it.body.source.number() == source
            && (first..=last).contains(&it.body.on)
    });
    during || before.is_some_and(|(held, _)| held == source)
}

fn activity(house: &House, source: RecordId, on: Day) -> Option<Activity> {
    let body = house.names.equipment_body(source)?;
    let nuclide = body.nuclide.as_ref()?.parse::<Nuclide>().ok()?;
    let now = activity_on(nuclide, body.activity_bq?, body.activity_on?, on).ok()?;
    (now > Activity::ZERO).then_some(now)
}

fn scaled(read: DoseRate, now: Activity, then: Activity) -> Option<DoseRate> {
    let rate = i128::from(read.nsv_per_hour()) * i128::from(now.bq());
    let rate = i64::try_from(rate.checked_div(i128::from(then.bq()))?).ok()?;
    // An estimate in three digits; rounded down it alarms no later.
    Some(DoseRate::from_nsv_per_hour(three_digits(rate, Way::Down)))
}

/// The source of a sheet that its device did not hold at any time of the shift.
fn misplaced(house: &House, sheet: &Sheet) -> Option<Misplaced> {
    let device = sheet.device.as_ref().and_then(Ref::number)?;
    let source = sheet.source.as_ref().and_then(Ref::number)?;
    let last = match sheet.crosses_midnight() {
        true => sheet.day.succ_opt().unwrap_or(sheet.day),
        false => sheet.day,
    };
    if held(house, device, source, (sheet.day, last)) {
        return None;
    }
    let label = |it| house.names.label(it);
    let (instead, entry) = match house.maintenance.source_in(device, sheet.day) {
        Some((held, entry)) => (format!("{} holds {}", label(device), label(held)), entry),
        None => {
            let other = house.maintenance.device_of(source, sheet.day)?;
            let (_, entry) = house.maintenance.source_in(other, sheet.day)?;
            (format!("{} is in {}", label(source), label(other)), entry)
        }
    };
    Some(Misplaced {
        source: label(source),
        device: label(device),
        instead,
        entry,
    })
}

/// Hours that had surely not come when this version of the sheet was written. An hour that can be
/// of two days is taken as the earlier; where the clock cannot be trusted, the last moment at
/// which it may have been written counts.
fn ahead(house: &House, stored: &Stored<Sheet>) -> Option<Ahead> {
    let sheet = &stored.body;
    let zone = house.names.zone_of(sheet.job.known().map(|it| it.number()));
    let written = house.written(stored.entry, &stored.written_at)?.latest?;
    let local = zone.local(written);
    let (begins, out) = (time(&sheet.begins), time(&sheet.device_out));
    let began = out.or(begins);
    let hours = [
        ("begin", begins, None),
        ("device out", out, None),
        ("first exposure", time(&sheet.first_exposure), began),
        ("device back", time(&sheet.device_back), began),
        ("end", time(&sheet.ends), begins),
    ];
    let not_come = |(what, at, after): (&str, Option<TimeOfDay>, Option<TimeOfDay>)| {
        let at = at?;
        let next = after.is_some_and(|after| at < after);
        let day = match next {
            true => sheet.day.succ_opt()?,
            false => sheet.day,
        };
        let moment = match zone.at(day, at) {
            LocalTime::Once(moment) | LocalTime::Twice(moment, _) => moment.to_utc(),
            LocalTime::Never => return None,
        };
        (moment > written).then(|| format!("{what} {}", at.format("%H:%M")))
    };
    let hours: Vec<String> = hours.into_iter().filter_map(not_come).collect();
    (!hours.is_empty()).then(|| Ahead {
        hours,
        written: local.format("%F %H:%M").to_string(),
    })
}

//! The clock of a badge after an off-scale reading: when it starts, and when it was done.

use chrono::TimeDelta;

use super::error::AnswerError;
use super::load::{House, OpenHouse};
use crate::answer::entry::sheets_of::sheets_of;
use crate::calendar::{Day, Instant, LocalTime, TimeOfDay, Zone, parse_time};
use crate::dose::input::{History, Shift};
use crate::dose::work_status::Started;
use crate::ledger::{BadgeRow, Stored};
use crate::record::{BadgeChange, BadgeType, Sheet};

/// The clocks of one person. Each is done at the end of the day on which the badge was sent or
/// read, the late side. What was sent or read after the day asked for was not yet so on it.
pub(crate) fn badge_clocks(
    house: &OpenHouse<'_>,
    history: &History,
    badges: &[BadgeRow],
    (asked, now): (Day, Instant),
) -> Result<Vec<Started>, AnswerError> {
    let zone = house.names.zone_of(None);
    let off_scale = history.shifts.iter().filter(|shift| {
        let mut readings = shift.readings.iter();
        readings.any(|it| it.off_scale && !it.is_ruled_out())
    });
    let mut clocks = Vec::new();
    for shift in off_scale {
        let Some((at, from)) = found(house, shift)? else {
            continue;
        };
        let worn = badges
            .iter()
            .filter(|it| it.first_day <= shift.day && it.planned_last() >= shift.day);
        let on_demand = worn
            .clone()
            .filter(|it| it.kind == BadgeType::WholeBody && it.employer.is_none())
            .max_by_key(|it| (it.first_day, it.record))
            .filter(|it| it.on_demand);
        let sent = worn
            .flat_map(|it| &it.changes)
            .filter(|(change, _, _)| *change == BadgeChange::Sent)
            .filter(|(_, on, _)| (shift.day..=asked).contains(on))
            .map(|(_, on, _)| *on)
            .min();
        let (what, done) = match on_demand {
            Some(badge) => (
                format!("start the read of badge {}", badge.badge),
                badge.read_on().filter(|on| *on <= asked),
            ),
            None => ("badge to the processor".to_owned(), sent),
        };
        clocks.push(Started {
            entry: shift.entry,
            what: format!(
                "{what} after the off-scale reading of {}, from {from}",
                shift.day
            ),
            // Where the job's day began before the office's it has not begun later than now.
            at: at.min(now),
            done: done.and_then(|on| moment(zone, on.succ_opt()?, TimeOfDay::MIN)),
            on_demand: on_demand.is_some(),
        });
    }
    Ok(clocks)
}

/// When an off-scale reading can have been found, and what says so: the end of its shift, or the
/// writing of its sheet where that was sooner. Without an end, the earliest that can be: the
/// beginning of the shift, or of its day. Never before the shift began.
fn found(house: &OpenHouse<'_>, shift: &Shift) -> Result<Option<(Instant, String)>, AnswerError> {
    let sheets = sheets_of(house.snapshot, &[shift.entry])?;
    let Some(stored) = sheets.first() else {
        return Ok(moment(house.names.zone_of(None), shift.day, TimeOfDay::MIN)
            .map(|at| (at, format!("00:00 on {}, no hours on the sheet", shift.day))));
    };
    let sheet = &stored.body;
    let zone = house.names.zone_of(sheet.job.known().map(|it| it.number()));
    let begins = hour(&sheet.begins);
    let begun = moment(zone, sheet.day, begins.unwrap_or(TimeOfDay::MIN));
    let Some((day, end)) = end_of_shift(sheet) else {
        let from = match begins {
            Some(it) => format!(
                "the beginning of the shift at {}, no end on the sheet",
                it.format("%H:%M")
            ),
            None => format!("00:00 on {}, no hours on the sheet", sheet.day),
        };
        return Ok(begun.map(|at| (at, from)));
    };
    let ended = moment(zone, day, end).or(begun);
    let written = written(house, stored).filter(|it| begun.is_none_or(|begun| begun <= *it));
    Ok(match (ended, written) {
        (Some(ended), Some(written)) if written < ended => {
            let at = zone.local(written).format("%F %H:%M");
            Some((written, format!("the writing of the sheet at {at}")))
        }
        (Some(ended), _) => {
            let at = format!("{day} {}", end.format("%H:%M"));
            Some((ended, format!("the end of the shift at {at}")))
        }
        (None, _) => None,
    })
}

/// The earliest moment at which the sheet can have been written first.
fn written(house: &House, stored: &Stored<Sheet>) -> Option<Instant> {
    let bounds = house.written(stored.record, &stored.first_written_at);
    bounds.and_then(|it| it.earliest)
}

/// The day and the hour of a shift's end. Alone on the sheet of a night, an hour before noon is
/// of the next day.
fn end_of_shift(sheet: &Sheet) -> Option<(Day, TimeOfDay)> {
    let end = hour(&sheet.ends)?;
    let noon = TimeDelta::hours(12);
    let alone_before_midnight =
        sheet.begins.is_none() && end.signed_duration_since(TimeOfDay::MIN) >= noon;
    let next = sheet.ends_at_midnight() || sheet.crosses_midnight() && !alone_before_midnight;
    let day = match next {
        true => sheet.day.succ_opt()?,
        false => sheet.day,
    };
    Some((day, end))
}

fn hour(text: &Option<String>) -> Option<TimeOfDay> {
    text.as_deref().and_then(|it| parse_time(it).ok())
}

/// An hour at a place, the earlier of two; one that the clocks went over is of the hour before,
/// the early side.
fn moment(zone: Zone, day: Day, time: TimeOfDay) -> Option<Instant> {
    match zone.at(day, time) {
        LocalTime::Once(at) | LocalTime::Twice(at, _) => Some(at.to_utc()),
        LocalTime::Never => {
            match zone.at(day, time.overflowing_sub_signed(TimeDelta::hours(1)).0) {
                LocalTime::Once(at) | LocalTime::Twice(at, _) => Some(at.to_utc()),
                LocalTime::Never => None,
            }
        }
    }
}

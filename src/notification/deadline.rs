//! By when something is to be told.

use chrono::{Datelike, TimeDelta, Weekday};

use crate::calendar::{Day, Instant, LocalTime, Zone};
use crate::rule::Within;

/// The last moment in time of a clock that started at `start`.
///
/// Hours are hours of the real world, whatever the clocks on the wall do. Days are counted on the
/// calendar at the place, and end at the hour of the start: a rule that says days may mean the
/// end of the last one, and the earlier moment is taken. Of an hour that comes twice it is the
/// first, of one that does not come the one before. Nothing beyond the calendar.
pub(super) fn deadline(within: Within, start: Instant, zone: Zone) -> Option<Instant> {
    match within {
        Within::AtOnce | Within::WithTheReport => Some(start),
        Within::Hours(hours) => start.checked_add_signed(TimeDelta::try_hours(hours)?),
        Within::Days(days) => {
            let first = zone.local_day(start);
            at_the_hour(
                zone,
                first.checked_add_signed(TimeDelta::try_days(days)?)?,
                start,
            )
        }
        Within::WorkingDays(days) => {
            let mut day = zone.local_day(start);
            let mut left = days;
            while left > 0 {
                day = day.succ_opt()?;
                left -= i64::from(!matches!(day.weekday(), Weekday::Sat | Weekday::Sun));
            }
            at_the_hour(zone, day, start)
        }
    }
}

fn at_the_hour(zone: Zone, day: Day, start: Instant) -> Option<Instant> {
    let mut at = day.and_time(zone.local(start).time());
    // Clocks that are set leave out an hour or two, never four.
    for _ in 0..5 {
        match zone.at(at.date(), at.time()) {
            LocalTime::Once(at) | LocalTime::Twice(at, _) => return Some(at.to_utc()),
            LocalTime::Never => at = at.checked_sub_signed(TimeDelta::try_hours(1)?)?,
        }
    }
    None
}

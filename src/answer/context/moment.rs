//! Moments as they were written: to the minute, or as far as anybody knows them.

use super::error::AnswerError;
use super::load::House;
use crate::calendar::{
    CalendarError, Clock, Day, Instant, LocalTime, TimeOfDay, When, Zone, parse_instant, read_day,
    read_time,
};

/// A moment as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moment {
    /// The clock on the wall in the ledger's zone.
    Local(Day, TimeOfDay),
    /// With its offset.
    Fixed(Instant),
}

/// A moment as it is known: to the minute, or as a day, a month, a year, a bound, or not at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Roughly {
    /// To the minute.
    At(Moment),
    /// In the words of [`When::parse`](crate::calendar::When::parse).
    Words(String),
}

impl Roughly {
    /// A moment, or what is known of it; of which zone its days are changes nothing about whether
    /// it can be read.
    ///
    /// # Errors
    /// What is wrong with the text, in words.
    pub fn parse(text: &str) -> Result<Roughly, String> {
        let text = text.trim();
        let bounds = ["before ", "after ", "between "];
        if !bounds.iter().any(|it| text.starts_with(it)) && text.contains(':') {
            return Moment::parse(text).map(Roughly::At);
        }
        let read = When::parse(text, Zone::UTC);
        read.map(|_| Roughly::Words(text.to_owned()))
            .map_err(|error| error.to_string())
    }
}

impl Moment {
    /// `2026-05-19T10:40`, or the same with an offset.
    ///
    /// # Errors
    /// What is wrong with the text, in words.
    pub fn parse(text: &str) -> Result<Moment, String> {
        let Some((day, time)) = text.trim().split_once(['T', ' ']) else {
            return Err(format!("`{text}` has no time of the day"));
        };
        let words = |error: CalendarError| error.to_string();
        if time.contains(['Z', '+', '-']) {
            let at = parse_instant(text).map_err(words)?;
            return Ok(Moment::Fixed(at.to_utc()));
        }
        let day = read_day(day).map_err(words)?;
        let time = read_time(time, Clock::Unsaid).map_err(words)?;
        Ok(Moment::Local(day, time))
    }

    /// Day and time in the ledger's zone.
    ///
    /// # Errors
    /// [`AnswerError::NotOneMoment`] for a time that the clocks went over twice or not at all.
    pub(crate) fn settle(self, house: &House) -> Result<(Day, TimeOfDay), AnswerError> {
        let zone = house.names.zone;
        match self {
            Moment::Fixed(at) => {
                let local = zone.local(at).naive_local();
                Ok((local.date(), local.time()))
            }
            Moment::Local(day, time) => match zone.at(day, time) {
                LocalTime::Once(_) => Ok((day, time)),
                twice => Err(AnswerError::NotOneMoment {
                    time: format!("{day}T{}", time.format("%H:%M")),
                    zone: zone.name().to_owned(),
                    never: twice == LocalTime::Never,
                }),
            },
        }
    }
}

//! The short lists of a sheet's prompt: people and things by number, and what stands against them.

use super::ask::Read;
use crate::answer::{
    House, LastTime, Names, Offered, OfferedType, SetReason, against_crew, against_items, offered,
};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::record::Words;

/// How many of a kind are listed: those used last come first, and every other is typed by its id.
pub(crate) const LISTED: usize = 12;

/// What stands below a list that has not all.
pub(crate) fn more_by_id(all: usize, listed: usize) -> Option<String> {
    let more = all.checked_sub(listed).filter(|it| *it > 0)?;
    Some(format!("and {more} more, by id"))
}

/// The numbers of a list. One that is somebody's or something's id is left out, so that no number
/// means two things.
pub(crate) struct Numbers {
    listed: Vec<(usize, Offered)>,
    next: usize,
}

impl Numbers {
    pub fn new() -> Numbers {
        Numbers {
            listed: Vec::new(),
            next: 1,
        }
    }

    pub fn give(&mut self, house: &House, it: Offered) -> usize {
        let mut numbers = self.next..;
        let free = numbers.find(|it| offered(house, &it.to_string()).is_none());
        let number = free.unwrap_or(self.next);
        self.next = number + 1;
        self.listed.push((number, it));
        number
    }

    /// What a word on a line means: an id, else a number of the list.
    pub fn find(
        &self,
        session: &mut Session<'_>,
        word: &str,
        near: fn(&Names, &str) -> Vec<String>,
    ) -> Result<Read<Offered>, Failure> {
        let (known, near) = session.ask(None, |house| {
            Ok((offered(house, word), near(&house.names, word)))
        })?;
        let number = word.parse::<usize>().ok();
        let listed = self.listed.iter().find(|it| Some(it.0) == number);
        let found = known.or_else(|| listed.map(|it| it.1.clone()));
        Ok(found.ok_or_else(|| match (number, near.as_slice()) {
            (Some(number), _) => format!("there is no {number} on the list, and no id `{word}`."),
            (None, []) => format!("no person and no item on record is `{word}`."),
            (None, near) => format!(
                "no person and no item on record is `{word}`; did you mean {}?",
                near.join(" or ")
            ),
        }))
    }
}

/// What stands against people today.
pub(crate) fn against(session: &mut Session<'_>, crew: &[&str]) -> Result<Vec<String>, Failure> {
    let now = session.clock.now();
    session.ask(None, |house| {
        against_crew(house, crew, house.today(now), now)
    })
}

/// What stands today against the equipment of last time.
pub(crate) fn against_last(
    session: &mut Session<'_>,
    last: &LastTime,
) -> Result<Vec<String>, Failure> {
    let now = session.clock.now();
    let ids: Vec<&str> = last.equipment.iter().map(|it| it.id.as_str()).collect();
    session.ask(None, |house| {
        let stands = against_items(house, &ids, house.today(now))?;
        Ok(stands.iter().map(SetReason::words).collect())
    })
}

/// What a kind is called in a list.
pub(crate) fn type_words(kind: OfferedType) -> &'static str {
    match kind {
        OfferedType::Worker => "worker",
        OfferedType::Dosimeter => "dosimeter",
        OfferedType::Ratemeter => "alarm ratemeter",
        OfferedType::Meter => "survey meter",
        OfferedType::Equipment(kind) => kind.word(),
    }
}

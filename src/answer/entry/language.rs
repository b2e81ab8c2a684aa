//! In which language somebody reads, and for whom a form or a label is made.

use super::sheet_offer::{last_time, recent_sheets};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::names::Names;
use crate::calendar::Day;
use crate::record::Role;
use crate::text::Language;

/// The language of a person's record, by id or full name; nothing of anybody else, and of a record
/// that says none.
pub fn language_of(names: &Names, who: &str) -> Option<Language> {
    let worker = names.find_worker(who)?;
    names.worker_body(worker.number())?.language
}

/// The language of the first radiographer of a crew, else of its first.
pub(super) fn language_of_lead<'a>(
    names: &Names,
    crew: impl Iterator<Item = (&'a str, Option<Role>)> + Clone,
) -> Option<Language> {
    let mut leads = crew.clone().filter(|it| it.1 == Some(Role::Radiographer));
    let lead = leads.next().or(crew.clone().next())?;
    language_of(names, lead.0)
}

/// The same of the crew of the last sheet.
///
/// # Errors
/// What the ledger says.
pub fn language_of_last_crew(
    house: &OpenHouse<'_>,
    on: Day,
) -> Result<Option<Language>, AnswerError> {
    let sheets = recent_sheets(house, on)?;
    let Some(last) = sheets.first().map(|it| last_time(house, &it.body)) else {
        return Ok(None);
    };
    let crew = last.crew.iter().map(|it| (it.worker.as_str(), it.role));
    Ok(language_of_lead(&house.names, crew))
}

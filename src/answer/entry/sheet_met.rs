//! The sheets and starts on file that another sheet would meet: of the same shift and device, or
//! with the same people and dosimeters.

use std::collections::HashSet;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::Day;
use crate::record::{Sheet, ShiftName, ShiftStart};

/// A sheet on file that another one meets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Met {
    /// Its entry.
    pub entry: i64,
    /// In words: its day, shift, device, job and crew.
    pub words: String,
    /// Whether it is the start of a shift and not a sheet.
    pub is_start: bool,
    /// Whether it has the same day, shift and device: without a number of its own, another sheet
    /// would be taken for it.
    pub same_shift: bool,
    /// Its day.
    pub day: Day,
    /// Whether its shift has the same day and name.
    pub same_name: bool,
    /// People and dosimeters that both have.
    pub shared: Vec<String>,
    /// Whether it says when it began and ended.
    pub timed: bool,
    /// When it began and ended, as it says.
    pub hours: String,
}

/// What another sheet is about.
#[derive(Debug, Clone, Copy)]
pub struct Meeting<'a> {
    /// Its day.
    pub day: Day,
    /// Its shift.
    pub shift: ShiftName,
    /// Its device; blank for none.
    pub device: &'a str,
    /// Its people and dosimeters.
    pub named: &'a [String],
}

/// The sheets of that day and of those beside it that another one meets.
///
/// # Errors
/// A ledger that fails.
pub fn sheets_met(house: &OpenHouse<'_>, other: Meeting<'_>) -> Result<Vec<Met>, AnswerError> {
    let first = other.day.pred_opt().unwrap_or(other.day);
    let last = other.day.succ_opt().unwrap_or(other.day);
    let named: HashSet<String> = other.named.iter().map(|it| it.to_lowercase()).collect();
    let mut all = Vec::new();
    for sheet in house.snapshot.sheets(first, last)? {
        let body = &sheet.body;
        let device = body.device.as_ref().map(|it| house.names.words(it));
        let device = device.unwrap_or_default();
        let same_day = body.day == other.day && body.shift == other.shift;
        let same_shift = same_day && device.eq_ignore_ascii_case(other.device);
        let mut shared: Vec<String> = of_sheet(house, body);
        shared.retain(|it| named.contains(&it.to_lowercase()));
        shared.dedup();
        // Of another day or shift only one that has the same people or dosimeters is met.
        if same_shift || !shared.is_empty() {
            all.push(Met {
                entry: sheet.entry,
                words: words_of(house, body, &device),
                is_start: false,
                day: body.day,
                same_name: same_day,
                same_shift,
                shared,
                timed: body.begins.is_some() && body.ends.is_some(),
                hours: hours_of(body),
            });
        }
    }
    Ok(all)
}

/// The start of a shift in words.
pub(crate) fn start_words(house: &House, start: &ShiftStart) -> String {
    let device = start.device.as_ref().map(|it| house.names.words(it));
    words_of(house, &Sheet::started(start), &device.unwrap_or_default())
}

/// The starts on file of the same shift and device.
///
/// # Errors
/// A ledger that fails.
pub fn starts_met(house: &OpenHouse<'_>, other: Meeting<'_>) -> Result<Vec<Met>, AnswerError> {
    let mut all = Vec::new();
    for it in house.snapshot.shift_starts(other.day, other.day)? {
        let body = &it.body;
        let device = body.device.as_ref().map(|it| house.names.words(it));
        let same = device
            .unwrap_or_default()
            .eq_ignore_ascii_case(other.device);
        if same && body.shift == other.shift {
            all.push(Met {
                entry: it.entry,
                words: start_words(house, body),
                is_start: true,
                day: body.day,
                same_name: true,
                same_shift: true,
                shared: Vec::new(),
                timed: true,
                hours: body
                    .begins
                    .clone()
                    .unwrap_or_else(|| "without hours".to_owned()),
            });
        }
    }
    Ok(all)
}

fn of_sheet(house: &House, sheet: &Sheet) -> Vec<String> {
    let mut all = Vec::new();
    for person in &sheet.people {
        all.push(house.names.words(&person.worker));
        let worn = person.readings.iter();
        all.extend(worn.map(|it| house.names.words(&it.dosimeter)));
    }
    all
}

fn words_of(house: &House, sheet: &Sheet, device: &str) -> String {
    use crate::record::Words;
    let crew = sheet.people.iter().map(|it| house.names.words(&it.worker));
    let crew: Vec<String> = crew.collect();
    let device = match device {
        "" => String::new(),
        device => format!(" {device}"),
    };
    let (day, shift) = (sheet.day, sheet.shift.word());
    let job = house.names.words(&sheet.job);
    format!("{day} {shift}{device}, job {job}, {}", crew.join(" "))
}

fn hours_of(sheet: &Sheet) -> String {
    match (&sheet.begins, &sheet.ends) {
        (None, None) => "without hours".to_owned(),
        (begins, ends) => {
            let hour = |it: &Option<String>| it.clone().unwrap_or_else(|| "?".to_owned());
            format!("{} to {}", hour(begins), hour(ends))
        }
    }
}

//! What was typed of a sheet: its rows as a file would have them, and what is there before anybody
//! types.

use crate::answer::{
    AnswerError, House, LastTime, Member, OpenHouse, OpenStart, is_recharged, last_time_of,
    open_starts, proposed, sheet_form_of, shift_day,
};
use crate::intake::{PERSON_FIELDS, SHEET_COLUMNS};
use crate::ledger::Instant;
use crate::page::shell::asked::Fields;
use crate::record::{StartPart, Words};

/// The most rows of people that a form has.
const ROWS: usize = 40;

/// What belongs to the person and not to the dosimeter: it stands once, with the first.
const OF_A_PERSON: &[&str] = &["role", "ratemeter", "alarm_tested", "badge_worn", "badge"];

/// Which end of a shift a form is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// What is done before the work.
    Start,
    /// The sheet.
    End,
}

impl Part {
    /// As people call it.
    pub fn title(self) -> &'static str {
        match self {
            Part::Start => "Start of shift",
            Part::End => "End of shift",
        }
    }

    /// What its draft is called.
    pub fn draft(self) -> &'static str {
        match self {
            Part::Start => "start",
            Part::End => "sheet",
        }
    }

    /// Where its form is sent.
    pub fn address(self) -> String {
        format!("/{}", self.draft())
    }
}

/// What only the end of a shift has.
const OF_THE_END: &[&str] = &["end", "off_scale", "part", "late"];

/// The name of a field of a row.
pub fn of_row(row: usize, column: &str) -> String {
    format!("r{row}.{column}")
}

/// How many rows a form has.
pub fn rows(typed: &Fields) -> usize {
    typed.get("rows").parse().unwrap_or(0).min(ROWS)
}

/// The rows of the sheet, as its file would have them.
pub fn cells(typed: &Fields, part: Part) -> Vec<Vec<String>> {
    let mut all: Vec<Vec<String>> = Vec::new();
    for row in 1..=rows(typed) {
        if typed.get(&of_row(row, "worker")).is_empty() {
            continue;
        }
        let cell = |column: &&str| match PERSON_FIELDS.contains(column) {
            _ if part == Part::Start && OF_THE_END.contains(column) => String::new(),
            true => typed.get(&first_of_person(typed, row, column)).to_owned(),
            false if RATES.contains(column) => with_unit(typed.get(column), typed.get("unit")),
            false => typed.get(column).to_owned(),
        };
        let mut row: Vec<String> = SHEET_COLUMNS.iter().map(cell).collect();
        // A box that nobody ticks says no.
        let of = |name: &str| SHEET_COLUMNS.iter().position(|it| *it == name);
        let reads = of("dosimeter")
            .and_then(|it| row.get(it))
            .is_some_and(|it| !it.is_empty());
        if let Some(off) = of("off_scale").and_then(|it| row.get_mut(it))
            && off.is_empty()
            && (reads && part == Part::End)
        {
            "no".clone_into(off);
        }
        all.push(row);
    }
    all
}

/// Rates, which stand with the unit that the form shows beside them.
const RATES: &[&str] = &["boundary", "storage_survey"];

/// Whether it is a number without a unit.
pub fn is_bare(value: &str) -> bool {
    !value.is_empty() && value.bytes().all(|it| it.is_ascii_digit() || it == b'.')
}

/// A bare number with the unit that stood beside its field.
pub fn with_unit(value: &str, unit: &str) -> String {
    match is_bare(value) && !unit.is_empty() {
        true => format!("{value} {unit}"),
        false => value.to_owned(),
    }
}

/// The field that says a column of a row: of what is the person's own, that of their first row.
pub fn first_of_person(typed: &Fields, row: usize, column: &str) -> String {
    let who = typed.get(&of_row(row, "worker"));
    let same = |it: &usize| typed.get(&of_row(*it, "worker")) == who;
    let first = (1..=row).find(same).unwrap_or(row);
    let row = if OF_A_PERSON.contains(&column) {
        first
    } else {
        row
    };
    of_row(row, column)
}

/// The rows of the form that have a row in the sheet, in its order.
pub fn row_of(typed: &Fields, nth: usize) -> usize {
    let mut used = (1..=rows(typed)).filter(|it| !typed.get(&of_row(*it, "worker")).is_empty());
    used.nth(nth.saturating_sub(1)).unwrap_or(1)
}

/// What is there before anybody types.
pub fn prepared(
    house: &OpenHouse<'_>,
    (me, draft): (&str, &str),
    (part, now): (Part, Instant),
) -> Result<Fields, AnswerError> {
    let mut typed = Fields::default();
    typed.set("sheet", draft);
    let starts = open_starts(house, now)?;
    // A start that waits for its sheet is no start of another shift.
    let mut mine = starts.iter().filter(|_| part == Part::End);
    let mine = mine.find(|it| is_on(&it.standing, me));
    let last = match mine {
        Some(start) => Some(start.standing.clone()),
        None => last_time_of(house, me, now)?,
    };
    let Some(last) = last else {
        typed.set("rows", "1");
        typed.set("r1.worker", me);
        return Ok(typed);
    };
    standing(&mut typed, house, &last);
    match mine {
        Some(start) => begun(&mut typed, start, house),
        None => {
            typed.set("meter_late", if part == Part::End { "yes" } else { "" });
            let day = shift_day(house, &last.job, last.shift, None, now);
            typed.set("day", day.to_string());
        }
    }
    Ok(typed)
}

/// What a printed form had on it. What was done before the work counts as recorded at the end:
/// nobody here saw when it was initialed.
pub fn of_paper(house: &OpenHouse<'_>, draft: &str, code: &str) -> Result<Fields, AnswerError> {
    let (code, printed) = sheet_form_of(house, code)?;
    let mut typed = Fields::default();
    typed.set("sheet", draft);
    typed.set("paper_form", code);
    standing(&mut typed, house, &proposed(house, &printed));
    typed.set("meter_late", "yes");
    typed.set("day", printed.day.to_string());
    Ok(typed)
}

/// Job, equipment and crew.
fn standing(typed: &mut Fields, house: &House, last: &LastTime) {
    typed.set("job", &last.job);
    typed.set("work", last.work.word());
    typed.set("shift", last.shift.word());
    for equipment in &last.equipment {
        let before = typed.get(equipment.column).to_owned();
        typed.set(
            equipment.column,
            format!("{before} {}", equipment.id).trim(),
        );
    }
    let mut row = 0;
    for member in &last.crew {
        add_member(typed, &mut row, house, member);
    }
    typed.set("rows", row.to_string());
}

fn is_on(standing: &LastTime, me: &str) -> bool {
    standing.crew.iter().any(|it| it.worker == me)
}

fn add_member(typed: &mut Fields, row: &mut usize, house: &House, member: &Member) {
    let without = [String::new()];
    let dosimeters = match member.dosimeters.as_slice() {
        [] => &without[..],
        all => all,
    };
    for dosimeter in dosimeters {
        *row += 1;
        let mut put = |column: &str, value: &str| typed.set(&of_row(*row, column), value);
        put("worker", &member.worker);
        put("role", member.role.map_or("", Words::word));
        put("dosimeter", dosimeter);
        put("part", "1");
        put("ratemeter", &member.ratemeter);
        // What is asked at the end of the shift was not recorded when it was done.
        let mut late = vec![StartPart::Reading.word(), StartPart::Badge.word()];
        if is_recharged(house, dosimeter) {
            late.push(StartPart::Recharge.word());
        }
        if !member.ratemeter.is_empty() {
            late.push(StartPart::Alarm.word());
        }
        put("late", &late.join(" "));
    }
}

/// What was recorded at the start stands, and is not asked again.
fn begun(typed: &mut Fields, start: &OpenStart, house: &House) {
    let yes = |it: Option<bool>| match it {
        Some(true) => "yes",
        Some(false) => "no",
        None => "",
    };
    let body = &start.start;
    typed.set("shift_start", start.record.to_string());
    if let Some(number) = &body.reference {
        typed.set("sheet", number);
    }
    typed.set("day", body.day.to_string());
    typed.set("begins", body.begins.clone().unwrap_or_default());
    if let Some(checked) = body.meter_checked {
        typed.set("meter_checked", yes(Some(checked)));
        typed.set("meter_late", "");
    }
    for person in &body.people {
        let who = house.names.words(&person.worker);
        for row in (1..=rows(typed)).collect::<Vec<_>>() {
            if typed.get(&of_row(row, "worker")) != who {
                continue;
            }
            let dosimeter = typed.get(&of_row(row, "dosimeter")).to_owned();
            let mut readings = person.readings.iter();
            let reading = readings.find(|it| house.names.words(&it.dosimeter) == dosimeter);
            let shown = reading.and_then(|it| it.start).map(|it| it.to_string());
            let recharged = reading.and_then(|it| it.recharged);
            let mut late = Vec::new();
            let mut ask = |known: bool, part: StartPart| {
                if !known {
                    late.push(part.word());
                }
            };
            ask(shown.is_some(), StartPart::Reading);
            ask(person.badge_worn.is_some(), StartPart::Badge);
            ask(
                recharged.is_some() || !is_recharged(house, &dosimeter),
                StartPart::Recharge,
            );
            ask(
                person.alarm_tested.is_some() || person.ratemeter.is_none(),
                StartPart::Alarm,
            );
            for (column, value) in [
                ("start", shown.unwrap_or_default()),
                ("recharged", yes(recharged).to_owned()),
                ("alarm_tested", yes(person.alarm_tested).to_owned()),
                ("badge_worn", yes(person.badge_worn).to_owned()),
                ("badge", person.badge.clone().unwrap_or_default()),
                ("late", late.join(" ")),
            ] {
                typed.set(&of_row(row, column), value);
            }
        }
    }
}

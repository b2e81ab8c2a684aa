//! The morning check: each item of the set, item by item.

use maud::html;

use super::away::kept_pages;
use crate::answer::{
    AfterInspections, AnswerError, House, OpenHouse, SetReason, ToInspect, after_inspections,
    against_items, all_equipment, inspection_form_of, last_time_of,
};
use crate::calendar::{Day, parse_day};
use crate::intake::{
    Batch, Fault, INSPECTION_COLUMNS, IntakeError, Refused, Taken, take_inspections,
};
use crate::ledger::Mode;
use crate::page::shell::asked::{Asked, Fields, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::field::Wrong;
use crate::page::shell::frame::{Frame, crew};
use crate::page::shell::language;
use crate::page::shell::live;
use crate::record::{LineResult, Occasion, Words};
use crate::rule::Severity;
use crate::show::{Report, after_inspections_report, stops_report, with_taken};

/// What a set is looked at for each day.
pub const WHEN: Occasion = Occasion::Daily;

/// Everything that is to be looked at.
pub struct Inspected {
    /// The code of the printed form that it is copied from.
    pub paper: Option<String>,
    /// The day of the form: one that waited for a connection is of the day on which it was opened.
    pub day: Day,
    pub hour: String,
    pub all_equipment: Vec<ToInspect>,
    /// What stands against them before anybody looks, but that the check itself is to come.
    pub against: Vec<SetReason>,
    pub caution: String,
}

/// The page of the morning check.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let inspected = inspected(desk, asked, person)?;
    let (typed, gone) = placed(&asked.form, &inspected);
    let check = Check {
        desk,
        asked,
        person,
        inspected,
        typed,
    };
    let nothing = (Wrong::default(), html! {});
    if !asked.post {
        return Ok(check.form(200, &nothing.0, &nothing.1));
    }
    if !gone.is_empty() {
        return Ok(check.form(
            422,
            &Wrong::of(&gone_from_list(gone), |it| it.field.clone()),
            &nothing.1,
        ));
    }
    match asked.form.get("do") {
        "try" => check.try_out(),
        "send" => check.send(),
        _ => check.rehearse(),
    }
}

/// The form with what was scanned for it: everything that was answered, under a set that may have
/// changed.
pub fn scanned(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    (status, form, said): (u16, Fields, &Wrong),
) -> Result<Reply, IntakeError> {
    let asked = Asked {
        form,
        ..asked.clone()
    };
    let inspected = inspected(desk, &asked, person)?;
    let (typed, _) = placed(&asked.form, &inspected);
    let check = Check {
        desk,
        asked: &asked,
        person,
        inspected,
        typed,
    };
    Ok(check.form(status, said, &html! {}))
}

/// Whether the check of the form's day asks anything of an item.
pub fn has_items(house: &OpenHouse<'_>, form: &Fields, id: &str) -> Result<bool, AnswerError> {
    let Ok(day) = parse_day(form.get("on")) else {
        return Ok(false);
    };
    let all = all_equipment(house, &[id.to_owned()], WHEN, day)?;
    Ok(all.iter().any(|it| !it.items.is_empty()))
}

/// Whether anything was answered of an item.
pub fn is_answered(form: &Fields, id: &str) -> bool {
    let mut names = form.0.iter().filter_map(|(name, key)| {
        let of = key.rsplit_once(' ')?.0;
        name.strip_suffix(".key").filter(|_| of == id)
    });
    names.any(|name| has_answer(form, name))
}

/// Whether anything was answered under a name.
fn has_answer(form: &Fields, name: &str) -> bool {
    let mut all = ANSWERS.iter();
    all.any(|it| !form.get(&format!("{name}.{it}")).is_empty())
}

/// What was typed, under the names that the items have now. A form that waited may be of a list
/// that has changed since: each item is found by its own key, and an answer whose item is gone is
/// given back, not dropped.
fn placed(form: &Fields, inspected: &Inspected) -> (Fields, Vec<String>) {
    let keys: Vec<(&str, &str)> = form
        .0
        .iter()
        .filter_map(|(name, key)| Some((name.strip_suffix(".key")?, key.as_str())))
        .collect();
    if keys.is_empty() {
        return (form.clone(), Vec::new());
    }
    let is_of_item = |name: &str| keys.iter().any(|it| is_below(name, it.0));
    let others = form.0.iter().filter(|it| !is_of_item(&it.0));
    let mut typed = Fields(others.cloned().collect());
    let mut found = Vec::new();
    for (name, key) in inspected.items() {
        let Some((before, _)) = keys.iter().find(|it| it.1 == key) else {
            continue;
        };
        found.push(*before);
        for column in ANSWERS {
            let value = form.get(&format!("{before}.{column}"));
            typed.set(&format!("{name}.{column}"), value);
        }
    }
    let gone = keys
        .iter()
        .filter(|it| !found.contains(&it.0) && has_answer(form, it.0));
    let said = |name: &str| {
        let all = ANSWERS.iter().map(|it| form.get(&format!("{name}.{it}")));
        all.filter(|it| !it.is_empty())
            .collect::<Vec<_>>()
            .join(", ")
    };
    let gone = gone.map(|(name, key)| format!("{key}: {}", said(name)));
    (typed, gone.collect())
}

fn is_below(name: &str, item: &str) -> bool {
    name.strip_prefix(item)
        .is_some_and(|it| it.starts_with('.'))
}

/// Answers to items that the list of the day does not have.
fn gone_from_list(gone: Vec<String>) -> Refused {
    let fault = |words: String| {
        let what = "was answered, and the list of this set does not have it".to_owned();
        Fault::new(
            None,
            "remark",
            &words,
            what,
            "in words under `Anything else`, or another set",
        )
    };
    Refused {
        file: None,
        spreadsheet: false,
        faults: gone.into_iter().map(fault).collect(),
        more: 0,
        stops: Vec::new(),
    }
}

/// A check in somebody's hands.
pub struct Check<'a> {
    pub desk: &'a Desk,
    pub asked: &'a Asked,
    pub person: &'a Person,
    pub inspected: Inspected,
    pub typed: Fields,
}

impl Check<'_> {
    fn take(&self, mode: Mode, rows: &[Row]) -> Result<(Taken, AfterInspections), IntakeError> {
        let cells = rows.iter().map(|it| it.cells.clone()).collect();
        take(self.desk, self.person, mode, cells)
    }

    fn rows(&self) -> Vec<Row> {
        rows(&self.typed, &self.inspected, self.person)
    }

    fn rehearse(&self) -> Result<Reply, IntakeError> {
        let rows = self.rows();
        match self.take(Mode::Rehearse, &rows) {
            Ok((_, answer)) => {
                let above = html! {
                    (language::stops(self.asked.language, &answer.findings))
                    (crew(&[after_inspections_report(&answer)]))
                    p { "Nothing is written yet: put it on record below." }
                };
                Ok(self.form(200, &Wrong::default(), &above))
            }
            Err(error) => self.refused(&rows, error),
        }
    }

    fn send(&self) -> Result<Reply, IntakeError> {
        let rows = self.rows();
        match self.take(Mode::Commit, &rows) {
            Ok((taken, answer)) => Ok(on_record((self.asked, self.person), &taken, answer)),
            Err(error) => self.refused(&rows, error),
        }
    }

    /// What would be said of the items that are answered so far: a defect says at once what must
    /// not be used, before anybody has typed what it is.
    fn try_out(&self) -> Result<Reply, IntakeError> {
        let mut rows = self.rows();
        let cell = |row: &Row, name: &str| row.cells.get(column(name)).cloned().unwrap_or_default();
        rows.retain(|it| {
            ["result", "value"]
                .iter()
                .any(|name| !cell(it, name).is_empty())
        });
        for row in rows
            .iter_mut()
            .filter(|it| cell(it, "result") == LineResult::Defect.word())
        {
            for name in ["note", "action"] {
                if let Some(cell) = row.cells.get_mut(column(name)).filter(|it| it.is_empty()) {
                    "not typed yet".clone_into(cell);
                }
            }
        }
        match self.take(Mode::Rehearse, &rows) {
            _ if rows.is_empty() => {
                Ok(live::reply(&Wrong::default(), &html! {}, Report::default()))
            }
            Ok((_, answer)) => {
                let mut stops = answer.findings;
                stops.retain(|it| it.severity == Severity::Stop);
                let first = language::stops(self.asked.language, &stops);
                Ok(live::reply(&Wrong::default(), &first, stops_report(&stops)))
            }
            Err(IntakeError::Refused(refused)) => Ok(live::reply(
                &wrong(&rows, &refused),
                &html! {},
                Report::default(),
            )),
            Err(other) => Err(other),
        }
    }

    fn refused(&self, rows: &[Row], error: IntakeError) -> Result<Reply, IntakeError> {
        let IntakeError::Refused(refused) = error else {
            return Err(error);
        };
        Ok(self.form(422, &wrong(rows, &refused), &html! {}))
    }
}

fn column(name: &str) -> usize {
    INSPECTION_COLUMNS
        .iter()
        .position(|it| *it == name)
        .unwrap_or(usize::MAX)
}

/// The faults, each with the name of its field on the form.
fn wrong(rows: &[Row], refused: &Refused) -> Wrong {
    Wrong::of(refused, |fault| {
        let nth = fault.line.and_then(|it| usize::try_from(it).ok());
        // A single row has no number.
        let nth = nth.or((rows.len() == 1).then_some(1));
        let row = nth.and_then(|it| rows.get(it.checked_sub(1)?));
        match fault.field.as_str() {
            field @ ("at" | "remark" | "performed_by") => field.to_owned(),
            field => row.map_or(String::new(), |it| format!("{}.{field}", it.name)),
        }
    })
}

/// The set that was named, else that of the last sheet.
fn inspected(desk: &Desk, asked: &Asked, person: &Person) -> Result<Inspected, IntakeError> {
    let now = desk.commands.now();
    let named = match asked.post {
        true => asked.form.get("set").to_owned(),
        false => asked.query.get("set").to_owned(),
    };
    desk.read(|house| {
        let today = house.today(now);
        let mut day = parse_day(asked.form.get("on")).unwrap_or(today);
        let mut set: Vec<String> = named.split_whitespace().map(str::to_owned).collect();
        let mut paper = Some(asked.form.get("paper_form").to_owned()).filter(|it| !it.is_empty());
        if !asked.post && !asked.query.get("paper").is_empty() {
            let (code, printed) = inspection_form_of(house, asked.query.get("paper"))?;
            let items = printed.items.iter().map(|it| house.names.label(*it));
            set = items.collect();
            (paper, day) = (Some(code), printed.on);
        }
        if set.is_empty() {
            let last = last_time_of(house, &person.id, now)?;
            let known = last
                .into_iter()
                .flat_map(|it| it.equipment)
                .filter(|it| it.known);
            // The source is looked at in its device.
            set = known
                .filter(|it| it.column != "source")
                .map(|it| it.id)
                .collect();
        }
        let caution = house
            .checklist_on(day)
            .map(|(_, list)| list.confirm.clone());
        let all_equipment = all_equipment(house, &set, WHEN, day)?;
        let ids: Vec<&str> = all_equipment.iter().map(|it| it.id.as_str()).collect();
        let against = against_items(house, &ids, day)?;
        Ok(Inspected {
            paper,
            day,
            hour: house.hour(now),
            all_equipment,
            against,
            caution: caution.unwrap_or_default(),
        })
    })
}

/// What an item can be answered with.
const ANSWERS: &[&str] = &["result", "value", "note", "action", "with"];

impl Inspected {
    /// Each item: the name that its fields have on the form, and what it is, whatever its place.
    fn items(&self) -> impl Iterator<Item = (String, String)> {
        let all = self.all_equipment.iter().zip(1..);
        all.flat_map(|(equipment, at)| {
            let items = equipment.items.iter().zip(1..);
            items.map(move |(item, nth)| {
                (
                    format!("i{at}.{nth}"),
                    format!("{} {}", equipment.id, item.key),
                )
            })
        })
    }
}

/// One row of the inspection, and the name that its fields have on the form.
struct Row {
    name: String,
    cells: Vec<String>,
}

fn rows(typed: &Fields, inspected: &Inspected, person: &Person) -> Vec<Row> {
    let mut rows = Vec::new();
    for (equipment, at) in inspected.all_equipment.iter().zip(1..) {
        for (item, nth) in equipment.items.iter().zip(1..) {
            let name = format!("i{at}.{nth}");
            let cell = |column: &str| typed.get(&format!("{name}.{column}"));
            let nothing = ["result", "value", "note"]
                .iter()
                .all(|it| cell(it).is_empty());
            if nothing && item.is_inactive() {
                continue;
            }
            let cells = INSPECTION_COLUMNS.iter().map(|column| match *column {
                "item" => equipment.id.clone(),
                "on" => inspected.day.to_string(),
                "at" => typed.get("at").to_owned(),
                "when" => WHEN.word().to_owned(),
                "performed_by" => match (&inspected.paper, typed.get("performed_by")) {
                    (None, _) => person.id.clone(),
                    (Some(_), written) => written.to_owned(),
                },
                "paper_form" => inspected.paper.clone().unwrap_or_default(),
                "line" => item.key.clone(),
                "remark" => typed.get("remark").to_owned(),
                "row" | "counter" => String::new(),
                column => cell(column).to_owned(),
            });
            rows.push(Row {
                cells: cells.collect(),
                name,
            });
        }
    }
    rows
}

fn take(
    desk: &Desk,
    person: &Person,
    mode: Mode,
    rows: Vec<Vec<String>>,
) -> Result<(Taken, AfterInspections), IntakeError> {
    desk.write(&desk.author(person), mode, |writer, now| {
        let taken = take_inspections(writer, now, Batch::Form(rows))?;
        let snapshot = writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let answer = after_inspections(&house.open(&snapshot), &taken.new_entries())?;
        Ok((taken, answer))
    })
}

fn on_record((asked, person): (&Asked, &Person), taken: &Taken, answer: AfterInspections) -> Reply {
    let told = (taken.new_count() > 0).then(|| after_inspections_report(&answer));
    let stops = language::stops(asked.language, &answer.findings);
    let frame = frame(asked, person);
    frame.reply(&html! {
        h1 { "On record" }
        div.go data-sent={ "check " (asked.form.get("at")) } { p { "Morning check" } }
        (stops)
        (crew(&[with_taken(told, taken, false)]))
        p {
            @for it in taken.items.iter().filter(|_| taken.new_count() > 0) {
                a.btn href={ "/photo?about=" (it.written.entry()) } {
                    "Photo for " span translate="no" { (it.key) }
                } " "
            }
            a.btn href="/" { "Today" }
        }
        (kept_pages(true))
    })
}

pub fn frame<'a>(asked: &'a Asked, person: &'a Person) -> Frame<'a> {
    Frame {
        title: "Morning check",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    }
}

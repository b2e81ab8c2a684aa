//! The morning check: each item of the set, item by item.

use maud::{Markup, html};

use super::asked::{Asked, Fields, Reply};
use super::desk::{Desk, Person};
use super::field::{Field, Wrong, line, pick};
use super::frame::{Frame, all};
use crate::answer::{
    AfterInspections, House, ToInspect, after_inspections, all_equipment, last_time_of,
};
use crate::calendar::Day;
use crate::intake::{Batch, INSPECTION_COLUMNS, IntakeError, Taken, take_inspections};
use crate::ledger::Mode;
use crate::record::{LineResult, Occasion, Words};
use crate::rule::ChecklistItem;
use crate::show::{after_inspections_report, item_question, report_parts, with_taken};

/// What a set is looked at for each day.
const WHEN: Occasion = Occasion::Daily;

/// Everything that is to be looked at.
struct Inspected {
    today: Day,
    hour: String,
    all_equipment: Vec<ToInspect>,
    caution: String,
}

/// The page of the morning check.
pub(super) fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let inspected = inspected(desk, asked, person)?;
    if !asked.post {
        return Ok(form(
            asked,
            person,
            (200, &inspected),
            &Wrong::default(),
            &html! {},
        ));
    }
    let mode = match asked.form.get("do") {
        "send" => Mode::Commit,
        _ => Mode::Rehearse,
    };
    let rows = rows(&asked.form, &inspected, person);
    let done = take(
        desk,
        person,
        mode,
        rows.iter().map(|it| it.cells.clone()).collect(),
    );
    match done {
        Ok((taken, answer)) if mode == Mode::Commit => Ok(on_record(asked, person, &taken, answer)),
        Ok((_, answer)) => {
            let above = html! {
                (all(&[after_inspections_report(&answer)]))
                p { "Nothing is written yet: put it on record below." }
            };
            Ok(form(
                asked,
                person,
                (200, &inspected),
                &Wrong::default(),
                &above,
            ))
        }
        Err(IntakeError::Refused(refused)) => {
            let wrong = Wrong::of(&refused, |fault| {
                let nth = fault
                    .line
                    .and_then(|it| usize::try_from(it).ok())
                    .unwrap_or(1);
                let row = rows.get(nth.saturating_sub(1));
                row.map_or(String::new(), |it| format!("{}.{}", it.name, fault.field))
            });
            Ok(form(asked, person, (422, &inspected), &wrong, &html! {}))
        }
        Err(other) => Err(other),
    }
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
        let mut set: Vec<String> = named.split_whitespace().map(str::to_owned).collect();
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
            .checklist_on(today)
            .map(|(_, list)| list.confirm.clone());
        Ok(Inspected {
            today,
            hour: house.hour(now),
            all_equipment: all_equipment(house, &set, WHEN, today)?,
            caution: caution.unwrap_or_default(),
        })
    })
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
                "on" => inspected.today.to_string(),
                "at" => typed.get("at").to_owned(),
                "when" => WHEN.word().to_owned(),
                "performed_by" => person.id.clone(),
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
        let taken = take_inspections(writer, now, Batch::Typed(rows))?;
        let snapshot = writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let answer = after_inspections(&house.open(&snapshot), &taken.new_entries())?;
        Ok((taken, answer))
    })
}

fn on_record(asked: &Asked, person: &Person, taken: &Taken, answer: AfterInspections) -> Reply {
    let told = (taken.new_count() > 0).then(|| after_inspections_report(&answer));
    let frame = frame(asked, person);
    frame.reply(&html! {
        h1 { "On record" }
        div.go data-sent={ "check " (asked.form.get("at")) } { p { "Morning check" } }
        (all(&[with_taken(told, taken, false)]))
        p {
            @for it in taken.items.iter().filter(|_| taken.new_count() > 0) {
                a.btn href={ "/photo?about=" (it.written.entry()) } { "Photo for " (it.key) } " "
            }
            a.btn href="/" { "Today" }
        }
    })
}

fn frame<'a>(asked: &'a Asked, person: &'a Person) -> Frame<'a> {
    Frame {
        title: "Morning check",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    }
}

fn form(
    asked: &Asked,
    person: &Person,
    (status, inspected): (u16, &Inspected),
    wrong: &Wrong,
    above: &Markup,
) -> Reply {
    let frame = frame(asked, person);
    let typed = &asked.form;
    let ids: Vec<&str> = inspected
        .all_equipment
        .iter()
        .map(|it| it.id.as_str())
        .collect();
    let set = ids.join(" ");
    let body = html! {
        h1 { "Morning check, " span.w { (inspected.today) } " " (inspected.hour) }
        (wrong.summary())
        (above)
        form.filters method="get" action="/check" {
            label { "Set, ids separated by spaces"
                input name="set" value=(set) maxlength="200"; }
            button { "Another set" }
        }
        form method="post" action="/check" data-draft={ "check " (set) } autocomplete="off" {
            (frame.secret())
            input type="hidden" name="set" value=(set);
            button.unseen name="do" value="look" tabindex="-1" aria-hidden="true" { "Check" }
            (line(Field {
                name: "at", label: "Time checked", value: typed.get("at"), kind: "time",
                ..Field::default()
            }, wrong))
            @for (equipment, at) in inspected.all_equipment.iter().zip(1..) {
                h2 { (equipment.id) " (" (equipment.kind) ")" }
                @if equipment.items.is_empty() { p { "Nothing to check, " (WHEN.word()) "." } }
                @for (item, nth) in equipment.items.iter().zip(1..) {
                    (one_item(typed, (equipment, item), &format!("i{at}.{nth}"), nth, wrong))
                }
                @for it in &equipment.controls {
                    p { (it.record) ": " (it.how) " " small { (it.rule) } }
                }
            }
            (line(Field {
                name: "remark", label: "Anything else", value: typed.get("remark"),
                ..Field::default()
            }, wrong))
            button.big.second name="do" value="look" { "Check: writes nothing" }
            button.first.big name="do" value="send" { "Put on record" }
        }
        p.small { (inspected.caution) }
    };
    Reply::Page(status, frame.page(&body))
}

/// One item: `good` is one tap, a measure is what the gauge shows, words are for what is not good.
fn one_item(
    typed: &Fields,
    (equipment, item): (&ToInspect, &ChecklistItem),
    name: &str,
    nth: usize,
    wrong: &Wrong,
) -> Markup {
    let names = ["result", "value", "note", "action", "with", "line"];
    let full: Vec<String> = names.iter().map(|it| format!("{name}.{it}")).collect();
    let field = |column: &str, label: &'static str| {
        let place = names.iter().position(|it| *it == column).unwrap_or(0);
        let name = full.get(place).map_or("", String::as_str);
        Field {
            name,
            label,
            value: typed.get(name),
            ..Field::default()
        }
    };
    let question = item_question(
        item,
        nth,
        equipment.items.len(),
        equipment.last.get(&item.key),
    );
    let unit = item.unit();
    let results: Vec<(&str, &str)> = LineResult::ALL
        .iter()
        // What a gauge shows is typed, and judged by its limit.
        .filter(|it| **it != LineResult::Measured)
        .filter(|it| unit.is_none() || **it != LineResult::Good)
        .map(|it| (it.word(), it.word()))
        .collect();
    let result = typed.get(&format!("{name}.result"));
    let asked = match unit {
        Some(_) => "Or, where it was not measured",
        None => "Result",
    };
    let open = !matches!(result, "" | "good") || full.iter().skip(2).any(|it| wrong.is(it));
    html! {
        section.card {
            (report_parts(&question))
            (wrong.beside(&format!("{name}.line")))
            @if let Some(unit) = unit {
                (line(Field {
                    unit: Some(unit.symbol()), keys: "decimal", ..field("value", "Measured")
                }, wrong))
            }
            (pick(field("result", asked), &results, wrong))
            details open[open] {
                summary { "What is wrong, what was done" }
                (line(field("note", "What is wrong, or how it was read again"), wrong))
                (line(field("action", "What was done about it"), wrong))
            }
            @if let Some(pair) = &item.pair {
                (line(Field {
                    hint: pair, ..field("with", "Mated with which item")
                }, wrong))
            }
        }
    }
}

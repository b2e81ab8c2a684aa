//! An inspection item by item, as a crew stands before the equipment: `g` for good, a figure
//! for a measure, words only for what is not good.

use super::inspect_paper::FormInHand;
use super::inspect_taken::{hand_in, hand_in_with, occasion, put, show_taken};
use crate::answer::{ToInspect, all_equipment, last_set, last_sheet};
use crate::calendar::{Clock, Day, read_time};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::session::Session;
use crate::cli::sheet::settle::is_written;
use crate::intake::{Batch, EvidenceFile, INSPECTION_COLUMNS};
use crate::ledger::Mode;
use crate::quantity::Amount;
use crate::record::{Occasion, Words};
use crate::rule::{ChecklistItem, Standing};
use crate::show::{Report, after_inspections_report, item_question, question_in};
use crate::text::Language;

/// What is the same for all items.
struct Head {
    on: Day,
    at: String,
    when: Occasion,
    performed_by: String,
    set: Vec<String>,
}

/// Asks for the items and their items, shows what it means, asks once, writes.
pub(crate) fn run(
    session: &mut Session<'_>,
    by: Option<&str>,
    dry_run: bool,
    form: Option<&FormInHand>,
) -> Result<(), Failure> {
    let head = head(session, form)?;
    let (on, when, set) = (head.on, head.when, head.set.clone());
    let (all, confirm) = session.ask(None, |house| {
        let all = all_equipment(house, &set, when, on)?;
        let confirm = house.checklist_on(on).map(|(_, list)| list.confirm.clone());
        Ok((all, confirm.unwrap_or_default()))
    })?;
    session.output.tell(
        "g good, d defect, n not done, b back to the item before; a measurement is typed as it is \
         read, with or without its unit. Nothing is written before you say yes at the end.",
    )?;
    if session.output.language != Language::English && session.output.said(&confirm) == confirm {
        session.output.tell(IN_ENGLISH)?;
    }
    session.output.tell(&confirm)?;
    let mut rows = all_all_equipment(session, &head, &all)?;
    if let Some(form) = form {
        for row in &mut rows {
            put(row, "paper_form", form.code.clone());
        }
    }
    let photo = form.and_then(|it| it.photo.as_ref());
    settle(session, (by, dry_run), rows, photo)
}

/// Asks every item of every item; `b` goes back over the items too.
fn all_all_equipment(
    session: &mut Session<'_>,
    head: &Head,
    all: &[ToInspect],
) -> Result<Vec<Vec<String>>, Failure> {
    let asked: Vec<(&ToInspect, usize, &ChecklistItem)> = all
        .iter()
        .flat_map(|equipment| {
            let items = equipment.items.iter().enumerate();
            items.map(move |(at, item)| (equipment, at, item))
        })
        .collect();
    for equipment in all.iter().filter(|it| it.items.is_empty()) {
        let when = head.when.word();
        let language = session.output.language;
        let (kind, when) = (language.say(equipment.kind), language.say(when));
        let values = [&*equipment.id, &kind, &when];
        let text = language.fill("{} ({}): nothing to check, {}", &values);
        session.output.talk(&text)?;
    }
    // Nothing for an inactive item that is passed over.
    let mut rows: Vec<Option<Vec<String>>> = Vec::new();
    while let Some((equipment, at, item)) = asked.get(rows.len()) {
        let count = equipment.items.len();
        session.output.talk("")?;
        if *at == 0 {
            let language = session.output.language;
            let (kind, items) = (language.say(equipment.kind), count.to_string());
            let text = match count {
                1 => "{} ({}), 1 item",
                _ => "{} ({}), {} items",
            };
            let text = language.fill(text, &[&equipment.id, &kind, &items]);
            session.output.talk(&text)?;
        }
        let language = session.output.language;
        let question = item_question(
            item,
            (at + 1, count),
            equipment.last.get(&item.key),
            language,
        );
        let question = question_in(language, question);
        session.output.talk_report(&question)?;
        match one_item(session, head, &base(head, equipment), equipment, item)? {
            Answer::Row(row) => rows.push(Some(row)),
            Answer::Pass => rows.push(None),
            Answer::Back if rows.pop().is_none() => {
                below(session, "    this is the first item")?;
            }
            Answer::Back => {}
        }
    }
    Ok(rows.into_iter().flatten().collect())
}

/// What is the same in all rows of an item.
fn base(head: &Head, equipment: &ToInspect) -> Vec<String> {
    let mut base = vec![String::new(); INSPECTION_COLUMNS.len()];
    put(&mut base, "item", equipment.id.clone());
    put(&mut base, "on", head.on.to_string());
    put(&mut base, "at", head.at.clone());
    put(&mut base, "when", head.when.word());
    put(&mut base, "performed_by", head.performed_by.clone());
    base
}

fn head(session: &mut Session<'_>, form: Option<&FormInHand>) -> Result<Head, Failure> {
    let now = session.clock.now();
    let (today, set, hour) = session.ask(None, |house| {
        let today = house.today(now);
        let set = last_sheet(house.snapshot, today)?.map(|sheet| last_set(house, &sheet));
        Ok((today, set.unwrap_or_default(), house.hour(now)))
    })?;
    let set = form.map_or(set, |it| it.items.clone());
    let on = day_looked_at(session, (today, form.map_or(today, |it| it.on)))?;
    let at = loop {
        let typed = session.field(
            "hour, HH:MM",
            if on == today && form.is_none() {
                &hour
            } else {
                ""
            },
        )?;
        if typed.is_empty() {
            break typed;
        }
        match read_time(&typed, Clock::Unsaid) {
            Ok(_) => break typed,
            Err(error) => say(session, &format!("{error}; such as `06:40`"))?,
        }
    };
    let when = loop {
        let usual = form.map_or(Occasion::Daily, |it| it.when).word();
        let usual = &session.output.said(usual);
        let typed = session.field("daily, quarterly, after an event or on receipt", usual)?;
        let own = Occasion::ALL
            .iter()
            .find(|it| session.output.said(it.word()) == typed);
        match own.map_or_else(|| occasion(&typed), |it| Ok(*it)) {
            Ok(when) => break when,
            Err(error) => error.say(&mut session.output)?,
        }
    };
    let performed_by = who(session)?;
    let set = set_looked_at(session, &set.join(" "), when, on)?;
    Ok(Head {
        on,
        at,
        when,
        performed_by,
        set,
    })
}

/// A day that is not to come, and on which a list is in force.
fn day_looked_at(session: &mut Session<'_>, (today, usual): (Day, Day)) -> Result<Day, Failure> {
    loop {
        let typed = session.field("day", &usual.to_string())?;
        let day = match failure::day("day", &typed) {
            Ok(day) => day,
            Err(error) => {
                error.say(&mut session.output)?;
                continue;
            }
        };
        if day > today {
            say(
                session,
                &format!("{day} is in the future: today is {today}"),
            )?;
            continue;
        }
        let listed = session.ask(None, |house| Ok(house.checklist_on(day).is_some()))?;
        if listed {
            return Ok(day);
        }
        if day == today {
            return Err(crate::answer::AnswerError::NoChecklist { day }.into());
        }
        say(session, &format!("no checklist is in force on {day}"))?;
    }
}

/// Somebody whom the ledger knows; a stranger is kept as words when that is meant.
fn who(session: &mut Session<'_>) -> Result<String, Failure> {
    loop {
        let typed = words(
            session,
            "inspected by: id of the worker",
            "  somebody has inspected it",
        )?;
        let found = session.ask(None, |house| Ok(house.names.worker(&typed).err()))?;
        let Some(unknown) = found else {
            return Ok(typed);
        };
        Failure::from(crate::answer::AnswerError::from(unknown)).say(&mut session.output)?;
        if session.yes("  keep it as it is", Some(false))? {
            return Ok(typed);
        }
    }
}

/// The items, each known, in service that day and named once.
fn set_looked_at(
    session: &mut Session<'_>,
    proposal: &str,
    when: Occasion,
    on: Day,
) -> Result<Vec<String>, Failure> {
    loop {
        let typed = session.field("items, separated by spaces", proposal)?;
        let mut set: Vec<String> = Vec::new();
        for id in typed.split_whitespace() {
            if !set.iter().any(|it| it.eq_ignore_ascii_case(id)) {
                set.push(id.to_owned());
            }
        }
        let asked = session.ask(None, |house| {
            all_equipment(house, &set, when, on)?;
            let early = set.iter().find_map(|id| {
                let from = house
                    .names
                    .in_service(house.names.find_item(id)?.number())?;
                (on < from).then(|| format!("{id} came into service on {from}, after {on}"))
            });
            Ok(early)
        });
        match asked {
            Ok(None) if set.is_empty() => say(session, "at least one item, such as `D-2`")?,
            Ok(None) => return Ok(set),
            Ok(Some(early)) => say(session, &early)?,
            Err(error @ Failure::Answer(_)) => error.say(&mut session.output)?,
            Err(error) => return Err(error),
        }
    }
}

/// Says something short of the table below an answer.
fn below(session: &mut Session<'_>, text: &str) -> Result<(), Failure> {
    let said = session.output.said(text);
    session.output.talk(&said)
}

/// Says something of the table under a question, within the width.
fn say(session: &mut Session<'_>, text: &str) -> Result<(), Failure> {
    let mut report = Report::new("");
    report.under(session.output.said(text));
    session.output.talk_report(&report)
}

/// One answer to an item.
enum Answer {
    Row(Vec<String>),
    /// An inactive item that nobody measured: no row.
    Pass,
    Back,
}

fn one_item(
    session: &mut Session<'_>,
    head: &Head,
    base: &[String],
    equipment: &ToInspect,
    item: &ChecklistItem,
) -> Result<Answer, Failure> {
    let mut row = base.to_vec();
    put(&mut row, "line", item.key.clone());
    loop {
        let typed = session.field_as_it_is(&format!("  {}", item.key), "")?;
        let language = session.output.language;
        let typed = match ["good", "defect", "not done"]
            .iter()
            .find(|it| language.say(it) == typed)
        {
            Some(own) => (*own).to_owned(),
            None => typed,
        };
        match typed.to_lowercase().as_str() {
            "b" | "back" => return Ok(Answer::Back),
            "n" | "not done" => {
                put(&mut row, "result", "not done");
                return Ok(Answer::Row(row));
            }
            "d" | "defect" => {
                put(&mut row, "result", "defect");
                let note = words(session, "    what is wrong", IN_WORDS)?;
                put(&mut row, "note", note);
                let action = words(session, "    what was done about it", IN_WORDS)?;
                put(&mut row, "action", action);
                if with(session, head, &mut row, item)? {
                    return Ok(Answer::Row(row));
                }
                continue;
            }
            "" if item.is_inactive() => return Ok(Answer::Pass),
            "g" | "good" if item.unit().is_none() => {
                put(&mut row, "result", "good");
                if with(session, head, &mut row, item)? {
                    return Ok(Answer::Row(row));
                }
                continue;
            }
            _ => {}
        }
        if item.unit().is_none() {
            below(session, "    g, d, n or b")?;
            continue;
        }
        if item.is_inactive() && matches!(typed.as_str(), "g" | "good") {
            say(
                session,
                "it is inactive and cannot be good: what the gauge shows, or blank; d, b",
            )?;
            continue;
        }
        if matches!(typed.as_str(), "" | "g" | "good") {
            say(
                session,
                "it is measured: type what the gauge shows; d, n or b",
            )?;
            continue;
        }
        if measured(session, &mut row, equipment, item, &typed)? {
            return Ok(Answer::Row(row));
        }
    }
}

/// Above what the list of a site says in English alone.
const IN_ENGLISH: &str = "In English, as the site put it in:";

const IN_WORDS: &str = "    in words";

fn words(session: &mut Session<'_>, label: &str, wanted: &str) -> Result<String, Failure> {
    loop {
        let typed = session.field(label, "")?;
        if !typed.is_empty() {
            return Ok(typed);
        }
        below(session, wanted)?;
    }
}

/// The other item of a mating check: proposed where the set has one of that kind.
/// `false`: back to the item.
fn with(
    session: &mut Session<'_>,
    head: &Head,
    row: &mut [String],
    item: &ChecklistItem,
) -> Result<bool, Failure> {
    let Some(pair) = &item.pair else {
        return Ok(true);
    };
    let set = head.set.clone();
    let proposal = session.ask(None, |house| {
        let fits = |id: &&String| {
            let record = house.names.find_item(id);
            record.and_then(|it| house.names.type_stored(it.number())) == Some(pair.as_str())
        };
        Ok(set.iter().find(fits).cloned().unwrap_or_default())
    })?;
    loop {
        let language = session.output.language;
        let label = language.fill("with which {}", &[&language.say(pair)]);
        let other = session.field_as_it_is(&format!("    {label}"), &proposal)?;
        let on = head.on;
        let fits = session.ask(None, |house| {
            let record = house.names.find_item(&other);
            let early = record.and_then(|it| house.names.in_service(it.number()));
            let of_that_kind =
                record.and_then(|it| house.names.type_stored(it.number())) == Some(pair);
            Ok(of_that_kind && early.is_none_or(|from| from <= on))
        })?;
        if fits {
            put(row, "with", other);
            return Ok(true);
        }
        if matches!(other.as_str(), "b" | "back") {
            return Ok(false);
        }
        say(
            session,
            &format!("`{other}` is no {pair} that is known and in service that day"),
        )?;
    }
}

/// Reads a measure; `false` asks again. One that no gauge could have shown is asked back with
/// the last one, and stays only with a note.
fn measured(
    session: &mut Session<'_>,
    row: &mut [String],
    equipment: &ToInspect,
    item: &ChecklistItem,
    typed: &str,
) -> Result<bool, Failure> {
    let Some(like) = item.unit() else {
        return Ok(false);
    };
    let (amount, unit) = match Amount::parse_with_unit(typed, Some(like)) {
        Ok(read) => read,
        Err(error) => {
            let right = match &item.measurement {
                Some(measurement) => measurement.limit.display(like),
                None => format!("5.8 {}", like.symbol()),
            };
            say(session, &format!("{error}; such as {right}, or d, n, b"))?;
            return Ok(false);
        }
    };
    let Some(measurement) = &item.measurement else {
        put(row, "value", amount.display(unit));
        return Ok(true);
    };
    if !measurement.is_believable(amount) {
        let last = equipment.last.get(&item.key);
        let (shown, unit_of) = (amount.display(unit), measurement.unit);
        let lowest = measurement.lowest.display(unit_of);
        let highest = measurement.highest.display(unit_of);
        let what = match last {
            None => format!("{shown} is outside {lowest} to {highest}"),
            Some((value, on)) => {
                format!("{shown} is outside {lowest} to {highest}, last {value} on {on}")
            }
        };
        say(session, &what)?;
        if !session.yes("    does the gauge really show that", Some(false))? {
            return Ok(false);
        }
        let note = words(session, "    how was it read again", IN_WORDS)?;
        put(row, "note", note);
    }
    put(row, "value", amount.display(unit));
    if measurement.standing(amount) == Some(Standing::Beyond) {
        let limit = measurement.limit_words();
        say(session, &format!("PAST ITS LIMIT, {limit}: a defect"))?;
        put(row, "result", "defect");
        let note = words(session, "    what is seen", IN_WORDS)?;
        put(row, "note", note);
        let action = words(session, "    what was done about it", IN_WORDS)?;
        put(row, "action", action);
    }
    Ok(true)
}

/// Shows what it means and asks once.
fn settle(
    session: &mut Session<'_>,
    (by, dry_run): (Option<&str>, bool),
    rows: Vec<Vec<String>>,
    photo: Option<&EvidenceFile>,
) -> Result<(), Failure> {
    let (_, answer) = hand_in(session, by, Mode::Rehearse, Batch::Typed(rows.clone()))?;
    session.output.talk("")?;
    session.output.tell_stops(&answer.findings)?;
    session
        .output
        .talk_report(&after_inspections_report(&answer))?;
    if !session.yes("write it", None)? {
        return Err(Failure::Cancelled);
    }
    let mode = if dry_run {
        Mode::Rehearse
    } else {
        Mode::Commit
    };
    let handed = hand_in_with(session, (by, mode), Batch::Typed(rows), photo)?;
    is_written(session, dry_run)?;
    show_taken(session, handed, dry_run)
}

//! An inspection item by item, as a crew stands before the equipment: `g` for good, a figure
//! for a measure, words only for what is not good.

use super::failure::{self, Failure};
use super::inspect::{hand_in, occasion, put, show_taken};
use super::run::Session;
use crate::answer::{Piece, last_set, last_sheet, pieces};
use crate::calendar::Day;
use crate::intake::{Batch, INSPECTION_COLUMNS};
use crate::ledger::Mode;
use crate::quantity::Amount;
use crate::record::Occasion;
use crate::rule::{ChecklistItem, Standing};
use crate::show::{after_inspections_report, item_question};

/// What is the same for all pieces.
struct Head {
    on: Day,
    at: String,
    when: Occasion,
    looked: String,
    set: Vec<String>,
}

/// Asks for the pieces and their items, shows what it means, asks once, writes.
pub(super) fn run(
    session: &mut Session<'_>,
    by: Option<&str>,
    dry_run: bool,
) -> Result<(), Failure> {
    let head = head(session)?;
    let (on, when, set) = (head.on, head.when, head.set.clone());
    let (all, confirm) = session.ask(None, |snapshot, house| {
        let all = pieces(snapshot, house, &set, when, on)?;
        let confirm = house.checklist_on(on).map(|(_, list)| list.confirm.clone());
        Ok((all, confirm.unwrap_or_default()))
    })?;
    session.output.talk_report(&crate::show::Report::new(
        "g good, d defect, n not done, b back to the item before; a measure is typed as it is \
         read. Nothing is written before you say yes at the end.",
    ))?;
    session
        .output
        .talk_report(&crate::show::Report::new(confirm))?;
    let mut rows = Vec::new();
    for piece in &all {
        rows.extend(one_piece(session, &head, piece)?);
    }
    settle(session, by, dry_run, rows)
}

fn head(session: &mut Session<'_>) -> Result<Head, Failure> {
    let now = session.clock.now();
    let (today, set, hour) = session.ask(None, |snapshot, house| {
        let today = house.today(now);
        let set = last_sheet(snapshot, today)?.map(|sheet| last_set(house, &sheet));
        Ok((today, set.unwrap_or_default(), house.hour(now)))
    })?;
    let on = loop {
        let typed = session.field("day", &today.to_string())?;
        match failure::day("day", &typed) {
            Ok(day) => break day,
            Err(error) => error.say(&mut session.output)?,
        }
    };
    let at = session.field("hour, HH:MM", if on == today { &hour } else { "" })?;
    let when = loop {
        let typed = session.field("daily, quarterly, after an event or on receipt", "daily")?;
        match occasion(&typed) {
            Ok(when) => break when,
            Err(error) => error.say(&mut session.output)?,
        }
    };
    let looked = session.field("who looks: id of the worker", "")?;
    let pieces = session.field("pieces, parted by blanks", &set.join(" "))?;
    let set = pieces.split_whitespace().map(str::to_owned).collect();
    Ok(Head {
        on,
        at,
        when,
        looked,
        set,
    })
}

/// One answer to an item.
enum Answer {
    Row(Vec<String>),
    Back,
}

fn one_piece(
    session: &mut Session<'_>,
    head: &Head,
    piece: &Piece,
) -> Result<Vec<Vec<String>>, Failure> {
    let count = piece.items.len();
    session.output.talk("")?;
    session
        .output
        .talk(&format!("{} ({}), {count} items", piece.id, piece.sort))?;
    let mut base = vec![String::new(); INSPECTION_COLUMNS.len()];
    put(&mut base, "item", piece.id.clone());
    put(&mut base, "on", head.on.to_string());
    put(&mut base, "at", head.at.clone());
    put(&mut base, "when", crate::record::Words::word(head.when));
    put(&mut base, "by", head.looked.clone());
    let mut rows: Vec<Vec<String>> = Vec::new();
    while let Some(item) = piece.items.get(rows.len()) {
        let number = rows.len() + 1;
        let question = item_question(item, number, count, piece.last.get(&item.key));
        session.output.talk_report(&question)?;
        match one_item(session, head, &base, piece, item)? {
            Answer::Row(row) => rows.push(row),
            Answer::Back => {
                rows.pop();
            }
        }
    }
    Ok(rows)
}

fn one_item(
    session: &mut Session<'_>,
    head: &Head,
    base: &[String],
    piece: &Piece,
    item: &ChecklistItem,
) -> Result<Answer, Failure> {
    let mut row = base.to_vec();
    put(&mut row, "line", item.key.clone());
    loop {
        let typed = session.field(&format!("  {}", item.key), "")?;
        match typed.to_lowercase().as_str() {
            "b" | "back" => return Ok(Answer::Back),
            "n" | "not done" => {
                put(&mut row, "result", "not done");
                return Ok(Answer::Row(row));
            }
            "d" | "defect" => {
                put(&mut row, "result", "defect");
                let note = words(session, "    what is wrong")?;
                put(&mut row, "note", note);
                let action = words(session, "    what was done about it")?;
                put(&mut row, "action", action);
                with(session, head, &mut row, item)?;
                return Ok(Answer::Row(row));
            }
            "g" | "good" if item.measure.is_none() => {
                put(&mut row, "result", "good");
                with(session, head, &mut row, item)?;
                return Ok(Answer::Row(row));
            }
            _ => {}
        }
        if item.measure.is_none() {
            session.output.talk("    g, d, n or b")?;
            continue;
        }
        if measured(session, &mut row, piece, item, &typed)? {
            return Ok(Answer::Row(row));
        }
    }
}

fn words(session: &mut Session<'_>, label: &str) -> Result<String, Failure> {
    loop {
        let typed = session.field(label, "")?;
        if !typed.is_empty() {
            return Ok(typed);
        }
        session.output.talk("    in words")?;
    }
}

/// The other piece of a mating check: proposed where the set has one of that kind.
fn with(
    session: &mut Session<'_>,
    head: &Head,
    row: &mut [String],
    item: &ChecklistItem,
) -> Result<(), Failure> {
    let Some(pair) = &item.pair else {
        return Ok(());
    };
    let set = head.set.clone();
    let proposal = session.ask(None, |_, house| {
        let fits = |id: &&String| {
            let record = house.names.item(id).ok();
            record.and_then(|it| house.names.sort_word(it)) == Some(pair.as_str())
        };
        Ok(set.iter().find(fits).cloned().unwrap_or_default())
    })?;
    let other = session.field(&format!("    with which {pair}"), &proposal)?;
    put(row, "with", other);
    Ok(())
}

/// Reads a measure; `false` asks again. One that no gauge could have shown is asked back with
/// the last one, and stays only with a note.
fn measured(
    session: &mut Session<'_>,
    row: &mut [String],
    piece: &Piece,
    item: &ChecklistItem,
    typed: &str,
) -> Result<bool, Failure> {
    let Some(measure) = &item.measure else {
        return Ok(false);
    };
    let (amount, unit) = match Amount::parse_with_unit(typed, Some(measure.unit)) {
        Ok(read) => read,
        Err(error) => {
            let right = measure.limit.display(measure.unit);
            session
                .output
                .talk(&format!("    {error}; such as {right}, or d, n, b"))?;
            return Ok(false);
        }
    };
    if !measure.is_believable(amount) {
        let last = piece.last.get(&item.key);
        let last = last.map_or_else(String::new, |(value, on)| format!(", last {value} on {on}"));
        let what = format!(
            "    {} is outside {} to {}{last}",
            amount.display(unit),
            measure.lowest.display(measure.unit),
            measure.highest.display(measure.unit)
        );
        session.output.talk(&what)?;
        if !session.yes("    does the gauge really show that", Some(false))? {
            return Ok(false);
        }
        let note = words(session, "    how was it read again")?;
        put(row, "note", note);
    }
    put(row, "value", amount.display(unit));
    if measure.standing(amount) == Some(Standing::Beyond) {
        let limit = measure.limit.display(measure.unit);
        session
            .output
            .talk(&format!("    PAST ITS LIMIT of {limit}: a defect"))?;
        put(row, "result", "defect");
        let note = words(session, "    what is seen")?;
        put(row, "note", note);
        let action = words(session, "    what was done about it")?;
        put(row, "action", action);
    }
    Ok(true)
}

/// Shows what it means and asks once.
fn settle(
    session: &mut Session<'_>,
    by: Option<&str>,
    dry_run: bool,
    rows: Vec<Vec<String>>,
) -> Result<(), Failure> {
    let (_, answer) = hand_in(session, by, Mode::Rehearse, Batch::Typed(rows.clone()))?;
    session.output.talk("")?;
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
    let handed = hand_in(session, by, mode, Batch::Typed(rows))?;
    show_taken(session, handed, dry_run)
}

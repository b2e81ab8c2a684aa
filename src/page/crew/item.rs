//! What a label leads to: the check of the day for a crew, the item's file for whoever reads all.

use maud::{Markup, html};

use crate::answer::{AnswerError, OpenHouse};
use crate::calendar::Day;
use crate::intake::IntakeError;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::frame::Frame;
use crate::page::shell::pages::encoded;
use crate::record::Kind;

/// What a label stands for now.
enum Found {
    /// An item of equipment.
    Equipment(String),
    /// An instrument.
    Instrument(String),
    /// A badge, with its days of wear where it is this person's.
    Badge(Option<(Day, Day)>),
    /// An item whose entry was voided.
    Voided(i64),
    /// The label is of another ledger.
    OtherLedger,
    /// Nobody has registered it.
    Unknown,
}

/// Leads to what a label of an item or a badge is about.
pub fn page(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    (is_badge, id): (bool, &str),
) -> Result<Reply, IntakeError> {
    let (now, of) = (desk.commands.now(), asked.query.get("of"));
    let found = desk.read(|house| {
        if !of.is_empty() && of != house.names.charter.ledger_id {
            return Ok(Found::OtherLedger);
        }
        match is_badge {
            true => badge(house, person, id, house.today(now)),
            false => item(house, id),
        }
    })?;
    Ok(match found {
        Found::Equipment(id) if person.reads_all() => see("equipment", &id),
        Found::Instrument(id) if person.reads_all() => see("instruments", &id),
        Found::Equipment(id) | Found::Instrument(id) => {
            Reply::See(format!("/check?set={}", encoded(&id)))
        }
        Found::Badge(_) if person.reads_all() => Reply::See("/badges".to_owned()),
        Found::Badge(Some((first, last))) => said(
            asked,
            person,
            id,
            &html! {
                p { "This badge is issued to you, to be worn from " (first) " to " (last) "." }
            },
        ),
        Found::Badge(None) => said(
            asked,
            person,
            id,
            &html! {
                p { b { "This badge is not issued to you today: do not wear it." } }
                p { "Give it to the RSO." }
            },
        ),
        Found::Voided(entry) => said(
            asked,
            person,
            id,
            &html! {
                p { b { "The entry of this item was voided" } " (entry " (entry) ")." }
                p { "It is not in the register any more: ask the RSO, who takes the label off." }
            },
        ),
        Found::OtherLedger => said(
            asked,
            person,
            id,
            &html! {
                p { b { "This label is of another ledger." } " Nothing of it is known here." }
            },
        ),
        Found::Unknown => {
            let body = html! { p { "Nothing of this name is in the register. Ask the RSO." } };
            said(asked, person, id, &body)
        }
    })
}

fn see(where_to: &str, id: &str) -> Reply {
    Reply::See(format!("/{where_to}/{}", encoded(id)))
}

fn item(house: &OpenHouse<'_>, id: &str) -> Result<Found, AnswerError> {
    if let Some(it) = house.names.find_equipment(id) {
        return Ok(Found::Equipment(house.names.label(it.number())));
    }
    if let Some(it) = house.names.find_instrument(id) {
        return Ok(Found::Instrument(house.names.label(it.number())));
    }
    Ok(match voided(house, id)? {
        Some(entry) => Found::Voided(entry),
        None => Found::Unknown,
    })
}

/// The entry by which an item of this id was voided.
pub fn voided(house: &OpenHouse<'_>, id: &str) -> Result<Option<i64>, AnswerError> {
    for kind in [Kind::Equipment, Kind::Instrument] {
        if let Some(record) = house.snapshot.find(kind, id)? {
            let newest = house.snapshot.newest(record)?;
            if house.snapshot.entry(newest)?.body.is_none() {
                return Ok(Some(newest));
            }
        }
    }
    Ok(None)
}

fn badge(
    house: &OpenHouse<'_>,
    person: &Person,
    number: &str,
    today: Day,
) -> Result<Found, AnswerError> {
    let all = house.snapshot.badges(None, today, today)?;
    let own = house.names.worker(&person.id)?.number();
    let mut of_number = all.iter().filter(|it| it.badge == number);
    let mine = of_number.find(|it| it.worker == Some(own) && it.changes.is_empty());
    Ok(Found::Badge(mine.map(|it| (it.first_day, it.last_day))))
}

fn said(asked: &Asked, person: &Person, id: &str, words: &Markup) -> Reply {
    let frame = Frame {
        title: "Label",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    let body = html! {
        h1 translate="no" { (id.chars().take(60).collect::<String>()) }
        (words)
        p { a.btn href="/" { "Today" } }
    };
    Reply::Page(200, frame.page(&body))
}

//! A label that is scanned in the middle of a form: what it stands for goes where it belongs, and
//! what was typed stays.

use maud::{Markup, html};

use super::check;
use super::item::voided;
use super::sheet;
use super::sheet_typed::{Part, first_of_person, of_row, rows};
use super::wrong;
use crate::answer::{AnswerError, FORM_MARK, Offered, OfferedType, OpenHouse, offered};
use crate::intake::{EvidenceFile, IntakeError};
use crate::page::shell::asked::{Asked, Fields, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::field::Wrong;
use crate::page::shell::frame::nothing_here;
use crate::page::shell::scanned::{Scanned, photo_of};
use crate::record::EquipmentType;

/// A label as its code says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The ledger of which it is.
    pub ledger: String,
    /// Whether it is a badge's; an item's otherwise.
    pub is_badge: bool,
    /// The item's id, or the badge's number.
    pub id: String,
}

impl Label {
    /// The label that a code is of; nothing where it is not this program's. The host of an address
    /// is passed over: what is scanned leads nowhere else.
    pub fn of(code: &str) -> Option<Label> {
        let (ledger, sort, id) = match code.strip_prefix("wearbook:") {
            Some(label) => {
                let mut parts = label.splitn(3, ':');
                let (ledger, sort) = (parts.next()?, parts.next()?);
                (ledger, sort, parts.next()?.to_owned())
            }
            None => {
                let address = code.split_once("://")?.1;
                let (path, ledger) = address.split_once('/')?.1.rsplit_once("?of=")?;
                let (before, id) = path.rsplit_once('/').unwrap_or(("", path));
                let id = percent_encoding::percent_decode_str(id);
                let sort = before.rsplit('/').next()?;
                (ledger, sort, id.decode_utf8().ok()?.into_owned())
            }
        };
        matches!(sort, "item" | "badge").then(|| Label {
            ledger: ledger.to_owned(),
            is_badge: sort == "badge",
            id,
        })
    }
}

/// What is set on the form, and what is said of it; else why nothing is.
type Choice = Result<(Vec<(String, String)>, String), Markup>;

/// The form again, with what was scanned for one of its parts.
pub fn page(desk: &Desk, asked: &Asked, person: &Person, to: &str) -> Result<Reply, IntakeError> {
    let (form, part) = to.split_once(' ').unwrap_or((to, ""));
    let mut typed = asked.form.clone();
    let own = |name: &str| !matches!(name, "scan" | "code" | "do") && !name.starts_with("photo.");
    typed.0.retain(|it| own(&it.0));
    let choice = match codes(asked, part)? {
        Err(words) => Err(words),
        Ok(codes) => desk.read(|house| {
            let mut labels = codes.iter().filter_map(|it| Label::of(it));
            match labels.next() {
                Some(label) => chosen(house, &typed, (form, part), &label),
                None => Ok(Err(no_label(&codes))),
            }
        })?,
    };
    let status = if choice.is_ok() { 200 } else { 422 };
    let (chosen, words) = match choice {
        Err(words) => (false, words),
        Ok((set, words)) => {
            for (name, value) in set {
                typed.set(&name, value);
            }
            (true, html! { (words) })
        }
    };
    let part = part.to_owned();
    let said = Wrong::scanned(Scanned {
        part,
        chosen,
        words,
    });
    match form {
        "sheet" => sheet::scanned(desk, asked, person, Part::End, (status, &typed, &said)),
        "start" => sheet::scanned(desk, asked, person, Part::Start, (status, &typed, &said)),
        "check" => check::scanned(desk, asked, person, (status, typed, &said)),
        "wrong" => wrong::scanned(desk, asked, person, (status, &typed, &said)),
        _ => Ok(nothing_here(asked, person)),
    }
}

fn nothing(why: &str) -> Markup {
    html! { "Nothing is chosen: " (why) }
}

/// The codes that the browser read, or that are on the photo.
fn codes(asked: &Asked, part: &str) -> Result<Result<Vec<String>, Markup>, IntakeError> {
    let read = asked.form.get("code");
    if !read.is_empty() {
        return Ok(Ok(vec![read.to_owned()]));
    }
    let photo = photo_of(part);
    let Some(sent) = asked.files.iter().find(|it| it.field == photo) else {
        return Ok(Err(nothing("there is no photo. Take one, or type the id.")));
    };
    match EvidenceFile::of(&sent.name, &sent.bytes, false) {
        Ok(it) => Ok(Ok(it.codes())),
        Err(IntakeError::Refused(refused)) => {
            let wrong = Wrong::of(&refused, |_| String::new());
            let why: Vec<String> = wrong.told().map(|it| it.1).collect();
            let why = why.join(" ");
            let first = nothing("this is no photo that can be read.");
            Ok(Err(html! { (first) " " span lang="en" { (why) } }))
        }
        Err(other) => Err(other),
    }
}

/// What is said where no code is that of a label.
fn no_label(codes: &[String]) -> Markup {
    let is_form = |it: &String| it.to_ascii_uppercase().starts_with(FORM_MARK);
    nothing(match codes.iter().any(is_form) {
        true => "this is the code of a paper form, not a label.",
        false => {
            "no label can be read. Hold it flat, whole and in focus, in good light; or type the id."
        }
    })
}

/// Where a label belongs in a part of a form.
fn chosen(
    house: &OpenHouse<'_>,
    typed: &Fields,
    (form, part): (&str, &str),
    label: &Label,
) -> Result<Choice, AnswerError> {
    if label.ledger != house.names.charter.ledger_id {
        return Ok(Err(nothing("this label is of another ledger.")));
    }
    let id: String = label.id.chars().take(60).collect();
    if label.is_badge {
        let row = row_of(typed, part).filter(|_| matches!(form, "sheet" | "start"));
        return Ok(match row {
            None => Err(nothing(&format!("{id} (badge) does not go here."))),
            Some(row) => {
                let name = first_of_person(typed, row, "badge");
                let words = told(&id, typed.get(&name));
                Ok((vec![(name, id)], words))
            }
        });
    }
    let item = offered(house, &label.id).filter(|it| it.kind != OfferedType::Worker);
    let Some(item) = item else {
        return Ok(Err(nothing(&match voided(house, &label.id)? {
            Some(_) => {
                format!("the entry of {id} was voided. Ask the RSO, who takes the label off.")
            }
            None => format!("{id} is in no register here. Ask the RSO."),
        })));
    };
    let placed = match form {
        "sheet" | "start" => of_sheet(typed, part, &item),
        "check" => of_check(house, typed, &item)?,
        _ => Some(of_event(typed, &item)),
    };
    Ok(placed.ok_or_else(|| {
        let found = house.names.find_item(&item.id);
        let kind = found.and_then(|it| house.names.type_word(it.number()));
        let kind = kind.unwrap_or_default();
        nothing(&format!("{} ({kind}) does not go here.", item.id))
    }))
}

type Placed = (Vec<(String, String)>, String);

/// What is said of what was chosen, with what stood in its place.
fn told(id: &str, before: &str) -> String {
    match before {
        "" => format!("{id} is chosen."),
        same if same == id => format!("{id} is here already."),
        other => format!("{id} is chosen in the place of {other}."),
    }
}

/// A further one of several.
fn added(ids: &str, id: &str) -> (String, String) {
    match ids.split_whitespace().any(|it| it.eq_ignore_ascii_case(id)) {
        true => (ids.to_owned(), format!("{id} is here already.")),
        false => (
            format!("{ids} {id}").trim().to_owned(),
            format!("{id} is added."),
        ),
    }
}

/// The row of a part that is a person's.
fn row_of(typed: &Fields, part: &str) -> Option<usize> {
    let row = part.strip_prefix('r')?.parse().ok()?;
    (1..=rows(typed)).contains(&row).then_some(row)
}

fn of_sheet(typed: &Fields, part: &str, item: &Offered) -> Option<Placed> {
    let name = match (row_of(typed, part), item.kind) {
        (Some(row), OfferedType::Dosimeter) => of_row(row, "dosimeter"),
        (Some(row), OfferedType::Ratemeter) => first_of_person(typed, row, "ratemeter"),
        (None, OfferedType::Meter) => "meter".to_owned(),
        (None, OfferedType::Equipment(EquipmentType::Device)) => "device".to_owned(),
        (None, OfferedType::Equipment(EquipmentType::Source)) => "source".to_owned(),
        (None, OfferedType::Equipment(EquipmentType::Control)) => "control_unit".to_owned(),
        (None, OfferedType::Equipment(EquipmentType::GuideTube)) => {
            let (tubes, words) = added(typed.get("guide_tubes"), &item.id);
            return Some((vec![("guide_tubes".to_owned(), tubes)], words));
        }
        _ => return None,
    };
    let words = told(&item.id, typed.get(&name));
    Some((vec![(name, item.id.clone())], words))
}

/// It takes the place of one of its type for which nothing was answered yet, where a set has but
/// one; otherwise it comes to the set.
fn of_check(
    house: &OpenHouse<'_>,
    typed: &Fields,
    item: &Offered,
) -> Result<Option<Placed>, AnswerError> {
    if !check::has_items(house, typed, &item.id)? {
        return Ok(None);
    }
    let set = typed.get("set");
    let ids: Vec<&str> = set.split_whitespace().collect();
    let is_here = ids.iter().any(|it| it.eq_ignore_ascii_case(&item.id));
    let is_one = matches!(
        item.kind,
        OfferedType::Meter | OfferedType::Equipment(EquipmentType::Device | EquipmentType::Control)
    );
    let same = |it: &&&str| {
        let other = offered(house, it);
        other.is_some_and(|it| it.kind == item.kind) && !check::is_answered(typed, it)
    };
    let (ids, words) = match ids.iter().find(same).filter(|_| is_one && !is_here) {
        None => added(set, &item.id),
        Some(other) => {
            let now = ids
                .iter()
                .map(|it| if it == other { &item.id } else { *it });
            let now: Vec<&str> = now.collect();
            (now.join(" "), told(&item.id, other))
        }
    };
    Ok(Some((vec![("set".to_owned(), ids)], words)))
}

fn of_event(typed: &Fields, item: &Offered) -> Placed {
    if typed.all("piece").any(|it| it == item.id) {
        return (Vec::new(), format!("{} is here already.", item.id));
    }
    let (ids, words) = added(typed.get("equipment"), &item.id);
    (vec![("equipment".to_owned(), ids)], words)
}

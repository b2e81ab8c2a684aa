//! Where an id on a page of the office leads: to the page of what it names.

use std::collections::HashMap;

use super::desk::Desk;
use super::pages::encoded;
use crate::answer::House;
use crate::intake::IntakeError;

/// The ids that lead to a page of their own.
pub fn names(desk: &Desk) -> Result<HashMap<String, String>, IntakeError> {
    desk.read(|house| Ok(names_of(house)))
}

fn names_of(house: &House) -> HashMap<String, String> {
    let names = &house.names;
    let mut all = HashMap::new();
    let mut put = |id: &str, room: &str| {
        all.insert(id.to_owned(), format!("/{room}/{}", encoded(id)));
    };
    names.workers().for_each(|(_, it)| put(&it.id, "people"));
    for record in names.items() {
        let room = match names.instrument_body(record) {
            Some(_) => "instruments",
            None => "equipment",
        };
        put(&names.label(record), room);
    }
    names.events().for_each(|it| put(it, "events"));
    all
}

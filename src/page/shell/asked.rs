//! What a browser asks and what it is given.

use maud::Markup;

use super::in_hand::{Hand, Upload};
use super::kept::Kept;
use crate::text::Language;

/// Fields of a form or of an address, in their order.
#[derive(Debug, Clone, Default)]
pub struct Fields(pub Vec<(String, String)>);

impl Fields {
    /// The first value of a field, trimmed; blank where there is none.
    pub fn get(&self, name: &str) -> &str {
        let found = self.0.iter().find(|it| it.0 == name);
        found.map_or("", |it| it.1.trim())
    }

    /// Every value of a field that is not blank.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        let found = self.0.iter().filter(move |it| it.0 == name);
        found.map(|it| it.1.trim()).filter(|it| !it.is_empty())
    }

    /// Sets a field to one value.
    pub fn set(&mut self, name: &str, value: impl Into<String>) {
        self.0.retain(|it| it.0 != name);
        self.0.push((name.to_owned(), value.into()));
    }
}

/// Whose session it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// The worker's id.
    pub id: String,
    /// The hash of the PIN by which the person signed in; nothing where a name was chosen.
    pub by: Option<String>,
}

/// One request that passed the guard.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Whether it wants something done.
    pub post: bool,
    /// The parts of the address.
    pub path: Vec<String>,
    /// What stands behind its question mark.
    pub query: Fields,
    /// The form that was sent.
    pub form: Fields,
    /// The files that came with it.
    pub files: Vec<Upload>,
    /// Files that this browser sent and that wait to be put on record.
    pub hand: Hand,
    /// The person who is signed in.
    pub person: Option<Signed>,
    /// What every form has to carry.
    pub token: String,
    /// The language that the browser chose.
    pub chosen: Option<Language>,
    /// In which language its person reads the crew's pages.
    pub language: Language,
}

/// What is answered.
#[derive(Debug)]
pub enum Reply {
    /// A page, with the number of its status.
    Page(u16, Markup),
    /// A file: its type and what is in it.
    File(&'static str, String),
    /// A file: a photo or paper, or what a command writes.
    Kept(Kept),
    /// Another address.
    See(String),
    /// The browser is signed in as this person from now on.
    SignIn(String),
    /// The browser is signed out.
    SignOut,
}

/// The parts of an address.
pub fn parts_of(path: &str) -> Vec<String> {
    let parts = path.split('/').filter(|it| !it.is_empty());
    parts
        .map(|it| {
            percent_encoding::percent_decode_str(it)
                .decode_utf8_lossy()
                .into_owned()
        })
        .collect()
}

//! Photos and papers that go with an entry. The chain says what is kept and what it is about; the
//! content stands in a table of its own, out of which it can be erased.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::reference::Documented;
use super::words::words;
use super::{Id, Kind, Problem, Record, Worker};
use crate::calendar::Day;

words! {
    /// What is kept, told by its content and never by its name.
    EvidenceType {
        /// A picture.
        Jpeg = "JPEG",
        /// A picture that was kept as it was sent.
        Png = "PNG",
        /// A paper.
        Pdf = "PDF",
    }
}

impl EvidenceType {
    /// Whether it is a picture.
    pub const fn is_picture(self) -> bool {
        matches!(self, EvidenceType::Jpeg | EvidenceType::Png)
    }

    /// The end of its file's name.
    pub const fn suffix(self) -> &'static str {
        match self {
            EvidenceType::Jpeg => "jpg",
            EvidenceType::Png => "png",
            EvidenceType::Pdf => "pdf",
        }
    }
}

/// A photo or paper that goes with a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// The record that it goes with.
    pub about: Id<Documented>,
    /// How many bytes are kept.
    pub bytes: i64,
    /// SHA-256 of what is kept, in hexadecimal digits.
    pub digest: String,
    /// Of a picture: pixels from top to bottom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<i64>,
    /// Whether it is kept as it was sent: with the place and whatever else a camera writes into a
    /// file.
    pub original: bool,
    /// SHA-256 of what was sent.
    pub sent: String,
    /// How many bytes were sent.
    pub sent_bytes: i64,
    /// What it is.
    #[serde(rename = "sort")]
    pub kind: EvidenceType,
    /// Of a picture: pixels from left to right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<i64>,
    /// What it shows.
    pub words: String,
}

fields! { Evidence {
    about, bytes.fixed(), digest.fixed(), height.fixed(), original.fixed(), sent.fixed(),
    sent_bytes.fixed(), kind.stored("sort").shown("type").fixed(), width.fixed(),
    words.needs("what it shows"),
} }

/// That the content of a digest was erased, whatever it went with. It never comes back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EvidenceErasure {
    /// The RSO or designee who erased it.
    pub by: Id<Worker>,
    /// SHA-256 of what was kept.
    pub digest: String,
    /// The day.
    pub on: Day,
    /// Why.
    pub reason: String,
}

fields! { EvidenceErasure {
    by.shown("performed_by"), digest.fixed(), on, reason.needs("why it was erased"),
} }

/// Lists a problem where a text is no SHA-256.
fn need_digest(problems: &mut Vec<Problem>, field: &str, text: &str) {
    let is_hex = |it: u8| it.is_ascii_digit() || (b'a'..=b'f').contains(&it);
    if text.len() != 64 || !text.bytes().all(is_hex) {
        let (what, right) = ("is no SHA-256", "64 hexadecimal digits");
        problems.push(Problem::new(field, text, what, right));
    }
}

impl Record for Evidence {
    const KIND: Kind = Kind::Evidence;

    fn key(&self) -> String {
        format!("{}/{}", self.about, self.sent)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_digest(&mut problems, "digest", &self.digest);
        need_digest(&mut problems, "sent", &self.sent);
        problems
    }
}

impl Record for EvidenceErasure {
    const KIND: Kind = Kind::EvidenceErasure;

    fn key(&self) -> String {
        self.digest.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_digest(&mut problems, "digest", &self.digest);
        problems
    }
}

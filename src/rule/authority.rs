//! Whom to call and to write to under the jurisdiction of a job.

use super::event::Within;
use super::word::{Status, has_citation};
use super::written::Text;
use serde::Serialize;

/// Whom to call and to write to under the jurisdictions of a job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Authority {
    /// Its name in files, unique in the scheme.
    pub key: String,
    /// The jurisdictions that are its, as jobs name them.
    pub jurisdictions: Vec<String>,
    /// Its name, in full.
    pub name: String,
    /// Where it is called, at any hour.
    pub telephone: Option<String>,
    /// Whether it has rules of its own in the place of those cited.
    pub equivalent: bool,
    /// Its own times, by the key of the notice.
    pub times: Vec<(String, Within)>,
    /// Its own numbers, by the beginning of the citation that they stand for.
    pub citations: Vec<(String, String)>,
    /// What holds for its licensees alone: `rule` or `tolerance`, and the key.
    pub own: Vec<(String, String)>,
    /// For how long licensees of others may work under it.
    pub reciprocity: Option<Reciprocity>,
}

/// For how long a licensee of another authority may work under this one, and what it files before.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Reciprocity {
    /// Days in a calendar year, at all places together.
    pub days: Option<i64>,
    /// How many days before the first the form is filed.
    pub filed_before: Option<i64>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
}

impl Reciprocity {
    pub(super) fn write(&self, out: &mut Text) {
        if let Some(days) = self.days {
            out.bare("reciprocity_days", days);
        }
        if let Some(days) = self.filed_before {
            out.bare("reciprocity_filed_before", days);
        }
        out.text("reciprocity_citation", &self.citation);
        out.text("reciprocity_status", self.status.name());
    }
}

has_citation!(Reciprocity);

//! Kinds of events, and what must be told about them to whom by when, as data of a scheme.

use serde::Serialize;

use super::scheme::{Scheme, cited};
use super::word::{Quantity, Status, words};
use crate::quantity::Dose;

/// One kind of event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EventKind {
    /// Its name in files, unique in the scheme.
    pub key: String,
    /// Its name in the trade's words.
    pub name: String,
    /// What happened, in plain words.
    pub meaning: String,
    /// Whether the equipment in it is out of service until an inspection after it.
    pub withdraws: bool,
    /// Whether it is not a failure but calls for an inspection before the next use.
    pub calls_for_inspection: bool,
    /// Failure modes of the checklist from which it may come.
    pub failures: Vec<String>,
}

words! {
    /// What starts a clock.
    Clock {
        /// It happened.
        Occurrence = "occurrence",
        /// Somebody became aware of it.
        Discovery = "discovery",
        /// The licensee learned of it or of the dose.
        Learning = "learning",
        /// The first report of it was made.
        FirstReport = "first report",
        /// The test that showed it.
        Test = "test",
    }
}

words! {
    /// How something is told.
    How {
        /// By telephone.
        Telephone = "telephone",
        /// In writing.
        Written = "in writing",
        /// Either.
        Either = "telephone or in writing",
    }
}

/// How long there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Within {
    /// No time.
    AtOnce,
    /// Hours.
    Hours(i64),
    /// Calendar days.
    Days(i64),
    /// Working days, Monday to Friday; holidays are not known here and count.
    WorkingDays(i64),
    /// No later than the report to the authority.
    WithTheReport,
}

/// Something with a key and its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeyedText {
    /// The key.
    pub key: String,
    /// The words.
    pub text: String,
}

/// A dose from which a duty arises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DoseThreshold {
    /// Which dose.
    pub quantity: Quantity,
    /// How much.
    pub dose: Dose,
    /// Whether a dose equal to it counts.
    pub at_or_above: bool,
}

impl DoseThreshold {
    /// Whether a dose has reached it.
    #[must_use]
    pub fn is_reached_by(&self, dose: Dose) -> bool {
        match self.at_or_above {
            true => dose >= self.dose,
            false => dose > self.dose,
        }
    }
}

/// Something that must be told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Duty {
    /// Its name in files, unique in the scheme.
    pub key: String,
    /// What is to be done.
    pub what: String,
    /// Kinds of events of which it may arise; none: of any.
    pub of: Vec<String>,
    /// Questions of the rule, all of which must be yes. Unanswered counts as yes.
    pub questions: Vec<KeyedText>,
    /// Doses, any of which is enough; none: whatever the dose.
    pub doses: Vec<DoseThreshold>,
    /// Whether a dose above any limit of the person is enough.
    pub above_a_limit: bool,
    /// What starts its clock.
    pub clock: Clock,
    /// Of a first report: the duty whose doing starts it.
    pub after: Option<String>,
    /// How long there is.
    pub within: Within,
    /// How it is told.
    pub how: How,
    /// Whom.
    pub to: String,
    /// What it must contain.
    pub contents: Vec<KeyedText>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

impl Duty {
    /// The citation, followed by `(to be confirmed)` where the text was not read.
    #[must_use]
    pub fn cited(&self) -> String {
        cited(&self.citation, self.status)
    }

    /// Whether it may arise of such an event.
    #[must_use]
    pub fn is_of(&self, kind: &str) -> bool {
        self.of.is_empty() || self.of.iter().any(|it| it == kind)
    }
}

impl Scheme {
    /// The kinds of events; none in a scheme adopted before they stood in schemes.
    #[must_use]
    pub fn events(&self) -> &[EventKind] {
        &self.events
    }

    /// What must be told about events; none where the scheme does not know.
    #[must_use]
    pub fn notices(&self) -> &[Duty] {
        &self.notices
    }

    /// The kind of this key.
    #[must_use]
    pub fn event(&self, key: &str) -> Option<&EventKind> {
        self.events.iter().find(|it| it.key == key)
    }

    /// The duty of this key.
    #[must_use]
    pub fn duty(&self, key: &str) -> Option<&Duty> {
        self.notices.iter().find(|it| it.key == key)
    }
}

/// The kinds that come with the program: they stand in for those of a scheme without any.
///
/// Nothing should the built-in text not be readable, which a test excludes.
#[must_use]
pub fn event_kinds() -> &'static [EventKind] {
    use std::sync::OnceLock;
    static KINDS: OnceLock<Vec<EventKind>> = OnceLock::new();
    KINDS.get_or_init(|| {
        super::offer("10 CFR")
            .and_then(|offer| Scheme::parse(offer.text).ok())
            .map(|scheme| scheme.events)
            .unwrap_or_default()
    })
}

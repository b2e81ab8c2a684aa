//! One alert: what it is of, what it says, and the key by which a reader says that it was seen.

use serde::Serialize;

use crate::ledger::alert_digest;

/// What an alert is of. First what stops somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AlertType {
    /// Somebody must not work, or a set must not be used.
    Stop,
    /// A clock of the law.
    Deadline,
    /// A level of somebody's dose.
    Level,
    /// No copy of the ledger for long.
    Copy,
    /// Something is not in force, or falls due.
    Due,
    /// A part heads for its limit.
    Wear,
}

impl AlertType {
    /// The word on a line.
    pub fn word(self) -> &'static str {
        match self {
            AlertType::Stop => "STOP",
            AlertType::Deadline => "deadline",
            AlertType::Level => "level",
            AlertType::Copy => "copy",
            AlertType::Due => "due",
            AlertType::Wear => "wear",
        }
    }
}

/// By what somebody names an alert to say that it was seen. How bad it is belongs to it: what got
/// worse in the meantime has another key, and was seen by nobody yet.
pub(super) fn short_key(key: &str, degree: i64) -> String {
    let digest = alert_digest(&format!("{key}\n{degree}"));
    let start = digest.iter().take(4);
    start.map(|it| format!("{it:02x}")).collect()
}

/// One thing to hear of.
#[derive(Debug, Clone, Serialize)]
pub struct Alert {
    /// What it is of.
    #[serde(rename = "type")]
    pub kind: AlertType,
    /// Whom or what it is about.
    pub about: String,
    /// What is so, with the figures.
    pub what: String,
    /// Where to look.
    pub look: String,
    /// The same without a dose or what tells of one.
    #[serde(skip)]
    pub open: String,
    /// How bad it is; it is told again when this grows.
    #[serde(skip)]
    pub degree: i64,
    /// Whether it is a limit of the law: those come before other levels.
    #[serde(skip)]
    pub is_limit: bool,
    /// Whether it is told again and again until it was seen.
    pub repeats: bool,
    /// Whether it waits for the digest of the week.
    #[serde(skip)]
    pub waits: bool,
    /// What tells it from all others.
    #[serde(skip)]
    pub key: String,
    /// By what a reader says that it was seen; it changes when it gets worse.
    #[serde(rename = "key")]
    pub short: String,
}

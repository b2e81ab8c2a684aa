//! What somebody looked for by a name that leads nowhere.

use std::fmt;

/// What somebody looked for by a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sought {
    /// Somebody of the register of workers.
    Worker,
    /// An instrument.
    Instrument,
    /// A piece of equipment.
    Equipment,
    /// Either of the two.
    ItemOrInstrument,
    /// A job.
    Job,
    /// An event.
    Event,
    /// A sheet by its reference.
    Sheet,
    /// A badge that somebody wears or has to send.
    Badge,
    /// A processor's report.
    Report,
    /// A mapping of headings that was saved.
    Mapping,
    /// A finding by its key.
    OpenFinding,
    /// An item on hold.
    OnHold,
    /// A month that is signed.
    SignedMonth,
    /// A photo or paper by its entry.
    Evidence,
    /// What a photo or paper may go with.
    Documented,
    /// An inspection by its entry.
    Inspection,
    /// A rule set by its name or file.
    RuleSet,
    /// A checklist by its name or file.
    Checklist,
    /// A measured item of this piece of equipment.
    MeasuredItem(String),
}

impl fmt::Display for Sought {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Sought::Worker => "worker",
            Sought::Instrument => "instrument",
            Sought::Equipment => "equipment",
            Sought::ItemOrInstrument => "equipment or instrument",
            Sought::Job => "job",
            Sought::Event => "event",
            Sought::Sheet => "sheet",
            Sought::Badge => "badge that is out",
            Sought::Report => "report",
            Sought::Mapping => "saved mapping",
            Sought::OpenFinding => "open finding",
            Sought::OnHold => "item on hold",
            Sought::SignedMonth => "signed month",
            Sought::Evidence => "photo or paper in force of entry",
            Sought::Documented => "event, item or sheet",
            Sought::Inspection => "inspection entry",
            Sought::RuleSet => "built-in rule set or rule set file",
            Sought::Checklist => "adopted or built-in checklist, or checklist file",
            Sought::MeasuredItem(of) => return write!(f, "measured item of {of}"),
        })
    }
}

/// A name that leads nowhere.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no {what} `{name}`")]
pub struct NoSuchName {
    /// What was looked for.
    pub what: Sought,
    /// The name.
    pub name: String,
    /// Names that are spelled nearly so.
    pub near: Vec<String>,
}

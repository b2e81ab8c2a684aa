//! Which commands are forms, and what each asks. A command that takes in a file is a form with a
//! file field.

use std::sync::LazyLock;

use super::desk::{CommandField, Desk};
use crate::intake::{CALIBRATION_COLUMNS, INSPECTION_COLUMNS, REGISTERS, SHEET_COLUMNS};

/// Commands that have a form, each with what it is always told. Registers have theirs besides, by
/// the row and by the file.
const ACTS: &[(&[&str], &[&str])] = &[
    (&["review"], &["--sign"]),
    (&["review", "sent"], &[]),
    (&["finding", "answer"], &[]),
    (&["hold", "resolve"], &[]),
    (&["sheet", "import"], &[]),
    (&["inspect", "enter"], &[]),
    (&["inspect", "import"], &[]),
    (&["instrument", "calibrate"], &[]),
    (&["instrument", "calibrations"], &[]),
    (&["event", "open"], &[]),
    (&["event", "note"], &[]),
    (&["event", "happening"], &[]),
    (&["event", "person"], &[]),
    (&["event", "cause"], &[]),
    (&["event", "action"], &[]),
    (&["event", "link"], &[]),
    (&["event", "close"], &[]),
    (&["trace", "conclude"], &[]),
    (&["report", "answer"], &[]),
    (&["report", "done"], &[]),
    (&["badge", "import"], &[]),
    (&["badge", "accept"], &[]),
    (&["badge", "resolve"], &[]),
    (&["dose", "resolve"], &[]),
    (&["evidence", "erase"], &[]),
    (&["entry", "correct"], &[]),
    (&["entry", "void"], &[]),
    (&["entry", "reinstate"], &[]),
];

/// What the forms are called. Of a register, a form has what a row of it is.
const TITLES: &[(&str, &str)] = &[
    ("review", "Sign this month"),
    ("review sent", "Record that yearly reports were sent"),
    ("finding answer", "Answer a finding"),
    ("hold resolve", "Resolve what is on hold"),
    ("sheet import", "Sheets from a file"),
    ("inspect enter", "Record an inspection"),
    ("inspect import", "Inspections from a file"),
    ("instrument calibrate", "Record a calibration"),
    ("instrument calibrations", "Calibrations from a file"),
    ("event open", "Open an event"),
    ("event note", "Add a note"),
    ("event happening", "Add what happened besides"),
    ("event person", "Add a person"),
    ("event cause", "Add a cause"),
    ("event action", "Add an action"),
    ("event link", "Link it with another"),
    ("event close", "Close it"),
    ("trace conclude", "Conclude on an item"),
    ("report answer", "Answer a question"),
    ("report done", "Record that a notification was made"),
    ("badge import", "Take in the processor's report"),
    ("badge accept", "Accept a result"),
    ("badge resolve", "Resolve a contradiction"),
    ("dose resolve", "Resolve what contradicts itself"),
    ("evidence erase", "Erase it"),
    ("entry correct", "Correct it"),
    ("entry void", "Void it"),
    ("entry reinstate", "Reinstate it"),
    ("badge issue", "Issue a badge"),
    ("badge return", "Take a badge back"),
    ("badge send", "Send a badge"),
    ("badge lost", "A lost badge"),
    ("badge result", "Enter a result"),
    ("determination enter", "Determine a dose"),
    ("equipment install", "Install a part"),
    ("equipment out-of-service", "Take a piece out of service"),
    ("equipment return", "Return one to service"),
    ("instrument check", "Record a check"),
    ("worker alert", "Who is alerted"),
    ("worker alerts", "A list of who is alerted"),
];

/// What the form of a command is called.
pub fn title_of_act(path: &[&str]) -> String {
    let found = commands().filter(|(words, _)| path.starts_with(words));
    let Some((words, _)) = found.max_by_key(|it| it.0.len()) else {
        return String::new();
    };
    let name = words.join(" ");
    if let Some((_, title)) = TITLES.iter().find(|it| it.0 == name) {
        return (*title).to_owned();
    }
    let of = |it: &&crate::intake::Register| words.first() == Some(&it.noun);
    let rows = REGISTERS.iter().filter(of).find_map(|it| {
        let last = words.last().copied();
        match (last == Some(it.add), last == Some(it.import)) {
            (true, _) => Some(format!("Record: {}", it.what)),
            (_, true) => Some(format!("From a file: {}", it.what)),
            _ => None,
        }
    });
    rows.unwrap_or_default()
}

/// Decisions: who makes them is who is signed in, and nobody else can be named. In any other
/// command the work may be somebody else's, and the form asks whose.
const DECISIONS: &[&[&str]] = &[
    &["review"],
    &["event", "close"],
    &["trace", "conclude"],
    &["badge", "accept"],
    &["badge", "resolve"],
    &["determination", "enter"],
    &["dose", "resolve"],
    &["evidence", "erase"],
];

/// Flags that have no place on a form: the page gives them, or has buttons for them.
const LEFT_OUT: &[&str] = &[
    "ledger", "wait", "json", "csv", "table", "by", "dry-run", "yes", "faults", "out", "sign",
    "help", "version", "preview", "template",
];

/// A command's words, and what it is always told.
type Words = (Vec<&'static str>, &'static [&'static str]);

static ALL: LazyLock<Vec<Words>> = LazyLock::new(|| {
    let acts = ACTS.iter().map(|(words, always)| (words.to_vec(), *always));
    let registers = REGISTERS.iter().flat_map(|it| {
        let of = |verb| (vec![it.noun, verb], &[][..]);
        [of(it.add), of(it.import)]
    });
    acts.chain(registers).collect()
});

/// The commands that have a form, each with what it is always told.
pub fn commands() -> impl Iterator<Item = (&'static [&'static str], &'static [&'static str])> {
    ALL.iter()
        .map(|(words, always)| (words.as_slice(), *always))
}

/// A command with a form.
pub struct Act {
    /// Its words.
    pub words: &'static [&'static str],
    /// What it is always told.
    pub always: &'static [&'static str],
    /// What the form asks.
    pub fields: Vec<CommandField>,
    /// Whether it is a decision of who is signed in.
    pub is_decision: bool,
    /// Whether the first rows of its file can be looked at.
    pub previews: bool,
}

impl Act {
    /// The command that an address begins with.
    pub fn find(desk: &Desk, path: &[&str]) -> Option<Act> {
        let found = commands().filter(|(words, _)| path.starts_with(words));
        let (words, always) = found.max_by_key(|it| it.0.len())?;
        let mut fields = desk.commands.fields(words)?;
        let previews = fields.iter().any(|it| it.name == "preview");
        fields.retain(|it| !LEFT_OUT.contains(&it.name.as_str()));
        Some(Act {
            words,
            always,
            fields,
            is_decision: DECISIONS.contains(&words),
            previews,
        })
    }

    /// The field of its file.
    pub fn file(&self) -> Option<&CommandField> {
        self.fields.iter().find(|it| it.is_file)
    }
}

/// The columns of a command that takes in rows.
pub fn columns_of(words: &[&str]) -> Option<&'static [&'static str]> {
    let register = |noun: &str, verb: &str| {
        let mut all = REGISTERS.iter();
        all.find(|it| it.noun == noun && it.import == verb)
            .map(|it| it.names)
    };
    match words {
        ["sheet", "import"] => Some(SHEET_COLUMNS),
        ["inspect", "import"] => Some(INSPECTION_COLUMNS),
        ["instrument", "calibrations"] => Some(CALIBRATION_COLUMNS),
        ["badge", "import"] => register("badge", "results"),
        [noun, verb] => register(noun, verb),
        _ => None,
    }
}

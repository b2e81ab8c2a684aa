//! The habits of this house, held as a test: which room may use which, where
//! SQL, printing and the clock are allowed, how long a file may be, and that
//! the two documents name what there is and
//! tell what works.
//!
//! An exception stands in a list here, with its reason, and fails when it is
//! no longer needed.
#![forbid(unsafe_code)]

#[path = "tidy/circles.rs"]
mod circles;
#[path = "tidy/code.rs"]
mod code;
#[path = "tidy/documents.rs"]
mod documents;
#[path = "tidy/form.rs"]
mod form;
#[path = "tidy/layers.rs"]
mod layers;
#[path = "tidy/tour.rs"]
mod tour;
#[path = "tidy/words.rs"]
mod words;

/// The rooms and what each may use: only rooms further down, and the pure ones
/// never the ledger.
const ROOMS: &[(&str, &str)] = &[
    ("text", ""),
    ("file", ""),
    ("quantity", ""),
    ("calendar", "text"),
    ("rule", "quantity calendar text"),
    ("record", "rule quantity calendar text"),
    ("ledger", "record rule quantity calendar text file"),
    ("stat", "quantity calendar"),
    ("source", "quantity calendar"),
    ("dose", "source stat record rule quantity calendar text"),
    ("instrument", "record rule quantity calendar text"),
    ("wear", "stat record rule quantity calendar"),
    ("notification", "rule quantity calendar"),
    ("trace", "wear stat record rule quantity calendar"),
    (
        "answer",
        "dose instrument trace wear notification source stat ledger record \
         rule quantity calendar text",
    ),
    (
        "intake",
        "answer notification ledger record rule quantity calendar text",
    ),
    (
        "show",
        "intake answer dose instrument trace wear source ledger record \
         rule quantity calendar text file",
    ),
    (
        "page",
        "show intake answer ledger record rule calendar text",
    ),
    (
        "cli",
        "page show intake answer ledger record rule quantity calendar text file",
    ),
];

/// Files of more than [`FILE_LINES`] lines: path, most lines, why.
const LONG_FILES: &[(&str, usize, &str)] = &[];

/// Functions of more than [`FUNCTION_LINES`] lines: path, name, why.
const LONG_FUNCTIONS: &[(&str, &str, &str)] = &[
    (
        "src/answer/entry/lists.rs",
        "lists",
        "to be parted: one function a list",
    ),
    (
        "src/answer/review/statement.rs",
        "statement",
        "to be parted",
    ),
    (
        "src/cli/dose/command.rs",
        "run",
        "to be parted: one function a verb",
    ),
    (
        "src/cli/ledger/rules.rs",
        "run",
        "to be parted: one function a verb",
    ),
    (
        "src/show/dose/account.rs",
        "dose_report",
        "to be parted: one function a table",
    ),
    (
        "tests/all/plain_account/own.rs",
        "own",
        "one shift's rules in their order, to be read beside the program's",
    ),
    (
        "tests/all/plain_account/mod.rs",
        "the_histories_drawn_hold_what_the_rules_speak_of",
        "one count a line and nothing to decide",
    ),
    (
        "tests/bench/company.rs",
        "write_workers",
        "to be parted: one function a file",
    ),
];

/// Files with lines of more than [`LINE_WIDTH`] characters: path, how many, why.
const WIDE_LINES: &[(&str, usize, &str)] = &[(
    "migrations/0001_entry.sql",
    1,
    "every ledger keeps the digest of a released migration",
)];

/// Calls outside tests that would stop the program: path, count, why none can.
const MAY_PANIC: &[(&str, usize, &str)] = &[];

/// Texts that are read for what they say: path, how often, why.
const READ_BACK: &[(&str, usize, &str)] = &[
    (
        "src/answer/equipment/due.rs",
        2,
        "the noun of a command, not a text",
    ),
    (
        "src/answer/review/findings.rs",
        1,
        "the form of a finding's key",
    ),
    (
        "src/dose/forecast/words.rs",
        1,
        "how English makes a plural",
    ),
    ("src/trace/barrier.rs", 2, "the stored word of a barrier"),
];

const LINE_WIDTH: usize = 100;
const FILE_LINES: usize = 500;
const FUNCTION_LINES: usize = 70;

/// What stands at the top of the repository.
const TOP: &[&str] = &[
    ".ci",
    ".gitattributes",
    ".gitignore",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "demo",
    "migrations",
    "src",
    "tests",
];

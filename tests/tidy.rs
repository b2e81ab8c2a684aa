//! The habits of this house, held as a test: which room may use which, where
//! SQL, printing and the clock are allowed, how long a file may be, and that
//! the two documents name what there is.
//!
//! An exception stands in a list here, with its reason, and fails when it is
//! no longer needed.
#![forbid(unsafe_code)]

#[path = "tidy/code.rs"]
mod code;
#[path = "tidy/documents.rs"]
mod documents;
#[path = "tidy/form.rs"]
mod form;
#[path = "tidy/layers.rs"]
mod layers;

/// The rooms and what each may use: only rooms further down, and the pure ones
/// never the ledger.
const ROOMS: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("calendar", &[]),
    ("rule", &["quantity", "calendar"]),
    ("record", &["rule", "quantity", "calendar"]),
    ("ledger", &["record", "rule", "quantity", "calendar"]),
    ("stat", &["quantity", "calendar"]),
    ("source", &["quantity", "calendar"]),
    (
        "dose",
        &["source", "stat", "record", "rule", "quantity", "calendar"],
    ),
    (
        "answer",
        &[
            "dose", "source", "stat", "ledger", "record", "rule", "quantity", "calendar",
        ],
    ),
    (
        "intake",
        &["answer", "ledger", "record", "rule", "quantity", "calendar"],
    ),
    (
        "show",
        &[
            "intake", "answer", "dose", "source", "ledger", "record", "rule", "quantity",
            "calendar",
        ],
    ),
    (
        "cli",
        &[
            "show", "intake", "answer", "ledger", "record", "rule", "quantity", "calendar",
        ],
    ),
];

/// Files of more than [`FILE_LINES`] lines: path, most lines, why.
const LONG_FILES: &[(&str, usize, &str)] = &[];

/// Functions of more than [`FUNCTION_LINES`] lines: path, name, why.
const LONG_FUNCTIONS: &[(&str, &str, &str)] = &[];

/// Calls outside tests that would stop the program: path, count, why none can.
const MAY_PANIC: &[(&str, usize, &str)] = &[];

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

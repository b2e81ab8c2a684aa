//! What is wrong with one field, in words that say what would be right.

use crate::calendar::{Day, WHEN_RIGHT, When, Zone};

/// One thing that a record cannot mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The field, as the CSV column and the flag name it.
    pub field: String,
    /// The value as written, empty where it is missing.
    pub value: String,
    /// What is wrong, lower case, without the value.
    pub what: String,
    /// What would be right.
    pub right: String,
}

impl Problem {
    /// A problem of one field.
    pub fn new(
        field: &str,
        value: impl Into<String>,
        what: impl Into<String>,
        right: impl Into<String>,
    ) -> Problem {
        Problem {
            field: field.to_owned(),
            value: value.into(),
            what: what.into(),
            right: right.into(),
        }
    }

    /// A field that must not be empty and is.
    pub fn missing(field: &str, right: impl Into<String>) -> Problem {
        Problem::new(field, "", "is missing", right)
    }
}

/// Lists a problem when a text that must say something is blank.
pub(super) fn need(problems: &mut Vec<Problem>, field: &str, value: &str, right: &str) {
    if value.trim().is_empty() {
        problems.push(Problem::missing(field, right));
    }
}

/// Lists a problem when a period ends before it begins.
pub(super) fn days_in_order(problems: &mut Vec<Problem>, first: Day, last: Day) {
    if last < first {
        problems.push(Problem::new(
            "last_day",
            last.to_string(),
            format!("is before the first day {first}"),
            "the first day or a later one",
        ));
    }
}

/// The longest identifier: it has to fit into a column, on a label and into a file name.
const LONGEST_ID: usize = 40;

/// Lists a problem when a time zone is not known.
pub(super) fn need_zone(problems: &mut Vec<Problem>, zone: &str) {
    if let Err(error) = Zone::parse(zone) {
        problems.push(Problem::new(
            "zone",
            zone,
            error.to_string(),
            "a name of the IANA time zone list, such as `America/Chicago`",
        ));
    }
}

/// Lists a problem when an identifier could not be typed back: blank, too long, with
/// blanks inside or around it, or with a sign that the CSV or the prompt gives a meaning.
pub(super) fn need_id(problems: &mut Vec<Problem>, field: &str, value: &str) {
    if value.is_empty() {
        problems.push(Problem::missing(
            field,
            "a short name such as `W07` or `PD-03`",
        ));
    } else if value
        .chars()
        .any(|c| (c.is_whitespace() && !c.is_control()) || "=,;\"'`/".contains(c))
    {
        problems.push(Problem::new(
            field,
            value,
            "has a blank or one of = , ; / or a quotation mark in it",
            "letters, digits, `-`, `.` and `_`, such as `PD-03`",
        ));
    } else if value.chars().count() > LONGEST_ID {
        let length = value.chars().count();
        problems.push(Problem::new(
            field,
            value,
            format!("is {length} characters long"),
            format!("at most {LONGEST_ID} characters, such as `PD-03`"),
        ));
    }
}

/// The largest whole number that every reader of JSON holds exactly, 2^53 - 1 (RFC 8259,
/// section 6). Canonical bodies have no larger one, above zero or below.
const MOST_IN_JSON: i64 = 9_007_199_254_740_991;

/// Lists a problem when a number is larger than a canonical body may hold.
pub(super) fn need_json_size(problems: &mut Vec<Problem>, field: &str, value: i64) {
    if !(-MOST_IN_JSON..=MOST_IN_JSON).contains(&value) {
        problems.push(Problem::new(
            field,
            value.to_string(),
            "is larger than the ledger can hold",
            "the value as it was measured, with its unit",
        ));
    }
}

/// Lists a problem when what is known of a moment cannot be read. Days are those of UTC here,
/// which is near enough to see what cannot be.
pub(super) fn need_when(problems: &mut Vec<Problem>, field: &str, text: &str) -> Option<When> {
    match When::parse(text, Zone::UTC) {
        Ok(when) => Some(when),
        Err(error) => {
            problems.push(Problem::new(field, text, error.to_string(), WHEN_RIGHT));
            None
        }
    }
}

//! A body as the lines in which people read it: each field under the name that the registers give
//! it, in the words that a correction takes. Names of records and the unit of doses come later:
//! this room knows no register.

use serde_json::{Map, Value};

use super::field::{Field, Goal, Shape};
use super::{Body, RecordId};
use crate::quantity::{Activity, ActivityUnit, Dose};

/// What stands in one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Words that are ready to be read.
    Words(String),
    /// A dose, to be written in the ledger's unit.
    Dose(Dose),
    /// Less than a dose, with the code that a report has for it.
    Below {
        /// The code.
        code: String,
        /// The least that the processor reports.
        minimum: Dose,
    },
    /// A record, to be named.
    To(Goal, RecordId),
    /// Several in one cell, and what stands between them.
    Joined(&'static str, Vec<Cell>),
}

/// One line of a body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The path of the field, with places counted from 1: `people.2.readings.1.end`.
    pub path: String,
    /// What stands there.
    pub cell: Cell,
    /// Whether the program writes it and nobody corrects it.
    pub fixed: bool,
}

/// The lines of a body. What is blank has none.
pub fn lines(body: &Body) -> Vec<Line> {
    let mut value = body.value();
    spread(body.kind().fields(), &mut value);
    let mut writing = Writing { lines: Vec::new() };
    if let Value::Object(map) = &value {
        writing.group("", body.kind().fields(), map, false);
    }
    writing.lines
}

/// The lines in which the contents of two bodies differ: the path of each, and what each body
/// has there.
pub fn differences(old: &Body, new: &Body) -> Vec<(String, Option<Cell>, Option<Cell>)> {
    let (old, new) = (lines(&old.content()), lines(&new.content()));
    let mut paths: Vec<&str> = old.iter().chain(&new).map(|it| it.path.as_str()).collect();
    paths.sort_unstable();
    paths.dedup();
    let cell = |lines: &[Line], path: &str| {
        let line = lines.iter().find(|it| it.path == path);
        line.map(|it| it.cell.clone())
    };
    paths
        .into_iter()
        .map(|path| (path.to_owned(), cell(&old, path), cell(&new, path)))
        .filter(|(_, old, new)| old != new)
        .collect()
}

/// Takes away the stored name of which group it is: its fields tell as much, and a correction can
/// then turn one into another.
pub(super) fn spread(fields: &[Field], value: &mut Value) {
    for field in fields {
        let Shape::OneOf(_) = field.shape else {
            continue;
        };
        let Some(Value::Object(group)) = value.get_mut(field.stored) else {
            continue;
        };
        if let Some((_, inner)) = std::mem::take(group).into_iter().next() {
            *value.get_mut(field.stored).unwrap_or(&mut Value::Null) = inner;
        }
    }
}

struct Writing {
    lines: Vec<Line>,
}

impl Writing {
    fn group(&mut self, path: &str, fields: &[Field], map: &Map<String, Value>, fixed: bool) {
        for field in fields.iter().filter(|it| !it.hidden) {
            let Some(value) = map.get(field.stored) else {
                continue;
            };
            let fixed = fixed || field.fixed;
            match (field.flat, field.shape, value) {
                (true, Shape::Group(fields), Value::Object(inner)) => {
                    self.group(path, fields, inner, fixed);
                }
                (true, Shape::OneOf(groups), Value::Object(inner)) => {
                    for (_, fields) in groups {
                        self.group(path, fields, inner, fixed);
                    }
                }
                _ => self.field(&under(path, field.shown), field.shape, (value, map), fixed),
            }
        }
    }

    fn field(
        &mut self,
        path: &str,
        shape: Shape,
        (value, beside): (&Value, &Map<String, Value>),
        fixed: bool,
    ) {
        match (shape, value) {
            (Shape::Group(fields), Value::Object(map)) => self.group(path, fields, map, fixed),
            (Shape::List { of, between: None }, Value::Array(list)) => {
                for (item, place) in list.iter().zip(1..) {
                    let at = format!("{path}.{place}");
                    self.field(&at, *of, (item, beside), fixed);
                }
            }
            (Shape::Pairs, Value::Array(list)) => {
                for pair in list {
                    let text = |at: usize| pair.get(at).and_then(Value::as_str);
                    let (name, words) = (text(0).unwrap_or_default(), text(1).unwrap_or_default());
                    let cell = Cell::Words(words.to_owned());
                    self.line(under(path, name), cell, fixed);
                }
            }
            _ => self.line(path.to_owned(), cell(shape, value, beside), fixed),
        }
    }

    fn line(&mut self, path: String, cell: Cell, fixed: bool) {
        self.lines.push(Line { path, cell, fixed });
    }
}

pub(super) fn under(path: &str, name: &str) -> String {
    match path {
        "" => name.to_owned(),
        path => format!("{path}.{name}"),
    }
}

fn cell(shape: Shape, value: &Value, beside: &Map<String, Value>) -> Cell {
    let number = value.as_i64().unwrap_or_default();
    let text = || match value {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    let words = match shape {
        Shape::Yes { yes, no } => match value.as_bool() {
            Some(true) => yes.to_owned(),
            _ => no.to_owned(),
        },
        Shape::Minutes => minutes(number),
        Shape::Entry => format!("entry:{number}"),
        Shape::Dose { .. } => return Cell::Dose(Dose::from_nsv(number)),
        Shape::Activity => activity(Activity::from_bq(number)),
        Shape::AtMost { below } => {
            let less = beside.get(below).and_then(Value::as_bool) == Some(true);
            let sign = if less { "< " } else { "" };
            format!("{sign}{}", activity(Activity::from_bq(number)))
        }
        Shape::Word(pairs) => {
            let pair = pairs.iter().find(|it| Some(it.stored) == value.as_str());
            pair.map_or_else(text, |it| it.shown.to_owned())
        }
        Shape::To(goal) | Shape::Named { goal, .. } if value.is_i64() => {
            return Cell::To(goal, number);
        }
        Shape::List {
            of,
            between: Some(between),
        } => {
            let items = value.as_array().map(Vec::as_slice).unwrap_or_default();
            let cells = items.iter().map(|it| cell(*of, it, beside)).collect();
            return Cell::Joined(between, cells);
        }
        Shape::Reported => return reported(value),
        _ => text(),
    };
    Cell::Words(words)
}

/// What a report has of a quantity. The words are kept where they say the dose, with its unit.
fn reported(value: &Value) -> Cell {
    let dose = |name: &str| value.get(name).and_then(Value::as_i64).map(Dose::from_nsv);
    let written = value.get("written").and_then(Value::as_str);
    let written = written.unwrap_or_default().to_owned();
    let said = dose("nsv").unwrap_or(Dose::ZERO);
    if value.get("below").and_then(Value::as_bool) != Some(true) {
        return match Dose::parse(&written, None) {
            Ok(of_words) if of_words == said => Cell::Words(written),
            _ => Cell::Dose(said),
        };
    }
    let Some(minimum) = dose("minimum_nsv") else {
        return Cell::Words(written);
    };
    let itself = written
        .strip_prefix('<')
        .and_then(|least| Dose::parse(least.trim(), None).ok());
    match itself {
        Some(least) if least == minimum => Cell::Words(written),
        _ => Cell::Below {
            code: written,
            minimum,
        },
    }
}

/// Seconds in minutes with at most one decimal; what is no tenth of a minute stays in seconds.
fn minutes(seconds: i64) -> String {
    match (seconds % 6, seconds / 6) {
        (0, tenths) if tenths % 10 == 0 => (tenths / 10).to_string(),
        (0, tenths) => format!("{}.{}", tenths / 10, tenths % 10),
        _ => format!("{seconds} s"),
    }
}

/// An activity in the largest unit in which it is exact.
fn activity(it: Activity) -> String {
    let exact = |unit: &ActivityUnit| Activity::parse(&it.display(*unit), None) == Ok(it);
    let short = ActivityUnit::ALL
        .iter()
        .filter(|unit| exact(unit))
        .min_by_key(|unit| it.display(**unit).len());
    it.display(short.copied().unwrap_or(ActivityUnit::Becquerel))
}

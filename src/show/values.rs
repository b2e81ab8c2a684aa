//! An answer as tables of values: each list in it is one, under the keys that lead to it.

use std::fmt;

use serde::Serialize;
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

/// What an answer says of its own, outside its lists.
pub const OWN: &str = "answer";

/// A value of JSON that keeps the order of its keys.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Nothing, a word, a number, yes or no: a cell, as it is printed.
    Cell(String),
    /// A list.
    List(Vec<Value>),
    /// Values under their keys.
    Map(Vec<(String, Value)>),
}

/// The rows of one list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ValueTable {
    /// The keys that lead to the list; of a list of papers or records the key of its own.
    pub name: String,
    /// The keys of its rows, each once, in the order in which they stand.
    pub keys: Vec<String>,
    /// Its rows: what a row has no value for is not in it.
    pub rows: Vec<Vec<(String, String)>>,
}

impl ValueTable {
    fn new(name: &str) -> ValueTable {
        ValueTable {
            name: name.to_owned(),
            ..ValueTable::default()
        }
    }

    fn push(&mut self, row: Vec<(String, String)>) {
        for (at, (key, _)) in row.iter().enumerate() {
            if !self.keys.contains(key) {
                // A key that only later rows have stands where they have it.
                let before = at.checked_sub(1).and_then(|at| row.get(at));
                let place = before.and_then(|it| self.keys.iter().position(|key| *key == it.0));
                self.keys.insert(place.map_or(0, |it| it + 1), key.clone());
            }
        }
        self.rows.push(row);
    }
}

/// Every list of an answer, and last what stands outside of them.
///
/// # Errors
/// An answer that cannot be written as JSON.
pub fn tables<T: Serialize>(answer: &T) -> Result<Vec<ValueTable>, serde_json::Error> {
    let value: Value = serde_json::from_str(&serde_json::to_string(answer)?)?;
    Ok(tables_in(&value))
}

/// The same of an answer that was read.
#[must_use]
pub fn tables_in(answer: &Value) -> Vec<ValueTable> {
    let mut all = Vec::new();
    let mut own = Vec::new();
    match answer {
        Value::List(rows) => list(&mut all, "list", rows, &[]),
        value => {
            cells(&mut own, "", value);
            lists(&mut all, "", value, &[], &[]);
        }
    }
    if !own.is_empty() {
        let mut table = ValueTable::new(OWN);
        table.push(own);
        all.push(table);
    }
    all
}

fn under(path: &str, key: &str) -> String {
    match path {
        "" => key.to_owned(),
        path => format!("{path}.{key}"),
    }
}

/// The values of a row that are no list.
fn cells(row: &mut Vec<(String, String)>, path: &str, value: &Value) {
    match value {
        Value::Cell(text) => row.push((path.to_owned(), text.clone())),
        Value::Map(all) => {
            for (key, value) in all {
                cells(row, &under(path, key), value);
            }
        }
        Value::List(_) => {}
    }
}

/// The lists in a row of the table `path`, which is told by `of`.
fn lists(
    all: &mut Vec<ValueTable>,
    path: &str,
    value: &Value,
    row: &[(String, String)],
    of: &[(String, String)],
) {
    let Value::Map(fields) = value else {
        return;
    };
    let get = |name: &str| fields.iter().find(|it| it.0 == name).map(|it| &it.1);
    let headings = get("columns").or(get("headings"));
    let own = row.iter().find(|it| it.0 == "key").map(|it| it.1.as_str());
    for (key, value) in fields {
        match (value, key.as_str(), own) {
            // Papers and records: lists of several widths, each with a key of its own.
            (Value::List(rows), "rows", own) if headings.is_some() => {
                let named: Vec<Value> = rows.iter().map(|it| named(it, headings)).collect();
                list(all, own.unwrap_or("rows"), &named, &[]);
                // A list without rows has its columns all the same.
                if let Some(table) = all.last_mut().filter(|it| it.rows.is_empty()) {
                    table.keys = keys_of(headings);
                }
            }
            (Value::List(_), "columns" | "headings", _) if get("rows").is_some() => {}
            (Value::List(rows), _, _) => list(all, &under(path, key), rows, of),
            (value, _, _) => lists(all, &under(path, key), value, &[], of),
        }
    }
}

/// The keys that stand beside a list: the words themselves, or what says them of each column.
fn keys_of(headings: Option<&Value>) -> Vec<String> {
    let Some(Value::List(all)) = headings else {
        return Vec::new();
    };
    let key = |it: &Value| match it {
        Value::Cell(key) => Some(key.clone()),
        Value::Map(fields) => fields.iter().find_map(|it| match it {
            (name, Value::Cell(key)) if name == "key" => Some(key.clone()),
            _ => None,
        }),
        Value::List(_) => None,
    };
    all.iter().filter_map(key).collect()
}

/// A row of cells under the headings that stand beside it. A key of a record without a value is
/// what an entry does not say.
fn named(row: &Value, headings: Option<&Value>) -> Value {
    match row {
        Value::Map(fields) => {
            let said = fields.iter().map(|(key, it)| match it {
                Value::Cell(text) if text.is_empty() => {
                    (key.clone(), Value::Cell("not on record".to_owned()))
                }
                it => (key.clone(), it.clone()),
            });
            Value::Map(said.collect())
        }
        Value::List(row) => Value::Map(keys_of(headings).into_iter().zip(row.clone()).collect()),
        row => row.clone(),
    }
}

/// A list as a table: what tells whose it is stands before the values of each row.
fn list(all: &mut Vec<ValueTable>, name: &str, rows: &[Value], of: &[(String, String)]) {
    let last = name.rsplit('.').next().unwrap_or(name);
    let at = all.iter().position(|it| it.name == name);
    let at = at.unwrap_or_else(|| {
        all.push(ValueTable::new(name));
        all.len() - 1
    });
    for value in rows {
        let mut own = Vec::new();
        match value {
            Value::Cell(text) => own.push((last.to_owned(), text.clone())),
            Value::List(row) => {
                for (at, it) in row.iter().enumerate() {
                    cells(&mut own, &(at + 1).to_string(), it);
                }
            }
            map => cells(&mut own, "", map),
        }
        let whole = of.iter().chain(&own).cloned().collect();
        if let Some(table) = all.get_mut(at) {
            table.push(whole);
        }
        let first = own.first().map(|(key, it)| (under(name, key), it.clone()));
        let of: Vec<_> = of.iter().cloned().chain(first).collect();
        lists(all, name, value, &own, &of);
    }
}

impl<'de> Deserialize<'de> for Value {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Value, D::Error> {
        struct Ordered;
        impl<'de> Visitor<'de> for Ordered {
            type Value = Value;

            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("JSON")
            }
            fn visit_unit<E>(self) -> Result<Value, E> {
                Ok(Value::Cell(String::new()))
            }
            fn visit_bool<E>(self, it: bool) -> Result<Value, E> {
                Ok(Value::Cell(it.to_string()))
            }
            fn visit_i64<E>(self, it: i64) -> Result<Value, E> {
                Ok(Value::Cell(it.to_string()))
            }
            fn visit_u64<E>(self, it: u64) -> Result<Value, E> {
                Ok(Value::Cell(it.to_string()))
            }
            fn visit_f64<E>(self, it: f64) -> Result<Value, E> {
                Ok(Value::Cell(it.to_string()))
            }
            fn visit_str<E>(self, it: &str) -> Result<Value, E> {
                Ok(Value::Cell(it.to_owned()))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
                let mut all = Vec::new();
                while let Some(it) = list.next_element()? {
                    all.push(it);
                }
                Ok(Value::List(all))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
                let mut all = Vec::new();
                while let Some(it) = map.next_entry()? {
                    all.push(it);
                }
                Ok(Value::Map(all))
            }
        }
        deserializer.deserialize_any(Ordered)
    }
}

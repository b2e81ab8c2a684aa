//! A body that is being corrected, field by field, under the names that people use. What comes of
//! it is a body again, or everything that is missing.

use serde_json::{Map, Value};

use super::field::{Field, Shape};
use super::form::UnreadableBody;
use super::layout::{spread, under};
use super::words::word_list;
use super::{Body, Kind, Problem};

/// A step from a body towards a field.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Towards {
    Field(&'static str),
    Place(usize),
    Pair(String),
}

/// Where a field of a draft stands.
#[derive(Debug, Clone)]
pub struct Place {
    /// How its value is written.
    pub shape: Shape,
    /// Whether it must be there.
    pub needed: bool,
    /// Whether the program writes it and nobody corrects it.
    pub fixed: bool,
    /// What would be right where it is blank.
    pub right: Option<&'static str>,
    steps: Vec<Towards>,
}

/// Why a path leads to no field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Astray {
    /// No field of this name; those that there are.
    NoSuchField(Vec<&'static str>),
    /// There are only so many.
    OnlySoMany(usize),
    /// Fields of their own are under it.
    NotOneField(Vec<&'static str>),
    /// Nothing is under it.
    NothingUnder,
}

/// A body in the making.
#[derive(Debug, Clone)]
pub struct Draft {
    kind: Kind,
    value: Value,
}

impl Draft {
    /// A draft that says what the body says, without what the program itself adds to it.
    pub fn of(body: &Body) -> Draft {
        let kind = body.kind();
        let mut value = body.content().value();
        spread(kind.fields(), &mut value);
        Draft { kind, value }
    }

    /// Where the field of a path stands.
    pub fn place(&self, path: &str) -> Result<Place, Astray> {
        let mut names = path.split('.');
        let first = names.next().unwrap_or_default();
        let mut at = field_of(self.kind.fields(), first)?;
        let mut rest: Vec<&str> = names.collect();
        rest.reverse();
        while let Some(name) = rest.pop() {
            at = match at.shape {
                Shape::Group(fields) => {
                    let inner = field_of(fields, name)?;
                    let fixed = at.fixed || inner.fixed;
                    let steps = [at.steps, inner.steps].concat();
                    Place {
                        fixed,
                        steps,
                        ..inner
                    }
                }
                Shape::List { of, .. } => self.of_list(at, *of, name)?,
                Shape::Pairs => {
                    rest.push(name);
                    rest.reverse();
                    at.steps.push(Towards::Pair(rest.join(".")));
                    return Ok(Place {
                        shape: Shape::Text,
                        needed: false,
                        ..at
                    });
                }
                _ => return Err(Astray::NothingUnder),
            };
        }
        match at.shape {
            Shape::Group(fields) => Err(Astray::NotOneField(names_of(fields))),
            Shape::List { of, between: None } => Err(match of {
                Shape::Group(fields) => Astray::NotOneField(names_of(fields)),
                _ => Astray::OnlySoMany(self.count(&at)),
            }),
            Shape::Pairs => Err(Astray::NotOneField(Vec::new())),
            _ => Ok(at),
        }
    }

    fn of_list(&self, at: Place, of: Shape, name: &str) -> Result<Place, Astray> {
        let count = self.count(&at);
        let place = name.parse::<usize>().ok().and_then(|it| it.checked_sub(1));
        // One more of a group is begun by the first of its fields.
        let begins = usize::from(matches!(of, Shape::Group(_)));
        let place = place.filter(|it| *it < count + begins);
        let place = place.ok_or(Astray::OnlySoMany(count))?;
        let mut steps = at.steps;
        steps.push(Towards::Place(place));
        Ok(Place {
            shape: of,
            needed: false,
            steps,
            ..at
        })
    }

    fn count(&self, at: &Place) -> usize {
        self.get(at).and_then(Value::as_array).map_or(0, Vec::len)
    }

    /// What stands there now, as stored.
    pub fn get(&self, place: &Place) -> Option<&Value> {
        follow(&self.value, &place.steps)
    }

    /// What stands beside it under a stored name.
    pub fn beside(&self, place: &Place, stored: &str) -> Option<&Value> {
        let (_, parents) = place.steps.split_last()?;
        follow(&self.value, parents)?.get(stored)
    }

    /// Puts a value there, as stored, or takes away what stands there.
    pub fn put(&mut self, place: &Place, value: Option<Value>) {
        put(&mut self.value, &place.steps, value);
    }

    /// Puts a value beside it under a stored name.
    pub fn put_beside(&mut self, place: &Place, stored: &'static str, value: Value) {
        let mut steps = place.steps.clone();
        steps.pop();
        steps.push(Towards::Field(stored));
        put(&mut self.value, &steps, Some(value));
    }

    /// What must be there and is not, under the names that people use.
    pub fn missing(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if let Value::Object(map) = &self.value {
            missing("", self.kind.fields(), map, &mut problems);
        }
        problems
    }

    /// The body that it says.
    pub fn body(mut self) -> Result<Body, UnreadableBody> {
        for field in self.kind.fields() {
            if let Shape::OneOf(groups) = field.shape
                && let Some(value) = self.value.get_mut(field.stored)
                && let Some((name, _)) = group_of(groups, value)
            {
                let mut named = Map::new();
                named.insert((*name).to_owned(), value.take());
                *value = Value::Object(named);
            }
        }
        Body::read(self.kind, self.kind.form(), &self.value.to_string())
    }
}

type Group = (&'static str, &'static [Field]);

/// The group whose needed fields are all there, and no field of another.
fn group_of(groups: &'static [Group], value: &Value) -> Option<&'static Group> {
    let Value::Object(map) = value else {
        return None;
    };
    groups.iter().find(|(_, fields)| {
        let known = |name: &String| fields.iter().any(|it| it.stored == name);
        let whole = fields
            .iter()
            .all(|it| !it.needed || map.contains_key(it.stored));
        whole && map.keys().all(known)
    })
}

fn place_of(field: &'static Field, mut steps: Vec<Towards>) -> Place {
    steps.push(Towards::Field(field.stored));
    Place {
        shape: field.shape,
        needed: field.needed,
        fixed: field.fixed,
        right: field.right,
        steps,
    }
}

/// The field of a name, also where it stands in a group whose fields are named beside it.
fn field_of(fields: &'static [Field], name: &str) -> Result<Place, Astray> {
    for field in fields.iter().filter(|it| !it.hidden) {
        let inside = match (field.flat, field.shape) {
            (true, Shape::Group(fields)) => field_of(fields, name).ok(),
            (true, Shape::OneOf(groups)) => groups
                .iter()
                .find_map(|(_, fields)| field_of(fields, name).ok()),
            _ if field.shown == name => return Ok(place_of(field, Vec::new())),
            _ => None,
        };
        if let Some(inside) = inside {
            let steps = [vec![Towards::Field(field.stored)], inside.steps].concat();
            // Which of several groups it is, is decided when all is written.
            let needed = inside.needed && field.needed && !matches!(field.shape, Shape::OneOf(_));
            return Ok(Place {
                steps,
                needed,
                ..inside
            });
        }
    }
    Err(Astray::NoSuchField(names_of(fields)))
}

/// The names of fields as people use them.
fn names_of(fields: &'static [Field]) -> Vec<&'static str> {
    let mut names = Vec::new();
    for field in fields.iter().filter(|it| !it.hidden) {
        match (field.flat, field.shape) {
            (true, Shape::Group(fields)) => names.extend(names_of(fields)),
            (true, Shape::OneOf(groups)) => {
                names.extend(groups.iter().flat_map(|(_, fields)| names_of(fields)));
            }
            _ => names.push(field.shown),
        }
    }
    names
}

fn follow<'v>(value: &'v Value, steps: &[Towards]) -> Option<&'v Value> {
    steps.iter().try_fold(value, |at, step| match step {
        Towards::Field(name) => at.get(name),
        Towards::Place(place) => at.get(place),
        Towards::Pair(name) => pair_place(at, name)
            .and_then(|place| at.get(place))
            .and_then(|pair| pair.get(1)),
    })
}

fn pair_place(list: &Value, name: &str) -> Option<usize> {
    let named = |it: &Value| it.get(0).and_then(Value::as_str) == Some(name);
    list.as_array()?.iter().position(named)
}

fn put(at: &mut Value, steps: &[Towards], value: Option<Value>) {
    let Some((step, rest)) = steps.split_first() else {
        return;
    };
    match (step, at) {
        (Towards::Field(name), Value::Object(map)) if rest.is_empty() => {
            match value {
                Some(value) => map.insert((*name).to_owned(), value),
                None => map.remove(*name),
            };
        }
        (Towards::Field(name), Value::Object(map)) => {
            let inner = map.entry(*name).or_insert_with(|| match rest.first() {
                Some(Towards::Place(_)) => Value::Array(Vec::new()),
                _ => Value::Object(Map::new()),
            });
            put(inner, rest, value);
            // A group without a field is not there.
            let gone = matches!(inner, Value::Object(map) if map.is_empty())
                || matches!(inner, Value::Array(list) if list.is_empty());
            if gone {
                map.remove(*name);
            }
        }
        (Towards::Place(place), Value::Array(list)) if rest.is_empty() => match value {
            Some(value) => {
                if let Some(slot) = list.get_mut(*place) {
                    *slot = value;
                }
            }
            None if *place < list.len() => {
                list.remove(*place);
            }
            None => {}
        },
        (Towards::Place(place), Value::Array(list)) => {
            if *place == list.len() && value.is_some() {
                list.push(Value::Object(Map::new()));
            }
            if let Some(inner) = list.get_mut(*place) {
                put(inner, rest, value);
            }
        }
        (Towards::Pair(name), list) => put_pair(list, name, value),
        _ => {}
    }
}

/// Pairs stand in the order of their names.
fn put_pair(list: &mut Value, name: &str, value: Option<Value>) {
    let there = pair_place(list, name);
    let Value::Array(list) = list else { return };
    if let Some(place) = there {
        list.remove(place);
    }
    if let Some(value) = value {
        let before = |it: &&Value| it.get(0).and_then(Value::as_str) < Some(name);
        let place = list.iter().take_while(before).count();
        list.insert(place, Value::Array(vec![name.into(), value]));
    }
}

fn missing(
    path: &str,
    fields: &'static [Field],
    map: &Map<String, Value>,
    problems: &mut Vec<Problem>,
) {
    for field in fields.iter().filter(|it| !it.hidden) {
        let at = match field.flat {
            true => path.to_owned(),
            false => under(path, field.shown),
        };
        match (field.shape, map.get(field.stored)) {
            (Shape::OneOf(groups), value) => of_one(&at, groups, value, problems),
            (_, None) if field.needed => {
                problems.push(Problem::missing(&at, right(field)));
            }
            (Shape::Group(fields), Some(Value::Object(map))) => missing(&at, fields, map, problems),
            (Shape::List { of, .. }, Some(Value::Array(list))) => {
                let Shape::Group(fields) = of else { continue };
                for (item, place) in list.iter().zip(1..) {
                    if let Value::Object(map) = item {
                        missing(&format!("{at}.{place}"), fields, map, problems);
                    }
                }
            }
            _ => {}
        }
    }
}

/// Exactly one of several groups must be there, and whole.
fn of_one(
    path: &str,
    groups: &'static [Group],
    value: Option<&Value>,
    problems: &mut Vec<Problem>,
) {
    let value = value.unwrap_or(&Value::Null);
    if group_of(groups, value).is_some() {
        return;
    }
    let map = value.as_object();
    let there = |it: &&Field| map.is_some_and(|map| map.contains_key(it.stored));
    let begun: Vec<&Group> = groups
        .iter()
        .filter(|(_, fields)| fields.iter().any(|it| there(&it)))
        .collect();
    match begun.as_slice() {
        // One of them, and not whole.
        [(_, fields)] => {
            for field in fields.iter().filter(|it| it.needed && !there(it)) {
                problems.push(Problem::missing(&under(path, field.shown), right(field)));
            }
        }
        several => {
            let field = several
                .iter()
                .find_map(|(_, fields)| fields.iter().find(there));
            let first = groups.first().and_then(|(_, fields)| fields.first());
            let name = field.or(first).map_or("", |it| it.shown);
            let what = match several {
                [] => "is missing: nothing says what it is about",
                _ => "is given beside another thing that it could be about",
            };
            let all = groups.iter().map(|(_, fields)| {
                let needed = fields.iter().filter(|it| it.needed).map(|it| it.shown);
                needed.collect::<Vec<_>>().join(" and ")
            });
            let right = format!("one of: {}", all.collect::<Vec<_>>().join("; "));
            problems.push(Problem::new(&under(path, name), "", what, right));
        }
    }
}

/// What would be right where nothing stands.
fn right(field: &Field) -> String {
    match (field.right, field.shape) {
        (Some(right), _) => right.to_owned(),
        (None, Shape::Day) => "a date such as `2026-06-14`".to_owned(),
        (None, Shape::Yes { yes, no }) => format!("{yes} or {no}"),
        (None, Shape::Word(pairs)) => word_list(pairs),
        (None, Shape::Dose { .. }) => "a dose such as `12 mrem` or `0.12 mSv`".to_owned(),
        (None, Shape::Activity | Shape::AtMost { .. }) => "such as `85 Ci`".to_owned(),
        (None, Shape::To(_) | Shape::Named { .. }) => "an id".to_owned(),
        (None, Shape::Count) => "a whole number".to_owned(),
        _ => "a text".to_owned(),
    }
}

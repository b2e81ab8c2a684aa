//! Corrections of every kind of record, field by field: what an entry shows is what a correction
//! takes, and a reference takes nothing but the name of one record of the right kind in force.

use std::collections::{BTreeSet, HashMap};

use wearbook::answer::{Names, Spelling};
use wearbook::intake::{IntakeError, amend};
use wearbook::ledger::{KnownAt, LedgerError, Mode, Refusal};
use wearbook::record::*;

use crate::ledger_fixture::{Bench, author, day, refusal};

const BODIES: &str = include_str!("../reference/bodies_v1.txt");

/// A ledger with bodies of every kind, each with its entry.
struct Everything {
    bench: Bench,
    bodies: Vec<(i64, Body)>,
    records: HashMap<Kind, Vec<(i64, Body)>>,
}

fn fits(goal: Goal, kind: Kind, body: &Body) -> bool {
    if !goal.kinds.contains(&kind) {
        return false;
    }
    match body {
        Body::Instrument(it) => goal.only.takes_instrument(it.kind),
        Body::Equipment(it) => goal.only.takes_equipment(it.kind),
        _ => goal.only == Only::All,
    }
}

impl Everything {
    fn new() -> Everything {
        let mut all = Everything {
            bench: Bench::new(),
            bodies: Vec::new(),
            records: HashMap::new(),
        };
        let mut waiting: Vec<Body> = BODIES
            .lines()
            .map(|line| {
                let (word, text) = line.split_once(": ").expect("a kind and its body");
                let kind = Kind::from_stored(word).expect("a kind");
                Body::read(kind, 1, text).expect(text)
            })
            .filter(|body| !matches!(body.kind(), Kind::Charter | Kind::Adoption))
            .collect();
        for entry in [1, 2] {
            let body = all.bench.ledger.read(KnownAt::Now, |it| it.body(entry));
            all.bodies.push((entry, body.unwrap().unwrap()));
        }
        while !waiting.is_empty() {
            let before = waiting.len();
            waiting.retain(|body| !all.write(body));
            assert!(waiting.len() < before, "{waiting:?} point to nothing");
        }
        all
    }

    /// The record that stands for a reference of a body: the nth that fits.
    fn instead(&self, goal: Goal, nth: usize) -> Option<i64> {
        let mut fitting = goal.kinds.iter().flat_map(|kind| {
            let there = self.records.get(kind).map(Vec::as_slice);
            let there = there.unwrap_or_default().iter();
            there.filter(|(_, body)| fits(goal, *kind, body))
        });
        fitting.nth(nth).map(|(record, _)| *record)
    }

    /// Writes a body with the references that this ledger has for it; says whether it could.
    fn write(&mut self, body: &Body) -> bool {
        let mut draft = Draft::of(body);
        for line in lines(&body.content()) {
            let place = draft.place(&line.path).expect("a field");
            let value = match &line.cell {
                // No item is mated with itself.
                Cell::To(goal, _) => {
                    match self.instead(*goal, line.path.ends_with(".with").into()) {
                        Some(record) => record.into(),
                        None => return false,
                    }
                }
                Cell::Joined(_, cells) => {
                    let mut list = Vec::new();
                    for (cell, nth) in cells.iter().zip(0..) {
                        list.push(match cell {
                            Cell::To(goal, _) => match self.instead(*goal, nth) {
                                Some(record) => record.into(),
                                None => return false,
                            },
                            Cell::Words(words) => words.as_str().into(),
                            other => panic!("{other:?}"),
                        });
                    }
                    serde_json::Value::Array(list)
                }
                _ => continue,
            };
            draft.put(&place, Some(value));
        }
        let body = draft.body().expect("a body of the same kind");
        match self.bench.try_append(body.clone()) {
            Ok(written) => {
                let record = written.record();
                self.bodies.push((record, body.clone()));
                let of_kind = self.records.entry(body.kind()).or_default();
                of_kind.push((record, body));
                true
            }
            // With fewer records than the file speaks of, two lines can be the same thing: then
            // the second is a later version of the first.
            Err(error) => {
                assert_eq!(refusal(&error), "SameKey", "{}", body.canonical());
                let same =
                    |(_, it): &(i64, Body)| it.kind() == body.kind() && it.key() == body.key();
                let place = self.bodies.iter().position(same).expect("the first");
                let (first, _) = self.bodies.remove(place);
                let entry = self.bench.amend(first, body.clone()).entry();
                self.bodies.push((entry, body));
                true
            }
        }
    }

    fn amend(&mut self, entry: i64, field: &str, value: &str) -> Result<(), IntakeError> {
        let now = self.bench.tick();
        let change = [(field.to_owned(), value.to_owned())];
        let amended = self
            .bench
            .ledger
            .write(&author(), now, Mode::Rehearse, |writer| {
                amend(writer, now, entry, &change, "a test")
            });
        amended.map(|_| ())
    }

    /// A refusal for this field's sake, in words; everything else fails.
    fn refused(&mut self, entry: i64, field: &str, value: &str) -> String {
        match self.amend(entry, field, value) {
            Err(IntakeError::Refused(refused)) => {
                let fault = &refused.faults[0];
                assert_eq!(fault.field, field, "{field}={value}: {fault:?}");
                fault.what.clone()
            }
            other => panic!("entry {entry}, {field}={value}: {other:?}"),
        }
    }

    /// What an older program chained of a declared pregnancy is private: no correction chains more
    /// of it, whatever the field.
    fn is_refused_whole(&mut self, entry: i64, body: &Body) -> bool {
        let fields = match body {
            Body::Pregnancy(_) => ["conception_on", "notice_on", "worker"],
            Body::PregnancyEnd(_) => ["how", "on", "pregnancy"],
            _ => return false,
        };
        for field in fields {
            match self.amend(entry, field, "2026-01-02") {
                Err(IntakeError::BadChange { detail, .. }) if detail.contains("is private") => {}
                other => panic!("entry {entry}, {field}: {other:?}"),
            }
        }
        true
    }

    fn fields(&self, body: &Body) -> Vec<(String, String, bool)> {
        let fields = self.bench.ledger.read(KnownAt::Now, |snapshot| {
            let names = Names::load(snapshot)?;
            Spelling::new(snapshot, &names).fields(body)
        });
        let fields = fields.expect("fields").into_iter();
        fields.map(|it| (it.field, it.value, it.fixed)).collect()
    }
}

/// What a field refers to, alone or in a list.
fn goal_of(shape: Shape) -> Option<Goal> {
    match shape {
        Shape::To(goal) | Shape::Named { goal, .. } => Some(goal),
        Shape::List { of, .. } => goal_of(*of),
        _ => None,
    }
}

/// A path without its places: `people.worker`.
fn without_places(path: &str) -> String {
    let names = path.split('.').filter(|it| it.parse::<usize>().is_err());
    names.collect::<Vec<_>>().join(".")
}

/// The path of a field under another.
pub fn under(path: &str, field: &Field) -> String {
    match (field.flat, path) {
        (true, path) => path.to_owned(),
        (false, "") => field.shown.to_owned(),
        (false, path) => format!("{path}.{}", field.shown),
    }
}

/// Every field under these, by its path without places, that is a reference and can be corrected.
fn references(path: &str, fields: &[Field], found: &mut BTreeSet<String>) {
    fn of_shape(path: &str, shape: Shape, found: &mut BTreeSet<String>) {
        match shape {
            Shape::To(_) | Shape::Named { .. } => {
                found.insert(path.to_owned());
            }
            Shape::List { of, .. } => of_shape(path, *of, found),
            Shape::Group(fields) => references(path, fields, found),
            Shape::OneOf(groups) => groups
                .iter()
                .for_each(|(_, fields)| references(path, fields, found)),
            _ => {}
        }
    }
    for field in fields.iter().filter(|it| !it.fixed) {
        of_shape(&under(path, field), field.shape, found);
    }
}

#[test]
fn every_field_of_every_kind_takes_what_the_entry_shows() {
    let mut all = Everything::new();
    let mut kinds = BTreeSet::new();
    let mut count = 0;
    for (entry, body) in all.bodies.clone() {
        kinds.insert(body.kind());
        if all.is_refused_whole(entry, &body) {
            continue;
        }
        for (field, value, fixed) in all.fields(&body) {
            if fixed {
                all.refused(entry, &field, &value);
                continue;
            }
            count += 1;
            let said = all.amend(entry, &field, &value);
            assert!(
                matches!(
                    said,
                    Err(IntakeError::Ledger(LedgerError::Refused(
                        Refusal::NothingChanges { .. }
                    )))
                ),
                "entry {entry} ({}), {field}={value}: {said:?}",
                body.kind().word()
            );
        }
    }
    assert_eq!(kinds.len(), Kind::ALL.len(), "kinds without a body");
    assert!(count > 400, "{count} fields");
}

#[test]
fn a_reference_takes_only_the_name_of_a_record_of_its_kind_in_force() {
    let mut all = Everything::new();
    let void = all.voided();
    let mut seen: HashMap<Kind, BTreeSet<String>> = HashMap::new();
    for (entry, body) in all.bodies.clone() {
        if all.is_refused_whole(entry, &body) {
            continue;
        }
        for line in lines(&body.content()) {
            let place = Draft::of(&body).place(&line.path).expect("a field");
            let Some(goal) = goal_of(place.shape).filter(|_| !line.fixed) else {
                continue;
            };
            let of_kind = seen.entry(body.kind()).or_default();
            of_kind.insert(without_places(&line.path));
            all.refused(entry, &line.path, "411");
            all.refused(entry, &line.path, "3");
            // Of another kind: the id of a register, and an entry.
            let others = [
                (Kind::Worker, "W01"),
                (Kind::Instrument, "PD-01"),
                (Kind::Equipment, "SRC-1"),
                (Kind::Job, "J1"),
                (Kind::Event, "E-1"),
            ];
            for (_, name) in others.iter().filter(|(it, _)| !goal.kinds.contains(it)) {
                all.refused(entry, &line.path, name);
            }
            all.refused(entry, &line.path, "entry:1");
            // Void.
            let void = void.iter().filter(|(kind, _)| goal.kinds.contains(kind));
            for (_, name) in void.collect::<Vec<_>>() {
                let what = all.refused(entry, &line.path, name);
                assert!(
                    what.starts_with("is void by entry ") || goal.only != Only::All,
                    "{}={name}: {what}",
                    line.path
                );
            }
        }
    }
    let whole = [Kind::Pregnancy, Kind::PregnancyEnd];
    for kind in Kind::ALL.iter().filter(|it| !whole.contains(it)) {
        let mut wanted = BTreeSet::new();
        references("", kind.fields(), &mut wanted);
        // Nobody writes which words were meant but the ledger's own hand.
        let seen = seen.remove(kind).unwrap_or_default();
        assert_eq!(seen, wanted, "references of a {}", kind.word());
    }
}

impl Everything {
    /// Names of void records, one for each kind that references lead to.
    fn voided(&mut self) -> Vec<(Kind, String)> {
        let mut names = Vec::new();
        let worker = crate::ledger_fixture::worker("W-GONE", "Z. Gone");
        let dosimeter = crate::ledger_fixture::dosimeter("PD-GONE", "99");
        let job = crate::ledger_fixture::job("J-GONE", "Mile 99");
        let mut more: Vec<(Option<&str>, Body)> = vec![
            (Some("W-GONE"), worker),
            (Some("PD-GONE"), dosimeter),
            (Some("J-GONE"), job),
        ];
        for (_, body) in self.bodies.clone() {
            match body {
                Body::Equipment(mut it) if it.kind == EquipmentType::Device => {
                    it.id = "D-GONE".to_owned();
                    more.push((Some("D-GONE"), Body::Equipment(it)));
                }
                Body::Event(mut it) => {
                    it.name = "E-GONE".to_owned();
                    more.push((Some("E-GONE"), Body::Event(it)));
                }
                Body::Pregnancy(mut it) => {
                    it.notice_on = day("2026-02-19");
                    more.push((None, Body::Pregnancy(it)));
                }
                Body::Inspection(mut it) => {
                    it.on = day("2026-02-01");
                    more.push((None, Body::Inspection(it)));
                }
                Body::EventAction(mut it) if it.plan.is_none() => {
                    it.words = "another".to_owned();
                    more.push((None, Body::EventAction(it)));
                }
                _ => {}
            }
        }
        let mut done = BTreeSet::new();
        for (name, body) in more {
            if !done.insert(body.kind()) {
                continue;
            }
            let kind = body.kind();
            let record = self.bench.append(body).record();
            let now = self.bench.tick();
            self.bench
                .ledger
                .write(&author(), now, Mode::Commit, |it| it.void(record, "gone"))
                .expect("a void record");
            let name = name.map_or_else(|| format!("entry:{record}"), str::to_owned);
            names.push((kind, name));
        }
        names
    }
}

#[test]
fn what_must_be_there_cannot_be_taken_away() {
    let mut all = Everything::new();
    let mut count = 0;
    for (entry, body) in all.bodies.clone() {
        if all.is_refused_whole(entry, &body) {
            continue;
        }
        for field in body.kind().fields() {
            let plain = !field.fixed && !field.hidden && !field.flat;
            if !(plain && field.needed) {
                continue;
            }
            count += 1;
            let what = all.refused(entry, field.shown, "");
            assert_eq!(what, "is missing", "{} of {:?}", field.shown, body.kind());
        }
    }
    assert!(count > 150, "{count} fields");
}

//! Random commands on a ledger: how they are drawn, and one step of them on the ledger and on
//! the plain list of [`Model`].

use proptest::prelude::*;
use wearbook::calendar::Day;
use wearbook::ledger::{LedgerError, Refusal, Writer, Written};
use wearbook::record::*;

use crate::ledger_fixture::{
    adoption, charter, day, dosimeter, job, meter, refusal, sheet, shown, worker,
};
use crate::ledger_maintenance::{self, KINDS, Parts};
use crate::ledger_model::{Model, Outcome};

/// What a body is made of: a kind, small numbers to vary it, and which of the records there
/// are it points to (void ones, ones of a wrong kind and ones that are not there among them).
#[derive(Debug, Clone)]
pub struct Recipe {
    kind: u8,
    name: u8,
    content: u8,
    points: [u8; 3],
}

#[derive(Debug, Clone)]
pub enum Command {
    Append(Recipe),
    Amend(u8, Recipe),
    /// As it stands but with this content: an amendment that is mostly in order.
    Correct(u8, u8),
    /// With another name, perhaps that of another record.
    Rename(u8, u8),
    /// What some entry said, once more as if it were new.
    AppendOld(u8),
    Void(u8),
    Reinstate(u8),
    /// Any of the above on an entry that need not be the newest, without a reason.
    VoidEntry(u8),
    ReinstateEntry(u8),
    VoidWithoutReason(u8),
}

/// One write of several commands; of some, all is taken back.
#[derive(Debug, Clone)]
pub struct Batch {
    pub commands: Vec<Command>,
    pub end: End,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    Commit,
    Rehearse,
    Fail,
}

fn recipe() -> impl Strategy<Value = Recipe> {
    (0..10 + KINDS, 0..3_u8, 0..3_u8, any::<[u8; 3]>()).prop_map(|(kind, name, content, points)| {
        Recipe {
            kind,
            name,
            content,
            points,
        }
    })
}

fn command() -> impl Strategy<Value = Command> {
    prop_oneof![
        8 => recipe().prop_map(Command::Append),
        2 => (any::<u8>(), recipe()).prop_map(|(at, it)| Command::Amend(at, it)),
        5 => (any::<u8>(), 0..3_u8).prop_map(|(at, content)| Command::Correct(at, content)),
        3 => (any::<u8>(), 0..3_u8).prop_map(|(at, name)| Command::Rename(at, name)),
        3 => any::<u8>().prop_map(Command::AppendOld),
        4 => any::<u8>().prop_map(Command::Void),
        3 => any::<u8>().prop_map(Command::Reinstate),
        1 => any::<u8>().prop_map(Command::VoidEntry),
        1 => any::<u8>().prop_map(Command::ReinstateEntry),
        1 => any::<u8>().prop_map(Command::VoidWithoutReason),
    ]
}

/// The records that most others point to, so that a history soon writes those too.
pub fn registers() -> Batch {
    let first = [(0, 0), (1, 0), (2, 0), (10, 0), (10, 1), (11, 0)];
    let commands = first.map(|(kind, name)| {
        Command::Append(Recipe {
            kind,
            name,
            content: 0,
            points: [0; 3],
        })
    });
    Batch {
        commands: commands.to_vec(),
        end: End::Commit,
    }
}

pub fn batch() -> impl Strategy<Value = Batch> {
    let end = prop_oneof![
        8 => Just(End::Commit),
        1 => Just(End::Rehearse),
        1 => Just(End::Fail),
    ];
    (prop::collection::vec(command(), 1..14), end)
        .prop_map(|(commands, end)| Batch { commands, end })
}

/// A record of a kind to point to, mostly in force; or something that is none.
fn point(model: &Model, kind: Kind, pick: u8) -> RecordId {
    let all: Vec<RecordId> = (1..=model.count())
        .filter(|it| model.newest(*it, model.count()).is_some())
        .collect();
    let of_kind: Vec<RecordId> = all
        .iter()
        .copied()
        .filter(|it| model.card(*it).is_some_and(|card| card.kind == kind))
        .collect();
    let among = if pick >= 240 { &all } else { &of_kind };
    match among.get(usize::from(pick) % among.len().max(1)) {
        Some(record) if pick != 255 => *record,
        _ => 9_999,
    }
}

/// The body of a recipe, as the records stand.
fn body(model: &Model, recipe: &Recipe) -> Body {
    let Recipe {
        name,
        content,
        points,
        ..
    } = recipe;
    let [a, b, c] = *points;
    let id = |letter: &str| format!("{letter}{name}");
    let on = day(["2026-02-01", "2026-02-02", "2026-02-03"][usize::from(*name)]);
    let words = ["as found", "read again", "by the book"][usize::from(*content)].to_owned();
    match recipe.kind {
        0 => worker(&id("W"), &words),
        1 if *content == 2 => meter(&id("I"), "3", &["10 mR/h", "100 mR/h"]),
        1 => dosimeter(&id("I"), &words),
        2 => job(&id("J"), &words),
        3 => RoleChange {
            from: on,
            role: [Role::Assistant, Role::Radiographer, Role::Rso][usize::from(*content)],
            worker: point(model, Kind::Worker, a).into(),
        }
        .into(),
        4 => Pregnancy {
            conception_on: Some(day(
                ["2026-01-03", "2026-01-02", "2026-01-01"][usize::from(*content)]
            )),
            notice_on: on,
            worker: point(model, Kind::Worker, a).into(),
        }
        .into(),
        5 => PregnancyEnd {
            how: [PregnancyEnding::Ended, PregnancyEnding::Withdrawn][usize::from(*content) % 2],
            on,
            pregnancy: point(model, Kind::Pregnancy, a).into(),
        }
        .into(),
        6 => Check {
            by: words,
            certificate: None,
            instrument: point(model, Kind::Instrument, a).into(),
            on,
            points: Vec::new(),
            result: CheckResult::Pass,
            row: None,
            kind: CheckType::Calibration,
        }
        .into(),
        7 if *content == 0 => adoption().into(),
        7 => Charter {
            site: words,
            ..charter()
        }
        .into(),
        10.. => maintenance(model, recipe, on, words),
        _ => {
            let mut it = sheet(
                &on.to_string(),
                point(model, Kind::Job, a),
                point(model, Kind::Worker, b),
                point(model, Kind::Instrument, c),
                ["12 mR", "21 mR", "0.5 mR"][usize::from(*content)],
            );
            // Some sheets have a number of their own, and may have another later.
            it.reference = (recipe.kind == 9).then(|| format!("S{}", (name + content) % 3));
            it.into()
        }
    }
}

/// The body of one of the kinds of inspection and maintenance.
fn maintenance(model: &Model, recipe: &Recipe, on: Day, words: String) -> Body {
    let Recipe {
        name,
        content,
        points: [a, b, c],
        ..
    } = *recipe;
    ledger_maintenance::body(
        recipe.kind - 10,
        Parts {
            name,
            content,
            on,
            words,
            equipment: [
                point(model, Kind::Equipment, a),
                point(model, Kind::Equipment, b),
            ],
            instrument: point(model, Kind::Instrument, a),
            worker: point(model, Kind::Worker, b),
            list: point(model, Kind::ListAdoption, c),
        },
    )
}

/// The body of an entry with other content, so that its name and references stay.
fn corrected(old: &Body, content: u8) -> Body {
    let words = format!("corrected {content}");
    let mut new = old.clone();
    match &mut new {
        Body::Worker(it) => it.name = words,
        Body::Instrument(it) => it.serial = words,
        Body::Job(it) => it.place = words,
        Body::Check(it) => it.by = words,
        Body::Charter(it) => it.site = words,
        Body::Adoption(it) => it.text = words,
        Body::RoleChange(it) => it.role = Role::ALL[usize::from(content)],
        Body::PregnancyEnd(it) => it.how = PregnancyEnding::ALL[usize::from(content) % 2],
        Body::Sheet(it) => {
            it.note = Some(words);
            it.people[0].readings[0].end = Some(shown(&format!("{} mR", 30 + content)));
        }
        other => ledger_maintenance::correct(other, words),
    }
    new
}

/// The body of an entry with another name and the same content.
fn renamed(old: &Body, name: u8) -> Body {
    let mut new = old.clone();
    match &mut new {
        Body::Worker(it) => it.id = format!("W{name}"),
        Body::Instrument(it) => it.id = format!("I{name}"),
        Body::Job(it) => it.id = format!("J{name}"),
        Body::Equipment(it) => it.id = format!("E{name}"),
        Body::Sheet(it) => it.reference = Some(format!("S{name}")),
        _ => {}
    }
    new
}

/// The newest entry of a record, picked among all.
fn pick_newest(model: &Model, pick: u8, void: bool) -> i64 {
    let newest: Vec<i64> = (1..=model.count())
        .filter_map(|record| model.newest(record, model.count()))
        .filter(|it| {
            model
                .card(*it)
                .is_some_and(|card| card.body.is_none() == void)
        })
        .collect();
    let found = newest.get(usize::from(pick) % newest.len().max(1));
    found.copied().unwrap_or(1)
}

fn outcome(done: Result<Written, LedgerError>) -> Outcome {
    match done {
        Ok(Written::New { record, .. }) => Outcome::New(record),
        Ok(Written::Already {
            entry,
            corrected_by,
            ..
        }) => Outcome::Already(entry, corrected_by),
        Err(LedgerError::Refused(Refusal::Stranded {
            referrers, count, ..
        })) => {
            assert_eq!(referrers.len() as i64, count.min(12));
            Outcome::Stranded(referrers.into_iter().map(|(entry, _)| entry).collect())
        }
        Err(error) => Outcome::Refused(refusal(&error).leak()),
    }
}

/// Runs a command on both; returns what came of it and what had to.
pub fn run(model: &mut Model, writer: &mut Writer<'_>, command: &Command) -> (Outcome, Outcome) {
    const WHY: &str = "misread";
    let any_entry = |model: &Model, pick: u8| i64::from(pick) % (model.count() + 2);
    let (found, mut wanted) = match command {
        Command::Append(recipe) => {
            let body = body(model, recipe);
            (writer.append(body.clone(), false), model.append(body))
        }
        Command::Amend(at, recipe) => {
            let (entry, body) = (pick_newest(model, *at, at % 4 == 0), body(model, recipe));
            let done = writer.amend(entry, body.clone(), WHY, false);
            (done, model.amend(entry, body, WHY))
        }
        Command::Correct(at, content) => {
            let entry = pick_newest(model, *at, false);
            let old = model.card(entry).and_then(|it| it.body.as_ref());
            let body = corrected(old.expect("a body in force"), *content);
            let done = writer.amend(entry, body.clone(), WHY, false);
            (done, model.amend(entry, body, WHY))
        }
        Command::Rename(at, name) => {
            let entry = pick_newest(model, *at, false);
            let old = model.card(entry).and_then(|it| it.body.as_ref());
            let body = renamed(old.expect("a body in force"), *name);
            let done = writer.amend(entry, body.clone(), WHY, false);
            (done, model.amend(entry, body, WHY))
        }
        Command::AppendOld(at) => {
            let said: Vec<&Body> = model
                .cards
                .iter()
                .filter_map(|it| it.body.as_ref())
                .collect();
            let body = said[usize::from(*at) % said.len()].clone();
            (writer.append(body.clone(), false), model.append(body))
        }
        Command::Void(at) => {
            let entry = pick_newest(model, *at, false);
            (writer.void(entry, WHY), model.void(entry, WHY))
        }
        Command::Reinstate(at) => {
            let entry = pick_newest(model, *at, true);
            (writer.reinstate(entry, WHY), model.reinstate(entry, WHY))
        }
        Command::VoidEntry(at) => {
            let entry = any_entry(model, *at);
            (writer.void(entry, WHY), model.void(entry, WHY))
        }
        Command::ReinstateEntry(at) => {
            let entry = any_entry(model, *at);
            (writer.reinstate(entry, WHY), model.reinstate(entry, WHY))
        }
        Command::VoidWithoutReason(at) => {
            let entry = any_entry(model, *at);
            (writer.void(entry, " "), model.void(entry, " "))
        }
    };
    if let Outcome::Stranded(referrers) = &mut wanted {
        referrers.truncate(12);
    }
    (outcome(found), wanted)
}

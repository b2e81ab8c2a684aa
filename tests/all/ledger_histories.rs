//! Random histories of commands, each step against the plain list of [`Model`]: what comes of
//! it, what is in force, what was known at every entry, and what is left after a rebuild, an
//! export and a restore, and the same import again.

use std::collections::BTreeMap;

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use wearbook::ledger::{Instant, KnownAt, Ledger, LedgerError, Mode, Snapshot, Written};
use wearbook::record::*;

use crate::ledger_commands::{Batch, End, batch, registers, run};
use crate::ledger_fixture::{Bench, adoption, assert_same, author, charter, day, dump, faults};
use crate::ledger_model::{Model, Outcome};

/// A reason to take a write back that is not the ledger's.
#[derive(Debug, PartialEq)]
enum Stop {
    Ledger(String),
    OnPurpose,
}

impl From<LedgerError> for Stop {
    fn from(error: LedgerError) -> Stop {
        Stop::Ledger(error.to_string())
    }
}

/// Runs a batch as one write. What is refused in it writes nothing; the rest stays, unless the
/// whole is a rehearsal or fails.
fn run_batch(
    ledger: &mut Ledger,
    now: Instant,
    model: &mut Model,
    batch: &Batch,
) -> Result<Vec<Outcome>, TestCaseError> {
    let mut tried = model.clone();
    let mut steps = Vec::new();
    let mode = match batch.end {
        End::Rehearse => Mode::Rehearse,
        _ => Mode::Commit,
    };
    let done = ledger.write(&author(), now, mode, |writer| {
        for command in &batch.commands {
            let (found, wanted) = run(&mut tried, writer, command);
            steps.push((
                command.clone(),
                found,
                wanted,
                writer.head().0,
                tried.count(),
            ));
        }
        match batch.end {
            End::Fail => Err(Stop::OnPurpose),
            _ => Ok(()),
        }
    });
    let mut outcomes = Vec::new();
    for (command, found, wanted, count, wanted_count) in steps {
        prop_assert_eq!(&found, &wanted, "{:?}", command);
        prop_assert_eq!(count, wanted_count, "{:?}", command);
        outcomes.push(found);
    }
    match (batch.end, done) {
        (End::Commit, Ok(())) => *model = tried,
        (End::Rehearse, Ok(())) | (End::Fail, Err(Stop::OnPurpose)) => {}
        (end, done) => prop_assert!(false, "{end:?}: {done:?}"),
    }
    Ok(outcomes)
}

fn all<T: Record>(it: &Snapshot<'_>) -> Vec<(i64, RecordId, Body)>
where
    Body: From<T>,
{
    it.all::<T>()
        .expect("records")
        .into_iter()
        .map(|it| (it.entry, it.record, it.body.into()))
        .collect()
}

/// Everything that is read as known at an entry, against the list.
fn same_as_known(ledger: &Ledger, model: &Model, entry: i64) -> Result<(), TestCaseError> {
    let (records, shifts) = ledger
        .read(KnownAt::Entry(entry), |it| {
            let mut found = all::<Charter>(it);
            found.extend(all::<Adoption>(it));
            found.extend(all::<Job>(it));
            found.extend(all::<Worker>(it));
            found.extend(all::<RoleChange>(it));
            found.extend(all::<Pregnancy>(it));
            found.extend(all::<PregnancyEnd>(it));
            found.extend(all::<Instrument>(it));
            found.extend(all::<Check>(it));
            found.extend(all::<Sheet>(it));
            found.extend(all::<Equipment>(it));
            found.extend(all::<ListAdoption>(it));
            found.extend(all::<InstalledPart>(it));
            found.extend(all::<Inspection>(it));
            found.extend(all::<Servicing>(it));
            found.extend(all::<LeakTest>(it));
            found.extend(all::<Inventory>(it));
            found.extend(all::<Loading>(it));
            found.sort_by_key(|(entry, ..)| *entry);
            let mut shifts = Vec::new();
            it.shifts(day("2026-01-01"), day("2026-12-31"), |shift| {
                let reading = shift.readings.first().and_then(|it| it.end_count);
                shifts.push((shift.entry, shift.sheet, shift.worker, reading));
            })?;
            Ok::<_, LedgerError>((found, shifts))
        })
        .expect("what was known");
    let wanted = model.in_force(entry);
    prop_assert_eq!(records.len(), wanted.len(), "known at {}", entry);
    for ((a, b, c), (x, y, z)) in records.iter().zip(wanted.iter().copied()) {
        prop_assert_eq!((*a, *b, c), (x, y, z), "known at {}", entry);
    }
    let mut shifts = shifts;
    shifts.sort();
    let wanted: Vec<_> = wanted
        .iter()
        .filter_map(|(entry, record, body)| match body {
            Body::Sheet(it) => {
                let person = &it.people[0];
                let end = person.readings[0].end.map(|it| it.count());
                Some((*entry, *record, person.worker.number()?, end))
            }
            _ => None,
        })
        .collect();
    prop_assert_eq!(shifts, wanted, "shifts known at {}", entry);
    Ok(())
}

/// The chain of versions of every record, and the number of its newest entry.
fn same_versions(ledger: &Ledger, model: &Model) -> Result<(), TestCaseError> {
    let read = ledger.read(KnownAt::Now, |it| {
        (1..=model.count())
            .map(|entry| Ok((it.entry(entry)?, it.history(entry)?)))
            .collect::<Result<Vec<_>, LedgerError>>()
    });
    for (entry, history) in read.expect("histories") {
        let card = model.card(entry.seq).expect("a card");
        prop_assert_eq!(entry.record, card.record);
        prop_assert_eq!(entry.ends, card.ends);
        prop_assert_eq!(entry.reason.is_some(), card.ends.is_some());
        prop_assert_eq!(&entry.body, &card.body.as_ref().map(Body::canonical));
        let found: Vec<i64> = history.iter().map(|it| it.seq).collect();
        prop_assert_eq!(found, model.versions(card.record, model.count()));
    }
    Ok(())
}

/// The same import again, of everything in force, is "already" throughout and writes nothing.
fn import_again(bench: &mut Bench, model: &Model) -> Result<(), TestCaseError> {
    let before = dump(bench.path());
    for (entry, _, body) in model.in_force(model.count()) {
        match bench.try_append(body.clone()) {
            Ok(Written::Already {
                entry: found,
                corrected_by: None,
                ..
            }) => {
                prop_assert_eq!(found, entry);
            }
            other => prop_assert!(false, "{}: {:?}", body.canonical(), other),
        }
    }
    assert_same(&dump(bench.path()), &before, "the same import again");
    Ok(())
}

/// A rebuild, and a restore of an export, leave every table as it was.
fn rebuild_and_restore(bench: &mut Bench) -> Result<(), TestCaseError> {
    let (before, head) = (dump(bench.path()), bench.head());
    bench.ledger.rebuild(None).expect("a rebuild");
    assert_same(&dump(bench.path()), &before, "rebuilt");
    let (lines, copy) = (bench.beside("entries.jsonl"), bench.beside("copy.db"));
    bench.ledger.export_entries(&lines).expect("an export");
    let now = bench.tick();
    let report = Ledger::restore(&lines, &copy, now, None).expect("a restore");
    prop_assert_eq!(
        wearbook::ledger::head_text(report.count, &report.head),
        head
    );
    assert_same(&dump(&copy), &before, "restored");
    let copy = Ledger::open(&copy).expect("the restored ledger");
    prop_assert_eq!(faults(&copy), Vec::<String>::new());
    Ok(())
}

fn empty() -> (Bench, Model) {
    let mut model = Model::default();
    model.append(charter().into());
    model.append(adoption().into());
    (Bench::new(), model)
}

fn after_every_history(batches: &[Batch]) -> Result<(), TestCaseError> {
    let (mut bench, mut model) = empty();
    for batch in batches {
        let now = bench.tick();
        run_batch(&mut bench.ledger, now, &mut model, batch)?;
        let wanted = format!("{}:", model.count());
        prop_assert!(
            bench.head().starts_with(&wanted),
            "{} {}",
            bench.head(),
            wanted
        );
    }
    prop_assert_eq!(bench.faults(), Vec::<String>::new());
    for entry in 1..=model.count() {
        same_as_known(&bench.ledger, &model, entry)?;
    }
    same_versions(&bench.ledger, &model)?;
    import_again(&mut bench, &model)?;
    rebuild_and_restore(&mut bench)
}

/// Of four histories one begins with nothing, the others with some registers.
fn history() -> impl Strategy<Value = Vec<Batch>> {
    let batches = prop::collection::vec(batch(), 1..8);
    (batches, 0..4_u8).prop_map(|(mut batches, kind)| {
        if kind > 0 {
            batches.insert(0, registers());
        }
        batches
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 32,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_history_of_commands_comes_out_as_on_a_plain_list(
        batches in history(),
    ) {
        after_every_history(&batches)?;
    }
}

/// Else the histories would prove little: each outcome is met, and records are amended again
/// and again and put in force again.
#[test]
fn the_histories_meet_every_refusal_and_amend_amendments() {
    let mut runner = TestRunner::deterministic();
    let histories = history();
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    for _ in 0..40 {
        let batches = histories
            .new_tree(&mut runner)
            .expect("a history")
            .current();
        let (mut bench, mut model) = empty();
        for batch in &batches {
            let now = bench.tick();
            let outcomes = run_batch(&mut bench.ledger, now, &mut model, batch);
            for outcome in outcomes.expect("as on the list") {
                let name = match outcome {
                    Outcome::New(_) => "New",
                    Outcome::Already(_, None) => "Already",
                    Outcome::Already(_, Some(_)) => "AlreadyAmended",
                    Outcome::Stranded(_) => "Stranded",
                    Outcome::Refused(name) => name,
                };
                *met.entry(name.to_owned()).or_default() += 1;
            }
        }
        for card in model.cards.iter().filter(|it| it.body.is_some()) {
            *met.entry(card.kind.word().to_owned()).or_default() += 1;
        }
        for entry in 1..=model.count() {
            let amends = |it: i64| model.card(it).and_then(|card| card.ends);
            let is_void = |it: i64| model.card(it).is_some_and(|card| card.body.is_none());
            if amends(entry).is_some_and(|it| amends(it).is_some() && !is_void(it)) {
                *met.entry("corrected again".to_owned()).or_default() += 1;
            }
            if amends(entry).is_some_and(is_void) {
                *met.entry("in force again".to_owned()).or_default() += 1;
            }
        }
    }
    let wanted = "New, Already, AlreadyAmended, Voided, SameKey, NoSuchRecord, NoSuchEntry, \
                  NotNewest, NothingChanges, OtherKind, Stranded, CharterStays, NoReason, \
                  corrected again, in force again, sheet, equipment, checklist, installed part, \
                  inspection, check, servicing, leak test, inventory, loading";
    for name in wanted.split(", ") {
        assert!(met.contains_key(name), "{name} is not in {met:?}");
    }
}

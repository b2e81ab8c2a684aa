//! `wearbook entry ...`

use super::args::EntryVerb;
use super::failure::Failure;
use super::run::{Session, form, mode};
use crate::answer::{entry_of, history_of};
use crate::intake::{Taken, amend, reinstate, void};
use crate::show::{entry_report, history_report, taken_report};

pub(super) fn run(session: &mut Session<'_>, verb: EntryVerb) -> Result<(), Failure> {
    match verb {
        EntryVerb::Show { entry, show } => {
            let answer = session.ask(None, |snapshot, house| entry_of(snapshot, house, entry))?;
            session
                .output
                .answer(form(&show), "entry show", &answer, || entry_report(&answer))
        }
        EntryVerb::History { entry, show } => {
            let answer = session.ask(None, |snapshot, house| history_of(snapshot, house, entry))?;
            session
                .output
                .answer(form(&show), "entry history", &answer, || {
                    history_report(&answer)
                })
        }
        EntryVerb::Amend {
            entry,
            changes,
            reason,
            write,
        } => {
            let changes = changes
                .iter()
                .map(|it| change(it))
                .collect::<Result<Vec<_>, _>>()?;
            let author = session.author(write.by.as_deref());
            let (now, mode) = (session.clock.now(), mode(write.dry_run));
            let mut ledger = session.open()?;
            let taken = amend(&mut ledger, &author, now, mode, entry, &changes, &reason)?;
            done(session, &taken, write.dry_run)
        }
        EntryVerb::Void {
            entry,
            reason,
            write,
        } => {
            let author = session.author(write.by.as_deref());
            let (now, mode) = (session.clock.now(), mode(write.dry_run));
            let mut ledger = session.open()?;
            let taken = void(&mut ledger, &author, now, mode, entry, &reason)?;
            done(session, &taken, write.dry_run)
        }
        EntryVerb::Reinstate {
            entry,
            reason,
            write,
        } => {
            let author = session.author(write.by.as_deref());
            let (now, mode) = (session.clock.now(), mode(write.dry_run));
            let mut ledger = session.open()?;
            let taken = reinstate(&mut ledger, &author, now, mode, entry, &reason)?;
            done(session, &taken, write.dry_run)
        }
    }
}

fn change(text: &str) -> Result<(String, String), Failure> {
    match text.split_once('=') {
        Some((field, value)) => Ok((field.trim().to_owned(), value.trim().to_owned())),
        None => Err(Failure::Refused {
            what: format!("`{text}` is not FIELD=VALUE"),
            hint: "such as \"people.1.readings.1.end=31 mR\"".to_owned(),
        }),
    }
}

fn done(session: &mut Session<'_>, taken: &Taken, dry_run: bool) -> Result<(), Failure> {
    session.output.report(taken_report(taken, dry_run))
}

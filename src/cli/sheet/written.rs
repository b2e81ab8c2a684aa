//! A sheet handed in or rehearsed: what it means, and what of it stops somebody.

use super::photo::keep_photo;
use crate::answer::{House, SheetsAnswer, after_sheets};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::intake::{EvidenceFile, IntakeError, SheetBatch, Taken, passes_range, take_sheets};
use crate::ledger::Mode;
use crate::rule::{Finding, Severity};
use crate::show::{Report, stops_report};

/// What was taken, and what it means for those on the sheets.
pub(crate) type HandedIn = (Taken, SheetsAnswer);

/// Takes sheets in and works out what they mean, in one write.
pub(crate) fn hand_in(
    session: &mut Session<'_>,
    by: Option<&str>,
    mode: Mode,
    batch: SheetBatch<'_>,
) -> Result<HandedIn, Failure> {
    hand_in_with(session, (by, mode), batch, None)
}

/// The same with the photo of its paper.
pub(crate) fn hand_in_with(
    session: &mut Session<'_>,
    (by, mode): (Option<&str>, Mode),
    batch: SheetBatch<'_>,
    photo: Option<&EvidenceFile>,
) -> Result<HandedIn, Failure> {
    let mut ledger = session.open()?;
    let watched = session.watch();
    ledger.watch(watched.tally.clone());
    let author = session.author(by);
    let now = session.clock.now();
    let handed = ledger.write(&author, now, mode, |writer| {
        let mut taken = take_sheets(writer, now, batch)?;
        let entries = taken.new_entries();
        keep_photo(writer, &mut taken, photo)?;
        let snapshot = writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let answer = after_sheets(&house.open(&snapshot), &entries, house.today(now))?;
        Ok::<_, IntakeError>((taken, answer))
    })?;
    Ok(handed)
}

pub(crate) fn rehearse(
    session: &mut Session<'_>,
    by: Option<&str>,
    rows: &[Vec<String>],
) -> Result<SheetsAnswer, Failure> {
    let batch = SheetBatch::Typed(rows.to_vec());
    let (_, answer) = hand_in(session, by, Mode::Rehearse, batch)?;
    Ok(answer)
}

/// What the readings so far say that must stop somebody.
pub(crate) fn stops_so_far(
    session: &mut Session<'_>,
    by: Option<&str>,
    rows: &[Vec<String>],
) -> Result<Vec<Finding>, Failure> {
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    match rehearse(session, by, rows) {
        Ok(answer) => Ok(stops_of(&answer)),
        Err(Failure::Intake(IntakeError::Refused(refused))) => Ok(refused.stops),
        Err(other) => Err(other),
    }
}

pub(crate) fn stops_of(answer: &SheetsAnswer) -> Vec<Finding> {
    let people = answer.people.iter().flat_map(|it| &it.findings);
    let all = people.chain(&answer.findings);
    let stops = all.filter(|it| it.severity == Severity::Stop);
    stops.cloned().collect()
}

/// What is said should somebody break the prompt off now.
pub(crate) fn on_the_way(session: &mut Session<'_>, stops: &[Finding]) {
    let kept = "What was typed is kept as a draft: the same command offers it again.";
    let report = Report {
        heading: kept.to_owned(),
        ..stops_report(stops)
    };
    let text = session.output.text(&report);
    (session.if_broken_off)(&text);
}

/// Whether a line of readings, as it was typed, has more than the dosimeter can show.
pub(crate) fn passes(
    session: &mut Session<'_>,
    dosimeter: &str,
    typed: &str,
) -> Result<bool, Failure> {
    session.ask(None, |house| {
        Ok(passes_range(&house.names, dosimeter, typed))
    })
}

//! Corrected records that no single row holds, read again as their file or command reads them:
//! inspections and checks with points, events and what is learned of them.

use serde_json::Value;

use super::fault::{Fault, IntakeError, only_new};
use crate::answer::{AnswerError, Happened, House, Moment, OpenHouse, Roughly, Spelling, happened};
use crate::intake::equipment::calibration::{self, CALIBRATION_COLUMNS};
use crate::intake::equipment::inspection::{self, INSPECTION_COLUMNS};
use crate::intake::event::about_event;
use crate::intake::event::about_event::{NewAnswer, NewNotification, NewPeople};
use crate::intake::event::cause::read_cause;
use crate::intake::event::desk::EventDesk;
use crate::intake::event::happening::{NewHappening, read_happening};
use crate::intake::event::notification::{read_answer, read_given};
use crate::intake::event::open;
use crate::intake::file::columns::Row;
use crate::intake::review::annual_report::check_sent;
use crate::ledger::{Instant, Snapshot};
use crate::record::{
    Body, Event, EventCause, EventEnd, EventLink, EventNote, EventPerson, Id, Words,
};

/// A corrected body as its importer or command has it: moments on the clocks of the place, keys in
/// the words of the lists. With it what they refuse of the new values; what they would have refused
/// of the old ones too is no fault of the correction.
pub(crate) fn read_again(
    snapshot: &Snapshot<'_>,
    now: Instant,
    entry: i64,
    before: &Body,
    after: Body,
) -> Result<(Body, Vec<Fault>), IntakeError> {
    let is_read_here = match &after {
        Body::Check(it) => !it.points.is_empty(),
        Body::Inspection(_)
        | Body::Event(_)
        | Body::EventHappening(_)
        | Body::EventNote(_)
        | Body::EventCause(_)
        | Body::EventAction(_)
        | Body::EventLink(_)
        | Body::EventEnd(_)
        | Body::DutyAnswer(_)
        | Body::DutyDone(_)
        | Body::AnnualReport(_) => true,
        _ => false,
    };
    if !is_read_here {
        return Ok((after, Vec::new()));
    }
    let house = match House::load(snapshot) {
        // Nothing else can be written under rules that cannot be read; a slip can be put right.
        Err(AnswerError::RuleSet { .. }) => return Ok((after, Vec::new())),
        house => house?,
    };
    let again = Again {
        house: &house.open(snapshot),
        now,
        entry,
    };
    let (_, old) = again.read(before)?;
    let (read, new) = again.read(&after)?;
    let body = corrected_only(before, after, &read);
    Ok((body, only_new(&old, new)))
}

/// The corrected fields as they were read; the others stand as they stood.
fn corrected_only(before: &Body, after: Body, read: &Body) -> Body {
    let (Value::Object(old), Value::Object(new), Value::Object(mut read)) =
        (before.value(), after.value(), read.value())
    else {
        return after;
    };
    for (name, value) in new {
        if old.get(&name) == Some(&value) {
            read.insert(name, value);
        }
    }
    let kind = after.kind();
    Body::read(kind, kind.form(), &Value::Object(read).to_string()).unwrap_or(after)
}

struct Again<'a> {
    house: &'a OpenHouse<'a>,
    now: Instant,
    /// The entry that is corrected: it is not in its own way.
    entry: i64,
}

impl Again<'_> {
    fn read(&self, body: &Body) -> Result<(Body, Vec<Fault>), IntakeError> {
        let today = self.house.today(self.now);
        let faults = match body {
            Body::Check(it) => {
                let rows = self.rows(body, CALIBRATION_COLUMNS, "points", it.points.len())?;
                let faults = calibration::faults_of(self.house, today, &rows);
                in_place(faults, "points", calibration::OF_A_POINT)
            }
            Body::Inspection(it) => {
                let rows = self.rows(body, INSPECTION_COLUMNS, "lines", it.lines.len())?;
                let place = (self.house, self.entry);
                let faults = inspection::faults_of(place, today, &rows)?;
                in_place(faults, "lines", inspection::OF_A_LINE)
            }
            _ => {
                let mut desk = EventDesk::new(self.house, self.now);
                let read = match self.about_event(&mut desk, body) {
                    // A name that stands no more: admission says so.
                    Err(IntakeError::NoSuchName(_)) => None,
                    read => read?,
                };
                return Ok((read.unwrap_or_else(|| body.clone()), desk.faults.list));
            }
        };
        Ok((body.clone(), faults))
    }

    /// The rows that the file of a body would have, numbered by their place in its list.
    fn rows(
        &self,
        body: &Body,
        columns: &[&str],
        list: &str,
        count: usize,
    ) -> Result<Vec<Row>, IntakeError> {
        let fields = Spelling::new(self.house.snapshot, &self.house.names).fields(body)?;
        let rows = (1..=count.max(1)).map(|at| {
            let cells = columns.iter().map(|name| {
                let paths = [(*name).to_owned(), format!("{list}.{at}.{name}")];
                let field = fields.iter().find(|it| paths.contains(&it.field));
                field.map(|it| it.value.clone()).unwrap_or_default()
            });
            let mut row = Row::typed(cells.collect());
            row.line = u64::try_from(at).ok();
            row
        });
        Ok(rows.collect())
    }

    fn happened(&self, event: Id<Event>) -> Result<Happened, IntakeError> {
        let name = self.house.names.label(event.number());
        Ok(happened(self.house, &name)?)
    }

    /// An event, or what was learned of one; nothing where a moment is none, which the record
    /// says of itself.
    fn about_event(
        &self,
        desk: &mut EventDesk<'_>,
        body: &Body,
    ) -> Result<Option<Body>, IntakeError> {
        match body {
            Body::Event(it) => self.event(desk, it),
            Body::EventHappening(it) => {
                let event = self.happened(it.event)?;
                let Ok(at) = Roughly::parse(&it.at) else {
                    return Ok(None);
                };
                let new = NewHappening {
                    happening: it.happening.clone(),
                    at: Some(at),
                    words: it.words.clone(),
                };
                let read = read_happening(desk, &event, &new)?;
                // A kind that none is stays as it was written, beside the fault.
                Ok(Some(read).filter(|_| desk.faults.list.is_empty()))
            }
            Body::EventNote(it) => self.note(desk, it),
            Body::EventCause(it) => self.cause(desk, it),
            Body::EventAction(it) => {
                let event = self.happened(it.event)?;
                if let Some(plan) = it.plan {
                    open::planned(desk, &event, plan.number())?;
                }
                Ok(None)
            }
            Body::EventLink(it) => self.link(desk, it),
            Body::EventEnd(it) => self.end(desk, it),
            Body::DutyAnswer(it) => {
                let event = self.happened(it.event)?;
                let Ok(at) = Moment::parse(&it.at) else {
                    return Ok(None);
                };
                let new = NewAnswer {
                    question: it.question.clone(),
                    yes: it.answer,
                    because: it.reason.clone(),
                    at: Some(at),
                };
                read_answer(desk, &event, &new).map(Some)
            }
            Body::DutyDone(it) => {
                let event = self.happened(it.event)?;
                let (Ok(at), Ok(from)) = (Moment::parse(&it.at), Moment::parse(&it.from)) else {
                    return Ok(None);
                };
                let new = NewNotification {
                    duty: it.duty.clone(),
                    by: it.by.clone(),
                    to: it.to.clone(),
                    at: Some(at),
                    from: Some(from),
                    reference: it.reference.clone(),
                };
                let read = read_given(desk, &event, &new)?;
                Ok(read.into_iter().next())
            }
            Body::AnnualReport(it) => {
                check_sent(desk, it)?;
                Ok(None)
            }
            _ => Ok(None),
        }
    }

    fn event(&self, desk: &mut EventDesk<'_>, it: &Event) -> Result<Option<Body>, IntakeError> {
        let (Ok(occurred), Ok(discovered)) =
            (Roughly::parse(&it.occurred), Roughly::parse(&it.discovered))
        else {
            return Ok(None);
        };
        let names = &self.house.names;
        let who = |it: &EventPerson| format!("{}={}", names.words(&it.person), it.role);
        let of = |worn: bool| {
            let people = it.people.iter();
            people.filter(move |it| (it.monitored != Some(false)) == worn)
        };
        let new = open::NewEvent {
            name: Some(it.name.clone()),
            kind: it.kind.clone(),
            occurred,
            discovered: Some(discovered),
            place: it.place.clone(),
            job: it.job.map(|it| names.label(it.number())),
            equipment: it
                .equipment
                .iter()
                .map(|it| names.label(it.number()))
                .collect(),
            who: NewPeople {
                people: of(true).map(who).collect(),
                unmonitored: of(false).map(who).collect(),
                bystanders: Vec::new(),
                near: Vec::new(),
            },
            words: it.words.clone(),
        };
        let read = open::read_event(desk, &new)?;
        let kind = match read.kind.is_empty() {
            true => it.kind.clone(),
            false => read.kind,
        };
        // The people stay in the order in which they were written.
        let people = it.people.clone();
        Ok(Some(Body::from(Event {
            kind,
            people,
            ..read
        })))
    }

    fn note(&self, desk: &mut EventDesk<'_>, it: &EventNote) -> Result<Option<Body>, IntakeError> {
        let event = self.happened(it.event)?;
        let Ok(at) = Roughly::parse(&it.at) else {
            return Ok(None);
        };
        let barrier = it.barrier.zip(it.state);
        let new = about_event::NewNote {
            at,
            barrier: barrier.map(|(barrier, state)| format!("{}={}", barrier.word(), state.word())),
            disputes: it.disputes.map(Id::number),
            item: it.item.clone(),
            person: None,
            words: it.words.clone(),
        };
        let EventNote { at, .. } = open::read_note(desk, &event, &new)?;
        Ok(Some(Body::from(EventNote { at, ..it.clone() })))
    }

    fn cause(
        &self,
        desk: &mut EventDesk<'_>,
        it: &EventCause,
    ) -> Result<Option<Body>, IntakeError> {
        let event = self.happened(it.event)?;
        let Ok(at) = Moment::parse(&it.known_at) else {
            return Ok(None);
        };
        let parts = match (it.equipment, &it.component, &it.failure) {
            (Some(equipment), Some(component), Some(failure)) => Some([
                self.house.names.label(equipment.number()),
                component.clone(),
                failure.clone(),
            ]),
            (None, None, None) => None,
            // Told by the record of itself.
            _ => return Ok(None),
        };
        let new = about_event::NewCause {
            at: Some(at),
            because: it.because.clone(),
            found: parts,
            human: it.human.map(|it| it.word().to_owned()),
            leads_to: it.leads_to.map(Id::number),
            kind: it.kind,
        };
        let read = read_cause(desk, &event, &new)?;
        Ok(Some(Body::from(read)))
    }

    fn link(&self, desk: &mut EventDesk<'_>, it: &EventLink) -> Result<Option<Body>, IntakeError> {
        let event = self.happened(it.event)?;
        let names = &self.house.names;
        let worker = it.worker.map(|it| names.label(it.number()));
        let dosimeter = it.dosimeter.map(|it| names.label(it.number()));
        let of = (worker.as_deref(), dosimeter.as_deref());
        open::read_link(desk, &event, &it.record.to_string(), of).map(Some)
    }

    fn end(&self, desk: &mut EventDesk<'_>, it: &EventEnd) -> Result<Option<Body>, IntakeError> {
        let event = self.happened(it.event)?;
        let by = self.house.names.label(it.by.number());
        open::read_end(desk, &event, (&by, Some(it.on), &it.words)).map(Some)
    }
}

/// Faults of numbered rows as faults of the fields of a body.
fn in_place(faults: Vec<Fault>, list: &str, of_a_row: &[&str]) -> Vec<Fault> {
    let mut faults = faults;
    for fault in &mut faults {
        if let Some(at) = fault.line.take()
            && of_a_row.contains(&fault.field.as_str())
        {
            fault.field = format!("{list}.{at}.{}", fault.field);
        }
    }
    faults
}

//! What the ledger has of the contents that a report must have. Nobody's name is in it: people
//! are a letter each, and the names stand in a part of their own.

use super::cause::sorted_words;
use super::happened::{Happened, local};
use super::notification_happened::sources_of;
use super::notification_hide::{Called, Hide};
use super::notification_people::all_doses;
use super::person::{Person, minute, moment};
use super::trace_states::last_day;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::strength::{SourceAsked, Strength};
use crate::calendar::{Day, When};
use crate::ledger::{Snapshot, Stored};
use crate::quantity::ActivityUnit;
use crate::record::{DutyDone, EventAction, Occasion, Qualification, Role, Words};
use crate::rule::KeyedText;

/// One content of a report.
#[derive(Debug, Clone, Default)]
pub(crate) struct Fill {
    /// What the ledger has of it, a paragraph each.
    pub text: Vec<String>,
    /// What of it is missing; nothing where the ledger has it.
    pub missing: Option<String>,
}

/// Contents of reports on one event, each as far as the ledger has it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Contents {
    problem: Fill,
    cause: Fill,
    maker: Fill,
    place: Fill,
    time: Fill,
    restored: Fill,
    corrective: Fill,
    qualifications: Fill,
    material: Fill,
    doses: Fill,
    result: Fill,
    hide: Hide,
    /// Words of the texts that are somebody's id and may be ordinary words.
    pub unsure: Vec<String>,
    /// Everybody in it: what the report calls the person, the id or name, the full name.
    pub people: Vec<Called>,
}

fn have(text: Vec<String>, else_missing: &str) -> Fill {
    Fill {
        missing: text.is_empty().then(|| else_missing.to_owned()),
        text,
    }
}

impl Contents {
    /// What the ledger has of an event.
    pub fn of(
        house: &OpenHouse<'_>,
        it: &Happened,
        people: &[Person],
    ) -> Result<Contents, AnswerError> {
        let called = called(house, it, people);
        let hide = Hide::new(house, &called);
        let rule_set = house.judging(it.day())?;
        let kind = it
            .kind(rule_set)
            .map_or_else(|| it.body.kind.clone(), |it| it.name);
        let time = format!(
            "occurred {}, discovered {}",
            it.occurred_words(),
            it.discovered_words()
        );
        let mut contents = Contents {
            hide: Hide::default(),
            unsure: Vec::new(),
            problem: have(vec![format!("{kind}: {}", hide.from(&it.body.words))], ""),
            cause: cause(house, it, &hide),
            maker: maker(house, it),
            place: place(house, it, &hide),
            time: have(vec![time], ""),
            restored: restored(house, it, &hide)?,
            corrective: corrective(it, &hide),
            qualifications: qualifications(house.snapshot, it, people, &called, &hide)?,
            material: material(house, it),
            doses: doses(house, people, &called),
            result: result(house, it),
            people: called,
        };
        let fills = [
            &contents.problem,
            &contents.cause,
            &contents.place,
            &contents.restored,
            &contents.corrective,
            &contents.qualifications,
        ];
        contents.unsure = hide.unsure(fills.iter().flat_map(|it| &it.text));
        contents.hide = hide;
        Ok(contents)
    }

    /// A text in which the people of the event are called as in the report.
    pub fn masked(&self, text: &str) -> String {
        self.hide.from(text)
    }

    /// A notice that was given, without its giver's name.
    pub fn given(&self, it: &Happened, done: &DutyDone) -> String {
        let at = moment(&done.at, it.discovered);
        let number = done.reference.as_deref();
        let number = number.map_or_else(String::new, |it| format!(", number {it}"));
        format!(
            "{} notified on {}{number}",
            self.hide.from(&done.to),
            local(it, at)
        )
    }

    /// What there is of one content, by its key; what the program does not know must be written.
    pub fn fill(&self, content: &KeyedText) -> Fill {
        let all = |parts: &[&Fill]| {
            let missing: Vec<String> = parts.iter().filter_map(|it| it.missing.clone()).collect();
            Fill {
                text: parts.iter().flat_map(|it| it.text.clone()).collect(),
                missing: (!missing.is_empty()).then(|| missing.join("; ")),
            }
        };
        match content.key.as_str() {
            "problem" => self.problem.clone(),
            "cause" => self.cause.clone(),
            "maker" | "equipment" => self.maker.clone(),
            "result" => self.result.clone(),
            // 10 CFR 34.101(b)(4) wants the hour with it; elsewhere it does no harm.
            "place" => all(&[&self.place, &self.time]),
            "time" => self.time.clone(),
            "restored" => self.restored.clone(),
            "corrective" => self.corrective.clone(),
            "qualifications" => self.qualifications.clone(),
            "material" if !self.material.text.is_empty() && content.asks_for_the_form() => {
                let form = "chemical form, from the source's certificate";
                all(&[&self.material, &have(Vec::new(), form)])
            }
            "material" => self.material.clone(),
            "exposure" | "doses" => self.doses.clone(),
            "private" => have(vec!["in a separate part, marked as private".to_owned()], ""),
            "event" if content.asks_for_the_cause() => {
                all(&[&self.problem, &self.cause, &self.maker])
            }
            "event" => all(&[&self.problem, &self.time]),
            _ => have(Vec::new(), &content.text),
        }
    }
}

fn called(house: &House, it: &Happened, people: &[Person]) -> Vec<Called> {
    let letters = (b'A'..=b'Z').map(|it| char::from(it).to_string());
    // After Z the numbers: nobody has so many people in an event.
    let letters = letters.chain((1..).map(|it: u32| it.to_string()));
    let called = people.iter().zip(letters).map(|(person, letter)| {
        let role = person
            .worker
            .and_then(|it| Some((it, house.names.worker_body(it)?)));
        let kind = match role.and_then(|(record, _)| house.names.role_on(record, it.day())) {
            Some(Role::Rso) => "radiation safety officer",
            Some(Role::RsoDesignee) => "RSO's designee",
            Some(Role::Radiographer) => "radiographer",
            Some(Role::Assistant) => "assistant",
            Some(Role::Trainee) => "trainee",
            Some(Role::Inspector) => "inspector",
            Some(Role::Other) | None => "person",
        };
        Called {
            called: format!("{kind} {letter}"),
            label: person.label.clone(),
            name: role.map(|(_, body)| body.name.clone()),
        }
    });
    called.collect()
}

fn cause(house: &House, it: &Happened, hide: &Hide) -> Fill {
    let stand = it.standing();
    let told = stand.iter().enumerate().map(|(at, cause)| {
        let words = sorted_words(house, it.day(), &cause.body);
        let because = hide.from(&cause.body.because);
        let which = match stand.len() {
            1 => String::new(),
            _ => format!("{}. ", at + 1),
        };
        format!("{which}{words} (rests on: {because})")
    });
    have(
        told.collect(),
        "no cause recorded yet, nor that none was found",
    )
}

fn maker(house: &House, it: &Happened) -> Fill {
    let mut fill = Fill::default();
    let mut without = Vec::new();
    for item in it.all_equipment() {
        let kind = house.names.type_word(item).unwrap_or("item");
        let label = house.names.label(item);
        let body = house.names.equipment_body(item);
        let instrument = house.names.instrument_body(item);
        let (maker, model, serial) = match (body, instrument) {
            (Some(it), _) => (it.maker.clone(), it.model.clone(), Some(it.serial.clone())),
            (None, Some(it)) => (it.maker.clone(), it.model.clone(), Some(it.serial.clone())),
            (None, None) => (None, None, None),
        };
        match (maker, model) {
            (Some(maker), Some(model)) => {
                let serial = serial
                    .map(|it| format!(", serial {it}"))
                    .unwrap_or_default();
                let line = format!("{kind} {label}: {maker}, model {model}{serial}");
                fill.text.push(line);
            }
            _ => {
                let serial = serial
                    .map(|it| format!(", serial {it}"))
                    .unwrap_or_default();
                fill.text.push(format!("{kind} {label}{serial}"));
                without.push(label);
            }
        }
    }
    if fill.text.is_empty() {
        fill.missing = Some("the event names no equipment".to_owned());
    } else if !without.is_empty() {
        fill.missing = Some(format!("maker and model of {}", without.join(", ")));
    }
    fill
}

fn place(house: &House, it: &Happened, hide: &Hide) -> Fill {
    let job = it
        .body
        .job
        .and_then(|job| house.names.job_body(job.number()));
    let job = job.map(|it| format!("{} ({})", it.place, it.jurisdiction));
    let own = it.body.place.as_deref().map(|it| hide.from(it));
    have(job.into_iter().chain(own).collect(), "where it was")
}

/// What the time line tells from the occurrence on, and what was done to the equipment since.
fn restored(house: &OpenHouse<'_>, it: &Happened, hide: &Hide) -> Result<Fill, AnswerError> {
    let mut text = Vec::new();
    for note in &it.notes {
        let when = When::parse(&note.body.at, it.zone).ok();
        // What may have been from then on is told too, with what is known of when.
        let latest = when.and_then(|it| it.latest);
        if latest.is_none_or(|latest| latest >= it.occurred) {
            let exact = when.filter(When::is_exact).and_then(|it| it.earliest);
            let at = exact.map_or_else(|| note.body.at.clone(), |at| local(it, minute(at)));
            text.push(format!("{at}: {}", hide.from(&note.body.words)));
        }
    }
    let mut fill = have(
        text,
        "the time line tells nothing: how the source was secured, when and by whom",
    );
    fill.text.extend(since(house, it, hide)?);
    Ok(fill)
}

/// What was done to each item from the day of the event on, by day.
fn since(house: &OpenHouse<'_>, it: &Happened, hide: &Hide) -> Result<Vec<String>, AnswerError> {
    let day = it.day();
    let mut found: Vec<(Day, String)> = Vec::new();
    for equipment in it.all_equipment() {
        let label = house.names.label(equipment);
        let life = house.service.life_of(equipment).into_iter();
        let life = life.filter(|line| line.on >= day);
        found.extend(life.map(|line| (line.on, format!("{label}: {}", hide.from(&line.what)))));
        let parts = house.maintenance.parts_of(equipment).iter();
        found.extend(parts.filter(|it| it.body.installed_on >= day).map(|it| {
            let serial = it.body.serial.as_deref();
            let serial = serial.map_or_else(String::new, |it| format!(", serial {it}"));
            let what = format!("{label}: {} installed{serial}", it.body.component);
            (it.body.installed_on, what)
        }));
        for inspection in house.snapshot.inspections_of(equipment, day, last_day())? {
            if inspection.occasion == Occasion::AfterEvent {
                found.push((inspection.on, format!("{label}: inspected after the event")));
            }
        }
    }
    found.sort();
    Ok(found
        .into_iter()
        .map(|(on, what)| format!("{on}: {what}"))
        .collect())
}

fn corrective(it: &Happened, hide: &Hide) -> Fill {
    // A plan that was carried out stands there as what was done.
    let carried_out = |plan: &Stored<EventAction>| {
        let mut all = it.actions.iter();
        all.any(|other| other.body.plan == Some(plan.record.into()))
    };
    let text = it
        .actions
        .iter()
        .filter(|it| !carried_out(it))
        .map(|action| {
            let (on, due) = (action.body.done_on, action.body.due_on);
            let state = match (on, due) {
                (Some(on), _) => format!("done {on}"),
                (None, Some(due)) => format!("planned, by {due}"),
                (None, None) => "planned".to_owned(),
            };
            format!("{} ({state})", hide.from(&action.body.words))
        });
    have(
        text.collect(),
        "what was done, or is to be, so that it does not happen again",
    )
}

fn qualifications(
    snapshot: &Snapshot<'_>,
    it: &Happened,
    people: &[Person],
    called: &[Called],
    hide: &Hide,
) -> Result<Fill, AnswerError> {
    let all = snapshot.all::<Qualification>()?;
    let mut fill = have(
        Vec::new(),
        "the event names no crew member who was involved",
    );
    let mut without = Vec::new();
    for (person, called) in people.iter().zip(called) {
        // Whoever only stood there qualifies for nothing.
        if person.worker.is_none() && person.estimate.is_some() {
            continue;
        }
        let did = person.role.as_deref().map(|it| hide.from(it));
        let did = did.unwrap_or_else(|| "stands on a linked record".to_owned());
        let of = |it: &&Stored<Qualification>| Some(it.body.worker.number()) == person.worker;
        let mine = all.iter().filter(of).filter(|one| one.body.on <= it.day());
        let mut words: Vec<String> = mine.map(|one| of_record(&one.body)).collect();
        if words.is_empty() {
            words.push("no qualification on record".to_owned());
            without.push(called.called.clone());
        }
        fill.text
            .push(format!("{} ({did}): {}", called.called, words.join("; ")));
    }
    if !fill.text.is_empty() {
        let missing = format!("qualifications of {}", without.join(", "));
        fill.missing = (!without.is_empty()).then_some(missing);
    }
    Ok(fill)
}

fn of_record(it: &Qualification) -> String {
    let until = it
        .until
        .map_or_else(String::new, |until| format!(" until {until}"));
    format!("{} {}{until}", it.kind.word(), it.on)
}

/// Nuclide and activity of each source on the day, decayed to the hour.
fn material(house: &House, it: &Happened) -> Fill {
    let mut fill = have(
        Vec::new(),
        "isotope and activity: the event names no source",
    );
    let mut without = Vec::new();
    let at = it.zone.local(it.occurred).naive_local();
    for source in sources_of(house, it) {
        let id = house.names.label(source);
        let asked = SourceAsked {
            source: Some(id.clone()),
            ..SourceAsked::default()
        };
        match Strength::find(house, &asked, at.date(), at.time()) {
            Ok(found) => fill.text.push(format!(
                "{id}: {}, {} on that day (decayed from {}; an estimate); sealed source",
                found.view.nuclide, found.view.activity, found.view.stated
            )),
            Err(_) => {
                fill.text.push(format!("{id}: sealed source"));
                without.push(format!("activity of {id} on that day"));
            }
        }
    }
    if !fill.text.is_empty() {
        fill.missing = (!without.is_empty()).then(|| without.join("; "));
    }
    fill
}

/// The last leak test of each item that the event names.
fn result(house: &House, it: &Happened) -> Fill {
    let all_equipment = it.body.equipment.iter();
    let last = all_equipment
        .filter_map(|item| Some((item, house.maintenance.leak_tests_of(item.number()).last()?)));
    let text = last.map(|(item, test)| {
        let removable = test.body.removable_bq.display(ActivityUnit::Becquerel);
        let less = if test.body.below { "less than " } else { "" };
        let (item, on) = (house.names.label(item.number()), test.body.on);
        format!("{item}: {less}{removable} removable, wiped {on}")
    });
    have(text.collect(), "the result of the test")
}

fn doses(house: &House, people: &[Person], called: &[Called]) -> Fill {
    let mut fill = have(Vec::new(), "the event names no one who was involved");
    let mut without = Vec::new();
    for (person, called) in people.iter().zip(called) {
        let words = all_doses(house, person);
        fill.text.push(format!("{}: {words}", called.called));
        if person.doses.is_empty() || person.doses.last().is_some_and(|it| it.open) {
            without.push(called.called.clone());
        }
    }
    if !fill.text.is_empty() {
        let missing = format!("the dose of {}: to be determined", without.join(", "));
        fill.missing = (!without.is_empty()).then_some(missing);
    }
    fill
}

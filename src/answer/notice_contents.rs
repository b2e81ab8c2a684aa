//! What the ledger has of the contents that a report must have. Nobody's name is in it: people
//! are a letter each, and the names stand in a part of their own.

use super::error::AnswerError;
use super::event::Happened;
use super::event_cause::sorted_words;
use super::load::House;
use super::notice::local;
use super::notice_facts::{Person, minute};
use super::notice_happened::sources_of;
use super::notice_people::all_doses;
use super::strength::{SourceAsked, Strength};
use crate::calendar::When;
use crate::ledger::{Snapshot, Stored};
use crate::quantity::ActivityUnit;
use crate::record::{Qualification, Role, Words};
use crate::rule::KeyedText;

/// One content of a report.
#[derive(Debug, Clone, Default)]
pub(super) struct Fill {
    /// What the ledger has of it, a paragraph each.
    pub text: Vec<String>,
    /// What of it is missing; nothing where the ledger has it.
    pub missing: Option<String>,
}

/// Contents of reports on one event, each as far as the ledger has it.
#[derive(Debug, Clone, Default)]
pub(super) struct Contents {
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
    /// Everybody in it: what the report calls the person, the id or name, the full name.
    pub people: Vec<Called>,
}

/// Somebody as a report calls the person.
#[derive(Debug, Clone)]
pub(super) struct Called {
    pub called: String,
    pub label: String,
    pub name: Option<String>,
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
        snapshot: &Snapshot<'_>,
        house: &House,
        it: &Happened,
        people: &[Person],
    ) -> Result<Contents, AnswerError> {
        let called = called(house, it, people);
        let hide = Hide::new(house, &called);
        let scheme = house.scheme_on(it.day())?;
        let kind = it
            .kind(scheme)
            .map_or_else(|| it.body.kind.clone(), |it| it.name);
        let time = format!(
            "occurred {}, discovered {}",
            it.occurred_words(),
            it.discovered_words()
        );
        Ok(Contents {
            problem: have(vec![format!("{kind}: {}", hide.from(&it.body.words))], ""),
            cause: cause(house, it, &hide),
            maker: maker(house, it),
            place: place(house, it, &hide),
            time: have(vec![time], ""),
            restored: restored(it, &hide),
            corrective: corrective(it, &hide),
            qualifications: qualifications(snapshot, it, people, &called, &hide)?,
            material: material(house, it),
            doses: doses(house, people, &called),
            result: result(house, it),
            people: called,
        })
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
            "material" => self.material.clone(),
            "exposure" | "doses" => self.doses.clone(),
            "private" => have(vec!["in a separate part, marked as private".to_owned()], ""),
            // The written one of 30.50(c)(2) wants the cause and the maker too.
            "event" if content.text.contains("cause") => {
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
        let sort = match role.and_then(|(record, _)| house.names.role_on(record, it.day())) {
            Some(Role::Rso) => "radiation safety officer",
            Some(Role::RsoDesignee) => "RSO's designee",
            Some(Role::Radiographer) => "radiographer",
            Some(Role::Assistant) => "assistant",
            Some(Role::Trainee) => "trainee",
            Some(Role::Other) | None => "person",
        };
        Called {
            called: format!("{sort} {letter}"),
            label: person.label.clone(),
            name: role.map(|(_, body)| body.name.clone()),
        }
    });
    called.collect()
}

/// Puts what a report calls people in the place of their ids and names.
#[derive(Default)]
struct Hide {
    /// Ids and whole names, in capitals or not.
    words: Vec<(String, String)>,
    /// Parts of names, only as they are written: `Long` is somebody, `long` is not.
    parts: Vec<(String, String)>,
}

impl Hide {
    fn new(house: &House, called: &[Called]) -> Hide {
        let mut hide = Hide::default();
        for it in called {
            for name in it.name.iter().chain([&it.label]) {
                hide.add(name, &it.called);
            }
        }
        // People who had no part in it are nobody's business either.
        for (_, worker) in house.names.workers() {
            for word in [&worker.name, &worker.id] {
                if !hide.words.iter().any(|(known, _)| known == word) {
                    hide.add(word, "another employee");
                }
            }
        }
        hide
    }

    fn add(&mut self, name: &str, called: &str) {
        self.words.push((name.to_owned(), called.to_owned()));
        let joins = |c: char| c.is_alphanumeric() || c == '-' || c == '\'';
        let parts = name.split(|c: char| !joins(c));
        let is_name = |it: &&str| it.len() > 2 && *it != name && it.starts_with(char::is_uppercase);
        for part in parts.filter(is_name) {
            match self.parts.iter_mut().find(|it| it.0 == part) {
                // A name of two people is neither's.
                Some(known) if known.1 != called => known.1 = "somebody".to_owned(),
                Some(_) => {}
                None => self.parts.push((part.to_owned(), called.to_owned())),
            }
        }
        // The longest first, so that no part of a name is taken for another.
        for all in [&mut self.words, &mut self.parts] {
            all.sort_by_key(|it| std::cmp::Reverse(it.0.len()));
        }
    }

    /// What stands for somebody at the start of a text, and what follows it.
    fn at<'a>(&self, text: &'a str) -> Option<(&str, &'a str)> {
        let whole = self
            .words
            .iter()
            .filter_map(|(word, called)| Some((called.as_str(), strip_any_case(text, word)?)));
        let parts = self.parts.iter().filter_map(|(word, called)| {
            Some((called.as_str(), text.strip_prefix(word.as_str())?))
        });
        whole
            .chain(parts)
            .find(|(_, after)| !after.starts_with(char::is_alphanumeric))
    }

    fn from(&self, text: &str) -> String {
        let mut out = String::new();
        let mut rest = text;
        let mut inside = false;
        while let Some(next) = rest.chars().next() {
            match self.at(rest).filter(|_| !inside) {
                Some((called, after)) => {
                    out.push_str(called);
                    rest = after;
                    inside = true;
                }
                None => {
                    out.push(next);
                    rest = rest.get(next.len_utf8()..).unwrap_or_default();
                    inside = next.is_alphanumeric();
                }
            }
        }
        out
    }
}

/// What follows a word at the start of a text, in capitals or not.
fn strip_any_case<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    if word.is_empty() {
        return None;
    }
    let head = text.get(..word.len())?;
    let same = head.eq_ignore_ascii_case(word);
    same.then(|| text.get(word.len()..)).flatten()
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
        "nobody has said a cause yet, nor that none was found",
    )
}

fn maker(house: &House, it: &Happened) -> Fill {
    let mut fill = Fill::default();
    let mut without = Vec::new();
    let mut items = it.body.equipment.clone();
    for failed in it.standing().iter().filter_map(|it| it.body.equipment) {
        if !items.contains(&failed) {
            items.push(failed);
        }
    }
    for item in items {
        let sort = house.names.sort_word(item.number()).unwrap_or("item");
        let label = house.names.label(item.number());
        let body = house.names.equipment_body(item.number());
        let instrument = house.names.instrument_body(item.number());
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
                let line = format!("{sort} {label}: {maker}, model {model}{serial}");
                fill.text.push(line);
            }
            _ => {
                let serial = serial
                    .map(|it| format!(", serial {it}"))
                    .unwrap_or_default();
                fill.text.push(format!("{sort} {label}{serial}"));
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

/// What the time line tells from the occurrence on.
fn restored(it: &Happened, hide: &Hide) -> Fill {
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
    have(
        text,
        "the time line tells nothing: how the source was secured, when and by whom",
    )
}

fn corrective(it: &Happened, hide: &Hide) -> Fill {
    let text = it.actions.iter().map(|action| {
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
    let mut fill = have(Vec::new(), "the event names nobody who was involved");
    let mut without = Vec::new();
    for (person, called) in people.iter().zip(called) {
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
    format!("{} {}{until}", it.sort.word(), it.on)
}

/// Nuclide and activity of each source on the day, decayed to the hour.
fn material(house: &House, it: &Happened) -> Fill {
    let mut fill = have(
        Vec::new(),
        "isotope and activity: the event names no source",
    );
    let mut without = vec!["chemical form, from the source's certificate".to_owned()];
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
        fill.missing = Some(without.join("; "));
    }
    fill
}

/// The last leak test of each piece that the event names.
fn result(house: &House, it: &Happened) -> Fill {
    let pieces = it.body.equipment.iter();
    let last =
        pieces.filter_map(|item| Some((item, house.upkeep.leak_tests_of(item.number()).last()?)));
    let text = last.map(|(item, test)| {
        let removable = test.body.removable_bq.display(ActivityUnit::Becquerel);
        let less = if test.body.below { "less than " } else { "" };
        let (item, on) = (house.names.label(item.number()), test.body.on);
        format!("{item}: {less}{removable} removable, wiped {on}")
    });
    have(text.collect(), "the result of the test")
}

fn doses(house: &House, people: &[Person], called: &[Called]) -> Fill {
    let mut fill = have(Vec::new(), "the event names nobody who was involved");
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_ids_become_letters_and_parts_of_words_stay() {
        let mut hide = Hide::default();
        hide.add("W07", "radiographer A");
        hide.add("Ann Lee", "radiographer A");
        hide.add("Ann", "person B");
        for (text, wanted) in [
            ("W07 cranked", "radiographer A cranked"),
            ("seen by w07.", "seen by radiographer A."),
            ("W070 and xW07 stay", "W070 and xW07 stay"),
            ("Ann Lee told Ann", "radiographer A told person B"),
            ("Annual check, é W07", "Annual check, é radiographer A"),
        ] {
            assert_eq!(hide.from(text), wanted);
        }
    }

    #[test]
    fn a_part_of_a_name_is_somebody_only_as_it_is_written() {
        let mut hide = Hide::default();
        hide.add("Adaeze Long", "radiographer A");
        hide.add("Long-Smith, Jo", "assistant B");
        hide.add("Ben Adaeze", "another employee");
        for (text, wanted) in [
            ("Long cranked it in", "radiographer A cranked it in"),
            ("with the long tongs", "with the long tongs"),
            ("Longer than usual", "Longer than usual"),
            ("A. Long's hand", "A. radiographer A's hand"),
            ("ADAEZE LONG left", "radiographer A left"),
            ("Long-Smith saw it", "assistant B saw it"),
            ("told Adaeze", "told somebody"),
        ] {
            assert_eq!(hide.from(text), wanted);
        }
    }
}

//! The crew of a sheet, a line each: who, and what they wear.

use super::ask::{Asking, Question, Read};
use super::list::{LISTED, Numbers, against, more_by_id, type_words};
use crate::answer::{Member, Names, Offered, OfferedType, SheetOffer, member_of};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::record::{Role, Words};
use crate::show::Report;
use crate::text::Language;

/// The crew, a line each.
pub(crate) fn crew(
    asking: &mut Asking<'_, '_>,
    offer: &SheetOffer,
) -> Result<Vec<Member>, Failure> {
    let numbers = list_of_people(asking, offer)?;
    let before = offer.last.as_ref().map(|it| it.crew.clone());
    let before = before.unwrap_or_default();
    let mut crew: Vec<Member> = Vec::new();
    loop {
        let number = crew.len() + 1;
        let key = format!("person.{number}");
        let label = match crew.is_empty() {
            true => format!("person {number}: who, dosimeter, ratemeter"),
            false => format!("person {number}: who, dosimeter, ratemeter; - ends"),
        };
        let last = before.get(crew.len());
        let proposal = proposal(asking, last)?;
        if let Some(last) = last.filter(|_| proposal == NOT_BY_ENTER) {
            let again = typed_as(last);
            asking.say(&format!(
                "[?]: {} may not work, so Enter keeps no one here; type who it is, \
                 `{again}` for the same, or - to end",
                last.worker
            ))?;
        }
        let question = Question {
            key: &key,
            label: &label,
            proposal: &proposal,
        };
        let member = asking.ask(&question, |session, typed| {
            if typed.is_empty() {
                let needed = "at least one person, such as `1`, or `W01 PD-01 RM-01`";
                return Ok(match crew.is_empty() {
                    true => Err(needed.to_owned()),
                    false => Ok(None),
                });
            }
            if typed == NOT_BY_ENTER {
                let again = last.map(typed_as).unwrap_or_default();
                return Ok(Err(format!("type `{again}`, another person, or - to end")));
            }
            Ok(one_person(session, (offer, &numbers), &crew, typed)?.map(Some))
        })?;
        let Some(member) = member else {
            return Ok(crew);
        };
        for stop in against(asking.session, &[&member.worker])? {
            asking.say(&format!("NOT AS IT STANDS: {stop}"))?;
        }
        crew.push(member);
    }
}

/// What stands in the place of somebody against whom something stands: whoever must not go out
/// again is not taken by pressing Enter.
const NOT_BY_ENTER: &str = "?";

/// What Enter keeps: the person of last time, if nothing stands against them.
fn proposal(asking: &mut Asking<'_, '_>, last: Option<&Member>) -> Result<String, Failure> {
    let Some(last) = last else {
        return Ok(String::new());
    };
    let stands = against(asking.session, &[&last.worker])?;
    Ok(match stands.is_empty() {
        true => typed_as(last),
        false => NOT_BY_ENTER.to_owned(),
    })
}

/// A member as a line that says the same again.
fn typed_as(member: &Member) -> String {
    if member.name.is_empty() {
        // A name that nobody has registered is typed again by whoever knows it.
        return String::new();
    }
    let mut words = vec![member.worker.clone()];
    words.extend(member.dosimeters.clone());
    words.extend((!member.ratemeter.is_empty()).then(|| member.ratemeter.clone()));
    if words.len() == 1 {
        words.push("none".to_owned());
    }
    words.join(" ")
}

/// One of the list: `W07 Mirko Sandpiper, radiographer: PD-07 RM-07`.
fn listed(language: Language, member: &Member) -> String {
    let role = language.say(member.role.map_or("", Words::word));
    let mut worn: Vec<&str> = member.dosimeters.iter().map(String::as_str).collect();
    worn.extend((!member.ratemeter.is_empty()).then_some(member.ratemeter.as_str()));
    let worn = match worn.is_empty() {
        true => String::new(),
        false => format!(": {}", worn.join(" ")),
    };
    format!("{} {}, {role}{worn}", member.worker, member.name)
}

fn list_of_people(asking: &mut Asking<'_, '_>, offer: &SheetOffer) -> Result<Numbers, Failure> {
    let mut numbers = Numbers::new();
    let language = asking.language();
    let mut report = Report::new(language.say("Each of the crew in a line, by numbers or ids:"));
    asking.session.ask(None, |house| {
        for member in offer.people.iter().take(LISTED) {
            let it = Offered {
                id: member.worker.clone(),
                kind: OfferedType::Worker,
            };
            let number = numbers.give(house, it);
            report.under(format!("{number} {}", listed(language, member)));
        }
        if let Some(words) = more_by_id(offer.people.len(), LISTED) {
            report.under(language.say(&words));
        }
        for (kind, what) in [
            (OfferedType::Dosimeter, "dosimeters"),
            (OfferedType::Ratemeter, "alarm ratemeters"),
        ] {
            let of_type = || offer.worn.iter().filter(|it| it.kind == kind);
            let listed = of_type().take(LISTED);
            let listed = listed.map(|it| format!("{}:{}", numbers.give(house, it.clone()), it.id));
            let more = more_by_id(of_type().count(), LISTED);
            let more = more.map(|it| language.say(&it));
            let all: Vec<String> = listed.chain(more).collect();
            if !all.is_empty() {
                report.under(format!("{}: {}", language.say(what), all.join("  ")));
            }
        }
        Ok(())
    })?;
    report.line(language.say(
        "A person alone keeps what is listed after the name; `none` is neither dosimeter nor \
         ratemeter; another role comes last: `1 trainee`.",
    ));
    asking.session.output.talk_report(&report)?;
    Ok(numbers)
}

/// Reads one line of the crew.
fn one_person(
    session: &mut Session<'_>,
    (offer, numbers): (&SheetOffer, &Numbers),
    crew: &[Member],
    typed: &str,
) -> Result<Read<Member>, Failure> {
    let mut words: Vec<&str> = typed.split_whitespace().collect();
    let whole = session.ask(None, |house| {
        Ok(house
            .names
            .find_worker(typed)
            .map(|it| house.names.label(it.number())))
    })?;
    if let Some(id) = &whole {
        words = vec![id];
    }
    let mut worn = Worn::default();
    let mut worker = None;
    for word in words {
        if let Err(wrong) = worn.word(session, numbers, &mut worker, word)? {
            return Ok(Err(wrong));
        }
    }
    let Some(worker) = worker else {
        return Ok(Err(
            "who is it? the number or id of a worker comes first".to_owned()
        ));
    };
    if crew.iter().any(|it| it.worker == worker) {
        return Ok(Err(format!("{worker} is on this sheet already")));
    }
    let others = crew
        .iter()
        .flat_map(|it| it.dosimeters.iter().chain([&it.ratemeter]));
    if let Some(shared) = others.into_iter().find(|it| worn.chosen.contains(it)) {
        return Ok(Err(format!(
            "{shared} is on another of this crew; to write it anyway: dosimeter={shared} or \
             ratemeter={shared}"
        )));
    }
    let now = session.clock.now();
    let listed = offer.people.iter().find(|it| it.worker == worker).cloned();
    let known = match listed {
        Some(listed) => Some(listed),
        None => session.ask(None, |house| member_of(house, &worker, now))?,
    };
    Ok(worn.member(worker, known))
}

/// What a line says that somebody wore.
#[derive(Default)]
struct Worn {
    role: Option<Role>,
    dosimeters: Vec<String>,
    ratemeter: String,
    /// Those that were not given `as it stands`.
    chosen: Vec<String>,
    said: bool,
}

impl Worn {
    fn word(
        &mut self,
        session: &mut Session<'_>,
        numbers: &Numbers,
        worker: &mut Option<String>,
        word: &str,
    ) -> Result<Read<()>, Failure> {
        if let Some((field, id)) = word.split_once('=').filter(|it| !it.1.is_empty()) {
            match field {
                "worker" => *worker = Some(id.to_owned()),
                "dosimeter" => self.dosimeters.push(id.to_owned()),
                "ratemeter" => id.clone_into(&mut self.ratemeter),
                _ => {
                    return Ok(Err(format!(
                        "`{word}`: worker=ID, dosimeter=ID, ratemeter=ID"
                    )));
                }
            }
            self.said |= field != "worker";
            return Ok(Ok(()));
        }
        if worker.is_some() && word.eq_ignore_ascii_case("none") {
            self.said = true;
            return Ok(Ok(()));
        }
        if let Some(role) = Role::from_word(&word.replace('-', " ")) {
            self.role = Some(role);
            return Ok(Ok(()));
        }
        let near = match worker {
            None => Names::near_workers,
            Some(_) => Names::near_instruments,
        };
        let found = match numbers.find(session, word, near)? {
            Ok(found) => found,
            Err(wrong) => {
                let field = if worker.is_none() {
                    "worker"
                } else {
                    "dosimeter"
                };
                let wrong = format!("{wrong} To write it anyway: {field}={word}");
                return Ok(Err(wrong));
            }
        };
        match found.kind {
            OfferedType::Worker if worker.is_none() => *worker = Some(found.id),
            OfferedType::Worker => return Ok(Err("one person a line".to_owned())),
            OfferedType::Dosimeter => {
                self.chosen.push(found.id.clone());
                self.dosimeters.push(found.id);
                self.said = true;
            }
            OfferedType::Ratemeter if self.ratemeter.is_empty() => {
                self.chosen.push(found.id.clone());
                self.ratemeter = found.id;
                self.said = true;
            }
            OfferedType::Ratemeter => return Ok(Err("one ratemeter a person".to_owned())),
            other => {
                let of = type_words(other);
                return Ok(Err(format!("{} ({of}) is nothing to wear", found.id)));
            }
        }
        Ok(Ok(()))
    }

    fn member(self, worker: String, known: Option<Member>) -> Read<Member> {
        let known = known.unwrap_or_else(|| Member {
            worker: worker.clone(),
            name: String::new(),
            role: None,
            dosimeters: Vec::new(),
            ratemeter: String::new(),
        });
        let role = self.role.or(known.role);
        if role.is_none() {
            let list = Role::list();
            return Err(format!(
                "what does {worker} act as? add it to the line: {list}"
            ));
        }
        let nothing = known.dosimeters.is_empty() && known.ratemeter.is_empty();
        if !self.said && nothing {
            return Err(format!(
                "what does {worker} wear? add the dosimeter and the ratemeter, or `none`"
            ));
        }
        Ok(match self.said {
            true => Member {
                role,
                dosimeters: self.dosimeters,
                ratemeter: self.ratemeter,
                ..known
            },
            false => Member { role, ..known },
        })
    }
}

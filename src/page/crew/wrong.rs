//! Something went wrong: first what to do and whom to call, then what is known, then the clocks.

use maud::{Markup, html};

use super::away::kept_pages;
use crate::answer::{
    LastTime, NotificationAnswer, Roughly, kinds_of, last_time_of, notification_of,
};
use crate::calendar::WHEN_RIGHT;
use crate::intake::{Fault, IntakeError, NewEvent, NewPeople, Refused, Taken, open_event};
use crate::ledger::Mode;
use crate::page::shell::asked::{Asked, Fields, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::field::{Field, Wrong, line, named, pick, select, text};
use crate::page::shell::frame::{Frame, crew};
use crate::page::shell::guard::secret;
use crate::page::shell::pages::encoded;
use crate::page::shell::scanned::scan;
use crate::show::{Table, table_of, taken_report};
use crate::text::Language;

/// What the form chooses from.
struct Known {
    now: String,
    kinds: Vec<(String, String)>,
    jobs: Vec<(String, String)>,
    last: Option<LastTime>,
    confirm: String,
}

/// The page of an event.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let known = known(desk, person)?;
    if !asked.post {
        let mut typed = Fields::default();
        let unique = secret().unwrap_or_default();
        let day = known.now.split('T').next().unwrap_or_default();
        typed.set(
            "name",
            format!("E-{day}-{}", unique.get(..4).unwrap_or_default()),
        );
        typed.set("now", &known.now);
        typed.set("job", known.last.as_ref().map_or("", |it| it.job.as_str()));
        // What may have been part of it stays out of use until somebody has looked.
        let set = known.last.iter().flat_map(|it| &it.equipment);
        let set = set.filter(|it| it.known).map(|it| it.id.clone());
        typed.0.extend(set.map(|id| ("piece".to_owned(), id)));
        return Ok(form(
            desk,
            asked,
            person,
            (200, &known, &typed),
            &Wrong::default(),
        ));
    }
    match open(desk, person, &asked.form, &known) {
        Ok(taken) => on_record(desk, asked, person, &taken),
        Err(IntakeError::Refused(refused)) => {
            let wrong = Wrong::of(&refused, |fault| field_of(&fault.field));
            let again = (422, &known, &asked.form);
            Ok(form(desk, asked, person, again, &wrong))
        }
        Err(other) => Err(other),
    }
}

/// The form with what was scanned for it.
pub fn scanned(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    (status, typed, said): (u16, &Fields, &Wrong),
) -> Result<Reply, IntakeError> {
    let known = known(desk, person)?;
    Ok(form(desk, asked, person, (status, &known, typed), said))
}

/// The form's field for one of the record.
fn field_of(field: &str) -> String {
    match field {
        "occurred" | "discovered" => "when",
        "person" | "people" | "bystander" | "unmonitored" => "others",
        other => other,
    }
    .to_owned()
}

fn known(desk: &Desk, person: &Person) -> Result<Known, IntakeError> {
    let now = desk.commands.now();
    desk.read(|house| {
        let today = house.today(now);
        let rule_set = house.rule_set_on(today)?;
        let kinds = kinds_of(rule_set).iter();
        let mut jobs: Vec<(String, String)> = house
            .names
            .jobs()
            .map(|(_, it)| (it.id.clone(), format!("{} {}", it.id, it.place)))
            .collect();
        jobs.sort();
        Ok(Known {
            now: format!("{today}T{}", house.hour(now)),
            kinds: kinds.map(|it| (it.key.clone(), it.name.clone())).collect(),
            jobs,
            last: last_time_of(house, &person.id, now)?,
            confirm: rule_set.confirm.clone(),
        })
    })
}

/// What was typed as an event, and written.
fn open(desk: &Desk, person: &Person, typed: &Fields, known: &Known) -> Result<Taken, IntakeError> {
    let when = match typed.get("when") {
        "now" => typed.get("now"),
        "at" => typed.get("at"),
        "roughly" => typed.get("roughly"),
        other => other,
    };
    // Nobody is held up by an hour: it can be added.
    let when = if when.is_empty() { NOT_KNOWN } else { when };
    let occurred =
        Roughly::parse(when).map_err(|what| refused("occurred", when, what, WHEN_RIGHT))?;
    let crew = known.last.iter().flat_map(|it| &it.crew);
    let did = crew.filter_map(|it| {
        let did = typed.get(&format!("did.{}", it.worker)).to_owned();
        (!did.is_empty()).then(|| format!("{}={did}", it.worker))
    });
    let given = |name: &str| Some(typed.get(name).to_owned()).filter(|it| !it.is_empty());
    let mut equipment: Vec<String> = typed.all("piece").map(str::to_owned).collect();
    equipment.extend(typed.get("equipment").split_whitespace().map(str::to_owned));
    let new = NewEvent {
        name: given("name"),
        kind: typed.get("kind").to_owned(),
        occurred,
        discovered: None,
        place: given("place"),
        job: given("job"),
        equipment,
        who: NewPeople {
            people: did.collect(),
            // Who they are and what they got is asked later, by the office.
            unmonitored: typed.get("others").lines().filter_map(somebody).collect(),
            ..NewPeople::default()
        },
        words: typed.get("words").to_owned(),
    };
    desk.write(&desk.author(person), Mode::Commit, |writer, now| {
        open_event(writer, now, &new)
    })
}

/// A moment of which nothing is known.
const NOT_KNOWN: &str = "unknown";

/// `WHO=WHAT` from a line about somebody, who may have done nothing that anybody knows of.
fn somebody(line: &str) -> Option<String> {
    let line = line.trim();
    match line.contains('=') {
        _ if line.is_empty() => None,
        true => Some(line.to_owned()),
        false => Some(format!("{line}=not said")),
    }
}

fn refused(field: &str, value: &str, what: String, right: &str) -> IntakeError {
    IntakeError::Refused(Box::new(Refused {
        file: None,
        spreadsheet: false,
        faults: vec![Fault::new(None, field, value, what, right)],
        more: 0,
        stops: Vec::new(),
    }))
}

/// What must be told, with the clocks that run.
fn on_record(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    taken: &Taken,
) -> Result<Reply, IntakeError> {
    let now = desk.commands.now();
    let name = taken
        .items
        .first()
        .map(|it| it.key.clone())
        .unwrap_or_default();
    let notifications = desk.read(|house| notification_of(house, &name, None, now))?;
    let no_equipment =
        asked.form.all("piece").next().is_none() && asked.form.get("equipment").trim().is_empty();
    let frame = frame(asked, person);
    Ok(frame.reply(&html! {
        (first(desk, asked.language))
        h1 { "On record as " span translate="no" { (name) } }
        div.go data-sent=(name) { p { "More can be added to it at any time." } }
        @if no_equipment {
            div.act {
                p {
                    b { "No equipment is named" } ": this event takes none out of service. Do not \
                     use what may have been part of it, and tell the RSO which it was."
                }
            }
        }
        h2 { "Who must be notified" }
        (clocks_in(asked.language, &notifications))
        div lang="en" { (table_of(&clocks(&notifications))) }
        p.small lang="en" { (notifications.confirm) }
        p { "Sending this page notifies no one: somebody has to call." }
        (crew(&[taken_report(taken, false)]))
        p {
            a.btn href={ "/photo?about=" (encoded(&name)) } { "Add a photo" } " "
            a.btn href="/" { "Today" }
        }
        (kept_pages(true))
    }))
}

/// The same in short in another language, above the words of the notices.
fn clocks_in(language: Language, answer: &NotificationAnswer) -> Markup {
    let open = answer.clocks.iter().filter(|it| it.is_open());
    html! {
        @if language != Language::English {
            ul {
                @for it in open {
                    li {
                        b {
                            @match &it.deadline {
                                Some(deadline) => span { "by " (deadline) },
                                None => span { (it.within) },
                            }
                            @if it.latest { span { ", perhaps earlier" } }
                        }
                        ": " span { (it.how) } ", " span { (it.to) }
                        " (" span { (it.applies.word()) } ") "
                        small lang="en" { (it.what) }
                    }
                }
            }
        }
    }
}

/// The clocks that run, in the words of the notices.
fn clocks(answer: &NotificationAnswer) -> Table {
    let mut table = Table::new(&["what", "to", "by", "stands", "rule"]);
    for it in answer.clocks.iter().filter(|it| it.is_open()) {
        table.row([
            format!("{} ({})", it.what, it.how),
            it.to.clone(),
            it.deadline.clone().unwrap_or_else(|| it.within.clone()),
            format!("{}: {}", it.applies.word(), it.words),
            it.citation.clone(),
        ]);
    }
    table
}

fn frame<'a>(asked: &'a Asked, person: &'a Person) -> Frame<'a> {
    Frame {
        title: "Something went wrong",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    }
}

/// Whom to call; a number is one tap away.
fn called(who: &str) -> Markup {
    let is_number = |it: char| it.is_ascii_digit() || "+- ".contains(it);
    let digits = |it: &str| it.bytes().filter(u8::is_ascii_digit).count();
    let mut runs = who.split(|it: char| !is_number(it)).map(str::trim);
    match runs.find(|it| digits(it) >= 7) {
        Some(number) => html! {
            a href={ "tel:" (number.replace(' ', "")) } { (who) }
        },
        None => html! { (who) },
    }
}

/// What comes before anything else, whoever reads it.
pub const KEEP_OUT: &str =
    "Keep everybody out: hold the boundary of the restricted area and stay with it.";
pub const NO_RETRIEVAL: &str = "No retrieval unless you are trained and authorized for it.";

/// What begins the line that has the step above it in Spanish.
pub const STEP_IN_SPANISH: &str = "es:";

/// A site's own steps: each with the line below it that has it in Spanish.
fn steps_of(lines: &[String]) -> Vec<(&str, Option<&str>)> {
    let mut steps: Vec<(&str, Option<&str>)> = Vec::new();
    for line in lines {
        match (line.strip_prefix(STEP_IN_SPANISH), steps.last_mut()) {
            (Some(spanish), Some(step)) => step.1 = Some(spanish.trim()),
            _ => steps.push((line, None)),
        }
    }
    steps
}

/// A step in the language of whoever reads it, and in English in any case.
fn one_step((english, spanish): (&str, Option<&str>), language: Language) -> Markup {
    html! {
        @match (language, spanish) {
            (Language::English, _) => span translate="no" { (english) },
            (Language::Spanish, Some(spanish)) => {
                span translate="no" { (spanish) } br;
                small translate="no" lang="en" { (english) }
            }
            (Language::Spanish, None) => {
                "In English, as the site put it in:" br;
                span translate="no" lang="en" { (english) }
            }
        }
    }
}

/// What comes before any field.
fn first(desk: &Desk, language: Language) -> Markup {
    html! {
        div.stop {
            p {
                span.word { "First" }
                ", by your site's emergency procedure, which goes before this page:"
            }
            ol {
                li { (KEEP_OUT) }
                li { (NO_RETRIEVAL) }
                @for (english, spanish) in steps_of(&desk.steps) {
                    li { (one_step((english, spanish), language)) }
                }
                @for who in &desk.call { li { "Call " b translate="no" { (called(who)) } "." } }
                @if desk.call.is_empty() {
                    li {
                        "Call the RSO. The number is not on this page: it is in the papers of the \
                         job."
                    }
                }
            }
        }
    }
}

fn form(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    (status, known, typed): (u16, &Known, &Fields),
    wrong: &Wrong,
) -> Reply {
    let frame = frame(asked, person);
    let kind = Field::typed(typed, "kind", "What happened", "more can be added later");
    let body = html! {
        (first(desk, asked.language))
        h1 { "Then write down what you know" }
        (wrong.summary())
        form method="post" action="/wrong" data-draft="wrong" data-title="Event"
            autocomplete="off" {
            (frame.secret())
            // What a phone's Enter key does.
            button.unseen name="do" value="send" tabindex="-1" aria-hidden="true" {
                "Put it on record"
            }
            input type="hidden" name="name" value=(typed.get("name"));
            input type="hidden" name="now" value=(typed.get("now"));
            (wrong.beside("name"))
            section.card {
                (select(kind, &known.kinds, wrong))
                (text(Field::typed(typed, "words", "In your words", "what is known now"), wrong))
            }
            (when_and_where(known, typed, wrong))
            (who_and_what(known, typed, wrong))
            button.first.big name="do" value="send" {
                "Put it on record" small { "more can be added at any time" }
            }
        }
        p.small lang="en" { (known.confirm) }
        (kept_pages(false))
    };
    Reply::Page(status, frame.page(&body))
}

fn when_and_where(known: &Known, typed: &Fields, wrong: &Wrong) -> Markup {
    let of = |name, label, hint| Field::typed(typed, name, label, hint);
    let now = format!("now, {}", typed.get("now").replace('T', " "));
    let whens = [
        ("now", now.as_str()),
        ("at", "at the hour below"),
        ("roughly", "as the words below"),
        (NOT_KNOWN, "not known"),
    ];
    html! {
        section.card {
            (pick(of("when", "When", "as well as you know it"), &whens, wrong))
            (line(Field { kind: "datetime-local", ..of("at", "At the hour", "") }, wrong))
            (line(of("roughly", "As far as known",
                "such as before 2026-05-19, or between 2026-05-01 and 2026-05-19"), wrong))
            (named(of("job", "Job", ""), &known.jobs, wrong))
            (line(of("place", "Where", "description"), wrong))
        }
    }
}

fn who_and_what(known: &Known, typed: &Fields, wrong: &Wrong) -> Markup {
    let of = |name, label, hint| Field::typed(typed, name, label, hint);
    let crew = known.last.iter().flat_map(|it| &it.crew);
    let all_equipment = known.last.iter().flat_map(|it| &it.equipment);
    html! {
        section.card {
            h2 { "Who was near, and what they did" }
            @for it in crew {
                @let name = format!("did.{}", it.worker);
                (line(Field {
                    is_name: true, ..Field::typed(typed, &name, &it.name, "blank: not said")
                }, wrong))
            }
            (text(of("others", "Anybody else, without a dosimeter of ours",
                "a line each: who, or who=what they did, such as valve fitter=stood 40 m off"),
                wrong))
        }
        section.card {
            h2 { "Equipment" }
            p.small {
                "Ticked: was part of it, and is out of service until it is inspected. Untick what \
                 was not there."
            }
            div.picks {
                @for it in all_equipment.filter(|it| it.known) {
                    label.tick {
                        input type="checkbox" name="piece" value=(it.id)
                            checked[typed.all("piece").any(|one| one == it.id)];
                        span translate="no" { (it.id) }
                    }
                }
            }
            (scan("wrong", "equipment", wrong.of_scan("equipment")))
            (line(of("equipment", "Other items", "ids separated by spaces"), wrong))
        }
    }
}

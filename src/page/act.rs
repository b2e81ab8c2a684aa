//! Forms that are one command each: what its flags ask is what the form asks, and what it refuses
//! stands at the top in its own words.

use maud::{Markup, html};

use super::asked::{Asked, Fields, Reply};
use super::desk::{CommandField, Desk, Person};
use super::field::{Field, Wrong, line, text, tick};
use super::frame::{Frame, all, nothing_here};
use crate::intake::IntakeError;

/// Commands that have a form, each with what it is always told. What takes files, or is about the
/// ledger's own file, stays with the command line.
const ACTS: &[(&[&str], &[&str])] = &[
    (&["review"], &["--sign"]),
    (&["finding", "answer"], &[]),
    (&["hold", "resolve"], &[]),
    (&["event", "note"], &[]),
    (&["event", "happening"], &[]),
    (&["event", "person"], &[]),
    (&["event", "cause"], &[]),
    (&["event", "action"], &[]),
    (&["event", "close"], &[]),
    (&["trace", "conclude"], &[]),
    (&["report", "answer"], &[]),
    (&["report", "done"], &[]),
    (&["badge", "issue"], &[]),
    (&["badge", "return"], &[]),
    (&["badge", "send"], &[]),
    (&["badge", "lost"], &[]),
    (&["badge", "result"], &[]),
    (&["badge", "accept"], &[]),
    (&["determination", "enter"], &[]),
    (&["dose", "resolve"], &[]),
    (&["equipment", "out-of-service"], &[]),
    (&["equipment", "return"], &[]),
    (&["equipment", "install"], &[]),
    (&["instrument", "check"], &[]),
    (&["worker", "role"], &[]),
    (&["worker", "qualification"], &[]),
    (&["entry", "correct"], &[]),
    (&["entry", "void"], &[]),
];

/// Decisions: who makes them is who is signed in, and nobody else can be named. In any other
/// command the work may be somebody else's, and the form asks whose.
const DECISIONS: &[&[&str]] = &[
    &["review"],
    &["event", "close"],
    &["trace", "conclude"],
    &["badge", "accept"],
    &["determination", "enter"],
    &["dose", "resolve"],
];

/// Who did the work, or made the decision.
const WHO: &str = "performed-by";

/// Flags that have no place on a form.
const LEFT_OUT: &[&str] = &[
    "ledger", "wait", "json", "csv", "table", "by", "dry-run", "yes", "faults", "out", "sign",
    "help", "version",
];

/// The commands that have a form, each with what it is always told.
pub(super) fn commands() -> impl Iterator<Item = (&'static [&'static str], &'static [&'static str])>
{
    ACTS.iter().copied()
}

/// A command with a form.
struct Act {
    words: &'static [&'static str],
    always: &'static [&'static str],
    fields: Vec<CommandField>,
    /// Whether it is a decision of who is signed in.
    is_decision: bool,
}

/// The form of a command, or what it did.
pub(super) fn page(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    path: &[&str],
) -> Result<Reply, IntakeError> {
    let found = ACTS.iter().find(|(words, _)| path.starts_with(words));
    let fields = found.and_then(|(words, _)| desk.commands.fields(words));
    let (Some((words, always)), Some(mut fields)) = (found, fields) else {
        return Ok(nothing_here(asked, person));
    };
    fields.retain(|it| !LEFT_OUT.contains(&it.name.as_str()));
    let act = Act {
        words,
        always,
        fields,
        is_decision: DECISIONS.contains(words),
    };
    let title = words.join(" ");
    let frame = Frame {
        title: &title,
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    let mut typed = asked.form.clone();
    if !asked.post {
        // What stands behind the command in the address is what it is about.
        let given = path.iter().skip(words.len());
        for (field, value) in act.fields.iter().filter(|it| it.by_place).zip(given) {
            typed.set(&field.name, *value);
        }
        let form = act.form(&frame, &typed, person);
        return Ok(frame.reply(&html! { h1 { (title) } (form) }));
    }
    let rehearse = typed.get("do") != "send";
    let command = act.command(&typed, person, rehearse);
    let said = desk.commands.run(&command, &desk.author(person));
    let written = said.code == 0 && !rehearse;
    let status = if said.code == 0 { 200 } else { 422 };
    let body = html! {
        h1 { (title) }
        @if written { div.go { p { span.word { "On record" } } } }
        (all(&said.reports))
        @if !written { (act.form(&frame, &typed, person)) }
    };
    Ok(Reply::Page(status, frame.page(&body)))
}

impl Act {
    /// The form with what was typed.
    fn form(&self, frame: &Frame<'_>, typed: &Fields, person: &Person) -> Markup {
        html! {
            form method="post" action={ "/do/" (self.words.join("/")) } {
                (frame.secret())
                @for field in &self.fields {
                    @if self.is_decision && field.name == WHO {
                        p.small { (field.help) ": " (person.id) ", who is signed in" }
                    } @else { (of_field(field, typed.get(&field.name))) }
                }
                button name="do" value="look" { "Check: writes nothing" }
                " "
                button.first name="do" value="send" { "Put on record" }
            }
        }
    }

    /// The words of the command.
    fn command(&self, typed: &Fields, person: &Person, rehearse: bool) -> Vec<String> {
        let mut command: Vec<String> = self.words.iter().map(|it| (*it).to_owned()).collect();
        let decides = self.is_decision.then_some(person);
        let typed = as_words(&self.fields, typed, decides);
        match (rehearse, self.always.is_empty()) {
            (true, true) => {
                command.push("--dry-run".to_owned());
                command.extend(typed);
            }
            // A review that is not signed is only shown, by nobody and for no reason.
            (true, false) => {
                let of_signing =
                    |it: &String| it.starts_with("--performed-by=") || it.starts_with("--reason=");
                command.extend(typed.into_iter().filter(|it| !of_signing(it)));
            }
            (false, _) => {
                command.extend(self.always.iter().map(|it| (*it).to_owned()));
                command.extend(typed);
            }
        }
        command
    }
}

/// A field as the command's help has it.
fn of_field(field: &CommandField, value: &str) -> Markup {
    let label = match field.needed {
        true => format!("{} (needed)", field.name),
        false => field.name.clone(),
    };
    let shown = Field {
        name: &field.name,
        label: &label,
        hint: &field.help,
        value,
        ..Field::default()
    };
    let wrong = Wrong::default();
    match field.is_switch {
        true => tick(shown, &wrong),
        false if ["words", "reason", "because", "note"].contains(&field.name.as_str()) => {
            text(shown, &wrong)
        }
        false => line(shown, &wrong),
    }
}

/// What was typed, as words of the command. A value never becomes a flag: behind its flag's name
/// it is joined to it, and by its place it stands behind `--`.
/// Of a decision, who decides is given.
fn as_words(
    fields: &[CommandField],
    typed: &super::asked::Fields,
    decides: Option<&Person>,
) -> Vec<String> {
    let mut words = Vec::new();
    let mut places = vec!["--".to_owned()];
    for field in fields {
        let name = &field.name;
        if let Some(person) = decides.filter(|_| name == WHO) {
            words.push(format!("--{name}={}", person.id));
            continue;
        }
        for value in typed.all(name) {
            match (field.by_place, field.is_switch) {
                (true, _) => places.push(value.to_owned()),
                (false, true) => words.push(format!("--{name}")),
                (false, false) => words.push(format!("--{name}={value}")),
            }
        }
    }
    if places.len() > 1 {
        words.extend(places);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(name: &str, by_place: bool, is_switch: bool) -> CommandField {
        CommandField {
            name: name.to_owned(),
            help: String::new(),
            by_place,
            is_switch,
            needed: false,
        }
    }

    #[test]
    fn what_is_typed_never_becomes_a_flag() {
        let fields = [
            field("event", true, false),
            field("words", false, false),
            field("performed-by", false, false),
            field("all", false, true),
        ];
        let typed = [
            ("event", "--ledger=/etc/passwd"),
            ("words", "--sign"),
            ("performed-by", "W99"),
            ("all", "--yes"),
            ("ledger", "other.db"),
        ];
        let pairs = typed.map(|(a, b)| (a.to_owned(), b.to_owned()));
        let person = Person {
            id: "W01".to_owned(),
            name: String::new(),
            role: None,
            signed_in: false,
        };
        let words = as_words(&fields, &Fields(pairs.to_vec()), Some(&person));
        let wanted = [
            "--words=--sign",
            "--performed-by=W01",
            "--all",
            "--",
            "--ledger=/etc/passwd",
        ];
        assert_eq!(words, wanted);
    }
}

//! Forms that are one command each: what its flags ask is what the form asks, and what it refuses
//! stands at the top in its own words.

use std::sync::Arc;

use maud::{Markup, html};

use super::act_form::{Form, Held, WHO, as_words, asks_for_headings, held};
use super::ways::told_with;
use crate::intake::IntakeError;
use crate::page::shell::acts::{Act, columns_of, title_of_act};
use crate::page::shell::asked::{Asked, Fields, Reply};
use crate::page::shell::desk::{CommandField, Desk, Person};
use crate::page::shell::frame::{Frame, nothing_here};
use crate::page::shell::in_hand::Upload;
use crate::page::shell::places;
use crate::page::shell::plain::by_fields;
use crate::show::Report;
use crate::text::{one_line, short};

/// Commands that show what a form is about, each with the form: it is given the same name. Where
/// one lists many things, the form shows those that have the name.
const ABOUT: &[(&[&str], &[&str])] = &[
    (&["review"], &["review"]),
    (&["finding", "answer"], &["findings"]),
    (&["hold", "resolve"], &["hold", "list"]),
    (&["report", "answer"], &["report", "show"]),
    (&["report", "done"], &["report", "show"]),
    (&["event", "close"], &["event", "show"]),
    (&["trace", "conclude"], &["trace", "show"]),
    (&["badge", "accept"], &["entry", "show"]),
    (&["evidence", "erase"], &["evidence", "show"]),
    (&["entry", "correct"], &["entry", "show"]),
    (&["entry", "void"], &["entry", "show"]),
    (&["entry", "reinstate"], &["entry", "show"]),
];

/// Commands of [`ABOUT`] that list many things.
const LISTS: &[&[&str]] = &[&["findings"], &["hold", "list"]];

/// What is to be done with what was typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Step {
    Preview,
    Look,
    Send,
}

/// The form of a command, or what it did.
pub fn page(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    path: &[&str],
) -> Result<Reply, IntakeError> {
    let Some(act) = Act::find(desk, path) else {
        return Ok(nothing_here(asked, person));
    };
    let rest = path.get(act.words.len()..).unwrap_or_default();
    let columns = columns_of(act.words);
    if let (["template.csv"], false, Some(columns)) = (rest, asked.post, columns) {
        let header = format!("{}\n", columns.join(","));
        return Ok(Reply::File("text/csv; charset=utf-8", header));
    }
    if asked.post {
        return Ok(act.sent(desk, asked, person));
    }
    let typed = act.given(asked, rest);
    let title = act.title(&typed);
    let frame = framed(&title, asked, person);
    let form = Form::of(&act, &typed, person, None);
    Ok(frame.reply(&html! {
        h1 { (title) }
        (act.about(desk, &typed, person))
        (form.page(&frame.secret()))
    }))
}

fn framed<'a>(title: &'a str, asked: &'a Asked, person: &'a Person) -> Frame<'a> {
    Frame {
        title,
        person: Some(person),
        token: &asked.token,
        narrow: true,
    }
}

impl Act {
    /// What stands behind the command in the address is what it is about; what stands behind the
    /// question mark fills the field of its name.
    fn given(&self, asked: &Asked, rest: &[&str]) -> Fields {
        let mut typed = Fields::default();
        for field in &self.fields {
            let value = asked.query.get(&field.name);
            if !value.is_empty() {
                typed.set(&field.name, value);
            }
        }
        for (field, value) in self.fields.iter().filter(|it| it.by_place).zip(rest) {
            typed.set(&field.name, *value);
        }
        typed
    }

    /// What it is called, with what it is about.
    fn title(&self, typed: &Fields) -> String {
        let title = title_of_act(self.words);
        let mut about = self.fields.iter().filter(|it| it.by_place && !it.is_file);
        let about = about.next().map_or("", |it| typed.get(&it.name));
        match about.is_empty() {
            true => title,
            false => format!("{title}: {}", short(&one_line(about))),
        }
    }

    /// What was sent: looked at, or put on record.
    fn sent(&self, desk: &Desk, asked: &Asked, person: &Person) -> Reply {
        let typed = &asked.form;
        let step = match typed.get("do") {
            "send" => Step::Send,
            "preview" if self.previews => Step::Preview,
            _ => Step::Look,
        };
        let file = self.file().and_then(|field| chosen(asked, &field.name));
        let title = self.title(typed);
        let frame = framed(&title, asked, person);
        if self.file().is_some_and(|it| it.needed) && file.is_none() {
            let form = Form::of(self, typed, person, None);
            let body = html! {
                h1 { (title) }
                div.refused role="alert" {
                    p {
                        "No file came with it, or it is no longer in hand. Nothing was done: \
                         choose it once more. A file that was taken in before adds nothing."
                    }
                }
                (form.page(&frame.secret()))
            };
            return Reply::Page(422, frame.page(&body));
        }
        if let Some(reply) = self.asks_first(asked, file.as_ref(), (&frame, person, step)) {
            return reply;
        }
        let command = self.command(typed, file.as_ref(), person, step);
        let given = file.as_ref().map(|it| Arc::clone(&it.bytes));
        let said = desk.commands.run(&command, given, &desk.author(person));
        let written = said.code == 0 && step == Step::Send;
        let status = if said.code == 0 { 200 } else { 422 };
        let held = file
            .filter(|_| !written)
            .and_then(|it| held(&asked.hand, it, typed));
        let form = Form::of(self, typed, person, held.as_ref());
        let body = html! {
            h1 { (title) }
            @if written {
                div.go { p { span.word { "On record" } } }
            } @else if said.code == 0 {
                p { "Looked at, and nothing was written." }
            }
            (told_with(&by_fields(&said.reports), person, ""))
            @if written { (self.onward(typed)) } @else { (form.page(&frame.secret())) }
        };
        Reply::Page(status, frame.page(&body))
    }

    /// What is asked before anything is done: fields that were left blank, and what the headings of
    /// a processor's report mean.
    fn asks_first(
        &self,
        asked: &Asked,
        file: Option<&Upload>,
        (frame, person, step): (&Frame<'_>, &Person, Step),
    ) -> Option<Reply> {
        let typed = &asked.form;
        let lacking = self.lacking(typed, step);
        if !lacking.is_empty() {
            let form = Form::of(self, typed, person, None);
            let body = html! {
                h1 { (frame.title) }
                (lacking_words(&lacking))
                (form.page(&frame.secret()))
            };
            return Some(Reply::Page(422, frame.page(&body)));
        }
        let unmapped = file.filter(|_| asks_for_headings(self, typed)).cloned();
        let held = unmapped.and_then(|it| held(&asked.hand, it, typed));
        let held = held.filter(Held::has_headings)?;
        let form = Form::of(self, typed, person, Some(&held)).with_headings();
        let status = if step == Step::Send { 422 } else { 200 };
        let body = html! {
            h1 { (frame.title) }
            p role="status" {
                "The file is in hand, and nothing was written. Say below which of its headings \
                 holds what, then go on."
            }
            (form.page(&frame.secret()))
        };
        Some(Reply::Page(status, frame.page(&body)))
    }

    /// Fields that the form cannot do without, and that were left blank.
    fn lacking(&self, typed: &Fields, step: Step) -> Vec<&str> {
        let is_blank = |it: &&CommandField| typed.get(&it.name).trim().is_empty();
        let fields = self.fields.iter().filter(|it| it.needed && !it.is_file);
        let asked = fields.filter(|it| !(self.is_decision && it.name == WHO));
        match step {
            Step::Preview => Vec::new(),
            // What is only looked at needs no reason and nobody who signs.
            Step::Look if !self.always.is_empty() => Vec::new(),
            _ => asked.filter(is_blank).map(|it| it.name.as_str()).collect(),
        }
    }

    /// Ways on from what was put on record: to the page that led here.
    fn onward(&self, typed: &Fields) -> Markup {
        let first = self.fields.iter().find(|it| it.by_place && !it.is_file);
        let name = first.map_or("", |it| typed.get(&it.name));
        html! {
            p.then {
                @for (words, to) in places::back(self.words, name) {
                    a.btn href=(to) { (words) } " "
                }
            }
        }
    }

    /// What the form is about, as the ledger has it.
    fn about(&self, desk: &Desk, typed: &Fields, person: &Person) -> Markup {
        let first = self.fields.iter().find(|it| it.by_place);
        let name = first.map_or("", |it| typed.get(&it.name));
        let shown = ABOUT.iter().find(|it| it.0 == self.words);
        let Some((_, words)) = shown.filter(|_| !name.is_empty()) else {
            return html! {};
        };
        let mut command: Vec<String> = words.iter().map(|it| (*it).to_owned()).collect();
        let lists = LISTS.contains(words);
        if !lists {
            command.extend(["--".to_owned(), name.to_owned()]);
        }
        let said = desk.commands.run(&command, None, &desk.author(person));
        let parts: Vec<Report> = match lists {
            true => said
                .reports
                .iter()
                .filter_map(|it| it.about(name))
                .collect(),
            false => said.reports,
        };
        html! {
            @if said.code == 0 && !parts.is_empty() {
                details.card open[lists] {
                    summary { "What it is about: " (name) }
                    @let below: Vec<Report> =
                        by_fields(&parts).iter().map(Report::below_another).collect();
                    (told_with(&below, person, ""))
                }
            }
        }
    }

    /// The words of the command.
    fn command(
        &self,
        typed: &Fields,
        file: Option<&Upload>,
        person: &Person,
        step: Step,
    ) -> Vec<String> {
        let mut command: Vec<String> = self.words.iter().map(|it| (*it).to_owned()).collect();
        let decides = self.is_decision.then_some(person);
        let typed = as_words(self, typed, file, decides);
        match (step, self.always.is_empty()) {
            (Step::Preview, _) => {
                command.push("--preview".to_owned());
                command.extend(typed);
            }
            (Step::Look, true) => {
                command.push("--dry-run".to_owned());
                command.extend(typed);
            }
            // A review that is not signed is only shown, by nobody and for no reason.
            (Step::Look, false) => {
                let of_signing =
                    |it: &String| it.starts_with("--performed-by=") || it.starts_with("--reason=");
                command.extend(typed.into_iter().filter(|it| !of_signing(it)));
            }
            (Step::Send, _) => {
                command.extend(self.always.iter().map(|it| (*it).to_owned()));
                command.extend(typed);
            }
        }
        command
    }
}

/// What was left blank, each as the way to its field.
fn lacking_words(fields: &[&str]) -> Markup {
    html! {
        div.refused role="alert" {
            p { "Nothing was done: these are needed." }
            ul { @for name in fields { li { a href={ "#" (name) } { (name) } } } }
        }
    }
}

/// The file that was chosen now, or that is in hand since it was looked at.
fn chosen(asked: &Asked, field: &str) -> Option<Upload> {
    let in_hand = asked.hand.take(asked.form.get("held"));
    let now = asked.files.iter().find(|it| it.field == field);
    now.cloned().or(in_hand)
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
            is_file: name == "file",
            is_many: false,
            under: String::new(),
        }
    }

    #[test]
    fn what_is_typed_never_becomes_a_flag() {
        let fields = vec![
            field("file", true, false),
            field("event", true, false),
            field("words", false, false),
            field("performed-by", false, false),
            field("all", false, true),
        ];
        let typed = [
            ("file", "/etc/passwd"),
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
        let act = Act {
            words: &["event", "note"],
            always: &[],
            fields,
            is_decision: true,
            previews: false,
        };
        let words = as_words(&act, &Fields(pairs.to_vec()), None, Some(&person));
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

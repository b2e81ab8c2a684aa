//! The form of a command: a field for each flag, a file beside them, and what the headings of that
//! file mean. What is typed never becomes a flag.

use std::path::Path;
use std::sync::Arc;

use maud::{Markup, html};

use super::upload::WHOLE_BYTES;
use super::ways::help_of;
use crate::intake::{Said, TableFile, headings};
use crate::page::shell::acts::{Act, columns_of};
use crate::page::shell::asked::Fields;
use crate::page::shell::desk::{CommandField, Person};
use crate::page::shell::field::{Field, Wrong, line, text, tick};
use crate::page::shell::in_hand::{Hand, Upload};
use crate::text::{one_line, short};

/// Who did the work, or made the decision.
pub const WHO: &str = "performed-by";

/// The heading of the help under which flags say how a file is written.
const OF_FILE: &str = "The file";

/// The most headings of a file that are offered.
const HEADINGS: usize = 100;

/// A field that says under which heading one of our columns stands begins so.
const HEADING: &str = "heading.";

/// The file of a form, which waits to be put on record.
pub struct Held {
    id: String,
    name: String,
    bytes: usize,
    /// Its headings, each with the cell below it.
    headings: Vec<(String, String)>,
}

impl Held {
    /// Whether there is a heading to choose.
    pub fn has_headings(&self) -> bool {
        !self.headings.is_empty()
    }
}

/// Keeps a file until its form is sent again.
pub fn held(hand: &Hand, file: Upload, typed: &Fields) -> Option<Held> {
    let given = |name| Some(typed.get(name).to_owned()).filter(|it| !it.is_empty());
    let said = Said {
        sheet: given("sheet"),
        header_row: given("header-row").and_then(|it| it.parse().ok()),
        content: Some(Arc::clone(&file.bytes)),
        ..Said::default()
    };
    let path = Path::new(&file.name);
    // Where not even its headings can be read, what the command says of it stands above.
    let mut headings = headings(&TableFile { path, said: &said }).unwrap_or_default();
    // What nobody can see or nobody would read through is no heading to choose.
    headings.retain(|it| one_line(&it.0) == it.0 && it.0.len() <= 200);
    headings.truncate(HEADINGS);
    let (name, bytes) = (file.name.clone(), file.bytes.len());
    let id = hand.keep(file)?;
    Some(Held {
        id,
        name,
        bytes,
        headings,
    })
}

/// A command's form with what was typed.
pub struct Form<'a> {
    act: &'a Act,
    typed: &'a Fields,
    person: &'a Person,
    held: Option<&'a Held>,
    /// What the ids of its fields begin with, where it is one of several.
    of: String,
    /// Whether what the headings of its file mean is asked first of all.
    of_headings: bool,
}

impl<'a> Form<'a> {
    /// A form that asks what the headings of its file mean.
    #[must_use]
    pub fn with_headings(mut self) -> Form<'a> {
        self.of_headings = true;
        self
    }

    /// One of several forms of a page.
    #[must_use]
    pub fn among_others(mut self) -> Form<'a> {
        self.of = format!("{}-", self.act.words.join("-"));
        self
    }

    /// A form with what was typed, and the file that is in hand.
    pub fn of(
        act: &'a Act,
        typed: &'a Fields,
        person: &'a Person,
        held: Option<&'a Held>,
    ) -> Form<'a> {
        Form {
            act,
            typed,
            person,
            held,
            of: String::new(),
            of_headings: false,
        }
    }

    /// The form as a page has it.
    pub fn page(&self, secret: &Markup) -> Markup {
        let act = self.act;
        let file = act.file();
        let (of_file, own): (Vec<_>, Vec<_>) = act
            .fields
            .iter()
            .filter(|it| !it.is_file)
            .partition(|it| it.under == OF_FILE);
        let used = of_file
            .iter()
            .any(|it| !self.typed.get(&it.name).is_empty());
        html! {
            form method="post" action={ "/do/" (act.words.join("/")) }
                enctype=[file.map(|_| "multipart/form-data")] {
                (secret)
                @if let Some(field) = file { (self.file(field)) }
                @for field in own { (self.field(field)) }
                (self.headings())
                @if !of_file.is_empty() {
                    details open[used] {
                        summary { "How the file is written" }
                        @for field in of_file { (self.field(field)) }
                    }
                }
                @if file.is_some() && act.previews {
                    button name="do" value="preview" { "Show the first rows" } " "
                }
                button name="do" value="look" { "Check: writes nothing" }
                " "
                button.first name="do" value="send" { "Put on record" }
            }
        }
    }

    fn file(&self, field: &CommandField) -> Markup {
        let needed = if field.needed { " (needed)" } else { "" };
        html! {
            div.field {
                label for=(field.name) {
                    (field.name) (needed)
                    span.hint {
                        (help_of(&field.help, self.person)) "; CSV, XLSX or ODS, at most "
                        (WHOLE_BYTES >> 20) " MB"
                    }
                }
                input id=(field.name) name=(field.name) type="file"
                    accept=".csv,.txt,.xlsx,.ods";
                @if let Some(held) = self.held {
                    input type="hidden" name="held" value=(held.id);
                    p.kept {
                        "In hand: " b { (held.name) } ", " (held.bytes) " bytes. It need not be \
                         chosen again; another one takes its place."
                    }
                }
                @if let Some(columns) = columns_of(self.act.words) {
                    p.kept {
                        "Its columns: " (columns.join(", ")) ". "
                        a href={ "/do/" (self.act.words.join("/")) "/template.csv" } {
                            "An empty file"
                        }
                    }
                }
            }
        }
    }

    /// Which heading of the file in hand holds which of our columns.
    fn headings(&self) -> Markup {
        let held = self.held.filter(|it| !it.headings.is_empty());
        let (Some(held), Some(columns)) = (held, columns_of(self.act.words)) else {
            return html! {};
        };
        html! {
            details.card open[self.of_headings || !maps(self.act, self.typed).is_empty()] {
                summary { "What the headings of " (held.name) " mean" }
                p.small {
                    "For each of our columns the heading of the file, with the cell below it. \
                     Headings that are chosen for nothing are not read."
                }
                @for column in columns {
                    @let name = format!("{HEADING}{column}");
                    @let chosen = match self.typed.get(&name) {
                        "" => held.headings.iter().map(|it| it.0.as_str()).find(|it| it == column),
                        typed => Some(typed),
                    };
                    div.field {
                        label for=(name) { (column) }
                        select id=(name) name=(name) {
                            option value="" { "" }
                            @for (heading, below) in &held.headings {
                                option value=(heading) selected[chosen == Some(heading)] {
                                    (heading)
                                    @if !below.is_empty() { ": " (short(&one_line(below))) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn field(&self, field: &CommandField) -> Markup {
        if self.act.is_decision && field.name == WHO {
            return html! {
                p.small {
                    (help_of(&field.help, self.person)) ": " (self.person.id)
                    ", who is signed in"
                }
            };
        }
        let many: Vec<&str> = self.typed.all(&field.name).collect();
        let value = match field.is_many {
            true => many.join("\n"),
            false => self.typed.get(&field.name).to_owned(),
        };
        of_field(field, &value, (&self.of, self.person))
    }
}

/// A field as the command's help has it.
fn of_field(field: &CommandField, value: &str, (of, person): (&str, &Person)) -> Markup {
    let label = match field.needed {
        true => format!("{} (needed)", field.name),
        false => field.name.clone(),
    };
    let help = help_of(&field.help, person);
    let hint = match field.is_many {
        true => format!("{help}; one a line"),
        false => help,
    };
    let shown = Field {
        name: &field.name,
        label: &label,
        hint: &hint,
        value,
        of,
        ..Field::default()
    };
    let wrong = Wrong::default();
    match field.is_switch {
        true => tick(shown, &wrong),
        false if field.is_many => text(shown, &wrong),
        false if ["words", "reason", "because", "note"].contains(&field.name.as_str()) => {
            text(shown, &wrong)
        }
        false => line(shown, &wrong),
    }
}

/// Whether a processor's report came, and nobody said yet what its headings mean.
pub fn asks_for_headings(act: &Act, typed: &Fields) -> bool {
    act.words == ["badge", "import"]
        && maps(act, typed).is_empty()
        && typed.all("map").all(|it| it.trim().is_empty())
        && typed.get("use-map").is_empty()
}

/// The headings that were chosen, as the command is told them; none where the file has the
/// command's own headings and nothing else was chosen.
fn maps(act: &Act, typed: &Fields) -> Vec<String> {
    let columns = columns_of(act.words).unwrap_or_default();
    let chosen = columns.iter().filter_map(|column| {
        let heading = typed.get(&format!("{HEADING}{column}"));
        (!heading.is_empty()).then_some((*column, heading))
    });
    let chosen: Vec<(&str, &str)> = chosen.collect();
    let own = |it: &(&str, &str)| it.0.eq_ignore_ascii_case(it.1);
    // A processor's report has headings of its own, whatever they are.
    let always = act.words == ["badge", "import"];
    match always || !chosen.iter().all(own) {
        true => chosen
            .iter()
            .map(|(column, heading)| format!("--map={column}={heading}"))
            .collect(),
        false => Vec::new(),
    }
}

/// What was typed, as words of the command. A value never becomes a flag: behind its flag's name
/// it is joined to it, and by its place it stands behind `--`. A file is what came with the form
/// and never one of this machine, whatever was typed.
/// Of a decision, who decides is given.
pub fn as_words(
    act: &Act,
    typed: &Fields,
    file: Option<&Upload>,
    decides: Option<&Person>,
) -> Vec<String> {
    let mut words = maps(act, typed);
    let mut places = vec!["--".to_owned()];
    for field in &act.fields {
        let name = &field.name;
        if let Some(person) = decides.filter(|_| name == WHO) {
            words.push(format!("--{name}={}", person.id));
            continue;
        }
        let given: Vec<&str> = match (field.is_file, file) {
            (true, Some(file)) => vec![&file.name],
            (true, None) => Vec::new(),
            (false, _) if field.is_many => typed.all(name).flat_map(str::lines).collect(),
            (false, _) => typed.all(name).collect(),
        };
        let given = given.iter().map(|it| it.trim()).filter(|it| !it.is_empty());
        for value in given {
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

//! Fields of forms: a visible label, the hint under it, the unit beside it, and what is wrong with
//! it in the words that every other way in has.

use maud::{Markup, html};

use super::asked::Fields;
use super::plain::without_commands;
use super::scanned::Scanned;
use crate::intake::{Fault, Refused};
use crate::text::Language;

/// A field of a form.
#[derive(Debug, Clone, Copy, Default)]
pub struct Field<'a> {
    /// Its name, which is its id too.
    pub name: &'a str,
    /// What it is.
    pub label: &'a str,
    /// What to mind.
    pub hint: &'a str,
    /// What was typed.
    pub value: &'a str,
    /// The unit of a bare number.
    pub unit: Option<&'a str>,
    /// Which keys a phone opens: `decimal`, `numeric`, blank for letters.
    pub keys: &'a str,
    /// The type of the browser's field; `text` where blank.
    pub kind: &'a str,
    /// What its id begins with, where a page has several forms.
    pub of: &'a str,
    /// Whether its label is a name that somebody typed.
    pub is_name: bool,
}

impl<'a> Field<'a> {
    /// Its id on the page.
    fn id(&self) -> String {
        format!("{}{}", self.of, self.name)
    }

    /// A field with what was typed into it.
    pub fn typed(typed: &'a Fields, name: &'a str, label: &'a str, hint: &'a str) -> Field<'a> {
        Field {
            name,
            label,
            hint,
            value: typed.get(name),
            ..Field::default()
        }
    }
}

/// What is wrong, by the name of its field, and what a scan said.
#[derive(Debug, Default)]
pub struct Wrong(Vec<(String, Fault)>, Option<Scanned>);

impl Wrong {
    /// The faults of what was refused, each with the name of its field on the form.
    pub fn of(refused: &Refused, name: impl Fn(&Fault) -> String) -> Wrong {
        let all = refused.faults.iter();
        Wrong(all.map(|it| (name(it), it.clone())).collect(), None)
    }

    /// Nothing is wrong, but for what a scan may say.
    pub fn scanned(said: Scanned) -> Wrong {
        Wrong(Vec::new(), Some(said))
    }

    /// What a scan said of a part.
    pub fn of_scan(&self, part: &str) -> Option<&Scanned> {
        self.1.as_ref().filter(|it| it.part == part)
    }

    fn about<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Fault> {
        self.0.iter().filter(move |it| it.0 == name).map(|it| &it.1)
    }

    /// Each field that something is wrong with, and what.
    pub fn told(&self) -> impl Iterator<Item = (&str, String)> {
        self.0
            .iter()
            .map(|(name, fault)| (name.as_str(), words(fault)))
    }

    /// What is wrong, at the top, each with a way to its field.
    pub fn summary(&self) -> Markup {
        if self.0.is_empty() {
            return html! {};
        }
        let count = crate::text::counted(self.0.len(), "thing", "things");
        html! {
            div.summary role="alert" tabindex="-1" {
                h2 { "Not sent yet: " (count) " to put right" }
                ul {
                    @for (name, fault) in &self.0 {
                        li lang=[of_words(fault)] {
                            @if name.is_empty() { (words(fault)) }
                            @else { a href={ "#" (name) } { (words(fault)) } }
                        }
                    }
                }
            }
        }
    }

    /// What is wrong with one field, beside it.
    pub fn beside(&self, name: &str) -> Markup {
        html! {
            @for (at, fault) in self.about(name).enumerate() {
                span.fault lang=[of_words(fault)] id=[(at == 0).then(|| format!("{name}-fault"))] {
                    (words(fault))
                }
            }
        }
    }

    /// Whether anything is wrong with a field.
    pub fn is(&self, name: &str) -> bool {
        self.about(name).next().is_some()
    }
}

/// A fault in the words of the commands.
fn words(fault: &Fault) -> String {
    let quoted = format!("`{}`", fault.value);
    let value = match fault.value.is_empty() || fault.what.contains(&quoted) {
        true => String::new(),
        false => format!("{quoted} "),
    };
    // Whoever fills in a form has no terminal.
    let right = match without_commands(&fault.right) {
        right if right.is_empty() => right,
        right => format!(". Right: {right}"),
    };
    crate::text::one_line(&format!("{}: {value}{}{right}", fault.field, fault.what))
}

/// English for a fault that the table of words does not have in the other language of crews.
fn of_words(fault: &Fault) -> Option<&'static str> {
    let known = Language::Spanish.other(&fault.what).is_some();
    (!known).then_some(Language::English.tag())
}

/// A field with its label above it, and what is wrong with it between them.
fn framed(field: &Field<'_>, wrong: &Wrong, asked: &Markup) -> Markup {
    html! {
        div.field.wrong[wrong.is(field.name)] {
            label for=(field.id()) {
                @if field.is_name { span translate="no" { (field.label) } }
                @else { (field.label) }
                @if !field.hint.is_empty() { span.hint { (field.hint) } }
            }
            (wrong.beside(field.name))
            (asked)
        }
    }
}

/// One line to type in.
pub fn line(field: Field<'_>, wrong: &Wrong) -> Markup {
    let kind = if field.kind.is_empty() {
        "text"
    } else {
        field.kind
    };
    let keys = (!field.keys.is_empty()).then_some(field.keys);
    let described = wrong
        .is(field.name)
        .then(|| format!("{}-fault", field.name));
    framed(
        &field,
        wrong,
        &html! {
            div.unit {
                input id=(field.id()) name=(field.name) type=(kind) value=(field.value)
                    inputmode=[keys] maxlength="500" autocomplete="off"
                    aria-describedby=[described.as_deref()]
                    aria-invalid=[described.as_ref().map(|_| "true")];
                @if let Some(unit) = field.unit { span { (unit) } }
            }
        },
    )
}

/// Several lines to type in.
pub fn text(field: Field<'_>, wrong: &Wrong) -> Markup {
    framed(
        &field,
        wrong,
        &html! {
            textarea id=(field.id()) name=(field.name) rows="3" maxlength="4000" translate="no" {
                (field.value)
            }
        },
    )
}

/// One of several: large enough for a thumb.
pub fn pick(field: Field<'_>, choices: &[(&str, &str)], wrong: &Wrong) -> Markup {
    html! {
        fieldset.pick.wrong[wrong.is(field.name)] id=(field.name) {
            legend {
                (field.label)
                @if !field.hint.is_empty() { span.hint { (field.hint) } }
            }
            (wrong.beside(field.name))
            @for (value, words) in choices {
                label {
                    input type="radio" name=(field.name) value=(value)
                        checked[field.value == *value];
                    (words)
                }
            }
        }
    }
}

/// One box to tick, for `yes`.
pub fn tick(field: Field<'_>, wrong: &Wrong) -> Markup {
    html! {
        (wrong.beside(field.name))
        label.tick {
            input type="checkbox" id=(field.id()) name=(field.name) value="yes"
                checked[field.value == "yes"];
            (field.label)
            @if !field.hint.is_empty() { span.hint { (field.hint) } }
        }
    }
}

/// One of many, from a list of our own words.
pub fn select(field: Field<'_>, choices: &[(String, String)], wrong: &Wrong) -> Markup {
    listed(field, choices, wrong, None)
}

/// One of many names that somebody typed.
pub fn named(field: Field<'_>, choices: &[(String, String)], wrong: &Wrong) -> Markup {
    listed(field, choices, wrong, Some("no"))
}

fn listed(
    field: Field<'_>,
    choices: &[(String, String)],
    wrong: &Wrong,
    translate: Option<&str>,
) -> Markup {
    let known = field.value.is_empty() || choices.iter().any(|it| it.0 == field.value);
    framed(
        &field,
        wrong,
        &html! {
            select id=(field.id()) name=(field.name) {
                option value="" { "" }
                @if !known {
                    option value=(field.value) selected translate="no" { (field.value) }
                }
                @for (value, words) in choices {
                    option value=(value) selected[*value == field.value] translate=[translate] {
                        (words)
                    }
                }
            }
        },
    )
}

pub const YES_NO: &[(&str, &str)] = &[("yes", "yes"), ("no", "no")];

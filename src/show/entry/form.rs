//! The form of an end-of-shift sheet as a page to print: what is known is printed, what is read
//! off, done or signed has a box that a gloved hand can fill.

use std::path::Path;

use maud::{Markup, PreEscaped, html};

use crate::answer::{FormDosimeter, FormHead, FormMember, SheetForm};
use crate::rule::CheckKey;
use crate::show::equipment::labels::drawn;
use crate::show::page::document;
use crate::show::report::Report;
use crate::show::spanish_stops::said_of_check;
use crate::show::translated::{has_title, translated};
use crate::text::{Language, shown};

const STYLE: &str = include_str!("form.css");

pub(in crate::show) const TITLE_OF_SHEET: &str = "Form of an end-of-shift sheet";
pub(in crate::show) const TITLE_OF_INSPECTION: &str = "Form of an inspection";

/// Whether a file is a printed form: another one may take its place.
pub fn is_form_page(path: &Path) -> bool {
    [TITLE_OF_SHEET, TITLE_OF_INSPECTION]
        .iter()
        .any(|it| has_title(path, it))
}

pub(in crate::show) fn seen(text: &str) -> String {
    shown(text).into()
}

/// A form around what is asked on it.
pub(in crate::show) fn form_page(
    (title, language): (&str, Language),
    it: &FormHead,
    heading: &Markup,
    asked: &Markup,
) -> String {
    let style = html! { style { (PreEscaped(STYLE)) } };
    let form = html! {
        header {
            div {
                (heading)
                p.small {
                    "Printed " b { "before" } " the work: what is in print is a proposal. "
                    "Cross out what is not so and write what is. Never write ahead what was "
                    "not done."
                }
            }
            @if let Some(svg) = drawn(&it.scanned) { (PreEscaped(svg)) }
        }
        p.code { "Form " (typed(&it.code)) }
        (asked)
        div.law {
            h2 { "The rules it serves" }
            div lang="en" {
                @for (cited, meaning) in &it.law {
                    p { b { (seen(cited)) } ": " (seen(meaning)) }
                }
                p { (seen(&it.confirm)) }
                @if it.scripted { p { "The clock of this ledger is scripted: not records." } }
            }
        }
    };
    // What is at the foot of each page when it is printed: a second page that lies alone says which
    // form it is of.
    let body = html! {
        div.leaves {
            div.leaf { (form) }
            div.foot { p.code { "Form " (it.code) } }
        }
    };
    translated(language, document(title, &style, &body).into_string())
}

/// What somebody typed, which no language changes.
pub(in crate::show) fn typed(text: &str) -> Markup {
    html! { span translate="no" { (seen(text)) } }
}

/// A box to write in.
pub(in crate::show) fn blank(kind: &str) -> Markup {
    html! { span class={ "box " (kind) } {} }
}

/// A line to write on.
pub(in crate::show) fn line(kind: &str) -> Markup {
    html! { span class={ "line " (kind) } {} }
}

/// Squares to tick.
pub(in crate::show) fn ticks(all: &[&str]) -> Markup {
    html! { @for word in all { span.tick { i {} (word) } } }
}

/// What is printed, else a line to write it on.
fn printed(text: &str) -> Markup {
    html! { @if text.is_empty() { (line("")) } @else { b translate="no" { (seen(text)) } } }
}

/// The form of a sheet as a page.
#[must_use]
pub fn sheet_form_page(it: &SheetForm, language: Language) -> String {
    let heading = html! {
        h1 { "End-of-shift sheet" }
        p { (typed(&it.head.licensee)) }
        p { (it.head.day) ", " (it.shift) " shift, " (it.work) }
    };
    let asked = html! {
        (off_scale(it, language))
        (standing(it))
        h2 { "During the shift" }
        (during(it))
        h2 { "The crew: what each dosimeter showed" }
        p.small {
            "Off scale: tick it and write no figure. Set back to zero in between: a line of "
            "its own below. At the start: recharge, read, hear the alarm, put the badge "
            "on, then initial."
        }
        @for (member, number) in it.crew.iter().zip(1..) { (person(Some(member), number)) }
        (person(None, it.crew.len() + 1))
        (zeroed())
        (signed())
    };
    form_page((TITLE_OF_SHEET, language), &it.head, &heading, &asked)
}

/// What must be done at once: in the language of the form before the rule set's own words.
fn off_scale(it: &SheetForm, language: Language) -> Markup {
    let said = said_of_check(language, CheckKey::OffScale);
    html! {
        @if let Some((remedy, cited)) = &it.off_scale {
            p.caution {
                b { "CAUTION, a dosimeter off its scale: " }
                @if let Some(said) = said { (said) br; }
                span lang="en" { (seen(remedy)) " (" (seen(cited)) ")" }
            }
        }
    }
}

/// Job, set and hours.
fn standing(it: &SheetForm) -> Markup {
    let (job, place) = &it.job;
    html! {
        h2 { "Job and set" }
        div.set {
            div.wide { "job " (printed(job)) " " (typed(place)) }
            @for (what, id, serial) in &it.set {
                div {
                    span { (what) } " " (printed(id))
                    @if !serial.is_empty() { span.small { " serial " (typed(serial)) } }
                }
            }
        }
        div.asked {
            div.q { span.say { "1 shift began, HH:MM" } (blank("hour")) }
            div.q { span.say { "ended, HH:MM" } (blank("hour")) }
        }
    }
}

/// The questions about the work, in the order of the prompt.
fn during(it: &SheetForm) -> Markup {
    let unit = it.meter_unit.as_deref().unwrap_or("with unit");
    html! {
        div.asked {
            div.q { span.say { "2 exposures made" } (blank("hour")) }
            div.q { span.say { "time of the first, HH:MM" } (blank("hour")) }
            div.q { span.say { "3 minutes with the source out, in all" } (blank("hour")) }
            div.q { span.say { "4 highest rate at the boundary, " (seen(unit)) } (blank("hour")) }
            div.q { span.say { "5 device left storage, HH:MM" } (blank("hour")) }
            div.q { span.say { "was back, HH:MM" } (blank("hour")) }
            div.q { span.say { "6 survey before storage: rate, " (seen(unit)) } (blank("hour")) }
            div.q { span.say { "distance (or surface)" } (blank("hour")) }
            div.q.wide { span.say { "with another survey meter: its id" } (blank("")) }
            div.q { span.say { "7 device locked in storage" } (ticks(&["yes", "no"])) }
            div.q {
                span.say { "8 survey meter checked with a check source before use" }
                (ticks(&["yes", "no"]))
            }
        }
    }
}

/// One of the crew; nobody for whoever came besides.
fn person(it: Option<&FormMember>, number: usize) -> Markup {
    let none = [FormDosimeter {
        id: String::new(),
        unit: None,
        range: None,
        recharged: true,
    }];
    let dosimeters = it
        .map(|it| &it.dosimeters[..])
        .filter(|it| !it.is_empty())
        .unwrap_or(&none);
    html! {
        div.who {
            div.row {
                b { "9." (number) " " }
                @match it {
                    Some(it) => {
                        b translate="no" { (seen(&it.worker)) } " " (typed(&it.name)) span { "as" }
                        @if it.role.is_empty() { (line("")) } @else { b { (it.role) } }
                        span { "alarm ratemeter" } (printed(&it.ratemeter))
                    }
                    None => {
                        span { "somebody else: id or name" } (line("")) span { "as" }
                        (line("short")) span { "alarm ratemeter" } (line("short"))
                    }
                }
            }
            @for dosimeter in dosimeters { (reading(dosimeter)) }
            div.row {
                span { "recharged" } (ticks(&["yes", "no"]))
                span { "alarm heard" } (ticks(&["yes", "no"]))
                span { "badge worn" } (ticks(&["yes", "no"]))
            }
            div.row.small {
                span { "start written down when it was done: hour" } (line("short"))
                span { "initials" } (line("short"))
            }
        }
    }
}

/// A dosimeter with its unit and range beside each box.
fn reading(it: &FormDosimeter) -> Markup {
    let unit = it.unit.as_deref().unwrap_or("with unit");
    html! {
        div.row {
            span.id {
                @if it.id.is_empty() { "dosimeter" (line("short")) } @else { (typed(&it.id)) }
            }
            span { "start" } (blank("")) span { (seen(unit)) }
            span { "end" } (blank("")) span { (seen(unit)) }
            (ticks(&["OFF SCALE"]))
            @if let Some(range) = &it.range { span.small { "reads to " (typed(range)) } }
        }
    }
}

fn zeroed() -> Markup {
    html! {
        div.who {
            div.row {
                span.small { "Set back to zero in between: dosimeter" } (line("short"))
                span { "then start" } (blank("hour")) span { "end" } (blank("hour"))
                (ticks(&["OFF SCALE"]))
            }
            div.row { span.small { "anything else" } (line("long")) (line("long")) }
        }
    }
}

fn signed() -> Markup {
    html! {
        div.sign {
            h2 { "10 Signed, this sheet is true: the radiographer to whom the device was assigned" }
            div.row {
                span { "id" } (line("short")) span { "signature" } (line("long"))
                span { "date" } (line("short"))
            }
        }
    }
}

/// What was made.
pub fn form_report(what: &str, code: &str, to: &str, told: (&[String], &[String])) -> Report {
    let mut report = Report::new(format!("{what} in {to}"));
    report.line(format!("form {code}"));
    for why in told.0 {
        report.line(format!("left blank: {why}"));
    }
    for why in told.1 {
        report.line(format!("NOT AS IT STANDS: {why}"));
    }
    report
}

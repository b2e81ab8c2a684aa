//! The form of an inspection as a page to print: each item of the list with boxes for what is
//! found, in the order in which it is entered.

use maud::{Markup, html};

use super::checklist::{limit_text, sentence};
use super::inspection::{IN_ENGLISH, is_english_alone};
use crate::answer::{ControlLine, InspectionForm, ToInspect};
use crate::record::Words;
use crate::rule::ChecklistItem;
use crate::show::entry::form::{TITLE_OF_INSPECTION, blank, form_page, line, seen, ticks, typed};
use crate::text::Language;

/// The form of an inspection as a page.
#[must_use]
pub fn inspection_form_page(it: &InspectionForm, language: Language) -> String {
    let ids: Vec<&str> = it.items.iter().map(|it| it.id.as_str()).collect();
    let when = it.when.word();
    let heading = html! {
        h1 { (sentence(when)) " inspection" }
        p { (typed(&it.head.licensee)) }
        p { (it.head.day) ", of " (typed(&ids.join(", "))) }
        p { "list " (typed(&format!("`{}`", it.list))) }
    };
    let asked = html! {
        p.caution {
            b { "CAUTION: " }
            "What has a defect is not used: tag it, put it apart and tell the RSO now."
        }
        div.asked {
            div.q { span.say { "hour, HH:MM" } (blank("hour")) }
            div.q { span.say { "inspected by: id" } (blank("")) }
        }
        @for equipment in &it.items { (one(equipment, when, language)) }
        div.sign {
            h2 { "Signed, this was looked at as written" }
            div.row {
                span { "signature" } (line("long")) span { "date" } (line(""))
            }
        }
    };
    form_page((TITLE_OF_INSPECTION, language), &it.head, &heading, &asked)
}

fn one(it: &ToInspect, when: &str, language: Language) -> Markup {
    html! {
        h2 { (typed(&it.id)) " (" (it.kind) ")" }
        @if it.items.is_empty() { p { "nothing to check, " (when) } }
        @for (item, number) in it.items.iter().zip(1..) { (item_of(it, item, number, language)) }
        @for it in &it.controls { (control(it)) }
    }
}

fn item_of(it: &ToInspect, item: &ChecklistItem, number: usize, language: Language) -> Markup {
    let english = is_english_alone(item, language);
    let item = &item.said(language);
    let criterion = limit_text(item).unwrap_or_else(|| format!("good: {}", item.good));
    let unit = item.unit().map(|it| it.symbol().to_owned());
    // What has no limit cannot be good, and need not be done.
    let judged: &[&str] = match item.is_inactive() {
        true => &["defect"],
        false => &["good", "defect", "not done"],
    };
    html! {
        div.item {
            @if english { p.small { (IN_ENGLISH) } }
            @if let Some(caution) = &item.caution {
                p { b { "CAUTION" } " " span { (seen(caution)) } }
            }
            p {
                b { (number) " " span { (seen(&item.component)) } }
                " (" (seen(&item.key)) "): " span { (seen(&item.how)) } ". "
                span { (seen(&sentence(&criterion))) }
                @if unit.is_some() && let Some((value, on)) = it.last.get(&item.key) {
                    span { "; last " (typed(value)) ", " (on) }
                }
            }
            div.row {
                (ticks(judged))
                @if let Some(unit) = &unit { span { "value" } (blank("")) span { (unit) } }
                @if let Some(pair) = &item.pair {
                    span { "with which " (pair) } (line("short"))
                }
                span.small { "what is wrong, what was done" } (line("long"))
            }
        }
    }
}

/// An inspection of the place or the vehicle, which is no item of a list.
fn control(it: &ControlLine) -> Markup {
    html! {
        div.item {
            p lang="en" { b { (it.record) } ": " (seen(&it.how)) " (" (seen(&it.rule)) ")" }
            div.row {
                (ticks(&["checked"])) span { "hour" } (line("short")) span { "by" } (line(""))
            }
        }
    }
}

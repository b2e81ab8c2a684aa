//! The form of an inspection as a page to print: each item of the list with boxes for what is
//! found, in the order in which it is entered.

use maud::{Markup, html};

use super::checklist::{limit_text, sentence};
use crate::answer::{ControlLine, InspectionForm, ToInspect};
use crate::record::Words;
use crate::rule::ChecklistItem;
use crate::show::entry::form::{TITLE_OF_INSPECTION, blank, form_page, line, seen, ticks};

/// The form of an inspection as a page.
#[must_use]
pub fn inspection_form_page(it: &InspectionForm) -> String {
    let ids: Vec<&str> = it.items.iter().map(|it| it.id.as_str()).collect();
    let when = it.when.word();
    let words = [
        it.head.licensee.clone(),
        format!("{}, of {}", it.head.day, ids.join(", ")),
        format!("list `{}`", it.list),
    ];
    let asked = html! {
        p.caution {
            b { "CAUTION: " }
            "What has a defect is not used: tag it, put it apart and tell the RSO now."
        }
        div.asked {
            div.q { span.say { "hour, HH:MM" } (blank("hour")) }
            div.q { span.say { "inspected by: id" } (blank("")) }
        }
        @for equipment in &it.items { (one(equipment, when)) }
        div.sign {
            h2 { "Signed, this was looked at as written" }
            div.row {
                span { "signature" } (line("long")) span { "date" } (line(""))
            }
        }
    };
    let heading = sentence(&format!("{when} inspection"));
    form_page(TITLE_OF_INSPECTION, &it.head, (&heading, &words), &asked)
}

fn one(it: &ToInspect, when: &str) -> Markup {
    html! {
        h2 { (seen(&it.id)) " (" (it.kind) ")" }
        @if it.items.is_empty() { p { "nothing to check, " (when) } }
        @for (item, number) in it.items.iter().zip(1..) { (item_of(it, item, number)) }
        @for it in &it.controls { (control(it)) }
    }
}

fn item_of(it: &ToInspect, item: &ChecklistItem, number: usize) -> Markup {
    let criterion = limit_text(item).unwrap_or_else(|| format!("good: {}", item.good));
    let unit = item.unit().map(|it| it.symbol().to_owned());
    // What has no limit cannot be good, and need not be done.
    let judged: &[&str] = match item.is_inactive() {
        true => &["defect"],
        false => &["good", "defect", "not done"],
    };
    html! {
        div.item {
            @if let Some(caution) = &item.caution { p { b { "CAUTION " } (seen(caution)) } }
            p {
                b { (number) " " (seen(&item.component)) }
                " (" (seen(&item.key)) "): " (seen(&item.how))
                ". " (seen(&sentence(&criterion)))
                @if unit.is_some() && let Some((value, on)) = it.last.get(&item.key) {
                    "; last " (seen(value)) ", " (on)
                }
            }
            div.row {
                (ticks(judged))
                @if let Some(unit) = &unit { span { "value" } (blank("")) span { (unit) } }
                @if let Some(pair) = &item.pair {
                    span { "with which " (seen(pair)) } (line("short"))
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
            p { b { (it.record) } ": " (seen(&it.how)) " (" (seen(&it.rule)) ")" }
            div.row {
                (ticks(&["checked"])) span { "hour" } (line("short")) span { "by" } (line(""))
            }
        }
    }
}

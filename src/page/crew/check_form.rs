//! The form of the morning check: what stands against the set, and item by item what is asked.

use maud::{Markup, html};

use super::away::{kept_pages, unchecked};
use super::check::{Check, WHEN, frame};
use crate::answer::{SetReason, ToInspect};
use crate::page::shell::asked::{Fields, Reply};
use crate::page::shell::field::{Field, Wrong, line, pick};
use crate::page::shell::plain::without_commands;
use crate::page::shell::scanned::scan;
use crate::record::{LineResult, Words};
use crate::rule::ChecklistItem;
use crate::show::{item_question, report_parts};
use crate::text::Language;

impl Check<'_> {
    pub fn form(&self, status: u16, wrong: &Wrong, above: &Markup) -> Reply {
        let frame = frame(self.asked, self.person);
        let (typed, inspected) = (&self.typed, &self.inspected);
        let all = inspected.all_equipment.iter();
        let set = all.map(|it| it.id.as_str()).collect::<Vec<_>>().join(" ");
        let body = html! {
            h1 { "Morning check, " span.w { (inspected.day) } " " (inspected.hour) }
            (standing_against(&inspected.against))
            (wrong.summary())
            (above)
            form.filters method="get" action="/check" {
                label { "Set, ids separated by spaces"
                    input name="set" value=(set) maxlength="200"; }
                button { "Another set" }
            }
            form method="post" action="/check" data-draft={ "check " (set) }
                data-title="Morning check" data-live="yes" autocomplete="off" {
                (frame.secret())
                input type="hidden" name="set" value=(set);
                input type="hidden" name="on" value=(inspected.day);
                button.unseen name="do" value="look" tabindex="-1" aria-hidden="true" { "Check" }
                @if inspected.paper.is_none() { (scan("check", "set", wrong.of_scan("set"))) }
                @if let Some(code) = &inspected.paper {
                    input type="hidden" name="paper_form" value=(code);
                    p { "Copied from the paper form " (code) }
                    (line(Field {
                        name: "performed_by", label: "Who checked, as on the paper",
                        hint: "worker id", value: typed.get("performed_by"), ..Field::default()
                    }, wrong))
                }
                (line(Field {
                    name: "at", label: "Time checked", value: typed.get("at"), kind: "time",
                    ..Field::default()
                }, wrong))
                @for (equipment, at) in inspected.all_equipment.iter().zip(1..) {
                    (one_piece(typed, (equipment, at), wrong, self.asked.language))
                }
                (line(Field {
                    name: "remark", label: "Anything else", value: typed.get("remark"),
                    ..Field::default()
                }, wrong))
                (unchecked(&self.desk.call))
                button.big.second name="do" value="look" { "Check: writes nothing" }
                button.first.big name="do" value="send" { "Put on record" }
            }
            p.small lang="en" { (inspected.caution) }
            (kept_pages(false))
        };
        Reply::Page(status, frame.page(&body))
    }
}

/// What stands against the items: what stops them first, and what a check does not change.
fn standing_against(against: &[SetReason]) -> Markup {
    let stops = |it: &&SetReason| it.stops();
    let line = |it: &SetReason| {
        let (whose, what) = (&it.equipment, without_commands(&it.what));
        html! {
            p {
                b { span translate="no" { (whose) } ": " (it.state.word()) } ". "
                span lang="en" { (what) }
            }
        }
    };
    html! {
        @if against.iter().any(|it| stops(&it)) {
            div.stop {
                p { span.word { "STOP" } " do not use what stands here. Call the RSO." }
                @for it in against.iter().filter(stops) { (line(it)) }
                p {
                    "A check that finds it good does not return it to service: a repair that is \
                     recorded does, or the RSO."
                }
            }
        }
        @if against.iter().any(|it| !stops(&it)) {
            div.act { @for it in against.iter().filter(|it| !stops(it)) { (line(it)) } }
        }
    }
}

/// All items of one piece.
fn one_piece(
    typed: &Fields,
    (equipment, at): (&ToInspect, usize),
    wrong: &Wrong,
    language: Language,
) -> Markup {
    html! {
        h2 { span translate="no" { (equipment.id) } " (" (equipment.kind) ")" }
        @if equipment.items.is_empty() { p { "Nothing to check, " (WHEN.word()) "." } }
        @for (item, nth) in equipment.items.iter().zip(1..) {
            @let name = format!("i{at}.{nth}");
            input type="hidden" name={ (name) ".key" } value={ (equipment.id) " " (item.key) };
            (one_item(typed, (equipment, item), (&name, nth), wrong, language))
        }
        @for it in &equipment.controls {
            p lang="en" { (it.record) ": " (it.how) " " small { (it.rule) } }
        }
    }
}

/// One item: `good` is one tap, a measure is what the gauge shows, words are for what is not good.
fn one_item(
    typed: &Fields,
    (equipment, item): (&ToInspect, &ChecklistItem),
    (name, nth): (&str, usize),
    wrong: &Wrong,
    language: Language,
) -> Markup {
    let names = ["result", "value", "note", "action", "with", "line"];
    let full: Vec<String> = names.iter().map(|it| format!("{name}.{it}")).collect();
    let field = |column: &str, label: &'static str| {
        let place = names.iter().position(|it| *it == column).unwrap_or(0);
        let name = full.get(place).map_or("", String::as_str);
        Field {
            name,
            label,
            value: typed.get(name),
            ..Field::default()
        }
    };
    let question = item_question(
        item,
        (nth, equipment.items.len()),
        equipment.last.get(&item.key),
        language,
    );
    let unit = item.unit();
    let results: Vec<(&str, &str)> = LineResult::ALL
        .iter()
        // What a gauge shows is typed, and judged by its limit.
        .filter(|it| **it != LineResult::Measured)
        .filter(|it| unit.is_none() || **it != LineResult::Good)
        .map(|it| (it.word(), it.word()))
        .collect();
    let result = typed.get(&format!("{name}.result"));
    let asked = match unit {
        Some(_) => "Or, where it was not measured",
        None => "Result",
    };
    let open = !matches!(result, "" | "good") || full.iter().skip(2).any(|it| wrong.is(it));
    html! {
        section.card {
            (report_parts(&question))
            (wrong.beside(&format!("{name}.line")))
            @if let Some(unit) = unit {
                (line(Field {
                    unit: Some(unit.symbol()), keys: "decimal", ..field("value", "Measured")
                }, wrong))
            }
            (pick(field("result", asked), &results, wrong))
            details open[open] {
                summary { "What is wrong, what was done" }
                (line(field("note", "What is wrong, or how it was read again"), wrong))
                (line(field("action", "What was done about it"), wrong))
            }
            @if let Some(pair) = &item.pair {
                (line(Field {
                    hint: pair, ..field("with", "Mated with which item")
                }, wrong))
            }
        }
    }
}

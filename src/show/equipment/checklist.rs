//! Checklists, and the printed form on which an inspection is written down.

use serde_json::{Value, json};

use crate::answer::ListLineage;
use crate::rule::{ChangeType, Checklist, ChecklistChange, ChecklistItem, INACTIVE, Offer};
use crate::show::report::{Report, Table};

/// What is shown of a list, and whether anything is.
pub struct Shown {
    /// The report.
    pub report: Report,
    items: usize,
}

impl Shown {
    /// Whether no item was asked for.
    pub fn is_empty(&self) -> bool {
        self.items == 0
    }
}

/// The lists that were adopted, and those that come with the program.
pub fn checklists_report(adopted: &[ListLineage], offers: &[Offer]) -> Report {
    let mut report = Report::new("Checklists");
    let mut table = Table::new(&["name", "in force from", ">items", ">entry"]);
    for line in adopted {
        table.row([
            line.name.clone(),
            line.from.to_string(),
            line.items.to_string(),
            line.entry.to_string(),
        ]);
    }
    report.gap();
    report.table(table);
    if adopted.is_empty() {
        report.line("No checklist is adopted: no inspection can be written down yet.");
        report.under("wearbook checklist adopt general --from DATE");
    }
    report.gap();
    report.line("Built in, to be adopted or taken as a base:");
    for offer in offers {
        report.under(offer.name);
    }
    report
}

fn asked<'a>(
    list: &'a Checklist,
    of: Option<&'a str>,
    when: Option<&'a str>,
) -> impl Iterator<Item = &'a ChecklistItem> {
    list.items.iter().filter(move |item| {
        of.is_none_or(|of| item.on.eq_ignore_ascii_case(of))
            && when.is_none_or(|when| item.is_for(&when.to_lowercase()))
    })
}

/// Where an item stands, in words: its limit and whose it is, or that it waits for one.
pub(crate) fn limit_text(item: &ChecklistItem) -> Option<String> {
    if item.is_inactive() {
        return Some(format!("INACTIVE: {INACTIVE}"));
    }
    let measurement = item.measurement.as_ref()?;
    let shown = |amount: crate::quantity::Amount| amount.display(measurement.unit);
    let mut text = format!("limit: {}", measurement.limit_words());
    if let Some(nominal) = measurement.nominal {
        text.push_str(&format!(", new {}", shown(nominal)));
    }
    if let Some(warn) = measurement.warn {
        text.push_str(&format!(", warns at {}", shown(warn)));
    }
    Some(text)
}

fn basis_text(item: &ChecklistItem) -> String {
    match item.status {
        crate::rule::ItemStatus::ToBeConfirmed => format!("{} (to be confirmed)", item.basis),
        _ => item.basis.clone(),
    }
}

/// The items of a list, by kind of thing.
pub fn checklist_report(list: &Checklist, of: Option<&str>, when: Option<&str>) -> Shown {
    let mut report = Report::new(format!("{}: {}", list.key, list.title));
    if let Some(base) = &list.based_on {
        report.line(format!("based on {base}"));
    }
    let mut on = "";
    let mut items = 0;
    for item in asked(list, of, when) {
        if item.on != on {
            on = &item.on;
            report.gap();
            report.line(format!("{}:", sentence(on)));
        }
        items += 1;
        let occasions: Vec<&str> = item.when.iter().map(|it| it.name()).collect();
        report.line(format!("{}  {}: {}", item.key, item.component, item.how));
        report.under(format!("good: {}", item.good));
        if let Some(limit) = limit_text(item) {
            report.under(limit);
        }
        if let Some(pair) = &item.pair {
            report.under(format!("mates with the {pair}"));
        }
        if let Some(caution) = &item.caution {
            report.under(format!("caution: {caution}"));
        }
        report.under(format!("{}; {}", occasions.join(", "), basis_text(item)));
    }
    report.caution(list.confirm.clone());
    Shown { report, items }
}

/// The items for programs.
pub fn checklist_plain(list: &Checklist, of: Option<&str>, when: Option<&str>) -> Vec<Value> {
    asked(list, of, when)
        .map(|item| {
            let when: Vec<&str> = item.when.iter().map(|it| it.name()).collect();
            let measurement = item.measurement.as_ref().map(|it| {
                json!({
                    "limit": it.limit.display(it.unit),
                    "sense": it.sense.name(),
                    "new": it.nominal.map(|amount| amount.display(it.unit)),
                    "warn": it.warn.map(|amount| amount.display(it.unit)),
                    "step": it.step.display(it.unit),
                })
            });
            json!({
                "key": item.key, "of": item.on, "component": item.component,
                "look": item.how, "good": item.good, "when": when,
                "detects": item.detects, "basis": item.basis, "status": item.status.name(),
                "mates_with": item.pair, "caution": item.caution, "measure": measurement,
                "inactive": item.is_inactive().then_some(INACTIVE),
            })
        })
        .collect()
}

/// What differs between two lists.
pub fn diff_report(old: &Checklist, new: &Checklist, changes: &[ChecklistChange]) -> Report {
    let looser = changes.iter().filter(|it| it.looser).count();
    let mut report = Report::new(format!(
        "From `{}` to `{}`: {}; seeing less than before: {looser}",
        old.key,
        new.key,
        crate::text::counted(changes.len(), "change", "changes")
    ));
    report.gap();
    for change in changes {
        let what = match change.kind {
            ChangeType::Added => "added",
            ChangeType::Removed => "removed",
            ChangeType::Changed => "changed",
        };
        let mark = if change.looser { ", SEES LESS" } else { "" };
        report.line(format!("{} {}: {what}{mark}", change.of, change.key));
        for field in &change.fields {
            let blank = |text: &str| match text {
                "" => "nothing".to_owned(),
                text => text.to_owned(),
            };
            let (old, new) = (blank(&field.old), blank(&field.new));
            report.under(format!("{}: {new} (was {old})", field.field));
        }
    }
    report.caution(new.confirm.clone());
    report
}

/// The text with a capital in front.
pub(crate) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

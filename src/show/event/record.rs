//! Events: one with everything that was written about it, and the list.

use crate::answer::{EventAnswer, EventPersonLine, EventsAnswer};
use crate::show::entry::evidence::evidence_part;
use crate::show::report::{Report, Table};

/// One event.
pub fn event_report(it: &EventAnswer) -> Report {
    let mut report = Report::new(format!("Event {}: {}", it.name, it.kind));
    report.line(format!("occurred   {}", it.occurred));
    report.line(format!("discovered {}", it.discovered));
    if !it.place.is_empty() {
        report.line(format!("where      {}", it.place));
    }
    report.line(format!("what       {}", it.words));
    for equipment in &it.equipment {
        report.line(format!("equipment  {equipment}"));
    }
    report.line(format!("cause      {}", it.cause));
    match it.closed_on {
        Some(on) => report.line(format!("closed     {on}")),
        None => report.line("open"),
    }
    if !it.people.is_empty() {
        report.gap();
        let mut table = Table::new(&["person", "role", "dosimeter"]);
        for person in &it.people {
            table.row(person_row(person));
        }
        report.table(table);
    }
    if !it.lines.is_empty() {
        report.gap();
        let mut table = Table::new(&["when", "what", "description", ">entry"]);
        for line in &it.lines {
            // The hour is enough on a page: the offset stands above. What is only known roughly
            // stands as it is written.
            let at = match (line.at.get(10..11), line.at.get(..16)) {
                (Some("T"), Some(minute)) => minute.replace('T', " "),
                _ => line.at.clone(),
            };
            table.row([
                at,
                line.kind.to_owned(),
                line.words.clone(),
                line.entry.to_string(),
            ]);
        }
        report.table(table);
    }
    evidence_part(&mut report, &it.evidence);
    if !it.missing.is_empty() {
        report.gap();
        report.line("Before it can be closed:");
        for missing in &it.missing {
            report.under(missing.clone());
        }
    }
    report.gap();
    report.line(format!(
        "Reports owed, to whom by when: wearbook report show {}",
        it.name
    ));
    report.line(format!(
        "From it to the items that should have caught it: wearbook trace show {}",
        it.name
    ));
    report.caution(it.confirm.clone());
    report
}

/// Somebody in it: who, what the person did and was near, what was worn or estimated.
fn person_row(person: &EventPersonLine) -> [String; 3] {
    let mut role = person.role.clone();
    if !person.near.is_empty() {
        role.push_str(&format!(" (near an unshielded source: {})", person.near));
    }
    if let Some(group) = &person.group {
        role.push_str(&format!(" ({group})"));
    }
    let dose = person.dose.as_ref();
    let dosimeter = dose.map_or_else(
        || person.monitored.to_owned(),
        |dose| format!("{}, estimated {dose}", person.monitored),
    );
    [person.person.clone(), role, dosimeter]
}

/// Every event on a line.
pub fn events_report(it: &EventsAnswer) -> Report {
    let mut report = Report::new(match it.lines.len() {
        1 => "1 event".to_owned(),
        many => format!("{many} events"),
    });
    let mut table = Table::new(&["event", "day", "kind", "equipment", "cause", "state"]);
    for line in &it.lines {
        table.row([
            line.name.clone(),
            line.on.clone(),
            line.kind.clone(),
            line.equipment.clone(),
            line.cause.clone(),
            line.state.clone(),
        ]);
    }
    report.table(table);
    report
}

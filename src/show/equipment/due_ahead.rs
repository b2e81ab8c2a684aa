//! What falls due of everything, as a report and as a calendar of RFC 5545.

use icalendar::{Calendar, Component, Event, EventLike, Property};

use crate::answer::{DueAhead, DueWhen, Subject};
use crate::calendar::Instant;
use crate::file::has_mark;
use crate::show::report::{Report, Table};

/// What falls due.
pub fn due_ahead_report(it: &DueAhead) -> Report {
    let mut report = Report::new(format!("Due on {}: {}", it.on, it.words()));
    if !it.deadlines.is_empty() {
        report.gap();
        let mut table = Table::new(&["by", "event", "what"]);
        for line in &it.deadlines {
            let late = if line.overdue { "OVERDUE " } else { "" };
            table.row([
                format!("{late}{}", line.by_local),
                line.event.clone(),
                line.what.clone(),
            ]);
        }
        report.table(table);
    }
    report.gap();
    let mut table = Table::new(&["last day", "of", "what", "which"]);
    for line in &it.lines {
        let day = line.day.map(|day| day.to_string());
        table.row([
            day.unwrap_or_else(|| "NOT IN FORCE".to_owned()),
            subject(line.subject).to_owned(),
            line.what.clone(),
            line.items.join(", "),
        ]);
    }
    if table.rows.is_empty() {
        report.line("Nothing else.");
    }
    report.table(table);
    if !it.out_of_service.is_empty() {
        report.gap();
        let all = it.out_of_service.join(", ");
        report.line(format!("Out of service and not listed: {all}"));
    }
    report.caution(it.confirm.clone());
    report
}

fn subject(it: Subject) -> &'static str {
    match it {
        Subject::Person => "person",
        Subject::Badge => "badge",
        Subject::Instrument => "instrument",
        Subject::Equipment => "equipment",
    }
}

/// Which program made a calendar (RFC 5545, 3.7.3).
const PRODUCT: &str = "-//wearbook//due//EN";

/// Whether a file is a calendar that this program wrote: another one may take its place.
pub fn is_due_calendar(path: &std::path::Path) -> bool {
    has_mark(path, PRODUCT.as_bytes())
}

/// The same as a file that calendar programs read, made at a moment. It has no names of people and
/// no doses. A day is a whole day, a deadline a moment in UTC; none of them takes time.
pub fn due_calendar(it: &DueAhead, now: Instant) -> String {
    let mut calendar = Calendar::empty();
    for (name, value) in [
        ("VERSION", "2.0"),
        ("PRODID", PRODUCT),
        ("CALSCALE", "GREGORIAN"),
        ("METHOD", "PUBLISH"),
    ] {
        calendar.append_property(Property::new(name, value));
    }
    calendar.name("wearbook: what falls due");
    for one in it.events() {
        let mut event = Event::with_uid(&one.uid);
        match one.when {
            // Without an end it lasts the day. An end on the same day would be before its time.
            DueWhen::Day(day) => event.starts(day),
            DueWhen::Moment(at) => event.starts(at),
        };
        event
            .timestamp(now)
            .summary(&one.summary())
            .description(&format!("More: {}\n{}", one.more, it.confirm))
            .add_property("TRANSP", "TRANSPARENT");
        calendar.push(event.done());
    }
    calendar.to_string()
}

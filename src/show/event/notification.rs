//! Whom to tell of an event by when; the draft of the report on it.

use crate::answer::{
    Applies, DraftAnswer, DraftSection, NotificationAnswer, NotificationLine, NotificationsAnswer,
    OwedCount, Progress,
};
use crate::show::entry::evidence::enclosure_words;
use crate::show::equipment::checklist::sentence;
use crate::show::report::{Report, Table};
use crate::text::counted;

const CAUTION: &str = "Clocks are counted from what the ledger knows; in doubt the earlier \
                       deadline is used: the rule cited, your license, local law and your RSO \
                       decide.";

/// The heading of a clock: `OVERDUE by 3 h: notification ... (by telephone)`.
fn head(it: &NotificationLine) -> String {
    let what = format!("{} ({})", it.what, it.how);
    let may = match it.applies {
        Applies::May => "MAY APPLY, ",
        _ => "",
    };
    match it.state {
        Progress::Overdue => format!("{may}{}: {what}", it.words.to_uppercase()),
        Progress::NotBegun => format!("{may}not begun: {what}"),
        _ => format!("{may}{}: {what}", it.words),
    }
}

fn clock(report: &mut Report, it: &NotificationLine) {
    report.line(head(it));
    report.under(format!("duty     {}, {}", it.duty, it.citation));
    report.under(format!("to       {}", it.to));
    match (&it.deadline, it.latest) {
        (Some(at), false) => report.under(format!("by       {at} ({})", it.within)),
        (Some(at), true) => report.under(format!("by       {at} at the latest ({})", it.within)),
        (None, _) => report.under(format!("by       {}", it.within)),
    }
    match &it.start {
        Some(at) => report.under(format!("from     {at}, {}", it.start_words)),
        None => report.under(format!("from     {}", it.start_words)),
    }
    report.under(format!("because  {}", it.because));
    if !it.missing.is_empty() {
        report.under(format!("missing  {}", it.missing.join("; ")));
    }
}

/// How much is owed, in the same words for one event and for all.
fn counts(clocks: &[NotificationLine]) -> String {
    let it = OwedCount::of(clocks);
    let reports = counted(it.reports, "report", "reports");
    match it.duties {
        0 => "no report open".to_owned(),
        duties => format!(
            "{reports} open, {} of them overdue; {duties} {} served by them",
            it.overdue,
            if duties == 1 { "duty is" } else { "duties are" },
        ),
    }
}

/// The notices of one event.
pub fn notification_report(it: &NotificationAnswer) -> Report {
    let mut report = Report::new(format!(
        "Reports owed for {}, {}: {}",
        it.event,
        it.kind,
        counts(&it.clocks)
    ));
    for left_out in &it.left_out {
        report.line(left_out.clone());
    }
    report.line(format!("occurred   {}", it.occurred));
    report.line(format!("discovered {}", it.discovered));
    report.line(format!("as of      {}, {}", it.at, it.zone));
    report.line(format!("authority  {}", it.authority));
    if let Some(words) = &it.judged_by {
        report.line(format!("rules      {words}"));
    }
    if let Some(ask) = &it.ask {
        report.gap();
        report.line(ask.clone());
    }
    due_table(&mut report, it);
    for due in &it.reports {
        report.section(due.report.clone());
        report.line(format!("{}, to {}", due.how, due.to));
        report.gap();
        let own = it
            .clocks
            .iter()
            .filter(|it| it.is_open() && it.report == due.report);
        for (nth, line) in own.enumerate() {
            if nth > 0 {
                report.gap();
            }
            clock(&mut report, line);
        }
    }
    questions(&mut report, it);
    assumed(&mut report, it);
    people(&mut report, it);
    rest(&mut report, it);
    if !it.clocks.is_empty() {
        report.gap();
        let event = &it.event;
        report.line(format!(
            "Once sent: wearbook report done {event} REPORT --performed-by NAME --to NAME"
        ));
        report.line(format!(
            "To draft the written report: wearbook report draft {event} --out DIR"
        ));
    }
    report.caution(CAUTION);
    report.caution(it.confirm.clone());
    report
}

/// What is to be done, a line a report.
fn due_table(report: &mut Report, it: &NotificationAnswer) {
    if it.reports.is_empty() {
        return;
    }
    report.gap();
    let mut table = Table::new(&["report", "by", "how it stands"]);
    for due in &it.reports {
        let may = if due.applies { "" } else { "may apply: " };
        let words = match due.state {
            Progress::Overdue => due.words.to_uppercase(),
            Progress::NotBegun => "not begun".to_owned(),
            _ => due.words.clone(),
        };
        table.row([
            due.report.clone(),
            due.deadline
                .clone()
                .unwrap_or_else(|| "no deadline can be given".to_owned()),
            format!("{may}{words}"),
        ]);
    }
    report.table(table);
}

fn questions(report: &mut Report, it: &NotificationAnswer) {
    if it.questions.is_empty() {
        return;
    }
    report.gap();
    report.line("Open questions; until answered each counts as yes:");
    for question in &it.questions {
        report.under(format!("{}: {}", question.key, question.text));
        report.under(format!(
            "  wearbook report answer {} {} yes|no --because WHY",
            it.event, question.key
        ));
    }
}

fn assumed(report: &mut Report, it: &NotificationAnswer) {
    if it.assumed.is_empty() {
        return;
    }
    report.gap();
    report.line("Assumed from what happened; only an answer of no, with its reason, ends it:");
    for fact in &it.assumed {
        report.under(format!("{}: {}", fact.key, fact.text));
    }
    report.under(format!(
        "  wearbook report answer {} KEY no --because WHY",
        it.event
    ));
}

fn people(report: &mut Report, it: &NotificationAnswer) {
    if it.people.is_empty() {
        report.gap();
        report.line("The event names no one: no clock above takes doses into account.");
        return;
    }
    report.gap();
    let mut table = Table::new(&["person", "role", "dose, conservative total", "of"]);
    for person in &it.people {
        table.row([
            person.person.clone(),
            person.role.clone(),
            person.dose.clone(),
            person.of.clone(),
        ]);
    }
    report.table(table);
}

fn rest(report: &mut Report, it: &NotificationAnswer) {
    let done: Vec<&NotificationLine> = it
        .clocks
        .iter()
        .filter(|it| it.state == Progress::Done)
        .collect();
    if !done.is_empty() || !it.stray.is_empty() {
        report.gap();
        report.line("Done:");
        for line in done {
            report.under(format!("{}: {}", line.duty, line.words));
        }
        for stray in &it.stray {
            report.under(format!("{stray}, WHICH IS NONE OF THE CLOCKS ABOVE"));
        }
    }
    let waiting = || it.clocks.iter().filter(|it| it.state == Progress::Waits);
    if waiting().next().is_some() {
        report.gap();
        report.line("Waits for what is not known yet:");
        for line in waiting() {
            report.under(format!(
                "{} ({}): {}",
                line.duty, line.citation, line.start_words
            ));
        }
    }
    let mut off = it
        .clocks
        .iter()
        .filter(|it| it.state == Progress::NotApplicable);
    if let Some(first) = off.next() {
        report.gap();
        report.line("Does not apply:");
        for line in std::iter::once(first).chain(off) {
            let words = format!("{} ({}): {}", line.duty, line.citation, line.because);
            report.under(words);
        }
    }
}

/// What is owed to authorities: by when, which report of which event, to whom, how it stands.
pub(crate) fn owed(clocks: &[NotificationLine]) -> Table {
    let mut table = Table::new(&["due", "report", "to", "state"]);
    for it in clocks {
        let due = it.deadline.as_deref().unwrap_or("no deadline can be given");
        let latest = if it.latest { "\nat the latest" } else { "" };
        let may = match it.applies {
            Applies::May => "may apply: ",
            _ => "",
        };
        let state = match it.state {
            Progress::Overdue => it.words.to_uppercase(),
            Progress::NotBegun => "not begun".to_owned(),
            _ => it.words.clone(),
        };
        table.row([
            format!("{due}{latest}"),
            format!("{}: {}, {}\n{}", it.event, it.what, it.how, it.citation),
            it.to.clone(),
            format!("{may}{state}"),
        ]);
    }
    table
}

/// Clocks of every event.
pub fn notifications_report(it: &NotificationsAnswer) -> Report {
    let mut report = Report::new(format!(
        "Reports owed as of {}: {}",
        it.at,
        counts(&it.clocks)
    ));
    report.table(owed(&it.clocks));
    if !it.clocks.is_empty() {
        report.line("Why, from when it runs and what is missing: wearbook report show EVENT");
    }
    if it.clocks.iter().any(|it| it.applies == Applies::May) {
        report.gap();
        report.line("What may apply counts as applying until its questions are answered.");
    }
    for ask in &it.ask {
        report.line(ask.clone());
    }
    report.caution(CAUTION);
    report.caution(it.confirm.clone());
    report
}

const DRAFT: &str = "A draft from the ledger: read every line against what happened before it \
goes out. What a rule wants, your license, local law and your RSO decide.";

/// The draft of the report on an event, without anybody's name.
pub fn draft_report(it: &DraftAnswer) -> Report {
    let mut report = Report::new(format!("Draft report on event {}", it.event));
    report.line(format!("{}, license {}", it.licensee, it.license));
    report.line(format!("drafted {}", it.at));
    report.line("Names, identification numbers and doses by name stand in the private part.");
    if let Some(words) = it.judged_by.as_ref().or(it.ask.as_ref()) {
        report.line(words.clone());
    }
    for section in &it.sections {
        draft_section(&mut report, section);
    }
    if !it.enclosures.is_empty() {
        report.section("Enclosures");
        report.line("Look at each before it goes out: it may show a person or a name.");
        for (number, one) in it.enclosures.iter().enumerate() {
            report.under(format!("{}. {}", number + 1, enclosure_words(one)));
        }
    }
    report.caution(DRAFT);
    report.caution(it.confirm.clone());
    report
}

fn draft_section(report: &mut Report, it: &DraftSection) {
    report.section(format!("{} ({})", it.what, it.citation));
    let by = it.deadline.as_deref().unwrap_or("its clock has not begun");
    let may = match it.applies {
        true => "",
        false => "; it may apply: a question is not answered or a dose not known",
    };
    match it.duty.is_empty() {
        true => report.line(format!("{} to {}", it.how, it.to)),
        false => report.line(format!("{} to {}, by {by}{may}", it.how, it.to)),
    }
    if let Some(words) = it.no_list {
        report.line(sentence(words) + ". Below is what the ledger knows.");
    }
    for given in &it.given {
        report.under(format!("done: {given}"));
    }
    for (number, content) in it.contents.iter().enumerate() {
        report.gap();
        report.line(format!("{}. {}", number + 1, content.wanted));
        for text in &content.text {
            report.under(text.clone());
        }
        if let Some(missing) = &content.missing {
            report.under(format!("MISSING: {missing}"));
        }
    }
}

/// Who is who in the draft, to be sent apart from it.
pub fn private_report(it: &DraftAnswer) -> Report {
    let mut report = Report::new(format!(
        "PRIVATE: people in the report on event {}",
        it.event
    ));
    let rule = it.privacy_rule.as_deref();
    let rule = rule.map_or_else(String::new, |it| format!(" ({it})"));
    report.line(format!(
        "Detach this part. Personal privacy information: not to be placed in public records{rule}."
    ));
    let mut table = Table::new(&[
        "in the report",
        "id",
        "name",
        "born",
        "dose, conservative total",
    ]);
    let or_missing = |it: &Option<String>| it.clone().unwrap_or_else(|| "MISSING".to_owned());
    for person in &it.private {
        table.row([
            person.called.clone(),
            person.id.clone(),
            or_missing(&person.name),
            or_missing(&person.born),
            person.dose.clone(),
        ]);
    }
    report.table(table);
    report.line(
        "MISSING for everybody: the identification number that the rule wants, which this \
         ledger does not keep.",
    );
    report.caution(DRAFT);
    report.caution(it.confirm.clone());
    report
}

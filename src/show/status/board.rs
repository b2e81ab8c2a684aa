//! The board of a day.

use crate::answer::{BoardAnswer, BoardPerson, SetLine, SetState};
use crate::rule::Severity;
use crate::show::report::{Report, Table};
use crate::show::review::finding::to_do;

const WEEK: i64 = 7;

/// A person with the family name on a line of its own: a column of people stays narrow.
fn on_two_lines(id: &str, name: &str) -> String {
    let mut name = name.to_owned();
    if let Some(at) = name.rfind(' ') {
        name.replace_range(at..=at, "\n");
    }
    format!("{id} {name}")
}

/// Who and what may go out.
pub fn board_report(it: &BoardAnswer) -> Report {
    let stay = it.people.iter().filter(|it| !it.may_go).count();
    let stopped = it.sets.iter().filter(|it| it.stops()).count();
    let mut report = Report::new(format!(
        "Board of {}: {stay} of {} must not work, {stopped} of {} must not be used",
        it.on,
        crate::text::counted(it.people.len(), "person", "people"),
        crate::text::counted(it.sets.len(), "set", "sets")
    ));
    to_do(&mut report, &it.to_do);
    report.gap();
    people(&mut report, it);
    sets(&mut report, it);
    categories(&mut report, it);
    report.gap();
    for group in &it.instruments {
        let until = match group.until {
            Some(day) => format!(", the first until {day} ({})", group.first),
            None => String::new(),
        };
        let line = format!("{:<20} {} current{until}", group.kind, group.current);
        report.line(line);
        for not in &group.not_usable {
            report.under(format!("NOT {not}"));
        }
    }
    due(&mut report, it);
    if !it.clocks.is_empty() {
        report.gap();
        report.line("Clocks that run:");
        for clock in &it.clocks {
            report.under(format!("{}: {}", clock.about, clock.words));
        }
    }
    if !it.turned_away.is_empty() {
        report.gap();
        report.line("Turned away at the page, to be asked about:");
        for away in &it.turned_away {
            report.under(format!(
                "{} {}: {}, last {}",
                away.day, away.who, away.words, away.about
            ));
        }
    }
    if !it.copies.is_empty() {
        report.gap();
        report.line("Copies of the ledger:");
        for copy in &it.copies {
            report.under(format!("{}: {}", copy.folder, copy.words));
        }
    }
    report.caution(it.caution.clone());
    report.caution(it.confirm.clone());
    report
}

/// What somebody has to do about whom, and who has nothing against them; what keeps somebody in
/// stands above.
fn people(report: &mut Report, it: &BoardAnswer) {
    let mut table = Table::new(&["person", "why", "cleared by"]);
    let mut people: Vec<&BoardPerson> = it.people.iter().collect();
    people.sort_by_key(|it| &it.worker);
    for person in people {
        let mut who = on_two_lines(&person.worker, &person.name);
        let acts = person.reasons.iter();
        for reason in acts.filter(|it| it.severity != Severity::Stop) {
            let ends = reason
                .ends
                .strip_prefix("cleared by ")
                .unwrap_or(reason.ends);
            table.row([
                std::mem::take(&mut who),
                reason.what.clone(),
                ends.to_owned(),
            ]);
        }
    }
    if !table.rows.is_empty() {
        report.line("MAY WORK, BUT TO BE CLEARED:");
        report.table(table);
        report.gap();
    }
    let free = it
        .people
        .iter()
        .filter(|it| it.may_go && it.reasons.is_empty());
    let free: Vec<String> = free
        .map(|it| format!("{} {}", it.worker, it.name))
        .collect();
    if !free.is_empty() {
        let known = match it.not_known.is_empty() {
            true => "May go",
            false => "Nothing known against",
        };
        report.line(format!("{known}: {}", free.join(", ")));
    }
    if !it.not_known.is_empty() {
        report.gap();
        report.line("NOT KNOWN to this ledger, and to be checked before anybody goes:");
        for words in &it.not_known {
            report.under(words.clone());
        }
    }
}

/// The sets, those that stay in first, with what keeps them in.
fn sets(report: &mut Report, it: &BoardAnswer) {
    report.gap();
    let mut table = Table::new(&["set", "source (estimate)", "state", "why"]);
    let mut sets: Vec<&SetLine> = it.sets.iter().collect();
    sets.sort_by_key(|it| it.state);
    for set in sets {
        let state = match set.stops() {
            true => set.state.word().to_uppercase(),
            false => set.state.word().to_owned(),
        };
        let checked = match set.inspected.as_str() {
            "" => String::new(),
            when => format!("\nchecked: {when}"),
        };
        table.row([
            format!("{}\n{}", set.device, set.with.join(" "))
                .trim_end()
                .to_owned(),
            set.source.clone(),
            state + &checked,
            said_once(set).join("\n"),
        ]);
    }
    report.table(table);
}

/// Why a set stands as it does, each thing once with all the items that it is about.
fn said_once(set: &SetLine) -> Vec<String> {
    let mut said: Vec<(SetState, &str, Vec<&str>)> = Vec::new();
    for reason in &set.reasons {
        let same = said
            .iter_mut()
            .find(|it| (it.0, it.1) == (reason.state, &*reason.what));
        match same {
            Some(it) => it.2.push(&reason.equipment),
            None => said.push((reason.state, &reason.what, vec![&reason.equipment])),
        }
    }
    let words = said.into_iter().map(|(state, what, all_equipment)| {
        let all_equipment = all_equipment.join(" ");
        // A finding names its item itself.
        let what = what
            .strip_prefix(&format!("{all_equipment}: "))
            .unwrap_or(what);
        match state == set.state {
            true => format!("{all_equipment}: {what}"),
            false => format!("{all_equipment}, {}: {what}", state.word()),
        }
    });
    words.collect()
}

/// The category of each source, and of all together.
fn categories(report: &mut Report, it: &BoardAnswer) {
    let Some(last) = it.categories.last() else {
        return;
    };
    report.gap();
    report.line(format!(
        "Category of the sources, an estimate by decay on the high side ({}):",
        last.rule
    ));
    for place in &it.categories {
        let with = place.sources.join(" ");
        report.under(format!("{}, {with}: {}", place.place, place.short()));
    }
}

/// What falls due later than the week that stands above.
fn due(report: &mut Report, it: &BoardAnswer) {
    let later = it.due.iter().filter(|it| it.days > WEEK).count();
    report.gap();
    if later == it.due.len() {
        report.line("Nothing falls due within 7 days.");
    }
    if later > 0 {
        // What falls due stands once, with all whom it is about: a name and a day alone do not say
        // what somebody has to do.
        let mut kinds: Vec<(&str, Vec<String>)> = Vec::new();
        for it in it.due.iter().filter(|it| it.days > WEEK) {
            let one = format!("{} {}", it.about, it.due.format("%m-%d"));
            match kinds.iter_mut().find(|(what, _)| *what == it.what) {
                Some((_, all)) => all.push(one),
                None => kinds.push((&it.what, vec![one])),
            }
        }
        report.line(format!("{later} more within 30 days:"));
        for (what, all) in kinds {
            report.under(format!("{what}: {}", all.join(", ")));
        }
    }
}

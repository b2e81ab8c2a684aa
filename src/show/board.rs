//! The board of a day.

use super::report::{Report, Table};
use crate::answer::{BoardAnswer, BoardDue, BoardPerson, SetState};

const WEEK: i64 = 7;

/// Who and what may go out.
pub fn board_report(it: &BoardAnswer) -> Report {
    let stay = it.people.iter().filter(|it| !it.may_go).count();
    let stopped = it.sets.iter().filter(|it| it.stops()).count();
    let mut report = Report::new(format!(
        "Board of {}: {stay} of {} and {stopped} of {} stay in",
        it.on,
        crate::text::counted(it.people.len(), "person", "people"),
        crate::text::counted(it.sets.len(), "set", "sets")
    ));
    people(&mut report, it);
    sets(&mut report, it);
    categories(&mut report, it);
    report.gap();
    for group in &it.instruments {
        let until = match group.until {
            Some(day) => format!(", the first until {day} ({})", group.first),
            None => String::new(),
        };
        let line = format!("{:<20} {} current{until}", group.sort, group.in_date);
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
    if it.held > 0 || !it.nobodys.is_empty() {
        report.gap();
        let one = |count: usize, one: &str, more: &str| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {more}"),
        };
        report.line(format!(
            "{} (wearbook hold list); {} to nobody yet",
            one(it.held, "item is on hold", "items are on hold"),
            one(it.nobodys.len(), "result belongs", "results belong")
        ));
    }
    report.caution(it.caution.clone());
    report.caution(it.confirm.clone());
    report
}

fn people(report: &mut Report, it: &BoardAnswer) {
    report.gap();
    let mut table = Table::new(&["person", "name", ""]);
    for person in it.people.iter().filter(|it| it.may_go) {
        table.row([
            person.worker.clone(),
            person.name.clone(),
            match (person.reasons.is_empty(), it.not_known.is_empty()) {
                (false, _) => "may go, and somebody has to act",
                (true, true) => "may go",
                (true, false) => "nothing known against it",
            }
            .to_owned(),
        ]);
    }
    report.table(table);
    if !it.not_known.is_empty() {
        report.gap();
        report.line("NOT KNOWN to this ledger, and to be checked before anybody goes:");
        for words in &it.not_known {
            report.under(words.clone());
        }
    }
    let stay: Vec<_> = it.people.iter().filter(|it| !it.may_go).collect();
    if !stay.is_empty() {
        report.gap();
        report.line("STAY IN (all of it: wearbook work-status ID):");
        for person in stay {
            reasons(report, person);
        }
    }
    let act: Vec<_> = it
        .people
        .iter()
        .filter(|it| it.may_go && !it.reasons.is_empty())
        .collect();
    if !act.is_empty() {
        report.gap();
        report.line("MAY GO, AND SOMEBODY HAS TO ACT:");
        for person in act {
            reasons(report, person);
        }
    }
}

/// Each reason with what ends it.
fn reasons(report: &mut Report, person: &BoardPerson) {
    for (at, reason) in person.reasons.iter().enumerate() {
        let who = match at {
            0 => format!("{} {}: ", person.worker, person.name),
            _ => "also: ".to_owned(),
        };
        report.under(format!("{who}{}; {}", reason.what, reason.ends));
    }
}

fn sets(report: &mut Report, it: &BoardAnswer) {
    report.gap();
    let mut table = Table::new(&["set", "with", "source (estimate)", "checked", ""]);
    for set in &it.sets {
        table.row([
            set.device.clone(),
            set.with.join(" "),
            set.source.clone(),
            set.inspected.clone(),
            match set.stops() {
                true => set.state.word().to_uppercase(),
                false => set.state.word().to_owned(),
            },
        ]);
    }
    report.table(table);
    for set in &it.sets {
        let mut said: Vec<(SetState, &str, Vec<&str>)> = Vec::new();
        for reason in &set.reasons {
            let same =
                |it: &&mut (SetState, &str, Vec<&str>)| it.0 == reason.state && it.1 == reason.what;
            match said.iter_mut().find(same) {
                Some(it) => it.2.push(&reason.piece),
                None => said.push((reason.state, &reason.what, vec![&reason.piece])),
            }
        }
        for (state, what, pieces) in said {
            let pieces = pieces.join(" ");
            // A finding names its piece itself.
            let what = what.strip_prefix(&format!("{pieces}: ")).unwrap_or(what);
            report.under(format!("{pieces}: {}: {what}", state.word()));
        }
    }
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

fn due(report: &mut Report, it: &BoardAnswer) {
    report.gap();
    let words = |it: &BoardDue| format!("{} {} {}", it.due, it.about, it.what);
    let soon: Vec<String> = it
        .due
        .iter()
        .filter(|it| it.days <= WEEK)
        .map(words)
        .collect();
    let later = it.due.iter().filter(|it| it.days > WEEK).count();
    match soon.as_slice() {
        [] => report.line("Nothing falls due within 7 days."),
        soon => {
            report.line("Due within 7 days:");
            for line in soon {
                report.under(line.clone());
            }
        }
    }
    if later > 0 {
        // What falls due stands once, with all whom it is about: a name and a day alone do not say
        // what somebody has to do.
        let mut sorts: Vec<(&str, Vec<String>)> = Vec::new();
        for it in it.due.iter().filter(|it| it.days > WEEK) {
            let one = format!("{} {}", it.about, it.due.format("%m-%d"));
            match sorts.iter_mut().find(|(what, _)| *what == it.what) {
                Some((_, all)) => all.push(one),
                None => sorts.push((&it.what, vec![one])),
            }
        }
        report.line(format!("{later} more within 30 days:"));
        for (what, all) in sorts {
            report.under(format!("{what}: {}", all.join(", ")));
        }
    }
}

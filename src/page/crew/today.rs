//! Today, for one person: may I work and why not, my dose, what I carry, the set, what runs out.

use chrono::Days;
use maud::{Markup, html};

use super::away::kept_pages;
use crate::answer::{
    AnswerError, LastTime, LevelLine, OpenHouse, SetLine, SetReason, SheetOffer, WorkStatusAnswer,
    WorkStatusLine, dose_of, item_of, last_time_of, offered, sets, sheet_offer, work_status,
};
use crate::calendar::{Day, Span, quarter_of};
use crate::intake::IntakeError;
use crate::ledger::Instant;
use crate::page::office::alerts;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::frame::Frame;
use crate::page::shell::language;
use crate::page::shell::plain::without_commands;
use crate::record::RecordId;
use crate::rule::Severity;

/// What falls due within so many days is told here; the board has the rest.
const SOON: Days = Days::new(7);

/// How many levels are shown: those of which most is used.
const LEVELS: usize = 4;

/// Everything of the page.
struct Mine {
    today: Day,
    status: WorkStatusAnswer,
    doses: Vec<(&'static str, String)>,
    made_up_of: String,
    carried: Vec<(String, String)>,
    set: Option<(String, String, Vec<String>)>,
    soon: Vec<String>,
}

/// The page of today.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let now = desk.commands.now();
    let mine = desk.read(|house| mine(house, &person.id, now))?;
    let frame = Frame {
        title: "Today",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    let line = mine.status.lines.first();
    let reasons = line.iter().flat_map(|it| &it.reasons);
    let found = reasons.map(|it| &it.finding);
    Ok(frame.reply(&html! {
        h1 { (mine.today.format("%A %F")) }
        @if person.is_office() { (alerts::way()) }
        (language::stops(asked.language, found))
        (may_work(line, &mine.status))
        (buttons(&mine))
        (my_dose(&mine, line, person))
        section.card {
            h2 { "What I carry" }
            @if mine.carried.is_empty() { p { "No sheet of yours in the last two months." } }
            dl lang="en" {
                @for (what, words) in &mine.carried {
                    dt { (what) }
                    dd { (without_commands(words)) }
                }
            }
        }
        @if !mine.soon.is_empty() {
            section.card {
                h2 { "Runs out within a week" }
                ul lang="en" { @for words in &mine.soon { li { (words) } } }
            }
        }
        div lang="en" {
            p.small { (mine.status.caution) "." }
            p.small { (mine.status.confirm) }
        }
        (kept_pages(true))
    }))
}

fn mine(house: &OpenHouse<'_>, id: &str, now: Instant) -> Result<Mine, AnswerError> {
    let today = house.today(now);
    let worker = house.names.worker(id)?.number();
    let start = house.rule_set_on(today)?.year_start;
    let spans = [
        (
            "today",
            Span {
                first: today,
                last: today,
            },
        ),
        ("this quarter", quarter_of(today, start).span(start)),
        ("this year", start.year(start.year_of(today))),
    ];
    let mut doses = Vec::new();
    let mut made_up_of = String::new();
    for (what, span) in spans {
        let (safe, parts) = deep(house, worker, (span, today))?;
        doses.push((what, safe));
        made_up_of = parts;
    }
    let offer = sheet_offer(house, now)?;
    let status = work_status(house, Some(worker), today, now)?;
    let sets = sets(house, today)?;
    Ok(Mine {
        today,
        doses,
        made_up_of,
        carried: carried(house, (id, &offer), today)?,
        set: set(&sets, last_time_of(house, id, now)?.as_ref()),
        soon: soon(&status, today),
        status,
    })
}

/// The deep dose of a span: what levels use, and what it is made of.
fn deep(
    house: &OpenHouse<'_>,
    worker: RecordId,
    (span, on): (Span, Day),
) -> Result<(String, String), AnswerError> {
    let answer = dose_of(house, worker, span, on)?;
    let deep = answer.totals.iter().find(|it| it.quantity == "deep");
    Ok(match deep {
        Some(it) if answer.no_record => (it.conservative.short.clone(), "nothing on record".into()),
        Some(it) => {
            let parts = [
                (&it.account.of_record, "of record"),
                (&it.account.provisional, "provisional"),
                (&it.account.prior, "with other employers"),
            ];
            let parts = parts.iter().filter(|it| it.0.nsv > 0);
            let words: Vec<String> = parts
                .map(|(dose, words)| format!("{} {words}", dose.shown))
                .collect();
            (it.conservative.short.clone(), words.join(", "))
        }
        None => ("not assessed".to_owned(), String::new()),
    })
}

/// Dosimeters and ratemeter of the last sheet, with what holds for them today.
fn carried(
    house: &OpenHouse<'_>,
    (id, offer): (&str, &SheetOffer),
    today: Day,
) -> Result<Vec<(String, String)>, AnswerError> {
    let me = offer.people.iter().find(|it| it.worker == id);
    let items = me.into_iter().flat_map(|it| {
        let ratemeter = Some(&it.ratemeter).filter(|it| !it.is_empty());
        it.dosimeters.iter().chain(ratemeter)
    });
    let mut all = Vec::new();
    for item in items.filter(|it| offered(house, it).is_some()) {
        let answer = item_of(house, item, today)?;
        let due = answer
            .due
            .iter()
            .map(|it| format!("{}: {}", it.what, it.words));
        let words: Vec<String> = std::iter::once(answer.state.clone()).chain(due).collect();
        all.push((format!("{} {}", answer.kind, answer.id), words.join("; ")));
    }
    Ok(all)
}

/// The set of the last sheet: its device, whether it was looked at today, and what keeps it in.
fn set(sets: &[SetLine], last: Option<&LastTime>) -> Option<(String, String, Vec<String>)> {
    let device = last?.equipment.iter().find(|it| it.column == "device")?;
    let line = sets.iter().find(|it| it.device == device.id)?;
    let why = line.reasons.iter().map(SetReason::words);
    let words = match line.inspected.is_empty() {
        true => line.state.word().to_owned(),
        false => format!("checked: {}; {}", line.inspected, line.state.word()),
    };
    Some((line.device.clone(), words, why.collect()))
}

/// Qualifications whose last day is near.
fn soon(status: &WorkStatusAnswer, today: Day) -> Vec<String> {
    let until = today.checked_add_days(SOON).unwrap_or(today);
    let duties = status.lines.iter().flat_map(|it| &it.duties);
    let near = duties.filter(|it| it.in_force && it.until.is_some_and(|day| day <= until));
    near.map(|it| it.words.clone()).collect()
}

fn may_work(line: Option<&WorkStatusLine>, answer: &WorkStatusAnswer) -> Markup {
    let Some(line) = line else {
        return html! {
            div.stop { p { span.word { "STOP" } " nothing is on record for " (answer.on) } }
        };
    };
    let urgent = |it: &Severity| match it {
        Severity::Stop => "stop-w",
        Severity::Act => "act-w",
        Severity::Watch => "",
    };
    let class = match (line.may_work, line.reasons.is_empty()) {
        (false, _) => "stop",
        (true, false) => "act",
        (true, true) => "go",
    };
    html! {
        div class=(class) {
            p {
                @if line.may_work {
                    span.word { "You may work." }
                    @if line.reasons.is_empty() { " Nothing on record stands against it." }
                    @else { " What stands below is to be cleared." }
                }
                @else { span.word { "STOP: you may not work with sources." } }
            }
            @for reason in &line.reasons {
                p lang="en" {
                    span class={ "word " (urgent(&reason.finding.severity)) } {
                        (match reason.finding.severity {
                            Severity::Stop => "STOP ",
                            Severity::Act => "ACT ",
                            Severity::Watch => "watch ",
                        })
                    }
                    (without_commands(&reason.finding.what)) "; "
                    (without_commands(reason.ends)) ". "
                    small { (reason.finding.rule) " (" (reason.finding.cited()) ")" }
                }
                p lang="en" { "Do: " (without_commands(&reason.finding.remedy)) }
            }
            @for words in &line.not_known {
                p lang="en" { "Not known: " (without_commands(words)) }
            }
            @for words in &line.clocks { p lang="en" { (without_commands(words)) } }
        }
    }
}

fn buttons(mine: &Mine) -> Markup {
    html! {
        a.big.second href="/start" { "Start of shift" small { "badge, dosimeter, alarm, meter" } }
        @if let Some((device, words, why)) = &mine.set {
            a.big.second href="/check" {
                "Morning check of " span translate="no" { (device) }
                small { (words) }
            }
            @for it in why { p.small lang="en" { (without_commands(it)) } }
        } @else { a.big.second href="/check" { "Morning check" } }
        a.big href="/sheet" { "End of shift" small { "readings, surveys, who worked" } }
        p {
            a.btn href="/scan" { "Scan a label or a form" } " "
            a.btn href="/paper" { "Type in a paper form" }
        }
        a.big.alarm href="/wrong" { "Something went wrong"
            small { "source, dose, equipment, loss" } }
    }
}

fn my_dose(mine: &Mine, line: Option<&WorkStatusLine>, person: &Person) -> Markup {
    let levels = line.map_or(&[][..], |it| &it.levels);
    let mut binding: Vec<&LevelLine> = levels
        .iter()
        .filter(|it| it.binds && it.quantity == "deep")
        .collect();
    binding.sort_by_key(|it| std::cmp::Reverse(it.share_ppm));
    html! {
        section.card {
            h2 { "My dose" }
            table {
                thead { tr { th scope="col" { "time" } th.r scope="col" { "dose, conservative" } } }
                tbody {
                    @for (what, dose) in &mine.doses {
                        tr { th scope="row" { (what) } td.r { (dose) } }
                    }
                }
            }
            @if !mine.made_up_of.is_empty() {
                p.small {
                    "On record this year: " (mine.made_up_of)
                    ". The figure above also has what may be missing."
                }
            }
            @for level in binding.iter().take(LEVELS) {
                div.share {
                    span lang="en" { (level.words()) " " (level.limit.shown) }
                    (bar(level))
                    span { "left: " (level.left_short) }
                }
            }
            p { a href={ "/people/" (person.id) } { "What makes this up" } }
        }
    }
}

/// How much of a level is used. The words beside it say the same.
fn bar(level: &LevelLine) -> Markup {
    let used = level.share_ppm.unwrap_or(1_000_000).clamp(0, 1_000_000);
    html! {
        svg.bar viewBox="0 0 1000000 80000" preserveAspectRatio="none" role="img" {
            title { (level.share) " of " (level.limit.shown) }
            rect.all width="1000000" height="80000" {}
            rect.used width=(used) height="80000" {}
        }
    }
}

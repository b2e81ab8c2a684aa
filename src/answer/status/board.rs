//! Who and what may go out on a day: people, sets of equipment, instruments, what falls due soon
//! and which clocks run.

use chrono::Days;
use serde::Serialize;

use super::board_equipment::{InstrumentGroup, SetLine, groups, sets};
use super::copies::{CopyLine, copies};
use super::qualified::is_for_work;
use super::work_status::{WorkStatusLine, work_status};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::annual_report::{AnnualState, running};
use crate::answer::dose::nobody::NobodysLine;
use crate::answer::equipment::category::{PlaceLine, places};
use crate::answer::equipment::due::due;
use crate::answer::equipment::due_line::{DueLine, DueState};
use crate::answer::equipment::tracking;
use crate::answer::event::happened::all_happened;
use crate::answer::event::notification::open_duties;
use crate::answer::event::person::end_of;
use crate::answer::review::to_do::{ToDo, decisions, wears_out_next};
use crate::calendar::{Day, Instant};
use crate::notification::{Applies, Progress};
use crate::rule::{Severity, Tells};
use crate::text::counted;

/// One person on the board.
#[derive(Debug, Clone, Serialize)]
pub struct BoardPerson {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// Whether nothing on record stands against it.
    pub may_go: bool,
    /// What stands against it or needs somebody, the most serious first.
    pub reasons: Vec<BoardReason>,
}

/// Why somebody stays in, or what needs somebody.
#[derive(Debug, Clone, Serialize)]
pub struct BoardReason {
    /// How urgent it is.
    pub severity: Severity,
    /// What is so.
    pub what: String,
    /// What ends it.
    pub ends: &'static str,
}

/// One clock that runs.
#[derive(Debug, Clone, Serialize)]
pub struct BoardClock {
    /// Whom or what it is about.
    pub about: String,
    /// What is to be done by when.
    pub words: String,
    /// Whether it is past.
    pub overdue: bool,
    /// Whether it is a report of an event.
    #[serde(skip)]
    pub of_event: bool,
}

/// One thing that falls due.
#[derive(Debug, Clone, Serialize)]
pub struct BoardDue {
    /// The last day on which it is in time.
    pub due: Day,
    /// Days from the board's day.
    pub days: i64,
    /// Whom or what it is about.
    pub about: String,
    /// What is to be done.
    pub what: String,
}

/// The board.
#[derive(Debug, Clone, Serialize)]
pub struct BoardAnswer {
    /// The day.
    pub on: Day,
    /// What somebody can act on, before anything else.
    pub to_do: Vec<ToDo>,
    /// The people, those who may not go out first.
    pub people: Vec<BoardPerson>,
    /// Sets of equipment, by device.
    pub sets: Vec<SetLine>,
    /// The category of the sources by place, and of all together: estimates.
    pub categories: Vec<PlaceLine>,
    /// Instruments, a kind a line.
    pub instruments: Vec<InstrumentGroup>,
    /// What falls due within 30 days, the earliest first.
    pub due: Vec<BoardDue>,
    /// Clocks that run.
    pub clocks: Vec<BoardClock>,
    /// What this ledger does not keep, so that nothing of it can stand against anybody.
    pub not_known: Vec<String>,
    /// Results that are unassigned.
    pub nobodys: Vec<NobodysLine>,
    /// Whom the page turned away in the last days, a line a person and day.
    pub turned_away: Vec<TurnedAway>,
    /// Where copies of the ledger are, and how old the newest is.
    pub copies: Vec<CopyLine>,
    /// How many items are held.
    pub held: usize,
    /// The unit of figures for people.
    pub unit: String,
    /// The caution.
    pub caution: String,
    /// The rule set's caution.
    pub confirm: String,
}

/// What the page refused to one person on one day.
#[derive(Debug, Clone, Serialize)]
pub struct TurnedAway {
    /// The day.
    pub day: Day,
    /// The worker's id, or that nobody has the name.
    pub who: String,
    /// What was refused and how often.
    pub words: String,
    /// The last address that was asked for.
    pub about: String,
}

impl BoardAnswer {
    /// Whether anything on it says stop.
    pub fn says_stop(&self) -> bool {
        self.people.iter().any(|it| !it.may_go)
            || self.sets.iter().any(|it| it.stops())
            || self.clocks.iter().any(|it| it.overdue)
    }
}

/// The board of a day. With `crew`, ids of workers, only those people.
///
/// # Errors
/// An id of a crew that is no worker's.
pub fn board(
    house: &OpenHouse<'_>,
    crew: &[String],
    on: Day,
    now: Instant,
) -> Result<BoardAnswer, AnswerError> {
    board_for(house, crew, (on, now), None)
}

/// The board as one of the crew may see it: who may go out, and why not only of oneself. Why
/// somebody else stays in can give a dose away; what is owed and to be decided is the office's.
///
/// # Errors
/// What the board needs cannot be read.
pub fn board_seen_by(
    house: &OpenHouse<'_>,
    worker: &str,
    (on, now): (Day, Instant),
) -> Result<BoardAnswer, AnswerError> {
    board_for(house, &[], (on, now), Some(worker))
}

fn board_for(
    house: &OpenHouse<'_>,
    crew: &[String],
    (on, now): (Day, Instant),
    seen_by: Option<&str>,
) -> Result<BoardAnswer, AnswerError> {
    let mut asked = Vec::new();
    for id in crew {
        asked.push(house.names.label(house.names.worker(id)?.number()));
    }
    let all = work_status(house, None, on, now)?;
    let lines: Vec<&WorkStatusLine> = all
        .lines
        .iter()
        .filter(|it| asked.is_empty() || asked.contains(&it.worker))
        .collect();
    let mut people: Vec<BoardPerson> = lines.iter().map(|it| person(it)).collect();
    // Somebody who is named and not monitored must not fall out of the board unseen.
    for id in asked
        .iter()
        .filter(|id| lines.iter().all(|it| it.worker != **id))
    {
        people.push(not_monitored(house, id, on));
    }
    people.sort_by(|a, b| (a.may_go, &a.worker).cmp(&(b.may_go, &b.worker)));
    let mut clocks = clocks(house, &lines, (on, now))?;
    let mut of_whom = lines;
    let (mut nobodys, mut turned_away) = (all.nobodys, turned_away(house, on)?);
    let mut copies = copies(house, (on, now))?;
    if let Some(me) = seen_by {
        people.iter_mut().for_each(|it| mask(it, me));
        clocks.retain(|it| it.about == me);
        of_whom.retain(|it| it.worker == me);
        nobodys.clear();
        turned_away.clear();
        copies.clear();
    }
    let sets = sets(house, on)?;
    let due = falls_due(house, &of_whom, on)?;
    let mut to_do = to_do(house, (&people, &sets, &due), &clocks, on)?;
    if seen_by.is_none() {
        to_do.extend(decisions(house, on)?);
        to_do.extend(copies.iter().filter_map(CopyLine::to_do));
    }
    Ok(BoardAnswer {
        on,
        to_do,
        people,
        sets,
        categories: places(house, on)?,
        instruments: groups(house, on)?,
        due,
        clocks,
        not_known: not_known(house, on)?,
        held: super::on_hold::held_on(house, on)?,
        nobodys,
        turned_away,
        copies,
        unit: all.unit,
        caution: all.caution,
        confirm: house.rule_set_on(on)?.caution_of(Tells::Both),
    })
}

/// Clocks that run: of people, of events, of the year's report, of sources.
fn clocks(
    house: &OpenHouse<'_>,
    lines: &[&WorkStatusLine],
    (on, now): (Day, Instant),
) -> Result<Vec<BoardClock>, AnswerError> {
    let mut clocks: Vec<BoardClock> = Vec::new();
    for line in lines {
        clocks.extend(line.clocks.iter().map(|words| BoardClock {
            about: line.worker.clone(),
            words: words.clone(),
            overdue: line.overdue.contains(words),
            of_event: false,
        }));
    }
    clocks.extend(of_events(house, on, now)?);
    let annual = running(house, on)?;
    clocks.extend(annual.into_iter().map(|it| BoardClock {
        about: format!("year {}", it.year),
        words: format!(
            "annual report to the authority ({}): {}",
            it.rule,
            it.words()
        ),
        overdue: it.state == AnnualState::Overdue,
        of_event: false,
    }));
    clocks.extend(overdue(house, on)?);
    Ok(clocks)
}

/// What somebody can act on. Who is nearest a level is not said: a board hangs where everybody
/// reads it, and a dose is for the person and the RSO.
fn to_do(
    house: &OpenHouse<'_>,
    (people, sets, due): (&[BoardPerson], &[SetLine], &[BoardDue]),
    clocks: &[BoardClock],
    on: Day,
) -> Result<Vec<ToDo>, AnswerError> {
    let mut all = Vec::new();
    for person in people.iter().filter(|it| !it.may_go) {
        let who = format!("{} {}", person.worker, person.name);
        let stops = person
            .reasons
            .iter()
            .filter(|it| it.severity == Severity::Stop);
        all.extend(stops.map(|it| ToDo::new("STOP", who.trim(), &it.what, it.ends)));
    }
    for set in sets.iter().filter(|it| it.stops()) {
        let mut why = set.reasons.iter().filter(|it| it.state == set.state);
        let first = why.next();
        let mut what =
            first.map_or_else(String::new, |it| format!("{}: {}", it.equipment, it.what));
        if why.next().is_some() {
            what.push_str("; more below");
        }
        let ends = "repair and a good inspection after the event (wearbook equipment show ID)";
        all.push(ToDo::new("STOP", format!("set {}", set.device), what, ends));
    }
    let late = clocks.iter().filter(|it| it.overdue);
    all.extend(late.map(|it| ToDo::new("due", &it.about, &it.words, "OVERDUE")));
    let due = due.iter().filter(|it| it.days <= SOON);
    all.extend(due.map(|it| ToDo::new("due", &it.about, &it.what, it.due.to_string())));
    all.extend(wears_out_next(house, on)?);
    Ok(all)
}

/// Days ahead of which the board says first what falls due.
const SOON: i64 = 7;

/// Checks of sources and reports about them that are overdue: the names of items and what is due.
fn overdue(house: &House, on: Day) -> Result<Vec<BoardClock>, AnswerError> {
    let lines = tracking::due_lines(house, on)?.into_iter();
    let late = lines.filter(|it| it.state == DueState::Overdue);
    let clocks = late.map(|it| BoardClock {
        about: it.item,
        words: format!("{} ({}): {}", it.what, it.rule, it.words),
        overdue: true,
        of_event: false,
    });
    Ok(clocks.collect())
}

/// Whom the page turned away in the days up to this one. Nothing of it is in the chain, so it is no
/// finding: a finding is found again from entries, and is answered for good.
fn turned_away(house: &OpenHouse<'_>, on: Day) -> Result<Vec<TurnedAway>, AnswerError> {
    let first = on.checked_sub_days(Days::new(TOLD_FOR)).unwrap_or(on);
    let mut all: Vec<TurnedAway> = Vec::new();
    for it in house.snapshot.refused_attempts(first, on)? {
        let who = match it.worker {
            Some(record) => house.names.label(record),
            None => "a name that nobody has".to_owned(),
        };
        let times = counted(
            usize::try_from(it.count).unwrap_or(usize::MAX),
            "time",
            "times",
        );
        let words = format!("{} {times}", it.kind.word());
        match all
            .last_mut()
            .filter(|last| last.day == it.day && last.who == who)
        {
            Some(last) => {
                last.words.push_str(&format!(", {words}"));
                last.about = it.about;
            }
            None => all.push(TurnedAway {
                day: it.day,
                who,
                words,
                about: it.about,
            }),
        }
    }
    Ok(all)
}

/// For how many days before.
const TOLD_FOR: u64 = 6;

/// What a day's work rests on and this ledger has nothing of.
fn not_known(house: &OpenHouse<'_>, on: Day) -> Result<Vec<String>, AnswerError> {
    let mut missing = Vec::new();
    let mut qualified = house.qualifications.iter();
    let mut say = |is: bool, words: &str| {
        if is {
            missing.push(words.to_owned());
        }
    };
    say(
        !qualified.any(|it| it.body.on <= on && is_for_work(&it.body)),
        "who is certified, trained and was seen at work: no qualification is on record \
         (wearbook worker qualification)",
    );
    say(
        house.snapshot.badges(None, Day::MIN, on)?.is_empty(),
        "who wears a badge: none is on record (wearbook badge issue)",
    );
    say(
        house.checklist_on(on).is_none(),
        "what is checked each day and each quarter: no checklist adopted (wearbook checklist \
         adopt)",
    );
    let inventories = house.maintenance.inventories();
    say(
        house.names.sources().next().is_some() && inventories.iter().all(|it| it.body.on > on),
        "whether each source is where it belongs: no inventory is on record (wearbook equipment \
         inventory)",
    );
    Ok(missing)
}

/// Notices that are open of events that are not closed. On an earlier day they stand as at its
/// end, on a later one as now.
fn of_events(house: &OpenHouse<'_>, on: Day, now: Instant) -> Result<Vec<BoardClock>, AnswerError> {
    let mut clocks = Vec::new();
    let at = end_of(house, on).min(now);
    for it in all_happened(house)? {
        if it.end.is_some() || it.day() > on {
            continue;
        }
        let open = open_duties(house, &it, at)?;
        // What follows a notice that is not given has no clock that runs yet.
        for duty in open.into_iter().filter(|it| it.state != Progress::NotBegun) {
            let may = match duty.applies {
                Applies::May => "may apply, ",
                _ => "",
            };
            clocks.push(BoardClock {
                about: duty.event,
                words: format!("{may}{} ({}): {}", duty.what, duty.citation, duty.words),
                overdue: duty.state == Progress::Overdue,
                of_event: true,
            });
        }
    }
    Ok(clocks)
}

/// Leaves of somebody else whether they may go, and no reason.
fn mask(person: &mut BoardPerson, me: &str) {
    if person.worker == me {
        return;
    }
    person.reasons.clear();
    if !person.may_go {
        person.reasons.push(BoardReason {
            severity: Severity::Stop,
            what: "stays in".to_owned(),
            ends: "the person and the RSO see why",
        });
    }
}

fn not_monitored(house: &House, id: &str, on: Day) -> BoardPerson {
    let body = house.names.find_worker(id);
    let body = body.and_then(|record| house.names.worker_body(record.number()));
    BoardPerson {
        worker: id.to_owned(),
        name: body.map_or_else(String::new, |it| it.name.clone()),
        may_go: false,
        reasons: vec![BoardReason {
            severity: Severity::Stop,
            what: format!("not monitored on {on}"),
            ends: "cleared by monitoring on record (wearbook worker monitoring)",
        }],
    }
}

fn person(line: &WorkStatusLine) -> BoardPerson {
    let reasons = line.reasons.iter().map(|it| BoardReason {
        severity: it.finding.severity,
        what: it.finding.what.clone(),
        ends: it.ends,
    });
    BoardPerson {
        worker: line.worker.clone(),
        name: line.name.clone(),
        may_go: line.may_work,
        reasons: reasons.collect(),
    }
}

const AHEAD: u32 = 30;

fn falls_due(
    house: &OpenHouse<'_>,
    people: &[&WorkStatusLine],
    on: Day,
) -> Result<Vec<BoardDue>, AnswerError> {
    let mut all: Vec<BoardDue> = Vec::new();
    for noun in ["equipment", "instrument"] {
        let lines = due(house, noun, on, AHEAD)?.lines;
        let in_time = |it: &DueLine| it.state == DueState::InTime;
        all.extend(lines.into_iter().filter(in_time).filter_map(|it| {
            Some(BoardDue {
                days: (it.due? - on).num_days(),
                due: it.due?,
                about: it.item,
                what: it.what,
            })
        }));
    }
    for line in people {
        let soon = line.duties.iter().filter(|it| it.in_force);
        all.extend(soon.filter_map(|it| {
            let until = it.until?;
            let days = (until - on).num_days();
            (days <= i64::from(AHEAD)).then(|| BoardDue {
                due: until,
                days,
                about: line.worker.clone(),
                what: it.what.clone(),
            })
        }));
    }
    all.sort_by(|a, b| (a.due, &a.about, &a.what).cmp(&(b.due, &b.about, &b.what)));
    Ok(all)
}

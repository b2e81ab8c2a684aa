//! What must be told of an event to whom by when, and what of it was.

use serde::Serialize;

use super::happened::{Happened, all_happened, happened, local};
use super::notification_gone::{gone, left_out};
use super::notification_line::{NotificationLine, told};
use super::notification_people::{NotificationPerson, person};
use super::notification_questions::{NotificationQuestion, assumed, questions};
use super::notification_reports::{ReportDue, reports_due, within_words};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::moment::Moment;
use crate::calendar::{Instant, LocalTime, Zone};
use crate::notification::{Applies, DutyState, FactState, Given, Notifications, Progress, State};
use crate::rule::{How, Tells, Within};

/// The notices of an event.
#[derive(Debug, Clone, Serialize)]
pub struct NotificationAnswer {
    /// The event's name.
    pub event: String,
    /// What kind.
    pub kind: String,
    /// When it occurred, local time with its offset.
    pub occurred: String,
    /// When it was discovered.
    pub discovered: String,
    /// The moment for which this stands.
    pub at: String,
    /// The zone of every moment.
    pub zone: String,
    /// Whose rules hold there.
    pub authority: String,
    /// That the rules were adopted for later days alone; nothing where they were in force.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub judged_by: Option<String>,
    /// Duties and levels that are left out of the rules there, each with its reason.
    pub left_out: Vec<String>,
    /// What is to be done, by report, the most pressing first.
    pub reports: Vec<ReportDue>,
    /// A clock each, the most pressing first; every duty of the rule set has one.
    pub clocks: Vec<NotificationLine>,
    /// What the duties turn on.
    pub facts: Vec<FactState>,
    /// Questions that nobody answered: they count as yes.
    pub questions: Vec<NotificationQuestion>,
    /// What is taken to be so until somebody says no, where an open duty turns on it.
    pub assumed: Vec<NotificationQuestion>,
    /// The people in it with their doses.
    pub people: Vec<NotificationPerson>,
    /// Notices that were given for a clock that is none of these.
    pub stray: Vec<String>,
    /// What to do where the rule set knows no duties.
    pub ask: Option<String>,
    /// The rule set's caution.
    pub confirm: String,
}

impl NotificationAnswer {
    /// Whether anything that is not done is past.
    pub fn is_overdue(&self) -> bool {
        self.clocks.iter().any(|it| it.state == Progress::Overdue)
    }
}

/// Clocks that run.
#[derive(Debug, Clone, Serialize)]
pub struct NotificationsAnswer {
    /// The moment for which this stands.
    pub at: String,
    /// The clocks, the most pressing first.
    pub clocks: Vec<NotificationLine>,
    /// Events of whose duties the rule set knows nothing.
    pub ask: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
}

impl NotificationsAnswer {
    /// Whether anything of it is past.
    pub fn is_overdue(&self) -> bool {
        self.clocks.iter().any(|it| it.state == Progress::Overdue)
    }
}

/// The duties of an event that somebody still has to do, the most pressing first; a question
/// that nobody answered counts as yes.
///
/// # Errors
/// A ledger that fails, or no rule set on the day of the event.
pub fn open_duties(
    house: &OpenHouse<'_>,
    it: &Happened,
    now: Instant,
) -> Result<Vec<NotificationLine>, AnswerError> {
    let told = told(house, it, now)?;
    let open = told.notifications.duties.iter().filter(|it| it.is_open());
    Ok(open.map(|duty| line(it, duty)).collect())
}

/// The notices that are open before an event can be closed.
///
/// # Errors
/// No rule set on the day of the event.
pub fn notifications_to_close(
    house: &OpenHouse<'_>,
    it: &Happened,
    now: Instant,
) -> Result<Vec<String>, AnswerError> {
    let name = &it.body.name;
    let open = open_duties(house, it, now)?;
    let open = open.iter().map(|duty| {
        let words = match duty.applies {
            Applies::Yes => "is due",
            _ => "may be due",
        };
        let by = duty.deadline.as_deref();
        let by = by.map_or_else(String::new, |at| format!(" by {at}"));
        format!(
            "the report `{}` {words}{by} ({}): wearbook report show {name}",
            duty.duty, duty.citation
        )
    });
    Ok(open.collect())
}

/// The duties of an event as the room has them.
///
/// # Errors
/// A ledger that fails, or no rule set on the day of the event.
pub fn notifications_of(
    house: &OpenHouse<'_>,
    it: &Happened,
    now: Instant,
) -> Result<Notifications, AnswerError> {
    Ok(told(house, it, now)?.notifications)
}

/// A length of time: days from two days on, hours and minutes below.
pub(crate) fn length(minutes: i64) -> String {
    let size = minutes.unsigned_abs();
    match (size / 1440, size / 60, size % 60) {
        (days, hours, _) if days >= 2 => format!("{days} d {} h", hours % 24),
        (_, 0, minutes) => format!("{minutes} min"),
        (_, hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// How something is told.
pub(crate) fn how_words(how: How) -> &'static str {
    match how {
        How::Telephone => "by telephone",
        How::Written => "in writing",
        How::Either => "by telephone or in writing",
    }
}

fn given_words(it: &Happened, given: &Given) -> String {
    let number = given.reference.as_deref();
    let number = number.map(|it| format!(", {it}")).unwrap_or_default();
    let (to, by) = (&given.to, &given.by);
    format!("{to} notified by {by} on {}{number}", local(it, given.at))
}

/// The state in words.
fn state_words(it: &Happened, duty: &DutyState) -> String {
    let left = duty.left_minutes;
    let of_left = |minutes: i64| match minutes < 0 {
        true => format!("overdue by {}", length(minutes)),
        false => format!("{} left", length(minutes)),
    };
    match &duty.state {
        State::Overdue => of_left(left.unwrap_or(-1)),
        State::Open if left == Some(0) && duty.within == Within::AtOnce => "now".to_owned(),
        State::Open => left.map_or_else(|| "no deadline can be given".to_owned(), of_left),
        State::NotBegun | State::Waits => duty.start_words.clone(),
        State::Done(given) => {
            let late = left.filter(|it| *it < 0);
            let late = late.map_or_else(String::new, |it| format!(", {} late", length(it)));
            format!("{}{late}", given_words(it, given))
        }
        State::NotApplicable => String::new(),
    }
}

fn line(it: &Happened, duty: &DutyState) -> NotificationLine {
    let mut because = duty.because.clone();
    if !duty.unanswered.is_empty() {
        let keys: Vec<&str> = duty.unanswered.iter().map(|it| it.key.as_str()).collect();
        because.push(format!("unanswered, counts as yes: {}", keys.join(", ")));
    }
    NotificationLine {
        event: it.body.name.clone(),
        duty: duty.duty.clone(),
        report: duty.report.clone(),
        what: duty.what.clone(),
        citation: duty.citation.clone(),
        how: how_words(duty.how).to_owned(),
        to: duty.to.clone(),
        within: within_words(duty),
        applies: duty.applies,
        because: because.join("; "),
        start: duty.start.map(|at| local(it, at)),
        start_words: duty.start_words.clone(),
        deadline: duty.deadline.map(|at| local(it, at)),
        by: duty.deadline,
        latest: duty.latest,
        left_minutes: duty.left_minutes,
        state: duty.state.progress(),
        words: state_words(it, duty),
        missing: match duty.is_open() {
            true => duty.missing().map(|it| it.text.clone()).collect(),
            false => Vec::new(),
        },
    }
}

/// The notices of an event at a moment; now where none is given.
///
/// # Errors
/// A name that leads nowhere; a local time that is no moment.
pub fn notification_of(
    house: &OpenHouse<'_>,
    name: &str,
    at: Option<Moment>,
    now: Instant,
) -> Result<NotificationAnswer, AnswerError> {
    let it = happened(house, name)?;
    let at = at.map_or(Ok(now), |at| settle(at, it.zone))?;
    let told = told(house, &it, at)?;
    let kind = it.kind(told.rule_set);
    let job = it.job(house);
    let stray = told.notifications.stray.iter().map(|given| {
        let duty = &given.duty;
        let from = local(&it, given.from);
        format!(
            "{duty}: {}, for a clock from {from}",
            given_words(&it, given)
        )
    });
    let mut clocks: Vec<NotificationLine> = told
        .notifications
        .duties
        .iter()
        .map(|duty| line(&it, duty))
        .collect();
    let gone = gone(house.snapshot, &it, &told, at)?;
    for clock in &mut clocks {
        if let Some(entry) = gone.get(&clock.duty) {
            clock.because = format!("no longer since entry {entry}: {}", clock.because);
        }
    }
    let there = house.rule_set_at(job, house.judged_on(it.day()))?;
    Ok(NotificationAnswer {
        left_out: left_out(there),
        event: it.body.name.clone(),
        kind: kind.map_or_else(|| it.body.kind.clone(), |it| it.name),
        occurred: it.occurred_words(),
        discovered: it.discovered_words(),
        at: local(&it, at),
        zone: it.zone.name().to_owned(),
        authority: job.map_or_else(
            || match house.authority(house.judged_on(it.day())) {
                Some(it) => format!("{}, of your license: the event names no job", it.name),
                None => "the authority of your license: the event names no job".to_owned(),
            },
            |job| format!("{}, by job {}", job.jurisdiction, job.id),
        ),
        judged_by: house.judged_by_later(it.day()),
        reports: reports_due(&clocks),
        clocks,
        facts: told.notifications.facts.clone(),
        questions: questions(&told),
        assumed: assumed(&told),
        people: told.people.iter().map(|it| person(house, it)).collect(),
        stray: stray.collect(),
        ask: told.notifications.ask.clone(),
        confirm: there.confirm.clone(),
    })
}

/// The open clocks of every event that is not closed.
///
/// # Errors
/// A local time that is no moment.
pub fn notifications_all(
    house: &OpenHouse<'_>,
    at: Option<Moment>,
    now: Instant,
) -> Result<NotificationsAnswer, AnswerError> {
    let zone = house.names.zone;
    let at = at.map_or(Ok(now), |at| settle(at, zone))?;
    let mut answer = NotificationsAnswer {
        at: zone.local(at).format("%Y-%m-%d %H:%M %:z").to_string(),
        clocks: Vec::new(),
        ask: Vec::new(),
        confirm: house
            .rule_set_on(house.today(now))?
            .caution_of(Tells::Duties),
    };
    for it in all_happened(house)?.iter().filter(|it| it.end.is_none()) {
        let told = told(house, it, at)?;
        if let Some(ask) = &told.notifications.ask {
            answer.ask.push(format!("{}: {ask}", it.body.name));
        }
        let open = told.notifications.duties.iter().filter(|it| it.is_open());
        answer.clocks.extend(open.map(|duty| line(it, duty)));
    }
    // What has no deadline is sorted as if it were past.
    answer.clocks.sort_by_key(|it| it.left_minutes);
    Ok(answer)
}

/// A moment as it was typed, at the place.
pub(crate) fn settle(at: Moment, zone: Zone) -> Result<Instant, AnswerError> {
    let (day, time) = match at {
        Moment::Fixed(at) => return Ok(at),
        Moment::Local(day, time) => (day, time),
    };
    let refused = |never| AnswerError::NotOneMoment {
        time: format!("{day}T{}", time.format("%H:%M")),
        zone: zone.name().to_owned(),
        never,
    };
    match zone.at(day, time) {
        LocalTime::Once(at) => Ok(at.to_utc()),
        LocalTime::Twice(..) => Err(refused(false)),
        LocalTime::Never => Err(refused(true)),
    }
}

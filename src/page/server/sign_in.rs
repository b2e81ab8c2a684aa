//! Signing in: a name and a PIN, how often somebody was wrong, and the form.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use chrono::TimeDelta;
use maud::{Markup, html};

use super::pin::{is_enough, locks, wait};
use crate::answer::House;
use crate::calendar::Day;
use crate::intake::IntakeError;
use crate::ledger::{Attempt, Instant, Ledger, Refused};
use crate::page::crew::wrong::{KEEP_OUT, NO_RETRIEVAL};
use crate::page::shell::asked::Signed;
use crate::page::shell::desk::{Desk, Person, people_on, person_on};
use crate::page::shell::frame::outside;
use crate::record::RecordId;

/// How many names that nobody has, or that cannot sign in, are remembered.
const STRANGERS: usize = 1_000;

/// What was typed.
#[derive(Debug, Clone)]
pub struct Typed {
    /// An id or a name.
    pub name: String,
    /// The PIN.
    pub pin: String,
    /// Where to go then.
    pub to: String,
}

/// Names that cannot sign in, with how often they were tried and when last. They wait as others do,
/// so that nobody learns from it which names there are.
#[derive(Debug, Default)]
pub struct Strangers(Mutex<HashMap<String, (i64, Instant)>>);

impl Strangers {
    /// Counts one more, or says how long it has to wait.
    fn count(&self, name: &str, now: Instant) -> Result<i64, TimeDelta> {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let (failed, last) = all.get(name).copied().unwrap_or((0, now));
        if let Some(left) = wait(failed, Some(last), now) {
            return Err(left);
        }
        if all.len() >= STRANGERS {
            all.clear();
        }
        all.insert(name.to_owned(), (failed + 1, now));
        Ok(failed + 1)
    }
}

/// An attempt that was let through: it counts as wrong until it was right.
#[derive(Debug, Clone)]
pub struct Tried {
    day: Day,
    record: Option<RecordId>,
    person: Option<Person>,
    /// The hash that the PIN must fit; nothing where there is none.
    pub hash: Option<String>,
    is_enough: bool,
    failed: i64,
}

/// Who is meant by an id or a full name; nobody where two have it.
fn meant(house: &House, name: &str, today: Day) -> Option<Person> {
    if let Some(person) = person_on(house, name, today) {
        return Some(person);
    }
    let same = |it: &Person| it.id.eq_ignore_ascii_case(name) || it.name.eq_ignore_ascii_case(name);
    let mut all = people_on(house, today).into_iter().filter(same);
    all.next().filter(|_| all.next().is_none())
}

/// Begins an attempt, or says how long it has to wait.
pub fn begin(
    desk: &Desk,
    strangers: &Strangers,
    typed: &Typed,
) -> Result<Result<Tried, TimeDelta>, IntakeError> {
    let now = desk.commands.now();
    let (day, person, record) = desk.read(|house| {
        let today = house.today(now);
        let person = meant(house, &typed.name, today);
        let record = person.as_ref().map(|it| house.names.worker(&it.id));
        Ok((today, person, record.transpose()?.map(|it| it.number())))
    })?;
    let mut tried = Tried {
        day,
        record,
        person,
        hash: None,
        is_enough: false,
        failed: 0,
    };
    if let Some(record) = record {
        let ledger = Ledger::open(&desk.ledger)?;
        let may_try = |it: &crate::ledger::SignInRow| wait(it.failed, it.last_at, now).is_none();
        match ledger.begin_attempt(record, now, may_try)? {
            Attempt::NoPin => {}
            Attempt::Wait(row) => {
                let left = wait(row.failed, row.last_at, now);
                return Ok(Err(left.unwrap_or_default()));
            }
            Attempt::Try(row) => {
                let role = tried.person.as_ref().and_then(|it| it.role);
                tried.is_enough = is_enough(role, row.kind);
                tried.failed = row.failed;
                tried.hash = Some(row.hash);
                return Ok(Ok(tried));
            }
        }
    }
    Ok(strangers
        .count(&typed.name.to_lowercase(), now)
        .map(|failed| Tried { failed, ..tried }))
}

/// What an attempt led to.
#[derive(Debug)]
pub enum Ended {
    /// The person is in.
    In(Signed),
    /// The PIN is right, but too short for what the role may see.
    TooShort(String),
    /// It was wrong, so often in a row.
    Wrong(i64),
}

/// Ends an attempt.
pub fn end(desk: &Desk, tried: Tried, is_right: bool) -> Result<Ended, IntakeError> {
    let ledger = Ledger::open(&desk.ledger)?;
    if let (true, Some(record), Some(person)) = (is_right, tried.record, &tried.person) {
        ledger.end_attempt(record)?;
        return Ok(match tried.is_enough {
            true => Ended::In(Signed {
                id: person.id.clone(),
                by: tried.hash,
            }),
            false => Ended::TooShort(person.id.clone()),
        });
    }
    let kind = match (&tried.hash, tried.record) {
        (None, Some(_)) => Refused::NoPin,
        _ if locks(tried.failed) => Refused::Locked,
        _ => Refused::WrongPin,
    };
    let now = desk.commands.now();
    // Whether or not it can be noted, it is refused.
    let _ = ledger.note_refused((tried.day, tried.record), kind, "/sign-in", now);
    Ok(Ended::Wrong(tried.failed))
}

/// The form, with what is wrong with what was typed.
pub fn form(typed: &Typed, wrong: Option<&str>) -> Markup {
    outside(
        "Sign in",
        &html! {
            @if let Some(words) = wrong { div.refused role="alert" { p { (words) } } }
            @if typed.to == "/wrong" {
                div.stop {
                    p { span.word { "First" } ", by your site's emergency procedure:" }
                    ol {
                        li { (KEEP_OUT) }
                        li { (NO_RETRIEVAL) }
                        li { "Call the RSO. The number is in the papers of the job." }
                    }
                    p { "To write down what happened, sign in. That can wait." }
                }
            }
            form method="post" action="/sign-in" {
                input type="hidden" name="to" value=(typed.to);
                div.field {
                    label for="name" { "Worker id or full name" }
                    div.unit {
                        input id="name" name="name" value=(typed.name) maxlength="200" required
                            autocomplete="username" autocapitalize="none";
                    }
                }
                div.field {
                    label for="pin" { "PIN or passphrase" }
                    div.unit {
                        input id="pin" name="pin" type="password" maxlength="128" required
                            autocomplete="current-password";
                    }
                }
                button.first.big { "Sign in" }
            }
            p.small {
                "No PIN, or forgotten? The RSO sets one at the office's machine. A session ends \
                 after 30 minutes of rest, and after 8 hours."
            }
        },
    )
}

/// How long somebody has to wait, in words.
pub fn wait_words(left: TimeDelta) -> String {
    let seconds = left.num_seconds() + i64::from(left.subsec_nanos() > 0);
    let time = match seconds {
        ..=119 => format!("{seconds} s"),
        _ => format!("{} min", (seconds + 59) / 60),
    };
    format!(
        "Too many wrong ones: the next try is in {time}. A new PIN, which the RSO sets at the \
         office's machine, counts at once."
    )
}

/// What is said of a wrong one.
pub fn wrong_words(failed: i64, now: Instant) -> String {
    let left = wait(failed, Some(now), now).unwrap_or_default();
    match locks(failed) {
        true => format!(
            "The name or the PIN is not right, {failed} times in a row: locked. {}",
            wait_words(left)
        ),
        false => format!(
            "The name or the PIN is not right. The next try is in {} s.",
            left.num_seconds()
        ),
    }
}

/// Who may sign in at the page, and who not yet.
#[derive(Debug, Clone, Default)]
pub struct Let {
    /// Whether somebody of the office can: RSO or designee, with a passphrase.
    pub office: bool,
    /// How many people can.
    pub may: usize,
    /// Ids of those who could with a PIN of their own, or a longer one.
    pub not_yet: Vec<String>,
}

/// Looks who of those who have something to do at the page today can sign in.
///
/// # Errors
/// A ledger that cannot be read.
pub fn who_may_sign_in(desk: &Desk) -> Result<Let, IntakeError> {
    let now = desk.commands.now();
    desk.read(|house| {
        let mut all = Let::default();
        for person in people_on(house, house.today(now)) {
            let record = house.names.worker(&person.id)?.number();
            let kept = house.snapshot.sign_in(record)?;
            match kept.is_some_and(|it| is_enough(person.role, it.kind)) {
                true => {
                    all.may += 1;
                    all.office |= person.is_office();
                }
                false => all.not_yet.push(person.id),
            }
        }
        Ok(all)
    })
}

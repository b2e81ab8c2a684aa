//! The RSO's month: everything that the ledger knows of it, in the order in which somebody must
//! act.

use serde::Serialize;

use super::desk::{ReviewDesk, ReviewLine, ReviewSection, began, section};
use super::events::events;
use super::findings::findings_from;
use super::people::{ReviewPerson, histories_for, people};
use super::sections::sections;
use super::signed::{Changed, SignedLine, changes, signatures};
use super::to_do::{ToDo, decisions, first_of, nearest_a_level, of_reports, wears_out_next};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::has_opening;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::annual_report::{AnnualState, in_month};
use crate::answer::dose::request::requests;
use crate::answer::equipment::due_line::DueState;
use crate::answer::event::notification_line::NotificationLine;
use crate::answer::event::person::end_of;
use crate::calendar::{Day, Instant, Month, Span};
use crate::ledger::Snapshot;
use crate::rule::{Finding, Severity, Tells, Terms};

/// The review of a month.
#[derive(Debug, Clone, Serialize)]
pub struct ReviewAnswer {
    /// The name that tells this ledger from others.
    pub ledger: String,
    /// The month.
    pub month: String,
    /// Its first day.
    pub first: Day,
    /// Its last day.
    pub last: Day,
    /// The day for which levels and what is due stand.
    pub on: Day,
    /// Whether the month is not over.
    pub partial: bool,
    /// What of it is history from before this ledger, or was copied.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub history: Vec<String>,
    /// Who holds the license.
    pub licensee: String,
    /// The license.
    pub license: String,
    /// The site.
    pub site: String,
    /// The people.
    pub people: Vec<ReviewPerson>,
    /// The unit of figures for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// Deep dose of everybody together in the month.
    pub collective: String,
    /// What somebody can act on, before any section.
    pub to_do: Vec<ToDo>,
    /// The reports that are owed of events that are open.
    pub reports: Vec<NotificationLine>,
    /// The sections, in the order in which somebody must act.
    pub sections: Vec<ReviewSection>,
    /// Signatures under this month.
    pub signed: Vec<SignedLine>,
    /// What was written after the last signature under any month and changes a signed one.
    pub changed: Vec<Changed>,
    /// How many entries the ledger has.
    pub entries: i64,
    /// The hash of the last of them.
    pub head: String,
    /// Open findings that say stop.
    pub open_stops: i64,
    /// The rule set's caution.
    pub confirm: String,
}

/// The month's days and the day for which it stands.
///
/// # Errors
/// A month that has not begun, or that ended before the charter.
pub(crate) fn span_of(
    house: &OpenHouse<'_>,
    month: Month,
    (asked, now): (Option<Day>, Instant),
) -> Result<(Span, Day), AnswerError> {
    let span = month.span();
    let today = house.today(now);
    has_been(house, span, &month.to_string(), now)?;
    let on = asked.unwrap_or(today).min(span.last);
    if on < span.first || on > today {
        return Err(AnswerError::NotOfPeriod {
            what: month.to_string(),
            on,
            today,
        });
    }
    Ok((span, on))
}

/// The ledger as it stood on a day, for an answer of which no part may stand for another: what
/// is about a later day is not in it. Nothing where that day is today.
pub(crate) fn as_it_stood<'s>(
    house: &OpenHouse<'s>,
    on: Day,
    now: Instant,
) -> Result<Option<(Snapshot<'s>, House)>, AnswerError> {
    if on >= house.today(now) {
        return Ok(None);
    }
    let snapshot = house.snapshot.until(on);
    let house = House::load(&snapshot)?;
    Ok(Some((snapshot, house)))
}

/// Refuses days that have not begun, and days that were over before the charter.
pub(crate) fn has_been(
    house: &OpenHouse<'_>,
    span: Span,
    what: &str,
    now: Instant,
) -> Result<(), AnswerError> {
    let today = house.today(now);
    if span.first > today {
        return Err(AnswerError::NotYet {
            what: what.to_owned(),
            today,
        });
    }
    match began(house)? {
        // What was copied from before is there to be reviewed.
        Some(day)
            if span.last < day
                && house.snapshot.sheets_between(span.first, span.last)?.0 == 0
                && !has_opening(house, span) =>
        {
            Err(AnswerError::BeforeCharter {
                what: what.to_owned(),
                day,
            })
        }
        _ => Ok(()),
    }
}

/// What a review says of days that were over before the charter, and of sheets that were copied.
pub(crate) fn history_words(house: &OpenHouse<'_>, span: Span) -> Result<Vec<String>, AnswerError> {
    let mut words = Vec::new();
    if let Some(day) = began(house)?.filter(|day| span.first < *day) {
        words.push(match span.last < day {
            true => format!(
                "All of it was over before this ledger began on {day}: none of it was written \
                 here at the time."
            ),
            false => format!(
                "Its days before {day} were over when this ledger began: they were not written \
                 here at the time."
            ),
        });
    }
    let (sheets, copied) = house.snapshot.sheets_between(span.first, span.last)?;
    if copied > 0 {
        let are = if copied == 1 { "is" } else { "are" };
        let sheets = crate::text::counted(sheets, "sheet", "sheets");
        words.push(format!(
            "{copied} of its {sheets} {are} transcribed: written elsewhere at the time, and \
             copied."
        ));
    }
    Ok(words)
}

/// What somebody can act on: the stops with what ends them, what is due, and what waits.
fn to_do(desk: &ReviewDesk<'_>, reports: &[NotificationLine]) -> Result<Vec<ToDo>, AnswerError> {
    let stops = desk.found.iter().filter(|it| it.severity == Severity::Stop);
    let stops = stops.map(|it| ToDo::new("STOP", &it.subject, &it.what, &it.remedy));
    let mut all = first_of(stops.collect(), "STOP", "wearbook findings");
    all.extend(of_reports(reports));
    let mut due = desk.due()?;
    // What is not current comes first and says so: its day is no day until which it may be used.
    due.sort_by_key(|it| (it.state, it.due));
    let due = due.into_iter().map(|it| {
        let day = it.due.filter(|_| it.state == DueState::InTime);
        let until = day.map_or(it.words, |day| day.to_string());
        ToDo::new("due", it.item, it.what, until)
    });
    all.extend(first_of(
        due.collect(),
        "due",
        "wearbook equipment due; wearbook instrument due",
    ));
    let nearest = desk.people.iter();
    let nearest = nearest.filter_map(|it| Some((it.worker.as_str(), it.nearest.as_ref()?)));
    all.extend(nearest_a_level(nearest));
    all.extend(wears_out_next(desk.house, desk.on)?);
    all.extend(decisions(desk.house, desk.on)?);
    Ok(all)
}

/// The section about annual reports to the authority; none in a month that has nothing of them.
fn annual(desk: &ReviewDesk<'_>, month: Month) -> Result<Option<ReviewSection>, AnswerError> {
    let all = in_month(desk.house, month, desk.on)?;
    let more = all.last().map(|it| format!("wearbook review {}", it.year));
    let lines = all.iter().map(|it| ReviewLine {
        mark: match it.state {
            AnnualState::Overdue => "ACT",
            AnnualState::Due => "watch",
            AnnualState::NotOver | AnnualState::Sent => "",
        },
        rule: it.rule.clone(),
        entries: it.sent.iter().map(|it| it.entry).collect(),
        ..ReviewLine::plain(it.year.to_string(), it.words())
    });
    Ok(more.map(|more| {
        let title = "Annual report to the authority";
        section("annual-report", title, "", more, lines.collect())
    }))
}

/// The review of a month for one day, the month's last or today unless another is asked for: by
/// what the ledger knows now, and by nothing that is about a later day.
///
/// # Errors
/// A month that has not begun, or that ended before the charter; a day outside of it.
pub fn review(
    house: &OpenHouse<'_>,
    month: Month,
    (asked, now): (Option<Day>, Instant),
) -> Result<ReviewAnswer, AnswerError> {
    let (span, on) = span_of(house, month, (asked, now))?;
    let stood = as_it_stood(house, on, now)?;
    let house = &match &stood {
        Some((snapshot, stood)) => stood.open(snapshot),
        None => *house,
    };
    let at = end_of(house, on).min(now);
    let rule_set = house.rule_set_on(on)?;
    let histories = histories_for(house, span, on)?;
    let (people, collective) = people(house, &histories, span, on)?;
    let found = findings_from(house, (span, on, at), false, Some(&histories))?;
    let found: Vec<Finding> = found.lines.into_iter().map(|it| it.finding).collect();
    let stops = found.iter().filter(|it| it.severity == Severity::Stop);
    let open_stops = i64::try_from(stops.count()).unwrap_or(i64::MAX);
    let desk = ReviewDesk {
        house,
        span,
        on,
        at,
        found,
        people: &people,
        histories: &histories,
    };
    let (events, reports) = events(&desk)?;
    let to_do = to_do(&desk, &reports)?;
    let mut sections = sections(&desk, events)?;
    sections.extend(annual(&desk, month)?);
    sections.extend(requests(&desk)?);
    let (entries, head) = house.snapshot.head()?;
    let charter = &house.names.charter;
    Ok(ReviewAnswer {
        ledger: charter.ledger_id.clone(),
        month: month.to_string(),
        first: span.first,
        last: span.last,
        on,
        partial: on < span.last,
        history: history_words(house, span)?,
        licensee: charter.licensee.clone(),
        license: charter.licence.clone(),
        site: charter.site.clone(),
        unit: house.unit().symbol().to_owned(),
        terms: house.terms(),
        collective,
        to_do,
        reports,
        sections,
        signed: signatures(house, Some(month))?,
        changed: changes(house, None)?,
        entries,
        head: head.to_string(),
        open_stops,
        confirm: rule_set.caution_of(Tells::Both),
        people,
    })
}

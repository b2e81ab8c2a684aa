//! The dated checks of sources and the reports about them that a rule set asks for: the survey on
//! receipt, the report of a transaction, the yearly reconciliation, the presence check; and the
//! license of whoever a source is given to. Only names of items and days are told here.

use std::collections::BTreeMap;

use chrono::Datelike;

use super::due_line::{DueLine, DueState};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;

pub(crate) use super::tracking_asked::all_asked;
use crate::calendar::{Day, Span};
use crate::record::SourceCheckType;
use crate::rule::{CheckKey, Finding, Severity, Tolerance};

/// The checks, whose keys are those of the tolerances too.
pub(crate) const RECEIPT: CheckKey = CheckKey::PackageSurvey;
pub(crate) const REPORT: CheckKey = CheckKey::TrackingReport;
pub(crate) const RECONCILE: CheckKey = CheckKey::TrackingReconciliation;
pub(crate) const PRESENCE: CheckKey = CheckKey::PresenceCheck;

/// The key of the rule on whoever receives a source.
const RECEIVER: &str = "receiver-licence";

/// The inspections of controls that a rule set asks for, by their keys there, with the record of
/// each.
pub(crate) const INSPECTIONS: &[(&str, SourceCheckType)] = &[
    ("control-device", SourceCheckType::VehicleControls),
    ("control-vehicle", SourceCheckType::VehicleControls),
    ("control-storage", SourceCheckType::StorageControls),
];

/// One thing that is asked for once, done or not.
#[derive(Debug, Clone)]
pub(crate) struct Asked {
    /// The items, or all sources.
    pub items: Vec<String>,
    pub key: CheckKey,
    pub what: &'static str,
    /// What it follows: the receipt, the transfer, the last check.
    pub since: Day,
    /// The last day on which it is in time.
    pub due: Day,
    /// When it was done.
    pub done: Option<Day>,
    /// Since when it is asked for no more: the source has left or has decayed.
    pub ended: Option<Day>,
    /// By how many minutes a survey on the day came after the hours of the rule.
    pub minutes_late: Option<i64>,
    /// Whether anything of the kind is on record of the items.
    pub is_kept: bool,
    /// The entries that say so.
    pub entries: Vec<i64>,
}

impl Asked {
    /// Whether it is late on a day, or was late when it was done.
    pub fn is_late(&self, on: Day) -> bool {
        self.until(on) > self.due || self.minutes_late.is_some()
    }

    /// Until when it was not done, as known on a day.
    pub fn until(&self, on: Day) -> Day {
        self.done.or(self.ended).unwrap_or(on)
    }

    /// Whether it is still to be done.
    pub const fn is_open(&self) -> bool {
        self.done.is_none() && self.ended.is_none()
    }

    /// How it ended, or that it did not, in words.
    fn then(&self, on: Day) -> String {
        match (self.done, self.minutes_late) {
            (Some(day), Some(minutes)) => format!(
                "done on {day}, {} h {:02} min after the time that the rule gives",
                minutes / 60,
                minutes % 60
            ),
            (Some(day), None) => format!("done on {day}"),
            (None, _) => match self.ended {
                Some(day) => format!("not made before {day}, when it was asked for no more"),
                None => format!("not on record by {on}"),
            },
        }
    }
}

/// Every item once.
fn items(all: &[Asked]) -> Vec<String> {
    let mut items: Vec<String> = all.iter().flat_map(|it| it.items.iter().cloned()).collect();
    items.sort();
    items.dedup();
    items
}

/// So many items are named in a line of a table; of more the count is.
const NAMED: usize = 3;

fn brief(items: &[String]) -> String {
    match items.len() {
        count if count > NAMED => format!("{count} sources"),
        _ => items.join(" "),
    }
}

/// How many are missing: of what is asked for once each, of what is asked for every few days
/// each time that passed without one, of all items together.
fn missing(all: &[Asked], on: Day) -> i64 {
    let Some(first) = all.iter().find(|it| it.key == PRESENCE) else {
        let open = all.iter().filter(|it| it.done.is_none());
        return i64::try_from(open.count()).unwrap_or(i64::MAX);
    };
    let every = (first.due - first.since).num_days().max(1);
    let mut late: Vec<(Day, Day)> = all.iter().map(|it| (it.due, it.until(on))).collect();
    late.sort_unstable();
    let (mut count, mut counted) = (0, Day::MIN);
    for (due, until) in late {
        let days = (until - due.max(counted)).num_days();
        count += days.max(0).saturating_add(every - 1) / every;
        counted = counted.max(until);
    }
    count
}

/// What is still to be done on a day, as lines of what falls due: what is overdue and of one kind
/// in one line, and what falls due on one day.
pub(crate) fn due_lines(house: &House, on: Day) -> Result<Vec<DueLine>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let mut lines: BTreeMap<(Option<Day>, CheckKey, &str), Vec<Asked>> = BTreeMap::new();
    for it in all_asked(house, on)?.into_iter().filter(Asked::is_open) {
        let due = Some(it.due).filter(|due| *due >= on);
        lines.entry((due, it.key, it.what)).or_default().push(it);
    }
    let lines = lines.into_values().filter_map(|all| {
        let first = all.iter().min_by_key(|it| it.due)?;
        let (state, words) = match (first.due - on).num_days() {
            days if days < 0 => (
                DueState::Overdue,
                match missing(&all, on) {
                    1 => format!("overdue since {}", first.due),
                    count => format!("overdue since {}: {count} missing", first.due),
                },
            ),
            days => (
                DueState::InTime,
                format!("in {}", crate::text::counted(days, "day", "days")),
            ),
        };
        Some(DueLine {
            item: brief(&items(&all)),
            kind: "source".to_owned(),
            key: first.key.key(),
            what: first.what.to_owned(),
            // What a receipt or a transfer asks for was never done before.
            last: (first.key == PRESENCE && first.is_kept).then_some(first.since),
            due: Some(first.due),
            state,
            words,
            rule: rule_set
                .tolerance(first.key.key())
                .map(Tolerance::cited)
                .unwrap_or_default(),
        })
    });
    Ok(lines.collect())
}

/// What was late in the days of a span, done since or not: one finding for the items of which
/// nothing of the kind is on record, and one for each other item.
pub(crate) fn findings(
    house: &House,
    (span, on): (Span, Day),
) -> Result<Vec<Finding>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let mut bundles: BTreeMap<(CheckKey, &str, Vec<String>), Vec<Asked>> = BTreeMap::new();
    for it in all_asked(house, on)? {
        // The days on which it was missing must touch the span.
        let same_day = it.minutes_late.is_some();
        let begins = it.due < span.last || same_day && it.due <= span.last;
        if !it.is_late(on) || !begins || it.until(on) < span.first {
            continue;
        }
        let of = match it.is_kept {
            true => it.items.clone(),
            false => Vec::new(),
        };
        bundles.entry((it.key, it.what, of)).or_default().push(it);
    }
    let mut found = Vec::new();
    for ((key, _, _), mut all) in bundles {
        all.sort_by_key(|it| it.due);
        let rule = rule_set.text_of(key);
        let items = items(&all);
        let Some(since) = all.iter().map(|it| it.since).min() else {
            continue;
        };
        let subject = match items.as_slice() {
            [one] => format!("{one}/{since}"),
            several => format!("{} sources/{since}", several.len()),
        };
        let mut entries: Vec<i64> = all.iter().flat_map(|it| it.entries.clone()).collect();
        entries.sort_unstable();
        entries.dedup();
        let what = told(&all, &items.join(", "), on);
        let mut finding = Finding::new(Severity::Act, &rule, subject, what, entries);
        if !all.iter().any(Asked::is_open) {
            finding.remedy = "Nothing is left to do now: the RSO writes down why it was late, and \
                              answers this finding with it."
                .to_owned();
        }
        found.push(finding);
    }
    found.extend(unverified(house, (span, on))?);
    Ok(found)
}

/// What is late of some items, the earliest first.
fn told(all: &[Asked], items: &str, on: Day) -> String {
    let missing = missing(all, on);
    let [one] = all else {
        let (first, last) = (all.first(), all.last());
        let what = first.map_or("", |it| it.what);
        let since = first.map_or_else(String::new, |it| it.due.to_string());
        let kept = all.iter().any(|it| it.is_kept);
        let then = last.filter(|_| kept).map_or_else(String::new, |it| {
            format!("; the last due {}, {}", it.due, it.then(on))
        });
        let late = match kept {
            true => format!("late {} times", all.len()),
            false => "not on record".to_owned(),
        };
        return format!("{items}: {what} {late} since {since}, {missing} missing{then}");
    };
    let of = match one.key {
        PRESENCE if one.is_kept => format!("after that of {}", one.since),
        PRESENCE => format!("asked for since {}", one.since),
        RECONCILE => format!("of January {}", one.since.year()),
        _ => format!("of {}", one.since),
    };
    let count = match missing {
        0 | 1 => String::new(),
        count => format!(", {count} missing"),
    };
    format!(
        "{items}: {} {of} due {}, {}{count}",
        one.what,
        one.due,
        one.then(on)
    )
}

/// Sources that were given to somebody of whom nobody wrote that the license was looked at. What
/// came back was not given away.
fn unverified(house: &House, (span, on): (Span, Day)) -> Result<Vec<Finding>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let from = house.asked_from(on, None, |it| it.rule(RECEIVER).is_some());
    let (Some(rule), Some(from)) = (rule_set.rule(RECEIVER), from) else {
        return Ok(Vec::new());
    };
    let mut found = Vec::new();
    for it in house.maintenance.transfers() {
        let (item, day) = (it.body.item.number(), it.body.on);
        let is_source = house.names.sources().any(|it| it.0 == item);
        let asked = is_source && it.body.licence_verified.is_none() && from <= day;
        let came_back = house.service.out_of_service(item, on).is_none();
        if !asked || !span.contains(day) || day > on || came_back {
            continue;
        }
        let id = house.names.label(item);
        let to = it.body.transferred_to.as_deref().unwrap_or_default();
        let what = format!(
            "{id}: transferred on {day} to {to}: that the receiver's license was verified before \
             is not on record"
        );
        let subject = format!("{id}/{day}");
        found.push(Finding::new(
            Severity::Act,
            rule,
            subject,
            what,
            vec![it.entry],
        ));
    }
    Ok(found)
}

//! The sections of a review: one function each, so that one changed record changes the lines of
//! its own section only.

use std::collections::{BTreeMap, BTreeSet};

use super::away::away;
use super::desk::{ReviewDesk, ReviewLine, ReviewSection, section};
use super::items::items;
use crate::answer::context::error::AnswerError;
use crate::answer::context::view::LevelLine;
use crate::answer::dose::forecast::forecast_from;
use crate::answer::dose::reconcile::reconcile_from;
use crate::answer::equipment::due::due;
use crate::answer::equipment::due_line::{DueLine, DueState};
use crate::answer::equipment::item_facts::is_days_check;
use crate::answer::equipment::wear::wear_list;
use crate::answer::status::on_hold::held;
use crate::calendar::Day;
use crate::ledger::InspectionRow;
use crate::record::{Occasion, RecordId, Ref, Words};
use crate::rule::{CheckKey, Finding, Section, Severity};
use crate::text::counted;

/// Where a finding stands.
fn section_of(found: &Finding) -> Section {
    CheckKey::of(&found.check).map_or(Section::Maintenance, CheckKey::section)
}

impl ReviewDesk<'_> {
    /// What of equipment and instruments falls due, or is overdue.
    pub(crate) fn due(&self) -> Result<Vec<DueLine>, AnswerError> {
        let mut all = Vec::new();
        for noun in ["equipment", "instrument"] {
            all.extend(due(self.house, noun, self.on, AHEAD)?.lines);
        }
        Ok(all)
    }

    /// Findings of a section, without those that stand under `decide`.
    fn of(&self, section: Section) -> Vec<ReviewLine> {
        let mine = self
            .found
            .iter()
            .filter(|it| it.severity != Severity::Stop && section_of(it) == section);
        mine.map(ReviewLine::of).collect()
    }

    /// A command of this month's days.
    fn days(&self, command: &str) -> String {
        format!(
            "wearbook {command} --from {} --to {}",
            self.span.first, self.on
        )
    }
}

/// Every section, in the order in which somebody must act.
pub(crate) fn sections(
    desk: &ReviewDesk<'_>,
    events: ReviewSection,
) -> Result<Vec<ReviewSection>, AnswerError> {
    let stops = desk.found.iter().filter(|it| it.severity == Severity::Stop);
    let all = vec![
        section(
            "decide",
            "What needs a decision now",
            "No open finding says stop.",
            desk.days("findings"),
            stops.map(ReviewLine::of).collect(),
        ),
        events,
        levels(desk)?,
        section(
            "people",
            "Qualifications that are not current, or were not on a day of work",
            "None besides those above.",
            desk.days("records lapsed"),
            desk.of(Section::People),
        ),
        disagreements(desk)?,
        open_doses(desk)?,
        held_items(desk)?,
        sheets(desk)?,
        daily(desk)?,
        section(
            "maintenance",
            "Inspection and maintenance: used while overdue, out of service or failed",
            "Nothing besides what stands above.",
            desk.days("findings"),
            desk.of(Section::Maintenance),
        ),
        falls_due(desk)?,
        items(desk)?,
        wear(desk)?,
        away(desk)?,
        corrections(desk)?,
    ];
    Ok(all)
}

/// A wear period and where its badges are.
type Awaited<'a> = (Day, Day, &'a str);

/// Badges of one wear period and state whose result is awaited, as one line.
fn awaiting((first, last, state): Awaited<'_>, badges: Vec<(String, i64)>) -> ReviewLine {
    let (names, entries): (Vec<String>, Vec<i64>) = badges.into_iter().unzip();
    let what = format!(
        "{first} to {last}, {state}, no result yet: {}",
        names.join(", ")
    );
    let mut line = ReviewLine::plain(counted(names.len(), "badge", "badges"), what);
    // Of many the badges' names lead on: their entries would fill the page.
    if let [entry] = entries[..] {
        line.entries = vec![entry];
    }
    line
}

fn open_doses(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = desk.of(Section::OpenDoses);
    let mut awaited: BTreeMap<Awaited<'_>, Vec<_>> = BTreeMap::new();
    for person in desk.people {
        if person.month.undetermined {
            let what = format!("the month is {}, not determined", person.month.short);
            lines.push(ReviewLine::plain(person.worker.clone(), what));
        }
        let span = desk.span;
        let worn = desk
            .house
            .snapshot
            .badges(Some(person.record), span.first, desk.on)?;
        for badge in worn.iter().filter(|it| it.results.is_empty()) {
            let mut changes = badge.changes.iter();
            let state = changes.rfind(|it| it.1 <= desk.on).map(|it| it.0.word());
            match (badge.read_from(), state) {
                (Some(_), None) if badge.first_day > span.last => {}
                (Some(from), None) => {
                    let what = format!(
                        "badge {}, read on demand, not read since {from}: later shifts are \
                         provisional",
                        badge.badge
                    );
                    let mut line = ReviewLine::plain(person.worker.clone(), what);
                    line.entries = vec![badge.entry];
                    lines.push(line);
                }
                (_, state) => {
                    let worn = (badge.first_day, badge.last_day);
                    let state = state.unwrap_or("not handed back");
                    let of = awaited.entry((worn.0, worn.1, state)).or_default();
                    of.push((format!("{} {}", person.worker, badge.badge), badge.entry));
                }
            }
        }
    }
    lines.extend(awaited.into_iter().map(|(of, badges)| awaiting(of, badges)));
    Ok(section(
        "open-doses",
        "Doses that are open",
        "Every shift has a dose, and every badge its result.",
        desk.days("dose lists"),
        lines,
    ))
}

/// Everything that is held, of whatever month: nobody has ruled on it yet.
fn held_items(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let lines = held(desk.house)?.lines;
    let lines = lines.into_iter().map(|it| {
        let whom = it.person.map_or_else(String::new, |it| format!(", {it}"));
        let what = format!("{} {}{whom}: {} ({})", it.day, it.of, it.about, it.why);
        let mut line = ReviewLine::plain(it.item, what);
        line.mark = if it.about_dose { "ACT" } else { "watch" };
        line.entries = vec![it.entry];
        line
    });
    Ok(section(
        "held",
        "Items on hold, of any month",
        "Nothing is on hold.",
        "wearbook hold list",
        lines.collect(),
    ))
}

/// Shares of a level in parts per million from which the year's end is looked at.
const LOOK_AHEAD_PPM: i64 = 250_000;

fn levels(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = desk.of(Section::Levels);
    for person in desk.people {
        let share = person.levels.iter().filter_map(LevelLine::most_ppm).max();
        if share.is_none_or(|ppm| ppm < LOOK_AHEAD_PPM) {
            continue;
        }
        let Some(history) = desk.histories.get(&person.record) else {
            continue;
        };
        let ahead = forecast_from(desk.house, history, desk.on)?;
        let passes = ahead
            .levels
            .iter()
            .filter(|it| !it.passed && (it.dates[0].is_some() || it.at_plain_rate.is_some()));
        for level in passes {
            let when = match level.dates {
                [_, Some(middle), _] => format!(", about {middle}"),
                _ => match level.at_plain_rate {
                    Some(day) => format!(", {day} at the plain rate"),
                    None => String::new(),
                },
            };
            let chance = level.chance_words();
            let chance = chance.map_or(String::new(), |it| format!(": chance {it}"));
            let what = format!(
                "may pass {} ({}) by {}{chance}{when}; an estimate",
                level.dose.shown, level.level, level.until
            );
            let mut line = ReviewLine::plain(person.worker.clone(), what);
            line.mark = "watch";
            lines.push(line);
        }
    }
    Ok(section(
        "levels",
        "Levels passed, and forecast to pass",
        "No one besides those above has passed a level or is heading for one.",
        "wearbook dose forecast ID",
        lines,
    ))
}

fn disagreements(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = desk.of(Section::Disagree);
    let compared = reconcile_from(desk.house, desk.histories, desk.span)?;
    lines.extend(compared.findings.iter().map(ReviewLine::of));
    Ok(section(
        "disagree",
        "Reading against badge",
        compared.counts.agreement_words(),
        desk.days("dose reconcile"),
        lines,
    ))
}

/// Days on which a device was looked at before use and stands on no sheet, people without any
/// sheet, and what the sheets lack.
fn sheets(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = desk.of(Section::Sheets);
    let (used, inspected) = device_days(desk, |row| Ok(row.occasion == Occasion::Daily))?;
    for (device, days) in &inspected {
        let without: Vec<String> = days
            .iter()
            .filter(|day| !used.get(device).is_some_and(|used| used.contains(*day)))
            .map(ToString::to_string)
            .collect();
        if !without.is_empty() {
            let what = format!(
                "inspected before use and on no sheet: {}",
                without.join(", ")
            );
            let mut line = ReviewLine::plain(desk.house.names.label(*device), what);
            line.mark = "watch";
            lines.push(line);
        }
    }
    for person in desk.people.iter().filter(|it| it.shifts == 0) {
        lines.push(ReviewLine::plain(
            person.worker.clone(),
            "monitored, and on no sheet of the month",
        ));
    }
    Ok(section(
        "sheets",
        "Sheets: missing, late, incomplete",
        "No gap was found.",
        desk.days("findings"),
        lines,
    ))
}

type DeviceDays = BTreeMap<RecordId, BTreeSet<Day>>;

/// Days of use and days of an inspection that counts, by exposure device.
fn device_days(
    desk: &ReviewDesk<'_>,
    counts: impl Fn(&InspectionRow) -> Result<bool, AnswerError>,
) -> Result<(DeviceDays, DeviceDays), AnswerError> {
    let mut used = DeviceDays::new();
    for sheet in desk.house.snapshot.sheets(desk.span.first, desk.on)? {
        if let Some(device) = sheet.body.device.as_ref().and_then(Ref::known) {
            used.entry(device.number())
                .or_default()
                .insert(sheet.body.day);
        }
    }
    let mut inspected = DeviceDays::new();
    for row in desk.house.snapshot.inspections(desk.span.first, desk.on)? {
        let device = desk.house.names.is_device(row.item);
        if device && counts(&row)? {
            inspected.entry(row.item).or_default().insert(row.on);
        }
    }
    Ok((used, inspected))
}

fn daily(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = desk.of(Section::Daily);
    let (used, inspected) = device_days(desk, |row| is_days_check(desk.house, row))?;
    for (device, days) in &used {
        let seen = inspected
            .get(device)
            .map_or(0, |it| it.intersection(days).count());
        let what = match days.len() {
            1 if seen == 1 => "used on 1 day, inspected on it".to_owned(),
            1 => "used on 1 day, not inspected on it".to_owned(),
            days => format!("used on {days} days, checked on {seen} of them"),
        };
        lines.push(ReviewLine::plain(desk.house.names.label(*device), what));
    }
    Ok(section(
        "daily",
        "Daily checks against days of use",
        "No device was used.",
        desk.days("inspect list"),
        lines,
    ))
}

const AHEAD: u32 = 45;

fn falls_due(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = Vec::new();
    for it in desk.due()? {
        let day = it
            .due
            .map_or_else(String::new, |day| format!(", due {day}"));
        let mut line = ReviewLine::plain(it.item, format!("{}: {}{day}", it.what, it.words));
        line.rule = it.rule;
        if it.state != DueState::InTime {
            line.mark = "ACT";
        }
        lines.push(line);
    }
    Ok(section(
        "due",
        "Falls due within 45 days, or is overdue",
        "Nothing falls due within 45 days.",
        "wearbook equipment due; wearbook instrument due",
        lines,
    ))
}

fn wear(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = desk.of(Section::Wear);
    let list = wear_list(desk.house, desk.on)?;
    for it in list.lines.into_iter().filter(|it| it.forecast.warns) {
        let when = it.forecast.earliest.map(|it| it.day);
        let when = when.map_or_else(String::new, |day| format!(", limit reached from {day} on"));
        let what = format!(
            "{} of the {}: last {} (limit {}){when}; an estimate",
            it.line,
            it.component,
            it.last.unwrap_or_else(|| "not measured".to_owned()),
            it.limit
        );
        let mut line = ReviewLine::plain(it.equipment, what);
        line.mark = "watch";
        line.rule = it.basis;
        lines.push(line);
    }
    Ok(section(
        "wear",
        "Wear heading for a limit",
        "No part is heading for its limit before the next inspection.",
        "wearbook wear list",
        lines,
    ))
}

/// Entries of the month that replace or void earlier ones, with their reasons.
fn corrections(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = Vec::new();
    for it in desk.house.snapshot.corrections()? {
        let Some(written) = desk.house.written_days(it.seq, &it.written_at) else {
            continue;
        };
        let first = written.earliest.unwrap_or(Day::MIN);
        let last = written.latest.unwrap_or(Day::MAX);
        if last < desk.span.first || desk.on < first {
            continue;
        }
        let on = match (written.earliest, written.latest) {
            (Some(first), Some(last)) if first == last => format!("on {first}"),
            _ => "on a day that its clock does not tell".to_owned(),
        };
        let how = if it.body.is_some() {
            "corrected"
        } else {
            "voided"
        };
        let what = format!(
            "{how} entry {} {on} by {}: {}",
            it.ends.unwrap_or_default(),
            it.written_by,
            it.reason.unwrap_or_default()
        );
        let mut line = ReviewLine::plain(format!("{} {}", it.kind, it.record), what);
        line.entries = vec![it.seq];
        lines.push(line);
    }
    Ok(section(
        "corrections",
        "Entries corrected or voided in the month",
        "No entry was corrected or voided.",
        "wearbook entry history ENTRY",
        lines,
    ))
}

//! What somebody should hear of without asking, from the answers that there are: work status,
//! board, levels, forecasts, wear, what falls due, copies. Nothing is computed a second time, and
//! what is private stands here as everybody may read it.

use std::collections::{BTreeSet, HashMap};

use chrono::TimeDelta;
use serde::Serialize;

use super::alert::{Alert, AlertType, short_key};
use super::alert_readers::{AlertReaderLine, BY_ROLE, Hearing, readers_on};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::LevelLine;
use crate::answer::dose::forecast::forecast_of;
use crate::answer::dose::private::open_levels;
use crate::answer::equipment::due_ahead::{DueWhen, due_ahead};
use crate::answer::equipment::wear::wear_list;
use crate::answer::event::person::end_of;
use crate::answer::status::board::{BoardAnswer, board};
use crate::answer::status::work_status::{WorkStatusLine, work_status};
use crate::calendar::{Day, Instant};
use crate::ledger::{Told, alert_digest};
use crate::record::{RecordId, Role};
use crate::rule::{LevelType, Severity, Tells};
use crate::wear::forecast::Outlook;

/// Something that stands for a reader.
#[derive(Debug, Clone)]
pub struct Standing {
    /// What tells it from all others.
    pub key: String,
    /// How bad it is.
    pub degree: i64,
    /// Whether it is told now.
    pub is_new: bool,
}

/// What stands, and what of it a reader is to be told.
#[derive(Debug, Clone, Serialize)]
pub struct AlertsAnswer {
    /// The day.
    pub on: Day,
    /// Who is told; nothing where nobody in particular asks.
    pub reader: Option<String>,
    /// What is new to the reader, the most urgent first.
    pub rows: Vec<Alert>,
    /// What stands besides: it was told, or waits for the digest of the week.
    pub told_before: usize,
    /// Who hears of what by which right: of the reader, or what roles bring.
    pub hears: String,
    /// Records in force that say who is alerted of what: the reader's, or all.
    pub readers: Vec<AlertReaderLine>,
    /// The rule set's caution.
    pub confirm: String,
    /// Everything that stands for the reader, with whether it is told now.
    #[serde(skip)]
    pub stands: Vec<Standing>,
}

impl AlertsAnswer {
    /// What stands by its short keys.
    ///
    /// # Errors
    /// The first key by which nothing stands.
    pub fn named<'a>(&'a self, keys: &[&'a str]) -> Result<Vec<&'a Standing>, &'a str> {
        let of = |key: &&'a str| {
            let mut all = self.stands.iter().filter(|it| it.key != DIGEST);
            all.find(|it| short_key(&it.key, it.degree).eq_ignore_ascii_case(key))
                .ok_or(*key)
        };
        keys.iter().map(of).collect()
    }
}

/// Hours after which what the RSO has not seen goes to the designee.
const ESCALATES_H: i64 = 24;
/// Days between two digests.
const DIGEST_D: i64 = 7;
/// Days ahead of which something falls due soon.
const AHEAD: u32 = 30;
/// Days ahead of which it is told again.
const SOON: i64 = 7;
/// Stands for the digest itself in what a reader was told.
const DIGEST: &str = "digest";

/// The share of a level from which it is told, in parts per million.
const NEAR_PPM: i64 = 800_000;

/// Everything that stands on a day, the most urgent first.
///
/// # Errors
/// What it needs cannot be read.
pub fn alerts(house: &OpenHouse<'_>, on: Day, now: Instant) -> Result<AlertsAnswer, AnswerError> {
    let rows = standing(house, on, now)?;
    Ok(AlertsAnswer {
        on,
        reader: None,
        rows,
        told_before: 0,
        hears: BY_ROLE.to_owned(),
        readers: readers_on(house, on)?,
        confirm: house.rule_set_on(on)?.caution_of(Tells::Both),
        stands: Vec::new(),
    })
}

/// What is new to a reader. The RSO hears of everything; a designee of oneself and of what no RSO
/// has seen for a day, or of everything where there is no RSO; everybody else of oneself. A record
/// adds to that. STOPs and clocks are told at every look until the reader has seen them; what no
/// RSO sees within a day goes to the designee besides, and still comes to the RSO. Where no RSO was
/// told of anything for a day, they go to the designee at once. Each reader sees for oneself: what
/// the designee has seen, the RSO is told yet. What was seen comes back when it gets worse, or ends
/// and comes anew.
///
/// # Errors
/// An id of nobody; what it needs cannot be read.
pub fn alerts_for(
    house: &OpenHouse<'_>,
    reader: &str,
    (on, now): (Day, Instant),
) -> Result<AlertsAnswer, AnswerError> {
    let hearing = Hearing::of(house, reader, on)?;
    let rso = readers_of(house, on, Role::Rso)?;
    let mut all = standing(house, on, now)?;
    all.retain(|it| {
        let is_left = rso.is_empty() || it.repeats && is_left(it, &rso, now);
        hearing.hears(house, it, is_left)
    });
    let told = house.snapshot.alerts_told(hearing.record)?;
    let of = |key: &str| told.get(&alert_digest(key));
    let digest_is_due = of(DIGEST).is_none_or(|it| now - it.last_at >= TimeDelta::days(DIGEST_D));
    let mut stands = Vec::new();
    let (mut rows, mut told_before, mut digest) = (Vec::new(), 0, false);
    for it in all {
        let is_new = match of(&it.key) {
            None => !it.waits || digest_is_due,
            Some(before) => it.degree > before.degree || it.repeats && !before.is_seen,
        };
        stands.push(Standing {
            key: it.key.clone(),
            degree: it.degree,
            is_new,
        });
        digest |= is_new && it.waits;
        match is_new {
            true => rows.push(hearing.read(house, it)),
            false => told_before += 1,
        }
    }
    // The digest's own row stays while there is anything that may wait for the next.
    stands.push(Standing {
        key: DIGEST.to_owned(),
        degree: 0,
        is_new: digest,
    });
    Ok(AlertsAnswer {
        on,
        rows,
        told_before,
        hears: hearing.words(!rso.is_empty()),
        reader: Some(hearing.id),
        readers: hearing.lines,
        confirm: house.rule_set_on(on)?.caution_of(Tells::Both),
        stands,
    })
}

/// What those who have a role on a day were told.
fn readers_of(
    house: &OpenHouse<'_>,
    on: Day,
    role: Role,
) -> Result<Vec<HashMap<[u8; 32], Told>>, AnswerError> {
    let all = house.workers().into_iter().map(|it| it.record);
    let those = all.filter(|it: &RecordId| house.names.role_on(*it, on) == Some(role));
    let told = those.map(|it| house.snapshot.alerts_told(it));
    Ok(told.collect::<Result<_, _>>()?)
}

/// Whether an alert was told to an RSO long ago and none has seen it, or none was told of anything
/// for as long: whoever is told nothing sees nothing.
fn is_left(it: &Alert, rso: &[HashMap<[u8; 32], Told>], now: Instant) -> bool {
    let digest = alert_digest(&it.key);
    let told: Vec<&Told> = rso.iter().filter_map(|it| it.get(&digest)).collect();
    if told.is_empty() {
        let last = rso.iter().flat_map(|it| it.values()).map(|it| it.last_at);
        return last
            .max()
            .is_none_or(|it| now - it >= TimeDelta::hours(ESCALATES_H));
    }
    let long = told
        .iter()
        .any(|it| now - it.first_at >= TimeDelta::hours(ESCALATES_H));
    long && told.iter().all(|it| !it.is_seen)
}

fn standing(house: &OpenHouse<'_>, on: Day, now: Instant) -> Result<Vec<Alert>, AnswerError> {
    let mut all = Vec::new();
    let people = work_status(house, None, on, now)?.lines;
    for person in people {
        stops(&person, &mut all);
        levels(house, person, on, &mut all)?;
    }
    let board = board(house, &[], on, now)?;
    let now = end_of(house, on).min(now);
    of_board(&board, &mut all);
    due(house, (on, now), &mut all)?;
    wear(house, on, &mut all)?;
    // What two answers say of one thing is one alert.
    let mut known = BTreeSet::new();
    all.retain(|it| known.insert(it.key.clone()));
    for it in &mut all {
        it.short = short_key(&it.key, it.degree);
    }
    all.sort_by(|a, b| {
        let rank = |it: &Alert| {
            let (about, what) = (it.about.clone(), it.what.clone());
            (it.kind, !it.is_limit, -it.degree, about, what)
        };
        rank(a).cmp(&rank(b))
    });
    Ok(all)
}

/// Whoever must not work.
fn stops(person: &WorkStatusLine, all: &mut Vec<Alert>) {
    for it in &person.reasons {
        if it.finding.severity != Severity::Stop {
            continue;
        }
        all.push(Alert {
            kind: AlertType::Stop,
            about: person.worker.clone(),
            what: it.finding.what.clone(),
            look: format!("wearbook work-status {}", person.worker),
            open: "must not work".to_owned(),
            degree: 1,
            is_limit: false,
            repeats: true,
            waits: false,
            key: format!("stop/{}", it.finding.key()),
            short: String::new(),
        });
    }
}

/// How a level stands: from 1, heading for it, to 4, passed; nothing where it is far.
fn degree_of(it: &LevelLine, is_ahead: bool) -> Option<(i64, &'static str)> {
    match it.most_ppm() {
        _ if !it.is_assessed => None,
        _ if it.passed => Some((4, "passed")),
        Some(1_000_000..) => Some((3, "reached")),
        Some(NEAR_PPM..) => Some((2, "80 % or more used")),
        _ => is_ahead.then_some((1, "forecast to be passed, an estimate")),
    }
}

/// The levels of one person that anybody in the office may read.
fn levels(
    house: &OpenHouse<'_>,
    person: WorkStatusLine,
    on: Day,
    all: &mut Vec<Alert>,
) -> Result<(), AnswerError> {
    let record = house.names.worker(&person.worker)?.number();
    let ahead = forecast_of(house, record, on)?;
    let is_ahead = |words: &str| {
        let mut lines = ahead
            .levels
            .iter()
            .filter(|it| it.level == words && !it.passed);
        lines.any(|it| it.dates.get(1).is_some_and(Option::is_some) || it.at_plain_rate.is_some())
    };
    let all_levels = house.rule_set_on(on)?.levels.iter();
    let limits = all_levels.filter(|it| it.kind == LevelType::Limit);
    let limits: Vec<String> = limits.map(|it| it.key.clone()).collect();
    for it in open_levels(person.levels) {
        let Some((degree, how)) = degree_of(&it, is_ahead(&it.words())) else {
            continue;
        };
        all.push(Alert {
            kind: AlertType::Level,
            about: person.worker.clone(),
            what: format!(
                "{}: {how}; {} of {}, {}",
                it.words(),
                it.conservative_short,
                it.limit.shown,
                it.citation
            ),
            look: format!("wearbook dose show {} --why", person.worker),
            open: "stands near a level or past one".to_owned(),
            degree,
            is_limit: limits.contains(&it.level),
            repeats: false,
            waits: false,
            key: format!("level/{}/{}/{}", person.worker, it.level, it.first),
            short: String::new(),
        });
    }
    Ok(())
}

/// Sets that must not be used, clocks of others than events, copies.
fn of_board(board: &BoardAnswer, all: &mut Vec<Alert>) {
    let plain = |kind, about: &str, what: String, look: &str, key: String| Alert {
        kind,
        about: about.to_owned(),
        open: what.clone(),
        what,
        look: look.to_owned(),
        degree: 1,
        is_limit: false,
        repeats: false,
        waits: false,
        key,
        short: String::new(),
    };
    for set in board.sets.iter().filter(|it| it.stops()) {
        for it in set.reasons.iter().filter(|it| it.state == set.state) {
            let key = format!("set/{}/{}/{}", set.device, it.equipment, it.what);
            let what = format!("the set must not be used: {}: {}", it.equipment, it.what);
            let look = format!("wearbook equipment show {}", it.equipment);
            all.push(Alert {
                repeats: true,
                ..plain(AlertType::Stop, &set.device, what, &look, key)
            });
        }
    }
    for it in board.clocks.iter().filter(|it| it.overdue && !it.of_event) {
        // What counts the days in it is the same clock tomorrow.
        let same: String = it.words.chars().filter(|it| !it.is_ascii_digit()).collect();
        let key = format!("clock/{}/{same}", it.about);
        let alert = plain(
            AlertType::Deadline,
            &it.about,
            it.words.clone(),
            "wearbook board",
            key,
        );
        all.push(Alert {
            open: "a clock is past".to_owned(),
            degree: 3,
            repeats: true,
            ..alert
        });
    }
    for it in board.copies.iter().filter(|it| it.needs_somebody) {
        let key = format!("copy/{}", it.folder);
        let look = "wearbook ledger copies --drill --dir DIR";
        all.push(plain(
            AlertType::Copy,
            &it.folder,
            it.words.clone(),
            look,
            key,
        ));
    }
}

/// Deadlines of events, and what falls due.
fn due(
    house: &OpenHouse<'_>,
    (on, now): (Day, Instant),
    all: &mut Vec<Alert>,
) -> Result<(), AnswerError> {
    for it in due_ahead(house, (on, AHEAD), now)?.events() {
        let (kind, degree) = match it.when {
            DueWhen::Moment(at) if at < now => (AlertType::Deadline, 3),
            DueWhen::Moment(at) if at - now <= TimeDelta::hours(24) => (AlertType::Deadline, 2),
            DueWhen::Moment(_) => (AlertType::Deadline, 1),
            DueWhen::Day(_) if !it.in_force => (AlertType::Due, 3),
            DueWhen::Day(day) if (day - on).num_days() <= SOON => (AlertType::Due, 2),
            DueWhen::Day(_) => (AlertType::Due, 1),
        };
        let when = match it.when {
            DueWhen::Moment(at) => format!("by {} {}", house.today(at), house.hour(at)),
            DueWhen::Day(_) if !it.in_force => "not in force now".to_owned(),
            DueWhen::Day(day) => format!("by {day}"),
        };
        all.push(Alert {
            kind,
            about: it.about,
            what: format!("{}, {when}", it.what),
            look: it.more,
            open: format!("{}, {when}", it.what),
            degree,
            is_limit: false,
            repeats: kind == AlertType::Deadline && degree > 1,
            waits: kind == AlertType::Due && degree < 3,
            key: format!("due/{}", it.uid),
            short: String::new(),
        });
    }
    Ok(())
}

/// Parts that head for their limits.
fn wear(house: &OpenHouse<'_>, on: Day, all: &mut Vec<Alert>) -> Result<(), AnswerError> {
    for it in wear_list(house, on)?.lines {
        let degree = match it.forecast.outlook {
            Outlook::Beyond | Outlook::MayBeBeyond => 2,
            Outlook::Heading | Outlook::Refuted => 1,
            _ => continue,
        };
        let last = it.last.as_deref().unwrap_or("not measured");
        let what = format!(
            "{}, last {last}, limit {}: {}, an estimate",
            it.component,
            it.limit,
            it.forecast.outlook.words()
        );
        all.push(Alert {
            kind: AlertType::Wear,
            open: what.clone(),
            what,
            look: format!("wearbook wear show {} {}", it.equipment, it.line),
            degree,
            is_limit: false,
            repeats: false,
            waits: true,
            key: format!("wear/{}/{}", it.equipment, it.line),
            short: String::new(),
            about: it.equipment,
        });
    }
    Ok(())
}

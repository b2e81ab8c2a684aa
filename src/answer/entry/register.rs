//! The registers as lists.

use super::register_badge::{badges, determinations};
use super::register_table::{RegisterAnswer, by_key, table};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::equipment::category::{kept_sources, of_sources};
use crate::calendar::Day;
use crate::ledger::Snapshot;
use crate::quantity::ActivityUnit;
use crate::record::{CheckType, Equipment, Instrument, Job, RoleChange, Words, Worker};
use crate::source::{Nuclide, activity_on};

/// The register under a noun: `worker`, `job`, `instrument`, `equipment`, `badge` or
/// `determination`.
pub fn register_of(
    house: &OpenHouse<'_>,
    noun: &str,
    on: Day,
) -> Result<RegisterAnswer, AnswerError> {
    match noun {
        "worker" => workers(house, on),
        "job" => jobs(house.snapshot),
        "instrument" => instruments(house, on),
        "badge" => badges(house, on),
        "determination" => determinations(house),
        _ => equipment(house, on),
    }
}

fn day_text(day: Option<Day>) -> String {
    day.map(|day| day.to_string()).unwrap_or_default()
}

fn workers(house: &OpenHouse<'_>, on: Day) -> Result<RegisterAnswer, AnswerError> {
    let mut roles = house.snapshot.all::<RoleChange>()?;
    roles.sort_by_key(|it| (it.body.from, it.entry));
    let rows = by_key(house.snapshot.all::<Worker>()?, |it| it.id.clone())
        .into_iter()
        .map(|it| {
            let role = roles
                .iter()
                .rfind(|role| role.body.worker.number() == it.record && role.body.from <= on)
                .map_or(it.body.role, |role| role.body.role);
            let monitored = house.names.monitored(it.record, on);
            vec![
                it.body.id,
                it.body.name,
                role.word().to_owned(),
                it.body.category.word().to_owned(),
                it.body.monitored_from.to_string(),
                if monitored { "yes" } else { "no" }.to_owned(),
                it.entry.to_string(),
            ]
        })
        .collect();
    let columns = [
        "id",
        "name",
        "role",
        "category",
        "monitored from",
        "now",
        "entry",
    ];
    Ok(table("worker", &columns, rows, None))
}

fn jobs(snapshot: &Snapshot<'_>) -> Result<RegisterAnswer, AnswerError> {
    let rows = by_key(snapshot.all::<Job>()?, |it| it.id.clone())
        .into_iter()
        .map(|it| {
            vec![
                it.body.id,
                it.body.place,
                it.body.jurisdiction,
                it.body.setting.word().to_owned(),
                it.body.zone,
                it.entry.to_string(),
            ]
        })
        .collect();
    let columns = ["id", "place", "jurisdiction", "setting", "zone", "entry"];
    Ok(table("job", &columns, rows, None))
}

fn instruments(house: &OpenHouse<'_>, on: Day) -> Result<RegisterAnswer, AnswerError> {
    let rows = by_key(house.snapshot.all::<Instrument>()?, |it| it.id.clone())
        .into_iter()
        .map(|it| {
            let last = [CheckType::Calibration, CheckType::Response]
                .into_iter()
                .filter_map(|kind| house.service.last_check(it.record, kind, on))
                .max_by_key(|check| check.on);
            let result = match last {
                None => "never".to_owned(),
                Some(check) if check.passed => check.on.to_string(),
                Some(check) => format!("{} failed", check.on),
            };
            let state = match house.service.out_all_day(it.record, on) {
                Some(out) => format!("out of service {}", out.on),
                None => "in service".to_owned(),
            };
            vec![
                it.body.id.clone(),
                it.body.kind.word().to_owned(),
                it.body.serial.clone(),
                it.body
                    .range
                    .clone()
                    .or(it.body.alarm_preset.clone())
                    .unwrap_or_default(),
                result,
                state,
                it.entry.to_string(),
            ]
        })
        .collect();
    let columns = [
        "id",
        "type",
        "serial",
        "range or preset",
        "last check",
        "state",
        "entry",
    ];
    Ok(table("instrument", &columns, rows, None))
}

fn equipment(house: &OpenHouse<'_>, on: Day) -> Result<RegisterAnswer, AnswerError> {
    let mut estimates = false;
    let has_categories = house.rule_set_on(on)?.has_categories();
    let kept = kept_sources(house, on);
    let mut rows = Vec::new();
    for it in by_key(house.snapshot.all::<Equipment>()?, |it| it.id.clone()) {
        let source = source_text(&it.body, ActivityUnit::beside(house.unit()), on);
        estimates |= !source.is_empty();
        let state = match house.service.out_all_day(it.record, on) {
            Some(out) => format!("out of service {}", out.on),
            None => "in service".to_owned(),
        };
        let mut row = vec![
            it.body.id.clone(),
            it.body.kind.word().to_owned(),
            it.body.serial.clone(),
            source,
            day_text(it.body.in_service),
            state,
            it.entry.to_string(),
        ];
        if has_categories {
            let alone = match kept.contains(&it.record) {
                true => of_sources(house, &[it.record], "", on)?,
                false => None,
            };
            row.insert(4, alone.map(|it| it.brief()).unwrap_or_default());
        }
        rows.push(row);
    }
    let note = estimates.then_some(
        "The activity of a source is an estimate: the stated activity decayed to the day asked \
         for, half-lives from ENSDF. Use the source's certificate.",
    );
    let mut columns = vec![
        "id",
        "type",
        "serial",
        "source",
        "in service",
        "state",
        "entry",
    ];
    if has_categories {
        columns.insert(4, "category alone");
    }
    Ok(table("equipment", &columns, rows, note))
}

/// The nuclide with its activity on a day, or as stated where the nuclide has
/// no half-life here.
fn source_text(it: &Equipment, unit: ActivityUnit, on: Day) -> String {
    let (Some(name), Some(stated), Some(reference)) = (&it.nuclide, it.activity_bq, it.activity_on)
    else {
        return String::new();
    };
    let decayed = name
        .parse::<Nuclide>()
        .ok()
        .and_then(|nuclide| activity_on(nuclide, stated, reference, on).ok());
    match decayed {
        Some(now) => format!("{name} {}", now.display_today(unit)),
        None => format!("{name} {} on {reference}", stated.display(unit)),
    }
}

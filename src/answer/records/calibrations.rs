//! Calibrations and response checks of all instruments with their points, and the instruments that
//! had none in the span.

use std::collections::BTreeSet;

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, data, figures,
    under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::equipment::calibration::Judged;
use crate::answer::equipment::item::{CheckLine, check_line};
use crate::record::{CheckType, InstrumentType, RecordId, Words};

const COLUMNS: &[Column] = &[
    column("on", "day"),
    column("instrument", "instrument"),
    data("type", "type"),
    data("maker", "maker"),
    data("model", "model"),
    data("serial", "serial"),
    column("check", "check"),
    column("by", "by"),
    under("certificate", "certificate"),
    column("result", "result"),
    under("points", "points"),
    figures("entry", "entry"),
];

const WITHOUT: &[Column] = &[
    column("instrument", "instrument"),
    column("type", "type"),
    column("serial", "serial"),
    column("state", "state"),
    column("last", "last one before"),
];

/// Which instruments stand together, with the check that is asked of them and its rule.
const GROUPS: &[(&str, &str, CheckType, &str)] = &[
    (
        "meters",
        "Survey meters",
        CheckType::Calibration,
        "record-meter",
    ),
    (
        "ratemeters",
        "Alarm ratemeters",
        CheckType::Calibration,
        "record-ratemeter",
    ),
    (
        "dosimeters",
        "Direct-reading dosimeters",
        CheckType::Response,
        "record-dosimeter",
    ),
];

fn group_of(kind: InstrumentType) -> &'static str {
    match kind {
        InstrumentType::Meter => "meters",
        InstrumentType::Ratemeter => "ratemeters",
        InstrumentType::Pocket | InstrumentType::Electronic => "dosimeters",
    }
}

/// The checks of a span, of all instruments or of one.
///
/// # Errors
/// A name that the ledger does not know.
pub fn calibrations(
    house: &OpenHouse<'_>,
    instrument: Option<&str>,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let only = instrument
        .map(|it| house.names.instrument(it))
        .transpose()?;
    let only = only.map(|it| it.number());
    let rules: Vec<&str> = GROUPS.iter().map(|it| it.3).collect();
    let title = "Calibrations and checks of instruments";
    let mut list = desk.list("calibrations", title, &rules)?;
    list.asked
        .extend(only.map(|it| format!("instrument {}", house.names.label(it))));
    let mut items = BTreeSet::new();
    for (key, title, asked, _) in GROUPS {
        let all = house.names.instruments();
        let mut mine: Vec<RecordId> = all
            .filter(|(record, it)| {
                group_of(it.kind) == *key && only.is_none_or(|only| only == *record)
            })
            .map(|(record, _)| record)
            .collect();
        if mine.is_empty() && only.is_some() {
            continue;
        }
        mine.sort_by_key(|it| house.names.label(*it));
        let mut done = RecordsPart::new(key, *title, ("check", "checks"), COLUMNS);
        done.none = "None in these days.".to_owned();
        let mut without = RecordsPart::new(
            "without",
            format!("{title}: no {} in these days", asked.word()),
            ("instrument", "instruments"),
            WITHOUT,
        );
        without.none = match mine.is_empty() {
            true => "None is in the register.".to_owned(),
            false => "Each of them had one.".to_owned(),
        };
        let mut found: Vec<(RecordId, &Judged)> = Vec::new();
        for record in mine {
            let checks = house.service.checks_of(record).iter();
            found.extend(
                checks
                    .filter(|it| desk.span.contains(it.check.body.on))
                    .map(|it| (record, it)),
            );
            without.rows.extend(missing(&desk, record, *asked));
        }
        found.sort_by_key(|(_, it)| (it.check.body.on, it.check.entry));
        items.extend(found.iter().map(|it| it.0));
        done.rows = found.iter().map(|it| row(&desk, *it)).collect();
        list.parts.extend([done, without]);
    }
    list.parts.push(desk.labels(items));
    Ok(list)
}

/// The row of an instrument that was there and had no check of the kind in the span.
fn missing(desk: &RecordsDesk<'_>, record: RecordId, asked: CheckType) -> Option<Vec<Cell>> {
    let house = desk.house;
    let body = house.names.instrument_body(record)?;
    let checks = house.service.checks_of(record).iter();
    let mut checks = checks.filter(|it| it.check.body.kind == asked);
    let came = body.in_service.is_some_and(|from| from > desk.span.last);
    let left = house.service.out_all_day(record, desk.span.first).is_some();
    if came
        || left
        || checks
            .clone()
            .any(|it| desk.span.contains(it.check.body.on))
    {
        return None;
    }
    let last = checks.rfind(|it| it.check.body.on < desk.span.first);
    let on = desk.span.last;
    Some(vec![
        desk.label(record),
        Cell::Text(body.kind.word().to_owned()),
        Cell::text(Some(body.serial.clone())),
        Cell::Text(match house.service.out_of_service(record, on) {
            Some(out) => format!("out of service {}: {}", out.on, out.reason),
            None => format!("in service on {on}"),
        }),
        Cell::day(last.map(|it| it.check.body.on)),
    ])
}

fn row(desk: &RecordsDesk<'_>, (record, judged): (RecordId, &Judged)) -> Vec<Cell> {
    let body = desk.house.names.instrument_body(record);
    let [maker, model, serial] = desk.plate(Some(record));
    let line = check_line(judged);
    vec![
        Cell::Day(line.on),
        desk.label(record),
        Cell::text(body.map(|it| it.kind.word())),
        maker,
        model,
        serial,
        Cell::Text(line.kind.clone()),
        Cell::text(Some(line.by.clone())),
        Cell::text(line.certificate.clone()),
        Cell::Text(match line.passed {
            true => "passed".to_owned(),
            false => "FAILED".to_owned(),
        }),
        points(&line),
        Cell::Count(line.entry),
    ]
}

/// The points of a check: on which scale, what was true and what it read.
fn points(line: &CheckLine) -> Cell {
    let points = line.points.iter().map(|it| {
        let scale = match it.scale.as_str() {
            "" => String::new(),
            scale => format!(", scale {scale}"),
        };
        let within = match it.within {
            Some(false) => ", OUTSIDE tolerance",
            _ => "",
        };
        format!(
            "as {} {} read {}{scale}{within}",
            it.state, it.true_value, it.reads
        )
    });
    let points: Vec<String> = points.collect();
    Cell::text(Some(points.join("; ")))
}

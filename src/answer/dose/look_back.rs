//! What was done with an instrument between its last good check and the one at which it was
//! found wrong, and what that does to doses.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::equipment::calibration::Judged;
use crate::calendar::{Day, Span};
use crate::instrument::assessment::Ratio;
use crate::instrument::look_back::raised;
use crate::ledger::Snapshot;
use crate::quantity::{Indication, IndicationUnit};
use crate::record::{InstrumentType, RecordId};
use crate::rule::{CheckKey, Finding, RuleSet, Severity};

/// One look back.
#[derive(Debug, Clone, Serialize)]
pub struct LookBackLine {
    /// The day of the check at which it was found wrong.
    pub failed_on: Day,
    /// Its entry.
    pub failed_entry: i64,
    /// The last good check before; nothing where there is none.
    pub good_on: Option<Day>,
    /// Sheets or readings in between, both days included.
    pub uses: usize,
    /// First use.
    pub first: Option<Day>,
    /// Last use.
    pub last: Option<Day>,
    /// How far off it was at its worst, in words.
    pub worst: String,
    /// A dosimeter's readings in sum, as its face showed them.
    pub shown: Option<String>,
    /// The same had it shown the truth, rounded up: an estimate. Nothing where no bound can
    /// be given.
    pub raised: Option<String>,
    /// Entries of the sheets.
    pub entries: Vec<i64>,
}

/// The look-backs of an instrument whose check was done on or before a day.
pub(crate) fn look_backs(
    house: &OpenHouse<'_>,
    instrument: RecordId,
    on: Day,
) -> Result<Vec<LookBackLine>, AnswerError> {
    let body = house.names.instrument_body(instrument);
    let dosimeter = body.is_some_and(|it| it.kind.is_dosimeter());
    let mut lines = Vec::new();
    for (span, judged) in house.service.look_backs(instrument) {
        if span.failed_on > on {
            continue;
        }
        let worst = judged.worst();
        let first = span.good_on.unwrap_or(Day::MIN);
        let mut line = LookBackLine {
            failed_on: span.failed_on,
            failed_entry: span.failed_entry,
            good_on: span.good_on,
            uses: 0,
            first: None,
            last: None,
            worst: worst_words(judged, dosimeter),
            shown: None,
            raised: None,
            entries: Vec::new(),
        };
        if dosimeter {
            of_dosimeter(
                house.snapshot,
                instrument,
                (first, span.failed_on),
                worst,
                &mut line,
            )?;
        } else {
            of_meter(house, instrument, (first, span.failed_on), &mut line)?;
        }
        lines.push(line);
    }
    Ok(lines)
}

fn note(line: &mut LookBackLine, day: Day, entry: i64) {
    line.uses += 1;
    line.first = Some(line.first.map_or(day, |it| it.min(day)));
    line.last = Some(line.last.map_or(day, |it| it.max(day)));
    line.entries.push(entry);
}

fn of_dosimeter(
    snapshot: &Snapshot<'_>,
    dosimeter: RecordId,
    (first, last): (Day, Day),
    worst: Option<Ratio>,
    line: &mut LookBackLine,
) -> Result<(), AnswerError> {
    let (mut shown, mut after): (i64, Option<i64>) = (0, Some(0));
    let mut unit: Option<IndicationUnit> = None;
    for (entry, day, _, row) in snapshot.readings_of_dosimeter(dosimeter, first, last)? {
        note(line, day, entry);
        unit = unit.or_else(|| IndicationUnit::parse(row.unit.as_deref()?).ok());
        let (Some(start), Some(end), false) = (row.start_count, row.end_count, row.off_scale)
        else {
            after = None;
            continue;
        };
        let dose = end.saturating_sub(start).max(0);
        shown = shown.saturating_add(dose);
        let raised = worst.and_then(|worst| raised(dose, worst));
        after = after.zip(raised).and_then(|(sum, it)| sum.checked_add(it));
    }
    let unit = unit.unwrap_or(IndicationUnit::Milliroentgen);
    line.shown = Some(Indication::new(shown, unit).to_string());
    line.raised = after
        .filter(|_| worst.is_some())
        .map(|count| Indication::new(count, unit).to_string());
    Ok(())
}

fn of_meter(
    house: &OpenHouse<'_>,
    meter: RecordId,
    (first, last): (Day, Day),
    line: &mut LookBackLine,
) -> Result<(), AnswerError> {
    let kind = house.names.instrument_body(meter).map(|it| it.kind);
    let uses = match kind {
        Some(InstrumentType::Ratemeter) => {
            house.snapshot.shifts_with_ratemeter(meter, first, last)?
        }
        _ => house
            .snapshot
            .uses_of(meter, first, last)?
            .into_iter()
            .map(|it| (it.entry, it.day))
            .collect(),
    };
    for (entry, day) in uses {
        note(line, day, entry);
    }
    Ok(())
}

/// How far off it was at its worst, in words: a dosimeter by how low it read, a meter or
/// ratemeter by its largest error.
fn worst_words(judged: &Judged, dosimeter: bool) -> String {
    let percent = |permille: i64| {
        let size = permille.unsigned_abs();
        format!("{}.{} %", size / 10, size % 10)
    };
    let points = judged.assessment.iter().flat_map(|it| &it.points);
    let errors = points
        .filter(|it| !it.as_left && !it.within)
        .filter_map(|it| it.error_permille);
    let worst = match dosimeter {
        true => errors.min(),
        false => errors.max_by_key(|it| it.unsigned_abs()),
    };
    match worst {
        Some(-1000) => "showed nothing".to_owned(),
        Some(permille) if permille < 0 => format!("was {} low", percent(permille)),
        Some(permille) => format!("was {} high", percent(permille)),
        None => "was beyond its tolerance".to_owned(),
    }
}

/// Look-backs that touch a span, as findings until the RSO decides.
pub(crate) fn of_look_backs(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    (span, on): (Span, Day),
) -> Result<Vec<Finding>, AnswerError> {
    let rule = rule_set.text_of(CheckKey::LookBack);
    let mut found = Vec::new();
    for (instrument, body) in house.names.instruments() {
        for line in look_backs(house, instrument, on)? {
            let touches = line
                .first
                .zip(line.last)
                .is_some_and(|(first, last)| first <= span.last && last >= span.first);
            if line.uses == 0 || !(span.contains(line.failed_on) || touches) {
                continue;
            }
            let since = line.good_on.map_or(
                "the beginning, for want of a good check".to_owned(),
                |day| format!("its last good check on {day}"),
            );
            let what = match body.kind.is_dosimeter() {
                true => "reading",
                false => "sheet",
            };
            let mut words = format!(
                "{} {} as found on {}: {} {what}{} since {since}",
                body.id,
                line.worst,
                line.failed_on,
                line.uses,
                if line.uses == 1 { "" } else { "s" }
            );
            if let Some(shown) = &line.shown {
                let after = line.raised.as_ref().map_or_else(
                    || "and no upper bound can be given".to_owned(),
                    |it| format!("{it} had it shown the truth (an estimate)"),
                );
                words.push_str(&format!(", {shown} in sum, {after}"));
            }
            let unbounded = body.kind.is_dosimeter() && line.raised.is_none() && line.uses > 0;
            let severity = match unbounded {
                true => Severity::Stop,
                false => Severity::Act,
            };
            let mut entries = vec![line.failed_entry];
            entries.extend(line.entries.iter().max());
            found.push(Finding::new(
                severity,
                &rule,
                body.id.clone(),
                words,
                entries,
            ));
        }
    }
    Ok(found)
}

//! The dosimeters and the alarm ratemeter that a person is to use, which are
//! those of the person's last sheet, with their checks.

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::equipment::due::off_scale_unchecked;
use crate::calendar::{Day, DueStatus};
use crate::dose::checks::input::LastCheck;
use crate::dose::input::{History, Shift};
use crate::dose::work_status::Assigned;
use crate::record::{CheckType, Instrument, InstrumentType, RecordId, Sheet, Work};
use crate::rule::{CheckKey, RuleSet};

/// How far back a person's last sheet is looked for.
const BACK_DAYS: u64 = 60;

/// The person's instruments, and what is not known of them.
#[derive(Default)]
pub(crate) struct Items {
    pub assigned: Vec<Assigned>,
    pub not_known: Vec<String>,
}

/// The dosimeters and the ratemeter of the person's last shift, as far as a
/// rule set asks for checks of them.
pub(crate) fn instruments(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    history: &History,
    on: Day,
) -> Result<Items, AnswerError> {
    let mut items = Items::default();
    let since = on
        .checked_sub_days(chrono::Days::new(BACK_DAYS))
        .unwrap_or(on);
    let last = history
        .shifts
        .iter()
        .filter(|it| it.day <= on && it.day >= since)
        .max_by_key(|it| (it.day, it.shift));
    let Some(last) = last else {
        items.not_known.push(format!(
            "which dosimeter and alarm ratemeter are used: no sheet since {since}"
        ));
        return Ok(items);
    };
    let asked = Asked {
        house,
        rule_set,
        on,
    };
    for reading in &last.readings {
        match named(house, reading.record) {
            Some((record, body)) => items.put(asked.dosimeter(record, body)?),
            None => items.not_known.push(format!(
                "whether {} of the sheet of {} is in check: it is not registered",
                reading.dosimeter, last.day
            )),
        }
    }
    let sheet = house.snapshot.sheet_at(last.entry)?;
    if let Some(sheet) = sheet {
        asked.ratemeter(&mut items, &sheet, history.facts.record, last)?;
    }
    Ok(items)
}

fn named(house: &House, record: Option<RecordId>) -> Option<(RecordId, &Instrument)> {
    let record = record?;
    Some((record, house.names.instrument_body(record)?))
}

impl Items {
    fn put(&mut self, one: Option<Assigned>) {
        let new = one.filter(|one| self.assigned.iter().all(|it| it.id != one.id));
        self.assigned.extend(new);
    }
}

#[derive(Clone, Copy)]
struct Asked<'a> {
    house: &'a OpenHouse<'a>,
    rule_set: &'a RuleSet,
    on: Day,
}

impl Asked<'_> {
    fn dosimeter(
        self,
        record: RecordId,
        body: &Instrument,
    ) -> Result<Option<Assigned>, AnswerError> {
        let kinds = [CheckType::Response, CheckType::Calibration];
        let rules = ("dosimeter-response-check", CheckKey::ResponseCheck);
        self.item(record, body, &kinds, rules)
    }

    /// The ratemeter of the sheet. Nobody else's serves in its place.
    fn ratemeter(
        self,
        items: &mut Items,
        sheet: &Sheet,
        worker: RecordId,
        last: &Shift,
    ) -> Result<(), AnswerError> {
        let mut people = sheet.people.iter();
        let person = people.find(|it| it.worker.known() == Some(worker.into()));
        let written = person.and_then(|it| it.ratemeter.as_ref());
        let Some(written) = written else {
            let needed = matches!(
                sheet.work,
                Work::Radiography | Work::SourceExchange | Work::Retrieval
            );
            if needed {
                items.not_known.push(format!(
                    "which alarm ratemeter is used: none on the sheet of {}",
                    last.day
                ));
            }
            return Ok(());
        };
        let known = named(self.house, written.number());
        let Some((record, body)) = known.filter(|(_, it)| it.kind == InstrumentType::Ratemeter)
        else {
            items.not_known.push(format!(
                "whether the alarm ratemeter {} of the sheet of {} is calibrated: no ratemeter \
                 of that name is registered",
                self.house.names.words(written),
                last.day
            ));
            return Ok(());
        };
        let rules = ("ratemeter-calibration", CheckKey::RatemeterCalibration);
        items.put(self.item(record, body, &[CheckType::Calibration], rules)?);
        Ok(())
    }

    /// How the newest of some kinds of check stands by an interval of the
    /// rule set, and whether the thing is out of service.
    fn item(
        self,
        record: RecordId,
        body: &Instrument,
        kinds: &[CheckType],
        (interval, rule): (&str, CheckKey),
    ) -> Result<Option<Assigned>, AnswerError> {
        let on = self.on;
        let kind = crate::record::Words::word(body.kind).to_owned();
        if let Some(out) = self.house.service.out_of_service(record, on) {
            return Ok(Some(Assigned {
                id: body.id.clone(),
                kind,
                rule: CheckKey::WithdrawnUsed,
                in_force: false,
                words: format!("out of service since {}: {}", out.on, out.reason),
                entries: vec![out.entry],
            }));
        }
        if let Some((day, entry)) = off_scale_unchecked(self.house, record, on)? {
            return Ok(Some(Assigned {
                id: body.id.clone(),
                kind,
                rule: CheckKey::ResponseCheck,
                in_force: false,
                words: format!("off scale on {day}, not checked since"),
                entries: vec![entry],
            }));
        }
        let Some(by) = self.rule_set.interval(interval) else {
            return Ok(None);
        };
        let check = kinds
            .iter()
            .filter_map(|kind| self.house.service.last_check(record, *kind, on))
            .max_by_key(|it| (it.on, it.entry));
        let serviced = self.house.maintenance.serviced_since(record, check, on);
        if let Some(serviced) = serviced {
            return Ok(Some(Assigned {
                id: body.id.clone(),
                kind,
                rule: CheckKey::ServicedNotCalibrated,
                in_force: false,
                words: format!(
                    "serviced on {} ({}) and not calibrated since",
                    serviced.body.on, serviced.body.what
                ),
                entries: vec![serviced.entry],
            }));
        }
        let passed = check.filter(|it| it.passed).map(|it| it.on);
        let status = by.interval.status(passed, on, self.rule_set.year_start);
        Ok(Some(Assigned {
            id: body.id.clone(),
            kind,
            rule,
            in_force: status.in_force(),
            words: check_words(rule, check, status),
            entries: check.map(|it| it.entry).into_iter().collect(),
        }))
    }
}

fn check_words(rule: CheckKey, check: Option<LastCheck>, status: DueStatus) -> String {
    let what = match rule {
        CheckKey::RatemeterCalibration => "calibration",
        _ => "response check",
    };
    match check {
        None => format!("no {what} on record"),
        Some(check) if !check.passed => format!("failed its {what} of {}", check.on),
        Some(check) => match status {
            DueStatus::Overdue { since } => {
                format!("last {what} on {}, overdue since {since}", check.on)
            }
            _ => format!("last {what} on {}", check.on),
        },
    }
}

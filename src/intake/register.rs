//! The registers and the small records: one table of columns a kind serves the
//! CSV file, the flags of the typed command and the empty template.

use super::fault::Faults;
use super::fields::Fields;
use crate::answer::Names;
use crate::record::{
    Authorization, Body, Category, Check, CheckResult, CheckSort, Equipment, EquipmentSort,
    Instrument, InstrumentSort, Job, MissingQuarter, Monitoring, Pregnancy, PregnancyEnd,
    PregnancyEnding, PriorDose, RecordId, Role, RoleChange, Scale, ServiceReturn, Setting,
    Withdrawal, Worker,
};

/// A column of a file, which is also a flag of the typed command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its name.
    pub name: &'static str,
    /// Whether a file must have it.
    pub needed: bool,
    /// What it holds, for the help text.
    pub help: &'static str,
}

/// What one row says: a body, and perhaps one that points to the record of the
/// first.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RowBodies {
    pub first: Body,
    pub then: Option<Then>,
}

/// A second record of the same row.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Then {
    /// The pregnancy of the row was withdrawn on a day.
    Withdrawn(crate::calendar::Day),
    /// The worker of the row was monitored until a day.
    MonitoredUntil(crate::calendar::Day),
}

impl Then {
    /// The second body, once the first has its record.
    pub fn body(&self, first: RecordId) -> Body {
        match self {
            Then::Withdrawn(on) => PregnancyEnd {
                how: PregnancyEnding::Withdrawn,
                on: *on,
                pregnancy: first,
            }
            .into(),
            Then::MonitoredUntil(on) => Monitoring {
                change: crate::record::MonitoringChange::Ends,
                on: *on,
                worker: first,
            }
            .into(),
        }
    }
}

type ReadRow = fn(&mut Fields<'_>, &Names) -> Option<RowBodies>;

/// One kind of file.
#[derive(Debug, Clone, Copy)]
pub struct Register {
    /// The noun under which its commands stand.
    pub noun: &'static str,
    /// The verb of the typed command.
    pub add: &'static str,
    /// The verb of the import.
    pub import: &'static str,
    /// What one row is, in the singular, for messages.
    pub what: &'static str,
    /// Its columns.
    pub columns: &'static [Column],
    /// The names of its columns.
    pub names: &'static [&'static str],
    pub(super) read: ReadRow,
}

impl Register {
    /// The columns that a file must have.
    pub fn needed(&self) -> Vec<&'static str> {
        self.columns
            .iter()
            .filter(|column| column.needed)
            .map(|column| column.name)
            .collect()
    }
}

macro_rules! register {
    ($name:ident: $noun:literal $add:literal $import:literal $what:literal, $read:path,
     [$($column:literal $needed:literal $help:literal),+ $(,)?]) => {
        const $name: Register = Register {
            noun: $noun,
            add: $add,
            import: $import,
            what: $what,
            columns: &[$(Column { name: $column, needed: $needed, help: $help }),+],
            names: &[$($column),+],
            read: $read,
        };
    };
}

register!(JOBS: "job" "add" "import" "job", read_job, [
    "id" true "short name of the job, such as `J-12`",
    "place" true "where the work is",
    "jurisdiction" true "whose rules hold there and whom to notify",
    "setting" true "temporary job site or fixed installation",
    "zone" true "IANA time zone of the place, such as `America/Chicago`",
    "first_day" false "first day of work",
    "last_day" false "last day of work",
]);

register!(WORKERS: "worker" "add" "import" "worker", read_worker, [
    "id" true "short name of the person, such as `W07`",
    "name" true "full name",
    "role" true "rso, rso designee, radiographer, assistant, trainee or other",
    "category" false "exposed (default), apprentice or other",
    "birth_date" false "date of birth; without it nobody can tell a minor",
    "monitored_from" true "first monitored day",
    "monitored_until" false "last monitored day",
]);

register!(ROLES: "worker" "role" "roles" "change of role", read_role, [
    "worker" true "the person's id",
    "from" true "first day of the role",
    "role" true "rso, rso designee, radiographer, assistant, trainee or other",
]);

register!(MONITORING: "worker" "monitoring" "monitoring-changes" "change of monitoring", read_monitoring, [
    "worker" true "the person's id",
    "on" true "first or last monitored day",
    "change" true "starts or ends",
]);

register!(PREGNANCIES: "worker" "pregnancy" "pregnancies" "declared pregnancy", read_pregnancy, [
    "worker" true "the person's id",
    "notice_on" true "day of the written notice",
    "conception_on" true "estimated date of conception, as declared",
    "withdrawn_on" false "day of the written withdrawal",
]);

register!(PRIOR: "worker" "prior-dose" "prior-doses" "prior dose", read_prior, [
    "worker" true "the person's id",
    "first_day" true "first day of the period",
    "last_day" true "last day of the period",
    "employer" true "who employed the person then",
    "deep" false "deep dose with its unit",
    "lens" false "lens dose with its unit",
    "shallow" false "skin dose with its unit",
    "extremity" false "dose of the maximally exposed extremity with its unit",
    "basis" true "what proves it: a signed statement, a form, a letter",
]);

register!(MISSING: "worker" "missing-quarter" "missing-quarters" "missing quarter", read_missing, [
    "worker" true "the person's id",
    "year" true "the licensee's year",
    "quarter" true "1, 2, 3 or 4",
    "exposure_possible" true "whether work in it could have exposed the person: yes or no",
    "note" false "what is known about it",
]);

register!(AUTHORIZATIONS: "worker" "authorization" "authorizations" "authorization", read_authorization, [
    "worker" true "the person's id",
    "level" true "key of the level, as `scheme show` has it",
    "first_day" true "first day",
    "last_day" true "last day",
    "basis" true "the authority and its reference",
]);

register!(INSTRUMENTS: "instrument" "add" "import" "instrument", read_instrument, [
    "id" true "short name, such as `PD-03`",
    "sort" true "pocket dosimeter, electronic dosimeter, alarm ratemeter or survey meter",
    "maker" false "maker, as on the label",
    "model" false "model, as on the label",
    "serial" true "serial number",
    "unit" false "unit on a dosimeter's face: mR, mrem, uSv or mSv",
    "range" false "highest reading that a dosimeter can show, such as `200 mR`",
    "scale" false "of a survey meter: linear, logarithmic or digital",
    "scales" false "full-scale values of a survey meter, such as `10 mR/h / 100 mR/h`",
    "alarm_preset" false "rate at which a ratemeter sounds, such as `500 mR/h`",
    "in_service" false "first day of service",
]);

register!(CHECKS: "instrument" "check" "checks" "check", read_check, [
    "instrument" true "the instrument's id",
    "on" true "day of the check",
    "sort" true "calibration or response check",
    "result" true "pass or fail",
    "by" true "who did it",
    "certificate" false "number of the certificate",
]);

register!(EQUIPMENT: "equipment" "add" "import" "piece of equipment", read_equipment, [
    "id" true "short name, such as `D-2`",
    "sort" true "exposure device, source assembly, control unit, guide tube, collimator, ...",
    "maker" false "maker, as on the label",
    "model" false "model, as on the label",
    "serial" true "serial number",
    "nuclide" false "of a source assembly, such as `Ir-192`",
    "activity" false "of a source assembly on its reference date, such as `85 Ci`",
    "activity_on" false "reference date of the activity",
    "in_service" false "first day of service",
]);

register!(WITHDRAWALS: "equipment" "withdraw" "withdrawals" "withdrawal", read_withdrawal, [
    "item" true "id of the equipment or instrument",
    "on" true "day on which it was taken out of service",
    "reason" true "why",
    "by" true "who took it out of service",
]);

register!(RETURNS: "equipment" "return" "returns" "return to service", read_return, [
    "item" true "id of the equipment or instrument",
    "on" true "day on which it was put back",
    "done" true "what was repaired, replaced or tested",
    "by" true "who put it back",
]);

/// Every kind of file besides the sheets.
pub const REGISTERS: &[Register] = &[
    JOBS,
    WORKERS,
    ROLES,
    MONITORING,
    PREGNANCIES,
    PRIOR,
    MISSING,
    AUTHORIZATIONS,
    INSTRUMENTS,
    CHECKS,
    EQUIPMENT,
    WITHDRAWALS,
    RETURNS,
];

fn only(body: impl Into<Body>) -> Option<RowBodies> {
    Some(RowBodies {
        first: body.into(),
        then: None,
    })
}

fn read_job(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `J-12`");
    let place = fields.needed(1, "where the work is");
    let jurisdiction = fields.needed(2, "such as `US NRC`");
    let setting = fields.needed_word::<Setting>(3);
    let zone = fields.needed(4, "such as `America/Chicago`");
    let (first_day, last_day) = (fields.day(5), fields.day(6));
    only(Job {
        first_day,
        id: id?,
        jurisdiction: jurisdiction?,
        last_day,
        place: place?,
        setting: setting?,
        zone: zone?,
    })
}

fn read_worker(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `W07`");
    let name = fields.needed(1, "the full name");
    let role = fields.needed_word::<Role>(2);
    let category = match fields.cell(3) {
        "" => Some(Category::Exposed),
        _ => fields.word::<Category>(3),
    };
    let birth_date = fields.day(4);
    let from = fields.needed_day(5);
    let until = fields.day(6);
    if let (Some(from), Some(until)) = (from, until)
        && until < from
    {
        fields.fault(
            6,
            format!("is before the first monitored day, {from}"),
            "the last monitored day, or blank while monitoring goes on",
        );
        return None;
    }
    let worker = Worker {
        birth_date,
        category: category?,
        id: id?,
        monitored_from: from?,
        name: name?,
        role: role?,
    };
    Some(RowBodies {
        first: worker.into(),
        then: until.map(Then::MonitoredUntil),
    })
}

/// The worker that a cell names; an unknown one is a fault with near spellings.
fn worker(fields: &mut Fields<'_>, names: &Names, column: usize) -> Option<RecordId> {
    let id = fields.needed(column, "the id of a worker")?;
    let found = names.find_worker(&id);
    if found.is_none() {
        let right = did_you_mean(&names.near_workers(&id), "register the worker first");
        fields.fault(column, "is not a worker that the ledger knows", right);
    }
    found
}

fn did_you_mean(near: &[String], otherwise: &str) -> String {
    match near {
        [] => otherwise.to_owned(),
        names => format!("did you mean {}? else {otherwise}", quoted(names)),
    }
}

/// Names in backquotes, as a sentence lists them.
pub(super) fn quoted(names: &[String]) -> String {
    names
        .iter()
        .map(|name| format!("`{name}`"))
        .collect::<Vec<_>>()
        .join(" or ")
}

fn read_role(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let from = fields.needed_day(1);
    let role = fields.needed_word::<Role>(2);
    only(RoleChange {
        from: from?,
        role: role?,
        worker: worker?,
    })
}

fn read_monitoring(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let on = fields.needed_day(1);
    let change = fields.needed_word(2);
    only(Monitoring {
        change: change?,
        on: on?,
        worker: worker?,
    })
}

fn read_pregnancy(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let notice_on = fields.needed_day(1);
    let conception_on = fields.needed_day(2);
    let withdrawn = fields.day(3);
    let pregnancy = Pregnancy {
        conception_on: conception_on?,
        notice_on: notice_on?,
        worker: worker?,
    };
    if let Some(withdrawn) = withdrawn
        && withdrawn < pregnancy.notice_on
    {
        fields.fault(
            3,
            "is before the notice",
            "the day of the written withdrawal",
        );
        return None;
    }
    Some(RowBodies {
        first: pregnancy.into(),
        then: withdrawn.map(Then::Withdrawn),
    })
}

fn read_prior(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let unit = names.charter.dose_unit();
    let worker = worker(fields, names, 0);
    let first_day = fields.needed_day(1);
    let last_day = fields.needed_day(2);
    let employer = fields.needed(3, "who employed the person then");
    let (deep, lens) = (fields.dose(4, unit), fields.dose(5, unit));
    let (shallow, extremity) = (fields.dose(6, unit), fields.dose(7, unit));
    let basis = fields.needed(8, "what proves it: a signed statement, a form, a letter");
    only(PriorDose {
        basis: basis?,
        deep_nsv: deep,
        employer: employer?,
        extremity_nsv: extremity,
        first_day: first_day?,
        last_day: last_day?,
        lens_nsv: lens,
        shallow_nsv: shallow,
        worker: worker?,
    })
}

fn read_missing(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let year = fields.needed_count(1, "such as `2026`");
    let quarter = fields.needed_count(2, "1, 2, 3 or 4");
    let possible = fields.yes(3);
    if fields.cell(3).is_empty() {
        fields.fault(3, "is missing", "yes or no; if nobody knows, yes");
    }
    let note = fields.text(4);
    only(MissingQuarter {
        exposure_possible: possible?,
        note,
        quarter: quarter?,
        worker: worker?,
        year: year?,
    })
}

fn read_authorization(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let level = fields.needed(1, "the key of the level, as `scheme show` has it");
    let (first_day, last_day) = (fields.needed_day(2), fields.needed_day(3));
    let basis = fields.needed(4, "the authority and its reference");
    only(Authorization {
        basis: basis?,
        first_day: first_day?,
        last_day: last_day?,
        level: level?,
        worker: worker?,
    })
}

fn read_instrument(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `PD-03`");
    let sort = fields.needed_word::<InstrumentSort>(1);
    let (maker, model) = (fields.text(2), fields.text(3));
    let serial = fields.needed(4, "the serial number");
    let (face, range) = (fields.text(5), fields.text(6));
    let scale = fields.word::<Scale>(7);
    let scales = fields
        .cell(8)
        .split(" / ")
        .map(str::trim)
        .filter(|scale| !scale.is_empty())
        .map(str::to_owned)
        .collect();
    let alarm_preset = fields.text(9);
    let in_service = fields.day(10);
    only(Instrument {
        alarm_preset,
        face,
        id: id?,
        in_service,
        maker,
        model,
        range,
        scale,
        scales,
        serial: serial?,
        sort: sort?,
    })
}

fn read_check(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let instrument = known(fields, 0, "an instrument", |id| {
        names.instrument(id).map_err(|_| names.near_instruments(id))
    });
    let on = fields.needed_day(1);
    let sort = fields.needed_word::<CheckSort>(2);
    let result = fields.needed_word::<CheckResult>(3);
    let by = fields.needed(4, "who did it");
    let certificate = fields.text(5);
    only(Check {
        by: by?,
        certificate,
        instrument: instrument?,
        on: on?,
        result: result?,
        sort: sort?,
    })
}

/// The record that a cell names, found by `find`, which gives near spellings
/// where there is none.
fn known(
    fields: &mut Fields<'_>,
    column: usize,
    what: &str,
    find: impl FnOnce(&str) -> Result<RecordId, Vec<String>>,
) -> Option<RecordId> {
    let id = fields.needed(column, &format!("the id of {what}"))?;
    match find(&id) {
        Ok(record) => Some(record),
        Err(near) => {
            let right = did_you_mean(&near, "register it first");
            fields.fault(
                column,
                format!("is not {what} that the ledger knows"),
                right,
            );
            None
        }
    }
}

fn read_equipment(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `D-2`");
    let sort = fields.needed_word::<EquipmentSort>(1);
    let (maker, model) = (fields.text(2), fields.text(3));
    let serial = fields.needed(4, "the serial number");
    let nuclide = fields.text(5);
    let activity = fields.activity(6);
    let activity_on = fields.day(7);
    let in_service = fields.day(8);
    if !fields.cell(6).is_empty() && activity.is_none() {
        return None;
    }
    only(Equipment {
        activity_bq: activity,
        activity_on,
        id: id?,
        in_service,
        maker,
        model,
        nuclide,
        serial: serial?,
        sort: sort?,
    })
}

fn item(fields: &mut Fields<'_>, names: &Names) -> Option<RecordId> {
    known(fields, 0, "equipment or an instrument", |id| {
        names.item(id).map_err(|_| {
            let mut near = names.near_equipment(id);
            near.extend(names.near_instruments(id));
            near
        })
    })
}

fn read_withdrawal(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let item = item(fields, names);
    let on = fields.needed_day(1);
    let reason = fields.needed(2, "why it was taken out of service");
    let by = fields.needed(3, "who took it out of service");
    only(Withdrawal {
        by: by?,
        item: item?,
        on: on?,
        reason: reason?,
    })
}

fn read_return(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let item = item(fields, names);
    let on = fields.needed_day(1);
    let done = fields.needed(2, "what was repaired, replaced or tested");
    let by = fields.needed(3, "who put it back into service");
    only(ServiceReturn {
        by: by?,
        done: done?,
        item: item?,
        on: on?,
    })
}

/// Reads one row of a register, with the record's own problems as faults.
pub(super) fn read_row(
    register: &Register,
    columns: &super::cells::Columns,
    row: &super::cells::Row,
    names: &Names,
    faults: &mut Faults,
) -> Option<RowBodies> {
    let mut fields = Fields {
        columns,
        row,
        faults,
    };
    let bodies = (register.read)(&mut fields, names)?;
    let problems = bodies.first.problems();
    let sound = problems.is_empty();
    for problem in problems {
        faults.push(super::fault::Fault::of_problem(row.line, problem));
    }
    sound.then_some(bodies)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_registers_share_a_command() {
        let mut commands: Vec<(&str, &str)> = REGISTERS
            .iter()
            .flat_map(|it| [(it.noun, it.add), (it.noun, it.import)])
            .collect();
        let count = commands.len();
        commands.sort_unstable();
        commands.dedup();
        assert_eq!(commands.len(), count);
    }

    #[test]
    fn the_columns_of_a_register_are_its_names() {
        for register in REGISTERS {
            let names: Vec<&str> = register.columns.iter().map(|column| column.name).collect();
            assert_eq!(names, register.names);
        }
    }
}

//! Monitored people and the dated facts about them.

use super::badge::past_day;
use super::{Column, Reader, Register, RowBodies, RowDesk, Then, only, register, worker};
use crate::answer::Names;
use crate::intake::file::fields::Fields;
use crate::ledger::LedgerError;
use crate::record::{
    AlertReader, Authorization, Category, DoseRequest, MissingQuarter, Monitoring, PlannedExposure,
    Pregnancy, PriorDose, Qualification, QualificationType, Role, RoleChange, Worker,
};
use crate::text::Language;

register!(WORKERS: "worker" "add" "import" "worker",
Names read_worker, [
    "id" true "short name of the person, such as `W07`",
    "name" true "full name",
    "role" true "rso, rso designee, radiographer, assistant, trainee, other or inspector",
    "category" false "exposed, apprentice or other: default exposed, to be said with role other",
    "birth_date" false "date of birth; without it the person counts as a minor",
    "monitored_from" true "first monitored day",
    "monitored_until" false "last monitored day",
    "language" false "of the person's pages, prompts and forms: en or es; without it English",
]);

register!(ROLES: "worker" "role" "roles" "change of role",
Names read_role, [
    "worker" true "the person's id",
    "from" true "first day of the role",
    "role" true "rso, rso designee, radiographer, assistant, trainee, other or inspector",
]);

register!(ALERTS: "worker" "alert" "alerts" "reader of alerts",
Names read_alert_reader, [
    "worker" true "the person's id",
    "of" true "everything, oneself, deadlines or equipment; it comes to what the role brings",
    "from" true "first day",
    "until" false "last day, where one is known",
]);

register!(MONITORING: "worker" "monitoring" "monitoring-changes" "change of monitoring",
Names read_monitoring, [
    "worker" true "the person's id",
    "on" true "first or last monitored day",
    "change" true "starts or ends",
]);

register!(PREGNANCIES: "worker" "pregnancy" "pregnancies" "declared pregnancy",
Names read_pregnancy, [
    "worker" true "the person's id",
    "notice_on" true "day of the written notice",
    "conception_on" false "estimated date of conception, as declared, where a limit counts from it",
    "withdrawn_on" false "day of the written withdrawal",
]);

register!(PRIOR: "worker" "prior-dose" "prior-doses" "prior dose",
Names read_prior, [
    "worker" true "the person's id",
    "first_day" true "first day of the period",
    "last_day" true "last day of the period",
    "employer" true "who employed the person then",
    "deep" false "deep dose with its unit",
    "lens" false "lens dose with its unit",
    "shallow" false "skin dose with its unit",
    "extremity" false "dose of the maximally exposed extremity with its unit",
    "basis" true "what proves it: a signed statement, a form, a letter",
    "row" false "the number of its row in the office's own file, such as `117`",
]);

register!(MISSING: "worker" "missing-quarter" "missing-quarters" "missing quarter",
Names read_missing, [
    "worker" true "the person's id",
    "year" true "the licensee's year",
    "quarter" true "1, 2, 3 or 4",
    "exposure_possible" true "whether work in it could have exposed the person: yes or no",
    "note" false "what is known about it",
]);

register!(REQUESTS: "worker" "dose-request" "dose-requests" "request of prior dose",
RowDesk read_request, [
    "worker" true "the person's id",
    "employer" true "who was asked, as a prior dose will name them",
    "first_day" true "first day of the period that was asked for",
    "last_day" true "last day of it",
    "on" true "the day on which it was sent",
    "answered_on" false "the day of an answer without a dose",
    "answer" false "what was answered, such as that there is no record",
]);

register!(AUTHORIZATIONS: "worker" "authorization" "authorizations" "authorization",
Names read_authorization, [
    "worker" true "the person's id",
    "level" true "key of the level, as `rules show` has it",
    "first_day" true "first day",
    "last_day" true "last day",
    "basis" true "the authority and its reference",
]);

register!(QUALIFICATIONS: "worker" "qualification" "qualifications" "qualification",
Names read_qualification, [
    "worker" true "the person's id",
    "type" true "certification, assistant qualification, refresher training, observed \
     performance, practical examination, unescorted access or hazmat training",
    "on" true "the day",
    "performed_by" true "who certified, taught, observed or examined",
    "until" false "last day on which it holds, where the paper says one",
    "note" false "what was taught or observed, and what was not right",
    "row" false "the number of its row in the office's own file, such as `117`",
]);

register!(PLANNED_EXPOSURES: "worker" "planned-exposure" "planned-exposures"
"planned special exposure", Names read_planned_exposure, [
    "worker" true "the person's id",
    "first_day" true "first day of the exposure",
    "last_day" true "last day of the exposure",
    "authorized_on" true "day of the written authorization, before the exposure",
    "basis" true "what it was for and who authorized it",
]);

/// The role `other` is no radiation work: limits of a worker or of the public, nobody can guess.
pub(in crate::intake) const UNSAID_CATEGORY: &str =
    "is missing: the role `other` does not say which limits apply";
pub(in crate::intake) const CATEGORY_RIGHT: &str =
    "`other`: the limits of the public; `exposed`: those of a worker exposed at work; `apprentice`";

fn read_worker(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `W07`");
    let name = fields.needed(1, "the full name");
    let role = fields.needed_word::<Role>(2);
    let category = match (fields.cell(3), role) {
        ("", Some(Role::Other)) => {
            fields.fault(3, UNSAID_CATEGORY, CATEGORY_RIGHT);
            None
        }
        // Whoever looks on is no worker exposed at work.
        ("", Some(Role::Inspector)) => Some(Category::Other),
        ("", _) => Some(Category::Exposed),
        _ => fields.word::<Category>(3),
    };
    let birth_date = fields.day(4);
    let from = fields.needed_day(5);
    let until = fields.day(6);
    let unsaid = fields.cell(7).is_empty();
    let language = fields.word::<Language>(7);
    if language.is_none() && !unsaid {
        return None;
    }
    if let (Some(from), Some(until)) = (from, until)
        && until < from
    {
        fields.fault(
            6,
            format!("is before the first monitored day, {from}"),
            "the last monitored day, or blank while monitoring continues",
        );
        return None;
    }
    let worker = Worker {
        birth_date,
        category: category?,
        id: id?,
        language,
        monitored_from: from?,
        name: name?,
        role: role?,
    };
    Some(RowBodies {
        notes: Vec::new(),
        first: worker.into(),
        then: until.map(Then::MonitoredUntil),
    })
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

fn read_alert_reader(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let of = fields.needed_word(1);
    let from = fields.needed_day(2);
    let blank = fields.cell(3).is_empty();
    let until = fields.day(3);
    if until.is_none() && !blank {
        return None;
    }
    only(AlertReader {
        from: from?,
        of: of?,
        until,
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
    let conception_on = fields.day(2);
    let out_of_service = fields.day(3);
    let pregnancy = Pregnancy {
        conception_on,
        notice_on: notice_on?,
        worker: worker?,
    };
    if let Some(out_of_service) = out_of_service
        && out_of_service < pregnancy.notice_on
    {
        fields.fault(
            3,
            "is before the notice",
            "the day of the written withdrawal",
        );
        return None;
    }
    Some(RowBodies {
        notes: Vec::new(),
        first: pregnancy.into(),
        then: out_of_service.map(Then::Withdrawn),
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
        row: None,
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
        fields.fault(3, "is missing", "yes or no; if unknown, yes");
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

fn read_request(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    Ok(request(fields, desk))
}

fn request(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Option<RowBodies> {
    let worker = worker(fields, desk.names, 0);
    let employer = fields.needed(1, "who was asked");
    let (first_day, last_day) = (fields.needed_day(2), fields.needed_day(3));
    let on = past_day(fields, desk, 4);
    let answered_on = match fields.cell(5).is_empty() {
        true => None,
        false => Some(past_day(fields, desk, 5)?),
    };
    let answer = fields.text(6);
    only(DoseRequest {
        answer,
        answered_on,
        employer: employer?,
        first_day: first_day?,
        last_day: last_day?,
        on: on?,
        worker: worker?,
    })
}

fn read_authorization(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let level = fields.needed(1, "the key of the level, as `rules show` has it");
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

fn read_qualification(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let kind = fields.needed_word::<QualificationType>(1);
    let on = fields.needed_day(2);
    let by = fields.needed(3, "who certified, taught, observed or examined");
    let blank = fields.cell(4).is_empty();
    let until = fields.day(4);
    let note = fields.text(5);
    if until.is_none() && !blank {
        return None;
    }
    only(Qualification {
        by: by?,
        note,
        on: on?,
        row: None,
        kind: kind?,
        until,
        worker: worker?,
    })
}

fn read_planned_exposure(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let worker = worker(fields, names, 0);
    let (first_day, last_day) = (fields.needed_day(1), fields.needed_day(2));
    let authorized_on = fields.needed_day(3);
    let basis = fields.needed(4, "what it was for and who authorized it");
    only(PlannedExposure {
        authorized_on: authorized_on?,
        basis: basis?,
        first_day: first_day?,
        last_day: last_day?,
        worker: worker?,
    })
}

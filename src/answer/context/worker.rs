//! The dated facts about workers, as the computations take them.

use std::collections::HashMap;

use super::error::AnswerError;
use super::here::same_name;
use super::names::Names;
use crate::answer::dose::private::declared;
use crate::dose::input::{self, MissingQuarter, PriorDose, WorkerFacts};
use crate::ledger::Snapshot;
use crate::record::{self, Authorization, RecordId};

/// Loads them, by worker.
pub(crate) fn load_facts(
    snapshot: &Snapshot<'_>,
    names: &Names,
) -> Result<HashMap<RecordId, WorkerFacts>, AnswerError> {
    let mut all: HashMap<RecordId, WorkerFacts> = names
        .workers()
        .map(|(record, worker)| {
            let facts = WorkerFacts {
                record,
                id: worker.id.clone(),
                name: worker.name.clone(),
                unit: Some(names.charter.dose_unit()),
                birth_date: worker.birth_date,
                category: worker.category,
                roles: names.roles_of(record),
                monitored: names.monitoring_of(record),
                ..WorkerFacts::default()
            };
            (record, facts)
        })
        .collect();
    for (worker, pregnancies) in declared(snapshot)? {
        if let Some(facts) = all.get_mut(&worker) {
            facts.pregnancies = pregnancies;
        }
    }
    for it in snapshot.all::<record::PriorDose>()? {
        if let Some(facts) = all.get_mut(&it.body.worker.number()) {
            facts.prior.push(PriorDose {
                entry: it.entry,
                first: it.body.first_day,
                last: it.body.last_day,
                opening: same_name(&it.body.employer, &names.charter.licensee)
                    .then_some(it.body.basis),
                employer: it.body.employer,
                deep: it.body.deep_nsv,
                lens: it.body.lens_nsv,
                shallow: it.body.shallow_nsv,
                extremity: it.body.extremity_nsv,
            });
        }
    }
    for it in snapshot.all::<record::MissingQuarter>()? {
        let (Ok(year), Ok(quarter)) = (it.body.year.try_into(), it.body.quarter.try_into()) else {
            continue;
        };
        if let Some(facts) = all.get_mut(&it.body.worker.number()) {
            let exposure_possible = it.body.exposure_possible;
            facts.missing.push(MissingQuarter {
                entry: it.entry,
                year,
                quarter,
                exposure_possible,
            });
        }
    }
    for it in snapshot.all::<Authorization>()? {
        if let Some(facts) = all.get_mut(&it.body.worker.number()) {
            facts.authorizations.push(input::Authorization {
                entry: it.entry,
                level: it.body.level,
                first: it.body.first_day,
                last: it.body.last_day,
            });
        }
    }
    Ok(all)
}

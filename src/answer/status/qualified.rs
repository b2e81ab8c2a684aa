//! What somebody is qualified for on a day, by the dated records.

use chrono::Months;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::handling::Handling;
use crate::calendar::{Day, Span};
use crate::dose::input::History;
use crate::dose::qualification::{Certification, Done, Held, Qualifications, duties};
use crate::ledger::Stored;
use crate::record::{Qualification, QualificationType, RecordId, Role};

/// What holds from a day on, and perhaps to one.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Paper {
    /// A radiographer's.
    Certification,
    /// What an assistant has learned and was examined in.
    Assistant,
}

impl Paper {
    const fn kind(self) -> QualificationType {
        match self {
            Paper::Certification => QualificationType::Certification,
            Paper::Assistant => QualificationType::Assistant,
        }
    }

    /// Whether the ledger keeps such papers by a day. One without any says nothing of anybody.
    /// A radiographer is asked for a certification as soon as anything of the kind is kept; what
    /// assistants have is a record of its own, which older ledgers do not know.
    fn is_kept(self, house: &House, on: Day) -> bool {
        let mut all = house.qualifications.iter();
        match self {
            Paper::Certification => keeps_qualifications(house),
            Paper::Assistant => all.any(|it| it.body.kind == self.kind() && it.body.on <= on),
        }
    }
}

/// Whether a qualification is for the work itself. A ledger that keeps none but of shipments and
/// access does not say who is qualified.
pub(crate) fn is_for_work(it: &Qualification) -> bool {
    use QualificationType::{Access, Hazmat};
    !matches!(it.kind, Access | Hazmat)
}

fn keeps_qualifications(house: &House) -> bool {
    house.qualifications.iter().any(|it| is_for_work(&it.body))
}

fn of(
    house: &House,
    worker: Option<RecordId>,
    kind: QualificationType,
) -> impl Iterator<Item = &Stored<Qualification>> {
    let mine = move |it: &&Stored<Qualification>| {
        it.body.kind == kind && worker == Some(it.body.worker.number())
    };
    house.qualifications.iter().filter(mine)
}

/// Whether a person had such a paper in force on a day; nothing where the ledger keeps none. Who
/// is not registered has none on record.
pub(crate) fn holds_paper(
    house: &House,
    worker: Option<RecordId>,
    paper: Paper,
    day: Day,
) -> Option<bool> {
    let in_force = |it: &Stored<Qualification>| {
        it.body.on <= day && it.body.until.is_none_or(|until| day <= until)
    };
    paper
        .is_kept(house, day)
        .then(|| of(house, worker, paper.kind()).any(in_force))
}

/// What the ledger would have to keep to say whether the person may be in a crew.
pub(crate) fn not_kept(house: &House, worker: RecordId, on: Day) -> Option<String> {
    let is_assistant = house.names.role_on(worker, on) == Some(Role::Assistant);
    let missing = is_assistant && !Paper::Assistant.is_kept(house, on);
    missing.then(|| {
        "whether the person is qualified as an assistant: this ledger has no such record of \
         anybody (wearbook worker qualification --type \"assistant qualification\")"
            .to_owned()
    })
}

/// How far back somebody who is RSO or designee counts as a radiographer, and others as doing
/// radiography too: the longest of the intervals that are asked of radiographers.
const MONTHS: Months = Months::new(12);

/// How the person's qualifications stand on a day.
pub(crate) fn duties_of(
    house: &OpenHouse<'_>,
    history: &History,
    on: Day,
) -> Result<Vec<Held>, AnswerError> {
    let handling = Handling::load(house, history.facts.record, on)?;
    let known = qualified(house, (history, &handling), on)?;
    Ok(duties(&known, house.rule_set_on(on)?, on))
}

/// What the person is qualified for, and on which days work was done.
pub(crate) fn qualified(
    house: &OpenHouse<'_>,
    (history, handling): (&History, &Handling),
    on: Day,
) -> Result<Qualifications, AnswerError> {
    let worker = history.facts.record;
    let role = house.names.role_on(worker, on);
    // A ledger that keeps no qualifications says nothing about them.
    let kept = keeps_qualifications(house);
    let year = Span {
        first: on.checked_sub_months(MONTHS).unwrap_or(on),
        last: on,
    };
    let office = kept && matches!(role, Some(Role::Rso | Role::RsoDesignee));
    let by_work = office && house.snapshot.radiographed(worker, year)?;
    let is_sole =
        by_work && role == Some(Role::Rso) && !house.snapshot.others_radiographed(worker, year)?;
    let done = |kind: QualificationType| {
        of(house, Some(worker), kind)
            .map(|it| Done {
                entry: it.entry,
                on: it.body.on,
            })
            .collect()
    };
    let papers = |paper: Paper| {
        of(house, Some(worker), paper.kind())
            .map(|it| Certification {
                entry: it.entry,
                from: it.body.on,
                until: it.body.until,
            })
            .collect()
    };
    let is_assistant = role == Some(Role::Assistant);
    // Who ever had one is meant to have it.
    let had = |kind: QualificationType| of(house, Some(worker), kind).any(|it| it.body.on <= on);
    let is_radiographer = role == Some(Role::Radiographer) || by_work;
    let by_role = is_radiographer || is_assistant;
    let acts = kept && by_role;
    Ok(Qualifications {
        needs_access: handling.needs_access(on) || by_role && had(QualificationType::Access),
        is_beside: handling.is_beside(on),
        access: done(QualificationType::Access),
        needs_hazmat: handling.needs_hazmat(on) || by_role && had(QualificationType::Hazmat),
        hazmat: done(QualificationType::Hazmat),
        needs_certification: kept && is_radiographer,
        needs_assistant: is_assistant && Paper::Assistant.is_kept(house, on),
        acts,
        is_sole,
        certifications: papers(Paper::Certification),
        assistant: papers(Paper::Assistant),
        training: done(QualificationType::Refresher),
        inspections: done(QualificationType::Performance),
        examinations: done(QualificationType::Practical),
        worked: history.shifts.iter().map(|it| it.day).collect(),
    })
}

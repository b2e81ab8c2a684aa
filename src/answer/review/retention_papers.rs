//! The records behind each kind of what is kept: from which day the time of each runs, and whether
//! it stays however old it is, because it is possessed, in force or evidence of an open event.

use std::collections::{BTreeMap, BTreeSet};

use crate::answer::context::error::AnswerError;
use crate::answer::context::here::plain;
use crate::answer::context::load::OpenHouse;
use crate::answer::equipment::category::gone;
use crate::answer::event::happened::{Happened, all_happened};
use crate::answer::status::qualified::is_for_work;
use crate::calendar::Day;
use crate::ledger::{SheetDay, Stored};
use crate::record::{
    Determination, DoseRequest, EquipmentType, InstalledPart, InstrumentType, Method, PriorDose,
    Qualification, QualificationType, Record, RecordId, Review, Scope, ServiceReturn, Servicing,
    SourceCheck, SourceCheckType, Withdrawal,
};
use crate::rule::RecordType;

/// Why an old record stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stays {
    InForce,
    Evidence,
}

/// One record: from which day its time runs, and why it stays all the same.
pub(super) type Paper = (RecordId, Day, Option<Stays>);

/// The records of a ledger as far as their age and what they stand for decide.
pub(super) struct Archive<'a> {
    pub house: &'a OpenHouse<'a>,
    pub on: Day,
    /// What an open event is about, its people among it.
    open: BTreeSet<RecordId>,
    /// Entries and records that belong to an open event, its sheets among them.
    evidence: BTreeSet<i64>,
}

impl<'a> Archive<'a> {
    pub fn load(house: &'a OpenHouse<'a>, on: Day) -> Result<Archive<'a>, AnswerError> {
        let mut archive = Archive {
            house,
            on,
            open: BTreeSet::new(),
            evidence: BTreeSet::new(),
        };
        for event in all_happened(house)? {
            if event.end.is_none() {
                archive.keep(&event)?;
            }
        }
        Ok(archive)
    }

    fn keep(&mut self, event: &Happened) -> Result<(), AnswerError> {
        let days = event.days();
        let all_equipment = event.body.equipment.iter().map(|it| it.number());
        let failed = event.causes.iter().filter_map(|it| it.body.equipment);
        let all_equipment: BTreeSet<RecordId> =
            all_equipment.chain(failed.map(|it| it.number())).collect();
        for equipment in &all_equipment {
            let uses = self
                .house
                .snapshot
                .uses_of(*equipment, days.first, days.last)?;
            self.evidence.extend(uses.iter().map(|it| it.entry));
        }
        let people = event.body.people.iter();
        for worker in people.filter_map(|it| it.person.number()) {
            self.open.insert(worker);
            let shifts = self
                .house
                .snapshot
                .shifts_of(worker, days.first, days.last)?;
            self.evidence.extend(shifts.iter().map(|it| it.entry));
        }
        self.open.extend(all_equipment);
        let linked = event.links.iter().map(|it| it.body.record.number());
        for record in linked {
            self.evidence.insert(record);
            self.evidence.insert(self.house.snapshot.newest(record)?);
        }
        Ok(())
    }

    /// Evidence comes first: it is the reason that somebody can end.
    fn stays(&self, entries: [i64; 2], items: &[RecordId], in_force: bool) -> Option<Stays> {
        let evidence = entries.iter().any(|it| self.evidence.contains(it))
            || items.iter().any(|it| self.open.contains(it));
        match (evidence, in_force) {
            (true, _) => Some(Stays::Evidence),
            (false, true) => Some(Stays::InForce),
            (false, false) => None,
        }
    }

    fn all<T: Record>(
        &self,
        paper: impl Fn(&Stored<T>) -> Option<(Day, Vec<RecordId>, bool)>,
    ) -> Result<Vec<Paper>, AnswerError> {
        let all = self.house.snapshot.all::<T>()?;
        let papers = all.iter().filter_map(|it| {
            let (day, items, in_force) = paper(it)?;
            let stays = self.stays([it.entry, it.record], &items, in_force);
            Some((it.record, day, stays))
        });
        Ok(papers.collect())
    }

    /// The records of a type. Photos and papers are kept as what they go with, and told there.
    pub fn papers(&self, kind: RecordType) -> Result<Vec<Paper>, AnswerError> {
        match kind {
            RecordType::Receipt => self.receipts(),
            RecordType::Exchange => Ok(self.exchanges()),
            RecordType::Withdrawal => self.all(|it: &Stored<Withdrawal>| {
                let item = it.body.item.number();
                self.is_controlled(item)
                    .then(|| (it.body.on, vec![item], false))
            }),
            RecordType::ShippingPaper => self.shipping_papers(),
            RecordType::MeterCheck => Ok(self.checks(|it| it == InstrumentType::Meter)),
            RecordType::DosimeterCheck => Ok(self.checks(InstrumentType::is_dosimeter)),
            RecordType::RatemeterCheck => Ok(self.checks(|it| it == InstrumentType::Ratemeter)),
            RecordType::LeakTest => Ok(self.leak_tests()),
            RecordType::Inventory => Ok(self.inventories()),
            RecordType::Sheet => self.sheets(|_| true),
            RecordType::StorageSurvey => self.sheets(|it| it.has_survey),
            RecordType::Problem => Ok(self.problems()),
            RecordType::Maintenance => self.maintenance(),
            RecordType::Qualification => self.qualifications(is_for_work),
            RecordType::AccessApproval => {
                self.qualifications(|it| it.kind == QualificationType::Access)
            }
            RecordType::HazmatTraining => {
                self.qualifications(|it| it.kind == QualificationType::Hazmat)
            }
            RecordType::PresenceCheck => Ok(self.source_checks(&[SourceCheckType::Presence])),
            RecordType::TrackingReport => Ok(self.source_checks(&[
                SourceCheckType::ReceiptReport,
                SourceCheckType::TransferReport,
                SourceCheckType::Reconciliation,
            ])),
            RecordType::ReceiptSurvey => {
                Ok(self.source_checks(&[SourceCheckType::ReceiptSurvey, SourceCheckType::Lodged]))
            }
            RecordType::ControlsCheck => Ok(self.source_checks(&[
                SourceCheckType::VehicleControls,
                SourceCheckType::StorageControls,
            ])),
            RecordType::DoseRequest => self.requests(),
            RecordType::Review => self.all(|it: &Stored<Review>| Some((it.body.on, vec![], false))),
            RecordType::PriorDose => {
                self.all(|it: &Stored<PriorDose>| Some((it.body.first_day, vec![], false)))
            }
            RecordType::BadgeResult => self.all(|it: &Stored<crate::record::BadgeResult>| {
                Some((it.body.reported_on, vec![], false))
            }),
            RecordType::Estimate => self.determinations(|it| {
                matches!(it.scope, Scope::Reading { .. } | Scope::Badge { .. })
            }),
            RecordType::BySurvey => self.determinations(|it| it.method == Method::TimeAndDistance),
            RecordType::Determination => self.determinations(|_| true),
            RecordType::Evidence => Ok(Vec::new()),
        }
    }

    fn determinations(
        &self,
        is_its: impl Fn(&Determination) -> bool,
    ) -> Result<Vec<Paper>, AnswerError> {
        self.all(|it: &Stored<Determination>| is_its(&it.body).then(|| (it.body.on, vec![], false)))
    }

    /// Whether it is a source, or holds depleted uranium.
    fn is_controlled(&self, item: RecordId) -> bool {
        let body = self.house.names.equipment_body(item);
        body.is_some_and(|it| it.kind == EquipmentType::Source || it.uranium_tube == Some(true))
    }

    /// The day from which the time of what is kept as long as it is possessed runs.
    fn since_gone(&self, made: Day, item: RecordId) -> (Day, bool) {
        match gone(self.house, item, self.on) {
            Some(gone) => (made.max(gone), false),
            None => (made, true),
        }
    }

    fn receipts(&self) -> Result<Vec<Paper>, AnswerError> {
        self.all(|it: &Stored<crate::record::Equipment>| {
            let is_its = self.is_controlled(it.record);
            let made = it
                .body
                .received_on
                .or(it.body.in_service)
                .or(it.body.activity_on)
                .unwrap_or(self.on);
            let (day, possessed) = self.since_gone(made, it.record);
            is_its.then(|| (day, vec![it.record], possessed))
        })
    }

    /// Dated checks and reports of sources, one a record however many sources it names. While any
    /// of them is possessed they stand for how it is kept.
    fn source_checks(&self, kinds: &[SourceCheckType]) -> Vec<Paper> {
        let all = self.house.maintenance.source_checks().iter();
        let mine = all.filter(|it| kinds.contains(&it.body.kind));
        let papers = mine.map(|it| {
            let sources: Vec<RecordId> = it.body.sources.iter().map(|it| it.number()).collect();
            let possessed = sources
                .iter()
                .any(|source| gone(self.house, *source, self.on).is_none());
            let stays = self.stays([it.entry, it.record], &sources, possessed);
            (it.record, it.body.on, stays)
        });
        papers.collect()
    }

    /// A paper that has a record of its own is not counted again where it is named.
    fn shipping_papers(&self) -> Result<Vec<Paper>, AnswerError> {
        let all = self.house.maintenance.source_checks().iter();
        let own = all.filter(|it| it.body.kind == SourceCheckType::ShippingPaper);
        let own: Vec<&Stored<SourceCheck>> = own.collect();
        let mut papers: Vec<Paper> = Vec::new();
        for it in &own {
            let sources: Vec<RecordId> = it.body.sources.iter().map(|it| it.number()).collect();
            let stays = self.stays([it.entry, it.record], &sources, false);
            papers.push((it.record, it.body.on, stays));
        }
        // `SP-118 of 2026-02-02` names the paper SP-118.
        let is_named = |paper: &str| {
            let number = |it: &&Stored<SourceCheck>| it.body.reference.clone();
            let rest = |it: String| paper.strip_prefix(it.trim()).map(str::to_owned);
            let mut rest = own.iter().filter_map(number).filter_map(rest);
            rest.any(|it| it.chars().next().is_none_or(char::is_whitespace))
        };
        papers.extend(self.all(|it: &Stored<crate::record::Equipment>| {
            let paper = it.body.shipping_paper.as_deref()?;
            let day = it.body.received_on.or(it.body.in_service)?;
            (!is_named(paper)).then(|| (day, vec![it.record], false))
        })?);
        papers.extend(self.all(|it: &Stored<Withdrawal>| {
            let paper = it.body.shipping_paper.as_deref()?;
            (!is_named(paper)).then(|| (it.body.on, vec![it.body.item.number()], false))
        })?);
        Ok(papers)
    }

    fn exchanges(&self) -> Vec<Paper> {
        let loadings = self.house.maintenance.loadings().iter();
        let papers = loadings.map(|it| {
            let (source, device) = (it.body.source.number(), it.body.device.number());
            let (day, possessed) = self.since_gone(it.body.on, source);
            let stays = self.stays([it.entry, it.record], &[source, device], possessed);
            (it.record, day, stays)
        });
        papers.collect()
    }

    /// The last check of each kind vouches for an instrument that is in service.
    fn checks(&self, is_its: impl Fn(InstrumentType) -> bool) -> Vec<Paper> {
        let mut papers = Vec::new();
        for (instrument, body) in self.house.names.instruments() {
            if !is_its(body.kind) {
                continue;
            }
            let here = self
                .house
                .service
                .out_of_service(instrument, self.on)
                .is_none();
            let checks = self.house.service.checks_of(instrument);
            for (at, it) in checks.iter().enumerate() {
                let it = &it.check;
                let mut later = checks.iter().skip(at + 1);
                let last = !later.any(|other| other.check.body.kind == it.body.kind);
                let stays = self.stays([it.entry, it.record], &[instrument], here && last);
                papers.push((it.record, it.body.on, stays));
            }
        }
        papers
    }

    /// The last of each part vouches for an item in use; of one in storage all stay.
    fn leak_tests(&self) -> Vec<Paper> {
        let mut papers = Vec::new();
        for item in self.house.names.items() {
            let (gone, stored) = (
                gone(self.house, item, self.on).is_some(),
                self.house.service.out_of_service(item, self.on).is_some(),
            );
            let tests = self.house.maintenance.leak_tests_of(item);
            for (at, it) in tests.iter().enumerate() {
                let mut later = tests.iter().skip(at + 1);
                let last = !later.any(|other| other.body.part == it.body.part);
                let in_force = !gone && (stored || last);
                let stays = self.stays([it.entry, it.record], &[item], in_force);
                papers.push((it.record, it.body.on, stays));
            }
        }
        papers
    }

    fn inventories(&self) -> Vec<Paper> {
        let all = self.house.maintenance.inventories();
        let papers = all.iter().enumerate().map(|(at, it)| {
            let found: Vec<RecordId> = it.body.found.iter().map(|it| it.number()).collect();
            let last = at + 1 == all.len();
            let stays = self.stays([it.entry, it.record], &found, last);
            (it.record, it.body.on, stays)
        });
        papers.collect()
    }

    fn sheets(&self, is_its: impl Fn(&SheetDay) -> bool) -> Result<Vec<Paper>, AnswerError> {
        let sheets = self.house.snapshot.sheet_days()?;
        let mine = sheets.iter().filter(|it| is_its(it));
        let papers = mine.map(|it| {
            let stays = self.stays([it.entry, it.record], &[], false);
            (it.record, it.day, stays)
        });
        Ok(papers.collect())
    }

    /// An inspection is one record, however many defects it found.
    fn problems(&self) -> Vec<Paper> {
        let mut found: BTreeMap<i64, (Day, RecordId, RecordId, bool)> = BTreeMap::new();
        for item in self.house.names.items() {
            for defect in self.house.maintenance.defects_of(item) {
                let of = &defect.line.of;
                let open = defect.cleared_on.is_none();
                let one = found
                    .entry(of.entry)
                    .or_insert((of.on, of.record, item, open));
                one.3 |= open;
            }
        }
        let papers = found.into_iter().map(|(entry, (day, record, item, open))| {
            (record, day, self.stays([entry, record], &[item], open))
        });
        papers.collect()
    }

    fn maintenance(&self) -> Result<Vec<Paper>, AnswerError> {
        let house = self.house;
        let mut papers = self.all(|it: &Stored<InstalledPart>| {
            let equipment = it.body.equipment.number();
            let here = house.service.out_of_service(equipment, self.on).is_none();
            let mut all = house.maintenance.parts_of(equipment).iter();
            let newest = all.rfind(|one| one.body.component == it.body.component);
            let installed = newest.is_some_and(|one| one.entry == it.entry);
            Some((it.body.installed_on, vec![equipment], here && installed))
        })?;
        papers.extend(self.all(|it: &Stored<Servicing>| {
            let instrument = it.body.instrument.number();
            let checks = house.service.checks_of(instrument).iter();
            let last = checks.map(|it| it.check.body.on).max();
            // Until it was calibrated since, the servicing is what stands against its use.
            let open = last.is_none_or(|last| last < it.body.on);
            Some((it.body.on, vec![instrument], open))
        })?);
        papers.extend(self.all(|it: &Stored<ServiceReturn>| {
            Some((it.body.on, vec![it.body.item.number()], false))
        })?);
        Ok(papers)
    }

    /// Whoever is monitored works by the last of each kind, and by all that have not lapsed.
    fn qualifications(
        &self,
        is_its: impl Fn(&Qualification) -> bool,
    ) -> Result<Vec<Paper>, AnswerError> {
        let all = self.house.snapshot.all::<Qualification>()?;
        self.all(|it: &Stored<Qualification>| {
            is_its(&it.body).then_some(())?;
            let (worker, kind) = (it.body.worker, it.body.kind);
            let same =
                |one: &&Stored<Qualification>| one.body.worker == worker && one.body.kind == kind;
            let newest = all
                .iter()
                .filter(same)
                .max_by_key(|one| (one.body.on, one.entry));
            let last = newest.is_some_and(|one| one.entry == it.entry);
            let runs = it.body.until.is_some_and(|until| until >= self.on);
            let works = self.house.names.monitored(worker.number(), self.on);
            Some((it.body.on, vec![worker.number()], works && (last || runs)))
        })
    }

    /// What was not answered is still asked.
    fn requests(&self) -> Result<Vec<Paper>, AnswerError> {
        let doses = self.house.snapshot.all::<PriorDose>()?;
        self.all(|it: &Stored<DoseRequest>| {
            let employer = plain(&it.body.employer);
            let came = doses.iter().any(|one| {
                one.body.worker == it.body.worker && plain(&one.body.employer) == employer
            });
            let answered = came || it.body.answered_on.is_some();
            Some((it.body.on, vec![], !answered))
        })
    }
}

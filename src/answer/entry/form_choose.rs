//! What a form of a sheet has printed: what was so last time and stands against nothing, and what
//! was asked for by name.

use super::form_code::PrintedMember;
use super::form_fault::FormFault;
use super::sheet_offer::{
    LastEquipment, LastTime, Member, Offered, OfferedType, may_be_used, member, offered,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::status::board_equipment::{SetReason, against_items};
use crate::answer::status::work_status::against_crew;
use crate::calendar::Day;
use crate::ledger::{Instant, Stored};
use crate::record::{EquipmentType, RecordId, Sheet};

/// What is printed, being chosen: what was so last time and stands against nothing, and what was
/// asked for by name.
pub(super) struct Choosing<'a> {
    pub house: &'a OpenHouse<'a>,
    pub on: Day,
    pub now: Instant,
    pub left_out: Vec<String>,
    pub against: Vec<String>,
}

/// Device, source, control unit and meter, and the guide tubes.
pub(super) type Chosen = ([Option<RecordId>; 4], Vec<RecordId>);

impl Choosing<'_> {
    pub fn as_last(&mut self, used: &[LastEquipment]) -> Result<Chosen, AnswerError> {
        let mut chosen = Chosen::default();
        for it in used {
            let Some(found) = offered(self.house, &it.id).filter(|_| it.known) else {
                let id = &it.id;
                self.left_out.push(format!("{id}: it is not on record"));
                continue;
            };
            let stands = self.stands(&found)?;
            if !stands.is_empty() {
                self.left_out.extend(stands);
                continue;
            }
            put(self.house, &mut chosen, &found);
        }
        Ok(chosen)
    }

    /// What stands against a thing on the day.
    fn stands(&self, it: &Offered) -> Result<Vec<String>, AnswerError> {
        let stands = against_items(self.house, &[&it.id], self.on)?;
        let stands: Vec<String> = stands.iter().map(SetReason::words).collect();
        let record = self.house.names.item(&it.id)?.number();
        Ok(
            match (stands.is_empty(), may_be_used(self.house, record, self.on)) {
                (true, false) => vec![format!("{}: not in service on {}", it.id, self.on)],
                _ => stands,
            },
        )
    }

    pub fn named(&mut self, ids: &[String]) -> Result<Chosen, AnswerError> {
        let mut chosen = Chosen::default();
        for id in ids {
            let wanted = || FormFault::NoPlace(id.clone());
            self.house.names.item(id)?;
            let found = offered(self.house, id).ok_or_else(wanted)?;
            if !put(self.house, &mut chosen, &found) {
                return Err(wanted().into());
            }
            let stands = self.stands(&found)?;
            self.against.extend(stands);
        }
        Ok(chosen)
    }

    pub fn crew_as_last(
        &mut self,
        last: Option<&LastTime>,
    ) -> Result<Vec<PrintedMember>, AnswerError> {
        let mut crew = Vec::new();
        for it in last.map_or(&[][..], |it| &it.crew) {
            let Some(worker) = self.house.names.find_worker(&it.worker) else {
                let id = &it.worker;
                self.left_out.push(format!("{id}: no worker on record"));
                continue;
            };
            let stands = against_crew(self.house, &[&it.worker], self.on, self.now)?;
            match stands.is_empty() {
                true => crew.push(self.printed(worker.number(), it)),
                false => self.left_out.extend(stands),
            }
        }
        Ok(crew)
    }

    pub fn crew_named(
        &mut self,
        ids: &[String],
        sheets: &[Stored<Sheet>],
    ) -> Result<Vec<PrintedMember>, AnswerError> {
        let mut crew: Vec<PrintedMember> = Vec::new();
        for id in ids {
            let worker = self.house.names.worker(id)?.number();
            if crew.iter().any(|it| it.worker == worker) {
                continue;
            }
            let people = sheets.iter().flat_map(|it| &it.body.people);
            let mut own = people.filter(|it| it.worker.number() == Some(worker));
            let mut printed = match own.next() {
                Some(person) => self.printed(worker, &member(self.house, person)),
                None => PrintedMember {
                    worker,
                    role: None,
                    dosimeters: Vec::new(),
                    ratemeter: None,
                },
            };
            let qualified = self.house.names.role_on(worker, self.on);
            printed.role = printed.role.or(qualified);
            crew.push(printed);
            let stands = against_crew(self.house, &[id], self.on, self.now)?;
            self.against.extend(stands);
        }
        Ok(crew)
    }

    /// Somebody with what was worn last and may be worn still.
    fn printed(&mut self, worker: RecordId, it: &Member) -> PrintedMember {
        let mut usable = |id: &String| {
            let record = self.house.names.find_instrument(id)?.number();
            let usable = may_be_used(self.house, record, self.on);
            if !usable {
                let left_out = format!("{id} of {}: not in service on {}", it.worker, self.on);
                self.left_out.push(left_out);
            }
            usable.then_some(record)
        };
        PrintedMember {
            worker,
            role: it.role,
            dosimeters: it.dosimeters.iter().filter_map(&mut usable).collect(),
            ratemeter: Some(&it.ratemeter)
                .filter(|it| !it.is_empty())
                .and_then(usable),
        }
    }
}

/// Puts a thing in its place; `false` where a sheet has none for it, or one already.
fn put(house: &OpenHouse<'_>, chosen: &mut Chosen, it: &Offered) -> bool {
    let Some(record) = house.names.find_item(&it.id).map(|it| it.number()) else {
        return false;
    };
    let [device, source, control, meter] = &mut chosen.0;
    let place = match it.kind {
        OfferedType::Equipment(EquipmentType::Device) => device,
        OfferedType::Equipment(EquipmentType::Source) => source,
        OfferedType::Equipment(EquipmentType::Control) => control,
        OfferedType::Meter => meter,
        OfferedType::Equipment(EquipmentType::GuideTube) => {
            chosen.1.push(record);
            return true;
        }
        _ => return false,
    };
    let free = place.is_none();
    *place = Some(record);
    free
}

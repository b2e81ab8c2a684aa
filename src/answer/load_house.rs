//! The house as a ledger has it: everything of [`House`], in the order in which one part needs
//! the other.

use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;

use super::adopted::{at_jobs, in_force, newest, under_licence};
use super::clock::clocks;
use super::error::AnswerError;
use super::event_service::event_outs;
use super::load::{HeldItem, House, load_schemes};
use super::load_worker::load_facts;
use super::names::Names;
use super::review_desk::began;
use super::service::Service;
use super::upkeep::Upkeep;
use crate::calendar::Day;
use crate::ledger::Snapshot;
use crate::record::{DoubtSort, Qualification, Words};
use crate::rule::{Scheme, Terms};

impl House {
    /// Loads the registers and facts.
    pub fn load(snapshot: &Snapshot<'_>) -> Result<House, AnswerError> {
        let names = Names::load(snapshot)?;
        let mut held: HashMap<i64, Vec<HeldItem>> = HashMap::new();
        let mut rulings = HashMap::new();
        for row in snapshot.held()? {
            if let Some(ruling) = &row.ruling {
                rulings.insert((row.entry, row.item), ruling.outcome);
            }
            if let Some(sort) = DoubtSort::from_stored(&row.sort) {
                let item = HeldItem {
                    item: row.item,
                    person: row.person,
                    part: row.part,
                    reading: row.reading,
                    sort,
                };
                held.entry(row.entry).or_default().push(item);
            }
        }
        let mut facts = load_facts(snapshot, &names)?;
        let labels = names
            .instruments()
            .map(|(record, instrument)| (record, Arc::from(instrument.id.as_str())))
            .collect();
        let written = load_schemes(snapshot)?;
        let schemes = under_licence(&written, names.charter.jurisdiction.as_deref());
        // A check from before the first scheme is judged by that one: it failed all the same.
        let terms = newest(&schemes).map_or(Terms::default(), Scheme::terms);
        facts.values_mut().for_each(|it| it.terms = terms);
        let first = schemes.iter().min_by_key(|it| (it.0, it.1));
        let judged_by = |day| in_force(&schemes, day).or(first.map(|(_, _, scheme)| &**scheme));
        let service = Service::load(snapshot, &names, judged_by)?;
        // A later check that found a dosimeter to read low raises the doses of before it.
        let reads_low = match snapshot.is_later(Day::MAX) {
            true => Service::load(&snapshot.whole(), &names, judged_by)?.reads_low(&names),
            false => service.reads_low(&names),
        };
        let mut house = House {
            at_jobs: at_jobs(&written, &names),
            reads_low,
            service,
            upkeep: Upkeep::load(snapshot)?,
            clocks: clocks(snapshot, newest(&schemes))?,
            began: None,
            qualifications: snapshot.all::<Qualification>()?,
            schemes,
            written,
            facts,
            rulings,
            held,
            labels,
            in_events: RefCell::default(),
            names,
        };
        let mut upkeep = std::mem::take(&mut house.upkeep);
        let days: Vec<Day> = house.written.iter().map(|it| it.0).collect();
        upkeep.tell(&days, |list, day| house.tell_list(list, day));
        house.upkeep = upkeep;
        let outs = event_outs(snapshot, &house)?;
        house.service.take_out(outs);
        house.began = began(snapshot, &house)?;
        Ok(house)
    }
}

//! The house as a ledger has it: everything of [`House`], in the order in which one part needs
//! the other.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use super::clock::clocks;
use super::error::AnswerError;
use super::load::{HeldItem, House, load_rule_sets};
use super::names::Names;
use super::service::Service;
use super::worker::load_facts;
use crate::answer::entry::adopted::{at_jobs, in_force, newest, under_license};
use crate::answer::equipment::maintenance::Maintenance;
use crate::answer::event::service::event_outs;
use crate::answer::review::desk::began;
use crate::calendar::Day;
use crate::ledger::Snapshot;
use crate::record::{DoubtType, Qualification, Words};
use crate::rule::{RuleSet, Terms};

impl House {
    /// Loads the registers and facts.
    pub fn load(snapshot: &Snapshot<'_>) -> Result<House, AnswerError> {
        let names = Names::load(snapshot)?;
        let mut held: HashMap<i64, Vec<HeldItem>> = HashMap::new();
        let mut dispositions = HashMap::new();
        for row in snapshot.held()? {
            if let Some(disposition) = &row.disposition {
                dispositions.insert((row.entry, row.item), disposition.outcome);
            }
            if let Some(kind) = DoubtType::from_stored(&row.kind) {
                let item = HeldItem {
                    item: row.item,
                    person: row.person,
                    part: row.part,
                    reading: row.reading,
                    kind,
                };
                held.entry(row.entry).or_default().push(item);
            }
        }
        let mut facts = load_facts(snapshot, &names)?;
        let labels = names
            .instruments()
            .map(|(record, instrument)| (record, Arc::from(instrument.id.as_str())))
            .collect();
        let written = load_rule_sets(snapshot)?;
        let rule_sets = under_license(&written, names.charter.jurisdiction.as_deref());
        // A check from before the first rule set is judged by that one: it failed all the same.
        let terms = newest(&rule_sets).map_or(Terms::default(), RuleSet::terms);
        facts.values_mut().for_each(|it| it.terms = terms);
        let first = rule_sets.iter().min_by_key(|it| (it.0, it.1));
        let judged_by =
            |day| in_force(&rule_sets, day).or(first.map(|(_, _, rule_set)| &**rule_set));
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
            maintenance: Maintenance::load(snapshot)?,
            clocks: clocks(snapshot, newest(&rule_sets))?,
            began: None,
            qualifications: snapshot.all::<Qualification>()?,
            rule_sets,
            written,
            facts,
            dispositions,
            held,
            labels,
            in_events: Mutex::default(),
            names,
        };
        let mut maintenance = std::mem::take(&mut house.maintenance);
        let days: Vec<Day> = house.written.iter().map(|it| it.0).collect();
        maintenance.tell(&days, |list, day| house.tell_list(list, day));
        house.maintenance = maintenance;
        let outs = event_outs(&house.open(snapshot))?;
        house.service.take_out(outs);
        house.began = began(&house.open(snapshot))?;
        Ok(house)
    }
}

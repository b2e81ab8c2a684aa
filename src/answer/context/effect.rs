//! What a decision does to the conservative total and to stops, said with it: an acceptance of a
//! whole report lowers doses and ends stops of people whom nobody looked at one by one.

use std::collections::BTreeMap;

use super::error::AnswerError;
use super::load::House;
use crate::answer::status::work_status::work_status;
use crate::calendar::{Day, Instant, Span};
use crate::dose::conservative::Conservative;
use crate::dose::total::{PerQuantity, QUANTITIES, Total};
use crate::ledger::Snapshot;
use crate::quantity::DoseUnit;
use crate::record::RecordId;
use crate::rule::{Severity, Terms};

/// How the people that a decision concerns stand, each over the days that it concerns.
#[derive(Debug, Default)]
pub struct Standings {
    unit: Option<(DoseUnit, Terms)>,
    people: BTreeMap<RecordId, Standing>,
}

#[derive(Debug)]
struct Standing {
    label: String,
    days: Span,
    safe: PerQuantity<Total>,
    /// What stops them, by the key of the finding.
    stops: BTreeMap<String, String>,
}

impl Standings {
    /// Of some people on a day; of nobody where the rules cannot be read.
    ///
    /// # Errors
    /// The ledger cannot be read, or a sum does not fit.
    pub fn of(
        snapshot: &Snapshot<'_>,
        people: &BTreeMap<RecordId, Span>,
        (on, now): (Day, Instant),
    ) -> Result<Standings, AnswerError> {
        match load(snapshot, people, (on, now)) {
            Err(AnswerError::RuleSet { .. }) => Ok(Standings::default()),
            found => found,
        }
    }

    /// What became of them with a decision: first the stops that it ends, then what it lowers
    /// or raises on the conservative side.
    pub fn changes(&self, after: &Standings) -> Vec<String> {
        let Some(unit) = self.unit else {
            return Vec::new();
        };
        let pairs = self.people.iter();
        let pairs: Vec<(&Standing, &Standing)> = pairs
            .filter_map(|(worker, was)| Some((was, after.people.get(worker)?)))
            .collect();
        let ended = pairs.iter().flat_map(|(was, is)| {
            let gone = was.stops.iter().filter(|it| !is.stops.contains_key(it.0));
            gone.map(|(_, what)| format!("it ends a STOP of {}: {what}", was.label))
        });
        let moved = pairs.iter().flat_map(|(was, is)| was.moved(is, unit));
        ended.chain(moved).collect()
    }
}

fn load(
    snapshot: &Snapshot<'_>,
    people: &BTreeMap<RecordId, Span>,
    (on, now): (Day, Instant),
) -> Result<Standings, AnswerError> {
    let house = House::load(snapshot)?;
    let house = house.open(snapshot);
    // Each question costs as much as everybody.
    let asked = people.keys().next().copied().filter(|_| people.len() == 1);
    let work_status = work_status(&house, asked, on, now)?.lines;
    let mut found = Standings {
        unit: Some((house.unit(), house.terms())),
        people: BTreeMap::new(),
    };
    for (worker, days) in people {
        let facts = house.facts(*worker)?;
        let history = house.history(*worker, *days)?;
        let safe = Conservative::of(&history, *days)?.totals;
        let lines = work_status.iter().filter(|it| it.worker == facts.id);
        let reasons = lines.flat_map(|it| &it.reasons).map(|it| &it.finding);
        let stops = reasons.filter(|it| it.severity == Severity::Stop);
        let standing = Standing {
            label: format!("{} {}", facts.id, facts.name),
            days: *days,
            safe,
            stops: stops.map(|it| (it.key(), it.what.clone())).collect(),
        };
        found.people.insert(*worker, standing);
    }
    Ok(found)
}

impl Standing {
    /// The quantities whose conservative total moved, those that moved alike together.
    fn moved(&self, after: &Standing, (unit, terms): (DoseUnit, Terms)) -> Vec<String> {
        let mut found: Vec<(Vec<&str>, (&str, String))> = Vec::new();
        for quantity in QUANTITIES {
            let (was, is) = (self.safe.get(quantity), after.safe.get(quantity));
            let height = |it: &Total| (it.undetermined > 0, it.known());
            let way = match height(is).cmp(&height(was)) {
                std::cmp::Ordering::Less => "lowers",
                std::cmp::Ordering::Greater => "raises",
                std::cmp::Ordering::Equal => continue,
            };
            let moved = (way, format!("from {} to {}", was.text(unit), is.text(unit)));
            match found.iter_mut().find(|it| it.1 == moved) {
                Some((all, _)) => all.push(terms.short(quantity)),
                None => found.push((vec![terms.short(quantity)], moved)),
            }
        }
        let Span { first, last } = self.days;
        let lines = found.into_iter().map(|(names, (way, figures))| {
            format!(
                "it {way} the conservative total of {}, {first} to {last}, {} dose: {figures}",
                self.label,
                names.join(", ")
            )
        });
        lines.collect()
    }
}
